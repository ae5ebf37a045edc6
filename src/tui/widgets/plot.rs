//! A plot that fills what it is given: curves, limits as labelled lines, stretches of time with their letter, a cursor.
//! Curves differ by stroke as well as colour, so that a plot without colour loses nothing.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};
use ratatui::symbols::Marker;
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{Canvas, Painter, Shape};

use super::{Paint, put};
use crate::tui::text;
use crate::tui::theme::Meaning;

/// How a curve is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stroke {
    /// Without a gap: what was measured.
    #[default]
    Solid,
    /// In dashes: what was planned.
    Dashed,
    /// In dots: what it is compared with.
    Dotted,
}

impl Stroke {
    /// How the legend shows it.
    pub const fn sample(self) -> &'static str {
        match self {
            Self::Solid => "───",
            Self::Dashed => "╌╌╌",
            Self::Dotted => "┈┈┈",
        }
    }

    /// Whether a column of dots is drawn.
    const fn covers(self, column: usize, columns: usize) -> bool {
        match self {
            Self::Solid => true,
            // Where there are few columns a curve that another runs over needs most of them to be seen.
            Self::Dashed if columns < 200 => column % 6 < 5,
            Self::Dashed => column % 8 < 6,
            Self::Dotted if columns < 200 => column.is_multiple_of(3),
            Self::Dotted => column.is_multiple_of(4),
        }
    }
}

/// One curve. Its points go from left to right; a point that is not a number breaks the curve.
#[derive(Clone, Copy, Debug)]
pub struct Curve<'a> {
    /// Its name in the legend.
    pub name: &'a str,
    /// Its points, in the units shown.
    pub points: &'a [(f64, f64)],
    /// How it is drawn.
    pub stroke: Stroke,
    /// What it means.
    pub meaning: Meaning,
}

/// A limit: a line across the plot with its name and value.
#[derive(Clone, Copy, Debug)]
pub struct Level<'a> {
    /// Its name and value as the label shows them.
    pub name: &'a str,
    /// Where it is, in the units shown.
    pub value: f64,
    /// What it means.
    pub meaning: Meaning,
}

/// A stretch along the bottom, with a letter or a short name.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'a> {
    /// Its letter or name.
    pub name: &'a str,
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

/// The part of an axis that is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The least value.
    pub from: f64,
    /// The greatest.
    pub to: f64,
}

impl Span {
    /// A span that is never empty, whatever it is made of.
    pub fn new(from: f64, to: f64) -> Self {
        let (from, to) = if from.is_finite() && to.is_finite() { (from, to) } else { (0.0, 1.0) };
        let (from, to) = if from <= to { (from, to) } else { (to, from) };
        let least = (from.abs().max(to.abs()) * 1e-9).max(1e-12);
        if to - from < least { Self { from, to: from + least.max(1e-6) } } else { Self { from, to } }
    }

    /// From nothing (or the least value, where that is below) to a little above the greatest value.
    pub fn over(values: impl IntoIterator<Item = f64>) -> Self {
        let (least, most) = values
            .into_iter()
            .filter(|it| it.is_finite())
            .fold((0.0_f64, 0.0_f64), |(least, most), it| (least.min(it), most.max(it)));
        let room = (most - least) * 0.05;
        Self::new(if least < 0.0 { least - room } else { 0.0 }, most + room)
    }

    /// How long it is.
    pub fn length(self) -> f64 {
        self.to - self.from
    }

    /// Nearer or farther about a place that stays where it is: a factor below 1 shows less.
    pub fn zoomed(self, about: f64, factor: f64) -> Self {
        Self::new(about - (about - self.from) * factor, about + (self.to - about) * factor)
    }

    /// Moved by a part of its length.
    pub fn moved(self, part: f64) -> Self {
        let by = self.length() * part;
        Self::new(self.from + by, self.to + by)
    }

    /// Kept inside another span, and no longer than it.
    pub fn within(self, all: Self) -> Self {
        if self.length() >= all.length() {
            return all;
        }
        let by = (all.from - self.from).max(0.0) + (all.to - self.to).min(0.0);
        Self::new(self.from + by, self.to + by)
    }
}

