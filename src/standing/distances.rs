//! Standoff: dated tables of distance by total impulse. The largest that applies, times the club's factor for
//! metal casings. Local law and the range's own rules come first.

use crate::words;

words! {
    /// A published table.
    pub enum DistanceTable {
        /// A research-motor safety code.
        Research = "research",
        /// The commercial high-power table.
        Commercial = "commercial",
        /// California's table for experimental motors.
        California = "california",
    }

    /// One motor, or several.
    pub enum Arrangement {
        /// One motor.
        Single = "single",
        /// A cluster, stages, or anything more than one motor.
        Complex = "complex",
    }
}

/// A distance with where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Distance {
    /// Metres.
    pub metres: f64,
    /// The table's name in full, with its edition.
    pub edition: &'static str,
    /// Where it stands.
    pub source: &'static str,
}

const FOOT: f64 = 0.3048;

/// The upper bounds of the impulse bands in newton seconds, inclusive, with feet for single and complex.
type Band = (f64, f64, f64);

const RESEARCH: &[Band] = &[
    (1280.0, 200.0, 250.0),
    (2560.0, 200.0, 300.0),
    (5120.0, 300.0, 500.0),
    (10240.0, 500.0, 1000.0),
    (20480.0, 1000.0, 1500.0),
    (40960.0, 1500.0, 2000.0),
];
const COMMERCIAL: &[Band] = &[
    (1280.0, 100.0, 200.0),
    (2560.0, 200.0, 300.0),
    (5120.0, 300.0, 500.0),
    (10240.0, 500.0, 1000.0),
    (20480.0, 1000.0, 1500.0),
    (40960.0, 1500.0, 2000.0),
];
const CALIFORNIA: &[Band] = &[
    (1280.0, 150.0, 150.0),
    (2560.0, 200.0, 200.0),
    (5120.0, 300.0, 300.0),
    (10240.0, 500.0, 500.0),
    (20480.0, 1000.0, 1000.0),
];

/// The distance of a table for a total impulse; `None` above the table's last band.
pub fn distance(table: DistanceTable, arrangement: Arrangement, impulse_ns: f64) -> Option<Distance> {
    let (bands, edition, source) = match table {
        DistanceTable::Research => (
            RESEARCH,
            "Tripoli Rocketry Association, Research Safety Code, May 2016, table of minimum distances",
            "Tripoli Rocketry Association, Research Safety Code, May 2016, table of minimum distances (secondary source; the K band, 200/300 ft, from memory)",
        ),
        DistanceTable::Commercial => (
            COMMERCIAL,
            "NFPA 1127 / national high-power safety code, minimum personnel distance",
            "NFPA 1127 / national high-power safety code, minimum personnel distance (from memory)",
        ),
        DistanceTable::California => (
            CALIFORNIA,
            "California Code of Regulations, title 19, section 1036, Table 18A",
            "California Code of Regulations, title 19, section 1036, Table 18A (secondary source)",
        ),
    };
    if !(impulse_ns.is_finite() && impulse_ns > 0.0) {
        return None;
    }
    bands.iter().find(|band| impulse_ns <= band.0).map(|band| {
        let feet = match arrangement {
            Arrangement::Single => band.1,
            Arrangement::Complex => band.2,
        };
        Distance { metres: feet * FOOT, edition, source }
    })
}

/// Every table as it is looked up, a line each: source, then the distance of each band.
pub fn tables() -> Vec<String> {
    let bands = |table, arrangement| {
        let mut said: Vec<String> = Vec::new();
        for top in RESEARCH.iter().map(|band| band.0) {
            if let Some(found) = distance(table, arrangement, top) {
                said.push(format!("to {top:.0} N·s {:.0} ft ({:.0} m)", found.metres / FOOT, found.metres));
            }
        }
        said.join(", ")
    };
    DistanceTable::ALL
        .iter()
        .filter_map(|table| {
            let source = distance(*table, Arrangement::Single, 1.0)?.source;
            Some(format!(
                "{source}: one motor {}; several {}",
                bands(*table, Arrangement::Single),
                bands(*table, Arrangement::Complex)
            ))
        })
        .collect()
}

/// The largest distance of all tables that have one, times a factor.
pub fn standoff(impulse_ns: f64, arrangement: Arrangement, factor: f64) -> Option<(f64, Distance)> {
    DistanceTable::ALL
        .iter()
        .filter_map(|table| distance(*table, arrangement, impulse_ns))
        .max_by(|a, b| a.metres.total_cmp(&b.metres))
        .map(|distance| (distance.metres * factor, distance))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn research_table_of_may_2016() {
        // Tripoli Rocketry Association, Research Safety Code, May 2016: A-J 200/250, L 300/500, M 500/1000,
        // N 1000/1500, O 1500/2000 ft.
        for (impulse, single, complex) in [
            (640.0, 200.0, 250.0),
            (1280.0, 200.0, 250.0),
            (2560.01, 300.0, 500.0),
            (5120.0, 300.0, 500.0),
            (5120.01, 500.0, 1000.0),
            (20480.0, 1000.0, 1500.0),
            (40960.0, 1500.0, 2000.0),
        ] {
            let at = |arrangement| {
                distance(DistanceTable::Research, arrangement, impulse).map(|it| it.metres / 0.3048)
            };
            assert!((at(Arrangement::Single).unwrap_or(0.0) - single).abs() < 1e-9, "{impulse}");
            assert!((at(Arrangement::Complex).unwrap_or(0.0) - complex).abs() < 1e-9, "{impulse}");
        }
    }

    #[test]
    fn commercial_table() {
        // NFPA 1127: H, I, J 100/200; K 200/300; L 300/500; M 500/1000; N 1000/1500; O 1500/2000 ft.
        for (impulse, single) in
            [(320.0, 100.0), (1280.0, 100.0), (1280.01, 200.0), (4152.0, 300.0), (40960.0, 1500.0)]
        {
            let at = distance(DistanceTable::Commercial, Arrangement::Single, impulse)
                .map(|it| it.metres / 0.3048);
            assert!((at.unwrap_or(0.0) - single).abs() < 1e-9, "{impulse}");
        }
    }

    #[test]
    fn california_permits_nothing_above_20480_newton_seconds() {
        assert!(distance(DistanceTable::California, Arrangement::Single, 20480.01).is_none());
    }

    #[test]
    fn no_impulse_no_distance() {
        for impulse in [0.0, -1.0, f64::NAN, f64::INFINITY, 40960.01] {
            assert!(standoff(impulse, Arrangement::Single, 2.0).is_none());
        }
    }
}
