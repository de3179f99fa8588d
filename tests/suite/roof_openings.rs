//! Openings that share lines with the roof, fill faces or part them: what is left of faces and edges, and what is flashed.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{EdgeClass, FaceId, Flank, Roof, Side, SolveOptions};

use crate::support::{length, near};

const HIP: &str =
    r#"<path d="M0 0H40V36H0Z"/><path d="M0 0L18 18L0 36M40 0L22 18L40 36M18 18H22"/>"#;
/// The same with its ridge drawn first.
const HIP_RIDGE_FIRST: &str =
    r#"<path d="M18 18H22"/><path d="M0 0H40V36H0Z"/><path d="M0 0L18 18L0 36M40 0L22 18L40 36"/>"#;
const GABLE: &str = r#"<path d="M0 0H40V36H0ZM0 18H40"/>"#;
const FOUR: [(f64, f64); 4] = [(20.0, 6.0), (20.0, 30.0), (4.0, 20.0), (36.0, 20.0)];
const TWO: [(f64, f64); 2] = [(1.0, 6.0), (1.0, 30.0)];

/// A roof of 40 × 36 ft, all at 6 in 12, y down, with openings: kind, left, top, width, height.
fn plan(
    lines: &str,
    pitches: &[(f64, f64)],
    openings: &[(&str, [f64; 4])],
) -> Result<Roof, String> {
    plan_at(1.0, lines, pitches, openings)
}

/// The same drawn at some scale, where its corners are no whole numbers.
fn plan_at(
    scale: f64,
    lines: &str,
    pitches: &[(f64, f64)],
    openings: &[(&str, [f64; 4])],
) -> Result<Roof, String> {
    let cut = openings.iter().enumerate().map(|(n, (kind, [x, y, w, h]))| {
        format!(
            r#"<g id="{kind} {n}" fill="none" stroke="blue"><rect x="{x}" y="{y}" width="{w}" height="{h}"/></g>"#
        )
    });
    let labels = pitches
        .iter()
        .map(|(x, y)| format!(r#"<text x="{x}" y="{y}">6/12</text>"#));
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 70 70"><style>text{{font-size:0.3px}}</style>
        <g transform="scale({scale})"><g id="roof" fill="none" stroke="black" stroke-width="0.1">{lines}</g>{}{}
        <g id="dimension" stroke="green"><path d="M0 50H40"/><text x="20" y="49.8">40'-0"</text></g></g></svg>"#,
        cut.collect::<String>(),
        labels.collect::<String>(),
    );
    let drawing =
        Drawing::read(svg.as_bytes(), &ReadOptions::default()).map_err(|f| format!("{f:?}"))?;
    let maps = map::build(&drawing, &MapOptions::default()).map_err(|f| format!("{f:?}"))?;
    let options = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    Roof::solve(&maps, &options).map_err(|unsolved| format!("{:?}", unsolved.findings))
}

/// Every side of a face is an edge that has the face and its ends, or one of an opening; every edge is a side of its faces.
#[track_caller]
fn hangs_together(roof: &Roof) {
    let mut sides_of = vec![0; roof.edges.len()];
    for (at, face) in roof.faces.iter().enumerate() {
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            for (i, side) in ring.sides.iter().enumerate() {
                let ends = [i, (i + 1) % ring.corners.len()].map(|c| ring.corners[c].plan());
                match side {
                    Side::Opening(id) => assert!(id.0 < roof.openings.len()),
                    Side::Edge(id) => {
                        let edge = &roof.edges[id.0];
                        sides_of[id.0] += 1;
                        assert!(edge.faces.contains(&FaceId(at)), "{} {edge:?}", face.name);
                        near(edge.plan_length.to_feet(), ends[0].distance(ends[1]), 1e-3);
                    }
                }
            }
        }
    }
    for (edge, sides) in roof.edges.iter().zip(sides_of) {
        assert_eq!(edge.faces.len(), sides, "{edge:?}");
    }
    for check in &roof.checks {
        assert!(check.holds(), "{check:?}");
    }
}

