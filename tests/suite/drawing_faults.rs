//! What is wrong with a drawing is said in one clear message with its place, within two seconds.

use std::fmt::Write as _;
use std::time::Instant;

use eavewright::Finding;
use eavewright::drawing::{Drawing, Limits, ReadOptions, Rule, parse_scale_text};
use eavewright::roof::{Roof, RoofOptions};

use crate::support::AMONG_OTHERS;

const OUTLINE: &str = r##"<rect x="10" y="10" width="80" height="30" fill="none" stroke="#000"/>"##;
const DIMENSION: &str = r##"<g id="scale"><line x1="10" y1="50" x2="50" y2="50" stroke="#000"/>
<text x="22" y="49" font-size="4">20'-0"</text></g>"##;

fn svg(body: &str) -> String {
    format!(r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">{body}</svg>"##)
}

fn read(bytes: &[u8]) -> Result<Drawing, Vec<Finding>> {
    let start = Instant::now();
    let result = Drawing::read(bytes, &ReadOptions::default());
    assert!(start.elapsed() < AMONG_OTHERS, "took {:?}", start.elapsed());
    result
}

/// The one error of a file.
#[track_caller]
fn fault(bytes: &[u8], code: &str) -> Finding {
    let errors = read(bytes).expect_err(code);
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert_eq!(errors[0].code, code, "{errors:?}");
    assert!(!errors[0].remedy.is_empty(), "{errors:?}");
    errors[0].clone()
}

#[track_caller]
fn warned(text: &str, code: &str) -> Finding {
    let drawing = read(text.as_bytes()).unwrap();
    let found = drawing.findings.iter().find(|f| f.code == code);
    found
        .unwrap_or_else(|| panic!("{:?}", drawing.findings))
        .clone()
}

#[test]
fn a_file_that_is_no_svg_is_named_for_what_it_is() {
    fault(b"", "empty-file");
    fault(b" \n", "empty-file");
    for (bytes, what) in [
        (&b"%PDF-1.7"[..], "PDF"),
        (b"\x89PNG\r\n\x1a\n", "PNG"),
        (b"\xff\xd8\xff\xe0", "JPEG"),
        (b"0\nSECTION\n2\nHEADER\n", "DXF"),
        (b"AC1027", "DWG"),
        (b"PK\x03\x04rest", "ZIP"),
    ] {
        let finding = fault(bytes, "not-svg");
        assert!(finding.message.contains(what), "{}", finding.message);
    }
    let finding = fault(b"<html><body/></html>", "not-svg");
    assert!(finding.message.contains("<html>"), "{}", finding.message);
    fault(&[0x1f, 0x8b, 8, 0, 1, 2], "broken-gzip");
    fault(b"<svg>\xff\xfe\xfd</svg>", "bad-encoding");
}

#[test]
fn broken_xml_is_told_with_line_and_column() {
    let finding = fault(
        b"<svg xmlns=\"http://www.w3.org/2000/svg\">\n  <g><rect/>\n</svg>",
        "broken-xml",
    );
    let source = finding.places[0].source.as_ref().unwrap();
    assert_eq!(source.line, 3);
    assert!(source.column > 0);
}

#[test]
fn an_empty_or_hidden_drawing_has_no_lines() {
    fault(svg("").as_bytes(), "no-lines");
    fault(
        svg(&format!("<g display=\"none\">{OUTLINE}</g>")).as_bytes(),
        "no-lines",
    );
    fault(
        svg("<rect x=\"1\" y=\"1\" width=\"0\" height=\"5\" stroke=\"#000\"/>").as_bytes(),
        "no-lines",
    );
}

#[test]
fn a_number_that_is_none_is_told_with_its_element() {
    let bad = format!(
        "{OUTLINE}\n<line id=\"hip-1\" x1=\"NaN\" y1=\"0\" x2=\"9\" y2=\"9\" stroke=\"#000\"/>{DIMENSION}"
    );
    let finding = fault(svg(&bad).as_bytes(), "bad-number");
    let source = finding.places[0].source.as_ref().unwrap();
    assert_eq!((source.id.as_deref(), source.line), (Some("hip-1"), 2));
    for d in ["M0 0L1e999 5", "M0 0 L Infinity 5", "M0 0 L5 5 ?"] {
        fault(
            svg(&format!("<path d=\"{d}\" stroke=\"#000\"/>{DIMENSION}")).as_bytes(),
            "bad-number",
        );
    }
    let far = format!("<path d=\"M0 0L1e12 5\" stroke=\"#000\"/>{DIMENSION}");
    fault(svg(&far).as_bytes(), "coordinate-too-large");
}

#[test]
fn a_transform_that_cannot_be_followed_is_refused_on_an_element_and_told_in_a_sheet() {
    for style in [
        "transform-box:fill-box;transform:rotate(30deg)",
        "transform: translate(-50%, 0)",
        "rotate: 30deg",
    ] {
        let body = format!("<g style=\"{style}\">{OUTLINE}</g>{DIMENSION}");
        let finding = fault(svg(&body).as_bytes(), "transform-not-followed");
        assert!(finding.places[0].source.is_some());
        let sheet = format!("<style>.spin {{ {style} }}</style>{OUTLINE}{DIMENSION}");
        warned(&svg(&sheet), "transform-not-followed");
    }
}

#[test]
fn every_bad_number_is_told_at_once() {
    let line = "<line x1=\"NaN\" y1=\"0\" x2=\"9\" y2=\"9\" stroke=\"#000\"/>";
    let errors = read(svg(&line.repeat(3)).as_bytes()).unwrap_err();
    assert_eq!(errors.len(), 3);
}

#[test]
fn a_drawing_without_a_scale_is_asked_for_one() {
    let finding = fault(svg(OUTLINE).as_bytes(), "no-scale");
    assert!(finding.remedy.contains("--scale"), "{}", finding.remedy);
}

#[test]
fn a_written_scale_on_pixels_is_refused_with_the_remedy() {
    let text = "<text x=\"5\" y=\"58\" font-size=\"3\">SCALE: 1/4\" = 1'-0\"</text>";
    let finding = fault(
        svg(&format!("{OUTLINE}{text}")).as_bytes(),
        "scale-without-paper",
    );
    assert!(finding.remedy.contains("dimension"), "{}", finding.remedy);
    let options = ReadOptions {
        scale: parse_scale_text("1:48"),
        ..ReadOptions::default()
    };
    let errors = Drawing::read(svg(OUTLINE).as_bytes(), &options).unwrap_err();
    assert_eq!(errors[0].code, "scale-without-paper");
}

/// A page written as 12 cm high may be 11 cm to 12 cm high where centimetres are rounded up: 8.3 %.
#[test]
fn a_written_scale_on_a_page_rounded_to_centimetres_is_refused() {
    let page = |width: &str, height: &str| {
        let size = format!("<svg width=\"{width}\" height=\"{height}\" ");
        svg(&format!(
            "{OUTLINE}<text x=\"5\" y=\"58\" font-size=\"3\">1:48</text>"
        ))
        .replacen("<svg ", &size, 1)
    };
    let finding = fault(page("20cm", "12cm").as_bytes(), "page-size-rounded");
    assert!(finding.message.contains("8.3 %"), "{}", finding.message);
    assert!(read(page("20.0cm", "12.0cm").as_bytes()).is_ok());
}

#[test]
fn two_scales_that_disagree_are_refused_naming_both() {
    let other = "<g id=\"dims\"><line x1=\"60\" y1=\"50\" x2=\"90\" y2=\"50\" stroke=\"#000\"/>\
        <text x=\"70\" y=\"49\" font-size=\"4\">16'-0\"</text></g>";
    let text = svg(&format!("{OUTLINE}{DIMENSION}{other}"));
    let finding = fault(text.as_bytes(), "scales-disagree");
    assert!(finding.message.contains("20'-0\"") && finding.message.contains("16'-0\""));
    assert_eq!(finding.places.len(), 2);

    let options = ReadOptions {
        scale: parse_scale_text("20ft=40"),
        ..ReadOptions::default()
    };
    let drawing = Drawing::read(text.as_bytes(), &options).unwrap();
    assert!((drawing.scale.feet_per_unit - 0.5).abs() < 1e-12);
    assert_eq!(
        drawing
            .findings
            .iter()
            .filter(|f| f.code == "scales-disagree")
            .count(),
        1
    );
}

#[test]
fn dots_per_inch_are_named_where_they_explain_a_disagreement() {
    let note = "<text x=\"5\" y=\"58\" font-size=\"3\">SCALE: 1/4\" = 1'-0\"</text>";
    // 72 units are written as an inch, the dimension was drawn at 96 to the inch: 20 ft at 1/4 in are 5 in.
    let text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10in\" height=\"6in\" viewBox=\"0 0 720 432\">\
         <g transform=\"scale(12)\"><g>{OUTLINE}{DIMENSION}{note}</g></g></svg>"
    );
    let finding = fault(text.as_bytes(), "scales-disagree");
    assert!(
        finding.message.contains("dots per inch"),
        "{}",
        finding.message
    );
}

