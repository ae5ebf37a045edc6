//! A channel as it is drawn and compared: tared readings over time.

use super::read::ChannelUnit;

/// Tared readings over time, electrical spikes put aside. A long record is boiled down to means of short
/// cells; a held reading is drawn as steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// What the readings are in.
    pub unit: ChannelUnit,
    /// Seconds; never backwards.
    pub time_s: Vec<f64>,
    /// One a time.
    pub value: Vec<f64>,
}

impl Curve {
    /// A curve from points; those that are not finite, or step back in time, are left out.
    pub fn new(unit: ChannelUnit, points: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let mut curve = Self { unit, time_s: Vec::new(), value: Vec::new() };
        for (t, y) in points {
            let forward = curve.time_s.last().is_none_or(|last| t >= *last);
            if t.is_finite() && y.is_finite() && forward {
                curve.time_s.push(t);
                curve.value.push(y);
            }
        }
        curve
    }

    /// The reading at a time, by straight lines; zero before the first and after the last.
    pub fn at(&self, time_s: f64) -> f64 {
        let after = self.time_s.partition_point(|&t| t <= time_s);
        let (Some(&y1), Some(&t1)) = (self.value.get(after), self.time_s.get(after)) else {
            return if self.time_s.last() == Some(&time_s) {
                self.value.last().copied().unwrap_or(0.0)
            } else {
                0.0
            };
        };
        let Some(before) = after.checked_sub(1) else { return 0.0 };
        let (t0, y0) = (self.time_s[before], self.value[before]);
        let share = if t1 > t0 { (time_s - t0) / (t1 - t0) } else { 1.0 };
        y0 + (y1 - y0) * share
    }

    /// The integral up to each point, by trapezoids, from a time on.
    pub fn running_integral(&self, from_s: f64) -> Vec<f64> {
        let mut sum = 0.0;
        let mut sums = Vec::with_capacity(self.time_s.len());
        for i in 0..self.time_s.len() {
            if let Some(before) = i.checked_sub(1)
                && self.time_s[i] > from_s
            {
                let t0 = self.time_s[before].max(from_s);
                let y0 = if self.time_s[before] >= from_s { self.value[before] } else { self.at(from_s) };
                sum += 0.5 * (y0 + self.value[i]) * (self.time_s[i] - t0);
            }
            sums.push(sum);
        }
        sums
    }

    /// Lowest and highest reading; `None` of an empty curve.
    pub fn range(&self) -> Option<(f64, f64)> {
        self.value.iter().fold(None, |range, &y| match range {
            None => Some((y, y)),
            Some((low, high)) => Some((f64::min(low, y), f64::max(high, y))),
        })
    }

    /// First and last time; `None` of an empty curve.
    pub fn span(&self) -> Option<(f64, f64)> {
        Some((*self.time_s.first()?, *self.time_s.last()?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_points_and_outside() {
        let curve =
            Curve::new(ChannelUnit::N, [(0.0, 0.0), (1.0, 10.0), (0.5, 3.0), (1.0, 20.0), (2.0, 0.0)]);
        assert_eq!(curve.time_s.len(), 4, "a point that steps back is left out");
        for (t, y) in [(-1.0, 0.0), (0.5, 5.0), (1.5, 10.0), (2.0, 0.0), (3.0, 0.0)] {
            assert!((curve.at(t) - y).abs() < 1e-12, "{t}");
        }
        let sums = curve.running_integral(0.5);
        assert!((sums[1] - 3.75).abs() < 1e-12 && (sums[3] - 13.75).abs() < 1e-12, "{sums:?}");
    }
}
