//! The casing cut in half and drawn to scale: wall, ends, welds, grooves, holes, stations, what has grown and what
//! is soft. No chart: every length is a drawing's, so it is put together here.

use maud::{Markup, html};

use super::sheet::t;
use crate::design::bolt::BoltSize;
use crate::design::wall::least_wall;
use crate::design::{Design, End, EndKind};
use crate::quantity::Quantity;
use crate::standing::RuleSet;
use crate::standing::assessment::{Assessment, Spot};
use crate::standing::growth::{Degree, Growth, degree};

/// Width of a weld's softened band, in millimetres from the weld: as the margins count it.
const BAND_MM: f64 = 30.0;
/// Drawn length over diameter where no length is on record.
const UNKNOWN_LENGTH: f64 = 6.0;
/// The longest a tube of unknown length is drawn, over its diameter.
const LONGEST: f64 = 30.0;
/// Room round the tube, in diameters.
const ROOM: f64 = 0.06;

struct Frame {
    length: f64,
    /// Outside and bore radius, and the least wall, in millimetres.
    outer: f64,
    bore: f64,
    /// Height of letters in millimetres of the drawing.
    letter: f64,
}

/// The drawing, with what it leaves out said below it.
pub(super) fn section(design: &Design, assessed: &Assessment, rules: &RuleSet) -> Markup {
    let od = design.tube.od.value.as_mm();
    let (wall, _) = least_wall(&design.tube);
    let known = design.tube.length.as_ref().map(|length| length.value.as_mm());
    let reach = assessed.growth.iter().map(|it| it.station_mm).fold(0.0, f64::max);
    let length = known.unwrap_or((od * UNKNOWN_LENGTH).max(reach * 1.1).min(od * LONGEST));
    let far = beyond(assessed, length);
    if !(od > 0.0 && length > 0.0 && wall.as_mm() > 0.0) {
        return html! { p { "There is no drawing: a dimension is missing." } };
    }
    let frame =
        Frame { length, outer: od / 2.0, bore: (od / 2.0 - wall.as_mm()).max(0.0), letter: length / 46.0 };
    let side = od * ROOM + 4.6 * frame.letter;
    let view =
        format!("{:.2} {:.2} {:.2} {:.2}", -0.06 * length, -od / 2.0 - side, 1.12 * length, od + 2.0 * side);
    let title = format!("Section of {}, to scale", t(&assessed.serial));
    let said = format!(
        "{} {:.2} mm outside, wall {:.2} mm, length {}; forward end at the left: {}; aft end: {}",
        design.tube.material,
        od,
        design.tube.wall.value.as_mm(),
        known.map_or_else(|| "not on record".to_owned(), |length| format!("{length:.0} mm")),
        end_words(&design.forward),
        end_words(&design.aft)
    );
    html! {
        figure {
            svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox=(view) width="100%"
                font-family="sans-serif" font-size=(num(frame.letter)) stroke-linejoin="round" {
                title { (title) }
                desc { (t(&said)) }
                (tube(&frame))
                (end(&frame, &design.forward, false))
                (end(&frame, &design.aft, true))
                (stations(&frame, &assessed.growth, rules))
                (soft(&frame, &assessed.spots))
                // Centre line.
                line x1=(num(-0.04 * length)) x2=(num(1.04 * length)) y1="0" y2="0" stroke="#111"
                    stroke-width=(num(frame.letter * 0.06)) stroke-dasharray=(dashes(&frame, 1.4, 0.3)) {}
                (scale_bar(&frame))
            }
            figcaption {
                (t(&said)) ". Stations are counted from the forward end."
                @if known.is_none() { " The tube's length is not on record: it is drawn as long as its readings go." }
                @if !far.is_empty() {
                    " On record beyond the tube's end, and drawn at it: " (far.join(", ")) "; look at the entry."
                }
                @if design.forward.plate.is_none() && design.aft.plate.is_none() {
                    " Closures are drawn where they sit; how thick they are is not on record."
                }
            }
        }
    }
}

