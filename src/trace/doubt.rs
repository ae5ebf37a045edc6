//! What was put aside, one by one: could it have been real?

use std::ops::Range;

use super::channel::ChannelReduction;
use super::read::{Channel, ChannelUnit};
use super::spike::Excursion;
use super::stats::median;
use super::stray::Stray;

/// A hard start comes within so long of ignition (this program's own limit)…
const AFTER_IGNITION_S: f64 = 0.3;
/// …or so little ahead of the first crossing of the threshold.
const BEFORE_IGNITION_S: f64 = 0.05;
/// Another channel that shows less than this share of the excess was not there.
const SHARED: f64 = 0.25;

/// Readings that were put aside.
#[derive(Clone, Debug, PartialEq)]
pub struct PutAside {
    /// The furthest of them.
    pub at_s: f64,
    /// From the first to the last, and one interval.
    pub length_s: f64,
    /// How many.
    pub samples: usize,
    /// The furthest reading, tared.
    pub value: f64,
    /// Down instead of up.
    pub drop_out: bool,
    /// A pulse apart from the burn.
    pub apart: bool,
    /// Since ignition; under zero before it.
    pub since_ignition_s: f64,
    /// It would be the peak, and it is near ignition, or two samples long or more: it may have been real.
    pub may_be_real: bool,
    /// The other channel was read at that moment and shows nothing of it.
    pub contradicted: bool,
}

impl PutAside {
    /// A pulse apart from the burn.
    pub(super) fn pulse(y: &[f64], pulse: &Stray) -> Self {
        let value =
            y.get(pulse.range.clone()).unwrap_or_default().iter().copied().fold(pulse.height, f64::max);
        Self { apart: true, ..Self::new(pulse.at_s, pulse.length_s, pulse.range.len(), value) }
    }

    /// A jump away and back.
    pub(super) fn jump(t: &[f64], y: &[f64], range: &Range<usize>, kind: Excursion, interval_s: f64) -> Self {
        let drop_out = kind == Excursion::DropOut;
        let sign = if drop_out { -1.0 } else { 1.0 };
        let furthest = range.clone().max_by(|&a, &b| (sign * y[a]).total_cmp(&(sign * y[b])));
        let at = furthest.unwrap_or(range.start);
        let length_s = t[range.end - 1] - t[range.start] + interval_s;
        Self { drop_out, ..Self::new(t[at], length_s, range.len(), y[at]) }
    }

    fn new(at_s: f64, length_s: f64, samples: usize, value: f64) -> Self {
        Self {
            at_s,
            length_s,
            samples,
            value,
            drop_out: false,
            apart: false,
            since_ignition_s: 0.0,
            may_be_real: false,
            contradicted: false,
        }
    }

    /// The zero line taken off, and held against ignition and the peak without it.
    pub(super) fn settle(&mut self, zero: f64, ignition_s: f64, peak: f64) {
        self.value -= zero;
        self.since_ignition_s = self.at_s - ignition_s;
        let near = (-BEFORE_IGNITION_S..=AFTER_IGNITION_S).contains(&self.since_ignition_s);
        self.may_be_real = !self.drop_out && self.value > peak && (near || self.samples >= 2);
    }

    /// In words: value, time, length.
    pub fn says(&self, unit: ChannelUnit) -> String {
        let (value, unit) = match unit {
            ChannelUnit::Pa => (self.value * 1e-6, "MPa gauge"),
            other => (self.value, other.symbol()),
        };
        let samples =
            if self.samples == 1 { "1 sample".to_owned() } else { format!("{} samples", self.samples) };
        let value = super::words::figures(value);
        format!("{value} {unit} at {:.3} s for {:.1} ms ({samples})", self.at_s, self.length_s * 1e3)
    }
}

impl ChannelReduction {
    /// The peak, were what was put aside real: the careful side. `None` where nothing that may have been real is over it.
    pub fn peak_if_real(&self) -> Option<&PutAside> {
        let doubtful = self.put_aside.iter().filter(|it| it.may_be_real && !it.contradicted);
        doubtful.max_by(|a, b| a.value.total_cmp(&b.value))
    }

    /// Whether another channel contradicts what was put aside in this one.
    ///
    /// It does where it was read at that moment and shows less than a quarter of the excess that the two would share. A
    /// channel that is cut off, or had something put aside at that moment too, contradicts nothing.
    pub(super) fn contradict(&mut self, time_s: &[f64], other: &Channel, numbers: &ChannelReduction) {
        if numbers.cut_off.is_some() {
            return;
        }
        let interval_s = super::channel::median_interval(time_s);
        for it in &mut self.put_aside {
            let reach_s = it.length_s.max(2.0 * interval_s);
            if numbers.put_aside.iter().any(|of| (of.at_s - it.at_s).abs() <= of.length_s + reach_s) {
                continue;
            }
            let from = time_s.partition_point(|&t| t < it.at_s - reach_s);
            let to = time_s.partition_point(|&t| t <= it.at_s + reach_s);
            let part = other.values.get(from..to).unwrap_or_default();
            let mut read: Vec<f64> = part.iter().copied().filter(|v| v.is_finite()).collect();
            let highest = read.iter().copied().fold(f64::NEG_INFINITY, f64::max) - numbers.tare.at(it.at_s);
            // One reading among many empty cells is too little to speak against anything.
            let seen = read.len() * 2 >= part.len() && median(&mut read).is_some();
            let shared = numbers.peak * (1.0 + SHARED * (it.value / self.peak - 1.0));
            it.contradicted = seen && highest < shared;
        }
    }
}
