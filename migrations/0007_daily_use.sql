-- Drawn on daily without an entry each time: its level then tells the use, and cannot tell a leak.
ALTER TABLE vessels ADD COLUMN daily_use INTEGER NOT NULL DEFAULT 0 CHECK (daily_use IN (0, 1));
