-- So that no question about the whole book reads every entry of it: the last day on record, the serials of a kind.
CREATE INDEX entry_by_day ON entry (happened_on);
CREATE INDEX entry_by_kind ON entry (kind, subject);
