//! How high a column rises and where it rests, before a burn or a zero is known.

use super::error::TraceError;
use super::read::ChannelUnit;
use super::region::held_extremes;
use super::spike::longest;
use super::stats::{chosen, median, noise, quantile};

/// How high, how low, how noisy.
pub struct Scale {
    /// The quiet level, roughly.
    pub low: f64,
    /// The highest level that is held.
    pub high: f64,
    /// Scatter from one reading to the next.
    pub noise: f64,
    /// The burn is so short that its single samples must be believed.
    pub trust_single_samples: bool,
}

impl Scale {
    /// Judges a column.
    pub fn of(y: &[f64], (least, most): (f64, f64), drawn: bool, interval_s: f64) -> Self {
        if drawn {
            return Self { low: least, high: most, noise: 0.0, trust_single_samples: true };
        }
        let (high, held_low) = held_extremes(y, longest(interval_s) + 1);
        let low = if y.len() < 64 { held_low } else { quantile(&mut chosen(y), 0.05).unwrap_or(held_low) };
        let noise = if y.len() < 64 { 0.0 } else { noise(y) };
        // A level burn that fills its record leaves less than a twentieth of it quiet: then the ends know the zero.
        let low = match ends(y, noise) {
            Some(ends) if high - low < 0.7 * (high - ends) && high - ends > 20.0 * noise => ends,
            _ => low,
        };
        // A burn of a handful of samples holds no level at all: then its single samples must be believed.
        let fleeting = high - low <= 6.0 * noise || (y.len() < 200 && high - low < 0.3 * (most - low));
        if fleeting && y.len() < 2000 && most - low > 12.0 * noise {
            return Self { low, high: most, noise, trust_single_samples: true };
        }
        Self { low, high, noise, trust_single_samples: false }
    }

    /// How far the burn stands above the quiet level.
    pub fn rise(&self) -> f64 {
        self.high - self.low
    }

    /// Refuses a column that holds no burn, or one the wrong way round.
    pub fn check(&self, y: &[f64], role: &'static str, unit: ChannelUnit) -> Result<(), TraceError> {
        let rise = self.rise();
        if !(rise > 6.0 * self.noise && rise > 0.0) {
            return Err(TraceError::NoBurn {
                role,
                rise: rise.max(0.0),
                noise: self.noise,
                unit: unit.symbol(),
            });
        }
        let few = (y.len() / 50).clamp(1, 500);
        let first = median(&mut y[..few].to_vec()).unwrap_or(0.0);
        let last = median(&mut y[y.len() - few..].to_vec()).unwrap_or(0.0);
        let rest = first.min(last);
        if rest > self.low + 0.8 * rise && self.low < 0.0 && -self.low > 0.5 * rise {
            return Err(TraceError::Inverted {
                role,
                fall: rest - self.low,
                rise: (self.high - rest).max(0.0),
                unit: unit.symbol(),
            });
        }
        Ok(())
    }
}

/// The level a record begins and ends at. Where they disagree, the lower one, if it is held for four samples: one
/// sample alone may be a glitch, and a record may begin or end within the burn.
fn ends(y: &[f64], noise: f64) -> Option<f64> {
    let (least, most) = super::stats::long_extremes(y);
    let near = (6.0 * noise).min(0.1 * (most - least)) + 0.005 * (most - least);
    let level = |values: &mut dyn Iterator<Item = f64>, first: f64| {
        let mut held: Vec<f64> =
            values.take_while(|v| (v - first).abs() <= near).take(MOST_AT_AN_END).collect();
        let count = held.len();
        median(&mut held).map(|level| (level, count))
    };
    let front = level(&mut y.iter().copied(), *y.first()?)?;
    let back = level(&mut y.iter().rev().copied(), *y.last()?)?;
    if (front.0 - back.0).abs() <= 0.1 * (most - least) {
        return Some(front.0.min(back.0));
    }
    let lower = if front.0 < back.0 { front } else { back };
    (lower.1 >= HELD_AT_AN_END).then_some(lower.0)
}

/// Samples looked at, at an end.
const MOST_AT_AN_END: usize = 500;
/// Samples that make a level of one end alone.
const HELD_AT_AN_END: usize = 4;
