//! Stated figures against computed ones. `fixtures/review` holds a plan for every slip with the figures worked by hand.

use std::fs;
use std::path::{Path, PathBuf};

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::job::Job;
use eavewright::review::{
    AgainstList, AreaCheck, Bearing, Explanation, Overhang, Review, ReviewSettings, Subject,
    Verdict,
};
use eavewright::roof::Roof;
use serde::Deserialize;

use crate::support::roof_of;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    areas: Vec<ExpectedArea>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ExpectedArea {
    of: String,
    stated: f64,
    computed: f64,
    /// Absent where the figures agree.
    causes: Option<Vec<String>>,
    decided: Option<bool>,
    lengths: Option<String>,
}

fn fixtures() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/review");
    let mut all: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    all.sort();
    assert!(all.len() > 25, "the fixtures were not found");
    all
}

fn settings(job: Option<&str>) -> ReviewSettings {
    let plan = job.map(|text| Job::parse(text).unwrap().plan);
    ReviewSettings {
        overhangs: plan.map_or_else(Vec::new, |p| {
            let [Some(eave), Some(rake)] = [p.eave_overhang, p.rake_overhang] else {
                return Vec::new();
            };
            vec![Overhang {
                eave_ft: eave.to_feet(),
                rake_ft: rake.to_feet(),
            }]
        }),
        ..ReviewSettings::default()
    }
}

fn review(svg: &[u8], list: Option<&str>, settings: &ReviewSettings) -> (Roof, Review) {
    let drawing = Drawing::read(svg, &ReadOptions::default()).unwrap();
    let roof = roof_of(svg).unwrap();
    let list = list.map(|text| AgainstList::parse(text, false).unwrap());
    let review = Review::of(&drawing, &roof, list.as_ref(), settings).unwrap();
    (roof, review)
}

fn gable() -> Vec<u8> {
    fs::read(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/gable-40x24-6in12/plan.svg"),
    )
    .unwrap()
}

fn name(roof: &Roof, check: &eavewright::review::AreaCheck) -> String {
    match check.subject {
        eavewright::review::Subject::Face(id) => roof.face(id).name.clone(),
        eavewright::review::Subject::Part(faces) => {
            let names = faces.faces().map(|id| roof.face(id).name.clone());
            names.collect::<Vec<_>>().join(" + ")
        }
        eavewright::review::Subject::Roof => "total".to_owned(),
    }
}

fn bearing(bearing: Bearing) -> &'static str {
    match bearing {
        Bearing::For => "for",
        Bearing::Silent => "silent",
        Bearing::Against => "against",
    }
}

#[test]
fn every_slip_is_named_on_a_roof_that_shows_it_and_none_on_one_that_does_not() {
    for folder in fixtures() {
        let at = folder.file_name().unwrap().to_string_lossy().into_owned();
        let text = |file: &str| fs::read_to_string(folder.join(file)).ok();
        let expected: Expected = toml::from_str(&text("expected.toml").unwrap()).unwrap();
        let svg = fs::read(folder.join("plan.svg")).unwrap();
        let settings = settings(text("job.toml").as_deref());
        let (roof, review) = review(&svg, text("stated.csv").as_deref(), &settings);
        assert_eq!(review.areas.len(), expected.areas.len(), "{at}");
        for (check, wanted) in review.areas.iter().zip(&expected.areas) {
            let told = format!("{at}, {}: {check:#?}", wanted.of);
            assert_eq!(name(&roof, check), wanted.of, "{told}");
            assert!((check.stated_sqft - wanted.stated).abs() < 1e-6, "{told}");
            let off = (check.computed_sqft / wanted.computed - 1.0).abs();
            assert!(off < 1e-6, "{told}");
            let differs = check.verdict == Verdict::Differs;
            assert_eq!(differs, wanted.causes.is_some(), "{told}");
            let causes: Vec<&str> = check.explanations.iter().map(|e| e.cause.key()).collect();
            let wanted_causes = wanted.causes.clone().unwrap_or_default();
            assert_eq!(causes, wanted_causes, "{told}");
            if let Some(decided) = wanted.decided {
                assert_eq!(check.decided, decided, "{told}");
            }
            if let Some(lengths) = &wanted.lengths {
                assert_eq!(bearing(check.explanations[0].bearing), lengths, "{told}");
            }
        }
        assert_eq!(
            review.verdict() == Verdict::Differs,
            expected.areas.iter().any(|a| a.causes.is_some())
                || review.lengths.iter().any(|l| l.verdict == Verdict::Differs),
            "{at}"
        );
    }
}