/// The ridge of 4 ft lies on the side of a skylight 6 ft long: nothing is left of it. North of it the roof begins at the
/// skylight, with the same names and lengths in whatever order the lines were drawn.
#[test]
fn a_skylight_along_the_whole_ridge_takes_its_place_on_the_face_beyond() {
    for lines in [HIP, HIP_RIDGE_FIRST] {
        let roof = plan(lines, &FOUR, &[("skylight", [17.0, 18.0, 6.0, 4.0])]).unwrap();
        hangs_together(&roof);
        near(length(&roof, EdgeClass::Ridge), 0.0, 1e-9);
        // Hips of √(18² + 18² + 9²) = 27 each, two of them shortened by 1 ft in plan each way: 1.5 ft.
        near(length(&roof, EdgeClass::Hip), 4.0 * 27.0 - 2.0 * 1.5, 1e-6);
        let north = roof.faces.iter().find(|f| f.name == "N1").unwrap();
        let is_opening = |side: &&Side| matches!(side, Side::Opening(_));
        assert_eq!(north.outline.sides.iter().filter(is_opening).count(), 1);
        near(roof.plan_area().to_square_feet(), 1440.0 - 24.0, 1e-4);
    }
}

/// By hand: 6 ft below, 4 ft on the slope beyond the ridge, and 1 ft on each hip end, beside it; beside it on the south slope
/// 3 ft of run each, and on the hip ends' slopes 1 ft along the ridge's line each.
#[test]
fn a_chimney_along_the_whole_ridge_has_an_apron_beyond_it_and_no_wall() {
    for (scale, lines) in [(1.0, HIP), (1.0, HIP_RIDGE_FIRST), (0.8, HIP), (0.7, HIP)] {
        let chimney = [("chimney", [17.0, 18.0, 6.0, 4.0])];
        let roof = plan_at(scale, lines, &FOUR, &chimney).unwrap();
        hangs_together(&roof);
        near(length(&roof, EdgeClass::Headwall), 0.0, 1e-9);
        near(length(&roof, EdgeClass::Sidewall), 0.0, 1e-9);
        let opening = &roof.openings[0];
        near(opening.apron.to_feet(), 12.0, 1e-4);
        near(opening.head.to_feet(), 0.0, 1e-9);
        near(opening.sides.to_feet(), 8.0 * 1.25_f64.sqrt(), 1e-4);
        assert_eq!(opening.flashed(Flank::Below).count(), 4);
        assert_eq!(opening.flashed(Flank::Beside).count(), 4);
    }
}

/// A chimney 4.5 × 3 ft astride the ridge: each slope has 4.5 ft below it and 1.5 ft of run twice beside it.
#[test]
fn a_chimney_astride_the_ridge_is_flashed_on_each_slope_by_itself() {
    let roof = plan(GABLE, &TWO, &[("chimney", [18.0, 16.5, 4.5, 3.0])]).unwrap();
    hangs_together(&roof);
    let opening = &roof.openings[0];
    let of = |flank| -> Vec<(usize, f64)> {
        opening
            .flashed(flank)
            .map(|f| (f.face.0, f.length.to_feet()))
            .collect()
    };
    let below = of(Flank::Below);
    assert_eq!(below.len(), 2);
    assert_ne!(below[0].0, below[1].0);
    below.iter().for_each(|f| near(f.1, 4.5, 1e-6));
    let beside = of(Flank::Beside);
    assert_eq!(beside.len(), 4);
    beside
        .iter()
        .for_each(|f| near(f.1, 1.5 * 1.25_f64.sqrt(), 1e-6));
    assert!(of(Flank::Above).is_empty());
}

/// Sides of two openings in one straight line: each has what lies on it, and the cricket of a chimney is told whatever stands
/// beside it. Lengths by hand; 2 ft of run are 2 × √1.25 ft of slope.
#[test]
fn openings_that_stand_side_by_side_are_each_flashed_on_their_own_sides() {
    let up = 2.0 * 1.25_f64.sqrt();
    // Each: left, top, width, height of a chimney and of a skylight; below, beside and above of each.
    let pairs = [
        // Flush above and below, in either order.
        (
            [10.0, 24.0, 3.0, 2.0],
            [13.0, 24.0, 2.0, 2.0],
            [3.0, up, 3.0],
            [2.0, up, 2.0],
        ),
        (
            [10.0, 24.0, 3.0, 2.0],
            [8.0, 24.0, 2.0, 2.0],
            [3.0, up, 3.0],
            [2.0, up, 2.0],
        ),
        // The skylight below the chimney, as wide: both sides of the two in one line.
        (
            [10.0, 24.0, 3.0, 2.0],
            [10.0, 26.0, 3.0, 2.0],
            [0.0, 2.0 * up, 3.0],
            [3.0, 2.0 * up, 0.0],
        ),
        // A skylight twice as long, flush above alone.
        (
            [10.0, 24.0, 3.0, 2.0],
            [13.0, 24.0, 2.0, 4.0],
            [3.0, up, 3.0],
            [2.0, 3.0 * up, 2.0],
        ),
    ];
    for scale in [1.0, 0.8, 0.37] {
        for (chimney, skylight, of_chimney, of_skylight) in pairs {
            for order in [[0, 1], [1, 0]] {
                let both = [("chimney", chimney), ("skylight", skylight)];
                let roof = plan_at(scale, GABLE, &TWO, &order.map(|i| both[i])).unwrap();
                hangs_together(&roof);
                for opening in &roof.openings {
                    let by_hand = match opening.kind.as_str() {
                        "chimney" => of_chimney,
                        _ => of_skylight,
                    };
                    let has = [opening.apron, opening.sides, opening.head];
                    for (has, by_hand) in has.iter().zip(by_hand) {
                        near(has.to_feet(), by_hand, 1e-3);
                    }
                }
                let told = roof.findings.iter().filter(|f| f.code == "cricket").count();
                assert_eq!(told, 1, "{chimney:?} {skylight:?}");
            }
        }
    }
}

