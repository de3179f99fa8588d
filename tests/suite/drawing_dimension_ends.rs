//! Where a dimension line starts and stops: at its own end, tick or extension line, and at nothing that only lies near.

use eavewright::drawing::{Drawing, ReadOptions};

/// A rectangle of 40 × 24 ft at 10 units to the foot on a roof layer, with what is given beside it.
fn read(more: &str) -> Drawing {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400">
        <g id="roof" fill="none" stroke="black"><polygon points="100,100 500,100 500,340 100,340"/></g>{more}</svg>"#
    );
    Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap()
}

/// A dimension of 40 ft above the roof, on a layer of this name: its line and its text.
fn above(layer: &str, marks: &str) -> String {
    format!(
        r#"<g id="{layer}" font-size="8" stroke="black"><line x1="100" y1="60" x2="500" y2="60"/>{marks}
        <text stroke="none" x="290" y="56">40'-0"</text></g>"#
    )
}

fn moved(drawing: &Drawing) -> bool {
    let mut all = drawing.findings.iter();
    all.any(|f| f.code == "dimension-end-moved")
}

#[track_caller]
fn assert_ten_units_a_foot(drawing: &Drawing, what: &str) {
    let off = drawing.scale.feet_per_unit * 10.0 - 1.0;
    assert!(off.abs() < 1e-9, "{what}: {off}");
}

#[test]
fn frames_and_grids_beside_its_ends_do_not_move_a_dimension() {
    for step in [9, 10, 12, 14, 16] {
        let lines: String = (0..600 / step)
            .map(|i| format!(r#"<path d="M{0} 0V400M0 {0}H600"/>"#, i * step + 3))
            .collect();
        for layer in ["grid", "photo", "ignore"] {
            let grid = format!(r##"<g id="{layer}" stroke="#ccc">{lines}</g>"##);
            let drawing = read(&(above("dimensions", "") + &grid));
            assert_ten_units_a_foot(&drawing, &format!("{layer} of {step}"));
        }
    }
    for x in [86, 88, 90, 95, 99] {
        let frame = format!(
            r#"<g id="frame" fill="none" stroke="black"><rect x="{x}" y="20" width="480" height="360"/></g>"#
        );
        let drawing = read(&(above("dimensions", "") + &frame));
        assert_ten_units_a_foot(&drawing, &format!("frame at {x}"));
        assert!(!moved(&drawing));
    }
}

#[test]
fn a_dimension_from_wall_to_wall_inside_the_roof_keeps_its_ticks_and_bare_ends() {
    // A foot inside the rakes: 38 ft.
    for ticks in [
        "",
        r#"<path d="M107 163L113 157"/><path d="M487 163L493 157"/>"#,
    ] {
        for layer in ["dimensions", "a"] {
            let drawing = read(&format!(
                r#"<g id="{layer}" font-size="8" stroke="black"><path d="M110 160H490"/>{ticks}
                <text stroke="none" x="290" y="157">38'-0"</text></g>"#
            ));
            assert_ten_units_a_foot(&drawing, layer);
        }
    }
}

#[test]
fn a_line_drawn_past_its_extension_lines_is_measured_between_them() {
    let past = r#"<g id="dimensions" font-size="8" stroke="black"><path d="M94 60H506M100 66V50M500 66V50"/>
        <text stroke="none" x="290" y="56">40'-0"</text></g>"#;
    assert_ten_units_a_foot(&read(past), "on a layer of dimensions");
    let unnamed = read(&past.replace("dimensions", "a"));
    assert_ten_units_a_foot(&unnamed, "on any layer");
    assert!(!moved(&unnamed));
    // Lines that do not reach the dimension line are only near its ends, by 12 of 400 units.
    let short = past.replace("dimensions", "a").replace(
        "M94 60H506M100 66V50M500 66V50",
        "M106 60H494M100 61V90M500 61V90",
    );
    let short = read(&short);
    assert_ten_units_a_foot(&short, "short of its lines");
    assert!(moved(&short));
}
