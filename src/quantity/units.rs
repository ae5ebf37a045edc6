//! The units the program knows, and how a typed unit is recognised.
//!
//! The rows are in [`super::table`]; this file matches a person's spelling against them. An exact spelling
//! wins; letter case is forgiven where one unit fits and milli cannot be taken for mega.

use super::table::UNITS;

/// A kind of quantity; two dimensions never convert into each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Metres.
    Length,
    /// Square metres.
    Area,
    /// Cubic metres.
    Volume,
    /// Kilograms.
    Mass,
    /// Newtons.
    Force,
    /// Newton seconds.
    Impulse,
    /// Pascals: pressure, stress, modulus.
    Pressure,
    /// Kelvin, with an offset for degrees Celsius and Fahrenheit.
    Temperature,
    /// Kelvin of difference.
    TemperatureDifference,
    /// Seconds.
    Time,
    /// Metres a second.
    Speed,
    /// Kilograms a cubic metre.
    Density,
    /// Joules.
    Energy,
    /// Radians.
    Angle,
    /// Ohms.
    Resistance,
    /// Volts.
    Voltage,
    /// Hertz.
    Frequency,
    /// Per kelvin (thermal expansion).
    Expansion,
    /// Per pascal (compressibility).
    Compressibility,
    /// Kilograms a mole.
    MolarMass,
    /// Joules a kilogram kelvin (specific gas constant).
    SpecificGasConstant,
    /// Kilograms a second.
    MassFlow,
    /// Kilograms a metre.
    MassPerLength,
    /// Threads a metre (thread pitch given as threads per inch).
    PerLength,
}

impl Dimension {
    /// Every dimension; where a unit fits several ("lb", "degC"), the earlier one is meant.
    pub const ALL: &'static [Self] = &[
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::Force,
        Self::Impulse,
        Self::Pressure,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Time,
        Self::Speed,
        Self::Density,
        Self::Energy,
        Self::Angle,
        Self::Resistance,
        Self::Voltage,
        Self::Frequency,
        Self::Expansion,
        Self::Compressibility,
        Self::MolarMass,
        Self::SpecificGasConstant,
        Self::MassFlow,
        Self::MassPerLength,
        Self::PerLength,
    ];

    /// With its article, for a sentence: "a length", "an area".
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::Force => "a force",
            Self::Impulse => "an impulse",
            Self::Pressure => "a pressure",
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::Time => "a time",
            Self::Speed => "a speed",
            Self::Density => "a density",
            Self::Energy => "an energy",
            Self::Angle => "an angle",
            Self::Resistance => "a resistance",
            Self::Voltage => "a voltage",
            Self::Frequency => "a frequency",
            Self::Expansion => "an expansion",
            Self::Compressibility => "a compressibility",
            Self::MolarMass => "a molar mass",
            Self::SpecificGasConstant => "a gas constant",
            Self::MassFlow => "a mass flow",
            Self::MassPerLength => "a mass per length",
            Self::PerLength => "a thread count",
        }
    }

    /// Three ways to type one, for messages and placeholders.
    pub const fn examples(self) -> [&'static str; 3] {
        match self {
            Self::Length => ["66.68 mm", "2 5/8 in", "#7 drill"],
            Self::Area => ["90.3 mm2", "0.14 in2", "2.5 cm2"],
            Self::Volume => ["812 mL", "49.6 in3", "0.8 L"],
            Self::Mass => ["812 g", "1.79 lb", "1 lb 14 oz"],
            Self::Force => ["1870 N", "420 lbf", "190 kgf"],
            Self::Impulse => ["951 N·s", "214 lbf·s", "5.1 kN·s"],
            Self::Pressure => ["5.2 MPa", "750 psi", "52 bar"],
            Self::Temperature => ["20 degC", "68 degF", "293.15 K"],
            Self::TemperatureDifference => ["15 K", "15 degC", "27 degF"],
            Self::Time => ["1.8 s", "45 min", "2 h 5 min"],
            Self::Speed => ["7 mm/s", "0.28 in/s", "1370 m/s"],
            Self::Density => ["1680 kg/m3", "0.0607 lb/in3", "1.68 g/cm3"],
            Self::Energy => ["120 J", "88 ft·lbf", "1.2 kJ"],
            Self::Angle => ["12 deg", "12°", "0.21 rad"],
            Self::Resistance => ["1.2 ohm", "850 mohm", "350 Ω"],
            Self::Voltage => ["9.6 V", "12 mV", "0.5 V"],
            Self::Frequency => ["100 Hz", "1 kHz", "960 Hz"],
            Self::Expansion => ["23.6 ppm/K", "23.6e-6 1/K", "13.1e-6 1/degF"],
            Self::Compressibility => ["4.6e-10 1/Pa", "3.2e-6 1/psi", "4.6e-5 1/bar"],
            Self::MolarMass => ["28.97 g/mol", "0.02897 kg/mol", "28.97 kg/kmol"],
            Self::SpecificGasConstant => ["287.05 J/(kg·K)", "0.287 kJ/kg/K", "53.35 ft·lbf/(lb·R)"],
            Self::MassFlow => ["0.35 kg/s", "350 g/s", "0.77 lb/s"],
            Self::MassPerLength => ["1.02 kg/m", "0.685 lb/ft", "1020 g/m"],
            Self::PerLength => ["20 tpi", "20 1/in", "0.8 1/mm"],
        }
    }
}

