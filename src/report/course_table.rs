//! The course layout of every face in figures: for a terminal and for other programs.

use std::fmt::Write as _;

use serde::Serialize;

use super::typeset::wrap;
use super::{OutputUnits, json, number};
use crate::courses::{
    Courses, CrewRow, EndPiece, FaceLayout, Layout, Pattern, RunEnd, StartCorner, Suggested,
    Suggestion,
};
use crate::roof::Roof;
use crate::units::{Area, Length, True};

/// The name and version of the layout.
const SCHEMA: &str = "eavewright.courses/1";

/// The layout on a terminal of 80 columns: what every face and the roof take, then the crew's sheet of every face.
pub fn course_table(roof: &Roof, courses: &Courses, units: OutputUnits) -> String {
    let mut out = String::new();
    let format = &courses.format;
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let _ = writeln!(
        out,
        "{}: {} × {}, {} exposed, {} pieces to cover a square\n",
        format.name,
        small(format.width_in),
        small(format.height_in),
        small(format.exposure_in),
        number::decimal(format.pieces_per_square(), 2),
    );
    shingles(roof, courses, units, &mut out);
    out.push('\n');
    work(roof, courses, units, &mut out);
    let skip = small(courses.rules.ridge_skip_in);
    let _ = writeln!(
        out,
        "\nA strip lower than {skip} at the ridge is left to the cap. Waste is of the net\n\
         area, in field shingles: starter, caps, breakage and whole bundles are no part\n\
         of it.\n"
    );
    for layout in &courses.faces {
        crew(roof, layout, units, &mut out);
    }
    out
}

fn shingles(roof: &Roof, courses: &Courses, units: OutputUnits, out: &mut String) {
    let _ = writeln!(
        out,
        "face        net {:>3}  courses   without     with  proven      waste % of each\n\
         \x20                              reuse    reuse   bound",
        units.area_sign()
    );
    let mut line =
        |name: &str, net_sqin: f64, count: usize, figures: [usize; 3], waste: [f64; 3]| {
            let net = Area::<True>::square_feet(net_sqin / 144.0);
            let _ = writeln!(
                out,
                "{name:<7}{:>12}{:>9}{:>10}{:>9}{:>8}{:>9}{:>7}{:>7}",
                units.area(net),
                number::count(count),
                number::count(figures[0]),
                number::count(figures[1]),
                number::count(figures[2]),
                number::decimal(waste[0], 1),
                number::decimal(waste[1], 1),
                number::decimal(waste[2], 1),
            );
        };
    for f in &courses.faces {
        let figures = [f.opened_without_reuse, f.opened, f.bound];
        let waste = figures.map(|n| f.waste_percent_of(n));
        line(
            &roof.face(f.face).name,
            f.net_area_sqin,
            f.courses,
            figures,
            waste,
        );
    }
    let figures = [
        courses.opened_without_reuse(),
        courses.opened(),
        courses.bound(),
    ];
    let waste = figures.map(|n| courses.waste_percent_of(n));
    let count = courses.faces.iter().map(|f| f.courses).sum();
    line("roof", courses.net_area_sqin(), count, figures, waste);
}

fn work(roof: &Roof, courses: &Courses, units: OutputUnits, out: &mut String) {
    out.push_str(
        "face     pieces    cuts offcuts   nails   least   short    left at the ridge\n\
         \x20          laid           again           joint  pieces\n",
    );
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let least = |d: Option<f64>| d.map_or("–".to_owned(), small);
    for f in &courses.faces {
        let nails = f.nails(courses.nailing(roof, f.face).per_piece);
        let ridge = match (f.ridge_remainder_in > 0.0, f.cap_covers_remainder) {
            (false, _) => "none".to_owned(),
            (true, true) => format!("{} cap covers", remainder(f.ridge_remainder_in, units)),
            (true, false) => format!("{} a course", remainder(f.ridge_remainder_in, units)),
        };
        let _ = writeln!(
            out,
            "{:<7}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}    {ridge}",
            roof.face(f.face).name,
            number::count(f.pieces_laid),
            number::count(f.cuts),
            number::count(f.offcuts_reused),
            number::count(nails),
            least(f.smallest_joint_distance_in),
            number::count(f.short_pieces),
        );
    }
    let short = courses.faces.iter().map(|f| f.short_pieces).sum();
    let closest = courses.smallest_joint_distance_in();
    let _ = writeln!(
        out,
        "{:<7}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}",
        "roof",
        number::count(courses.pieces_laid()),
        number::count(courses.cuts()),
        number::count(courses.offcuts_reused()),
        number::count(courses.nails(roof)),
        least(closest),
        number::count(short),
    );
}

