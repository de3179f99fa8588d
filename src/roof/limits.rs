//! Slopes at which rules change, and on which side of one a pitch lies that was rounded when it was written.

use super::Face;
use super::solve::words;
use crate::units::{Pitch, number};
use crate::{Finding, Place};

/// Slopes at which the rules for asphalt shingles change: the one table that every stage judges by. The defaults are those
/// of the International Residential Code; `None` is a rule that the job has switched off.
#[derive(Clone, Debug, PartialEq)]
pub struct SlopeLimits {
    /// Shingles are not allowed below: 2 in 12 (IRC R905.2.2).
    pub shingles_from: Option<Pitch>,
    /// Double underlayment below: 4 in 12 (IRC R905.1.1, R905.2.7 in older editions).
    pub single_underlayment_from: Option<Pitch>,
    /// The maker's steep fastening above: 21 in 12 (IRC R905.2.6; older editions say 20 in 12).
    pub steep_fastening_above: Option<Pitch>,
    /// A roof above this is steep for fall protection: 4 in 12 (29 CFR 1926.500(b)).
    pub fall_protection_above: Pitch,
}

impl Default for SlopeLimits {
    fn default() -> Self {
        Self {
            shingles_from: Some(Pitch::in_12(2.0)),
            single_underlayment_from: Some(Pitch::in_12(4.0)),
            steep_fastening_above: Some(Pitch::in_12(21.0)),
            fall_protection_above: Pitch::in_12(4.0),
        }
    }
}

impl SlopeLimits {
    /// Whether a face takes no shingles: it is level, or under the least slope for them.
    pub fn refuses_shingles(&self, face: &Face) -> bool {
        face.is_flat() || self.shingles_from.is_some_and(|limit| face.is_below(limit))
    }
    /// Whether the underlayment of a face is laid double.
    pub fn doubles_underlayment(&self, face: &Face) -> bool {
        self.single_underlayment_from
            .is_some_and(|limit| face.is_below(limit))
    }
    /// Whether the pieces on a face are fastened as their maker says for steep roofs.
    pub fn takes_steep_fastening(&self, face: &Face) -> bool {
        self.steep_fastening_above
            .is_some_and(|limit| face.is_above(limit))
    }
    /// Whether a face is a steep roof for fall protection.
    pub fn is_steep_for_falls(&self, face: &Face) -> bool {
        face.is_above(self.fall_protection_above)
    }
    /// What hangs on the limits in force.
    pub(crate) fn hinges(&self) -> Vec<Hinge> {
        let hinge = |at: Pitch, what: &str, below: &str, above: &str, rule: &str| Hinge {
            at,
            below: format!("{what} {below} instead of {above} ({rule})"),
            above: format!("{what} {above} instead of {below} ({rule})"),
        };
        let shingles = (self.shingles_from)
            .map(|at| hinge(at, "shingles", "refused", "allowed", "IRC R905.2.2"));
        let underlayment = (self.single_underlayment_from)
            .map(|at| hinge(at, "underlayment", "double", "single", "IRC R905.1.1"));
        let steep = "as its maker says for steep roofs";
        let fastening = (self.steep_fastening_above)
            .map(|at| hinge(at, "fastening", "as usual", steep, "IRC R905.2.6"));
        let falls = hinge(
            self.fall_protection_above,
            "fall protection as on",
            "a low-slope roof",
            "a steep one",
            "29 CFR 1926.500(b)",
        );
        let told = [shingles, underlayment, fastening, Some(falls)];
        told.into_iter().flatten().collect()
    }
}

/// A slope at which a rule changes, and what it does to a face on either side that it would not do on the other.
pub(crate) struct Hinge {
    pub(crate) at: Pitch,
    pub(crate) below: String,
    pub(crate) above: String,
}

/// Told of all faces whose pitch is written so coarsely that it may as well lie across a slope at which a rule changes:
/// by slopes and sides, with what each rule does.
pub(crate) fn near_limits(faces: &[&Face], hinges: &[Hinge]) -> Vec<Finding> {
    let mut limits: Vec<Pitch> = Vec::new();
    for hinge in hinges {
        if !limits.contains(&hinge.at) {
            limits.push(hinge.at);
        }
    }
    let sides = limits.into_iter().flat_map(|at| [(at, false), (at, true)]);
    sides
        .filter_map(|(at, above)| near_limit(faces, at, above, hinges))
        .collect()
}

