-- Of the people counted there, those who cannot fetch water themselves: it is brought to their door.
ALTER TABLE sites ADD COLUMN cannot_collect INTEGER NOT NULL DEFAULT 0 CHECK (cannot_collect >= 0);
