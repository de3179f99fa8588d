//! Plans of which only the outline is drawn, from the drawing to the solved roof, with lengths worked by hand. All
//! pitches are 6 in 12 where nothing else is said: a hip of 12 ft run both ways rises 6 and is √(12² + 12² + 6²) = 18 ft.

use std::fs;
use std::path::PathBuf;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions, PlanMap};
use eavewright::roof::outline::{
    self, CatchUp, OutlineOptions, OutlineRules, Overhangs, to_plan_map,
};
use eavewright::roof::{EdgeClass, Roof, RoofOptions, SolveOptions};

use crate::outline_shapes::{ring, with_pitches};

fn maps(name: &str, options: &OutlineOptions) -> Vec<PlanMap> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/outlines")
        .join(format!("{name}.svg"));
    let drawing = Drawing::read(&fs::read(path).unwrap(), &ReadOptions::default()).unwrap();
    let mut maps = map::build(&drawing, &MapOptions::default()).unwrap();
    outline::build_outlines(&mut maps, &drawing, options).unwrap();
    maps
}

fn roof_with(name: &str, options: &OutlineOptions) -> Roof {
    Roof::solve(&maps(name, options), &SolveOptions::default()).unwrap()
}

fn roof(name: &str) -> Roof {
    roof_with(name, &OutlineOptions::default())
}

/// The plan area and the true length of every class that is named; all other classes but eaves must be absent.
#[track_caller]
fn measures(roof: &Roof, plan_area: f64, lengths: &[(EdgeClass, f64)]) {
    let near = |got: f64, expected: f64| (got - expected).abs() < 2e-4 * expected.max(1.0);
    let area = roof.plan_area().to_square_feet();
    assert!(near(area, plan_area), "{area} for {plan_area}");
    for class in EdgeClass::ALL {
        let named = lengths.iter().find(|(named, _)| *named == class);
        let expected = match named {
            Some((_, length)) => *length,
            None if class == EdgeClass::Eave => continue,
            None => 0.0,
        };
        let length = roof.true_length(class).to_feet();
        assert!(near(length, expected), "{class:?}: {length} for {expected}");
    }
}

use EdgeClass::{Eave, Hip, Rake, Ridge, Valley};

/// Two wings 24 ft wide: ridges of 24 ft along both, five hips and the valley of 18 ft.
#[test]
fn an_l_of_two_equal_wings_has_two_ridges_five_hips_and_a_valley() {
    let lengths = [(Eave, 192.0), (Ridge, 48.0), (Hip, 90.0), (Valley, 18.0)];
    measures(&roof("l-48x48-6in12"), 1728.0, &lengths);
}

/// A bay 2 ft deep, 8 ft wide at the wall and 4 ft in front, its sides at 45°. With s = √2, its front plane and its
/// sides meet 2s ft behind the wall; from there a hip runs between its two sides to where they meet the house plane,
/// 4 / (s - 1) ft behind the wall; the valleys run there from the bay's corners.
#[test]
fn a_bay_window_dies_into_the_house_with_its_own_hips_and_two_valleys() {
    let s = 2.0_f64.sqrt();
    let space = |x: f64, y: f64, z: f64| (x * x + y * y + z * z).sqrt();
    let front = 2.0 * s;
    let back = 4.0 / (s - 1.0);
    let hips = 2.0 * space(2.0, front + 2.0, (front + 2.0) / 2.0);
    let top = space(0.0, back - front, (back - front - 2.0) / 2.0);
    let valleys = 2.0 * space(4.0, back, back / 2.0);
    let lengths = [(Ridge, 16.0), (Hip, 72.0 + hips + top), (Valley, valleys)];
    measures(&roof("bay-window-40x24-6in12"), 972.0, &lengths);
}

/// Corridors of 20 ft round a courtyard of 20 by 10: ridges of 40 and 30 ft twice, hips and valleys of
/// √(10² + 10² + 5²) = 15 ft at the corners.
#[test]
fn a_house_round_a_courtyard_has_a_ring_of_ridges() {
    let lengths = [(Ridge, 140.0), (Hip, 60.0), (Valley, 60.0), (Eave, 280.0)];
    measures(&roof("courtyard-60x50-6in12"), 2800.0, &lengths);
}

