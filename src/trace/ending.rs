//! How a burn ends: down a tail, as a chamber empties through its nozzle, or at once.

use super::channel::{Measured, median_interval};
use super::findings::Finding;
use super::phases::Phase;
use super::words::figures;

/// No chamber empties through its own nozzle as quickly: from 80 to 30 % of a pressure takes V/(At c* Γ²) of time, Γ² the
/// flow function squared (Sutton and Biblarz 7e, section 3.3; 6 ms for the smallest of the club's casings, its grain
/// gone all at once), and a real web burns out over more than that. The limit itself is this program's own.
const QUICKEST_S: f64 = 0.005;
/// A record slower than this cannot tell.
const SLOWEST_INTERVAL_S: f64 = 0.0025;

/// A level that is gone at once, though the burn was at it: the nozzle or a closure went, or the case.
///
/// What is left behind it, where anything is, may be too weak or too short to be a phase of its own.
pub fn sudden_end(m: &Measured, phases: &[Phase]) -> Option<Finding> {
    let interval_s = median_interval(&m.t);
    if m.drawn || interval_s > SLOWEST_INTERVAL_S || m.t.len() != m.y.len() {
        return None;
    }
    let last = phases.last()?;
    let (r, level) = (&m.reduction, last.last);
    if level < 0.3 * r.peak || level < 20.0 * m.noise {
        return None;
    }
    let from = m.t.partition_point(|&t| t < last.from_s);
    let high = (from..m.cells.end.min(m.y.len())).rev().find(|&i| m.y[i] >= 0.8 * level)?;
    let low = (high + 1..m.y.len()).find(|&i| m.y[i] <= 0.3 * level)?;
    // A gap in the readings is no fall.
    let longest_s = m.t[high..=low].windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    let fall_s = m.t[low] - m.t[high];
    if fall_s > QUICKEST_S + 0.5 * interval_s || longest_s > 3.0 * interval_s {
        return None;
    }
    let burn_s = r.burn.time_s();
    let (tail_from, tail_to) = (m.t[low] + 0.02 * burn_s, m.t[low] + 0.25 * burn_s);
    let tail = &m.y[m.t.partition_point(|&t| t < tail_from)..m.t.partition_point(|&t| t <= tail_to)];
    let left = tail.iter().sum::<f64>() / tail.len().max(1) as f64;
    let unit = r.unit.symbol();
    let fell = format!(
        "from {} {unit} to under {} {unit} in {:.1} ms at {:.3} s: no chamber empties through its nozzle as quickly",
        figures(m.y[high]),
        figures(0.3 * level),
        fall_s * 1e3,
        m.t[high]
    );
    let weak = tail.len() >= 8 && left > (0.015 * r.peak).max(4.0 * m.noise / (tail.len() as f64).sqrt());
    Some(if weak {
        Finding::new(
            "sudden drop, long weak tail",
            m.t[high],
            format!("{fell}; then a mean of {} {unit} for a quarter of the burn", figures(left)),
            "nozzle, throat insert and closures in place? Case breach? Video at this moment; unburnt pieces; the zero \
             may have been taken in the tail: the impulse is a lower bound",
        )
    } else {
        Finding::new(
            "sudden end",
            m.t[high],
            fell,
            "nozzle and closures in place, case whole? Unburnt pieces? Video at this moment; was the burn as long as \
             planned? A cable or logger that let go does this too",
        )
    })
}
