//! Metals with their published minimum strengths, parent and welded, and where the numbers stand.
//!
//! A margin is never worked out from a typical value: [`Metal::forms`] holds minima only. Typical values
//! sit apart in [`Metal::typical`], to be shown, never used. What could not be read in a source while this
//! library was written says "from memory" beside it.

use serde::Serialize;

use super::{InputError, ProductForm, Tube, derate, metals};
use crate::quantity::{Density, Length, Quantity, Stress, Temperature};

crate::words! {
    /// What kind of metal it is, which decides how heat harms it.
    pub enum Family {
        /// Aluminium alloys.
        Aluminium = "aluminium",
        /// Carbon and low-alloy steels.
        Steel = "steel",
        /// Austenitic stainless steels.
        Stainless = "stainless steel",
    }

    /// What a strength rests on.
    pub enum StrengthBasis {
        /// A published minimum.
        Minimum = "minimum",
        /// A published typical value: never used for margins.
        Typical = "typical",
        /// Taken on the owner's word or as a stand-in; flagged on every page.
        Assumed = "assumed",
    }
}

/// The minimum strengths of one product form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minimum {
    /// The forms it holds for.
    pub forms: &'static [ProductForm],
    /// Least yield (0.2 % proof) strength.
    pub yield_strength: Stress,
    /// Least ultimate tensile strength.
    pub ultimate_strength: Stress,
    /// Thickest wall or section the source gives it for.
    pub up_to: Length,
    /// Where it stands.
    pub source: &'static str,
}

/// What is left of the strength beside a fusion weld.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Welded {
    /// As welded, the lower of the published pairs.
    Strength {
        /// Yield in the softened zone.
        yield_strength: Stress,
        /// Ultimate in the softened zone.
        ultimate_strength: Stress,
        /// Where it stands.
        source: &'static str,
    },
    /// This alloy must not be fusion welded in a pressure part.
    Refused {
        /// Why.
        reason: &'static str,
    },
}

/// One listed metal in one temper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// Its name here, e.g. `6061-T6`.
    pub name: &'static str,
    /// Other names it goes by, beside forgiving spelling.
    pub also: &'static [&'static str],
    /// What kind of metal.
    pub family: Family,
    /// Minimum strengths by product form; the first is the lowest, used when no form is stated.
    pub forms: &'static [Minimum],
    /// Whether the minima are published or stand in for an unverified metal.
    pub basis: StrengthBasis,
    /// Strength beside a fusion weld.
    pub welded: Welded,
    /// Elastic modulus.
    pub modulus: Stress,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Density in kilograms a cubic metre.
    pub density_kg_m3: f64,
    /// Linear thermal expansion per kelvin, near room temperature.
    pub expansion_per_k: f64,
    /// Where modulus, Poisson's ratio, density and expansion stand.
    pub physical_source: &'static str,
    /// Typical yield and ultimate with their source: to be shown, never for margins.
    pub typical: Option<(Stress, Stress, &'static str)>,
}

impl Metal {
    /// The minimum strengths in a form; without one, the lowest published of any form.
    ///
    /// ```
    /// use proofmark::design::{ProductForm, material::find};
    /// let metal = find("6063 T6").ok_or("not listed")?;
    /// let drawn = metal.minimum(Some(ProductForm::DrawnTube)).ok_or("no such form")?;
    /// assert_eq!(drawn.yield_strength.as_mpa().round(), 190.0);
    /// let unstated = metal.minimum(None).ok_or("no form at all")?;
    /// assert_eq!(unstated.yield_strength.as_mpa().round(), 160.0);
    /// # Ok::<(), &str>(())
    /// ```
    pub fn minimum(&self, form: Option<ProductForm>) -> Option<&'static Minimum> {
        match form {
            Some(form) => self.forms.iter().find(|it| it.forms.contains(&form)),
            None => self.forms.first(),
        }
    }

    /// The forms it is listed in, in words.
    pub fn form_words(&self) -> String {
        let words: Vec<_> =
            self.forms.iter().flat_map(|it| it.forms.iter().map(|form| form.word())).collect();
        words.join(", ")
    }
}

/// Every listed metal.
pub fn all() -> &'static [Metal] {
    metals::ALL
}

/// The names of every listed metal, for a message.
pub fn names() -> String {
    metals::ALL.iter().map(|it| it.name).collect::<Vec<_>>().join(", ")
}

