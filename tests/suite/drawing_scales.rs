//! Scales in drawings' titles, and figures that give none.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::{Finding, Severity};

/// A gable on a page of 420 × 297 mm, 200 × 120 mm on paper, with these texts.
fn page(texts: &[&str], options: &ReadOptions) -> Result<Drawing, Vec<Finding>> {
    let written: Vec<String> = (texts.iter().enumerate())
        .map(|(i, text)| {
            format!(
                r#"<text x="300" y="{}" font-size="4">{text}</text>"#,
                200 + 20 * i
            )
        })
        .collect();
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="420mm" height="297mm" viewBox="0 0 420 297">
        <g fill="none" stroke="black"><rect x="50" y="20" width="200" height="120"/><path d="M50 80H250"/></g>
        <g font-size="4"><text x="150" y="50">30°</text><text x="150" y="110">30°</text></g>{}</svg>"#,
        written.concat()
    );
    Drawing::read(svg.as_bytes(), options)
}

fn metric() -> ReadOptions {
    ReadOptions {
        metric_job: true,
        ..ReadOptions::default()
    }
}

/// 200 mm of paper at 1:50 are 10 m.
#[test]
fn the_scale_in_the_title_of_a_roof_plan_is_read() {
    for title in ["M 1:50", "DACHPLAN 1:50", "Roof Plan 1:50", "Maßstab 1:50"] {
        let drawing = page(&[title], &metric()).unwrap();
        let metres = 200.0 * drawing.scale.feet_per_unit * 0.3048;
        assert!((metres - 10.0).abs() < 1e-6, "{title}: {metres}");
    }
    // Of several titles the roof's; none where a scale is written in so many words.
    let drawing = page(&["SITE PLAN 1:500", "ROOF PLAN 1:50"], &metric()).unwrap();
    assert!((drawing.scale.feet_per_unit * 200.0 * 0.3048 - 10.0).abs() < 1e-6);
    for others in [
        ["SITE PLAN 1:200", "ROOF 1:50"],
        ["SITE PLAN 1:500", "DACHAUFSICHT 1:50"],
        ["FLOOR PLAN 1:100", "ROOF LAYOUT 1:50"],
    ] {
        let drawing = page(&others, &metric()).unwrap();
        assert!((drawing.scale.feet_per_unit * 200.0 * 0.3048 - 10.0).abs() < 1e-6);
    }
    let drawing = page(&["SITE PLAN 1:500", "SCALE 1:50"], &metric()).unwrap();
    assert!((drawing.scale.feet_per_unit * 200.0 * 0.3048 - 10.0).abs() < 1e-6);
}

#[test]
fn a_ratio_of_a_slope_or_without_a_word_for_a_scale_gives_none_and_is_named() {
    for (text, is_named) in [
        ("SLOPE 1:50", false),
        ("DRAUFSICHT 1:50", true),
        ("WALL SECTION, SEE PLAN 1:20", true),
        ("KEY PLAN 1:500", true),
        ("ROOF DETAIL 1:20", true),
    ] {
        let refused = page(&[text], &metric()).unwrap_err();
        let finding = refused.iter().find(|f| f.code == "no-scale").unwrap();
        assert_eq!(finding.severity, Severity::Error);
        assert_eq!(finding.message.contains(text), is_named, "{finding:?}");
    }
}

/// Metres with a decimal comma are no millimetres between thousands.
#[test]
fn figures_with_decimals_and_no_unit_are_named_and_not_taken_for_millimetres() {
    for text in ["11,58", "11.58"] {
        let dimension = format!(
            r#"</text><path d="M50 160H250" stroke="black"/><text x="150" y="158" font-size="4">{text}"#
        );
        let refused = page(&[&dimension], &metric()).unwrap_err();
        let finding = refused.iter().find(|f| f.code == "no-scale").unwrap();
        assert!(
            finding.message.contains(&format!("“{text}”")),
            "{finding:?}"
        );
        let drawing = page(&[&dimension, "SCALE 1:50"], &metric()).unwrap();
        assert!((drawing.scale.feet_per_unit * 200.0 * 0.3048 - 10.0).abs() < 1e-6);
    }
}