/// Ratios of areas after the table of signatures in the trade notes: arithmetic of prints, scales and units.
#[test]
fn a_slip_in_scale_is_named_where_area_and_eaves_show_it() {
    const RATIOS: [(&str, f64); 8] = [
        ("half-size", 0.25),
        ("double-size", 4.0),
        ("dpi-72-for-96", 1.0 / 0.5625),
        ("dpi-96-for-72", 0.5625),
        ("dpi-90-for-96", 1.0 / 0.87890625),
        ("dpi-96-for-90", 0.87890625),
        ("scale-96-for-100", 0.9216),
        ("scale-100-for-96", 1.0 / 0.9216),
    ];
    let true_area = 960.0 * 1.25_f64.sqrt();
    for (key, ratio) in RATIOS {
        let list = format!(
            "total,{:.2}\neave,{:.2}\nridge,{:.2}\n",
            true_area * ratio,
            80.0 * ratio.sqrt(),
            40.0 * ratio.sqrt()
        );
        let (_, review) = review(&gable(), Some(&list), &ReviewSettings::default());
        let check = &review.areas[0];
        let likely = check.likely().unwrap_or_else(|| panic!("{key}: {check:?}"));
        assert_eq!(likely.cause.key(), key);
        assert_eq!(likely.bearing, Bearing::For, "{key}");
        assert!(check.decided, "{key}");
    }
}

#[test]
fn plan_for_true_is_found_at_every_pitch_from_4_to_12() {
    let svg = String::from_utf8(gable()).unwrap();
    for rise in 4..=12 {
        let plan = svg.replace("6/12", &format!("{rise}/12"));
        let (_, review) = review(
            plan.as_bytes(),
            Some("total,960\neave,80\n"),
            &ReviewSettings::default(),
        );
        let check = &review.areas[0];
        assert_eq!(check.likely().unwrap().cause.key(), "plan-for-true");
        let slope = (1.0 + (f64::from(rise) / 12.0).powi(2)).sqrt();
        assert!((check.stated_sqft / check.computed_sqft * slope - 1.0).abs() < 1e-9);
    }
}

#[test]
fn the_tolerance_decides_what_a_difference_is() {
    // 1080 against 1073.31 is 0.62 %.
    for (tolerance, verdict) in [(0.01, Verdict::Agrees), (0.005, Verdict::Differs)] {
        let settings = ReviewSettings {
            tolerance,
            ..ReviewSettings::default()
        };
        let (_, review) = review(&gable(), Some("total,1080\n"), &settings);
        assert_eq!(review.areas[0].verdict, verdict);
        assert_eq!(review.verdict(), verdict);
    }
}

#[test]
fn a_right_total_of_wrong_faces_is_told() {
    let (_, wrong) = review(
        &gable(),
        Some("S1,480\nN1,593.3\ntotal,1073.3\n"),
        &ReviewSettings::default(),
    );
    let codes: Vec<&str> = wrong.findings.iter().map(|f| f.code).collect();
    assert!(codes.contains(&"errors-cancel"), "{codes:?}");
    let (_, right) = review(
        &gable(),
        Some("S1,536.7\nN1,536.7\ntotal,1073.3\n"),
        &ReviewSettings::default(),
    );
    assert!(right.findings.is_empty(), "{:?}", right.findings);
}