#[test]
fn an_unreadable_pitch_is_noticed() {
    let label = "<text x=\"40\" y=\"25\" font-size=\"3\">6/l2</text>";
    let finding = warned(
        &svg(&format!("{OUTLINE}{DIMENSION}{label}")),
        "unreadable-label",
    );
    assert!(finding.message.contains("6/l2") && finding.places[0].at.is_some());
}

#[test]
fn a_width_rule_on_paper_needs_paper() {
    let options = ReadOptions {
        ignore_rules: vec![Rule::parse("width<0.3mm").unwrap()],
        ..ReadOptions::default()
    };
    let errors =
        Drawing::read(svg(&format!("{OUTLINE}{DIMENSION}")).as_bytes(), &options).unwrap_err();
    assert_eq!(errors[0].code, "rule-without-paper");
}

#[test]
fn bombs_are_refused_quickly() {
    let entity = "<!DOCTYPE svg [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;\">]>";
    fault(
        format!("{entity}{}", svg("<text>&b;</text>")).as_bytes(),
        "hostile-entities",
    );
    let long = format!(
        "<!DOCTYPE svg [<!ENTITY a \"{}\">]>{}",
        "x".repeat(100_000),
        svg("<text>&a;</text>")
    );
    fault(long.as_bytes(), "hostile-entities");
    let deep = svg(&format!(
        "{}{OUTLINE}{}",
        "<g>".repeat(100_000),
        "</g>".repeat(100_000)
    ));
    fault(deep.as_bytes(), "too-deep");
    let mut attributes = String::new();
    for i in 0..200_000 {
        let _ = write!(attributes, " a{i}=\"\"");
    }
    fault(
        svg(&format!("<g{attributes}/>")).as_bytes(),
        "too-many-attributes",
    );
    let mut doubled = String::from("<defs><path id=\"u0\" d=\"M0 0L9 9\" stroke=\"#000\"/>");
    for i in 1..30 {
        let _ = write!(
            doubled,
            "<g id=\"u{i}\"><use href=\"#u{}\"/><use href=\"#u{}\"/></g>",
            i - 1,
            i - 1
        );
    }
    doubled += "</defs><use href=\"#u29\"/>";
    fault(svg(&doubled).as_bytes(), "too-many-elements");
}

