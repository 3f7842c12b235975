-- What programs come in by. A token is kept by its hash alone; it acts in the name of the account that made it, with the
-- role and the sites it was given. Every change of one is on record in `changes`, without the hash.
CREATE TABLE tokens (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  role TEXT NOT NULL CHECK (role IN ('coordinator', 'keeper')),
  sites TEXT NOT NULL CHECK (json_valid(sites)),
  person BLOB NOT NULL REFERENCES people (id),
  made_us INTEGER NOT NULL,
  ended_us INTEGER,
  hash BLOB UNIQUE CHECK (length(hash) = 32),
  revision INTEGER NOT NULL
) STRICT;
