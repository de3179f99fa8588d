//! Differences as findings: stated, computed, difference, cause or "not explained", tolerance used.

use super::compare::{AreaCheck, Bearing, Explanation, LengthsFrom, Verdict};
use super::length_causes::LengthExplanation;
use super::length_check::LengthCheck;
use super::settings::ReviewSettings;
use super::stated::Subject;
use super::words::{self, Tongue};
use super::{Review, SurfaceSaid};
use crate::roof::Roof;
use crate::units::number::{counted, listed, signed};
use crate::{Finding, Place};

/// Adds a finding for every figure that does not agree, and numbers the checks with them.
pub(super) fn tell(review: &mut Review, roof: &Roof, settings: &ReviewSettings) {
    let tongue = Tongue::of(settings);
    let tolerance = review.tolerance;
    let findings = &mut review.findings;
    let areas = review.areas.iter_mut();
    for check in areas.filter(|a| a.verdict != Verdict::Agrees) {
        check.finding = Some(findings.len());
        findings.push(area(check, roof, tolerance, tongue));
    }
    // A cause that was found for an area is not denied where a length bears it out.
    let area_explained = review
        .areas
        .iter()
        .any(|a| a.verdict != Verdict::Agrees && a.likely().is_some());
    let lengths = review.lengths.iter_mut();
    let mut told_together = None;
    for check in lengths.filter(|l| l.verdict != Verdict::Agrees) {
        // A class given edge by edge is told once.
        let class = check.together.map(|_| (check.class, check.surface));
        if class.is_none() || class != told_together {
            findings.push(length(check, area_explained, tolerance, tongue));
            told_together = class;
        }
        check.finding = findings.len().checked_sub(1);
    }
    let cancel = cancelling(review, roof, tongue);
    review.findings.extend(cancel);
    let sum = adding(review, roof, tongue);
    review.findings.extend(sum);
    if review.areas.is_empty() && review.lengths.is_empty() && review.not_compared == 0 {
        review.findings.push(
            Finding::note(
                "nothing-stated",
                "No area is stated in the drawing or beside it: there was nothing to compare.",
            )
            .remedy("Write an area into a face or `roof area` with the whole, or give a list with --against."),
        );
    }
}

fn area(check: &AreaCheck, roof: &Roof, tolerance: f64, tongue: Tongue) -> Finding {
    let message = format!(
        "Stated area of {}: {} against {} {} computed, {} % (tolerance {} %).",
        words::subject(roof, check.subject),
        tongue.area(check.stated_sqft),
        tongue.area(check.computed_sqft),
        words::surface(check.surface),
        signed(check.percent(), 1),
        tolerance_percent(tolerance),
    );
    let mut finding = if check.verdict == Verdict::TooCoarse {
        let message = message + &coarse(&tongue.area(check.half_step_sqft));
        Finding::warning("stated-area-too-coarse", message).remedy(MORE_DIGITS)
    } else {
        let message = message + &explained(check, roof, tongue);
        Finding::warning("stated-area-differs", message).remedy(question(check))
    };
    finding.places.extend(place(check, roof));
    finding
}

const MORE_DIGITS: &str = "Ask for the figure before it was rounded.";

fn coarse(half_step: &str) -> String {
    format!(
        " Too coarse to decide: as written it is rounded by up to {half_step}, and that may be all of the difference."
    )
}

/// What to ask: what tells several causes apart, where anything does.
fn question(check: &AreaCheck) -> String {
    let Some(first) = check.likely() else {
        return "Not explained by any slip known here: ask how it was measured, and compare face by face."
            .to_owned();
    };
    let others = &check.explanations[1..];
    if !check.decided && !check.told_apart_by.is_empty() {
        return format!(
            "Ask for one {} length from where it was measured: it tells causes apart.",
            words::classes(&check.told_apart_by)
        );
    }
    let asked = first.question();
    if others.is_empty() && check.may_be_chance() {
        return match check.difference_sqft() > 0.0 {
            true => "Ask for the figure before it was rounded, and whether there is waste in it.",
            false => MORE_DIGITS,
        }
        .to_owned();
    }
    if check.decided || others.iter().all(|e| e.question() == asked) {
        asked.to_owned()
    } else {
        "Ask how it was measured, and compare face by face.".to_owned()
    }
}

