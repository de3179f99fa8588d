//! Outlines whose sides were meant to lie on one line and do not, by a hair or by the tracing: they make the roof that was
//! meant, whichever way the plan lies on its page. All pitches are 6 in 12 where nothing else is said.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::geometry::Point;
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::outline::{self, OutlineInput, OutlineOptions, OutlineRules, build_outlines};
use eavewright::roof::{EdgeClass, Roof, SolveOptions};
use eavewright::units::Pitch;

use crate::outline_shapes::{Dice, Rings, orthogonal, turned};

/// What is written at the sides of an outline, and in its middle.
#[derive(Clone, Default)]
pub(crate) struct Written {
    pub(crate) sides: Vec<&'static str>,
    pub(crate) elsewhere: Vec<((f64, f64), &'static str)>,
}

/// A plan of one outline in feet, ten drawing units each, coordinates with three decimals, turned on its page by an angle.
/// Words for sides stand 1.2 ft outside their middles.
pub(crate) fn page(corners: &[(f64, f64)], written: &Written, degrees: f64) -> String {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let on_page = |(x, y): (f64, f64)| {
        let (x, y) = (10.0 * (cos * x - sin * y), -10.0 * (sin * x + cos * y));
        (1000.0 + x, 1000.0 + y)
    };
    let outline: Vec<String> = corners
        .iter()
        .map(|&p| on_page(p))
        .map(|(x, y)| format!("{x:.3},{y:.3}"))
        .collect();
    let mut texts = String::new();
    let mut write = |at: (f64, f64), text: &str| {
        let (x, y) = on_page(at);
        texts += &format!(
            r#"<text x="{x:.3}" y="{:.3}" text-anchor="middle">{}</text>"#,
            y + 3.0,
            text.replace('"', "&quot;")
        );
    };
    for (i, text) in written
        .sides
        .iter()
        .enumerate()
        .filter(|(_, t)| !t.is_empty())
    {
        let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let out = 1.2 / dx.hypot(dy);
        let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
        write((middle.0 + dy * out, middle.1 - dx * out), text);
    }
    for (at, text) in &written.elsewhere {
        write(*at, text);
    }
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2000 2000"><g id="roof" fill="none" stroke="#000"><polygon points="{}"/></g>
<g id="dims" stroke="#000"><line x1="100" y1="1950" x2="500" y2="1950"/></g>
<g font-size="8"><text x="290" y="1946">40'-0"</text>{texts}</g></svg>"##,
        outline.join(" ")
    )
}

/// The roof of a plan of outlines, and what was told on the way.
pub(crate) fn roof_of(svg: &str) -> Result<(Roof, Vec<Finding>), Vec<Finding>> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default())?;
    let options = MapOptions {
        outline: true,
        ..MapOptions::default()
    };
    let mut maps = map::build(&drawing, &options)?;
    build_outlines(&mut maps, &drawing, &OutlineOptions::default())?;
    let told = maps.iter().flat_map(|m| m.findings.clone()).collect();
    let roof =
        Roof::solve(&maps, &SolveOptions::default()).map_err(|unsolved| unsolved.findings)?;
    Ok((roof, told))
}

fn told<'f>(findings: &'f [Finding], code: &str) -> Option<&'f Finding> {
    findings.iter().find(|f| f.code == code)
}

use EdgeClass::{Eave, Headwall, Hip, Rake, Ridge, Sidewall, Valley};

const CLASSES: [EdgeClass; 7] = [Eave, Rake, Hip, Valley, Ridge, Headwall, Sidewall];

/// The number of faces and the true lengths of the classes above.
fn figures(roof: &Roof) -> (usize, [f64; 7]) {
    let lengths = CLASSES.map(|class| roof.true_length(class).to_feet());
    (roof.faces.len(), lengths)
}

#[track_caller]
fn near((faces, lengths): (usize, [f64; 7]), wanted: (usize, [f64; 7]), slack: f64, of: &str) {
    let close = lengths
        .iter()
        .zip(wanted.1)
        .all(|(a, b)| (a - b).abs() <= slack);
    assert!(
        faces == wanted.0 && close,
        "{of}: {faces} {lengths:?} instead of {wanted:?}"
    );
}

