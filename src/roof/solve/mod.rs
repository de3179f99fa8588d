//! From plan maps to a roof: which way each face falls, how high every corner is, what each edge is.
//!
//! Method: each face has few candidate directions ([`candidates`]); a cost says how likely an assignment is
//! ([`cost`]); bucket elimination finds the cheapest one exactly ([`eliminate`]) and rivals of it
//! ([`alternatives`]); least squares turns directions into planes that meet ([`refine`]); where a rival is too near, the
//! drawing does not decide and the face is asked about ([`ask`]).

mod adjust;
mod alternatives;
mod ask;
mod aslant;
mod assemble;
mod candidates;
mod cautions;
mod checks;
mod classes;
mod clearance;
mod cost;
mod curves;
mod cuts;
mod eliminate;
mod given;
mod heights;
mod in_plane;
mod label_place;
mod labels;
mod levels;
mod misfit;
mod names;
mod openings;
mod parts;
mod pending;
mod ponds;
mod refine;
mod region;
mod rounded;
mod sheet;
mod sparse;
mod steps;
mod tables;
mod walls;
mod why;
pub(super) mod words;

use crate::units::METRES_PER_FOOT;
use crate::{Finding, Severity};

use crate::geometry::{Point, Vector};
use crate::roof::Roof;
use crate::roof::SlopeLimits;
use crate::roof::map::PlanMap;

use adjust::Drawn;
use alternatives::{Search, Searcher, Solution};
use assemble::{SolvedSheet, assemble};
use curves::Curves;
use misfit::Readings;
use region::Roofing;
use sheet::Sheet;

/// How to solve.
#[derive(Clone, Debug)]
pub struct SolveOptions {
    /// Take the likeliest falls where the drawing does not decide; told as a warning. A face without a pitch that is needed is
    /// refused all the same.
    pub accept_falls: bool,
    /// Move the lines, within the tracing error, so that the planes meet; otherwise take them as snapped.
    pub adjust: bool,
    /// Only tell where planes do not meet, however far off: for a review, which is about such places. Otherwise there is
    /// no roof where they are off by a good part of a face.
    pub tell_misfits: bool,
    /// The compass bearing of the plan's upward direction, in degrees: 0 when north is up.
    pub up_bearing_deg: f64,
    /// Slopes at which rules change.
    pub limits: SlopeLimits,
}

impl Default for SolveOptions {
    fn default() -> Self {
        Self {
            accept_falls: false,
            adjust: true,
            tell_misfits: false,
            up_bearing_deg: 0.0,
            limits: SlopeLimits::default(),
        }
    }
}

/// Why there is no roof, and the falls to be confirmed where that is all that is missing.
#[derive(Clone, Debug, Default)]
pub struct Unsolved {
    /// Every reason.
    pub findings: Vec<Finding>,
    /// The likeliest fall of each face that is asked about, the most telling first. Drawn as arrows in a `fall` layer
    /// they settle it.
    pub suggested_falls: Vec<SuggestedFall>,
}

/// The likeliest fall of a face that the drawing leaves open.
#[derive(Clone, Debug, PartialEq)]
pub struct SuggestedFall {
    /// A roomy place inside the face, in plan feet.
    pub at: Point,
    /// The direction that water would run to, of length 1.
    pub fall: Vector,
    /// How far an arrow may reach from `at` to both sides without leaving the face, in feet.
    pub reach_ft: f64,
    /// The pitch as written, to name the face by.
    pub face_label: String,
    /// The level of its map.
    pub level: u32,
}