/// A hip roof of 40 by 24 (ridge 16, hips 72) and one of 20 by 20, whose four hips of 15 ft meet in a point.
#[test]
fn two_outlines_in_one_drawing_become_two_roofs() {
    let lengths = [(Ridge, 16.0), (Hip, 132.0), (Eave, 208.0)];
    measures(&roof("two-outlines"), 1360.0, &lengths);
}

/// One end of the hip roof becomes a gable: the ridge runs on to it, 28 ft; rakes of √(12² + 6²) each.
#[test]
fn a_hip_changed_to_a_gable_lets_the_ridge_run_on_to_the_wall() {
    let lengths = [(Ridge, 28.0), (Hip, 36.0), (Rake, 2.0 * 180.0_f64.sqrt())];
    measures(&roof("hip-to-gable-40x24"), 960.0, &lengths);
}

/// 6 and 12 in 12 meet where d / 2 = 24 - d: 16 ft from the lower pitch, 8 ft up.
#[test]
fn a_lower_pitch_at_one_side_moves_the_ridge() {
    let rakes = 2.0 * (16.0_f64.hypot(8.0) + 8.0_f64.hypot(8.0));
    let lengths = [(Ridge, 40.0), (Rake, rakes)];
    let roof = roof("lower-pitch-at-one-side-40x24");
    measures(&roof, 960.0, &lengths);
    let steep = roof.faces.iter().find(|f| f.pitch.to_in_12() > 9.0);
    assert!((steep.unwrap().plan_area.to_square_feet() - 320.0).abs() < 0.1);
}

/// The south eave is 3 ft higher: its plane starts 28 ft long between the rising rakes of the ends (6 ft run, 3 ft rise),
/// and meets the north plane 9 ft from the south, 7.5 ft up.
#[test]
fn an_eave_written_higher_starts_between_the_rakes_of_its_neighbours() {
    let roof = roof("one-eave-higher-40x24");
    let rakes = 2.0 * 6.0_f64.hypot(3.0);
    assert!((roof.true_length(Rake).to_feet() - rakes).abs() < 0.01);
    assert!((roof.true_length(Eave).to_feet() - 116.0).abs() < 0.01);
    let top = roof.faces.iter().flat_map(|f| &f.outline.corners);
    let top = top.fold(0.0, |m: f64, p| m.max(p.z));
    assert!((top - 7.5).abs() < 0.001, "{top}");
}

/// Walls of 40 by 24, 1.5 ft at the eaves and 1 ft at the rakes: 42 by 27 ft, rakes of 13.5 ft run and 6.75 ft rise.
#[test]
fn walls_traced_are_moved_out_by_the_overhang_of_eaves_and_of_rakes() {
    let options = OutlineOptions {
        walls: Some(Overhangs {
            eave_ft: Some(1.5),
            rake_ft: Some(1.0),
        }),
        ..OutlineOptions::default()
    };
    let rakes = 4.0 * 13.5_f64.hypot(6.75);
    let lengths = [(Eave, 84.0), (Ridge, 42.0), (Rake, rakes)];
    let roof = roof_with("walls-40x24-two-gables", &options);
    measures(&roof, 42.0 * 27.0, &lengths);
}

/// A roof that ends at the wall where nobody said so would be taken off too small; none at all may be said.
#[test]
fn an_overhang_is_asked_for_only_where_it_is_not_said_and_the_outline_has_such_sides() {
    let told = |plan: &str, eave_ft: Option<f64>, rake_ft: Option<f64>| -> Vec<String> {
        let options = OutlineOptions {
            walls: Some(Overhangs { eave_ft, rake_ft }),
            ..OutlineOptions::default()
        };
        let maps = maps(plan, &options);
        let findings = maps.iter().flat_map(|m| &m.findings);
        let told = findings.filter(|f| f.code == "walls-without-overhang");
        let key = |text: &str| text.split('`').nth(1).map(str::to_owned);
        told.filter_map(|f| key(&f.message)).collect()
    };
    let (gables, hip) = ("walls-40x24-two-gables", "hip-40x24-pitch-beside-each-side");
    assert_eq!(told(gables, Some(1.5), None), ["rake_overhang"]);
    assert_eq!(told(gables, None, Some(1.0)), ["eave_overhang"]);
    assert_eq!(told(gables, Some(1.5), Some(0.0)), [""; 0]);
    assert_eq!(told(hip, Some(1.5), None), [""; 0]);
    assert_eq!(told(hip, None, None), ["eave_overhang"]);
}