/// A house of 60 by 40 ft with a wing of 12 ft, 10 ft deep, in the middle of its north side.
const T: [(f64, f64); 8] = [
    (0.0, 0.0),
    (60.0, 0.0),
    (60.0, 40.0),
    (36.0, 40.0),
    (36.0, 50.0),
    (24.0, 50.0),
    (24.0, 40.0),
    (0.0, 40.0),
];

fn in_the_middle() -> Written {
    Written {
        sides: Vec::new(),
        elsewhere: vec![((30.0, 20.0), "6/12")],
    }
}

/// Four hips of 20 ft run, √(20² + 20² + 10²) = 30 ft, and two of 6 ft run, 9 ft; two valleys of 9 ft; ridges of 60 - 40 =
/// 20 ft and of 10 ft. The two eaves beside the wing are one: seven faces.
#[test]
fn a_hipped_t_has_the_same_hips_and_valleys_however_it_lies_on_its_page() {
    let wanted = (7, [220.0, 0.0, 138.0, 18.0, 30.0, 0.0, 0.0]);
    for degrees in [0.0, 5.0, 17.0, 33.0, 45.0, 71.3, 107.0, 180.0] {
        let (roof, told_of) = roof_of(&page(&T, &in_the_middle(), degrees)).unwrap();
        near(figures(&roof), wanted, 0.002, &degrees.to_string());
        // What three decimals and the reader's digits did is rounding.
        assert!(
            told(&told_of, "outline-sides-aligned").is_none(),
            "{told_of:?}"
        );
    }
}

/// Gables at the ends and before the wing: ridges of 60 and 16 ft, rakes of √(20² + 10²) and √(6² + 3²) ft.
#[test]
fn a_gabled_t_has_no_hip_however_it_lies_on_its_page() {
    let written = Written {
        sides: vec![
            "6/12", "GABLE", "6/12", "6/12", "GABLE", "6/12", "6/12", "GABLE",
        ],
        elsewhere: Vec::new(),
    };
    let rakes = 4.0 * 500.0_f64.sqrt() + 2.0 * 45.0_f64.sqrt();
    let wanted = (4, [128.0, rakes, 0.0, 18.0, 76.0, 0.0, 0.0]);
    for degrees in [0.0, 17.0, 40.0, 123.4] {
        let (roof, _) = roof_of(&page(&T, &written, degrees)).unwrap();
        near(figures(&roof), wanted, 0.002, &degrees.to_string());
    }
}

/// One of the two eaves beside the wing lies 0.012 ft farther out than the other, within the tolerance of 5 mm.
#[test]
fn two_eaves_within_the_tolerance_of_one_line_are_one_eave_and_that_is_told() {
    let mut corners = T;
    corners[2].1 += 0.012;
    corners[3].1 += 0.012;
    let (roof, told_of) = roof_of(&page(&corners, &in_the_middle(), 0.0)).unwrap();
    let wanted = (7, [220.0, 0.0, 138.0, 18.0, 30.0, 0.0, 0.0]);
    near(figures(&roof), wanted, 0.05, "0.012 ft out");
    let note = told(&told_of, "outline-sides-aligned").unwrap();
    assert!(note.message.contains("moved 0.012 ft"), "{}", note.message);
}

/// 0.1 ft is more than the tolerance: built as drawn, and told.
#[test]
fn two_eaves_nearly_on_one_line_are_built_as_two_and_told_with_their_distance() {
    let mut corners = T;
    corners[2].1 += 0.1;
    corners[3].1 += 0.1;
    let (roof, told_of) = roof_of(&page(&corners, &in_the_middle(), 0.0)).unwrap();
    assert_eq!(roof.faces.len(), 8);
    let warning = told(&told_of, "outline-nearly-in-line").unwrap();
    assert!(warning.message.contains("0.10 ft"), "{}", warning.message);
    assert_eq!(warning.places.len(), 2);
}

