-- The log and what it is about. Entries are only ever added: the triggers refuse everything else.
CREATE TABLE vehicles (
  id           TEXT PRIMARY KEY,
  name         TEXT NOT NULL,
  worked_axle  TEXT NOT NULL,
  layout       TEXT NOT NULL,
  display_unit TEXT,
  facts        TEXT,                        -- JSON object as in the vehicle file
  revision     INTEGER NOT NULL DEFAULT 0,  -- how often this row was changed: part of the vehicle's version
  created_at   TEXT NOT NULL
);

CREATE TABLE entries (
  seq         INTEGER PRIMARY KEY AUTOINCREMENT,  -- the order of the log: first come, first stored
  vehicle_id  TEXT NOT NULL REFERENCES vehicles (id),
  id          TEXT NOT NULL,                      -- made by the phone
  body        TEXT NOT NULL,                      -- the entry of the vehicle file, as canonical JSON
  received_at TEXT NOT NULL,
  UNIQUE (vehicle_id, id)
);
CREATE INDEX entries_in_order ON entries (vehicle_id, seq);

CREATE TRIGGER entries_are_never_changed BEFORE UPDATE ON entries
BEGIN
  SELECT RAISE(ABORT, 'an entry is never changed: withdraw it by another entry');
END;

CREATE TRIGGER entries_are_never_deleted BEFORE DELETE ON entries
BEGIN
  SELECT RAISE(ABORT, 'an entry is never deleted: withdraw it by another entry');
END;

CREATE TABLE settings (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
);
