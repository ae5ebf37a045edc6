//! Where somebody who has just met the program stumbles.

use proofmark::book::Kind;
use proofmark::tui::App;

use super::support::{CASING, ctrl, demo, fill_in, go_to, options, press, record, shown, small};

/// A second casing beside the small book's.
fn two_casings() -> proofmark::desk::Desk {
    let mut desk = small();
    let mut other: Vec<(&str, &str)> = CASING.to_vec();
    other.retain(|(field, _)| !matches!(*field, "serial" | "name"));
    other.extend([("serial", "MF-48-11"), ("name", "Sedge")]);
    record(&mut desk, Kind::Casing, &other);
    desk
}

#[test]
fn taking_back_strikes_what_the_page_names_and_nothing_else() {
    let mut app = App::new(two_casings(), options());
    for serial in ["MF-48-10", "MF-48-11"] {
        press(&mut app, &format!("/<Esc>/{serial}<Enter>n"));
        fill_in(&mut app, &[("Note", "a slip")]);
        press(&mut app, "<C-s>");
        assert!(shown(&mut app, 80, 24).contains("written: note"), "{}", shown(&mut app, 80, 24));
        if serial == "MF-48-10" {
            press(&mut app, "<Enter>");
        }
    }
    // The page names the last entry, and that one is offered.
    press(&mut app, "z");
    let form = shown(&mut app, 80, 24);
    assert!(form.contains("MF-48-11 Sedge strike"), "{form}");
    fill_in(&mut app, &[("Reason", "the wrong casing")]);
    press(&mut app, "<C-s>");
    let written = shown(&mut app, 80, 24);
    assert!(written.contains("written: strike"), "{written}");
    // A strike is not taken back, and nothing else is struck from its page.
    assert!(!written.contains("take back"), "{written}");
    press(&mut app, "z");
    assert!(shown(&mut app, 80, 24).contains("Nothing this page is about"), "{}", shown(&mut app, 80, 24));
    // The page of the struck entry is gone.
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.starts_with(" rack ") && !text.contains("written: note"), "{text}");
    // On a casing's own page only its own entries are taken back.
    press(&mut app, "<Enter>");
    let page = shown(&mut app, 120, 36);
    assert!(page.starts_with(" rack › MF-48-11") && !page.contains("take back"), "{page}");
    press(&mut app, "z");
    assert!(!shown(&mut app, 80, 24).contains("strike"), "{}", shown(&mut app, 80, 24));
}

/// Type into the field in focus and go on, so many fields on.
fn at_the_rig(app: &mut App, fields: &[(&str, &str)]) {
    for (label, words) in fields {
        super::support::go_to(app, label);
        press(app, words);
    }
    press(app, "<Tab>");
}

#[test]
fn a_rig_that_is_not_fit_stops_the_pumping_in_the_headline() {
    let mut app = App::new(small(), options());
    press(&mut app, "v");
    at_the_rig(&mut app, &[("medium", "water"), ("rig: water", "n")]);
    let text = shown(&mut app, 80, 24);
    let headline: String = text.lines().skip(1).take(2).collect();
    assert!(headline.starts_with("STOP: rig: water is \"no\""), "{text}");
    assert!(headline.contains("15 to 30 degC") && !headline.contains("let the pressure off"), "{text}");
    // With a step read there is pressure in it.
    at_the_rig(&mut app, &[("1: pressure", "0.89 MPa")]);
    let text = shown(&mut app, 80, 24);
    let headline: String = text.lines().skip(1).take(2).collect();
    assert!(headline.starts_with("STOP: let the pressure off slowly: rig: water"), "{text}");
    assert!(!text.contains("Next: step"), "{text}");
    // Put right, it goes on.
    super::support::go_to(&mut app, "rig: water");
    press(&mut app, "<Backspace>y<Tab>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Next: step 2 of 7"), "{text}");
}