#[test]
fn stated_lengths_are_held_against_the_roof_too() {
    // Eaves 2 × 40, rakes 4 × 12 × √1.25 = 53.666 on the slope; 48 are their plan lengths.
    let (_, review) = review(
        &gable(),
        Some("eave,80'-0\"\nrakes,48 ft\n"),
        &ReviewSettings::default(),
    );
    let [eave, rake] = &review.lengths[..] else {
        panic!("two lengths");
    };
    assert_eq!(eave.verdict, Verdict::Agrees);
    assert_eq!(rake.verdict, Verdict::Differs);
    assert!((rake.percent() + 10.557_28).abs() < 1e-3);
    assert_eq!(review.verdict(), Verdict::Differs);
}

#[test]
fn an_area_that_stands_at_no_face_is_told_and_not_guessed() {
    let svg = String::from_utf8(gable()).unwrap().replace(
        "<g id=\"pitch\"",
        "<text x=\"600\" y=\"500\" font-size=\"9\">960 SF</text><g id=\"pitch\"",
    );
    let (_, review) = review(svg.as_bytes(), None, &ReviewSettings::default());
    assert!(review.areas.is_empty());
    let told: Vec<&str> = review.findings.iter().map(|f| f.code).collect();
    assert_eq!(told, ["stated-area-of-nothing"]);
    assert_eq!(review.not_compared, 1);
}

#[test]
fn a_list_that_cannot_be_read_is_refused_with_its_lines() {
    let wrong = AgainstList::parse("S1,480\nN1,large\n,\ntotal,-4\n", false).unwrap_err();
    assert_eq!(wrong.len(), 2);
    assert!(wrong[0].message.contains("line 2") && wrong[1].message.contains("line 4"));
    assert!(AgainstList::parse("face,area\n", false).is_err());
    let svg = gable();
    let drawing = Drawing::read(&svg, &ReadOptions::default()).unwrap();
    let list = AgainstList::parse("S7,480\n", false).unwrap();
    let roof = roof_of(&svg).unwrap();
    let wrong = Review::of(&drawing, &roof, Some(&list), &ReviewSettings::default()).unwrap_err();
    assert!(wrong[0].message.contains("S7") && wrong[0].remedy.contains("S1"));
}

#[test]
fn figures_in_a_list_are_read_in_feet_metres_and_squares() {
    for (list, metric) in [
        ("total,1073.31\n", false),
        ("total,\"1,073.31 sq ft\"\n", false),
        ("Total,10.7331,squares\n", false),
        ("total,99.714\n", true),
        ("roof,99.714,m2\n", false),
        (
            "\u{feff}what,stated,unit\r\n# ours\r\ntotal,1073.31,ft2\r\n",
            false,
        ),
    ] {
        let svg = gable();
        let drawing = Drawing::read(&svg, &ReadOptions::default()).unwrap();
        let list = AgainstList::parse(list, metric).unwrap();
        let settings = ReviewSettings {
            tolerance: 1e-4,
            ..ReviewSettings::default()
        };
        let review = Review::of(&drawing, &roof_of(&svg).unwrap(), Some(&list), &settings).unwrap();
        assert_eq!(review.verdict(), Verdict::Agrees, "{:?}", review.areas);
    }
}

fn against_the_outline(roof: &str) -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs");
    let svg = fs::read(folder.join(roof).join("plan.svg")).unwrap();
    let (_, review) = review(&svg, None, &ReviewSettings::default());
    let mut told: Vec<String> = review
        .findings
        .iter()
        .filter(|f| f.code == "drawn-not-implied" || f.code == "implied-not-drawn")
        .map(|f| f.message.clone())
        .collect();
    told.sort();
    told
}

