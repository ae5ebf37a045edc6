-- How hot the grains are soaked belongs to the plan a pre-fire judges.

ALTER TABLE prefire_entry ADD COLUMN grain_temperature_k REAL;
