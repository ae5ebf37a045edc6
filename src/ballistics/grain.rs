//! BATES stacks: hollow cylinders that burn on the core and on the end faces that are not inhibited.

use std::f64::consts::{FRAC_PI_4, PI};

use serde::Serialize;

use super::thrust::disc_m2;
use crate::design::InputError;
use crate::design::error::positive;
use crate::quantity::{Area, Length, Quantity, Volume};

/// The most grains a stack may have.
const MOST_GRAINS: u32 = 200;

/// One grain, in SI numbers that have been checked.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Grain {
    outside_m: f64,
    core_m: f64,
    length_m: f64,
    /// Burning end faces, 0 to 2.
    faces: f64,
}

impl Grain {
    fn new(
        outside_diameter: Length,
        core: Length,
        length: Length,
        burning_faces: u32,
    ) -> Result<Self, InputError> {
        let outside_m = positive("outside_diameter", outside_diameter)?;
        let core_m = positive("core", core)?;
        let length_m = positive("length", length)?;
        if core_m >= outside_m {
            return Err(InputError::outside(
                "core",
                format!("{:.3} mm", core_m * 1e3),
                format!("a core below the outside diameter, {:.3} mm", outside_m * 1e3),
            ));
        }
        Ok(Self { outside_m, core_m, length_m, faces: f64::from(burning_faces) })
    }

    /// How far it burns before it is gone: through the wall, or along the length where that is sooner.
    fn web_m(&self) -> f64 {
        let wall_m = (self.outside_m - self.core_m) / 2.0;
        if self.faces > 0.0 { wall_m.min(self.length_m / self.faces) } else { wall_m }
    }

    fn area_m2(&self, x_m: f64) -> f64 {
        let core_m = self.core_m + 2.0 * x_m;
        let length_m = (self.length_m - self.faces * x_m).max(0.0);
        PI * core_m * length_m + self.faces * (disc_m2(self.outside_m) - disc_m2(core_m)).max(0.0)
    }

    fn volume_m3(&self, x_m: f64) -> f64 {
        if x_m >= self.web_m() {
            return 0.0;
        }
        let core_m = self.core_m + 2.0 * x_m;
        (disc_m2(self.outside_m) - disc_m2(core_m)) * (self.length_m - self.faces * x_m)
    }
}

/// A grain of a stack whose grains differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrainSize {
    /// Outside diameter, inhibited.
    pub outside_diameter: Length,
    /// Core DIAMETER.
    pub core: Length,
    /// Length.
    pub length: Length,
    /// Inhibited end faces, 0 to 2.
    pub inhibited_ends: u32,
}

/// A stack of grains, equal or not, burning together.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    grains: Vec<Grain>,
}

/// A stretch of web over which the area is smooth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub from_m: f64,
    pub to_m: f64,
}

impl Stack {
    /// Equal grains; `inhibited_ends` counts the inhibited end FACES of the whole stack and is spread one a
    /// grain, then the second one a grain.
    ///
    /// # Errors
    /// No grain or more than 200, a core not below the outside, more inhibited faces than faces.
    pub fn equal(
        count: u32,
        outside_diameter: Length,
        core: Length,
        length: Length,
        inhibited_ends: u32,
    ) -> Result<Self, InputError> {
        if !(1..=MOST_GRAINS).contains(&count) {
            return Err(InputError::outside("count", count, "1 to 200 grains"));
        }
        if inhibited_ends > 2 * count {
            return Err(InputError::outside(
                "inhibited_ends",
                inhibited_ends,
                format!("inhibited end faces of the whole stack, 0 to {}", 2 * count),
            ));
        }
        let (each, over) = (inhibited_ends / count, inhibited_ends % count);
        let grains = (0..count)
            .map(|index| Grain::new(outside_diameter, core, length, 2 - each - u32::from(index < over)))
            .collect::<Result<_, _>>()?;
        Ok(Self { grains })
    }

    /// Grains that differ, forward end first.
    ///
    /// # Errors
    /// As [`Stack::equal`], for each grain.
    pub fn of(grains: &[GrainSize]) -> Result<Self, InputError> {
        if grains.is_empty() || grains.len() > MOST_GRAINS as usize {
            return Err(InputError::outside("count", grains.len(), "1 to 200 grains"));
        }
        let grains = grains
            .iter()
            .map(|it| match it.inhibited_ends {
                0..=2 => Grain::new(it.outside_diameter, it.core, it.length, 2 - it.inhibited_ends),
                more => {
                    Err(InputError::outside("inhibited_ends", more, "0, 1 or 2 inhibited faces of a grain"))
                }
            })
            .collect::<Result<_, _>>()?;
        Ok(Self { grains })
    }

    /// How far the last grain burns.
    pub fn web(&self) -> Length {
        Length::from_si(self.web_m())
    }

    pub(super) fn web_m(&self) -> f64 {
        self.grains.iter().map(Grain::web_m).fold(0.0, f64::max)
    }

    /// Propellant left when the surface has receded this far.
    pub fn volume_at(&self, web: Length) -> Volume {
        Volume::from_si(self.grains.iter().map(|it| it.volume_m3(web.si())).sum())
    }

    /// Burning area when the surface has receded this far; at the very moment a grain is gone, without it.
    pub fn area_at(&self, web: Length) -> Area {
        let x_m = web.si();
        Area::from_si(self.grains.iter().filter(|it| it.web_m() > x_m).map(|it| it.area_m2(x_m)).sum())
    }

    /// The area at a web inside a stretch, either end of it included as the limit from inside.
    pub(super) fn area_in(&self, stretch: Stretch, x_m: f64) -> f64 {
        let alive = |it: &&Grain| it.web_m() > stretch.from_m;
        self.grains.iter().filter(alive).map(|it| it.area_m2(x_m)).sum()
    }

