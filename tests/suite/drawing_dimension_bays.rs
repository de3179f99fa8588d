//! Lengths side by side along one dimension line: each is of its own bay, or of none.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};

/// A gable of 44 × 28 ft at 9 units to the foot, and a line above it from end to end, with what else is given.
fn read(more: &str) -> Result<Drawing, Vec<Finding>> {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1100 850" font-size="8" text-anchor="middle">
        <g fill="none" stroke="black"><path d="M100 248H496V500H100Z" stroke-width="1.4"/><path d="M100 374H496" stroke-width="1.4"/>
        <path d="M100 221H496" stroke-width="0.4"/></g>
        <text x="226" y="446">6:12</text><text x="226" y="320">6:12</text>{more}</svg>"#
    );
    Drawing::read(svg.as_bytes(), &ReadOptions::default())
}

fn line(d: &str) -> String {
    format!(r#"<path d="{d}" fill="none" stroke="black" stroke-width="0.4"/>"#)
}

/// Extension lines at both ends, and a length over each half of the line.
fn two_bays(left: &str, right: &str) -> String {
    let ends = [line("M100 239V212"), line("M496 239V212")].concat();
    format!(r#"{ends}<text x="199" y="217">{left}</text><text x="397" y="217">{right}</text>"#)
}

#[track_caller]
fn assert_nine_units_a_foot(drawing: &Drawing) {
    let feet_per_unit = drawing.scale.feet_per_unit;
    assert!((feet_per_unit * 9.0 - 1.0).abs() < 1e-9, "{feet_per_unit}");
}

#[track_caller]
fn assert_shared(result: Result<Drawing, Vec<Finding>>) {
    let errors = result.unwrap_err();
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert_eq!(errors[0].code, "no-scale");
    let message = &errors[0].message;
    assert!(
        message.contains("side by side") && message.contains("22'-0\""),
        "{message}"
    );
}

/// Two bays of 22 ft are 44 ft: neither is as long as the line.
#[test]
fn two_lengths_along_one_line_without_a_mark_between_are_no_length_of_it() {
    assert_shared(read(&two_bays("22'-0\"", "22'-0\"")));
    assert_shared(read(&two_bays("22'-0\"", "20'-0\"")));
    // Ticks written as letters are no marks.
    for tick in ["/", "×"] {
        let ticks: String = [100, 298, 496]
            .map(|x| format!(r#"<text x="{x}" y="224">{tick}</text>"#))
            .concat();
        assert_shared(read(&(two_bays("22'-0\"", "22'-0\"") + &ticks)));
    }
    // One in the middle of three shares the line as the others do.
    let three = two_bays("14'-8\"", "14'-8\"")
        .replace("x=\"199\"", "x=\"166\"")
        .replace("x=\"397\"", "x=\"430\"");
    let three = three + r#"<text x="298" y="217">14'-8"</text>"#;
    assert_eq!(read(&three).unwrap_err()[0].code, "no-scale");
}

/// The dimension line has a gap for each text, and goes on past its bay to the next gap.
#[test]
fn two_lengths_in_gaps_of_one_line_without_a_mark_between_are_no_length_of_it() {
    let in_gaps = |more: &str| {
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1100 850" font-size="8" text-anchor="middle">
            <g fill="none" stroke="black"><path d="M100 248H496V500H100Z"/><path d="M100 374H496"/></g>
            <g fill="none" stroke="black" stroke-width="0.4"><path d="M100 221H182"/><path d="M216 221H380"/><path d="M414 221H496"/>
            <path d="M100 239V212"/><path d="M496 239V212"/></g>
            <text x="226" y="446">6:12</text><text x="226" y="320">6:12</text>
            <text x="199" y="223.8">22'-0"</text><text x="397" y="223.8">22'-0"</text>{more}</svg>"#
        );
        Drawing::read(svg.as_bytes(), &ReadOptions::default())
    };
    assert_shared(in_gaps(""));
    assert_nine_units_a_foot(&in_gaps(&line("M294 225L302 217")).unwrap());
}

#[test]
fn lengths_that_share_a_line_are_told_where_another_length_gives_the_scale() {
    let side = format!(
        r#"{}<text x="545" y="374">28'-0"</text>"#,
        ["M550 248V500", "M530 248H559", "M530 500H559"]
            .map(line)
            .concat()
    );
    let drawing = read(&(two_bays("22'-0\"", "22'-0\"") + &side)).unwrap();
    assert_nine_units_a_foot(&drawing);
    let told = drawing.findings.iter();
    assert!(
        told.clone().any(|f| f.message.contains("side by side")),
        "{told:?}"
    );
    // Neither is a length that the drawing states, and their line is no line of the roof.
    assert_eq!(drawing.dimensions.len(), 1);
    assert!(
        drawing
            .left_out
            .iter()
            .any(|l| l.why.contains("the dimension line of 22'-0\""))
    );
}

/// A centreline that crosses the dimension line, ends on it or stops 0.9 units, a ninth of the letters' height, short of it.
#[test]
fn a_centreline_that_nearly_reaches_the_dimension_line_parts_it() {
    for end in ["214", "221", "221.9", "223"] {
        let centre = format!(
            r#"<path d="M298 374V{end}" stroke="black" stroke-width="0.7" stroke-dasharray="5 3"/>"#
        );
        let drawing = read(&(two_bays("22'-0\"", "22'-0\"") + &centre)).unwrap();
        assert_nine_units_a_foot(&drawing);
        // Over the middle of all of it one length is the whole line's.
        let whole = two_bays("44'-0\"", "").replace("x=\"199\"", "x=\"298\"");
        assert_nine_units_a_foot(&read(&(whole + &centre)).unwrap());
    }
}

/// 44 ft are 13.411 m.
#[test]
fn one_length_written_twice_in_feet_and_in_metres_is_the_lines() {
    assert_nine_units_a_foot(&read(&two_bays("44'-0\"", "13.41 m")).unwrap());
}
