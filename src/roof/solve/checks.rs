//! Checks that a reviewer trusts, each with its largest residual and where it is.

use geo::{Area as _, LineString, Polygon, unary_union};

use crate::geometry::{Point, Point3, Vector, ring};
use crate::roof::map::PlanMap;
use crate::roof::{Check, Edge, EdgeClass, FaceId, Roof, Side};
use crate::units::METRES_PER_FOOT;
use crate::{Finding, Place};

use super::assemble::SolvedSheet;
use super::heights::CornerHeights;
use super::refine::gaps_between;

/// Corners and shared edges agree to this besides the snap tolerance (feet; a quarter inch).
const MEET_FT: f64 = 0.25 / 12.0;
/// Areas agree to this part.
const AREA_PART: f64 = 1e-6;
/// The two ways to a true area differ by what the label's rounding and the adjustment leave between slope and label.
const TWO_WAYS_PART: f64 = 0.005;
/// A hip over equal pitches bisects its eaves to this (degrees), more where tracing makes a short one turn.
const BISECT_DEG: f64 = 0.5;
const MM_PER_FT: f64 = 304.8;

/// The largest value seen and where.
#[derive(Default)]
struct Largest {
    value: f64,
    place: Option<Place>,
}

impl Largest {
    fn see(&mut self, value: f64, place: impl FnOnce() -> Place) {
        if value > self.value || self.place.is_none() {
            self.value = value;
            self.place = Some(place());
        }
    }
    fn check(self, what: &str, limit: f64, unit: &'static str) -> Check {
        Check {
            what: what.to_string(),
            residual: self.value,
            limit,
            unit,
            place: self.place,
        }
    }
}

/// Every check on a roof as assembled, with its openings cut out; `lost_sqft` went with them besides.
pub(super) fn checks(
    maps: &[PlanMap],
    sheets: &[SolvedSheet],
    heights: &[CornerHeights],
    roof: &Roof,
    lost_sqft: f64,
) -> Vec<Check> {
    let tolerance = maps.iter().map(|m| m.tolerance_ft).fold(0.0, f64::max);
    let steepest = roof
        .faces
        .iter()
        .map(|f| f.pitch.to_rise_per_run())
        .fold(0.0, f64::max);
    let meet = MEET_FT + tolerance * steepest;
    let mut list = vec![
        corners(sheets, heights).check(
            "every corner has one height on all faces that meet in it",
            meet,
            "ft",
        ),
        shared_edges(sheets).check("planes agree along every shared edge", meet, "ft"),
        drawn_where_planes_meet(sheets).check(
            "hips and valleys are drawn where their planes meet",
            MEET_FT + 2.0 * tolerance,
            "ft",
        ),
        plan_areas(maps, roof, lost_sqft),
        two_ways(roof),
    ];
    list.extend(bisecting(roof, tolerance));
    list.extend(holes_within(roof, MEET_FT + tolerance));
    list.extend(sides_on_edges(roof));
    list
}

/// A warning for each check that does not hold.
pub(super) fn told(checks: &[Check]) -> Vec<Finding> {
    let failed = checks.iter().filter(|check| !check.holds());
    let finding = |check: &Check| {
        let show = |value: f64| match check.unit {
            // Closer than a tape is read: what fails may fail by little.
            "ft" => format!("{:.2} in ({:.1} mm)", value * 12.0, value * MM_PER_FT),
            unit => format!("{value:.2} {unit}"),
        };
        let told = Finding::warning(
            "check-does-not-hold",
            format!(
                "the check that {} does not hold: off by {}, where {} is allowed",
                check.what,
                show(check.residual),
                show(check.limit)
            ),
        )
        .remedy("look at the lines and pitches there: areas and lengths beside them may be wrong");
        told.at_place(check.place.clone())
    };
    failed.map(finding).collect()
}

fn corners(sheets: &[SolvedSheet], heights: &[CornerHeights]) -> Largest {
    let mut largest = Largest::default();
    for (solved, corners) in sheets.iter().zip(heights) {
        if let Some((off, node)) = corners.worst {
            let at = solved.sheet.to_plan(solved.sheet.nodes[node]);
            largest.see(off / METRES_PER_FOOT, || Place::at(at));
        }
    }
    largest
}

