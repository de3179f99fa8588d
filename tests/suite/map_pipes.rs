//! What stands on a roof: one pipe a mark however many strokes it has, its diameter as written, an opening a shape with the
//! kind that its names say. A gable of 40 by 24 ft, ten drawing units a foot.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions, PlanMap};

fn map_with(more: &str) -> PlanMap {
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" viewBox="0 0 600 500" font-size="8">
<g id="roof" fill="none" stroke="#000"><path d="M100 100H500V340H100Z M100 220H500"/></g>
<g id="dims" stroke="#000"><line x1="100" y1="420" x2="500" y2="420"/><text x="290" y="416">40'-0"</text></g>
<text x="150" y="160">6/12</text><text x="150" y="290">6/12</text>{more}</svg>"##
    );
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    map::build(&drawing, &MapOptions::default())
        .unwrap()
        .remove(0)
}

/// The diameters of the pipes, in inches.
fn pipes(more: &str) -> Vec<Option<f64>> {
    let map = map_with(&format!(
        r##"<g id="pipes" fill="none" stroke="#000">{more}</g>"##
    ));
    let inches = |feet: f64| (feet * 12.0 * 100.0).round() / 100.0;
    map.pipes
        .iter()
        .map(|p| p.diameter_ft.map(inches))
        .collect()
}

#[test]
fn a_pipe_is_one_however_many_strokes_its_mark_has() {
    for mark in [
        r#"<path d="M320 280l3 3m-3 0l3-3"/>"#,
        r#"<path d="M318 280h4M320 278v4"/>"#,
        r#"<line x1="318" y1="280" x2="322" y2="280"/><line x1="320" y1="278" x2="320" y2="282"/>"#,
        r#"<path d="M318 280h1M321 280h1M320 278v1M320 281v1"/>"#,
    ] {
        assert_eq!(pipes(mark), [None], "{mark}");
    }
    for mark in [
        r#"<circle cx="320" cy="280" r="1.25"/>"#,
        r#"<circle cx="320" cy="280" r="1.25"/><path d="M318 280h4M320 278v4"/>"#,
        r#"<path d="M320 280m-1.25 0a1.25 1.25 0 1 0 2.5 0a1.25 1.25 0 1 0-2.5 0M318 280h4"/>"#,
        r#"<circle cx="320" cy="280" r="1.25"/><circle cx="320" cy="280" r="0.2"/>"#,
        r#"<circle cx="320" cy="280" r="1.25"/><line x1="321.25" y1="280" x2="350" y2="270"/>"#,
    ] {
        assert_eq!(pipes(mark), [Some(3.0)], "{mark}");
    }
    // Which of two rings is the pipe nobody knows.
    let rings = r#"<circle cx="320" cy="280" r="1.25"/><circle cx="320" cy="280" r="1.6667"/>"#;
    assert_eq!(pipes(rings), [None]);
}

#[test]
fn pipes_apart_stay_apart_even_as_one_element_or_on_one_leader() {
    let two = r#"<path d="M320 280l3 3m-3 0l3-3M340 280l3 3m-3 0l3-3"/>"#;
    assert_eq!(pipes(two), [None, None]);
    let two = r#"<circle cx="320" cy="280" r="1.25"/><circle cx="325" cy="280" r="1.25"/><line x1="321.25" y1="280" x2="323.75" y2="280"/>"#;
    assert_eq!(pipes(two), [Some(3.0), Some(3.0)]);
}