/// Stations that lie beyond what is drawn, each once.
fn beyond(assessed: &Assessment, length: f64) -> Vec<String> {
    let grown = assessed.growth.iter().map(|it| it.station_mm);
    let mut far: Vec<f64> = grown
        .chain(assessed.spots.iter().filter_map(|it| it.station_mm))
        .filter(|station| *station > length)
        .collect();
    far.sort_by(f64::total_cmp);
    far.dedup();
    far.into_iter().map(|station| format!("station {station:.0} mm")).collect()
}

fn num(value: f64) -> String {
    format!("{value:.3}")
}

fn dashes(frame: &Frame, long: f64, short: f64) -> String {
    format!(
        "{:.2} {:.2} {:.2} {:.2}",
        frame.letter * long,
        frame.letter * short,
        frame.letter * 0.2,
        frame.letter * short
    )
}

/// What closes an end, in words.
pub(super) fn end_words(end: &End) -> String {
    let mm = |value: &Option<crate::quantity::Typed<crate::quantity::Length>>| {
        value.as_ref().map(|it| format!("{:.2} mm", it.value.as_mm()))
    };
    let mut words = vec![end.kind.to_string()];
    if let (Some(count), Some(bolt)) = (end.count, &end.bolt) {
        words.push(format!("{count} x {bolt}"));
    }
    for (label, value) in [
        ("leg", mm(&end.leg)),
        ("edge", mm(&end.edge)),
        ("engaged", mm(&end.engagement)),
        ("pitch diameter", mm(&end.pitch_diameter)),
        ("relief diameter", mm(&end.relief_diameter)),
        ("groove", mm(&end.groove_depth)),
        ("ring", mm(&end.ring_thickness)),
        ("plate", end.plate.as_ref().map(|plate| format!("{:.2} mm", plate.thickness.value.as_mm()))),
    ] {
        if let Some(value) = value {
            words.push(format!("{label} {value}"));
        }
    }
    words.join(", ")
}

fn tube(frame: &Frame) -> Markup {
    let thick = frame.outer - frame.bore;
    let line = num(frame.letter * 0.08);
    html! {
        rect x="0" y=(num(-frame.bore)) width=(num(frame.length)) height=(num(2.0 * frame.bore)) fill="#fff"
            stroke="#111" stroke-width=(line) {}
        @for y in [-frame.outer, frame.bore] {
            rect x="0" y=(num(y)) width=(num(frame.length)) height=(num(thick)) fill="#6b7280" stroke="#111" stroke-width=(line) {}
        }
    }
}