#[test]
fn lines_that_eaves_gables_and_pitches_imply_are_not_told() {
    for roof in [
        "cross-gable-6in12",
        "gable-40x24-6in12",
        "gambrel-30x24",
        "hexagon-pavilion-10ft-8in12",
        "hip-40x24-6in12",
        "l-hip-6in12",
        "mansard-30x24",
        "pyramid-24-8in12",
        "t-gable-8in12",
        "u-hip-6in12",
        "unequal-wing-12in12-on-6in12",
    ] {
        assert_eq!(against_the_outline(roof), Vec::<String>::new(), "{roof}");
    }
}

/// Two gables side by side, each 12 ft wide with its ridge 6 ft from the eave: over the 24 ft of the outline, equal pitches
/// from both eaves would meet in one ridge 12 ft in, where the drawn valley is, 6 ft from either drawn ridge.
#[test]
fn lines_that_another_roof_over_the_same_outline_would_have_are_told_with_the_distance() {
    let told = against_the_outline("double-gable-30x24-6in12");
    let off = "This ridge is drawn up to 6.00 ft from where eaves, gables and pitches alone would put one.";
    assert_eq!(
        told,
        [
            "Eaves, gables and pitches alone would give a ridge through here; the nearest drawn line is 6.00 ft away.",
            off,
            off,
            "This valley is drawn where eaves, gables and pitches alone would give none.",
        ]
    );
}

fn total(svg: &[u8], list: &str) -> (Roof, AreaCheck) {
    let (roof, review) = review(svg, Some(list), &ReviewSettings::default());
    let check = review
        .areas
        .into_iter()
        .find(|a| a.subject == Subject::Roof);
    (roof, check.unwrap())
}

fn fixture(name: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/review");
    fs::read(folder.join(name).join("plan.svg")).unwrap()
}

#[test]
fn a_figure_rounded_to_squares_decides_nothing_whatever_the_tolerance() {
    for tolerance in [0.01, 0.001, 0.0] {
        let settings = ReviewSettings {
            tolerance,
            ..ReviewSettings::default()
        };
        let (_, review) = review(&gable(), Some("total,11 squares\n"), &settings);
        assert_eq!(review.verdict(), Verdict::TooCoarse);
        assert!((review.areas[0].percent() - 2.486_449).abs() < 1e-4);
        let told: Vec<&str> = review.findings.iter().map(|f| f.code).collect();
        assert_eq!(told, ["stated-area-too-coarse"]);
    }
    // 12 squares are 1150 at least: that is a difference, however coarse.
    let (_, twelve) = total(&gable(), "total,12 squares\n");
    assert_eq!(twelve.verdict, Verdict::Differs);
}

#[test]
fn an_overhang_that_was_chosen_to_fit_is_asked_about_and_never_a_cause() {
    // 6.2 in, 14.6 in; 4.5 in is no overhang.
    for (list, guesses) in [
        ("total,1000\n", 1),
        ("total,905.6\n", 1),
        ("total,1020\n", 0),
    ] {
        let (_, check) = total(&gable(), list);
        assert_eq!(check.explanations.len(), guesses, "{check:?}");
        assert!(
            check.explanations.iter().all(Explanation::is_guess),
            "{check:?}"
        );
        assert!(!check.decided);
    }
    // 12 in all round, with eaves of 38 ft each: 38 × 22 × √1.25.
    let (_, borne_out) = total(&gable(), "total,934.7\neave,76\n");
    assert_eq!(borne_out.likely().unwrap().cause.key(), "overhang-left-out");
    assert!(borne_out.decided && !borne_out.explanations[0].is_guess());
}

/// A figure stated at random is met by some set of faces once in fifty times for each size of set.
#[test]
fn figures_at_random_are_seldom_met_by_faces_left_out() {
    let svg = fixture("both-ends-left-out");
    let drawing = Drawing::read(&svg, &ReadOptions::default()).unwrap();
    let roof = roof_of(&svg).unwrap();
    let met = (0..200)
        .filter(|i| {
            let stated = 1194.55 * (0.3 + 0.65 * (f64::from(*i) * 0.618_034).fract());
            let list = AgainstList::parse(&format!("total,{stated:.1}\n"), false).unwrap();
            let settings = ReviewSettings::default();
            let review = Review::of(&drawing, &roof, Some(&list), &settings).unwrap();
            let causes = &review.areas[0].explanations;
            causes.iter().any(|e| e.cause.key() == "faces-missing")
        })
        .count();
    assert!(met <= 4, "{met} of 200");
}

