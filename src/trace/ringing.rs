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
    let rest = without_parabola(t, y);
    let (low, high) = (3.0 / span_s, 0.4 * (t.len() - 1) as f64 / span_s);
    let steps = STEPS.min((2.0 * (high - low) * span_s) as usize);
    if steps < 16 {
        return None;
    }
    let strength: Vec<(f64, f64)> = (0..steps)
        .map(|k| {
            let hertz = low + (high - low) * k as f64 / (steps - 1) as f64;
            (hertz, strength(t, &rest, hertz, true))
        })
        .collect();
    let (hertz, best) = strength.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let mut all: Vec<f64> = strength.iter().map(|s| s.1).collect();
    let median = super::stats::median(&mut all)?;
    // At the lowest frequencies it is the shape of the burn that shows, not a tone.
    if best <= 20.0 * median || hertz <= low + 1.0 / span_s {
        return None;
    }
    let half = t.len() / 2;
    let (early, late) = (
        strength_to_amplitude(strength_plain(&t[..half], &rest[..half], hertz), half),
        strength_to_amplitude(strength_plain(&t[half..], &rest[half..], hertz), t.len() - half),
    );
    let amplitude = early.max(late);
    let floor = 4.0 * m.noise / (half as f64).sqrt();
    (amplitude > floor && amplitude > 0.5 * m.noise).then(|| Tone {
        at_s: t[0],
        hertz,
        amplitude,
        kept: if early > 0.0 { late / early } else { 1.0 },
    })
}

fn strength_plain(t: &[f64], y: &[f64], hertz: f64) -> f64 {
    strength(t, y, hertz, false)
}

fn strength_to_amplitude(strength: f64, n: usize) -> f64 {
    2.0 * strength.sqrt() / n.max(1) as f64
}

/// |Σ w y e^(−2πift)|²
fn strength(t: &[f64], y: &[f64], hertz: f64, windowed: bool) -> f64 {
    let n = t.len().max(2) as f64;
    let omega = std::f64::consts::TAU * hertz;
    let (mut re, mut im) = (0.0, 0.0);
    for (i, (t, y)) in t.iter().zip(y).enumerate() {
        let weight =
            if windowed { 0.5 - 0.5 * (std::f64::consts::TAU * i as f64 / (n - 1.0)).cos() } else { 1.0 };
        let (sin, cos) = (omega * t).sin_cos();
        re += weight * y * cos;
        im += weight * y * sin;
    }
    re * re + im * im
}

/// Readings less the parabola that fits them best (least squares, by Legendre polynomials on −1…1, which are
/// near enough to orthogonal on even stamps).
fn without_parabola(t: &[f64], y: &[f64]) -> Vec<f64> {
    let (first, last) = (t[0], t[t.len() - 1]);
    let x = |t: f64| 2.0 * (t - first) / (last - first) - 1.0;
    let mut rest = y.to_vec();
    for _ in 0..3 {
        for degree in 0..3 {
            let p = |t: f64| match degree {
                0 => 1.0,
                1 => x(t),
                _ => 1.5 * x(t) * x(t) - 0.5,
            };
            let (mut top, mut bottom) = (0.0, 0.0);
            for (t, y) in t.iter().zip(&rest) {
                top += p(*t) * y;
                bottom += p(*t) * p(*t);
            }
            let share = if bottom > 0.0 { top / bottom } else { 0.0 };
            for (t, y) in t.iter().zip(&mut rest) {
                *y -= share * p(*t);
            }
        }
    }
    rest
}
