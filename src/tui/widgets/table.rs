//! A table whose columns give way by priority when there is no room for all of them.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::{Paint, keep_in_view, put};
use crate::tui::text;
use crate::tui::theme::Meaning;

/// A column.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its title.
    pub title: &'static str,
    /// The columns it needs.
    pub width: u16,
    /// How much of the spare room it takes.
    pub grow: u16,
    /// When it gives way: the highest first; 0 never.
    pub drop: u8,
    /// Whether its text stands at the right.
    pub right: bool,
    /// Whether it is a drawing, which the selection leaves as it is.
    pub drawing: bool,
}

/// A column that stands at the left.
pub const fn column(title: &'static str, width: u16, grow: u16, drop: u8) -> Column {
    Column { title, width, grow, drop, right: false, drawing: false }
}

/// A column of numbers.
pub const fn numbers(title: &'static str, width: u16, drop: u8) -> Column {
    Column { title, width, grow: 0, drop, right: true, drawing: false }
}

/// A column of bars.
pub const fn bars(title: &'static str, width: u16, grow: u16, drop: u8) -> Column {
    Column { title, width, grow, drop, right: false, drawing: true }
}

/// One cell: its text and style.
pub type Cell = (String, Style);

/// Where a list stands: what is selected and what is on top.
#[derive(Clone, Copy, Debug, Default)]
pub struct Place {
    /// The selected row.
    pub selected: usize,
    /// The first row shown.
    pub top: usize,
    /// How many rows were shown last.
    pub page: usize,
    /// Where the rows were drawn last, one a line.
    pub rows: Rect,
}

impl Place {
    /// Go up or down so many rows, staying on the list.
    pub fn step(&mut self, by: isize, count: usize) {
        self.selected = self.selected.saturating_add_signed(by).min(count.saturating_sub(1));
    }

    /// The row under a cell of the screen.
    pub fn row_at(&self, column: u16, row: u16, count: usize) -> Option<usize> {
        let inside = self.rows.contains(ratatui::layout::Position { x: column, y: row });
        let at = self.top + usize::from(row.saturating_sub(self.rows.y));
        (inside && at < count).then_some(at)
    }

    /// A page of rows.
    pub fn page(&self) -> isize {
        isize::try_from(self.page.saturating_sub(1).max(1)).unwrap_or(1)
    }

    /// Move as an action says; whether it was one that moves.
    pub fn act(&mut self, act: crate::tui::action::Act, count: usize) -> bool {
        use crate::tui::action::Act;
        match act {
            Act::Up => self.step(-1, count),
            Act::Down => self.step(1, count),
            Act::PageUp => self.step(-self.page(), count),
            Act::PageDown => self.step(self.page(), count),
            Act::First => self.selected = 0,
            Act::Last => self.selected = count.saturating_sub(1),
            _ => return false,
        }
        true
    }
}

/// The columns that fit, with their widths.
pub fn layout(columns: &[Column], width: u16) -> Vec<(usize, u16)> {
    let mut kept: Vec<usize> = (0..columns.len()).collect();
    let needed = |kept: &[usize]| -> u16 {
        kept.iter().map(|at| columns[*at].width + 1).fold(0, u16::saturating_add).saturating_sub(1)
    };
    let mut dropped = Vec::new();
    while needed(&kept) > width {
        let Some(worst) =
            kept.iter().copied().filter(|at| columns[*at].drop > 0).max_by_key(|at| columns[*at].drop)
        else {
            break;
        };
        kept.retain(|at| *at != worst);
        dropped.push(worst);
    }
    // A narrow column may fit where the wide ones that had to go did not.
    for at in dropped.into_iter().rev() {
        kept.push(at);
        kept.sort_unstable();
        if needed(&kept) > width {
            kept.retain(|kept| *kept != at);
        }
    }
    let spare = width.saturating_sub(needed(&kept));
    let shares: u16 = kept.iter().map(|at| columns[*at].grow).sum();
    kept.into_iter()
        .map(|at| {
            let column = columns[at];
            let more = (spare * column.grow).checked_div(shares).unwrap_or(0);
            (at, column.width + more)
        })
        .collect()
}

