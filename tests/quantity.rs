//! Quantities from the outside: what people type, what they are told, what they are shown.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use proofmark::quantity::blunder::{outside_typed, suspect_typed};
use proofmark::quantity::table::UNITS;
use proofmark::quantity::units::{find, look_up};
use proofmark::quantity::*;
use proptest::prelude::*;

fn si(text: &str, dimension: Dimension) -> f64 {
    parse_quantity(text, dimension, None).unwrap_or_else(|error| panic!("{text}: {error}")).si
}

fn refusal(text: &str, dimension: Dimension) -> String {
    match parse_quantity(text, dimension, None) {
        Ok(read) => panic!("{text} was read as {read:?}"),
        Err(error) => error.message,
    }
}

fn same(got: f64, expected: f64, what: &str) {
    assert!((got - expected).abs() <= 1e-9 * expected.abs(), "{what}: {got}, not {expected}");
}

// ---- what people type ---------------------------------------------------------------------------------------

#[test]
fn lengths_as_typed() {
    const IN: f64 = 0.0254;
    for (text, metres) in [
        ("1 3/4 in", 1.75 * IN),
        ("1-3/4 in", 1.75 * IN),
        ("1 - 3/4in", f64::NAN),
        ("1¾\"", 1.75 * IN),
        ("1 ¾ in", 1.75 * IN),
        ("½ in", 0.5 * IN),
        ("⅛″", 0.125 * IN),
        ("27/64 in", 0.421_875 * IN),
        ("27/64\"", 0.421_875 * IN),
        ("27⁄64 in", 0.421_875 * IN),
        ("27/64 drill", 0.421_875 * IN),
        ("5 mm drill", 0.005),
        ("0.120\"", 0.12 * IN),
        (".065 in", 0.065 * IN),
        (".065 IN.", 0.065 * IN),
        ("65 thou", 0.065 * IN),
        ("#7", 0.201 * IN),
        ("#7 drill", 0.201 * IN),
        ("no. 7 drill", 0.201 * IN),
        ("letter U drill", 0.368 * IN),
        ("drill U", 0.368 * IN),
        ("5 ft 2 in", 62.0 * IN),
        ("5'2\"", 62.0 * IN),
        ("5'-2 1/2\"", 62.5 * IN),
        ("5′ 2″", 62.0 * IN),
        ("5ft2in", 62.0 * IN),
        ("1 m 20 cm", 1.2),
        ("1.234,5 mm", 1.2345),
        ("1,234.5 mm", 1.2345),
        ("1 234,5 mm", 1.2345),
        ("1\u{a0}234,5\u{202f}mm", 1.2345),
        ("1_000 mm", 1.0),
        ("1,234,567 mm", 1234.567),
        ("0,123 mm", 0.000_123),
        ("66,68 mm", 0.066_68),
        ("66.68 MM", 0.066_68),
        ("50 µm", 5e-5),
        ("50 μm", 5e-5),
        ("−3 mm", -0.003),
        ("+3 mm", 0.003),
        ("3.5e1 mm", 0.035),
        ("5. mm", 0.005),
    ] {
        if metres.is_nan() {
            refusal(text, Dimension::Length);
        } else {
            same(si(text, Dimension::Length), metres, text);
        }
    }
}