/// [`near_limits`] for one slope and one side of it.
fn near_limit(faces: &[&Face], at: Pitch, above: bool, hinges: &[Hinge]) -> Option<Finding> {
    let lies_above = |f: &Face| f.pitch.to_rise_per_run() > at.to_rise_per_run();
    let near: Vec<&Face> = (faces.iter().copied())
        .filter(|f| f.may_be_across(at) && lies_above(f) == above)
        .collect();
    let written = |pitch: Pitch| words::pitch(pitch.to_rise_per_run());
    let names: Vec<String> = (near.iter())
        .map(|f| format!("{} ({})", f.name, written(f.pitch)))
        .collect();
    let effects: Vec<&str> = (hinges.iter().filter(|h| h.at == at))
        .map(|h| if above { &*h.above } else { &*h.below })
        .collect();
    let message = format!(
        "{}: the pitch is written so coarsely that it may lie on the other side of {}; it is judged by its figure, which lies {}: {}",
        names.join(", "),
        written(at),
        if above { "above" } else { "below" },
        number::listed(&effects, "and"),
    );
    let finding = Finding::warning("pitch-near-limit", message)
        .remedy("Write the pitch in 12, or with one more digit.");
    (!near.is_empty()).then(|| {
        near.iter()
            .fold(finding, |told, f| told.place(Place::at(f.label_at)))
    })
}

/// A pitch that the drawing does not write is worked out from the lines: so much in 12 is their last digits.
const SLACK_IN_12: f64 = 0.005;
/// A limit that rounds to the pitch as written is the limit: 26.6° and 26.57° are how a drawing says 6 in 12, and 33 % how it
/// says 4 in 12. A pitch written more coarsely than this, in 12 either way, is judged by its figure, and that is told.
const ROUNDING_AT_MOST_IN_12: f64 = 0.1;

/// A ratio of small whole numbers, such as 2:1, is no rounding though its last digit is worth more than this, in 12.
const RATIO_FROM_IN_12: f64 = 1.0;

/// How far a pitch may lie on the wrong side of a limit and still be it, as rise over run.
fn slack(half_step: f64) -> f64 {
    let rounding_in_12 = half_step * 12.0;
    if rounding_in_12 > ROUNDING_AT_MOST_IN_12 {
        SLACK_IN_12 / 12.0
    } else {
        rounding_in_12.max(SLACK_IN_12) / 12.0
    }
}

/// Whether a pitch, written to so much either way as rise over run, is below a limit.
pub fn is_below(pitch: Pitch, half_step: f64, limit: Pitch) -> bool {
    pitch.to_rise_per_run() < limit.to_rise_per_run() - slack(half_step)
}

impl Face {
    /// Whether it is below a limit; a limit that rounds to its pitch as written is met.
    pub fn is_below(&self, limit: Pitch) -> bool {
        is_below(self.pitch, self.pitch_half_step, limit)
    }
    /// Whether it is above a limit, likewise.
    pub fn is_above(&self, limit: Pitch) -> bool {
        self.pitch.to_rise_per_run() > limit.to_rise_per_run() + slack(self.pitch_half_step)
    }
    /// Whether its pitch is written so coarsely that it may as well lie on the other side of a limit.
    fn may_be_across(&self, limit: Pitch) -> bool {
        let off = (self.pitch.to_rise_per_run() - limit.to_rise_per_run()).abs();
        let is_rounded = self.pitch_half_step * 12.0 < RATIO_FROM_IN_12;
        is_rounded && off > slack(self.pitch_half_step) && off <= self.pitch_half_step
    }
}

#[cfg(test)]
mod tests {
    use super::is_below;
    use crate::drawing::text::parse_pitch;
    use crate::units::Pitch;

    fn below(written: &str, limit_in_12: f64) -> bool {
        let said = parse_pitch(written);
        said.is_some_and(|p| is_below(p.pitch, p.half_step, Pitch::in_12(limit_in_12)))
    }

    #[test]
    fn a_limit_that_rounds_to_the_pitch_as_written_is_met() {
        // 2, 4 and 6 in 12 are 9.4623°, 18.4349° and 26.5651°; 4 in 12 is 33.33 %.
        for (written, limit) in [
            ("9.46°", 2.0),
            ("9.5°", 2.0),
            ("18.43°", 4.0),
            ("18.4°", 4.0),
            ("33 %", 4.0),
            ("4/12", 4.0),
        ] {
            assert!(!below(written, limit), "{written}");
        }
        for (written, limit) in [
            ("9.4°", 2.0),
            ("18.3°", 4.0),
            ("32 %", 4.0),
            ("3 7/8:12", 4.0),
        ] {
            assert!(below(written, limit), "{written}");
        }
        // Whole degrees are too coarse for that: 18° is 3.90 in 12.
        assert!(below("18°", 4.0) && below("9°", 2.0));
    }
}
