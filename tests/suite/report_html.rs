//! The page for the screen. What a browser does with it is tested by `.ci/outside-html.mjs`.

use eavewright::courses::{Choices, Courses, LayRules, formats};
use eavewright::drawing::Drawing;
use eavewright::geometry::{Point, Point3};
use eavewright::materials::{MaterialList, MaterialSettings};
use eavewright::report::html::page;
use eavewright::report::{Inputs, OutputUnits, ProjectInfo, Report};
use eavewright::roof::{EdgeClass, Roof};
use eavewright::units::Length;
use eavewright::{Finding, Place};
use usvg::roxmltree::{Document, ParsingOptions};

use crate::handmade;

/// The first shipped format laid on a roof; on a roof made of `handmade::l_hip` again and again, that one's layout again
/// and again, which is much quicker.
fn courses(roof: &Roof) -> Courses {
    let format = &formats::shipped()[0];
    let lay = |roof: &Roof| {
        Courses::lay(roof, format, &LayRules::default(), &Choices::default()).unwrap()
    };
    let one = handmade::l_hip();
    if roof.faces.len() <= one.faces.len() {
        return lay(roof);
    }
    let mut all = lay(&one);
    let faces = all.faces.clone();
    for copy in 1..roof.faces.len() / one.faces.len() {
        all.faces.extend(faces.iter().cloned().map(|mut layout| {
            layout.face.0 += copy * one.faces.len();
            layout
        }));
    }
    all
}

fn findings() -> Vec<Finding> {
    vec![
        Finding::warning(
            "open-corner",
            "The outline opens by 2½″ at the south-east corner.",
        )
        .remedy("Close the corner in the drawing.")
        .place(Place::at(Point::new(16.0, 0.5))),
        Finding::note("joined-ends", "Three ends closer than 1″ were joined."),
    ]
}

/// A page with everything on it.
fn full_page(roof: &Roof, units: OutputUnits) -> String {
    let project = ProjectInfo {
        name: "Heron Lane cottage (invented)".to_owned(),
        client: "A. Example".to_owned(),
        address: "14 Heron Lane".to_owned(),
        date: "2026-11-25".to_owned(),
        document: "HL-014 / takeoff".to_owned(),
        source_file: "heron-lane.svg".to_owned(),
        ..ProjectInfo::default()
    };
    page_of(roof, &project, findings(), units)
}

fn page_of(
    roof: &Roof,
    project: &ProjectInfo,
    findings: Vec<Finding>,
    units: OutputUnits,
) -> String {
    let drawing = Drawing {
        findings,
        ..Drawing::default()
    };
    let courses = courses(roof);
    let settings = MaterialSettings::shipped(units == OutputUnits::Metres).unwrap();
    let materials = MaterialList::compute(roof, &courses, &settings);
    page(&Report::new(Inputs {
        drawing: &drawing,
        roof,
        courses: Some(&courses),
        materials: Some(&materials),
        comparison: None,
        offer: None,
        project,
        units,
    }))
}

/// A page of a roof alone.
fn bare_page(roof: &Roof) -> String {
    page(&Report::new(Inputs {
        drawing: &Drawing::default(),
        roof,
        courses: None,
        materials: None,
        comparison: None,
        offer: None,
        project: &ProjectInfo::default(),
        units: OutputUnits::Feet,
    }))
}

/// The page without what stands in its style and script elements, which is not markup.
fn without_raw_text(page: &str) -> String {
    let mut rest = page;
    let mut out = String::new();
    while let Some(start) = ["<style>", "<script"]
        .iter()
        .filter_map(|open| rest.find(open))
        .min()
    {
        let inside = start + rest[start..].find('>').unwrap() + 1;
        let end = inside + rest[inside..].find("</").unwrap();
        out.push_str(&rest[..inside]);
        rest = &rest[end..];
    }
    out + rest
}

fn parse(text: &str) -> Document<'_> {
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(text, options).unwrap()
}

#[test]
fn the_page_is_well_formed_and_its_ids_are_unique() {
    for roof in [handmade::l_hip(), handmade::gable_with_chimney()] {
        let text = without_raw_text(&full_page(&roof, OutputUnits::Feet));
        let document = parse(&text);
        let mut ids: Vec<&str> = document
            .descendants()
            .filter_map(|n| n.attribute("id"))
            .collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "an id is used twice");
        for node in document.descendants() {
            for reference in ["aria-labelledby", "aria-describedby"] {
                for id in node.attribute(reference).unwrap_or("").split_whitespace() {
                    assert!(ids.contains(&id), "{reference} points at nothing: {id}");
                }
            }
        }
    }
}

