//! A scanner over normalised text: numbers with the step of their last digit, words, signs.

/// Reads a normalised text from left to right.
#[derive(Clone)]
pub(crate) struct Scanner<'a> {
    rest: &'a str,
}

/// A number as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Number {
    /// Its value.
    pub(crate) value: f64,
    /// One unit of its last digit; for a fraction, one over the denominator.
    pub(crate) step: f64,
    /// Written with digits only: no point, comma or fraction.
    pub(crate) whole: bool,
}

impl<'a> Scanner<'a> {
    pub(crate) fn new(text: &'a str) -> Self {
        Self { rest: text.trim() }
    }
    pub(crate) fn rest(&self) -> &'a str {
        self.rest
    }
    pub(crate) fn at_end(&self) -> bool {
        self.rest.trim_start().is_empty()
    }
    pub(crate) fn skip_blanks(&mut self) {
        self.rest = self.rest.trim_start();
    }
    /// Takes the sign after blanks, if it is next.
    pub(crate) fn sign(&mut self, sign: char) -> bool {
        match self.rest.trim_start().strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }
    /// Takes the first of the words that is next (after blanks) and ends there, with an optional full stop.
    pub(crate) fn word(&mut self, words: &[&str]) -> bool {
        let rest = self.rest.trim_start();
        for word in words {
            if let Some(after) = rest.strip_prefix(word)
                && !after.starts_with(|c: char| c.is_alphanumeric() || c == '²')
            {
                self.rest = after.strip_prefix('.').unwrap_or(after);
                return true;
            }
        }
        false
    }
    /// Takes the first of the words that is next, right before a digit.
    pub(crate) fn word_before_digits(&mut self, words: &[&str]) -> bool {
        let rest = self.rest.trim_start();
        let mut after = words.iter().filter_map(|w| rest.strip_prefix(w));
        let taken = after.find(|a| a.starts_with(|c: char| c.is_ascii_digit()));
        self.rest = taken.unwrap_or(self.rest);
        taken.is_some()
    }
    /// A whole or decimal number after blanks: `6`, `6.5`, `.5`, `6,5`, `2,450`, `1 234,5` is not one.
    pub(crate) fn decimal(&mut self) -> Option<Number> {
        let rest = self.rest.trim_start();
        let end = rest
            .find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',')
            .unwrap_or(rest.len());
        let written = rest[..end].trim_end_matches([',', '.']);
        let number = read_decimal(written)?;
        self.rest = &rest[written.len()..];
        Some(number)
    }
    /// `1/2` after blanks, with a numerator below the denominator.
    pub(crate) fn fraction(&mut self) -> Option<Number> {
        let mut ahead = self.clone();
        let over = ahead.decimal()?;
        if !ahead.rest.starts_with('/') {
            return None;
        }
        ahead.rest = &ahead.rest[1..];
        if !ahead.rest.starts_with(|c: char| c.is_ascii_digit()) {
            return None;
        }
        let under = ahead.decimal()?;
        let proper = over.whole && under.whole && over.value < under.value;
        if !proper || under.value <= 0.0 || over.value <= 0.0 {
            return None;
        }
        *self = ahead;
        Some(Number {
            value: over.value / under.value,
            step: 1.0 / under.value,
            whole: false,
        })
    }
    /// `6`, `6.5`, `1/2`, `6 1/2`, `6-1/2`. The fraction's denominator must be one that rulers have: so `6/12` is none, and
    /// of `1 6/12` only the 1 is taken.
    pub(crate) fn mixed(&mut self) -> Option<Number> {
        let mut ahead = self.clone();
        if let Some(fraction) = ahead.ruler_fraction() {
            *self = ahead;
            return Some(fraction);
        }
        let whole = self.decimal()?;
        if !whole.whole {
            return Some(whole);
        }
        let mut ahead = self.clone();
        let parted = ahead.rest.starts_with([' ', '-']);
        if parted {
            ahead.rest = ahead.rest[1..].trim_start();
            if let Some(fraction) = ahead.ruler_fraction() {
                *self = ahead;
                return Some(Number {
                    value: whole.value + fraction.value,
                    step: fraction.step,
                    whole: false,
                });
            }
        }
        Some(whole)
    }
    fn ruler_fraction(&mut self) -> Option<Number> {
        const RULER: [f64; 10] = [2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 16.0, 32.0, 64.0];
        let mut ahead = self.clone();
        let fraction = ahead.fraction()?;
        let under = (1.0 / fraction.step).round();
        if !RULER.contains(&under) {
            return None;
        }
        *self = ahead;
        Some(fraction)
    }
}

fn read_decimal(written: &str) -> Option<Number> {
    if !written.contains(|c: char| c.is_ascii_digit()) || written.len() > 24 {
        return None;
    }
    let points = written.matches('.').count();
    let commas = written.matches(',').count();
    let (plain, decimals) = match (points, commas) {
        (0, 0) => (written.to_string(), 0),
        (1, 0) => (written.to_string(), decimals_after(written, '.')),
        (_, 0) => return None,
        _ if is_grouped(written) => {
            let plain = written.replace(',', "");
            let decimals = decimals_after(&plain, '.');
            (plain, decimals)
        }
        (0, 1) => (written.replace(',', "."), decimals_after(written, ',')),
        _ => return None,
    };
    let value: f64 = plain.parse().ok()?;
    Some(Number {
        value,
        step: 10.0_f64.powi(-(decimals as i32)),
        whole: decimals == 0 && points == 0,
    })
}

fn decimals_after(written: &str, sign: char) -> usize {
    written.split_once(sign).map_or(0, |(_, d)| d.len())
}

/// Thousands parted by commas: `2,450`, `1,002,450.5`. Not `0,470`, which is a decimal comma, nor `1.073,3`, whose point
/// parts thousands.
fn is_grouped(written: &str) -> bool {
    let (whole, after) = written.split_once('.').unwrap_or((written, ""));
    if after.contains(',') {
        return false;
    }
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len()) && first != "0" && groups.all(|g| g.len() == 3)
}
