//! Measures as the page prints them.

use crate::units::{Area, Length, Surface};

/// The units that every number of the page is in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Feet and inches to the nearest 1/8 in, areas in ft².
    #[default]
    Feet,
    /// Metres and m².
    Metric,
}

impl Units {
    /// A length: `18′-9⅛″`, or metres with two places.
    pub(super) fn length<S: Surface>(self, length: Length<S>) -> String {
        match self {
            Self::Feet => feet_inches(length.to_inches()),
            Self::Metric => format!("{} m", decimal(length.to_metres(), 2)),
        }
    }
    /// A length under a foot or so, such as a pipe's diameter: inches, or millimetres.
    pub(super) fn small_length<S: Surface>(self, length: Length<S>) -> String {
        match self {
            Self::Feet => feet_inches(length.to_inches()),
            Self::Metric => format!("{} mm", decimal(length.to_millimetres(), 0)),
        }
    }
    /// A length as a figure in a column headed with [`Units::length_unit`].
    pub(super) fn length_figure<S: Surface>(self, length: Length<S>) -> String {
        match self {
            Self::Feet => feet_inches(length.to_inches()),
            Self::Metric => decimal(length.to_metres(), 3),
        }
    }
    /// An area as a figure in a column headed with [`Units::area_unit`].
    pub(super) fn area_figure<S: Surface>(self, area: Area<S>) -> String {
        match self {
            Self::Feet => decimal(area.to_square_feet(), 2),
            Self::Metric => decimal(area.to_square_metres(), 2),
        }
    }
    /// An area with its unit.
    pub(super) fn area<S: Surface>(self, area: Area<S>) -> String {
        format!("{} {}", self.area_figure(area), self.area_unit())
    }
    /// The unit of area figures.
    pub(super) const fn area_unit(self) -> &'static str {
        match self {
            Self::Feet => "ft²",
            Self::Metric => "m²",
        }
    }
    /// The unit of length figures.
    pub(super) const fn length_unit(self) -> &'static str {
        match self {
            Self::Feet => "ft-in",
            Self::Metric => "m",
        }
    }
}

/// Feet and inches to the nearest 1/8 in; under a foot inches alone.
pub(super) fn feet_inches(inches: f64) -> String {
    const EIGHTHS: [&str; 8] = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];
    let eighths = (inches.abs() * 8.0).round() as u64;
    let sign = if inches < 0.0 && eighths > 0 {
        "−"
    } else {
        ""
    };
    let (feet, rest) = (eighths / 96, eighths % 96);
    let fraction = EIGHTHS[(rest % 8) as usize];
    let whole = rest / 8;
    if feet > 0 {
        return format!("{sign}{}′-{whole}{fraction}″", thousands(&feet.to_string()));
    }
    if whole == 0 && !fraction.is_empty() {
        return format!("{sign}{fraction}″");
    }
    format!("{sign}{whole}{fraction}″")
}

/// A decimal figure with a comma at the thousands and a true minus sign; halves round away from zero.
pub(super) fn decimal(value: f64, places: usize) -> String {
    let power = 10_f64.powi(places as i32);
    let scaled = value * power;
    // A value such as 2.675 that a decimal would call a half lies a hair under it in binary.
    let rounded = (scaled.abs() * (1.0 + 4.0 * f64::EPSILON)).round() / power;
    let text = format!("{rounded:.places$}");
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let sign = if value < 0.0 && rounded > 0.0 {
        "−"
    } else {
        ""
    };
    let point = if places > 0 { "." } else { "" };
    format!("{sign}{}{point}{fraction}", thousands(whole))
}

fn thousands(digits: &str) -> String {
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// A pitch as rise in 12 with at most two places: `8/12`, `6.5/12`; `flat` under 2°.
pub(super) fn pitch(face: &crate::roof::Face) -> String {
    if face.is_flat() {
        return "flat".to_owned();
    }
    format!("{}/12", rise(face))
}

/// The rise in 12 alone.
pub(super) fn rise(face: &crate::roof::Face) -> String {
    let text = decimal(face.pitch.to_in_12(), 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_set_to_the_nearest_eighth() {
        assert_eq!(feet_inches(18.0 * 12.0 + 9.13), "18′-9⅛″");
        assert_eq!(feet_inches(480.0), "40′-0″");
        assert_eq!(feet_inches(4.3), "4¼″");
        assert_eq!(feet_inches(0.25), "¼″");
        assert_eq!(feet_inches(11.97), "1′-0″");
    }

    #[test]
    fn figures_have_commas_and_round_halves_up() {
        assert_eq!(decimal(1239.245, 2), "1,239.25");
        assert_eq!(decimal(-0.001, 2), "0.00");
        assert_eq!(decimal(-1234567.0, 0), "−1,234,567");
    }
}
