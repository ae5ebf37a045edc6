//! From an empty book to a retired casing, with keys alone.

use proofmark::tui::App;

use super::support::{empty, fill_in, options, press, shown};

#[test]
fn a_casing_lives_and_is_retired() {
    let mut app = App::new(empty(), options());
    assert!(shown(&mut app, 80, 24).contains("register the first casing"));
    press(&mut app, "c");
    fill_in(
        &mut app,
        &[
            ("Serial", "MF-48-10"),
            ("Name", "Teasel"),
            ("Birth diameters", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
            ("Tube metal", "6061-T6"),
            ("Outside diameter", "2.000 in"),
            ("Wall", "0.065 in"),
            ("Least wall measured", "0.065 in"),
            ("Forward end", "retaining ring"),
            ("Forward edge distance", "10 mm"),
            ("Forward groove depth", "1.0 mm"),
            ("Forward ring thickness", "2 mm"),
            ("Aft end", "ret<Tab>"),
            ("Aft edge distance", "10"),
            ("Aft groove depth", "1.0"),
            ("Aft ring thickness", "2"),
            ("MEOP", "5.9"),
        ],
    );
    save(&mut app, "MF-48-10 stands: unproved");

    press(&mut app, "h<Enter>");
    fill_in(
        &mut app,
        &[
            ("Pressure", "8.85 MPa"),
            ("Medium", "water"),
            ("Bled of air", "y"),
            ("Hold", "5 min"),
            ("Method", "diameters only"),
            ("Diameters before", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
            ("Diameters after", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 50.80 mm"),
            ("Leak", "n"),
            ("Pressure drop", "n"),
            ("Second person", "Ravi"),
        ],
    );
    save(&mut app, "MF-48-10 stands: in service");

    press(&mut app, "l<Down><Down><Down><Down><Enter>");
    fill_in(
        &mut app,
        &[("Name", "48A"), ("Planned peak", "4.6 MPa"), ("Planned impulse", "951 Ns"), ("Throat", "9.35 mm")],
    );
    save(&mut app, "written: load");

    press(&mut app, "p<Enter><Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Nothing on record forbids 48A static"), "{text}");
    press(&mut app, "<End>y");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("afterwards   Afterwards") && text.contains("read it aloud before it"), "{text}");
    press(&mut app, "<Up>y");
    assert!(shown(&mut app, 80, 24).contains("Held"), "a hold point holds");
    press(&mut app, "<Tab>");
    press(&mut app, &"y".repeat(15));
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Every item is in order"), "{text}");
    press(&mut app, "w");
    fill_in(&mut app, &[("Second person", "Ravi")]);
    save(&mut app, "written: prefire");
    press(&mut app, "<Esc><Esc>");

    press(&mut app, "f<Enter>");
    fill_in(
        &mut app,
        &[
            ("Mode", "static"),
            ("Load", "48A"),
            ("Place", "Fen pit"),
            ("Peak pressure", "4.7 MPa"),
            ("Impulse", "949"),
        ],
    );
    save(&mut app, "MF-48-10 stands: hold");

    press(&mut app, "i");
    fill_in(
        &mut app,
        &[
            ("2 Heat check", "good"),
            ("3 Straight-edge", "finding"),
            ("9 Bore", "good"),
            ("10 Diameters", "finding"),
            ("10 Outside diameters", "30 mm @ 0: 50.80 mm\n120 mm @ 0: 51.00 mm"),
        ],
    );
    save(&mut app, "stands: hold");

    press(&mut app, "b");
    fill_in(
        &mut app,
        &[
            ("Damage", "bulge"),
            ("Per cent", "0.39"),
            ("Station", "120 mm"),
            ("Evidence", "rocks under the rule"),
        ],
    );
    save(&mut app, "written: finding");

    // What the rules ask for comes first, with its reason.
    press(&mut app, "d<Enter>");
    fill_in(&mut app, &[("Made unusable", "sawn in two")]);
    save(&mut app, "MF-48-10 stands: retired");
    press(&mut app, "<Esc>");

    let text = shown(&mut app, 80, 24);
    assert!(text.contains("x retired") && text.contains("has yielded; the rule retires it"), "{text}");
    assert!(text.contains("never again"), "{text}");

    // A planned firing is refused now, and says why first.
    press(&mut app, "p<Enter><Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("FORBIDDEN by the record"), "{text}");
    press(&mut app, "yw");
    assert!(shown(&mut app, 80, 24).contains("cannot be released"));
    press(&mut app, "<Esc><Esc>");

    // Reality is logged all the same, with its reason.
    press(&mut app, "f<Enter>");
    fill_in(&mut app, &[("Mode", "static"), ("Load", "48A")]);
    press(&mut app, "<C-s>");
    assert!(shown(&mut app, 100, 50).contains("the record forbade firing"), "{}", shown(&mut app, 100, 50));
    fill_in(&mut app, &[("Why it was fired anyway", "taken by mistake")]);
    save(&mut app, "recorded as a breach");
    press(&mut app, "<Enter>2");
    assert!(shown(&mut app, 100, 40).contains("!! breach"), "{}", shown(&mut app, 100, 40));

    // A wrong entry is struck, and stays readable.
    press(&mut app, "<End>x");
    fill_in(&mut app, &[("Reason", "it was another casing")]);
    save(&mut app, "written: strike");
    press(&mut app, "<Up>");
    let text = shown(&mut app, 120, 40);
    assert!(text.contains("struck by 10") && text.contains("taken by mistake"), "{text}");
    assert_eq!(format!("{:?}", app.desk().book().verify().unwrap()), "[]");
}

/// Save, read what followed, and go on.
fn save(app: &mut App, expected: &str) {
    press(app, "<C-s>");
    let text = shown(app, 100, 50);
    if text.contains("looks like a slip") || text.contains("would not count") {
        press(app, "<C-s>");
    }
    let text = shown(app, 100, 50);
    assert!(text.contains(expected), "expected {expected:?} on\n{text}");
    press(app, "<Enter>");
}

#[test]
fn a_struck_retirement_is_said_on_every_page() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "d<End><Enter>");
    fill_in(&mut app, &[("Reason", "the wrong serial"), ("Made unusable", "not yet")]);
    save(&mut app, "stands: retired");
    press(&mut app, "<Esc>");
    press(&mut app, "<Enter>2x");
    fill_in(&mut app, &[("Reason", "it was the casing beside it")]);
    press(&mut app, "<C-s>");
    assert!(shown(&mut app, 80, 24).contains("two names"), "{}", shown(&mut app, 80, 24));
    fill_in(&mut app, &[("Second person", "Ravi")]);
    save(&mut app, "written: strike");
    for way in ["", "<Esc>", "p", "<Enter><Enter>"] {
        press(&mut app, way);
        let text = shown(&mut app, 80, 24);
        assert!(text.contains("!! "), "{way}:\n{text}");
    }
}
