//! Outline roofs against reference answers: face areas, lengths and heights of weighted straight skeletons computed by
//! surfer2 (kinetic triangulation, exact numbers) and CGAL 6.0.1, which agree with each other. Sets marked
//! `policy_dependent` hold a catch-up, and their numbers follow the rule that the shallower plane goes on.

use std::collections::BTreeMap;
use std::fs;

use eavewright::geometry::Point;
use eavewright::roof::outline::{
    self, ArcKind, CatchUp, OutlineInput, OutlineRoof, OutlineRules, OutlineSide,
};
use eavewright::units::Pitch;
use serde_json::Value;

use crate::support::shared_data;

/// Rings of corners with the pitches of a set: null is a gable.
pub(crate) fn outline_of(contours: &Value, pitches: &Value) -> OutlineInput {
    let rings = contours
        .as_array()
        .unwrap()
        .iter()
        .zip(pitches.as_array().unwrap());
    OutlineInput {
        rings: rings
            .map(|(corners, pitches)| {
                let sides = corners
                    .as_array()
                    .unwrap()
                    .iter()
                    .zip(pitches.as_array().unwrap());
                sides
                    .map(|(p, pitch)| {
                        let start = Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
                        match pitch.as_f64() {
                            Some(rise) => OutlineSide::eave(start, Pitch::in_12(rise)),
                            None => OutlineSide::gable(start),
                        }
                    })
                    .collect()
            })
            .collect(),
    }
}

struct Comparison {
    name: String,
    /// A gable stood for by a tiny speed in the reference costs it digits.
    floor: f64,
    wrong: Vec<String>,
}

impl Comparison {
    fn number(&mut self, what: &str, got: f64, expected: f64) {
        if (got - expected).abs() > (1e-6 * expected.abs()).max(self.floor) {
            self.wrong
                .push(format!("{}: {what} is {got}, not {expected}", self.name));
        }
    }
    fn roof(&mut self, roof: &OutlineRoof, set: &Value) {
        let totals = &set["totals"];
        let total = |key: &str| totals[key].as_f64().unwrap();
        self.number(
            "plan area",
            roof.plan_area().to_square_feet(),
            total("plan_area"),
        );
        self.number(
            "true area",
            roof.true_area().to_square_feet(),
            total("true_area"),
        );
        self.number("height", roof.max_height_ft(), total("max_height"));
        for (key, kind) in [
            ("ridge", ArcKind::Ridge),
            ("hip", ArcKind::Hip),
            ("valley", ArcKind::Valley),
            ("pitch_break", ArcKind::PitchChange),
            ("rake", ArcKind::Rake),
        ] {
            let (plan, sloped) = roof.lengths(kind);
            let expected = |of: &str| totals[of][key].as_f64().unwrap();
            self.number(key, plan.to_feet(), expected("plan_length"));
            self.number(key, sloped.to_feet(), expected("true_length"));
        }
        self.faces(roof, set);
    }
    /// How a seam cuts a plane is a convention: faces of one plane are compared together.
    fn faces(&mut self, roof: &OutlineRoof, set: &Value) {
        let mut group: BTreeMap<u64, u64> = BTreeMap::new();
        for members in set["seam_groups"].as_array().unwrap() {
            let members: Vec<u64> = members
                .as_array()
                .unwrap()
                .iter()
                .filter_map(Value::as_u64)
                .collect();
            group.extend(members.iter().map(|&m| (m, members[0])));
        }
        let mut sums: BTreeMap<u64, (f64, f64)> = BTreeMap::new();
        let expected = set["face_plan_area"].as_array().unwrap();
        assert_eq!(expected.len(), roof.sides.len());
        for (i, side) in roof.sides.iter().enumerate() {
            let i = i as u64;
            let sum = sums.entry(*group.get(&i).unwrap_or(&i)).or_default();
            sum.0 += side.plan_area.to_square_feet();
            sum.1 += expected[i as usize].as_f64().unwrap();
        }
        for (side, (got, expected)) in sums {
            self.number(&format!("the face of side {side}"), got, expected);
        }
    }
}

#[test]
fn roofs_on_outlines_agree_with_two_established_geometry_libraries() {
    let Some(folder) = shared_data("skeleton") else {
        return;
    };
    let rules = OutlineRules {
        catch_up: CatchUp::Shallower,
        ..OutlineRules::default()
    };
    let mut sets = 0;
    let mut wrong = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let document: Value = match path.extension() {
            Some(e) if e == "json" => serde_json::from_slice(&fs::read(&path).unwrap()).unwrap(),
            _ => continue,
        };
        let Some(all) = document["sets"].as_object() else {
            continue;
        };
        for (name, set) in all {
            let input = outline_of(&document["contours"], &set["pitch"]);
            let gables = input.rings.iter().flatten().any(|side| !side.is_eave());
            let mut comparison = Comparison {
                name: format!("{} {name}", document["id"]),
                floor: if gables { 1e-4 } else { 1e-6 },
                wrong: Vec::new(),
            };
            match outline::build(&input, &rules) {
                Ok(roof) => comparison.roof(&roof, set),
                Err(problem) => comparison
                    .wrong
                    .push(format!("{}: {problem}", comparison.name)),
            }
            wrong.append(&mut comparison.wrong);
            sets += 1;
        }
    }
    assert!(sets >= 80, "only {sets} sets were found");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
