//! A casing in section, to one scale along and across: walls, ends, welds with their softened band, holes, grooves,
//! stations with what they grew, hot and thin places. Every mark is a letter; colour only underlines it.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Color;
use ratatui::symbols::Marker;
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{Canvas, Painter, Shape};

use super::plot::{Span, ticks};
use super::{Paint, put};
use crate::design::{Design, End, EndKind};
use crate::quantity::{Length, System, Typed, show};
use crate::tui::text;
use crate::tui::theme::Meaning;

/// How far the wall beside a weld counts as softened, in millimetres: EN 1999-1-1:2007, 6.1.6.3, TIG welds in walls
/// up to 6 mm (from memory).
const SOFTENED_MM: f64 = 30.0;

/// The longest a tube of unknown length is drawn, in diameters: a station typed in the wrong unit would leave a thread.
const LONGEST: f64 = 30.0;

/// A mark on the wall: at a station, a letter, and what it means.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Millimetres from the forward seal face.
    pub station_mm: f64,
    /// Its letter.
    pub letter: char,
    /// What it means.
    pub meaning: Meaning,
}

/// A casing in section.
#[derive(Clone, Copy, Debug)]
pub struct Section<'a> {
    /// The drawing.
    pub design: &'a Design,
    /// What is on record along it.
    pub marks: &'a [Mark],
    /// The throat's DIAMETER, where a throat insert with one is fitted.
    pub throat_mm: Option<f64>,
}

/// Where dots are drawn: millimetres to dots, and the pieces.
struct Dots {
    per_mm: f64,
    middle: f64,
    walls: Vec<(f64, f64, f64, f64)>,
    hatched: Vec<(f64, f64, f64, f64)>,
    columns: usize,
    rows: usize,
}

impl Dots {
    /// A rectangle in millimetres (along from, along to, up from, up to), at least one dot each way.
    fn fill(&self, painter: &mut Painter<'_, '_>, piece: (f64, f64, f64, f64), every: usize) {
        let (from, to) = (piece.0 * self.per_mm, piece.1 * self.per_mm);
        let (high, low) = (self.middle - piece.3 * self.per_mm, self.middle - piece.2 * self.per_mm);
        let last =
            |edge: f64, most: usize| (edge.round() - 1.0).clamp(0.0, most.saturating_sub(1) as f64) as usize;
        let first = |edge: f64, most: usize| edge.round().clamp(0.0, most.saturating_sub(1) as f64) as usize;
        let (left, top) = (first(from, self.columns), first(high, self.rows));
        for x in left..=last(to, self.columns).max(left) {
            for y in top..=last(low, self.rows).max(top) {
                if (x + y).is_multiple_of(every) {
                    painter.paint(x, y, Color::Reset);
                }
            }
        }
    }
}

impl Shape for Dots {
    fn draw(&self, painter: &mut Painter<'_, '_>) {
        for piece in &self.hatched {
            self.fill(painter, *piece, 2);
        }
        for piece in &self.walls {
            self.fill(painter, *piece, 1);
        }
    }
}

const fn mm(value: Option<&Typed<crate::quantity::Length>>) -> Option<f64> {
    match value {
        Some(value) => Some(value.value.as_mm()),
        None => None,
    }
}