/// What a typed pressure was said to be measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reference {
    /// "5 MPa": the field decides.
    Unstated,
    /// "5 MPa gauge", "750 psig", "50 barg".
    Gauge,
    /// "5 MPa abs", "750 psia", "50 bara".
    Absolute,
}

/// One unit: `si = value * scale + offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How the program writes it.
    pub symbol: &'static str,
    /// Other ways people type it.
    pub also: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// SI units in one of it.
    pub scale: f64,
    /// SI value at zero of it (temperatures only).
    pub offset: f64,
}

impl Unit {
    /// A value in this unit, in SI.
    ///
    /// ```
    /// use proofmark::quantity::units::{find, Dimension};
    /// let inch = find("in", Dimension::Length).unwrap();
    /// assert_eq!(inch.to_si(2.0), 0.0508);
    /// ```
    pub fn to_si(&self, value: f64) -> f64 {
        match self.parts() {
            Some(parts) => value / parts + self.offset,
            None => value * self.scale + self.offset,
        }
    }

    /// An SI value in this unit.
    ///
    /// ```
    /// use proofmark::quantity::units::{find, Dimension};
    /// let psi = find("psi", Dimension::Pressure).unwrap();
    /// assert!((psi.from_si(6_894_757.293) - 1000.0).abs() < 1e-6);
    /// ```
    #[allow(clippy::wrong_self_convention)] // "from SI into this unit" reads as it is meant
    pub fn from_si(&self, si: f64) -> f64 {
        match self.parts() {
            Some(parts) => (si - self.offset) * parts,
            None => (si - self.offset) / self.scale,
        }
    }

    /// How many of it make the SI unit, where that is a whole number: dividing by an exact 1000 rounds once,
    /// multiplying by a binary 0.001 rounds twice.
    fn parts(&self) -> Option<f64> {
        let parts = (1.0 / self.scale).round();
        (self.scale < 1.0 && (parts * self.scale - 1.0).abs() < 1e-15).then_some(parts)
    }

    fn spellings(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.symbol).chain(self.also.iter().copied())
    }
}

/// What became of looking a unit up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lookup {
    /// This one.
    Found(&'static Unit, Reference),
    /// Milli typed for mega, or the reverse ("mPa"); the unit it may have meant.
    CaseDoubt(&'static Unit),
    /// Two units differ only in letter case from what was typed.
    Ambiguous(&'static Unit, &'static Unit),
    /// No unit of that dimension.
    Unknown,
}

/// The unit of that dimension with exactly this spelling, case aside where that is safe.
///
/// ```
/// use proofmark::quantity::units::{find, Dimension};
/// assert_eq!(find("mpa", Dimension::Pressure).unwrap().symbol, "MPa");
/// assert!(find("mPa", Dimension::Pressure).is_none());
/// ```
pub fn find(text: &str, dimension: Dimension) -> Option<&'static Unit> {
    match look_up(text, dimension) {
        Lookup::Found(unit, _) => Some(unit),
        _ => None,
    }
}

