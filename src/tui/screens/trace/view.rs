//! The trace drawn: the answer first, then the curves, what stands under the cursor, and what asks for a look.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::choose::Asked;
use super::window::{Shown, axis, letter};
use super::{Channels, State, TraceScreen, read_out, side};
use crate::trace::ChannelUnit;
use crate::tui::text;
use crate::tui::theme::Meaning;
use crate::tui::widgets::paper::Paper;
use crate::tui::widgets::plot::{Curve, Field, Plot, Span, Stretch, Stroke};
use crate::tui::widgets::table::{self, column};
use crate::tui::widgets::{Paint, put};

/// From this width on the words stand beside the curves.
const BESIDE: u16 = 120;

pub(super) fn draw(screen: &mut TraceScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    screen.fields.clear();
    if let Some(asked) = &mut screen.asked {
        ask(asked, frame, area, paint);
        return;
    }
    match &mut screen.state {
        State::Empty => {
            put(frame, area, 1, 2, "No trace is open.", paint.of(Meaning::Plain));
        }
        State::Wrong(why) => {
            let words = format!("{} cannot be shown: {why}", screen.of.label);
            for (row, line) in (1..).zip(text::wrap(&words, usize::from(area.width.saturating_sub(4)))) {
                put(frame, area, row, 2, &line, paint.of(Meaning::Forbids));
            }
            let key =
                paint.keys.fill("{open-trace-file} opens another; columns and units may follow the path.");
            put(frame, area, area.height.saturating_sub(2), 2, &key, paint.of(Meaning::Plain));
        }
        State::Reading(work) => {
            let words = match work.poll_progress() {
                Some((done, all)) if all > 1 => {
                    format!("reading {}: {:.0} %", screen.of.label, 100.0 * done as f64 / all as f64)
                }
                _ => format!("reading {}", screen.of.label),
            };
            put(frame, area, 1, 2, &words, paint.of(Meaning::Strong));
            put(frame, area, 2, 2, &paint.keys.fill("{back} stops it."), paint.of(Meaning::Plain));
        }
        State::Open(_) => open(screen, frame, area, paint),
    }
}

fn ask(asked: &mut Asked, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    match asked {
        Asked::Path(field, against, wrong) => {
            let question = if *against {
                "Which file is it to be held against?"
            } else {
                "Which file? A logger's CSV, a dump, or readings typed from a filmed display"
            };
            put(frame, area, 1, 2, question, paint.of(Meaning::Heading));
            let line = Rect {
                x: area.x + 2.min(area.width),
                y: area.y + 3.min(area.height.saturating_sub(1)),
                width: area.width.saturating_sub(4),
                height: area.height.min(1),
            };
            field.draw(frame, line, paint);
            let hint = "Where the file does not say them: /home/you/b.csv --column time=t_ms:ms \
                --column thrust=bridge_V:N --calibration thrust=812.5,-203.1; a filmed display: \
                --column time=frame:frames@29.97";
            let mut row = 5;
            for line in text::wrap(hint, usize::from(area.width.saturating_sub(4))) {
                put(frame, area, row, 2, &line, paint.of(Meaning::Plain));
                row += 1;
            }
            if let Some(wrong) = wrong {
                for line in text::wrap(&format!("! {wrong}"), usize::from(area.width.saturating_sub(4))) {
                    put(frame, area, row + 1, 2, &line, paint.of(Meaning::Forbids));
                    row += 1;
                }
            }
        }
        Asked::List(place, choices) => {
            let columns = [column("Which one?", 40, 1, 0)];
            let plain = paint.of(Meaning::Plain);
            table::draw(frame, area, &columns, place, choices.len(), paint, |at| {
                vec![(choices.get(at).map_or_else(String::new, |it| it.words.clone()), plain)]
            });
        }
    }
}

fn open(screen: &mut TraceScreen, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
    let TraceScreen { state, channels, proposals, recorded, other, scroll, fields, .. } = screen;
    let State::Open(shown) = state else { return };
    put(frame, area, 0, 1, &side::answer(shown, paint.system), paint.of(Meaning::Strong));
    let (wants, words) = side::first_look(shown, proposals.as_ref(), recorded.as_ref(), paint.system);
    let words = match other {
        Some((label, _)) => format!("reading {label}…"),
        None => words,
    };
    let (sign, meaning) = if wants { ("!", Meaning::Warns) } else { ("=", Meaning::InOrder) };
    put(frame, area, 1, 1, &format!("{sign} {words}"), paint.of(meaning));

    let below = Rect { y: area.y + 2, height: area.height.saturating_sub(2), ..area };
    let beside = area.width >= BESIDE;
    let side_width = (area.width / 3).clamp(40, 64);
    let (left, right) = if beside {
        (
            Rect { width: below.width - side_width - 1, ..below },
            Rect { x: below.x + below.width - side_width, width: side_width, ..below },
        )
    } else {
        let rows = (below.height / 3).min(8);
        (
            Rect { height: below.height - rows, ..below },
            Rect {
                x: below.x + 1,
                y: below.y + below.height - rows,
                height: rows,
                width: below.width.saturating_sub(2),
            },
        )
    };
    let read_rows = read_out(shown, frame, left, paint);
    let plots = Rect { height: left.height.saturating_sub(read_rows), ..left };
    draw_plots(shown, *channels, frame, plots, paint, fields);

    let mut paper = Paper::new(usize::from(right.width));
    paper.blocks(&side::blocks(shown, proposals.as_ref(), recorded.as_ref(), paint.system), paint);
    scroll.draw(&paper, frame, right, paint);
}

