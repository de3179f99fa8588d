//! Lists of stated figures: their heads, their columns, and what is told of those that cannot be read.

use std::fs;
use std::path::Path;

use eavewright::Severity;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::review::{AgainstList, Review, ReviewSettings, Verdict};

use crate::support::roof_of;

/// The gable of 40 × 24 ft at 6 in 12: a face has 480 ft² of plan and 536.66 on the slope, 49.86 m² or 5.367 squares; its eaves
/// are 80 ft.
fn reviewed(list: &str, metric: bool) -> Review {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/roofs/gable-40x24-6in12");
    let svg = fs::read(folder.join("plan.svg")).unwrap();
    let drawing = Drawing::read(&svg, &ReadOptions::default()).unwrap();
    let list = AgainstList::parse(list, metric).unwrap();
    let settings = ReviewSettings {
        metric,
        ..ReviewSettings::default()
    };
    Review::of(&drawing, &roof_of(&svg).unwrap(), Some(&list), &settings).unwrap()
}

#[test]
fn the_unit_in_the_head_of_a_list_is_that_of_its_bare_figures() {
    for list in [
        "Face,Area (m2)\nS1,49.86\n",
        "Face,m2\nS1,49.86\n",
        "Face,Area m²,\nS1,49.86\n",
        "face,area_m^2\nS1,49.86\n",
        "Face,Area,m²\nS1,49.86\n",
        "Face,Area [sq. m]\nS1,49.86\n",
        "Face,Squares\nS1,5.367\n",
        "Area,Value (squares)\nS1,5.367\n",
        "Face,Area (sq ft)\nS1,536.7\n",
        "Face,Plan area (sq ft)\nS1,480\n",
        "Face,ft2 plan\nS1,480\n",
        "Face,Area (m2 plan)\nS1,44.59\n",
        "Edge,Length (mm)\neave,24384\n",
        "Edge,Length (lin ft)\neave,80\n",
        "Edge,metres\neave,24.38\nS1,49.86\n",
        "Face,Square footage\nS1,536.7\n",
        "Face,Sq. footage\nS1,536.7\n",
        "Face,Square ft\nS1,536.7\n",
        "Face,Area (square foot)\nS1,536.7\n",
        "Face,Plan area sq.ft.\nS1,480\n",
        "Face,Square meter\nS1,49.86\n",
        "Face,Area (square metre)\nS1,49.86\n",
        "Face,Sq. Mtrs\nS1,49.86\n",
        "Face,Square area,ft2\nS1,536.7\n",
        // A square by itself is one of roofing.
        "Face,Sq\nS1,5.367\n",
        "Face,Area in squares\nS1,5.367\n",
        "Face,Area (sq plan)\nS1,4.8\n",
        "Edge,Length (in)\neave,960\n",
        "Edge,length_in\neave,960\n",
        "Edge,Length,in\neave,960\n",
        "Edge,Length (in) plan\nrake,576\n",
        "Edge,Length in feet\neave,80\n",
        "Edge,Length in,ft\neave,80\n",
        "Edge,Length in plan\nrake,48\n",
        // Plan stands over the units too.
        "Face,Area,plan ft2\nS1,480\n",
        "Face,Area,plan\nS1,480\n",
        "Face,Area,ft2 plan\nS1,480\nN1,536.7,true\n",
        // A head of areas says nothing about lengths, nor one of lengths about areas.
        "Face,Plan area (ft2)\nS1,480\nrake,53.67\n",
        "Edge,Plan length (ft)\nrake,48\nS1,536.7\n",
        "Name,Plan figures\nrake,48\nS1,480\n",
        // What says its own unit, or its own surface, is as it says.
        "Face,m2\nS1,536.7 sf\nN1,536.7,ft2\neave,80 ft\n",
        "Face,Plan area m2\nS1,49.86,true\n",
    ] {
        let review = reviewed(list, false);
        // Nothing of the list went unread.
        assert_eq!(
            review.verdicts().count(),
            list.lines().count() - 1,
            "{list}"
        );
        assert_eq!(
            review.verdict(),
            Verdict::Agrees,
            "{list}: {:?}",
            review.areas
        );
    }
    // Roofing squares are of no system of lengths: a metric job's eaves stay in metres.
    let squares = reviewed("Face,Squares\nS1,5.3666\neave,24.384\n", true);
    assert_eq!(squares.verdict(), Verdict::Agrees, "{:?}", squares.lengths);
    assert_eq!(squares.findings.len(), 0, "{:?}", squares.findings);
    // A metric job's list may be headed in feet.
    assert_eq!(
        reviewed("Face,ft2\nS1,536.7\n", true).verdict(),
        Verdict::Agrees
    );
}

