//! The page for the screen. What a browser does with it is tested by `.ci/outside-html.mjs`.

use eavewright::courses::{Courses, FaceLayout, FormatSource, LayRules, RunLayout, ShingleFormat};
use eavewright::geometry::Point;
use eavewright::materials::{MaterialLine, MaterialList};
use eavewright::report::html::{HtmlInputs, Units, page};
use eavewright::roof::{FaceId, Roof};
use eavewright::{Finding, Place};
use usvg::roxmltree::{Document, ParsingOptions};

use crate::handmade;

/// Straight level courses of 5 in exposure on every face: enough to draw lines by.
pub(crate) fn level_courses(roof: &Roof) -> Courses {
    let faces = roof
        .faces
        .iter()
        .enumerate()
        .map(|(i, face)| {
            let t = |p: Point| p.x * face.plane.gradient.x + p.y * face.plane.gradient.y;
            let size = face.plane.gradient.length();
            let heights: Vec<f64> = face
                .outline
                .corners
                .iter()
                .map(|c| t(c.plan()) / size)
                .collect();
            let run = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max)
                - heights.iter().copied().fold(f64::INFINITY, f64::min);
            let slope_in = run * face.pitch.slope_factor() * 12.0;
            let courses = (slope_in / 5.0).ceil() as usize;
            FaceLayout {
                face: FaceId(i),
                net_area_sqin: face.true_area.to_square_feet() * 144.0,
                courses,
                runs: (0..courses)
                    .map(|course| RunLayout {
                        course,
                        butt_in: (0.0, 100.0),
                        top_in: (0.0, 100.0),
                        butt_height_in: course as f64 * 5.0,
                        joints_in: vec![],
                    })
                    .collect(),
                pairs: vec![],
                opened: courses * 3,
                opened_without_reuse: courses * 4,
                bound: courses * 3,
                pieces_laid: courses * 4,
                cuts: courses * 2,
                offcuts_reused: courses,
                short_pieces: 0,
                smallest_joint_distance_in: None,
                ridge_remainder_in: 0.0,
                cap_covers_remainder: false,
                largest_pile: 0,
                longest_wait_courses: 0,
            }
        })
        .collect();
    Courses {
        format: ShingleFormat {
            name: "36x12".to_owned(),
            description: "36 × 12 in, 5 in exposed".to_owned(),
            width_in: 36.0,
            height_in: 12.0,
            exposure_in: 5.0,
            pieces_per_bundle: 27,
            bundle_weight_lb: 80.0,
            nails_per_piece: 4,
            nails_per_piece_high_wind: 6,
            nail_line_in: 5.6,
            tabs: 3,
            plain_edge: false,
            source: FormatSource("invented for the test".to_owned()),
        },
        rules: LayRules::default(),
        faces,
        findings: vec![],
    }
}

