//! Level marks of the view: heights above the lowest eave.

use std::collections::BTreeMap;

use super::view::Picture;
use crate::geometry::{Point, Point3, Vector};
use crate::report::canvas::{Area, Canvas, Layer, Pen, TextStyle};
use crate::report::plan::place::Field;
use crate::report::{OutputUnits, Report};
use crate::roof::{Edge, EdgeClass, Roof};

/// Heights nearer to each other than this, in feet, are one by all that tracing tells: half an inch.
const ONE_LEVEL: f64 = 0.5 / 12.0;

/// What has a height that is told, the more telling first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Mark {
    Datum,
    Ridge,
    Eave,
    Apex,
    HighEdge,
    Headwall,
}

impl Mark {
    const fn words(self) -> &'static str {
        match self {
            Self::Datum => "lowest eave, datum",
            Self::Ridge => "ridge",
            Self::Eave => "eave",
            Self::Apex => "apex",
            Self::HighEdge => "high edge",
            Self::Headwall => "headwall",
        }
    }
    /// The mark of an edge's end at a height.
    fn of(class: EdgeClass, z: f64) -> Option<Self> {
        match class {
            EdgeClass::Ridge => Some(Self::Ridge),
            EdgeClass::Eave if z.abs() < ONE_LEVEL => Some(Self::Datum),
            EdgeClass::Eave => Some(Self::Eave),
            EdgeClass::HighEdge => Some(Self::HighEdge),
            EdgeClass::Headwall => Some(Self::Headwall),
            _ => None,
        }
    }
}

/// Ends of level edges, and corners that nothing rises from: heights that may be told.
fn levels(roof: &Roof) -> Vec<(Point3, Mark)> {
    let ends = |edge: &Edge| [edge.start, edge.end].map(|end| (end, Mark::of(edge.class, end.z)));
    let mut levels: Vec<(Point3, Mark)> = roof
        .edges
        .iter()
        .flat_map(ends)
        .filter_map(|(end, mark)| Some((end, mark?)))
        .collect();
    // What meets in a corner: the height there, and at the other end. Edges of one corner have its very numbers in plan.
    let mut met: BTreeMap<(u64, u64), Vec<(Point3, f64)>> = BTreeMap::new();
    for edge in &roof.edges {
        for (corner, other) in [(edge.start, edge.end), (edge.end, edge.start)] {
            let place = (corner.x.to_bits(), corner.y.to_bits());
            met.entry(place).or_default().push((corner, other.z));
        }
    }
    let apexes = met.values().flat_map(|corner| {
        corner.iter().filter(|(at, _)| {
            let mut here = corner
                .iter()
                .filter(|(p, _)| (p.z - at.z).abs() < ONE_LEVEL);
            here.all(|&(_, other)| other < at.z - ONE_LEVEL)
        })
    });
    let apexes = apexes.map(|&(corner, _)| (corner, Mark::Apex));
    levels.extend(apexes);
    levels
}

/// Level marks at the right, as far as there is room: of the top of the roof and of the datum first, then of the other
/// ridges and eaves, then of what else is level. Returns whether the datum has its mark.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    picture: &Picture,
    (content, grow): (Area, f64),
    field: &mut Field,
) -> bool {
    let levels = levels(report.roof());
    let level = |z: f64| (z / ONE_LEVEL).round();
    let top = levels
        .iter()
        .map(|(corner, _)| level(corner.z))
        .fold(f64::NEG_INFINITY, f64::max);
    let rank = |z: f64, mark: Mark| match mark {
        _ if level(z) >= top => 0,
        Mark::Datum => 1,
        Mark::Ridge | Mark::Eave => 2,
        Mark::Apex | Mark::HighEdge | Mark::Headwall => 3,
    };
    // An eave at its nearest corner, which nothing hides; all else at its rightmost end.
    let first = |at: Point, mark: Mark| match mark {
        Mark::Datum | Mark::Eave => at.y,
        _ => -at.x,
    };
    let mut marks: Vec<(Point, f64, Mark)> = levels
        .into_iter()
        .map(|(corner, mark)| (picture.of(corner), corner.z, mark))
        .collect();
    marks.sort_by(|a, b| {
        rank(a.1, a.2)
            .cmp(&rank(b.1, b.2))
            .then(level(b.1).total_cmp(&level(a.1)))
            .then(a.2.cmp(&b.2))
            .then(first(a.0, a.2).total_cmp(&first(b.0, b.2)))
    });
    let mut taken: Vec<(f64, f64)> = Vec::new();
    let mut has_datum = false;
    for (at, z, mark) in marks {
        // What is lower stands lower on the sheet as well, or the marks would mislead.
        let fits = taken.iter().all(|&(y, marked)| {
            let (up, higher) = (at.y - y, z - marked);
            up.abs() > 8.5 * grow && higher.abs() > ONE_LEVEL && (up > 0.0) == (higher > 0.0)
        });
        if fits {
            taken.push((at.y, z));
            has_datum |= mark == Mark::Datum;
            field.add_line(at, Point::new(content.right, at.y), 0.25);
            let mark = (at, z, mark);
            level_mark(canvas, report.units(), mark, (content.right, grow));
        }
    }
    has_datum
}

/// What heights are above; whose eave it is where the picture has it behind the roof, without its mark.
pub(super) fn datum_words(roof: &Roof, has_mark: bool) -> String {
    let is_datum = |edge: &&Edge| Mark::of(edge.class, edge.start.z) == Some(Mark::Datum);
    let lowest = roof.edges.iter().find(is_datum);
    let face = lowest.and_then(|edge| edge.faces.first());
    match face.filter(|_| !has_mark) {
        Some(&face) => format!(
            "Heights are above the lowest eave, that of {}.",
            roof.face(face).name
        ),
        None => "Heights are above the lowest eave.".to_owned(),
    }
}

fn level_mark(
    canvas: &mut Canvas<'_>,
    units: OutputUnits,
    (at, z, mark): (Point, f64, Mark),
    (right, grow): (f64, f64),
) {
    canvas.on(Layer::Dimensions);
    let thin = Pen::new(0.25);
    canvas.line(at + Vector::new(1.0, 0.0), Point::new(right, at.y), thin);
    let tip = Point::new(right - 27.0 * grow, at.y);
    canvas.ring(
        vec![
            tip,
            tip + Vector::new(1.2, 2.0) * grow,
            tip + Vector::new(-1.2, 2.0) * grow,
        ],
        thin,
    );
    let height = match mark {
        Mark::Datum => format!("±{}", units.length(0.0)),
        _ if z < 0.0 => units.length(z),
        _ => format!("+{}", units.length(z)),
    };
    let text = tip + Vector::new(2.6, 1.0) * grow;
    canvas.text(text, TextStyle::new(2.5 * grow).bold(), &height);
    let below = tip + Vector::new(2.6, -2.9) * grow;
    canvas.text(below, TextStyle::new(1.8 * grow), mark.words());
}
