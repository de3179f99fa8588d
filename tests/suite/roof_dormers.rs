//! Dormers drawn in the roof's own layer: what is asked about, and what is proposed.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions, PlanMap};
use eavewright::roof::{Roof, SolveOptions, SuggestedFall};

/// The plan with only those arrows that pass `keep`, by the fall's component to the north.
fn plan(svg: &str, keep: impl Fn(f64) -> bool) -> Vec<PlanMap> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let mut maps = map::build(&drawing, &MapOptions::default()).unwrap();
    for face in maps.iter_mut().flat_map(|m| &mut m.faces) {
        face.fall_hint = face.fall_hint.filter(|fall| keep(fall.y));
    }
    maps
}

fn asked(maps: &[PlanMap]) -> Vec<SuggestedFall> {
    match Roof::solve(maps, &SolveOptions::default()) {
        Ok(_) => Vec::new(),
        Err(unsolved) => unsolved.suggested_falls,
    }
}

const GABLE: &str = include_str!("../../fixtures/roofs/gable-dormer-6in12/plan.svg");
const SHED: &str = include_str!("../../fixtures/roofs/shed-dormer-3in12/plan.svg");

#[test]
fn arrows_in_a_gable_dormer_settle_the_slopes_round_it_too() {
    let level = |north: f64| north.abs() < 0.5;
    assert!(asked(&plan(GABLE, level)).is_empty());
    // Without any, nothing is settled in silence.
    assert_eq!(asked(&plan(GABLE, |_| false)).len(), 4);
}

#[test]
fn a_shed_dormer_is_proposed_to_fall_with_the_slope_below_it_and_not_against_a_wall() {
    let falls = asked(&plan(SHED, |_| false));
    let dormer = falls
        .iter()
        .find(|f| f.face_label.starts_with('3'))
        .unwrap();
    assert!(dormer.fall.y < -0.99, "{dormer:?}");
    assert_eq!(falls.len(), 3);
}

#[test]
fn arrows_of_one_stroke_with_their_head_point_along_their_shaft() {
    let drawing = Drawing::read(GABLE.as_bytes(), &ReadOptions::default()).unwrap();
    assert_eq!(drawing.falls.len(), 4);
    for fall in &drawing.falls {
        let run = (fall.to - fall.from).unit().unwrap();
        assert!(run.x.abs().max(run.y.abs()) > 0.9999, "{fall:?}");
    }
}