#[test]
fn other_quantities_as_typed() {
    use Dimension as D;
    for (text, dimension, expected) in [
        ("1 lb 14 oz", D::Mass, 30.0 * 0.028_349_523_125),
        ("1lb14oz", D::Mass, 30.0 * 0.028_349_523_125),
        ("2 h 5 min", D::Time, 7500.0),
        ("2h5min", D::Time, 7500.0),
        ("1 day 2 h", D::Time, 93_600.0),
        ("5,2 MPa", D::Pressure, 5.2e6),
        ("5,2 mpa", D::Pressure, 5.2e6),
        ("5.2 MPA", D::Pressure, 5.2e6),
        ("3.5e6 Pa", D::Pressure, 3.5e6),
        ("5.2 N/mm²", D::Pressure, 5.2e6),
        ("1,500.0 psi", D::Pressure, 1500.0 * 6_894.757_293_168_361),
        ("10 Msi", D::Pressure, 1e7 * 6_894.757_293_168_361),
        ("420 lbf", D::Force, 420.0 * 4.448_221_615_260_5),
        ("420 lb", D::Force, 420.0 * 4.448_221_615_260_5),
        ("951 Ns", D::Impulse, 951.0),
        ("951 N.s", D::Impulse, 951.0),
        ("951 N s", D::Impulse, 951.0),
        ("951 ns", D::Impulse, 951.0),
        ("0.951 kN s", D::Impulse, 951.0),
        ("1 lbf-s", D::Impulse, 4.448_221_615_260_5),
        ("176 degC", D::Temperature, 449.15),
        ("176°C", D::Temperature, 449.15),
        ("176 ℃", D::Temperature, 449.15),
        ("-5 degC", D::Temperature, 268.15),
        ("10 degC", D::TemperatureDifference, 10.0),
        ("18 degF", D::TemperatureDifference, 10.0),
        ("1680 kg/m^3", D::Density, 1680.0),
        ("1.68 g/cc", D::Density, 1680.0),
        ("1680 kg per m3", D::Density, 1680.0),
        ("23.6e-6 1/K", D::Expansion, 23.6e-6),
        ("23.6e-6 /K", D::Expansion, 23.6e-6),
        ("23.6e-6 per K", D::Expansion, 23.6e-6),
        ("23.6 ppm/K", D::Expansion, 23.6e-6),
        ("23.6 µm/m/K", D::Expansion, 23.6e-6),
        ("4.6e-10 1/Pa", D::Compressibility, 4.6e-10),
        ("287.05 J/kg/K", D::SpecificGasConstant, 287.05),
        ("287.05 J/(kg K)", D::SpecificGasConstant, 287.05),
        ("28.97 g/mol", D::MolarMass, 0.028_97),
        ("20 tpi", D::PerLength, 20.0 / 0.0254),
        ("20 threads per inch", D::PerLength, 20.0 / 0.0254),
        ("1.2 ohm", D::Resistance, 1.2),
        ("850 mΩ", D::Resistance, 0.85),
        ("49.6 cu in", D::Volume, 49.6 * 1.638_706_4e-5),
        ("0.5 sq. in.", D::Area, 0.5 * 6.4516e-4),
        ("7 mm/s", D::Speed, 0.007),
        ("12°", D::Angle, 12.0_f64.to_radians()),
    ] {
        same(si(text, dimension), expected, text);
    }
}

#[test]
fn gauge_and_absolute_are_kept_apart() {
    for text in ["5 MPa abs", "5 MPa absolute", "5 MPa (abs)", "50 bara", "50 bar a", "5 MPaa", "5 MPa(a)"] {
        assert_eq!(Typed::<GaugePressure>::parse(text, None).unwrap().si(), 5e6 - 101_325.0, "{text}");
        assert_eq!(Typed::<AbsolutePressure>::parse(text, None).unwrap().si(), 5e6, "{text}");
    }
    for text in ["5 MPa gauge", "5 MPa gage", "50 barg", "5 MPag", "5 MPa(g)", "5 MPa g", "50 BARG"] {
        assert_eq!(Typed::<GaugePressure>::parse(text, None).unwrap().si(), 5e6, "{text}");
        assert_eq!(Typed::<AbsolutePressure>::parse(text, None).unwrap().si(), 5e6 + 101_325.0, "{text}");
    }
    assert_eq!(Typed::<AbsolutePressure>::parse("5 MPa", None).unwrap().si(), 5e6);
    let stress = Typed::<Stress>::parse("35 ksi abs", None).unwrap_err().message;
    assert!(stress.contains("stress or strength"), "{stress}");
    assert_eq!(Typed::<Stress>::parse("35 ksi", None).unwrap().value, Stress::ksi(35.0));
    assert_eq!(Typed::<Length>::parse("25.4 mm", None).unwrap().value, Length::inches(1.0));
}

#[test]
fn default_units_apply_to_bare_numbers_only() {
    let read = parse_quantity("66.68", Dimension::Length, Some("mm")).unwrap();
    assert_eq!((read.si, read.unit.as_str()), (0.066_68, "mm"));
    assert_eq!(parse_quantity("2 in", Dimension::Length, Some("mm")).unwrap().si, 0.0508);
    assert_eq!(parse_quantity("27/64", Dimension::Length, Some("in")).unwrap().si, 27.0 / 64.0 * 0.0254);
    let fraction = parse_quantity("27/64", Dimension::Length, Some("mm")).unwrap_err().message;
    assert!(fraction.contains("\"27/64 in\""), "{fraction}");
    assert!(parse_quantity("5", Dimension::Length, Some("psi")).is_err());
    assert_eq!(Typed::<Length>::parse(" 66.68 ", Some("mm")).unwrap().typed.as_deref(), Some("66.68 mm"));
    assert_eq!(Typed::<Length>::parse("2 in", Some("mm")).unwrap().typed.as_deref(), Some("2 in"));
    assert_eq!(parse_quantity("#7", Dimension::Length, None).unwrap().unit, "#7 drill");
}

