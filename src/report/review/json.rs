//! The review as JSON. Full precision: nothing is rounded.

use serde::Serialize;
use serde_json::Value;

use super::{number, subject};
use crate::report::Report;
use crate::report::json::{FindingOut, Units, finding};
use crate::review::{AreaCheck, Bearing, Explanation, LengthCheck, LengthsFrom, SurfaceSaid};

/// The name and version of the layout.
const SCHEMA: &str = "eavewright.check/1";

#[derive(Serialize)]
struct ReviewOut<'a> {
    schema: &'static str,
    units: Units,
    tolerance_percent: f64,
    /// `differs`, `too-coarse`, `agrees`, or `nothing-compared` where nothing was stated that could be compared.
    verdict: &'static str,
    computed: Computed,
    areas: Vec<AreaOut<'a>>,
    lengths: Vec<LengthOut<'a>>,
    /// Stated areas that belong to no face or cannot be read; the findings tell each.
    not_compared: usize,
    /// Drawn lines along which the planes do not meet; the findings tell each.
    lines_off: usize,
    /// What else the sheet says against itself; the findings tell each.
    contradictions: usize,
    findings: Vec<Numbered<'a>>,
}

#[derive(Serialize)]
struct Computed {
    plan_area: f64,
    true_area: f64,
    faces: serde_json::Map<String, Value>,
}

#[derive(Serialize)]
struct AreaOut<'a> {
    of: String,
    surface: &'static str,
    written: &'a str,
    stated: f64,
    /// Half a unit of the last digit written.
    rounding: f64,
    computed: f64,
    difference: f64,
    percent: f64,
    /// `agrees`, `differs`, or `too-coarse` where rounding may make all of a difference beyond the tolerance.
    verdict: &'static str,
    /// Whether one cause stands out from the others.
    decided: bool,
    causes: Vec<CauseOut>,
    at: Option<[f64; 2]>,
    element: Option<&'a str>,
    list_line: Option<u64>,
    /// The number of the finding that tells it.
    finding: Option<usize>,
}

#[derive(Serialize)]
struct CauseOut {
    cause: &'static str,
    words: String,
    /// The slip in scale that was made besides, where the stated lengths show one.
    #[serde(skip_serializing_if = "Option::is_none")]
    at_scale: Option<&'static str>,
    /// The area that it gives for this roof.
    gives: f64,
    /// Stated less that.
    left: f64,
    /// Whether a number in it was chosen so that nothing is left: a question, and no explanation.
    guess: bool,
    /// What stated lengths say about it: `for`, `silent`, `against`.
    lengths: &'static str,
    /// Where those lengths stand: in the `list`, or as dimensions of the `drawing`.
    lengths_from: Option<&'static str>,
    /// How many of the stated areas it fits.
    fits: usize,
}

#[derive(Serialize)]
struct LengthOut<'a> {
    class: &'static str,
    surface: &'static str,
    written: &'a str,
    stated: f64,
    rounding: f64,
    computed: f64,
    difference: f64,
    percent: Option<f64>,
    verdict: &'static str,
    /// The lines that give the class edge by edge, this one among them: the verdict is their sum's.
    #[serde(skip_serializing_if = "Option::is_none")]
    together: Option<TogetherOut>,
    /// Slips that would give what was stated, the likelier first.
    causes: Vec<LengthCauseOut>,
    list_line: u64,
    finding: Option<usize>,
}

#[derive(Serialize)]
struct TogetherOut {
    lines: usize,
    /// Their sum.
    stated: f64,
    /// Half a unit of the last digit of each, added up.
    rounding: f64,
}

#[derive(Serialize)]
struct LengthCauseOut {
    cause: &'static str,
    words: String,
    /// The length that it gives for this roof.
    gives: f64,
    /// Stated less that.
    left: f64,
    /// What the other stated figures say: `for`, `silent`, `against`.
    others: &'static str,
}

#[derive(Serialize)]
struct Numbered<'a> {
    /// As in the marked drawing and on the sheet.
    number: usize,
    #[serde(flatten)]
    finding: FindingOut<'a>,
}

