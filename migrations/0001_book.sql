-- The book. The ledger only grows: entries are inserted and never changed or deleted.
-- `entry.body` is the canonical JSON that is sealed; the tables named after a kind hold the same values in
-- columns, in SI, so that a person can ask questions in SQL. `verify` compares the two.

PRAGMA application_id = 0x50464D4B;                      -- "PFMK"

CREATE TABLE book (
    key   TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE entry (
    number           INTEGER PRIMARY KEY,                 -- order of arrival in this book
    id               TEXT NOT NULL UNIQUE,                -- UUID version 7, the same in every book
    origin           TEXT NOT NULL,                       -- the book that wrote it
    sequence         INTEGER NOT NULL CHECK (sequence > 0),
    kind             TEXT NOT NULL,
    subject_of       TEXT NOT NULL,
    subject          TEXT NOT NULL,
    happened_on      TEXT NOT NULL CHECK (happened_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    date_approximate INTEGER NOT NULL CHECK (date_approximate IN (0, 1)),
    recorded_at      TEXT NOT NULL,                       -- UTC, RFC 3339
    recorded_by      TEXT NOT NULL CHECK (length(recorded_by) > 0),
    second           TEXT,
    strikes          TEXT,                                -- the entry it crosses out
    body             TEXT NOT NULL CHECK (json_valid(body)),
    seal             TEXT NOT NULL CHECK (length(seal) = 64),
    UNIQUE (origin, sequence)
) STRICT;

CREATE INDEX entry_by_subject ON entry (subject_of, subject, number);
CREATE INDEX entry_by_strike ON entry (strikes) WHERE strikes IS NOT NULL;

CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger only grows: strike the entry instead'); END;
CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger only grows: strike the entry instead'); END;

-- The parts an event names: what was fitted when it happened.
CREATE TABLE entry_part (
    entry    INTEGER NOT NULL REFERENCES entry (number),
    part     TEXT NOT NULL,
    position TEXT NOT NULL,
    PRIMARY KEY (entry, position, part)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_part_by_part ON entry_part (part, entry);

-- Diameters, walls and hardness at stations: birth, before, under and after pressure.
CREATE TABLE reading (
    entry     INTEGER NOT NULL REFERENCES entry (number),
    row       INTEGER NOT NULL,
    what      TEXT NOT NULL,
    phase     TEXT NOT NULL,
    station_m REAL NOT NULL,
    clock_deg REAL,
    value_m   REAL,                                       -- NULL: not measured
    hardness  REAL,
    PRIMARY KEY (entry, row)
) STRICT, WITHOUT ROWID;

CREATE TABLE casing_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    serial TEXT NOT NULL, name TEXT, revision TEXT NOT NULL,
    machinist TEXT, welder TEXT, tube_lot TEXT, drawing TEXT, remark TEXT,
    tube_material TEXT NOT NULL, tube_form TEXT, tube_od_m REAL NOT NULL, tube_wall_m REAL NOT NULL,
    tube_wall_min_m REAL, tube_length_m REAL, tube_yield_strength_pa REAL, tube_ultimate_strength_pa REAL,
    tube_modulus_pa REAL, tube_poisson REAL,
    forward_kind TEXT NOT NULL, forward_leg_m REAL, forward_count INTEGER, forward_bolt TEXT, forward_edge_m REAL,
    forward_bolt_ultimate_pa REAL, forward_pitch_diameter_m REAL, forward_engagement_m REAL,
    forward_relief_diameter_m REAL, forward_groove_depth_m REAL, forward_ring_thickness_m REAL,
    forward_seal_diameter_m REAL, forward_plate_thickness_m REAL, forward_plate_edge TEXT, forward_plate_material TEXT,
    aft_kind TEXT NOT NULL, aft_leg_m REAL, aft_count INTEGER, aft_bolt TEXT, aft_edge_m REAL,
    aft_bolt_ultimate_pa REAL, aft_pitch_diameter_m REAL, aft_engagement_m REAL,
    aft_relief_diameter_m REAL, aft_groove_depth_m REAL, aft_ring_thickness_m REAL,
    aft_seal_diameter_m REAL, aft_plate_thickness_m REAL, aft_plate_edge TEXT, aft_plate_material TEXT,
    service_meop_pa REAL NOT NULL,                        -- above the atmosphere
    service_wall_temperature_k REAL
) STRICT;

CREATE TABLE part_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    serial TEXT NOT NULL, what TEXT NOT NULL, material TEXT, maker TEXT, lot TEXT,
    life_firings INTEGER, firings_before INTEGER NOT NULL, throat_m REAL, remark TEXT
) STRICT;

CREATE TABLE fit_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, part TEXT NOT NULL, position TEXT NOT NULL, action TEXT NOT NULL,
    throat_m REAL, remark TEXT
) STRICT;
CREATE INDEX fit_by_part ON fit_entry (part);
CREATE INDEX fit_by_casing ON fit_entry (casing);