/// A strip at the ridge, to a sixteenth of an inch.
fn remainder(inches: f64, units: OutputUnits) -> String {
    match units {
        OutputUnits::Feet => number::inches_to_sixteenth(inches),
        OutputUnits::Metres => units.small(Length::<True>::inches(inches)),
    }
}

fn end_key(end: RunEnd) -> &'static str {
    match end {
        RunEnd::Opening => "opening",
        RunEnd::Closing => "closing",
    }
}

/// One pattern line, then only what departs from it.
fn crew(roof: &Roof, layout: &FaceLayout, units: OutputUnits, out: &mut String) {
    let sheet = layout.crew_sheet();
    let name = &roof.face(layout.face).name;
    let corner = match layout.start {
        StartCorner::Left => "left",
        StartCorner::Right => "right",
    };
    let _ = writeln!(
        out,
        "{name}, from the {corner} corner, seen from outside with the eave down:"
    );
    for sentence in pattern_words(layout, units) {
        wrap(&sentence, "  ", "  ", out);
    }
    for row in sheet.rows.iter().filter(|r| !r.follows) {
        let head = format!("  course {:>3}: ", row.course);
        wrap(&row_words(layout, row, units), &head, "              ", out);
    }
}

/// The instruction that most courses follow, a line each.
pub(crate) fn pattern_words(layout: &FaceLayout, units: OutputUnits) -> Vec<String> {
    let sheet = layout.crew_sheet();
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let mut said = Vec::new();
    match sheet.pattern {
        Pattern::Step {
            step_in,
            first_joint_in,
        } => {
            // Joints repeat with every shingle, so a long step to one side is a short one to the other.
            let (step, side) = if step_in <= layout.width_in / 2.0 {
                (step_in, "left")
            } else {
                (layout.width_in - step_in, "right")
            };
            said.push(format!(
                "First joint {} from the left of course 1; every course's joints {} further {side}.",
                small(first_joint_in),
                small(step)
            ));
        }
        Pattern::RunOn { lag: 1 } => said.push(
            "Open every course with the piece left at the right end of the course below."
                .to_owned(),
        ),
        Pattern::RunOn { lag } => said.push(format!(
            "Open every course with the piece left at the right end of the course {lag} below."
        )),
        Pattern::None => {}
    }
    if let Some(lag) = sheet.offcut_lag {
        said.push(match lag {
            0 => "Offcuts, as a rule: what the left end leaves closes the same course.".to_owned(),
            l if l > 0 => {
                format!("Offcuts, as a rule: what the right end leaves opens the course {l} above.")
            }
            l => format!(
                "Offcuts, as a rule: what the left end leaves closes the course {} above.",
                -l
            ),
        });
    }
    let exceptions = sheet.rows.iter().filter(|r| !r.follows).count();
    if exceptions > 0 {
        said.push(format!(
            "Except in {} of {} runs:",
            exceptions,
            sheet.rows.len()
        ));
    }
    said
}

/// One course as the crew lays it.
pub(crate) fn row_words(layout: &FaceLayout, row: &CrewRow, units: OutputUnits) -> String {
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let course_of = |run: usize| layout.runs.get(run).map_or(0, |r| r.course + 1);
    let end = |piece: EndPiece| match piece {
        EndPiece::Whole => Some("a whole shingle".to_owned()),
        EndPiece::Cut {
            length_in,
            save_for: None,
        } => Some(format!("{} cut", small(length_in))),
        EndPiece::Cut {
            length_in,
            save_for: Some(run),
        } => Some(format!(
            "{} cut, offcut for course {}",
            small(length_in),
            course_of(run)
        )),
        EndPiece::Offcut { length_in, of } => Some(format!(
            "{} offcut of course {}",
            small(length_in),
            course_of(of)
        )),
        EndPiece::None => None,
    };
    let parts: Vec<String> = [
        end(row.opening),
        (row.whole > 0).then(|| format!("{} whole", row.whole)),
        end(row.closing),
    ]
    .into_iter()
    .flatten()
    .collect();
    parts.join(" + ")
}

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
    lag_courses: Option<usize>,
    offcut_lag_courses: Option<i64>,
    exceptions: usize,
    chalk_lines: Vec<f64>,
    split_courses: Vec<usize>,
}

