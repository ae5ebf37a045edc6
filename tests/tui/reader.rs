//! What a fresh reader of the screens stumbled over, and no longer does.

use proofmark::book::Kind;
use proofmark::tui::App;

use super::support::{CASING, PROOF, ctrl, empty, fill, fill_in, on_disk, options, press, record, shown};

/// Two proved casings, MF-48-10 and MF-48-11, and a load.
fn two(desk: &mut proofmark::desk::Desk) {
    fill(desk);
    let other = |fields: &'static [(&'static str, &'static str)], field: &str| {
        let mut fields = fields.to_vec();
        fields.iter_mut().filter(|it| it.0 == field).for_each(|it| it.1 = "MF-48-11");
        fields.retain(|it| it.0 != "name");
        fields
    };
    record(desk, Kind::Casing, &other(CASING, "serial"));
    record(desk, Kind::Proof, &other(PROOF, "casing"));
}

#[test]
fn the_casing_just_written_about_is_the_one_the_next_key_is_of() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    let mut desk = on_disk(&path, 0);
    two(&mut desk);
    let mut app = App::new(desk, options());
    press(&mut app, "<Down>f<Enter>");
    fill_in(
        &mut app,
        &[("Mode", "static"), ("Load", "48A"), ("Peak pressure", "4.4 MPa"), ("Impulse", "950 Ns")],
    );
    assert!(shown(&mut app, 80, 24).contains("MF-48-11 firing"));
    drop(app);
    // The next morning the first casing is selected, and the draft is of the second.
    let mut app = App::new(on_disk(&path, 500), options());
    press(&mut app, "o<Enter>");
    app.handle(ctrl('s'));
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("written: firing") && text.contains("next for MF-48-11: strip"), "{text}");
    press(&mut app, "<Enter>i");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("MF-48-11 strip"), "{text}");
}

#[test]
fn a_filter_does_not_hide_the_casing_just_written_about() {
    let mut desk = empty();
    two(&mut desk);
    let mut app = App::new(desk, options());
    press(&mut app, "<Down>n");
    fill_in(&mut app, &[("Note", "a dent?")]);
    press(&mut app, "<Esc>k/48-10<Enter>o");
    app.handle(ctrl('s'));
    press(&mut app, "<Enter>d");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("MF-48-11"), "{text}");
}

#[test]
fn an_item_not_in_order_leads_everywhere() {
    let mut desk = empty();
    fill(&mut desk);
    let mut app = App::new(desk, options());
    press(&mut app, "p<Enter><Enter><Tab>");
    // To the item about the grains, whatever comes before it.
    for _ in 0..40 {
        let text = shown(&mut app, 80, 24);
        if text.lines().rev().take(8).any(|line| line.contains("Grains") && line.contains("crack")) {
            break;
        }
        press(&mut app, "y");
    }
    press(&mut app, "n");
    let text = shown(&mut app, 80, 24);
    let head: String = text.lines().skip(1).take(3).collect::<Vec<_>>().join("\n");
    assert!(head.contains("x NOT IN ORDER: Grains"), "{text}");
    assert!(
        text.contains("do not fire until it is put") && !text.contains("Nothing on record forbids"),
        "{text}"
    );
    press(&mut app, "<F3>");
    let text = shown(&mut app, 100, 30);
    assert!(text.contains("do not fire: Grains"), "{text}");
    press(&mut app, "<Esc>w");
    let text = shown(&mut app, 100, 40);
    assert!(text.contains("NOT a release. NOT IN ORDER: Grains"), "{text}");
    fill_in(&mut app, &[("Second person", "Ravi")]);
    app.handle(ctrl('s'));
    let page = app.desk().casing("MF-48-10").unwrap();
    let last = page.ledger.last().unwrap();
    let words = proofmark::desk::view::sentence(&last.entry.entry.details, proofmark::quantity::System::Si);
    assert!(words.contains("released no; NOT IN ORDER: Grains"), "{words}");
}

#[test]
fn u_turns_the_reasons_too() {
    let (_folder, desk) = super::support::demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-76-09<Enter>");
    assert!(shown(&mut app, 120, 60).contains("proved on 2026-08-29 at 9.45 MPa"));
    press(&mut app, "u");
    let text = shown(&mut app, 120, 60);
    assert!(text.contains("proved on 2026-08-29 at 1371 psi") && !text.contains("MPa"), "{text}");
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 120, 60);
    assert!(text.contains("at 1371 psi") && !text.contains("MPa"), "{text}");
    press(&mut app, "p");
    press(&mut app, "<Enter><Enter>");
    let text = shown(&mut app, 120, 60);
    assert!(!text.contains("MPa"), "{text}");
}
