//! Two lengths with a mark between them are two bays of a chain, however near to each other they stand.

use eavewright::drawing::{Drawing, ReadOptions};

/// What becomes of 2' and 8" on a dimension line of 40 ft, so far apart, with something drawn there: read as one length, they
/// give a scale that is none; told as two, they give none.
fn told_of(gap: f64, drawn: &str) -> String {
    // 2' is 7.5 wide.
    let second_x = 100.0 + 7.5 + gap;
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400" font-size="10">
        <g fill="none" stroke="black"><path d="M50 170H450M50 50H450V290H50Z"/><path d="M50 330H450M45 335L55 325M445 335L455 325"/>
        <path d="M50 30H450M45 35L55 25M445 35L455 25"/>{drawn}</g>
        <text x="250" y="326" text-anchor="middle">40'-0"</text>
        <text x="150" y="110">6/12</text><text x="150" y="230">6/12</text>
        <text x="100" y="26">2'</text><text x="{second_x}" y="26">8"</text></svg>"#
    );
    let findings = match Drawing::read(svg.as_bytes(), &ReadOptions::default()) {
        Ok(drawing) => drawing.findings,
        Err(errors) => errors,
    };
    let about = findings.iter().filter(|f| {
        let codes = ["text-in-pieces", "scales-disagree"];
        codes.contains(&f.code)
    });
    about.map(|f| f.code).collect::<Vec<_>>().join(" ")
}

#[test]
fn two_feet_and_eight_inches_on_both_sides_of_a_mark_are_not_read_as_one_length() {
    for gap in [0.5, 1.5, 3.0, 4.0] {
        assert_eq!(told_of(gap, ""), "scales-disagree", "{gap}");
        for mark in [
            r#"<path d="M104 35L114 25"/>"#,
            r#"<path d="M109 45V22"/>"#,
            r#"<path d="M109 31L112 22L106 22Z" fill="black"/>"#,
        ] {
            assert_eq!(told_of(gap, mark), "text-in-pieces", "{gap} {mark}");
        }
    }
}

#[test]
fn what_is_drawn_elsewhere_or_along_the_texts_parts_nothing() {
    for drawn in [
        r#"<path d="M90 35L96 25"/>"#,
        r#"<path d="M109 50V43"/>"#,
        r#"<path d="M109 15V5"/>"#,
        r#"<path d="M60 31L200 32"/>"#,
    ] {
        assert_eq!(told_of(2.0, drawn), "scales-disagree", "{drawn}");
    }
}
