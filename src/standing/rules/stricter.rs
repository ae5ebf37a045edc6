//! Which way each rule is stricter: where two books changed one apart, the stricter value holds until a person
//! settles it. Where that cannot be said of a rule, the difference forbids.

/// Which of two values of a rule lets less through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stricter {
    /// The lower: a ceiling, an interval, a span of validity.
    Lower,
    /// The higher: a floor, a count of proofs, names or readings asked for, a zone or distance kept.
    Higher,
    /// Neither: the value means nothing, or either way may let something through.
    Unclear,
}

/// Rules whose lower value is stricter.
pub(super) const LOWER: &[&str] = &[
    "proof-months",
    "proof-firings",
    "proof-firings-welded",
    "proof-firings-restricted",
    "proof-yield-share",
    "permanent-set-second-reader",
    "permanent-set",
    "proof-growth-after",
    "proof-growth-share",
    "proof-elastic-agreement",
    "proof-step",
    "proof-stiffness",
    "dial-repeatability",
    "penetrant-every",
    "peak-share-of-proof",
    "peak-over-proof",
    "peak-share-of-yield",
    "peak-over-meop",
    "peak-over-plan",
    "peak-far-over-plan",
    "growth-noise",
    "growth-noise-gauge",
    "study-outlier",
    "study-spread",
    "shrink",
    "growth-hold",
    "growth-yield",
    "ovality-watch",
    "ovality-hold",
    "ovality-retire",
    "bulge-hold",
    "bulge-yield",
    "crack",
    "thread-damage",
    "throat-growth",
    "throat-shrink",
    "hardness-watch",
    "hardness-restrict",
    "heat-aluminium",
    "heat-steel",
    "pit-restrict",
    "pit-retire",
    "dent",
    "gouge-blend",
    "gouge-restrict",
    "gouge-retire",
    "groove-lip",
    "hole-elongation",
    "hole-retire",
    "bend",
    "mass-change",
    "damage-used",
    "fatigue-life",
    "load-over-meop",
    "load-share-of-proof",
    "load-scatter-over-meop",
    "kn-tested",
    "throat-smallest",
    "grain-soak",
];

/// Rules whose higher value is stricter.
pub(super) const HIGHER: &[&str] = &[
    // A proof planned higher shows more; what it may do to the casing is capped by proof-yield-share.
    "proof-factor",
    "proof-factor-least",
    "proof-expansion-least",
    "proof-hold",
    "proof-hold-least",
    "proof-second",
    "proof-weld-zone",
    "proof-failed",
    "proof-gauge",
    "weld-zone",
    "station-angles",
    "proof-of-build",
    "peak-under-plan",
    "peak-known",
    "sudden-drop",
    "part-missing",
    "hard-landing",
    "first-firing",
    "strip-after-firing",
    "decision-after-strip",
    "decision-after-finding",
    "stations-read",
    "seal-damage",
    "heat-proof",
    "screening",
    "rebuild-proof",
    "event-proof",
    "parts-released",
    "books-differ",
    "registered",
    "margin-least",
    "peak-scatter",
    "load-sigmas",
    "port-over-throat",
    "batch-known",
    "standoff-metal",
];

/// Rules of which it cannot be said; every other rule is in one of the lists above, which a test looks after.
#[cfg(test)]
pub(super) const UNCLEAR: &[&str] = &[
    // A reading that is not believed may be the one that would have retired the casing.
    "reading-believed",
    // What a burette does not resolve is left to diameters: either may be the better witness.
    "proof-resolution",
    // Their value means nothing.
    "fire",
    "burst",
    "part-life",
    "retirement",
    "restriction",
    "disposition",
];

/// Which way a rule is stricter.
pub fn stricter(id: &str) -> Stricter {
    if LOWER.contains(&id) {
        Stricter::Lower
    } else if HIGHER.contains(&id) {
        Stricter::Higher
    } else {
        Stricter::Unclear
    }
}