#[test]
fn every_face_and_edge_is_in_a_schedule_on_the_plan_and_in_the_model() {
    let roof = handmade::gable_with_chimney();
    let html = full_page(&roof, OutputUnits::Feet);
    let text = without_raw_text(&html);
    let document = parse(&text);
    let all = |tag: &str, attribute: &str| -> usize {
        document
            .descendants()
            .filter(|n| n.has_tag_name(tag) && n.has_attribute(attribute))
            .count()
    };
    assert_eq!(all("tr", "data-face"), roof.faces.len());
    assert_eq!(all("path", "data-face"), roof.faces.len());
    assert_eq!(all("tr", "data-edge"), roof.edges.len());
    assert_eq!(all("g", "data-edge"), roof.edges.len());
    let data: serde_json::Value = serde_json::from_str(data_block(&html)).unwrap();
    let names: Vec<&str> = data["faces"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["N1", "S1", "S2"]);
    assert_eq!(data["edges"].as_array().unwrap().len(), roof.edges.len());
    assert_eq!(data["openings"].as_array().unwrap().len(), 4);
}

fn data_block(html: &str) -> &str {
    let start = html.find("id=\"roof-data\">").unwrap() + "id=\"roof-data\">".len();
    let end = html[start..].find("</script>").unwrap();
    &html[start..start + end]
}

#[test]
fn the_schedule_of_faces_adds_up_to_the_roof() {
    // 30 × 24 ft less a chimney of 3 × 2, and a lean-to of 12 × 8: 720 − 6 + 96.
    let html = full_page(&handmade::gable_with_chimney(), OutputUnits::Feet);
    assert!(html.contains("<td class=\"n\">810.00</td>"));
    // True: 714 × √(1 + (8/12)²) + 96 × √(1 + (3/12)²) = 858.121 + 98.955, by a desk calculator.
    assert!(html.contains("<td class=\"n\">957.08</td>"));
    let metric = full_page(&handmade::gable_with_chimney(), OutputUnits::Metres);
    // 957.0757 ft² × 0.09290304 = 88.9152.
    assert!(metric.contains("<td class=\"n\">88.92</td>"));
    assert!(!metric.contains("ft²"));
}

#[test]
fn an_edge_is_given_with_its_first_face_on_the_left() {
    let roof = handmade::l_hip();
    let html = full_page(&roof, OutputUnits::Feet);
    let data: serde_json::Value = serde_json::from_str(data_block(&html)).unwrap();
    for edge in data["edges"].as_array().unwrap() {
        let face = edge["faces"][0].as_u64().unwrap() as usize;
        let number = |v: &serde_json::Value| v.as_f64().unwrap();
        let (a, b) = (&edge["ends"][0], &edge["ends"][1]);
        let at = &data["faces"][face]["at"];
        let left = (number(&b[0]) - number(&a[0])) * (number(&at[1]) - number(&a[1]))
            - (number(&b[1]) - number(&a[1])) * (number(&at[0]) - number(&a[0]));
        assert!(left > 0.0, "{edge}");
    }
}

#[test]
fn the_page_asks_for_nothing_from_outside() {
    let html = full_page(&handmade::l_hip(), OutputUnits::Feet);
    let text = without_raw_text(&html);
    let document = parse(&text);
    for node in document.descendants() {
        for attribute in node.attributes() {
            if ["src", "href", "action", "data", "poster", "srcset"].contains(&attribute.name()) {
                assert!(attribute.value().starts_with('#'), "{}", attribute.value());
            }
            assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
            assert_ne!(attribute.name(), "style", "the content policy forbids it");
        }
    }
    let policy = document
        .descendants()
        .find(|n| n.attribute("http-equiv") == Some("Content-Security-Policy"))
        .and_then(|n| n.attribute("content"))
        .unwrap();
    assert!(policy.starts_with("default-src 'none'; script-src 'sha256-"));
    // The one address is the name of the SVG vocabulary, which is never fetched.
    let addresses: Vec<&str> = html
        .match_indices("://")
        .map(|(i, _)| &html[i..(i + 30).min(html.len())])
        .collect();
    assert_eq!(addresses.len(), 1, "{addresses:?}");
    assert!(addresses[0].starts_with("://www.w3.org/2000/svg"));
}

