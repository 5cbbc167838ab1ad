BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
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
INSERT INTO "bottle" VALUES('on-1','foyer-bar','elderflower',700.0,70.0,480.0,1,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('on-3','foyer-bar','act-two-bitter',700.0,70.0,480.0,3,'2026-11-25T19:30:00.000000Z');
INSERT INTO "bottle" VALUES('elderflower-1','foyer-bar','elderflower',714.0,70.0,480.0,NULL,NULL);
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
INSERT INTO "channel" VALUES(1,'foyer-bar','elderflower','place 1');
INSERT INTO "channel" VALUES(3,'foyer-bar','act-two-bitter','place 3');
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
INSERT INTO "dose" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514',0,'foyer-bar',1,'elderflower','Elderflower water',1.02,NULL,40.0);
INSERT INTO "dose" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514',1,'foyer-bar',3,'act-two-bitter','Act Two bitter',0.985,24.0,41.0);
INSERT INTO "dose" VALUES('01a21431-1638-7020-9558-bb115cedb078',0,'foyer-bar',1,'elderflower','Elderflower water',1.02,NULL,40.0);
INSERT INTO "dose" VALUES('01a21432-0098-70c5-808b-eacd8d872c72',0,'foyer-bar',1,'elderflower','Elderflower water',1.02,NULL,40.0);
INSERT INTO "dose" VALUES('01a21432-0098-70c5-808b-eacd8d872c72',1,'foyer-bar',3,'act-two-bitter','Act Two bitter',0.985,24.0,41.0);
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
	target_g DOUBLE, 
	CONSTRAINT pk_dose_outcome PRIMARY KEY (pour_id, dose_index), 
	CONSTRAINT ck_dose_outcome_verdict CHECK (verdict IN ('within', 'under', 'over')), 
	CONSTRAINT fk_dose_outcome_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index)
);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514',0,'foyer-bar',40.2,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514',1,'foyer-bar',41.3,2.4,8.3,1,101.0,105.5,107.25,'within','target',41.2);
INSERT INTO "dose_outcome" VALUES('01a21431-1638-7020-9558-bb115cedb078',0,'foyer-bar',12.5,2.4,8.3,1,100.0,105.5,107.25,NULL,'target',NULL);
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
INSERT INTO "event" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":null,"active":true,"allergens":null,"cost_per_l":null,"density_at_c":20.0,"density_g_per_ml":1.02,"density_origin":"entered","density_uncertainty_g_per_ml":0.0051,"id":"elderflower","name":"Elderflower water","note":"","serving_c":20.0,"sugar_g_per_l":null}','0000000000000000000000000000000000000000000000000000000000000000','0684a249b7ba701ae2b02d52a99b9888cb3967221735784a702795553ff53500');
INSERT INTO "event" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":24.0,"active":true,"allergens":["nuts"],"cost_per_l":null,"density_at_c":20.0,"density_g_per_ml":0.985,"density_origin":"entered","density_uncertainty_g_per_ml":0.004925,"id":"act-two-bitter","name":"Act Two bitter","note":"from the theatre''s own recipe","serving_c":20.0,"sugar_g_per_l":null}','0684a249b7ba701ae2b02d52a99b9888cb3967221735784a702795553ff53500','fcf63b8e7eab8db2b90beb528dbd0cd8d2a778488bd793660b6818e391a40e23');
INSERT INTO "event" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":["nuts"],"cost_per_l":7.5,"density_at_c":20.0,"density_g_per_ml":1.3165551149644952,"density_origin":"brix","density_uncertainty_g_per_ml":0.0030838081069497775,"id":"house-syrup","name":"House Syrup","note":"hazelnut","serving_c":18.0,"sugar_g_per_l":855.8}','fcf63b8e7eab8db2b90beb528dbd0cd8d2a778488bd793660b6818e391a40e23','944e05d40a4d0bee685cc0db4a30ac3c5986f4dff68b1347f72dddffb5a6fc2b');
INSERT INTO "event" VALUES(4,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":null,"active":true,"allergens":null,"cost_per_l":null,"density_at_c":20.0,"density_g_per_ml":0.98,"density_origin":"entered","density_uncertainty_g_per_ml":0.0049,"id":"stage-fog","name":"Stage Fog","note":"","serving_c":20.0,"sugar_g_per_l":null}','944e05d40a4d0bee685cc0db4a30ac3c5986f4dff68b1347f72dddffb5a6fc2b','0b38bcbd751cca1e7ed19a7ee62667043ebc2371f99a83a279a9c81dabcdece7');
INSERT INTO "event" VALUES(5,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_retired',NULL,'{"id":"stage-fog"}','0b38bcbd751cca1e7ed19a7ee62667043ebc2371f99a83a279a9c81dabcdece7','59c91ecf1a2763b5c1f4742806cf9090cfec25e5e8f972b5455c02ff12b4b325');
INSERT INTO "event" VALUES(6,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"brim_ml":320.0,"headroom_ml":20.0,"heaviest_g":230.0,"id":"foyer-tumbler","lightest_g":180.0,"name":"Foyer tumbler"}','59c91ecf1a2763b5c1f4742806cf9090cfec25e5e8f972b5455c02ff12b4b325','efc8fc69d5da1f1655f9bc640bba9155fc9d76e56b4fc362a68f270d362d6a23');
INSERT INTO "event" VALUES(7,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"second-bell","name":"Second Bell","note":"served before the interval","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":44.36},"liquid_id":"act-two-bitter","text":"1.5 oz"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"elderflower","text":"2 parts"}},{"hand":{"amount":{"kind":"parts","value":1.0},"kind":"top_up","text":"1 part","what":"with still water"}},{"hand":{"kind":"garnish","what":"a leaf of mint"}}],"volume_ml":null}','efc8fc69d5da1f1655f9bc640bba9155fc9d76e56b4fc362a68f270d362d6a23','d0dc6c4e7be49730c2f97669b7a2f8129c2e15d56d642b3c53f503b99810f838');
INSERT INTO "event" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"elderflower","name":"place 1","number":1}','d0dc6c4e7be49730c2f97669b7a2f8129c2e15d56d642b3c53f503b99810f838','2ebe0a14f0246f071394f1285b703831bd2284047e7f081b1189d2ed3f139089');
INSERT INTO "event" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":700.0,"id":"on-1","liquid_id":"elderflower","low_g":70.0,"opened_at":null,"tare_g":480.0}','2ebe0a14f0246f071394f1285b703831bd2284047e7f081b1189d2ed3f139089','16ac4d8c9af77c5958eeb7620828334f292cac2bf33e8e96ce73dded9d2e667e');
INSERT INTO "event" VALUES(10,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"on-1","change_g":700.0,"kind":"opening","movement_id":1,"seal":"e99f1e758459ce2f1efe7c38528187fb10f9edebde0c4c2ff8d6ef7c0c40344b"}','16ac4d8c9af77c5958eeb7620828334f292cac2bf33e8e96ce73dded9d2e667e','e94e20b6dede5115b2f866a4e9fdc2bd998c8cd435af36e3e532738206a9fb3b');
INSERT INTO "event" VALUES(11,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":1,"id":"on-1","liquid_id":"elderflower"}','e94e20b6dede5115b2f866a4e9fdc2bd998c8cd435af36e3e532738206a9fb3b','6c7c9795529fcca60dc5d3173222fac54df373a6bd3661f2ffb6fe8cb9177d3d');
INSERT INTO "event" VALUES(12,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"act-two-bitter","name":"place 3","number":3}','6c7c9795529fcca60dc5d3173222fac54df373a6bd3661f2ffb6fe8cb9177d3d','f97fc749b10599021727ab65bddad8954089be7f20e5bb760d3b27786dbda012');
INSERT INTO "event" VALUES(13,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":700.0,"id":"on-3","liquid_id":"act-two-bitter","low_g":70.0,"opened_at":null,"tare_g":480.0}','f97fc749b10599021727ab65bddad8954089be7f20e5bb760d3b27786dbda012','038f6c293077480bb5a50be41d716de6fe402171bce5f5d20f932bde05881834');
INSERT INTO "event" VALUES(14,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"on-3","change_g":700.0,"kind":"opening","movement_id":2,"seal":"186a84a9e1f8d7e9bbc9f346a82c9572036e18af8ba1cf1b62191b853f16b293"}','038f6c293077480bb5a50be41d716de6fe402171bce5f5d20f932bde05881834','077af01ff3918d1a861971308698b0f4ad81a82b1d8ac136041435d354c4e9bf');
INSERT INTO "event" VALUES(15,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":3,"id":"on-3","liquid_id":"act-two-bitter"}','077af01ff3918d1a861971308698b0f4ad81a82b1d8ac136041435d354c4e9bf','80ffdce62760d184c2499ca03a638e338de9d3bcc24b0e5b8382e2705dd00150');
INSERT INTO "event" VALUES(16,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":714.0,"id":"elderflower-1","liquid_id":"elderflower","low_g":70.0,"opened_at":null,"tare_g":480.0}','80ffdce62760d184c2499ca03a638e338de9d3bcc24b0e5b8382e2705dd00150','eab0e74403c3a161bfb3c4fd047f8fefa3741d9b5fffaf5cdb64afdaf2d8a933');
INSERT INTO "event" VALUES(17,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"elderflower-1","change_g":700.0,"kind":"opening","movement_id":3,"seal":"1e504073119fc2ccdc2152c461837ff0cd33c850cd93ce294ef39973756dcccc"}','eab0e74403c3a161bfb3c4fd047f8fefa3741d9b5fffaf5cdb64afdaf2d8a933','84eaa5f7114cb11a5d96d0a539a997458a78af86ce7dc83d0faa0e3f1d96ab9e');
INSERT INTO "event" VALUES(18,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"brim_ml":320.0,"headroom_ml":20.0,"heaviest_g":null,"id":"thimble","lightest_g":null,"name":"Thimble"}','84eaa5f7114cb11a5d96d0a539a997458a78af86ce7dc83d0faa0e3f1d96ab9e','1189fa9b3926eda40f5fc8393e19d433300e54f46eff10336266e2d1d300c4c9');
INSERT INTO "event" VALUES(19,'foyer-bar','2026-11-25T19:30:00.000000Z','calibrated',NULL,'{"calibration_id":1,"counts_per_g":1998.25,"how":"two_point","seal":"8973ae2eec4e9fab10ff0b6bd521cbfd8640aa11d381066ff7fa2bc8465a9723","zero_counts":-84213.4}','1189fa9b3926eda40f5fc8393e19d433300e54f46eff10336266e2d1d300c4c9','9f905f4fb4c101c660df11e20e1014137ac4e6866a3b1410fa2f0c90c1752c50');
INSERT INTO "event" VALUES(20,'foyer-bar','2026-11-25T19:30:00.000000Z','pour_begun','01a2142f-b2c0-70a4-bbaa-673fe784b514','{"doses":[{"abv_percent":null,"channel":1,"density_g_per_ml":1.02,"liquid_id":"elderflower","liquid_name":"Elderflower water","target_g":40.0},{"abv_percent":24.0,"channel":3,"density_g_per_ml":0.985,"liquid_id":"act-two-bitter","liquid_name":"Act Two bitter","target_g":41.0}],"origin":"api","purpose":"drink","recipe":{"glass_id":"foyer-tumbler","name":"Second Bell","recipe_id":"second-bell","serving_id":"0195-serving"},"seal":"20e22eaaf187a678562bca25a8f75e77649f836391172e72cdf28701bf5b1c2a"}','9f905f4fb4c101c660df11e20e1014137ac4e6866a3b1410fa2f0c90c1752c50','c1306ec1fedbc784af37d4864acafc108ef85d82d573e7d83f66cf533a73200b');
INSERT INTO "event" VALUES(21,'foyer-bar','2026-11-25T19:30:31.000000Z','pour_ended','01a2142f-b2c0-70a4-bbaa-673fe784b514','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":40.2,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"},{"began_s":101.0,"cause":"target","cut_off_s":105.5,"delivered_g":41.3,"ended_s":107.25,"index":1,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":41.2,"verdict":"within"}],"drawn":[{"bottle_id":"on-1","change_g":-40.2,"dose_index":0,"kind":"pour"},{"bottle_id":"on-3","change_g":-41.3,"dose_index":1,"kind":"pour"}],"glass_g":251.3,"seal":"1d6bca9f3bdba9bf5851a64b57e71f732c1bcda205ac01bd2570762d42d49084","state":"complete"}','c1306ec1fedbc784af37d4864acafc108ef85d82d573e7d83f66cf533a73200b','687dc62639eaefb2e9325fac2870298c73383591b8f00bc392aa83986588bcaf');
INSERT INTO "event" VALUES(22,'foyer-bar','2026-11-25T19:31:31.000000Z','pour_begun','01a21431-1638-7020-9558-bb115cedb078','{"doses":[{"abv_percent":null,"channel":1,"density_g_per_ml":1.02,"liquid_id":"elderflower","liquid_name":"Elderflower water","target_g":40.0}],"origin":"api","purpose":"prime","recipe":null,"seal":"cba4f1d7d3e4690a2c1b97a605da5aa275332a08ccc5d3d3a39401c26049f8e8"}','687dc62639eaefb2e9325fac2870298c73383591b8f00bc392aa83986588bcaf','02c4dae1ff28c7ad079c784c4fdef493e84ec90a5635daae8030d43c8f576498');
INSERT INTO "event" VALUES(23,'foyer-bar','2026-11-25T19:31:31.000000Z','pour_ended','01a21431-1638-7020-9558-bb115cedb078','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":12.5,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":null}],"drawn":[{"bottle_id":"on-1","change_g":-12.5,"dose_index":0,"kind":"prime"}],"glass_g":null,"seal":"786f075f6ff0dbdf15e4bac80cd417975283c9def372bd233f2ac93c0190042f","state":"complete"}','02c4dae1ff28c7ad079c784c4fdef493e84ec90a5635daae8030d43c8f576498','68c1624f1953cb7bfa5095756add4c08993dbebdac41d8086937cc1f10cb4e29');
INSERT INTO "event" VALUES(24,'foyer-bar','2026-11-25T19:32:31.000000Z','pour_begun','01a21432-0098-70c5-808b-eacd8d872c72','{"doses":[{"abv_percent":null,"channel":1,"density_g_per_ml":1.02,"liquid_id":"elderflower","liquid_name":"Elderflower water","target_g":40.0},{"abv_percent":24.0,"channel":3,"density_g_per_ml":0.985,"liquid_id":"act-two-bitter","liquid_name":"Act Two bitter","target_g":41.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"c29a0b59dd3a5a0fe25d9570e1798451457eab5a81aab00f1d4cb377d16faf89"}','68c1624f1953cb7bfa5095756add4c08993dbebdac41d8086937cc1f10cb4e29','6ea9a16fd9603c65ff577adf2168db6cf84b70e086bbdba76990fc9bd8d08530');
CREATE TABLE glass (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	brim_ml DOUBLE NOT NULL, 
	headroom_ml DOUBLE NOT NULL, 
	lightest_g DOUBLE, 
	heaviest_g DOUBLE, 
	active BOOLEAN NOT NULL, 
	CONSTRAINT pk_glass PRIMARY KEY (id), 
	CONSTRAINT ck_glass_brim CHECK (brim_ml > 0), 
	CONSTRAINT ck_glass_headroom CHECK (headroom_ml >= 0 AND headroom_ml < brim_ml), 
	CONSTRAINT ck_glass_mass_range CHECK (lightest_g <= heaviest_g), 
	CONSTRAINT ck_glass_both_masses CHECK ((lightest_g IS NULL) = (heaviest_g IS NULL))
);
INSERT INTO "glass" VALUES('foyer-tumbler','foyer-bar','Foyer tumbler',320.0,20.0,180.0,230.0,1);
INSERT INTO "glass" VALUES('thimble','foyer-bar','Thimble',320.0,20.0,NULL,NULL,1);
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
	pour_id TEXT, 
	CONSTRAINT pk_inflight PRIMARY KEY (id), 
	CONSTRAINT fk_inflight_liquid_id_liquid FOREIGN KEY(liquid_id) REFERENCES liquid (id), 
	CONSTRAINT fk_inflight_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "inflight" VALUES(1,'foyer-bar','2026-11-25T19:30:31.000000Z',1,'elderflower',0.3,0.02,8.25,1,'01a2142f-b2c0-70a4-bbaa-673fe784b514');
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
	active BOOLEAN NOT NULL, 
	CONSTRAINT pk_liquid PRIMARY KEY (id), 
	CONSTRAINT ck_liquid_density CHECK (density_g_per_ml BETWEEN 0.7 AND 1.6), 
	CONSTRAINT ck_liquid_density_uncertainty CHECK (density_uncertainty_g_per_ml >= 0), 
	CONSTRAINT ck_liquid_density_origin CHECK (density_origin IN ('water', 'strength', 'brix', 'strength and sugar', 'entered', 'weighed')), 
	CONSTRAINT ck_liquid_abv CHECK (abv_percent BETWEEN 0 AND 100), 
	CONSTRAINT ck_liquid_sugar CHECK (sugar_g_per_l >= 0), 
	CONSTRAINT ck_liquid_cost CHECK (cost_per_l >= 0)
);
INSERT INTO "liquid" VALUES('elderflower','foyer-bar','Elderflower water',1.02,0.0051,'entered',20.0,NULL,NULL,NULL,NULL,20.0,'',1);
INSERT INTO "liquid" VALUES('act-two-bitter','foyer-bar','Act Two bitter',0.985,0.004925,'entered',20.0,24.0,NULL,'["nuts"]',NULL,20.0,'from the theatre''s own recipe',1);
INSERT INTO "liquid" VALUES('house-syrup','foyer-bar','House Syrup',1.31655511496449517672e+00,3.0838081069497775416e-03,'brix',20.0,0.0,855.8,'["nuts"]',7.5,18.0,'hazelnut',1);
INSERT INTO "liquid" VALUES('stage-fog','foyer-bar','Stage Fog',0.98,0.0049,'entered',20.0,NULL,NULL,NULL,NULL,20.0,'',0);
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
INSERT INTO "pour" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514','foyer-bar','2026-11-25T19:30:00.000000Z','key-1','print-1','{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"elderflower","target_g":40.0},{"channel":3,"liquid_id":"act-two-bitter","target_g":41.0}],"glass_holds_g":300.0,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"keep_taste":true,"lease_ms":400,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"purge_most_g":100.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0','foyer-01','0.1.0','drink','{"glass_id":"foyer-tumbler","name":"Second Bell","recipe_id":"second-bell","serving_id":"0195-serving"}');
INSERT INTO "pour" VALUES('01a21431-1638-7020-9558-bb115cedb078','foyer-bar','2026-11-25T19:31:31.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"elderflower","target_g":40.0}],"glass_holds_g":300.0,"keep_proportions":false,"purpose":"prime"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"keep_taste":true,"lease_ms":400,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"purge_most_g":100.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0','foyer-01','0.1.0','prime',NULL);
INSERT INTO "pour" VALUES('01a21432-0098-70c5-808b-eacd8d872c72','foyer-bar','2026-11-25T19:32:31.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"elderflower","target_g":40.0},{"channel":3,"liquid_id":"act-two-bitter","target_g":41.0}],"glass_holds_g":300.0,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"keep_taste":true,"lease_ms":400,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"purge_most_g":100.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0','foyer-01','0.1.0','drink',NULL);
CREATE TABLE pour_outcome (
	pour_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	ended_at TEXT NOT NULL, 
	state TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	delivered_g DOUBLE, 
	glass_g DOUBLE, 
	CONSTRAINT pk_pour_outcome PRIMARY KEY (pour_id), 
	CONSTRAINT ck_pour_outcome_state CHECK (state IN ('complete', 'stopped', 'aborted', 'interrupted')), 
	CONSTRAINT fk_pour_outcome_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "pour_outcome" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514','foyer-bar','2026-11-25T19:30:31.000000Z','complete','target',81.3,251.3);
INSERT INTO "pour_outcome" VALUES('01a21431-1638-7020-9558-bb115cedb078','foyer-bar','2026-11-25T19:31:31.000000Z','complete','target',81.3,NULL);
CREATE TABLE recipe (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	steps TEXT NOT NULL, 
	glass_id TEXT, 
	volume_ml DOUBLE, 
	note TEXT NOT NULL, 
	active BOOLEAN NOT NULL, 
	CONSTRAINT pk_recipe PRIMARY KEY (id), 
	CONSTRAINT ck_recipe_steps CHECK (json_valid(steps)), 
	CONSTRAINT ck_recipe_volume CHECK (volume_ml > 0), 
	CONSTRAINT fk_recipe_glass_id_glass FOREIGN KEY(glass_id) REFERENCES glass (id)
);
INSERT INTO "recipe" VALUES('second-bell','foyer-bar','Second Bell','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":44.36},"liquid_id":"act-two-bitter","text":"1.5 oz"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"elderflower","text":"2 parts"}},{"hand":{"amount":{"kind":"parts","value":1.0},"kind":"top_up","text":"1 part","what":"with still water"}},{"hand":{"kind":"garnish","what":"a leaf of mint"}}]','foyer-tumbler',NULL,'served before the interval',1);
CREATE TABLE stock_movement (
	id INTEGER NOT NULL, 
	machine_id TEXT NOT NULL, 
	at TEXT NOT NULL, 
	bottle_id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	change_g DOUBLE NOT NULL, 
	pour_id TEXT, 
	dose_index INTEGER, 
	CONSTRAINT pk_stock_movement PRIMARY KEY (id), 
	CONSTRAINT ck_stock_movement_kind CHECK (kind IN ('opening', 'pour', 'prime', 'purge', 'correction')), 
	CONSTRAINT ck_stock_movement_kind_with_pour CHECK ((kind IN ('pour', 'prime', 'purge')) = (pour_id IS NOT NULL)), 
	CONSTRAINT ck_stock_movement_pour_with_dose CHECK ((pour_id IS NULL) = (dose_index IS NULL)), 
	CONSTRAINT fk_stock_movement_bottle_id_bottle FOREIGN KEY(bottle_id) REFERENCES bottle (id), 
	CONSTRAINT fk_stock_movement_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index)
);
INSERT INTO "stock_movement" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','on-1','opening',700.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','on-3','opening',700.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','elderflower-1','opening',700.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(4,'foyer-bar','2026-11-25T19:30:31.000000Z','on-1','pour',-40.2,'01a2142f-b2c0-70a4-bbaa-673fe784b514',0);
INSERT INTO "stock_movement" VALUES(5,'foyer-bar','2026-11-25T19:30:31.000000Z','on-3','pour',-41.3,'01a2142f-b2c0-70a4-bbaa-673fe784b514',1);
INSERT INTO "stock_movement" VALUES(6,'foyer-bar','2026-11-25T19:31:31.000000Z','on-1','prime',-12.5,'01a21431-1638-7020-9558-bb115cedb078',0);
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
INSERT INTO "trace_chunk" VALUES('01a2142f-b2c0-70a4-bbaa-673fe784b514',0,'foyer-bar','2026-11-25T19:30:31.000000Z',14,81.3,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
INSERT INTO "trace_chunk" VALUES('01a21431-1638-7020-9558-bb115cedb078',0,'foyer-bar','2026-11-25T19:31:31.000000Z',14,81.3,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
INSERT INTO "trace_chunk" VALUES('01a21432-0098-70c5-808b-eacd8d872c72',0,'foyer-bar','2026-11-25T19:32:31.000000Z',14,10.5,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
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
CREATE INDEX ix_stock_movement_bottle_id_change_g ON stock_movement (bottle_id, change_g);
CREATE INDEX ix_stock_movement_pour_id ON stock_movement (pour_id);
CREATE TRIGGER stock_movement_no_update BEFORE UPDATE ON stock_movement BEGIN SELECT RAISE(ABORT, 'stock_movement keeps what happened: no UPDATE'); END;
CREATE TRIGGER stock_movement_no_delete BEFORE DELETE ON stock_movement BEGIN SELECT RAISE(ABORT, 'stock_movement keeps what happened: no DELETE'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('event',24);
COMMIT;
PRAGMA application_id = 0x54415245;
