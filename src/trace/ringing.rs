//! One frequency standing out of the noise: a stand that rings, or a chamber that does.

use super::channel::Measured;

/// A frequency and how strong it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// Where the stretch looked at begins.
    pub at_s: f64,
    /// Cycles a second.
    pub hertz: f64,
    /// Amplitude at the beginning of the stretch.
    pub amplitude: f64,
    /// Amplitude in the second half over that in the first.
    pub kept: f64,
}

/// At most so many readings are looked at.
const READINGS: usize = 1024;
/// At most so many frequencies.
const STEPS: usize = 400;

/// Looks for one tone in the readings from `from_s` to `to_s`.
///
/// A parabola is taken off, a raised-cosine window put on, and the strength of up to 400 frequencies between
/// three cycles a stretch and four tenths of the sampling rate is read off. The strongest is a tone when it
/// stands twenty times above the median strength, and four standard deviations of the noise high.
pub fn tone(m: &Measured, from_s: f64, to_s: f64) -> Option<Tone> {
    let from = m.t.partition_point(|&t| t < from_s);
    let to = m.t.partition_point(|&t| t <= to_s).min(from + READINGS);
    let (t, y) = (m.t.get(from..to)?, m.y.get(from..to)?);
    if t.len() < 32 || m.drawn {
        return None;
    }
    let span_s = t[t.len() - 1] - t[0];
    if span_s.is_nan() || span_s <= 0.0 {
        return None;
    }
    let n = t.len();
    let even: Vec<f64> = even(t, y);
    let rest = without_parabola(&even);
    let (low, high) = (3.0 / span_s, 0.4 * (n - 1) as f64 / span_s);
    let steps = STEPS.min((2.0 * (high - low) * span_s) as usize);
    if steps < 16 {
        return None;
    }
    let interval_s = span_s / (n - 1) as f64;
    let windowed: Vec<f64> = rest
        .iter()
        .enumerate()
        .map(|(i, y)| y * (0.5 - 0.5 * (std::f64::consts::TAU * i as f64 / (n - 1) as f64).cos()))
        .collect();
    let strengths: Vec<(f64, f64)> = (0..steps)
        .map(|k| {
            let hertz = low + (high - low) * k as f64 / (steps - 1) as f64;
            (hertz, strength(&windowed, hertz * interval_s))
        })
        .collect();
    let (hertz, best) = strengths.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let mut all: Vec<f64> = strengths.iter().map(|s| s.1).collect();
    let median = super::stats::median(&mut all)?;
    // At the lowest frequencies it is the shape of the burn that shows, not a tone.
    if best <= 20.0 * median || hertz <= low + 1.0 / span_s {
        return None;
    }
    let half = n / 2;
    let amplitude_of =
        |part: &[f64]| 2.0 * strength(part, hertz * interval_s).sqrt() / part.len().max(1) as f64;
    let (early, late) = (amplitude_of(&rest[..half]), amplitude_of(&rest[half..]));
    let amplitude = early.max(late);
    let floor = 4.0 * m.noise / (half as f64).sqrt();
    (amplitude > floor && amplitude > 0.5 * m.noise).then(|| Tone {
        at_s: t[0],
        hertz,
        amplitude,
        kept: if early > 0.0 { late / early } else { 1.0 },
    })
}

/// As many readings at even intervals, by straight lines.
fn even(t: &[f64], y: &[f64]) -> Vec<f64> {
    let n = t.len();
    let step = (t[n - 1] - t[0]) / (n - 1) as f64;
    let mut i = 1;
    (0..n)
        .map(|k| {
            let at = t[0] + step * k as f64;
            while i + 1 < n && t[i] < at {
                i += 1;
            }
            let span = t[i] - t[i - 1];
            let share = if span > 0.0 { ((at - t[i - 1]) / span).clamp(0.0, 1.0) } else { 1.0 };
            y[i - 1] + (y[i] - y[i - 1]) * share
        })
        .collect()
}

/// |Σ y e^(−2πifk)|², f in cycles a reading, by Goertzel's recursion.
fn strength(y: &[f64], cycles: f64) -> f64 {
    let twice = 2.0 * (std::f64::consts::TAU * cycles).cos();
    let (mut one, mut two) = (0.0, 0.0);
    for value in y {
        let next = value + twice * one - two;
        two = one;
        one = next;
    }
    (one * one + two * two - twice * one * two).max(0.0)
}

/// Readings less the parabola that fits them best (least squares, by Legendre polynomials on −1…1, which are
/// near enough to orthogonal on even stamps).
fn without_parabola(y: &[f64]) -> Vec<f64> {
    let n = y.len();
    let x = |i: usize| 2.0 * i as f64 / (n - 1) as f64 - 1.0;
    let mut rest = y.to_vec();
    for _ in 0..3 {
        for degree in 0..3 {
            let p = |i: usize| match degree {
                0 => 1.0,
                1 => x(i),
                _ => 1.5 * x(i) * x(i) - 0.5,
            };
            let (mut top, mut bottom) = (0.0, 0.0);
            for (i, y) in rest.iter().enumerate() {
                top += p(i) * y;
                bottom += p(i) * p(i);
            }
            let share = if bottom > 0.0 { top / bottom } else { 0.0 };
            for (i, y) in rest.iter_mut().enumerate() {
                *y -= share * p(i);
            }
        }
    }
    rest
}