/// The review as JSON; an empty text where none was made.
pub fn json(report: &Report<'_>) -> String {
    let Some(review) = report.review() else {
        return String::new();
    };
    let units = report.units();
    let (k, kk) = (units.per_foot(), units.per_square_foot());
    let roof = report.roof();
    let out = ReviewOut {
        schema: SCHEMA,
        units: Units::of(units),
        tolerance_percent: 100.0 * review.tolerance,
        verdict: review.verdict().key(),
        computed: Computed {
            plan_area: roof.plan_area().to_square_feet() * kk,
            true_area: roof.true_area().to_square_feet() * kk,
            faces: roof
                .faces
                .iter()
                .map(|f| {
                    let area = f.true_area.to_square_feet() * kk;
                    (f.name.clone(), Value::from(area))
                })
                .collect(),
        },
        areas: review.areas.iter().map(|a| area(report, a)).collect(),
        lengths: review.lengths.iter().map(|l| length(report, l)).collect(),
        not_compared: review.not_compared,
        lines_off: review.lines_off,
        contradictions: review.contradictions,
        findings: report
            .findings()
            .iter()
            .enumerate()
            .map(|(i, f)| Numbered {
                number: i + 1,
                finding: finding(f, k),
            })
            .collect(),
    };
    // As for the takeoff: plain structs with string keys have nothing to fail on.
    serde_json::to_string_pretty(&out)
        .map(|text| text + "\n")
        .unwrap_or_default()
}

fn area<'a>(report: &Report<'a>, check: &'a AreaCheck) -> AreaOut<'a> {
    let units = report.units();
    let (k, kk) = (units.per_foot(), units.per_square_foot());
    AreaOut {
        of: subject(report, check),
        surface: surface(check.surface),
        written: &check.text,
        stated: check.stated_sqft * kk,
        rounding: check.half_step_sqft * kk,
        computed: check.computed_sqft * kk,
        difference: check.difference_sqft() * kk,
        percent: check.percent(),
        verdict: check.verdict.key(),
        decided: check.decided,
        causes: check
            .explanations
            .iter()
            .map(|e| cause(report, check, e))
            .collect(),
        at: check
            .place
            .as_ref()
            .and_then(|p| p.at)
            .map(|p| [p.x * k, p.y * k]),
        element: check
            .place
            .as_ref()
            .and_then(|p| p.source.as_ref())
            .and_then(|s| s.id.as_deref()),
        list_line: check.line,
        finding: number(report, check.finding),
    }
}

const fn surface(said: SurfaceSaid) -> &'static str {
    match said {
        SurfaceSaid::True => "true",
        SurfaceSaid::Plan => "plan",
    }
}

fn cause(report: &Report<'_>, check: &AreaCheck, e: &Explanation) -> CauseOut {
    let units = report.units();
    let kk = units.per_square_foot();
    CauseOut {
        cause: e.cause.key(),
        words: e.words(report.roof(), units.is_metric()),
        at_scale: e.at.map(|slip| slip.key),
        gives: e.sqft * kk,
        left: (check.stated_sqft - e.sqft) * kk,
        guess: e.is_guess(),
        lengths: bearing(e.bearing),
        lengths_from: (e.bearing != Bearing::Silent).then_some(match e.lengths_from {
            LengthsFrom::List => "list",
            LengthsFrom::Drawing => "drawing",
        }),
        fits: e.fits,
    }
}

const fn bearing(bearing: Bearing) -> &'static str {
    match bearing {
        Bearing::For => "for",
        Bearing::Silent => "silent",
        Bearing::Against => "against",
    }
}

fn length<'a>(report: &Report<'_>, check: &'a LengthCheck) -> LengthOut<'a> {
    let units = report.units();
    let k = units.per_foot();
    LengthOut {
        class: check.class.key(),
        surface: surface(check.surface),
        written: &check.text,
        stated: check.stated_ft * k,
        rounding: check.half_step_ft * k,
        computed: check.computed_ft * k,
        difference: check.difference_ft() * k,
        percent: Some(check.percent()).filter(|p| p.is_finite()),
        verdict: check.verdict.key(),
        together: check.together.map(|all| TogetherOut {
            lines: all.lines,
            stated: all.stated_ft * k,
            rounding: all.half_step_ft * k,
        }),
        causes: (check.causes.iter())
            .map(|e| LengthCauseOut {
                cause: e.cause.key(),
                words: e.cause.words(units.is_metric()),
                gives: e.feet * k,
                left: (check.stated_ft - e.feet) * k,
                others: bearing(e.bearing),
            })
            .collect(),
        list_line: check.line,
        finding: number(report, check.finding),
    }
}
