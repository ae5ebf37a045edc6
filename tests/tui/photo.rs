//! A photograph opened from the ledger: the picture, and what its file came to.

use std::time::{Duration, Instant};

use proofmark::book::Kind;
use proofmark::desk::Desk;
use proofmark::tui::{App, Event, Options};
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
    woken(&mut app);
    app
}

/// Wait for the picture, as the loop would be woken.
fn woken(app: &mut App) {
    let begun = Instant::now();
    while reads(app) {
        assert!(begun.elapsed() < Duration::from_secs(30), "it is never read");
        std::thread::sleep(Duration::from_millis(2));
        app.handle(Event::Woke);
    }
}

fn reads(app: &mut App) -> bool {
    words(&drawn(app, (80, 24))).contains("reading the picture")
}

/// A picture of so many pixels a side, each another grey.
fn large(side: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, side, side);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_compression(png::Compression::Fastest);
    let pixels: Vec<u8> = (0..side * side * 3).map(|at| (at / 977) as u8).collect();
    encoder.write_header().unwrap().write_image_data(&pixels).unwrap();
    bytes
}

#[test]
fn keys_are_taken_while_a_large_picture_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.png");
    std::fs::write(&path, large(2_500)).unwrap();
    let mut app = App::new(with_photo(&path), options());
    press(&mut app, "<Enter>2<End>");
    // A machine that stops this thread for long enough may have it read by the first look: then once more.
    let caught = (0..20).any(|_| {
        press(&mut app, "<Enter>");
        let text = words(&drawn(&mut app, (80, 24)));
        let reading = text.contains("reading the picture") && text.contains("the file is being read");
        // The key that leaves it is taken at once, and the ledger is there.
        press(&mut app, "<Esc>");
        assert_eq!(app.context(), proofmark::tui::action::Context::Casing);
        reading
    });
    assert!(caught, "it was read before the screen came");
    press(&mut app, "<Enter>");
    woken(&mut app);
    let buffer = drawn(&mut app, (80, 24));
    assert!(words(&buffer).contains("as logged"));
    assert!(buffer.content.iter().any(|cell| cell.symbol() == "▀"));
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
