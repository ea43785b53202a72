-- Every row once more, as an index: SQLite's own look through the file compares each row with its index, so that a
-- byte the disk gives back wrong is found in a value or a name too, and not only where it breaks the file's order.
-- A photo needs none, as its entry has its digest.
CREATE INDEX vehicles_in_full
  ON vehicles (id, name, worked_axle, layout, display_unit, facts, revision, created_at);
CREATE INDEX entries_in_full ON entries (seq, vehicle_id, id, body, received_at);
CREATE INDEX early_entries_in_full ON early_entries (seq, vehicle_id, id, names, body, received_at);
CREATE INDEX settings_in_full ON settings (name, value);
