//! The classic slips, recognised and said, never silently mended.
