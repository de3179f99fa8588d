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
