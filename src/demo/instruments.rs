//! What the invented club measures with, and who signs. Keyed in last, as the list was begun late.

use super::club::{CONDUCTOR, INSPECTOR, KEEPER, SAFETY};
use super::{DemoError, Telling};
use crate::book::Kind;

pub(super) fn tell(telling: &mut Telling) -> Result<(), DemoError> {
    let on = "2026-09-12";
    let gauges: &[&[(&str, &str)]] = &[
        &[
            ("serial", "G-03"),
            ("what", "pressure gauge"),
            ("full_scale", "25 MPa"),
            ("calibrated_on", "2026-08-20"),
            ("calibration_due", "2027-08-20"),
            ("certificate", "deadweight tester of the works next door"),
            ("pressure_uncertainty", "0.1 MPa"),
        ],
        &[
            ("serial", "M-02"),
            ("what", "micrometer"),
            ("least", "50 mm"),
            ("most", "75 mm"),
            ("calibrated_on", "2026-03-02"),
            ("calibration_due", "2027-03-02"),
            ("certificate", "50 mm setting rod"),
            ("uncertainty", "0.006 mm"),
        ],
        &[
            ("serial", "D-01"),
            ("what", "dial gauge"),
            ("least", "0 mm"),
            ("most", "1 mm"),
            ("calibrated_on", "2026-03-02"),
            ("calibration_due", "2027-03-02"),
            ("uncertainty", "0.003 mm"),
        ],
        &[
            ("serial", "K-01"),
            ("what", "calipers"),
            ("least", "0 mm"),
            ("most", "150 mm"),
            ("calibrated_on", "2025-06-01"),
            ("calibration_due", "2026-06-01"),
            ("uncertainty", "0.03 mm"),
        ],
    ];
    for fields in gauges {
        telling.log(Kind::Gauge, on, KEEPER, fields)?;
    }
    let studies: &[(&str, &str, &str)] = &[
        (
            "M-02",
            "T-05 at 120 mm, 0 deg",
            "66.675 mm\n66.679 mm\n66.672 mm\n66.676 mm\n66.681 mm\n66.674 mm\n66.670 mm\n66.677 mm\n66.678 mm\n66.673 mm",
        ),
        (
            "D-01",
            "setting rod under the saddle",
            "0.501 mm\n0.500 mm\n0.502 mm\n0.499 mm\n0.501 mm\n0.500 mm\n0.498 mm\n0.501 mm\n0.500 mm\n0.502 mm",
        ),
        ("K-01", "T-05 at 120 mm, 0 deg", "66.68 mm\n66.65 mm\n66.71 mm\n66.69 mm\n66.64 mm\n66.70 mm"),
    ];
    for (gauge, measured, lengths) in studies {
        telling.log(
            Kind::Study,
            on,
            INSPECTOR,
            &[
                ("gauge", gauge),
                ("measured", measured),
                ("lengths", lengths),
                ("remark", "part and tool at 19 degC"),
            ],
        )?;
    }
    for (name, role, remark) in [
        (KEEPER, "keeper", "lathe"),
        ("Tobias Quill", "welder", "a friend of the club"),
        (CONDUCTOR, "test conductor", ""),
        (SAFETY, "safety officer", ""),
        (INSPECTOR, "second inspector", "new this year"),
    ] {
        let mut fields = vec![("name", name), ("role", role)];
        if !remark.is_empty() {
            fields.push(("remark", remark));
        }
        telling.log(Kind::Person, on, KEEPER, &fields)?;
    }
    Ok(())
}
