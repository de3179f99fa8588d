//! How it was measured, what was noticed, and cautions.

use std::collections::BTreeMap;

use super::flow::{Flow, on_fewest_sheets};
use super::table::{Cell, Column, Table, TableStyle};
use super::{Bound, Draft, Sheet, roof_plan, rules, sums, text_height};
use crate::geometry::Point;
use crate::materials::Spread;
use crate::report::canvas::{Canvas, Fonts};
use crate::report::pdf::Paper;
use crate::report::typeset::typeset;
use crate::report::{OutputUnits, Report, number};
use crate::roof::{FaceId, Opening, SlopeLimits};
use crate::units::{Length, Pitch, Plan};
use crate::{Finding, Severity};

/// Draws the sheet, more than one where there are many findings.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    (paper, of_plan): (Paper, Paper),
    bound: Bound<'_>,
) -> Vec<Draft<'f>> {
    let size = paper.landscape();
    let text = text_height(size);
    let zones = roof_plan::zones(report, fonts, of_plan, bound);
    let findings = findings(report, bound, zones, |_| true);
    let materials = report.inputs().materials;
    // How many of the sheets are of the method, and all of them.
    let drawn = |blank: &Canvas<'f>, place: Place| {
        let method = on_fewest_sheets(blank, text, |blank, style| {
            method(report, blank, size, style, &findings, place)
        });
        let (count, mut sheets) = (method.len(), method);
        if let Some(materials) = materials {
            sheets.extend(on_fewest_sheets(blank, text, |blank, style| {
                rules::draw(materials, blank, size, style, cautions_of(report, place))
            }));
        }
        (count, sheets)
    };
    let (blank, trial) = (Canvas::new(fonts), Canvas::trial(fonts));
    let (count, usual) = drawn(&blank, Place::Apart);
    if count == 1 {
        return usual;
    }
    let rules_count = usual.len() - count;
    let tried = |place: Place| {
        let (count, sheets) = drawn(&trial, place);
        (place, count, sheets.len())
    };
    let mut choices = vec![(Place::Apart, count, usual.len()), tried(Place::Under)];
    if materials.is_some() {
        choices.extend([Place::AfterRules, Place::BeforeRules].map(tried));
    }
    let without = choices.iter().map(|(_, count, _)| *count).min();
    // Whether a sheet holds nothing but cautions: it is one more than without them.
    let is_alone = |place: Place, count: usize, all: usize| match place {
        Place::Apart | Place::Under => Some(count) > without,
        Place::AfterRules => all - count > rules_count,
        Place::BeforeRules => false,
    };
    let best = choices
        .into_iter()
        .min_by_key(|(place, count, all)| (*all, is_alone(*place, *count, *all)));
    match best {
        Some((place, ..)) if place != Place::Apart => drawn(&blank, place).1,
        _ => usual,
    }
}

/// What the numbers on the roof plan stand for, where it is bound without the sheet on method and findings: nothing where
/// nothing is marked.
pub(super) fn legend<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    (paper, of_plan): (Paper, Paper),
    bound: Bound<'_>,
) -> Vec<Draft<'f>> {
    if report.warnings().count() == 0 {
        return Vec::new();
    }
    let size = paper.landscape();
    let zones = roof_plan::zones(report, fonts, of_plan, bound);
    let marked = findings(report, bound, zones, |f| f.severity >= Severity::Warning);
    on_fewest_sheets(&Canvas::new(fonts), text_height(size), |blank, style| {
        let mut flow = Flow::new(blank, size, "Findings", style, &[1.0]);
        flow.table(&marked);
        flow.finish()
    })
}

/// The head of what must be kept in mind.
const CAUTIONS: &str = "Before anybody goes up";

/// Where findings and cautions stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    /// In a column of their own.
    Apart,
    /// Under the method, wherever there is room.
    Under,
    /// The findings under the method, the cautions under the rules: better than on a sheet of their own.
    AfterRules,
    /// The same with the cautions at the head of the rules.
    BeforeRules,
}