#[test]
fn lengths_are_asked_for_only_where_they_would_tell_causes_apart() {
    let words = |list: &str, svg: &[u8]| {
        let (_, review) = review(svg, Some(list), &ReviewSettings::default());
        let found = &review.findings[0];
        format!("{} {}", found.message, found.remedy)
    };
    // At 7 in 12 the plan area is that of 1 in 12, 963.33, but for a third of a percent: neither eave nor ridge shows it.
    let pitched = String::from_utf8(gable()).unwrap().replace("6/12", "7/12");
    let told = words("total,963\n", pitched.as_bytes());
    assert!(told.contains("or taken at 1/12"), "{told}");
    assert!(!told.contains("length"), "{told}");
    // A rake on the slope does.
    let told = words("total,963\nrake,55.57\n", pitched.as_bytes());
    assert!(told.contains("Cause that fits: plan area"), "{told}");
    // Plan for true at 5 in 12 looks like 1:96 for 1:100, which eaves show.
    let told = words("total,960\n", &fixture("look-alike-no-lengths"));
    assert!(
        told.contains("A stated eave or ridge length would tell"),
        "{told}"
    );
    // Mirror twins are one cause.
    let told = words("total,1656\n", &fixture("both-ends-left-out"));
    assert!(told.contains("face N1 or S1 counted twice"), "{told}");
    assert!(!told.contains("length"), "{told}");
}

#[test]
fn right_dimensions_on_the_sheet_do_not_speak_against_a_slip_in_scale_that_fits_exactly() {
    for list in ["total,268.33\n", "total,603.7\n"] {
        let (_, review) = review(&fixture("one-side"), Some(list), &ReviewSettings::default());
        let stated = review.areas.iter().find(|a| a.line.is_some()).unwrap();
        let scales = stated.explanations.iter();
        let scales: Vec<&Explanation> = scales
            .filter(|e| matches!(e.cause, eavewright::review::Cause::Scale(_)))
            .collect();
        assert!(!scales.is_empty(), "{list}");
        assert!(
            scales.iter().all(|e| e.bearing == Bearing::Silent),
            "{list}"
        );
    }
}

/// Two gables of 20 × 12 ft, turned by 0.4° and by 0.6°: their slopes fall to one side, whichever degree is nearest.
#[test]
fn slopes_that_fall_nearly_one_way_are_one_side() {
    let one = |id: &str, x: f64, turn: f64| {
        format!(
            r#"<g transform="rotate({turn} {x} 200)"><polygon id="{id}" points="{x},100 {0},100 {0},300 {x},300"/>
            <line x1="{1}" y1="100" x2="{1}" y2="300"/></g>"#,
            x + 120.0,
            x + 60.0,
        )
    };
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 600"><g id="roof" fill="none" stroke="black">{}{}</g>
        <g id="pitch" font-size="9"><text x="120" y="200">6/12</text><text x="180" y="200">6/12</text>
        <text x="420" y="200">6/12</text><text x="480" y="200">6/12</text></g><g id="scale" font-size="9">
        <line x1="100" y1="400" x2="500" y2="400" stroke="black"/><text x="300" y="396">40'-0"</text></g></svg>"#,
        one("a", 100.0, 0.4),
        one("b", 400.0, 0.6),
    );
    let list = format!("total,{:.1}\n", 240.0 * 1.25_f64.sqrt());
    let (roof, check) = total(svg.as_bytes(), &list);
    assert_eq!(roof.faces.len(), 4);
    let causes: Vec<&str> = check.explanations.iter().map(|e| e.cause.key()).collect();
    assert!(causes.contains(&"one-side"), "{causes:?}");
}

