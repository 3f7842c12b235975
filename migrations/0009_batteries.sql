-- A site's battery with its inverter and, where there are any, its solar panels. What is not known is null.
CREATE TABLE batteries (
  id BLOB PRIMARY KEY CHECK (length(id) = 16),
  site BLOB NOT NULL REFERENCES sites (id),
  name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  capacity_wh REAL NOT NULL CHECK (capacity_wh > 0),
  usable REAL NOT NULL CHECK (usable > 0 AND usable <= 1),
  inverter REAL NOT NULL CHECK (inverter > 0 AND inverter <= 1),
  idle_w REAL CHECK (idle_w >= 0),
  charge REAL CHECK (charge BETWEEN 0 AND 1),
  panels_w REAL CHECK (panels_w > 0),
  sun_hours REAL CHECK (sun_hours BETWEEN 0 AND 24),
  panel_loss REAL CHECK (panel_loss BETWEEN 0 AND 1),
  ended_us INTEGER,
  revision INTEGER NOT NULL
) STRICT;
CREATE INDEX batteries_site ON batteries (site);
