-- The pictures of photo entries, beside the log, since bytes are no text. Their digest stands in the entry.
CREATE TABLE photos (
  vehicle_id TEXT NOT NULL,
  id         TEXT NOT NULL,  -- of the photo's entry
  picture    BLOB NOT NULL,  -- JPEG, as its digest has it
  PRIMARY KEY (vehicle_id, id),
  FOREIGN KEY (vehicle_id, id) REFERENCES entries (vehicle_id, id)
);

CREATE TRIGGER photos_are_never_changed BEFORE UPDATE ON photos
BEGIN
  SELECT RAISE(ABORT, 'a photo is never changed: withdraw it by another entry');
END;

CREATE TRIGGER photos_are_never_deleted BEFORE DELETE ON photos
BEGIN
  SELECT RAISE(ABORT, 'a photo is never deleted: withdraw it by another entry');
END;
