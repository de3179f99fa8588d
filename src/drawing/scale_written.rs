//! What written scales say on this page, and why one says nothing here.

use std::collections::BTreeSet;

use super::frame::{Frame, Paper};
use super::scale::{Evidence, Opinion, place_of};
use super::text::{ScaleText, Sheet};
use crate::Finding;
use crate::finding::excerpt;
use crate::units::number;

/// Written scales of one sheet are the same to this part: what is written is exact.
const SAME: f64 = 1e-6;

/// A written scale says something only on paper, and only on the sheet that it names.
pub(super) fn of_written(
    scale: &ScaleText,
    words: Option<usize>,
    frame: &Frame,
) -> Option<Opinion> {
    let paper = frame.paper.as_ref()?;
    let (feet_per_paper_inch, text) = on_page(scale, paper)?;
    Some(Opinion {
        feet_per_unit: feet_per_paper_inch * paper.inches_per_unit,
        rounding: paper.rounding,
        sure: true,
        doubted: false,
        from: format!("the written scale {text} on a page of {}", paper.text),
        words,
        metric: false,
        on_page: true,
        over: 0.0,
    })
}

/// Feet for an inch of this page, and the text that says so.
fn on_page<'s>(scale: &'s ScaleText, paper: &Paper) -> Option<(f64, &'s str)> {
    let ScaleText::Paper {
        feet_per_paper_inch,
        sheets,
        text,
    } = scale
    else {
        return None;
    };
    let here = match sheets[..] {
        [] => Some(*feet_per_paper_inch),
        _ => {
            let mut sheets = sheets.iter();
            let here = sheets.find(|s| s.sheet.is_page(paper.sides_in));
            here.map(|s| s.feet_per_paper_inch)
        }
    };
    Some((here?, text))
}

/// The written scales that hold on a sheet of another size than this page, by their places among all. One that names no sheet
/// repeats one that does where both say the same.
pub(super) fn of_other_sheets(evidence: &Evidence<'_>) -> BTreeSet<usize> {
    let Some(paper) = &evidence.frame.paper else {
        return BTreeSet::new();
    };
    let all = || evidence.written.iter().map(|(_, scale)| scale);
    let names_another = |scale: &&ScaleText| on_page(scale, paper).is_none();
    let mut theirs: Vec<f64> = all().filter(names_another).filter_map(per_inch).collect();
    theirs.sort_by(f64::total_cmp);
    let repeats = |scale: &ScaleText| {
        let Some(ours) = per_inch(scale) else {
            return false;
        };
        let next = theirs.partition_point(|&of_theirs| of_theirs < ours * (1.0 - SAME));
        let is_same = |of_theirs: &f64| *of_theirs <= ours * (1.0 + SAME);
        !names_a_sheet(scale) && theirs.get(next).is_some_and(is_same)
    };
    let elsewhere = all().enumerate();
    elsewhere
        .filter(|(_, scale)| names_another(scale) || repeats(scale))
        .map(|(i, _)| i)
        .collect()
}

fn per_inch(scale: &ScaleText) -> Option<f64> {
    match scale {
        ScaleText::Paper {
            feet_per_paper_inch,
            ..
        } => Some(*feet_per_paper_inch),
        ScaleText::Units { .. } => None,
    }
}

fn names_a_sheet(scale: &ScaleText) -> bool {
    matches!(scale, ScaleText::Paper { sheets, .. } if !sheets.is_empty())
}

/// A scale of another sheet, where nothing else gives one.
pub(super) fn another_sheet(
    scale: &ScaleText,
    words: Option<usize>,
    evidence: &Evidence<'_>,
) -> Option<Finding> {
    let ScaleText::Paper {
        feet_per_paper_inch,
        sheets,
        text,
    } = scale
    else {
        return None;
    };
    let paper = evidence.frame.paper.as_ref()?;
    let first = sheets.first()?;
    let ratio = |feet_per_paper_inch: f64| number::typed(12.0 * feet_per_paper_inch, 1);
    let reduced = sheets.iter().find_map(|s| {
        let times = s.sheet.times_of_page(paper.sides_in)?;
        Some(ratio(times * s.feet_per_paper_inch))
    });
    let same = ratio(*feet_per_paper_inch);
    let by_hand = match reduced {
        Some(here) => format!(
            "If the whole sheet was printed on this page, larger or smaller, give --scale 1:{here}; if the page was only cut \
             out of it, --scale 1:{same}."
        ),
        None => format!(
            "If the page is that sheet, or was cut out of it, give --scale 1:{same}; if it was printed larger or smaller, \
             --scale 20ft=283.5 (a true length and the same length in drawing units)."
        ),
    };
    let message = of_which_sheet(text, &first.sheet, paper);
    let finding = Finding::error("scale-of-another-sheet", message).remedy(format!(
        "Draw one dimension line with its true length as text. {by_hand}"
    ));
    Some(finding.at_place(place_of(words, evidence)))
}

/// A scale of another sheet, where something else gives one.
pub(super) fn unused(
    scale: &ScaleText,
    words: Option<usize>,
    evidence: &Evidence<'_>,
) -> Option<Finding> {
    let ScaleText::Paper { sheets, text, .. } = scale else {
        return None;
    };
    let paper = evidence.frame.paper.as_ref()?;
    let message = of_which_sheet(text, &sheets.first()?.sheet, paper) + " It was not used.";
    let finding = Finding::note("written-scale-unused", message);
    Some(finding.at_place(place_of(words, evidence)))
}

fn of_which_sheet(text: &str, sheet: &Sheet, paper: &Paper) -> String {
    let here = match sheet.sides_in {
        Some(_) => "and this page is of another size",
        None => "and nothing tells whether this page is that sheet",
    };
    format!(
        "The written scale {} holds on the sheet that it names, {}, {here}: {}.",
        excerpt(text),
        excerpt(&sheet.text),
        paper.text
    )
}