CREATE TABLE proof_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, pressure_pa REAL NOT NULL, medium TEXT NOT NULL, hold_s REAL, bled INTEGER,
    method TEXT NOT NULL, total_expansion_m3 REAL, permanent_expansion_m3 REAL,
    leak INTEGER, pressure_drop INTEGER, gauge TEXT, water_temperature_k REAL, remark TEXT
) STRICT;

CREATE TABLE load_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    name TEXT NOT NULL, revision TEXT NOT NULL,
    peak_pressure_pa REAL NOT NULL,                       -- above vacuum
    peak_thrust_n REAL, impulse_ns REAL, burn_time_s REAL, propellant_mass_kg REAL, peak_scatter REAL,
    grain_count INTEGER, grain_outside_diameter_m REAL, grain_core_m REAL, grain_length_m REAL,
    grain_inhibited_ends INTEGER,
    propellant_density_kg_m3 REAL, propellant_characteristic_velocity_m_s REAL, propellant_burn_rate_rate_m_s REAL,
    propellant_burn_rate_at_pa REAL, propellant_exponent REAL, propellant_ratio_of_heats REAL,
    nozzle_throat_m REAL, nozzle_area_ratio REAL, nozzle_exit_m REAL, nozzle_half_angle_deg REAL,
    nozzle_efficiency REAL, planned_by TEXT, remark TEXT
) STRICT;

CREATE TABLE batch_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    name TEXT NOT NULL, density_kg_m3 REAL, characteristic_velocity_m_s REAL, burn_rate_rate_m_s REAL,
    burn_rate_at_pa REAL, exponent REAL, ratio_of_heats REAL, burn_rate_factor REAL, at_temperature_k REAL,
    numbers_from TEXT, remark TEXT
) STRICT;

CREATE TABLE firing_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, mode TEXT NOT NULL, load TEXT, planned_peak_pa REAL, planned_thrust_n REAL,
    planned_impulse_ns REAL, batch TEXT, place TEXT, conductor TEXT,
    peak_pressure_pa REAL,                                -- above vacuum
    peak_from TEXT, peak_thrust_n REAL, impulse_ns REAL, burn_time_s REAL, grain_temperature_k REAL,
    ignition_delay_s REAL, throat_before_m REAL, throat_after_m REAL, landing TEXT,
    breach_reason TEXT, breach_forbidden_by TEXT, remark TEXT
) STRICT;
CREATE INDEX firing_by_batch ON firing_entry (batch);
CREATE INDEX firing_by_load ON firing_entry (load);

-- A trace as read: the raw bytes compressed, their hash over what was read.
CREATE TABLE trace_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, firing TEXT NOT NULL, file TEXT NOT NULL, sha256 TEXT NOT NULL, bytes INTEGER NOT NULL,
    columns TEXT, reduction TEXT NOT NULL CHECK (json_valid(reduction))
) STRICT;
CREATE INDEX trace_by_firing ON trace_entry (firing);
CREATE TABLE raw_file (
    sha256     TEXT PRIMARY KEY,
    bytes      INTEGER NOT NULL,
    compressed BLOB NOT NULL                              -- zlib
) STRICT, WITHOUT ROWID;

