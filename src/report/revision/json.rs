//! Two revisions as JSON. Full precision: nothing is rounded.

use serde::Serialize;
use serde_json::Value;

use super::Revised;
use super::text::ordered;
use crate::geometry::ring;
use crate::report::Report;
use crate::report::json::Units;
use crate::review::{ChangeKind, CutChange, CutId, CutKind, FaceChange, OpeningSize};
use crate::roof::{EdgeClass, FaceId};

/// The name and version of the layout.
const SCHEMA: &str = "eavewright.diff/1";

#[derive(Serialize)]
struct RevisionOut {
    schema: &'static str,
    units: Units,
    same: bool,
    scales: Scales,
    /// What the old plan was multiplied by before it was laid on the new one; 1 unless the scale alone is another.
    rescaled: f64,
    /// How far the new plan lies from the old one on its page, in the length unit asked for.
    shift: [f64; 2],
    faces: Vec<FaceOut>,
    openings: Vec<CutOut<OpeningSide>>,
    pipes: Vec<CutOut<PipeSide>>,
    edges: Vec<EdgeOut>,
    totals: Totals,
    materials: Vec<MaterialOut>,
    price: Option<PriceOut>,
}

#[derive(Serialize)]
struct Scales {
    old: ScaleOut,
    new: ScaleOut,
}

#[derive(Serialize)]
struct ScaleOut {
    from: String,
    length_per_drawing_unit: f64,
}

fn scale(report: &Report<'_>) -> ScaleOut {
    let scale = &report.inputs().drawing.scale;
    ScaleOut {
        from: scale.from.clone(),
        length_per_drawing_unit: scale.feet_per_unit * report.units().per_foot(),
    }
}

#[derive(Serialize)]
struct FaceOut {
    /// As in the drawing; none for a face that did not change.
    number: Option<usize>,
    old: Option<Side>,
    new: Option<Side>,
    changes: Vec<Change>,
}

#[derive(Serialize)]
struct Side {
    name: String,
    rise_in_12: f64,
    plan_area: f64,
    true_area: f64,
}

#[derive(Serialize)]
struct CutOut<S> {
    /// As in the drawing; none for one that did not change.
    number: Option<usize>,
    old: Option<S>,
    new: Option<S>,
    changes: Vec<Change>,
}

#[derive(Serialize)]
struct OpeningSide {
    kind: String,
    faces: Vec<String>,
    /// In its own plan.
    middle: [f64; 2],
    /// In plan, square to the fall of its first face.
    across: f64,
    /// In plan, along that fall.
    along: f64,
    plan_area: f64,
    true_area: f64,
    apron: f64,
    sides: f64,
    head: f64,
}

#[derive(Serialize)]
struct PipeSide {
    face: String,
    /// In its own plan.
    middle: [f64; 2],
    diameter: Option<f64>,
}

#[derive(Serialize)]
struct Change {
    kind: &'static str,
    words: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    by: Option<f64>,
}

#[derive(Serialize)]
struct EdgeOut {
    old_class: &'static str,
    new_class: &'static str,
    true_length: f64,
    start: [f64; 2],
    end: [f64; 2],
    /// As in the drawing.
    number: usize,
}

#[derive(Serialize)]
struct Pair {
    old: f64,
    new: f64,
    difference: f64,
}

#[derive(Serialize)]
struct Totals {
    plan_area: Pair,
    true_area: Pair,
    lengths: serde_json::Map<String, Value>,
    pieces_opened: Option<Pair>,
    cuts: Option<Pair>,
}

#[derive(Serialize)]
struct MaterialOut {
    key: String,
    item: String,
    unit: String,
    #[serde(flatten)]
    quantity: Pair,
}

#[derive(Serialize)]
struct PriceOut {
    currency: String,
    /// Exact, as text.
    old: String,
    new: String,
    difference: String,
    complete: bool,
}

const fn pair(old: f64, new: f64) -> Pair {
    Pair {
        old,
        new,
        difference: new - old,
    }
}

