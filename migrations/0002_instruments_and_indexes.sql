-- Instruments and people: gauges with their calibration, repeatability studies, the list of signers; what the
-- proof rig shows step by step; which gauge a set of diameters was read with and what that gauge can see.

ALTER TABLE casing_entry ADD COLUMN od_gauge TEXT;
ALTER TABLE casing_entry ADD COLUMN od_repeatability_m REAL;  -- one standard deviation, as known when it was written
ALTER TABLE strip_entry ADD COLUMN od_gauge TEXT;
ALTER TABLE strip_entry ADD COLUMN od_repeatability_m REAL;
ALTER TABLE proof_entry ADD COLUMN od_gauge TEXT;
ALTER TABLE proof_entry ADD COLUMN od_repeatability_m REAL;
ALTER TABLE proof_entry ADD COLUMN rig_checked INTEGER;
ALTER TABLE proof_entry ADD COLUMN water_volume_m3 REAL;
ALTER TABLE proof_entry ADD COLUMN water_pumped_m3 REAL;      -- forced in at the proof pressure, compression included
ALTER TABLE proof_entry ADD COLUMN water_returned_m3 REAL;    -- given back when the pressure was let off

-- Pressure against strokes, in the order pumped.
CREATE TABLE proof_step (
    entry       INTEGER NOT NULL REFERENCES entry (number),
    row         INTEGER NOT NULL,
    pressure_pa REAL NOT NULL,                            -- above the atmosphere
    strokes     REAL,                                     -- since the step before
    PRIMARY KEY (entry, row)
) STRICT, WITHOUT ROWID;

CREATE TABLE gauge_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    serial TEXT NOT NULL, what TEXT NOT NULL, maker TEXT,
    full_scale_pa REAL, least_m REAL, most_m REAL,
    calibrated_on TEXT, calibration_due TEXT, certificate TEXT,
    uncertainty_m REAL, pressure_uncertainty_pa REAL, volume_uncertainty_m3 REAL, remark TEXT
) STRICT;

CREATE TABLE study_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    gauge TEXT NOT NULL, measured TEXT NOT NULL,
    lengths TEXT NOT NULL CHECK (json_valid(lengths)),
    mean_m REAL NOT NULL, repeatability_m REAL NOT NULL,  -- standard deviation of one reading, n - 1
    remark TEXT
) STRICT;

CREATE TABLE person_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    name TEXT NOT NULL, role TEXT NOT NULL, leaves INTEGER NOT NULL, remark TEXT
) STRICT;

-- So that no question about the whole book reads every entry of it: the last day on record, the serials of a kind.
CREATE INDEX entry_by_day ON entry (happened_on);
CREATE INDEX entry_by_kind ON entry (kind, subject);
-- The rack in one narrow index, without the long assessments beside each row.
CREATE INDEX standing_rack ON standing (casing, name, worst, later, firings, weakest, factor, due_on, firings_left, last_fired);