    /// The web cut where a grain goes out and where the area peaks.
    pub(super) fn stretches(&self) -> Vec<Stretch> {
        let mut ends: Vec<f64> = self.grains.iter().map(Grain::web_m).collect();
        ends.sort_by(f64::total_cmp);
        // Grains that differ by a rounding go out together.
        ends.dedup_by(|later, earlier| *later - *earlier <= 1e-12 * *later);
        let mut stretches = Vec::new();
        let mut from_m = 0.0;
        for to_m in ends {
            let whole = Stretch { from_m, to_m };
            match self.vertex(whole) {
                Some(peak_m) => {
                    stretches.push(Stretch { from_m, to_m: peak_m });
                    stretches.push(Stretch { from_m: peak_m, to_m });
                }
                None => stretches.push(whole),
            }
            from_m = to_m;
        }
        stretches
    }

    /// Where inside a stretch the area, a parabola there, has its peak.
    fn vertex(&self, stretch: Stretch) -> Option<f64> {
        let alive = self.grains.iter().filter(|it| it.web_m() > stretch.from_m);
        // dA/dx = 2 pi sum(L - f d - 3 f x).
        let (constant, slope) = alive.fold((0.0, 0.0), |(constant, slope), it| {
            (constant + it.length_m - it.faces * it.core_m, slope + 3.0 * it.faces)
        });
        let peak_m = constant / slope;
        let margin_m = 1e-9 * (stretch.to_m - stretch.from_m);
        (slope > 0.0 && peak_m > stretch.from_m + margin_m && peak_m < stretch.to_m - margin_m)
            .then_some(peak_m)
    }

    /// The core's area at the start over the throat's, of the grain with the least core.
    pub(super) fn port_to_throat(&self, throat_m: f64) -> f64 {
        (self.least_core_m() / throat_m).powi(2)
    }

    /// The narrowest core of the stack.
    pub(super) fn least_core_m(&self) -> f64 {
        self.grains.iter().map(|it| it.core_m).fold(f64::INFINITY, f64::min)
    }

    /// The room the stack takes up, core included.
    pub(super) fn envelope_m3(&self) -> f64 {
        self.grains.iter().map(|it| FRAC_PI_4 * it.outside_m * it.outside_m * it.length_m).sum()
    }

    /// Area at the start, at its greatest and at the end, web, volume, and the neutral length.
    ///
    /// Formula (a grain with f burning faces): A = pi (d + 2x)(L - f x) + f (pi/4)(D^2 - (d + 2x)^2);
    /// web = (D - d)/2, or L/f where that is less; neutral length, at which the area ends as it began,
    /// = f (3 D + d)/4, with the mean f of the stack. Greatest area of equal grains at x = (L - f d)/(3 f).
    /// Valid for cylinders that burn evenly, the outside inhibited or bonded. "Neutral" means that start and
    /// end agree: between them a free grain with D = 3 d burns 7/6 of that.
    /// Source: geometry; the volume equals the integral of the area over the web.
    ///
    /// ```
    /// use proofmark::ballistics::grain::Stack;
    /// use proofmark::quantity::{Length, Quantity};
    /// let stack = Stack::equal(4, Length::mm(75.0), Length::mm(25.0), Length::mm(125.0), 0)?;
    /// let bates = stack.bates();
    /// assert!((bates.area_max_m2.si() * 1e6 - 82_466.8).abs() < 0.1);
    /// assert!((bates.web_at_max_m.as_mm() - 12.5).abs() < 1e-9);
    /// # Ok::<(), proofmark::design::InputError>(())
    /// ```
    pub fn bates(&self) -> Bates {
        let stretches = self.stretches();
        let mut greatest = (0.0, 0.0);
        for stretch in &stretches {
            for x_m in [stretch.from_m, stretch.to_m] {
                let area_m2 = self.area_in(*stretch, x_m);
                if area_m2 > greatest.0 * (1.0 + 1e-12) {
                    greatest = (area_m2, x_m);
                }
            }
        }
        let end_m2 = stretches.last().map_or(0.0, |last| self.area_in(*last, last.to_m));
        let count = self.grains.len() as f64;
        let mean = |of: fn(&Grain) -> f64| self.grains.iter().map(of).sum::<f64>() / count;
        let faces = mean(|it| it.faces);
        let neutral_m = faces * (3.0 * mean(|it| it.outside_m) + mean(|it| it.core_m)) / 4.0;
        let alike = self.grains.windows(2).all(|pair| match pair {
            [one, other] => one.outside_m == other.outside_m && one.core_m == other.core_m,
            _ => true,
        });
        Bates {
            area_start_m2: self.area_at(Length::from_si(0.0)),
            area_max_m2: Area::from_si(greatest.0),
            area_end_m2: Area::from_si(end_m2),
            web_at_max_m: Length::from_si(greatest.1),
            web_m: self.web(),
            volume_m3: self.volume_at(Length::from_si(0.0)),
            neutral_length_m: (faces > 0.0 && alike).then(|| Length::from_si(neutral_m)),
        }
    }
}

/// A stack at a glance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bates {
    /// Burning area at the start.
    pub area_start_m2: Area,
    /// Greatest burning area.
    pub area_max_m2: Area,
    /// Burning area just before the last grain is gone.
    pub area_end_m2: Area,
    /// Web burned at the greatest area.
    pub web_at_max_m: Length,
    /// Web burned when the last grain is gone.
    pub web_m: Length,
    /// Propellant volume.
    pub volume_m3: Volume,
    /// Grain length at which the area ends as it began; absent where no face burns or the grains differ.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub neutral_length_m: Option<Length>,
}
