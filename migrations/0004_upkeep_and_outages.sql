-- How often the neighbourhood means to look after what it keeps; what is missing is as the program proposes.
ALTER TABLE neighbourhood ADD COLUMN upkeep TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(upkeep));

-- Times without the mains, real or drilled; `rations` are the rations in force, each from when.
CREATE TABLE outages (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  kind TEXT NOT NULL CHECK (kind IN ('real', 'drill')),
  since_us INTEGER NOT NULL,
  ended_us INTEGER CHECK (ended_us > since_us),
  target_days REAL NOT NULL CHECK (target_days > 0),
  rations TEXT NOT NULL CHECK (json_valid(rations)),
  expected_us INTEGER,
  ran_out TEXT NOT NULL,
  notes TEXT NOT NULL,
  revision INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX outages_one_at_a_time ON outages ((1)) WHERE ended_us IS NULL;