#[test]
fn patterns_markers_filters_and_masks_cost_nothing() {
    let mut body = String::new();
    for i in 0..30 {
        let _ = write!(
            body,
            "<pattern id=\"p{i}\" width=\"1\" height=\"1\"><rect fill=\"url(#p{0})\" width=\"1\" height=\"1\"/>\
             <rect fill=\"url(#p{0})\" width=\"1\" height=\"1\"/></pattern>\
             <marker id=\"m{i}\"><path marker-end=\"url(#m{0})\" marker-start=\"url(#m{0})\" d=\"M0 0L1 1\"/></marker>",
            i + 1
        );
    }
    body += "<path d=\"M1 1L20 20\" stroke=\"#000\" marker-end=\"url(#m0)\" filter=\"url(#none)\" mask=\"url(#none)\"/>";
    body += "<rect width=\"9\" height=\"9\" fill=\"url(#p0)\"/>";
    let drawing = read(svg(&format!("{OUTLINE}{DIMENSION}{body}")).as_bytes()).unwrap();
    assert!(drawing.left_out.iter().any(|l| l.why == "a hatch"));
    assert!(drawing.left_out.iter().any(|l| l.why == "an arrow"));
}

#[test]
fn a_picture_beneath_the_lines_is_ignored() {
    let image = format!(
        "<image href=\"data:image/png;base64,{}\" width=\"9\" height=\"9\"/>",
        "A".repeat(1 << 20)
    );
    let drawing = read(svg(&format!("{image}{OUTLINE}{DIMENSION}")).as_bytes()).unwrap();
    assert!(drawing.left_out.iter().any(|l| l.why == "a picture"));
    assert_eq!(drawing.strokes.len(), 1);
}

#[test]
fn entities_used_until_they_fill_megabytes_are_refused() {
    let value = "y".repeat(500);
    let uses = "&a;".repeat(9000);
    let text = format!(
        "<!DOCTYPE svg [<!ENTITY a \"{value}\">]>{}",
        svg(&format!("<text>{uses}</text>{DIMENSION}"))
    );
    fault(text.as_bytes(), "hostile-entities");
}

