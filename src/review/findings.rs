//! Differences as findings: stated, computed, difference, cause or "not explained", tolerance used.

use super::compare::{AreaCheck, Bearing, LengthCheck};
use super::settings::ReviewSettings;
use super::stated::Subject;
use super::words::{self, Tongue};
use super::{Review, SurfaceSaid};
use crate::roof::Roof;
use crate::{Finding, Place};

/// Adds a finding for every difference, and numbers the checks with them.
pub(super) fn tell(review: &mut Review, roof: &Roof, settings: &ReviewSettings) {
    let tongue = Tongue {
        metric: settings.metric,
    };
    let tolerance = review.tolerance;
    let findings = &mut review.findings;
    for check in review.areas.iter_mut().filter(|a| !a.agrees) {
        check.finding = Some(findings.len());
        findings.push(area(check, roof, tolerance, tongue));
    }
    for check in review.lengths.iter_mut().filter(|l| !l.agrees) {
        check.finding = Some(findings.len());
        findings.push(length(check, tolerance, tongue));
    }
    let cancel = cancelling(review, tongue);
    review.findings.extend(cancel);
    if review.areas.is_empty() && review.lengths.is_empty() {
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
    let mut message = format!(
        "Stated area of {}: {} against {} {} computed, {} % (tolerance {} %).",
        words::subject(roof, check.subject),
        tongue.area(check.stated_sqft),
        tongue.area(check.computed_sqft),
        words::surface(check.surface),
        signed(check.percent()),
        tolerance_percent(tolerance),
    );
    message += &explained(check, roof, tongue);
    let remedy = match check.likely() {
        None => {
            "Not explained by any slip known here: ask how it was measured, and compare face by face."
        }
        Some(e) if check.decided => e.cause.question(),
        Some(_) => {
            "Ask for one eave or ridge length from where it was measured: it tells the causes apart."
        }
    };
    let mut finding = Finding::warning("stated-area-differs", message).remedy(remedy);
    finding.places.extend(place(check, roof));
    finding
}

fn explained(check: &AreaCheck, roof: &Roof, tongue: Tongue) -> String {
    let told = |e: &super::Explanation| {
        format!(
            "{} ({})",
            e.cause.words(roof, tongue.metric),
            tongue.area(e.sqft)
        )
    };
    let Some(first) = check.likely() else {
        return String::new();
    };
    if !check.decided {
        let all: Vec<String> = check.explanations.iter().take(3).map(told).collect();
        let more = check.explanations.len().saturating_sub(3);
        let more = if more > 0 {
            format!(", or {more} more")
        } else {
            String::new()
        };
        return format!(
            " More than one cause fits: {}{more}. A stated eave or ridge length would tell them apart.",
            all.join("; or ")
        );
    }
    let said = match first.bearing {
        Bearing::For => " The stated lengths bear it out.",
        Bearing::Against => {
            " The stated lengths do not show it: it happened elsewhere than on this sheet, if it did."
        }
        Bearing::Silent => "",
    };
    format!(" Cause that fits: {}.{said}", told(first))
}

/// Where it stands; the face where it stands in a list; nowhere for the whole roof.
fn place(check: &AreaCheck, roof: &Roof) -> Option<Place> {
    check.place.clone().or(match check.subject {
        Subject::Face(id) => Some(Place::at(roof.face(id).label_at)),
        Subject::Roof => None,
    })
}

fn length(check: &LengthCheck, tolerance: f64, tongue: Tongue) -> Finding {
    let message = if check.computed_ft > 0.0 {
        format!(
            "Stated length of {}: {} against {} true computed, {} % (tolerance {} %).",
            check.class.words(),
            tongue.length(check.stated_ft),
            tongue.length(check.computed_ft),
            signed(check.percent()),
            tolerance_percent(tolerance),
        )
    } else {
        format!(
            "Stated length of {}: {}, but the roof has no such edge.",
            check.class.words(),
            tongue.length(check.stated_ft)
        )
    };
    Finding::warning("stated-length-differs", message)
        .remedy("Ask how it was measured: in plan, on the slope, or at another scale.")
}

/// A total may be right though the faces are wrong, and their sum may not be the total.
fn cancelling(review: &Review, tongue: Tongue) -> Option<Finding> {
    let total = review.areas.iter().find(|a| a.subject == Subject::Roof);
    let faces: Vec<&AreaCheck> = review
        .areas
        .iter()
        .filter(|a| a.subject != Subject::Roof && a.surface == SurfaceSaid::True)
        .collect();
    let wrong = faces.iter().filter(|a| !a.agrees).count();
    let total = total.filter(|t| t.agrees && wrong > 0)?;
    Some(Finding::warning(
        "errors-cancel",
        format!(
            "The stated total of {} alone would pass, since errors cancel: {wrong} of {} stated faces differ.",
            tongue.area(total.stated_sqft),
            faces.len()
        ),
    ))
}

/// The tolerance in percent, without digits that say nothing.
fn tolerance_percent(tolerance: f64) -> String {
    let percent = (tolerance * 1e5).round() / 1e3;
    format!("{percent}")
}

/// With a true minus sign.
fn signed(value: f64) -> String {
    format!("{value:+.1}").replace('-', "−")
}