/// A plot.
#[derive(Clone, Copy, Debug)]
pub struct Plot<'a> {
    /// What stands upward, with its unit.
    pub title: &'a str,
    /// What goes to the right, with its unit.
    pub along: &'a str,
    /// What is shown of the axis along.
    pub x: Span,
    /// What is shown upward.
    pub y: Span,
    /// The curves, the most wanted last: it is drawn over the others.
    pub curves: &'a [Curve<'a>],
    /// The limits.
    pub levels: &'a [Level<'a>],
    /// The stretches.
    pub stretches: &'a [Stretch<'a>],
    /// Where the cursor stands along the axis.
    pub cursor: Option<f64>,
}

/// Where a drawn plot has its field, for a mouse that points into it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Field {
    /// The cells of the curves.
    pub area: Rect,
    /// The value at the left edge, and how much a column is worth.
    pub from: f64,
    /// The worth of a column.
    pub per_column: f64,
}

impl Field {
    /// The value along the axis under a column of the screen, where it lies in the field.
    pub fn at(&self, column: u16, row: u16) -> Option<f64> {
        let inside = self.area.contains(ratatui::layout::Position { x: column, y: row });
        inside.then(|| self.from + (f64::from(column - self.area.x) + 0.5) * self.per_column)
    }
}

/// Round steps for an axis: at most so many, 1, 2 or 5 times a power of ten apart.
pub fn ticks(span: Span, most: usize) -> Vec<f64> {
    let rough = span.length() / most.max(1) as f64;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|it| it * power).find(|it| *it >= rough * 0.999_999);
    let Some(step) = step.filter(|it| it.is_finite() && *it > 0.0) else { return Vec::new() };
    let first = (span.from / step - 1e-9).ceil();
    (0..=most.saturating_mul(2))
        .map(|n| (first + n as f64) * step)
        .take_while(|it| *it <= span.to + step * 1e-9)
        .map(|it| if it.abs() < step * 1e-6 { 0.0 } else { it })
        .collect()
}

/// A tick with as many decimals as its neighbours need.
fn tick_word(value: f64, ticks: &[f64]) -> String {
    let step = ticks.windows(2).map(|pair| (pair[1] - pair[0]).abs()).next().unwrap_or(value.abs());
    let decimals = if step > 0.0 { (-step.log10() - 1e-9).ceil().clamp(0.0, 9.0) } else { 0.0 };
    format!("{value:.*}", decimals as usize)
}

fn gutter_of(words: &[String]) -> u16 {
    let widest = words.iter().map(|it| text::width(it)).max().unwrap_or(1).min(10);
    u16::try_from(widest).unwrap_or(10) + 1
}

/// The dots of one curve.
struct Dots<'a> {
    curve: &'a Curve<'a>,
    x: Span,
    y: Span,
    columns: usize,
    rows: usize,
    /// The levels drawn: the value, and the row of cells its line takes.
    levels: &'a [(f64, u16)],
    colour: Color,
}

/// The rows of dots in a cell.
const DOTS: f64 = 4.0;