/// A slit 2 ft wide from eave to ridge, 10 ft from the west end: 10 × 18 and 28 × 18 ft are left.
#[test]
fn a_face_that_an_opening_parts_becomes_two_faces() {
    let roof = plan(GABLE, &TWO, &[("opening", [10.0, 18.0, 2.0, 18.0])]).unwrap();
    hangs_together(&roof);
    let areas: Vec<(&str, f64)> = roof
        .faces
        .iter()
        .map(|f| (f.name.as_str(), f.plan_area.to_square_feet()))
        .collect();
    let names: Vec<&str> = areas.iter().map(|a| a.0).collect();
    assert_eq!(names, ["N1", "S1", "S2"]);
    for ((_, area), by_hand) in areas.iter().zip([720.0, 504.0, 180.0]) {
        near(*area, by_hand, 1e-4);
    }
    near(length(&roof, EdgeClass::Eave), 78.0, 1e-4);
    near(length(&roof, EdgeClass::Ridge), 38.0, 1e-4);
    let told: Vec<&str> = roof
        .findings
        .iter()
        .filter(|f| f.code == "face-in-pieces")
        .map(|f| f.message.as_str())
        .collect();
    assert_eq!(told.len(), 1);
    assert!(told[0].contains("S1 and S2"), "{}", told[0]);
    // Flashed to the slope beyond the ridge below its upper end, and to both pieces beside it.
    near(roof.openings[0].apron.to_feet(), 2.0, 1e-4);
    near(
        roof.openings[0].sides.to_feet(),
        36.0 * 1.25_f64.sqrt(),
        1e-3,
    );
    assert_eq!(roof.openings[0].faces.len(), 2);
}

#[test]
fn a_face_that_an_opening_covers_is_left_out_and_told() {
    let lines = r#"<path d="M0 0H40V36H0ZM0 18H40"/><path d="M20 18V36"/>"#;
    let pitches = [(1.0, 6.0), (1.0, 30.0), (30.0, 30.0)];
    let shapes = [
        ("opening", [20.0, 18.0, 20.0, 18.0]),
        ("pipe", [30.0, 24.0, 0.3, 0.3]),
    ];
    let roof = plan(lines, &pitches, &shapes).unwrap();
    hangs_together(&roof);
    near(roof.plan_area().to_square_feet(), 720.0 + 360.0, 1e-3);
    assert_eq!(roof.faces.len(), 2);
    assert!(
        roof.findings
            .iter()
            .any(|f| f.code == "opening-covers-face")
    );
    // So is a pipe that stood there.
    assert!(roof.penetrations.is_empty());
    assert!(roof.findings.iter().any(|f| f.code == "pipe-outside"));
}

#[test]
fn an_opening_over_the_whole_roof_is_not_cut_out() {
    let shed = r#"<path d="M0 0H40V36H0Z"/>"#;
    let roof = plan(shed, &[(1.0, 6.0)], &[("opening", [0.0, 0.0, 40.0, 36.0])]).unwrap();
    hangs_together(&roof);
    near(roof.plan_area().to_square_feet(), 1440.0, 1e-3);
    assert!(
        roof.checks
            .iter()
            .all(|check| check.residual <= check.limit)
    );
    let told = roof
        .findings
        .iter()
        .find(|f| f.code == "opening-covers-face");
    assert!(told.is_some_and(|f| f.message.contains("it was not cut out")));
}

