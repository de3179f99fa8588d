//! Areas that the drawing states, each with what it is of.

use crate::drawing::text::parse_area;
use crate::drawing::{AreaHead, Drawing, Label, Mistyped, Says};
use crate::finding::excerpt;
use crate::geometry::{Point, ring};
use crate::roof::{Face, FaceId, Roof};
use crate::{Finding, Place};

/// What a stated figure is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// One face.
    Face(FaceId),
    /// The whole roof.
    Roof,
}

/// On which surface a statement says that it was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SurfaceSaid {
    /// On the slope, or nothing is said: a roof area is the area to be covered.
    True,
    /// In plan, in so many words.
    Plan,
}

/// An area that somebody stated.
#[derive(Clone, Debug)]
pub(super) struct Stated {
    pub(super) subject: Subject,
    pub(super) surface: SurfaceSaid,
    pub(super) sqft: f64,
    /// Half a unit of the last digit written.
    pub(super) half_step_sqft: f64,
    /// As written.
    pub(super) text: String,
    /// Where in the drawing; `None` for a list.
    pub(super) place: Option<Place>,
    /// The line of the list.
    pub(super) line: Option<u64>,
}

/// A text beside a face stands no further from it than this many times its own height.
const BESIDE: f64 = 3.0;

/// Texts whose baselines lie within this many of their heights stand on one line.
const SAME_LINE: f64 = 0.5;
/// The next line of a column lies no further down than this many heights.
const NEXT_LINE: f64 = 2.5;
/// A figure stands no further behind its words than this many heights: across a column of a table.
const LINE_GAP: f64 = 25.0;

/// The drawing's statements. One that stands at no face and does not say that it is of the roof is told, not guessed.
pub(super) fn in_drawing(
    drawing: &Drawing,
    roof: &Roof,
    findings: &mut Vec<Finding>,
) -> Vec<Stated> {
    let mut all = Vec::new();
    for label in &drawing.labels {
        let Says::StatedArea {
            square_feet,
            whole_roof,
        } = label.says
        else {
            continue;
        };
        let place = Place::on(&label.source, label.at);
        let mut text = label.text.clone();
        let mut subject = if whole_roof {
            Some(Subject::Roof)
        } else {
            over(label, roof).map(Subject::Face)
        };
        // Words beside it say more than a face that it only stands near.
        if subject.is_none()
            && let Some(headed) = headed(label, drawing)
        {
            let of_roof = parse_area(&headed).is_some_and(|a| a.whole_roof);
            subject = of_roof.then_some(Subject::Roof);
            text = headed;
        }
        let read = parse_area(&text);
        let part = read.and_then(|a| a.part);
        let subject = subject.or_else(|| nearest(roof, label).map(Subject::Face));
        let Some(subject) = subject else {
            findings.push(nobodys(&text, part, place));
            continue;
        };
        all.push(Stated {
            subject,
            surface: if read.is_some_and(|a| a.plan) {
                SurfaceSaid::Plan
            } else {
                SurfaceSaid::True
            },
            sqft: square_feet,
            half_step_sqft: read.map_or(0.0, |a| a.half_step_sqft),
            text,
            place: Some(place),
            line: None,
        });
    }
    findings.extend(drawing.unread_areas.iter().map(unread));
    // On no level in particular: the highest face there.
    let in_faces = drawing
        .area_texts
        .iter()
        .filter(|text| roof.face_at(u32::MAX, text.at).is_some());
    findings.extend(in_faces.map(unread));
    all
}

fn unread(text: &Mistyped) -> Finding {
    Finding::warning(
        "stated-area-unread",
        format!(
            "The text “{}” speaks of an area and cannot be read as one: it was not compared.",
            excerpt(&text.text)
        ),
    )
    .remedy(
        "Write one number with its unit (`roof area 1,073 sq ft`; thousands have commas, decimals a point), or give the figure \
         in a list with --against.",
    )
    .place(Place::on(&text.source, text.at))
}

fn nobodys(text: &str, part: Option<&str>, place: Place) -> Finding {
    let says = match part {
        Some(part) => format!("says that it is a part's ({part})"),
        None => "does not say that it is the whole roof's".to_owned(),
    };
    Finding::warning(
        "stated-area-of-nothing",
        format!(
            "The stated area “{}” stands neither in nor beside a face, and {says}: it was not compared.",
            excerpt(text)
        ),
    )
    .remedy("Move it into its face, or write `roof area` before it.")
    .place(place)
}

/// The text of an area with the words that head it: those nearest before it on its line, or right above it in its column,
/// unless they head a column of several.
fn headed(label: &Label, drawing: &Drawing) -> Option<String> {
    let [start, end] = label.baseline;
    let u = (end - start).unit()?;
    // From where to where along the text, and how far above it.
    let stands = |[from, to]: [Point; 2]| {
        let along = |p: Point| (p - start).dot(u);
        let above = u.cross(from.midpoint(to) - start) / label.height_ft;
        (along(from), along(to), above)
    };
    let long = start.distance(end);
    // One stands over the other by half of the shorter one, or begins where it does.
    let in_column = |(from, to, _): (f64, f64, f64)| {
        let shared = to.min(long) - from.max(0.0);
        shared >= (to - from).min(long) / 2.0 || from.abs() < label.height_ft && shared > 0.0
    };
    let areas = || {
        let all = drawing.labels.iter();
        all.filter(|l| matches!(l.says, Says::StatedArea { .. }))
            .map(|l| stands(l.baseline))
    };
    let below = |above: f64| above < -SAME_LINE && above > -NEXT_LINE;
    let of_several = areas().any(|at| in_column(at) && below(at.2));
    let apart = |head: &AreaHead| {
        let at @ (_, to, above) = stands(head.baseline);
        let in_line = above.abs() < SAME_LINE && to <= 0.0;
        let in_column = !of_several && in_column(at) && above > SAME_LINE && above < NEXT_LINE;
        let apart = if in_line {
            -to / label.height_ft
        } else {
            above
        };
        let near = apart <= LINE_GAP;
        // What stands between has the words for its own.
        let between = areas().any(|(a, b, up)| match in_line {
            true => up.abs() < SAME_LINE && a >= to && b <= 0.0,
            false => up > SAME_LINE && up < above - SAME_LINE && b > 0.0 && a < long,
        });
        (((in_line && near) || in_column) && !between).then_some(apart)
    };
    let heads = drawing.area_heads.iter();
    let near = heads.filter_map(|head| Some((apart(head)?, head)));
    let (_, head) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let joined = format!("{} {}", head.text, label.text);
    parse_area(&joined).is_some().then_some(joined)
}

/// The face that a text stands in, or points at.
fn over(label: &Label, roof: &Roof) -> Option<FaceId> {
    let mut at: Vec<Point> = label.points_at.into_iter().collect();
    at.push(label.at);
    at.extend(label.baseline);
    at.into_iter().find_map(|p| roof.face_at(label.level, p))
}

fn nearest(roof: &Roof, label: &Label) -> Option<FaceId> {
    let reach = BESIDE * label.height_ft;
    let away = |face: &Face| {
        let corners = face.outline.plan();
        ring::sides(&corners)
            .map(|(a, b)| label.at.distance_to_segment(a, b))
            .fold(f64::INFINITY, f64::min)
    };
    let all = roof.faces.iter().enumerate().map(|(i, f)| (away(f), i));
    all.filter(|(d, _)| *d <= reach)
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
        .map(|(_, i)| FaceId(i))
}