impl Shape for Dots<'_> {
    /// Each column of dots from its lowest to its highest reading, joined to the one before: what a trace of
    /// millions of readings looks like, peaks kept.
    fn draw(&self, painter: &mut Painter<'_, '_>) {
        let points = self.curve.points;
        let first = points.partition_point(|it| it.0 < self.x.from).saturating_sub(1);
        let across = self.columns as f64 / self.x.length();
        let up = self.rows as f64 / self.y.length();
        let top = self.rows.saturating_sub(1) as f64;
        // A value short of a limit is drawn below its line and one past it above, however near: what only
        // rounding puts on the line reads as a limit reached.
        let row = |value: f64| {
            let mut dot = top - ((value - self.y.from) * up - 0.5).clamp(-1.0, self.rows as f64);
            for (level, cell) in self.levels {
                if value > *level {
                    dot = dot.min((f64::from(*cell) * DOTS - 1.0).max(0.0));
                }
            }
            for (level, cell) in self.levels {
                if value < *level {
                    dot = dot.max((f64::from(*cell) + 1.0) * DOTS);
                }
            }
            dot
        };
        let mut before: Option<(f64, f64)> = None;
        for point in &points[first.min(points.len())..] {
            if !point.1.is_finite() || !point.0.is_finite() {
                before = None;
                continue;
            }
            let here = ((point.0 - self.x.from) * across - 0.5, row(point.1));
            let from = before.unwrap_or(here);
            before = Some(here);
            let (left, right) = (from.0.max(0.0).round(), here.0.min(self.columns as f64 - 1.0).round());
            let mut column = left;
            while column <= right {
                if self.curve.stroke.covers(column as usize, self.columns) {
                    let at = |edge: f64| {
                        let part = if here.0 > from.0 { (edge - from.0) / (here.0 - from.0) } else { 1.0 };
                        from.1 + (here.1 - from.1) * part.clamp(0.0, 1.0)
                    };
                    let (one, other) =
                        if here.0 > from.0 { (at(column - 0.5), at(column + 0.5)) } else { (from.1, here.1) };
                    let (low, high) = (one.min(other).round(), one.max(other).round());
                    let mut dot = low.max(0.0);
                    while dot <= high.min(top) {
                        painter.paint(column as usize, dot as usize, self.colour);
                        dot += 1.0;
                    }
                }
                column += 1.0;
            }
            if here.0 > self.columns as f64 {
                break;
            }
        }
    }
}

