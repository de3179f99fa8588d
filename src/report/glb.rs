//! The roof as a glTF 2.0 binary for other programs.
//!
//! Source of the format: Khronos Group, glTF 2.0 Specification (ISO/IEC 12113:2022): metres, right-handed, y up,
//! +z towards the viewer, so that east is +x, up is +y and south is +z. Positions are single precision, so they are
//! kept small: they count from the middle of the roof's plan, and the root node's translation carries the rest.

use serde_json::{Value, json};

use super::view3d::{self, FaceMesh};
use crate::geometry::Point3;
use crate::roof::{Edge, EdgeClass, Face, Roof};
use crate::units::METRES_PER_FOOT;

// Values of the specification's enumerations.
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;
const LINES: u32 = 1;
const TRIANGLES: u32 = 4;
const FACE_MATERIAL: usize = 0;
const EDGE_MATERIAL: usize = 1;

/// The roof as a `.glb` file. `name` names the root node. One node and mesh a face, named as the face; one node and
/// mesh of lines for every edge class that occurs, named as the class. The same roof gives the same bytes.
pub fn write(roof: &Roof, name: &str) -> Vec<u8> {
    let mut scene = Scene::about(roof);
    let faces: Vec<usize> = roof.faces.iter().filter_map(|f| scene.face(f)).collect();
    let edges: Vec<usize> = EdgeClass::ALL
        .into_iter()
        .filter_map(|class| scene.edges(roof, class))
        .collect();
    let mut groups = vec![];
    for (name, children) in [("faces", faces), ("edges", edges)] {
        if !children.is_empty() {
            groups.push(scene.node(json!({"name": name, "children": children})));
        }
    }
    let mut root = json!({"name": name, "translation": scene.base_metres()});
    if !groups.is_empty() {
        root["children"] = json!(groups);
    }
    let root = scene.node(root);
    pack(&scene.json(root), &scene.bytes)
}

/// The file while it is being built.
struct Scene {
    base: Point3,
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
    meshes: Vec<Value>,
    nodes: Vec<Value>,
}

impl Scene {
    fn about(roof: &Roof) -> Self {
        let base = view3d::bounds(roof).map_or(Point3::default(), |(low, high)| {
            Point3::new((low.x + high.x) / 2.0, (low.y + high.y) / 2.0, 0.0)
        });
        Self {
            base,
            bytes: vec![],
            views: vec![],
            accessors: vec![],
            meshes: vec![],
            nodes: vec![],
        }
    }

    fn base_metres(&self) -> [f64; 3] {
        y_up(Point3::new(
            self.base.x * METRES_PER_FOOT,
            self.base.y * METRES_PER_FOOT,
            self.base.z * METRES_PER_FOOT,
        ))
    }

    fn metres(&self, p: Point3) -> [f32; 3] {
        y_up(Point3::new(
            (p.x - self.base.x) * METRES_PER_FOOT,
            (p.y - self.base.y) * METRES_PER_FOOT,
            (p.z - self.base.z) * METRES_PER_FOOT,
        ))
        .map(|v| v as f32)
    }

    fn node(&mut self, node: Value) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    fn mesh(&mut self, mesh: Value) -> usize {
        self.meshes.push(mesh);
        self.meshes.len() - 1
    }

    /// The node of a face; `None` for one without a triangle.
    fn face(&mut self, face: &Face) -> Option<usize> {
        let mesh = view3d::face_mesh(face);
        if mesh.triangles.is_empty() {
            return None;
        }
        let (corners, triangles) = used_corners(&mesh);
        let positions: Vec<[f32; 3]> = corners.iter().map(|&c| self.metres(c)).collect();
        let normal = y_up(mesh.normal).map(|v| v as f32);
        let position = self.vectors(&positions, true);
        let normals = self.vectors(&vec![normal; positions.len()], false);
        let indices = self.indices(&triangles);
        let mesh = self.mesh(json!({
            "name": face.name,
            "primitives": [{
                "attributes": {"POSITION": position, "NORMAL": normals},
                "indices": indices,
                "material": FACE_MATERIAL,
                "mode": TRIANGLES,
            }],
        }));
        Some(self.node(json!({
            "name": face.name,
            "mesh": mesh,
            "extras": {
                "rise_in_12": face.pitch.to_in_12(),
                "plan_area_m2": face.plan_area.to_square_metres(),
                "true_area_m2": face.true_area.to_square_metres(),
            },
        })))
    }

    /// The node of all edges of a class; `None` where there is none.
    fn edges(&mut self, roof: &Roof, class: EdgeClass) -> Option<usize> {
        let all: Vec<&Edge> = roof
            .edges
            .iter()
            .filter(|e| e.class == class && e.start != e.end)
            .collect();
        if all.is_empty() {
            return None;
        }
        let ends: Vec<[f32; 3]> = all
            .iter()
            .flat_map(|e| [self.metres(e.start), self.metres(e.end)])
            .collect();
        let position = self.vectors(&ends, true);
        let mesh = self.mesh(json!({
            "name": class.words(),
            "primitives": [{
                "attributes": {"POSITION": position},
                "material": EDGE_MATERIAL,
                "mode": LINES,
            }],
        }));
        Some(self.node(json!({
            "name": class.words(),
            "mesh": mesh,
            "extras": {"true_length_m": roof.true_length(class).to_metres()},
        })))
    }