/// The cautions that stand with the rules, and whether at their head.
fn cautions_of(report: &Report<'_>, place: Place) -> Option<rules::Cautions> {
    let before = match place {
        Place::Apart | Place::Under => return None,
        Place::AfterRules => false,
        Place::BeforeRules => true,
    };
    Some(rules::Cautions {
        head: CAUTIONS,
        said: cautions(report),
        before,
    })
}

/// The method, then findings and cautions.
fn method<'f>(
    report: &Report<'_>,
    blank: Canvas<'f>,
    size: (f64, f64),
    style: TableStyle,
    findings: &Table,
    place: Place,
) -> Vec<Draft<'f>> {
    let title = match place {
        Place::AfterRules | Place::BeforeRules => "Method, findings",
        Place::Apart | Place::Under => "Method, findings, cautions",
    };
    let mut flow = Flow::new(blank, size, title, style, &[1.0, 1.0]);
    flow.paragraphs("How it was measured", &measured(report));
    flow.paragraphs("What the pitches ask for", &pitches(report));
    flow.table(&sums::plan(report));
    flow.table(&sums::slope(report));
    if place == Place::Apart {
        flow.next_column();
    }
    flow.table(findings);
    if matches!(place, Place::Apart | Place::Under) {
        flow.paragraphs(CAUTIONS, &cautions(report));
    }
    flow.finish()
}

/// How the roof was measured, a sentence or two each.
pub(crate) fn measured(report: &Report<'_>) -> Vec<String> {
    let (inputs, units) = (report.inputs(), report.units());
    let roof = report.roof();
    let small = |feet: f64| units.small(Length::<Plan>::feet(feet));
    let mut out = vec![
        format!(
            "Traced from {}. Scale: {}.",
            if inputs.project.source_file.is_empty() {
                "the plan"
            } else {
                &inputs.project.source_file
            },
            report.scale_source()
        ),
        "Every face is a plane. Its slope is the pitch written in it; the way it falls and the heights of its corners are solved from the edges that faces share, since two planes have one height along the line where they meet.".to_owned(),
        "True area is plan area × √(1 + m²), m being rise over run. True lengths are from the heights of the ends: true² = plan² + rise².".to_owned(),
    ];
    if roof.snap_tolerance_ft > 0.0 {
        out.push(format!(
            "Ends closer than {} were joined.",
            small(roof.snap_tolerance_ft)
        ));
    }
    if inputs.drawing.strokes.iter().any(|s| s.curved) {
        out.push(format!(
            "Curves were laid as straight pieces no farther than {} from them.",
            units.residual(crate::drawing::FLATTENING_TOLERANCE_FT)
        ));
    }
    if let Some((moved, _)) = roof.largest_move {
        out.push(format!(
            "The largest move that joining and adjusting made to a corner is {}.",
            units.residual(moved)
        ));
    }
    if let Some(error) = roof.true_area_std_error_sqft {
        out.push(format!(
            "By how the lines were traced and by the last digits of the pitches the true area is known to about ±{} {} (two standard errors); that says nothing about a wrong scale or a wrong pitch.",
            number::decimal(2.0 * error * units.per_square_foot(), 1),
            units.area_sign()
        ));
    }
    if let Some(courses) = inputs.courses {
        out.push(format!(
            "Shingles are laid course by course. If no offcut were laid again, {} % of the net area would be wasted; rules of thumb (gable 5 to 10 %, hip 10 to 15 %: common practice, no source) are such figures. With the offcuts laid again it is {} %; no layout under the rules gets below {} %. Starter, caps, breakage and whole bundles are lines of their own.",
            number::decimal(courses.waste_percent_without_reuse(), 1),
            number::decimal(courses.waste_percent(), 1),
            number::decimal(courses.waste_percent_of(courses.bound()), 1),
        ));
    }
    match inputs.drawing.left_out.len() {
        0 => {}
        1 => out.push(
            "1 thing in the drawing was not taken for a roof line; --explain says which."
                .to_owned(),
        ),
        more => out.push(format!(
            "{more} things in the drawing were not taken for roof lines; --explain lists them."
        )),
    }
    out.push(
        "Not seen on a plan, so not counted: rotten boards, layers of old roofing, gutters, what is under the covering."
            .to_owned(),
    );
    out
}