#[test]
fn hostile_names_stay_words() {
    let evil = "</script><script>alert(1)</script><img src=x onerror=alert(1)>\"'&\u{202E}";
    let mut roof = handmade::gable_with_chimney();
    roof.faces[0].name = evil.to_owned();
    roof.openings[0].kind = evil.to_owned();
    roof.checks[0].what = evil.to_owned();
    let text = || evil.to_owned();
    let project = ProjectInfo {
        name: text(),
        client: text(),
        address: text(),
        date: text(),
        revision: text(),
        drawn_by: text(),
        checked_by: text(),
        document: text(),
        status: text(),
        contractor: text(),
        contractor_address: text(),
        source_file: text(),
        up_bearing_deg: 0.0,
    };
    let findings = vec![Finding::warning("evil", evil).remedy(evil)];
    let html = page_of(&roof, &project, findings, OutputUnits::Feet);
    assert_eq!(html.matches("<script").count(), 2);
    assert_eq!(html.matches("</script>").count(), 2);
    assert!(!html.contains("<img"));
    assert!(!html.contains('\u{202E}'));
    let text = without_raw_text(&html);
    let document = parse(&text);
    let heading = document
        .descendants()
        .find(|n| n.has_tag_name("h1"))
        .and_then(|n| n.text())
        .unwrap();
    assert_eq!(heading, evil.replace('\u{202E}', "\u{FFFD}"));
    let data: serde_json::Value = serde_json::from_str(data_block(&html)).unwrap();
    assert_eq!(data["faces"][0]["name"], heading);
}

#[test]
fn where_the_drawing_is_turned_falls_and_north_are_by_the_compass() {
    // The drawing's up is east, so the face that falls up in the drawing falls east.
    let project = ProjectInfo {
        up_bearing_deg: 90.0,
        ..ProjectInfo::default()
    };
    let html = page_of(
        &handmade::gable_with_chimney(),
        &project,
        vec![],
        OutputUnits::Feet,
    );
    assert!(html.contains("data-face=\"0\">N1</button></th><td>east</td>"));
    assert!(html.contains("\"upBearing\":90.0"));
    assert!(html.contains("rotate(-90)\"><circle"));
    assert!(html.contains("Seen from above, 90° of the compass up. Faces"));
    let north_up = full_page(&handmade::gable_with_chimney(), OutputUnits::Feet);
    assert!(north_up.contains("Seen from above, north up. Faces"));
}

#[test]
fn an_edge_drawn_in_pieces_is_one_edge_on_the_page() {
    let mut roof = handmade::gable_with_chimney();
    let ridge = roof
        .edges
        .iter()
        .position(|e| e.class == EdgeClass::Ridge)
        .unwrap();
    let mut half = roof.edges[ridge].clone();
    let middle = Point3::new(12.0, half.start.y, half.start.z);
    let piece = |a: Point3, b: Point3| Length::feet(a.distance(b));
    (half.start, half.true_length) = (middle, piece(middle, half.end));
    half.plan_length = Length::feet(half.true_length.to_feet());
    let whole = &mut roof.edges[ridge];
    (whole.end, whole.true_length) = (middle, piece(whole.start, middle));
    whole.plan_length = Length::feet(whole.true_length.to_feet());
    roof.edges.push(half);
    let html = bare_page(&roof);
    assert_eq!(html.matches(">ridge</button>").count(), 1);
    assert!(html.contains("ridge 30′-0″"));
}

#[test]
fn the_same_roof_gives_the_same_page() {
    let once = full_page(&handmade::l_hip(), OutputUnits::Feet);
    assert_eq!(once, full_page(&handmade::l_hip(), OutputUnits::Feet));
}

#[test]
fn a_roof_without_a_face_still_has_a_page() {
    let roof = Roof::default();
    let html = bare_page(&roof);
    let text = without_raw_text(&html);
    let document = parse(&text);
    assert!(document.descendants().any(|n| n.has_tag_name("h1")));
    assert!(
        !document
            .descendants()
            .any(|n| n.attribute("id") == Some("plan"))
    );
}

#[test]
fn a_page_of_two_hundred_faces_stays_under_500_kb() {
    let roof = handmade::many_wings(34);
    assert_eq!(roof.faces.len(), 204);
    let html = full_page(&roof, OutputUnits::Feet);
    assert!(html.len() < 500_000, "{} bytes", html.len());
}