/// One foot beyond the walls falls 10, 8 and 6 in at 10, 8 and 6 in 12: at the west the eaves part by 4 in, at the east by 2.
#[test]
fn eaves_that_the_overhang_parts_at_a_corner_are_told_with_their_heights() {
    let walls = OutlineOptions {
        walls: Some(Overhangs {
            eave_ft: Some(1.0),
            rake_ft: Some(0.5),
        }),
        ..OutlineOptions::default()
    };
    let parted = |name: &str| {
        let maps = maps(name, &walls);
        let mut findings = maps.into_iter().flat_map(|m| m.findings);
        findings.find(|f| f.code == "eaves-at-different-heights")
    };
    let told = parted("walls-40x24-unequal-pitches").unwrap();
    assert_eq!(told.places.len(), 4);
    let said = |inches: &str| told.message.matches(inches).count();
    assert_eq!(
        (said("4.00 in (102 mm) at"), said("2.00 in (51 mm) at")),
        (2, 2),
        "{}",
        told.message
    );
    assert!(!told.remedy.is_empty());
    assert!(parted("walls-40x24-two-gables").is_none());
    assert!(parted("hip-40x24-pitch-beside-each-side").is_none());
}

/// Lines that are drawn are not moved out, so a roof drawn between walls would be taken off too small.
#[test]
fn faces_that_are_drawn_on_walls_are_refused() {
    let path =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/gable-40x24-6in12/plan.svg");
    let drawing = Drawing::read(&fs::read(path).unwrap(), &ReadOptions::default()).unwrap();
    let mut options = RoofOptions::default();
    assert!(Roof::from_drawing(&drawing, &options).is_ok());
    options.outline.walls = Some(Overhangs {
        eave_ft: Some(1.0),
        rake_ft: Some(0.5),
    });
    let unsolved = Roof::from_drawing(&drawing, &options).unwrap_err();
    let codes: Vec<&str> = unsolved.findings.iter().map(|f| f.code).collect();
    assert!(codes.contains(&"walls-with-drawn-faces"), "{codes:?}");
}

#[test]
fn a_pitch_beside_a_gable_is_told_to_be_left_out() {
    let maps = maps("gable-with-a-pitch-too", &OutlineOptions::default());
    let told = maps.iter().flat_map(|m| &m.findings);
    let told: Vec<_> = told.filter(|f| f.code == "pitch-at-gable").collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].message.contains("9/12"), "{}", told[0].message);
    let element = told[0].places[0].source.as_ref().unwrap();
    assert_eq!(element.id.as_deref(), Some("label-5"));
    let roof = Roof::solve(&maps, &SolveOptions::default()).unwrap();
    let lengths = [(Ridge, 40.0), (Rake, 4.0 * 180.0_f64.sqrt())];
    measures(&roof, 960.0, &lengths);
}

/// The bay of 4 in 12 in front of the house of 8 in 12: by either rule the solver takes the planes as they were proven,
/// and has nothing to say about them that do not meet or about steps.
#[test]
fn the_planes_of_an_outline_reach_the_solved_roof_as_they_were_proven() {
    let rings = vec![ring(&[
        (0.0, 0.0),
        (25.0, 0.0),
        (25.0, -3.0),
        (35.0, -3.0),
        (35.0, 0.0),
        (60.0, 0.0),
        (60.0, 30.0),
        (0.0, 30.0),
    ])];
    let input = with_pitches(&rings, |i| match i {
        2 => Some(4.0),
        1 | 3 => None,
        _ => Some(8.0),
    });
    for catch_up in [CatchUp::Wider, CatchUp::Shallower] {
        let rules = OutlineRules {
            catch_up,
            ..OutlineRules::default()
        };
        let built = outline::build(&input, &rules).unwrap();
        let made = to_plan_map(&built, 0, |_| None);
        let roof = Roof::solve(&[made.map], &SolveOptions::default()).unwrap();
        let top = roof.faces.iter().flat_map(|f| &f.outline.corners);
        let top = top.fold(0.0, |m: f64, p| m.max(p.z));
        assert!((top - built.max_height_ft()).abs() < 1e-6, "{top}");
        let area = roof.true_area().to_square_feet();
        assert!((area - built.true_area().to_square_feet()).abs() < 1e-6);
        let told: Vec<_> = roof.findings.iter().map(|f| f.code).collect();
        assert!(!told.contains(&"planes-do-not-meet"), "{told:?}");
        assert!(!told.iter().any(|code| code.contains("step")), "{told:?}");
    }
}