/// Names of the faces that a rule bites on.
fn faces_where(report: &Report<'_>, applies: impl Fn(&crate::roof::Face) -> bool) -> String {
    let names: Vec<&str> = report
        .roof()
        .faces
        .iter()
        .filter(|face| applies(face))
        .map(|face| face.name.as_str())
        .collect();
    names.join(", ")
}

/// The slopes at which rules change, as the courses were laid by them.
fn limits(report: &Report<'_>) -> SlopeLimits {
    let courses = report.inputs().courses;
    courses.map_or_else(SlopeLimits::default, |c| c.choices.limits.clone())
}

/// What the codes ask for at the roof's pitches and openings.
pub(crate) fn pitches(report: &Report<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let limits = limits(report);
    let in_12 = |limit: Pitch| format!("{}/12", number::decimal(limit.to_in_12(), 0));
    let least = limits.shingles_from.map(in_12);
    let none = faces_where(report, |f| limits.refuses_shingles(f));
    if !none.is_empty() {
        let how_flat = least
            .as_ref()
            .map_or_else(|| "level".to_owned(), |least| format!("below {least}"));
        out.push(format!(
            "{none}: {how_flat}. Asphalt shingles are not laid here; another covering is needed (IRC R905.2.2)."
        ));
    }
    let double = faces_where(report, |f| {
        limits.doubles_underlayment(f) && !limits.refuses_shingles(f)
    });
    if let (Some(single), false) = (limits.single_underlayment_from, double.is_empty()) {
        let from = least.map_or_else(String::new, |least| format!("from {least} to "));
        out.push(format!(
            "{double}: {from}below {}. Two layers of underlayment (IRC R905.1.1).",
            in_12(single)
        ));
    }
    let roof = report.roof();
    let wide: Vec<&str> = roof
        .openings
        .iter()
        .filter(|o| o.takes_cricket())
        .map(|o| o.kind.as_str())
        .collect();
    if !wide.is_empty() {
        let limit = match report.units() {
            OutputUnits::Feet => "30 in",
            OutputUnits::Metres => "762 mm",
        };
        out.push(format!(
            "Wider than {limit} across the fall: {}. A cricket or saddle stands above an opening of that width (IRC R903.2.2); its height is that of the roof's own pitch (IRC R1003.20).",
            wide.join(", ")
        ));
    }
    out.push("The code in force where the roof stands, the shingle maker's printed instructions and the judgement of licensed practice go before anything on these sheets.".to_owned());
    out
}

/// What was noticed of what is `told`; `zone_of` tells where on the roof plan a place is.
fn findings(
    report: &Report<'_>,
    bound: Bound<'_>,
    zone_of: impl Fn(Point) -> Option<String>,
    told: impl Fn(&Finding) -> bool,
) -> Table {
    let mut columns = vec![
        Column::words(""),
        Column::words("Kind"),
        Column::words("Zone"),
        Column::words("What, and what to do").grows(1.0),
    ];
    let has_zones = bound.holds(Sheet::RoofPlan);
    if !has_zones {
        columns.remove(2);
    }
    let mut table = Table::new("Findings", columns);
    let all = report.findings().iter().enumerate();
    for (i, finding) in all.filter(|(_, finding)| told(finding)) {
        let text = finding.sentences();
        let zone = finding
            .places
            .iter()
            .find_map(|place| place.at)
            .and_then(&zone_of);
        let mut row = vec![
            if finding.severity >= Severity::Warning {
                Cell::Diamond(i + 1)
            } else {
                (i + 1).to_string().into()
            },
            crate::report::json::severity_word(finding.severity).into(),
            zone.unwrap_or_default().into(),
            typeset(&number::capital(&text)).into(),
        ];
        if !has_zones {
            row.remove(2);
        }
        table.rows.push(row);
    }
    if table.rows.is_empty() {
        table.heads = false;
        let mut row = vec![Cell::from(""); table.columns.len() - 1];
        row.push("None.".into());
        table.rows.push(row);
    }
    if has_zones {
        "zones are those of the roof plan".clone_into(&mut table.subject);
    }
    table
}

