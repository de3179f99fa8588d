//! Short strokes strewn over a plan, as for gravel and bark: left out where they are drawn with a pen of their own, within
//! a moment however many they are; named where nothing can be made of the lines.

use std::fmt::Write as _;
use std::time::Instant;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{Roof, RoofOptions, Unsolved};
use eavewright::{Finding, Severity};

use crate::support::AMONG_OTHERS;

/// A gable roof of 40 by 30 ft, one drawing unit a foot.
const GABLE: &str = r##"<path d="M10 10H50V40H10ZM10 25H50" fill="none" stroke="#000"/>
<text x="25" y="20" font-size="3">6/12</text><text x="25" y="35" font-size="3">6/12</text>"##;
const DIMENSION: &str = r##"<g id="scale"><line x1="10" y1="50" x2="50" y2="50" stroke="#000"/>
<text x="22" y="49" font-size="3">40'-0"</text></g>"##;

/// A number in [0, 1) from a counter: the same drawing in every run.
fn noise(i: usize) -> f64 {
    let mixed = (i as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x1234_5678_9abc_def0;
    (mixed.wrapping_mul(0xbf58_476d_1ce4_e5b9) >> 11) as f64 / (1_u64 << 53) as f64
}

/// Strokes of one to three feet all over the roof.
fn strewn(count: usize, colour: &str) -> String {
    let mut body = String::new();
    for i in 0..count {
        let [x, y, dx, dy] = [0, 1, 2, 3].map(|k| noise(4 * i + k));
        let _ = write!(
            body,
            "<path d=\"M{:.2} {:.2}l{:.2} {:.2}\" fill=\"none\" stroke=\"{colour}\"/>",
            11.0 + 36.0 * x,
            11.0 + 26.0 * y,
            0.2 + 1.8 * dx,
            0.5 + 1.5 * dy
        );
    }
    body
}

fn read(body: &str) -> Drawing {
    let text = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">{body}{DIMENSION}</svg>"##
    );
    Drawing::read(text.as_bytes(), &ReadOptions::default()).unwrap()
}

fn take_off(body: &str, options: &RoofOptions) -> Result<Roof, Unsolved> {
    let drawing = read(body);
    let start = Instant::now();
    let roof = Roof::from_drawing(&drawing, options);
    assert!(start.elapsed() < AMONG_OTHERS, "took {:?}", start.elapsed());
    roof
}

fn finding<'f>(findings: &'f [Finding], code: &str) -> &'f Finding {
    let found = findings.iter().find(|f| f.code == code);
    found.unwrap_or_else(|| panic!("no {code} in {findings:?}"))
}

#[test]
fn strokes_strewn_over_a_plan_by_the_thousand_are_left_out_and_told() {
    let plain = take_off(GABLE, &RoofOptions::default()).unwrap();
    for count in [1000, 4000] {
        let roof = take_off(
            &format!("{GABLE}{}", strewn(count, "#0a0")),
            &RoofOptions::default(),
        )
        .unwrap();
        assert_eq!(roof.faces.len(), 2);
        assert_eq!(roof.plan_area(), plain.plan_area());
        let told = finding(&roof.findings, "roof-lines-chosen");
        assert_eq!(told.severity, Severity::Warning);
        assert!(
            told.message.contains("crossing each other everywhere"),
            "{}",
            told.message
        );
    }
}

#[test]
fn strewn_strokes_drawn_with_the_roofs_own_pen_are_refused_before_they_are_mapped() {
    let unsolved = take_off(
        &format!("{GABLE}{}", strewn(6000, "#000")),
        &RoofOptions::default(),
    )
    .unwrap_err();
    let told = finding(&unsolved.findings, "too-many-lines");
    assert!(!told.places.is_empty() && told.remedy.contains("--ignore"));
}

#[test]
fn a_field_of_pyramids_drawn_by_long_lines_across_it_is_a_roof_though_they_cross_everywhere() {
    let mut field = String::new();
    const BAYS: usize = 9;
    let far = 10 + 4 * BAYS;
    for i in 0..=BAYS {
        let at = 10 + 4 * i;
        let _ = write!(field, "M{at} 10V{far}M10 {at}H{far}");
    }
    for i in 0..BAYS {
        let (near, back) = (10 + 4 * i, far - 4 * i);
        let _ = write!(field, "M{near} 10L{far} {back}M{near} {far}L{far} {near}");
        if i > 0 {
            let _ = write!(field, "M10 {near}L{back} {far}M10 {back}L{back} 10");
        }
    }
    let mut body = format!("<path d=\"{field}\" fill=\"none\" stroke=\"#000\"/>");
    for i in 0..BAYS * BAYS {
        let (x, y) = (10 + 4 * (i % BAYS), 10 + 4 * (i / BAYS));
        for (dx, dy) in [(1.7, 0.9), (1.7, 3.6), (0.4, 2.2), (3.0, 2.2)] {
            let (x, y) = (x as f64 + dx, y as f64 + dy);
            let _ = write!(
                body,
                "<text x=\"{x}\" y=\"{y}\" font-size=\".3\">4/12</text>"
            );
        }
    }
    // A pen of its own beside it, so that there is a choice.
    body += "<rect x=\"60\" y=\"10\" width=\"9\" height=\"9\" fill=\"none\" stroke=\"#a00\"/>";
    let drawing = read(&body);
    let options = MapOptions::default();
    let choice = &map::candidates(&drawing, &options)[0];
    let maps = map::build_from(&drawing, choice, &options).unwrap();
    assert_eq!(maps[0].faces.len(), 4 * BAYS * BAYS);
}

/// A hundred lines from one spot, a tenth of a foot wide, to three feet about.
#[test]
fn lines_nearer_together_than_the_tolerance_are_named_as_a_tangle_with_their_place() {
    let mut bundle = String::new();
    for i in 2250..2350 {
        let [x, y, to_x, to_y] = [0, 1, 2, 3].map(|k| noise(4 * i + k));
        let _ = write!(
            bundle,
            "M{:.4} {:.4}L{:.4} {:.4}",
            20.0 + 0.1 * x,
            20.0 + 0.1 * y,
            20.0 + 3.0 * to_x,
            20.0 + 3.0 * to_y
        );
    }
    let body = format!("{GABLE}<path d=\"{bundle}\" fill=\"none\" stroke=\"#000\"/>");
    let mut options = RoofOptions::default();
    options.map.tolerance_ft = Some(0.6);
    let unsolved = take_off(&body, &options).unwrap_err();
    let told = finding(&unsolved.findings, "lines-tangled");
    let at = told.places[0].at.unwrap();
    assert!(
        (19.0..24.0).contains(&at.x) && (-24.0..-19.0).contains(&at.y),
        "{at:?}"
    );
    assert!(told.remedy.contains("--ignore"));
}
