//! Arrows of the fall layer run from high to low: by their head, however it is drawn, and where they have none as they were drawn.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::{EdgeClass, Roof, RoofOptions};

/// A lean-to of 30 × 20 ft at 10 units to the foot, with this on its fall layer.
fn read(arrow: &str) -> Drawing {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400">
        <g id="roof" fill="none" stroke="black"><path d="M100 100H400V300H100Z"/></g>
        <g id="fall" stroke="black">{arrow}</g><text x="160" y="150" font-size="9">6:12</text>
        <g id="dim"><path d="M100 350H400" stroke="black"/><text x="250" y="346" font-size="9">30'-0"</text></g></svg>"#
    );
    Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap()
}

/// The one arrow falls down the page.
#[track_caller]
fn assert_falls_down(arrow: &str) {
    let drawing = read(arrow);
    let [fall] = &drawing.falls[..] else {
        panic!("{arrow}: {:?} {:?}", drawing.falls, drawing.findings);
    };
    let way = fall.to - fall.from;
    assert!(way.y < -5.0 && way.x.abs() < 0.1, "{arrow}: {way:?}");
}

#[track_caller]
fn assert_told(arrow: &str, code: &str) -> Finding {
    let drawing = read(arrow);
    assert!(drawing.falls.is_empty(), "{arrow}: {:?}", drawing.falls);
    let told = drawing.findings.iter().find(|f| f.code == code);
    told.unwrap_or_else(|| panic!("{arrow}: {:?}", drawing.findings))
        .clone()
}

