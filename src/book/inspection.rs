//! The strip-down inspection, by number and in the order it is done: measure and photograph before cleaning,
//! record what was seen before what was concluded. (Common practice, no source; the order of the club.)

/// One item of the inspection.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// Its number on the screen and on the paper form.
    pub number: u8,
    /// Its name in forms and JSON.
    pub id: &'static str,
    /// What is done.
    pub text: &'static str,
    /// Whether every firing needs it: left unmeasured it keeps the casing on hold.
    pub required: bool,
}

const fn item(number: u8, id: &'static str, required: bool, text: &'static str) -> Item {
    Item { number, id, text, required }
}

/// Every item, in order.
pub const ITEMS: &[Item] = &[
    item(1, "as_found", false, "Wait, approach side-on, photograph as found"),
    item(2, "heat", true, "Hand-hot check, temperature labels, colour and char of the wall"),
    item(3, "straight_edge", true, "Straight-edge and calipers along the outside, before taking apart"),
    item(4, "effort", false, "Taking apart: effort, stuck closure"),
    item(5, "seals", false, "Seals out in order, both faces"),
    item(6, "liner", false, "Liner out and cut open: char, thinnest point"),
    item(7, "throat", false, "Throat by pin or drill at four angles, slag"),
    item(8, "cleaned", false, "Cleaned"),
    item(9, "bore", true, "Bore, threads, grooves and holes by eye with a light"),
    item(10, "diameters", true, "Outside diameters at the stations"),
    item(11, "hardness", false, "Hardness at the reference and any suspect point"),
    item(12, "penetrant", false, "Penetrant at welds and grooves, when due"),
    item(13, "ring", false, "Hang and tap: clear or dull"),
];

/// An item by its id.
pub fn item_by_id(id: &str) -> Option<&'static Item> {
    ITEMS.iter().find(|item| item.id == id)
}