#[test]
fn more_letters_than_any_plan_has_are_refused_before_they_are_placed() {
    let text = "6/12 ".repeat(60_000);
    let drawing = svg(&format!(
        "{OUTLINE}{DIMENSION}<text x=\"1\" y=\"1\">{text}</text>"
    ));
    fault(drawing.as_bytes(), "too-much-text");
    let path = format!(
        "<path id=\"t\" d=\"M0 0h90\"/><text><textPath href=\"#t\">{}</textPath></text>",
        "a".repeat(3000)
    );
    fault(svg(&path).as_bytes(), "too-much-text");
}

#[test]
fn thousands_of_style_rules_for_thousands_of_elements_are_refused() {
    let mut body = String::from("<style>");
    for i in 0..6000 {
        let _ = write!(body, ".c{i}{{stroke:#000}}");
    }
    body += "</style>";
    for i in 0..6000 {
        let _ = write!(body, "<path class=\"c{i}\" d=\"M{} 0h5\"/>", i % 90);
    }
    fault(svg(&body).as_bytes(), "too-many-styles");
}

#[test]
fn curves_without_end_are_refused_when_they_are_flattened() {
    let arcs = "a30 30 0 0 1 60 0a30 30 0 0 1 -60 0".repeat(20_000);
    let body = format!("{DIMENSION}<path fill=\"none\" stroke=\"#000\" d=\"M0 50{arcs}\"/>");
    fault(svg(&body).as_bytes(), "too-many-pieces");
}

#[test]
fn lines_that_all_cross_each_other_are_refused_before_they_are_mapped() {
    let mut body = String::from(DIMENSION);
    for i in 0..4000 {
        let _ = write!(
            body,
            "<path d=\"M{} 0L{} 60\" stroke=\"#000\"/>",
            f64::from(i) / 40.0,
            f64::from(i * 37 % 4000) / 40.0
        );
    }
    let drawing = read(svg(&body).as_bytes()).unwrap();
    let start = Instant::now();
    let unsolved = Roof::from_drawing(&drawing, &RoofOptions::default()).unwrap_err();
    assert!(start.elapsed() < AMONG_OTHERS);
    assert_eq!(unsolved.findings[0].code, "too-many-lines");
}

#[test]
fn small_files_that_would_cost_much_are_refused_at_once() {
    let body = |more: &str| svg(&format!("{OUTLINE}{DIMENSION}{more}"));
    let letters = format!("<text x=\"1\" y=\"9\">{}</text>", "6".repeat(190_000));
    fault(body(&letters).as_bytes(), "too-much-text");
    let rules = format!("<style>{}</style>", ".c{fill:red}".repeat(40_000));
    fault(body(&rules).as_bytes(), "too-many-styles");
}