#[test]
fn a_first_line_with_a_name_of_the_roof_is_no_head() {
    for list in [
        "S1,n/a\ntotal,1073.3\n",
        "S1,TBD\n",
        "total,abc\n",
        "eaves,none\n",
    ] {
        let wrong = AgainstList::parse(list, false).unwrap_err();
        assert!(wrong[0].message.contains("line 1"), "{list}: {wrong:?}");
        assert!(
            wrong[0].message.contains("is no figure for"),
            "{list}: {wrong:?}"
        );
    }
    let list = AgainstList::parse("face,area\nS1,480\n", false).unwrap();
    assert_eq!(list.rows().len(), 1);
}

#[test]
fn findings_print_numbers_as_the_table_does() {
    let (_, review) = review(
        &gable(),
        Some("total,4293.25\n"),
        &ReviewSettings::default(),
    );
    let told = &review.findings[0].message;
    assert!(told.contains("4,293.3 ft² against 1,073.3 ft²"), "{told}");
}

/// The wing of 16 ft drawn flush with the main eave: the eave goes on in line as rakes, and the outline does not say where the
/// slope ends.
#[test]
fn lines_that_could_not_be_compared_are_told_with_the_reason() {
    let svg = String::from_utf8(fixture("wing-left-out")).unwrap();
    let flush = svg
        .replace("208,386 352,386", "280,296")
        .replace("y1=\"386\"", "y1=\"296\"")
        .replace("x=\"244\" y=\"341\"", "x=\"262\" y=\"269\"")
        .replace("x=\"316\" y=\"341\"", "x=\"298\" y=\"269\"");
    let (roof, review) = review(flush.as_bytes(), None, &ReviewSettings::default());
    assert_eq!(roof.faces.len(), 4);
    let note = |code| review.findings.iter().find(|f| f.code == code);
    let told = note("lines-not-compared").unwrap();
    assert!(
        told.message.contains("one straight line"),
        "{}",
        told.message
    );
    assert_eq!(told.places.len(), 2);
}

fn lengths_told(plan: &[u8], list: &str) -> Vec<(Verdict, Vec<&'static str>)> {
    let (_, review) = review(plan, Some(list), &ReviewSettings::default());
    let keys =
        |l: &eavewright::review::LengthCheck| l.causes.iter().map(|e| e.cause.key()).collect();
    review
        .lengths
        .iter()
        .map(|l| (l.verdict, keys(l)))
        .collect()
}

/// Hip 40 × 24 at 6 in 12: four hips of 12√2 = 16.971 ft in plan and 18 ft on the slope. By the slope's factor √1.25 they
/// would be 18.974, by the hip factor of rafter tables √2.25 = 1.5 (for the run of a common rafter) 25.456.
#[test]
fn a_stated_length_is_explained_by_the_slip_that_gives_it() {
    let hip = include_bytes!("../../fixtures/roofs/hip-40x24-6in12/plan.svg");
    for (list, cause) in [
        ("hip,67.88\n", "plan-for-true"),
        ("hip,75.89\n", "slope-factor-on-plan"),
        ("hip,101.82\n", "hip-factor-on-plan"),
        ("eave,64\n", "half-size"),
        ("eave,39.01\n", "metres-for-feet"),
        ("ridge,32\n", "double-size"),
        ("plan hip,72\n", "true-for-plan"),
    ] {
        let told = lengths_told(hip, list);
        assert_eq!(told.len(), 1, "{list}");
        assert_eq!(told[0].0, Verdict::Differs, "{list}");
        assert_eq!(told[0].1.first(), Some(&cause), "{list}: {told:?}");
    }
    for list in [
        "plan hip,67.88\n",
        "hip,67.88,plan\n",
        "valley,0\n",
        "eave,128 lf\n",
        "eave,39014.4,mm\n",
        "edge,length_ft2\nhip,72\n",
    ] {
        assert_eq!(
            lengths_told(hip, list),
            [(Verdict::Agrees, Vec::new())],
            "{list}"
        );
    }
    let (_, stated) = review(hip, Some("total,960,plan\n"), &ReviewSettings::default());
    assert_eq!(stated.verdict(), Verdict::Agrees);
}

