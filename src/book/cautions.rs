//! The cautions the program carries: on the first run, in the README, before a proof or a firing is entered, and
//! on every report.

/// What the book does and does not decide.
pub const WHAT_IT_IS: &str = "This book records and calculates. It does not certify. That nothing on record forbids a \
    firing is not proof that the firing will go well: its numbers rest on readings typed by people and on assumed \
    properties of metal.";

/// Before a proof.
pub const BEFORE_A_PROOF: &[&str] = &[
    "Water, never gas: the same casing full of gas holds about a thousand times the energy.",
    "Bleed until solid, tilt and tap; trapped air turns it into a gas test.",
    "Nobody near above MEOP; look by mirror or camera; tighten nothing under pressure.",
    "A proof shows yesterday's strength, without the heat, erosion or impact that came after.",
];

/// Before a firing.
pub const BEFORE_A_FIRING: &[&str] = &[
    "Distance and cover protect people, not margin: metal casings fragment.",
    "Remote ignition only; the key stays on the conductor's person; igniter in last, everyone else away.",
    "Misfire: key out and wait at least 5 minutes without smoke, 15 to 30 after any smoke, chuff or doubt.",
    "Local law, licence, permission and insurance come first; nobody fires alone; minors only supervised.",
];

/// Where to ask instead of this program.
pub const ASK: &str = "Making, storing and firing motors is regulated nearly everywhere, and often needs a licence: \
    ask your authority, your range safety officer and your landowner. Pressure parts are welded by a qualified \
    welder and read by a trained inspector. This program holds no propellant recipe and never will.";

/// All of it, for a first run and a report.
pub fn all() -> Vec<String> {
    let mut lines = vec![WHAT_IT_IS.to_owned()];
    lines.extend(BEFORE_A_PROOF.iter().chain(BEFORE_A_FIRING).map(|line| (*line).to_owned()));
    lines.push(ASK.to_owned());
    lines
}
