//! The review on a terminal of 80 columns. Findings themselves belong on standard error.

use super::subject;
use crate::Severity;
use crate::report::typeset::wrapped;
use crate::report::{Report, number};
use crate::review::{AreaCheck, Explanation, LengthCheck, Review, SurfaceSaid};

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
            "no area stated; computed: {} {} true, {} plan\n\n",
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
        let kk = units.per_square_foot();
        let name = match check.surface {
            SurfaceSaid::True => subject(report, check),
            SurfaceSaid::Plan => format!("{}, in plan", subject(report, check)),
        };
        *out += &row(
            &name,
            [
                &number::decimal(check.stated_sqft * kk, 1),
                &number::decimal(check.computed_sqft * kk, 1),
                &difference(check.difference_sqft() * kk, check.half_step_sqft * kk),
                &difference(
                    check.percent(),
                    100.0 * check.half_step_sqft / check.computed_sqft,
                ),
            ],
            if check.agrees { "agrees" } else { "differs" },
        );
        if !check.agrees {
            *out += &causes(report, check);
        }
    }
    out.push('\n');
}

/// A difference with its sign; none where it is smaller than half of the last digit stated.
pub(in crate::report) fn difference(value: f64, half_step: f64) -> String {
    if value.abs() < half_step {
        return "0.0".to_owned();
    }
    let printed = number::decimal(value, 1);
    if value > 0.0 && number::rounded(value, 1) > 0.0 {
        format!("+{printed}")
    } else {
        printed
    }
}

fn causes(report: &Report<'_>, check: &AreaCheck) -> String {
    let shown = |e: &Explanation| {
        let units = report.units();
        let kk = units.per_square_foot();
        format!(
            "{} ({}, left {})",
            e.cause.words(report.roof(), units.is_metric()),
            number::decimal(e.sqft * kk, 1),
            difference((check.stated_sqft - e.sqft) * kk, check.half_step_sqft * kk)
        )
    };
    if check.explanations.is_empty() {
        return wrapped("not explained", "    ", "    ");
    }
    if check.decided {
        return check
            .likely()
            .map(|e| wrapped(&shown(e), "    ", "    "))
            .unwrap_or_default();
    }
    check
        .explanations
        .iter()
        .take(3)
        .map(|e| wrapped(&format!("perhaps {}", shown(e)), "    ", "    "))
        .collect()
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
        *out += &length(check, units.per_foot());
    }
    out.push('\n');
}

fn length(check: &LengthCheck, k: f64) -> String {
    row(
        check.class.words(),
        [
            &number::decimal(check.stated_ft * k, 2),
            &number::decimal(check.computed_ft * k, 2),
            &difference(check.difference_ft() * k, check.half_step_ft * k),
            &difference(
                check.percent(),
                100.0 * check.half_step_ft / check.computed_ft,
            ),
        ],
        if check.agrees { "agrees" } else { "differs" },
    )
}

fn row(name: &str, figures: [&str; 4], verdict: &str) -> String {
    let [stated, computed, difference, percent] = figures;
    let name: String = name.chars().take(22).collect();
    let line =
        format!("{name:<22}{stated:>13}{computed:>13}{difference:>12}{percent:>9}  {verdict}");
    format!("{}\n", line.trim_end())
}

fn verdict(report: &Report<'_>, review: &Review, out: &mut String) {
    let looked_at = report
        .findings()
        .iter()
        .filter(|f| f.severity >= Severity::Warning)
        .count();
    let tolerance = number::trimmed(100.0 * review.tolerance, 3);
    let differ = review.areas.iter().filter(|a| !a.agrees).count()
        + review.lengths.iter().filter(|l| !l.agrees).count();
    let stated = review.areas.len() + review.lengths.len();
    let said = match (stated, differ) {
        (0, _) => "Nothing stated to compare".to_owned(),
        (1, 0) => format!("The one stated figure agrees within {tolerance} %"),
        (_, 0) => format!("All {stated} stated figures agree within {tolerance} %"),
        (1, _) => format!("The one stated figure differs by more than {tolerance} %"),
        _ => format!("{differ} of {stated} stated figures differ by more than {tolerance} %"),
    };
    if review.lines_off > 0 {
        let lines = if review.lines_off == 1 {
            "line"
        } else {
            "lines"
        };
        *out += &wrapped(
            &format!(
                "{} drawn {lines} where the planes do not meet.",
                review.lines_off
            ),
            "",
            "",
        );
    }
    *out += &wrapped(
        &format!(
            "{said}; {looked_at} {} to look at.",
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
