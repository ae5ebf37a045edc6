//! Pages: whole, self-contained, escaped, and never saying more than the book does.

use super::common::{Shop, pixel, trace_file};

/// What a page must not hold: anything that runs or loads.
fn self_contained(page: &str, name: &str) {
    let lower = page.to_lowercase();
    for bad in [
        "<script",
        "javascript:",
        " onload",
        " onerror",
        " onclick",
        "<iframe",
        "<object",
        "<embed",
        "<link",
        "@import",
        "url(",
        "<base",
    ] {
        assert!(!lower.contains(bad), "{name} holds {bad}");
    }
    for attribute in ["src=\"", "href=\"", "xlink:href=\""] {
        for at in lower.match_indices(attribute).map(|(at, _)| at + attribute.len()) {
            assert!(
                lower[at..].starts_with("data:image/"),
                "{name} loads {}",
                &lower[at..(at + 40).min(lower.len())]
            );
        }
    }
    // The only address is the name of the SVG standard.
    for (at, _) in lower.match_indices("http") {
        let here = &lower[at..(at + 27).min(lower.len())];
        assert!(
            here.starts_with("http-equiv") || here.starts_with("http://www.w3.org/2000/svg"),
            "{name}: {here}"
        );
    }
    assert!(lower.starts_with("<!doctype html>") && lower.trim_end().ends_with("</html>"), "{name} is whole");
}

/// "safe" alone is never printed: only as part of other words.
fn no_bare_safe(page: &str, name: &str) {
    let words: Vec<String> = page.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase).collect();
    for (at, word) in words.iter().enumerate() {
        assert!(
            word != "safe",
            "{name}: …{}",
            words[at.saturating_sub(4)..(at + 3).min(words.len())].join(" ")
        );
    }
}

#[test]
fn every_page_of_the_demo_rack_is_whole_and_loads_nothing() {
    let shop = Shop::demo();
    let listed = shop.done(&["report", "--all", "--out", "pages"]).out;
    assert_eq!(listed.lines().count(), 9);
    let mut pages: Vec<String> = listed.lines().map(str::to_owned).collect();
    for (name, arguments) in [
        ("card.html", vec!["report", "MF-76-09", "--card", "--load", "76A"]),
        ("flight.html", vec!["report", "MF-48-02", "--card", "--load", "48A", "--flight"]),
        ("rack.html", vec!["report", "--rack"]),
        ("due.html", vec!["report", "--due", "2026-10-17"]),
        ("run.html", vec!["report", "MF-41-06", "--prefire"]),
        ("strip.html", vec!["report", "--blank", "strip"]),
        ("proof.html", vec!["report", "--blank", "proof"]),
        ("blank_run.html", vec!["report", "--blank", "prefire"]),
    ] {
        shop.done(&[&arguments[..], &["--out", name]].concat());
        pages.push(name.to_owned());
    }
    for name in &pages {
        let page = shop.read(name);
        self_contained(&page, name);
        no_bare_safe(&page, name);
    }
    assert_eq!(std::fs::read_dir(shop.path("pages")).unwrap().count(), 9, "no half-written file is left");
}

#[test]
fn a_passport_says_what_the_book_says() {
    let shop = Shop::demo();
    shop.done(&[
        "log",
        "trace",
        "--casing",
        "MF-48-02",
        "--firing",
        "210",
        "--file",
        &trace_file("stand_a.csv"),
    ]);
    shop.write("bulge.png", pixel());
    shop.done(&[
        "log",
        "photo",
        "--casing",
        "MF-48-02",
        "--path",
        "bulge.png",
        "--caption",
        "the bulge",
        "--station",
        "12 mm",
    ]);
    shop.done(&["report", "MF-48-02", "--out", "a.html"]);
    let page = shop.read("a.html");
    let seal = shop.json(&["verify"])["head_seal"].as_str().unwrap().to_owned();
    for wanted in [
        "Thistle",
        "x retired: may not be fired",
        "retired on 2024-10-05",
        "welded plug, leg 2.80 mm",
        "minimum</strong>, not certified",
        "EN 1999-1-1",
        "weld zone wall",
        "1.34",
        "7.12 MPa",
        "+0.91 % Y yielded",
        "penetrant",
        "grain crack",
        "Water, never gas",
        "It does not certify",
        "data:image/png;base64,",
        "the bulge, station 12.00 mm",
        "<title>thrust of stand_a.csv</title>",
        "<desc>thrust in N over time in seconds",
        "Section of MF-48-02, to scale",
        &seal,
    ] {
        assert!(page.contains(wanted), "{wanted} is missing");
    }
    // The entries of the page are the entries of the command, each with its seal.
    for entry in shop.json(&["show", "MF-48-02"])["ledger"].as_array().unwrap() {
        assert!(
            page.contains(&entry["seal"].as_str().unwrap()[..12]),
            "entry {} is missing",
            entry["number"]
        );
    }
    // The other system of units, and an earlier day.
    shop.done(&["report", "MF-48-02", "--out", "us.html", "--units", "us", "--on", "2023-01-01"]);
    let earlier = shop.read("us.html");
    assert!(
        earlier.contains("827 psi")
            && earlier.contains("as of 2023-01-01")
            && !earlier.contains("yielded</span>")
    );
}