impl Roof {
    /// Solves the roof of all levels.
    ///
    /// # Errors
    /// [`Unsolved`] with every reason: faces without a pitch that nothing fixes, pitches that cannot be true together,
    /// and faces whose fall the drawing does not decide.
    pub fn solve(maps: &[PlanMap], options: &SolveOptions) -> Result<Self, Unsolved> {
        let mut sheets = Vec::new();
        let mut unsolved = Unsolved::default();
        let mut findings = Vec::new();
        for (index, map) in maps.iter().enumerate() {
            let drawn = Drawn::of(map);
            for sheet in Sheet::parts(map) {
                let missing = pending::missing_pitches(&sheet);
                if !missing.is_empty() {
                    unsolved.findings.extend(missing);
                    continue;
                }
                if let Some(settled) = given::settled(map, index, &sheet) {
                    sheets.push(settled);
                    continue;
                }
                sheets.push(solve_sheet(
                    (map, &drawn),
                    index,
                    sheet,
                    options,
                    &mut findings,
                    &mut unsolved,
                ));
            }
        }
        let open = !unsolved.suggested_falls.is_empty() && !options.accept_falls;
        if open
            || unsolved
                .findings
                .iter()
                .any(|f| f.severity == Severity::Error)
        {
            return Err(unsolved);
        }
        findings.append(&mut unsolved.findings);
        Ok(finish(maps, &mut sheets, options, findings))
    }
}

