-- What the vessel weighs with nothing in it, from its plate or its maker: it stands on its floor with its water.
ALTER TABLE vessels ADD COLUMN empty_kg REAL CHECK (empty_kg >= 0.0);
