-- What is kept about the neighbourhood. Changed by forms; every change is on record in `changes`.
-- Times are microseconds UTC. Figures are plain numbers in the unit people log; the unit ends the column's name.
-- CHECKs hold what is true for ever (signs, lengths, valid JSON); ranges are the business of the types.
PRAGMA application_id = 0x4B57454C;

CREATE TABLE neighbourhood (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  zone TEXT NOT NULL,
  units TEXT NOT NULL CHECK (units IN ('metric', 'us')),
  language TEXT NOT NULL,
  ration TEXT NOT NULL,
  target_days REAL NOT NULL CHECK (target_days > 0),
  revision INTEGER NOT NULL
) STRICT;

CREATE TABLE people (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  role TEXT NOT NULL CHECK (role IN ('coordinator', 'keeper')),
  sites TEXT NOT NULL CHECK (json_valid(sites)),
  password TEXT,
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX people_name ON people (name) WHERE ended_us IS NULL;

CREATE TABLE sessions (
  token BLOB PRIMARY KEY CHECK (length(token) = 32),
  person BLOB NOT NULL REFERENCES people (id),
  made_us INTEGER NOT NULL,
  seen_us INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE sources (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  kind TEXT NOT NULL,
  disinfectant TEXT NOT NULL,
  notes TEXT NOT NULL,
  revision INTEGER NOT NULL
) STRICT;

CREATE TABLE sites (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  kind TEXT NOT NULL,
  people TEXT NOT NULL CHECK (json_valid(people)),
  animals TEXT NOT NULL CHECK (json_valid(animals)),
  sources TEXT NOT NULL CHECK (json_valid(sources)),
  address TEXT NOT NULL,
  latitude REAL,
  longitude REAL,
  elevation_m REAL,
  access TEXT NOT NULL,
  contact TEXT NOT NULL,
  phone TEXT NOT NULL,
  notes TEXT NOT NULL,
  pump_hours_a_day REAL NOT NULL CHECK (pump_hours_a_day > 0 AND pump_hours_a_day <= 24),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;

CREATE TABLE banks (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  coupled_at_first INTEGER NOT NULL CHECK (coupled_at_first IN (0, 1)),
  revision INTEGER NOT NULL
) STRICT;

CREATE TABLE vessels (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  shape TEXT NOT NULL,
  dimensions TEXT NOT NULL CHECK (json_valid(dimensions)),
  strapping TEXT NOT NULL CHECK (json_valid(strapping)),
  full_m REAL CHECK (full_m > 0),
  draws TEXT NOT NULL CHECK (json_valid(draws)),
  material TEXT NOT NULL,
  food_grade INTEGER NOT NULL CHECK (food_grade IN (0, 1)),
  closed INTEGER NOT NULL CHECK (closed IN (0, 1)),
  opaque INTEGER NOT NULL CHECK (opaque IN (0, 1)),
  stands_on TEXT NOT NULL,
  anchored INTEGER NOT NULL CHECK (anchored IN (0, 1)),
  floor_m REAL NOT NULL,
  bank BLOB REFERENCES banks (id),
  source BLOB REFERENCES sources (id),
  interval_days REAL NOT NULL CHECK (interval_days > 0),
  rotate_how TEXT NOT NULL,
  redose_days REAL NOT NULL CHECK (redose_days > 0),
  residual_floor_mg_l REAL CHECK (residual_floor_mg_l BETWEEN 0 AND 4),
  outage_only INTEGER NOT NULL CHECK (outage_only IN (0, 1)),
  since_us INTEGER NOT NULL,
  ended_us INTEGER,
  notes TEXT NOT NULL,
  revision INTEGER NOT NULL
) STRICT;
CREATE INDEX vessels_site ON vessels (site);

CREATE TABLE generators (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  fuel TEXT NOT NULL,
  rated_w REAL NOT NULL CHECK (rated_w > 0),
  burn TEXT NOT NULL CHECK (json_valid(burn)),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;

CREATE TABLE fuel_stores (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  fuel TEXT NOT NULL,
  capacity_l REAL CHECK (capacity_l > 0),
  amount_l REAL NOT NULL CHECK (amount_l >= 0),
  bought TEXT,
  stabilised INTEGER NOT NULL CHECK (stabilised IN (0, 1)),
  since_us INTEGER NOT NULL,
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;

CREATE TABLE loads (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  running_w REAL NOT NULL CHECK (running_w >= 0),
  surge_w REAL CHECK (surge_w >= 0),
  hours_a_day REAL NOT NULL CHECK (hours_a_day >= 0 AND hours_a_day <= 24),
  pump INTEGER NOT NULL CHECK (pump IN (0, 1)),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;

-- Who changed what, when, from what to what. One row a change; never altered.
CREATE TABLE changes (
  seq INTEGER PRIMARY KEY,
  at_us INTEGER NOT NULL,
  person BLOB REFERENCES people (id),
  noun TEXT NOT NULL,
  thing BLOB NOT NULL,
  before TEXT CHECK (json_valid(before)),
  after TEXT CHECK (json_valid(after))
) STRICT;
CREATE INDEX changes_thing ON changes (thing, seq);
CREATE TRIGGER changes_stay BEFORE UPDATE ON changes BEGIN SELECT RAISE(ABORT, 'the record of changes is never altered'); END;
CREATE TRIGGER changes_remain BEFORE DELETE ON changes BEGIN SELECT RAISE(ABORT, 'the record of changes is never cut'); END;
