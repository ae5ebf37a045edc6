//! Metals with their published minimum strengths, parent and welded, and where the numbers stand.
