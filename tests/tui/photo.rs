//! A photograph opened from the ledger: the picture, and what its file came to.

use proofmark::book::Kind;
use proofmark::desk::Desk;
use proofmark::tui::{App, Options};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::style::Color;

use super::support::{CASING, empty, options, press, record};

/// Four squares: red, green over blue, white.
fn picture() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 2, 2);
    encoder.set_color(png::ColorType::Rgb);
    encoder
        .write_header()
        .unwrap()
        .write_image_data(&[255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255])
        .unwrap();
    bytes
}

fn with_photo(path: &std::path::Path) -> Desk {
    let mut desk = empty();
    record(&mut desk, Kind::Casing, CASING);
    record(
        &mut desk,
        Kind::Photo,
        &[
            ("casing", "MF-48-10"),
            ("path", path.to_str().unwrap()),
            ("caption", "the groove, aft end"),
            ("station", "300 mm"),
            ("clock", "90"),
        ],
    );
    desk
}

fn drawn(app: &mut App, size: (u16, u16)) -> ratatui::buffer::Buffer {
    let mut terminal = Terminal::new(TestBackend::new(size.0, size.1)).unwrap();
    terminal.draw(|frame| app.draw(frame)).unwrap();
    terminal.backend().buffer().clone()
}

fn words(buffer: &ratatui::buffer::Buffer) -> String {
    let width = usize::from(buffer.area.width);
    buffer
        .content
        .chunks(width)
        .map(|row| row.iter().map(|cell| cell.symbol()).collect::<String>() + "\n")
        .collect()
}

fn opened(desk: Desk, options: Options) -> App {
    let mut app = App::new(desk, options);
    press(&mut app, "<Enter>2<End><Enter>");
    app
}

#[test]
fn the_picture_is_drawn_two_pixels_a_cell() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("groove.png");
    std::fs::write(&path, picture()).unwrap();
    let mut app = opened(with_photo(&path), options());
    let buffer = drawn(&mut app, (80, 24));
    let text = words(&buffer);
    assert!(text.contains("the groove, aft end") && text.contains("station 300.00 mm at 90 deg"), "{text}");
    assert!(text.contains("as logged"), "{text}");
    let cells: Vec<_> = buffer.content.iter().filter(|cell| cell.symbol() == "▀").collect();
    assert_eq!(cells.len(), 2, "{text}");
    // Red over blue, green over white, in the six-step cube.
    assert_eq!((cells[0].fg, cells[0].bg), (Color::Indexed(196), Color::Indexed(21)));
    assert_eq!((cells[1].fg, cells[1].bg), (Color::Indexed(46), Color::Indexed(231)));
    // Back on the ledger.
    press(&mut app, "<Esc>");
    assert!(words(&drawn(&mut app, (80, 24))).contains("photo"));
}

#[test]
fn without_colour_it_is_shades_and_a_lost_or_changed_file_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("groove.png");
    std::fs::write(&path, picture()).unwrap();
    let plain = || Options { colour: false, ..options() };
    let buffer = drawn(&mut opened(with_photo(&path), plain()), (80, 24));
    assert!(!words(&buffer).contains('▀'));
    assert!(buffer.content.iter().any(|cell| ":-=+*#%".contains(cell.symbol())), "{}", words(&buffer));
    let desk = with_photo(&path);
    std::fs::write(&path, b"another file").unwrap();
    assert!(words(&drawn(&mut opened(desk, plain()), (100, 24))).contains("is not the file that was logged"));
    std::fs::write(&path, picture()).unwrap();
    let desk = with_photo(&path);
    std::fs::remove_file(&path).unwrap();
    for size in [(100, 24), (80, 24), (20, 5), (1, 1), (200, 60)] {
        drawn(&mut opened_again(&desk, &path), size);
    }
    assert!(words(&drawn(&mut opened(desk, plain()), (100, 24))).contains("is missing"));
}

/// The same photograph, its file missing again once it is logged.
fn opened_again(_: &Desk, path: &std::path::Path) -> App {
    std::fs::write(path, picture()).unwrap();
    let desk = with_photo(path);
    std::fs::remove_file(path).unwrap();
    opened(desk, options())
}
