//! From a drawing to its roof: of the choices of lines that fit the labels equally well, the one that solves.

use super::loose_arrows::against_falls;
use super::map::{self, EdgeLine, MapOptions, PlanMap, StrokeSet};
use super::outline::{OutlineOptions, build_outlines};
use super::round::{self, Arc};
use super::views::plan_alone;
use super::{EdgeClass, Roof, SolveOptions, Unsolved, courtyard, fan, mistyped, size};
use crate::drawing::{Drawing, Label, Says};
use crate::geometry::{Point, ring};
use crate::{Finding, Place, Severity};

/// Everything that a roof depends on besides its drawing.
#[derive(Clone, Debug, Default)]
pub struct RoofOptions {
    /// For the map.
    pub map: MapOptions,
    /// For parts of which only the outline is drawn.
    pub outline: OutlineOptions,
    /// For falls and heights.
    pub solve: SolveOptions,
}

/// A choice that solves may cover this part less than the likeliest one and still be about the same roof. Lines of walls
/// inside the eaves often solve too, and would lose the overhang in silence.
const SAME_COVER: f64 = 0.01;

/// How badly a choice of lines solves, the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Flaw {
    /// It solves, and all planes meet.
    None,
    /// It solves; so many lines lie where planes do not meet.
    Gaps(usize),
    /// So many falls have to be asked for.
    Asked(usize),
    /// So many lines lie too far from where the planes meet.
    Refused(usize),
    /// It is no roof.
    NoRoof,
}

impl Roof {
    /// The roof of a drawing. Where layers do not say which lines are the roof's, and several choices of lines fit the
    /// labels equally well, the first that solves as a roof without a question is taken, and told.
    ///
    /// # Errors
    /// [`Unsolved`] with every reason for the likeliest choice.
    pub fn from_drawing(drawing: &Drawing, options: &RoofOptions) -> Result<Self, Unsolved> {
        if let Some(finding) = map::too_many_lines(drawing) {
            return Err(unsolved(vec![finding]));
        }
        let Some(plan) = plan_alone(drawing).map_err(unsolved)? else {
            return Self::of_plan(drawing, options);
        };
        let mut result = Self::of_plan(&plan.drawing, options);
        let findings = match &mut result {
            Ok(roof) => &mut roof.findings,
            Err(unsolved) => &mut unsolved.findings,
        };
        findings.extend(plan.findings);
        result
    }

    /// The roof of a drawing that has no other views beside the plan.
    fn of_plan(drawing: &Drawing, options: &RoofOptions) -> Result<Self, Unsolved> {
        let sets = map::candidates(drawing, &options.map);
        let Some(first) = sets.first() else {
            let mut result = solved(drawing, &StrokeSet::default(), options);
            if let Err(unsolved) = &mut result {
                mistyped::tell_refused(&mut unsolved.findings, drawing);
            }
            return result;
        };
        let alike = |set: &&StrokeSet| {
            let least = first.covered_sqft * (1.0 - SAME_COVER);
            if set.edge == EdgeLine::InnerBesideLabels {
                true
            } else if first.unlabelled {
                set.stray_labels == first.stray_labels
            } else {
                // Pitches that lie in one face without some lines say that these are the roof's.
                set.faults == first.faults
                    && set.stray_labels == first.stray_labels
                    && set.covered_sqft >= least
            }
        };
        let mut tried: Vec<Tried> = Vec::new();
        for set in sets.iter().filter(alike) {
            let tried_now = Tried::new(drawing, set, options);
            let done = tried_now.flaw == Flaw::None && !set.unlabelled;
            tried.push(tried_now);
            if done && first.which_edge.is_none() {
                break;
            }
        }
        if let Some(asked) = &first.which_edge {
            let is_roof = |wider: bool| {
                let mut of_edge = tried.iter().filter(|t| t.is_wider == wider);
                of_edge.any(|t| t.is_roof)
            };
            match asked.severity {
                Severity::Error if is_roof(true) && is_roof(false) => {
                    return Err(unsolved(vec![asked.clone()]));
                }
                Severity::Error => {}
                // What runs round the roof so far out is no overhang.
                _ => {
                    tried.retain(|t| !t.is_wider);
                    tried.iter_mut().for_each(|t| t.tell(asked));
                }
            }
        }
        let rank = |i: &usize| {
            let t = &tried[*i];
            (t.flaw == Flaw::NoRoof, t.built, t.flaw, t.cover, *i)
        };
        let Some(best) = (0..tried.len()).min_by_key(rank) else {
            return Err(Unsolved::default());
        };
        let best = tried.swap_remove(best);
        let mut result = match best.cut_short {
            Some(asked) if best.result.is_ok() => Err(unsolved(vec![asked])),
            _ => best.result,
        };
        match &mut result {
            Ok(roof) => mistyped::tell(roof, drawing),
            Err(unsolved) => mistyped::tell_refused(&mut unsolved.findings, drawing),
        }
        let mut roof = result?;
        roof.findings.extend(against_falls(&roof, drawing));
        Ok(roof)
    }
}