/// The shaft drawn from the tip up as well as down to it.
const SHAFTS: [&str; 2] = [r#"<path d="M250 240V160"/>"#, r#"<path d="M250 160V240"/>"#];

#[test]
fn a_head_of_two_strokes_of_their_own_stands_at_the_low_end() {
    let heads = [
        r#"<path d="M250 240L246 232"/><path d="M250 240L254 232"/>"#,
        r#"<path d="M246 232L250 240"/><path d="M254 232L250 240"/>"#,
        // Half a head.
        r#"<path d="M250 240L246 232"/>"#,
        // A large one drawn by hand, 20.0 and 24.7 long, in two lines and in one.
        r#"<path d="M250 240L240 222.7"/><path d="M250 240L263 219"/>"#,
        r#"<path d="M240 222.7L250 240L263 219" fill="none"/>"#,
    ];
    for shaft in SHAFTS {
        for head in heads {
            assert_falls_down(&format!("{shaft}{head}"));
            assert_falls_down(&format!("{head}{shaft}"));
        }
    }
}

#[test]
fn a_bar_or_a_dot_at_the_high_end_is_no_head() {
    let marks = [
        r#"<path d="M244 160H256"/>"#,
        r#"<circle cx="250" cy="160" r="2"/>"#,
        r#"<circle cx="250" cy="160" r="2" fill="none"/>"#,
    ];
    for shaft in SHAFTS {
        for mark in marks {
            for head in [
                r#"<path d="M250 240l-4 -8h8z"/>"#,
                r#"<path d="M250 240l-4 -8" fill="none"/><path d="M250 240l4 -8" fill="none"/>"#,
            ] {
                assert_falls_down(&format!("{mark}{shaft}{head}"));
            }
        }
    }
}

#[test]
fn a_hollow_head_is_a_head() {
    for shaft in [r#"<path d="M250 232V160"/>"#, r#"<path d="M250 160V232"/>"#] {
        for head in ["M250 240L246 232L254 232Z", "M246 232L250 240L254 232"] {
            assert_falls_down(&format!(r#"{shaft}<path d="{head}" fill="none"/>"#));
        }
    }
}

#[test]
fn an_arrow_from_a_corner_of_the_roof_falls_to_its_head() {
    for shaft in ["M160 240L100 100", "M100 100L160 240"] {
        let head = r#"<path d="M160 240L152.6 233.4L160.9 229.8Z"/>"#;
        let drawing = read(&format!(r#"<path d="{shaft}"/>{head}"#));
        let [fall] = &drawing.falls[..] else {
            panic!("{:?}", drawing.falls);
        };
        assert!(fall.to.y < fall.from.y, "{shaft}: {fall:?}");
    }
}

/// The fall of the face beside starts at the same peak, and is no half of a head.
#[test]
fn arrows_without_heads_from_one_peak_fall_as_they_were_drawn() {
    for other in ["M250 162L280 192", "M252 162L262 200"] {
        for arrows in [["M250 160V255", other], [other, "M250 160V255"]] {
            let [first, second] = arrows.map(|d| format!(r#"<path d="{d}"/>"#));
            let falls = read(&(first + &second)).falls;
            assert_eq!(falls.len(), 2, "{other}: {falls:?}");
            assert!(falls.iter().all(|f| f.to.y < f.from.y - 1.0), "{falls:?}");
        }
    }
}

#[test]
fn a_line_without_a_head_falls_as_it_was_drawn() {
    assert_falls_down(SHAFTS[1]);
}

#[test]
fn what_does_not_say_which_way_it_points_is_told_and_not_used() {
    for fill in ["none", "black"] {
        let block = format!(
            r#"<path d="M250 240L238 220L245 220L245 160L255 160L255 220L262 220Z" fill="{fill}"/>"#
        );
        let told = assert_told(&block, "not-an-arrow");
        assert!(!told.remedy.is_empty());
    }
    let both =
        r#"<path d="M250 240L246 232"/><path d="M250 240L254 232"/><path d="M250 160L246 168"/>"#;
    assert_told(&format!("{}{both}", SHAFTS[0]), "arrow-with-two-heads");
    let filled = r#"<path d="M250 240l-4 -8h8z"/><path d="M250 160l-4 8h8z"/>"#;
    assert_told(&format!("{}{filled}", SHAFTS[0]), "arrow-with-two-heads");
}

/// An arrow down or up the page from a place on it, with no head, with one in its path, with one of two strokes of their own.
fn arrows_of(from: f64, to: f64) -> [String; 3] {
    let back = 6.0 * (from - to).signum();
    let (y, left, right) = (to + back, 247.0, 253.0);
    [
        format!(r#"<path d="M250 {from}V{to}"/>"#),
        format!(r#"<path d="M250 {from}V{to}L{left} {y}M250 {to}L{right} {y}" fill="none"/>"#),
        format!(
            r#"<path d="M250 {from}V{to}"/><path d="M250 {to}L{left} {y}"/><path d="M{right} {y}L250 {to}"/>"#
        ),
    ]
}

/// Down both sides of a valley, from one slope onto the porch below it, away from a ridge: none is a stroke of the other's head,
/// however much shorter it is.
#[test]
fn an_arrow_in_line_with_a_longer_one_at_its_end_is_an_arrow() {
    let long = (105.0, 224.0);
    for (short, falls_down) in [
        ((276.0, 228.0), false),
        ((227.0, 265.0), true),
        ((103.0, 63.0), false),
    ] {
        let pairs = arrows_of(long.0, long.1)
            .into_iter()
            .zip(arrows_of(short.0, short.1));
        for (first, second) in pairs {
            for arrows in [first.clone() + &second, second.clone() + &first] {
                let falls = read(&arrows).falls;
                assert_eq!(falls.len(), 2, "{arrows}: {falls:?}");
                let down = falls.iter().filter(|f| f.to.y < f.from.y).count();
                assert_eq!(down, 1 + usize::from(falls_down), "{arrows}: {falls:?}");
            }
        }
    }
}

/// A butterfly roof of 40 ft, 14 ft at 3:12 and 6 ft at 4:12 deep, drawn at 9 units to the foot: its arrows meet in the valley.
#[test]
fn a_butterfly_roof_has_its_valley_where_its_two_arrows_meet() {
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 600">
        <g id="roof" fill="none" stroke="black"><rect x="100" y="100" width="360" height="126"/>
        <rect x="100" y="226" width="360" height="54"/></g>
        <text x="200" y="163" font-size="8">3/12</text><text x="200" y="256" font-size="8">4/12</text>
        <g id="dims"><path d="M100 60H460" stroke="black"/><text x="280" y="56" font-size="8">40'-0"</text></g>
        <g id="fall" stroke="black"><path d="M300 105V224"/><path d="M300 276V228"/></g></svg>"#;
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let roof = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap();
    for (class, feet) in [
        (EdgeClass::Valley, 40.0),
        (EdgeClass::HighEdge, 80.0),
        (EdgeClass::Eave, 0.0),
        (EdgeClass::PitchChange, 0.0),
    ] {
        let length = roof.plan_length(class).to_feet();
        assert!((length - feet).abs() < 1e-6, "{class:?}: {length}");
    }
}

/// Markers as programs write them: what stands in one, and whether it is an arrow head.
const MARKERS: [(&str, bool); 12] = [
    (r#"<circle cx="3" cy="3" r="2"/>"#, false),
    (r#"<ellipse rx="2" ry="1"/>"#, false),
    (
        r#"<path d="M5 2.5a2.5 2.5 0 1 1 -5 0a2.5 2.5 0 1 1 5 0z"/>"#,
        false,
    ),
    // Half a dot.
    (r#"<path d="M0 0A2 2 0 0 1 0 4Z"/>"#, false),
    // A bar, a slash, a square with a cross in it.
    (r#"<path d="M0 5.65V-5.65"/>"#, false),
    (r#"<line x1="-2" y1="2" x2="2" y2="-2"/>"#, false),
    (
        r#"<rect x="1" y="1" width="3" height="3"/><path d="M1 1 4 4M4 1 1 4"/>"#,
        false,
    ),
    (r#"<path d="M0 0L6 3L0 6z"/>"#, true),
    (r#"<polygon points="0,0 6,3 0,6"/>"#, true),
    // Lines that are written without a letter of their own.
    (r#"<path d="M 3,-3 0,0 3,3" fill="none"/>"#, true),
    (r#"<line x2="-4" y2="2"/><line x2="-4" y2="-2"/>"#, true),
    // A head with a dot behind it.
    (
        r#"<path d="M0 0L6 3L0 6z"/><circle cx="-3" cy="3" r="2"/>"#,
        true,
    ),
];

/// A line drawn from the high end to the low one, up the page where `up`, with markers at its ends by attributes or by a class.
fn marked_line(up: bool, marker: &str, ends: &str) -> [String; 2] {
    let d = if up { "M250 240V160" } else { "M250 160V240" };
    let head = r#"<path d="M0 0L6 3L0 6z"/>"#;
    let markers =
        format!(r#"<marker id="a">{head}</marker><marker id="m" orient="auto">{marker}</marker>"#);
    let style = ends
        .replace("=\"", ":")
        .replace("\" ", ";")
        .replace('"', "");
    [
        format!(r#"<defs>{markers}</defs><path d="{d}" {ends}/>"#),
        format!(r#"<style>.x {{{style}}}</style>{markers}<path class="x" d="{d}"/>"#),
    ]
}

#[test]
fn a_marker_is_a_head_where_it_looks_otherwise_from_behind() {
    for (marker, is_head) in MARKERS {
        // Drawn from high to low, with the marker at the high end.
        for line in marked_line(is_head, marker, r#"marker-start="url(#m)""#) {
            assert_falls_down(&line);
        }
        // With a head at the low end, drawn either way; the mark at the other end.
        for (up, ends) in [
            (true, r##"marker-start="url(#a)" marker-end="url( '#m' )""##),
            (false, r#"marker-start="url(#m)" marker-end="url(#a)""#),
        ] {
            for line in marked_line(up, marker, ends) {
                if is_head {
                    assert_told(&line, "arrow-with-two-heads");
                } else {
                    assert_falls_down(&line);
                }
            }
        }
    }
}

#[test]
fn a_head_in_a_marker_and_one_drawn_at_the_other_end_are_two() {
    let [line, _] = marked_line(false, "", r#"marker-start="url(#a)""#);
    let drawn = r#"<path d="M250 240l-4 -8h8z"/>"#;
    assert_told(&(line + drawn), "arrow-with-two-heads");
}

#[test]
fn a_marker_that_is_not_in_the_file_or_draws_nothing_is_no_head() {
    for ends in ["url(#none)", "none", "url(other.svg#a)", "url(#m)"] {
        let start = format!(r#"marker-start="{ends}""#);
        for line in marked_line(false, r#"<path d="M0 0z"/>"#, &start) {
            assert_falls_down(&line);
        }
    }
}