/// The ends of two wings, 0.1 ft from one line, with a court of 30 ft between them: their hip ends never meet.
#[test]
fn two_eaves_nearly_on_one_line_whose_faces_never_meet_are_not_told() {
    let u = [
        (0.0, 0.0),
        (60.0, 0.0),
        (60.0, 40.0),
        (45.0, 40.0),
        (45.0, 20.0),
        (15.0, 20.0),
        (15.0, 40.1),
        (0.0, 40.1),
    ];
    let written = Written {
        elsewhere: vec![((30.0, 10.0), "6/12")],
        ..Written::default()
    };
    let (_, told_of) = roof_of(&page(&u, &written, 0.0)).unwrap();
    assert!(told(&told_of, "outline-nearly-in-line").is_none());
}

/// A step of two inches that is drawn between two eaves is meant.
#[test]
fn a_small_step_that_is_drawn_between_two_eaves_stays() {
    let corners = [
        (0.0, 0.0),
        (40.0, 0.0),
        (40.0, 24.0),
        (20.0, 24.0),
        (20.0, 24.0 + 1.0 / 6.0),
        (0.0, 24.0 + 1.0 / 6.0),
    ];
    let written = Written {
        sides: Vec::new(),
        elsewhere: vec![((20.0, 12.0), "6/12")],
    };
    for degrees in [0.0, 17.0] {
        let (roof, told_of) = roof_of(&page(&corners, &written, degrees)).unwrap();
        let eaves = roof.true_length(Eave).to_feet();
        assert!((eaves - (128.0 + 1.0 / 3.0)).abs() < 0.002, "{eaves}");
        assert!(told(&told_of, "outline-sides-aligned").is_none());
        assert!(told(&told_of, "outline-nearly-in-line").is_none());
    }
}

/// Four hips of √(10² + 10² + 5²) = 15 ft meet in a point, not in a ridge of no length.
#[test]
fn a_pyramid_has_no_ridge_however_it_lies_on_its_page() {
    let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)];
    let written = Written {
        sides: Vec::new(),
        elsewhere: vec![((10.0, 8.0), "6/12")],
    };
    for degrees in [0.0, 17.0, 33.0, 71.3] {
        let (roof, _) = roof_of(&page(&corners, &written, degrees)).unwrap();
        assert_eq!(roof.edges.len(), 8, "{degrees}");
        near(
            figures(&roof),
            (4, [80.0, 0.0, 60.0, 0.0, 0.0, 0.0, 0.0]),
            0.002,
            "pyramid",
        );
    }
}

/// The roof of an outline is that of the same outline turned on its page, or both are refused for one reason. Whether there
/// was one.
#[track_caller]
fn same_when_turned(corners: &[(f64, f64)], written: &Written, of: &str) -> bool {
    let figures_at =
        |degrees| roof_of(&page(corners, written, degrees)).map(|(roof, _)| figures(&roof));
    let straight = figures_at(0.0);
    for degrees in [17.2, 90.0, 158.0] {
        match (&straight, figures_at(degrees)) {
            (Ok(one), Ok(other)) => near(other, *one, 0.005, &format!("{of} at {degrees}")),
            (Err(one), Err(other)) => assert_eq!(one[0].code, other[0].code, "{of} at {degrees}"),
            (one, other) => panic!("{of} at {degrees}: {one:?}, {other:?}"),
        }
    }
    straight.is_ok()
}

#[test]
fn gables_in_notches_make_the_same_roof_however_it_lies_on_its_page() {
    let notch = [
        (0.0, 0.0),
        (4.0, 0.0),
        (4.0, -4.0),
        (16.0, -4.0),
        (16.0, 20.0),
        (0.0, 20.0),
    ];
    let sides = vec!["GABLE", "6/12", "6/12", "GABLE", "6/12", "6/12"];
    let written = Written {
        sides,
        elsewhere: Vec::new(),
    };
    assert!(same_when_turned(&notch, &written, "notch"));
    let two = [
        (0.0, 0.0),
        (24.0, 0.0),
        (24.0, 4.0),
        (28.0, 4.0),
        (28.0, 24.0),
        (24.0, 24.0),
        (24.0, 28.0),
        (4.0, 28.0),
        (4.0, 20.0),
        (0.0, 20.0),
    ];
    let mut sides = vec!["6/12"; 10];
    sides[2] = "GABLE";
    let written = Written {
        sides,
        elsewhere: Vec::new(),
    };
    assert!(same_when_turned(&two, &written, "two notches"));
}

