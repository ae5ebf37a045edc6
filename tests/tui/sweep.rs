//! Every screen at every size, in every theme, with nothing, something and hostile things on record.

use proofmark::tui::{App, Options};

use super::support::{demo, empty, hostile, options, press, shown, small};

const WAYS: &[&str] = &[
    "",
    "<Enter>",
    "<Enter>2",
    "<Enter>3",
    "<Enter>4",
    "<Enter>5",
    "<Enter>2<Enter>",
    "/ma",
    "a",
    "l",
    "?",
    ":fir",
    "p",
    "p<Enter>",
    "p<Enter><Enter>",
    "p<Enter><Enter>yyyn",
    "f",
    "f<Enter>",
    "f<Enter>flight<Tab>",
    "c",
    "i",
    "d",
    "dretire<Tab>no",
    "h<Enter>",
    "n",
    "m",
    "n<Esc>",
    "nx<Esc>",
    "t",
    "t/pl",
    "t<Enter>",
    "r",
    "r/proof",
    "r<Enter>",
    "g",
    "ga",
    "<Enter>w",
    "<Enter>w<Right><Tab>2<Tab><Tab><Tab>1<Tab>70",
    "<Enter>v",
    "<Enter>s",
    "z",
    "<F3>",
    "<Enter><F3>",
    "n<F3>",
    "sss",
    "<Enter>5<Enter>",
    "t<Enter>2<Tab><Tab>x<Tab>6",
    "e",
    "e/no/such file --column thrust=1:N<Enter>",
    "e<Enter>",
    "<Enter>e",
    "/th<Enter><Enter>2<End>e",
    "/th<Enter><Enter>2<End>ep",
    "/th<Enter><Enter>2<End>ev",
];

fn sweep(
    make: &dyn Fn() -> (Option<tempfile::TempDir>, proofmark::desk::Desk),
    options: &Options,
    sizes: &[(u16, u16)],
) {
    for way in WAYS {
        let (_folder, desk) = make();
        let mut app = App::new(desk, options.clone());
        press(&mut app, way);
        for (width, height) in sizes {
            let text = shown(&mut app, *width, *height);
            if *width >= 60 && *height >= 16 {
                assert!(text.contains("as of "), "{way} at {width}x{height}:\n{text}");
            } else if *width >= 30 && *height >= 1 {
                assert!(text.contains("needs 60×16"), "{way} at {width}x{height}:\n{text}");
            }
            assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{way}: a control character");
        }
    }
}

const SIZES: &[(u16, u16)] = &[
    (0, 0),
    (1, 0),
    (0, 1),
    (1, 1),
    (2, 3),
    (7, 2),
    (20, 5),
    (40, 10),
    (59, 16),
    (60, 15),
    (60, 16),
    (61, 17),
    (72, 18),
    (79, 23),
    (80, 24),
    (100, 20),
    (119, 30),
    (120, 31),
    (132, 43),
    (160, 50),
    (200, 60),
    (60, 60),
    (200, 16),
];

#[test]
fn an_empty_book() {
    sweep(&|| (None, empty()), &options(), SIZES);
}

#[test]
fn a_small_book_in_every_theme_at_every_size() {
    for (colour, light) in [(true, None), (true, Some(true)), (true, Some(false)), (false, None)] {
        sweep(&|| (None, small()), &Options { colour, light, ..options() }, SIZES);
    }
}

#[test]
fn hostile_text() {
    sweep(&|| (None, hostile()), &options(), SIZES);
}

#[test]
fn the_demo_book() {
    sweep(
        &|| {
            let (folder, desk) = demo();
            (Some(folder), desk)
        },
        &Options { first_run: true, demo: true, ..options() },
        &[(60, 16), (80, 24), (200, 60)],
    );
}

#[test]
fn no_colour_means_no_colour() {
    let mut app = App::new(small(), Options { colour: false, ..options() });
    for way in ["", "<Enter>", "<Esc>p<Enter><Enter>"] {
        press(&mut app, way);
        for (text, style) in super::support::styles(&mut app, 100, 30) {
            let reset = |colour| matches!(colour, None | Some(ratatui::style::Color::Reset));
            assert!(reset(style.fg) && reset(style.bg), "{text} is {style:?}");
        }
    }
}