fn materials() -> MaterialList {
    let line =
        |item: &str, key, needed, unit: &str, quantity, package: &str, basis: &str| MaterialLine {
            item: item.to_owned(),
            key,
            needed,
            needed_unit: unit.to_owned(),
            quantity,
            unit: package.to_owned(),
            basis: basis.to_owned(),
            source: "invented for the test".to_owned(),
        };
    MaterialList {
        lines: vec![
            line(
                "Shingles",
                "shingles",
                1031.0,
                "pieces",
                39.0,
                "bundle",
                "1,031 opened ÷ 27 a bundle",
            ),
            line(
                "Drip edge, eaves",
                "drip_edge_eave",
                147.0,
                "ft",
                15.0,
                "10 ft length",
                "147.00 ft of eaves ÷ 9.83 ft",
            ),
        ],
        findings: vec![],
    }
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

const FIELDS: [(&str, &str); 4] = [
    ("Prepared for", "A. Example, 14 Heron Lane"),
    ("Document", "HL-014 / takeoff"),
    ("Date", "2026-11-25"),
    ("Revision", "A"),
];

/// A page with everything on it.
fn full_page(roof: &Roof, units: Units) -> String {
    page(&HtmlInputs {
        roof,
        drawing_title: "heron-lane.svg",
        project: "Heron Lane cottage (invented)",
        fields: &FIELDS,
        courses: Some(&level_courses(roof)),
        materials: Some(&materials()),
        findings: &findings(),
        cautions: &["Traced at the eave edge; gutters are not counted.".to_owned()],
        units,
    })
}

fn plain<'a>(roof: &'a Roof, title: &'a str) -> HtmlInputs<'a> {
    HtmlInputs {
        roof,
        drawing_title: title,
        project: "",
        fields: &[],
        courses: None,
        materials: None,
        findings: &[],
        cautions: &[],
        units: Units::Feet,
    }
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
        let text = without_raw_text(&full_page(&roof, Units::Feet));
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
    let html = full_page(&roof, Units::Feet);
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
    let html = full_page(&handmade::gable_with_chimney(), Units::Feet);
    assert!(html.contains("<td class=\"n\">810.00</td>"));
    // True: 714 × √(1 + (8/12)²) + 96 × √(1 + (3/12)²) = 858.121 + 98.955, by a desk calculator.
    assert!(html.contains("<td class=\"n\">957.08</td>"));
    let metric = full_page(&handmade::gable_with_chimney(), Units::Metric);
    // 957.0757 ft² × 0.09290304 = 88.9152.
    assert!(metric.contains("<td class=\"n\">88.92</td>"));
    assert!(!metric.contains("ft²"));
}

#[test]
fn an_edge_is_given_with_its_first_face_on_the_left() {
    let roof = handmade::l_hip();
    let html = full_page(&roof, Units::Feet);
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
    let html = full_page(&handmade::l_hip(), Units::Feet);
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
    let findings = [Finding::warning("evil", evil).remedy(evil)];
    let cautions = [evil.to_owned()];
    let html = page(&HtmlInputs {
        project: evil,
        fields: &[(evil, evil)],
        findings: &findings,
        cautions: &cautions,
        ..plain(&roof, evil)
    });
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
fn the_same_roof_gives_the_same_page() {
    let once = full_page(&handmade::l_hip(), Units::Feet);
    assert_eq!(once, full_page(&handmade::l_hip(), Units::Feet));
}

#[test]
fn a_roof_without_a_face_still_has_a_page() {
    let roof = Roof::default();
    let html = page(&plain(&roof, "empty.svg"));
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
    let html = full_page(&roof, Units::Feet);
    assert!(html.len() < 500_000, "{} bytes", html.len());
}

/// Writes the pages that `.ci/outside-html.mjs` opens in a browser.
#[test]
#[ignore = "writes files for the check in a browser"]
fn write_pages_for_the_browser() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("pages");
    std::fs::create_dir_all(&folder).unwrap();
    let mut pages = vec![
        ("l-hip", full_page(&handmade::l_hip(), Units::Feet)),
        (
            "gable",
            full_page(&handmade::gable_with_chimney(), Units::Metric),
        ),
        ("many", full_page(&handmade::many_wings(34), Units::Feet)),
    ];
    let mut evil = handmade::gable_with_chimney();
    evil.faces[0].name = "<img src=x onerror=alert(1)>".to_owned();
    pages.push((
        "hostile",
        page(&plain(&evil, "</title><script>alert(1)</script>")),
    ));
    for (name, html) in pages {
        std::fs::write(folder.join(name).with_extension("html"), html).unwrap();
    }
    for (name, roof) in [
        ("l-hip", handmade::l_hip()),
        ("gable", handmade::gable_with_chimney()),
        ("many", handmade::many_wings(34)),
        ("none", Roof::default()),
    ] {
        let file = eavewright::report::glb::write(&roof, name);
        std::fs::write(folder.join(name).with_extension("glb"), file).unwrap();
    }
}
