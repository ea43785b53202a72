-- What takes back or sets aside an entry that has not come in yet waits here, on disk, and joins the log right after
-- the entry it names. So the log always names what stands before it, whatever order two phones send in.
CREATE TABLE early_entries (
  seq         INTEGER PRIMARY KEY AUTOINCREMENT,
  vehicle_id  TEXT NOT NULL REFERENCES vehicles (id),
  id          TEXT NOT NULL,
  names       TEXT NOT NULL,                      -- the entry it waits for
  body        TEXT NOT NULL,
  received_at TEXT NOT NULL,
  UNIQUE (vehicle_id, id)
);
CREATE INDEX early_entries_by_name ON early_entries (vehicle_id, names, seq);

-- A vehicle without entries has no row that holds it: nothing is ever deleted here.
CREATE TRIGGER vehicles_are_never_deleted BEFORE DELETE ON vehicles
BEGIN
  SELECT RAISE(ABORT, 'a vehicle is never deleted');
END;