#[test]
fn a_head_of_another_system_of_units_is_told_and_one_that_is_not_known_warned_about() {
    let of_list = |list: &str, metric: bool| -> Vec<(&'static str, Severity)> {
        let told = reviewed(list, metric).findings.into_iter();
        told.filter(|f| f.code.starts_with("against-"))
            .map(|f| (f.code, f.severity))
            .collect()
    };
    let other = [("against-head-unit", Severity::Note)];
    assert_eq!(of_list("Face,Area (m2)\nS1,49.86\n", false), other);
    assert_eq!(of_list("Face,Area (ft2)\nS1,536.7\n", true), other);
    for list in [
        "Face,Area (qm)\nS1,536.7\n",
        "Face,Area km²\nS1,536.7\n",
        "Face,Square area\nS1,536.7\n",
        "Face,Square yards\nS1,536.7\n",
        "Face,Area sq in\nS1,536.7\n",
        "Face,Area,Square yards\nS1,536.7\n",
    ] {
        let unread = [("against-head-unread", Severity::Warning)];
        assert_eq!(of_list(list, false), unread, "{list}");
    }
    for list in [
        "Face,Area (m2)\nS1,49.86\n",
        "Face,Stated roof area\nS1,49.86\n",
        "Face,From plan A\nS1,49.86\n",
    ] {
        assert_eq!(of_list(list, true), [], "{list}");
    }
}

#[test]
fn a_pitch_or_a_number_in_a_column_of_its_own_is_no_decimal_comma() {
    let wrong = |list: &str| AgainstList::parse(list, false).unwrap_err();
    for (list, what) in [
        ("1,S1,536.66\n", "“536.66” stands in a third column"),
        (
            "Face,Area,Pitch\nS1,536.66,6/12\n",
            "“6/12” stands in a third column",
        ),
        (
            "Face,Area,Pitch\nS1,537,6/12\n",
            "“6/12” stands in a third column",
        ),
        ("S1,536.66,26.57\n", "“26.57” stands in a third column"),
    ] {
        let told = &wrong(list)[0];
        assert_eq!(told.code, "against-columns", "{told:?}");
        assert!(told.message.contains(what), "{told:?}");
    }
    for list in ["S1,536,66\n", "S1,1,073.3\n", "S1,49,86 m2\n"] {
        assert_eq!(wrong(list)[0].code, "against-decimal-comma", "{list}");
    }
}

/// One face right and one in plan: 536.66 + 480 is not the total, so that nothing cancels.
#[test]
fn errors_cancel_only_where_the_stated_faces_come_to_the_stated_total() {
    for (list, code) in [
        ("N1,536.66\nS1,480\ntotal,1073.31\n", "total-alone-agrees"),
        ("S1,480\ntotal,1073.31\n", "total-alone-agrees"),
        ("N1,593.3\nS1,480\ntotal,1073.3\n", "errors-cancel"),
        (
            "plan N1,530\nplan S1,430\nplan total,960\n",
            "errors-cancel",
        ),
        ("S1,480\nplan total,960\n", "total-alone-agrees"),
    ] {
        let findings = reviewed(list, false).findings;
        let told: Vec<_> = (findings.iter())
            .filter(|f| ["total-alone-agrees", "errors-cancel"].contains(&f.code))
            .collect();
        assert_eq!(told.len(), 1, "{list}: {findings:?}");
        assert_eq!(told[0].code, code, "{list}");
        if code == "total-alone-agrees" {
            let message = &told[0].message;
            assert!(
                message.contains("what is stated of face S1 does not"),
                "{message}"
            );
        }
    }
}

#[test]
fn a_point_before_the_first_digit_counts_and_an_area_below_nothing_is_refused() {
    for (list, sqft) in [
        ("S1,.9 squares\n", 90.0),
        ("total,.5\n", 0.5),
        ("S1,.9,squares\n", 90.0),
    ] {
        let review = reviewed(list, false);
        assert!((review.areas[0].stated_sqft - sqft).abs() < 1e-9, "{list}");
    }
    for list in [
        "S1,-537 sf\n",
        "S1,-537\n",
        "S1,- 537 sf\n",
        "S1,-537,sf\n",
        "S1,-.5 squares\n",
    ] {
        let wrong = AgainstList::parse(list, false).unwrap_err();
        assert_eq!(wrong[0].code, "against-unreadable", "{list}");
    }
}
