-- The part of what is drawn that is lost in handing it out: spilt, rinsed with, left in cans. None unless somebody sets it.
ALTER TABLE sites ADD COLUMN handed_out_loss REAL NOT NULL DEFAULT 0 CHECK (handed_out_loss >= 0.0 AND handed_out_loss <= 0.9);
