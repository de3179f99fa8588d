//! The drawings of many programs with one thing changed: a plan is taken off right or refused, never wrong.

use eavewright::Finding;
use eavewright::roof::Roof;

use super::sources::{
    L_PLANS, NOTHING, check_the_l, differences_from_the_l, fixture, take_off_bytes,
};

fn text(name: &str) -> String {
    String::from_utf8_lossy(&fixture(&format!("{name}.svg"))).into_owned()
}

fn take_off(text: &str) -> Result<Roof, Vec<Finding>> {
    take_off_bytes(text.as_bytes(), NOTHING)
}

/// The text with the pitch in the middle of all others written otherwise; `None` where pitches are not in one piece.
fn with_a_pitch_changed(text: &str, to: &str) -> Option<String> {
    let date = |at: usize| text[at..].starts_with("6/12/24");
    let places: Vec<usize> = text
        .match_indices("6/12")
        .map(|(at, _)| at)
        .filter(|&at| !date(at))
        .collect();
    let at = *places.get(places.len() / 2)?;
    (places.len() > 2).then(|| [&text[..at], to, &text[at + 4..]].concat())
}

#[test]
fn a_plan_with_a_pitch_missing_is_taken_off_right_or_refused() {
    let mut count = 0;
    for name in L_PLANS.into_iter().chain(["faces-with-gaps-filled"]) {
        let Some(changed) = with_a_pitch_changed(&text(name), "see") else {
            continue;
        };
        count += 1;
        if let Ok(roof) = take_off(&changed) {
            let wrong = differences_from_the_l(&roof, 0.001);
            assert!(wrong.is_empty(), "{name}: {wrong:#?}");
        }
    }
    assert!(count > 20, "{count}");
}

#[test]
fn a_plan_with_a_wrong_pitch_is_refused() {
    let mut count = 0;
    for name in L_PLANS {
        let Some(changed) = with_a_pitch_changed(&text(name), "8/12") else {
            continue;
        };
        match take_off(&changed) {
            Err(_) => count += 1,
            // The words were those of an id, not of the text.
            Ok(roof) => assert!(differences_from_the_l(&roof, 0.001).is_empty(), "{name}"),
        }
    }
    assert!(count > 20, "{count}");
}

#[test]
fn a_filled_face_whose_pitch_is_missing_is_not_left_out_as_something_else() {
    let changed = with_a_pitch_changed(&text("faces-with-gaps-filled"), "see").unwrap();
    let findings = take_off(&changed).unwrap_err();
    let codes: Vec<&str> = findings.iter().map(|f| f.code).collect();
    assert!(codes.contains(&"roof-without-pitch-left-out"), "{codes:?}");
}

/// A group round everything with a title such as a sheet has is no layer, though the title says roof.
#[test]
fn a_title_over_the_whole_drawing_names_no_layer() {
    for name in [
        "two-point-polylines",
        "no-layers-deep-tspans",
        "letters-by-position-flipped",
    ] {
        let plain = text(name);
        let root = plain.find("<svg").unwrap();
        let inside = root + plain[root..].find('>').unwrap() + 1;
        let end = plain.rfind("</svg>").unwrap();
        let titled = [
            &plain[..inside],
            "<g><title>Roof plan</title>",
            &plain[inside..end],
            "</g></svg>",
        ]
        .concat();
        check_the_l(name, take_off(&titled), 0.001);
    }
}
