//! The course layout of every face for other programs.

use serde::Serialize;

use super::course_choices::{SuggestionOut, suggestion_out};
use super::crew_words::corner_words;
use super::{OutputUnits, json};
use crate::courses::{Courses, FaceLayout, Pattern, RunEnd, Suggestion};
use crate::roof::Roof;

/// The name and version of the layout.
const SCHEMA: &str = "eavewright.courses/1";

#[derive(Serialize)]
struct Out<'a> {
    schema: &'static str,
    units: UnitsOut,
    format: &'a str,
    source: &'a str,
    width: f64,
    height: f64,
    exposure: f64,
    rules: RulesOut,
    faces: Vec<FaceOut<'a>>,
    totals: Figures,
    suggestions: Vec<SuggestionOut<'a>>,
    findings: Vec<json::FindingOut<'a>>,
}

#[derive(Serialize)]
struct UnitsOut {
    length: &'static str,
    area: &'static str,
}

#[derive(Serialize)]
struct RulesOut {
    joint_distance: f64,
    second_joint_distance: f64,
    /// From any joint or cutout to those of the next course, where the format has cutouts.
    #[serde(skip_serializing_if = "Option::is_none")]
    cutout_distance: Option<f64>,
    least_piece: f64,
    ridge_skip: f64,
    wait_courses: usize,
}

/// What a face takes, and the roof.
#[derive(Serialize)]
struct Figures {
    net_area: f64,
    pieces_without_reuse: usize,
    pieces_opened: usize,
    pieces_bound: usize,
    waste_percent_without_reuse: f64,
    waste_percent: f64,
    waste_percent_bound: f64,
    pieces_laid: usize,
    cuts: usize,
    offcuts_reused: usize,
    nails: usize,
    short_pieces: usize,
    smallest_joint_distance: Option<f64>,
}

