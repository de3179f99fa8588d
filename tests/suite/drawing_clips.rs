//! Lines that a clip path hides are not on the plan; lines that it cuts end where they are cut; a clip round everything
//! changes nothing.

use std::time::Instant;

use eavewright::Finding;
use eavewright::drawing::{Drawing, LeftOut, ReadOptions, Stroke};

use crate::support::AMONG_OTHERS;

const DIMENSION: &str = r##"<g id="scale"><line x1="10" y1="50" x2="50" y2="50" stroke="#000"/>
<text x="22" y="49" font-size="4">40'-0"</text></g>"##;

/// One drawing unit is one foot.
fn read(body: &str) -> Drawing {
    let text = sheet(body);
    Drawing::read(text.as_bytes(), &ReadOptions::default())
        .unwrap_or_else(|errors| panic!("{errors:?}\n{text}"))
}

fn sheet(body: &str) -> String {
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">{body}{DIMENSION}</svg>"##
    )
}

fn line(x1: f64, y1: f64, x2: f64, y2: f64) -> String {
    format!(r##"<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="#000" stroke-width=".2"/>"##)
}

/// The ends of each stroke in plan feet, y down again, rounded to a thousandth.
fn ends(drawing: &Drawing) -> Vec<[f64; 4]> {
    let round = |v: f64| (v * 1000.0).round() / 1000.0 + 0.0;
    let of = |s: &Stroke| {
        let (a, b) = (s.points[0], s.points[s.points.len() - 1]);
        [round(a.x), round(-a.y), round(b.x), round(-b.y)]
    };
    drawing.strokes.iter().map(of).collect()
}

#[test]
fn a_clip_round_everything_changes_nothing() {
    let plain = line(10.0, 10.0, 90.0, 40.0) + &line(10.0, 40.0, 50.0, 10.0);
    for clip in [
        r##"<rect width="100" height="60"/>"##,
        r##"<path d="M0 0h100v60h-100z"/>"##,
        r##"<circle cx="50" cy="30" r="70"/>"##,
        r##"<rect x="10" y="10" width="80" height="30"/>"##,
    ] {
        let clipped =
            format!(r##"<clipPath id="c">{clip}</clipPath><g clip-path="url(#c)">{plain}</g>"##);
        let drawing = read(&clipped);
        assert_eq!(ends(&drawing), ends(&read(&plain)), "{clip}");
        assert!(drawing.findings.is_empty(), "{:?}", drawing.findings);
    }
}

#[test]
fn lines_that_a_clip_path_hides_wholly_are_left_out_and_told() {
    let hidden = line(60.0, 10.0, 90.0, 40.0);
    for clip in [
        r##"<rect width="50" height="60"/>"##,
        // All round the line, but by its rule with a hole where the line is.
        r##"<path clip-rule="evenodd" d="M0 0h100v60h-100zM55 5h40v40h-40z"/>"##,
        // Nothing shows through an empty clip path.
        "",
    ] {
        let seen = line(10.0, 10.0, 20.0, 40.0);
        let drawing = read(&format!(
            r##"{seen}<clipPath id="c">{clip}</clipPath><g id="walls" style="clip-path:url(#c)">{hidden}</g>"##
        ));
        assert_eq!(ends(&drawing), [[10.0, 10.0, 20.0, 40.0]], "{clip}");
    }
    let drawing = read(&format!(
        r##"{}<clipPath id="c"><rect width="50" height="60"/></clipPath><g clip-path="url(#c)">{hidden}</g>"##,
        line(10.0, 10.0, 20.0, 40.0)
    ));
    let told = |l: &LeftOut| l.why == "hidden by a clip path" && l.place.source.is_some();
    assert!(drawing.left_out.iter().any(told), "{:?}", drawing.left_out);
}

#[test]
fn a_line_that_leaves_the_clip_ends_on_its_border() {
    let drawing = read(&format!(
        r##"<clipPath id="c"><rect x="20" y="5" width="40" height="40"/></clipPath>
        <g clip-path="url(#c)">{}</g>"##,
        line(10.0, 10.0, 90.0, 30.0)
    ));
    assert_eq!(ends(&drawing), [[20.0, 12.5, 60.0, 22.5]]);
}

/// The clip moves with the shape that it clips, and by its own transform.
#[test]
fn a_clip_path_lies_in_the_user_space_of_what_it_clips() {
    let drawing = read(
        r##"<clipPath id="c" transform="translate(5 0)"><rect x="0" y="0" width="10" height="10"/></clipPath>
        <g transform="translate(20 10)"><path transform="scale(2)" clip-path="url(#c)" d="M0 5h30" stroke="#000"/></g>"##,
    );
    assert_eq!(ends(&drawing), [[30.0, 20.0, 50.0, 20.0]]);
    let shares = read(
        r##"<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>
        <path clip-path="url(#c)" d="M10 10L50 30" stroke="#000" stroke-width=".1"/>"##,
    );
    assert_eq!(ends(&shares), [[10.0, 10.0, 30.0, 20.0]]);
}

#[test]
fn clip_paths_inside_each_other_leave_what_both_show() {
    let drawing = read(&format!(
        r##"<clipPath id="a"><rect x="20" width="80" height="60"/></clipPath>
        <clipPath id="b"><rect id="r" width="60" height="60"/></clipPath>
        <g clip-path="url(#a)"><g clip-path="url(#b)">{}</g></g>"##,
        line(10.0, 10.0, 90.0, 10.0)
    ));
    assert_eq!(ends(&drawing), [[20.0, 10.0, 60.0, 10.0]]);
}

#[test]
fn a_clip_path_that_is_clipped_itself_shows_what_both_show() {
    let outer = |more: &str| {
        format!(
            r##"<clipPath id="a"><rect x="20" width="80" height="60"/></clipPath>
            <clipPath id="b" {more}><rect width="60" height="60"/></clipPath>
            <g clip-path="url(#b)">{}</g>"##,
            line(10.0, 10.0, 90.0, 10.0)
        )
    };
    for more in [
        r##"clip-path="url(#a)""##,
        r##"style="clip-path: url(#a)""##,
    ] {
        let drawing = read(&outer(more));
        assert_eq!(ends(&drawing), [[20.0, 10.0, 60.0, 10.0]], "{more}");
        assert!(drawing.findings.is_empty(), "{:?}", drawing.findings);
    }
    assert_eq!(ends(&read(&outer(""))), [[10.0, 10.0, 60.0, 10.0]]);
}

/// The resolver notices circles of two alone, and went round others until its stack was full.
#[test]
fn clip_paths_that_clip_each_other_in_a_circle_are_not_followed() {
    let ring = |clipped_by: &dyn Fn(usize) -> String| -> String {
        let clip = |i: usize| {
            let by = clipped_by((i + 1) % 3);
            format!(r##"<clipPath id="c{i}" {by}><rect width="50" height="60"/></clipPath>"##)
        };
        (0..3).map(clip).collect()
    };
    let read_ring = |style: &str, ring: &str| {
        read(&format!(
            r##"{style}{ring}<g clip-path="url(#c0)">{}</g>"##,
            line(10.0, 10.0, 90.0, 10.0)
        ))
    };
    for by in [
        |i: usize| format!(r##"clip-path="url(#c{i})""##),
        |i: usize| format!(r##"style="fill:red;clip-path:url('#c{i}') !important""##),
    ] {
        let drawing = read_ring("", &ring(&by));
        assert_eq!(ends(&drawing), [[10.0, 10.0, 50.0, 10.0]]);
        assert!(
            drawing
                .findings
                .iter()
                .any(|f| f.code == "clip-path-not-followed")
        );
    }
    let sheet: String = (0..3)
        .map(|i| format!(".k{i}{{clip-path:url(#c{i})}}"))
        .collect();
    let by_sheet = read_ring(
        &format!("<style>{sheet}</style>"),
        &ring(&|i| format!(r##"class="k{i}""##)),
    );
    assert_eq!(ends(&by_sheet), [[10.0, 10.0, 50.0, 10.0]]);
}

#[test]
fn a_shape_inside_a_clip_path_that_is_clipped_itself_is_told() {
    let drawing = read(&format!(
        r##"<clipPath id="a"><rect x="20" width="80" height="60"/></clipPath>
        <clipPath id="b"><rect id="r" clip-path="url(#a)" width="60" height="60"/></clipPath>
        <g clip-path="url(#b)">{}</g>"##,
        line(10.0, 10.0, 90.0, 10.0)
    ));
    assert_eq!(ends(&drawing), [[10.0, 10.0, 60.0, 10.0]]);
    let [told] = &drawing.findings[..] else {
        panic!("{:?}", drawing.findings)
    };
    assert_eq!(told.code, "clip-path-not-followed");
    let source = told.places[0].source.as_ref();
    assert_eq!(source.and_then(|s| s.id.as_deref()), Some("r"));
}

/// A texture larger than the face, clipped to the face: the usual way to fill one.
#[test]
fn a_fill_clipped_to_a_face_is_the_face() {
    let drawing = read(
        r##"<clipPath id="c"><path d="M10 10L50 10L30 40z"/></clipPath>
        <rect clip-path="url(#c)" width="100" height="45" fill="#bbb"/>"##,
    );
    let [face] = &drawing.strokes[..] else {
        panic!("{:?}", drawing.strokes)
    };
    assert!(face.closed && face.filled_only);
    let area = eavewright::geometry::ring::signed_area(&face.points).abs();
    assert!((area - 600.0).abs() < 0.01, "{area}");
}

#[test]
fn a_text_outside_its_clip_is_not_read() {
    let body = format!(
        r##"{}<clipPath id="c"><rect width="50" height="60"/></clipPath>
        <g clip-path="url(#c)"><text x="20" y="20" font-size="3">6/12</text><text x="70" y="20" font-size="3">8/12</text></g>"##,
        line(10.0, 10.0, 20.0, 40.0)
    );
    let texts: Vec<String> = read(&body).labels.into_iter().map(|l| l.text).collect();
    assert_eq!(texts, ["6/12"]);
}

#[test]
fn a_missing_clip_path_hides_nothing_as_in_browsers() {
    let body = format!(
        r##"<g clip-path="url(#nowhere)">{}</g>"##,
        line(10.0, 10.0, 20.0, 40.0)
    );
    assert_eq!(ends(&read(&body)), [[10.0, 10.0, 20.0, 40.0]]);
}

#[test]
fn a_mask_is_not_followed_and_that_is_told() {
    let masked = |attribute: &str| {
        format!(
            r##"<mask id="m"><rect width="100" height="60" fill="#fff"/></mask><g {attribute}>{}</g>"##,
            line(10.0, 10.0, 20.0, 40.0)
        )
    };
    for attribute in [
        r##"mask="url(#m)""##,
        r##"style="fill:none; mask: url('#m')""##,
    ] {
        let drawing = read(&masked(attribute));
        assert_eq!(ends(&drawing), [[10.0, 10.0, 20.0, 40.0]]);
        let told: Vec<&str> = drawing.findings.iter().map(|f| f.code).collect();
        assert_eq!(told, ["mask-not-applied"], "{attribute}");
    }
    assert!(read(&masked(r##"mask="url(#none)""##)).findings.is_empty());
    let by_letters = format!(
        r##"<clipPath id="c"><text x="0" y="40" font-size="50">W</text></clipPath><g clip-path="url(#c)">{}</g>"##,
        line(10.0, 10.0, 20.0, 40.0)
    );
    assert_eq!(read(&by_letters).findings[0].code, "mask-not-applied");
}

#[track_caller]
fn refused_soon(body: &str) -> Vec<Finding> {
    let text = sheet(body);
    let start = Instant::now();
    let result = Drawing::read(text.as_bytes(), &ReadOptions::default());
    assert!(start.elapsed() < AMONG_OTHERS, "{:?}", start.elapsed());
    result.err().unwrap_or_default()
}

#[test]
fn clip_paths_made_to_exhaust_the_reader_are_refused_soon() {
    let star: String = (0..20_000)
        .map(|i| format!("L{} {}", (i * 37) % 100, (i * 91) % 60))
        .collect();
    let lines = line(0.0, 0.0, 100.0, 60.0).repeat(5_000);
    let code = |body: &str| refused_soon(body).first().map(|f| f.code);
    let many_sides = format!(
        r##"<clipPath id="c"><path d="M0 0{star}z"/></clipPath><g clip-path="url(#c)">{lines}</g>"##
    );
    assert_eq!(code(&many_sides), Some("too-much-clipping"));
    let shares = format!(
        r##"<clipPath id="c" clipPathUnits="objectBoundingBox"><path d="M0 0{star}z"/></clipPath><style>line{{clip-path:url(#c)}}</style>{lines}"##
    );
    assert_eq!(code(&shares), Some("too-much-clipping"));
    let chained: String = (0..3_000)
        .map(|i| {
            format!(
                r##"<clipPath id="c{i}" clip-path="url(#c{})"><rect clip-path="url(#c{})" width="100" height="60"/></clipPath>"##,
                i + 1,
                i + 1
            )
        })
        .collect();
    let chain = format!(
        r##"{chained}<g clip-path="url(#c0)">{}</g>"##,
        line(0.0, 0.0, 9.0, 9.0)
    );
    assert_eq!(code(&chain), None);
}
