BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0012');
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
INSERT INTO "dose" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be',0,'foyer-bar',4,'prompters-cordial','Prompter''s Cordial',1.127032,0.0,4.99069079778698707636e+01);
INSERT INTO "dose" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be',1,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,1.76878522321365807103e+02);
INSERT INTO "dose" VALUES('01a21430-27f0-707c-bb45-798749b0c33c',0,'foyer-bar',2,'footlight-spirit','Footlight Spirit',0.948045,40.0,15.0);
INSERT INTO "dose" VALUES('01a21431-1250-7006-9eb2-e34f0676b0f1',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
INSERT INTO "dose" VALUES('01a21431-fcb0-7013-bc01-921de189e5eb',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
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
INSERT INTO "dose_balance" VALUES(1,'foyer-bar','01a21431-fcb0-7013-bc01-921de189e5eb',0,0.0,1.5,0.25);
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
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be',0,'foyer-bar',4.99069079778698707636e+01,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL,0.085);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be',1,'foyer-bar',1.76878522321365807103e+02,2.4,8.3,1,101.0,105.5,107.25,'within','target',NULL,0.085);
INSERT INTO "dose_outcome" VALUES('01a21430-27f0-707c-bb45-798749b0c33c',0,'foyer-bar',12.5,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL,NULL);
INSERT INTO "dose_outcome" VALUES('01a21431-1250-7006-9eb2-e34f0676b0f1',0,'foyer-bar',26.25,2.4,8.3,1,100.0,105.5,107.25,NULL,'target',NULL,NULL);
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
INSERT INTO "drink_order" VALUES('01a2142f-b2c0-70a0-9508-968bd3cb1e45','foyer-bar','2026-11-25T19:30:00.000000Z','key-2','print-2','guest','01a2142f-b2c0-7070-b84e-73c01993aa8c',1,'green-room-cooler','seat 14','{"glass_id":null,"guest":"seat 14","instead":{},"max_ethanol_g":null,"order":null,"recipe_id":"green-room-cooler","volume_ml":null}','Green Room Cooler',0.0,1,31.4,2.5);
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
INSERT INTO "drink_order_state" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','01a2142f-b2c0-70a0-9508-968bd3cb1e45','waiting',1,NULL,NULL,NULL);
INSERT INTO "drink_order_state" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','01a2142f-b2c0-70a0-9508-968bd3cb1e45','in_round',1,NULL,'01a2142f-b2c0-70a1-a827-04375e70a4ea',0);
INSERT INTO "drink_order_state" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','01a2142f-b2c0-70a0-9508-968bd3cb1e45','pouring',1,NULL,'01a2142f-b2c0-70a1-a827-04375e70a4ea',0);
INSERT INTO "drink_order_state" VALUES(4,'foyer-bar','2026-11-25T19:30:30.000000Z','01a2142f-b2c0-70a0-9508-968bd3cb1e45','ready',1,NULL,'01a2142f-b2c0-70a1-a827-04375e70a4ea',0);
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
INSERT INTO "event" VALUES(12,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"green-room-cooler","name":"Green Room Cooler","note":"","price":2.5,"steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}],"volume_ml":null}','b5b20b72e93846dc573f279999710bd9d34ea138c3ab6c0e3f3129f94b60cc21','f48b4b7603eaf430a51f8c2994e45f0fe97071f9a765c2385f1620f93786aa55');
INSERT INTO "event" VALUES(13,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"half-hour-call","name":"Half-hour Call","note":"","price":3.2,"steps":[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}],"volume_ml":140.0}','f48b4b7603eaf430a51f8c2994e45f0fe97071f9a765c2385f1620f93786aa55','443939fd37d407aa8354eba37f7ced6ab193ce67870ab65c6c769cf3d32ea957');
INSERT INTO "event" VALUES(14,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"matinee-fizz","name":"Matin\u00e9e Fizz","note":"the soda fills what is left of the glass","price":3.8,"steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}],"volume_ml":null}','443939fd37d407aa8354eba37f7ced6ab193ce67870ab65c6c769cf3d32ea957','c5b7bf19a5717b43c88539f52dbeb422dd9b03ba400ad128cbc6678d607a049d');
INSERT INTO "event" VALUES(15,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"second-bell","name":"Second Bell","note":"","price":6.5,"steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}],"volume_ml":null}','c5b7bf19a5717b43c88539f52dbeb422dd9b03ba400ad128cbc6678d607a049d','5f70defe72318634a65f5948bae37124f53f1043ee6ac2817a832d430cd4e0ae');
INSERT INTO "event" VALUES(16,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"curtain-up","name":"Curtain Up","note":"","price":7.0,"steps":[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}],"volume_ml":100.0}','5f70defe72318634a65f5948bae37124f53f1043ee6ac2817a832d430cd4e0ae','fd39eef41cfb642f5441a76c5fc09f0c9583bca3918d54afe3d9ff9d34d76763');
INSERT INTO "event" VALUES(17,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"long-overture","name":"Long Overture","note":"","price":6.8,"steps":[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}],"volume_ml":180.0}','fd39eef41cfb642f5441a76c5fc09f0c9583bca3918d54afe3d9ff9d34d76763','4b76d702657a605de1e05b9a6ab20e35de28c9a843047dc75692d0b89cae0627');
INSERT INTO "event" VALUES(18,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"house-water","name":"far left","number":1}','4b76d702657a605de1e05b9a6ab20e35de28c9a843047dc75692d0b89cae0627','fe80435b9691fc2bd112128ad0e84cb772f1d5fb9f8eb83320bf91926974ba2b');
INSERT INTO "event" VALUES(19,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"footlight-spirit","name":"second from left","number":2}','fe80435b9691fc2bd112128ad0e84cb772f1d5fb9f8eb83320bf91926974ba2b','421b629d14807dc5b69be145fa18ed5bce11a711d861cf08ad79f59172bcad0c');
INSERT INTO "event" VALUES(20,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"dress-circle-syrup","name":"third from left","number":3}','421b629d14807dc5b69be145fa18ed5bce11a711d861cf08ad79f59172bcad0c','bd6bc4c24a3286ff22d7e6e7e951e1d427f0325148fd9743e5520d7b234d34c5');
INSERT INTO "event" VALUES(21,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"prompters-cordial","name":"left of the till","number":4}','bd6bc4c24a3286ff22d7e6e7e951e1d427f0325148fd9743e5520d7b234d34c5','d6621fb3165833a103d9cbf043430c13e009a42ff7efb14503c8f77c3b5bd098');
INSERT INTO "event" VALUES(22,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"gallery-juice","name":"right of the till","number":5}','d6621fb3165833a103d9cbf043430c13e009a42ff7efb14503c8f77c3b5bd098','6ebf580725dde015bccc727ab9f3df6f53ba2527488dfb11dbc1b0090697a263');
INSERT INTO "event" VALUES(23,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"limelight","name":"third from right","number":6}','6ebf580725dde015bccc727ab9f3df6f53ba2527488dfb11dbc1b0090697a263','22325ed9f2081c8721fd6db1cb2957345d6634c77fce2bf73df2e96afd7ec254');
INSERT INTO "event" VALUES(24,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"curtain-liqueur","name":"second from right","number":7}','22325ed9f2081c8721fd6db1cb2957345d6634c77fce2bf73df2e96afd7ec254','5556b7fd19aad776d052a8ae123dbbcec61c7802639e70264a4fb8f7ea258470');
INSERT INTO "event" VALUES(25,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"overture","name":"far right","number":8}','5556b7fd19aad776d052a8ae123dbbcec61c7802639e70264a4fb8f7ea258470','393ddabaf8c887378116faec988123760e29b5bbb0316b2a62ae4606064c2cd3');
INSERT INTO "event" VALUES(26,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":4993.0,"id":"water-1","liquid_id":"house-water","low_g":500.0,"opened_at":null,"tare_g":null}','393ddabaf8c887378116faec988123760e29b5bbb0316b2a62ae4606064c2cd3','085270e1e095f045ed5eb723798407c32492c24b9f4efc211e5044a09fccc609');
INSERT INTO "event" VALUES(27,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"water-1","change_g":4993.0,"kind":"opening","movement_id":1,"seal":"ceb61817907f8209dd07a4b5e418be3f8e64cc49fbebc638563f329d36a7e6b2"}','085270e1e095f045ed5eb723798407c32492c24b9f4efc211e5044a09fccc609','6eaa5c104efae1d0c1dc2ddfaba59c4d39d885f39a7d9d376e67a7235571adfc');
INSERT INTO "event" VALUES(28,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":1,"id":"water-1","liquid_id":"house-water"}','6eaa5c104efae1d0c1dc2ddfaba59c4d39d885f39a7d9d376e67a7235571adfc','573b9d0c9f7d8f4f5e6585c15173f1f388069c4f65667ad62d179cda24bf2275');
INSERT INTO "event" VALUES(29,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-1","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":"2031-03-14T18:05:00.000000Z","tare_g":486.0}','573b9d0c9f7d8f4f5e6585c15173f1f388069c4f65667ad62d179cda24bf2275','508670538b52d08b23a9e1cc23466eb2ae3e06e89482a4435a07a47a2f6d309f');
INSERT INTO "event" VALUES(30,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-1","change_g":663.6,"kind":"opening","movement_id":2,"seal":"c328aeaa1994ebbe567e4aac771d1dc82642e4acdb68aa2bda4dcfe4356cca43"}','508670538b52d08b23a9e1cc23466eb2ae3e06e89482a4435a07a47a2f6d309f','56db4183b9610ed1bc03530a7fa03d019de04f6f0497084277464a113509a16e');
INSERT INTO "event" VALUES(31,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":2,"id":"footlight-1","liquid_id":"footlight-spirit"}','56db4183b9610ed1bc03530a7fa03d019de04f6f0497084277464a113509a16e','2d001aa3b4f5dfe77a5bb93d313d137bd59962f758ed01c267ecb461c2e6dd34');
INSERT INTO "event" VALUES(32,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-2","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":null,"tare_g":486.0}','2d001aa3b4f5dfe77a5bb93d313d137bd59962f758ed01c267ecb461c2e6dd34','64da54e3747e1833b6813a6cb10e17b3911cc17c3040882da793dc151066b1f0');
INSERT INTO "event" VALUES(33,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-2","change_g":663.6,"kind":"opening","movement_id":3,"seal":"3cdf47588a7c8fe6a8047768220341ed583b3e6f1042ad77279764f8c4a88edf"}','64da54e3747e1833b6813a6cb10e17b3911cc17c3040882da793dc151066b1f0','fccabda324e2d2769ca5998eeb69c16b06811155191070d8decee0ebd94cabe6');
INSERT INTO "event" VALUES(34,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":921.6,"id":"circle-1","liquid_id":"dress-circle-syrup","low_g":92.2,"opened_at":null,"tare_g":455.0}','fccabda324e2d2769ca5998eeb69c16b06811155191070d8decee0ebd94cabe6','2e207113f6eef548ec7c850cea078b912b404d31a481a12b72bf80deee807f34');
INSERT INTO "event" VALUES(35,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"circle-1","change_g":921.6,"kind":"opening","movement_id":4,"seal":"b1bc500e7f677a280b1f522e7aba05192856ffddaeaf0bd4f4acf34c748e2a01"}','2e207113f6eef548ec7c850cea078b912b404d31a481a12b72bf80deee807f34','6557224800ef095db51fe7e2dba19593c71c0430f3e2da256c2959919c5883c1');
INSERT INTO "event" VALUES(36,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":3,"id":"circle-1","liquid_id":"dress-circle-syrup"}','6557224800ef095db51fe7e2dba19593c71c0430f3e2da256c2959919c5883c1','a4fc393baec3c0a2b86967ec75d2bf46b3ac6a1463117f2bc325d86f8379a768');
INSERT INTO "event" VALUES(37,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1127.0,"id":"cordial-1","liquid_id":"prompters-cordial","low_g":112.7,"opened_at":null,"tare_g":74.0}','a4fc393baec3c0a2b86967ec75d2bf46b3ac6a1463117f2bc325d86f8379a768','1a65d5d3f55a7c66c9c00b6b667aee8387fc84db3b392d58adf07f5792076099');
INSERT INTO "event" VALUES(38,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"cordial-1","change_g":1127.0,"kind":"opening","movement_id":5,"seal":"4c49fe4b559c48f72ce4c4010369b067fa8b8c9563dede03a48b1486cbf916cf"}','1a65d5d3f55a7c66c9c00b6b667aee8387fc84db3b392d58adf07f5792076099','5c42afedb8ca65eeaf8c71544b50d5edd905d52adb0b6b4843a9642e37208667');
INSERT INTO "event" VALUES(39,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":4,"id":"cordial-1","liquid_id":"prompters-cordial"}','5c42afedb8ca65eeaf8c71544b50d5edd905d52adb0b6b4843a9642e37208667','884dec58b4a13582193e6a653adc0cbd175a6db917a691f9fa3c18d2667ceba8');
INSERT INTO "event" VALUES(40,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1044.3,"id":"gallery-1","liquid_id":"gallery-juice","low_g":104.4,"opened_at":"2031-03-14T18:10:00.000000Z","tare_g":38.0}','884dec58b4a13582193e6a653adc0cbd175a6db917a691f9fa3c18d2667ceba8','e4e6e02b3758831e7c3b0c921627793272fdf5c1f6ccbb11b8cba922aa287869');
INSERT INTO "event" VALUES(41,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"gallery-1","change_g":640.0,"kind":"opening","movement_id":6,"seal":"ab1194ee53aaaae57835c70a9534c4acf77889695b564140a77762404ff7f025"}','e4e6e02b3758831e7c3b0c921627793272fdf5c1f6ccbb11b8cba922aa287869','130de1d0e86f6014404189d49d6f413e6529c297c4a2a7b2d18321f02cb93161');
INSERT INTO "event" VALUES(42,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":5,"id":"gallery-1","liquid_id":"gallery-juice"}','130de1d0e86f6014404189d49d6f413e6529c297c4a2a7b2d18321f02cb93161','ecdd6418ddcf3446ebbd30c10922f85a89ca0f74477df5a674f46a8cdbfdea8d');
INSERT INTO "event" VALUES(43,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":514.9,"id":"limelight-1","liquid_id":"limelight","low_g":51.5,"opened_at":null,"tare_g":301.0}','ecdd6418ddcf3446ebbd30c10922f85a89ca0f74477df5a674f46a8cdbfdea8d','d49d4acb0c00177a0daab12094a1fa26477f2602dcf4f7aea2f0e09053433a58');
INSERT INTO "event" VALUES(44,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"limelight-1","change_g":514.9,"kind":"opening","movement_id":7,"seal":"f01e918260d3e83051be1dfd7d813344b939463b6e84221a86b6e026b2a53f54"}','d49d4acb0c00177a0daab12094a1fa26477f2602dcf4f7aea2f0e09053433a58','3e63b7e6d1d924bc9283d498b983bca27f988854fd57904fa378a8b9e37ecaa2');
INSERT INTO "event" VALUES(45,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":6,"id":"limelight-1","liquid_id":"limelight"}','3e63b7e6d1d924bc9283d498b983bca27f988854fd57904fa378a8b9e37ecaa2','022cedb085848da2f7e20236cc29f0d23644ff8f92bd91d02b7c40b2ed295965');
INSERT INTO "event" VALUES(46,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":748.1,"id":"curtain-1","liquid_id":"curtain-liqueur","low_g":74.8,"opened_at":null,"tare_g":497.0}','022cedb085848da2f7e20236cc29f0d23644ff8f92bd91d02b7c40b2ed295965','a95f798bb6015a6c214e78eaa19495d209fee2a57e29081d8924aea7f173c8e2');
INSERT INTO "event" VALUES(47,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"curtain-1","change_g":748.1,"kind":"opening","movement_id":8,"seal":"5bda388ca8a8c376a391cbf752e5334554662738285785dbeefafba3bf7887e4"}','a95f798bb6015a6c214e78eaa19495d209fee2a57e29081d8924aea7f173c8e2','395077d55773b26d060324a5484e0c48eed7646d1b8beda50d6e431d3fe4de4d');
INSERT INTO "event" VALUES(48,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":7,"id":"curtain-1","liquid_id":"curtain-liqueur"}','395077d55773b26d060324a5484e0c48eed7646d1b8beda50d6e431d3fe4de4d','fbb00b99a5d125853249a0fe5c32fe1a826d677400576f80dad11ece2b64234c');
INSERT INTO "event" VALUES(49,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":765.0,"id":"overture-1","liquid_id":"overture","low_g":76.5,"opened_at":null,"tare_g":458.0}','fbb00b99a5d125853249a0fe5c32fe1a826d677400576f80dad11ece2b64234c','ffded6e1ad586a68afc2725db9fc2b3558e14c6d7995c40280620e7fe7e82119');
INSERT INTO "event" VALUES(50,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"overture-1","change_g":765.0,"kind":"opening","movement_id":9,"seal":"aa347deeab556f089e27e34889668082e852d92f9db906101e641d1a4aae8854"}','ffded6e1ad586a68afc2725db9fc2b3558e14c6d7995c40280620e7fe7e82119','e9bdfa4d235440d9b61b912685b7722d7b28d2c1552aced66a428ddaa9baf486');
INSERT INTO "event" VALUES(51,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":8,"id":"overture-1","liquid_id":"overture"}','e9bdfa4d235440d9b61b912685b7722d7b28d2c1552aced66a428ddaa9baf486','f1b882cb7662ae353622661f6bbb079031ec25393101549e511fcbbb72b35005');
INSERT INTO "event" VALUES(52,'foyer-bar','2026-11-25T19:30:00.000000Z','calibrated',NULL,'{"calibration_id":1,"counts_per_g":1998.25,"how":"two_point","seal":"8973ae2eec4e9fab10ff0b6bd521cbfd8640aa11d381066ff7fa2bc8465a9723","zero_counts":-84213.4}','f1b882cb7662ae353622661f6bbb079031ec25393101549e511fcbbb72b35005','ad924843c7a2704c1f7e92566ae8f6ed08c3854d7dd2779c1110238e7ace1b7f');
INSERT INTO "event" VALUES(53,'foyer-bar','2026-11-25T19:30:00.000000Z','service_opened',NULL,'{"guests_may_order":true,"service_id":"01a2142f-b2c0-7070-b84e-73c01993aa8c","title":"The Paper Lantern, second night"}','ad924843c7a2704c1f7e92566ae8f6ed08c3854d7dd2779c1110238e7ace1b7f','ad0bf506663bc05b0669273e64c90d5a3213b51e7b9ee47c5db163ff5275a7a6');
INSERT INTO "event" VALUES(54,'foyer-bar','2026-11-25T19:30:00.000000Z','guest_link_made',NULL,'{"guests_may_order":true,"has_link":true,"service_id":"01a2142f-b2c0-7070-b84e-73c01993aa8c","title":"The Paper Lantern, second night"}','ad0bf506663bc05b0669273e64c90d5a3213b51e7b9ee47c5db163ff5275a7a6','00a99c4b3632bd505a9010903bf4e6840ccfe8af0192f3891fc1021efd5b2660');
INSERT INTO "event" VALUES(55,'foyer-bar','2026-11-25T19:30:00.000000Z','order_placed',NULL,'{"guest":"seat 14","name":"Green Room Cooler","number":1,"order_id":"01a2142f-b2c0-70a0-9508-968bd3cb1e45","origin":"guest","recipe_id":"green-room-cooler","seal":"279bee7e87135c6c81ec231bef1040093469b87dd0bbd57ab10d7017036b3af4","service_id":"01a2142f-b2c0-7070-b84e-73c01993aa8c"}','00a99c4b3632bd505a9010903bf4e6840ccfe8af0192f3891fc1021efd5b2660','7bd9006de69795660bb128550f03998e523d37a0a8e909d33fb96fa10024e65c');
INSERT INTO "event" VALUES(56,'foyer-bar','2026-11-25T19:30:00.000000Z','order_state',NULL,'{"glass_index":null,"number":1,"order_id":"01a2142f-b2c0-70a0-9508-968bd3cb1e45","place":1,"reason":null,"round_id":null,"seal":"d041db4dc2a6dcacb8a9141b2503d1f538e2579e9536a5113e52c2f25d36aab2","state":"waiting","state_id":1}','7bd9006de69795660bb128550f03998e523d37a0a8e909d33fb96fa10024e65c','56dbc1fe72dfa48ed5ce4e7340dba70ebacbd81da0f40e87345f48893a87bc37');
INSERT INTO "event" VALUES(57,'foyer-bar','2026-11-25T19:30:00.000000Z','round_begun',NULL,'{"glasses":[{"guest":"seat 14","name":"Green Room Cooler","order":1,"recipe_id":"green-room-cooler"},{"guest":null,"name":"Second Bell","recipe_id":"second-bell"}],"origin":"api","round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"80d3ea6102c10a663760a103dcf2a03490eefb44010dc10c4711eb2022c2b3e2"}','56dbc1fe72dfa48ed5ce4e7340dba70ebacbd81da0f40e87345f48893a87bc37','abf30c3e82f9ccec4091efb81060b7c82f44acc4c0654e724ad09858b696ee68');
INSERT INTO "event" VALUES(58,'foyer-bar','2026-11-25T19:30:00.000000Z','order_state',NULL,'{"glass_index":0,"number":1,"order_id":"01a2142f-b2c0-70a0-9508-968bd3cb1e45","place":1,"reason":null,"round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"bf700f5b648fd2dcc2cfbf144f99cdfdc29b1ad426c21f7b861fd6b3a855ab63","state":"in_round","state_id":2}','abf30c3e82f9ccec4091efb81060b7c82f44acc4c0654e724ad09858b696ee68','7cd1fe4f1c67ff7659e1a6dc1b98aea1f0b65c9e302e0a5637ff0e05dc37580a');
INSERT INTO "event" VALUES(59,'foyer-bar','2026-11-25T19:30:00.000000Z','guest_released',NULL,'{"glass_index":0,"guest":"seat 14","reason":"shares it with seat 15","release_id":1,"released_by":"the host","round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"a2d852ada4c2cfa3b34db291972aaf788da63afa94d44c4076aeebdce1ea0ce7"}','7cd1fe4f1c67ff7659e1a6dc1b98aea1f0b65c9e302e0a5637ff0e05dc37580a','6cbf3afc24af39e72746459d876354bde36c0a2152bff825a2031e17ffcc0eba');
INSERT INTO "event" VALUES(60,'foyer-bar','2026-11-25T19:30:00.000000Z','pour_begun','01a2142f-b2c0-70a2-8c32-37b07d31f8be','{"doses":[{"abv_percent":0.0,"channel":4,"density_g_per_ml":1.127032,"liquid_id":"prompters-cordial","liquid_name":"Prompter''s Cordial","target_g":49.90690797786987},{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":176.8785223213658}],"origin":"api","purpose":"drink","recipe":{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea/0/0/1"},"seal":"650620a04a0c69588b5561d3c0ce16e7f49e01fa21589265b40c350507168609"}','6cbf3afc24af39e72746459d876354bde36c0a2152bff825a2031e17ffcc0eba','597ad193f06811d2f08d85f026aeb07f6f5b6437d5fd0e63fc1b2f8a0959c8e2');
INSERT INTO "event" VALUES(61,'foyer-bar','2026-11-25T19:30:00.000000Z','order_state',NULL,'{"glass_index":0,"number":1,"order_id":"01a2142f-b2c0-70a0-9508-968bd3cb1e45","place":1,"reason":null,"round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"3b35f6c676f4bd3bbfb9c2986cc3e3e1beff11d53d66469344a633f800bd7f00","state":"pouring","state_id":3}','597ad193f06811d2f08d85f026aeb07f6f5b6437d5fd0e63fc1b2f8a0959c8e2','0d30b5a8769bc35d89601e7abbfde7c5167f2c5063587eb1bff6955614ee6e6b');
INSERT INTO "event" VALUES(62,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a2142f-b2c0-70a2-8c32-37b07d31f8be','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":49.90690797786987,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":0.085,"verdict":"within"},{"began_s":101.0,"cause":"target","cut_off_s":105.5,"delivered_g":176.8785223213658,"ended_s":107.25,"index":1,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":0.085,"verdict":"within"}],"drawn":[{"bottle_id":"cordial-1","change_g":-49.906908,"dose_index":0,"kind":"pour"},{"bottle_id":"water-1","change_g":-176.878522,"dose_index":1,"kind":"pour"}],"glass_g":246.0,"seal":"7bcadfabdbb136d5fef887775cb7e964af08590118d28d432ff5e678dc925de0","state":"complete","uncertainty_g":0.09}','0d30b5a8769bc35d89601e7abbfde7c5167f2c5063587eb1bff6955614ee6e6b','dcd80fe842a6fa280431756e05203e0a50ebce8e79370cda0643e24262c9a357');
INSERT INTO "event" VALUES(63,'foyer-bar','2026-11-25T19:30:30.000000Z','late_drips','01a2142f-b2c0-70a2-8c32-37b07d31f8be','{"dose_index":1,"dose_uncertainty_g":0.055,"dripped_g":0.125,"seal":"bb76c5cdb0191aa62d7e7c993226c7950884ee5a4b910b3e8cf1578af244930e","uncertainty_g":0.06}','dcd80fe842a6fa280431756e05203e0a50ebce8e79370cda0643e24262c9a357','5ba442ae74ad68ac609f5acb0282e7f55eccf0269c4ec248f54ce815daa7c226');
INSERT INTO "event" VALUES(64,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.059332660628655276,"ethanol_g":0.0,"mass_g":226.78543029923568,"sugar_g":14.972082689569561,"volume_ml":221.4196182056018},"ending":"complete","glass":0,"outcome_id":1,"pour_ids":["01a2142f-b2c0-70a2-8c32-37b07d31f8be"],"round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"45a0c1d3ecfd9da87a594f9f0a533dbe78ae5140100f1a449edc7f3a38888ae0"}','5ba442ae74ad68ac609f5acb0282e7f55eccf0269c4ec248f54ce815daa7c226','47be0900c95b97710c3cddea46fbd524f92dc89e3624b614b0a0d5df98695763');
INSERT INTO "event" VALUES(65,'foyer-bar','2026-11-25T19:30:30.000000Z','order_state',NULL,'{"glass_index":0,"number":1,"order_id":"01a2142f-b2c0-70a0-9508-968bd3cb1e45","place":1,"reason":null,"round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"52430bc2293efb781837a30004972e1b2194ed677cd2ef1d607530c963c5c276","state":"ready","state_id":4}','47be0900c95b97710c3cddea46fbd524f92dc89e3624b614b0a0d5df98695763','6f56fed7ab0c2fc2c021d08c9328fdcde1e15a714962437d61e4fbe17e364b70');
INSERT INTO "event" VALUES(66,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.0,"ethanol_g":0.0,"mass_g":0.0,"sugar_g":0.0,"volume_ml":0.0},"ending":"skipped","glass":1,"outcome_id":2,"pour_ids":[],"round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"aa33a90dc9df50c6b1ce99bf43bcae8525e904dc4083fdaaa797abbbacdd049f"}','6f56fed7ab0c2fc2c021d08c9328fdcde1e15a714962437d61e4fbe17e364b70','ebee6bc8024d5e8e259ba7a45149bf6460aa4255f7d85e9f87454b21f693fd5a');
INSERT INTO "event" VALUES(67,'foyer-bar','2026-11-25T19:30:30.000000Z','round_ended',NULL,'{"round_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea","seal":"6ceb483343864b49b5aacaf5c74deeb11bbe73f59f360d4308c9c55c20e141b0","state":"complete"}','ebee6bc8024d5e8e259ba7a45149bf6460aa4255f7d85e9f87454b21f693fd5a','ca45881f872a95e88967ebe0d797769bd38a0122d4cd3f7ffa4ab6ce01d7e8da');
INSERT INTO "event" VALUES(68,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_begun','01a21430-27f0-707c-bb45-798749b0c33c','{"doses":[{"abv_percent":40.0,"channel":2,"density_g_per_ml":0.948045,"liquid_id":"footlight-spirit","liquid_name":"Footlight Spirit","target_g":15.0}],"origin":"api","purpose":"prime","recipe":null,"seal":"d55e4c8264394dd3e2dcb5afc385c7c8f59635478878448a84b6b48cf98cf83a"}','ca45881f872a95e88967ebe0d797769bd38a0122d4cd3f7ffa4ab6ce01d7e8da','456a9801f93590001ed5101f5e929b37a1500ad8d1f631736176dc6d484b9b17');
INSERT INTO "event" VALUES(69,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a21430-27f0-707c-bb45-798749b0c33c','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":12.5,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":null,"verdict":"within"}],"drawn":[{"bottle_id":"footlight-1","change_g":-12.5,"dose_index":0,"kind":"prime"}],"glass_g":null,"seal":"1710713339f2e9601975352b746979b612bae886e0c4b3b5a93a71e0a481c225","state":"complete","uncertainty_g":null}','456a9801f93590001ed5101f5e929b37a1500ad8d1f631736176dc6d484b9b17','ca3872d9fc0527618f498f72957bbcfd5c7e046c5c65ef27cabaed222c461b78');
INSERT INTO "event" VALUES(70,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_begun','01a21431-1250-7006-9eb2-e34f0676b0f1','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"115e86039435eef5afeffb755ca3a5fd669c09ea514f6173b9b0907dca78dd3c"}','ca3872d9fc0527618f498f72957bbcfd5c7e046c5c65ef27cabaed222c461b78','81a0452c4996fbd3d09bfe3f6624d3c9396326b477a267ccaf540cc69b896d9d');
INSERT INTO "event" VALUES(71,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_ended','01a21431-1250-7006-9eb2-e34f0676b0f1','{"cause":"link_lost","delivered_g":26.25,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":26.25,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"uncertainty_g":null,"verdict":null}],"drawn":[{"bottle_id":"water-1","change_g":-26.25,"dose_index":0,"kind":"pour"}],"glass_g":251.3,"seal":"1c28280f3330f8b9e1aed1a25bab57ed34a4149f2078e3cf6bb1f7364533a8b6","state":"aborted","uncertainty_g":null}','81a0452c4996fbd3d09bfe3f6624d3c9396326b477a267ccaf540cc69b896d9d','583af46cd73ddbd232ac9d542539d1a3a6540e3cbefc7873b23fb09dce3b56cf');
INSERT INTO "event" VALUES(72,'foyer-bar','2026-11-25T19:31:30.000000Z','found_later','01a21431-1250-7006-9eb2-e34f0676b0f1','{"certainty":"weighed","dose_index":0,"drawn":[{"bottle_id":"water-1","change_g":-2.75,"dose_index":0,"kind":"found"}],"found_g":2.75,"reason":null,"seal":"212cb770b0a334a7e81bb76df2187e4c3d7e9dd8f8c2759bddfb1e893c65808c"}','583af46cd73ddbd232ac9d542539d1a3a6540e3cbefc7873b23fb09dce3b56cf','ab0e2de72d4082188e5f45de5f90c2509df8fd1bbc3d9acbfd6e424db0384fa1');
INSERT INTO "event" VALUES(73,'foyer-bar','2026-11-25T19:32:30.000000Z','pour_begun','01a21431-fcb0-7013-bc01-921de189e5eb','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"30d2af814dc52dccff8fdcb08aa551e1ba6d0595c6efa3005a2d7bc19afa9abe"}','ab0e2de72d4082188e5f45de5f90c2509df8fd1bbc3d9acbfd6e424db0384fa1','d558fb47bd09175056a7205441a49946fc6939333332f543b2242a9ef309a814');
INSERT INTO "event" VALUES(74,'foyer-bar','2026-11-25T19:32:30.000000Z','recording_added','01a21431-fcb0-7013-bc01-921de189e5eb','{"cause":"link_lost","id":"01a21431-fcb0-7070-9408-fd861cd848cb"}','d558fb47bd09175056a7205441a49946fc6939333332f543b2242a9ef309a814','eabec22cedf3dee0d7a32e611bc361b02e1eb84f161586fe9f03896bf8d4b949');
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
INSERT INTO "found_later" VALUES('01a21431-1250-7006-9eb2-e34f0676b0f1','foyer-bar','2026-11-25T19:31:30.000000Z','weighed',2.75,0,NULL);
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
INSERT INTO "guest_release" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','seat 14','01a2142f-b2c0-70a1-a827-04375e70a4ea',0,'the host','shares it with seat 15');
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
INSERT INTO "inflight" VALUES(1,'foyer-bar','2026-11-25T19:30:30.000000Z',1,'house-water',0.3,0.02,8.25,1,'01a2142f-b2c0-70a2-8c32-37b07d31f8be','{"100":0.39}',0.03,'[]','[{"after_s":0.45,"count":1,"lack_s":-0.02,"spread_s":0.01}]');
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
INSERT INTO "late_drips" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be','foyer-bar','2026-11-25T19:30:30.000000Z',1,0.125,0.055,0.06);
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
INSERT INTO "pour" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be','foyer-bar','2026-11-25T19:30:00.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658}],"glass_holds_g":226.78543029923568,"keep_proportions":true,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink','{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-70a1-a827-04375e70a4ea/0/0/1"}');
INSERT INTO "pour" VALUES('01a21430-27f0-707c-bb45-798749b0c33c','foyer-bar','2026-11-25T19:30:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":2,"liquid_id":"footlight-spirit","target_g":15.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"prime"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'prime',NULL);
INSERT INTO "pour" VALUES('01a21431-1250-7006-9eb2-e34f0676b0f1','foyer-bar','2026-11-25T19:31:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
INSERT INTO "pour" VALUES('01a21431-fcb0-7013-bc01-921de189e5eb','foyer-bar','2026-11-25T19:32:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"drips":{},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"flow_share":0.03,"lag_s":0.31,"runs":[],"settling":[],"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
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
INSERT INTO "pour_outcome" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,246.0,0.09);
INSERT INTO "pour_outcome" VALUES('01a21430-27f0-707c-bb45-798749b0c33c','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,NULL,NULL);
INSERT INTO "pour_outcome" VALUES('01a21431-1250-7006-9eb2-e34f0676b0f1','foyer-bar','2026-11-25T19:31:30.000000Z','aborted','link_lost',26.25,251.3,NULL);
CREATE TABLE recipe (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	steps TEXT NOT NULL, 
	glass_id TEXT, 
	volume_ml DOUBLE, 
	note TEXT NOT NULL, 
	active BOOLEAN NOT NULL, price DOUBLE, 
	CONSTRAINT pk_recipe PRIMARY KEY (id), 
	CONSTRAINT ck_recipe_steps CHECK (json_valid(steps)), 
	CONSTRAINT ck_recipe_volume CHECK (volume_ml > 0), 
	CONSTRAINT fk_recipe_glass_id_glass FOREIGN KEY(glass_id) REFERENCES glass (id)
);
INSERT INTO "recipe" VALUES('green-room-cooler','foyer-bar','Green Room Cooler','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}]','foyer-tumbler',NULL,'',1,2.5);
INSERT INTO "recipe" VALUES('half-hour-call','foyer-bar','Half-hour Call','[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}]','short-glass',140.0,'',1,3.2);
INSERT INTO "recipe" VALUES('matinee-fizz','foyer-bar','Matinée Fizz','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}]','foyer-tumbler',NULL,'the soda fills what is left of the glass',1,3.8);
INSERT INTO "recipe" VALUES('second-bell','foyer-bar','Second Bell','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}]','foyer-tumbler',NULL,'',1,6.5);
INSERT INTO "recipe" VALUES('curtain-up','foyer-bar','Curtain Up','[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}]','short-glass',100.0,'',1,7.0);
INSERT INTO "recipe" VALUES('long-overture','foyer-bar','Long Overture','[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}]','foyer-tumbler',180.0,'',1,6.8);
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
INSERT INTO "recording" VALUES('01a21431-fcb0-7070-9408-fd861cd848cb','foyer-bar','2026-11-25T19:32:20.000000Z','link_lost','01a21431-fcb0-7013-bc01-921de189e5eb','0.1.0',-10.0,10.0,X'01');
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
INSERT INTO "round" VALUES('01a2142f-b2c0-70a1-a827-04375e70a4ea','foyer-bar','2026-11-25T19:30:00.000000Z','key-1','print-1','api','0.1.0',0,'{"footlight-spirit":{"abv_percent":40.0,"active":true,"allergens":[],"colour":null,"cost_per_l":21.0,"density":{"at_c":20.0,"g_per_ml":0.948045,"origin":"strength","uncertainty_g_per_ml":0.00048},"id":"footlight-spirit","name":"Footlight Spirit","note":"","serving_c":20.0,"sugar_g_per_l":0.0},"foyer-soda":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#d5e4e6","cost_per_l":0.6,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"foyer-soda","name":"Foyer Soda","note":"never through a pump: it foams; topped up by hand","serving_c":6.0,"sugar_g_per_l":0.0},"gallery-juice":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#e08a2e","cost_per_l":2.4,"density":{"at_c":20.0,"g_per_ml":1.042,"origin":"weighed","uncertainty_g_per_ml":0.007221},"id":"gallery-juice","name":"Gallery Juice","note":"","serving_c":8.0,"sugar_g_per_l":98.0},"house-water":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#bcd8e0","cost_per_l":0.1,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"house-water","name":"House Water","note":"","serving_c":18.0,"sugar_g_per_l":0.0},"prompters-cordial":{"abv_percent":0.0,"active":true,"allergens":[],"colour":"#6f9e3f","cost_per_l":4.2,"density":{"at_c":20.0,"g_per_ml":1.127032,"origin":"brix","uncertainty_g_per_ml":0.002425},"id":"prompters-cordial","name":"Prompter''s Cordial","note":"","serving_c":20.0,"sugar_g_per_l":338.11}}');
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
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-70a1-a827-04375e70a4ea',0,'foyer-bar','green-room-cooler','seat 14','{"drink":{"allergens":[],"allergens_unknown":["a slice of cucumber"],"blockers":[],"cost":0.20369588148180479,"glass_holds_g":226.78543029923566,"glass_id":"foyer-tumbler","name":"Green Room Cooler","notes":[],"price":2.5,"recipe_id":"green-room-cooler","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.5803817943982},{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987,"time_s":null,"volume_ml":44.28171336560973,"volume_uncertainty_ml":0.09527959712909981},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658,"time_s":null,"volume_ml":177.12685346243893,"volume_uncertainty_ml":0.013983946973182261},{"mass_g":0.0,"step":{"amount":null,"ice_g":0.0,"kind":"garnish","liquid_id":null,"text":"","what":"a slice of cucumber"},"volume_ml":0.0}],"strength":{"contraction_ml":0.0593326606286837,"ethanol_g":0.0,"mass_g":226.78543029923566,"sugar_g":14.972082689569561,"volume_ml":221.41961820560178},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":226.78543029923568,"time_s":null,"volume_ml":221.41961820560178,"volume_uncertainty_ml":0.09630032399754603},"guest":"seat 14","may_grow":true,"order":{"id":"01a2142f-b2c0-70a0-9508-968bd3cb1e45","number":1},"strength_open":false}');
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-70a1-a827-04375e70a4ea',1,'foyer-bar','second-bell',NULL,'{"drink":{"allergens":[],"allergens_unknown":[],"blockers":[],"cost":0.8130000000000001,"glass_holds_g":224.9533919824239,"glass_id":"foyer-tumbler","name":"Second Bell","notes":[],"price":6.5,"recipe_id":"second-bell","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.957010067935016},{"channel":2,"liquid_id":"footlight-spirit","target_g":23.701125,"time_s":null,"volume_ml":25.0,"volume_uncertainty_ml":0.012657627011376042},{"channel":5,"liquid_id":"gallery-juice","target_g":114.87102854726075,"time_s":null,"volume_ml":110.0,"volume_uncertainty_ml":0.7638082279574953},{"mass_g":39.997692417611105,"step":{"amount":{"kind":"volume_ml","value":40.0},"ice_g":0.0,"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"},"volume_ml":40.0}],"strength":{"contraction_ml":-0.15506177486420825,"ethanol_g":7.892389960301733,"mass_g":178.56984596487183,"sugar_g":10.86734672045023,"volume_ml":175.46573677300924},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":138.57215354726074,"time_s":null,"volume_ml":175.46573677300924,"volume_uncertainty_ml":0.7943524536856084},"guest":null,"may_grow":true,"order":null,"strength_open":false}');
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
INSERT INTO "round_glass_outcome" VALUES(1,'foyer-bar','01a2142f-b2c0-70a1-a827-04375e70a4ea',0,0,'2026-11-25T19:30:30.000000Z','complete','["01a2142f-b2c0-70a2-8c32-37b07d31f8be"]',2.26785430299235684975e+02,2.21419618205601807401e+02,5.93326606286552760138e-02,0.0,1.49720826895695608978e+01);
INSERT INTO "round_glass_outcome" VALUES(2,'foyer-bar','01a2142f-b2c0-70a1-a827-04375e70a4ea',1,0,'2026-11-25T19:30:30.000000Z','skipped','[]',0.0,0.0,0.0,0.0,0.0);
CREATE TABLE round_outcome (
	round_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	ended_at TEXT NOT NULL, 
	state TEXT NOT NULL, 
	CONSTRAINT pk_round_outcome PRIMARY KEY (round_id), 
	CONSTRAINT ck_round_outcome_state CHECK (state IN ('complete', 'stopped', 'aborted', 'interrupted')), 
	CONSTRAINT fk_round_outcome_round_id_round FOREIGN KEY(round_id) REFERENCES round (id)
);
INSERT INTO "round_outcome" VALUES('01a2142f-b2c0-70a1-a827-04375e70a4ea','foyer-bar','2026-11-25T19:30:30.000000Z','complete');
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
INSERT INTO "service" VALUES('01a2142f-b2c0-7070-b84e-73c01993aa8c','foyer-bar','2026-11-25T19:30:00.000000Z','The Paper Lantern, second night',1,'mWgkaBI68FZqacFdja8wIGIURUuBKe2acAZDK7M9xCo',NULL);
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
	CONSTRAINT ck_stock_movement_pour_with_dose CHECK ((pour_id IS NULL) = (dose_index IS NULL)), 
	CONSTRAINT fk_stock_movement_bottle_id_bottle FOREIGN KEY(bottle_id) REFERENCES bottle (id), 
	CONSTRAINT fk_stock_movement_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index), 
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
INSERT INTO "stock_movement" VALUES(10,'foyer-bar','2026-11-25T19:30:30.000000Z','cordial-1','pour',-49.906908,'01a2142f-b2c0-70a2-8c32-37b07d31f8be',0);
INSERT INTO "stock_movement" VALUES(11,'foyer-bar','2026-11-25T19:30:30.000000Z','water-1','pour',-176.878522,'01a2142f-b2c0-70a2-8c32-37b07d31f8be',1);
INSERT INTO "stock_movement" VALUES(12,'foyer-bar','2026-11-25T19:30:30.000000Z','footlight-1','prime',-12.5,'01a21430-27f0-707c-bb45-798749b0c33c',0);
INSERT INTO "stock_movement" VALUES(13,'foyer-bar','2026-11-25T19:31:30.000000Z','water-1','pour',-26.25,'01a21431-1250-7006-9eb2-e34f0676b0f1',0);
INSERT INTO "stock_movement" VALUES(14,'foyer-bar','2026-11-25T19:31:30.000000Z','water-1','found',-2.75,'01a21431-1250-7006-9eb2-e34f0676b0f1',0);
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
INSERT INTO "trace_chunk" VALUES('01a2142f-b2c0-70a2-8c32-37b07d31f8be',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21430-27f0-707c-bb45-798749b0c33c',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-1250-7006-9eb2-e34f0676b0f1',0,'foyer-bar','2026-11-25T19:31:30.000000Z',14,26.25,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-fcb0-7013-bc01-921de189e5eb',0,'foyer-bar','2026-11-25T19:32:30.000000Z',14,10.5,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-fcb0-7013-bc01-921de189e5eb',1,'foyer-bar','2026-11-25T19:32:30.000000Z',1,10.5,X'02789C636440060E910ED1D14A4E89398979C9A9294A3AD54A997929A9154A56063A4A892929A929F1E940B61E90575C90995302E219EA99EA28A5E497269540E48C4C6B6363012DC815F6');
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