/// (largest gap in feet, turn between the planes, middle) of every shared edge.
fn shared(sheets: &[SolvedSheet]) -> impl Iterator<Item = (f64, f64, Point)> + '_ {
    sheets.iter().flat_map(|solved| {
        let sheet = &solved.sheet;
        sheet
            .edges
            .iter()
            .enumerate()
            .filter_map(move |(index, edge)| {
                let (left, right) = edge.both().filter(|_| !solved.is_step[index])?;
                let (left, right) = (solved.planes[left], solved.planes[right]);
                let [a, b] = gaps_between(&solved.nodes, edge, left, right);
                let gap = a.abs().max(b.abs()) / METRES_PER_FOOT;
                let turn = (left.gradient - right.gradient).length();
                let middle = sheet.nodes[edge.a].midpoint(sheet.nodes[edge.b]);
                Some((gap, turn, sheet.to_plan(middle)))
            })
    })
}

fn shared_edges(sheets: &[SolvedSheet]) -> Largest {
    let mut largest = Largest::default();
    for (gap, _, middle) in shared(sheets) {
        largest.see(gap, || Place::at(middle));
    }
    largest
}

fn drawn_where_planes_meet(sheets: &[SolvedSheet]) -> Largest {
    let mut largest = Largest::default();
    for (gap, turn, middle) in shared(sheets) {
        if turn > 0.1 {
            largest.see(gap / turn, || Place::at(middle));
        }
    }
    largest
}

/// Σ plan area of the faces against what the outer edges enclose, less the openings and what went with them.
fn plan_areas(maps: &[PlanMap], roof: &Roof, lost_sqft: f64) -> Check {
    let mut enclosed = -lost_sqft;
    for map in maps {
        enclosed -= cut_out(map);
        let origin = map.nodes.first().copied().unwrap_or_default();
        for edge in &map.edges {
            let (a, b) = (map.nodes[edge.a] - origin, map.nodes[edge.b] - origin);
            match (edge.left, edge.right) {
                (Some(_), None) => enclosed += a.cross(b) / 2.0,
                (None, Some(_)) => enclosed -= a.cross(b) / 2.0,
                _ => {}
            }
        }
    }
    let faces = roof.plan_area().to_square_feet();
    Check {
        what: "the faces' plan areas add up to what the outline encloses".to_string(),
        residual: (faces - enclosed).abs(),
        limit: AREA_PART * enclosed.abs().max(1.0),
        unit: "ft²",
        place: None,
    }
}

/// What openings cut out of the faces of a map; where one lies inside another it counts once.
fn cut_out(map: &PlanMap) -> f64 {
    let parts = map.openings.iter().flat_map(|o| &o.parts).map(|part| {
        let line: LineString = part.ring.iter().map(|p| (p.x, p.y)).collect();
        Polygon::new(line, Vec::new())
    });
    let parts: Vec<Polygon> = parts.collect();
    unary_union(&parts).unsigned_area()
}

/// After cutting, how far the ends of faces' sides are from the ends of the edges that they lie on.
fn sides_on_edges(roof: &Roof) -> Option<Check> {
    if roof.openings.is_empty() {
        return None;
    }
    let mut largest = Largest::default();
    for (at, face) in roof.faces.iter().enumerate() {
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            for (i, side) in ring.sides.iter().enumerate() {
                let Side::Edge(id) = side else { continue };
                let ends = [i, (i + 1) % ring.corners.len()].map(|c| ring.corners[c].plan());
                let off = roof
                    .edges
                    .get(id.0)
                    .filter(|edge| edge.faces.contains(&FaceId(at)))
                    .map_or(f64::INFINITY, |edge| ends_off(edge, ends));
                largest.see(off, || Place::at(ends[0].midpoint(ends[1])));
            }
        }
    }
    largest.place.is_some().then(|| {
        largest.check(
            "beside openings each side of a face ends where its edge does",
            MEET_FT,
            "ft",
        )
    })
}

/// How far the ends of a side are from those of an edge, whichever way round they are.
fn ends_off(edge: &Edge, [p, q]: [Point; 2]) -> f64 {
    let (a, b) = (edge.start.plan(), edge.end.plan());
    let straight = p.distance(a).max(q.distance(b));
    straight.min(p.distance(b).max(q.distance(a)))
}

