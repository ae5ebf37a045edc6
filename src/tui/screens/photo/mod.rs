//! A photograph of the ledger: what it shows, whether its file is still the one that was logged, and the picture
//! itself, two pixels a cell, in the 256 colours nearly every terminal has; in shades of letters without colour.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Color, Style};

use super::{Cx, Screen, Step};
use crate::book::details::PhotoRecord;
use crate::desk::paper::{PhotoState, look_at_file};
use crate::quantity::{System, show};
use crate::report::picture::Raster;
use crate::store::EntryLine;
use crate::tui::action::{Act, Context};
use crate::tui::theme::Meaning;
use crate::tui::widgets::{Paint, put};
use crate::tui::work::{Progress, Work};

/// A picture is kept no larger than this: twice the rows of the largest terminal anybody has.
const KEPT: (usize, usize) = (480, 320);
/// From dark to light on a dark ground.
const SHADES: &[u8] = b" .:-=+*#%@";

/// How a photograph's file stands, and its picture where there is one to show.
struct Seen {
    state: PhotoState,
    picture: Result<Raster, String>,
}

/// How far the screen is.
enum Look {
    /// The file is read, held against its hash and decoded on another thread.
    Reading(Work<Seen>),
    /// There it is.
    Seen(Seen),
    /// The reading came to nothing.
    Lost,
}

/// A photograph.
pub struct PhotoScreen {
    number: i64,
    on: chrono::NaiveDate,
    record: PhotoRecord,
    struck_by: Option<i64>,
    look: Look,
}

impl PhotoScreen {
    /// The photograph of an entry; its file is looked at beside the keys.
    pub fn new(line: &EntryLine, record: &PhotoRecord, cx: &Cx<'_>) -> Self {
        let (path, sha256) = (cx.desk.photo_path(&record.path), record.sha256.clone());
        let look = Work::start(cx.waker, move |teller| {
            let (state, bytes) = look_at_file(&path, &sha256);
            let picture = match bytes {
                Some(bytes) if teller.go_on() => {
                    Raster::read(&bytes).map(|raster| raster.within(KEPT.0, KEPT.1))
                }
                _ => Err(format!("There is nothing to show: the file {}.", state.words())),
            };
            Seen { state, picture }
        });
        Self {
            number: line.entry.number,
            on: line.entry.entry.happened_on,
            record: record.clone(),
            struck_by: line.struck_by,
            look: Look::Reading(look),
        }
    }
}

impl Screen for PhotoScreen {
    fn context(&self) -> Context {
        Context::Read
    }

    fn title(&self) -> String {
        format!("photo {}", self.number)
    }

    fn copy(&self, _system: System) -> Option<String> {
        Some(self.record.path.clone())
    }

    fn offers(&self, act: Act) -> bool {
        !matches!(act, Act::Rig | Act::WriteAgain)
    }

    fn act(&mut self, act: Act, cx: &mut Cx<'_>) {
        if matches!(act, Act::GoOn | Act::Back) {
            cx.go(Step::Back);
        }
    }

    fn settle(&mut self, _cx: &mut Cx<'_>) {
        if let Look::Reading(work) = &mut self.look {
            match work.poll() {
                Progress::Busy(..) => {}
                Progress::Done(seen) => self.look = Look::Seen(seen),
                Progress::Lost => self.look = Look::Lost,
            }
        }
    }