#[derive(Serialize)]
struct FaceOut<'a> {
    name: &'a str,
    courses: usize,
    #[serde(flatten)]
    figures: Figures,
    nails_per_piece: u32,
    nail_line: f64,
    nailing_caution: Option<&'static str>,
    ridge_remainder: f64,
    cap_covers_remainder: bool,
    largest_pile: usize,
    longest_wait_courses: usize,
    start: &'static str,
    crew: CrewOut,
    runs: Vec<RunOut>,
    /// [run that the piece closes, run that the piece opens]: two pieces of one shingle.
    pairs: &'a [(usize, usize)],
    /// Pieces cut again, as ([run, end] of a piece of the same shingle, [run, end] of the piece).
    cut_again: Vec<[(usize, &'static str); 2]>,
}

#[derive(Serialize)]
struct CrewOut {
    pattern: &'static str,
    step: Option<f64>,
    first_joint: Option<f64>,
    /// Widths of the first pieces in turn, after which they come again.
    start_widths: Vec<f64>,
    lag_courses: Option<usize>,
    offcut_lag_courses: Option<i64>,
    exceptions: usize,
    chalk_lines: Vec<f64>,
    split_courses: Vec<usize>,
}

#[derive(Serialize)]
struct RunOut {
    course: usize,
    butt_height: f64,
    strip: f64,
    butt: [f64; 2],
    top: [f64; 2],
    joints: Vec<f64>,
    follows: bool,
}

/// The layout as JSON: full precision; lengths along a face in u from the left end of its eave, up the slope in v. The
/// crew's pattern is told from the corner that the face is begun at.
pub fn course_json(
    roof: &Roof,
    courses: &Courses,
    better: &[Suggestion],
    units: OutputUnits,
) -> String {
    let length = |inches: f64| inches / 12.0 * units.per_foot();
    let rules = &courses.rules;
    let format = &courses.format;
    let sum = |of: fn(&FaceLayout) -> usize| courses.faces.iter().map(of).sum();
    let out = Out {
        schema: SCHEMA,
        units: UnitsOut {
            length: units.length_key(),
            area: units.area_key(),
        },
        format: &format.name,
        source: &format.source.0,
        width: length(format.width_in),
        height: length(format.height_in),
        exposure: length(format.exposure_in),
        rules: RulesOut {
            joint_distance: length(rules.joint_distance_in),
            second_joint_distance: length(rules.second_joint_distance_in),
            cutout_distance: rules.cutout_distance_in(format).map(length),
            least_piece: length(rules.least_piece_in),
            ridge_skip: length(rules.ridge_skip_in),
            wait_courses: rules.wait_courses,
        },
        faces: courses
            .faces
            .iter()
            .map(|f| face_out(roof, courses, f, units))
            .collect(),
        totals: Figures {
            net_area: courses.net_area_sqin() / 144.0 * units.per_square_foot(),
            pieces_without_reuse: courses.opened_without_reuse(),
            pieces_opened: courses.opened(),
            pieces_bound: courses.bound(),
            waste_percent_without_reuse: courses.waste_percent_without_reuse(),
            waste_percent: courses.waste_percent(),
            waste_percent_bound: courses.waste_percent_of(courses.bound()),
            pieces_laid: courses.pieces_laid(),
            cuts: courses.cuts(),
            offcuts_reused: courses.offcuts_reused(),
            nails: courses.nails(roof),
            short_pieces: sum(|f| f.short_pieces),
            smallest_joint_distance: courses.smallest_joint_distance_in().map(length),
        },
        suggestions: better.iter().map(|s| suggestion_out(roof, s)).collect(),
        findings: courses
            .findings
            .iter()
            .map(|f| json::finding(f, units.per_foot()))
            .collect(),
    };
    json::written(&out)
}

fn face_out<'a>(
    roof: &'a Roof,
    courses: &Courses,
    layout: &'a FaceLayout,
    units: OutputUnits,
) -> FaceOut<'a> {
    let length = |inches: f64| inches / 12.0 * units.per_foot();
    let nailing = courses.nailing(roof, layout.face);
    let sheet = layout.crew_sheet();
    let (pattern, step, first, lag) = match sheet.pattern {
        Pattern::Step {
            step_in,
            first_joint_in,
        } => (
            "step",
            Some(length(step_in)),
            Some(length(first_joint_in)),
            None,
        ),
        Pattern::RunOn { lag } => ("run-on", None, None, Some(lag)),
        Pattern::None => ("none", None, None, None),
    };
    let mut follows = vec![true; layout.runs.len()];
    for row in &sheet.rows {
        follows[row.run] = row.follows;
    }
    FaceOut {
        name: &roof.face(layout.face).name,
        courses: layout.courses,
        figures: Figures {
            net_area: layout.net_area_sqin / 144.0 * units.per_square_foot(),
            pieces_without_reuse: layout.opened_without_reuse,
            pieces_opened: layout.opened,
            pieces_bound: layout.bound,
            waste_percent_without_reuse: layout.waste_percent_of(layout.opened_without_reuse),
            waste_percent: layout.waste_percent_of(layout.opened),
            waste_percent_bound: layout.waste_percent_of(layout.bound),
            pieces_laid: layout.pieces_laid,
            cuts: layout.cuts,
            offcuts_reused: layout.offcuts_reused,
            nails: layout.nails(nailing.per_piece),
            short_pieces: layout.short_pieces,
            smallest_joint_distance: layout.smallest_joint_distance_in.map(length),
        },
        nails_per_piece: nailing.per_piece,
        nail_line: length(nailing.line_in),
        nailing_caution: nailing.caution,
        ridge_remainder: length(layout.ridge_remainder_in),
        cap_covers_remainder: layout.cap_covers_remainder,
        largest_pile: layout.largest_pile,
        longest_wait_courses: layout.longest_wait_courses,
        start: corner_words(layout.start).near,
        crew: CrewOut {
            pattern,
            step,
            first_joint: first,
            start_widths: sheet.starts_in.iter().map(|w| length(*w)).collect(),
            lag_courses: lag,
            offcut_lag_courses: sheet.offcut_lag,
            exceptions: sheet.exceptions(),
            chalk_lines: sheet.chalk_in.iter().map(|c| length(*c)).collect(),
            split_courses: sheet.split_courses,
        },
        runs: layout
            .runs
            .iter()
            .zip(follows)
            .map(|(run, follows)| RunOut {
                course: run.course + 1,
                butt_height: length(run.butt_height_in),
                strip: length(run.strip_in),
                butt: [length(run.butt_in.0), length(run.butt_in.1)],
                top: [length(run.top_in.0), length(run.top_in.1)],
                joints: run.joints_in.iter().map(|j| length(*j)).collect(),
                follows,
            })
            .collect(),
        pairs: &layout.pairs,
        cut_again: layout
            .cut_again
            .iter()
            .map(|c| [c.of, c.piece].map(|(run, end)| (run, end_key(end))))
            .collect(),
    }
}

fn end_key(end: RunEnd) -> &'static str {
    match end {
        RunEnd::Opening => "opening",
        RunEnd::Closing => "closing",
    }
}
