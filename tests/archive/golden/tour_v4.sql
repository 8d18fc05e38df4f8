BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004');
CREATE TABLE day_marks (
	id INTEGER NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	item VARCHAR(64) NOT NULL, 
	what VARCHAR(8) NOT NULL, 
	wall_ns BIGINT NOT NULL, 
	marked_by TEXT NOT NULL, 
	written_wall_ns BIGINT NOT NULL, 
	CONSTRAINT pk_day_marks PRIMARY KEY (id)
);
INSERT INTO "day_marks" VALUES(1,'2025-10-09','doors','began',1760000000000000000,'Ada',1760000000000000001);
CREATE TABLE edition_names (
	name TEXT NOT NULL, 
	edition_id INTEGER NOT NULL, 
	given_wall_ns BIGINT NOT NULL, 
	CONSTRAINT pk_edition_names PRIMARY KEY (name), 
	CONSTRAINT fk_edition_names_edition_id_editions FOREIGN KEY(edition_id) REFERENCES editions (id)
);
INSERT INTO "edition_names" VALUES('after previews',1,1760000000000000000);
CREATE TABLE editions (
	id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	digest VARCHAR(64) NOT NULL, 
	name TEXT NOT NULL, 
	created_wall_ns BIGINT NOT NULL, 
	document TEXT NOT NULL, 
	CONSTRAINT pk_editions PRIMARY KEY (id), 
	CONSTRAINT uq_editions_number UNIQUE (number), 
	CONSTRAINT uq_editions_digest UNIQUE (digest)
);
INSERT INTO "editions" VALUES(1,1,'8e1c4bd98d1cda7ba5d03c452434a02b665f5a7466c28bebfce83f807f6f6413','Pier',1760000000000000000,'{
 "format": "showcaller/show",
 "version": 1,
 "id": "pier",
 "name": "Pier",
 "act": "Wren Halloway",
 "venue": "Kestrel Dock Arena",
 "starts_at": "20:45",
 "departments": [{"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}],
 "items": [{"kind": "talk", "id": "hello", "name": "Hello – ünd", "length_s": 60}]
}
');
CREATE TABLE events (
	run_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	ordinal INTEGER NOT NULL, 
	t_ns BIGINT NOT NULL, 
	wall_ns BIGINT NOT NULL, 
	kind VARCHAR(32) NOT NULL, 
	item VARCHAR(64), 
	cue VARCHAR(64), 
	planned_s DOUBLE, 
	actual_s DOUBLE, 
	body TEXT NOT NULL, 
	CONSTRAINT pk_events PRIMARY KEY (run_id, seq, ordinal), 
	CONSTRAINT fk_events_run_id_records FOREIGN KEY(run_id, seq) REFERENCES records (run_id, seq)
)
 WITHOUT ROWID

;
INSERT INTO "events" VALUES(1,1,0,1000000017,1760000001000000000,'run_started',NULL,NULL,NULL,NULL,'{"kind":"run_started","show":"pier","digest":"","caller":"Ada","muted":true,"simulated":7}');
INSERT INTO "events" VALUES(1,1,1,1000000017,1760000001000000000,'item_started','hello',NULL,NULL,NULL,'{"kind":"item_started","item":"hello","at_s":0,"planned_start_s":0}');
INSERT INTO "events" VALUES(1,3,0,3000000017,1760000003000000000,'fired','hello','hello-lx-3',3.1,3.3,'{"kind":"fired","item":"hello","cue":"hello-lx-3","go":null,"planned_s":3.1,"actual_s":3.3,"by":"go"}');
INSERT INTO "events" VALUES(1,6,0,6000000017,1760000006000000000,'fired','hello','hello-lx-6',6.1,6.3,'{"kind":"fired","item":"hello","cue":"hello-lx-6","go":null,"planned_s":6.1,"actual_s":6.3,"by":"go"}');
INSERT INTO "events" VALUES(1,9,0,9000000017,1760000009000000000,'fired','hello','hello-lx-9',9.1,9.3,'{"kind":"fired","item":"hello","cue":"hello-lx-9","go":null,"planned_s":9.1,"actual_s":9.3,"by":"go"}');
INSERT INTO "events" VALUES(1,12,0,12000000017,1760000012000000000,'fired','hello','hello-lx-12',12.1,12.3,'{"kind":"fired","item":"hello","cue":"hello-lx-12","go":null,"planned_s":12.1,"actual_s":12.3,"by":"go"}');
INSERT INTO "events" VALUES(1,15,0,15000000017,1760000015000000000,'fired','hello','hello-lx-15',15.1,15.3,'{"kind":"fired","item":"hello","cue":"hello-lx-15","go":null,"planned_s":15.1,"actual_s":15.3,"by":"go"}');
INSERT INTO "events" VALUES(1,18,0,18000000017,1760000018000000000,'fired','hello','hello-lx-18',18.1,18.3,'{"kind":"fired","item":"hello","cue":"hello-lx-18","go":null,"planned_s":18.1,"actual_s":18.3,"by":"go"}');
INSERT INTO "events" VALUES(1,20,0,20000000017,1760000020000000000,'item_ended','hello',NULL,60.0,NULL,'{"kind":"item_ended","item":"hello","length_s":61.25,"planned_s":60}');
INSERT INTO "events" VALUES(1,20,1,20000000017,1760000020000000000,'run_ended',NULL,NULL,NULL,NULL,'{"kind":"run_ended","why":"curtain","show_s":61.25}');
CREATE TABLE recordings (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	path TEXT NOT NULL, 
	zero_ns BIGINT NOT NULL, 
	how VARCHAR(16) NOT NULL, 
	aligned_by TEXT NOT NULL, 
	written_wall_ns BIGINT NOT NULL, drift_ppm DOUBLE DEFAULT 0 NOT NULL, drift_error_ppm DOUBLE, 
	CONSTRAINT pk_recordings PRIMARY KEY (id), 
	CONSTRAINT fk_recordings_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id), 
	CONSTRAINT uq_recordings_run_id UNIQUE (run_id, path)
);
INSERT INTO "recordings" VALUES(1,1,'/videos/golden.mov',-2000000000,'tap','Ada',1760000000000000000,-41.5,0.3);
CREATE TABLE records (
	run_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	t_ns BIGINT NOT NULL, 
	wall_ns BIGINT NOT NULL, 
	input TEXT NOT NULL, "by" TEXT DEFAULT '' NOT NULL, 
	CONSTRAINT pk_records PRIMARY KEY (run_id, seq), 
	CONSTRAINT fk_records_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id)
)
 WITHOUT ROWID