impl Section<'_> {
    fn length_mm(&self) -> (f64, bool) {
        let od = self.design.tube.od.value.as_mm();
        let farthest = self.marks.iter().map(|it| it.station_mm).fold(0.0, f64::max);
        match mm(self.design.tube.length.as_ref()) {
            // A mark beyond the end stretches nothing: it stands at the end, and is said.
            Some(length) if length > 0.0 => (length, true),
            _ => ((od * 6.0).max(farthest * 1.1).min(od * LONGEST), false),
        }
    }

    /// Marks that lie beyond what is drawn, in words.
    fn beyond(&self, length: f64, paint: &Paint) -> Option<String> {
        let mut far: Vec<&Mark> = self.marks.iter().filter(|it| it.station_mm > length).collect();
        far.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
        let place =
            |it: &&Mark| format!("{} at {}", it.letter, show(Length::mm(it.station_mm), paint.system));
        let mut said: Vec<String> = far.iter().take(3).map(place).collect();
        if far.len() > said.len() {
            said.push(format!("{} more", far.len() - said.len()));
        }
        (!said.is_empty()).then(|| format!("> beyond the tube's end, look at the entry: {}", said.join(", ")))
    }

    /// The rows it takes at a width: the section to scale, its marks above and the rule below.
    pub fn height(&self, width: u16, most: u16) -> u16 {
        let (length, _) = self.length_mm();
        let od = self.design.tube.od.value.as_mm();
        let rows = (od / length * f64::from(width.saturating_sub(2)) * 2.0 / 4.0).ceil();
        let beyond = self.marks.iter().any(|it| it.station_mm > length);
        // A row of marks, the rule, its numbers, and the words.
        let wanted = rows.clamp(2.0, 60.0) as u16 + 4 + u16::from(beyond);
        wanted.min(most)
    }

    /// Draw it.
    pub fn draw(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        if area.width < 30 || area.height < 7 {
            return;
        }
        let (length, known) = self.length_mm();
        let od = self.design.tube.od.value.as_mm();
        let wall = self.design.tube.wall.value.as_mm();
        if !(length > 0.0 && od > 0.0 && length.is_finite() && od.is_finite()) {
            return;
        }
        let (columns, rows) = (usize::from(area.width - 2) * 2, usize::from(area.height - 4) * 4);
        let per_mm = (columns as f64 / length).min(rows as f64 / od);
        let rows_used = ((od * per_mm / 4.0).ceil() as u16).clamp(2, area.height - 4);
        let field = Rect { x: area.x + 1, y: area.y + 1, width: area.width - 2, height: rows_used };
        let mut dots = Dots {
            per_mm,
            middle: f64::from(rows_used) * 2.0,
            walls: vec![(0.0, length, od / 2.0 - wall, od / 2.0), (0.0, length, -od / 2.0, wall - od / 2.0)],
            hatched: Vec::new(),
            columns,
            rows: usize::from(rows_used) * 4,
        };
        let bore = od / 2.0 - wall;
        let opening = self.throat_mm.map_or(0.0, |it| (it / 2.0).min(bore));
        for (end, from_forward) in [(&self.design.forward, true), (&self.design.aft, false)] {
            let thick = closure_mm(end, od);
            let along = if from_forward { (0.0, thick) } else { (length - thick, length) };
            let opening = if from_forward { 0.0 } else { opening };
            dots.hatched.push((along.0, along.1, opening, bore));
            dots.hatched.push((along.0, along.1, -bore, -opening));
        }
        Canvas::default()
            .marker(Marker::Braille)
            .x_bounds([0.0, 1.0])
            .y_bounds([0.0, 1.0])
            .paint(|context| context.draw(&dots))
            .render(field, frame.buffer_mut());

        let column = |mm: f64| {
            let at = (mm * per_mm / 2.0).floor().clamp(0.0, f64::from(field.width - 1));
            at as u16
        };
        let line = |row: u16| Rect { y: row, height: 1, ..field };
        let mut words: Vec<String> = Vec::new();
        for (end, from_forward) in [(&self.design.forward, true), (&self.design.aft, false)] {
            let at = |mm: f64| column(if from_forward { mm } else { length - mm });
            let (letter, place, word) = end_mark(end, paint);
            for row in [field.y, field.y + rows_used - 1] {
                put(frame, line(row), 0, at(place), &letter.to_string(), paint.of(Meaning::Strong));
            }
            if end.kind == EndKind::WeldedPlug {
                // The softened band, along both walls.
                let (one, other) = (at(0.0), at(SOFTENED_MM));
                for cell in one.min(other)..=one.max(other) {
                    if cell != at(place) {
                        put(frame, line(field.y), 0, cell, "~", paint.of(Meaning::Warns));
                        put(frame, line(field.y + rows_used - 1), 0, cell, "~", paint.of(Meaning::Warns));
                    }
                }
            }
            let which = if from_forward { "forward" } else { "aft" };
            words.push(format!("{letter} {which}: {word}"));
        }
        // The worst mark of a cell stands over the others.
        let mut marks: Vec<&Mark> = self.marks.iter().collect();
        marks.sort_by_key(|it| rank(it.meaning));
        for mark in marks {
            let (place, letter) = match mark.station_mm > length {
                true => (column(length), '>'),
                false => (column(mark.station_mm), mark.letter),
            };
            put(frame, line(area.y), 0, place, &letter.to_string(), paint.of(mark.meaning));
        }
        let rule = field.y + rows_used;
        put(frame, line(rule), 0, 0, &"─".repeat(usize::from(column(length)) + 1), paint.of(Meaning::Label));
        let (unit, unit_mm) = match paint.system {
            System::Si => ("mm", 1.0),
            System::Us => ("in", 25.4),
        };
        let span = Span::new(0.0, length / unit_mm);
        let numbers = ticks(span, usize::from(field.width / 10).max(1));
        let whole = numbers.iter().all(|it| it.fract() == 0.0);
        let mut free = 0;
        for number in &numbers {
            let tick = number * unit_mm;
            let number = if whole { format!("{number:.0}") } else { format!("{number:.1}") };
            let wide = u16::try_from(text::width(&number)).unwrap_or(0);
            let left = column(tick).saturating_sub(wide / 2);
            if left >= free && left + wide <= field.width {
                put(frame, line(rule), 0, column(tick), "┬", paint.of(Meaning::Label));
                put(frame, line(rule + 1), 0, left, &number, paint.of(Meaning::Label));
                free = left + wide + 1;
            }
        }
        if free + 3 <= field.width {
            put(frame, line(rule + 1), 0, field.width - 2, unit, paint.of(Meaning::Label));
        }
        if !known {
            words.push("the tube's length is not on record".to_owned());
        }
        if let Some(far) = self.beyond(length, paint) {
            words.insert(0, far);
        }
        let all = words.join(" · ");
        for (row, words) in (rule + 2..area.y + area.height).zip(text::wrap(&all, usize::from(field.width))) {
            put(frame, line(row), 0, 0, &words, paint.of(Meaning::Plain));
        }
    }
}

