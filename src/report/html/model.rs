//! What the page's script needs to draw the roof in space: geometry, and the words for each face and edge.
//!
//! Feet about the middle of the roof's plan, z up. Shown only, never measured from: three decimals are plenty.

use serde_json::{Value, json};

use super::Page;
use super::lines::Line;
use super::schedule::falls_to;
use crate::Severity;
use crate::courses::Courses;
use crate::geometry::{Point, Point3, ring};
use crate::report::view3d;
use crate::roof::{Face, FaceId, Ring, Roof, Side};

/// The data block, as JSON.
pub(super) fn data(page: &Page) -> Value {
    let roof = page.report.roof();
    let base = view3d::bounds(roof).map_or(Point::default(), |(low, high)| {
        low.plan().midpoint(high.plan())
    });
    let model = Model { page, base };
    json!({
        "faces": roof.faces.iter().enumerate().map(|(i, f)| model.face(FaceId(i), f)).collect::<Vec<_>>(),
        "edges": page.lines.iter().map(|line| model.edge(line)).collect::<Vec<_>>(),
        "openings": model.opening_sides(),
        "findings": model.findings(),
        "upBearing": fine(page.report.compass_deg(0.0)),
    })
}

struct Model<'a> {
    page: &'a Page<'a>,
    base: Point,
}

impl Model<'_> {
    fn point(&self, p: Point3) -> Value {
        json!([
            short(p.x - self.base.x),
            short(p.y - self.base.y),
            short(p.z)
        ])
    }

    fn face(&self, id: FaceId, face: &Face) -> Value {
        let mesh = view3d::face_mesh(face);
        let ring = |ring: &Ring| -> Value { ring.corners.iter().map(|&c| self.point(c)).collect() };
        let mut value = json!({
            "name": face.name,
            "rings": std::iter::once(&face.outline).chain(&face.holes).map(ring).collect::<Vec<_>>(),
            "triangles": mesh.triangles,
            "gradient": [fine(face.plane.gradient.x), fine(face.plane.gradient.y)],
            "at": self.point(face.label_at.at_height(face.plane.height_at(face.label_at))),
            "says": self.face_says(face),
            "area": short(face.true_area.to_square_feet()),
        });
        if let Some(heights) = self
            .page
            .report
            .inputs()
            .courses
            .and_then(|c| butt_lines_ft(c, id))
        {
            value["courses"] = json!(heights.into_iter().map(short).collect::<Vec<_>>());
        }
        value
    }

    fn face_says(&self, face: &Face) -> String {
        let units = self.page.report.units();
        let falls = match falls_to(self.page, face) {
            "level" => "level".to_owned(),
            way => format!("falls {way}, pitch {}", units.pitch(face.pitch)),
        };
        format!(
            "{falls}, true area {} {sign}, plan area {} {sign}",
            units.area(face.true_area),
            units.area(face.plan_area),
            sign = units.area_sign(),
        )
    }

    fn edge(&self, line: &Line) -> Value {
        let (units, chain) = (self.page.report.units(), &line.chain);
        json!({
            "class": chain.class.key(),
            "words": chain.class.words(),
            "faces": chain.faces.iter().map(|f| f.0).collect::<Vec<_>>(),
            "ends": [self.point(line.a), self.point(line.b)],
            "true": units.length(chain.true_ft),
            "plan": units.length(chain.plan_ft),
        })
    }

    fn opening_sides(&self) -> Vec<Value> {
        let mut sides = vec![];
        for (i, face) in self.page.report.roof().faces.iter().enumerate() {
            for ring in std::iter::once(&face.outline).chain(&face.holes) {
                for (k, side) in ring.sides.iter().enumerate() {
                    if let Side::Opening(_) = side {
                        let (a, b) = (ring.corners[k], ring.corners[(k + 1) % ring.corners.len()]);
                        sides.push(json!({"faces": [i], "ends": [self.point(a), self.point(b)]}));
                    }
                }
            }
        }
        sides
    }

    /// One place of every warning that has one: marks at all of them, and notes, would hide the faces they are about.
    fn findings(&self) -> Vec<Value> {
        let roof = self.page.report.roof();
        let findings = self.page.report.findings().iter().enumerate();
        findings
            .filter(|(_, finding)| finding.severity > Severity::Note)
            .filter_map(|(i, finding)| Some((i, finding.places.iter().find_map(|p| p.at)?)))
            .map(|(i, p)| json!({"number": i + 1, "at": self.point(p.at_height(height_over(roof, p)))}))
            .collect()
    }
}

/// The height of the highest face over a place; 0 where there is none.
fn height_over(roof: &Roof, p: Point) -> f64 {
    roof.faces
        .iter()
        .filter(|f| ring::contains(&f.outline.plan(), p))
        .map(|f| f.plane.height_at(p))
        .fold(None, |high: Option<f64>, z| {
            Some(high.map_or(z, |h| h.max(z)))
        })
        .unwrap_or(0.0)
}

/// The butt lines of a face's courses: feet up the slope from its lowest corner, each once, upwards.
fn butt_lines_ft(courses: &Courses, id: FaceId) -> Option<Vec<f64>> {
    let layout = courses.faces.iter().find(|l| l.face == id)?;
    let mut heights: Vec<f64> = layout
        .runs
        .iter()
        .map(|run| run.butt_height_in / 12.0)
        .collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup();
    Some(heights)
}

/// Three decimals (a third of a millimetre), without a negative zero; a whole number is written as one.
fn short(value: f64) -> Value {
    let rounded = (value * 1e3).round() / 1e3 + 0.0;
    if rounded.fract() == 0.0 && rounded.abs() < 1e9 {
        json!(rounded as i64)
    } else {
        json!(rounded)
    }
}

/// Six decimals, for gradients.
fn fine(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}
