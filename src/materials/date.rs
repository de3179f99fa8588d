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