/// How far a hole reaches beyond its face, by their boxes; `None` where no face has a hole.
fn holes_within(roof: &Roof, limit: f64) -> Option<Check> {
    let mut largest = Largest::default();
    for face in &roof.faces {
        for hole in &face.holes {
            for corner in &hole.corners {
                let at = corner.plan();
                largest.see(beyond_box(&face.outline.corners, at), || Place::at(at));
            }
        }
    }
    largest.place.is_some().then(|| {
        largest.check(
            "no hole of a face, cut out or covered, reaches beyond it",
            limit,
            "ft",
        )
    })
}

/// How far a place lies outside the box round some corners.
fn beyond_box(corners: &[Point3], p: Point) -> f64 {
    let off = |of: fn(Point) -> f64| {
        let along = corners.iter().map(|c| of(c.plan()));
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
        (low - of(p)).max(of(p) - high)
    };
    off(|p| p.x).max(off(|p| p.y)).max(0.0)
}

/// The true area by pitch factor against the area of the polygons in space.
fn two_ways(roof: &Roof) -> Check {
    let in_space: f64 = roof
        .faces
        .iter()
        .map(|f| {
            let holes: f64 = f.holes.iter().map(|h| ring::newell_area(&h.corners)).sum();
            ring::newell_area(&f.outline.corners) - holes
        })
        .sum();
    let by_pitch = roof.true_area().to_square_feet();
    Check {
        what: "the true area by pitch factor and by polygons in space agree".to_string(),
        residual: (by_pitch - in_space).abs(),
        limit: TWO_WAYS_PART * by_pitch.max(1.0),
        unit: "ft²",
        place: None,
    }
}

/// Hips and valleys between equal pitches bisect, in plan, the level lines of their two faces.
fn bisecting(roof: &Roof, tolerance: f64) -> Option<Check> {
    let mut largest = Largest::default();
    let mut limit = BISECT_DEG;
    for edge in &roof.edges {
        let (EdgeClass::Hip | EdgeClass::Valley, &[first, second]) = (edge.class, &edge.faces[..])
        else {
            continue;
        };
        let (first, second) = (roof.face(first), roof.face(second));
        if (first.pitch.to_rise_per_run() - second.pitch.to_rise_per_run()).abs() > 1e-9 {
            continue;
        }
        let (Some(g), Some(h)) = (first.fall(), second.fall()) else {
            continue;
        };
        let drawn = edge.end.plan() - edge.start.plan();
        let length = drawn.length();
        // The bisector of two level lines is square to the difference of the falls.
        let bisector: Vector = (g - h).turn_left();
        let off = bisector
            .cross(drawn)
            .atan2(bisector.dot(drawn))
            .abs()
            .to_degrees();
        largest.see(off.min(180.0 - off), || {
            Place::at(edge.start.plan().midpoint(edge.end.plan()))
        });
        if length > 0.0 {
            limit = limit.max(BISECT_DEG + (2.0 * tolerance / length).atan().to_degrees());
        }
    }
    largest.place.is_some().then(|| {
        largest.check(
            "hips and valleys between equal pitches bisect the level lines of their faces",
            limit,
            "°",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_that_fails_is_a_warning_with_its_place_and_one_that_holds_is_none() {
        let check = |residual: f64| Check {
            what: "planes agree along every shared edge".to_owned(),
            residual,
            limit: 0.25,
            unit: "ft",
            place: Some(Place::at(Point::new(3.0, 4.0))),
        };
        let [finding] = &told(&[check(0.2), check(1.25)])[..] else {
            unreachable!("one of them fails")
        };
        assert!(
            finding
                .message
                .contains("off by 15.00 in (381.0 mm), where 3.00 in (76.2 mm) is allowed")
        );
        assert_eq!(finding.places.len(), 1);
    }

    #[test]
    fn a_hole_reaches_beyond_a_face_by_how_far_its_box_does() {
        let corners = [(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)].map(|(x, y)| Point3::new(x, y, 1.0));
        assert_eq!(beyond_box(&corners, Point::new(3.9, 2.9)), 0.0);
        assert_eq!(beyond_box(&corners, Point::new(6.5, 1.0)), 2.5);
    }
}
