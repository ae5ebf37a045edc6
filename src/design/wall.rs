//! How thick may the wall be taken to be? The least measured, else the nominal less the mill tolerance.

use serde::Serialize;

use super::{InputError, ProductForm, Tube, error::positive};
use crate::quantity::{Length, Quantity};

/// What a mill may take off the nominal wall, as a fraction of it, with where that stands.
///
/// Drawn tube and extrusions 10 % (common practice after ASTM B210 and B221, from memory); pipe 12.5 %
/// (ASTM A53, A106 and B241, from memory). Plate and bar are machined to size: none comes off. A tube of
/// unstated form is taken as pipe, the loosest.
///
/// ```
/// use proofmark::design::{ProductForm, wall::mill_tolerance};
/// assert_eq!(mill_tolerance(Some(ProductForm::Pipe)).0, 0.125);
/// ```
pub fn mill_tolerance(form: Option<ProductForm>) -> (f64, &'static str) {
    match form {
        Some(ProductForm::DrawnTube) => (0.10, "drawn tube, ASTM B210 (from memory)"),
        Some(ProductForm::Extruded) => (0.10, "extruded tube, ASTM B221 (from memory)"),
        Some(ProductForm::Pipe) => (0.125, "pipe, ASTM A53, A106 and B241 (from memory)"),
        Some(ProductForm::Plate | ProductForm::Bar) => (0.0, "machined from plate or bar"),
        None => (0.125, "form not stated, so the loosest: pipe, ASTM A53, A106 and B241 (from memory)"),
    }
}

/// The wall every stress is worked out with.
///
/// It is the least wall measured, where there is one; else the nominal wall less the mill tolerance of
/// [`mill_tolerance`]. The words say which.
///
/// ```
/// use proofmark::design::{ProductForm, Tube, wall::least_wall};
/// use proofmark::quantity::{Length, Typed};
/// let tube = Tube {
///     material: "6061-T6".into(), form: Some(ProductForm::DrawnTube),
///     od: Typed::computed(Length::mm(50.0)), wall: Typed::computed(Length::mm(2.0)), wall_min: None,
///     length: None, yield_strength: None, ultimate_strength: None, modulus: None, poisson: None,
/// };
/// let (wall, words) = least_wall(&tube);
/// assert!((wall.as_mm() - 1.8).abs() < 1e-12);
/// assert!(words.contains("less 10 %"));
/// ```
pub fn least_wall(tube: &Tube) -> (Length, String) {
    if let Some(measured) = &tube.wall_min {
        return (measured.value, format!("measured least wall {:.3} mm", measured.value.as_mm()));
    }
    let (fraction, source) = mill_tolerance(tube.form);
    let wall = Length::from_si(tube.wall.si() * (1.0 - fraction));
    let words = format!(
        "nominal wall {:.3} mm less {} % mill tolerance ({source}) = {:.3} mm",
        tube.wall.value.as_mm(),
        fraction * 100.0,
        wall.as_mm()
    );
    (wall, words)
}

/// The section of a tube: outside and inside DIAMETER and the wall between them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TubeSize {
    /// Outside diameter.
    pub od_m: Length,
    /// Inside diameter.
    pub id_m: Length,
    /// Wall.
    pub wall_m: Length,
}

impl TubeSize {
    /// A tube from any two of its outside diameter, inside diameter and wall.
    ///
    /// Formula: od = id + 2 wall. Each is a length above zero; the bore must remain above zero. All three
    /// may be given when they agree within one micrometre. Otherwise an error names the input.
    ///
    /// ```
    /// use proofmark::{design::wall::TubeSize, quantity::Length};
    /// let tube = TubeSize::from_two(Some(Length::inches(3.5)), None, Some(Length::inches(0.216)))?;
    /// assert!((tube.id_m.as_mm() - 3.068 * 25.4).abs() < 1e-9);
    /// # Ok::<(), proofmark::design::InputError>(())
    /// ```
    pub fn from_two(
        od: Option<Length>,
        id: Option<Length>,
        wall: Option<Length>,
    ) -> Result<Self, InputError> {
        let od_m = od.map(|it| positive("od", it)).transpose()?;
        let id_m = id.map(|it| positive("id", it)).transpose()?;
        let t_m = wall.map(|it| positive("wall", it)).transpose()?;
        let (od_m, id_m, t_m) = match (od_m, id_m, t_m) {
            (Some(od_m), Some(id_m), Some(t_m)) => {
                if (od_m - id_m - 2.0 * t_m).abs() > 1e-6 {
                    return Err(InputError::outside(
                        "wall",
                        format!("{:.4} mm", t_m * 1e3),
                        format!(
                            "{:.4} mm with this od and id, or only two of the three",
                            (od_m - id_m) * 500.0
                        ),
                    ));
                }
                (od_m, id_m, t_m)
            }
            (Some(od_m), Some(id_m), None) => (od_m, id_m, (od_m - id_m) / 2.0),
            (Some(od_m), None, Some(t_m)) => (od_m, od_m - 2.0 * t_m, t_m),
            (None, Some(id_m), Some(t_m)) => (id_m + 2.0 * t_m, id_m, t_m),
            (None, None, _) => return Err(InputError::missing("od", "two of od, id, wall")),
            (_, None, None) => return Err(InputError::missing("id", "two of od, id, wall")),
            (None, _, None) => return Err(InputError::missing("wall", "two of od, id, wall")),
        };
        if t_m <= 0.0 {
            return Err(InputError::outside(
                "id",
                format!("{:.4} mm", id_m * 1e3),
                format!("an inside diameter below the outside diameter, {:.4} mm", od_m * 1e3),
            ));
        }
        if id_m <= 0.0 {
            return Err(InputError::outside(
                "wall",
                format!("{:.4} mm", t_m * 1e3),
                format!("a wall below half the outside diameter, {:.4} mm", od_m * 500.0),
            ));
        }
        Ok(Self { od_m: Length::from_si(od_m), id_m: Length::from_si(id_m), wall_m: Length::from_si(t_m) })
    }

    pub(crate) fn radii_m(self) -> (f64, f64) {
        (self.id_m.si() / 2.0, self.od_m.si() / 2.0)
    }
}
