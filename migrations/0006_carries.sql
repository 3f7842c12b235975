-- Ways that water may go from one site to another, as agreed; a site keeps so many litres whatever others lack.
CREATE TABLE carries (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  giver BLOB NOT NULL REFERENCES sites (id),
  receiver BLOB NOT NULL REFERENCES sites (id) CHECK (receiver <> giver),
  means TEXT NOT NULL CHECK (means IN ('foot', 'cart', 'car', 'hose')),
  litres_a_day REAL NOT NULL CHECK (litres_a_day > 0),
  litres_a_trip REAL NOT NULL CHECK (litres_a_trip > 0),
  loss REAL NOT NULL CHECK (loss >= 0 AND loss < 1),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;

ALTER TABLE sites ADD COLUMN keep_l REAL NOT NULL DEFAULT 0 CHECK (keep_l >= 0);