fn explained(check: &AreaCheck, roof: &Roof, tongue: Tongue) -> String {
    let told = |e: &Explanation| {
        let words = e.words(roof, tongue.metric);
        // A guess gives what was stated: that was its making.
        if e.is_guess() {
            words
        } else {
            format!("{words} ({})", tongue.area(e.sqft))
        }
    };
    let Some(first) = check.likely() else {
        return String::new();
    };
    let all: Vec<String> = check.explanations.iter().take(3).map(told).collect();
    let all = all.join("; or ");
    if first.is_guess() {
        return format!(
            " Not explained by any slip that gives this figure of itself. Possible, and to be asked about: {all}; a number \
             in it was chosen to fit, which proves nothing."
        );
    }
    if check.decided {
        return format!(" Cause that fits: {}.{}", told(first), borne_out(first));
    }
    let alike = |e: &Explanation| borne_out(e) == borne_out(first);
    let said = if check.explanations.iter().all(alike) {
        borne_out(first)
    } else {
        ""
    };
    let more = match check.explanations.len().saturating_sub(3) {
        0 => String::new(),
        more => format!(", or {more} more"),
    };
    let apart = if check.told_apart_by.is_empty() {
        String::new()
    } else {
        format!(
            " A stated {} length would tell causes apart.",
            words::classes(&check.told_apart_by)
        )
    };
    let what = if check.explanations.len() == 1 {
        "Perhaps"
    } else {
        "More than one cause fits"
    };
    let chance = match check.may_be_chance() {
        true => format!(
            " As written it is rounded by up to {}: it may fit by chance.",
            tongue.area(check.half_step_sqft)
        ),
        false => String::new(),
    };
    format!(" {what}: {all}{more}.{said}{chance}{apart}")
}

/// What lengths say about a cause, and whose lengths they are.
const fn borne_out(e: &Explanation) -> &'static str {
    match (e.bearing, e.lengths_from) {
        (Bearing::Silent, _) => "",
        // That a right length is as it leaves it speaks against others only.
        (Bearing::For, LengthsFrom::List) if !e.shown => " The stated lengths allow it.",
        (Bearing::For, LengthsFrom::Drawing) if !e.shown => {
            " The dimensions in the drawing allow it."
        }
        (Bearing::For, LengthsFrom::List) => " The stated lengths bear it out.",
        (Bearing::For, LengthsFrom::Drawing) => " The dimensions in the drawing bear it out.",
        (Bearing::Against, LengthsFrom::List) => {
            " The stated lengths do not show it: they were not measured so, if the area was."
        }
        (Bearing::Against, LengthsFrom::Drawing) => {
            " The dimensions in the drawing do not show it: it happened elsewhere than on this sheet, if it did."
        }
    }
}

/// Where it stands; the face where it stands in a list; nowhere for the whole roof.
fn place(check: &AreaCheck, roof: &Roof) -> Option<Place> {
    check.place.clone().or(match check.subject {
        Subject::Face(id) => Some(Place::at(roof.face(id).label_at)),
        Subject::Part(_) | Subject::Roof => None,
    })
}

fn length(check: &LengthCheck, area_explained: bool, tolerance: f64, tongue: Tongue) -> Finding {
    if check.computed_ft <= 0.0 {
        let message = format!(
            "Stated length of {}: {}, but the roof has no such edge.",
            check.class.words(),
            tongue.length(check.stated_ft)
        );
        return Finding::warning("stated-length-differs", message).remedy(
            "Ask which edge is meant: it may go by another name, or belong to another roof.",
        );
    }
    let (stated_ft, half_step_ft) = check.whole_ft();
    let message = format!(
        "Stated length of {}: {} against {} {} computed, {} % (tolerance {} %).",
        check.class.words(),
        tongue.length(stated_ft),
        tongue.length(check.computed_ft),
        words::surface(check.surface),
        signed(check.percent(), 1),
        tolerance_percent(tolerance),
    );
    if check.verdict == Verdict::TooCoarse {
        let message = message + &coarse(&tongue.length(half_step_ft));
        return Finding::warning("stated-length-too-coarse", message).remedy(MORE_DIGITS);
    }
    let caused = |e: &LengthExplanation| {
        let feet = tongue.length(e.feet);
        format!("{} ({feet})", e.cause.words(tongue.metric))
    };
    let all: Vec<String> = check.causes.iter().take(3).map(caused).collect();
    let Some(first) = check.causes.first() else {
        let message = message
            + if area_explained {
                " By itself it fits no slip known here: see what is said of the area."
            } else {
                " Not explained by any slip known here."
            };
        return Finding::warning("stated-length-differs", message).remedy(HOW_MEASURED);
    };
    let fit = match &all[..] {
        [one] if check.is_decided() => format!(" Cause that fits: {one}.{}", others(first)),
        _ if first.bearing == Bearing::Against || all.len() == 1 => {
            format!(" Perhaps: {}.{}", all.join("; or "), others(first))
        }
        several => format!(" More than one cause fits: {}.", several.join("; or ")),
    };
    let asked = first.cause.question();
    let alike = check.causes.iter().all(|e| e.cause.question() == asked);
    let asked = if alike { asked } else { HOW_MEASURED };
    Finding::warning("stated-length-differs", message + &fit).remedy(asked)
}

const HOW_MEASURED: &str = "Ask how it was measured: in plan or on the slope, to the walls or to the edges of the roof, at which scale.";

