//! Stand files the club found on an old laptop: invented readings that fit the firings on its sheets.

use std::fmt::Write as _;

use chrono::NaiveDate;

use super::club::{self, KEEPER};
use super::{DemoError, Telling};
use crate::book::{Details, Kind};
use crate::store::Filter;

/// Readings a second.
const RATE: u32 = 400;

/// A file: the casing, the day, its name, and thrust in newtons so many seconds after ignition.
struct Kept {
    casing: &'static str,
    on: &'static str,
    file: &'static str,
    burn_s: f64,
    thrust_n: fn(f64) -> f64,
}

/// A stack that burns as planned: a rise of 40 ms, a hump, a tail-off.
fn stack(t: f64, peak_n: f64, burn_s: f64) -> f64 {
    let x = (t / burn_s).clamp(0.0, 1.0);
    let body = peak_n * (0.80 + 0.20 * (std::f64::consts::PI * x).sin());
    let rise = (t / 0.04).clamp(0.0, 1.0);
    let fall = if t > burn_s { (-(t - burn_s) / 0.02).exp() } else { 1.0 };
    body * rise * fall
}

const KEPT: &[Kept] = &[
    Kept {
        casing: "Thistle",
        on: "2022-04-02",
        file: "thistle-1.csv",
        burn_s: 1.93,
        thrust_n: |t| stack(t, 512.0, 1.93),
    },
    // A cracked grain: far over the plan at once, falling back as the crack burns out.
    Kept {
        casing: "Thistle",
        on: "2024-09-28",
        file: "thistle-6.csv",
        burn_s: 1.56,
        thrust_n: |t| {
            let raised = 552.0 + 430.0 * (-(t - 0.06).max(0.0) / 0.26).exp();
            let rise = (t / 0.06).clamp(0.0, 1.0);
            let fall = if t > 1.56 { (-(t - 1.56) / 0.02).exp() } else { 1.0 };
            raised * rise * fall
        },
    },
    // Gas past the aft seal from 1.1 s on.
    Kept {
        casing: "Finch",
        on: "2026-08-15",
        file: "finch-5.csv",
        burn_s: 1.78,
        thrust_n: |t| stack(t, 316.0, 1.78) * (1.0 - 0.12 * ((t - 1.10) / 0.02).clamp(0.0, 1.0)),
    },
];

/// Put the files into the book, each beside its firing.
pub(super) fn tell(telling: &mut Telling) -> Result<(), DemoError> {
    let folder = Folder::new()?;
    for kept in KEPT {
        let Some(casing) = club::casing(kept.casing).map(|built| built.serial) else { continue };
        let path = folder.0.join(kept.file);
        std::fs::write(&path, readings(kept))
            .map_err(|source| DemoError::Io { path: path.clone(), source })?;
        let lines = telling.desk.book().lines(&Filter::CasingAndParts(casing.to_owned()), NaiveDate::MAX)?;
        let firing = lines.iter().find(|line| {
            let of_it =
                matches!(&line.entry.entry.details, Details::Firing(record) if record.casing == casing);
            of_it && line.entry.entry.happened_on.to_string() == kept.on
        });
        let Some(firing) = firing.map(|line| line.entry.number.to_string()) else { continue };
        let path = path.to_string_lossy();
        let fields = [("casing", casing), ("firing", firing.as_str()), ("file", path.as_ref())];
        telling.log(Kind::Trace, kept.on, KEEPER, &fields)?;
    }
    Ok(())
}

/// The file as the logger wrote it: milliseconds and pounds, a cell that is off by a little and scatters.
fn readings(kept: &Kept) -> String {
    const POUND_N: f64 = 4.448_221_615_260_5;
    let mut text = String::from("Time (ms),Load (lbf)\n");
    let mut seed = 20_261_003_u32;
    for i in 0..((kept.burn_s + 3.2) * f64::from(RATE)) as u32 {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let scatter = f64::from(seed >> 8) / f64::from(1_u32 << 24) - 0.5;
        let clock = f64::from(i) / f64::from(RATE);
        let t = clock - 1.5;
        let thrust = if t > 0.0 { (kept.thrust_n)(t) } else { 0.0 };
        let _ = writeln!(text, "{:.1},{:.2}", clock * 1e3, thrust / POUND_N + 0.6 * scatter + 0.35);
    }
    text
}

/// A folder of one's own, gone again afterwards.
struct Folder(std::path::PathBuf);

impl Folder {
    fn new() -> Result<Self, DemoError> {
        use std::sync::atomic::{AtomicU32, Ordering};
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let name = format!("proofmark-demo-{}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed));
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir(&path).map_err(|source| DemoError::Io { path: path.clone(), source })?;
        Ok(Self(path))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
