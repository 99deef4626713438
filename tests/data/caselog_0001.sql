-- A case log as the first tables held it (migration 0001). Never edit: old logs look like this. The case is invented.
CREATE TABLE diag_version (version_num VARCHAR(32) NOT NULL, CONSTRAINT diag_version_pkc PRIMARY KEY (version_num));
INSERT INTO diag_version VALUES ('0001');
CREATE TABLE diag_record (
    id VARCHAR(16) NOT NULL PRIMARY KEY, added VARCHAR(27) NOT NULL, site TEXT NOT NULL, machine TEXT NOT NULL,
    point TEXT NOT NULL, kind TEXT NOT NULL, complaint TEXT NOT NULL, title TEXT NOT NULL, "case" TEXT NOT NULL,
    findings TEXT NOT NULL, knowledge TEXT NOT NULL, version TEXT NOT NULL
);
CREATE TABLE diag_event (
    "key" VARCHAR(16) NOT NULL PRIMARY KEY, record VARCHAR(16) NOT NULL REFERENCES diag_record (id),
    "at" VARCHAR(27) NOT NULL, what TEXT NOT NULL, text TEXT NOT NULL, causes TEXT NOT NULL, how TEXT, held BOOLEAN
);
CREATE INDEX diag_event_record ON diag_event (record);
INSERT INTO diag_record VALUES (
    'k7m2pq', '2026-01-28T06:10:00.000000Z', 'Rotloh brickworks (invented)', 'Pan mill', 'main pin', 'pin_bushing',
    'stiff', 'Pin stiff, läuft trocken', 'point: {kind: pin_bushing}',
    '{"schema":1,"causes":[{"id":"under_greasing","probability":0.62}]}', '0123456789abcdef', '0.1.0'
);
INSERT INTO diag_event VALUES
    ('a2b3c4d5', 'k7m2pq', '2026-01-28T06:10:00.000001Z', 'work', 'cleared the line', '[]', NULL, NULL),
    ('b2b3c4d5', 'k7m2pq', '2026-02-03T06:10:00.000000Z', 'confirmed', '', '["under_greasing"]', 'inspection', NULL),
    ('c2b3c4d5', 'k7m2pq', '2026-02-03T06:10:00.000001Z', 'outcome', '', '[]', NULL, true);
