//! The roof for other programs. The format itself is judged by an outside validator, `.ci/outside-gltf.mjs`.

use eavewright::geometry::Point3;
use eavewright::report::{glb, view3d};
use eavewright::roof::Roof;
use serde_json::Value;

use crate::handmade;

fn triangle_area(t: [Point3; 3]) -> f64 {
    eavewright::geometry::ring::newell_area(&t)
}

#[test]
fn the_triangles_of_a_face_cover_its_true_area() {
    for roof in [
        handmade::l_hip(),
        handmade::gable_with_chimney(),
        handmade::many_wings(3),
    ] {
        for face in &roof.faces {
            let sum: f64 = view3d::face_mesh(face).positions().map(triangle_area).sum();
            let area = face.true_area.to_square_feet();
            assert!((sum - area).abs() < 1e-9, "{}: {sum} for {area}", face.name);
        }
    }
}

/// The JSON and binary chunks of a file.
fn unpack(file: &[u8]) -> (Value, &[u8]) {
    let word = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!(&file[..4], b"glTF");
    assert_eq!((word(4), word(8)), (2, file.len()));
    let json = word(12);
    let body = serde_json::from_slice(&file[20..20 + json]).unwrap();
    (body, file.get(28 + json..).unwrap_or_default())
}

/// The positions of a mesh's first primitive, with its indices applied, as the file has them.
fn positions(json: &Value, bytes: &[u8], mesh: &Value) -> Vec<[f64; 3]> {
    let slice = |accessor: &Value| {
        let view = &json["bufferViews"][accessor["bufferView"].as_u64().unwrap() as usize];
        let start = view["byteOffset"].as_u64().unwrap() as usize;
        &bytes[start..start + view["byteLength"].as_u64().unwrap() as usize]
    };
    let accessor = |i: &Value| &json["accessors"][i.as_u64().unwrap() as usize];
    let primitive = &mesh["primitives"][0];
    let all: Vec<[f64; 3]> = slice(accessor(&primitive["attributes"]["POSITION"]))
        .chunks_exact(12)
        .map(|v| [0, 4, 8].map(|i| f64::from(f32::from_le_bytes(v[i..i + 4].try_into().unwrap()))))
        .collect();
    if primitive["indices"].is_null() {
        return all;
    }
    slice(accessor(&primitive["indices"]))
        .chunks_exact(4)
        .map(|i| all[u32::from_le_bytes(i.try_into().unwrap()) as usize])
        .collect()
}

fn mesh<'a>(json: &'a Value, name: &str) -> &'a Value {
    let meshes = json["meshes"].as_array().unwrap();
    meshes.iter().find(|m| m["name"] == name).unwrap()
}

#[test]
fn a_face_read_back_from_the_file_has_its_area_in_square_metres() {
    let roof = handmade::gable_with_chimney();
    let file = glb::write(&roof, "gable");
    let (json, bytes) = unpack(&file);
    for face in &roof.faces {
        let corners = positions(&json, bytes, mesh(&json, &face.name));
        let sum: f64 = corners
            .chunks_exact(3)
            .map(|t| triangle_area([0, 1, 2].map(|i| Point3::new(t[i][0], t[i][1], t[i][2]))))
            .sum();
        assert!((sum - face.true_area.to_square_metres()).abs() < 1e-4);
    }
}

#[test]
fn the_ridge_lies_level_and_high_in_the_file() {
    let file = glb::write(&handmade::gable_with_chimney(), "gable");
    let (json, bytes) = unpack(&file);
    let ridge = positions(&json, bytes, mesh(&json, "ridge"));
    assert_eq!(ridge.len(), 2);
    // 3 ft of eave height and 8 ft of rise, 30 ft long; y is up in the file.
    assert!((ridge[0][1] - 11.0 * 0.3048).abs() < 1e-5);
    assert_eq!(ridge[0][1], ridge[1][1]);
    assert!(((ridge[0][0] - ridge[1][0]).abs() - 30.0 * 0.3048).abs() < 1e-5);
}

#[test]
fn every_node_of_a_face_or_edge_class_carries_its_name() {
    let roof = handmade::gable_with_chimney();
    let file = glb::write(&roof, "gable");
    let (json, _) = unpack(&file);
    let names: Vec<&str> = json["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|n| n["name"].as_str().unwrap())
        .collect();
    assert_eq!(
        names,
        [
            "N1", "S1", "S2", "eave", "rake", "ridge", "headwall", "faces", "edges", "gable"
        ]
    );
}

#[test]
fn a_roof_far_from_the_origin_keeps_its_shape() {
    let mut roof = handmade::gable_with_chimney();
    for face in &mut roof.faces {
        for corner in &mut face.outline.corners {
            corner.x += 1e6;
        }
        for hole in &mut face.holes {
            for corner in &mut hole.corners {
                corner.x += 1e6;
            }
        }
    }
    for edge in &mut roof.edges {
        edge.start.x += 1e6;
        edge.end.x += 1e6;
    }
    let file = glb::write(&roof, "far");
    let (json, bytes) = unpack(&file);
    let ridge = positions(&json, bytes, mesh(&json, "ridge"));
    assert!(((ridge[0][0] - ridge[1][0]).abs() - 30.0 * 0.3048).abs() < 1e-5);
    let root = json["nodes"].as_array().unwrap().last().unwrap();
    assert!((root["translation"][0].as_f64().unwrap() - 1_000_015.0 * 0.3048).abs() < 1e-6);
}

#[test]
fn the_same_roof_gives_the_same_bytes_and_no_roof_an_empty_scene() {
    let once = glb::write(&handmade::l_hip(), "l");
    assert_eq!(once, glb::write(&handmade::l_hip(), "l"));
    let file = glb::write(&Roof::default(), "none");
    let (json, _) = unpack(&file);
    assert!(json["meshes"].is_null());
    assert_eq!(json["nodes"].as_array().unwrap().len(), 1);
}
