//! A line that a program broke where others were snapped to it is one line: a length beside it is of the whole, of the piece
//! that it stands in the middle of, or of neither.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};

/// A gable of 40 × 24 ft at 10 units to the foot, with what is given beside it; its lower eave is left to the caller.
fn read(more: &str) -> Result<Drawing, Vec<Finding>> {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400" font-size="10" text-anchor="middle">
        <g fill="none" stroke="black"><path d="M50 290V50H450V290M50 170H450"/></g>
        <text x="150" y="110">6/12</text><text x="150" y="230">6/12</text>{more}</svg>"#
    );
    Drawing::read(svg.as_bytes(), &ReadOptions::default())
}

/// Lines between these places, one piece each.
fn pieces(y: u32, at: &[u32]) -> String {
    let piece =
        |ends: &[u32]| format!(r#"<path d="M{} {y}H{}" stroke="black"/>"#, ends[0], ends[1]);
    at.windows(2).map(piece).collect()
}

fn text(x: u32, y: u32, says: &str) -> String {
    format!(r#"<text x="{x}" y="{y}">{says}</text>"#)
}

/// A witness line and a tick.
fn ticked(x: u32) -> String {
    let d = format!("M{x} 296V336M{} 335L{} 325", x - 5, x + 5);
    d.split('M')
        .skip(1)
        .map(|d| format!(r#"<path d="M{d}" stroke="black" stroke-width="0.5"/>"#))
        .collect()
}

#[track_caller]
fn assert_ten_units_a_foot(drawing: Result<Drawing, Vec<Finding>>, what: &str) {
    let feet_per_unit = drawing.unwrap().scale.feet_per_unit;
    let off = feet_per_unit * 10.0 - 1.0;
    assert!(off.abs() < 1e-9, "{what}: {feet_per_unit}");
}

/// Refused without a scale, with the length named as one of a line in pieces.
#[track_caller]
fn assert_not_told(drawing: Result<Drawing, Vec<Finding>>, length: &str) {
    let errors = drawing.unwrap_err();
    let [error] = &errors[..] else {
        panic!("{errors:?}");
    };
    assert_eq!(error.code, "no-scale");
    let named = error.message.contains("in several pieces") && error.message.contains(length);
    assert!(named, "{}", error.message);
}

const EAVE: [u32; 2] = [50, 450];

#[test]
fn a_dimension_line_in_pieces_is_measured_from_tick_to_tick() {
    let broken: [&[u32]; 5] = [
        &[50, 450],
        &[50, 250, 450],
        &[50, 180, 310, 450],
        &[50, 130, 210, 290, 370, 450],
        &[50, 90, 400, 450],
    ];
    for at in broken {
        for layer in ["a", "dimensions"] {
            let line = pieces(330, at) + &ticked(50) + &ticked(450);
            let drawing = read(&format!(
                r#"{}<g id="{layer}">{line}{}</g>"#,
                pieces(290, &EAVE),
                text(250, 326, "40'-0&quot;")
            ));
            assert_ten_units_a_foot(drawing, &format!("{at:?} on {layer}"));
        }
    }
}

/// Texts are 10 high: a gap of half of it is bridged, and a joint lies off the whole line by a tenth of it at most. A turn by
/// more than a degree parts two pieces, as 40 along and 0.9 aside do.
#[test]
fn pieces_go_on_from_each_other_in_one_line_and_in_one_pen() {
    let whole = |pieces_of: [&str; 2], pen: &str| {
        let [first, second] = pieces_of;
        let line = format!(
            r#"<path d="{first}" stroke="black"/><path d="{second}" {pen}/>{}{}"#,
            ticked(50) + &ticked(450),
            text(250, 326, "40'-0&quot;")
        );
        let drawing = read(&(pieces(290, &EAVE) + &line));
        drawing.is_ok_and(|d| (d.scale.feet_per_unit * 10.0 - 1.0).abs() < 1e-3)
    };
    let black = r#"stroke="black""#;
    for (pieces_of, pen, is_one) in [
        (["M50 330H250", "M250 330H450"], black, true),
        (["M50 330H250", "M450 330H250"], black, true),
        (["M50 330H250", "M254 330H450"], black, true),
        (["M50 330H250", "M256 330H450"], black, false),
        (["M50 330L250 330.9", "M250 330.9L450 330"], black, true),
        (["M50 330L250 331.2", "M250 331.2L450 330"], black, false),
        (["M50 330L90 330.4", "M90 330.4L450 330"], black, true),
        (["M50 330L90 330.9", "M90 330.9L450 330"], black, false),
        (
            ["M50 330H250", "M250 330H450"],
            r#"stroke="black" stroke-width="3""#,
            false,
        ),
        (["M50 330H250", "M250 330H450"], r#"stroke="red""#, false),
    ] {
        assert_eq!(whole(pieces_of, pen), is_one, "{pieces_of:?} {pen}");
    }
}

#[test]
fn no_piece_of_a_dimension_line_is_left_among_the_roofs_lines() {
    let line = pieces(330, &[50, 180, 310, 450]) + &ticked(50) + &ticked(450);
    let drawing = read(&(pieces(290, &EAVE) + &line + &text(250, 326, "40'-0&quot;"))).unwrap();
    // The two lines of the gable and its lower eave.
    assert_eq!(drawing.strokes.len(), 3, "{:?}", drawing.strokes);
}

#[test]
fn both_halves_of_a_line_with_its_text_in_a_gap_may_be_in_pieces() {
    let line = pieces(330, &[50, 100, 222]) + &pieces(330, &[278, 390, 450]);
    let line = line + &ticked(50) + &ticked(450) + &text(250, 333, "40'-0&quot;");
    for layer in ["a", "dimensions"] {
        let drawing = read(&format!(
            r#"{}<g id="{layer}">{line}</g>"#,
            pieces(290, &EAVE)
        ));
        assert_ten_units_a_foot(drawing, layer);
    }
}

/// 10, 25 and 5 ft on one line.
#[test]
fn a_chain_in_pieces_stays_a_chain() {
    let at = [50, 150, 400, 450];
    let texts = text(100, 326, "10'-0&quot;")
        + &text(275, 326, "25'-0&quot;")
        + &text(425, 326, "5'-0&quot;");
    let ticks: String = at.iter().map(|&x| ticked(x)).collect();
    let drawing = read(&(pieces(290, &EAVE) + &pieces(330, &at) + &ticks + &texts));
    assert_eq!(drawing.as_ref().unwrap().dimensions.len(), 3);
    assert_ten_units_a_foot(drawing, "with ticks");
    // Without ticks each text stands over its own piece.
    let drawing = read(&(pieces(290, &EAVE) + &pieces(330, &at) + &texts));
    assert_ten_units_a_foot(drawing, "without ticks");
}

/// Corners in the middle of a straight side, where nothing else ends.
#[test]
fn a_length_beside_a_side_with_more_corners_than_two_is_the_whole_sides() {
    for at in [
        &[50, 250, 450][..],
        &[50, 170, 450],
        &[50, 170, 330, 450],
        &[50, 60, 170, 330, 440, 450],
    ] {
        let drawing = read(&(pieces(290, at) + &text(250, 303, "40'-0&quot;")));
        assert_ten_units_a_foot(drawing, &format!("{at:?}"));
    }
    let side: String = [50, 170, 330, 450].map(|x| format!("L{x} 290")).concat();
    let ring = format!(r#"<path d="M50 170{side}V170" fill="none" stroke="black"/>"#);
    assert_ten_units_a_foot(read(&(ring + &text(250, 303, "40'-0&quot;"))), "one stroke");
}

/// A gable flush with the eave, its valleys ending on it, in the middle of the front: nobody can say what a length there is of.
#[test]
fn a_length_in_the_middle_of_a_front_and_of_a_gable_flush_with_it_is_neithers() {
    let valleys = r#"<path d="M170 290L250 210L330 290M250 290V210" fill="none" stroke="black"/>"#;
    let front = pieces(290, &[50, 170, 330, 450]) + valleys;
    for length in ["40'-0\"", "16'-0\""] {
        let drawing = read(&(front.clone() + &text(250, 303, &length.replace('"', "&quot;"))));
        assert_not_told(drawing, length);
    }
    // Beside an end of the front it is that end's.
    let drawing = read(&(front.clone() + &text(110, 303, "12'-0&quot;")));
    assert_ten_units_a_foot(drawing, "beside the left eave");
    // Off the middle of the front, the gable's.
    let front = pieces(290, &[50, 100, 260, 450])
        + &valleys.replace(
            "M170 290L250 210L330 290M250 290V210",
            "M100 290L180 210L260 290",
        );
    assert_ten_units_a_foot(read(&(front + &text(180, 303, "16'-0&quot;"))), "the gable");
}

#[test]
fn a_length_in_doubt_is_told_where_another_gives_the_scale() {
    let valleys = r#"<path d="M170 290L250 210L330 290" fill="none" stroke="black"/>"#;
    let front = pieces(290, &[50, 170, 330, 450]) + valleys + &text(250, 303, "16'-0&quot;");
    let line = pieces(30, &EAVE) + &text(250, 26, "40'-0&quot;");
    let drawing = read(&(front + &line)).unwrap();
    let told = drawing
        .findings
        .iter()
        .find(|f| f.code == "length-of-which-piece");
    assert!(
        told.is_some_and(|f| f.message.contains("16'-0")),
        "{:?}",
        drawing.findings
    );
    assert_ten_units_a_foot(Ok(drawing), "by the line above");
}

/// The end of a ridge parts the front of a gable into two rakes of 12 ft.
#[test]
fn a_length_at_the_end_of_a_ridge_is_both_rakes() {
    let rakes = r#"<path d="M50 170V290" stroke="black"/><path d="M450 50V170" stroke="black"/><path d="M450 170V290" stroke="black"/>"#;
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400" font-size="10" text-anchor="middle">
        <g fill="none" stroke="black"><path d="M450 50H50V170M50 170H450M50 290H450"/></g>{rakes}
        <text x="150" y="110">6/12</text><text x="150" y="230">6/12</text>
        <text transform="translate(462 170) rotate(90)">24'-0"</text></svg>"#
    );
    assert_ten_units_a_foot(
        Drawing::read(svg.as_bytes(), &ReadOptions::default()),
        "both rakes",
    );
    // Beside one of them it is that one's.
    let one = svg.replace(
        "translate(462 170) rotate(90)\">24",
        "translate(462 110) rotate(90)\">12",
    );
    assert_ten_units_a_foot(
        Drawing::read(one.as_bytes(), &ReadOptions::default()),
        "one rake",
    );
}

/// Boxes of 10 ft each; the number at the end of the first says how far that is from the bar's beginning.
#[test]
fn the_bar_of_a_scale_is_no_line_in_pieces() {
    let boxes: String = (0..4)
        .map(|i| {
            let x = 50 + 100 * i;
            format!(
                r#"<path d="M{x} 340H{0}V348H{x}Z" fill="none" stroke="black"/>"#,
                x + 100
            )
        })
        .collect();
    let drawing = read(&(pieces(290, &EAVE) + &boxes + &text(250, 362, "20'-0&quot;")));
    let errors = drawing.unwrap_err();
    assert!(errors.iter().any(|e| e.code == "no-scale"), "{errors:?}");
}

/// Words beside the left gable end of [`read`], which its ridge meets in the middle.
fn beside_the_gable(y: u32, says: &str) -> String {
    format!(r#"<text transform="rotate(-90 44 {y})" x="44" y="{y}">{says}</text>"#)
}

#[test]
fn lengths_beside_both_halves_of_a_gable_end_are_the_halves() {
    let halves = beside_the_gable(110, "12'-0&quot;") + &beside_the_gable(230, "12'-0&quot;");
    let eave = pieces(290, &EAVE);
    assert_ten_units_a_foot(read(&format!("{eave}{halves}")), "halves alone");
    let whole = text(250, 302, "40'-0&quot;");
    assert_ten_units_a_foot(read(&format!("{eave}{halves}{whole}")), "and the eave");
}

#[test]
fn a_length_beside_one_half_of_a_gable_end_is_of_neither() {
    let eave = pieces(290, &EAVE);
    for y in [110, 230] {
        let one = beside_the_gable(y, "12'-0&quot;");
        assert_not_told(read(&format!("{eave}{one}")), "12'-0");
    }
}

#[test]
fn a_length_near_the_middle_of_a_line_that_others_end_on_is_of_all_of_it() {
    let eave = pieces(290, &EAVE);
    for y in [150, 170, 190] {
        let whole = beside_the_gable(y, "24'-0&quot;");
        assert_ten_units_a_foot(read(&format!("{eave}{whole}")), &format!("at {y}"));
    }
}

#[test]
fn hatching_that_ends_on_a_side_parts_no_length_beside_it() {
    let hatching: String = (1..20)
        .map(|i| format!(r#"<path d="M{x} 280V290" stroke="grey"/>"#, x = 50 + 20 * i))
        .collect();
    let whole = text(180, 302, "40'-0&quot;");
    let drawing = read(&format!("{}{hatching}{whole}", pieces(290, &EAVE)));
    assert_ten_units_a_foot(drawing, "hatching");
}

#[test]
fn witness_lines_that_end_on_a_dimension_line_part_it() {
    let witness: String = [50, 250, 450]
        .iter()
        .map(|x| format!(r#"<path d="M{x} 300V345" stroke="grey"/>"#))
        .collect();
    let line = r#"<path d="M50 345H450" stroke="grey"/>"#;
    let bays = text(150, 341, "20'-0&quot;") + &text(350, 341, "20'-0&quot;");
    let drawing = read(&format!("{}{line}{witness}{bays}", pieces(290, &EAVE)));
    assert_ten_units_a_foot(drawing, "two bays");
}
