-- It stands where water freezes in a hard frost: then nothing can be drawn from it.
ALTER TABLE vessels ADD COLUMN may_freeze INTEGER NOT NULL DEFAULT 0 CHECK (may_freeze IN (0, 1));
