use ratatui::Terminal;
use ratatui::backend::TestBackend;

use super::*;
use crate::quantity::System;
use crate::tui::theme::{Palette, Theme};

fn drawn(plot: &Plot<'_>, width: u16, height: u16) -> (Vec<String>, Field) {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    let keys = crate::tui::Keymap::default();
    let paint = Paint { theme: Theme::new(Palette::None), system: System::Si, keys: &keys };
    let mut field = Field::default();
    terminal.draw(|frame| field = plot.draw(frame, frame.area(), &paint)).unwrap();
    let buffer = terminal.backend().buffer();
    let rows = (0..height)
        .map(|y| (0..width).map(|x| buffer[(x, y)].symbol().to_owned()).collect::<String>())
        .collect();
    (rows, field)
}

fn plot<'a>(curves: &'a [Curve<'a>], levels: &'a [Level<'a>], y: Span) -> Plot<'a> {
    Plot {
        title: "pressure, MPa",
        along: "s",
        x: Span::new(0.0, 2.0),
        y,
        curves,
        levels,
        stretches: &[],
        cursor: None,
    }
}

#[test]
fn a_single_tall_reading_among_a_million_is_drawn() {
    let mut points: Vec<(f64, f64)> = (0..1_000_000).map(|n| (f64::from(n) * 2e-6, 1.0)).collect();
    points[500_000].1 = 9.0;
    let curves =
        [Curve { name: "measured", points: &points, stroke: Stroke::Solid, meaning: Meaning::Plain }];
    let (rows, _) = drawn(&plot(&curves, &[], Span::new(0.0, 10.0)), 60, 14);
    let braille = |c: char| ('\u{2801}'..='\u{28ff}').contains(&c);
    let high: Vec<usize> = rows[2].chars().enumerate().filter(|it| braille(it.1)).map(|it| it.0).collect();
    assert!(high.len() == 1 && (30..36).contains(&high[0]), "{rows:?}");
}

#[test]
fn a_limit_above_the_plot_is_named_at_its_top() {
    let levels = [Level { name: "proof 9.0", value: 9.0, meaning: Meaning::Forbids }];
    let (rows, _) = drawn(&plot(&[], &levels, Span::new(0.0, 5.0)), 60, 14);
    assert!(rows[1].contains("↑ proof 9.0"), "{rows:?}");
    let (rows, _) = drawn(&plot(&[], &levels, Span::new(0.0, 10.0)), 60, 14);
    assert!(rows.iter().any(|row| row.contains("╌╌╌") && row.contains("proof 9.0")), "{rows:?}");
}

#[test]
fn every_label_stands_on_its_own_line_and_none_on_anothers() {
    let levels = [
        Level { name: "MEOP 4.9", value: 4.9, meaning: Meaning::Warns },
        Level { name: "allowed 5.0", value: 5.0, meaning: Meaning::Warns },
        Level { name: "proof 6.00", value: 6.0, meaning: Meaning::Forbids },
        Level { name: "groove yields 14.6", value: 14.6, meaning: Meaning::Forbids },
    ];
    for height in [8, 11, 14, 20, 30] {
        let (rows, field) = drawn(&plot(&[], &levels, Span::new(0.0, 6.1)), 70, height);
        let on = |name: &str| rows.iter().position(|row| row.contains(name));
        for level in &levels[..3] {
            let part = level.value / 6.1 * f64::from(field.area.height);
            let own = f64::from(field.area.height) - part - 0.5;
            let row = on(level.name).unwrap() - usize::from(field.area.y);
            assert!((row as f64 - own).abs() <= 0.5 + 1e-9, "{} at {height}: {rows:?}", level.name);
        }
        let arrow = on("↑ groove yields 14.6").unwrap();
        assert!(!rows[arrow].contains('╌'), "{height}: {rows:?}");
    }
    let (rows, _) = drawn(&plot(&[], &levels, Span::new(0.0, 6.1)), 20, 9);
    let named = rows.iter().find(|row| row.contains("↑ groove")).unwrap();
    assert!(!named.contains('╌'), "cut, never absent: {rows:?}");
}

#[test]
fn a_value_just_short_of_a_limit_is_drawn_below_its_line() {
    let levels = [Level { name: "MEOP", value: 711.0, meaning: Meaning::Warns }];
    for (value, below) in [(624.0, true), (710.9, true), (711.1, false), (760.0, false)] {
        let points = [(0.0, value), (2.0, value)];
        let curves =
            [Curve { name: "plan", points: &points, stroke: Stroke::Solid, meaning: Meaning::Plain }];
        for height in [8, 11, 14, 24] {
            let (rows, _) = drawn(&plot(&curves, &levels, Span::new(0.0, 1100.0)), 60, height);
            let line = rows.iter().position(|row| row.contains('╌')).unwrap();
            let braille = |c: char| ('\u{2801}'..='\u{28ff}').contains(&c);
            let curve = rows.iter().position(|row| row.chars().any(braille)).unwrap();
            assert_eq!(curve > line, below, "{value} at {height}: {rows:?}");
            assert!(curve != line, "{value} at {height}: {rows:?}");
        }
    }
}

#[test]
fn the_numbers_upward_are_never_one_alone() {
    for height in 7..24 {
        for most in [0.7, 1.0, 4.9, 5.3, 12.0, 999.0] {
            let (rows, field) = drawn(&plot(&[], &[], Span::new(0.0, most)), 60, height);
            let numbers = rows.iter().filter(|row| {
                row.split('│').next().is_some_and(|it| row.contains('│') && it.trim().parse::<f64>().is_ok())
            });
            assert!(numbers.count() > 1, "{most} at {height}: {rows:?} {field:?}");
        }
    }
}

#[test]
fn the_mouse_finds_the_value_under_it() {
    let (_, field) = drawn(&plot(&[], &[], Span::new(0.0, 10.0)), 60, 14);
    let middle = field.area.x + field.area.width / 2;
    let found = field.at(middle, field.area.y).unwrap();
    assert!((found - 1.0).abs() < 0.05, "{found}");
    assert_eq!(field.at(0, 0), None);
}

#[test]
fn ticks_are_round_and_inside() {
    assert_eq!(ticks(Span::new(0.0, 1.0), 5), [0.0, 0.2, 0.4, 0.6000000000000001, 0.8, 1.0]);
    assert_eq!(ticks(Span::new(-3.0, 3.0), 3), [-2.0, 0.0, 2.0]);
    assert!(ticks(Span::new(f64::NAN, 1.0), 3).len() < 8);
}

#[test]
fn every_size_and_any_numbers_draw() {
    let wild = [(0.0, f64::NAN), (0.5, f64::INFINITY), (0.6, -1e300), (0.7, 1e300), (0.8, 1.0), (2.0, 3.0)];
    let curves = [Curve { name: "x", points: &wild, stroke: Stroke::Dashed, meaning: Meaning::Warns }];
    let levels = [Level { name: "a", value: f64::NAN, meaning: Meaning::Plain }];
    for width in 0..70 {
        for height in 0..20 {
            let stretches = [Stretch { name: "A", from: -1.0, to: 0.3 }];
            let all = Plot {
                stretches: &stretches,
                cursor: Some(0.4),
                ..plot(&curves, &levels, Span::over([1.0, 3.0]))
            };
            if width > 0 && height > 0 {
                drawn(&all, width, height);
            }
        }
    }
}

#[test]
fn zoom_keeps_the_place_under_the_cursor_and_stays_inside() {
    let all = Span::new(0.0, 10.0);
    let near = all.zoomed(4.0, 0.5);
    assert_eq!(near, Span::new(2.0, 7.0));
    assert_eq!(near.moved(1.0).within(all), Span::new(5.0, 10.0));
    assert_eq!(all.zoomed(4.0, 3.0).within(all), all);
}

#[test]
fn a_label_covers_nothing_that_is_drawn_on_its_line() {
    // A pole at the right edge that goes through the limit.
    let points = [(1.9, 0.0), (1.9, 9.0), (1.9, f64::NAN)];
    let curves = [Curve { name: "proof", points: &points, stroke: Stroke::Solid, meaning: Meaning::Warns }];
    let levels = [Level { name: "MEOP 5.0", value: 5.0, meaning: Meaning::Forbids }];
    let (rows, _) = drawn(&plot(&curves, &levels, Span::new(0.0, 10.0)), 60, 14);
    let row = rows.iter().find(|row| row.contains("MEOP 5.0")).unwrap();
    let braille = |c: char| ('\u{2801}'..='\u{28ff}').contains(&c);
    assert!(row.chars().any(braille), "{rows:?}");
    // Two limits of one row stand beside each other still.
    let levels = [levels[0], Level { name: "proved 5.1", value: 5.1, meaning: Meaning::Plain }];
    let (rows, _) = drawn(&plot(&curves, &levels, Span::new(0.0, 10.0)), 60, 14);
    assert!(rows.iter().any(|row| row.contains("MEOP 5.0")), "{rows:?}");
    assert!(rows.iter().any(|row| row.contains("proved 5.1")), "{rows:?}");
}