/// What changed between two revisions, as JSON.
pub fn json(revised: &Revised<'_>) -> String {
    let units = revised.new.units();
    let k = units.per_foot();
    let revision = revised.revision;
    let numbers: Vec<(usize, &FaceChange)> = revised.changed().collect();
    let out = RevisionOut {
        schema: SCHEMA,
        units: Units::of(units),
        same: revision.is_same(),
        scales: Scales {
            old: scale(revised.old),
            new: scale(revised.new),
        },
        rescaled: revision.rescaled,
        shift: [revision.shift.x * k, revision.shift.y * k],
        faces: revision
            .faces
            .iter()
            .map(|f| FaceOut {
                number: numbers
                    .iter()
                    .find(|(_, c)| std::ptr::eq(*c, f))
                    .map(|(n, _)| *n),
                old: side(revised.old, f.old),
                new: side(revised.new, f.new),
                changes: f.kinds.iter().map(|c| change(revised, c)).collect(),
            })
            .collect(),
        openings: openings(revised),
        pipes: pipes(revised),
        edges: revised
            .changed_edges()
            .map(|(number, e)| EdgeOut {
                old_class: e.from.key(),
                new_class: e.to.key(),
                true_length: e.true_ft * k,
                start: [e.ends[0].x * k, e.ends[0].y * k],
                end: [e.ends[1].x * k, e.ends[1].y * k],
                number,
            })
            .collect(),
        totals: totals(revised),
        materials: ordered(revised)
            .into_iter()
            .map(|(line, old, new)| MaterialOut {
                key: line.price_key(),
                item: line.item.clone(),
                unit: line.unit.clone(),
                quantity: pair(old, new),
            })
            .collect(),
        price: price(revised),
    };
    // As for the takeoff: plain structs with string keys have nothing to fail on.
    serde_json::to_string_pretty(&out)
        .map(|text| text + "\n")
        .unwrap_or_default()
}

fn side(report: &Report<'_>, id: Option<FaceId>) -> Option<Side> {
    let face = report.roof().face(id?);
    let kk = report.units().per_square_foot();
    Some(Side {
        name: face.name.clone(),
        rise_in_12: face.pitch.to_in_12(),
        plan_area: face.plan_area.to_square_feet() * kk,
        true_area: face.true_area.to_square_feet() * kk,
    })
}

fn change(revised: &Revised<'_>, kind: &ChangeKind) -> Change {
    let units = revised.new.units();
    let (k, kk) = (units.per_foot(), units.per_square_foot());
    let (key, by) = match *kind {
        ChangeKind::Added => ("added", None),
        ChangeKind::Removed => ("removed", None),
        ChangeKind::Pitch {
            from_in_12,
            to_in_12,
        } => ("pitch", Some(to_in_12 - from_in_12)),
        ChangeKind::Fall { by_deg } => ("fall", Some(by_deg)),
        ChangeKind::Grew { by_sqft } => ("grew", Some(by_sqft * kk)),
        ChangeKind::Shrank { by_sqft } => ("shrank", Some(by_sqft * kk)),
        ChangeKind::Moved { by_ft } => ("moved", Some(by_ft * k)),
        ChangeKind::TakenOut { by_sqft } => ("taken_out", Some(by_sqft * kk)),
        ChangeKind::FilledIn { by_sqft } => ("filled_in", Some(by_sqft * kk)),
        ChangeKind::Openings { from_sqft, to_sqft } => {
            ("openings", Some((to_sqft - from_sqft) * kk))
        }
    };
    Change {
        kind: key,
        words: revised.words(kind),
        by,
    }
}

fn openings(revised: &Revised<'_>) -> Vec<CutOut<OpeningSide>> {
    cuts(revised, |report, id| {
        let CutId::Opening(id) = id else {
            return None;
        };
        let (roof, units) = (report.roof(), report.units());
        let (k, kk) = (units.per_foot(), units.per_square_foot());
        let opening = super::cuts::opening(roof, id)?;
        let size = OpeningSize::of(roof, opening);
        let middle = ring::centroid(&opening.outline);
        Some(OpeningSide {
            kind: opening.kind.clone(),
            faces: face_names(report, &opening.faces),
            middle: [middle.x * k, middle.y * k],
            across: size.across_ft * k,
            along: size.along_ft * k,
            plan_area: size.plan_sqft * kk,
            true_area: size.true_sqft * kk,
            apron: opening.apron.to_feet() * k,
            sides: opening.sides.to_feet() * k,
            head: opening.head.to_feet() * k,
        })
    })
}

