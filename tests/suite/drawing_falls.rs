//! Arrows of the fall layer run from high to low: by their head, however it is drawn, and where they have none as they were drawn.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};

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
            assert!(falls.iter().all(|f| f.to.y < f.from.y - 1.0), "{falls:?}");
            assert!(!falls.is_empty());
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