/// A gable on a page of 17 × 11 in, 5.5 in long on paper, with these texts at their places, in points.
fn tabloid(texts: &[(u32, u32, &str)], more: &str) -> Result<Drawing, Vec<Finding>> {
    let texts: String = texts
        .iter()
        .map(|(x, y, text)| format!(r#"<text x="{x}" y="{y}">{text}</text>"#))
        .collect();
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="17in" height="11in" viewBox="0 0 1224 792" font-size="8" text-anchor="middle">
        <g fill="none" stroke="black"><rect x="100" y="248" width="396" height="252"/><path d="M100 374H496"/>{more}</g>
        <text x="226" y="446">6:12</text><text x="226" y="320">6:12</text>{texts}</svg>"#
    );
    Drawing::read(svg.as_bytes(), &ReadOptions::default())
}

#[track_caller]
fn assert_long_ft(drawing: &Drawing, long_ft: f64) {
    let by_scale = 396.0 * drawing.scale.feet_per_unit;
    assert!((by_scale - long_ft).abs() < 1e-6, "{by_scale}");
}

#[track_caller]
fn refused_by(result: Result<Drawing, Vec<Finding>>, code: &str) -> Finding {
    let errors = result.unwrap_err();
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert_eq!(errors[0].code, code);
    errors[0].clone()
}

/// A1 is twice as long and as wide as A3 (ISO 216): 1:100 there is 1:200 here.
#[test]
fn a_scale_of_a_larger_sheet_is_no_scale_of_its_reduced_print() {
    for texts in [
        &["SCALE 1:100 @ A1"][..],
        &["1:100 @ 594 x 841"],
        &["ROOF PLAN 1:100 (A1)"],
        &["SCALE 1:100", "1:100 @ A1"],
    ] {
        let finding = refused_by(page(texts, &metric()), "scale-of-another-sheet");
        for ratio in ["--scale 1:200", "--scale 1:100."] {
            assert!(finding.remedy.contains(ratio), "{}", finding.remedy);
        }
    }
    // 1/4" on a sheet twice as long and wide is 1/8" here; 24 × 36 has another shape than 11 × 17.
    let written = |scale: &str| tabloid(&[(298, 536, "ROOF PLAN"), (298, 554, scale)], "");
    let half = refused_by(written(r#"1/4" = 1'-0" @ 22x34"#), "scale-of-another-sheet");
    assert!(half.remedy.contains("--scale 1:96;"), "{}", half.remedy);
    for scale in [r#"1/4" = 1'-0" (24x36)"#, "1:48 @ FULL SIZE"] {
        let unlike = refused_by(written(scale), "scale-of-another-sheet");
        assert!(unlike.remedy.contains("--scale 1:48"), "{}", unlike.remedy);
        assert!(unlike.remedy.contains("20ft=283.5"), "{}", unlike.remedy);
    }
    assert_long_ft(&written(r#"1/8" = 1'-0" @ 11x17"#).unwrap(), 44.0);
}

/// 200 mm of paper at 1:50 are 10 m.
#[test]
fn of_the_scales_of_several_sheets_the_one_of_this_page_is_taken() {
    for texts in [
        &["1:25 @ A1, 1:50 @ A3"][..],
        &["ROOF PLAN 1:25 (A1) 1:50 (A3)"],
        &["SCALE 1:25 @ A1", "SCALE 1:50 @ A3"],
        &["SCALE 1:25 @ A1", "SCALE 1:50"],
        &["SCALE 1:50 @ A3"],
    ] {
        let drawing = page(texts, &metric()).unwrap();
        let metres = 200.0 * drawing.scale.feet_per_unit * 0.3048;
        assert!((metres - 10.0).abs() < 1e-6, "{texts:?}: {metres}");
    }
}

#[test]
fn a_scale_of_another_sheet_leaves_the_dimensions_to_say() {
    let dimension = r#"</text><path d="M50 160H250" stroke="black"/><text x="150" y="158" font-size="4">10.00 m"#;
    let drawing = page(&[dimension, "SCALE 1:25 @ A1"], &metric()).unwrap();
    assert!((drawing.scale.feet_per_unit * 200.0 * 0.3048 - 10.0).abs() < 1e-6);
    let told = drawing.findings.iter();
    let told = told.filter(|f| f.code == "written-scale-unused").count();
    assert_eq!(told, 1);
}

#[test]
fn a_scale_under_the_title_of_another_drawing_says_nothing_of_the_roof() {
    for (title, scale) in [
        ("SITE PLAN", r#"SCALE: 1" = 20'"#),
        ("SECTION A", r#"1/4" = 1'-0""#),
        ("EAVE DETAIL", "SCALE: 1:10"),
        ("LAGEPLAN", "M 1:500"),
        ("FLOOR PLAN", "1:100"),
    ] {
        let beneath = [
            (298, 536, "ROOF PLAN"),
            (910, 536, title),
            (910, 554, scale),
        ];
        let finding = refused_by(tabloid(&beneath, ""), "no-scale");
        assert!(finding.message.contains(title), "{}", finding.message);
        let aside = [
            (298, 536, "ROOF PLAN"),
            (850, 536, title),
            (940, 536, scale),
        ];
        refused_by(tabloid(&aside, ""), "no-scale");
        // 396 units are 44 ft.
        let line = r#"<path d="M100 203H496M96 207L104 199M492 207L500 199"/>"#;
        let measured = [&beneath[..], &[(298, 200, "44'-0\"")]].concat();
        assert_long_ft(&tabloid(&measured, line).unwrap(), 44.0);
    }
    refused_by(
        tabloid(&[(910, 554, "SITE PLAN - SCALE: 1:500")], ""),
        "no-scale",
    );
}

/// 5.5 in of paper at 1/8" to the foot are 44 ft.
#[test]
fn a_scale_under_the_roofs_title_or_under_none_is_the_roofs() {
    let scale = r#"1/8" = 1'-0""#;
    let of_site = [(910, 536, "SITE PLAN"), (910, 554, r#"SCALE: 1" = 20'"#)];
    for titles in [
        &[(298, 536, "ROOF PLAN")][..],
        &[(298, 528, "ROOF PLAN"), (298, 536, "NORTH WING")],
        &[(298, 536, "MILLER HOUSE")],
        &[(298, 536, "PLAN VIEW")],
        &[(200, 554, "ROOF PLAN")],
        &[(700, 554, "SITE PLAN")],
        &[],
    ] {
        let texts = [titles, &[(298, 554, scale)]].concat();
        assert_long_ft(&tabloid(&texts, "").unwrap(), 44.0);
        let with_site = [&texts[..], &of_site].concat();
        assert_long_ft(&tabloid(&with_site, "").unwrap(), 44.0);
    }
}

/// A ratio without a word for what it is of does not go before the title of the roof's plan; sections and details do not count.
#[test]
fn a_scale_without_a_name_does_not_go_before_the_one_in_the_roofs_title() {
    let title = "ROOF PLAN 1:50";
    let found = refused_by(page(&[title, "SCALE 1:20"], &metric()), "scales-disagree");
    assert!(
        found.message.contains("1:20") && found.message.contains("1:50"),
        "{found:?}"
    );
    for other in [
        "ROOF SECTIONS 1:20",
        "SITE PLAN SCALE 1:500",
        "DETAIL A SCALE 1:5",
    ] {
        let drawing = page(&[title, other], &metric()).unwrap();
        let metres = 200.0 * drawing.scale.feet_per_unit * 0.3048;
        assert!((metres - 10.0).abs() < 1e-6, "{other}: {metres}");
    }
}