/// One or two openings on a grid of 2 ft round the ridge of a hip: whatever they cover, what is left hangs together and has the
/// area that they leave.
#[test]
fn openings_anywhere_round_a_ridge_leave_a_roof_that_hangs_together() {
    let mut seed = 11_u64;
    let mut dice = |sides: u64| {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % sides
    };
    let mut solved = 0;
    for turn in 0..120 {
        let scale = [1.0, 0.8, 0.37][turn % 3];
        let mut openings: Vec<(&str, [f64; 4])> = Vec::new();
        for _ in 0..=dice(2) {
            let size = [2.0 + 2.0 * dice(3) as f64, 2.0 + 2.0 * dice(3) as f64];
            let at = [12.0 + 2.0 * dice(6) as f64, 12.0 + 2.0 * dice(5) as f64];
            let apart = openings.iter().all(|(_, [x, y, w, h])| {
                at[0] >= x + w || *x >= at[0] + size[0] || at[1] >= y + h || *y >= at[1] + size[1]
            });
            if apart {
                let kind = ["skylight", "chimney"][dice(2) as usize];
                openings.push((kind, [at[0], at[1], size[0], size[1]]));
            }
        }
        let Ok(roof) = plan_at(scale, HIP, &FOUR, &openings) else {
            continue;
        };
        solved += 1;
        hangs_together(&roof);
        let taken: f64 = openings.iter().map(|(_, [_, _, w, h])| w * h).sum();
        near(roof.plan_area().to_square_feet(), 1440.0 - taken, 1e-3);
    }
    assert!(solved >= 110, "{solved}");
}

/// The south slope with one skylight whose shape is given, y down.
fn skylight(shape: &str) -> Roof {
    let group = format!(r#"{GABLE}</g><g id="skylight" fill="none" stroke="blue">{shape}"#);
    plan(&group, &TWO, &[]).unwrap()
}

/// A skylight of 2 × 4 ft with corners rounded by 0.2 ft: an eighth of a circle of each corner, 0.2 × π ÷ 4 = 0.157 ft of plan,
/// belongs to what is below and above, the rest to its sides, which reach 4 − 2 × 0.2 × (1 − √½) = 3.883 ft up in plan. A round
/// one of 3 ft: a quarter of it, 3 × π ÷ 4 = 2.356 ft, is below, and its sides reach 3 × √½ = 2.121 ft up.
#[test]
fn an_opening_with_curved_sides_is_flashed_in_one_run_on_each_flank() {
    let slope = 1.25_f64.sqrt();
    for (shape, below, up) in [
        (r#"<rect x="10" y="24" width="2" height="4"/>"#, 2.0, 4.0),
        (
            r#"<rect x="10" y="24" width="2" height="4" rx="0.2"/>"#,
            1.914,
            3.883,
        ),
        (r#"<circle cx="20" cy="27" r="1.5"/>"#, 2.356, 2.121),
    ] {
        let roof = skylight(shape);
        hangs_together(&roof);
        let opening = &roof.openings[0];
        let [aprons, sides, heads] = [Flank::Below, Flank::Beside, Flank::Above]
            .map(|flank| opening.flashed(flank).collect::<Vec<_>>());
        assert_eq!(
            (aprons.len(), sides.len(), heads.len()),
            (1, 2, 1),
            "{shape}"
        );
        // A curve is laid as straight pieces, and a piece is below or beside as a whole; on the slope it is a little longer.
        near(aprons[0].length.to_feet(), below, 0.2);
        near(heads[0].length.to_feet(), below, 0.2);
        for side in sides {
            near(side.up.to_feet(), up * slope, 0.2);
        }
    }
}

/// A square turned by 45° has two sides to the left and two to the right: each pair is one run up the slope, not four and not
/// one all round.
#[test]
fn the_left_and_the_right_side_of_a_square_on_its_corner_are_two_runs() {
    let roof = skylight(r#"<path d="M20 25L22 27L20 29L18 27Z"/>"#);
    let sides: Vec<f64> = roof.openings[0]
        .flashed(Flank::Beside)
        .map(|f| f.up.to_feet())
        .collect();
    let slope = 1.25_f64.sqrt();
    assert_eq!(sides.len(), 2);
    sides.iter().for_each(|up| near(*up, 4.0 * slope, 1e-3));
}