CREATE TABLE strip_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, firing TEXT, throats TEXT, label_temperature_k REAL, remark TEXT
) STRICT;
CREATE TABLE strip_item (
    entry INTEGER NOT NULL REFERENCES entry (number),
    row INTEGER NOT NULL, item TEXT NOT NULL, outcome TEXT NOT NULL,
    PRIMARY KEY (entry, row)
) STRICT, WITHOUT ROWID;

CREATE TABLE finding_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT, part TEXT, damage TEXT NOT NULL, station_m REAL, clock_deg REAL, percent REAL, depth_m REAL,
    temperature_k REAL, count INTEGER, hardness REAL, wall_left_m REAL, found_by TEXT, evidence TEXT NOT NULL
) STRICT;

CREATE TABLE disposition_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT, part TEXT, decision TEXT NOT NULL, reason TEXT NOT NULL, meop_pa REAL, loads TEXT,
    proof_every INTEGER, expires TEXT, standoff_multiplier REAL, lifts_restriction INTEGER, extra_checks TEXT,
    made_unusable TEXT, repair TEXT
) STRICT;

CREATE TABLE note_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT, part TEXT, event TEXT, text TEXT NOT NULL
) STRICT;

CREATE TABLE photo_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, path TEXT NOT NULL, sha256 TEXT NOT NULL, caption TEXT NOT NULL, station_m REAL, clock_deg REAL
) STRICT;

CREATE TABLE strike_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    strikes TEXT NOT NULL, reason TEXT NOT NULL, lifts_retirement INTEGER NOT NULL,
    eases INTEGER NOT NULL
) STRICT;

CREATE TABLE prefire_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    casing TEXT NOT NULL, load TEXT NOT NULL, batch TEXT, mode TEXT NOT NULL, planned_for TEXT NOT NULL, released TEXT NOT NULL,
    remark TEXT
) STRICT;
CREATE TABLE prefire_item (
    entry INTEGER NOT NULL REFERENCES entry (number),
    row INTEGER NOT NULL, item TEXT NOT NULL, text TEXT NOT NULL, decided_by TEXT NOT NULL, state TEXT NOT NULL,
    PRIMARY KEY (entry, row)
) STRICT, WITHOUT ROWID;

CREATE TABLE rule_entry (
    entry INTEGER PRIMARY KEY REFERENCES entry (number),
    rule TEXT NOT NULL, value REAL NOT NULL, reason TEXT NOT NULL
) STRICT;

-- What the book says of each casing, written in the transaction of the entry that changed it. Days are not in
-- it: what begins on a day carries that day, so the same row answers for every later one.
CREATE TABLE standing (
    casing       TEXT PRIMARY KEY,
    name         TEXT,
    worst        TEXT NOT NULL,                           -- standing whatever the day
    later        TEXT NOT NULL CHECK (json_valid(later)), -- [day, standing] of what begins on a day
    firings      INTEGER NOT NULL,
    weakest      TEXT,
    factor       REAL,
    due_on       TEXT,
    firings_left INTEGER,
    last_fired   TEXT,
    assessment   TEXT NOT NULL CHECK (json_valid(assessment)),
    through      INTEGER NOT NULL                         -- the last entry it takes in
) STRICT, WITHOUT ROWID;
CREATE INDEX standing_by_due ON standing (due_on);

-- Half-typed forms, kept on every change and offered back.
CREATE TABLE draft (
    form       TEXT NOT NULL,
    subject    TEXT NOT NULL,
    answers    TEXT NOT NULL CHECK (json_valid(answers)),
    changed_at TEXT NOT NULL,
    PRIMARY KEY (form, subject)
) STRICT, WITHOUT ROWID;