// ---- what they are told -------------------------------------------------------------------------------------

#[test]
fn every_refusal_says_what_would_be_accepted() {
    use Dimension as D;
    for (text, dimension, says) in [
        ("66.68", D::Length, "\"66.68\" has no unit: write \"66.68 mm\" or \"66.68 in\""),
        ("951", D::Impulse, "\"951\" has no unit: write \"951 N·s\""),
        ("", D::Length, "nothing was typed; a length is typed like"),
        ("  ", D::Length, "nothing was typed"),
        ("5 MPa", D::Length, "\"5 MPa\" is a pressure, but a length is asked for, such as \"66.68 mm\""),
        ("5 mm2", D::Length, "is an area, but a length"),
        ("#7 drill", D::Pressure, "is a length, but a pressure"),
        ("#98", D::Length, "numbers run from #1 to #97, letters from A to Z"),
        ("letter 7", D::Length, "no drill size"),
        ("5 furlongs", D::Length, "no unit is called \"furlongs\"; a length is typed like"),
        ("5 mPa", D::Pressure, "\"mPa\" mixes up milli and mega: was it \"5 MPa\"?"),
        ("5 Mm", D::Length, "was it \"5 mm\"?"),
        ("5 mn", D::Force, "could be"),
        ("1,234 mm", D::Length, "could be 1.234 or 1234: write \"1.234\" or \"1234\""),
        ("1,23,456 mm", D::Length, "mixes commas and points"),
        ("1.2,3.4 mm", D::Length, "mixes commas and points"),
        ("inf mm", D::Length, "does not start with a number"),
        ("NaN mm", D::Length, "does not start with a number"),
        ("1e999 mm", D::Length, "too large"),
        ("1e308 km", D::Length, "too large"),
        ("1e-999 mm", D::Length, "too small"),
        ("1/0 in", D::Length, "divides by zero"),
        ("1 5/4 in", D::Length, "a fraction of one or more"),
        ("1/2/3 in", D::Length, "not a fraction"),
        ("1/99999999999 in", D::Length, "too many digits"),
        ("1 lb 20 oz", D::Mass, "one lb or more"),
        ("1 in 2 mm", D::Length, "puts mm after in"),
        ("2 in 1 ft", D::Length, "puts ft after in"),
        ("5 ft -2 mm", D::Length, "puts mm after ft"),
        ("1 lb -2 oz", D::Mass, "minus sign in the middle"),
        ("5 ft 2", D::Length, "2 has no unit"),
        ("5 MPa\u{1b}[31m", D::Pressure, "\\u{1b}"),
        ("5 \u{202e}MPa", D::Pressure, "control character"),
        ("５ MPa", D::Pressure, "not one of 0 to 9"),
        ("٥ MPa", D::Pressure, "not one of 0 to 9"),
    ] {
        let message = refusal(text, dimension);
        assert!(message.contains(says), "{text:?}: {message}");
        assert!(!message.contains('\u{1b}') && !message.contains('\u{202e}'), "{text:?} echoed raw");
    }
    let long = refusal(&"9".repeat(100_000), Dimension::Length);
    assert!(long.contains("longer than 200") && long.len() < 200, "{long}");
}

#[test]
fn what_cannot_be_negative_is_refused_when_typed() {
    let message = Typed::<Length>::parse("-5 mm", None).unwrap_err().message;
    assert!(message.contains("a length cannot be negative; a length is typed like"), "{message}");
    assert!(Typed::<Mass>::parse("-1 g", None).is_err());
    assert!(Typed::<Length>::parse("-1e-12 m", None).is_err());
    assert!(Typed::<Length>::parse("-0 mm", None).unwrap().si().is_sign_positive());
    assert!(Typed::<Stress>::parse("-240 MPa", None).is_err());
    assert!(Typed::<Temperature>::parse("-274 degC", None).unwrap_err().message.contains("absolute zero"));
    assert_eq!(Typed::<Temperature>::parse("-459.67 degF", None).unwrap().si(), 0.0);
    assert!(Typed::<AbsolutePressure>::parse("-1 Pa", None).unwrap_err().message.contains("below a vacuum"));
    assert!(Typed::<GaugePressure>::parse("-0.5 bar", None).is_ok());
    assert!(Typed::<GaugePressure>::parse("-1.1 bar", None).is_err());
    assert_eq!(Typed::<GaugePressure>::parse("0 MPa abs", None).unwrap().si(), -101_325.0);
    assert_eq!(Typed::<Force>::parse("-12 N", None).unwrap().si(), -12.0);
    assert_eq!(Typed::<Length>::parse("0 mm", None).unwrap().si(), 0.0);
}