/// Random orthogonal outlines on a grid of 10 ft, so that many sides lie on one line.
fn on_a_grid(seed: u64) -> Vec<(f64, f64)> {
    let rings: Rings = orthogonal(12, seed, true);
    rings[0].iter().map(|p| (p.x, p.y)).collect()
}

#[test]
fn random_hipped_outlines_make_the_same_roof_however_they_lie_on_their_page() {
    for seed in 0..24 {
        let corners = on_a_grid(seed);
        let hipped = Written {
            sides: vec!["6/12"; corners.len()],
            elsewhere: Vec::new(),
        };
        let of = format!("seed {seed}");
        assert!(same_when_turned(&corners, &hipped, &of), "{of}");
    }
}

/// What touches in a point when drawn exactly may have a seam, or none, when it is shaken: faces are not counted there.
#[test]
fn an_outline_shaken_by_less_than_tracing_keeps_its_hips_and_valleys() {
    let mut dice = Dice::new(7);
    for seed in 0..8 {
        let rings = orthogonal(16, seed, true);
        let at = |ring: &[Point]| -> Vec<(f64, f64)> { ring.iter().map(|p| (p.x, p.y)).collect() };
        let written = Written {
            sides: vec!["6/12"; rings[0].len()],
            elsewhere: Vec::new(),
        };
        let (one, _) = roof_of(&page(&at(&rings[0]), &written, 0.0)).unwrap();
        for size in [1e-6, 1e-4, 2e-3] {
            let mut shaken = turned(&rings, 11.0);
            for p in shaken.iter_mut().flatten() {
                p.x += size * (dice.fraction() - 0.5);
                p.y += size * (dice.fraction() - 0.5);
            }
            let (roof, _) = roof_of(&page(&at(&shaken[0]), &written, 0.0)).unwrap();
            let of = format!("seed {seed} by {size}");
            near((0, figures(&roof).1), (0, figures(&one).1), 0.1, &of);
        }
    }
}

/// Round a peak the digits of the drawing part what meets in one point: no face is lost to that, and none has a slit. The
/// plan area of n triangles is n/2 r² sin(2π/n).
#[test]
fn outlines_of_many_sides_come_to_one_peak_whatever_their_digits() {
    for sides in [40, 44, 48, 52, 80, 120, 150, 200] {
        for radius in [10.0_f64, 20.0] {
            let corner = |i: usize| {
                let turn = std::f64::consts::TAU * i as f64 / sides as f64;
                (radius * turn.cos(), radius * turn.sin())
            };
            let corners: Vec<(f64, f64)> = (0..sides).map(corner).collect();
            let what = format!("{sides} sides, {radius} ft");
            let has = |roof: &Roof, faces: usize| {
                let n = faces as f64;
                let area = n / 2.0 * radius * radius * (std::f64::consts::TAU / n).sin();
                let off = roof.plan_area().to_square_feet() - area;
                assert!(off.abs() < 1e-3 * area, "{what}: off by {off}");
                assert_eq!(roof.faces.len(), faces, "{what}");
            };
            let digits = |x: f64| (x * 1e4).round() / 1e4;
            let ring: Vec<Point> = (corners.iter())
                .map(|&(x, y)| Point::new(digits(x), digits(y)))
                .collect();
            let input = OutlineInput::one_pitch(&ring, Pitch::in_12(6.0));
            let built = outline::build(&input, &OutlineRules::default()).unwrap();
            let map = outline::to_plan_map(&built, 0, |_| None).map;
            has(
                &Roof::solve(&[map], &SolveOptions::default()).unwrap(),
                sides,
            );
            // Drawn on a page, more than 45 to the circle are a curve: of 10 ft it is eight facets, of 20 ft ten.
            let written = Written {
                elsewhere: vec![((0.0, 0.0), "6/12")],
                ..Written::default()
            };
            let (roof, _) = roof_of(&page(&corners, &written, 0.0))
                .unwrap_or_else(|findings| panic!("{what}: {findings:#?}"));
            let facets = if radius > 10.0 { 10 } else { 8 };
            has(&roof, if sides > 45 { facets } else { sides });
        }
    }
}