#[test]
fn a_total_that_is_not_the_sum_of_the_faces_stated_with_it_is_told() {
    let hip = include_bytes!("../../fixtures/roofs/hip-40x24-6in12/plan.svg");
    let told = |total: f64| {
        let list = format!("N1,375.7\nE1,161\nS1,375.7\nW1,161\ntotal,{total}\n");
        let (_, review) = review(hip, Some(&list), &ReviewSettings::default());
        review
            .findings
            .iter()
            .any(|f| f.code == "stated-sum-differs")
    };
    assert!(told(1200.0) && !told(1073.3));
}

#[test]
fn an_area_in_words_that_are_not_known_is_told_and_not_passed_over() {
    let plan = String::from_utf8(gable()).unwrap();
    for text in [
        "ROOF AREA 960 SF MAX",
        "roof area 1.073,3 ft²",
        "ROOF AREA 960 SF (9.6 SQ)",
    ] {
        let label = format!("<text x=\"20\" y=\"20\" font-size=\"9\">{text}</text></svg>");
        let plan = plan.replace("</svg>", &label);
        let (_, review) = review(plan.as_bytes(), None, &ReviewSettings::default());
        let codes: Vec<&str> = review.findings.iter().map(|f| f.code).collect();
        assert!(codes.contains(&"stated-area-unread"), "{text}: {codes:?}");
        assert!(!codes.contains(&"nothing-stated"), "{text}: {codes:?}");
        assert_eq!((review.not_compared, review.areas.len()), (1, 0));
    }
}

/// A gable of 40 by 24 ft at 6 in 12 with its ridge off the middle: the eaves come out level with each other only where it is
/// in the middle.
#[test]
fn a_ridge_of_a_gable_that_is_off_the_middle_is_told_with_the_distance() {
    let told = |off: f64| {
        let ridge = 12.0 + off;
        let y = |ft: f64| 600.0 - 10.0 * ft;
        let svg = format!(
            r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 800"><g id="roof" fill="none" stroke="#000">
<polygon points="50,{s} 450,{s} 450,{n} 50,{n}"/><line x1="50" y1="{r}" x2="450" y2="{r}"/></g>
<g id="pitch" font-size="10"><text x="250" y="{a}">6/12</text><text x="250" y="{b}">6/12</text></g>
<g id="dims" stroke="#000"><line x1="50" y1="700" x2="450" y2="700"/><text x="240" y="696" font-size="10">40'</text></g></svg>"##,
            s = y(0.0),
            n = y(24.0),
            r = y(ridge),
            a = y(6.0),
            b = y(18.0),
        );
        let (_, review) = review(svg.as_bytes(), None, &ReviewSettings::default());
        let mut told = review
            .findings
            .iter()
            .filter(|f| f.code == "drawn-not-implied");
        told.next().map(|f| f.message.clone())
    };
    assert_eq!(told(0.4), None);
    for (off, words) in [(0.6, "0.60 ft"), (1.0, "1.00 ft"), (1.5, "1.50 ft")] {
        let message = told(off).unwrap();
        assert!(message.contains(words), "{message}");
    }
}

