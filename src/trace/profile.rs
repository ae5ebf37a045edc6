//! The shape of a burn: at most some hundred mean readings over equal spans of time.

use super::channel::Measured;

/// Spans a burn is parted into.
const SPANS: usize = 400;

/// Mean readings over equal spans, from the first measurable reading to the last.
#[derive(Clone, Debug)]
pub struct Profile {
    /// When the first span begins.
    pub from_s: f64,
    /// How long a span is.
    pub span_s: f64,
    /// Mean tared readings.
    pub level: Vec<f64>,
    /// Noise of a mean.
    pub noise: f64,
}

impl Profile {
    /// Boils a measured channel down further.
    pub fn of(m: &Measured) -> Option<Self> {
        let (t, y) = (m.t.get(m.cells.clone())?, m.y.get(m.cells.clone())?);
        let held = if m.holds { middles(t, y) } else { (Vec::new(), Vec::new()) };
        let (t, y) = if m.holds { (held.0.as_slice(), held.1.as_slice()) } else { (t, y) };
        let (&from_s, &to_s) = (t.first()?, t.last()?);
        let spans = if m.drawn { SPANS } else { SPANS.min(t.len() / 2) };
        let span_s = (to_s - from_s) / spans as f64;
        if span_s.is_nan() || span_s <= 0.0 {
            return None;
        }
        // The integral up to each span's end, by straight lines between readings; differences are means.
        let mut level = Vec::with_capacity(spans);
        let (mut done, mut before, mut i) = (0.0, 0.0, 1);
        for k in 1..=spans {
            let end_s = if k == spans { to_s } else { from_s + span_s * k as f64 };
            while i < t.len() && t[i] <= end_s {
                done += 0.5 * (y[i] + y[i - 1]) * (t[i] - t[i - 1]);
                i += 1;
            }
            let part = match (t.get(i), t[i - 1] < end_s) {
                (Some(&next_s), true) => {
                    let share = (end_s - t[i - 1]) / (next_s - t[i - 1]);
                    let at = y[i - 1] + (y[i] - y[i - 1]) * share;
                    0.5 * (y[i - 1] + at) * (end_s - t[i - 1])
                }
                _ => 0.0,
            };
            level.push((done + part - before) / span_s);
            before = done + part;
        }
        let samples = (t.len() as f64 / spans as f64).max(1.0);
        Some(Self { from_s, span_s, level, noise: m.noise / samples.sqrt() })
    }

    /// When span `k` begins.
    pub fn at(&self, k: usize) -> f64 {
        self.from_s + self.span_s * k as f64
    }

    /// The middle of span `k`.
    pub fn middle(&self, k: usize) -> f64 {
        self.from_s + self.span_s * (k as f64 + 0.5)
    }

    /// The span a time lies in.
    pub fn index(&self, at_s: f64) -> usize {
        (((at_s - self.from_s) / self.span_s).max(0.0) as usize).min(self.level.len().saturating_sub(1))
    }

    /// Mean over spans.
    pub fn mean(&self, from: usize, to: usize) -> f64 {
        let part = self.level.get(from..to.min(self.level.len())).unwrap_or_default();
        if part.is_empty() { 0.0 } else { part.iter().sum::<f64>() / part.len() as f64 }
    }

    /// Largest level.
    pub fn top(&self) -> f64 {
        self.level.iter().copied().fold(0.0, f64::max)
    }
}

/// Held readings as one point each, in the middle of the time it is held, between the first and last stamp.
fn middles(t: &[f64], y: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let mut points: Vec<(f64, f64)> = Vec::new();
    points.extend(t.first().copied().zip(y.first().copied()));
    for i in 1..t.len() {
        if t[i] > t[i - 1] {
            points.push((f64::midpoint(t[i - 1], t[i]), y[i - 1]));
        }
    }
    points.extend(t.last().copied().zip(y.last().copied()));
    points.into_iter().unzip()
}