    fn vectors(&mut self, vectors: &[[f32; 3]], bounded: bool) -> usize {
        let view = self.view(
            vectors.iter().flatten().flat_map(|v| v.to_le_bytes()),
            ARRAY_BUFFER,
        );
        let mut accessor = json!({
            "bufferView": view,
            "componentType": FLOAT,
            "count": vectors.len(),
            "type": "VEC3",
        });
        if bounded {
            let fold = |pick: fn(f32, f32) -> f32, from: f32| {
                vectors.iter().fold([from; 3], |so_far, v| {
                    [
                        pick(so_far[0], v[0]),
                        pick(so_far[1], v[1]),
                        pick(so_far[2], v[2]),
                    ]
                })
            };
            accessor["min"] = json!(fold(f32::min, f32::INFINITY));
            accessor["max"] = json!(fold(f32::max, f32::NEG_INFINITY));
        }
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }

    fn indices(&mut self, triangles: &[[u32; 3]]) -> usize {
        let view = self.view(
            triangles.iter().flatten().flat_map(|i| i.to_le_bytes()),
            ELEMENT_ARRAY_BUFFER,
        );
        self.accessors.push(json!({
            "bufferView": view,
            "componentType": UNSIGNED_INT,
            "count": triangles.len() * 3,
            "type": "SCALAR",
        }));
        self.accessors.len() - 1
    }

    fn view(&mut self, bytes: impl Iterator<Item = u8>, target: u32) -> usize {
        let start = self.bytes.len();
        self.bytes.extend(bytes);
        self.views.push(json!({
            "buffer": 0,
            "byteOffset": start,
            "byteLength": self.bytes.len() - start,
            "target": target,
        }));
        self.views.len() - 1
    }

    fn json(&self, root: usize) -> Value {
        let mut file = json!({
            "asset": {"version": "2.0", "generator": concat!("eavewright ", env!("CARGO_PKG_VERSION"))},
            "scene": 0,
            "scenes": [{"nodes": [root]}],
            "nodes": self.nodes,
        });
        // The specification forbids empty lists.
        if !self.meshes.is_empty() {
            file["meshes"] = json!(self.meshes);
            file["materials"] = json!([
                // Seen from both sides: a roof is a sheet without thickness.
                {"name": "face", "doubleSided": true, "pbrMetallicRoughness":
                    {"baseColorFactor": [0.8, 0.8, 0.8, 1.0], "metallicFactor": 0.0, "roughnessFactor": 1.0}},
                {"name": "edge", "pbrMetallicRoughness":
                    {"baseColorFactor": [0.0, 0.0, 0.0, 1.0], "metallicFactor": 0.0, "roughnessFactor": 1.0}},
            ]);
            file["accessors"] = json!(self.accessors);
            file["bufferViews"] = json!(self.views);
            file["buffers"] = json!([{"byteLength": self.bytes.len()}]);
        }
        file
    }
}

/// The corners that triangles use, and the triangles over them: a corner on a straight side would be an unused one.
fn used_corners(mesh: &FaceMesh) -> (Vec<Point3>, Vec<[u32; 3]>) {
    let mut place = vec![None; mesh.corners.len()];
    let mut corners = vec![];
    let triangles = mesh
        .triangles
        .iter()
        .map(|triangle| {
            triangle.map(|i| {
                *place[i].get_or_insert_with(|| {
                    corners.push(mesh.corners[i]);
                    corners.len() as u32 - 1
                })
            })
        })
        .collect();
    (corners, triangles)
}

/// East, north, up → x right, y up, z towards the viewer.
fn y_up(p: Point3) -> [f64; 3] {
    // Adding 0 turns -0 into 0.
    [p.x + 0.0, p.z + 0.0, -p.y + 0.0]
}

/// The container: a header of 12 bytes, the JSON chunk filled up with spaces, the binary chunk filled up with zeros,
/// all lengths in multiples of four (specification, "GLB File Format Specification").
fn pack(json: &Value, bytes: &[u8]) -> Vec<u8> {
    let mut chunks = vec![];
    chunk(&mut chunks, b"JSON", json.to_string().as_bytes(), b' ');
    if !bytes.is_empty() {
        chunk(&mut chunks, b"BIN\0", bytes, 0);
    }
    let mut file = b"glTF".to_vec();
    file.extend(2_u32.to_le_bytes());
    file.extend((chunks.len() as u32 + 12).to_le_bytes());
    file.extend(chunks);
    file
}

fn chunk(out: &mut Vec<u8>, kind: &[u8; 4], bytes: &[u8], filler: u8) {
    let length = bytes.len().next_multiple_of(4);
    out.extend((length as u32).to_le_bytes());
    out.extend(kind);
    out.extend(bytes);
    out.resize(out.len() + length - bytes.len(), filler);
}
