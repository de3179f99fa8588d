//! The roof as triangles in space, for views and for other programs. Feet, z up.

use crate::geometry::{Point, Point3, triangulate};
use crate::roof::{Face, Ring, Roof};

/// One face cut into triangles.
#[derive(Clone, Debug)]
pub struct FaceMesh {
    /// Corners of the outline, then of the holes in order.
    pub corners: Vec<Point3>,
    /// Indices into `corners`, counter-clockwise seen from above.
    pub triangles: Vec<[usize; 3]>,
    /// Square to the face, upwards, of length 1.
    pub normal: Point3,
}

impl FaceMesh {
    /// The triangles' corners.
    pub fn positions(&self) -> impl Iterator<Item = [Point3; 3]> + '_ {
        self.triangles
            .iter()
            .map(|t| [self.corners[t[0]], self.corners[t[1]], self.corners[t[2]]])
    }
}

/// Cuts a face into triangles. Cut in plan, which is safe because no face is upright.
pub fn face_mesh(face: &Face) -> FaceMesh {
    let outer = face.outline.plan();
    let holes: Vec<Vec<Point>> = face.holes.iter().map(Ring::plan).collect();
    let holes: Vec<&[Point]> = holes.iter().map(Vec::as_slice).collect();
    let corners = std::iter::once(&face.outline)
        .chain(&face.holes)
        .flat_map(|ring| ring.corners.iter().copied())
        .collect();
    FaceMesh {
        corners,
        triangles: triangulate(&outer, &holes),
        normal: normal(face),
    }
}

/// The unit vector square to a face, upwards: (−gx, −gy, 1) / √(1 + gx² + gy²).
pub fn normal(face: &Face) -> Point3 {
    let g = face.plane.gradient;
    let length = 1.0_f64.hypot(g.length());
    Point3::new(-g.x / length, -g.y / length, 1.0 / length)
}

/// The smallest box round the roof: lowest and highest corner; `None` for a roof without a corner.
pub fn bounds(roof: &Roof) -> Option<(Point3, Point3)> {
    let mut all = roof
        .faces
        .iter()
        .flat_map(|f| f.outline.corners.iter().copied())
        .chain(roof.edges.iter().flat_map(|e| [e.start, e.end]));
    let first = all.next()?;
    Some(all.fold((first, first), |(low, high), p| {
        (
            Point3::new(low.x.min(p.x), low.y.min(p.y), low.z.min(p.z)),
            Point3::new(high.x.max(p.x), high.y.max(p.y), high.z.max(p.z)),
        )
    }))
}
