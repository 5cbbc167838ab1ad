BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
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
INSERT INTO "dose" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d',0,'foyer-bar',4,'prompters-cordial','Prompter''s Cordial',1.127032,0.0,4.99069079778698707636e+01);
INSERT INTO "dose" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d',1,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,1.76878522321365807103e+02);
INSERT INTO "dose" VALUES('01a21430-27f0-7007-9d71-ecb58f8b6fc7',0,'foyer-bar',2,'footlight-spirit','Footlight Spirit',0.948045,40.0,15.0);
INSERT INTO "dose" VALUES('01a21431-1250-70a8-a871-1629eec40424',0,'foyer-bar',1,'house-water','House Water',9.98598003994206395717e-01,0.0,80.0);
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
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d',0,'foyer-bar',4.99069079778698707636e+01,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d',1,'foyer-bar',1.76878522321365807103e+02,2.4,8.3,1,101.0,105.5,107.25,'within','target',NULL);
INSERT INTO "dose_outcome" VALUES('01a21430-27f0-7007-9d71-ecb58f8b6fc7',0,'foyer-bar',12.5,2.4,8.3,1,100.0,105.5,107.25,'within','target',NULL);
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
INSERT INTO "event" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":24.0,"active":true,"allergens":null,"cost_per_l":17.5,"density_at_c":20.0,"density_g_per_ml":1.068783,"density_origin":"strength and sugar","density_uncertainty_g_per_ml":0.006746,"id":"curtain-liqueur","name":"Curtain Liqueur","note":"allergens not looked up yet","serving_c":20.0,"sugar_g_per_l":260.0}','192f97907003f12de2de2500560a2f91dfd3e219040807902c3b7a56608940c5','eb7f81918b456ca3ecf5d4176a49d6fdf8eed414cd4ac95303c275427562282f');
INSERT INTO "event" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":15.0,"active":true,"allergens":["sulphites"],"cost_per_l":11.0,"density_at_c":18.0,"density_g_per_ml":1.02,"density_origin":"weighed","density_uncertainty_g_per_ml":0.020422,"id":"overture","name":"Overture","note":"","serving_c":10.0,"sugar_g_per_l":140.0}','eb7f81918b456ca3ecf5d4176a49d6fdf8eed414cd4ac95303c275427562282f','64fa2a1effed55a4e6cad1df44860770472f82d1949525ad7e37e4421a7596f4');
INSERT INTO "event" VALUES(10,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"brim_ml":320.0,"headroom_ml":40.0,"heaviest_g":262.0,"id":"foyer-tumbler","lightest_g":231.0,"name":"Foyer tumbler"}','64fa2a1effed55a4e6cad1df44860770472f82d1949525ad7e37e4421a7596f4','02f6fa8dfeb7925761812a16b69c0cee577133d1d9218d0c2b482d6ce53e654a');
INSERT INTO "event" VALUES(11,'foyer-bar','2026-11-25T19:30:00.000000Z','glass_put',NULL,'{"active":true,"brim_ml":210.0,"headroom_ml":30.0,"heaviest_g":199.0,"id":"short-glass","lightest_g":176.0,"name":"Short glass"}','02f6fa8dfeb7925761812a16b69c0cee577133d1d9218d0c2b482d6ce53e654a','8684c0653437d5e4d9a52bc2ea83fe9b127aa025ebf27b7bf24cc2454aade05a');
INSERT INTO "event" VALUES(12,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"green-room-cooler","name":"Green Room Cooler","note":"","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"prompters-cordial","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":4.0},"liquid_id":"house-water","text":"4 parts"}},{"hand":{"kind":"garnish","what":"a slice of cucumber"}}],"volume_ml":null}','8684c0653437d5e4d9a52bc2ea83fe9b127aa025ebf27b7bf24cc2454aade05a','dafbedc1779e3e542eb2649d1a60cbfac52aea6e4517ce4b6017f0ecb55cc959');
INSERT INTO "event" VALUES(13,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"half-hour-call","name":"Half-hour Call","note":"","steps":[{"dose":{"amount":{"kind":"parts","value":5.0},"liquid_id":"gallery-juice","text":"5 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"volume_ml","value":10.0},"liquid_id":"dress-circle-syrup","text":"10 ml"}},{"hand":{"kind":"other","what":"stir, then serve with a paper straw"}}],"volume_ml":140.0}','dafbedc1779e3e542eb2649d1a60cbfac52aea6e4517ce4b6017f0ecb55cc959','ead4a3bcca25e85b8185b8615adb2b1ab3e6ac1d2876e7e0d5bfa1ee93cbd50a');
INSERT INTO "event" VALUES(14,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"matinee-fizz","name":"Matin\u00e9e Fizz","note":"the soda fills what is left of the glass","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":22.180147171874992},"liquid_id":"dress-circle-syrup","text":"3/4 oz"}},{"dose":{"amount":{"kind":"volume_ml","value":20.0},"liquid_id":"limelight","text":"20 ml"}},{"hand":{"kind":"top_up","liquid_id":"foyer-soda","what":"soda, slowly"}}],"volume_ml":null}','ead4a3bcca25e85b8185b8615adb2b1ab3e6ac1d2876e7e0d5bfa1ee93cbd50a','7cd6614c4e3fcad7fde03101dc32ea41e2bfc61041be6e4f0c6698de7c26a5e0');
INSERT INTO "event" VALUES(15,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"second-bell","name":"Second Bell","note":"","steps":[{"hand":{"ice_g":60.0,"kind":"ice","what":"three cubes"}},{"dose":{"amount":{"kind":"volume_ml","value":25.0},"liquid_id":"footlight-spirit","text":"25 ml"}},{"dose":{"amount":{"kind":"volume_ml","value":110.0},"liquid_id":"gallery-juice","text":"110 ml"}},{"hand":{"amount":{"kind":"volume_ml","value":40.0},"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"}}],"volume_ml":null}','7cd6614c4e3fcad7fde03101dc32ea41e2bfc61041be6e4f0c6698de7c26a5e0','767c508cd2478bc5e3fc6df3c34b391c873dc6ac0acc8c0fa67c1f8ce81ee668');
INSERT INTO "event" VALUES(16,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"short-glass","id":"curtain-up","name":"Curtain Up","note":"","steps":[{"hand":{"ice_g":40.0,"kind":"ice","what":"two cubes"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"curtain-liqueur","text":"2 parts"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"limelight","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":2.0},"liquid_id":"gallery-juice","text":"2 parts"}}],"volume_ml":100.0}','767c508cd2478bc5e3fc6df3c34b391c873dc6ac0acc8c0fa67c1f8ce81ee668','b3e5d5faa22312b81ad494b1ee40d0af1a1f647384d5efc0d4a9353c326e7781');
INSERT INTO "event" VALUES(17,'foyer-bar','2026-11-25T19:30:00.000000Z','recipe_put',NULL,'{"active":true,"glass_id":"foyer-tumbler","id":"long-overture","name":"Long Overture","note":"","steps":[{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"overture","text":"1 part"}},{"dose":{"amount":{"kind":"parts","value":1.0},"liquid_id":"house-water","text":"1 part"}},{"hand":{"kind":"garnish","what":"a strip of orange peel"}}],"volume_ml":180.0}','b3e5d5faa22312b81ad494b1ee40d0af1a1f647384d5efc0d4a9353c326e7781','e83b610c67469c7090c44ffff620892f1a35f8257d724dc2473be2da6ffe6072');
INSERT INTO "event" VALUES(18,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"house-water","name":"far left","number":1}','e83b610c67469c7090c44ffff620892f1a35f8257d724dc2473be2da6ffe6072','51d29d39cd943a89fe52fec15f8fdc1a96669a2699ce124c2f6c7814f503cdc4');
INSERT INTO "event" VALUES(19,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"footlight-spirit","name":"second from left","number":2}','51d29d39cd943a89fe52fec15f8fdc1a96669a2699ce124c2f6c7814f503cdc4','773eac8c088da28be86456e46aa181beab3e9377c80d21a1190523783909ee29');
INSERT INTO "event" VALUES(20,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"dress-circle-syrup","name":"third from left","number":3}','773eac8c088da28be86456e46aa181beab3e9377c80d21a1190523783909ee29','e02d48db4de5c6668b3961670788f2bb0044da8f70a6102b963d05325d517982');
INSERT INTO "event" VALUES(21,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"prompters-cordial","name":"left of the till","number":4}','e02d48db4de5c6668b3961670788f2bb0044da8f70a6102b963d05325d517982','5d8ddd345915d28196c60d764f2106eebfb917dc2e2d2351ab596855b519f148');
INSERT INTO "event" VALUES(22,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"gallery-juice","name":"right of the till","number":5}','5d8ddd345915d28196c60d764f2106eebfb917dc2e2d2351ab596855b519f148','565400e38f7dc0a2ae9d295673a5b2a9eea64dc680df0e8fc0f078c5aa6749ed');
INSERT INTO "event" VALUES(23,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"limelight","name":"third from right","number":6}','565400e38f7dc0a2ae9d295673a5b2a9eea64dc680df0e8fc0f078c5aa6749ed','7b81f6513786c99f2a8c73b95d632b2f24afd78d2dc75292989ec63e05210bad');
INSERT INTO "event" VALUES(24,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"curtain-liqueur","name":"second from right","number":7}','7b81f6513786c99f2a8c73b95d632b2f24afd78d2dc75292989ec63e05210bad','a4f1b923d4c5d161372fa40781bd9ed6f2914671bdfb710aa142fdeab05b994c');
INSERT INTO "event" VALUES(25,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"overture","name":"far right","number":8}','a4f1b923d4c5d161372fa40781bd9ed6f2914671bdfb710aa142fdeab05b994c','d782df0600e2895a2170e61a2d9c8b16ec00544c91a88f02c7aaac3f46569785');
INSERT INTO "event" VALUES(26,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":4993.0,"id":"water-1","liquid_id":"house-water","low_g":500.0,"opened_at":null,"tare_g":null}','d782df0600e2895a2170e61a2d9c8b16ec00544c91a88f02c7aaac3f46569785','f10c4e80e5b8f00c8b2686b9e5acb25500e90201aa88ec14137b63a1bb63c63f');
INSERT INTO "event" VALUES(27,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"water-1","change_g":4993.0,"kind":"opening","movement_id":1,"seal":"ceb61817907f8209dd07a4b5e418be3f8e64cc49fbebc638563f329d36a7e6b2"}','f10c4e80e5b8f00c8b2686b9e5acb25500e90201aa88ec14137b63a1bb63c63f','2c259e1ccc33c00e3c4d3438abb0d9a1fb3178a4dff855b7dab33a62b279faf1');
INSERT INTO "event" VALUES(28,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":1,"id":"water-1","liquid_id":"house-water"}','2c259e1ccc33c00e3c4d3438abb0d9a1fb3178a4dff855b7dab33a62b279faf1','31834a0d656f19c57a863112ca750c503a335ecc1a5ca7224e80cd67abc78c8f');
INSERT INTO "event" VALUES(29,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-1","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":"2031-03-14T18:05:00.000000Z","tare_g":486.0}','31834a0d656f19c57a863112ca750c503a335ecc1a5ca7224e80cd67abc78c8f','5e0b55358a78b702dd0c58598271069d0f0815002b4a817f1562ccf9b36863a0');
INSERT INTO "event" VALUES(30,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-1","change_g":663.6,"kind":"opening","movement_id":2,"seal":"c328aeaa1994ebbe567e4aac771d1dc82642e4acdb68aa2bda4dcfe4356cca43"}','5e0b55358a78b702dd0c58598271069d0f0815002b4a817f1562ccf9b36863a0','e25f8e69516e8c45c67415dd0ef198f3a9ade12fc79da87dab1836a0923f2798');
INSERT INTO "event" VALUES(31,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":2,"id":"footlight-1","liquid_id":"footlight-spirit"}','e25f8e69516e8c45c67415dd0ef198f3a9ade12fc79da87dab1836a0923f2798','639028fc09ee7de4ffdfa20b093451f495edb45ba0b01e79c03ba97ae3299a06');
INSERT INTO "event" VALUES(32,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":663.6,"id":"footlight-2","liquid_id":"footlight-spirit","low_g":66.4,"opened_at":null,"tare_g":486.0}','639028fc09ee7de4ffdfa20b093451f495edb45ba0b01e79c03ba97ae3299a06','9306539cc9f890f1f8318fd5c40e1e0a9c5a74f246ea7514d663350cb9234db5');
INSERT INTO "event" VALUES(33,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"footlight-2","change_g":663.6,"kind":"opening","movement_id":3,"seal":"3cdf47588a7c8fe6a8047768220341ed583b3e6f1042ad77279764f8c4a88edf"}','9306539cc9f890f1f8318fd5c40e1e0a9c5a74f246ea7514d663350cb9234db5','4d15acb9288f6b1a10297a49f6a564db8855332857a04c4331d35c0d120e6e01');
INSERT INTO "event" VALUES(34,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":921.6,"id":"circle-1","liquid_id":"dress-circle-syrup","low_g":92.2,"opened_at":null,"tare_g":455.0}','4d15acb9288f6b1a10297a49f6a564db8855332857a04c4331d35c0d120e6e01','a60d15b8892b94b56297619515e0bcf71e4468db4d410273587898641e9685ba');
INSERT INTO "event" VALUES(35,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"circle-1","change_g":921.6,"kind":"opening","movement_id":4,"seal":"b1bc500e7f677a280b1f522e7aba05192856ffddaeaf0bd4f4acf34c748e2a01"}','a60d15b8892b94b56297619515e0bcf71e4468db4d410273587898641e9685ba','c25aec26f64cd2b0ded2525a9d07300861fc5e2f36847d5fedf58b57d2571c39');
INSERT INTO "event" VALUES(36,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":3,"id":"circle-1","liquid_id":"dress-circle-syrup"}','c25aec26f64cd2b0ded2525a9d07300861fc5e2f36847d5fedf58b57d2571c39','fa45ec530c8a6ce35090d96bb5ff05997a800d258929ae2ee25f9946b1a9d005');
INSERT INTO "event" VALUES(37,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1127.0,"id":"cordial-1","liquid_id":"prompters-cordial","low_g":112.7,"opened_at":null,"tare_g":74.0}','fa45ec530c8a6ce35090d96bb5ff05997a800d258929ae2ee25f9946b1a9d005','d214458eee5d5f2972313dd62932cbe572ba6d198fba562fbc8e9cd3f655072f');
INSERT INTO "event" VALUES(38,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"cordial-1","change_g":1127.0,"kind":"opening","movement_id":5,"seal":"4c49fe4b559c48f72ce4c4010369b067fa8b8c9563dede03a48b1486cbf916cf"}','d214458eee5d5f2972313dd62932cbe572ba6d198fba562fbc8e9cd3f655072f','6a95767338db5f8d2989a1eb5ae8b688c61f96061dbe3e8ed77bcac2970d5a55');
INSERT INTO "event" VALUES(39,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":4,"id":"cordial-1","liquid_id":"prompters-cordial"}','6a95767338db5f8d2989a1eb5ae8b688c61f96061dbe3e8ed77bcac2970d5a55','5100f8734a1554783de346618111009bcfc86e81abd412a261411cfb2b909d26');
INSERT INTO "event" VALUES(40,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":1044.3,"id":"gallery-1","liquid_id":"gallery-juice","low_g":104.4,"opened_at":"2031-03-14T18:10:00.000000Z","tare_g":38.0}','5100f8734a1554783de346618111009bcfc86e81abd412a261411cfb2b909d26','c32f1670c5dcd503a4a818f383ddf2960f7e5c9afd320064fd66adc055eda0da');
INSERT INTO "event" VALUES(41,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"gallery-1","change_g":640.0,"kind":"opening","movement_id":6,"seal":"ab1194ee53aaaae57835c70a9534c4acf77889695b564140a77762404ff7f025"}','c32f1670c5dcd503a4a818f383ddf2960f7e5c9afd320064fd66adc055eda0da','18a7ec81e40693d9e5318cf24f2d392e8bc65c723d2d72d0b7874e89eaeb1843');
INSERT INTO "event" VALUES(42,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":5,"id":"gallery-1","liquid_id":"gallery-juice"}','18a7ec81e40693d9e5318cf24f2d392e8bc65c723d2d72d0b7874e89eaeb1843','5cd933be7f5fe1d4411cc33db8950a3e2aa2f27818acd058c759aa37553ade96');
INSERT INTO "event" VALUES(43,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":514.9,"id":"limelight-1","liquid_id":"limelight","low_g":51.5,"opened_at":null,"tare_g":301.0}','5cd933be7f5fe1d4411cc33db8950a3e2aa2f27818acd058c759aa37553ade96','588769cfb49ab358193d0cc4ec86577d59afb36fdd243057fb221d117ed263e4');
INSERT INTO "event" VALUES(44,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"limelight-1","change_g":514.9,"kind":"opening","movement_id":7,"seal":"f01e918260d3e83051be1dfd7d813344b939463b6e84221a86b6e026b2a53f54"}','588769cfb49ab358193d0cc4ec86577d59afb36fdd243057fb221d117ed263e4','bcd33f046e1b2b26e8cc5e34bf4e753a05a2abd2a3ec15e91e9280624825be0b');
INSERT INTO "event" VALUES(45,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":6,"id":"limelight-1","liquid_id":"limelight"}','bcd33f046e1b2b26e8cc5e34bf4e753a05a2abd2a3ec15e91e9280624825be0b','c08c04087b084e747ef04d2b3c63309b8754f95838e2b87908382c69ac137e44');
INSERT INTO "event" VALUES(46,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":748.1,"id":"curtain-1","liquid_id":"curtain-liqueur","low_g":74.8,"opened_at":null,"tare_g":497.0}','c08c04087b084e747ef04d2b3c63309b8754f95838e2b87908382c69ac137e44','ae19c2e527c7f66d9bc64f0b025022efc2dc506e0a59669e390903078b56a275');
INSERT INTO "event" VALUES(47,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"curtain-1","change_g":748.1,"kind":"opening","movement_id":8,"seal":"5bda388ca8a8c376a391cbf752e5334554662738285785dbeefafba3bf7887e4"}','ae19c2e527c7f66d9bc64f0b025022efc2dc506e0a59669e390903078b56a275','b9b912825be80ba2ac07bba30714335f9912e83d275615257859fe8f32dc18aa');
INSERT INTO "event" VALUES(48,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":7,"id":"curtain-1","liquid_id":"curtain-liqueur"}','b9b912825be80ba2ac07bba30714335f9912e83d275615257859fe8f32dc18aa','20381d5ab044ff0502f35608c126327faeb61a0b213148df7c886e886b365f68');
INSERT INTO "event" VALUES(49,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_put',NULL,'{"full_g":765.0,"id":"overture-1","liquid_id":"overture","low_g":76.5,"opened_at":null,"tare_g":458.0}','20381d5ab044ff0502f35608c126327faeb61a0b213148df7c886e886b365f68','7ee5a01c7dcf0d03ada9cdb9733b9028bf78a954d7401b57070efebdc639ac10');
INSERT INTO "event" VALUES(50,'foyer-bar','2026-11-25T19:30:00.000000Z','stock_moved',NULL,'{"bottle_id":"overture-1","change_g":765.0,"kind":"opening","movement_id":9,"seal":"aa347deeab556f089e27e34889668082e852d92f9db906101e641d1a4aae8854"}','7ee5a01c7dcf0d03ada9cdb9733b9028bf78a954d7401b57070efebdc639ac10','bdaf52d7c266d915a0e1e7e0680b07ce469d94fb1e1a63eb9bd79d1892b64f09');
INSERT INTO "event" VALUES(51,'foyer-bar','2026-11-25T19:30:00.000000Z','bottle_mounted',NULL,'{"channel":8,"id":"overture-1","liquid_id":"overture"}','bdaf52d7c266d915a0e1e7e0680b07ce469d94fb1e1a63eb9bd79d1892b64f09','b6154bdef746a3799617b6a2ec67bcbcec9be7cc0a40251771c809323e6c1299');
INSERT INTO "event" VALUES(52,'foyer-bar','2026-11-25T19:30:00.000000Z','calibrated',NULL,'{"calibration_id":1,"counts_per_g":1998.25,"how":"two_point","seal":"8973ae2eec4e9fab10ff0b6bd521cbfd8640aa11d381066ff7fa2bc8465a9723","zero_counts":-84213.4}','b6154bdef746a3799617b6a2ec67bcbcec9be7cc0a40251771c809323e6c1299','e2b979c5a4efebee4ac1faa91be145004f1d7e889bc262d760f09f555b0865eb');
INSERT INTO "event" VALUES(53,'foyer-bar','2026-11-25T19:30:00.000000Z','round_begun',NULL,'{"glasses":[{"guest":"seat 14","name":"Green Room Cooler","recipe_id":"green-room-cooler"},{"guest":null,"name":"Second Bell","recipe_id":"second-bell"}],"origin":"api","round_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8","seal":"f85e49f93c5939c8e6fcc895fc24c2a14954b38e70972271147d3be916f597dd"}','e2b979c5a4efebee4ac1faa91be145004f1d7e889bc262d760f09f555b0865eb','d13a7a8e1ab9a49b2a7afc63eefb16156a662545a4634db6cf9f903e764fc480');
INSERT INTO "event" VALUES(54,'foyer-bar','2026-11-25T19:30:00.000000Z','guest_released',NULL,'{"glass_index":0,"guest":"seat 14","reason":"shares it with seat 15","release_id":1,"released_by":"the host","round_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8","seal":"0079884a83eff4badb44ccd7a15f0de57539026cebea32d458a28cf4f7c9dd22"}','d13a7a8e1ab9a49b2a7afc63eefb16156a662545a4634db6cf9f903e764fc480','209267a4365e15bc6879dcb10257cad16c6befcdac0aaaff49eacd5cc4d732ea');
INSERT INTO "event" VALUES(55,'foyer-bar','2026-11-25T19:30:00.000000Z','pour_begun','01a2142f-b2c0-70e5-8b59-0de8857e074d','{"doses":[{"abv_percent":0.0,"channel":4,"density_g_per_ml":1.127032,"liquid_id":"prompters-cordial","liquid_name":"Prompter''s Cordial","target_g":49.90690797786987},{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":176.8785223213658}],"origin":"api","purpose":"drink","recipe":{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8/0/0/1"},"seal":"93ef15fb90d14c2be1fc482fc396e429f3919ba19917fdff4d736c274fec35a1"}','209267a4365e15bc6879dcb10257cad16c6befcdac0aaaff49eacd5cc4d732ea','aeeff12c684c37ded4b391c9a7e43900c911f50ca3d06b9ee1c1e9a0d62316dc');
INSERT INTO "event" VALUES(56,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a2142f-b2c0-70e5-8b59-0de8857e074d','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":49.90690797786987,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"},{"began_s":101.0,"cause":"target","cut_off_s":105.5,"delivered_g":176.8785223213658,"ended_s":107.25,"index":1,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"}],"drawn":[{"bottle_id":"cordial-1","change_g":-49.906908,"dose_index":0,"kind":"pour"},{"bottle_id":"water-1","change_g":-176.878522,"dose_index":1,"kind":"pour"}],"glass_g":246.0,"seal":"816588f595c2ad3949d7695a1198c0c47dd73eb40db42844a70b0c08d5dcd7de","state":"complete"}','aeeff12c684c37ded4b391c9a7e43900c911f50ca3d06b9ee1c1e9a0d62316dc','7ea7e169b712319a009c4484294dbf6b3d77d8e004e3847a5247aac7431c4c45');
INSERT INTO "event" VALUES(57,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.059332660628655276,"ethanol_g":0.0,"mass_g":226.78543029923568,"sugar_g":14.972082689569561,"volume_ml":221.4196182056018},"ending":"complete","glass":0,"outcome_id":1,"pour_ids":["01a2142f-b2c0-70e5-8b59-0de8857e074d"],"round_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8","seal":"5f88f9b4cfef215340979ec0b891d30dfdbaf19b9b128110060914a9c2ebb105"}','7ea7e169b712319a009c4484294dbf6b3d77d8e004e3847a5247aac7431c4c45','58f0bc133d2946accb8926c351db649842eb685991538a49ac01d68de63dd49d');
INSERT INTO "event" VALUES(58,'foyer-bar','2026-11-25T19:30:30.000000Z','round_glass_ended',NULL,'{"attempt":0,"delivered":{"contraction_ml":0.0,"ethanol_g":0.0,"mass_g":0.0,"sugar_g":0.0,"volume_ml":0.0},"ending":"skipped","glass":1,"outcome_id":2,"pour_ids":[],"round_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8","seal":"1397e101ffb315ecd2b18263b87aa88de4c25a317c6918ad92c1de347805ea88"}','58f0bc133d2946accb8926c351db649842eb685991538a49ac01d68de63dd49d','ba3c8d372b504b6809a8d4e0376d0ee926edd7ec891db37a0a17c469653b3202');
INSERT INTO "event" VALUES(59,'foyer-bar','2026-11-25T19:30:30.000000Z','round_ended',NULL,'{"round_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8","seal":"f1f959696586e5fc90a823813328030efc0eeb7e7706ffb0b877b143d05be4de","state":"complete"}','ba3c8d372b504b6809a8d4e0376d0ee926edd7ec891db37a0a17c469653b3202','c0b6fd1d42a06170e106c32baae33f14c677eff4fdb4d6106fae05ef59867127');
INSERT INTO "event" VALUES(60,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_begun','01a21430-27f0-7007-9d71-ecb58f8b6fc7','{"doses":[{"abv_percent":40.0,"channel":2,"density_g_per_ml":0.948045,"liquid_id":"footlight-spirit","liquid_name":"Footlight Spirit","target_g":15.0}],"origin":"api","purpose":"prime","recipe":null,"seal":"481e19625ee56f9f8295e5e1b975bea0770c104033551e882f70c2bd6e87601f"}','c0b6fd1d42a06170e106c32baae33f14c677eff4fdb4d6106fae05ef59867127','fd3893206e1bfb9477ca62bf26d2af0a6e47eb321ef8b4245d2980db627c198c');
INSERT INTO "event" VALUES(61,'foyer-bar','2026-11-25T19:30:30.000000Z','pour_ended','01a21430-27f0-7007-9d71-ecb58f8b6fc7','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":12.5,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"target_g":null,"verdict":"within"}],"drawn":[{"bottle_id":"footlight-1","change_g":-12.5,"dose_index":0,"kind":"prime"}],"glass_g":null,"seal":"3f0c36823dd74ed75ddc0b62cf4b0526c6dbc0885d747463a6ff7bcd46013de3","state":"complete"}','fd3893206e1bfb9477ca62bf26d2af0a6e47eb321ef8b4245d2980db627c198c','804d9bac4c78320c31ce696792fb7cc513ce7a7018d0a11ded37c4046af14594');
INSERT INTO "event" VALUES(62,'foyer-bar','2026-11-25T19:31:30.000000Z','pour_begun','01a21431-1250-70a8-a871-1629eec40424','{"doses":[{"abv_percent":0.0,"channel":1,"density_g_per_ml":0.9985980039942064,"liquid_id":"house-water","liquid_name":"House Water","target_g":80.0}],"origin":"api","purpose":"drink","recipe":null,"seal":"7dc8201360db80c8e1aeeb3236560b55bcce459b35d3d999e9e49524a793bf49"}','804d9bac4c78320c31ce696792fb7cc513ce7a7018d0a11ded37c4046af14594','224f03fcc7e18db3896af48fa6060a0614011976f447b317cb89a7038466a4cb');
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
INSERT INTO "guest_release" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','seat 14','01a2142f-b2c0-700d-8724-6fc589f97ab8',0,'the host','shares it with seat 15');
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
INSERT INTO "inflight" VALUES(1,'foyer-bar','2026-11-25T19:30:30.000000Z',1,'house-water',0.3,0.02,8.25,1,'01a2142f-b2c0-70e5-8b59-0de8857e074d');
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
INSERT INTO "liquid" VALUES('curtain-liqueur','foyer-bar','Curtain Liqueur',1.068783,0.006746,'strength and sugar',20.0,24.0,260.0,NULL,17.5,20.0,'allergens not looked up yet',1);
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
INSERT INTO "pour" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d','foyer-bar','2026-11-25T19:30:00.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658}],"glass_holds_g":226.78543029923568,"keep_proportions":true,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"keep_taste":true,"lease_ms":400,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"purge_most_g":100.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink','{"glass_id":"foyer-tumbler","name":"Green Room Cooler","recipe_id":"green-room-cooler","serving_id":"01a2142f-b2c0-700d-8724-6fc589f97ab8/0/0/1"}');
INSERT INTO "pour" VALUES('01a21430-27f0-7007-9d71-ecb58f8b6fc7','foyer-bar','2026-11-25T19:30:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":2,"liquid_id":"footlight-spirit","target_g":15.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"prime"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"keep_taste":true,"lease_ms":400,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"purge_most_g":100.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'prime',NULL);
INSERT INTO "pour" VALUES('01a21431-1250-70a8-a871-1629eec40424','foyer-bar','2026-11-25T19:31:30.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"agent":null,"doses":[{"channel":1,"liquid_id":"house-water","target_g":80.0}],"glass_holds_g":null,"keep_proportions":false,"purpose":"drink"},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"keep_taste":true,"lease_ms":400,"no_flow_s":5.0,"prime_g":10.0,"prime_wait_s":20.0,"purge_most_g":100.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0',NULL,NULL,'drink',NULL);
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
INSERT INTO "pour_outcome" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,246.0);
INSERT INTO "pour_outcome" VALUES('01a21430-27f0-7007-9d71-ecb58f8b6fc7','foyer-bar','2026-11-25T19:30:30.000000Z','complete','target',81.3,NULL);
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
INSERT INTO "round" VALUES('01a2142f-b2c0-700d-8724-6fc589f97ab8','foyer-bar','2026-11-25T19:30:00.000000Z','key-1','print-1','api','0.1.0',0,'{"footlight-spirit":{"abv_percent":40.0,"active":true,"allergens":[],"cost_per_l":21.0,"density":{"at_c":20.0,"g_per_ml":0.948045,"origin":"strength","uncertainty_g_per_ml":0.00048},"id":"footlight-spirit","name":"Footlight Spirit","note":"","serving_c":20.0,"sugar_g_per_l":0.0},"foyer-soda":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":0.6,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"foyer-soda","name":"Foyer Soda","note":"never through a pump: it foams; topped up by hand","serving_c":6.0,"sugar_g_per_l":0.0},"gallery-juice":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":2.4,"density":{"at_c":20.0,"g_per_ml":1.042,"origin":"weighed","uncertainty_g_per_ml":0.007221},"id":"gallery-juice","name":"Gallery Juice","note":"","serving_c":8.0,"sugar_g_per_l":98.0},"house-water":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":0.1,"density":{"at_c":20.0,"g_per_ml":0.998207,"origin":"water","uncertainty_g_per_ml":1e-05},"id":"house-water","name":"House Water","note":"","serving_c":18.0,"sugar_g_per_l":0.0},"prompters-cordial":{"abv_percent":0.0,"active":true,"allergens":[],"cost_per_l":4.2,"density":{"at_c":20.0,"g_per_ml":1.127032,"origin":"brix","uncertainty_g_per_ml":0.002425},"id":"prompters-cordial","name":"Prompter''s Cordial","note":"","serving_c":20.0,"sugar_g_per_l":338.11}}');
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
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-700d-8724-6fc589f97ab8',0,'foyer-bar','green-room-cooler','seat 14','{"drink":{"allergens":[],"allergens_unknown":["a slice of cucumber"],"cost":0.20369588148180479,"glass_holds_g":226.78543029923566,"glass_id":"foyer-tumbler","hindrances":[],"name":"Green Room Cooler","notes":[],"recipe_id":"green-room-cooler","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.5803817943982},{"channel":4,"liquid_id":"prompters-cordial","target_g":49.90690797786987,"time_s":null,"volume_ml":44.28171336560973,"volume_uncertainty_ml":0.09527959712909981},{"channel":1,"liquid_id":"house-water","target_g":176.8785223213658,"time_s":null,"volume_ml":177.12685346243893,"volume_uncertainty_ml":0.013983946973182261},{"mass_g":0.0,"step":{"amount":null,"ice_g":0.0,"kind":"garnish","liquid_id":null,"text":"","what":"a slice of cucumber"},"volume_ml":0.0}],"strength":{"contraction_ml":0.0593326606286837,"ethanol_g":0.0,"mass_g":226.78543029923566,"sugar_g":14.972082689569561,"volume_ml":221.41961820560178},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":226.78543029923568,"time_s":null,"volume_ml":221.41961820560178,"volume_uncertainty_ml":0.09630032399754603},"guest":"seat 14","may_grow":true,"strength_open":false}');
INSERT INTO "round_glass" VALUES('01a2142f-b2c0-700d-8724-6fc589f97ab8',1,'foyer-bar','second-bell',NULL,'{"drink":{"allergens":[],"allergens_unknown":[],"cost":0.8130000000000001,"glass_holds_g":224.9533919824239,"glass_id":"foyer-tumbler","hindrances":[],"name":"Second Bell","notes":[],"recipe_id":"second-bell","steps":[{"mass_g":60.0,"step":{"amount":null,"ice_g":60.0,"kind":"ice","liquid_id":null,"text":"","what":"three cubes"},"volume_ml":58.957010067935016},{"channel":2,"liquid_id":"footlight-spirit","target_g":23.701125,"time_s":null,"volume_ml":25.0,"volume_uncertainty_ml":0.012657627011376042},{"channel":5,"liquid_id":"gallery-juice","target_g":114.87102854726075,"time_s":null,"volume_ml":110.0,"volume_uncertainty_ml":0.7638082279574953},{"mass_g":39.997692417611105,"step":{"amount":{"kind":"volume_ml","value":40.0},"ice_g":0.0,"kind":"top_up","liquid_id":"foyer-soda","text":"40 ml","what":"soda"},"volume_ml":40.0}],"strength":{"contraction_ml":-0.15506177486420825,"ethanol_g":7.892389960301733,"mass_g":178.56984596487183,"sugar_g":10.86734672045023,"volume_ml":175.46573677300924},"strength_known":true,"substitutions":[],"sugar_known":true,"target_g":138.57215354726074,"time_s":null,"volume_ml":175.46573677300924,"volume_uncertainty_ml":0.7943524536856084},"guest":null,"may_grow":true,"strength_open":false}');
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
INSERT INTO "round_glass_outcome" VALUES(1,'foyer-bar','01a2142f-b2c0-700d-8724-6fc589f97ab8',0,0,'2026-11-25T19:30:30.000000Z','complete','["01a2142f-b2c0-70e5-8b59-0de8857e074d"]',2.26785430299235684975e+02,2.21419618205601807401e+02,5.93326606286552760138e-02,0.0,1.49720826895695608978e+01);
INSERT INTO "round_glass_outcome" VALUES(2,'foyer-bar','01a2142f-b2c0-700d-8724-6fc589f97ab8',1,0,'2026-11-25T19:30:30.000000Z','skipped','[]',0.0,0.0,0.0,0.0,0.0);
CREATE TABLE round_outcome (
	round_id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	ended_at TEXT NOT NULL, 
	state TEXT NOT NULL, 
	CONSTRAINT pk_round_outcome PRIMARY KEY (round_id), 
	CONSTRAINT ck_round_outcome_state CHECK (state IN ('complete', 'stopped', 'aborted', 'interrupted')), 
	CONSTRAINT fk_round_outcome_round_id_round FOREIGN KEY(round_id) REFERENCES round (id)
);
INSERT INTO "round_outcome" VALUES('01a2142f-b2c0-700d-8724-6fc589f97ab8','foyer-bar','2026-11-25T19:30:30.000000Z','complete');
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
INSERT INTO "stock_movement" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','water-1','opening',4993.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','footlight-1','opening',663.6,NULL,NULL);
INSERT INTO "stock_movement" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','footlight-2','opening',663.6,NULL,NULL);
INSERT INTO "stock_movement" VALUES(4,'foyer-bar','2026-11-25T19:30:00.000000Z','circle-1','opening',921.6,NULL,NULL);
INSERT INTO "stock_movement" VALUES(5,'foyer-bar','2026-11-25T19:30:00.000000Z','cordial-1','opening',1127.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(6,'foyer-bar','2026-11-25T19:30:00.000000Z','gallery-1','opening',640.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(7,'foyer-bar','2026-11-25T19:30:00.000000Z','limelight-1','opening',514.9,NULL,NULL);
INSERT INTO "stock_movement" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','curtain-1','opening',748.1,NULL,NULL);
INSERT INTO "stock_movement" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','overture-1','opening',765.0,NULL,NULL);
INSERT INTO "stock_movement" VALUES(10,'foyer-bar','2026-11-25T19:30:30.000000Z','cordial-1','pour',-49.906908,'01a2142f-b2c0-70e5-8b59-0de8857e074d',0);
INSERT INTO "stock_movement" VALUES(11,'foyer-bar','2026-11-25T19:30:30.000000Z','water-1','pour',-176.878522,'01a2142f-b2c0-70e5-8b59-0de8857e074d',1);
INSERT INTO "stock_movement" VALUES(12,'foyer-bar','2026-11-25T19:30:30.000000Z','footlight-1','prime',-12.5,'01a21430-27f0-7007-9d71-ecb58f8b6fc7',0);
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
INSERT INTO "trace_chunk" VALUES('01a2142f-b2c0-70e5-8b59-0de8857e074d',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
INSERT INTO "trace_chunk" VALUES('01a21430-27f0-7007-9d71-ecb58f8b6fc7',0,'foyer-bar','2026-11-25T19:30:30.000000Z',14,81.3,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
INSERT INTO "trace_chunk" VALUES('01a21431-1250-70a8-a871-1629eec40424',0,'foyer-bar','2026-11-25T19:31:30.000000Z',14,10.5,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
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
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('event',62);
COMMIT;
PRAGMA application_id = 0x54415245;