#[test]
fn the_section_is_to_scale() {
    let shop = Shop::demo();
    shop.done(&["report", "MF-48-02", "--out", "a.html"]);
    let page = shop.read("a.html");
    // Tube 340 mm long and 50.8 mm across, wall 1.651 mm, one unit a millimetre.
    assert!(page.contains(r#"<rect x="0" y="-25.400" width="340.000" height="1.651""#));
    // Softened by the weld for 30 mm from the forward end; a 10-32 hole, 4.826 mm wide, 10 mm from the aft end.
    assert!(page.contains(r#"<rect x="0.000" y="-25.400" width="30.000""#));
    assert!(page.contains(r#"<rect x="327.587""#) && page.contains(r#"width="4.826""#));
}

#[test]
fn a_card_says_forbidden_where_the_prefire_does() {
    let shop = Shop::demo();
    for (serial, load) in [("MF-76-09", "76A"), ("MF-60-05", "60A"), ("MF-48-02", "48A"), ("MF-41-06", "41B")]
    {
        let forbidden = shop.run(&["prefire", serial, "--load", load]).code == 4;
        shop.done(&["report", serial, "--card", "--load", load, "--out", "card.html"]);
        let page = shop.read("card.html");
        assert_eq!(page.contains("x FORBIDDEN</span> by the record"), forbidden, "{serial} {load}");
        assert_eq!(page.contains("nothing on record forbids it"), !forbidden, "{serial} {load}");
        let lines = page.matches("class=\"sign\"").count();
        if forbidden {
            assert_eq!(lines, 0, "nobody signs for what is forbidden: {serial} {load}");
            let said = shop.run(&["prefire", serial, "--load", load, "--json"]).out;
            let said: serde_json::Value = serde_json::from_str(&said).unwrap();
            let against = said["items"].as_array().unwrap().iter().filter(|it| it["state"] == "forbids");
            let rows = page.matches("<strong>forbids</strong>").count();
            assert_eq!(rows, against.count(), "every reason stands on it: {serial} {load}");
            assert!(rows > 0);
        } else {
            assert!(lines >= 6, "two signature lines with name and time");
        }
    }
    let card = {
        shop.done(&["report", "MF-76-09", "--card", "--load", "76A", "--out", "c.html"]);
        shop.read("c.html")
    };
    for wanted in [
        "5.58 MPa",
        "6.4 %",
        "4152",
        "class L",
        "183 m",
        "hole bearing",
        "3.62 times the planned peak",
        "9.45 MPa",
    ] {
        assert!(card.contains(wanted), "{wanted}");
    }
}

#[test]
fn blank_forms_number_their_fields_as_the_form_table_does() {
    let shop = Shop::empty();
    for form in proofmark::book::forms::FORMS {
        let word = form.kind.word();
        shop.done(&["report", "--blank", word, "--out", "form.html"]);
        let page = shop.read("form.html");
        let fields = proofmark::book::forms::HEAD.iter().chain(form.fields);
        for (at, field) in fields.enumerate() {
            // The items of an inspection bear their own numbers.
            let number = field.number(at).map_or_else(String::new, |number| number.to_string());
            let number = format!("<strong>{number}</strong></td><td><strong>{}", field.label);
            assert!(page.contains(&number), "{word}: field {} {}", at + 1, field.label);
        }
    }
}

#[test]
fn hostile_words_are_shown_and_do_nothing() {
    let shop = Shop::empty();
    let bad = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>\u{202e}evil\u{7}";
    shop.write(
        "casing.toml",
        format!(
            "serial = \"../up/MF\"\nname = {0}\nmachinist = {0}\ndrawing = {0}\nremark = {0}\n\
             [tube]\nmaterial = \"6061-T6\"\nform = \"drawn tube\"\nod = \"2 in\"\nwall = \"0.065 in\"\n\
             [forward]\nkind = \"welded plug\"\nleg = \"2.8 mm\"\n[aft]\nkind = \"radial bolts\"\ncount = 8\nbolt = \"10-32\"\nedge = \"10 mm\"\n\
             [service]\nmeop = \"725 psi\"\n",
            serde_json::Value::String(bad.replace('\u{7}', ""))
        ),
    );
    shop.done(&["log", "casing", "--from", "casing.toml"]);
    shop.done(&["log", "note", "--casing", "../up/MF", "--text", bad]);
    shop.done(&["report", "../up/MF", "--out", "a.html"]);
    let page = shop.read("a.html");
    // Escaped, the words themselves stay readable; everything else on the page is held as any other page is.
    self_contained(&page.replace("src=x onerror=alert(2)&gt;", ""), "hostile");
    assert!(!page.contains("<img src=x") && !page.contains('\u{202e}') && !page.contains('\u{7}'));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    let label = proofmark::report::paper::label_svg("MF-<b>10", Some(bad)).unwrap();
    assert!(label.contains("&lt;script&gt;alert(1)") && !label.contains("<script"));
    assert!(label.contains("MF-&lt;b&gt;10") && !label.contains("<b>10"));
    // A folder of pages never leaves the folder, whatever a serial is called.
    shop.done(&["report", "--all", "--out", "pages"]);
    assert!(shop.path("pages/%2e%2e%2fup%2fMF.html").exists());
}

#[test]
fn a_page_is_written_whole_or_the_old_one_stays() {
    let shop = Shop::demo();
    let old = "<!DOCTYPE html><p>old";
    shop.write("a.html", old);
    let ran = shop.run(&["report", "NO-SUCH", "--out", "a.html"]);
    assert_eq!((ran.code, shop.read("a.html").as_str()), (1, old));
    let ran = shop.run(&["report", "MF-41-06", "--out", "nowhere/a.html"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("nowhere/a.html cannot be written"), "{}", ran.err);
    shop.done(&["report", "MF-41-06", "--out", "a.html"]);
    let new = shop.read("a.html");
    assert!(new.starts_with("<!DOCTYPE html>") && !new.contains("<p>old"));
    assert_eq!(shop.run(&["report", "--out", "b.html"]).code, 2);
    let ran = shop.run(&["report", "MF-48-01", "--prefire", "--out", "b.html"]);
    assert!(
        ran.code == 1 && ran.err.contains("no pre-fire checklist of MF-48-01 is on record"),
        "{}",
        ran.err
    );
}

#[test]
fn photographs_are_held_against_their_files() {
    let shop = Shop::demo();
    shop.write("one.png", pixel());
    shop.write("two.jpg", b"\xff\xd8\xff not really a picture");
    for file in ["one.png", "two.jpg"] {
        shop.done(&["log", "photo", "--casing", "MF-41-06", "--path", file, "--caption", file]);
    }
    let verified = shop.json(&["verify"]);
    assert!(verified["photos"].as_array().unwrap().iter().all(|photo| photo["as_logged"] == true));
    // Missing is said and is no fault; changed is one.
    std::fs::remove_file(shop.path("two.jpg")).unwrap();
    let ran = shop.run(&["verify"]);
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert!(
        ran.out.contains("two.jpg is missing") && ran.out.contains("1 of 2 photographs are there as logged")
    );
    assert!(ran.out.contains("beside the book") && ran.out.contains("no fault of the book"), "{}", ran.out);
    shop.write("one.png", b"another file");
    let ran = shop.run(&["verify"]);
    assert_eq!(ran.code, 4);
    assert!(ran.out.contains("one.png is not the file that was logged"), "{}", ran.out);
    shop.done(&["report", "MF-41-06", "--out", "a.html"]);
    let page = shop.read("a.html");
    assert!(
        page.contains("is not the file that was logged")
            && page.contains("is missing")
            && !page.contains("data:image")
    );
}