/// A choice that opens fewer shingles.
#[derive(Serialize)]
struct SuggestionOut<'a> {
    choose: &'static str,
    face: &'a str,
    saves_pieces: usize,
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

/// The layout as JSON: full precision; lengths along a face in u from the left end of its eave, up the slope in v.
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

fn suggestion_out<'a>(roof: &'a Roof, suggestion: &Suggestion) -> SuggestionOut<'a> {
    let (choose, face) = match suggestion.choose {
        Suggested::Start(face, StartCorner::Left) => ("start-left", face),
        Suggested::Start(face, StartCorner::Right) => ("start-right", face),
        Suggested::Through(face, true) => ("through", face),
        Suggested::Through(face, false) => ("not-through", face),
    };
    SuggestionOut {
        choose,
        face: &roof.face(face).name,
        saves_pieces: suggestion.saves,
    }
}

/// What the same roof takes laid the other way: by one repeated step a face, or with the fewest shingles.
pub fn layout_words(laid: &Courses, other: &Courses) -> String {
    let departing = |courses: &Courses| -> usize {
        let sheets = courses.faces.iter().map(FaceLayout::crew_sheet);
        sheets.map(|s| s.exceptions()).sum()
    };
    let runs: usize = other.faces.iter().map(|f| f.runs.len()).sum();
    let (way, key) = match other.choices.layout {
        Layout::Regular => ("with one repeated step on every face", "regular"),
        Layout::Fewest => ("for the fewest shingles", "fewest"),
    };
    let (here, there) = (laid.opened(), other.opened());
    let change = match there.cmp(&here) {
        std::cmp::Ordering::Greater => format!("{} more", number::count(there - here)),
        std::cmp::Ordering::Less => format!("{} fewer", number::count(here - there)),
        std::cmp::Ordering::Equal => "as many".to_owned(),
    };
    let words = format!(
        "laid {way} it opens {} shingles, {change}, and {} of {} runs depart from their step instead of {}; layout = \"{key}\" under [shingles] in the job file lays it so.",
        number::count(there),
        number::count(departing(other)),
        number::count(runs),
        number::count(departing(laid)),
    );
    let mut out = String::new();
    wrap(&words, "or: ", "  ", &mut out);
    out
}

/// What other choices would save, a line each; empty where none saves anything.
pub fn suggestion_words(roof: &Roof, better: &[Suggestion]) -> String {
    let mut out = String::new();
    for suggestion in better {
        let said = suggestion_out(roof, suggestion);
        let (what, key) = match said.choose {
            "through" => ("run through its valleys", "through = true"),
            "not-through" => (
                "cut at its valleys, the faces beyond running through,",
                "through = false",
            ),
            "start-left" => ("started from its left corner", "start = \"left\""),
            _ => ("started from its right corner", "start = \"right\""),
        };
        let shingles = super::summary::plural(said.saves_pieces, "shingle");
        let words = format!(
            "{face} {what} saves {shingles} of the roof's; {key} under [shingles.faces.{face}] in the job file chooses it.",
            face = said.face
        );
        wrap(&words, "suggested: ", "  ", &mut out);
    }
    out
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
        start: match layout.start {
            StartCorner::Left => "left",
            StartCorner::Right => "right",
        },
        crew: CrewOut {
            pattern,
            step,
            first_joint: first,
            lag_courses: lag,
            offcut_lag_courses: sheet.offcut_lag,
            exceptions: sheet.rows.iter().filter(|r| !r.follows).count(),
            chalk_lines: sheet.chalk_in.iter().map(|c| length(*c)).collect(),
            split_courses: sheet.split_courses,
        },
        runs: layout
            .runs
            .iter()
            .zip(&sheet.rows)
            .map(|(run, row)| RunOut {
                course: run.course + 1,
                butt_height: length(run.butt_height_in),
                strip: length(run.strip_in),
                butt: [length(run.butt_in.0), length(run.butt_in.1)],
                top: [length(run.top_in.0), length(run.top_in.1)],
                joints: run.joints_in.iter().map(|j| length(*j)).collect(),
                follows: row.follows,
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