/// What came of one choice of lines.
struct Tried {
    flaw: Flaw,
    /// Whether it was built over a mere outline, where one pitch was given for everything: any frame is one.
    built: bool,
    /// Without labels nothing but the roof itself says which lines are its own: more of it is better (square feet,
    /// negative), with fewer lines that part nothing, as hatches and walls beneath do; and then in more faces (negative),
    /// so that no dormer is lost.
    cover: (i64, usize, i64),
    /// Whether its edge is the outer of two lines, where it is asked which is the edge.
    is_wider: bool,
    /// Whether its own lines make a roof, whatever they leave out.
    is_roof: bool,
    /// What is asked if it is taken.
    cut_short: Option<Finding>,
    result: Result<Roof, Unsolved>,
}

impl Tried {
    fn new(drawing: &Drawing, set: &StrokeSet, options: &RoofOptions) -> Self {
        let alone = solved(drawing, set, options);
        let is_roof = flaw(&alone) != Flaw::NoRoof;
        let result = with_what_is_lost(alone, drawing, set, options);
        let cover = match &result {
            Ok(roof) if set.unlabelled => {
                let area = roof.plan_area().to_square_feet();
                let faces = roof.faces.len() as i64;
                (-(area.round() as i64), needless_edges(roof), -faces)
            }
            _ => (0, 0, 0),
        };
        let built = |roof: &Roof| {
            let mut codes = roof.findings.iter().map(|f| f.code);
            set.unlabelled && codes.any(|c| c == "roof-built-from-outline")
        };
        Self {
            flaw: flaw(&result),
            built: result.as_ref().is_ok_and(built),
            cover,
            is_wider: set.edge == EdgeLine::Outer,
            is_roof,
            cut_short: set.cut_short.clone(),
            result,
        }
    }

    fn tell(&mut self, finding: &Finding) {
        match &mut self.result {
            Ok(roof) => roof.findings.push(finding.clone()),
            Err(unsolved) => unsolved.findings.push(finding.clone()),
        }
    }
}

/// Edges between two faces of one plane.
fn needless_edges(roof: &Roof) -> usize {
    let edges = roof.edges.iter();
    edges.filter(|e| e.class == EdgeClass::InPlane).count()
}

fn flaw(result: &Result<Roof, Unsolved>) -> Flaw {
    let told =
        |findings: &[Finding], code: &str| findings.iter().filter(|f| f.code == code).count();
    let gaps = |findings: &[Finding]| told(findings, "planes-do-not-meet");
    match result {
        // A fall that is taken without an answer makes a choice no likelier.
        Ok(roof) => match (told(&roof.findings, "fall-accepted"), gaps(&roof.findings)) {
            (0, 0) => Flaw::None,
            (0, gaps) => Flaw::Gaps(gaps),
            (asked, _) => Flaw::Asked(asked),
        },
        Err(unsolved) if unsolved.suggested_falls.is_empty() => match gaps(&unsolved.findings) {
            0 => Flaw::NoRoof,
            gaps => Flaw::Refused(gaps),
        },
        Err(unsolved) => Flaw::Asked(unsolved.suggested_falls.len()),
    }
}

