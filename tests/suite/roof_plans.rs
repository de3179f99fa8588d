//! Plan maps made from polygons, for tests that need no drawing.

use eavewright::geometry::{Point, Vector, ring};
use eavewright::roof::map::{DirectedEdge, DrawnPiece, LabelledPitch, MapEdge, MapFace, PlanMap};
use eavewright::units::Pitch;

/// A face by its rings (feet; any turning) and its pitch as rise over run.
#[derive(Clone, Debug)]
pub(crate) struct PlanFace {
    pub(crate) rings: Vec<Vec<(f64, f64)>>,
    pub(crate) pitch: Option<f64>,
    pub(crate) half_step: f64,
    pub(crate) fall: Option<Vector>,
}

/// A face of one ring with its rise in 12.
pub(crate) fn face(rise_in_12: f64, ring: &[(f64, f64)]) -> PlanFace {
    PlanFace {
        rings: vec![ring.to_vec()],
        pitch: Some(rise_in_12 / 12.0),
        half_step: 0.5 / 12.0,
        fall: None,
    }
}

impl PlanFace {
    /// With a hole.
    pub(crate) fn with_hole(mut self, ring: &[(f64, f64)]) -> Self {
        self.rings.push(ring.to_vec());
        self
    }
}

/// The map of these faces: corners nearer than a thousandth of a foot are one node, a node on a side splits it.
pub(crate) fn plan(faces: &[PlanFace]) -> PlanMap {
    let mut map = PlanMap {
        tolerance_ft: 0.01,
        ..PlanMap::default()
    };
    let rings: Vec<Vec<Vec<usize>>> = faces
        .iter()
        .map(|f| f.rings.iter().map(|r| nodes_of(&mut map, r)).collect())
        .collect();
    for (index, (face, rings)) in faces.iter().zip(&rings).enumerate() {
        let mut made = MapFace {
            rings: Vec::new(),
            pitch: face.pitch.map(|m| LabelledPitch {
                pitch: Pitch::rise_per_run(m),
                half_step: face.half_step,
                source: None,
            }),
            fall_hint: face.fall,
            plane: None,
            could_be_outline: false,
        };
        for (at, nodes) in rings.iter().enumerate() {
            let mut nodes = split(&map, nodes);
            let points: Vec<Point> = nodes.iter().map(|&n| map.nodes[n]).collect();
            if (ring::signed_area(&points) > 0.0) != (at == 0) {
                nodes.reverse();
            }
            let sides = (0..nodes.len())
                .map(|i| side(&mut map, nodes[i], nodes[(i + 1) % nodes.len()], index))
                .collect();
            made.rings.push(sides);
        }
        map.faces.push(made);
    }
    map.drawn = map
        .edges
        .iter()
        .map(|e| DrawnPiece {
            ends: [map.nodes[e.a], map.nodes[e.b]],
            nodes: vec![e.a, e.b],
            anchored: [true, true],
        })
        .collect();
    map
}

fn nodes_of(map: &mut PlanMap, ring: &[(f64, f64)]) -> Vec<usize> {
    let mut nodes = Vec::new();
    for &(x, y) in ring {
        let p = Point::new(x, y);
        let known = map.nodes.iter().position(|q| q.distance(p) < 1e-3);
        let node = known.unwrap_or_else(|| {
            map.nodes.push(p);
            map.nodes.len() - 1
        });
        if nodes.last() != Some(&node) {
            nodes.push(node);
        }
    }
    if nodes.first() == nodes.last() {
        nodes.pop();
    }
    nodes
}

/// The ring with every node that lies on one of its sides.
fn split(map: &PlanMap, ring: &[usize]) -> Vec<usize> {
    let mut all = Vec::new();
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let (p, q) = (map.nodes[a], map.nodes[b]);
        let run = q - p;
        let mut between: Vec<(f64, usize)> = (0..map.nodes.len())
            .filter(|&n| n != a && n != b)
            .filter_map(|n| {
                let v = map.nodes[n] - p;
                let t = v.dot(run) / run.dot(run);
                let off = (run.cross(v) / run.length()).abs();
                (off < 2e-3 && t > 0.0 && t < 1.0).then_some((t, n))
            })
            .collect();
        between.sort_by(|x, y| x.0.total_cmp(&y.0));
        all.push(a);
        all.extend(between.into_iter().map(|b| b.1));
    }
    all
}

fn side(map: &mut PlanMap, a: usize, b: usize, face: usize) -> DirectedEdge {
    if let Some(edge) = map.edges.iter().position(|e| (e.a, e.b) == (b, a)) {
        map.edges[edge].right = Some(face);
        return DirectedEdge {
            edge,
            reversed: true,
        };
    }
    map.edges.push(MapEdge {
        a,
        b,
        left: Some(face),
        right: None,
        on_wall: false,
        sources: Vec::new(),
    });
    DirectedEdge {
        edge: map.edges.len() - 1,
        reversed: false,
    }
}
