-- So that no question about the whole book reads every entry of it: the last day on record, the serials of a kind.
CREATE INDEX entry_by_day ON entry (happened_on);
CREATE INDEX entry_by_kind ON entry (kind, subject);
-- The rack in one narrow index, without the long assessments beside each row.
CREATE INDEX standing_rack ON standing (casing, name, worst, later, firings, weakest, factor, due_on, firings_left, last_fired);
