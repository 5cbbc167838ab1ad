"""A small bar as a set-up file, for planning, with round figures, so that tests can calculate by hand."""

SETUP = """\
format = 1

[liquids.house-water]
name = "House Water"
abv_percent = 0
sugar_g_per_l = 0
allergens = []
cost_per_l = 0.5

[liquids.prompters-cordial]
name = "Prompter's Cordial"
density_g_per_ml = 1.2
abv_percent = 0
sugar_g_per_l = 500
allergens = []
cost_per_l = 4

[liquids.foyer-soda]
name = "Foyer Soda"
abv_percent = 0
sugar_g_per_l = 0
allergens = []
cost_per_l = 1

[liquids.footlight-spirit]
name = "Footlight Spirit"
abv_percent = 40
sugar_g_per_l = 0
allergens = ["sulphites"]
cost_per_l = 20

[liquids.curtain-liqueur]
name = "Curtain Liqueur"
abv_percent = 20
sugar_g_per_l = 200

[glasses.foyer-tumbler]
name = "Foyer tumbler"
brim_ml = 320
headroom_ml = 40

[recipes.green-room-cooler]
name = "Green Room Cooler"
glass_id = "foyer-tumbler"
steps = [
    { hand = "ice", what = "three cubes", ice_g = 60 },
    { liquid_id = "prompters-cordial", amount = "40 ml" },
    { liquid_id = "house-water", amount = "160 ml" },
]

[recipes.half-hour-call]
name = "Half-hour Call"
steps = [
    { liquid_id = "prompters-cordial", amount = "50 ml" },
    { liquid_id = "house-water", amount = "50 ml" },
]

[recipes.second-bell]
name = "Second Bell"
steps = [
    { liquid_id = "footlight-spirit", amount = "25 ml" },
    { hand = "top_up", what = "soda", liquid_id = "foyer-soda", amount = "100 ml" },
]

[recipes.curtain-up]
name = "Curtain Up"
steps = [
    { liquid_id = "curtain-liqueur", amount = "40 ml" },
    { liquid_id = "footlight-spirit", amount = "10 ml" },
]

[channels.1]
name = "left"
liquid_id = "house-water"

[channels.2]
name = "middle"
liquid_id = "footlight-spirit"

[channels.4]
name = "right"
liquid_id = "prompters-cordial"

[bottles.water-1]
liquid_id = "house-water"
full_ml = 5000
channel = 1

[bottles.spirit-1]
liquid_id = "footlight-spirit"
full_ml = 700
channel = 2

[bottles.cordial-1]
liquid_id = "prompters-cordial"
full_ml = 1000
content_g = 600
channel = 4
"""