;
INSERT INTO "records" VALUES(1,1,1000000017,1760000001000000000,'{"kind":"start","caller":"Ada","muted":true,"simulated":7}','');
INSERT INTO "records" VALUES(1,2,2000000017,1760000002000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,3,3000000017,1760000003000000000,'{"kind":"note","text":"line 3 – „quoted“ \u0000 and\nbroken"}','');
INSERT INTO "records" VALUES(1,4,4000000017,1760000004000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,5,5000000017,1760000005000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,6,6000000017,1760000006000000000,'{"kind":"note","text":"line 6 – „quoted“ \u0000 and\nbroken"}','');
INSERT INTO "records" VALUES(1,7,7000000017,1760000007000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,8,8000000017,1760000008000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,9,9000000017,1760000009000000000,'{"kind":"note","text":"line 9 – „quoted“ \u0000 and\nbroken"}','');
INSERT INTO "records" VALUES(1,10,10000000017,1760000010000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,11,11000000017,1760000011000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,12,12000000017,1760000012000000000,'{"kind":"note","text":"line 12 – „quoted“ \u0000 and\nbroken"}','');
INSERT INTO "records" VALUES(1,13,13000000017,1760000013000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,14,14000000017,1760000014000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,15,15000000017,1760000015000000000,'{"kind":"note","text":"line 15 – „quoted“ \u0000 and\nbroken"}','');
INSERT INTO "records" VALUES(1,16,16000000017,1760000016000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,17,17000000017,1760000017000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,18,18000000017,1760000018000000000,'{"kind":"note","text":"line 18 – „quoted“ \u0000 and\nbroken"}','');
INSERT INTO "records" VALUES(1,19,19000000017,1760000019000000000,'{"kind":"tick"}','');
INSERT INTO "records" VALUES(1,20,20000000017,1760000020000000000,'{"kind":"end","why":"curtain"}','');
CREATE TABLE remarks (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	t_ns BIGINT NOT NULL, 
	kind VARCHAR(16) NOT NULL, 
	text TEXT NOT NULL, 
	written_by TEXT NOT NULL, 
	written_wall_ns BIGINT NOT NULL, 
	CONSTRAINT pk_remarks PRIMARY KEY (id), 
	CONSTRAINT fk_remarks_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id)
);
INSERT INTO "remarks" VALUES(1,1,9000000000,'near miss','a finger caught in the riser','Ben',1760000000000000000);
CREATE TABLE runs (
	id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	run_id VARCHAR(64) NOT NULL, 
	edition_id INTEGER NOT NULL, 
	caller TEXT NOT NULL, 
	muted BOOLEAN NOT NULL, 
	simulated BIGINT, 
	started_wall_ns BIGINT NOT NULL, 
	ended_wall_ns BIGINT NOT NULL, 
	finished BOOLEAN NOT NULL, 
	records INTEGER NOT NULL, 
	CONSTRAINT pk_runs PRIMARY KEY (id), 
	CONSTRAINT fk_runs_edition_id_editions FOREIGN KEY(edition_id) REFERENCES editions (id), 
	CONSTRAINT uq_runs_number UNIQUE (number), 
	CONSTRAINT uq_runs_run_id UNIQUE (run_id)
);
INSERT INTO "runs" VALUES(1,1,'golden-1',1,'Ada',1,7,1760000001000000000,1760000020000000000,1,20);
CREATE TABLE tour (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	format_version INTEGER NOT NULL, 
	created_wall_ns BIGINT NOT NULL, 
	CONSTRAINT pk_tour PRIMARY KEY (id), 
	CONSTRAINT ck_tour_one_row CHECK (id = 1)
);
INSERT INTO "tour" VALUES(1,'Golden, version 4',1,1760000000000000000);
CREATE INDEX ix_runs_edition_id ON runs (edition_id);
CREATE INDEX ix_events_item_ended ON events (item) WHERE kind = 'item_ended';
CREATE INDEX ix_edition_names_edition_id ON edition_names (edition_id);
CREATE INDEX ix_day_marks_day ON day_marks (day);
CREATE INDEX ix_remarks_run_id ON remarks (run_id);
CREATE INDEX ix_events_telling ON events (run_id, seq, ordinal) WHERE kind IN ('item_started', 'item_ended', 'held', 'resumed', 'jumped', 'taken_back', 'note', 'incident_opened', 'incident', 'walk_stopped');
COMMIT;