#[test]
fn plain_numbers() {
    for (text, value) in
        [("0.36", 0.36), ("0,36", 0.36), ("3/4", 0.75), ("-2", -2.0), ("1e-3", 1e-3), ("½", 0.5)]
    {
        assert_eq!(parse_number(text), Ok(value), "{text}");
    }
    for text in ["", "1,234", "5 mm", "5 %", "nan", "0x10", "1 2"] {
        assert!(parse_number(text).is_err(), "{text}");
    }
    assert_eq!(parse_ratio("0,5 %"), Ok(0.005));
    assert_eq!(parse_ratio("3 percent"), Ok(0.03));
    assert!(parse_ratio("%").is_err());
    for (text, value) in [("8", 8), ("1,000", 1000), ("1 000", 1000), ("1_000_000", 1_000_000)] {
        assert_eq!(parse_whole(text), Ok(value), "{text}");
    }
    for text in ["", "-1", "2.5", "1,00", "8 bolts", "99999999999999999999"] {
        assert!(parse_whole(text).is_err(), "{text}");
    }
}

#[test]
fn a_file_may_hold_the_words() {
    let typed: Typed<Length> = serde_json::from_str("\"2 5/8 in\"").unwrap();
    assert_eq!(typed.typed.as_deref(), Some("2 5/8 in"));
    let json = serde_json::to_string(&typed).unwrap();
    assert_eq!(serde_json::from_str::<Typed<Length>>(&json).unwrap(), typed);
    for bad in ["66.68", "\"66.68\"", "\"5 MPa\"", "null", "[]", "{}"] {
        assert!(serde_json::from_str::<Typed<Length>>(bad).is_err(), "{bad}");
    }
    #[derive(serde::Deserialize)]
    struct Form {
        od: Typed<Length>,
    }
    assert_eq!(toml::from_str::<Form>("od = \"2.000 in\"").unwrap().od.si(), 0.0508);
}

// ---- what they are shown ------------------------------------------------------------------------------------

#[test]
fn warnings_speak_the_units_that_were_typed() {
    let slip = suspect_typed("7.38 psi", Dimension::Pressure, 7.38 * 6_894.757, 7.38e6).unwrap();
    assert_eq!(slip.message, "7.38 psi is 1/145 of what is expected (1070 psi): was it MPa?");
    let bare = suspect(Dimension::Length, 0.033_34, 0.066_68).unwrap();
    assert_eq!(bare.message, "33.34 mm is half what is expected (66.68 mm): was it a radius?");
    let hostile = outside_typed("850 bar\u{1b}[2J", Dimension::Pressure, 85e6, 0.3e6, 25e6).unwrap();
    assert!(!hostile.message.contains('\u{1b}'), "{}", hostile.message);
}

// ---- properties ---------------------------------------------------------------------------------------------

fn any_dimension() -> impl Strategy<Value = Dimension> {
    prop::sample::select(Dimension::ALL)
}

/// Text made of the bits people type, so that the reader gets past the first character.
fn shop_text() -> impl Strategy<Value = String> {
    let bits = prop::sample::select(vec![
        "1", "0", "27", "64", "/", " ", ".", ",", "-", "−", "e", "E9", "#", "drill", "letter", "U", "no.",
        "in", "'", "\"", "mm", "MPa", "abs", "psig", "lb", "oz", "½", "°", "C", "%", "_", "at", "@", "(",
        ")", "·", "µ", "\u{a0}", "kg", "per", "1/K", "ß", "İ", "K", "h", "min",
    ]);
    prop::collection::vec(bits, 0..14).prop_map(|bits| bits.concat())
}

