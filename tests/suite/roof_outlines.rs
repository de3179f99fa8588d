//! Roofs built over random outlines (lower envelopes of planes, some with gables), drawn as lines with pitches and solved
//! without being told their planes: roofs that no weight of the search was fitted on.

use eavewright::roof::outline::{self, CatchUp, OutlineInput, OutlineRules, to_plan_map};
use eavewright::roof::{Roof, SolveOptions};

use crate::outline_shapes::{Dice, Rings, general, one_pitch, orthogonal, with_pitches};

/// A drawn line shorter than this (feet) is at the tracer's limit: such outlines are passed over.
const SHORTEST_FT: f64 = 1.0;

#[derive(Debug, Default)]
struct Count {
    roofs: usize,
    passed_over: usize,
    first_right: usize,
    asked: usize,
    silent_wrong: Vec<String>,
}

impl Count {
    fn add(&mut self, name: &str, input: &OutlineInput) {
        let rules = OutlineRules {
            catch_up: CatchUp::Shallower,
            ..OutlineRules::default()
        };
        let Ok(built) = outline::build(input, &rules) else {
            self.passed_over += 1;
            return;
        };
        let mut made = to_plan_map(&built, 0, |_| None);
        let length =
            |e: &eavewright::roof::map::MapEdge| made.map.nodes[e.a].distance(made.map.nodes[e.b]);
        if made.map.edges.iter().any(|e| length(e) < SHORTEST_FT) {
            self.passed_over += 1;
            return;
        }
        for face in &mut made.map.faces {
            face.plane = None;
        }
        self.roofs += 1;
        let solve = |accept_falls: bool, adjust: bool| {
            let options = SolveOptions {
                accept_falls,
                adjust,
                ..SolveOptions::default()
            };
            Roof::solve(std::slice::from_ref(&made.map), &options)
        };
        // An exact drawing needs no adjusting, and adjusting leaves it as it is.
        if let (Ok(drawn), Ok(adjusted)) = (solve(true, false), solve(true, true)) {
            for (a, b) in drawn.faces.iter().zip(&adjusted.faces) {
                let turned = (a.plane.gradient - b.plane.gradient).length();
                assert!(turned < 2e-3, "{name}: {} turned by {turned}", a.name);
            }
        }
        // Every face is found again by a corner of its own: its gradient must be the one that was built.
        let right = |roof: &Roof| {
            roof.faces.iter().all(|face| {
                made.planes.iter().any(|plane| {
                    (plane.gradient - face.plane.gradient).length() < 1e-3
                        && face
                            .outline
                            .corners
                            .iter()
                            .all(|c| (plane.height_at(c.plan()) - c.z).abs() < 2e-2)
                })
            })
        };
        match solve(true, false) {
            Ok(roof) => {
                let area = roof.true_area().to_square_feet();
                let expected = built.true_area().to_square_feet();
                assert!(
                    (area / expected - 1.0).abs() < 1e-9,
                    "{name}: {area} of {expected}"
                );
                self.first_right += usize::from(right(&roof));
            }
            Err(refused) => assert!(!refused.findings.is_empty()),
        }
        match solve(false, false) {
            Ok(roof) if !right(&roof) => self.silent_wrong.push(name.to_owned()),
            Ok(_) => {}
            Err(_) => self.asked += 1,
        }
    }
}

#[test]
fn roofs_over_random_outlines_are_recovered_or_asked_about() {
    let mut dice = Dice::new(4);
    let (mut even, mut mixed) = (Count::default(), Count::default());
    let mut shapes: Vec<(String, Rings)> = Vec::new();
    for seed in 1..=40 {
        shapes.push((
            format!("orthogonal {seed}"),
            orthogonal(8 + 2 * (seed as usize % 4), seed, false),
        ));
        shapes.push((
            format!("general {seed}"),
            general(5 + seed as usize % 4, seed),
        ));
    }
    for (name, rings) in &shapes {
        even.add(name, &one_pitch(rings, 6.0));
        let pitches: Vec<f64> = (0..64)
            .map(|_| [4.0, 6.0, 8.0, 9.0][dice.below(4)])
            .collect();
        mixed.add(name, &with_pitches(rings, |i| Some(pitches[i % 64])));
    }
    for (what, count) in [("one pitch", &even), ("mixed pitches", &mixed)] {
        eprintln!(
            "{what}: {} roofs ({} passed over), {} first right, {} asked, silently wrong {:?}",
            count.roofs, count.passed_over, count.first_right, count.asked, count.silent_wrong
        );
        assert!(count.roofs >= 20, "{what}");
        assert!(count.silent_wrong.is_empty(), "{what}");
        assert!(count.first_right * 10 >= count.roofs * 9, "{what}");
    }
}