/// A name with case, spaces, hyphens and the usual prefixes of standards taken out.
fn plain(name: &str) -> String {
    let mut text: String =
        name.chars().filter(char::is_ascii_alphanumeric).map(|it| it.to_ascii_lowercase()).collect();
    for prefix in
        ["enaw", "aw", "en", "aisi", "sae", "aa", "astm", "alloy", "aluminium", "aluminum", "al", "steel"]
    {
        if let Some(rest) = text.strip_prefix(prefix)
            && rest.starts_with(|it: char| it.is_ascii_digit() || it == 'a')
            && rest.len() >= 3
        {
            text = rest.to_owned();
        }
    }
    text
}

/// A listed metal by a forgiving name: "6061-T6", "6061 T6", "6061t6", "EN AW-6061 T6" are one.
///
/// `None` for a metal that is not listed, and for an alloy without its temper ("6061"): a temper is never
/// guessed. "1018" and "1020" alone mean the hot-rolled bar, the weaker of the two conditions sold.
///
/// ```
/// use proofmark::design::material::find;
/// assert_eq!(find("aw-6061 T6").map(|it| it.name), Some("6061-T6"));
/// assert!(find("6061").is_none());
/// ```
pub fn find(name: &str) -> Option<&'static Metal> {
    let wanted = plain(name);
    metals::ALL.iter().find(|it| plain(it.name) == wanted || it.also.iter().any(|also| plain(also) == wanted))
}

/// [`find`], or an error that lists what there is.
pub fn get(name: &str) -> Result<&'static Metal, InputError> {
    find(name).ok_or_else(|| InputError::unlisted("material", name, format!("one of {}", names())))
}

/// The strengths margins are worked out from, for one tube.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeMetal {
    /// Listed name, or the name as typed.
    pub name: String,
    /// The listed metal, where it is one.
    pub metal: Option<&'static Metal>,
    /// Least yield.
    pub yield_strength: Stress,
    /// Least ultimate.
    pub ultimate_strength: Stress,
    /// Elastic modulus, where known.
    pub modulus: Option<Stress>,
    /// Poisson's ratio, where known.
    pub poisson: Option<f64>,
    /// What the strengths rest on.
    pub basis: StrengthBasis,
    /// Thickest wall the published minimum holds for.
    pub up_to: Option<Length>,
    /// Where they stand.
    pub source: String,
}

/// The strengths of a tube: the published minimum of a listed metal, else the design's own, as assumed.
///
/// Where a design gives its own yield or ultimate for a listed metal, the lower of that and the published
/// minimum is used. Errors: a metal that is neither listed nor given with yield and ultimate; a listed
/// metal in a form without a published minimum.
///
/// ```
/// use proofmark::design::{Tube, material::{StrengthBasis, tube_metal}};
/// use proofmark::quantity::{Length, Stress, Typed};
/// let tube = Tube {
///     material: "bed frame".into(), form: None, od: Typed::computed(Length::mm(50.0)),
///     wall: Typed::computed(Length::mm(2.0)), wall_min: None, length: None,
///     yield_strength: Some(Typed::computed(Stress::mpa(200.0))),
///     ultimate_strength: Some(Typed::computed(Stress::mpa(300.0))), modulus: None, poisson: None,
/// };
/// assert_eq!(tube_metal(&tube)?.basis, StrengthBasis::Assumed);
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn tube_metal(tube: &Tube) -> Result<TubeMetal, InputError> {
    let own = |given: &Option<crate::quantity::Typed<Stress>>| given.as_ref().map(|it| it.value);
    let Some(metal) = find(&tube.material) else {
        let accepted = || format!("one of {}, or its own yield and ultimate strength", names());
        let missing = |_| InputError::unlisted("tube.material", &tube.material, accepted());
        return Ok(TubeMetal {
            name: tube.material.clone(),
            metal: None,
            yield_strength: own(&tube.yield_strength).ok_or(()).map_err(missing)?,
            ultimate_strength: own(&tube.ultimate_strength).ok_or(()).map_err(missing)?,
            modulus: own(&tube.modulus),
            poisson: tube.poisson,
            basis: StrengthBasis::Assumed,
            up_to: None,
            source: format!("the owner's word for \"{}\", unlisted: assumed", tube.material),
        });
    };
    let minimum = metal.minimum(tube.form).ok_or_else(|| {
        InputError::outside(
            "tube.form",
            tube.form.map_or("none", ProductForm::word),
            format!("for {} one of {}", metal.name, metal.form_words()),
        )
    })?;
    let (mut fy, mut fu, mut basis) = (minimum.yield_strength, minimum.ultimate_strength, metal.basis);
    let mut source = minimum.source.to_owned();
    if let Some(given) = own(&tube.yield_strength).filter(|it| *it < fy) {
        fy = given;
        basis = StrengthBasis::Assumed;
        source.push_str("; the design's own lower yield is used");
    }
    if let Some(given) = own(&tube.ultimate_strength).filter(|it| *it < fu) {
        fu = given;
        basis = StrengthBasis::Assumed;
        source.push_str("; the design's own lower ultimate is used");
    }
    if fy > fu {
        fy = fu;
    }
    Ok(TubeMetal {
        name: metal.name.to_owned(),
        metal: Some(metal),
        yield_strength: fy,
        ultimate_strength: fu,
        modulus: Some(metal.modulus),
        poisson: Some(metal.poisson),
        basis,
        up_to: Some(minimum.up_to),
        source,
    })
}