/// One end. The aft end is the forward one seen in a mirror.
fn end(frame: &Frame, end: &End, aft: bool) -> Markup {
    // Along the tube from its end.
    let at = |x: f64| if aft { frame.length - x } else { x };
    let span = |from: f64, to: f64| (at(from).min(at(to)), (to - from).abs());
    let line = num(frame.letter * 0.08);
    let plate = end.plate.as_ref().map(|plate| plate.thickness.value.as_mm());
    let closure = |from: f64, to: f64| {
        let (x, width) = span(from, to);
        html! {
            rect x=(num(x)) y=(num(-frame.bore)) width=(num(width)) height=(num(2.0 * frame.bore)) fill="#d1d5db"
                stroke="#111" stroke-width=(line) {}
        }
    };
    let deep = plate.unwrap_or(frame.bore * 0.5);
    let edge = end.edge.as_ref().map_or(frame.outer * 0.2, |edge| edge.value.as_mm());
    match end.kind {
        EndKind::WeldedPlug => {
            let leg = end.leg.as_ref().map_or(2.0, |leg| leg.value.as_mm());
            let (x, width) = span(0.0, BAND_MM.min(frame.length / 2.0));
            html! {
                @for y in [-frame.outer, frame.bore] {
                    rect x=(num(x)) y=(num(y)) width=(num(width)) height=(num(frame.outer - frame.bore)) fill="#f3c98b"
                        stroke="#111" stroke-width=(line) stroke-dasharray=(num(frame.letter * 0.3)) {}
                }
                (closure(0.0, deep))
                @for side in [-1.0, 1.0] {
                    polygon fill="#111" points=(format!(
                        "{:.3},{:.3} {:.3},{:.3} {:.3},{:.3}",
                        at(deep), side * frame.bore, at(deep + leg), side * frame.bore, at(deep), side * (frame.bore - leg)
                    )) {}
                }
                text x=(num(at(BAND_MM.max(deep) + frame.letter))) y=(num(-frame.bore + 1.3 * frame.letter))
                    text-anchor=(if aft { "end" } else { "start" }) { "wall softened by the weld for about " (BAND_MM) " mm" }
            }
        }
        EndKind::RadialBolts => {
            let hole = end
                .bolt
                .as_deref()
                .and_then(|bolt| BoltSize::from_text(bolt).ok())
                .map_or(frame.outer * 0.12, |bolt| bolt.diameter_m.si() * 1e3);
            let thick = frame.outer - frame.bore;
            html! {
                (closure(0.0, plate.unwrap_or(2.0 * edge)))
                @for y in [-frame.outer - 0.4 * hole, frame.bore - thick] {
                    rect x=(num(at(edge) - hole / 2.0)) y=(num(y)) width=(num(hole)) height=(num(2.0 * thick + 0.4 * hole))
                        fill="#fff" stroke="#111" stroke-width=(line) {}
                }
            }
        }
        EndKind::ThreadedCap => {
            let engaged = end.engagement.as_ref().map_or(frame.outer * 0.4, |it| it.value.as_mm());
            let relief =
                end.relief_diameter.as_ref().map(|it| it.value.as_mm() / 2.0).filter(|it| *it > frame.bore);
            let depth = relief.map_or((frame.outer - frame.bore) * 0.4, |relief| relief - frame.bore);
            let teeth = |side: f64| {
                let count = 9;
                (0..=2 * count)
                    .map(|i| {
                        let x = at(engaged * f64::from(i) / f64::from(2 * count));
                        let y = side * (frame.bore + if i % 2 == 0 { 0.0 } else { depth });
                        format!("{x:.3},{y:.3}")
                    })
                    .collect::<Vec<_>>()
                    .join(" ")
            };
            let (x, width) = span(engaged, engaged + 2.0 * depth.max(1.0));
            html! {
                (closure(0.0, plate.unwrap_or(engaged)))
                @for side in [-1.0, 1.0] {
                    polyline points=(teeth(side)) fill="#d1d5db" stroke="#111" stroke-width=(line) {}
                    @if relief.is_some() {
                        rect x=(num(x)) y=(num(if side < 0.0 { -frame.bore - depth } else { frame.bore })) width=(num(width))
                            height=(num(depth)) fill="#fff" stroke="#111" stroke-width=(line) {}
                    }
                }
            }
        }
        EndKind::RetainingRing => {
            let groove = end.groove_depth.as_ref().map_or(1.0, |it| it.value.as_mm());
            let ring = end.ring_thickness.as_ref().map_or(2.0, |it| it.value.as_mm());
            let (x, width) = span(edge, edge + ring);
            let tall = (frame.outer - frame.bore).max(2.0 * groove);
            html! {
                (closure(edge + ring, edge + ring + deep))
                @for y in [-frame.bore - groove, frame.bore - tall + groove] {
                    rect x=(num(x)) y=(num(y)) width=(num(width)) height=(num(tall)) fill="#fff" stroke="#111"
                        stroke-width=(line) {}
                }
            }
        }
    }
}

