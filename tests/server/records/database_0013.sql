BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0013');
CREATE TABLE bottle (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	liquid_id TEXT NOT NULL, 
	full_g DOUBLE NOT NULL, 
	low_g DOUBLE NOT NULL, 
	tare_g DOUBLE, 
	channel INTEGER, 
	opened_at TEXT, 
	CONSTRAINT pk_bottle PRIMARY KEY (id), 
	CONSTRAINT ck_bottle_full CHECK (full_g > 0), 
	CONSTRAINT ck_bottle_low CHECK (low_g >= 0), 
	CONSTRAINT ck_bottle_tare CHECK (tare_g > 0), 
	CONSTRAINT fk_bottle_liquid_id_liquid FOREIGN KEY(liquid_id) REFERENCES liquid (id), 
	CONSTRAINT fk_bottle_channel_channel FOREIGN KEY(channel) REFERENCES channel (number), 
	CONSTRAINT uq_bottle_channel UNIQUE (channel)
);
INSERT INTO "bottle" VALUES('water-1','foyer-bar','house-water',4993.0,500.0,NULL,1,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('footlight-1','foyer-bar','footlight-spirit',663.6,66.4,486.0,2,'2031-03-14T18:05:00.000000Z');
INSERT INTO "bottle" VALUES('footlight-2','foyer-bar','footlight-spirit',663.6,66.4,486.0,NULL,NULL);
INSERT INTO "bottle" VALUES('circle-1','foyer-bar','dress-circle-syrup',921.6,92.2,455.0,3,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('cordial-1','foyer-bar','prompters-cordial',1127.0,112.7,74.0,4,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('gallery-1','foyer-bar','gallery-juice',1044.3,104.4,38.0,5,'2031-03-14T18:10:00.000000Z');
INSERT INTO "bottle" VALUES('limelight-1','foyer-bar','limelight',514.9,51.5,301.0,6,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('curtain-1','foyer-bar','curtain-liqueur',748.1,74.8,497.0,7,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('overture-1','foyer-bar','overture',765.0,76.5,458.0,8,'2026-11-25T19:30:00.000000Z');
CREATE TABLE calibration (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	zero_counts DOUBLE NOT NULL, 
	counts_per_g DOUBLE NOT NULL, 
	how TEXT NOT NULL, 
	CONSTRAINT pk_calibration PRIMARY KEY (id), 
	CONSTRAINT ck_calibration_how CHECK (how IN ('two_point', 'zero')), 
	CONSTRAINT ck_calibration_span CHECK (counts_per_g <> 0)
);
INSERT INTO "calibration" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z',-84213.4,1998.25,'two_point');
CREATE TABLE channel (
	number INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	liquid_id TEXT, 
	name TEXT NOT NULL, 
	CONSTRAINT pk_channel PRIMARY KEY (number), 
	CONSTRAINT ck_channel_number CHECK (number >= 1), 
	CONSTRAINT fk_channel_liquid_id_liquid FOREIGN KEY(liquid_id) REFERENCES liquid (id)
);
INSERT INTO "channel" VALUES(1,'foyer-bar','house-water','far left');
INSERT INTO "channel" VALUES(2,'foyer-bar','footlight-spirit','second from left');
INSERT INTO "channel" VALUES(3,'foyer-bar','dress-circle-syrup','third from left');
INSERT INTO "channel" VALUES(4,'foyer-bar','prompters-cordial','left of the till');
INSERT INTO "channel" VALUES(5,'foyer-bar','gallery-juice','right of the till');
INSERT INTO "channel" VALUES(6,'foyer-bar','limelight','third from right');
INSERT INTO "channel" VALUES(7,'foyer-bar','curtain-liqueur','second from right');
INSERT INTO "channel" VALUES(8,'foyer-bar','overture','far right');
CREATE TABLE dose (
	pour_id TEXT NOT NULL, 
	dose_index INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	channel INTEGER NOT NULL, 
	liquid_id TEXT NOT NULL, 
	liquid_name TEXT NOT NULL, 
	density_g_per_ml DOUBLE NOT NULL, 
	abv_percent DOUBLE, 
	target_g DOUBLE NOT NULL, 
	CONSTRAINT pk_dose PRIMARY KEY (pour_id, dose_index), 
	CONSTRAINT ck_dose_target CHECK (target_g > 0), 
	CONSTRAINT fk_dose_liquid_id_liquid FOREIGN KEY(liquid_id) REFERENCES liquid (id), 
	CONSTRAINT fk_dose_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "dose" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928',0,'foyer-bar',4,'prompters-cordial','Prompter''s Cordial',1.127032,0.0,4.99069079778698707636e+01);
INSERT INTO "dose" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928',1,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,1.76878522321365807103e+02);
INSERT INTO "dose" VALUES('01a21430-27f0-70e5-bf4b-3ada85953a99',0,'foyer-bar',2,'footlight-spirit','Footlight Spirit',0.948045,40.0,15.0);
INSERT INTO "dose" VALUES('01a21431-1250-70cf-b3fd-c79151f25d2c',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
INSERT INTO "dose" VALUES('01a21431-fcb0-700f-8067-0fa111336e1b',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
CREATE TABLE dose_balance (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	pour_id TEXT NOT NULL, 
	dose_index INTEGER NOT NULL, 
	added_g DOUBLE NOT NULL, 
	spilt_g DOUBLE NOT NULL, 
	doubt_g DOUBLE NOT NULL, 
	CONSTRAINT pk_dose_balance PRIMARY KEY (id), 
	CONSTRAINT fk_dose_balance_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index)
);
INSERT INTO "dose_balance" VALUES(1,'foyer-bar','01a21431-fcb0-700f-8067-0fa111336e1b',0,0.0,1.5,0.25);
CREATE TABLE dose_outcome (
	pour_id TEXT NOT NULL, 
	dose_index INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	delivered_g DOUBLE NOT NULL, 
	inflight_g DOUBLE NOT NULL, 
	peak_flow_g_per_s DOUBLE NOT NULL, 
	jogs INTEGER NOT NULL, 
	began_s DOUBLE NOT NULL, 
	cut_off_s DOUBLE, 
	ended_s DOUBLE NOT NULL, 
	verdict TEXT, 
	cause TEXT NOT NULL, 
	target_g DOUBLE, uncertainty_g DOUBLE, 
	CONSTRAINT pk_dose_outcome PRIMARY KEY (pour_id, dose_index), 
	CONSTRAINT ck_dose_outcome_verdict CHECK (verdict IN ('within', 'under', 'over')), 
	CONSTRAINT fk_dose_outcome_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index)
);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928',0,'foyer-bar',4.99069079778698707636e+01,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL,0.085);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928',1,'foyer-bar',1.76878522321365807103e+02,2.4,8.3,1,101.0,105.5,107.25,'within','target',NULL,0.085);
INSERT INTO "dose_outcome" VALUES('01a21430-27f0-70e5-bf4b-3ada85953a99',0,'foyer-bar',12.5,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL,NULL);
INSERT INTO "dose_outcome" VALUES('01a21431-1250-70cf-b3fd-c79151f25d2c',0,'foyer-bar',26.25,2.4,8.3,1,100.0,105.5,107.25,NULL,'target',NULL,NULL);
CREATE TABLE drink_order (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	created_at TEXT NOT NULL, 
	idempotency_key TEXT, 
	fingerprint TEXT, 
	origin TEXT NOT NULL, 
	service_id TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	recipe_id TEXT NOT NULL, 
	guest TEXT, 
	wanted TEXT NOT NULL, 
	name TEXT NOT NULL, 
	ethanol_g DOUBLE NOT NULL, 
	strength_known BOOLEAN NOT NULL, 
	takes_s DOUBLE, 
	price DOUBLE, 
	CONSTRAINT pk_drink_order PRIMARY KEY (id), 
	CONSTRAINT ck_drink_order_key_with_fingerprint CHECK ((idempotency_key IS NULL) = (fingerprint IS NULL)), 
	CONSTRAINT ck_drink_order_wanted CHECK (json_valid(wanted)), 
	CONSTRAINT ck_drink_order_number CHECK (number >= 1), 
	CONSTRAINT fk_drink_order_service_id_service FOREIGN KEY(service_id) REFERENCES service (id), 
	CONSTRAINT fk_drink_order_recipe_id_recipe FOREIGN KEY(recipe_id) REFERENCES recipe (id), 
	CONSTRAINT uq_drink_order_idempotency_key UNIQUE (idempotency_key), 
	CONSTRAINT uq_drink_order_service_id_number UNIQUE (service_id, number)
);
INSERT INTO "drink_order" VALUES('01a2142f-b2c0-7075-be5c-8ab38a4557bf','foyer-bar','2026-11-25T19:30:00.000000Z','key-2','print-2','guest','01a2142f-b2c0-7074-a21d-ba1d9e4f1360',1,'green-room-cooler','seat 14','{"glass_id":null,"guest":"seat 14","instead":{},"max_ethanol_g":null,"order":null,"recipe_id":"green-room-cooler","volume_ml":null}','Green Room Cooler',0.0,1,31.4,2.5);
CREATE TABLE drink_order_state (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	order_id TEXT NOT NULL, 
	state TEXT NOT NULL, 
	place INTEGER NOT NULL, 
	reason TEXT, 
	round_id TEXT, 
	glass_index INTEGER, 
	CONSTRAINT pk_drink_order_state PRIMARY KEY (id), 
	CONSTRAINT ck_drink_order_state_state CHECK (state IN ('waiting', 'in_round', 'pouring', 'ready', 'collected', 'taken_back', 'sent_back')), 
	CONSTRAINT ck_drink_order_state_reason_when_sent_back CHECK ((state = 'sent_back') = (reason IS NOT NULL)), 
	CONSTRAINT ck_drink_order_state_round_with_glass CHECK ((round_id IS NULL) = (glass_index IS NULL)), 
	CONSTRAINT fk_drink_order_state_order_id_drink_order FOREIGN KEY(order_id) REFERENCES drink_order (id), 
	CONSTRAINT fk_drink_order_state_round_id_glass_index_round_glass FOREIGN KEY(round_id, glass_index) REFERENCES round_glass (round_id, glass_index)
);
INSERT INTO "drink_order_state" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','01a2142f-b2c0-7075-be5c-8ab38a4557bf','waiting',1,NULL,NULL,NULL);
INSERT INTO "drink_order_state" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','01a2142f-b2c0-7075-be5c-8ab38a4557bf','in_round',1,NULL,'01a2142f-b2c0-7076-950e-605cdc119cbf',0);
INSERT INTO "drink_order_state" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','01a2142f-b2c0-7075-be5c-8ab38a4557bf','pouring',1,NULL,'01a2142f-b2c0-7076-950e-605cdc119cbf',0);
INSERT INTO "drink_order_state" VALUES(4,'foyer-bar','2026-11-25T19:30:30.000000Z','01a2142f-b2c0-7075-be5c-8ab38a4557bf','ready',1,NULL,'01a2142f-b2c0-7076-950e-605cdc119cbf',0);
CREATE TABLE event (
	seq INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	pour_id TEXT, 
	body TEXT NOT NULL, 
	prev_hash TEXT NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT fk_event_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "event" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#bcd8e0","cost_per_l":0.1,"density_at_c":20.0,"density_g_per_ml":0.998207,"density_origin":"water","density_uncertainty_g_per_ml":1e-05,"id":"house-water","name":"House Water","note":"","serving_c":18.0,"sugar_g_per_l":0.0}','0000000000000000000000000000000000000000000000000000000000000000','2325642d1c721a3107d8e0be7ea6a963bbdea56001ec378028e06beeae687e7c');
INSERT INTO "event" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#d5e4e6","cost_per_l":0.6,"density_at_c":20.0,"density_g_per_ml":0.998207,"density_origin":"water","density_uncertainty_g_per_ml":1e-05,"id":"foyer-soda","name":"Foyer Soda","note":"never through a pump: it foams; topped up by hand","serving_c":6.0,"sugar_g_per_l":0.0}','2325642d1c721a3107d8e0be7ea6a963bbdea56001ec378028e06beeae687e7c','5c91617a340bc2a6d9d8e59336950acae9cc0e9e1a77db88bc39e9f2e421d82a');
INSERT INTO "event" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#6f9e3f","cost_per_l":4.2,"density_at_c":20.0,"density_g_per_ml":1.127032,"density_origin":"brix","density_uncertainty_g_per_ml":0.002425,"id":"prompters-cordial","name":"Prompter''s Cordial","note":"","serving_c":20.0,"sugar_g_per_l":338.11}','5c91617a340bc2a6d9d8e59336950acae9cc0e9e1a77db88bc39e9f2e421d82a','2c5e3b33749623956601f234515925097dbb9d4f62bc7a94666c31d93a4096aa');
INSERT INTO "event" VALUES(4,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":["nuts"],"colour":"#7a4a26","cost_per_l":7.5,"density_at_c":20.0,"density_g_per_ml":1.316555,"density_origin":"brix","density_uncertainty_g_per_ml":0.003084,"id":"dress-circle-syrup","name":"Dress Circle Syrup","note":"hazelnut","serving_c":20.0,"sugar_g_per_l":855.76}','2c5e3b33749623956601f234515925097dbb9d4f62bc7a94666c31d93a4096aa','9561fa5718c405f0b55ab65465af7b60588d08b3a2f5da055b7afc3d6facb656');
INSERT INTO "event" VALUES(5,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#e08a2e","cost_per_l":2.4,"density_at_c":20.0,"density_g_per_ml":1.042,"density_origin":"weighed","density_uncertainty_g_per_ml":0.007221,"id":"gallery-juice","name":"Gallery Juice","note":"","serving_c":8.0,"sugar_g_per_l":98.0}','9561fa5718c405f0b55ab65465af7b60588d08b3a2f5da055b7afc3d6facb656','2dcc2c4bc4d1a7a46213a89e33202b6e1d4741b7b9e9a81e745be0985376ca08');
INSERT INTO "event" VALUES(6,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":["sulphites"],"colour":"#c9d94f","cost_per_l":5.8,"density_at_c":20.0,"density_g_per_ml":1.028,"density_origin":"entered","density_uncertainty_g_per_ml":0.006,"id":"limelight","name":"Limelight","note":"","serving_c":8.0,"sugar_g_per_l":20.0}','2dcc2c4bc4d1a7a46213a89e33202b6e1d4741b7b9e9a81e745be0985376ca08','ea4ecf244272aefc31e7370ffcdeaad8a71976d05bfb945340739d2eeb7850bf');
INSERT INTO "event" VALUES(7,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":40.0,"active":true,"allergens":[],"colour":null,"cost_per_l":21.0,"density_at_c":20.0,"density_g_per_ml":0.948045,"density_origin":"strength","density_uncertainty_g_per_ml":0.00048,"id":"footlight-spirit","name":"Footlight Spirit","note":"","serving_c":20.0,"sugar_g_per_l":0.0}','ea4ecf244272aefc31e7370ffcdeaad8a71976d05bfb945340739d2eeb7850bf','de7d10e52f94268b1501dcdfaed8ed4e9da90d8638667796d3e4c55227de0199');
INSERT INTO "event" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":24.0,"active":true,"allergens":null,"colour":"#a8324a","cost_per_l":17.5,"density_at_c":20.0,"density_g_per_ml":1.068783,"density_origin":"strength and sugar","density_uncertainty_g_per_ml":0.006746,"id":"curtain-liqueur","name":"Curtain Liqueur","note":"allergens not checked yet","serving_c":20.0,"sugar_g_per_l":260.0}','de7d10e52f94268b1501dcdfaed8ed4e9da90d8638667796d3e4c55227de0199','f156339b5bf59a5d9a8fcf61abc8a6c66b52622bda6661fa3badc121948d8206');
INSERT INTO "event" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":15.0,"active":true,"allergens":["sulphites"],"colour":"#5b2f57","cost_per_l":11.0,"density_at_c":18.0,"density_g_per_ml":1.02,"density_origin":"weighed","density_uncertainty_g_per_ml":0.020422,"id":"overture","name":"Overture","note":"","serving_c":10.0,"sugar_g_per_l":140.0}','f156339b5bf59a5d9a8fcf61abc8a6c66b52622bda6661fa3badc121948d8206','baadd7570dfb7093590d71846fd2021b5ec05209cf28217402a9dd3c3921b7c0');
INSERT INTO "event" VALUES(10,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"base_mm":60.0,"brim_ml":320.0,"headroom_ml":40.0,"heaviest_g":262.0,"height_mm":91.0,"id":"foyer-tumbler","lightest_g":231.0,"name":"Foyer tumbler","rim_mm":74.0}','baadd7570dfb7093590d71846fd2021b5ec05209cf28217402a9dd3c3921b7c0','285fe0ff8925a26b9741c77eb7d9cd547115e6b3ce4978d696f7fad16bab435b');
INSERT INTO "event" VALUES(11,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"base_mm":66.0,"brim_ml":210.0,"headroom_ml":30.0,"heaviest_g":199.0,"height_mm":53.0,"id":"short-glass","lightest_g":176.0,"name":"Short glass","rim_mm":76.0}','285fe0ff8925a26b9741c77eb7d9cd547115e6b3ce4978d696f7fad16bab435b','b5b20b72e93846dc573f279999710bd9d34ea138c3ab6c0e3f3129f94b60cc21');
INSERT INTO "event" VALUES(12,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"green-room-cooler","keep_order":false,"name":"Green Room Cooler","note":"","price":2.5,"steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}],"volume_ml":null}','b5b20b72e93846dc573f279999710bd9d34ea138c3ab6c0e3f3129f94b60cc21','bfdc73c4ba99aa184bc3708969c6df8280fb348cb5e30e22a8e55c440905eba4');
INSERT INTO "event" VALUES(13,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"half-hour-call","keep_order":false,"name":"Half-hour Call","note":"","price":3.2,"steps":[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}],"volume_ml":140.0}','bfdc73c4ba99aa184bc3708969c6df8280fb348cb5e30e22a8e55c440905eba4','77f522a11b39d7ceb685234d2e4a784c0b26df0a4375ac54b8dc62eede426c0c');
INSERT INTO "event" VALUES(14,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"matinee-fizz","keep_order":false,"name":"Matin\u00e9e Fizz","note":"the soda fills what is left of the glass","price":3.8,"steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}],"volume_ml":null}','77f522a11b39d7ceb685234d2e4a784c0b26df0a4375ac54b8dc62eede426c0c','08b744ea51e7d1af71689bd35d495c6c1fe20de72cf873cdcdac5c7b6cc7429e');
INSERT INTO "event" VALUES(15,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"second-bell","keep_order":false,"name":"Second Bell","note":"","price":6.5,"steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}],"volume_ml":null}','08b744ea51e7d1af71689bd35d495c6c1fe20de72cf873cdcdac5c7b6cc7429e','3f3850f8c524397f992e85954ef735dcaa81270b30e703618aba7f950bb896f9');
INSERT INTO "event" VALUES(16,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"curtain-up","keep_order":true,"name":"Curtain Up","note":"","price":7.0,"steps":[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}],"volume_ml":100.0}','3f3850f8c524397f992e85954ef735dcaa81270b30e703618aba7f950bb896f9','4e4d430662c53a3e6c8c5c8e8624bb01c2483efd3346f2b932a443fba9f56a9e');
INSERT INTO "event" VALUES(17,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"long-overture","keep_order":false,"name":"Long Overture","note":"","price":6.8,"steps":[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}],"volume_ml":180.0}','4e4d430662c53a3e6c8c5c8e8624bb01c2483efd3346f2b932a443fba9f56a9e','026fca08ec6e0c6abd7e24c922b0fee9ef6908711cb8fd15ef1604da80e0a3e2');
INSERT INTO "event" VALUES(18,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"house-water","name":"far left","number":1}','026fca08ec6e0c6abd7e24c922b0fee9ef6908711cb8fd15ef1604da80e0a3e2','e094ad86accbd03f4fde342ace67b284c18c78a6bbde29c00bcfee8db2757be8');
INSERT INTO "event" VALUES(19,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"footlight-spirit","name":"second from left","number":2}','e094ad86accbd03f4fde342ace67b284c18c78a6bbde29c00bcfee8db2757be8','482ff3b3a6deb16dd503f00b742ba238f0a1e1499de47003af542ac2465fc236');
INSERT INTO "event" VALUES(20,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"dress-circle-syrup","name":"third from left","number":3}','482ff3b3a6deb16dd503f00b742ba238f0a1e1499de47003af542ac2465fc236','30e3def68907bf9c334fcebbdf41e9d834299ae23ffd59ae135eea1e2e36005f');
INSERT INTO "event" VALUES(21,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"prompters-cordial","name":"left of the till","number":4}','30e3def68907bf9c334fcebbdf41e9d834299ae23ffd59ae135eea1e2e36005f','a94c2ff17c01a6089c6728bd8f89ad050e078b29642c9c086048dca62e5e7a7a');
INSERT INTO "event" VALUES(22,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"gallery-juice","name":"right of the till","number":5}','a94c2ff17c01a6089c6728bd8f89ad050e078b29642c9c086048dca62e5e7a7a','63f6a82135b9014712e3e2a345a9ec4403d165c80bff8fbdf5b0a376083937ae');
INSERT INTO "event" VALUES(23,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"limelight","name":"third from right","number":6}','63f6a82135b9014712e3e2a345a9ec4403d165c80bff8fbdf5b0a376083937ae','40f6a3479ac430e01574cfff9b3610b1b2e59bddb1b73ca43bf41ddc653d7c64');
INSERT INTO "event" VALUES(24,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"curtain-liqueur","name":"second from right","number":7}','40f6a3479ac430e01574cfff9b3610b1b2e59bddb1b73ca43bf41ddc653d7c64','30a78effd7ecb6ab4b5baee283d44ff7e50ce72f074333367a8900d029efe192');
INSERT INTO "event" VALUES(25,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"overture","name":"far right","number":8}','30a78effd7ecb6ab4b5baee283d44ff7e50ce72f074333367a8900d029efe192','7b5527f44d93e5a875f063291b1e952b9582ab96947a672a84732f3fca550ece');
INSERT INTO "event" VALUES(26,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":4993.0,"id":"water-1","liquid_id":"house-water","low_g":500.0,"opened_at":null,"tare_g":null}','7b5527f44d93e5a875f063291b1e952b9582ab96947a672a84732f3fca550ece','87ed0efbb615ef819f468541776c31c1ceb63dc06040ee1b91b03702f4712279');
INSERT INTO "event" VALUES(27,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"water-1","change_g":4993.0,"kind":"opening","movement_id":1,"seal":"ceb61817907f8209dd07a4b5e418be3f8e64cc49fbebc638563f329d36a7e6b2"}','87ed0efbb615ef819f468541776c31c1ceb63dc06040ee1b91b03702f4712279','7bda50e3426c7b922732b971d740df955ace7e89a46d81b34599d55ddd016871');
INSERT INTO "event" VALUES(28,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":1,"id":"water-1","liquid_id":"house-water"}','7bda50e3426c7b922732b971d740df955ace7e89a46d81b34599d55ddd016871','edb0e8567a482df20dec385a5441c6334fcbfe7b3660178f333d91f0ea56629d');
INSERT INTO "event" VALUES(29,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-1","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":"2031-03-14T18:05:00.000000Z","tare_g":486.0}','edb0e8567a482df20dec385a5441c6334fcbfe7b3660178f333d91f0ea56629d','c214deaaa3554f642723b28ab95a4ffbc203cd948e684256fc1f32d6da94e68d');
INSERT INTO "event" VALUES(30,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-1","change_g":663.6,"kind":"opening","movement_id":2,"seal":"c328aeaa1994ebbe567e4aac771d1dc82642e4acdb68aa2bda4dcfe4356cca43"}','c214deaaa3554f642723b28ab95a4ffbc203cd948e684256fc1f32d6da94e68d','0bb3ffe371e6967af958559014e333990ec9fa847407296571d95e382c604375');
INSERT INTO "event" VALUES(31,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":2,"id":"footlight-1","liquid_id":"footlight-spirit"}','0bb3ffe371e6967af958559014e333990ec9fa847407296571d95e382c604375','699f8737bc958a632570e080f0b2304d288b6f81252544c5c42f902d72090ece');
INSERT INTO "event" VALUES(32,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-2","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":null,"tare_g":486.0}','699f8737bc958a632570e080f0b2304d288b6f81252544c5c42f902d72090ece','a0c9e12681eaf358eddd95326609a1bb4ca167f683ffbf0232272f8fc2bb1277');
INSERT INTO "event" VALUES(33,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-2","change_g":663.6,"kind":"opening","movement_id":3,"seal":"3cdf47588a7c8fe6a8047768220341ed583b3e6f1042ad77279764f8c4a88edf"}','a0c9e12681eaf358eddd95326609a1bb4ca167f683ffbf0232272f8fc2bb1277','929400f8b614c49d4cb5d586e1376ff7f7ce8ee5571353bee9622284c5240053');
INSERT INTO "event" VALUES(34,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":921.6,"id":"circle-1","liquid_id":"dress-circle-syrup","low_g":92.2,"opened_at":null,"tare_g":455.0}','929400f8b614c49d4cb5d586e1376ff7f7ce8ee5571353bee9622284c5240053','671d9ad117fdc58e85733c984a77a05cd6a87fad8f9591ae10c62353b77f6957');
INSERT INTO "event" VALUES(35,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"circle-1","change_g":921.6,"kind":"opening","movement_id":4,"seal":"b1bc500e7f677a280b1f522e7aba05192856ffddaeaf0bd4f4acf34c748e2a01"}','671d9ad117fdc58e85733c984a77a05cd6a87fad8f9591ae10c62353b77f6957','61d70ca11ef8c641c313dacd2f1f12c3f6594bdddac29bcda2610db8427b8ef0');
INSERT INTO "event" VALUES(36,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":3,"id":"circle-1","liquid_id":"dress-circle-syrup"}','61d70ca11ef8c641c313dacd2f1f12c3f6594bdddac29bcda2610db8427b8ef0','8af4ecdbf026825a25387b9b3ac5f75062cfba6e66ebccf6d6b91e550da2940c');
INSERT INTO "event" VALUES(37,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1127.0,"id":"cordial-1","liquid_id":"prompters-cordial","low_g":112.7,"opened_at":null,"tare_g":74.0}','8af4ecdbf026825a25387b9b3ac5f75062cfba6e66ebccf6d6b91e550da2940c','dd932211394166367a056544df4abc8b6d49d1fe2584ca2a1e8e639d20d20276');
INSERT INTO "event" VALUES(38,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"cordial-1","change_g":1127.0,"kind":"opening","movement_id":5,"seal":"4c49fe4b559c48f72ce4c4010369b067fa8b8c9563dede03a48b1486cbf916cf"}','dd932211394166367a056544df4abc8b6d49d1fe2584ca2a1e8e639d20d20276','d27658ee9e4b0b0c2d628be13114dac53cf1f19e4f76f35905e564ce1ee51d44');
INSERT INTO "event" VALUES(39,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":4,"id":"cordial-1","liquid_id":"prompters-cordial"}','d27658ee9e4b0b0c2d628be13114dac53cf1f19e4f76f35905e564ce1ee51d44','4e5df9449fcb57f5273d55f6293631fb7ffd81614d007c5398c45aecab1e7cf4');
INSERT INTO "event" VALUES(40,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1044.3,"id":"gallery-1","liquid_id":"gallery-juice","low_g":104.4,"opened_at":"2031-03-14T18:10:00.000000Z","tare_g":38.0}','4e5df9449fcb57f5273d55f6293631fb7ffd81614d007c5398c45aecab1e7cf4','53fdb37b513e2934ce1655eebe9ef2549f2691ff7059dcc1e08d51557e711484');
INSERT INTO "event" VALUES(41,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"gallery-1","change_g":640.0,"kind":"opening","movement_id":6,"seal":"ab1194ee53aaaae57835c70a9534c4acf77889695b564140a77762404ff7f025"}','53fdb37b513e2934ce1655eebe9ef2549f2691ff7059dcc1e08d51557e711484','f9db009fea714da77e4a90710077ce81fdee5c4fc8f5ab98272b06c029d958b7');
INSERT INTO "event" VALUES(42,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":5,"id":"gallery-1","liquid_id":"gallery-juice"}','f9db009fea714da77e4a90710077ce81fdee5c4fc8f5ab98272b06c029d958b7','c058a2620eb0ede6b9a0a01bb398163d8788fc98118fcee35aa5e561213a53cd');
INSERT INTO "event" VALUES(43,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":514.9,"id":"limelight-1","liquid_id":"limelight","low_g":51.5,"opened_at":null,"tare_g":301.0}','c058a2620eb0ede6b9a0a01bb398163d8788fc98118fcee35aa5e561213a53cd','5cc382a2ce759152ea0b2b8a7163e0b934c863bb431fdec55e61ec97fe04783c');
INSERT INTO "event" VALUES(44,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"limelight-1","change_g":514.9,"kind":"opening","movement_id":7,"seal":"f01e918260d3e83051be1dfd7d813344b939463b6e84221a86b6e026b2a53f54"}','5cc382a2ce759152ea0b2b8a7163e0b934c863bb431fdec55e61ec97fe04783c','06f0db34865d3cbfae5a32f3f3dc201df03ee3c5770f0c7d419ef2a7d3af5893');
INSERT INTO "event" VALUES(45,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":6,"id":"limelight-1","liquid_id":"limelight"}','06f0db34865d3cbfae5a32f3f3dc201df03ee3c5770f0c7d419ef2a7d3af5893','68c7f07f5b0946ccace507f49cfdecfc6397420402dcbe25d76539e3bb497176');
INSERT INTO "event" VALUES(46,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":748.1,"id":"curtain-1","liquid_id":"curtain-liqueur","low_g":74.8,"opened_at":null,"tare_g":497.0}','68c7f07f5b0946ccace507f49cfdecfc6397420402dcbe25d76539e3bb497176','da4138e52ed1ae88395c757fbbe24162da0be03de84b54dadc7d8fe1fb742036');
INSERT INTO "event" VALUES(47,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"curtain-1","change_g":748.1,"kind":"opening","movement_id":8,"seal":"5bda388ca8a8c376a391cbf752e5334554662738285785dbeefafba3bf7887e4"}','da4138e52ed1ae88395c757fbbe24162da0be03de84b54dadc7d8fe1fb742036','cb81609621f059a6fe87e5f9a7f281a817bbcc43eed284978fa29d5b645b73da');
INSERT INTO "event" VALUES(48,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":7,"id":"curtain-1","liquid_id":"curtain-liqueur"}','cb81609621f059a6fe87e5f9a7f281a817bbcc43eed284978fa29d5b645b73da','6b92d021b25f41ad9acf5c6f73eed3948e906db706e0c0526f31ee70cab2f354');
INSERT INTO "event" VALUES(49,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":765.0,"id":"overture-1","liquid_id":"overture","low_g":76.5,"opened_at":null,"tare_g":458.0}','6b92d021b25f41ad9acf5c6f73eed3948e906db706e0c0526f31ee70cab2f354','56253e9e39770ac18b1883e68868568b15afe567a64a4a722ad37deb453802c9');
INSERT INTO "event" VALUES(50,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"overture-1","change_g":765.0,"kind":"opening","movement_id":9,"seal":"aa347deeab556f089e27e34889668082e852d92f9db906101e641d1a4aae8854"}','56253e9e39770ac18b1883e68868568b15afe567a64a4a722ad37deb453802c9','463c5bdfe947dfd10f3b59636dbf91745c8c165218112854fc835c962c57463a');
INSERT INTO "event" VALUES(51,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":8,"id":"overture-1","liquid_id":"overture"}','463c5bdfe947dfd10f3b59636dbf91745c8c165218112854fc835c962c57463a','b83c9e66c971dcfaa980943918a14b661e8d08a69d4a3c9e032404dd2b0443e8');
INSERT INTO "event" VALUES(52,'foyer-bar','2026-11-25T19:30:00.000000Z','calibrated',NULL,'{"calibration_id":1,"counts_per_g":1998.25,"how":"two_point","seal":"8973ae2eec4e9fab10ff0b6bd521cbfd8640aa11d381066ff7fa2bc8465a9723","zero_counts":-84213.4}','b83c9e66c971dcfaa980943918a14b661e8d08a69d4a3c9e032404dd2b0443e8','5909d5a8fef2e20896314f50291e8f6cb3af3d7126453a9587ff02a40bd98fc8');
INSERT INTO "event" VALUES(53,'foyer-bar','2026-11-25T19:30:00.000000Z','service_opened',NULL,'{"guests_may_order":true,"service_id":"01a2142f-b2c0-7074-a21d-ba1d9e4f1360","title":"The Paper Lantern, second night"}','5909d5a8fef2e20896314f50291e8f6cb3af3d7126453a9587ff02a40bd98fc8','8a71ef1478219bb2cefa14ed8533e780611462e33247dbf3198b06fe31eb4568');
INSERT INTO "event" VALUES(54,'foyer-bar','2026-11-25T19:30:00.000000Z','guest_link_made',NULL,'{"guests_may_order":true,"has_link":true,"service_id":"01a2142f-b2c0-7074-a21d-ba1d9e4f1360","title":"The Paper Lantern, second night"}','8a71ef1478219bb2cefa14ed8533e780611462e33247dbf3198b06fe31eb4568','2bb31485de3daf801b47235526ad46eb6719e2ba11b1d1431f4808caf5b99569');
INSERT INTO "event" VALUES(55,'foyer-bar','2026-11-25T19:30:00.000000Z','order_placed',NULL,'{"guest":"seat 14","name":"Green Room Cooler","number":1,"order_id":"01a2142f-b2c0-7075-be5c-8ab38a4557bf","origin":"guest","recipe_id":"green-room-cooler","seal":"9078609776c059f4d0cfa119bac0e6bbf206b8b2f0cd649c8f555326ab235e8c","service_id":"01a2142f-b2c0-7074-a21d-ba1d9e4f1360"}','2bb31485de3daf801b47235526ad46eb6719e2ba11b1d1431f4808caf5b99569','aefa4adc19a2484da14d45e64115d49d4e70970405b969f9b3035c25f324c9f3');
INSERT INTO "event" VALUES(56,'foyer-bar','2026-11-25T19:30:00.000000Z','order_state',NULL,'{"glass_index":null,"number":1,"order_id":"01a2142f-b2c0-7075-be5c-8ab38a4557bf","place":1,"reason":null,"round_id":null,"seal":"982dade4ef88fdaa84b52db3712f4394e4d6910e626d59d4b3097d2b65638ba2","state":"waiting","state_id":1}','aefa4adc19a2484da14d45e64115d49d4e70970405b969f9b3035c25f324c9f3','1e2b14ae3a38940cfd79427ee4c196c4057fb2dbe90cc07ae9e777d67c102afc');
INSERT INTO "event" VALUES(57,'foyer-bar','2026-11-25T19:30:00.000000Z','round_begun',NULL,'{"glasses":[{"guest":"seat 14","name":"Green Room Cooler","order":1,"recipe_id":"green-room-cooler"},{"guest":null,"name":"Second Bell","recipe_id":"second-bell"}],"origin":"api","round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"696d4eca7f610a0b0fc69470e153f11eb767e6302cc1c4990ea59341b2c42faf"}','1e2b14ae3a38940cfd79427ee4c196c4057fb2dbe90cc07ae9e777d67c102afc','2f52510f923a130295a1231c9940fb84269ffd0042af8d41fbeff1f60999ba8c');
INSERT INTO "event" VALUES(58,'foyer-bar','2026-11-25T19:30:00.000000Z','order_state',NULL,'{"glass_index":0,"number":1,"order_id":"01a2142f-b2c0-7075-be5c-8ab38a4557bf","place":1,"reason":null,"round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"efa3a56dada295c070d47e35f7bb24a1bea7c808a6896f33f54b21e015f6556b","state":"in_round","state_id":2}','2f52510f923a130295a1231c9940fb84269ffd0042af8d41fbeff1f60999ba8c','ea6a31229eb924a1a3d9fc388bac57b96106f6e997a222940df77b39fb833b18');
INSERT INTO "event" VALUES(59,'foyer-bar','2026-11-25T19:30:00.000000Z','guest_released',NULL,'{"glass_index":0,"guest":"seat 14","reason":"shares it with seat 15","release_id":1,"released_by":"the host","round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"0d08b2a80c8daeb0c2ed71d57f6ec8b4606bc5d3f88593f7f625ed7db938ccb9"}','ea6a31229eb924a1a3d9fc388bac57b96106f6e997a222940df77b39fb833b18','02be11a0ba89e3d885cb0e429579e74026fbb6f4c3b45f45ba3f5da24fc5e451');
INSERT INTO "event" VALUES(60,'foyer-bar','2026-11-25T19:30:00.000000Z','pour_begun','01a2142f-b2c0-708f-9177-0f09d4cee928','{"doses":[{"abv_percent":0.0,"channel":4,"density_g_per_ml":1.127032,"liquid_id":"prompters-cordial","liquid_name":"Prompter''s Cordial","target_g":49.90690797786987},{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":176.8785223213658}],"origin":"api","purpose":"drink","recipe":{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-7076-950e-605cdc119cbf/0/0/1"},"seal":"2839c354c95325c93280307c970da9d19966ff1e980683bc79b37915c40dbe67"}','02be11a0ba89e3d885cb0e429579e74026fbb6f4c3b45f45ba3f5da24fc5e451','cb3b37a0da88239a0f749a33dd462f8a5d0642f1b5d6f13c5dc5be04f558a529');
INSERT INTO "event" VALUES(61,'foyer-bar','2026-11-25T19:30:00.000000Z','order_state',NULL,'{"glass_index":0,"number":1,"order_id":"01a2142f-b2c0-7075-be5c-8ab38a4557bf","place":1,"reason":null,"round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"e13c87f6f4c1141d66cbfbe143778b23dbc03b70e52ea31925df420c1a696fba","state":"pouring","state_id":3}','cb3b37a0da88239a0f749a33dd462f8a5d0642f1b5d6f13c5dc5be04f558a529','aea66834076be680133e3649c5fbbacf90357ddca8c038ae6d2077493191b73f');
INSERT INTO "event" VALUES(62,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a2142f-b2c0-708f-9177-0f09d4cee928','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":49.90690797786987,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":0.085,"verdict":"within"},{"began_s":101.0,"cause":"target","cut_off_s":105.5,"delivered_g":176.8785223213658,"ended_s":107.25,"index":1,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":0.085,"verdict":"within"}],"drawn":[{"bottle_id":"cordial-1","change_g":-49.906908,"dose_index":0,"kind":"pour"},{"bottle_id":"water-1","change_g":-176.878522,"dose_index":1,"kind":"pour"}],"glass_g":246.0,"seal":"6015d0c233e31ce559e9b33e153da90bd4dd6fdfd1aae7b08a0776d890114708","state":"complete","uncertainty_g":0.09}','aea66834076be680133e3649c5fbbacf90357ddca8c038ae6d2077493191b73f','9326cb69a1acf7b45fc6e9e2b1ccc0b0275da0095335df445cced08c5547b167');
INSERT INTO "event" VALUES(63,'foyer-bar','2026-11-25T19:30:30.000000Z','late_drips','01a2142f-b2c0-708f-9177-0f09d4cee928','{"dose_index":1,"dose_uncertainty_g":0.055,"dripped_g":0.125,"seal":"3bcd049c7bd8beb0071ca482ec96197a2588ba6d035ce8be3dc415eb5e5f0823","uncertainty_g":0.06}','9326cb69a1acf7b45fc6e9e2b1ccc0b0275da0095335df445cced08c5547b167','fb497da5e8af9d6c222a44466e841fe4030b433ddf6e4012c28dfbe6f5b46886');
INSERT INTO "event" VALUES(64,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.059332660628655276,"ethanol_g":0.0,"mass_g":226.78543029923568,"sugar_g":14.972082689569561,"volume_ml":221.4196182056018},"ending":"complete","glass":0,"outcome_id":1,"pour_ids":["01a2142f-b2c0-708f-9177-0f09d4cee928"],"round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"dd7bd9cd0b7ce28c807420b75bcdc0616740d77603e419aee9aaad52f0cf92cf"}','fb497da5e8af9d6c222a44466e841fe4030b433ddf6e4012c28dfbe6f5b46886','d8a1f9d4b40f8a3fa7ffa5f5c865b5fa85028997df9641e30b3b33fed90f4f5f');
INSERT INTO "event" VALUES(65,'foyer-bar','2026-11-25T19:30:30.000000Z','order_state',NULL,'{"glass_index":0,"number":1,"order_id":"01a2142f-b2c0-7075-be5c-8ab38a4557bf","place":1,"reason":null,"round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"f8512d6b247dbe8f61a0286682dbff9cfb33913493f897ef26c79040bb8b1f18","state":"ready","state_id":4}','d8a1f9d4b40f8a3fa7ffa5f5c865b5fa85028997df9641e30b3b33fed90f4f5f','fb4d67895ece7be83c79d822274b3ed002208a8905e1c14efc600bd3ad4be2ff');
INSERT INTO "event" VALUES(66,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.0,"ethanol_g":0.0,"mass_g":0.0,"sugar_g":0.0,"volume_ml":0.0},"ending":"skipped","glass":1,"outcome_id":2,"pour_ids":[],"round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"8584caf52ce9943c7378c83679895c6e84acfaf90c292e7645c4dcf08e839a6b"}','fb4d67895ece7be83c79d822274b3ed002208a8905e1c14efc600bd3ad4be2ff','f4924c3bd4bbdfb3a8686b100ad4f888df8b3e0e27588dbf3d77b3fc36e6141b');
INSERT INTO "event" VALUES(67,'foyer-bar','2026-11-25T19:30:30.000000Z','round_ended',NULL,'{"round_id":"01a2142f-b2c0-7076-950e-605cdc119cbf","seal":"3e8af68d227ef83286525e45f15098bcb6a121a1d3d453d7004a17146428db2d","state":"complete"}','f4924c3bd4bbdfb3a8686b100ad4f888df8b3e0e27588dbf3d77b3fc36e6141b','72e21010bee6a317bd7df37e6bb53a8911fbce36b4f007135105fe8c7a6770b8');
INSERT INTO "event" VALUES(68,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_begun','01a21430-27f0-70e5-bf4b-3ada85953a99','{"doses":[{"abv_percent":40.0,"channel":2,"density_g_per_ml":0.948045,"liquid_id":"footlight-spirit","liquid_name":"Footlight Spirit","target_g":15.0}],"origin":"api","purpose":"prime","recipe":null,"seal":"77312b3d6665a06eae9182774cf978da266ce810bc5903930f8631e9e672a3f5"}','72e21010bee6a317bd7df37e6bb53a8911fbce36b4f007135105fe8c7a6770b8','36f78911a6455eb8ad5a79510ddee274fe1d66f0c85dc6dc6af9b0b4f3b7bc9a');
INSERT INTO "event" VALUES(69,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a21430-27f0-70e5-bf4b-3ada85953a99','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":12.5,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":null,"verdict":"within"}],"drawn":[{"bottle_id":"footlight-1","change_g":-12.5,"dose_index":0,"kind":"prime"}],"glass_g":null,"seal":"865821139452a969eefb17e89d8e1cb3add0b5f190878bc680278ceb6b382b54","state":"complete","uncertainty_g":null}','36f78911a6455eb8ad5a79510ddee274fe1d66f0c85dc6dc6af9b0b4f3b7bc9a','7c34e8cb81268ffe9ba2b576fb67bdb338f1f237b1b15bbff433f70d32b38ac9');
INSERT INTO "event" VALUES(70,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_begun','01a21431-1250-70cf-b3fd-c79151f25d2c','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"b41e33e1ab00fb65c344317f15e838b0a53b67d1e19e934c3cf81f021468d82f"}','7c34e8cb81268ffe9ba2b576fb67bdb338f1f237b1b15bbff433f70d32b38ac9','fde96800126f082e41c7fe15fb2bfb3f9aa198446bc11018b95815f8ee814c22');
INSERT INTO "event" VALUES(71,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_ended','01a21431-1250-70cf-b3fd-c79151f25d2c','{"cause":"link_lost","delivered_g":26.25,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":26.25,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":null,"verdict":null}],"drawn":[{"bottle_id":"water-1","change_g":-26.25,"dose_index":0,"kind":"pour"}],"glass_g":251.3,"seal":"7252144367b54e6da507a6a588d9e54d4ed760cef243ca69c96e1a38330615fa","state":"aborted","uncertainty_g":null}','fde96800126f082e41c7fe15fb2bfb3f9aa198446bc11018b95815f8ee814c22','79c6e99f273e79bc668907191d3955ebf549df7fcb4fe909496d37bab7e905dd');
INSERT INTO "event" VALUES(72,'foyer-bar','2026-11-25T19:31:30.000000Z','found_later','01a21431-1250-70cf-b3fd-c79151f25d2c','{"certainty":"weighed","dose_index":0,"drawn":[{"bottle_id":"water-1","change_g":-2.75,"dose_index":0,"kind":"found"}],"found_g":2.75,"reason":null,"seal":"69122d6a9b28b2a55446bc81d31522b254eaf730edac3c588dbe0417d70ca5ab"}','79c6e99f273e79bc668907191d3955ebf549df7fcb4fe909496d37bab7e905dd','cd34763aff513a574d7024d99125f1df02bd3baa285c450fd3d5202d1c5cb4a0');
INSERT INTO "event" VALUES(73,'foyer-bar','2026-11-25T19:32:30.000000Z','pour_begun','01a21431-fcb0-700f-8067-0fa111336e1b','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"a163f8bab8e95ce3705054275fb0b6eb81d11eb0e6c6a4238f05ea87d9dd3bce"}','cd34763aff513a574d7024d99125f1df02bd3baa285c450fd3d5202d1c5cb4a0','2784956ad48dbb05bc24d101a4d3fe8d023a1e396ba70b6be05d655d532349a3');
INSERT INTO "event" VALUES(74,'foyer-bar','2026-11-25T19:32:30.000000Z','recording_added','01a21431-fcb0-700f-8067-0fa111336e1b','{"cause":"link_lost","id":"01a21431-fcb0-70a1-80bc-1bf51b50b975"}','2784956ad48dbb05bc24d101a4d3fe8d023a1e396ba70b6be05d655d532349a3','cffccf1260ee26645975b361512da1d35ff2533e017f376b87ce0cf69c078f26');
CREATE TABLE found_later (
	pour_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	certainty TEXT NOT NULL, 
	found_g DOUBLE, 
	dose_index INTEGER, 
	reason TEXT, 
	CONSTRAINT pk_found_later PRIMARY KEY (pour_id), 
	CONSTRAINT ck_found_later_certainty CHECK (certainty IN ('weighed', 'doubtful', 'unknown')), 
	CONSTRAINT ck_found_later_mass_unless_unknown CHECK ((certainty = 'unknown') = (found_g IS NULL)), 
	CONSTRAINT ck_found_later_reason_unless_weighed CHECK ((certainty = 'weighed') = (reason IS NULL)), 
	CONSTRAINT fk_found_later_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index), 
	CONSTRAINT fk_found_later_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "found_later" VALUES('01a21431-1250-70cf-b3fd-c79151f25d2c','foyer-bar','2026-11-25T19:31:30.000000Z','weighed',2.75,0,NULL);
CREATE TABLE glass (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	brim_ml DOUBLE NOT NULL, 
	headroom_ml DOUBLE NOT NULL, 
	lightest_g DOUBLE, 
	heaviest_g DOUBLE, 
	active BOOLEAN NOT NULL, rim_mm DOUBLE, base_mm DOUBLE, height_mm DOUBLE, 
	CONSTRAINT pk_glass PRIMARY KEY (id), 
	CONSTRAINT ck_glass_brim CHECK (brim_ml > 0), 
	CONSTRAINT ck_glass_headroom CHECK (headroom_ml >= 0 AND headroom_ml < brim_ml), 
	CONSTRAINT ck_glass_mass_range CHECK (lightest_g <= heaviest_g), 
	CONSTRAINT ck_glass_both_masses CHECK ((lightest_g IS NULL) = (heaviest_g IS NULL))
);
INSERT INTO "glass" VALUES('foyer-tumbler','foyer-bar','Foyer tumbler',320.0,40.0,231.0,262.0,1,74.0,60.0,91.0);
INSERT INTO "glass" VALUES('short-glass','foyer-bar','Short glass',210.0,30.0,176.0,199.0,1,76.0,66.0,53.0);
CREATE TABLE guest_release (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	guest TEXT NOT NULL, 
	round_id TEXT NOT NULL, 
	glass_index INTEGER NOT NULL, 
	released_by TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	CONSTRAINT pk_guest_release PRIMARY KEY (id), 
	CONSTRAINT fk_guest_release_round_id_glass_index_round_glass FOREIGN KEY(round_id, glass_index) REFERENCES round_glass (round_id, glass_index)
);
INSERT INTO "guest_release" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','seat 14','01a2142f-b2c0-7076-950e-605cdc119cbf',0,'the host','shares it with seat 15');
CREATE TABLE inflight (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	channel INTEGER NOT NULL, 
	liquid_id TEXT NOT NULL, 
	lag_s DOUBLE NOT NULL, 
	spread_s DOUBLE NOT NULL, 
	flow_g_per_s DOUBLE NOT NULL, 
	count INTEGER NOT NULL, 
	pour_id TEXT, speeds TEXT, flow_share DOUBLE, runs TEXT, settling TEXT, 
	CONSTRAINT pk_inflight PRIMARY KEY (id), 
	CONSTRAINT fk_inflight_liquid_id_liquid FOREIGN KEY(liquid_id) REFERENCES liquid (id), 
	CONSTRAINT fk_inflight_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "inflight" VALUES(1,'foyer-bar','2026-11-25T19:30:30.000000Z',1,'house-water',0.3,0.02,8.25,1,'01a2142f-b2c0-708f-9177-0f09d4cee928','{"100":0.39}',0.03,'[]','[{"after_s":0.45,"count":1,"lack_s":-0.02,"spread_s":0.01}]');
CREATE TABLE late_drips (
	pour_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	dose_index INTEGER NOT NULL, 
	dripped_g DOUBLE NOT NULL, 
	dose_uncertainty_g DOUBLE NOT NULL, 
	uncertainty_g DOUBLE NOT NULL, 
	CONSTRAINT pk_late_drips PRIMARY KEY (pour_id), 
	CONSTRAINT fk_late_drips_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index), 
	CONSTRAINT fk_late_drips_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "late_drips" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928','foyer-bar','2026-11-25T19:30:30.000000Z',1,0.125,0.055,0.06);
CREATE TABLE liquid (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	density_g_per_ml DOUBLE NOT NULL, 
	density_uncertainty_g_per_ml DOUBLE NOT NULL, 
	density_origin TEXT NOT NULL, 
	density_at_c DOUBLE NOT NULL, 
	abv_percent DOUBLE, 
	sugar_g_per_l DOUBLE, 
	allergens TEXT, 
	cost_per_l DOUBLE, 
	serving_c DOUBLE NOT NULL, 
	note TEXT NOT NULL, 
	active BOOLEAN NOT NULL, colour TEXT, 
	CONSTRAINT pk_liquid PRIMARY KEY (id), 
	CONSTRAINT ck_liquid_density CHECK (density_g_per_ml BETWEEN 0.7 AND 1.6), 
	CONSTRAINT ck_liquid_density_uncertainty CHECK (density_uncertainty_g_per_ml >= 0), 
	CONSTRAINT ck_liquid_density_origin CHECK (density_origin IN ('water', 'strength', 'brix', 'strength and sugar', 'entered', 'weighed')), 
	CONSTRAINT ck_liquid_abv CHECK (abv_percent BETWEEN 0 AND 100), 
	CONSTRAINT ck_liquid_sugar CHECK (sugar_g_per_l >= 0), 
	CONSTRAINT ck_liquid_cost CHECK (cost_per_l >= 0)
);
INSERT INTO "liquid" VALUES('house-water','foyer-bar','House Water',0.998207,1.0e-05,'water',20.0,0.0,0.0,'[]',0.1,18.0,'',1,'#bcd8e0');
INSERT INTO "liquid" VALUES('foyer-soda','foyer-bar','Foyer Soda',0.998207,1.0e-05,'water',20.0,0.0,0.0,'[]',0.6,6.0,'never through a pump: it foams; topped up by hand',1,'#d5e4e6');
INSERT INTO "liquid" VALUES('prompters-cordial','foyer-bar','Prompter''s Cordial',1.127032,0.002425,'brix',20.0,0.0,338.11,'[]',4.2,20.0,'',1,'#6f9e3f');
INSERT INTO "liquid" VALUES('dress-circle-syrup','foyer-bar','Dress Circle Syrup',1.316555,0.003084,'brix',20.0,0.0,855.76,'["nuts"]',7.5,20.0,'hazelnut',1,'#7a4a26');
INSERT INTO "liquid" VALUES('gallery-juice','foyer-bar','Gallery Juice',1.042,0.007221,'weighed',20.0,0.0,98.0,'[]',2.4,8.0,'',1,'#e08a2e');
INSERT INTO "liquid" VALUES('limelight','foyer-bar','Limelight',1.028,0.006,'entered',20.0,0.0,20.0,'["sulphites"]',5.8,8.0,'',1,'#c9d94f');
INSERT INTO "liquid" VALUES('footlight-spirit','foyer-bar','Footlight Spirit',0.948045,0.00048,'strength',20.0,40.0,0.0,'[]',21.0,20.0,'',1,NULL);
INSERT INTO "liquid" VALUES('curtain-liqueur','foyer-bar','Curtain Liqueur',1.068783,0.006746,'strength and sugar',20.0,24.0,260.0,NULL,17.5,20.0,'allergens not checked yet',1,'#a8324a');
INSERT INTO "liquid" VALUES('overture','foyer-bar','Overture',1.02,0.020422,'weighed',18.0,15.0,140.0,'["sulphites"]',11.0,10.0,'',1,'#5b2f57');
CREATE TABLE pour (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	created_at TEXT NOT NULL, 
	idempotency_key TEXT, 
	fingerprint TEXT, 
	setup TEXT NOT NULL, 
	origin TEXT NOT NULL, 
	program_version TEXT NOT NULL, 
	board_id TEXT, 
	board_firmware TEXT, 
	purpose TEXT NOT NULL, 
	recipe TEXT, 
	CONSTRAINT pk_pour PRIMARY KEY (id), 
	CONSTRAINT ck_pour_key_with_fingerprint CHECK ((idempotency_key IS NULL) = (fingerprint IS NULL)), 
	CONSTRAINT ck_pour_purpose CHECK (purpose IN ('drink', 'prime', 'flush', 'purge')), 
	CONSTRAINT ck_pour_recipe CHECK (recipe IS NULL OR json_valid(recipe)), 
	CONSTRAINT uq_pour_idempotency_key UNIQUE (idempotency_key)
);
INSERT INTO "pour" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928','foyer-bar','2026-11-25T19:30:00.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658}],"glass_holds_g":226.78543029923568,"keep_proportions":true,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink','{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-7076-950e-605cdc119cbf/0/0/1"}');
INSERT INTO "pour" VALUES('01a21430-27f0-70e5-bf4b-3ada85953a99','foyer-bar','2026-11-25T19:30:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":2,"liquid_id":"footlight-spirit","target_g":15.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"prime"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'prime',NULL);
INSERT INTO "pour" VALUES('01a21431-1250-70cf-b3fd-c79151f25d2c','foyer-bar','2026-11-25T19:31:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
INSERT INTO "pour" VALUES('01a21431-fcb0-700f-8067-0fa111336e1b','foyer-bar','2026-11-25T19:32:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
CREATE TABLE pour_outcome (
	pour_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	ended_at TEXT NOT NULL, 
	state TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	delivered_g DOUBLE, 
	glass_g DOUBLE, uncertainty_g DOUBLE, 
	CONSTRAINT pk_pour_outcome PRIMARY KEY (pour_id), 
	CONSTRAINT ck_pour_outcome_state CHECK (state IN ('complete', 'stopped', 'aborted', 'interrupted')), 
	CONSTRAINT fk_pour_outcome_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "pour_outcome" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,246.0,0.09);
INSERT INTO "pour_outcome" VALUES('01a21430-27f0-70e5-bf4b-3ada85953a99','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,NULL,NULL);
INSERT INTO "pour_outcome" VALUES('01a21431-1250-70cf-b3fd-c79151f25d2c','foyer-bar','2026-11-25T19:31:30.000000Z','aborted','link_lost',26.25,251.3,NULL);
CREATE TABLE recipe (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	steps TEXT NOT NULL, 
	glass_id TEXT, 
	volume_ml DOUBLE, 
	note TEXT NOT NULL, 
	active BOOLEAN NOT NULL, price DOUBLE, keep_order BOOLEAN DEFAULT 1 NOT NULL, 
	CONSTRAINT pk_recipe PRIMARY KEY (id), 
	CONSTRAINT ck_recipe_steps CHECK (json_valid(steps)), 
	CONSTRAINT ck_recipe_volume CHECK (volume_ml > 0), 
	CONSTRAINT fk_recipe_glass_id_glass FOREIGN KEY(glass_id) REFERENCES glass (id)
);
INSERT INTO "recipe" VALUES('green-room-cooler','foyer-bar','Green Room Cooler','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}]','foyer-tumbler',NULL,'',1,2.5,0);
INSERT INTO "recipe" VALUES('half-hour-call','foyer-bar','Half-hour Call','[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}]','short-glass',140.0,'',1,3.2,0);
INSERT INTO "recipe" VALUES('matinee-fizz','foyer-bar','Matinée Fizz','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}]','foyer-tumbler',NULL,'the soda fills what is left of the glass',1,3.8,0);
INSERT INTO "recipe" VALUES('second-bell','foyer-bar','Second Bell','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}]','foyer-tumbler',NULL,'',1,6.5,0);
INSERT INTO "recipe" VALUES('curtain-up','foyer-bar','Curtain Up','[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}]','short-glass',100.0,'',1,7.0,1);
INSERT INTO "recipe" VALUES('long-overture','foyer-bar','Long Overture','[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}]','foyer-tumbler',180.0,'',1,6.8,0);
CREATE TABLE recording (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	caused_at TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	pour_id TEXT, 
	program_version TEXT NOT NULL, 
	begins_s DOUBLE NOT NULL, 
	ends_s DOUBLE NOT NULL, 
	data BLOB NOT NULL, 
	CONSTRAINT pk_recording PRIMARY KEY (id), 
	CONSTRAINT fk_recording_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "recording" VALUES('01a21431-fcb0-70a1-80bc-1bf51b50b975','foyer-bar','2026-11-25T19:32:20.000000Z','link_lost','01a21431-fcb0-700f-8067-0fa111336e1b','0.1.0',-10.0,10.0,X'01');
CREATE TABLE round (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	created_at TEXT NOT NULL, 
	idempotency_key TEXT, 
	fingerprint TEXT, 
	origin TEXT NOT NULL, 
	program_version TEXT NOT NULL, 
	auto_start BOOLEAN NOT NULL, 
	liquids TEXT NOT NULL, 
	CONSTRAINT pk_round PRIMARY KEY (id), 
	CONSTRAINT ck_round_key_with_fingerprint CHECK ((idempotency_key IS NULL) = (fingerprint IS NULL)), 
	CONSTRAINT ck_round_liquids CHECK (json_valid(liquids)), 
	CONSTRAINT uq_round_idempotency_key UNIQUE (idempotency_key)
);
INSERT INTO "round" VALUES('01a2142f-b2c0-7076-950e-605cdc119cbf','foyer-bar','2026-11-25T19:30:00.000000Z','key-1','print-1','api','0.1.0',0,'{"footlight-spirit":{"abv_percent":40.0,"active":true,"allergens":[],"colour":null,"cost_per_l":21.0,"density":{"at_c":20.0,"g_per_ml":0.948045,"origin":"strength","uncertainty_g_per_ml":0.00048},"id":"footlight-spirit","name":"Footlight Spirit","note":"","serving_c":20.0,"sugar_g_per_l":0.0},"foyer-soda":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#d5e4e6","cost_per_l":0.6,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"foyer-soda","name":"Foyer Soda","note":"never through a pump: it foams; topped up by hand","serving_c":6.0,"sugar_g_per_l":0.0},"gallery-juice":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#e08a2e","cost_per_l":2.4,"density":{"at_c":20.0,"g_per_ml":1.042,"origin":"weighed","uncertainty_g_per_ml":0.007221},"id":"gallery-juice","name":"Gallery Juice","note":"","serving_c":8.0,"sugar_g_per_l":98.0},"house-water":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#bcd8e0","cost_per_l":0.1,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"house-water","name":"House Water","note":"","serving_c":18.0,"sugar_g_per_l":0.0},"prompters-cordial":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#6f9e3f","cost_per_l":4.2,"density":{"at_c":20.0,"g_per_ml":1.127032,"origin":"brix","uncertainty_g_per_ml":0.002425},"id":"prompters-cordial","name":"Prompter''s Cordial","note":"","serving_c":20.0,"sugar_g_per_l":338.11}}');
CREATE TABLE round_glass (
	round_id TEXT NOT NULL, 
	glass_index INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	recipe_id TEXT NOT NULL, 
	guest TEXT, 
	"plan" TEXT NOT NULL, 
	CONSTRAINT pk_round_glass PRIMARY KEY (round_id, glass_index), 
	CONSTRAINT ck_round_glass_plan CHECK (json_valid(plan)), 
	CONSTRAINT fk_round_glass_round_id_round FOREIGN KEY(round_id) REFERENCES round (id), 
	CONSTRAINT fk_round_glass_recipe_id_recipe FOREIGN KEY(recipe_id) REFERENCES recipe (id)
);
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-7076-950e-605cdc119cbf',0,'foyer-bar','green-room-cooler','seat 14','{"drink":{"allergens":[],"allergens_unknown":["a slice of cucumber"],"blockers":[],"cost":0.20369588148180479,"glass_holds_g":226.78543029923566,"glass_id":"foyer-tumbler","keep_order":false,"name":"Green Room Cooler","notes":[],"price":2.5,"recipe_id":"green-room-cooler","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.5803817943982},{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987,"time_s":null,"volume_ml":44.28171336560973,"volume_uncertainty_ml":0.09527959712909981},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658,"time_s":null,"volume_ml":177.12685346243893,"volume_uncertainty_ml":0.013983946973182261},{"mass_g":0.0,"step":{"amount":null,"ice_g":0.0,"kind":"garnish","liquid_id":null,"text":"","what":"a slice of cucumber"},"volume_ml":0.0}],"strength":{"contraction_ml":0.0593326606286837,"ethanol_g":0.0,"mass_g":226.78543029923566,"sugar_g":14.972082689569561,"volume_ml":221.41961820560178},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":226.78543029923568,"time_s":null,"volume_ml":221.41961820560178,"volume_uncertainty_ml":0.09630032399754603},"guest":"seat 14","may_grow":true,"order":{"id":"01a2142f-b2c0-7075-be5c-8ab38a4557bf","number":1},"strength_open":false}');
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-7076-950e-605cdc119cbf',1,'foyer-bar','second-bell',NULL,'{"drink":{"allergens":[],"allergens_unknown":[],"blockers":[],"cost":0.8130000000000001,"glass_holds_g":224.9533919824239,"glass_id":"foyer-tumbler","keep_order":false,"name":"Second Bell","notes":[],"price":6.5,"recipe_id":"second-bell","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.957010067935016},{"channel":2,"liquid_id":"footlight-spirit","target_g":23.701125,"time_s":null,"volume_ml":25.0,"volume_uncertainty_ml":0.012657627011376042},{"channel":5,"liquid_id":"gallery-juice","target_g":114.87102854726075,"time_s":null,"volume_ml":110.0,"volume_uncertainty_ml":0.7638082279574953},{"mass_g":39.997692417611105,"step":{"amount":{"kind":"volume_ml","value":40.0},"ice_g":0.0,"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"},"volume_ml":40.0}],"strength":{"contraction_ml":-0.15506177486420825,"ethanol_g":7.892389960301733,"mass_g":178.56984596487183,"sugar_g":10.86734672045023,"volume_ml":175.46573677300924},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":138.57215354726074,"time_s":null,"volume_ml":175.46573677300924,"volume_uncertainty_ml":0.7943524536856084},"guest":null,"may_grow":true,"order":null,"strength_open":false}');
CREATE TABLE round_glass_outcome (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	round_id TEXT NOT NULL, 
	glass_index INTEGER NOT NULL, 
	attempt INTEGER NOT NULL, 
	ended_at TEXT NOT NULL, 
	ending TEXT NOT NULL, 
	pour_ids TEXT NOT NULL, 
	mass_g DOUBLE NOT NULL, 
	volume_ml DOUBLE NOT NULL, 
	contraction_ml DOUBLE NOT NULL, 
	ethanol_g DOUBLE NOT NULL, 
	sugar_g DOUBLE NOT NULL, 
	CONSTRAINT pk_round_glass_outcome PRIMARY KEY (id), 
	CONSTRAINT ck_round_glass_outcome_ending CHECK (ending IN ('complete', 'skipped', 'spoilt', 'stopped', 'interrupted')), 
	CONSTRAINT ck_round_glass_outcome_pour_ids CHECK (json_valid(pour_ids)), 
	CONSTRAINT fk_round_glass_outcome_round_id_glass_index_round_glass FOREIGN KEY(round_id, glass_index) REFERENCES round_glass (round_id, glass_index), 
	CONSTRAINT uq_round_glass_outcome_round_id_glass_index_attempt UNIQUE (round_id, glass_index, attempt)
);
INSERT INTO "round_glass_outcome" VALUES(1,'foyer-bar','01a2142f-b2c0-7076-950e-605cdc119cbf',0,0,'2026-11-25T19:30:30.000000Z','complete','["01a2142f-b2c0-708f-9177-0f09d4cee928"]',2.26785430299235684975e+02,2.21419618205601807401e+02,5.93326606286552760138e-02,0.0,1.49720826895695608978e+01);
INSERT INTO "round_glass_outcome" VALUES(2,'foyer-bar','01a2142f-b2c0-7076-950e-605cdc119cbf',1,0,'2026-11-25T19:30:30.000000Z','skipped','[]',0.0,0.0,0.0,0.0,0.0);
CREATE TABLE round_outcome (
	round_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	ended_at TEXT NOT NULL, 
	state TEXT NOT NULL, 
	CONSTRAINT pk_round_outcome PRIMARY KEY (round_id), 
	CONSTRAINT ck_round_outcome_state CHECK (state IN ('complete', 'stopped', 'aborted', 'interrupted')), 
	CONSTRAINT fk_round_outcome_round_id_round FOREIGN KEY(round_id) REFERENCES round (id)
);
INSERT INTO "round_outcome" VALUES('01a2142f-b2c0-7076-950e-605cdc119cbf','foyer-bar','2026-11-25T19:30:30.000000Z','complete');
CREATE TABLE service (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	opened_at TEXT NOT NULL, 
	title TEXT NOT NULL, 
	guests_may_order BOOLEAN NOT NULL, 
	link_key TEXT, 
	closed_at TEXT, 
	CONSTRAINT pk_service PRIMARY KEY (id), 
	CONSTRAINT ck_service_no_link_once_closed CHECK (closed_at IS NULL OR link_key IS NULL)
);
INSERT INTO "service" VALUES('01a2142f-b2c0-7074-a21d-ba1d9e4f1360','foyer-bar','2026-11-25T19:30:00.000000Z','The Paper Lantern, second night',1,'3_yK4ggyyESO8yRtlAs4RPsruS9beKtazGL8q7u8Q-k',NULL);
CREATE TABLE "stock_movement" (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	bottle_id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	change_g DOUBLE NOT NULL, 
	pour_id TEXT, 
	dose_index INTEGER, 
	CONSTRAINT pk_stock_movement PRIMARY KEY (id), 
	CONSTRAINT fk_stock_movement_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index), 
	CONSTRAINT ck_stock_movement_pour_with_dose CHECK ((pour_id IS NULL) = (dose_index IS NULL)), 
	CONSTRAINT fk_stock_movement_bottle_id_bottle FOREIGN KEY(bottle_id) REFERENCES bottle (id), 
	CONSTRAINT ck_stock_movement_kind CHECK (kind IN ('opening', 'pour', 'prime', 'purge', 'found', 'correction')), 
	CONSTRAINT ck_stock_movement_kind_with_pour CHECK ((kind IN ('pour', 'prime', 'purge', 'found')) = (pour_id IS NOT NULL))
);
INSERT INTO "stock_movement" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','water-1','opening',4993.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','footlight-1','opening',663.6,NULL,NULL);
INSERT INTO "stock_movement" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','footlight-2','opening',663.6,NULL,NULL);
INSERT INTO "stock_movement" VALUES(4,'foyer-bar','2026-11-25T19:30:00.000000Z','circle-1','opening',921.6,NULL,NULL);
INSERT INTO "stock_movement" VALUES(5,'foyer-bar','2026-11-25T19:30:00.000000Z','cordial-1','opening',1127.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(6,'foyer-bar','2026-11-25T19:30:00.000000Z','gallery-1','opening',640.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(7,'foyer-bar','2026-11-25T19:30:00.000000Z','limelight-1','opening',514.9,NULL,NULL);
INSERT INTO "stock_movement" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','curtain-1','opening',748.1,NULL,NULL);
INSERT INTO "stock_movement" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','overture-1','opening',765.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(10,'foyer-bar','2026-11-25T19:30:30.000000Z','cordial-1','pour',-49.906908,'01a2142f-b2c0-708f-9177-0f09d4cee928',0);
INSERT INTO "stock_movement" VALUES(11,'foyer-bar','2026-11-25T19:30:30.000000Z','water-1','pour',-176.878522,'01a2142f-b2c0-708f-9177-0f09d4cee928',1);
INSERT INTO "stock_movement" VALUES(12,'foyer-bar','2026-11-25T19:30:30.000000Z','footlight-1','prime',-12.5,'01a21430-27f0-70e5-bf4b-3ada85953a99',0);
INSERT INTO "stock_movement" VALUES(13,'foyer-bar','2026-11-25T19:31:30.000000Z','water-1','pour',-26.25,'01a21431-1250-70cf-b3fd-c79151f25d2c',0);
INSERT INTO "stock_movement" VALUES(14,'foyer-bar','2026-11-25T19:31:30.000000Z','water-1','found',-2.75,'01a21431-1250-70cf-b3fd-c79151f25d2c',0);
CREATE TABLE trace_chunk (
	pour_id TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	entries INTEGER NOT NULL, 
	last_delivered_g DOUBLE, 
	data BLOB NOT NULL, 
	CONSTRAINT pk_trace_chunk PRIMARY KEY (pour_id, number), 
	CONSTRAINT fk_trace_chunk_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "trace_chunk" VALUES('01a2142f-b2c0-708f-9177-0f09d4cee928',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21430-27f0-70e5-bf4b-3ada85953a99',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-1250-70cf-b3fd-c79151f25d2c',0,'foyer-bar','2026-11-25T19:31:30.000000Z',14,26.25,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-fcb0-700f-8067-0fa111336e1b',0,'foyer-bar','2026-11-25T19:32:30.000000Z',14,10.5,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-fcb0-700f-8067-0fa111336e1b',1,'foyer-bar','2026-11-25T19:32:30.000000Z',1,10.5,X'02789C636440060E910ED1D14A4E89398979C9A9294A3AD54A997929A9154A56063A4A892929A929F1E940B61E90575C90995302E219EA99EA28A5E497269540E48C4C6B6363012DC815F6');
CREATE INDEX ix_dose_channel_pour_id ON dose (channel, pour_id);
CREATE INDEX ix_event_pour_id ON event (pour_id);
CREATE INDEX ix_inflight_channel_liquid_id_id ON inflight (channel, liquid_id, id);
CREATE INDEX ix_pour_outcome_state_pour_id ON pour_outcome (state, pour_id);
CREATE TRIGGER dose_no_update BEFORE UPDATE ON dose BEGIN SELECT RAISE(ABORT, 'dose keeps what happened: no UPDATE'); END;
CREATE TRIGGER dose_no_delete BEFORE DELETE ON dose BEGIN SELECT RAISE(ABORT, 'dose keeps what happened: no DELETE'); END;
CREATE TRIGGER pour_outcome_no_update BEFORE UPDATE ON pour_outcome BEGIN SELECT RAISE(ABORT, 'pour_outcome keeps what happened: no UPDATE'); END;
CREATE TRIGGER pour_outcome_no_delete BEFORE DELETE ON pour_outcome BEGIN SELECT RAISE(ABORT, 'pour_outcome keeps what happened: no DELETE'); END;
CREATE TRIGGER trace_chunk_no_update BEFORE UPDATE ON trace_chunk BEGIN SELECT RAISE(ABORT, 'trace_chunk keeps what happened: no UPDATE'); END;
CREATE TRIGGER trace_chunk_no_delete BEFORE DELETE ON trace_chunk BEGIN SELECT RAISE(ABORT, 'trace_chunk keeps what happened: no DELETE'); END;
CREATE TRIGGER event_no_update BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'event keeps what happened: no UPDATE'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'event keeps what happened: no DELETE'); END;
CREATE TRIGGER inflight_no_update BEFORE UPDATE ON inflight BEGIN SELECT RAISE(ABORT, 'inflight keeps what happened: no UPDATE'); END;
CREATE TRIGGER inflight_no_delete BEFORE DELETE ON inflight BEGIN SELECT RAISE(ABORT, 'inflight keeps what happened: no DELETE'); END;
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'calibration keeps what happened: no UPDATE'); END;
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'calibration keeps what happened: no DELETE'); END;
CREATE INDEX ix_pour_created_at ON pour (created_at);
CREATE TRIGGER pour_no_update BEFORE UPDATE ON pour BEGIN SELECT RAISE(ABORT, 'pour keeps what happened: no UPDATE'); END;
CREATE TRIGGER pour_no_delete BEFORE DELETE ON pour BEGIN SELECT RAISE(ABORT, 'pour keeps what happened: no DELETE'); END;
CREATE TRIGGER dose_outcome_no_update BEFORE UPDATE ON dose_outcome BEGIN SELECT RAISE(ABORT, 'dose_outcome keeps what happened: no UPDATE'); END;
CREATE TRIGGER dose_outcome_no_delete BEFORE DELETE ON dose_outcome BEGIN SELECT RAISE(ABORT, 'dose_outcome keeps what happened: no DELETE'); END;
CREATE INDEX ix_round_glass_outcome_ended_at ON round_glass_outcome (ended_at);
CREATE INDEX ix_guest_release_guest_id ON guest_release (guest, id);
CREATE TRIGGER round_no_update BEFORE UPDATE ON round BEGIN SELECT RAISE(ABORT, 'round keeps what happened: no UPDATE'); END;
CREATE TRIGGER round_no_delete BEFORE DELETE ON round BEGIN SELECT RAISE(ABORT, 'round keeps what happened: no DELETE'); END;
CREATE TRIGGER round_glass_no_update BEFORE UPDATE ON round_glass BEGIN SELECT RAISE(ABORT, 'round_glass keeps what happened: no UPDATE'); END;
CREATE TRIGGER round_glass_no_delete BEFORE DELETE ON round_glass BEGIN SELECT RAISE(ABORT, 'round_glass keeps what happened: no DELETE'); END;
CREATE TRIGGER round_glass_outcome_no_update BEFORE UPDATE ON round_glass_outcome BEGIN SELECT RAISE(ABORT, 'round_glass_outcome keeps what happened: no UPDATE'); END;
CREATE TRIGGER round_glass_outcome_no_delete BEFORE DELETE ON round_glass_outcome BEGIN SELECT RAISE(ABORT, 'round_glass_outcome keeps what happened: no DELETE'); END;
CREATE TRIGGER round_outcome_no_update BEFORE UPDATE ON round_outcome BEGIN SELECT RAISE(ABORT, 'round_outcome keeps what happened: no UPDATE'); END;
CREATE TRIGGER round_outcome_no_delete BEFORE DELETE ON round_outcome BEGIN SELECT RAISE(ABORT, 'round_outcome keeps what happened: no DELETE'); END;
CREATE TRIGGER guest_release_no_update BEFORE UPDATE ON guest_release BEGIN SELECT RAISE(ABORT, 'guest_release keeps what happened: no UPDATE'); END;
CREATE TRIGGER guest_release_no_delete BEFORE DELETE ON guest_release BEGIN SELECT RAISE(ABORT, 'guest_release keeps what happened: no DELETE'); END;
CREATE INDEX ix_stock_movement_bottle_id_change_g ON stock_movement (bottle_id, change_g);
CREATE INDEX ix_stock_movement_pour_id ON stock_movement (pour_id);
CREATE TRIGGER found_later_no_update BEFORE UPDATE ON found_later BEGIN SELECT RAISE(ABORT, 'found_later keeps what happened: no UPDATE'); END;
CREATE TRIGGER found_later_no_delete BEFORE DELETE ON found_later BEGIN SELECT RAISE(ABORT, 'found_later keeps what happened: no DELETE'); END;
CREATE TRIGGER stock_movement_no_update BEFORE UPDATE ON stock_movement BEGIN SELECT RAISE(ABORT, 'stock_movement keeps what happened: no UPDATE'); END;
CREATE TRIGGER stock_movement_no_delete BEFORE DELETE ON stock_movement BEGIN SELECT RAISE(ABORT, 'stock_movement keeps what happened: no DELETE'); END;
CREATE INDEX ix_dose_balance_pour_id ON dose_balance (pour_id);
CREATE INDEX ix_event_kind_seq ON event (kind, seq);
CREATE TRIGGER dose_balance_no_update BEFORE UPDATE ON dose_balance BEGIN SELECT RAISE(ABORT, 'dose_balance keeps what happened: no UPDATE'); END;
CREATE TRIGGER dose_balance_no_delete BEFORE DELETE ON dose_balance BEGIN SELECT RAISE(ABORT, 'dose_balance keeps what happened: no DELETE'); END;
CREATE INDEX ix_drink_order_state_order_id_id ON drink_order_state (order_id, id);
CREATE INDEX ix_drink_order_state_round_id_glass_index ON drink_order_state (round_id, glass_index);
CREATE TRIGGER drink_order_no_update BEFORE UPDATE ON drink_order BEGIN SELECT RAISE(ABORT, 'drink_order keeps what happened: no UPDATE'); END;
CREATE TRIGGER drink_order_no_delete BEFORE DELETE ON drink_order BEGIN SELECT RAISE(ABORT, 'drink_order keeps what happened: no DELETE'); END;
CREATE TRIGGER drink_order_state_no_update BEFORE UPDATE ON drink_order_state BEGIN SELECT RAISE(ABORT, 'drink_order_state keeps what happened: no UPDATE'); END;
CREATE TRIGGER drink_order_state_no_delete BEFORE DELETE ON drink_order_state BEGIN SELECT RAISE(ABORT, 'drink_order_state keeps what happened: no DELETE'); END;
CREATE TRIGGER late_drips_no_update BEFORE UPDATE ON late_drips BEGIN SELECT RAISE(ABORT, 'late_drips keeps what happened: no UPDATE'); END;
CREATE TRIGGER late_drips_no_delete BEFORE DELETE ON late_drips BEGIN SELECT RAISE(ABORT, 'late_drips keeps what happened: no DELETE'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('event',74);
COMMIT;
PRAGMA application_id = 0x54415245;
