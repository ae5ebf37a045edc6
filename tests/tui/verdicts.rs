//! The screens say no more than the record does.

use proofmark::book::Kind;
use proofmark::tui::App;

use super::support::{CASING, PROOF, empty, options, press, record, shown};

const ON_PAPER: &str = "on paper, without a proof";
const PROVED: &str = "margins and proof cover";

#[test]
fn a_casing_without_a_proof_covers_nothing_but_paper() {
    let mut desk = empty();
    record(&mut desk, Kind::Casing, CASING);
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>5");
    for keys in ["", "w"] {
        press(&mut app, keys);
        let text = shown(&mut app, 90, 50);
        assert!(
            text.contains(ON_PAPER) && !text.contains("proof cover") && !text.contains("MEOP covered"),
            "{text}"
        );
    }
}

#[test]
fn a_proof_of_another_build_covers_nothing_either() {
    let mut desk = empty();
    record(&mut desk, Kind::Casing, CASING);
    record(&mut desk, Kind::Proof, PROOF);
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>5");
    assert!(shown(&mut app, 90, 50).contains(PROVED));
    let mut desk = empty();
    record(&mut desk, Kind::Casing, CASING);
    record(&mut desk, Kind::Proof, PROOF);
    let changed: Vec<(&str, &str)> = CASING
        .iter()
        .map(|(name, words)| match *name {
            "on" => ("on", "2026-09-01"),
            "aft.edge" => ("aft.edge", "9 mm"),
            _ => (*name, *words),
        })
        .chain([("revision", "B")])
        .collect();
    record(&mut desk, Kind::Casing, &changed);
    let mut app = App::new(desk, options());
    press(&mut app, "<Enter>5");
    assert!(shown(&mut app, 90, 50).contains(ON_PAPER));
}