/// A dimension line that starts at `10O` would start at 0: it would be 50 units long instead of 40, and all areas 36 % short.
#[test]
fn a_coordinate_that_is_no_number_is_told_with_its_place_and_not_taken_for_nothing() {
    for value in ["10O", "10,5", "abc"] {
        let bad = DIMENSION.replace("x1=\"10\"", &format!("x1=\"{value}\""));
        let finding = fault(svg(&format!("{OUTLINE}{bad}")).as_bytes(), "bad-number");
        assert!(finding.message.contains(value), "{}", finding.message);
        let source = finding.places[0].source.as_ref().unwrap();
        assert_eq!(source.tag, "line");
    }
    let bad = OUTLINE.replace("<rect", "<rect transform=\"translate(5\"");
    fault(svg(&format!("{bad}{DIMENSION}")).as_bytes(), "bad-number");
    let bad = format!("<g transform=\"shift(5)\">{OUTLINE}</g>{DIMENSION}");
    fault(svg(&bad).as_bytes(), "bad-number");
    // In what is left out it bears on nothing.
    for layer in ["ignore", "titleblock"] {
        let left_out =
            format!(r##"<g id="{layer}"><line x1="1O" y1="2" x2="3" y2="4" stroke="#000"/></g>"##);
        warned(
            &svg(&format!("{OUTLINE}{DIMENSION}{left_out}")),
            "bad-number",
        );
    }
}

#[test]
fn blanks_round_a_coordinate_mean_nothing() {
    let blank = DIMENSION.replace("x1=\"10\"", "x1=\" 10 \"");
    let plain = read(svg(&format!("{OUTLINE}{DIMENSION}")).as_bytes()).unwrap();
    let drawing = read(svg(&format!("{OUTLINE}{blank}")).as_bytes()).unwrap();
    assert_eq!(drawing.scale.feet_per_unit, plain.scale.feet_per_unit);
}

#[test]
fn a_message_shows_the_beginning_of_a_long_value() {
    let long = "9".repeat(250_000);
    let line = |style: &str| svg(&format!(r##"<path style="{style}" d="M1,1H9"/>{OUTLINE}"##));
    for style in [
        format!("transform:calc({long})"),
        format!("transform:rotate({long}quux)"),
        format!("rotate:{long}deg"),
    ] {
        let told = fault(line(&style).as_bytes(), "transform-not-followed");
        assert!(told.message.contains('…'), "{}", told.message.len());
        assert!(told.message.len() < 400, "{}", told.message.len());
    }
}

#[test]
fn a_path_of_a_million_corners_is_refused_by_its_count() {
    let corners: String = (0..1_000_000).fold(String::new(), |mut all, i| {
        let _ = write!(all, "L{} {}", i % 97, i * 7 % 53);
        all
    });
    let body = format!("{DIMENSION}<path fill=\"none\" stroke=\"#000\" d=\"M0 0{corners}\"/>");
    let found = fault(svg(&body).as_bytes(), "too-many-pieces");
    assert!(found.message.contains("500,000"), "{}", found.message);
}

#[test]
fn corners_on_layers_that_are_left_out_are_not_counted_with_the_rest() {
    let survey = |layer: &str, count: usize| {
        let points = (0..count).fold(String::new(), |mut all, i| {
            let _ = write!(all, "{}.5,{} ", i % 97, i * 7 % 53);
            all
        });
        let line = format!("<polyline points=\"{points}\" fill=\"none\" stroke=\"#000\"/>");
        svg(&format!("{OUTLINE}{DIMENSION}<g id=\"{layer}\">{line}</g>"))
    };
    let limits = Limits {
        corners: 1_000,
        pieces: 2_000,
        ..Limits::default()
    };
    let options = ReadOptions {
        limits,
        ..ReadOptions::default()
    };
    let read = |plan: String| Drawing::read(plan.as_bytes(), &options);
    assert!(read(survey("note", 1_500)).is_ok());
    assert!(read(survey("survey", 900)).is_ok());
    for (layer, count, said, most) in [
        ("survey", 1_500, "1,500", "1,000"),
        ("note", 2_500, "2,500", "2,000"),
    ] {
        let told = read(survey(layer, count)).unwrap_err();
        assert_eq!(told[0].code, "too-many-pieces");
        assert!(told[0].message.contains(most), "{}", told[0].message);
        let of_layer = format!("{said} of its {said} corners are on the layer “{layer}”");
        assert!(told[0].remedy.starts_with(&of_layer), "{}", told[0].remedy);
    }
}

/// Points count, and not the numbers they are written with.
#[test]
fn an_exponent_or_an_arc_counts_as_one_corner() {
    let options = ReadOptions {
        limits: Limits {
            corners: 1_000,
            ..Limits::default()
        },
        ..ReadOptions::default()
    };
    let read = |lines: usize, arcs: usize| {
        let fine = "L1e-5 2e-5".repeat(lines);
        let arcs = "a3 3 0 01.5 0".repeat(arcs);
        let line = format!(
            "<g id=\"survey\"><path fill=\"none\" stroke=\"#000\" d=\"M0 50{fine}{arcs}\"/></g>"
        );
        let plan = svg(&format!("{OUTLINE}{DIMENSION}{line}"));
        Drawing::read(plan.as_bytes(), &options)
    };
    assert!(read(900, 90).is_ok());
    for (lines, arcs) in [(930, 90), (900, 120)] {
        let told = read(lines, arcs).unwrap_err();
        assert_eq!(told[0].code, "too-many-pieces");
    }
}

#[test]
fn a_dimension_longer_than_any_roof_is_refused_with_its_text_and_place() {
    let body = OUTLINE.to_owned() + &DIMENSION.replace("20'-0\"", "99999999999999999999 ft");
    let found = fault(svg(&body).as_bytes(), "dimension-beyond-sense");
    assert!(
        found.message.contains("99999999999999999999 ft"),
        "{}",
        found.message
    );
    assert_eq!(found.places.len(), 1);
}