/// The list above, as tall as its rows where it can be, and what is said of the selected row below.
pub fn above_and_below(area: Rect, count: usize, below: u16, least: u16) -> (Rect, Rect) {
    let rows = u16::try_from(count + 1).unwrap_or(u16::MAX);
    let height = rows.min(area.height.saturating_sub(below + 1)).max(area.height.min(least));
    (
        Rect { height, ..area },
        Rect {
            y: area.y + (height + 1).min(area.height),
            height: area.height.saturating_sub(height + 1),
            ..area
        },
    )
}

/// Where in a list longer than its page one is, at the right of its titles, where they leave room.
pub fn whereabouts(
    frame: &mut Frame<'_>,
    area: Rect,
    titled: u16,
    selected: usize,
    page: usize,
    count: usize,
    paint: &Paint,
) {
    let words = format!("{} of {count}", selected + 1);
    let wide = u16::try_from(text::width(&words)).unwrap_or(u16::MAX);
    if count > page && area.width >= titled.saturating_add(wide).saturating_add(1) {
        put(frame, area, 0, area.width - wide, &words, paint.of(Meaning::Label));
    }
}

/// How many rows of a list are out of view above and below, on a line of their own below it.
pub fn out_of_view(frame: &mut Frame<'_>, area: Rect, place: &Place, count: usize, paint: &Paint) {
    let below = count.saturating_sub(place.top + place.page);
    let parts = [(place.top, "↑", "above"), (below, "↓", "below")];
    let words: Vec<String> = parts
        .into_iter()
        .filter(|(rows, ..)| *rows > 0)
        .map(|(rows, sign, side)| format!("{sign} {rows} more {side}"))
        .collect();
    put(frame, area, 0, 2, &words.join("   "), paint.of(Meaning::Key));
}

/// Draw a table; only the rows in view are asked for.
pub fn draw(
    frame: &mut Frame<'_>,
    area: Rect,
    columns: &[Column],
    place: &mut Place,
    count: usize,
    paint: &Paint,
    row: impl Fn(usize) -> Vec<Cell>,
) {
    if area.height == 0 || area.width == 0 {
        return;
    }
    let laid = layout(columns, area.width);
    let line = |frame: &mut Frame<'_>, at: u16, cells: &[Cell], over: Option<Style>| {
        let mut x = 0;
        for (column, width) in &laid {
            if let Some((words, style)) = cells.get(*column) {
                let words = text::clean(words);
                let words = if columns[*column].right {
                    text::pad_left(&words, usize::from(*width))
                } else {
                    text::pad(&words, usize::from(*width))
                };
                let over = over.filter(|_| !columns[*column].drawing);
                let style = over.map_or(*style, |over| style.patch(over));
                put(frame, area, at, x, &words, style);
                // The gap is of the cell before it, so that the bar has none.
                if over.is_some() {
                    put(frame, area, at, x + width, " ", style);
                }
            }
            x += width + 1;
        }
    };
    let titles: Vec<Cell> =
        columns.iter().map(|column| (column.title.to_owned(), paint.of(Meaning::Heading))).collect();
    line(frame, 0, &titles, None);
    let height = usize::from(area.height - 1);
    let titled: u16 = laid.iter().rev().skip(1).map(|(_, width)| width + 1).sum();
    let last = laid.last().map(|(at, width)| (columns[*at], *width));
    let titled = last.map_or(titled, |(column, width)| {
        let own = u16::try_from(text::width(column.title)).unwrap_or(width);
        titled + if column.right { width } else { own.min(width) }
    });
    place.selected = place.selected.min(count.saturating_sub(1));
    whereabouts(frame, area, titled, place.selected, height, count, paint);
    place.page = height;
    place.rows = Rect { y: area.y + 1, height: area.height - 1, ..area };
    place.top = keep_in_view(place.top, height, place.selected, place.selected + 1, count);
    for at in 0..height.min(count.saturating_sub(place.top)) {
        let index = place.top + at;
        let over = (index == place.selected).then(|| paint.of(Meaning::Selected));
        line(frame, u16::try_from(at + 1).unwrap_or(u16::MAX), &row(index), over);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_give_way_by_priority() {
        let columns = [column("a", 10, 0, 0), column("b", 10, 1, 2), column("c", 10, 0, 1)];
        assert_eq!(layout(&columns, 40), [(0, 10), (1, 18), (2, 10)]);
        assert_eq!(layout(&columns, 25), [(0, 10), (2, 10)]);
        assert_eq!(layout(&columns, 5), [(0, 10)]);
    }
}