/// The line under the curves; how many rows it took.
fn read_out(shown: &Shown, frame: &mut Frame<'_>, area: Rect, paint: &Paint) -> u16 {
    let parts = read_out::parts(shown, paint.system);
    let mut lines: Vec<Vec<(&'static str, String)>> = vec![Vec::new()];
    let mut used = 0;
    for (label, value) in parts {
        let wide = text::width(label) + text::width(&value) + 3;
        if used + wide > usize::from(area.width) && lines.len() < 2 {
            lines.push(Vec::new());
            used = 0;
        }
        used += wide;
        if let Some(line) = lines.last_mut() {
            line.push((label, value));
        }
    }
    let rows = u16::try_from(lines.len()).unwrap_or(1);
    let first = area.height.saturating_sub(rows);
    for (row, line) in (first..).zip(lines) {
        let mut at = 1;
        for (label, value) in line {
            put(frame, area, row, at, label, paint.of(Meaning::Label));
            at += u16::try_from(text::width(label) + usize::from(!label.is_empty())).unwrap_or(0);
            put(frame, area, row, at, &value, paint.of(Meaning::Strong));
            at += u16::try_from(text::width(&value) + 2).unwrap_or(0);
        }
    }
    rows
}

fn draw_plots(
    shown: &mut Shown,
    channels: Channels,
    frame: &mut Frame<'_>,
    area: Rect,
    paint: &Paint,
    fields: &mut Vec<Field>,
) {
    let both = shown.channels.len() > 1;
    let wanted: Vec<usize> = match channels {
        // Two plots of fewer than eight rows show less than one.
        Channels::Both if both && area.height >= 18 => vec![0, 1],
        Channels::Pressure if both => vec![1],
        _ => vec![0],
    };
    let count = u16::try_from(wanted.len()).unwrap_or(1).max(1);
    let each = area.height / count;
    let letters: Vec<String> = (0..shown.found.reduced.reduction.phases.len()).map(letter).collect();
    let phases = shown.found.reduced.reduction.phases.clone();
    let stretches: Vec<Stretch<'_>> = phases
        .iter()
        .zip(&letters)
        .map(|(phase, name)| Stretch { name, from: phase.from_s, to: phase.to_s })
        .collect();
    let window = shown.window;
    let other_name = shown.other.as_ref().map(|it| text::fit(&it.0, 24));
    let heights: Vec<(usize, Span)> = wanted
        .iter()
        .filter_map(|at| {
            let channel = shown.channels.get(*at)?;
            let (scale, _) = axis(channel.unit, paint.system);
            let ranges = [Some(&channel.measured), channel.planned.as_ref(), channel.other.as_ref()];
            let ranges = ranges.into_iter().flatten().map(|curve| in_sight(curve, window.shown));
            Some((*at, Span::over(ranges.flat_map(|(low, high)| [low * scale, high * scale]))))
        })
        .collect();
    // Plots over each other share their time axis, so their fields begin in the same column.
    let gutter = |y: Span| {
        let bare = Plot {
            title: "",
            along: "",
            x: window.shown,
            y,
            curves: &[],
            levels: &[],
            stretches: &[],
            cursor: None,
        };
        bare.gutter(each)
    };
    let widest = heights.iter().map(|(_, y)| gutter(*y)).max().unwrap_or(0);
    for (place, (at, y)) in (0u16..).zip(heights) {
        let rows = if place + 1 == count { area.height - each * place } else { each };
        let aside = widest.saturating_sub(gutter(y)).min(area.width);
        let plot_area =
            Rect { x: area.x + aside, y: area.y + each * place, width: area.width - aside, height: rows };
        let Some(channel) = shown.channels.get_mut(at) else { continue };
        let (_, unit) = axis(channel.unit, paint.system);
        let title = match channel.unit {
            ChannelUnit::N => format!("thrust, {unit}"),
            ChannelUnit::Pa => format!("pressure, {unit} gauge"),
            ChannelUnit::V => format!("reading, {unit}"),
        };
        let points = channel.points(paint.system);
        let mut curves = Vec::new();
        if !points[2].is_empty() {
            let name = other_name.as_deref().unwrap_or("other");
            curves.push(Curve { name, points: &points[2], stroke: Stroke::Dotted, meaning: Meaning::Found });
        }
        if !points[1].is_empty() {
            curves.push(Curve {
                name: "plan",
                points: &points[1],
                stroke: Stroke::Dashed,
                meaning: Meaning::Warns,
            });
        }
        curves.push(Curve {
            name: "measured",
            points: &points[0],
            stroke: Stroke::Solid,
            meaning: Meaning::Plain,
        });
        let plot = Plot {
            title: &title,
            along: "s",
            x: window.shown,
            y,
            curves: &curves,
            levels: &[],
            stretches: &stretches,
            cursor: Some(window.cursor),
        };
        fields.push(plot.draw(frame, plot_area, paint));
    }
}

/// Lowest and highest reading in a stretch of time.
fn in_sight(curve: &crate::trace::Curve, shown: Span) -> (f64, f64) {
    let from = curve.time_s.partition_point(|&t| t < shown.from).saturating_sub(1);
    let to = curve.time_s.partition_point(|&t| t <= shown.to);
    let part = curve.value.get(from..(to + 1).min(curve.value.len())).unwrap_or_default();
    part.iter().fold((0.0f64, 0.0f64), |(low, high), y| (low.min(*y), high.max(*y)))
}
