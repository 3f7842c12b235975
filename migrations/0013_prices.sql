-- What things cost there, where somebody said it: fuel by the litre, a can to keep water in, a cartridge or a lamp.
ALTER TABLE neighbourhood ADD COLUMN prices TEXT NOT NULL DEFAULT '{}';
