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
    press(&mut app, "<Enter>i");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("MF-48-11 strip"), "{text}");
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
fn several_refusals_are_all_said_above_the_form() {
    let mut desk = empty();
    fill(&mut desk);
    let mut app = App::new(desk, options());
    press(&mut app, "p<Enter><Enter><Tab>nn<Down>n<Down>n<Down>n<Down>n<Down>nw");
    let text = shown(&mut app, 80, 24);
    let head: String = text.lines().skip(1).take(8).collect::<Vec<_>>().join(" ");
    for item in
        ["Bore clean", "Grains measured", "Liner sealed", "Seals new", "Igniter mass", "It is written up"]
    {
        assert!(head.contains(item), "{item}\n{text}");
    }
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
    press(&mut app, "5");
    let text = shown(&mut app, 120, 60);
    assert!(text.contains("basis") && !text.contains("MPa"), "{text}");
    press(&mut app, "3");
    let text = shown(&mut app, 120, 60);
    assert!(text.contains("nothing up to 0.00") && !text.contains("nothing up to 0.03 mm"), "{text}");
    press(&mut app, "p");
    press(&mut app, "<Enter><Enter>");
    let text = shown(&mut app, 120, 60);
    assert!(!text.contains("MPa"), "{text}");
}

/// The last lines: the keys offered.
fn footer(text: &str) -> String {
    text.lines().rev().take(3).collect()
}

#[test]
fn the_footer_of_a_question_says_what_its_box_says() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "n");
    fill_in(&mut app, &[("Note", "x")]);
    press(&mut app, "<Esc>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Esc    stay here") && footer(&text).contains("Esc  stay here"), "{text}");
    press(&mut app, "kn");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Esc    go back") && footer(&text).contains("Esc  go back"), "{text}");
}

/// The row that holds the terminal's cursor.
fn cursor_row(app: &mut App) -> String {
    let mut terminal = ratatui::Terminal::new(ratatui::backend::TestBackend::new(80, 40)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    let at = terminal.get_cursor_position().unwrap();
    shown(app, 80, 40).lines().nth(usize::from(at.y)).unwrap_or_default().to_owned()
}

#[test]
fn a_field_of_rows_is_entered_where_one_comes_from() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "i");
    super::support::go_to(&mut app, "10 Outside diameters");
    press(&mut app, "30 mm @ 0: 50.80 mm<Enter>60 mm @ 0: 50.81 mm<Enter>90 mm @ 0: 50.82 mm");
    press(&mut app, "<Tab><BackTab>");
    assert!(cursor_row(&mut app).contains("90 mm"), "from below on the last: {}", shown(&mut app, 80, 40));
    press(&mut app, "<Up><Up><Up><Tab>");
    assert!(cursor_row(&mut app).contains("30 mm"), "from above on the first: {}", shown(&mut app, 80, 40));
    press(&mut app, "<Down>");
    assert!(cursor_row(&mut app).contains("60 mm"), "down stays in it: {}", shown(&mut app, 80, 40));
}

#[test]
fn a_draft_opens_on_what_is_wrong_in_it() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "f<Enter>");
    fill_in(&mut app, &[("Mode", "static"), ("Peak pressure", "4.4 furlongs"), ("Place", "Fen pit")]);
    press(&mut app, "<Esc>ko<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(cursor_row(&mut app).contains("4.4 furlongs"), "{text}");
}

#[test]
fn what_the_rig_predicts_is_in_the_unit_a_bare_number_is_taken_in() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "<Enter>g");
    let go = |app: &mut App, label: &str| {
        for _ in 0..80 {
            if cursor_row(app).contains(label) {
                return;
            }
            press(app, "<Tab>");
        }
        panic!("no {label} on\n{}", shown(app, 80, 40));
    };
    go(&mut app, "2: dial 120");
    // The prediction typed as it stands, without its unit, is nothing odd.
    assert!(cursor_row(&mut app).contains("0.038 mm predicted"), "{}", cursor_row(&mut app));
    press(&mut app, "0.038");
    assert!(cursor_row(&mut app).contains("= 0.038 mm; 0.038 mm predicted"), "{}", cursor_row(&mut app));
    assert!(!shown(&mut app, 80, 40).contains(" um"), "{}", shown(&mut app, 80, 40));
    press(&mut app, "<Backspace><Backspace><Backspace><Backspace><Backspace>");
    press(&mut app, "<Esc>ug");
    go(&mut app, "2: dial");
    assert!(cursor_row(&mut app).contains("0.00149 in predicted"), "{}", cursor_row(&mut app));
}

#[test]
fn the_plan_at_the_rig_is_whole_at_every_width() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "<Enter>g");
    for (width, height) in [(80, 40), (120, 40), (130, 40), (140, 50), (160, 50), (200, 60)] {
        let text = shown(&mut app, width, height);
        assert!(
            text.contains("proof: hold, nobody near") && text.contains("MEOP: the last look from near"),
            "{width}x{height}:\n{text}"
        );
    }
}