    fn draw(&mut self, frame: &mut Frame<'_>, area: Rect, paint: &Paint) {
        put(frame, area, 0, 1, &self.record.caption, paint.of(Meaning::Strong));
        let place = self.record.station.as_ref().map_or_else(String::new, |station| {
            let clock = self.record.clock_deg.map_or_else(String::new, |clock| format!(" at {clock:.0} deg"));
            format!("station {}{clock}, ", show(station.value, paint.system))
        });
        let (stands, meaning) = match &self.look {
            Look::Seen(seen) if seen.state == PhotoState::AsLogged => (seen.state.words(), Meaning::Label),
            Look::Seen(seen) => (seen.state.words(), Meaning::Warns),
            Look::Reading(_) => ("is being read".to_owned(), Meaning::Label),
            Look::Lost => ("was not read to its end".to_owned(), Meaning::Warns),
        };
        let line =
            format!("{place}entry {} of {}; the file {stands}: {}", self.number, self.on, self.record.path);
        put(frame, area, 1, 1, &line, paint.of(meaning));
        let mut top = 2;
        if let Some(by) = self.struck_by {
            put(frame, area, 2, 1, &format!("struck by entry {by}"), paint.of(Meaning::Warns));
            top = 3;
        }
        let room = Rect { y: area.y.saturating_add(top), height: area.height.saturating_sub(top), ..area };
        let plain = paint.of(Meaning::Plain);
        match &self.look {
            Look::Seen(Seen { picture: Ok(raster), .. }) => picture(frame, room, raster, paint),
            Look::Seen(Seen { picture: Err(why), .. }) => put(frame, room, 1, 1, why, plain),
            Look::Reading(_) => put(frame, room, 1, 1, "reading the picture…", plain),
            Look::Lost => put(frame, room, 1, 1, "Reading it ended without a picture.", plain),
        }
    }
}

/// The picture in the middle of an area, two rows of pixels a row of cells.
fn picture(frame: &mut Frame<'_>, area: Rect, raster: &Raster, paint: &Paint) {
    if area.width == 0 || area.height == 0 {
        return;
    }
    let small = raster.within(usize::from(area.width), 2 * usize::from(area.height));
    let left = (usize::from(area.width) - small.width) / 2;
    let colour = paint.of(Meaning::Forbids).fg.is_some();
    let at = |x: usize, y: usize| small.pixels.get(y * small.width + x).filter(|_| y < small.height);
    for row in 0..small.height.div_ceil(2) {
        for column in 0..small.width {
            let (upper, lower) = (at(column, 2 * row), at(column, 2 * row + 1));
            let Some(upper) = upper else { continue };
            let (Ok(x), Ok(y)) = (u16::try_from(left + column), u16::try_from(row)) else { continue };
            let Some(cell) = frame.buffer_mut().cell_mut((area.x + x, area.y + y)) else { continue };
            if colour {
                cell.set_char('▀').set_style(Style::new().fg(nearest(*upper)));
                if let Some(lower) = lower {
                    cell.set_style(Style::new().bg(nearest(*lower)));
                }
            } else {
                let lower = lower.unwrap_or(upper);
                let light = (luminance(*upper) + luminance(*lower)) / 2;
                let shade = SHADES[light * (SHADES.len() - 1) / 255];
                cell.set_char(char::from(shade));
            }
        }
    }
}

/// ITU-R BT.601 luma, 0 to 255.
fn luminance([red, green, blue]: [u8; 3]) -> usize {
    (299 * usize::from(red) + 587 * usize::from(green) + 114 * usize::from(blue)) / 1000
}

/// The nearest of the 256 colours: the six-step cube, or the grey ramp where it is nearer.
fn nearest(pixel: [u8; 3]) -> Color {
    const STEPS: [i32; 6] = [0, 95, 135, 175, 215, 255];
    let near = |value: u8| {
        STEPS
            .iter()
            .enumerate()
            .min_by_key(|(_, step)| (**step - i32::from(value)).abs())
            .map_or(0, |(at, _)| at)
    };
    let cube = pixel.map(near);
    let away = |colour: [i32; 3]| -> i32 {
        colour.iter().zip(pixel).map(|(one, other)| (one - i32::from(other)).pow(2)).sum()
    };
    let mean = pixel.iter().map(|it| i32::from(*it)).sum::<i32>() / 3;
    let grey = ((mean - 8 + 5) / 10).clamp(0, 23);
    if away([8 + 10 * grey; 3]) < away(cube.map(|at| STEPS[at])) {
        Color::Indexed(232 + grey as u8)
    } else {
        Color::Indexed(16 + (36 * cube[0] + 6 * cube[1] + cube[2]) as u8)
    }
}
