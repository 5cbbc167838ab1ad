"""Writes docs/dose.svg: one dose on the simulated machine, readings, estimate and steps."""

import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "support"))

from rig import Rig  # noqa: E402
from tarewell.dosing import events as e  # noqa: E402

WIDTH, HEIGHT, LEFT, TOP, BOTTOM = 900, 420, 60, 30, 60
TARGET_G = 45.0
NAMES = {
    "coarse_feed": "coarse feed",
    "fine_feed": "fine feed",
    "settling": "settling",
    "jog_feed": "jog",
    "suck_back": "suck-back",
    "complete": "complete",
}


def draw() -> str:
    """The picture as SVG text: the seventh dose of a channel, when its in-flight mass is known."""
    rig = Rig(seed=3)
    for _ in range(7):
        rig.begin([(1, TARGET_G)])
        result = rig.finish()
    began_s = result.doses[0].began_s
    ended_s = result.doses[0].ended_s
    glass_g = result.of(e.Tared)[0].glass_g
    span_s, top_g = ended_s - began_s + 1.0, TARGET_G * 1.25

    def x(now_s: float) -> float:
        return LEFT + (now_s - began_s + 0.1) / span_s * (WIDTH - LEFT - 20)

    def y(mass_g: float) -> float:
        return HEIGHT - BOTTOM - mass_g / top_g * (HEIGHT - TOP - BOTTOM)

    points = [
        (x(now_s), y(rig.calibration.grams(item.sample.counts) - glass_g))
        for now_s, item in result.log
        if isinstance(item, e.Weighed) and began_s - 0.1 <= now_s <= ended_s + 0.1
    ]
    steps = [
        (now_s, item.state)
        for now_s, item in result.log
        if isinstance(item, e.PourStateChanged) and item.state in NAMES
    ]
    low, right = HEIGHT - BOTTOM, WIDTH - 20
    said = f"readings of the scale, 80 a second; delivered {result.doses[-1].delivered_g:.1f} g"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" '
        'font-size="14" role="img" aria-label="Mass over time of one dose of 45 g">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#f4f4f2"/>',
        *(line(LEFT, y(mass_g), right, y(mass_g), "#d8d8d4") for mass_g in range(0, int(top_g), 10)),
        *(text(LEFT - 8, y(mass_g) + 5, "end", f"{mass_g} g") for mass_g in range(0, int(top_g), 10)),
        *(text(x(began_s + s), HEIGHT - 12, "middle", f"{s} s") for s in range(int(span_s) + 1)),
        *(line(x(now_s), TOP, x(now_s), low, "#7a7a76", dashed=True) for now_s, _ in steps),
        *(text(x(now_s) + 5, TOP + 14, "start", NAMES[state]) for now_s, state in steps),
        line(LEFT, y(TARGET_G), right, y(TARGET_G), "#2b2b29"),
        text(LEFT + 8, y(TARGET_G) - 7, "start", f"target {TARGET_G:g} g"),
        '<polyline fill="none" stroke="#3a5f7d" stroke-width="1.4" points="',
        " ".join(f"{px:.1f},{py:.1f}" for px, py in points),
        '"/>',
        text(right - 4, low - 12, "end", said),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def line(x1: float, y1: float, x2: float, y2: float, colour: str, dashed: bool = False) -> str:
    """A straight line."""
    dash = ' stroke-dasharray="4 4"' if dashed else ""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}"{dash}/>'


def text(x: float, y: float, anchor: str, words: str) -> str:
    """Words at a place."""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="#333">{words}</text>'


if __name__ == "__main__":
    Path(__file__).with_name("dose.svg").write_text(draw())