impl Plot<'_> {
    /// Draw it; where its field is, for the mouse.
    pub fn draw(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) -> Field {
        if area.width < 12 || area.height < 4 {
            return Field::default();
        }
        self.legend(frame, area, paint);
        let (up, words) = self.upward(area.height);
        let gutter = gutter_of(&words);
        let field = Rect {
            x: area.x + gutter,
            y: area.y + 1,
            width: area.width - gutter,
            height: area.height.saturating_sub(3),
        };
        for row in 0..field.height {
            put(frame, area, row + 1, gutter - 1, "│", paint.of(Meaning::Label));
        }
        for (value, word) in up.iter().zip(&words) {
            if let Some(row) = self.row(*value, field) {
                let word = text::pad_left(word, usize::from(gutter - 1));
                put(frame, area, row + 1, 0, &word, paint.of(Meaning::Label));
            }
        }
        let rule = format!("{}{}", "└", "─".repeat(usize::from(field.width)));
        put(frame, area, field.height + 1, gutter - 1, &rule, paint.of(Meaning::Label));
        self.along(frame, area, field, paint);
        self.stretches(frame, field, paint);
        let labels = self.levels(frame, field, paint);
        self.curves(frame, field, paint);
        self.label(frame, field, labels, paint);
        self.cursor(frame, field, paint);
        Field { area: field, from: self.x.from, per_column: self.x.length() / f64::from(field.width.max(1)) }
    }

    /// The columns the numbers beside the field take, for plots that stand over each other and share their axis along.
    pub fn gutter(&self, height: u16) -> u16 {
        gutter_of(&self.upward(height).1)
    }

    fn upward(&self, height: u16) -> (Vec<f64>, Vec<String>) {
        // At least two numbers: one alone gives no scale.
        let most = usize::from(height.saturating_sub(3) / 3).max(1);
        let up = (most..most + 5).map(|most| ticks(self.y, most)).find(|it| it.len() > 1);
        let up = up.unwrap_or_else(|| ticks(self.y, most));
        let words = up.iter().map(|it| tick_word(*it, &up)).collect();
        (up, words)
    }

    fn row(&self, value: f64, field: Rect) -> Option<u16> {
        let part = (value - self.y.from) / self.y.length();
        let row = (f64::from(field.height) - part * f64::from(field.height) - 0.5).round();
        // The very foot and the very top belong to the rows there.
        let inside = (-1e-9..=1.0 + 1e-9).contains(&part);
        let row = if inside { row.clamp(0.0, f64::from(field.height.max(1)) - 1.0) } else { row };
        (row >= 0.0 && row < f64::from(field.height)).then_some(row as u16)
    }

    fn column(&self, value: f64, field: Rect) -> Option<u16> {
        let column = ((value - self.x.from) / self.x.length() * f64::from(field.width) - 0.5).round();
        (column >= -0.5 && column < f64::from(field.width)).then_some(column.max(0.0) as u16)
    }

    fn legend(&self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        put(frame, area, 0, 0, self.title, paint.of(Meaning::Heading));
        let mut column = text::width(self.title) + 3;
        for curve in self.curves {
            let sample = curve.stroke.sample();
            let style = paint.of(curve.meaning);
            put(frame, area, 0, u16::try_from(column).unwrap_or(u16::MAX), sample, style);
            column += text::width(sample) + 1;
            put(
                frame,
                area,
                0,
                u16::try_from(column).unwrap_or(u16::MAX),
                curve.name,
                paint.of(Meaning::Plain),
            );
            column += text::width(curve.name) + 2;
        }
    }

    fn along(&self, frame: &mut Frame<'_>, area: Rect, field: Rect, paint: &Paint) {
        let title = u16::try_from(text::width(self.along)).unwrap_or(0);
        let last = field.width.saturating_sub(title + 1);
        let below = Rect { y: field.y + field.height + 1, height: 1, ..field }.intersection(area);
        let marks = ticks(self.x, usize::from(field.width / 10).max(1));
        let mut free = 0;
        for value in &marks {
            let word = tick_word(*value, &marks);
            let wide = u16::try_from(text::width(&word)).unwrap_or(0);
            let Some(column) = self.column(*value, field) else { continue };
            let left = column.saturating_sub(wide / 2);
            if left < free || left + wide > last {
                continue;
            }
            put(frame, below, 0, left, &word, paint.of(Meaning::Label));
            let rule = Rect { y: below.y.saturating_sub(1), ..below };
            put(frame, rule, 0, column, "┬", paint.of(Meaning::Label));
            free = left + wide + 1;
        }
        put(frame, below, 0, field.width.saturating_sub(title), self.along, paint.of(Meaning::Label));
    }

    /// Each stretch stands between two thin lines, with its name at the top.
    fn stretches(&self, frame: &mut Frame<'_>, field: Rect, paint: &Paint) {
        for stretch in self.stretches {
            for edge in [stretch.from, stretch.to] {
                let Some(column) = self.column(edge, field) else { continue };
                for row in 0..field.height {
                    put(frame, field, row, column, "┊", paint.of(Meaning::Label));
                }
            }
            let (from, to) = (stretch.from.max(self.x.from), stretch.to.min(self.x.to));
            if from < to
                && let Some(middle) = self.column(f64::midpoint(from, to), field)
            {
                let wide = u16::try_from(text::width(stretch.name)).unwrap_or(0);
                put(
                    frame,
                    field,
                    0,
                    middle.saturating_sub(wide / 2),
                    stretch.name,
                    paint.of(Meaning::Strong),
                );
            }
        }
    }

    /// The lines of the limits, and the labels to put over the curves: each on the row of its own line, further to
    /// the left where another stands there. A limit above what is shown is named near the top with an arrow, on a
    /// row without a line, so that it is neither absent nor taken for the name of another's line.
    fn levels(&self, frame: &mut Frame<'_>, field: Rect, paint: &Paint) -> Vec<(u16, u16, String, Meaning)> {
        let mut sorted: Vec<&Level<'_>> = self.levels.iter().filter(|it| it.value.is_finite()).collect();
        sorted.sort_by(|one, other| other.value.total_cmp(&one.value));
        let mut labels: Vec<(u16, u16, String, Meaning)> = Vec::new();
        let lines: Vec<u16> = sorted.iter().filter_map(|it| self.row(it.value, field)).collect();
        // The columns still free on each row, from the left.
        let mut free = vec![field.width; usize::from(field.height)];
        for level in sorted {
            let row = self.row(level.value, field);
            let above = level.value > self.y.to;
            if row.is_none() && !above {
                continue;
            }
            if let Some(row) = row {
                let line = "╌".repeat(usize::from(field.width));
                put(frame, field, row, 0, &line, paint.of(level.meaning));
            }
            let words = format!(" {}{} ", if row.is_none() { "↑ " } else { "" }, level.name);
            let wide = u16::try_from(text::width(&words)).unwrap_or(field.width);
            let fits = |row: &u16| free.get(usize::from(*row)).is_some_and(|left| *left >= wide);
            let bare = || (0..field.height).find(|row| !lines.contains(row) && fits(row));
            // Too long for any row: cut, low down, where it covers the least of a curve.
            let empty = |row: &u16| free.get(usize::from(*row)).is_some_and(|left| *left == field.width);
            let cut = || (0..field.height).rev().find(|row| !lines.contains(row) && empty(row));
            let Some(row) = row.filter(fits).or_else(bare).or_else(cut) else { continue };
            if let Some(left) = free.get_mut(usize::from(row)) {
                *left = left.saturating_sub(wide);
                labels.push((row, *left, words, level.meaning));
            }
        }
        labels
    }

    /// Put the labels where they cover nothing drawn, as far to the right as that goes; where a row is full, over it,
    /// but never in the colour of what is beneath.
    fn label(
        &self,
        frame: &mut Frame<'_>,
        field: Rect,
        labels: Vec<(u16, u16, String, Meaning)>,
        paint: &Paint,
    ) {
        // Which cells of which row other labels have taken.
        let mut taken: Vec<(u16, std::ops::Range<u16>)> = Vec::new();
        for (row, column, words, meaning) in labels {
            let wide = u16::try_from(text::width(&words)).unwrap_or(field.width).min(field.width);
            let buffer = frame.buffer_mut();
            let bare = |at: u16| {
                buffer
                    .cell((field.x + at, field.y + row))
                    .is_some_and(|cell| matches!(cell.symbol(), " " | "╌" | "┊" | "⠀"))
                    && !taken.iter().any(|(other, cells)| *other == row && cells.contains(&at))
            };
            let left = (0..=column.min(field.width - wide)).rev().find(|left| (*left..left + wide).all(bare));
            let left = left.unwrap_or(column);
            for at in left..(left + wide).min(field.width) {
                if let Some(cell) = buffer.cell_mut((field.x + at, field.y + row)) {
                    cell.reset();
                }
            }
            put(frame, field, row, left, &words, paint.of(meaning));
            taken.push((row, left..left + wide));
        }
    }

    fn curves(&self, frame: &mut Frame<'_>, field: Rect, paint: &Paint) {
        let levels: Vec<(f64, u16)> =
            self.levels.iter().filter_map(|it| Some((it.value, self.row(it.value, field)?))).collect();
        for curve in self.curves {
            let style = paint.of(curve.meaning);
            let dots = Dots {
                curve,
                x: self.x,
                y: self.y,
                columns: usize::from(field.width) * 2,
                rows: usize::from(field.height) * 4,
                levels: &levels,
                colour: style.fg.unwrap_or(Color::Reset),
            };
            Canvas::default()
                .marker(Marker::Braille)
                .x_bounds([0.0, 1.0])
                .y_bounds([0.0, 1.0])
                .paint(|context| context.draw(&dots))
                .render(field, frame.buffer_mut());
        }
    }

    fn cursor(&self, frame: &mut Frame<'_>, field: Rect, paint: &Paint) {
        let Some(column) = self.cursor.and_then(|it| self.column(it, field)) else { return };
        for row in 0..field.height {
            let place = (field.x + column, field.y + row);
            if let Some(cell) = frame.buffer_mut().cell_mut(place) {
                if cell.symbol() == " " || cell.symbol() == "╌" || cell.symbol() == "┊" {
                    cell.set_symbol("│");
                    cell.set_style(paint.of(Meaning::Strong));
                } else {
                    cell.modifier.insert(Modifier::REVERSED);
                }
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