/// Look a typed unit up among those of one dimension; a pressure may say gauge or absolute.
pub fn look_up(text: &str, dimension: Dimension) -> Lookup {
    let key = canonical(text);
    let plain = look_up_key(&key, dimension);
    if dimension != Dimension::Pressure || plain != Lookup::Unknown {
        return plain;
    }
    for (ending, reference) in REFERENCE_WORDS {
        let Some(cut) = key.len().checked_sub(ending.len()) else { continue };
        let (Some(stem), Some(end)) = (key.get(..cut), key.get(cut..)) else { continue };
        if !end.eq_ignore_ascii_case(ending) {
            continue;
        }
        match look_up_key(stem.trim_end_matches('·'), dimension) {
            Lookup::Found(unit, _) => return Lookup::Found(unit, *reference),
            Lookup::Unknown => {}
            doubt => return doubt,
        }
    }
    Lookup::Unknown
}

/// Longest first, so that "gauge" is not read as a unit ending in "gaug" with an "e".
const REFERENCE_WORDS: &[(&str, Reference)] = &[
    ("(absolute)", Reference::Absolute),
    ("absolute", Reference::Absolute),
    ("(gauge)", Reference::Gauge),
    ("gauge", Reference::Gauge),
    ("(gage)", Reference::Gauge),
    ("gage", Reference::Gauge),
    ("(abs)", Reference::Absolute),
    ("abs", Reference::Absolute),
    ("(g)", Reference::Gauge),
    ("(a)", Reference::Absolute),
    ("g", Reference::Gauge),
    ("a", Reference::Absolute),
];

/// What may follow an SI prefix m or M here; only for these can milli be mistaken for mega.
const PREFIXED: &[&str] = &[
    "m", "m2", "m3", "g", "s", "L", "l", "V", "N", "Pa", "J", "bar", "ohm", "Ω", "Hz", "N·s", "Ns", "m/s",
    "K",
];

fn look_up_key(key: &str, dimension: Dimension) -> Lookup {
    if key.is_empty() {
        return Lookup::Unknown;
    }
    let units = || UNITS.iter().filter(|unit| unit.dimension == dimension);
    if let Some(unit) = units().find(|unit| unit.spellings().any(|spelling| spelling == key)) {
        return Lookup::Found(unit, Reference::Unstated);
    }
    let lower = key.to_lowercase();
    let same = |spelling: &str| spelling.chars().flat_map(char::to_lowercase).eq(lower.chars());
    let mut near = units()
        .filter_map(|unit| unit.spellings().find(|spelling| same(spelling)).map(|spelling| (unit, spelling)));
    let Some((unit, spelling)) = near.next() else { return Lookup::Unknown };
    if let Some((other, _)) = near.next() {
        return Lookup::Ambiguous(unit, other);
    }
    // "mPa" for "MPa", "Mm" for "mm": the rest is spelled with care, so the prefix may be meant.
    let (typed_rest, rest) = (key.get(1..), spelling.get(1..));
    let prefix_differs = key.starts_with(['m', 'M']) && key.chars().next() != spelling.chars().next();
    if prefix_differs && typed_rest == rest && rest.is_some_and(|rest| PREFIXED.contains(&rest)) {
        return Lookup::CaseDoubt(unit);
    }
    Lookup::Found(unit, Reference::Unstated)
}

/// One spelling for the many ways a unit is written: `µ` is `u`, `³` and `^3` are `3`, every product sign
/// or space is `·`, "per" is `/`, an abbreviation's full stop is dropped.
pub fn canonical(text: &str) -> String {
    let mut words = String::with_capacity(text.len());
    let mut last = ' ';
    for c in text.trim().chars() {
        match c {
            'µ' | 'μ' => words.push('u'),
            '\u{2126}' => words.push('Ω'),
            '²' => words.push('2'),
            '³' => words.push('3'),
            '⁻' => words.push('-'),
            '¹' => words.push('1'),
            '^' => {}
            'º' | '˚' => words.push('°'),
            '℃' => words.push_str("°C"),
            '℉' => words.push_str("°F"),
            '″' | '”' | '“' => words.push('"'),
            '′' | '’' | '‘' => words.push('\''),
            '·' | '⋅' | '•' | '∙' | '*' | '×' => words.push(' '),
            '.' if last.is_alphabetic() => words.push(' '),
            c if c.is_whitespace() => words.push(' '),
            c => words.push(c),
        }
        last = c;
    }
    let mut key = String::with_capacity(words.len());
    let mut tight = true;
    for word in words.split_whitespace() {
        let word = if word.eq_ignore_ascii_case("per") { "/" } else { word };
        if !tight && !word.starts_with(['/', '(', ')', '°']) {
            key.push('·');
        }
        key.push_str(word);
        tight = word.ends_with(['/', '(', '°']);
    }
    key.replace("''", "\"")
}