/// What the library says of a metal.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MaterialCard {
    /// Least yield in this form.
    pub yield_pa: Stress,
    /// Least ultimate in this form.
    pub ultimate_pa: Stress,
    /// Elastic modulus.
    pub modulus_pa: Stress,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Density.
    pub density_kg_m3: Density,
    /// Linear expansion per kelvin.
    pub expansion_per_k: f64,
    /// Yield as welded; absent where fusion welding is refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub welded_yield_pa: Option<Stress>,
    /// Ultimate as welded; absent where fusion welding is refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub welded_ultimate_pa: Option<Stress>,
    /// Fraction of the room-temperature yield that is left at the temperature asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yield_fraction_at_temperature: Option<f64>,
    /// What the strengths rest on.
    pub basis: StrengthBasis,
    /// Where every number stands.
    #[serde(skip)]
    pub source: String,
    /// What to know before relying on it.
    #[serde(skip)]
    pub warnings: Vec<String>,
}

/// The published minima of a metal, by name, form and temperature.
///
/// `yield_pa` and `ultimate_pa` are room-temperature minima in the form (without a form, the lowest of
/// any form); the fraction at temperature is apart, see [`derate::yield_fraction`]. Errors: an unlisted
/// metal, a form without a published minimum, a temperature outside the published range.
/// Source: stands in the `source` of the card, one for each number.
///
/// ```
/// use proofmark::design::{ProductForm, material::card};
/// let card = card("6061-T6", Some(ProductForm::Extruded), None)?;
/// assert_eq!((card.yield_pa.as_mpa().round(), card.ultimate_pa.as_mpa().round()), (240.0, 260.0));
/// # Ok::<(), proofmark::design::InputError>(())
/// ```
pub fn card(
    name: &str,
    form: Option<ProductForm>,
    temperature: Option<Temperature>,
) -> Result<MaterialCard, InputError> {
    let metal = get(name)?;
    let minimum = metal.minimum(form).ok_or_else(|| {
        let given = form.map_or("none", ProductForm::word);
        InputError::outside("form", given, format!("for {} one of {}", metal.name, metal.form_words()))
    })?;
    let mut warnings = Vec::new();
    let mut source = format!("strength: {}; physical: {}", minimum.source, metal.physical_source);
    let (welded_yield_pa, welded_ultimate_pa) = match metal.welded {
        Welded::Strength { yield_strength, ultimate_strength, source: from } => {
            source.push_str(&format!("; welded: {from}"));
            (Some(yield_strength), Some(ultimate_strength))
        }
        Welded::Refused { reason } => {
            warnings.push(format!("{} must not be fusion welded: {reason}", metal.name));
            (None, None)
        }
    };
    if form.is_none() && metal.forms.len() > 1 {
        warnings.push("no form stated: the lowest minimum of any form is given".to_owned());
    }
    if metal.basis == StrengthBasis::Assumed {
        warnings.push("assumed: these strengths stand in for a certificate that is not there".to_owned());
    }
    let fraction = temperature.map(|it| derate::yield_fraction(metal, it)).transpose()?;
    if let Some(fraction) = &fraction {
        source.push_str(&format!("; at temperature: {}", fraction.source));
    }
    if let Some(temperature) = temperature
        && derate::overheated(metal.family, temperature)
    {
        warnings.push(derate::overheat_words(metal.family));
    }
    Ok(MaterialCard {
        yield_pa: minimum.yield_strength,
        ultimate_pa: minimum.ultimate_strength,
        modulus_pa: metal.modulus,
        poisson: metal.poisson,
        density_kg_m3: Density::from_si(metal.density_kg_m3),
        expansion_per_k: metal.expansion_per_k,
        welded_yield_pa,
        welded_ultimate_pa,
        yield_fraction_at_temperature: fraction.map(|it| it.fraction),
        basis: metal.basis,
        source,
        warnings,
    })
}