/// The station with its worst growth.
fn stations(frame: &Frame, growth: &[Growth], rules: &RuleSet) -> Markup {
    let mut worst: Vec<&Growth> = Vec::new();
    for it in growth {
        match worst.iter_mut().find(|known| (known.station_mm - it.station_mm).abs() < 0.5) {
            Some(known) if it.percent > known.percent => *known = it,
            Some(_) => {}
            None => worst.push(it),
        }
    }
    worst.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
    let below = frame.outer + frame.letter * 0.4;
    // Growth drawn to scale would not be seen; the bars are to a scale of their own, which the words under them give.
    let most = worst.iter().map(|it| it.percent).fold(rules.value("growth-yield"), f64::max);
    let worst_at = worst
        .iter()
        .filter(|it| it.percent > 0.0)
        .max_by(|a, b| a.percent.total_cmp(&b.percent))
        .map(|it| it.station_mm);
    // Labels keep clear of each other, the worst station's before all others.
    let clear = frame.letter * 3.8;
    let mut labelled: Vec<f64> = worst_at.into_iter().collect();
    for it in &worst {
        if labelled.iter().all(|other| (other - it.station_mm).abs() > clear) {
            labelled.push(it.station_mm);
        }
    }
    html! {
        @for it in worst {
            @let degree = degree(it.percent, rules);
            @let x = it.station_mm.min(frame.length);
            line x1=(num(x)) x2=(num(x)) y1=(num(frame.outer)) y2=(num(below)) stroke="#111"
                stroke-width=(num(frame.letter * 0.08)) {}
            @if it.percent > 0.0 {
                @let bar = it.percent / most * frame.letter * 3.2;
                rect x=(num(x - frame.letter * 0.22)) y=(num(-frame.outer - bar)) width=(num(frame.letter * 0.44))
                    height=(num(bar)) fill=(if degree >= Degree::Hold { "#8b0000" } else { "#0b3d91" }) {}
            }
            @if labelled.contains(&it.station_mm) {
                text x=(num(x)) y=(num(below + frame.letter)) text-anchor="middle" { (format!("{:.0}", it.station_mm)) }
                @if it.percent > 0.0 {
                    text x=(num(x)) y=(num(below + 2.2 * frame.letter)) text-anchor="middle" font-weight="bold" {
                        (format!("{:+.2} %", it.percent))
                    }
                }
            }
        }
    }
}

/// Soft and thin places, one ring a station, the entries named above whatever has grown there.
fn soft(frame: &Frame, spots: &[Spot]) -> Markup {
    let mut places: Vec<(f64, Vec<String>)> = Vec::new();
    for spot in spots {
        let Some(station) = spot.station_mm else { continue };
        let number = spot.entry.number.to_string();
        match places.iter_mut().find(|(at, _)| (at - station).abs() < frame.letter) {
            Some((_, numbers)) => numbers.push(number),
            None => places.push((station, vec![number])),
        }
    }
    html! {
        @for (station, numbers) in places {
            @let x = station.min(frame.length);
            circle cx=(num(x)) cy=(num(-(frame.outer + frame.bore) / 2.0)) r=(num(frame.letter * 0.9)) fill="none"
                stroke="#8b0000" stroke-width=(num(frame.letter * 0.18)) {}
            text x=(num(x)) y=(num(-frame.outer - frame.letter * 3.4)) text-anchor="middle" fill="#8b0000" font-weight="bold" {
                (if numbers.len() > 1 { "entries " } else { "entry " }) (numbers.join(", "))
            }
        }
    }
}

fn scale_bar(frame: &Frame) -> Markup {
    let bar = if frame.length > 250.0 { 100.0 } else { 50.0 };
    let y = frame.outer + frame.letter * 3.8;
    html! {
        line x1="0" x2=(num(bar)) y1=(num(y)) y2=(num(y)) stroke="#111" stroke-width=(num(frame.letter * 0.25)) {}
        text x=(num(bar + frame.letter * 0.6)) y=(num(y + frame.letter * 0.35)) { (format!("{bar:.0} mm")) }
        text x=(num(frame.length)) y=(num(y + frame.letter * 0.35)) text-anchor="end" { "aft, nozzle" }
    }
}