/// What the other stated figures say about a cause of a length.
const fn others(e: &LengthExplanation) -> &'static str {
    match e.bearing {
        Bearing::For => " The other stated figures bear it out.",
        Bearing::Silent => "",
        Bearing::Against => " What else is stated does not show it, and was not measured so.",
    }
}

/// Stated areas of faces on one surface, in the order of the faces.
fn of_faces(review: &Review, surface: SurfaceSaid) -> impl Iterator<Item = &AreaCheck> {
    let areas = review.areas.iter();
    areas.filter(move |a| matches!(a.subject, Subject::Face(_)) && a.surface == surface)
}

/// What the stated areas of all faces come to.
struct SumOfFaces {
    faces: usize,
    sqft: f64,
    half_steps_sqft: f64,
}

impl SumOfFaces {
    fn is_off(&self, total: &AreaCheck, review: &Review) -> bool {
        let off = (total.stated_sqft - self.sqft).abs();
        off > review.tolerance * self.sqft + self.half_steps_sqft + total.half_step_sqft
    }
}

/// The sum of the faces, where each of them is stated once on that surface.
fn sum_of_faces(review: &Review, roof: &Roof, surface: SurfaceSaid) -> Option<SumOfFaces> {
    let faces: Vec<&AreaCheck> = of_faces(review, surface).collect();
    // `areas` stand in the order of their faces.
    let once = faces.windows(2).all(|two| two[0].subject < two[1].subject);
    (once && faces.len() == roof.faces.len()).then(|| SumOfFaces {
        faces: faces.len(),
        sqft: faces.iter().map(|a| a.stated_sqft).sum(),
        half_steps_sqft: faces.iter().map(|a| a.half_step_sqft).sum(),
    })
}

/// Where every face is stated, their sum is to be the total that is stated with them.
fn adding(review: &Review, roof: &Roof, tongue: Tongue) -> Option<Finding> {
    let total = review.areas.iter().find(|a| a.subject == Subject::Roof)?;
    let sum = sum_of_faces(review, roof, total.surface)?;
    sum.is_off(total, review).then(|| {
        Finding::warning(
            "stated-sum-differs",
            format!(
                "The stated areas do not add up: {} come to {}, and the stated total is {}.",
                counted(sum.faces, "face"),
                tongue.area(sum.sqft),
                tongue.area(total.stated_sqft)
            ),
        )
        .remedy("Ask which of the faces and the total are meant: the total may be of other faces, or with waste in it.")
    })
}

/// A total may be right though faces are wrong. That errors cancel is known only where every face is stated once and their sum is
/// the total; else the total and the faces are of different hands, or one of them was not summed.
fn cancelling(review: &Review, roof: &Roof, tongue: Tongue) -> Option<Finding> {
    let total = review.areas.iter().find(|a| a.subject == Subject::Roof)?;
    let wrong_on = |surface| -> Vec<&AreaCheck> {
        let all = of_faces(review, surface);
        all.filter(|a| a.verdict == Verdict::Differs).collect()
    };
    // Those on the total's own surface are what it is made of.
    let of_total = wrong_on(total.surface);
    let surface = match of_total.is_empty() {
        true => SurfaceSaid::True,
        false => total.surface,
    };
    let wrong = wrong_on(surface);
    if total.verdict != Verdict::Agrees || wrong.is_empty() {
        return None;
    }
    let stated = tongue.area(total.stated_sqft);
    let sum = sum_of_faces(review, roof, total.surface);
    let cancels = surface == total.surface && sum.is_some_and(|s| !s.is_off(total, review));
    let message = if cancels {
        format!(
            "The stated total of {stated} alone would pass, since errors cancel: {} of {} stated faces {}.",
            wrong.len(),
            of_faces(review, surface).count(),
            if wrong.len() == 1 {
                "differs"
            } else {
                "differ"
            },
        )
    } else {
        let mut names: Vec<String> = wrong
            .iter()
            .map(|a| words::subject(roof, a.subject))
            .collect();
        names.dedup();
        let more = names.len().saturating_sub(MOST_NAMES);
        names.truncate(MOST_NAMES);
        if more > 0 {
            names.push(format!("{more} more"));
        }
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        format!(
            "The stated total of {stated} agrees, though what is stated of {} does not.",
            listed(&names, "and")
        )
    };
    let code = if cancels {
        "errors-cancel"
    } else {
        "total-alone-agrees"
    };
    Some(
        Finding::warning(code, message)
            .remedy("Settle the faces that differ before the total is used."),
    )
}

/// Faces named in a sentence: more than these only fill it.
const MOST_NAMES: usize = 4;

/// The tolerance in percent, without digits that say nothing.
fn tolerance_percent(tolerance: f64) -> String {
    let percent = (tolerance * 1e5).round() / 1e3;
    format!("{percent}")
}