/// One connected part: searched, asked about, adjusted.
fn solve_sheet(
    (map, drawn): (&PlanMap, &Drawn<'_>),
    index: usize,
    sheet: Sheet,
    options: &SolveOptions,
    findings: &mut Vec<Finding>,
    unsolved: &mut Unsolved,
) -> SolvedSheet {
    let (mut search, step_reason) = search(&sheet);
    parts::stack(&sheet, &sheet.face_edges(), &mut search.best.roofing);
    steps::without_a_height(&sheet, &mut search.best.roofing);
    let doubts = ask::doubts(&sheet, &search);
    let why = why::reasons(&sheet, &search, &doubts, step_reason);
    findings.extend(pending::dropped(&sheet, search.dropped));
    findings.extend(pending::arrows(&sheet, &search.best));
    findings.extend(pending::computed_pitches(&sheet, &search.best));
    findings.extend(pending::ponds(&sheet, &search.best));
    let asked = ask::asked(&sheet, &search.best.roofing, &doubts, step_reason.is_some());
    let contradictions = Contradictions::of(map, &sheet, &search.best.roofing, &asked, options);
    // Of what lies between lines and pitches that cannot be true together falls are no question.
    let decided = |f: &usize| !contradictions.refused_faces.contains(f);
    let mut asked: Vec<usize> = asked.into_iter().filter(decided).collect();
    for finding in contradictions.findings {
        // Whoever is asked about falls must know what else may be wrong.
        match finding.severity {
            Severity::Error => unsolved.findings.push(finding),
            _ if !asked.is_empty() => unsolved.findings.push(finding),
            _ => findings.push(finding),
        }
    }
    findings.extend(step_reason.and_then(|why| pending::stepped(&sheet, &search.best, why)));
    findings.extend(aslant::told(&sheet, &search.best.roofing));
    let unlabelled = pending::unlabelled(&sheet, &asked);
    if !unlabelled.is_empty() {
        // The other falls may be open for want of that pitch alone.
        unsolved.findings.extend(unlabelled);
        asked.clear();
    }
    if step_reason.is_some() && !asked.is_empty() && !options.accept_falls {
        let beside = in_plane::beside(&sheet, &search.best.roofing);
        unsolved.findings.extend(beside);
    }
    for face in asked {
        if let Some(open) = pending::suggested_fall(map, &sheet, &search.best, face) {
            let bearing = (open.fall.bearing_deg() + options.up_bearing_deg).rem_euclid(360.0);
            unsolved
                .findings
                .push(pending::open_fall(&open, bearing, options.accept_falls));
            unsolved.suggested_falls.push(open);
        }
    }
    let as_written = contradictions.as_written;
    settle(drawn, index, sheet, search.best, why, as_written, options)
}

/// Which of the drawing's statements on one sheet cannot be true together: lines, pitches and, beside faces that are asked about
/// too, curves.
struct Contradictions {
    findings: Vec<Finding>,
    /// The faces beside straight lines for which there is no roof.
    refused_faces: Vec<usize>,
    /// Whether planes part along straight lines at exactly the pitches written.
    as_written: bool,
}

impl Contradictions {
    fn of(
        map: &PlanMap,
        sheet: &Sheet,
        roofing: &Roofing,
        asked: &[usize],
        options: &SolveOptions,
    ) -> Self {
        let refuse = !options.tell_misfits;
        let readings = Readings::of(sheet, roofing);
        let curves = Curves::of(map, sheet);
        let misfits = misfit::misfits(sheet, &readings, &curves, refuse);
        let mut as_written = !misfits.findings.is_empty();
        let mut findings = misfits.findings;
        findings.extend(curves.told(sheet, &misfits.curves, &misfits.refused_curves));
        // A fall beside a curve can hardly be answered: there that is said with the question.
        let refused = refuse && !options.accept_falls;
        findings.extend(curves.beside(sheet, asked, &misfits.curves, refused));
        // Pitches that would fit a curve say nothing.
        if misfits.refused_curves.is_empty() {
            let refuse_area = refuse && misfit::other_area(sheet, roofing);
            findings.extend(labels::odd(sheet, roofing, refuse_area));
            let rounded = rounded::told(sheet, roofing, &readings, &curves);
            as_written |= rounded.is_some();
            findings.extend(rounded);
        }
        Self {
            findings,
            refused_faces: misfits.refused_faces,
            as_written,
        }
    }
}

/// The roof of the solved parts, with its checks and cautions.
fn finish(
    maps: &[PlanMap],
    sheets: &mut [SolvedSheet],
    options: &SolveOptions,
    findings: Vec<Finding>,
) -> Roof {
    let mut assembled = assemble(maps, sheets, options.up_bearing_deg);
    assembled.roof.findings = findings;
    let mut cut = openings::cut(maps, sheets, &mut assembled);
    let mut roof = assembled.roof;
    let new_id = names::number(&mut roof, options.up_bearing_deg);
    for face in cut.pieces.iter_mut().flatten() {
        *face = new_id[face.0].unwrap_or(*face);
    }
    let told = openings::told(&roof, &cut);
    roof.findings.extend(told);
    let told = walls::told(&roof, &assembled.walls, &new_id);
    roof.findings.extend(told);
    let lost_sqft = cut.strips_sqft - cut.kept_sqft;
    roof.checks = checks::checks(maps, sheets, &assembled.heights, &roof, lost_sqft);
    let told = checks::told(&roof.checks);
    roof.findings.extend(told);
    levels::meet(maps, &mut roof);
    let gutters = levels::wall_gutters(&roof);
    roof.findings.extend(gutters);
    roof.snap_tolerance_ft = maps.iter().map(|m| m.tolerance_ft).fold(0.0, f64::max);
    let told = in_plane::told(&roof);
    roof.findings.extend(told);
    let cautions = cautions::cautions(&roof, &options.limits);
    roof.findings.extend(cautions);
    roof.largest_move = moves(maps, sheets).max_by(|a, b| a.0.total_cmp(&b.0));
    roof.true_area_std_error_sqft = std_error_sqft(sheets);
    roof
}

/// How far snapping moved, and how far adjusting moved each corner: feet, and where it ended.
fn moves(maps: &[PlanMap], sheets: &[SolvedSheet]) -> impl Iterator<Item = (f64, Point)> {
    let adjusted = sheets.iter().flat_map(|solved| {
        let pairs = solved.sheet.nodes.iter().zip(&solved.nodes);
        pairs.map(|(from, &to)| {
            (
                from.distance(to) / METRES_PER_FOOT,
                solved.sheet.to_plan(to),
            )
        })
    });
    maps.iter().filter_map(|m| m.largest_move).chain(adjusted)
}

/// Parts are traced independently of each other: variances add.
fn std_error_sqft(sheets: &[SolvedSheet]) -> Option<f64> {
    let variances: Option<Vec<f64>> = sheets
        .iter()
        .map(|s| Some(s.true_area_std_error_m2?.powi(2)))
        .collect();
    let variance: f64 = variances?.iter().sum();
    Some(variance.sqrt() / (METRES_PER_FOOT * METRES_PER_FOOT))
}

/// The search without steps, or, where that finds no sound roof, with them and the reason why.
fn search(sheet: &Sheet) -> (Search, Option<&'static str>) {
    let search = Searcher::new(sheet, false).run();
    let best = &search.best;
    let needed = steps::needed(sheet, best);
    let gaps = steps::gapes(sheet, best).or_else(|| match needed {
        None => misfit::unexplained(sheet, &labels::held(sheet, &best.roofing)),
        Some(_) => None,
    });
    let gaps_count = gaps.is_some() || steps::may_help(best);
    let about_pitches =
        || misfit::is_about_pitches(sheet, &labels::to_the_letter(sheet, &best.roofing));
    if needed.is_none() && (!gaps_count || about_pitches()) {
        return (search, None);
    }
    let reason = gaps.or(needed);
    let searcher = Searcher::new(sheet, true);
    let stepped = searcher.run();
    if let Some(joined) = about_pitches_after_all(sheet, &searcher, &stepped) {
        return (joined, None);
    }
    match reason.or_else(|| steps::better(&search.best, &stepped.best)) {
        Some(why) => (stepped, Some(why)),
        None => (search, None),
    }
}

/// What was found with steps, but without them, where they are all drawn as hips and valleys are, nothing else needs one, and another
/// pitch would make the planes meet there: the falls are right then, and it is the pitches and the lines that contradict each other.
fn about_pitches_after_all(sheet: &Sheet, searcher: &Searcher, stepped: &Search) -> Option<Search> {
    let roofing = &stepped.best.roofing;
    let steps = (0..sheet.edges.len()).filter(|&e| roofing.is_step[e]);
    let straight = |e: usize| !aslant::is_aslant(sheet, roofing, e);
    if steps.clone().next().is_none() || steps.clone().any(straight) {
        return None;
    }
    let best = searcher.without_steps(roofing.clone());
    let pitches = || misfit::is_about_pitches(sheet, &labels::to_the_letter(sheet, &best.roofing));
    (steps::needed(sheet, &best).is_none() && pitches()).then(|| Search {
        best,
        ..stepped.clone()
    })
}

/// The chosen solution with the adjusted planes and corners where that is asked for. Where lines and pitches contradict each other
/// nothing is adjusted: the planes would meet only at pitches that nobody wrote.
fn settle(
    drawn: &Drawn<'_>,
    index: usize,
    sheet: Sheet,
    best: Solution,
    why: Vec<String>,
    as_written: bool,
    options: &SolveOptions,
) -> SolvedSheet {
    let adjusted = options
        .adjust
        .then(|| adjust::adjust(drawn, &sheet, &best.roofing.planes, &best.roofing.is_step))
        .flatten();
    let std_error = adjusted.as_ref().map(|a| a.true_area_std_error);
    let (nodes, planes) = match adjusted {
        _ if as_written => {
            // Which way faces fall is told best by the lines as adjusted: what is level there.
            let found = adjusted.map_or_else(|| best.roofing.planes.clone(), |a| a.planes);
            let planes = labels::as_written(&sheet, &best.roofing, &found);
            (sheet.nodes.clone(), planes)
        }
        Some(adjusted) => (adjusted.nodes, adjusted.planes),
        None => (sheet.nodes.clone(), best.roofing.planes),
    };
    SolvedSheet {
        as_written,
        map: index,
        why,
        lift_ft: 0.0,
        nodes,
        planes,
        is_step: best.roofing.is_step,
        true_area_std_error_m2: std_error,
        sheet,
    }
}
