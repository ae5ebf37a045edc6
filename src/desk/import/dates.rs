//! Dates as old notebooks write them.

use chrono::{Datelike, NaiveDate};

use crate::book::reader::read_date;
use crate::book::reading::shorten;

/// How a date of three numbers is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayOrder {
    /// 3.10.2026 is the third of October.
    DayFirst,
    /// 10/3/2026 is the third of October.
    MonthFirst,
}

/// A date and whether it is a guess: `~2021-05-03`, `May 2021`, `2021-05`, `2021`, `3.5.2021 ?`.
///
/// A month or a year alone counts from its first day, as a guess. A date whose day and month could be swapped is
/// refused, never guessed, until the person says how the notebook writes them.
///
/// # Errors
/// It is no date; the message says what would be.
pub(super) fn read(
    text: &str,
    today: NaiveDate,
    order: Option<DayOrder>,
) -> Result<(NaiveDate, bool), String> {
    let mut bare = text.trim();
    let mut guess = false;
    for mark in ["~", "ca.", "ca ", "circa ", "about ", "approx."] {
        if let Some((head, rest)) = bare.split_at_checked(mark.len())
            && head.eq_ignore_ascii_case(mark)
        {
            bare = rest.trim();
            guess = true;
        }
    }
    if let Some(rest) = bare.strip_suffix('?') {
        bare = rest.trim();
        guess = true;
    }
    if let Ok(date) = read_date(bare, today) {
        return Ok((date, guess));
    }
    if let Some(date) = part_of(bare) {
        return Ok((date, true));
    }
    let parts: Vec<&str> = bare.split(['.', '/', '-']).map(str::trim).collect();
    let numbers: Option<Vec<u32>> = parts.iter().map(|part| part.parse().ok()).collect();
    // The year first: what is wrong is the month or the day.
    if let (Some([year, month, day]), Some([written, ..])) = (numbers.as_deref(), parts.first_chunk::<3>())
        && written.len() == 4
    {
        return Err(if !(1..=12).contains(month) {
            format!("\"{}\": there is no month {month}; the order is year, month, day", shorten(text))
        } else if (1900..2200).contains(year) {
            format!("\"{}\": {year}-{month:02} has no day {day}", shorten(text))
        } else {
            format!("\"{}\": the year is not from 1900 to 2199", shorten(text))
        });
    }
    let Some([first, second, year]) = numbers.as_deref() else {
        return Err(format!(
            "\"{}\" is not a date; write 2026-10-03 or 3 Oct 2026, 2026-10 for a guess",
            shorten(text)
        ));
    };
    let year = i32::try_from(*year).unwrap_or_default();
    if year < 1900 {
        return Err(format!("\"{}\": write the year with four digits", shorten(text)));
    }
    let day_first = NaiveDate::from_ymd_opt(year, *second, *first);
    let month_first = NaiveDate::from_ymd_opt(year, *first, *second);
    let date = match (order, day_first, month_first) {
        (Some(DayOrder::DayFirst), Some(date), _) | (Some(DayOrder::MonthFirst), _, Some(date)) => date,
        (None, Some(date), None) | (None, None, Some(date)) => date,
        (None, Some(one), Some(other)) if one == other => one,
        (None, Some(one), Some(other)) => {
            return Err(format!(
                "\"{}\" may be {one} or {other}: say how the notebook writes dates, --dates dmy or --dates mdy",
                shorten(text)
            ));
        }
        _ => return Err(format!("\"{}\" is no day of the calendar", shorten(text))),
    };
    if (1900..2200).contains(&date.year()) {
        Ok((date, guess))
    } else {
        Err(format!("the year of {date} is not from 1900 to 2199"))
    }
}

/// A year, or a year and a month.
fn part_of(text: &str) -> Option<NaiveDate> {
    let first = format!("{text}-01");
    let date = ["%Y-%m-%d", "%b %Y-%d", "%B %Y-%d"]
        .iter()
        .find_map(|pattern| NaiveDate::parse_from_str(&first, pattern).ok());
    let year = (text.len() == 4)
        .then(|| text.parse().ok())
        .flatten()
        .and_then(|year| NaiveDate::from_ymd_opt(year, 1, 1));
    date.or(year).filter(|date| (1900..2200).contains(&date.year()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn on(text: &str, order: Option<DayOrder>) -> Result<(String, bool), String> {
        read(text, NaiveDate::from_ymd_opt(2026, 10, 3).unwrap(), order)
            .map(|(date, guess)| (date.to_string(), guess))
    }

    #[test]
    fn what_is_wrong_about_a_date_is_said() {
        for (text, why) in [
            ("2021-13-01", "there is no month 13"),
            ("2021-02-30", "2021-02 has no day 30"),
            ("0021-02-03", "the year is not from 1900"),
            ("3/4/21", "write the year with four digits"),
        ] {
            let said = on(text, None).unwrap_err();
            assert!(said.contains(why), "{said}");
        }
    }

    #[test]
    fn dates_of_old_notebooks() {
        for (text, wanted, guess) in [
            ("2021-05-03", "2021-05-03", false),
            ("~2021-05-03", "2021-05-03", true),
            ("circa May 2021", "2021-05-01", true),
            ("2021-05", "2021-05-01", true),
            ("2021", "2021-01-01", true),
            ("13.5.2021 ?", "2021-05-13", true),
            ("5/13/2021", "2021-05-13", false),
            ("4/4/2021", "2021-04-04", false),
        ] {
            assert_eq!(on(text, None).unwrap(), (wanted.to_owned(), guess), "{text}");
        }
        assert_eq!(on("3/4/2021", Some(DayOrder::DayFirst)).unwrap().0, "2021-04-03");
        assert_eq!(on("3/4/2021", Some(DayOrder::MonthFirst)).unwrap().0, "2021-03-04");
        for text in ["3/4/2021", "3/4/21", "31.2.2021", "soon", "", "9999", "\u{202e}2021"] {
            assert!(on(text, None).is_err(), "{text}");
        }
    }
}
