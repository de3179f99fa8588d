//! What an opaque fill hides is not on the plan.

use eavewright::drawing::{Drawing, ReadOptions};

const DIMENSION: &str = r##"<g id="scale"><line x1="10" y1="90" x2="50" y2="90" stroke="#000"/>
<text x="22" y="89" font-size="4">40'-0"</text></g>"##;
const BENEATH: &str = r##"<path id="old" d="M20 20L70 50" fill="none" stroke="#000"/>"##;

/// A line with other shapes drawn after it; one drawing unit is one foot.
fn read(beneath: &str, above: &str) -> Drawing {
    let text = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{DIMENSION}{beneath}{above}</svg>"##
    );
    Drawing::read(text.as_bytes(), &ReadOptions::default()).unwrap()
}

fn is_read(drawing: &Drawing, id: &str) -> bool {
    let ids = drawing.strokes.iter().map(|s| s.source.id.as_deref());
    ids.flatten().any(|other| other == id)
}

#[test]
fn a_line_beneath_an_opaque_shape_is_left_out_and_told() {
    let drawing = read(
        BENEATH,
        r##"<path d="M10 10H80V60H10z" fill="#fff" stroke="#000"/>"##,
    );
    assert!(!is_read(&drawing, "old"));
    let told = |why: &str| drawing.left_out.iter().any(|l| l.why == why);
    assert!(told("hidden beneath a filled shape"));
    assert!(drawing.findings.is_empty(), "{:?}", drawing.findings);
}

#[test]
fn a_line_above_a_fill_or_beneath_one_that_shows_it_counts() {
    let shape = |style: &str| format!(r##"<path d="M10 10H80V60H10z" {style}/>"##);
    for style in [
        r##"fill="#fff" fill-opacity=".5" stroke="#000""##,
        r##"fill="#fff" opacity=".9" stroke="#000""##,
        r##"fill="#fff" style="mix-blend-mode:multiply" stroke="#000""##,
        r##"fill="none" stroke="#000""##,
    ] {
        assert!(is_read(&read(BENEATH, &shape(style)), "old"), "{style}");
    }
    assert!(is_read(&read(&shape(r##"fill="#ccc""##), BENEATH), "old"));
    // A hole shows what lies beneath.
    let holed = r##"<path fill-rule="evenodd" d="M10 10H80V60H10zM15 15V55H75V15z" fill="#ccc"/>"##;
    assert!(is_read(&read(BENEATH, holed), "old"));
}

#[test]
fn a_fill_that_shows_through_letters_alone_hides_nothing() {
    let lettered = r##"<clipPath id="c"><text x="10" y="40" font-size="30">W</text></clipPath>
        <g clip-path="url(#c)"><path d="M10 10H80V60H10z" fill="#fff"/></g>"##;
    assert!(is_read(&read(BENEATH, lettered), "old"));
}

/// Faces drawn as filled shapes lie over each other's edges by as much as they were drawn badly.
#[test]
fn the_edge_of_a_face_beneath_the_next_one_counts() {
    let face = |id: &str, x: f64| {
        format!(r##"<path id="{id}" d="M{x} 10h30v40h-30z" fill="#ccc" stroke="#000"/>"##)
    };
    let drawing = read(&face("west", 10.0), &face("east", 39.7));
    assert!(is_read(&drawing, "west") && is_read(&drawing, "east"));
    assert!(drawing.findings.is_empty(), "{:?}", drawing.findings);
}

#[test]
fn a_line_hidden_for_a_good_part_counts_and_is_told() {
    let drawing = read(
        BENEATH,
        r##"<path d="M10 10H50V60H10z" fill="#fff" stroke="#000"/>"##,
    );
    assert!(is_read(&drawing, "old"));
    let told: Vec<&str> = drawing.findings.iter().map(|f| f.code).collect();
    assert_eq!(told, ["lines-beneath-fill"]);
}

#[test]
fn lines_of_the_roof_layer_count_beneath_a_higher_roof() {
    let named = format!(r##"<g id="roof">{BENEATH}</g>"##);
    let higher = r##"<g id="upper"><path d="M10 10H80V60H10z" fill="#ddd" stroke="#000"/></g>"##;
    assert!(is_read(&read(&named, higher), "old"));
    assert!(is_read(&read(BENEATH, higher), "old"));
}
