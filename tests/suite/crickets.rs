//! Which chimneys take a cricket, which have theirs drawn, and how large it is and on which faces. R903.2.2 (READ in an
//! inspectors' archive): on the ridge side of one more than 30 in wide; heights by Table R1003.20 (from memory).

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::materials::MaterialList;
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{FaceId, Roof, SolveOptions};

use crate::materials::{line, list, near};

/// A plan in feet, y down: its lines, where which pitch is written, and a chimney.
fn roof(lines: &str, pitches: &[(f64, f64, &str)], chimney: &str) -> Roof {
    let pitches = pitches
        .iter()
        .map(|(x, y, pitch)| format!(r#"<text x="{x}" y="{y}">{pitch}</text>"#));
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 70 70"><style>text{{font-size:0.3px}}</style>
        <g id="roof" fill="none" stroke="black" stroke-width="0.1">{lines}</g>
        <g id="chimney" fill="none" stroke="blue" stroke-width="0.1">{chimney}</g>{}
        <g id="dimension" stroke="green"><path d="M0 50H40"/><text x="20" y="49.8">40'-0"</text></g></svg>"##,
        pitches.collect::<String>(),
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let maps = map::build(&drawing, &MapOptions::default()).unwrap();
    let options = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    Roof::solve(&maps, &options).unwrap_or_else(|f| panic!("{f:#?}"))
}

fn rect(x: f64, y: f64, wide: f64, deep: f64) -> String {
    format!(r#"<rect x="{x}" y="{y}" width="{wide}" height="{deep}"/>"#)
}

/// A gable of 44 × 24 ft, ridge along y = 12, with a gabled wing of 16 ft to the south whose valleys end at (22, 16); all
/// at 6:12.
fn winged(chimney: &str) -> Roof {
    let lines = r#"<path d="M0 0H44V24H30V34H14V24H0ZM0 12H44M14 24L22 16L30 24M22 16V34"/>"#;
    let pitches = [(6.0, 20.0), (22.0, 6.0), (17.0, 28.0), (27.0, 28.0)];
    roof(lines, &pitches.map(|(x, y)| (x, y, "6/12")), chimney)
}

fn absent(list: &MaterialList, key: &str) -> bool {
    list.lines.iter().all(|l| l.key != key)
}

fn warned(roof: &Roof) -> usize {
    roof.findings.iter().filter(|f| f.code == "cricket").count()
}

fn names(roof: &Roof, faces: &[FaceId]) -> Vec<String> {
    let named = faces.iter().map(|f| roof.face(*f).name.clone());
    named.collect()
}

/// The faces that the cricket is listed for.
fn faces_of_cricket(roof: &Roof, list: &MaterialList) -> Vec<String> {
    let faces: Vec<FaceId> = line(list, "cricket").faces.iter().map(|f| f.1).collect();
    names(roof, &faces)
}

#[test]
fn the_valley_of_a_wing_that_ends_at_a_chimney_is_no_cricket() {
    // 3 in above the wing's peak; and astride the valley, where the water of both faces runs on to it.
    for (chimney, on) in [
        (rect(20.5, 13.5, 3.0, 2.25), &["S1"][..]),
        (rect(16.0, 18.5, 3.0, 3.0), &["S1", "W1"]),
    ] {
        let roof = winged(&chimney);
        assert_eq!(warned(&roof), 1);
        let list = list(&roof, "");
        // W/4 at 6:12.
        assert_eq!(line(&list, "cricket").variant, "36 in wide, 9 in high");
        near(line(&list, "cricket").quantity, 1.0);
        assert_eq!(faces_of_cricket(&roof, &list), on);
        assert!(list.findings.iter().all(|f| f.code != "cricket-drawn"));
    }
}

#[test]
fn a_cricket_drawn_above_its_chimney_is_not_listed_again_wherever_a_wing_ends() {
    // Faces of its own, from the chimney's upper side 18 in up the slope: on the plain slope, and above the wing's peak; drawn
    // up to the chimney, some inches short of it, and under it.
    for (x, y, short) in [
        (8.0, 16.0, 0.0),
        (20.5, 14.5, 0.0),
        (8.0, 16.0, 0.2),
        (8.0, 16.0, -0.2),
    ] {
        let (middle, right, back) = (x + 1.5, x + 3.0, y - 1.5);
        let lines = format!(
            r#"<path d="M0 0H44V24H30V34H14V24H0ZM0 12H44M14 24L22 16L30 24M22 16V34"/><path d="M{x} {y}L{middle} {back}L{right} {y}ZM{middle} {y}V{back}"/>"#
        );
        let low = y - 0.15;
        let pitches = [
            (6.0, 20.0),
            (22.0, 6.0),
            (17.0, 28.0),
            (27.0, 28.0),
            (middle - 0.4, low),
            (middle + 0.4, low),
        ];
        let drawn = roof(
            &lines,
            &pitches.map(|(x, y)| (x, y, "6/12")),
            &rect(x, y + short, 3.0, 1.25),
        );
        assert_eq!(warned(&drawn), 0, "{x}, {short}");
        let list = list(&drawn, "");
        assert!(absent(&list, "cricket"), "{x}, {short}");
        assert!(absent(&list, "head_flashing"), "{x}, {short}");
    }
}

/// A gable of 40 × 24 ft with its ridge along y = 12, 20:12 below a pitch change 5 ft in from the eaves and 6:12 above it.
fn broken(chimney: &str) -> Roof {
    let lines = r#"<path d="M0 0H40V24H0ZM0 12H40M0 19H40M0 5H40"/>"#;
    let pitches = [(20.0, 22.0, "20/12"), (20.0, 15.0, "6/12")];
    let north = [(20.0, 9.0, "6/12"), (20.0, 2.0, "20/12")];
    roof(lines, &[pitches, north].concat(), chimney)
}

#[test]
fn a_cricket_has_the_pitch_of_the_face_that_it_lies_on_not_of_that_below_the_chimney() {
    // 42/2 × 6/12 = 10.5 in; two triangles of 21 × 21 in, 3.0625 ft² × 1.118 = 3.42 ft².
    let across = broken(&rect(10.0, 17.5, 3.5, 3.0));
    let uphill = across.face_at(0, eavewright::geometry::Point::new(12.0, -14.0));
    let listed = list(&across, "");
    let cricket = line(&listed, "cricket");
    assert_eq!(cricket.variant, "42 in wide, 10.5 in high");
    assert_eq!(cricket.price_key(), "cricket:42x11");
    let told = |f: &&eavewright::Finding| f.code == "cricket-needed";
    let told = listed.findings.iter().find(told).unwrap();
    assert!(told.message.contains("3.42 ft²"), "{}", told.message);
    let on: Vec<FaceId> = cricket.faces.iter().map(|f| f.1).collect();
    assert_eq!(on, uphill.into_iter().collect::<Vec<_>>());
    // Below the pitch change it lies on the steep face: 42/2 × 20/12 = 35 in.
    let below = broken(&rect(10.0, 20.0, 3.5, 3.0));
    let list = list(&below, "");
    assert_eq!(line(&list, "cricket").variant, "42 in wide, 35 in high");
}

/// A hip roof of 40 × 24 ft at 6:12.
fn hipped(chimney: &str) -> Roof {
    let lines = r#"<path d="M0 0H40V24H0ZM12 12H28M0 24L12 12L0 0M40 24L28 12L40 0"/>"#;
    let pitches = [(20.0, 21.0), (20.0, 4.0), (3.0, 12.0), (37.0, 12.0)];
    roof(lines, &pitches.map(|(x, y)| (x, y, "6/12")), chimney)
}

#[test]
fn a_chimney_astride_a_hip_takes_a_cricket_only_where_water_runs_on_to_more_than_30_in() {
    // The hip x + y = 24 leaves 6 in and 36 in of the upper side to the slope beyond it.
    for (y, meets_in, takes) in [(17.0, 6.0, false), (19.5, 36.0, true)] {
        let roof = hipped(&rect(4.0, y, 3.5, 3.5));
        let chimney = &roof.openings[0];
        near(chimney.width.to_inches(), 42.0);
        near(chimney.meets_water.to_inches(), meets_in);
        assert_eq!(
            (chimney.takes_cricket(), warned(&roof) == 1),
            (takes, takes)
        );
        let list = list(&roof, "");
        assert_eq!(!absent(&list, "cricket"), takes);
        assert_eq!(!absent(&list, "head_flashing"), !takes);
    }
}

#[test]
fn round_and_turned_chimneys_are_as_wide_as_the_water_that_they_part() {
    // A circle 36 in across has less than 30 in of it square to the fall; 24 in turned by 30° are 24 × (cos + sin) = 32.8 in.
    let round = r#"<circle cx="10" cy="18" r="1.5"/>"#.to_owned();
    let turned = |side: f64| {
        let (x, y) = (10.0 - side / 2.0, 18.0 - side / 2.0);
        format!(
            r#"<rect x="{x}" y="{y}" width="{side}" height="{side}" transform="rotate(30 10 18)"/>"#
        )
    };
    for (chimney, takes) in [
        (round, true),
        (turned(24.0 / 12.0), true),
        (turned(20.0 / 12.0), false),
    ] {
        let roof = winged(&chimney);
        let opening = &roof.openings[0];
        near(opening.meets_water.to_feet(), opening.width.to_feet());
        assert_eq!(opening.takes_cricket(), takes, "{chimney}");
    }
}
