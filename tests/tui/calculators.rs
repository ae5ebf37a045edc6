//! The calculators: found, filled in, worked out at every key, and kept for the run.

use proofmark::tui::App;

use super::support::{demo, empty, options, press, shown, styles};

#[test]
fn the_answer_is_worked_out_at_every_key() {
    let mut app = App::new(empty(), options());
    press(&mut app, "t/flat-pl<Enter><Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Still needed: radius, thickness, pressure, modulus, poisson, edge"), "{text}");
    press(&mut app, "50<Tab>5<Tab>6<Tab>70 GPa<Tab>0.33<Tab><Right>");
    let text = shown(&mut app, 80, 24);
    // Clamped: 0.75 p a^2/t^2 = 0.75 * 6 MPa * 100.
    assert!(text.contains("450 MPa") && text.contains("65.3 ksi"), "{text}");
    press(&mut app, "<BackTab><BackTab><BackTab><Backspace>3");
    assert!(shown(&mut app, 80, 24).contains("225 MPa"), "half the pressure, half the stress");
    press(&mut app, "x");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("No answer") && text.contains("! \"3x\""), "{text}");
}

#[test]
fn what_was_typed_stays_for_the_run() {
    let mut app = App::new(empty(), options());
    press(&mut app, "t/proof-f<Enter><Enter>1.5<Esc><Esc>");
    press(&mut app, "t");
    assert!(shown(&mut app, 80, 24).contains("proof-factor *"), "it is marked as begun");
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("1.25"), "{text}");
}

#[test]
fn bare_numbers_are_in_the_units_shown() {
    let mut app = App::new(empty(), options());
    press(&mut app, "ut/cylinder-w<Enter><Enter>2");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("= 2.0000 in (50.80 mm)"), "{text}");
}

#[test]
fn every_calculator_opens_and_the_filter_marks_what_it_found() {
    for (at, calculator) in proofmark::desk::calculators::list().enumerate() {
        let mut app = App::new(empty(), options());
        press(&mut app, "t");
        for _ in 0..at {
            press(&mut app, "<Down>");
        }
        press(&mut app, "<Enter>");
        let text = shown(&mut app, 160, 60);
        assert!(text.contains(calculator.name), "{} is not on\n{text}", calculator.name);
        for input in calculator.inputs {
            assert!(text.contains(&input.name.replace('_', " ")), "{} of {}", input.name, calculator.name);
        }
        shown(&mut app, 60, 16);
    }
    let mut app = App::new(empty(), options());
    press(&mut app, "t/plate");
    let found = styles(&mut app, 80, 24).into_iter().any(|(text, style)| {
        text == "plate" && style.add_modifier.contains(ratatui::style::Modifier::UNDERLINED)
    });
    assert!(found, "the match is marked");
}

#[test]
fn pictures() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    press(&mut app, "t");
    super::screens::picture("calculators_80x24", &shown(&mut app, 80, 24));
    press(&mut app, "/yield-p<Enter><Enter>2.000 in<Tab><Tab>1.65<Tab>240");
    super::screens::picture("calculator_80x24", &shown(&mut app, 80, 24));
    super::screens::picture("calculator_160x40", &shown(&mut app, 160, 40));
}