const fn rank(meaning: Meaning) -> u8 {
    match meaning {
        Meaning::Forbids => 3,
        Meaning::Warns => 2,
        Meaning::Strong => 1,
        _ => 0,
    }
}

/// How thick a closure is drawn where its plate is not on record: a quarter of the outside diameter.
fn closure_mm(end: &End, od: f64) -> f64 {
    let plate = end.plate.as_ref().map(|plate| plate.thickness.value.as_mm());
    let held = mm(end.engagement.as_ref()).or_else(|| mm(end.edge.as_ref()).map(|edge| edge * 2.0));
    plate.or(held).unwrap_or(od / 4.0).clamp(od / 50.0, od)
}

/// The letter of an end on the wall, how far from the tube's end it stands, and its words.
fn end_mark(end: &End, paint: &Paint) -> (char, f64, String) {
    let size = |value: Option<&Typed<crate::quantity::Length>>| {
        value.map_or_else(|| "?".to_owned(), |it| show(it.value, paint.system))
    };
    match end.kind {
        EndKind::WeldedPlug => ('w', 0.0, format!("welded plug, leg {}, ~ softened", size(end.leg.as_ref()))),
        EndKind::RadialBolts => (
            'o',
            mm(end.edge.as_ref()).unwrap_or(0.0),
            format!("{} bolts {}", end.count.unwrap_or(0), end.bolt.as_deref().unwrap_or("?")),
        ),
        EndKind::ThreadedCap => (
            'm',
            mm(end.engagement.as_ref()).unwrap_or(0.0) / 2.0,
            format!("threaded cap, {} engaged", size(end.engagement.as_ref())),
        ),
        EndKind::RetainingRing => (
            'u',
            mm(end.edge.as_ref()).unwrap_or(0.0),
            format!("ring in a groove {} deep", size(end.groove_depth.as_ref())),
        ),
    }
}
