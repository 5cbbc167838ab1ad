BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0007');
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
INSERT INTO "dose" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40',0,'foyer-bar',4,'prompters-cordial','Prompter''s Cordial',1.127032,0.0,4.99069079778698707636e+01);
INSERT INTO "dose" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40',1,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,1.76878522321365807103e+02);
INSERT INTO "dose" VALUES('01a21430-27f0-7022-a906-aee4dc574220',0,'foyer-bar',2,'footlight-spirit','Footlight Spirit',0.948045,40.0,15.0);
INSERT INTO "dose" VALUES('01a21431-1250-704c-87ff-7732efc0dac0',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
INSERT INTO "dose" VALUES('01a21431-fcb0-70ae-88ee-ff139e916828',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
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
INSERT INTO "dose_balance" VALUES(1,'foyer-bar','01a21431-fcb0-70ae-88ee-ff139e916828',0,0.0,1.5,0.25);
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
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40',0,'foyer-bar',4.99069079778698707636e+01,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40',1,'foyer-bar',1.76878522321365807103e+02,2.4,8.3,1,101.0,105.5,107.25,'within','target',NULL);
INSERT INTO "dose_outcome" VALUES('01a21430-27f0-7022-a906-aee4dc574220',0,'foyer-bar',12.5,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL);
INSERT INTO "dose_outcome" VALUES('01a21431-1250-704c-87ff-7732efc0dac0',0,'foyer-bar',26.25,2.4,8.3,1,100.0,105.5,107.25,NULL,'target',NULL);
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
INSERT INTO "event" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":0.1,"density_at_c":20.0,"density_g_per_ml":0.998207,"density_origin":"water","density_uncertainty_g_per_ml":1e-05,"id":"house-water","name":"House Water","note":"","serving_c":18.0,"sugar_g_per_l":0.0}','0000000000000000000000000000000000000000000000000000000000000000','c6a1b2ed8e786e7369b0cd479e6c481cb362e842455c915080df994b5ffa2f5c');
INSERT INTO "event" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":0.6,"density_at_c":20.0,"density_g_per_ml":0.998207,"density_origin":"water","density_uncertainty_g_per_ml":1e-05,"id":"foyer-soda","name":"Foyer Soda","note":"never through a pump: it foams; topped up by hand","serving_c":6.0,"sugar_g_per_l":0.0}','c6a1b2ed8e786e7369b0cd479e6c481cb362e842455c915080df994b5ffa2f5c','c86f9d5133cb4a543ffe09be3a8ec66a005902e78a53370d92184458b27ff98c');
INSERT INTO "event" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":4.2,"density_at_c":20.0,"density_g_per_ml":1.127032,"density_origin":"brix","density_uncertainty_g_per_ml":0.002425,"id":"prompters-cordial","name":"Prompter''s Cordial","note":"","serving_c":20.0,"sugar_g_per_l":338.11}','c86f9d5133cb4a543ffe09be3a8ec66a005902e78a53370d92184458b27ff98c','3699b08b0011fd124a32b89816d25fa663c2bc51ac92cf57874ec3fe7d325800');
INSERT INTO "event" VALUES(4,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":["nuts"],"cost_per_l":7.5,"density_at_c":20.0,"density_g_per_ml":1.316555,"density_origin":"brix","density_uncertainty_g_per_ml":0.003084,"id":"dress-circle-syrup","name":"Dress Circle Syrup","note":"hazelnut","serving_c":20.0,"sugar_g_per_l":855.76}','3699b08b0011fd124a32b89816d25fa663c2bc51ac92cf57874ec3fe7d325800','b7dd4e3a948b41688c9418597355a4445f7aab33ab2437e9e1f205b8a939c388');
INSERT INTO "event" VALUES(5,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":2.4,"density_at_c":20.0,"density_g_per_ml":1.042,"density_origin":"weighed","density_uncertainty_g_per_ml":0.007221,"id":"gallery-juice","name":"Gallery Juice","note":"","serving_c":8.0,"sugar_g_per_l":98.0}','b7dd4e3a948b41688c9418597355a4445f7aab33ab2437e9e1f205b8a939c388','3aafd0c1215066bdd79f3fff80a758425b886c7f9593f21b7b883c135988f7da');
INSERT INTO "event" VALUES(6,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":["sulphites"],"cost_per_l":5.8,"density_at_c":20.0,"density_g_per_ml":1.028,"density_origin":"entered","density_uncertainty_g_per_ml":0.006,"id":"limelight","name":"Limelight","note":"","serving_c":8.0,"sugar_g_per_l":20.0}','3aafd0c1215066bdd79f3fff80a758425b886c7f9593f21b7b883c135988f7da','25055e781c017afcb4a93eaea753ef4437839aded42140c5e3fb5a2f6a469cb5');
INSERT INTO "event" VALUES(7,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":40.0,"active":true,"allergens":[],"cost_per_l":21.0,"density_at_c":20.0,"density_g_per_ml":0.948045,"density_origin":"strength","density_uncertainty_g_per_ml":0.00048,"id":"footlight-spirit","name":"Footlight Spirit","note":"","serving_c":20.0,"sugar_g_per_l":0.0}','25055e781c017afcb4a93eaea753ef4437839aded42140c5e3fb5a2f6a469cb5','192f97907003f12de2de2500560a2f91dfd3e219040807902c3b7a56608940c5');
INSERT INTO "event" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":24.0,"active":true,"allergens":null,"cost_per_l":17.5,"density_at_c":20.0,"density_g_per_ml":1.068783,"density_origin":"strength and sugar","density_uncertainty_g_per_ml":0.006746,"id":"curtain-liqueur","name":"Curtain Liqueur","note":"allergens not checked yet","serving_c":20.0,"sugar_g_per_l":260.0}','192f97907003f12de2de2500560a2f91dfd3e219040807902c3b7a56608940c5','e17afea4041b921d981bf96541889b8542ad59bb810309aa01d7ae46ccc264bd');
INSERT INTO "event" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":15.0,"active":true,"allergens":["sulphites"],"cost_per_l":11.0,"density_at_c":18.0,"density_g_per_ml":1.02,"density_origin":"weighed","density_uncertainty_g_per_ml":0.020422,"id":"overture","name":"Overture","note":"","serving_c":10.0,"sugar_g_per_l":140.0}','e17afea4041b921d981bf96541889b8542ad59bb810309aa01d7ae46ccc264bd','3dfe033518c7d26bf1719d7d7bbaac1650c51285e70ff589beb0dcf8c004452e');
INSERT INTO "event" VALUES(10,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"brim_ml":320.0,"headroom_ml":40.0,"heaviest_g":262.0,"id":"foyer-tumbler","lightest_g":231.0,"name":"Foyer tumbler"}','3dfe033518c7d26bf1719d7d7bbaac1650c51285e70ff589beb0dcf8c004452e','66ae251de206d38377264ce3403698e635ccc13dc47bc69c98a8a0fb5e51a8cb');
INSERT INTO "event" VALUES(11,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"brim_ml":210.0,"headroom_ml":30.0,"heaviest_g":199.0,"id":"short-glass","lightest_g":176.0,"name":"Short glass"}','66ae251de206d38377264ce3403698e635ccc13dc47bc69c98a8a0fb5e51a8cb','6c9ed8c3b109c97170a0f889f496212e6fd3c19621e0033ae004b31b88917202');
INSERT INTO "event" VALUES(12,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"green-room-cooler","name":"Green Room Cooler","note":"","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}],"volume_ml":null}','6c9ed8c3b109c97170a0f889f496212e6fd3c19621e0033ae004b31b88917202','f382992dfe11361a3082917aa15e0d3a99e6e1c7bbe47c4ca9b0af80bfd26617');
INSERT INTO "event" VALUES(13,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"half-hour-call","name":"Half-hour Call","note":"","steps":[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}],"volume_ml":140.0}','f382992dfe11361a3082917aa15e0d3a99e6e1c7bbe47c4ca9b0af80bfd26617','55295fc65ffb0b4c88e1be4b3360b0b8f594eb7c643013fd2db45c4423ef741a');
INSERT INTO "event" VALUES(14,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"matinee-fizz","name":"Matin\u00e9e Fizz","note":"the soda fills what is left of the glass","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}],"volume_ml":null}','55295fc65ffb0b4c88e1be4b3360b0b8f594eb7c643013fd2db45c4423ef741a','1b07915284c8d0ce58c82245cd801e3925ed36ce8dee9f1d1b73c83733f86012');
INSERT INTO "event" VALUES(15,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"second-bell","name":"Second Bell","note":"","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}],"volume_ml":null}','1b07915284c8d0ce58c82245cd801e3925ed36ce8dee9f1d1b73c83733f86012','b45e111e770c57a79be2cf5c5b281fe578f0a1729e15cbf1244a777194ce5b35');
INSERT INTO "event" VALUES(16,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"curtain-up","name":"Curtain Up","note":"","steps":[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}],"volume_ml":100.0}','b45e111e770c57a79be2cf5c5b281fe578f0a1729e15cbf1244a777194ce5b35','a8bf7e9d2b5e52aaf98c88a6b2b365142653adef4565438146247dce9d7f40ac');
INSERT INTO "event" VALUES(17,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"long-overture","name":"Long Overture","note":"","steps":[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}],"volume_ml":180.0}','a8bf7e9d2b5e52aaf98c88a6b2b365142653adef4565438146247dce9d7f40ac','45471aac1b89eb8fb3bcdb4b3c96d2827bf6a7d16245a5805d6bf3f26251f474');
INSERT INTO "event" VALUES(18,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"house-water","name":"far left","number":1}','45471aac1b89eb8fb3bcdb4b3c96d2827bf6a7d16245a5805d6bf3f26251f474','0dbac6b92f00d7ebd24ac8d905c678af23b877f18c21a823c29c0f72e654ec22');
INSERT INTO "event" VALUES(19,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"footlight-spirit","name":"second from left","number":2}','0dbac6b92f00d7ebd24ac8d905c678af23b877f18c21a823c29c0f72e654ec22','d64594e6ba3241b9960c1b5897da327e07733a7320849a1bdf8fd5e35c1d8a8b');
INSERT INTO "event" VALUES(20,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"dress-circle-syrup","name":"third from left","number":3}','d64594e6ba3241b9960c1b5897da327e07733a7320849a1bdf8fd5e35c1d8a8b','0d8b5c762038ac3a10d2103ddea7d9088cd89642260fe6455c7fc4e23387d292');
INSERT INTO "event" VALUES(21,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"prompters-cordial","name":"left of the till","number":4}','0d8b5c762038ac3a10d2103ddea7d9088cd89642260fe6455c7fc4e23387d292','6c66beeef2368ed6c91757acb893c0f621ce604a9004eb7d5520467046d82e66');
INSERT INTO "event" VALUES(22,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"gallery-juice","name":"right of the till","number":5}','6c66beeef2368ed6c91757acb893c0f621ce604a9004eb7d5520467046d82e66','87a55be9f59848040ac2e6a6741a17d45ca91037bfe5a4de556f701e640b5223');
INSERT INTO "event" VALUES(23,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"limelight","name":"third from right","number":6}','87a55be9f59848040ac2e6a6741a17d45ca91037bfe5a4de556f701e640b5223','0daa8a663588b0341fc5313beb41c9780f401c1cf7eeaaaf3d5995d5a5ae0557');
INSERT INTO "event" VALUES(24,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"curtain-liqueur","name":"second from right","number":7}','0daa8a663588b0341fc5313beb41c9780f401c1cf7eeaaaf3d5995d5a5ae0557','1bab0b94f2c86453ed92e94a9c359f471b3e27d83a7d20e876b5a1739dde4e89');
INSERT INTO "event" VALUES(25,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"overture","name":"far right","number":8}','1bab0b94f2c86453ed92e94a9c359f471b3e27d83a7d20e876b5a1739dde4e89','a75d2eea986407600cbc4f192f8ed20eeaac7b9861fda50ed3c918b5919a89ba');
INSERT INTO "event" VALUES(26,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":4993.0,"id":"water-1","liquid_id":"house-water","low_g":500.0,"opened_at":null,"tare_g":null}','a75d2eea986407600cbc4f192f8ed20eeaac7b9861fda50ed3c918b5919a89ba','38d77f6f2dfae5e08d84834796db3bb7b0e1d00b638ed288f9d5c99cd136a54a');
INSERT INTO "event" VALUES(27,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"water-1","change_g":4993.0,"kind":"opening","movement_id":1,"seal":"ceb61817907f8209dd07a4b5e418be3f8e64cc49fbebc638563f329d36a7e6b2"}','38d77f6f2dfae5e08d84834796db3bb7b0e1d00b638ed288f9d5c99cd136a54a','308f827bde68715bf34c757138c9ef410ff3be4fca7b9c500142e18efad5f8ec');
INSERT INTO "event" VALUES(28,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":1,"id":"water-1","liquid_id":"house-water"}','308f827bde68715bf34c757138c9ef410ff3be4fca7b9c500142e18efad5f8ec','b3b21b3549d4254946e0172c6b704b86378684e586876876fff20c750cb75c44');
INSERT INTO "event" VALUES(29,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-1","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":"2031-03-14T18:05:00.000000Z","tare_g":486.0}','b3b21b3549d4254946e0172c6b704b86378684e586876876fff20c750cb75c44','59e48ccd5858c18ee37c33782f9ec17e41dde04ba51b5674b5c7d77a7d177ab5');
INSERT INTO "event" VALUES(30,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-1","change_g":663.6,"kind":"opening","movement_id":2,"seal":"c328aeaa1994ebbe567e4aac771d1dc82642e4acdb68aa2bda4dcfe4356cca43"}','59e48ccd5858c18ee37c33782f9ec17e41dde04ba51b5674b5c7d77a7d177ab5','dc89475b63ebc5c6b504a9bef29a909c7de1694818aa4c4d26b3845852599ab7');
INSERT INTO "event" VALUES(31,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":2,"id":"footlight-1","liquid_id":"footlight-spirit"}','dc89475b63ebc5c6b504a9bef29a909c7de1694818aa4c4d26b3845852599ab7','be2e4c382e933d79a792d0398545ba1a69fd446bd74d54888d4521e8ff4bb2b6');
INSERT INTO "event" VALUES(32,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-2","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":null,"tare_g":486.0}','be2e4c382e933d79a792d0398545ba1a69fd446bd74d54888d4521e8ff4bb2b6','c5d30df0b257d520a96b03fcaa36ca3125bd712ae92d3d743833bbab65fe1fc7');
INSERT INTO "event" VALUES(33,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-2","change_g":663.6,"kind":"opening","movement_id":3,"seal":"3cdf47588a7c8fe6a8047768220341ed583b3e6f1042ad77279764f8c4a88edf"}','c5d30df0b257d520a96b03fcaa36ca3125bd712ae92d3d743833bbab65fe1fc7','aeb147f178a5bda495d8955ea2eaf229162a49e0132b47ff5dfc5e0cdb114c90');
INSERT INTO "event" VALUES(34,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":921.6,"id":"circle-1","liquid_id":"dress-circle-syrup","low_g":92.2,"opened_at":null,"tare_g":455.0}','aeb147f178a5bda495d8955ea2eaf229162a49e0132b47ff5dfc5e0cdb114c90','5233938258603c5e46d3ca1304e53525ee343dcc19a97352ed3781291e85bf9b');
INSERT INTO "event" VALUES(35,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"circle-1","change_g":921.6,"kind":"opening","movement_id":4,"seal":"b1bc500e7f677a280b1f522e7aba05192856ffddaeaf0bd4f4acf34c748e2a01"}','5233938258603c5e46d3ca1304e53525ee343dcc19a97352ed3781291e85bf9b','5bfdbb65f229d391c96e17685a8f14192926c84f5fe183db3f9f9d8070539b7d');
INSERT INTO "event" VALUES(36,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":3,"id":"circle-1","liquid_id":"dress-circle-syrup"}','5bfdbb65f229d391c96e17685a8f14192926c84f5fe183db3f9f9d8070539b7d','ded43e283ef54d55fc20ff0dde6d5ee685372942187ba8c2b2486245569a5e94');
INSERT INTO "event" VALUES(37,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1127.0,"id":"cordial-1","liquid_id":"prompters-cordial","low_g":112.7,"opened_at":null,"tare_g":74.0}','ded43e283ef54d55fc20ff0dde6d5ee685372942187ba8c2b2486245569a5e94','df47e7026a088f1b1956295039f2171446a85f6feecb1c34d5d5cdb9bbf5b06a');
INSERT INTO "event" VALUES(38,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"cordial-1","change_g":1127.0,"kind":"opening","movement_id":5,"seal":"4c49fe4b559c48f72ce4c4010369b067fa8b8c9563dede03a48b1486cbf916cf"}','df47e7026a088f1b1956295039f2171446a85f6feecb1c34d5d5cdb9bbf5b06a','9282c9a3f2c2dc72f3fbc96b5ba408a667c73842bb768dfc76badbd80e4680c1');
INSERT INTO "event" VALUES(39,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":4,"id":"cordial-1","liquid_id":"prompters-cordial"}','9282c9a3f2c2dc72f3fbc96b5ba408a667c73842bb768dfc76badbd80e4680c1','36a7ebe52849affad2033fa0eb9124d7243c05cc18a38d18c6b8febc22150b1d');
INSERT INTO "event" VALUES(40,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1044.3,"id":"gallery-1","liquid_id":"gallery-juice","low_g":104.4,"opened_at":"2031-03-14T18:10:00.000000Z","tare_g":38.0}','36a7ebe52849affad2033fa0eb9124d7243c05cc18a38d18c6b8febc22150b1d','7b02ff4f3ec0040b03bd86381c0237b3eeb1aa9a864c5658ef69ffd497dd078e');
INSERT INTO "event" VALUES(41,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"gallery-1","change_g":640.0,"kind":"opening","movement_id":6,"seal":"ab1194ee53aaaae57835c70a9534c4acf77889695b564140a77762404ff7f025"}','7b02ff4f3ec0040b03bd86381c0237b3eeb1aa9a864c5658ef69ffd497dd078e','88c4376a46c723a4fa08021a8e7306563c531f952280f8da8b2949160b921d8d');
INSERT INTO "event" VALUES(42,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":5,"id":"gallery-1","liquid_id":"gallery-juice"}','88c4376a46c723a4fa08021a8e7306563c531f952280f8da8b2949160b921d8d','56487458bf0084aaae6d0ff32562212ede1686b68eb2eda0b971e3fb644bc46f');
INSERT INTO "event" VALUES(43,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":514.9,"id":"limelight-1","liquid_id":"limelight","low_g":51.5,"opened_at":null,"tare_g":301.0}','56487458bf0084aaae6d0ff32562212ede1686b68eb2eda0b971e3fb644bc46f','8b862e39064760c1a6b7fd60f141a9c562aa6d9d918cf1a0813f006ebf62bc29');
INSERT INTO "event" VALUES(44,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"limelight-1","change_g":514.9,"kind":"opening","movement_id":7,"seal":"f01e918260d3e83051be1dfd7d813344b939463b6e84221a86b6e026b2a53f54"}','8b862e39064760c1a6b7fd60f141a9c562aa6d9d918cf1a0813f006ebf62bc29','2aae3759e8654897358618c027559dc4d7c016efa2e899c2b522eecf564b7299');
INSERT INTO "event" VALUES(45,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":6,"id":"limelight-1","liquid_id":"limelight"}','2aae3759e8654897358618c027559dc4d7c016efa2e899c2b522eecf564b7299','a029efedce2244dbdd23101f0d80f95c3d94e85d3c98ce16a3f75db6f2fc86b0');
INSERT INTO "event" VALUES(46,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":748.1,"id":"curtain-1","liquid_id":"curtain-liqueur","low_g":74.8,"opened_at":null,"tare_g":497.0}','a029efedce2244dbdd23101f0d80f95c3d94e85d3c98ce16a3f75db6f2fc86b0','1e9d63a7ef92989eb695dc78442f2034c87d097a6a87f2dc71062cb1c9e9ff1b');
INSERT INTO "event" VALUES(47,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"curtain-1","change_g":748.1,"kind":"opening","movement_id":8,"seal":"5bda388ca8a8c376a391cbf752e5334554662738285785dbeefafba3bf7887e4"}','1e9d63a7ef92989eb695dc78442f2034c87d097a6a87f2dc71062cb1c9e9ff1b','df44750e011577ac7b1303f96b7a1dd71277b1449e9ed85f462ca2166e742908');
INSERT INTO "event" VALUES(48,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":7,"id":"curtain-1","liquid_id":"curtain-liqueur"}','df44750e011577ac7b1303f96b7a1dd71277b1449e9ed85f462ca2166e742908','f9324f27a024020c52fd49e3c5b2a78409a39a22347de922bd31335a11e65761');
INSERT INTO "event" VALUES(49,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":765.0,"id":"overture-1","liquid_id":"overture","low_g":76.5,"opened_at":null,"tare_g":458.0}','f9324f27a024020c52fd49e3c5b2a78409a39a22347de922bd31335a11e65761','21e42f4ecc5a2d5aecf428f075ba32baa269afd2f4866d0f54f7d0fc7eb8e96a');
INSERT INTO "event" VALUES(50,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"overture-1","change_g":765.0,"kind":"opening","movement_id":9,"seal":"aa347deeab556f089e27e34889668082e852d92f9db906101e641d1a4aae8854"}','21e42f4ecc5a2d5aecf428f075ba32baa269afd2f4866d0f54f7d0fc7eb8e96a','447f65135652880d54a10fd5731eac28f331fd3de15b75c8f06280e71546d0e6');
INSERT INTO "event" VALUES(51,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":8,"id":"overture-1","liquid_id":"overture"}','447f65135652880d54a10fd5731eac28f331fd3de15b75c8f06280e71546d0e6','9e5f3c7e660a091286dfec8449dc7a6e2fe74463be7fae5362a8f66f23b89f84');
INSERT INTO "event" VALUES(52,'foyer-bar','2026-11-25T19:30:00.000000Z','calibrated',NULL,'{"calibration_id":1,"counts_per_g":1998.25,"how":"two_point","seal":"8973ae2eec4e9fab10ff0b6bd521cbfd8640aa11d381066ff7fa2bc8465a9723","zero_counts":-84213.4}','9e5f3c7e660a091286dfec8449dc7a6e2fe74463be7fae5362a8f66f23b89f84','68f74868d29c2e0bc263538440ef81fb2331a2c61cdae0532ea652dba5d7dad4');
INSERT INTO "event" VALUES(53,'foyer-bar','2026-11-25T19:30:00.000000Z','round_begun',NULL,'{"glasses":[{"guest":"seat 14","name":"Green Room Cooler","recipe_id":"green-room-cooler"},{"guest":null,"name":"Second Bell","recipe_id":"second-bell"}],"origin":"api","round_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c","seal":"b202629490220f0a674ccd4443a9df27fcb5a3acd22bacba50183e862c7d37bd"}','68f74868d29c2e0bc263538440ef81fb2331a2c61cdae0532ea652dba5d7dad4','1ea8b6f8e1b27ac57d4574948b6bca8e166da96cfe6bfbd4e325378d265371f8');
INSERT INTO "event" VALUES(54,'foyer-bar','2026-11-25T19:30:00.000000Z','guest_released',NULL,'{"glass_index":0,"guest":"seat 14","reason":"shares it with seat 15","release_id":1,"released_by":"the host","round_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c","seal":"28295156f09c04491e72fefc1863d502afac38e156b59d4c86454ec3af9d0734"}','1ea8b6f8e1b27ac57d4574948b6bca8e166da96cfe6bfbd4e325378d265371f8','f81104b77dd3ffb22b29e0bbc7629fd8e3070cc3f14078f01be89d1e97506a11');
INSERT INTO "event" VALUES(55,'foyer-bar','2026-11-25T19:30:00.000000Z','pour_begun','01a2142f-b2c0-70fd-8da5-7401b744fa40','{"doses":[{"abv_percent":0.0,"channel":4,"density_g_per_ml":1.127032,"liquid_id":"prompters-cordial","liquid_name":"Prompter''s Cordial","target_g":49.90690797786987},{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":176.8785223213658}],"origin":"api","purpose":"drink","recipe":{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c/0/0/1"},"seal":"3e9b1b79dc757ffc4e00a4afb74f2020421e67d8360c04e539f710b4deaf145c"}','f81104b77dd3ffb22b29e0bbc7629fd8e3070cc3f14078f01be89d1e97506a11','76c3b0cd0239a55a968baa3a6c1183a0958319a474388d145826216c8e57dde9');
INSERT INTO "event" VALUES(56,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a2142f-b2c0-70fd-8da5-7401b744fa40','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":49.90690797786987,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"},{"began_s":101.0,"cause":"target","cut_off_s":105.5,"delivered_g":176.8785223213658,"ended_s":107.25,"index":1,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"}],"drawn":[{"bottle_id":"cordial-1","change_g":-49.906908,"dose_index":0,"kind":"pour"},{"bottle_id":"water-1","change_g":-176.878522,"dose_index":1,"kind":"pour"}],"glass_g":246.0,"seal":"17c21ac811914abebd0241e56757c5c193b3d326461b7df9ba1f96e0ba5d3aaa","state":"complete"}','76c3b0cd0239a55a968baa3a6c1183a0958319a474388d145826216c8e57dde9','a20171bc88e52c10a29d146bb2070efbe7557afb5aa110d8c1edd3b7398544ce');
INSERT INTO "event" VALUES(57,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.059332660628655276,"ethanol_g":0.0,"mass_g":226.78543029923568,"sugar_g":14.972082689569561,"volume_ml":221.4196182056018},"ending":"complete","glass":0,"outcome_id":1,"pour_ids":["01a2142f-b2c0-70fd-8da5-7401b744fa40"],"round_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c","seal":"ef76ba3f07ec2db553e2a6ec2d7574ee4b5f96fd495153deb07bf503c3ca8647"}','a20171bc88e52c10a29d146bb2070efbe7557afb5aa110d8c1edd3b7398544ce','1f7d09d60cf329fca172e6bd0c939d53fd044eaa4530840c1b3528af8122074e');
INSERT INTO "event" VALUES(58,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.0,"ethanol_g":0.0,"mass_g":0.0,"sugar_g":0.0,"volume_ml":0.0},"ending":"skipped","glass":1,"outcome_id":2,"pour_ids":[],"round_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c","seal":"cf2274c927579c9f6fb9c3b15901850b7d94f260f99fbffb835853098570f73c"}','1f7d09d60cf329fca172e6bd0c939d53fd044eaa4530840c1b3528af8122074e','16ffba012508bf6ce042780a2827e185e418bc549fce4007c3c4d28ae39d5b25');
INSERT INTO "event" VALUES(59,'foyer-bar','2026-11-25T19:30:30.000000Z','round_ended',NULL,'{"round_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c","seal":"bed1d9a07546f5d2b41c9648e702d0d701c9f7f8c07436a9a61cf8b86e88a73f","state":"complete"}','16ffba012508bf6ce042780a2827e185e418bc549fce4007c3c4d28ae39d5b25','ce5771b320f348e077d71bab6130a26dcdf491e4d583a9d979fded8507f3a3e3');
INSERT INTO "event" VALUES(60,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_begun','01a21430-27f0-7022-a906-aee4dc574220','{"doses":[{"abv_percent":40.0,"channel":2,"density_g_per_ml":0.948045,"liquid_id":"footlight-spirit","liquid_name":"Footlight Spirit","target_g":15.0}],"origin":"api","purpose":"prime","recipe":null,"seal":"81a3d8d1afd3c2114b62095cb8c89a4dae63a00acd02ab12a571ff8ebe42178c"}','ce5771b320f348e077d71bab6130a26dcdf491e4d583a9d979fded8507f3a3e3','8405de8ee94c6a40494cd5095b36b746807c7e3234324167bf0c0be340150d16');
INSERT INTO "event" VALUES(61,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a21430-27f0-7022-a906-aee4dc574220','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":12.5,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"}],"drawn":[{"bottle_id":"footlight-1","change_g":-12.5,"dose_index":0,"kind":"prime"}],"glass_g":null,"seal":"c2bf471dadbdd9a471e3bc4781ce59e9cc0ffc3a1f410a7788c263b81289d77e","state":"complete"}','8405de8ee94c6a40494cd5095b36b746807c7e3234324167bf0c0be340150d16','589b1db0c2a8a022681551171ba17ba8ad5e2cc7bef51a15249589aa534f8e92');
INSERT INTO "event" VALUES(62,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_begun','01a21431-1250-704c-87ff-7732efc0dac0','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"37fa02efceac848d6755af28e1bb94e4099584a5ac5f5f976bcbf2ebd6128c5c"}','589b1db0c2a8a022681551171ba17ba8ad5e2cc7bef51a15249589aa534f8e92','339062dc4f6dfd66bac7eb7e321418bd852bbd704d22eb88fc63393b34617e15');
INSERT INTO "event" VALUES(63,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_ended','01a21431-1250-704c-87ff-7732efc0dac0','{"cause":"link_lost","delivered_g":26.25,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":26.25,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":null}],"drawn":[{"bottle_id":"water-1","change_g":-26.25,"dose_index":0,"kind":"pour"}],"glass_g":251.3,"seal":"d5d9b05b3e0f833a6630fb90e2b501aa5c9d9970e21cda6181f867e8cd3255c7","state":"aborted"}','339062dc4f6dfd66bac7eb7e321418bd852bbd704d22eb88fc63393b34617e15','e9767fac18f2f41142e116d0461b57bdbd0e03732e62f5b92a3a74d730c5904b');
INSERT INTO "event" VALUES(64,'foyer-bar','2026-11-25T19:31:30.000000Z','found_later','01a21431-1250-704c-87ff-7732efc0dac0','{"certainty":"weighed","dose_index":0,"drawn":[{"bottle_id":"water-1","change_g":-2.75,"dose_index":0,"kind":"found"}],"found_g":2.75,"reason":null,"seal":"3ccea56873af67c5cf8aa77cbe02b1e6f5a15a48c81b7cd98b4283d2d5e7efb9"}','e9767fac18f2f41142e116d0461b57bdbd0e03732e62f5b92a3a74d730c5904b','eb80eb34f105970d84b249dd793a49e57e9047b59f3c999a378224be9c06c576');
INSERT INTO "event" VALUES(65,'foyer-bar','2026-11-25T19:32:30.000000Z','pour_begun','01a21431-fcb0-70ae-88ee-ff139e916828','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"992211241ecc19fca5546a208c1eeb5f4df7fce5d9baa999875c9e57b1263860"}','eb80eb34f105970d84b249dd793a49e57e9047b59f3c999a378224be9c06c576','881da6e9daba9a44fb1a267243bdaa2232f9a3433dedd05fbe93fba9a15ad977');
INSERT INTO "event" VALUES(66,'foyer-bar','2026-11-25T19:32:30.000000Z','recording_added','01a21431-fcb0-70ae-88ee-ff139e916828','{"cause":"link_lost","id":"01a21431-fcb0-70af-91c7-764a72f0868b"}','881da6e9daba9a44fb1a267243bdaa2232f9a3433dedd05fbe93fba9a15ad977','0c8b06ab475142fccea6f0c6882fccb5eaa0a048c364f342ac2ce07c98dc2114');
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
INSERT INTO "found_later" VALUES('01a21431-1250-704c-87ff-7732efc0dac0','foyer-bar','2026-11-25T19:31:30.000000Z','weighed',2.75,0,NULL);
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
INSERT INTO "glass" VALUES('foyer-tumbler','foyer-bar','Foyer tumbler',320.0,40.0,231.0,262.0,1);
INSERT INTO "glass" VALUES('short-glass','foyer-bar','Short glass',210.0,30.0,176.0,199.0,1);
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
INSERT INTO "guest_release" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','seat 14','01a2142f-b2c0-7038-b55f-a883e7f3a50c',0,'the host','shares it with seat 15');
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
	pour_id TEXT, speeds TEXT, 
	CONSTRAINT pk_inflight PRIMARY KEY (id), 
	CONSTRAINT fk_inflight_liquid_id_liquid FOREIGN KEY(liquid_id) REFERENCES liquid (id), 
	CONSTRAINT fk_inflight_pour_id_pour FOREIGN KEY(pour_id) REFERENCES pour (id)
);
INSERT INTO "inflight" VALUES(1,'foyer-bar','2026-11-25T19:30:30.000000Z',1,'house-water',0.3,0.02,8.25,1,'01a2142f-b2c0-70fd-8da5-7401b744fa40','{"100":0.39}');
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
INSERT INTO "liquid" VALUES('house-water','foyer-bar','House Water',0.998207,1.0e-05,'water',20.0,0.0,0.0,'[]',0.1,18.0,'',1);
INSERT INTO "liquid" VALUES('foyer-soda','foyer-bar','Foyer Soda',0.998207,1.0e-05,'water',20.0,0.0,0.0,'[]',0.6,6.0,'never through a pump: it foams; topped up by hand',1);
INSERT INTO "liquid" VALUES('prompters-cordial','foyer-bar','Prompter''s Cordial',1.127032,0.002425,'brix',20.0,0.0,338.11,'[]',4.2,20.0,'',1);
INSERT INTO "liquid" VALUES('dress-circle-syrup','foyer-bar','Dress Circle Syrup',1.316555,0.003084,'brix',20.0,0.0,855.76,'["nuts"]',7.5,20.0,'hazelnut',1);
INSERT INTO "liquid" VALUES('gallery-juice','foyer-bar','Gallery Juice',1.042,0.007221,'weighed',20.0,0.0,98.0,'[]',2.4,8.0,'',1);
INSERT INTO "liquid" VALUES('limelight','foyer-bar','Limelight',1.028,0.006,'entered',20.0,0.0,20.0,'["sulphites"]',5.8,8.0,'',1);
INSERT INTO "liquid" VALUES('footlight-spirit','foyer-bar','Footlight Spirit',0.948045,0.00048,'strength',20.0,40.0,0.0,'[]',21.0,20.0,'',1);
INSERT INTO "liquid" VALUES('curtain-liqueur','foyer-bar','Curtain Liqueur',1.068783,0.006746,'strength and sugar',20.0,24.0,260.0,NULL,17.5,20.0,'allergens not checked yet',1);
INSERT INTO "liquid" VALUES('overture','foyer-bar','Overture',1.02,0.020422,'weighed',18.0,15.0,140.0,'["sulphites"]',11.0,10.0,'',1);
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
INSERT INTO "pour" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40','foyer-bar','2026-11-25T19:30:00.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658}],"glass_holds_g":226.78543029923568,"keep_proportions":true,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink','{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-7038-b55f-a883e7f3a50c/0/0/1"}');
INSERT INTO "pour" VALUES('01a21430-27f0-7022-a906-aee4dc574220','foyer-bar','2026-11-25T19:30:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":2,"liquid_id":"footlight-spirit","target_g":15.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"prime"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'prime',NULL);
INSERT INTO "pour" VALUES('01a21431-1250-704c-87ff-7732efc0dac0','foyer-bar','2026-11-25T19:31:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
INSERT INTO "pour" VALUES('01a21431-fcb0-70ae-88ee-ff139e916828','foyer-bar','2026-11-25T19:32:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"filter_delay_s":null,"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"speeds":[],"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"fine_s":0.9,"fine_speed":100,"flow_window_s":0.8,"glass_wait_s":120.0,"jump_g":15.0,"keep_taste":true,"learn_speeds":true,"lease_ms":400,"max_feed_s":60.0,"max_jogs":3,"max_purge_g":100.0,"min_aim_g":0.3,"min_glass_g":20.0,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"settling_delay_s":0.4,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
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
INSERT INTO "pour_outcome" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,246.0);
INSERT INTO "pour_outcome" VALUES('01a21430-27f0-7022-a906-aee4dc574220','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,NULL);
INSERT INTO "pour_outcome" VALUES('01a21431-1250-704c-87ff-7732efc0dac0','foyer-bar','2026-11-25T19:31:30.000000Z','aborted','link_lost',26.25,251.3);
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
INSERT INTO "recipe" VALUES('green-room-cooler','foyer-bar','Green Room Cooler','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}]','foyer-tumbler',NULL,'',1);
INSERT INTO "recipe" VALUES('half-hour-call','foyer-bar','Half-hour Call','[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}]','short-glass',140.0,'',1);
INSERT INTO "recipe" VALUES('matinee-fizz','foyer-bar','Matinée Fizz','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}]','foyer-tumbler',NULL,'the soda fills what is left of the glass',1);
INSERT INTO "recipe" VALUES('second-bell','foyer-bar','Second Bell','[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}]','foyer-tumbler',NULL,'',1);
INSERT INTO "recipe" VALUES('curtain-up','foyer-bar','Curtain Up','[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}]','short-glass',100.0,'',1);
INSERT INTO "recipe" VALUES('long-overture','foyer-bar','Long Overture','[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}]','foyer-tumbler',180.0,'',1);
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
INSERT INTO "recording" VALUES('01a21431-fcb0-70af-91c7-764a72f0868b','foyer-bar','2026-11-25T19:32:20.000000Z','link_lost','01a21431-fcb0-70ae-88ee-ff139e916828','0.1.0',-10.0,10.0,X'01');
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
INSERT INTO "round" VALUES('01a2142f-b2c0-7038-b55f-a883e7f3a50c','foyer-bar','2026-11-25T19:30:00.000000Z','key-1','print-1','api','0.1.0',0,'{"footlight-spirit":{"abv_percent":40.0,"active":true,"allergens":[],"cost_per_l":21.0,"density":{"at_c":20.0,"g_per_ml":0.948045,"origin":"strength","uncertainty_g_per_ml":0.00048},"id":"footlight-spirit","name":"Footlight Spirit","note":"","serving_c":20.0,"sugar_g_per_l":0.0},"foyer-soda":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":0.6,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"foyer-soda","name":"Foyer Soda","note":"never through a pump: it foams; topped up by hand","serving_c":6.0,"sugar_g_per_l":0.0},"gallery-juice":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":2.4,"density":{"at_c":20.0,"g_per_ml":1.042,"origin":"weighed","uncertainty_g_per_ml":0.007221},"id":"gallery-juice","name":"Gallery Juice","note":"","serving_c":8.0,"sugar_g_per_l":98.0},"house-water":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":0.1,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"house-water","name":"House Water","note":"","serving_c":18.0,"sugar_g_per_l":0.0},"prompters-cordial":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":4.2,"density":{"at_c":20.0,"g_per_ml":1.127032,"origin":"brix","uncertainty_g_per_ml":0.002425},"id":"prompters-cordial","name":"Prompter''s Cordial","note":"","serving_c":20.0,"sugar_g_per_l":338.11}}');
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
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-7038-b55f-a883e7f3a50c',0,'foyer-bar','green-room-cooler','seat 14','{"drink":{"allergens":[],"allergens_unknown":["a slice of cucumber"],"blockers":[],"cost":0.20369588148180479,"glass_holds_g":226.78543029923566,"glass_id":"foyer-tumbler","name":"Green Room Cooler","notes":[],"recipe_id":"green-room-cooler","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.5803817943982},{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987,"time_s":null,"volume_ml":44.28171336560973,"volume_uncertainty_ml":0.09527959712909981},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658,"time_s":null,"volume_ml":177.12685346243893,"volume_uncertainty_ml":0.013983946973182261},{"mass_g":0.0,"step":{"amount":null,"ice_g":0.0,"kind":"garnish","liquid_id":null,"text":"","what":"a slice of cucumber"},"volume_ml":0.0}],"strength":{"contraction_ml":0.0593326606286837,"ethanol_g":0.0,"mass_g":226.78543029923566,"sugar_g":14.972082689569561,"volume_ml":221.41961820560178},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":226.78543029923568,"time_s":null,"volume_ml":221.41961820560178,"volume_uncertainty_ml":0.09630032399754603},"guest":"seat 14","may_grow":true,"strength_open":false}');
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-7038-b55f-a883e7f3a50c',1,'foyer-bar','second-bell',NULL,'{"drink":{"allergens":[],"allergens_unknown":[],"blockers":[],"cost":0.8130000000000001,"glass_holds_g":224.9533919824239,"glass_id":"foyer-tumbler","name":"Second Bell","notes":[],"recipe_id":"second-bell","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.957010067935016},{"channel":2,"liquid_id":"footlight-spirit","target_g":23.701125,"time_s":null,"volume_ml":25.0,"volume_uncertainty_ml":0.012657627011376042},{"channel":5,"liquid_id":"gallery-juice","target_g":114.87102854726075,"time_s":null,"volume_ml":110.0,"volume_uncertainty_ml":0.7638082279574953},{"mass_g":39.997692417611105,"step":{"amount":{"kind":"volume_ml","value":40.0},"ice_g":0.0,"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"},"volume_ml":40.0}],"strength":{"contraction_ml":-0.15506177486420825,"ethanol_g":7.892389960301733,"mass_g":178.56984596487183,"sugar_g":10.86734672045023,"volume_ml":175.46573677300924},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":138.57215354726074,"time_s":null,"volume_ml":175.46573677300924,"volume_uncertainty_ml":0.7943524536856084},"guest":null,"may_grow":true,"strength_open":false}');
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
INSERT INTO "round_glass_outcome" VALUES(1,'foyer-bar','01a2142f-b2c0-7038-b55f-a883e7f3a50c',0,0,'2026-11-25T19:30:30.000000Z','complete','["01a2142f-b2c0-70fd-8da5-7401b744fa40"]',2.26785430299235684975e+02,2.21419618205601807401e+02,5.93326606286552760138e-02,0.0,1.49720826895695608978e+01);
INSERT INTO "round_glass_outcome" VALUES(2,'foyer-bar','01a2142f-b2c0-7038-b55f-a883e7f3a50c',1,0,'2026-11-25T19:30:30.000000Z','skipped','[]',0.0,0.0,0.0,0.0,0.0);
CREATE TABLE round_outcome (
	round_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	ended_at TEXT NOT NULL, 
	state TEXT NOT NULL, 
	CONSTRAINT pk_round_outcome PRIMARY KEY (round_id), 
	CONSTRAINT ck_round_outcome_state CHECK (state IN ('complete', 'stopped', 'aborted', 'interrupted')), 
	CONSTRAINT fk_round_outcome_round_id_round FOREIGN KEY(round_id) REFERENCES round (id)
);
INSERT INTO "round_outcome" VALUES('01a2142f-b2c0-7038-b55f-a883e7f3a50c','foyer-bar','2026-11-25T19:30:30.000000Z','complete');
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
	CONSTRAINT fk_stock_movement_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index), 
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
INSERT INTO "stock_movement" VALUES(10,'foyer-bar','2026-11-25T19:30:30.000000Z','cordial-1','pour',-49.906908,'01a2142f-b2c0-70fd-8da5-7401b744fa40',0);
INSERT INTO "stock_movement" VALUES(11,'foyer-bar','2026-11-25T19:30:30.000000Z','water-1','pour',-176.878522,'01a2142f-b2c0-70fd-8da5-7401b744fa40',1);
INSERT INTO "stock_movement" VALUES(12,'foyer-bar','2026-11-25T19:30:30.000000Z','footlight-1','prime',-12.5,'01a21430-27f0-7022-a906-aee4dc574220',0);
INSERT INTO "stock_movement" VALUES(13,'foyer-bar','2026-11-25T19:31:30.000000Z','water-1','pour',-26.25,'01a21431-1250-704c-87ff-7732efc0dac0',0);
INSERT INTO "stock_movement" VALUES(14,'foyer-bar','2026-11-25T19:31:30.000000Z','water-1','found',-2.75,'01a21431-1250-704c-87ff-7732efc0dac0',0);
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
INSERT INTO "trace_chunk" VALUES('01a2142f-b2c0-70fd-8da5-7401b744fa40',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21430-27f0-7022-a906-aee4dc574220',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-1250-704c-87ff-7732efc0dac0',0,'foyer-bar','2026-11-25T19:31:30.000000Z',14,26.25,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-fcb0-70ae-88ee-ff139e916828',0,'foyer-bar','2026-11-25T19:32:30.000000Z',14,10.5,X'02789C5D8F3B48C34018C7BF2E22F8A0742B4E7E082EA1A4AFC180E013178BA25DB494724DAE6924BD482ED142E92022B888E0E8AC9BA3A3204E2EE2A3BBE0E028F81A5C0A7A9706257EB7DCFFEEF77DF7BB6100E887B06210EB15C007BC5FC2FEE9E7C9E34112A0039D241C3D9FEDBE9EEF0014A0F00D89AFB7E2C2D30B4015AAF3707D71BCB19E190588437C0F6EEF1FAE3A9D1B88D45A244D45D2F8E050B0BA611E89B682197A25C23C307D3739C6BB8744380B59E8FBC7C77EFFD1AB5209975C83BAD440A5858EDCA286DC23AE87EDB252C2558F7874B64E98D943B8CC02D11DE2725AA951711C8045120E316DC279C5442D934FA7B2C1DD9CC3E90C350993F716336813355511BB9A6D99752F8053B9005DF1D9B2DFD894A0EB33D45AC8FC46555A89065D78306AA39656D0B05CAA7B962318ACA1827C53AA8847F30ADA9408B706472DA7CA366AD916332BA4EA6C0977CFF5E9DFA1EEF8CC13643AA36627726270833483D6745E55D5764F8A32BABD28874AAFC8F476B9FC03F2AF8E13');
INSERT INTO "trace_chunk" VALUES('01a21431-fcb0-70ae-88ee-ff139e916828',1,'foyer-bar','2026-11-25T19:32:30.000000Z',1,10.5,X'02789C636440060E910ED1D14A4E89398979C9A9294A3AD54A997929A9154A56063A4A892929A929F1E940B61E90575C90995302E219EA99EA28A5E497269540E48C4C6B6363012DC815F6');
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
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('event',66);
COMMIT;
PRAGMA application_id = 0x54415245;