/// 960 for the 1,073.31 of the roof would be told as −10.6 %: it may not be lost with what looks like a head.
#[test]
fn a_first_line_with_a_number_that_cannot_be_read_is_no_head() {
    for list in [
        "# list\nGarage,approx 480\nS1,536.66\n",
        "Total area of roof,$960\n",
        "Whole,A2 960\n",
        "face,2026 areas\nS1,536.66\n",
    ] {
        let wrong = AgainstList::parse(list, false).unwrap_err();
        assert!(wrong[0].message.contains("is no figure for"), "{wrong:?}");
    }
    // A figure that can be read is kept, whatever its name.
    let list = AgainstList::parse("Whole,±960 sf\n", false).unwrap();
    assert_eq!(list.rows().len(), 1);
    for head in [
        "face,area ft2",
        "face,area (m²)",
        "Face,AREA_FT^2",
        "name,figure,unit",
    ] {
        let list = AgainstList::parse(&format!("{head}\nS1,480\n"), false).unwrap();
        assert_eq!(list.rows().len(), 1, "{head}");
    }
}

#[test]
fn a_message_shows_the_beginning_of_a_long_cell() {
    let long = "x".repeat(1_000_000);
    for list in [
        format!("S1,{long}\n"),
        format!("S1;{long}\n"),
        format!("S1,1,2,{long}\n"),
        format!("S1,{}\n", "1,".repeat(100_000)),
    ] {
        let wrong = AgainstList::parse(&list, false).unwrap_err();
        assert!(wrong[0].message.len() < 400, "{}", wrong[0].message.len());
    }
    let drawing = Drawing::read(&gable(), &ReadOptions::default()).unwrap();
    let roof = roof_of(&gable()).unwrap();
    let list = AgainstList::parse(&format!("{long}7,480\n"), false).unwrap();
    let wrong = Review::of(&drawing, &roof, Some(&list), &ReviewSettings::default()).unwrap_err();
    assert!(wrong[0].message.contains('…') && wrong[0].message.len() < 400);
}

/// The porch of the README's house is 4 in 12 before 8 in 12, with the change of pitch drawn along its whole head.
#[test]
fn a_change_of_pitch_that_is_drawn_where_it_is_implied_is_not_told() {
    let at = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/quillback-road.svg");
    let (_, review) = review(&fs::read(at).unwrap(), None, &ReviewSettings::default());
    let codes: Vec<&str> = review.findings.iter().map(|f| f.code).collect();
    assert!(
        !codes.contains(&"implied-not-drawn"),
        "{:?}",
        review.findings
    );
    assert!(
        !codes.contains(&"drawn-not-implied"),
        "{:?}",
        review.findings
    );
}

/// A hip of 40 × 24 ft, all 6 in 12, with its ridge 11 ft from one eave and 13 from the other: the hips begin in the true corners,
/// and how high the eaves lie comes of lines along which planes do not meet.
#[test]
fn lines_along_which_planes_do_not_meet_are_not_held_against_a_roof_that_comes_of_them() {
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 700 600"><g stroke="black" fill="none">
        <rect x="100" y="100" width="400" height="240"/>
        <path d="M100 100L220 210L380 210L500 100M100 340L220 210M500 340L380 210"/></g>
        <g id="dims"><line x1="100" y1="520" x2="500" y2="520" stroke="blue"/><text x="280" y="515" font-size="14">40'</text></g>
        <text x="300" y="140">6/12</text><text x="300" y="300">6/12</text><text x="460" y="222">6/12</text><text x="130" y="222">6/12</text></svg>"##;
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let options = eavewright::roof::RoofOptions {
        solve: eavewright::roof::SolveOptions {
            tell_misfits: true,
            ..Default::default()
        },
        ..Default::default()
    };
    let roof = Roof::from_drawing(&drawing, &options).unwrap();
    let review = Review::of(&drawing, &roof, None, &ReviewSettings::default()).unwrap();
    assert!(review.lines_off > 0);
    let lines = [
        "drawn-not-implied",
        "implied-not-drawn",
        "lines-not-compared",
    ];
    let told = review.findings.iter().filter(|f| lines.contains(&f.code));
    let told: Vec<(&str, bool)> = told
        .map(|f| {
            (
                f.code,
                f.message.contains("This ridge is drawn 1.00 ft from"),
            )
        })
        .collect();
    assert_eq!(
        told,
        [("lines-not-compared", false), ("drawn-not-implied", true)]
    );
}
