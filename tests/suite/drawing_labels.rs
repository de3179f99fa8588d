//! What belongs to a text: its leader, its face, and slips of the pen in it.

use eavewright::drawing::{Drawing, LeftOut, ReadOptions};
use eavewright::geometry::Point;
use eavewright::roof::{Roof, RoofOptions};

/// A gable of 40 × 24 ft with its ridge, and what is drawn besides; a foot is 10 units.
fn gable(labels: &str) -> Drawing {
    let text = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 500">
        <g id="roof" fill="none" stroke="#000"><rect x="50" y="50" width="400" height="240"/><line x1="50" y1="170" x2="450" y2="170"/></g>
        <g id="scale"><line x1="50" y1="450" x2="450" y2="450" stroke="#000"/><text x="230" y="446" font-size="12">40'-0"</text></g>
        {labels}</svg>"##
    );
    Drawing::read(text.as_bytes(), &ReadOptions::default()).unwrap()
}

fn text(x: f64, y: f64, words: &str) -> String {
    format!(r##"<text x="{x}" y="{y}" font-size="12">{words}</text>"##)
}

fn points_at(drawing: &Drawing, words: &str) -> Option<Point> {
    let label = drawing.labels.iter().find(|l| l.text == words).unwrap();
    label.points_at
}

/// Programs leave the fill of a line at its default, black, which shows nothing.
#[test]
fn a_leader_needs_no_word_about_its_fill() {
    let drawing = gable(
        &(text(230.0, 120.0, "6/12")
            + &text(480.0, 260.0, "8/12")
            + r##"<line x1="476" y1="256" x2="300" y2="230" stroke="#444"/>"##),
    );
    let at = points_at(&drawing, "8/12").unwrap();
    assert!(at.distance(Point::new(30.0, -23.0)) < 0.01, "{at:?}");
}

/// The chord from end to end points far past the text; the piece at the text points at it.
#[test]
fn an_elbow_leader_points_with_its_last_piece_and_ends_where_it_ends() {
    let elbow = r##"<path d="M300 230L460 380L480 380" fill="none" stroke="#444"/>"##;
    let drawing = gable(&(text(230.0, 120.0, "6/12") + &text(484.0, 384.0, "8/12") + elbow));
    let at = points_at(&drawing, "8/12").unwrap();
    assert!(at.distance(Point::new(30.0, -23.0)) < 0.01, "{at:?}");
}

/// What is left out by its layer lies under the leader wherever it ends, and touches nothing.
#[test]
fn a_leader_is_found_over_a_hatch_or_a_grid_that_is_left_out() {
    let lines: String = (0..60)
        .map(|i| format!("M{} 290L{} 50", 5 * i, 240 + 5 * i))
        .collect();
    for layer in ["hatch", "grid", "ignore", "title"] {
        let drawing = gable(
            &(text(230.0, 120.0, "6/12")
                + &text(480.0, 260.0, "8/12")
                + r##"<line x1="476" y1="256" x2="300" y2="230" stroke="#444"/>"##
                + &format!(r##"<path id="{layer}" fill="none" stroke="#aaa" d="{lines}"/>"##)),
        );
        let at = points_at(&drawing, "8/12").unwrap();
        assert!(
            at.distance(Point::new(30.0, -23.0)) < 0.01,
            "{layer}: {at:?}"
        );
    }
}

#[test]
fn an_elbow_drawn_as_two_lines_is_one_leader() {
    let elbow =
        r##"<g stroke="#444"><path d="M460 380L480 380"/><path d="M460 380L300 230"/></g>"##;
    let drawing = gable(&(text(230.0, 120.0, "6/12") + &text(484.0, 384.0, "8/12") + elbow));
    let at = points_at(&drawing, "8/12").unwrap();
    assert!(at.distance(Point::new(30.0, -23.0)) < 0.01, "{at:?}");
    let told = |l: &LeftOut| l.why == "the leader line of “8/12”";
    assert_eq!(drawing.left_out.iter().filter(|l| told(l)).count(), 2);
}

#[test]
fn a_rise_written_above_its_run_is_a_pitch() {
    let drawing = gable(&(text(230.0, 120.0, "6") + &text(226.0, 134.0, "12")));
    let [label] = &drawing.labels[..] else {
        panic!("{:?}", drawing.labels)
    };
    assert_eq!(label.text, "6/12");
    assert!(
        label.at.distance(Point::new(23.3, -12.27)) < 0.01,
        "{label:?}"
    );
}

fn codes(drawing: &Drawing) -> Vec<&'static str> {
    let roof = Roof::from_drawing(drawing, &RoofOptions::default()).unwrap();
    let told = roof.findings.iter().map(|f| f.code);
    told.filter(|c| *c == "mistyped-pitch").collect()
}

#[test]
fn a_mistyped_pitch_is_told_where_it_stands_in_a_face_that_has_another() {
    let labels = text(230.0, 120.0, "6/12") + &text(230.0, 240.0, "6/12");
    let slip = |x: f64, y: f64| codes(&gable(&(labels.clone() + &text(x, y, "8x12"))));
    assert_eq!(slip(100.0, 240.0), ["mistyped-pitch"]);
    assert!(slip(500.0, 240.0).is_empty(), "furniture");
}

/// Where a face has no pitch, what may have been meant as one is told with its place.
#[test]
fn a_mistyped_pitch_in_a_face_without_another_is_told_beside_the_refusal() {
    let svg = |label: &str| {
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400"><g fill="none" stroke="black">
            <rect x="50" y="50" width="400" height="240"/><path d="M50 170H450"/></g>
            <g font-size="10"><text x="250" y="110">{label}</text><text x="250" y="230">{label}</text>
            <g id="dims"><path d="M50 330H450" stroke="black"/><text x="240" y="326">40'</text></g></g></svg>"#
        )
    };
    let told = |label: &str| {
        let drawing = Drawing::read(svg(label).as_bytes(), &ReadOptions::default()).unwrap();
        let refused = Roof::from_drawing(&drawing, &RoofOptions::default());
        let findings = match refused {
            Ok(_) => Vec::new(),
            Err(refused) => [drawing.findings, refused.findings].concat(),
        };
        let names = |f: &&eavewright::Finding| f.message.contains(label) && !f.places.is_empty();
        findings.iter().filter(names).count()
    };
    assert_eq!(told("6x12"), 2);
    assert_eq!(told("six/12"), 2);
    assert_eq!(told("6'/12"), 2);
    // Two pitches in one text are none, and an angle in words that say no pitch may be meant as one.
    assert_eq!(told("5:12 EXIST, 6:12 NEW"), 2);
    assert_eq!(told("EXISTING ROOF 5:12, NEW ROOF 6:12"), 2);
    assert_eq!(told("DN 35°"), 2);
    // Steeper than any roof.
    assert_eq!(told("90°"), 2);
    assert_eq!(told("999999999/12"), 2);
    // These are plainly pitches.
    for label in ["6/12±", "6over12", "6 in12"] {
        let drawing = Drawing::read(svg(label).as_bytes(), &ReadOptions::default()).unwrap();
        let roof = Roof::from_drawing(&drawing, &RoofOptions::default());
        assert!(roof.is_ok(), "{label}");
    }
}

/// Heads drawn at the far end: filled, open, a dot, in the shaft's own path, and a shaft that ends at the back of its head, which
/// then points a little farther on.
#[test]
fn a_leader_with_a_head_drawn_at_its_far_end_points_where_its_head_does() {
    let shaft = r##"<path d="M476 256L300 230" fill="none" stroke="#444"/>"##;
    let head = "308 228 300 230 307 234";
    for drawn in [
        format!(r#"{shaft}<polygon points="{head}"/>"#),
        format!(r##"{shaft}<polyline points="{head}" fill="none" stroke="#444"/>"##),
        format!(r#"{shaft}<circle cx="300" cy="230" r="2.5"/>"#),
        format!(r#"{shaft}<g><polygon points="{head}"/></g>"#),
        r##"<path d="M476 256L300 230M308 228L300 230L307 234" fill="none" stroke="#444"/>"##
            .to_owned(),
        format!(r##"<path d="M476 256L307.4 231.1" stroke="#444"/><polygon points="{head}"/>"##),
    ] {
        let drawing = gable(&(text(230.0, 120.0, "6/12") + &text(480.0, 260.0, "8/12") + &drawn));
        let at = points_at(&drawing, "8/12").unwrap();
        assert!(
            at.distance(Point::new(30.0, -23.0)) < 0.01,
            "{at:?}, {drawn}"
        );
        let told = |l: &LeftOut| l.why == "the leader line of “8/12”";
        assert!(drawing.left_out.iter().any(told), "{drawn}");
    }
    // A triangle of 8 × 6 ft is no head, and a line that starts at its corner may be a hip.
    let gablet = format!(
        r##"{shaft}<polygon points="300,230 380,200 380,260" fill="none" stroke="#444"/>"##
    );
    let drawing = gable(&(text(230.0, 120.0, "6/12") + &text(480.0, 260.0, "8/12") + &gablet));
    assert_eq!(points_at(&drawing, "8/12"), None);
}