#[test]
fn a_mark_of_no_instrument_on_record_is_said_in_the_headline() {
    let mut desk = small();
    let gauge = &[("serial", "PG-01"), ("what", "pressure gauge"), ("full_scale", "16 MPa")];
    record(&mut desk, Kind::Gauge, gauge);
    let mut app = App::new(desk, options());
    press(&mut app, "v");
    // The beginning of a mark is no slip while it is typed.
    super::support::go_to(&mut app, "pressure gauge");
    press(&mut app, "PG");
    assert!(!shown(&mut app, 80, 24).contains("is on record"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "-99<Tab>");
    let text = shown(&mut app, 80, 24);
    let head: String = text.lines().skip(1).take(4).collect();
    assert!(head.contains("~ no pressure gauge PG-99 is on record"), "{text}");
}

#[test]
fn a_list_says_what_of_it_is_out_of_view() {
    let (_folder, desk) = demo();
    let casings = desk.rack_rows().unwrap().len();
    let mut app = App::new(desk, options());
    for (width, height) in [(80, 24), (60, 16), (100, 20), (130, 12), (130, 16), (200, 16)] {
        press(&mut app, "<Home>");
        let text = shown(&mut app, width, height.max(16));
        let rows = text.lines().filter(|line| line.contains("MF-") && line.contains('x')).count();
        let hidden = |text: &str, side: &str| -> usize {
            let words = text.split(" more ").collect::<Vec<_>>();
            let before = words.windows(2).find(|it| it[1].starts_with(side)).map_or("0", |it| it[0]);
            before.rsplit(' ').next().unwrap().parse().unwrap()
        };
        assert_eq!(hidden(&text, "above"), 0, "{text}");
        let below = hidden(&text, "below");
        if rows < casings {
            assert!(below > 0 || casings <= rows, "{width}x{height}: {rows} rows\n{text}");
        }
        press(&mut app, "<End>");
        let text = shown(&mut app, width, height.max(16));
        assert_eq!((hidden(&text, "above"), hidden(&text, "below")), (below, 0), "{text}");
    }
    press(&mut app, "<Home>");
    let text = shown(&mut app, 80, 23);
    assert!(text.contains("↓ 1 more below"), "{text}");
    press(&mut app, "<End>");
    assert!(shown(&mut app, 80, 23).contains("↑ 1 more above"), "{}", shown(&mut app, 80, 23));
}

#[test]
fn what_holds_an_item_is_named_and_a_key_away() {
    let mut app = App::new(small(), options());
    press(&mut app, "p<Enter><Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("[2] two people look at this one"), "{text}");
    // The first of the person's items is found not in order; the last is held by it.
    press(&mut app, "<Tab>n<End><Up>");
    let text = shown(&mut app, 80, 24);
    let held =
        text.lines().find(|line| line.contains("Held: this is open at")).unwrap_or_default().to_owned();
    assert!(held.contains("H1: ") || held.contains("H0: "), "{text}");
    press(&mut app, "y");
    assert!(shown(&mut app, 80, 24).contains("» Held: this is open at"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<BackTab>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("n H") && !text.contains("Held"), "{text}");
    // Tab goes round to it, too, once everything else that can be is in order.
    for _ in 0..60 {
        press(&mut app, "<Tab>");
        let text = shown(&mut app, 80, 24);
        if text.contains("\nn H") {
            return;
        }
    }
    panic!("Tab never goes back to it:\n{}", shown(&mut app, 80, 24));
}

#[test]
fn every_form_opened_from_the_rack_says_whose_it_is() {
    let mut app = App::new(small(), options());
    for keys in ["d", "n", "b", "i", "m", "l", "L", "v", "p", "h<Enter>"] {
        press(&mut app, keys);
        let bar = shown(&mut app, 100, 30).lines().next().unwrap().to_owned();
        assert!(bar.contains("MF-48-10 Teasel"), "{keys}: {bar}");
        press(&mut app, "<Esc>");
    }
    // On the casing's own page it is said once.
    press(&mut app, "<Enter>n");
    let bar = shown(&mut app, 100, 30).lines().next().unwrap().to_owned();
    assert!(bar.starts_with(" rack › MF-48-10 Teasel › note "), "{bar}");
}

#[test]
fn a_proof_written_up_leaves_nothing_to_go_on_with_at_the_rig() {
    let mut app = App::new(small(), options());
    press(&mut app, "v");
    let rig = [
        ("medium", "water"),
        ("rig: solid", "y"),
        ("before 30 mm @ 0", "50.80"),
        ("before 120 mm @ 0", "50.80"),
        ("7: pressure", "8.85 MPa"),
        ("held for", "5 min"),
        ("any leak", "no"),
        ("pressure dropped", "no"),
        ("after 30 mm @ 0", "50.80"),
        ("after 120 mm @ 0", "50.80"),
    ];
    at_the_rig(&mut app, &rig);
    app.handle(ctrl('s'));
    press(&mut app, "<Enter>");
    for _ in 0..3 {
        app.handle(ctrl('s'));
    }
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("written: proof"), "{text}");
    press(&mut app, "<Enter>");
    let text = shown(&mut app, 80, 24);
    assert!(text.starts_with(" rack  ") && !text.contains("open draft"), "{text}");
    assert!(app.desk().book().drafts().unwrap().is_empty());
}

#[test]
fn a_checklist_of_a_casing_retired_since_is_not_gone_on_with() {
    let mut desk = small();
    let mut half = proofmark::book::Answers::new();
    half.set("casing", "MF-48-10").set("load", "48A").set("mode", "static").set("yes", "bore");
    let now = "2026-10-03T12:00:00Z".parse().unwrap();
    desk.book().keep_draft("prefire", "MF-48-10", &half, now).unwrap();
    let retire = [
        ("casing", "MF-48-10"),
        ("decision", "retire"),
        ("reason", "worn"),
        ("made_unusable", "holed"),
        ("second", "Bo Ray"),
    ];
    record(&mut desk, Kind::Disposition, &retire);
    let mut app = App::new(desk, options());
    press(&mut app, "o");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("MF-48-10 is retired: the checklist left half run is gone"), "{text}");
    assert!(app.desk().book().drafts().unwrap().is_empty());
}

#[test]
fn the_reason_filled_in_stays_short_whatever_was_decided_before() {
    let (_folder, desk) = demo();
    let mut app = App::new(desk, options());
    let mut lengths = Vec::new();
    for _ in 0..3 {
        let deciding = app.desk().deciding("MF-41-07").unwrap();
        let hold = deciding.proposals.iter().find(|it| it.what == "hold").unwrap();
        let reason = &hold.given.iter().find(|(name, _)| name == "reason").unwrap().1;
        assert!(!reason.contains("on hold since"), "{reason}");
        lengths.push(reason.split_whitespace().count());
        press(&mut app, "/<Esc>/MF-41-07<Enter>d<Home>");
        let at = deciding.proposals.iter().position(|it| it.what == "hold").unwrap();
        press(&mut app, &"<Down>".repeat(at));
        press(&mut app, "<Enter>");
        app.handle(ctrl('s'));
        app.handle(ctrl('s'));
        let text = shown(&mut app, 80, 24);
        assert!(text.contains("written: disposition"), "{text}");
        press(&mut app, "<Enter><Esc>");
    }
    assert!(lengths.iter().all(|words| *words <= 40), "{lengths:?}");
}

#[test]
fn who_may_fly_is_asked_of_a_named_day_and_of_a_flight() {
    let mut app = App::new(small(), options());
    press(&mut app, "g");
    press(&mut app, "f");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("48A in flight"), "{text}");
    press(&mut app, "s");
    assert!(shown(&mut app, 80, 24).contains("48A on the stand"), "{}", shown(&mut app, 80, 24));
    // Today is Saturday 3 October 2026.
    for (words, day) in [
        ("saturday", "Saturday 10 October 2026"),
        ("Sun", "Sunday 4 October 2026"),
        ("next friday", "Friday 9 October 2026"),
        ("tomorrow", "Sunday 4 October 2026"),
        ("+7", "Saturday 10 October 2026"),
        ("today", "Saturday 3 October 2026"),
        ("17 Oct 2026", "Saturday 17 October 2026"),
    ] {
        press(&mut app, "a");
        press(&mut app, words);
        let text = shown(&mut app, 80, 24);
        assert!(text.contains(&format!("= {day}")), "{words}: {text}");
        press(&mut app, "<Enter>");
        let text = shown(&mut app, 80, 24);
        assert!(text.lines().nth(1).unwrap().starts_with(day), "{words}: {text}");
    }
    press(&mut app, "a+99999999999999999999<Enter>");
    assert!(shown(&mut app, 80, 24).contains("is not a date"), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Backspace><Backspace><Backspace><Backspace><Backspace><Enter>");
    assert!(shown(&mut app, 80, 24).contains("! "), "{}", shown(&mut app, 80, 24));
}

#[test]
fn the_palette_shows_the_command_of_what_no_screen_does() {
    let mut app = App::new(small(), options());
    for (words, line) in [
        ("print", "proofmark report MF-48-10 --out passport.html"),
        ("label", "proofmark label MF-48-10 --out label.svg"),
        ("backup", "proofmark backup TO.db"),
        ("merge", "proofmark merge OTHER.db"),
        ("verify", "proofmark verify"),
        ("export", "proofmark export --out FOLDER"),
    ] {
        press(&mut app, &format!(":{words}"));
        let text = shown(&mut app, 80, 24);
        let first = text.lines().find(|line| line.contains("on the command line")).unwrap_or_default();
        assert!(first.contains(line), "{words}: {text}");
        press(&mut app, "<Enter>");
        match app.take_wish() {
            Some(proofmark::tui::app::Wish::Copy(copied)) => assert_eq!(copied, line),
            other => panic!("{words}: {other:?}"),
        }
        let text = shown(&mut app, 80, 24).replace("\n» ", " ");
        assert!(text.contains(&format!("run in a shell: {line}")), "{text}");
    }
}

/// Every command the palette names is one of the program's, with flags it knows.
#[test]
fn the_commands_of_the_palette_are_commands() {
    for (_, line, _) in proofmark::tui::screens::find::COMMANDS {
        let mut words = line.split_whitespace();
        let command = words.next().unwrap();
        let help = std::process::Command::new(env!("CARGO_BIN_EXE_proofmark"))
            .args([command, "--help"])
            .output()
            .unwrap();
        let said = String::from_utf8(help.stdout).unwrap();
        assert!(help.status.success() && said.contains(&format!("proofmark {command}")), "{line}: {said}");
        for flag in words.filter(|word| word.starts_with("--")) {
            assert!(said.contains(flag), "{line}: {said}");
        }
    }
}

#[test]
fn a_form_says_which_day_is_today_while_another_is_asked_about() {
    let mut app = App::new(small(), options());
    press(&mut app, "a2026-09-01<Enter>n");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("today, Sat 2026-10-03: not the day asked about"), "{text}");
    fill_in(&mut app, &[("Note", "seen today")]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Not shown for now: it is of 2026-10-03"), "{text}");
    assert!(text.contains("2026-09-01"), "{text}");
}

#[test]
fn what_may_be_left_out_is_no_slip_and_what_is_half_typed_no_error() {
    let mut desk = small();
    let calibrated = ("calibration_due", "2027-01-01");
    for (mark, what) in [("PG-01", "pressure gauge"), ("M-01", "micrometer"), ("DG-01", "dial gauge")] {
        record(&mut desk, Kind::Gauge, &[("serial", mark), ("what", what), calibrated]);
    }
    let mut app = App::new(desk, options());
    press(&mut app, "wc");
    fill_in(&mut app, &[("Mark", "M-02"), ("What it is", "micrometer")]);
    press(&mut app, "<C-s>");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("Left out: Good until. Save again to leave it so."), "{text}");
    assert!(!text.contains("slip"), "{text}");
    press(&mut app, "<C-s><Enter><Esc>");
    // The beginning of a word is no error while it is typed; what is no beginning of any is.
    press(&mut app, "c");
    go_to(&mut app, "Forward end");
    press(&mut app, "retain");
    let text = shown(&mut app, 80, 24);
    assert!(!text.contains('!') && !text.contains("to put right"), "{text}");
    press(&mut app, "x");
    assert!(shown(&mut app, 80, 24).contains('!'), "{}", shown(&mut app, 80, 24));
    press(&mut app, "<Esc>d");
    // A pressure gauge is asked for, and no micrometer is offered.
    press(&mut app, "h<Enter>");
    go_to(&mut app, "Gauge");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("PG-01") && !text.contains("M-01") && !text.contains("DG-01"), "{text}");
    go_to(&mut app, "Read with");
    let text = shown(&mut app, 80, 24);
    assert!(text.contains("M-01") && !text.contains("PG-01") && !text.contains("DG-01"), "{text}");
}
