//! Numbers inside sentences.

/// Four significant figures, plain: "1652", "23.45", "0.001234".
pub fn figures(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let before = value.abs().log10().floor() as i32 + 1;
    let decimals = usize::try_from(4 - before).unwrap_or(0).min(12);
    format!("{value:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_figures() {
        for (value, text) in [
            (1652.1988, "1652"),
            (23.452, "23.45"),
            (0.0012344, "0.001234"),
            (-7.0, "-7.000"),
            (123_456.7, "123457"),
            (0.0, "0"),
        ] {
            assert_eq!(figures(value), text);
        }
    }
}
