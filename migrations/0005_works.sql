-- What water passes on its way from a vessel to the tap: the stages of a site's treatment, source first, and its pumps.
-- Whatever is not known is null; the page says which figure is wanted.
CREATE TABLE stages (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  kind TEXT NOT NULL,
  place INTEGER NOT NULL CHECK (place >= 1),
  most_flow_l_per_min REAL CHECK (most_flow_l_per_min > 0),
  drop_kpa REAL CHECK (drop_kpa >= 0),
  life_l REAL CHECK (life_l > 0),
  life_months REAL CHECK (life_months > 0),
  fitted TEXT,
  passed_l REAL CHECK (passed_l >= 0),
  draws_w REAL CHECK (draws_w >= 0),
  uv_class TEXT,
  lamp_hours REAL CHECK (lamp_hours >= 0),
  lamp_life_hours REAL CHECK (lamp_life_hours > 0),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;
CREATE INDEX stages_site ON stages (site);

CREATE TABLE pumps (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  curve TEXT NOT NULL CHECK (json_valid(curve)),
  power_w REAL CHECK (power_w > 0),
  npsh_m REAL CHECK (npsh_m >= 0),
  height_m REAL,
  lift_m REAL,
  tap_l_per_min REAL CHECK (tap_l_per_min > 0),
  pipe TEXT,
  suction_size TEXT,
  suction_run_m REAL CHECK (suction_run_m >= 0),
  suction_fittings INTEGER CHECK (suction_fittings >= 0),
  delivery_size TEXT,
  delivery_run_m REAL CHECK (delivery_run_m >= 0),
  delivery_fittings INTEGER CHECK (delivery_fittings >= 0),
  cut_in_kpa REAL CHECK (cut_in_kpa >= 0),
  cut_out_kpa REAL CHECK (cut_out_kpa > 0),
  precharge_kpa REAL CHECK (precharge_kpa >= 0),
  tank_l REAL CHECK (tank_l > 0),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;
CREATE INDEX pumps_site ON pumps (site);

-- How hard the ground may shake there, in g, off the map of the place: at short periods, and at one second.
ALTER TABLE neighbourhood ADD COLUMN sds_g REAL CHECK (sds_g >= 0);
ALTER TABLE neighbourhood ADD COLUMN sd1_g REAL CHECK (sd1_g >= 0);
