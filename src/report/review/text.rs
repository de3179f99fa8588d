//! The review on a terminal of 80 columns. Findings themselves belong on standard error.

use super::{
    figures, left, length_figures, length_subject, rounding, subject, together,
    verdict as verdict_of,
};
use crate::Severity;
use crate::report::typeset::wrapped;
use crate::report::{Report, number};
use crate::review::{AreaCheck, Explanation, LengthCheck, Review, SurfaceSaid, Verdict};
use crate::units::number::counted;

/// The review for a terminal; an empty text where none was made.
pub fn text(report: &Report<'_>) -> String {
    let Some(review) = report.review() else {
        return String::new();
    };
    let mut out = format!(
        "{}\nscale from {}\n\n",
        report.title(),
        report.scale_source()
    );
    areas(report, review, &mut out);
    lengths(report, review, &mut out);
    verdict(report, review, &mut out);
    out
}

fn areas(report: &Report<'_>, review: &Review, out: &mut String) {
    let units = report.units();
    if review.areas.is_empty() {
        *out += &format!(
            "no area {}; computed: {} {} true, {} plan\n\n",
            if review.not_compared == 0 {
                "stated"
            } else {
                "compared"
            },
            units.area(report.roof().true_area()),
            units.area_sign(),
            units.area(report.roof().plan_area())
        );
        return;
    }
    *out += &row(
        &format!("stated areas, {}", units.area_sign()),
        ["stated", "computed", "diff.", "%"],
        "",
    );
    for check in &review.areas {
        let name = match check.surface {
            SurfaceSaid::True => subject(report, check),
            SurfaceSaid::Plan => format!("{}, in plan", subject(report, check)),
        };
        let kk = units.per_square_foot();
        let both = [check.stated_sqft * kk, check.computed_sqft * kk];
        *out += &row(
            &name,
            figures(both, check.percent(), 1)
                .each_ref()
                .map(|f| f.as_str()),
            words(check.verdict),
        );
        *out += &match check.verdict {
            Verdict::NothingCompared | Verdict::Agrees => String::new(),
            Verdict::TooCoarse => wrapped(&rounding(report, check), "    ", "    "),
            Verdict::Differs => causes(report, check),
        };
    }
    out.push('\n');
}

const fn words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NothingCompared => "not compared",
        Verdict::Agrees => "agrees",
        Verdict::TooCoarse => "too coarse",
        Verdict::Differs => "differs",
    }
}

fn causes(report: &Report<'_>, check: &AreaCheck) -> String {
    let units = report.units();
    let shown = |e: &Explanation| {
        let words = e.words(report.roof(), units.is_metric());
        let Some(left) = left(report, check, e) else {
            return words;
        };
        let gives = number::decimal(e.sqft * units.per_square_foot(), 1);
        format!("{words} ({gives}, left {left})")
    };
    let line = |text: &str| wrapped(text, "    ", "    ");
    if check.decided {
        return check.likely().map(|e| line(&shown(e))).unwrap_or_default();
    }
    let explained = check.likely().is_some_and(|e| !e.is_guess());
    let mut out = if explained {
        String::new()
    } else {
        line("not explained")
    };
    let (perhaps, several) = if explained {
        ("perhaps", check.explanations.len().saturating_sub(3))
    } else {
        ("ask whether it was", 0)
    };
    for e in check.explanations.iter().take(3) {
        out += &line(&format!("{perhaps} {}", shown(e)));
    }
    if several > 0 {
        out += &line(&format!("or {several} more"));
    }
    out
}

fn lengths(report: &Report<'_>, review: &Review, out: &mut String) {
    if review.lengths.is_empty() {
        return;
    }
    let units = report.units();
    *out += &row(
        &format!("stated lengths, {}", units.length_key()),
        ["stated", "computed", "diff.", "%"],
        "",
    );
    for check in &review.lengths {
        let k = units.per_foot();
        *out += &length(check, k);
        if check.verdict == Verdict::Differs && check.causes.is_empty() {
            *out += &wrapped("not explained", "    ", "    ");
        }
        let perhaps = if check.is_decided() { "" } else { "perhaps " };
        for e in check.causes.iter().take(3) {
            let gives = number::decimal(e.feet * k, 2);
            let left = number::signed((check.stated_ft - e.feet) * k, 2);
            let told = format!(
                "{perhaps}{} ({gives}, left {left})",
                e.cause.words(units.is_metric())
            );
            *out += &wrapped(&told, "    ", "    ");
        }
        if let Some(told) = together(review, check, k) {
            *out += &wrapped(&told, "    ", "    ");
        }
    }
    out.push('\n');
}

fn length(check: &LengthCheck, k: f64) -> String {
    row(
        &length_subject(check),
        length_figures(check, k).each_ref().map(|f| f.as_str()),
        words(check.verdict),
    )
}

fn row(name: &str, figures: [&str; 4], verdict: &str) -> String {
    let [stated, computed, difference, percent] = figures;
    let name: String = name.chars().take(21).collect();
    let line =
        format!("{name:<21}{stated:>13}{computed:>13}{difference:>12}{percent:>9}  {verdict}");
    format!("{}\n", line.trim_end())
}

fn verdict(report: &Report<'_>, review: &Review, out: &mut String) {
    let looked_at = report
        .findings()
        .iter()
        .filter(|f| f.severity >= Severity::Warning)
        .count();
    if review.lines_off > 0 {
        let lines = counted(review.lines_off, "drawn line");
        *out += &wrapped(&format!("{lines} where the planes do not meet."), "", "");
    }
    if review.contradictions > 0 {
        let places = counted(review.contradictions, "finding");
        let told = format!("{places} of lines and pitches that cannot be true together.");
        *out += &wrapped(&told, "", "");
    }
    *out += &wrapped(
        &format!(
            "{}; {looked_at} {} to look at.",
            verdict_of(review),
            if looked_at == 1 {
                "finding"
            } else {
                "findings"
            }
        ),
        "",
        "",
    );
}
