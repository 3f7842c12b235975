-- What the generator gives for some seconds, from its plate: a motor takes several times its running power as it starts.
ALTER TABLE generators ADD COLUMN burst_w REAL CHECK (burst_w >= 0.0);
