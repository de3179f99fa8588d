//! One unit system for a whole report: what it prints, in words and numbers.

use super::number;
use crate::units::{Area, Length, METRES_PER_FOOT, Pitch, Surface, True};

/// The units of every number written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OutputUnits {
    /// Feet and inches, square feet.
    #[default]
    Feet,
    /// Metres, square metres, millimetres.
    Metres,
}

impl OutputUnits {
    /// Full-precision factor from feet to the unit of lengths.
    pub(crate) const fn per_foot(self) -> f64 {
        match self {
            Self::Feet => 1.0,
            Self::Metres => METRES_PER_FOOT,
        }
    }
    /// Full-precision factor from square feet to the unit of areas.
    pub(crate) const fn per_square_foot(self) -> f64 {
        self.per_foot() * self.per_foot()
    }
    /// Whether metres are written.
    pub(crate) const fn is_metric(self) -> bool {
        matches!(self, Self::Metres)
    }
    /// `ft` or `m`.
    pub(crate) const fn length_key(self) -> &'static str {
        match self {
            Self::Feet => "ft",
            Self::Metres => "m",
        }
    }
    /// `ft2` or `m2`, as machines read it.
    pub(crate) const fn area_key(self) -> &'static str {
        match self {
            Self::Feet => "ft2",
            Self::Metres => "m2",
        }
    }
    /// `ft²` or `m²`, as people read it.
    pub(crate) const fn area_sign(self) -> &'static str {
        match self {
            Self::Feet => "ft²",
            Self::Metres => "m²",
        }
    }
    /// The words of the title block's field for lengths.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Feet => "ft and in",
            Self::Metres => "metres",
        }
    }
    /// A length as written along a line: `18′-9⅛″`, `5.72 m`.
    pub(crate) fn length(self, feet: f64) -> String {
        match self {
            Self::Feet => number::feet_inches(feet),
            Self::Metres => format!("{} m", number::decimal(feet * METRES_PER_FOOT, 2)),
        }
    }
    /// A height that a law gives in feet: `6 ft`, `1.8 m (6 ft)`.
    pub(crate) fn feet_of_law(self, feet: f64) -> String {
        match self {
            Self::Feet => format!("{feet} ft"),
            Self::Metres => {
                let metres = number::decimal(feet * METRES_PER_FOOT, 1);
                format!("{metres} m ({feet} ft)")
            }
        }
    }
    /// A length that something must reach at least: never less than it is.
    pub(crate) fn length_at_least(self, feet: f64) -> String {
        // An eighth of an inch, a centimetre; what is over by the last bits alone is not.
        let step_ft = match self {
            Self::Feet => 1.0 / 96.0,
            Self::Metres => 0.01 / METRES_PER_FOOT,
        };
        self.length((feet / step_ft - 1e-6).ceil() * step_ft)
    }
    /// A length in a schedule, whose head says the unit: `147.00`, `44.806`.
    pub(crate) fn schedule_length(self, feet: f64) -> String {
        number::decimal(feet * self.per_foot(), self.schedule_places())
    }
    /// Places of a length in a schedule.
    pub(crate) const fn schedule_places(self) -> u32 {
        match self {
            Self::Feet => 2,
            Self::Metres => 3,
        }
    }
    /// An area without its unit, two places.
    pub(crate) fn area<S: Surface>(self, area: Area<S>) -> String {
        number::decimal(area.to_square_feet() * self.per_square_foot(), 2)
    }
    /// A small measure of work: `1″`, `25 mm`.
    pub(crate) fn small<S: Surface>(self, length: Length<S>) -> String {
        match self {
            Self::Feet => number::inches(length.to_inches()),
            Self::Metres => format!("{} mm", number::decimal(length.to_millimetres(), 0)),
        }
    }
    /// A measure that a tape is set to: sixteenths of an inch, `5⁹⁄₁₆″`; whole millimetres, `141 mm`.
    pub(crate) fn tape(self, inches: f64) -> String {
        match self {
            Self::Feet => number::inches_to_sixteenth(inches),
            Self::Metres => self.small(Length::<True>::inches(inches)),
        }
    }
    /// What [`Self::tape`] says, in inches.
    pub(crate) fn tape_in(self, inches: f64) -> f64 {
        let per_inch = match self {
            Self::Feet => 16.0,
            Self::Metres => 25.4,
        };
        number::rounded(inches * per_inch, 0) / per_inch
    }
    /// A residual: three places of an inch, or tenths of a millimetre.
    pub(crate) fn residual(self, feet: f64) -> String {
        match self {
            Self::Feet => format!("{} in", number::decimal(feet * 12.0, 3)),
            Self::Metres => format!("{} mm", number::decimal(feet * METRES_PER_FOOT * 1000.0, 1)),
        }
    }
    /// A residual of a check, or what it may be, in the unit that checks measure it in.
    pub(crate) fn of_check(self, value: f64, unit: &str) -> String {
        match unit {
            "ft" => self.residual(value),
            "ft²" => format!(
                "{} {}",
                number::decimal(value * self.per_square_foot(), 2),
                self.area_sign()
            ),
            "" => number::trimmed(value, 2),
            unit => format!("{} {unit}", number::decimal(value, 2)),
        }
    }
    /// A pitch: `6/12`; metric papers add the angle: `6/12, 26.6°`; `flat`.
    pub(crate) fn pitch(self, pitch: Pitch) -> String {
        if pitch.to_degrees() < crate::roof::FLAT_BELOW_DEG {
            return "flat".to_owned();
        }
        let ratio = format!("{}/12", number::rise_in_12(pitch.to_in_12()));
        match self {
            Self::Feet => ratio,
            Self::Metres => format!("{ratio}, {}°", number::decimal(pitch.to_degrees(), 1)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::OutputUnits;

    #[test]
    fn a_height_of_the_law_is_told_in_metres_with_its_feet() {
        assert_eq!(OutputUnits::Feet.feet_of_law(6.0), "6 ft");
        assert_eq!(OutputUnits::Metres.feet_of_law(6.0), "1.8 m (6 ft)");
    }

    #[test]
    fn what_is_reached_at_least_is_never_told_as_less() {
        let told = |feet: f64| {
            [OutputUnits::Feet, OutputUnits::Metres].map(|units| units.length_at_least(feet))
        };
        // 55.285 in are 4 ft 7 2/8 in and a little, 1.40424 m.
        assert_eq!(told(55.285 / 12.0), ["4′-7⅜″", "1.41 m"]);
        assert_eq!(told(4.5 + 1e-12)[0], "4′-6″");
    }
}