#[test]
fn deciding_is_the_same_from_the_rack_and_from_the_page() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "d");
    let from_rack = shown(&mut app, 80, 24);
    press(&mut app, "<Esc><Enter>d");
    let from_page = shown(&mut app, 80, 24);
    let body = |text: &str| text.lines().skip(1).map(str::to_owned).collect::<Vec<_>>();
    assert!(from_rack.contains("deciding"), "{from_rack}");
    assert_eq!(body(&from_rack), body(&from_page));
}

#[test]
fn what_is_cut_off_a_long_line_is_marked() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "n");
    let long = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen";
    fill_in(&mut app, &[("Note", long)]);
    let row = cursor_row(&mut app);
    assert!(row.contains("…") && row.contains("fourteen") && !row.contains("one two"), "{row}");
    press(&mut app, "<Home>");
    let row = cursor_row(&mut app);
    assert!(row.contains("one two") && row.contains("…"), "{row}");
}

#[test]
fn the_checklist_has_room_on_a_low_screen() {
    let (_folder, desk) = super::support::demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-41-06<Enter>p<Enter><Enter>");
    let text = shown(&mut app, 80, 24);
    let items =
        text.lines().filter(|line| line.contains("in order  ") || line.contains("to attest  ")).count();
    assert!(items >= 9, "{items} items\n{text}");
    assert!(text.contains("122 metres (400 ft): nobody nearer"), "{text}");
}

#[test]
fn fields_have_the_numbers_of_the_blank_form() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "h<Enter>");
    let text = shown(&mut app, 100, 80);
    let page = proofmark::report::paper::blank(proofmark::book::forms::form(Kind::Proof).unwrap());
    let mut checked = 0;
    for row in page.split("<td class=\"num\"><strong>").skip(1) {
        let number = row.split('<').next().unwrap();
        let label = row.split("<strong>").nth(1).and_then(|it| it.split('<').next()).unwrap();
        let label = label.trim_end_matches(" *").trim();
        if let Some(line) = text.lines().find(|line| line.get(4..).is_some_and(|it| it.starts_with(label))) {
            assert_eq!(line[1..3].trim(), number, "{label}: {line}");
            checked += 1;
        }
    }
    assert!(checked > 12, "{checked}\n{text}");
}

#[test]
fn no_label_of_a_form_is_cut() {
    for form in proofmark::book::forms::FORMS {
        for field in form.fields.iter().chain(proofmark::book::forms::HEAD) {
            assert!(field.label.chars().count() <= 24, "{}", field.label);
        }
    }
}

#[test]
fn a_wrong_answer_is_not_called_a_missing_one() {
    let mut app = App::new(super::support::small(), options());
    press(&mut app, "f<Enter>");
    fill_in(&mut app, &[("Mode", "static"), ("Load", "48A"), ("Peak pressure", "4.4 furlongs")]);
    app.handle(ctrl('s'));
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Not saved: 1 field is to be put right"), "{text}");
}

#[test]
fn the_pressure_of_a_margin_is_the_one_its_factor_is_of() {
    let (_folder, desk) = super::support::demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-41-06<Enter><Enter>5");
    for (width, height) in [(80, 24), (100, 40), (120, 40), (160, 50)] {
        let text = shown(&mut app, width, height);
        let Some(row) = text.lines().find(|line| line.contains("tube burst")) else {
            panic!("{text}");
        };
        let row = &row[row.find("tube burst").unwrap()..];
        let numbers: Vec<f64> = row.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        let (gives, factor) = (numbers[0], *numbers.last().unwrap());
        assert!((gives / 4.9 - factor).abs() < 0.02, "{row}\n{text}");
    }
}

#[test]
fn a_rule_that_is_met_is_in_order_under_a_hold() {
    let (_folder, desk) = super::support::demo();
    let mut app = App::new(desk, options());
    press(&mut app, "/MF-41-07<Enter><Enter>");
    let text = shown(&mut app, 100, 90);
    assert!(text.contains("in order: thinnest margin") && !text.contains("in service: "), "{text}");
}

#[test]
fn the_bar_of_a_selected_row_has_no_gaps() {
    let (_folder, desk) = super::support::demo();
    let mut app = App::new(desk, options());
    let mut terminal = ratatui::Terminal::new(ratatui::backend::TestBackend::new(80, 24)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    let buffer = terminal.backend().buffer();
    let reversed = |x: u16| buffer[(x, 3)].style().add_modifier.contains(ratatui::style::Modifier::REVERSED);
    let selected = shown(&mut app, 80, 24).lines().nth(3).unwrap().to_owned();
    assert!(selected.contains("Finch"), "{selected}");
    // A gap looks as the cell before it does: a bold cell beside a plain gap is two shades of one bar.
    for x in 1..70 {
        assert!(reversed(x), "column {x}");
    }
    let serial_end = u16::try_from(selected.find("MF-41-07").unwrap() + 9).unwrap();
    assert_eq!(buffer[(serial_end, 3)].style(), buffer[(serial_end - 3, 3)].style());
}
