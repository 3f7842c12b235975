-- The ledger. Every entry ever made, never changed: a wrong one is voided by another.
-- `id` is a UUIDv7 made by whoever logs it; `hash` is SHA-256 of what they sent, so that a repeat is known as one.
-- `fields` are the kind's own, as JSON; a new kind needs no migration.
CREATE TABLE entries (
  seq INTEGER PRIMARY KEY,
  id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
  hash BLOB NOT NULL CHECK (length(hash) = 32),
  kind TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
  site BLOB REFERENCES sites (id),
  vessel BLOB REFERENCES vessels (id),
  at_us INTEGER NOT NULL,
  arrived_us INTEGER NOT NULL,
  person BLOB REFERENCES people (id),
  fields TEXT NOT NULL CHECK (json_valid(fields))
) STRICT;
CREATE INDEX entries_site ON entries (site, at_us);
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'the ledger is never altered: void the entry'); END;
CREATE TRIGGER entries_remain BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'the ledger is never cut: void the entry'); END;
