//! Figures in the words of a line: shown short, while the line's own numbers stay whole.

use crate::units::{METRES_PER_FOOT, number};

/// Writes figures in the job's units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Words {
    metric: bool,
}

impl Words {
    pub(super) const fn new(metric: bool) -> Self {
        Self { metric }
    }
    pub(super) const fn length_unit(self) -> &'static str {
        if self.metric { "m" } else { "ft" }
    }
    pub(super) const fn area_unit(self) -> &'static str {
        if self.metric { "m²" } else { "ft²" }
    }
    /// Feet in the job's unit.
    pub(super) fn length(self, feet: f64) -> f64 {
        if self.metric {
            feet * METRES_PER_FOOT
        } else {
            feet
        }
    }
    /// Square feet in the job's unit.
    pub(super) fn area(self, square_feet: f64) -> f64 {
        if self.metric {
            square_feet * METRES_PER_FOOT * METRES_PER_FOOT
        } else {
            square_feet
        }
    }
    /// `80 ft`, `24.38 m`.
    pub(super) fn run(self, feet: f64) -> String {
        format!("{} {}", figure(self.length(feet), 2), self.length_unit())
    }
    /// `1,073.31 ft²`.
    pub(super) fn surface(self, square_feet: f64) -> String {
        format!("{} {}", figure(self.area(square_feet), 2), self.area_unit())
    }
    /// Squares of 100 ft² as a roofer counts them, or square metres: (number, unit).
    pub(super) fn squares_of(self, squares: f64) -> (f64, String) {
        if self.metric {
            (self.area(squares * 100.0), "m²".to_owned())
        } else {
            (squares, "square".to_owned())
        }
    }
    /// `20.44 squares`, `189.9 m²`.
    pub(super) fn squares(self, squares: f64) -> String {
        let (number, unit) = self.squares_of(squares);
        let s = if self.metric { "" } else { "s" };
        format!("{} {unit}{s}", figure(number, 2))
    }
    /// `922 in²`, `5,946 cm²`: net free area.
    pub(super) fn vent(self, square_inches: f64) -> String {
        if self.metric {
            format!("{} cm²", figure(square_inches * 2.54 * 2.54, 0))
        } else {
            format!("{} in²", figure(square_inches, 0))
        }
    }
    /// A length that something must have at the least: `3.33 in`, `85 mm`.
    pub(super) fn small_at_least(self, inches: f64) -> String {
        const LAST_BITS: f64 = 1e-6;
        if self.metric {
            format!("{} mm", figure((inches * 25.4 - LAST_BITS).ceil(), 0))
        } else {
            let hundredths = (inches * 100.0 - LAST_BITS).ceil();
            format!("{} in", figure(hundredths / 100.0, 2))
        }
    }
    /// As a tape shows it, to an eighth of an inch or a millimetre: `36 in`, `914 mm`.
    pub(super) fn on_tape(self, inches: f64) -> String {
        if self.metric {
            format!("{} mm", figure(inches * 25.4, 0))
        } else {
            self.small((inches * 8.0).round() / 8.0)
        }
    }
    /// `5.625 in`, `143 mm`.
    pub(super) fn small(self, inches: f64) -> String {
        if self.metric {
            format!("{} mm", figure(inches * 25.4, 1))
        } else {
            format!("{} in", figure(inches, 3))
        }
    }
}

/// A figure with at most so many decimals, no idle zeros, and commas between thousands.
pub(super) fn figure(x: f64, decimals: u32) -> String {
    let text = number::decimal(x, decimals);
    if text.contains('.') {
        let short = text.trim_end_matches('0').trim_end_matches('.');
        short.to_owned()
    } else {
        text
    }
}

/// A count of what comes whole: the one that is begun counts.
pub(super) fn whole(x: f64) -> String {
    const LAST_BITS: f64 = 1e-6;
    figure((x - LAST_BITS).ceil(), 0)
}

#[cfg(test)]
mod tests {
    use super::{Words, figure, whole};

    #[test]
    fn figures_are_short_but_not_shorter_than_they_are() {
        assert_eq!(figure(80.0, 2), "80");
        assert_eq!(figure(53.6656, 2), "53.67");
        assert_eq!(figure(100.0, 0), "100");
        assert_eq!(figure(1199.15, 2), "1,199.15");
        assert_eq!(figure(-1_234_567.0, 0), "−1,234,567");
        assert_eq!((figure(-0.004, 2), whole(0.0)), ("0".into(), "0".into()));
        assert_eq!((whole(2.0 + 1e-9), whole(2.1)), ("2".into(), "3".into()));
        assert_eq!(Words::new(true).run(10.0), "3.05 m");
        assert_eq!(Words::new(false).small(5.625), "5.625 in");
        // A half goes away from zero, as wherever a number is printed.
        assert_eq!(figure(2.125, 2), "2.13");
        assert_eq!(
            [false, true].map(|m| Words::new(m).small_at_least(3.325)),
            ["3.33 in", "85 mm"]
        );
        // 9.290304 m² to 100 ft², 6.4516 cm² to the square inch.
        let (feet, metric) = (Words::new(false), Words::new(true));
        assert_eq!(feet.surface(1073.313), "1,073.31 ft²");
        assert_eq!(metric.surface(1073.313), "99.71 m²");
        assert_eq!(feet.squares(20.44), "20.44 squares");
        assert_eq!(metric.squares(20.44), "189.89 m²");
        assert_eq!(
            (feet.vent(921.6), metric.vent(921.6)),
            ("922 in²".into(), "5,946 cm²".into())
        );
    }
}