/// What of openings somebody can fall through, counted by kind: `2 skylights and 1 opening`.
pub(super) fn holes_of<'o>(openings: impl Iterator<Item = &'o Opening>) -> Option<(usize, String)> {
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for opening in openings.filter(|opening| opening.is_fall_hazard()) {
        *kinds.entry(&opening.kind).or_default() += 1;
    }
    let counted = kinds.iter().rev();
    let counted: Vec<String> = counted.map(|(kind, n)| number::counted(*n, kind)).collect();
    let all = kinds.values().sum();
    (all > 0).then(|| (all, counted.join(" and ")))
}

/// People fall through skylights, covered roof openings and the holes that skylights leave: 29 CFR 1926.501(b)(4), from
/// memory.
fn holes(report: &Report<'_>) -> Option<String> {
    let openings = &report.roof().openings;
    let (all, counted) = holes_of(openings.iter())?;
    let faces = report.roof().faces.iter().enumerate();
    let by_face: Vec<(usize, &str)> = faces
        .filter_map(|(i, face)| {
            let here = openings
                .iter()
                .filter(|o| o.faces.first() == Some(&FaceId(i)));
            holes_of(here).map(|(count, _)| (count, face.name.as_str()))
        })
        .collect();
    let on = match by_face[..] {
        [(_, name)] => format!("on {name}"),
        _ => {
            let each = by_face
                .iter()
                .map(|(count, name)| format!("{count} on {name}"));
            format!("({})", each.collect::<Vec<_>>().join(", "))
        }
    };
    let (each, one) = match all {
        1 => ("it", "it"),
        _ => ("each", "one"),
    };
    Some(format!(
        "Holes: {counted} {on}: cover {each}, fastened and marked, or rail {each} before anybody works near; never step or sit on {one} (29 CFR 1926.501(b)(4), from memory)."
    ))
}

/// What must be kept in mind before anybody goes up: what kills and hurts on roofs. Rules: 29 CFR 1926 (construction),
/// where the paragraph is named.
pub(crate) fn cautions(report: &Report<'_>) -> Vec<String> {
    let limits = limits(report);
    let steep = faces_where(report, |f| limits.is_steep_for_falls(f));
    let six_feet = report.units().feet_of_law(6.0);
    let mut out = Vec::new();
    if steep.is_empty() {
        out.push(format!(
            "Falls: at {six_feet} or more above a lower level, guardrails, nets or personal fall arrest (29 CFR 1926.501(b)(10), (13))."
        ));
    } else {
        out.push(format!(
            "Falls: {steep}: steeper than 4/12, so a steep roof (29 CFR 1926.500(b)): at {six_feet} or more above a lower level, guardrails with toeboards, nets or personal fall arrest (1926.501(b)(11)). Some states set other heights."
        ));
    }
    out.extend(holes(report));
    out.push(format!(
        "Ladders: rails {} above the landing, or tied with a grab device (29 CFR 1926.1053(b)(1)).",
        report.units().feet_of_law(3.0)
    ));
    let spread = match report.spread() {
        Spread::AlongRidge => "spread bundles along the ridge and over bearing walls",
        Spread::InLifts => {
            "bring bundles up in lifts and spread them over the faces and over bearing walls, since the ridge is too short for all"
        }
        Spread::NoRidge => "spread bundles over the faces and over bearing walls",
    };
    out.push(format!(
        "Loading: {spread}; never stack them on overhangs, valleys or a deck in doubt (common practice, no source)."
    ));
    out.push("Electricity: keep ladders, metal and people clear of the service drop and of overhead lines; ask the utility before working near them (common practice, no source).".to_owned());
    if report.may_meet_old_roofing() {
        out.push("Asbestos: old roofing and old underlayment may hold it. Have them tested before tear-off (common practice, no source).".to_owned());
    }
    out
}
