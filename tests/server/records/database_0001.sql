BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
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
INSERT INTO "channel" VALUES(1,'foyer-bar','elderflower','left of the till');
INSERT INTO "channel" VALUES(3,'foyer-bar','act-two-bitter','middle');
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
INSERT INTO "dose" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d',0,'foyer-bar',1,'elderflower','Elderflower water',1.02,NULL,40.0);
INSERT INTO "dose" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d',1,'foyer-bar',3,'act-two-bitter','Act Two bitter',0.985,24.0,41.0);
INSERT INTO "dose" VALUES('01a21431-1638-7040-a349-2db83d38ce6d',0,'foyer-bar',1,'elderflower','Elderflower water',1.02,NULL,40.0);
INSERT INTO "dose" VALUES('01a21431-1638-7040-a349-2db83d38ce6d',1,'foyer-bar',3,'act-two-bitter','Act Two bitter',0.985,24.0,41.0);
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
	CONSTRAINT pk_dose_outcome PRIMARY KEY (pour_id, dose_index), 
	CONSTRAINT ck_dose_outcome_verdict CHECK (verdict IN ('within', 'under', 'over')), 
	CONSTRAINT fk_dose_outcome_pour_id_dose_index_dose FOREIGN KEY(pour_id, dose_index) REFERENCES dose (pour_id, dose_index)
);
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d',0,'foyer-bar',40.2,2.4,8.3,1,100.0,105.5,107.25,'within','target');
INSERT INTO "dose_outcome" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d',1,'foyer-bar',40.2,2.4,8.3,1,101.0,105.5,107.25,'within','target');
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
INSERT INTO "event" VALUES(1,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":null,"active":true,"allergens":null,"density_g_per_ml":1.02,"density_origin":"weighed on the bar''s scale","id":"elderflower","name":"Elderflower water"}','0000000000000000000000000000000000000000000000000000000000000000','282efb4e2ca9714c02c2790e83a1445e82a85670a746785e8c68450eb8b0b3ad');
INSERT INTO "event" VALUES(2,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":24.0,"active":true,"allergens":"contains nuts","density_g_per_ml":0.985,"density_origin":"label","id":"act-two-bitter","name":"Act Two bitter"}','282efb4e2ca9714c02c2790e83a1445e82a85670a746785e8c68450eb8b0b3ad','0484dc65bcdb25fcd114e8244845bc24f80c48d1cab4279de5ab2eb93694b395');
INSERT INTO "event" VALUES(3,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":0.0,"active":true,"allergens":null,"density_g_per_ml":1.04,"density_origin":"not stated","id":"gallery-juice","name":"Gallery Juice"}','0484dc65bcdb25fcd114e8244845bc24f80c48d1cab4279de5ab2eb93694b395','1495c31b5288f47008517ffcec0bbb942128775eb9016578d3c64be4156ec64b');
INSERT INTO "event" VALUES(4,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_put',NULL,'{"abv_percent":null,"active":true,"allergens":null,"density_g_per_ml":0.62,"density_origin":"a guess","id":"stage-fog","name":"Stage Fog"}','1495c31b5288f47008517ffcec0bbb942128775eb9016578d3c64be4156ec64b','26bcba04a55b1c328bda7ba6fdfa26e2766682b5148fd6af81cf43ec51172988');
INSERT INTO "event" VALUES(5,'foyer-bar','2026-11-25T19:30:00.000000Z','liquid_retired',NULL,'{"id":"stage-fog"}','26bcba04a55b1c328bda7ba6fdfa26e2766682b5148fd6af81cf43ec51172988','828b17e7eb0d16255d3c7c3c2f9b863ba5ab6875a6887f4f0f91af3da15dedca');
INSERT INTO "event" VALUES(6,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"elderflower","name":"left of the till","number":1}','828b17e7eb0d16255d3c7c3c2f9b863ba5ab6875a6887f4f0f91af3da15dedca','8a98602ed5894dc16126b2255e4970096bc32b5d690589eb1f39ad7c50c1bee1');
INSERT INTO "event" VALUES(7,'foyer-bar','2026-11-25T19:30:00.000000Z','channel_assigned',NULL,'{"liquid_id":"act-two-bitter","name":"middle","number":3}','8a98602ed5894dc16126b2255e4970096bc32b5d690589eb1f39ad7c50c1bee1','961531392f3ed2f18db56234a2541fe0631c05c69b275421067abf2448769a96');
INSERT INTO "event" VALUES(8,'foyer-bar','2026-11-25T19:30:00.000000Z','calibrated',NULL,'{"calibration_id":1,"counts_per_g":1998.25,"how":"two_point","seal":"8973ae2eec4e9fab10ff0b6bd521cbfd8640aa11d381066ff7fa2bc8465a9723","zero_counts":-84213.4}','961531392f3ed2f18db56234a2541fe0631c05c69b275421067abf2448769a96','288b3b12a2ad444392d18c91d9f86e3af0e58adf582fcea8ba9b8b1a2ea55032');
INSERT INTO "event" VALUES(9,'foyer-bar','2026-11-25T19:30:00.000000Z','pour_begun','01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d','{"doses":[{"abv_percent":null,"channel":1,"density_g_per_ml":1.02,"liquid_id":"elderflower","liquid_name":"Elderflower water","target_g":40.0},{"abv_percent":24.0,"channel":3,"density_g_per_ml":0.985,"liquid_id":"act-two-bitter","liquid_name":"Act Two bitter","target_g":41.0}],"origin":"api","seal":"10d053e747996e96cd8e2665deb6fe8052e973a03e77f1e856f6ee10bfe151fd"}','288b3b12a2ad444392d18c91d9f86e3af0e58adf582fcea8ba9b8b1a2ea55032','200a5717878b12f59b2740ab58b984de4ce391eec481037b62f97555b189f951');
INSERT INTO "event" VALUES(10,'foyer-bar','2026-11-25T19:30:31.000000Z','pour_ended','01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d','{"cause":"target","delivered_g":81.3,"doses":[{"began_s":100.0,"cause":"target","cut_off_s":105.5,"delivered_g":40.2,"ended_s":107.25,"index":0,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"verdict":"within"},{"began_s":101.0,"cause":"target","cut_off_s":105.5,"delivered_g":40.2,"ended_s":107.25,"index":1,"inflight_g":2.4,"jogs":1,"peak_flow_g_per_s":8.3,"verdict":"within"}],"glass_g":251.3,"seal":"14b6fbb2f149b5075defb79fd8505924ca478359bf87f9bed278da74764d83c6","state":"complete"}','200a5717878b12f59b2740ab58b984de4ce391eec481037b62f97555b189f951','c87f238f326db0e80fa0c79ffeaeb5de23c41ca72b15d5a89136707715d01228');
INSERT INTO "event" VALUES(11,'foyer-bar','2026-11-25T19:31:31.000000Z','pour_begun','01a21431-1638-7040-a349-2db83d38ce6d','{"doses":[{"abv_percent":null,"channel":1,"density_g_per_ml":1.02,"liquid_id":"elderflower","liquid_name":"Elderflower water","target_g":40.0},{"abv_percent":24.0,"channel":3,"density_g_per_ml":0.985,"liquid_id":"act-two-bitter","liquid_name":"Act Two bitter","target_g":41.0}],"origin":"api","seal":"862d280b98c635501f8ae5c930070586b2b1f41d6f358e9d83769eab96ec372b"}','c87f238f326db0e80fa0c79ffeaeb5de23c41ca72b15d5a89136707715d01228','e8b7e4364fe74ca3f7115f7768861eae96a359639b242a7693e7ab5fd6a2c97a');
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
INSERT INTO "inflight" VALUES(1,'foyer-bar','2026-11-25T19:30:31.000000Z',1,'elderflower',0.3,0.02,8.25,1,'01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d');
CREATE TABLE liquid (
	id TEXT NOT NULL, 
	machine_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	density_g_per_ml DOUBLE NOT NULL, 
	density_origin TEXT NOT NULL, 
	allergens TEXT, 
	abv_percent DOUBLE, 
	active BOOLEAN NOT NULL, 
	CONSTRAINT pk_liquid PRIMARY KEY (id), 
	CONSTRAINT ck_liquid_abv CHECK (abv_percent BETWEEN 0 AND 100), 
	CONSTRAINT ck_liquid_density CHECK (density_g_per_ml > 0)
);
INSERT INTO "liquid" VALUES('elderflower','foyer-bar','Elderflower water',1.02,'weighed on the bar''s scale',NULL,NULL,1);
INSERT INTO "liquid" VALUES('act-two-bitter','foyer-bar','Act Two bitter',0.985,'label','contains nuts',24.0,1);
INSERT INTO "liquid" VALUES('gallery-juice','foyer-bar','Gallery Juice',1.04,'not stated',NULL,0.0,1);
INSERT INTO "liquid" VALUES('stage-fog','foyer-bar','Stage Fog',0.62,'a guess',NULL,NULL,0);
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
	CONSTRAINT pk_pour PRIMARY KEY (id), 
	CONSTRAINT ck_pour_key_with_fingerprint CHECK ((idempotency_key IS NULL) = (fingerprint IS NULL)), 
	CONSTRAINT uq_pour_idempotency_key UNIQUE (idempotency_key)
);
INSERT INTO "pour" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d','foyer-bar','2026-11-25T19:30:00.000000Z','key-1','print-1','{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"doses":[{"channel":1,"liquid_id":"elderflower","target_g":40.0},{"channel":3,"liquid_id":"act-two-bitter","target_g":41.0}],"glass_holds_g":300.0},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"lease_ms":400,"no_flow_s":5.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0','foyer-01','0.1.0');
INSERT INTO "pour" VALUES('01a21431-1638-7040-a349-2db83d38ce6d','foyer-bar','2026-11-25T19:31:31.000000Z',NULL,NULL,'{"calibration":{"counts_per_g":1998.25,"zero_counts":-84213.4},"known":{"1":{"count":12,"flow_g_per_s":8.25,"lag_s":0.31,"spread_s":0.02}},"plan":{"doses":[{"channel":1,"liquid_id":"elderflower","target_g":40.0},{"channel":3,"liquid_id":"act-two-bitter","target_g":41.0}],"glass_holds_g":300.0},"rating":{"e_g":0.1,"max_g":1000.0},"sample_rate_hz":80,"settings":{"accuracy_class":0.5,"aim_least_g":0.3,"aim_share":0.25,"ceiling_margin_g":30.0,"coarse_speed":255,"feed_most_s":60.0,"fine_s":0.9,"fine_speed":80,"flow_window_s":0.8,"glass_least_g":20.0,"glass_wait_s":120.0,"jogs_most":3,"jump_g":15.0,"lease_ms":400,"no_flow_s":5.0,"renew_s":0.1,"rest_band_g":0.08,"rest_wait_s":6.0,"rest_window_s":0.45,"stale_s":0.25,"tare_window_s":0.6},"variable_speed":true}','api','0.1.0','foyer-01','0.1.0');
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
INSERT INTO "pour_outcome" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d','foyer-bar','2026-11-25T19:30:31.000000Z','complete','target',81.3,251.3);
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
INSERT INTO "trace_chunk" VALUES('01a2142f-b2c0-703e-9cd5-2cf8ec33cf2d',0,'foyer-bar','2026-11-25T19:30:31.000000Z',14,81.3,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
INSERT INTO "trace_chunk" VALUES('01a21431-1638-7040-a349-2db83d38ce6d',0,'foyer-bar','2026-11-25T19:31:32.000000Z',14,10.5,X'01789C5D8F3948034114865F1A113C08E982950FC16609BB390A17044F6C0C8AA6D110C26477B259D9CCCACEAE06420A11C146044B6BED2C2D05B1B2118FF48285A5E055D80474F6405CDF34F3BFF7CDFFFE1906807E882A0189B0003EE0FD12F64F3F4F1E0FD2005DE8A6E1E8F96CF7F57C07A008C56F487DBD95169E5E006A509B87EB8BE38DF5EC284012927B707BFF70D5EDDE40ACD6626A2AA6C6078782D38BF448FC291851AE54A407A6EF26C778EF9088CC222CF4FDE313BFFF08AB5CC62547A70ED5516AA3ED5F5145EE12C7C54E452AE3AA4B5C3ADB20CC0811EE6B8168367138ADD6A9680760894426864538AF1AA8660B4A2617CCE66C4E67A841983F37994E5BA8CA92B8D52DD368B8019CC907E88AC796BDE6A60F3A1E43B58D9A58CEA885AA22A16E3A54734D5B0CB08E12F24D7FBFD85490D0A244046A7254F3B230D7A86999CCA86AB6C75CD154B2726E222F3C9AA415504A41FECB919ABD253EE63A1EED844928A3DB8BBEA91F26E6DEA9547E00C56F8AB0');
CREATE INDEX ix_pour_created_at ON pour (created_at);
CREATE INDEX ix_dose_channel_pour_id ON dose (channel, pour_id);
CREATE INDEX ix_event_pour_id ON event (pour_id);
CREATE INDEX ix_inflight_channel_liquid_id_id ON inflight (channel, liquid_id, id);
CREATE INDEX ix_pour_outcome_state_pour_id ON pour_outcome (state, pour_id);
CREATE TRIGGER pour_no_update BEFORE UPDATE ON pour BEGIN SELECT RAISE(ABORT, 'pour keeps what happened: no UPDATE'); END;
CREATE TRIGGER pour_no_delete BEFORE DELETE ON pour BEGIN SELECT RAISE(ABORT, 'pour keeps what happened: no DELETE'); END;
CREATE TRIGGER dose_no_update BEFORE UPDATE ON dose BEGIN SELECT RAISE(ABORT, 'dose keeps what happened: no UPDATE'); END;
CREATE TRIGGER dose_no_delete BEFORE DELETE ON dose BEGIN SELECT RAISE(ABORT, 'dose keeps what happened: no DELETE'); END;
CREATE TRIGGER pour_outcome_no_update BEFORE UPDATE ON pour_outcome BEGIN SELECT RAISE(ABORT, 'pour_outcome keeps what happened: no UPDATE'); END;
CREATE TRIGGER pour_outcome_no_delete BEFORE DELETE ON pour_outcome BEGIN SELECT RAISE(ABORT, 'pour_outcome keeps what happened: no DELETE'); END;
CREATE TRIGGER dose_outcome_no_update BEFORE UPDATE ON dose_outcome BEGIN SELECT RAISE(ABORT, 'dose_outcome keeps what happened: no UPDATE'); END;
CREATE TRIGGER dose_outcome_no_delete BEFORE DELETE ON dose_outcome BEGIN SELECT RAISE(ABORT, 'dose_outcome keeps what happened: no DELETE'); END;
CREATE TRIGGER trace_chunk_no_update BEFORE UPDATE ON trace_chunk BEGIN SELECT RAISE(ABORT, 'trace_chunk keeps what happened: no UPDATE'); END;
CREATE TRIGGER trace_chunk_no_delete BEFORE DELETE ON trace_chunk BEGIN SELECT RAISE(ABORT, 'trace_chunk keeps what happened: no DELETE'); END;
CREATE TRIGGER event_no_update BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'event keeps what happened: no UPDATE'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'event keeps what happened: no DELETE'); END;
CREATE TRIGGER inflight_no_update BEFORE UPDATE ON inflight BEGIN SELECT RAISE(ABORT, 'inflight keeps what happened: no UPDATE'); END;
CREATE TRIGGER inflight_no_delete BEFORE DELETE ON inflight BEGIN SELECT RAISE(ABORT, 'inflight keeps what happened: no DELETE'); END;
CREATE TRIGGER calibration_no_update BEFORE UPDATE ON calibration BEGIN SELECT RAISE(ABORT, 'calibration keeps what happened: no UPDATE'); END;
CREATE TRIGGER calibration_no_delete BEFORE DELETE ON calibration BEGIN SELECT RAISE(ABORT, 'calibration keeps what happened: no DELETE'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('event',11);
COMMIT;
PRAGMA application_id = 0x54415245;
