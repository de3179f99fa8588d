//! Dates as job files and price lists write them.

/// Whether a text is a day of the calendar that sorts as text: `2026-11-25`.
///
/// ```
/// use eavewright::materials::is_date;
/// assert!(is_date("2026-11-25") && is_date("2028-02-29"));
/// assert!(!is_date("25.11.2026") && !is_date("2026-13-01") && !is_date("2027-02-29"));
/// ```
pub fn is_date(text: &str) -> bool {
    let written = text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| match i {
            4 | 7 => b == b'-',
            _ => b.is_ascii_digit(),
        });
    let mut parts = text.split('-').map(str::parse::<u32>);
    let (Some(Ok(year)), Some(Ok(month)), Some(Ok(day))) =
        (parts.next(), parts.next(), parts.next())
    else {
        return false;
    };
    written && (1..=days_of(year, month)).contains(&day)
}

/// The days of a month of the Gregorian calendar; none where there is no such month.
const fn days_of(year: u32, month: u32) -> u32 {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::is_date;

    #[test]
    fn a_day_is_four_two_and_two_digits_of_the_calendar() {
        for day in [
            "2026-01-01",
            "2026-12-31",
            "2026-04-30",
            "2026-02-28",
            "2028-02-29",
            "2000-02-29",
        ] {
            assert!(is_date(day), "{day}");
        }
        for other in [
            "2026-1-25",
            "2026-11-025",
            "2026-11-25-",
            "20261-1-25",
            "+026-11-25",
            "2026/11/25",
            "2026-00-10",
            "2026-13-10",
            "2026-11-00",
            "2026-11-31",
            "2026-02-29",
            // No leap year: a century that 400 does not divide.
            "2100-02-29",
        ] {
            assert!(!is_date(other), "{other}");
        }
    }
}
