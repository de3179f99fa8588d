//! Scale bars: numbers in a row from 0, each at its mark, and a unit.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::{Roof, RoofOptions};
use eavewright::{Finding, Severity};

use crate::support::{near, with_code};

/// A gable of 400 × 240 units with more on its sheet, turned by so many degrees.
fn gable(turned: f64, more: &str) -> String {
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-200 -200 1000 900">
        <path transform="rotate({turned} 250 170)" d="M50 50H450V290H50ZM50 170H450" fill="none" stroke="black"/>
        <g font-size="9" text-anchor="middle" transform="rotate({turned} 250 170)"><text x="250" y="110">6/12</text>
        <text x="250" y="230">6/12</text></g>{more}</svg>"#
    )
}

/// Texts beside a bar of four 50-unit parts from a place on, its 20 at 200 units.
fn texts(x: u32, y: u32, texts: [&str; 5]) -> String {
    let at = |(i, text): (usize, &&str)| {
        let x = x + 50 * i as u32;
        format!(r#"<text x="{x}" y="{y}" font-size="7" text-anchor="middle">{text}</text>"#)
    };
    texts.iter().enumerate().map(at).collect()
}

fn boxes(x: u32, y: u32) -> String {
    let part = |i: u32| {
        let fill = if i % 2 == 1 { "black" } else { "none" };
        let x = x + 50 * i;
        format!(r#"<rect x="{x}" y="{y}" width="50" height="5" fill="{fill}" stroke="black"/>"#)
    };
    (0..4).map(part).collect()
}

fn ticks(x: u32, y: u32) -> String {
    let tick = |i: u32| format!("M{} {}v8", x + 50 * i, y - 4);
    let all: String = (0..=4).map(tick).collect();
    format!(r#"<path d="M{x} {y}h200{all}" stroke="black" fill="none"/>"#)
}

fn read(svg: &str) -> Result<Drawing, Vec<Finding>> {
    Drawing::read(svg.as_bytes(), &ReadOptions::default())
}

const TO_20_FT: [&str; 5] = ["0", "5", "10", "15", "20 ft"];

/// 20 ft are 200 units: the gable is 40 × 24 ft, 960 ft². Laid on the eave of 400 units, 20 ft would make it 240.
#[test]
fn a_scale_bar_near_the_eave_is_no_dimension_of_the_eave() {
    for written in [
        TO_20_FT,
        ["0", "5'", "10'", "15'", "20'"],
        ["0'", "5'", "10'", "15'", "20'-0\""],
        ["0", "5", "10", "15", "20 FEET"],
        ["0", "", "10", "", "20'"],
        ["0", "", "", "", "20'"],
    ] {
        for y in [297, 310, 324, 350] {
            for x in [50, 100, 170, 250] {
                for bar in [
                    boxes(x, y) + &texts(x, y - 3, written),
                    ticks(x, y) + &texts(x, y + 14, written),
                ] {
                    for turned in [0.0, 20.0] {
                        let drawing = read(&gable(turned, &bar)).unwrap();
                        near(drawing.scale.feet_per_unit, 0.1, 1e-9);
                        assert!(drawing.dimensions.is_empty());
                        assert!(drawing.scale.from.starts_with("the scale bar"));
                    }
                }
            }
        }
    }
}

#[test]
fn the_lines_of_a_scale_bar_are_none_of_the_roofs() {
    for bar in [
        boxes(50, 310) + &texts(50, 307, TO_20_FT),
        ticks(150, 312) + &texts(150, 326, TO_20_FT),
    ] {
        let drawing = read(&gable(0.0, &bar)).unwrap();
        assert_eq!(drawing.strokes.len(), 2, "{:?}", drawing.strokes);
        let roof = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap();
        near(roof.plan_area().to_square_feet(), 960.0, 1e-6);
    }
}

/// 20 of the unit are 200 units of the drawing: a unit may stand by itself, beneath the bar or behind it.
#[test]
fn the_unit_of_a_scale_bar_may_be_a_text_of_its_own() {
    for (unit, feet) in [
        ("FEET", 1.0),
        ("SCALE IN FEET", 1.0),
        ("METRES", 1.0 / 0.3048),
    ] {
        let bar = boxes(50, 330)
            + &texts(50, 327, ["0", "5", "10", "15", "20"])
            + &format!(r#"<text x="150" y="346" font-size="7" text-anchor="middle">{unit}</text>"#);
        let drawing = read(&gable(0.0, &bar)).unwrap();
        near(drawing.scale.feet_per_unit, 0.1 * feet, 1e-9);
    }
}

/// The bar says 0.1 ft for a unit, the eave of 400 units 40 ft or 44.
#[test]
fn a_scale_bar_and_a_dimension_bear_each_other_out_or_disagree() {
    let bar = boxes(480, 330) + &texts(480, 327, TO_20_FT);
    let with = |length: &str| {
        let line = format!(
            r#"<path d="M50 330H450M50 322v16M450 322v16" stroke="black"/><text x="250" y="327" font-size="9"
            text-anchor="middle">{length}</text>"#
        );
        read(&gable(0.0, &(bar.clone() + &line)))
    };
    let drawing = with("40'-0\"").unwrap();
    assert!(drawing.scale.from.starts_with("the dimension"));
    let errors = with("44'-0\"").unwrap_err();
    let [told] = with_code(&errors, "scales-disagree")[..] else {
        panic!("{errors:?}");
    };
    assert_eq!(told.severity, Severity::Error);
    assert!(
        told.message.contains("the scale bar from 0 to 20"),
        "{}",
        told.message
    );
}

/// Its 40' stand farther along the row of the bar's numbers than the 20 ft.
#[test]
fn a_dimension_on_the_row_of_a_scale_bar_is_none_of_its_numbers() {
    let bar = boxes(50, 310) + &texts(50, 307, TO_20_FT);
    let line = r#"<path d="M300 310H700M300 302v16M700 302v16" stroke="black"/><text x="500" y="307" font-size="7"
        text-anchor="middle">40'-0"</text>"#;
    let drawing = read(&gable(0.0, &(bar + line))).unwrap();
    near(drawing.scale.feet_per_unit, 0.1, 1e-9);
    assert_eq!(drawing.dimensions.len(), 1);
}

#[test]
fn the_scale_bar_of_another_drawing_says_nothing_of_the_roof() {
    let bar = boxes(480, 330) + &texts(480, 327, TO_20_FT);
    let title = r#"<text x="580" y="314" font-size="9" text-anchor="middle">SITE PLAN</text>"#;
    let errors = read(&gable(0.0, &(bar + title))).unwrap_err();
    assert_eq!(with_code(&errors, "no-scale").len(), 1, "{errors:?}");
}

/// Where no marks are drawn nothing tells from where the bar runs to where, and its 20 ft are the eave's no more.
#[test]
fn a_row_of_numbers_from_0_without_marks_is_told_and_no_dimension() {
    let errors = read(&gable(0.0, &texts(50, 300, TO_20_FT))).unwrap_err();
    for code in ["no-scale", "scale-bar-without-marks"] {
        assert_eq!(with_code(&errors, code).len(), 1, "{errors:?}");
    }
}

/// A line of 200 units with ticks at some of its quarters, or the ticks alone.
fn ticks_at(quarters: &[u32], has_line: bool) -> String {
    let line = if has_line { "M50 340h200" } else { "" };
    let tick = |&i: &u32| format!("M{} 336v8", 50 + 50 * i);
    let all: String = quarters.iter().map(tick).collect();
    format!(r#"<path d="{line}{all}" stroke="black" fill="none"/>"#)
}

/// Numbers of size 7 moved along a bar of 200 units: 0.8 sizes are 5.6 units.
#[test]
fn a_bar_has_a_mark_at_each_number_and_a_line_from_end_to_end() {
    let bar =
        |ticks: String, moved: u32| read(&gable(0.0, &(ticks + &texts(50 + moved, 354, TO_20_FT))));
    let all = [0, 1, 2, 3, 4];
    for (ticks, moved) in [
        (ticks_at(&all, true), 0),
        (ticks_at(&all, true), 5),
        (ticks_at(&[1, 2, 3], true), 0),
    ] {
        let drawing = bar(ticks.clone(), moved).unwrap_or_else(|e| panic!("{ticks}: {e:?}"));
        near(drawing.scale.feet_per_unit, 0.1, 1e-9);
    }
    for (ticks, moved) in [
        (ticks_at(&[0, 1, 3, 4], true), 0),
        (ticks_at(&all, false), 0),
        (ticks_at(&all, true), 7),
    ] {
        let errors = bar(ticks.clone(), moved).unwrap_err();
        let told = with_code(&errors, "scale-bar-without-marks");
        assert_eq!(told.len(), 1, "{ticks}, {moved}: {errors:?}");
    }
}

/// Without marks it takes three numbers in proportion and one unit of a foot or more to look like a bar.
#[test]
fn numbers_in_a_row_are_a_bars_where_they_are_in_proportion_and_in_one_unit() {
    for (written, is_told) in [
        (["0", "5", "10", "15", "20 ft"], true),
        (["0", "", "10", "", "20 ft"], true),
        (["0", "5'", "10'", "15'", "20'"], true),
        (["0", "", "", "", "20 ft"], false),
        (["0", "5", "11", "15", "20 ft"], false),
        (["0", "5", "10", "15", "30 ft"], false),
        (["0", "5 m", "10 ft", "15 ft", "20 ft"], false),
        (["0", "5", "10", "15", "20"], false),
        (["0", "5", "10", "15", "20 cm"], false),
        (["0", "15", "10", "5", "20 ft"], false),
    ] {
        let told = |read: Result<Drawing, Vec<Finding>>| match read {
            Ok(drawing) => drawing.findings,
            Err(errors) => errors,
        };
        let findings = told(read(&gable(0.0, &texts(50, 320, written))));
        let bars = with_code(&findings, "scale-bar-without-marks");
        assert_eq!(
            bars.len(),
            usize::from(is_told),
            "{written:?}: {findings:?}"
        );
    }
}

/// Grid lines have numbers, and a chain of lengths has none from 0 on.
#[test]
fn lengths_of_a_chain_are_no_scale_bar() {
    let chain = ticks(50, 330) + &texts(75, 327, ["5'", "5'", "5'", "5'", ""]);
    let drawing = read(&gable(0.0, &chain)).unwrap();
    near(drawing.scale.feet_per_unit, 0.1, 1e-9);
    assert_eq!(drawing.dimensions.len(), 4);
}