fn pipes(revised: &Revised<'_>) -> Vec<CutOut<PipeSide>> {
    cuts(revised, |report, id| {
        let CutId::Pipe(i) = id else {
            return None;
        };
        let k = report.units().per_foot();
        let pipe = report.roof().penetrations.get(i)?;
        Some(PipeSide {
            face: report.roof().face(pipe.face).name.clone(),
            middle: [pipe.at.x * k, pipe.at.y * k],
            diameter: pipe.diameter.map(|d| d.to_feet() * k),
        })
    })
}

/// The changes of the cuts that `side` tells.
fn cuts<S>(
    revised: &Revised<'_>,
    side: impl Fn(&Report<'_>, CutId) -> Option<S>,
) -> Vec<CutOut<S>> {
    let all = revised.revision.cuts.iter();
    all.filter_map(|c| {
        let old = c.old.and_then(|id| side(revised.old, id));
        let new = c.new.and_then(|id| side(revised.new, id));
        (old.is_some() || new.is_some()).then(|| CutOut {
            number: cut_number(revised, c),
            old,
            new,
            changes: cut_changes(revised, c),
        })
    })
    .collect()
}

fn face_names(report: &Report<'_>, faces: &[FaceId]) -> Vec<String> {
    let names = faces.iter().map(|f| report.roof().face(*f).name.clone());
    names.collect()
}

fn cut_number(revised: &Revised<'_>, change: &CutChange) -> Option<usize> {
    revised
        .changed_cuts()
        .find(|(_, c)| std::ptr::eq(*c, change))
        .map(|(n, _)| n)
}

fn cut_changes(revised: &Revised<'_>, change: &CutChange) -> Vec<Change> {
    let units = revised.new.units();
    let (k, kk) = (units.per_foot(), units.per_square_foot());
    let all = change.kinds.iter().map(|kind| {
        let (key, by) = match *kind {
            CutKind::Added => ("added", None),
            CutKind::Removed => ("removed", None),
            CutKind::Renamed => ("kind", None),
            CutKind::Moved { across_ft, up_ft } => ("moved", Some(across_ft.hypot(up_ft) * k)),
            CutKind::Resized { from, to } => ("size", Some((to.plan_sqft - from.plan_sqft) * kk)),
            CutKind::Diameter { from_ft, to_ft } => {
                ("diameter", from_ft.zip(to_ft).map(|(a, b)| (b - a) * k))
            }
        };
        Change {
            kind: key,
            words: revised.cut_words(change, kind),
            by,
        }
    });
    all.collect()
}

fn totals(revised: &Revised<'_>) -> Totals {
    let units = revised.new.units();
    let (k, kk) = (units.per_foot(), units.per_square_foot());
    let (old, new) = (revised.old.roof(), revised.new.roof());
    let lengths = EdgeClass::ALL.into_iter().map(|class| {
        let of = |roof: &crate::roof::Roof| roof.true_length(class).to_feet() * k;
        let both = pair(of(old), of(new));
        let value =
            serde_json::json!({"old": both.old, "new": both.new, "difference": both.difference});
        (class.key().to_owned(), value)
    });
    let courses = revised
        .old
        .inputs()
        .courses
        .zip(revised.new.inputs().courses);
    Totals {
        plan_area: pair(
            old.plan_area().to_square_feet() * kk,
            new.plan_area().to_square_feet() * kk,
        ),
        true_area: pair(
            old.true_area().to_square_feet() * kk,
            new.true_area().to_square_feet() * kk,
        ),
        lengths: lengths.collect(),
        pieces_opened: courses.map(|(a, b)| pair(a.opened() as f64, b.opened() as f64)),
        cuts: courses.map(|(a, b)| pair(a.cuts() as f64, b.cuts() as f64)),
    }
}

fn price(revised: &Revised<'_>) -> Option<PriceOut> {
    let (old, new) = (revised.old.inputs().offer?, revised.new.inputs().offer?);
    Some(PriceOut {
        currency: new.bid.currency.clone(),
        old: old.bid.total.to_string(),
        new: new.bid.total.to_string(),
        difference: (new.bid.total - old.bid.total).to_string(),
        complete: old.bid.unpriced.is_empty() && new.bid.unpriced.is_empty(),
    })
}