/// What was solved, but for a choice that leaves out what looks like a roof. Where one pitch was given for all faces, the
/// choice with more faces is taken anyway.
fn with_what_is_lost(
    result: Result<Roof, Unsolved>,
    drawing: &Drawing,
    set: &StrokeSet,
    options: &RoofOptions,
) -> Result<Roof, Unsolved> {
    if set.unlabelled {
        return result;
    }
    let Some(lost) = map::roof_left_out(drawing, set, &options.map) else {
        return result;
    };
    match result {
        Ok(_) => Err(unsolved(vec![lost])),
        // With a hole where a face was lost the falls beside it may be open for want of that face alone.
        Err(mut asked) => {
            asked.findings.insert(0, lost);
            Err(asked)
        }
    }
}

fn solved(drawing: &Drawing, set: &StrokeSet, options: &RoofOptions) -> Result<Roof, Unsolved> {
    let mut maps = map::build_from(drawing, set, &options.map).map_err(unsolved)?;
    build_outlines(&mut maps, drawing, &options.outline).map_err(unsolved)?;
    let arcs: Vec<Arc> = maps.iter_mut().flat_map(round::straighten).collect();
    maps.iter_mut().for_each(fan::set_apart);
    let mut roof = Roof::solve(&maps, &options.solve)
        .map_err(|u| with_courtyards(or_an_outline(u, &maps, drawing), &maps, drawing))?;
    round::restore(&mut roof, &arcs);
    roof.findings
        .splice(0..0, maps.iter().flat_map(|m| m.findings.clone()));
    if courtyard::lacks_a_slope(&mut roof, drawing) {
        return Err(unsolved(roof.findings));
    }
    match size::beyond_sense(&roof, drawing) {
        Some(found) if found.severity == Severity::Error => return Err(unsolved(vec![found])),
        told => roof.findings.extend(told),
    }
    Ok(roof)
}

/// What was taken for a courtyard comes before what is asked of the falls round it: a deck whose pitch cannot be read leaves
/// them open.
fn with_courtyards(mut unsolved: Unsolved, maps: &[PlanMap], drawing: &Drawing) -> Unsolved {
    let told = maps.iter().flat_map(|m| m.findings.iter().cloned());
    let courts = courtyard::told(told, drawing);
    unsolved.findings.splice(0..0, courts);
    unsolved
}

/// A lone face with one pitch in it may be a lean-to, or the outline of a whole roof: whoever is asked must know both
/// ways out.
fn or_an_outline(mut unsolved: Unsolved, maps: &[PlanMap], drawing: &Drawing) -> Unsolved {
    let of_lone = unsolved.suggested_falls.iter().flat_map(|asked| {
        let here = maps.iter().filter(|map| map.level == asked.level);
        let lone = here.flat_map(|map| {
            let faces = map.faces.iter().filter(|face| face.could_be_outline);
            faces.filter_map(|face| Some(map.corners(face.rings.first()?)))
        });
        lone.filter(|corners| ring::contains(corners, asked.at))
    });
    let of_lone: Vec<Vec<Point>> = of_lone.collect();
    let is_note = |label: &&Label| {
        matches!(label.says, Says::Pitch { .. }) && map::speaks_of_pitches(&label.text)
    };
    let notes = drawing.labels.iter().filter(is_note);
    let boxed: Vec<Finding> = notes
        .filter(|label| of_lone.iter().any(|ring| ring::contains(ring, label.at)))
        .map(box_of_notes)
        .collect();
    let lone = !of_lone.is_empty();
    if lone {
        unsolved.findings.push(
            Finding::note(
                "could-be-outline",
                "A face that stands alone with one pitch in it may be a lean-to or the outline of a whole roof.",
            )
            .remedy("If it is an outline, say --outline: hips, valleys and ridges are then built from it."),
        );
    }
    unsolved.findings.extend(boxed);
    unsolved
}

fn box_of_notes(label: &Label) -> Finding {
    Finding::note(
        "could-be-notes",
        format!(
            "“{}” speaks of pitches in words: the lines round it may be a title block or a frame round notes, and no face.",
            label.text
        ),
    )
    .remedy("If they are, draw them and the text on a layer named ignore.")
    .place(Place::on(&label.source, label.at))
}

fn unsolved(findings: Vec<Finding>) -> Unsolved {
    Unsolved {
        findings,
        suggested_falls: Vec::new(),
    }
}