fn survives(text: &str, dimension: Dimension) {
    for default in [None, Some("mm"), Some("psi")] {
        match parse_quantity(text, dimension, default) {
            Ok(read) => assert!(read.si.is_finite()),
            Err(error) => {
                assert!(!error.message.is_empty() && error.message.len() < 1200);
                assert!(!error.message.chars().any(char::is_control), "{:?}", error.message);
            }
        }
    }
    let _ = (parse_number(text), parse_ratio(text), parse_whole(text), parse_burn_rate(text));
    let _ = (convert(text, text), convert("5 MPa", text), convert(text, "mm"), look_up(text, dimension));
    let _ = outside_typed(text, dimension, 5.0, 0.0, 1.0);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in any::<String>(), dimension in any_dimension()) {
        survives(&text, dimension);
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300), dimension in any_dimension()) {
        survives(&String::from_utf8_lossy(&bytes), dimension);
    }

    #[test]
    fn no_shop_text_makes_it_panic(text in shop_text(), dimension in any_dimension()) {
        survives(&text, dimension);
    }

    #[test]
    fn every_unit_round_trips(index in 0..UNITS.len(), value in 1e-3..1e6_f64) {
        let unit = &UNITS[index];
        let read = si(&format!("{value} {}", unit.symbol), unit.dimension);
        prop_assert!((unit.from_si(read) - value).abs() <= 1e-9 * value.max(unit.offset / unit.scale));
    }

    #[test]
    fn what_is_shown_reads_back(
        dimension in any_dimension(),
        us in any::<bool>(),
        exponent in -9.0..9.0_f64,
        negative in any::<bool>(),
    ) {
        let magnitude = 10.0_f64.powf(exponent);
        let value = if negative && dimension != Dimension::Temperature { -magnitude } else { magnitude };
        let system = if us { System::Us } else { System::Si };
        let shown = show_si(value, dimension, system);
        let read = parse_quantity(&shown, dimension, None);
        prop_assert!(read.is_ok(), "{} was shown as {}: {:?}", value, shown, read);
        let read = read.unwrap();
        let number = shown.split_once([' ', '°']).unwrap().0;
        let unit = if shown.ends_with('°') { "°" } else { shown.split_once(' ').unwrap().1 };
        let unit = find(unit, dimension).unwrap();
        let half_digit = match number.split_once('e') {
            Some((_, exponent)) => 0.5e-3 * 10.0_f64.powi(exponent.parse().unwrap()),
            None => 0.5 * 10.0_f64.powi(-(number.split_once('.').map_or(0, |(_, decimals)| decimals.len()) as i32)),
        };
        // Trailing zeros of an angle or a temperature are not shown.
        let half_digit = match dimension {
            Dimension::Temperature if !number.contains('e') => 0.05,
            Dimension::Angle if !number.contains('e') => 0.005,
            _ => half_digit,
        };
        let slack = half_digit * unit.scale * 1.000_001 + 1e-12 * value.abs();
        prop_assert!((read.si - value).abs() <= slack, "{} was shown as {}, read as {}", value, shown, read.si);
    }

    #[test]
    fn a_shown_length_settles(mm in 0.02..9999.0_f64, us in any::<bool>()) {
        let system = if us { System::Us } else { System::Si };
        let once = show(Length::mm(mm), system);
        let again = show(Typed::<Length>::parse(&once, None).unwrap().value, system);
        prop_assert_eq!(once, again);
    }

    #[test]
    fn a_shown_pressure_keeps_its_footing(mpa in 0.2..60.0_f64, us in any::<bool>()) {
        let system = if us { System::Us } else { System::Si };
        let absolute = AbsolutePressure::mpa(mpa);
        let read = Typed::<AbsolutePressure>::parse(&show(absolute, system), None).unwrap();
        prop_assert!((read.si() / absolute.si() - 1.0).abs() < 0.006);
        let as_gauge = Typed::<GaugePressure>::parse(&show(absolute, system), None).unwrap();
        prop_assert!((read.si() - as_gauge.si() - STANDARD_ATMOSPHERE_PA).abs() < 1e-6);
    }

    #[test]
    fn a_slip_is_its_own_remedy(mpa in 0.5..25.0_f64) {
        let typed = mpa * 145.037_737_7;
        let text = format!("{typed:.3} bar");
        let slip = suspect_typed(&text, Dimension::Pressure, typed * 1e5, mpa * 1e6).unwrap();
        prop_assert_eq!(slip.meant.as_deref(), Some("psi"));
        prop_assert!((slip.would_be_si.unwrap() / (mpa * 1e6) - 1.0).abs() < 1e-6);
    }
}