#[test]
fn a_length_beside_a_pipe_is_its_diameter() {
    for (text, inches) in [
        ("3 in", 3.0),
        ("3\"", 3.0),
        ("3\" VTR", 3.0),
        ("VENT 4 in", 4.0),
        ("ø3\"", 3.0),
        ("100 mm", 3.94),
    ] {
        let text = text.replace('"', "&quot;");
        let label = format!(r#"<text x="326" y="283" fill="black" stroke="none">{text}</text>"#);
        for drawn in [
            r#"<circle cx="320" cy="280" r="4"/>"#,
            r#"<circle cx="320" cy="280" r="1.25"/>"#,
            r#"<path d="M320 280l3 3"/>"#,
        ] {
            assert_eq!(
                pipes(&format!("{drawn}{label}")),
                [Some(inches)],
                "{text} {drawn}"
            );
            // On no layer at all.
            let map = map_with(&format!(
                r##"<g id="pipes" fill="none" stroke="#000">{drawn}</g>{label}"##
            ));
            let found = map.pipes[0]
                .diameter_ft
                .map(|ft| (ft * 1200.0).round() / 100.0);
            assert_eq!(found, Some(inches), "{text} {drawn}");
        }
    }
    let far = r#"<circle cx="320" cy="280" r="1.25"/><text x="420" y="283" fill="black" stroke="none">4 in</text>"#;
    assert_eq!(pipes(far), [Some(3.0)]);
}

fn kinds(more: &str) -> Vec<(&'static str, f64)> {
    let map = map_with(more);
    let area = |o: &map::MapOpening| eavewright::geometry::ring::signed_area(&o.outline);
    map.openings
        .iter()
        .map(|o| (o.kind, (area(o) * 100.0).round() / 100.0))
        .collect()
}

const RECT: &str = r##"x="290" y="280" width="20" height="30" fill="none" stroke="#00f""##;

#[test]
fn an_opening_has_the_kind_that_its_own_name_says() {
    let own = format!(r#"<rect id="rect12" inkscape:label="Chimney 1" {RECT}/>"#);
    assert_eq!(kinds(&own), [("chimney", 6.0)]);
    let inner = format!(r#"<g id="openings"><rect inkscape:label="Skylight" {RECT}/></g>"#);
    assert_eq!(kinds(&inner), [("skylight", 6.0)]);
    let outer = format!(r#"<g inkscape:label="chimneys"><g id="g7"><rect {RECT}/></g></g>"#);
    assert_eq!(kinds(&outer), [("chimney", 6.0)]);
    let none = format!(r#"<g id="openings"><rect {RECT}/></g>"#);
    assert_eq!(kinds(&none), [("opening", 6.0)]);
}

/// Two by three feet each: cut out together as before, flashed each for itself.
#[test]
fn two_skylights_that_share_a_side_are_two_and_one_in_panes_is_one() {
    let of = |shapes: &str| {
        kinds(&format!(
            r##"<g id="skylights" fill="none" stroke="#00f">{shapes}</g>"##
        ))
    };
    let beside = r#"<rect x="290" y="280" width="20" height="30"/><rect x="310" y="280" width="20" height="30"/>"#;
    assert_eq!(of(beside), [("skylight", 6.0), ("skylight", 6.0)]);
    let panes = r#"<rect x="290" y="280" width="40" height="30"/><rect x="290" y="280" width="20" height="30"/><rect x="310" y="280" width="20" height="30"/>"#;
    assert_eq!(of(panes), [("skylight", 12.0)]);
    // Two panes of one element, by size on either side of a third.
    let of_one = r#"<path d="M290 280H310V310H290ZM325 280H330V310H325Z"/><rect x="310" y="280" width="15" height="30"/>"#;
    assert_eq!(of(of_one), [("skylight", 12.0)]);
    let crossed = r#"<rect x="290" y="280" width="20" height="30"/><path d="M290 280L310 310M310 280L290 310"/>"#;
    assert_eq!(of(crossed), [("skylight", 6.0)]);
    let by_lines = r#"<path d="M290 280H310M310 280V310M310 310H290M290 310V280"/>"#;
    assert_eq!(of(by_lines), [("skylight", 6.0)]);
}

#[test]
fn a_figure_beside_a_pipe_is_its_diameter_or_is_told() {
    let drawn = r#"<circle cx="320" cy="280" r="2"/>"#;
    let beside = |label: &str| {
        let map = map_with(&format!(
            r##"<g id="pipes" fill="none" stroke="#000">{drawn}<text x="324" y="278" fill="#000" stroke="none">{label}</text></g>"##
        ));
        let pipe = &map.pipes[0];
        let inches = pipe.diameter_ft.map(|feet| (feet * 1200.0).round() / 100.0);
        let told = map
            .findings
            .iter()
            .filter(|f| f.code == "pipe-diameter-unread");
        (inches, pipe.is_written, told.count())
    };
    for label in ["Ø3", "3 Ø", "Ø3\"", "3 in"] {
        assert_eq!(beside(label), (Some(3.0), true, 0), "{label}");
    }
    // A figure alone may be the pipe's number: it is believed where the pipe is drawn about as wide.
    assert_eq!(beside("5"), (Some(5.0), true, 0));
    // 110 / 25.4.
    assert_eq!(beside("DN110"), (Some(4.33), true, 0));
    // Of 110 in there is no pipe; it is taken as drawn, 4.8 in, and told.
    for label in ["Ø110", "110", "Ø 3 x 4", "3", "1", "0 in"] {
        assert_eq!(beside(label), (Some(4.8), false, 1), "{label}");
    }
    assert_eq!(beside("VTR"), (Some(4.8), false, 0));
}

/// Two pipes 2 ft apart, each drawn as wide as it is unless a text says otherwise.
#[test]
fn a_text_speaks_of_the_pipe_that_it_stands_nearest_to_and_of_no_other() {
    let two = r#"<circle cx="320" cy="280" r="1.6667"/><circle cx="340" cy="280" r="0.625"/>"#;
    let told = |x: f64, text: &str| {
        let label = format!(
            r##"<text x="{x}" y="276" text-anchor="middle" fill="#000" stroke="none">{text}</text>"##
        );
        let map = map_with(&format!(
            r##"<g id="pipes" fill="none" stroke="#000">{two}{label}</g>"##
        ));
        let inches = |feet: f64| (feet * 1200.0).round() / 100.0;
        let pipes: Vec<(Option<f64>, bool)> = map
            .pipes
            .iter()
            .map(|pipe| (pipe.diameter_ft.map(inches), pipe.is_written))
            .collect();
        let unread = map.findings.iter();
        let unread = unread.filter(|f| f.code == "pipe-diameter-unread").count();
        (pipes, unread)
    };
    let drawn = [(Some(4.0), false), (Some(1.5), false)];
    let first = vec![(Some(3.0), true), drawn[1]];
    let second = vec![drawn[0], (Some(3.0), true)];
    for text in ["3 in", "Ø3"] {
        assert_eq!(told(320.0, text), (first.clone(), 0), "{text}");
        assert_eq!(told(340.0, text), (second.clone(), 0), "{text}");
    }
    // A figure alone, near what the first is drawn as: 4 is its diameter, beside the second it is told once.
    assert_eq!(told(320.0, "4"), (vec![(Some(4.0), true), drawn[1]], 0));
    assert_eq!(told(340.0, "4"), (drawn.to_vec(), 1));
    assert_eq!(told(320.0, "Ø110"), (drawn.to_vec(), 1));
    // Midway it is as near to both.
    assert_eq!(
        told(330.0, "3 in").0,
        [(Some(3.0), true), (Some(3.0), true)]
    );
}
