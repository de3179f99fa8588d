//! From all that says something about the scale to the one scale.

use super::dimension::Dimension;
use super::frame::Frame;
use super::scale_title::OfAnother;
use super::scale_written::{another_sheet, of_other_sheets, of_written, unused};
use super::text::{LengthUnit, ScaleText};
use super::words::Words;
use super::{Scale, element::Element, label};
use crate::finding::excerpt;
use crate::units::number;
use crate::{Finding, Place};

/// Two scales further apart than this disagree.
const AGREE: f64 = 0.01;

/// The longest dimension that is believed, in feet: nearly two miles.
const LONGEST_FT: f64 = 10_000.0;

/// Texts named in one finding.
const MOST_NAMED: usize = 6;

/// Ends of a dimension line that were moved by more than this part of it are told.
const MOVED: f64 = 0.005;

/// What the drawing and the command line say.
pub(super) struct Evidence<'a> {
    pub(super) given: Option<&'a ScaleText>,
    pub(super) frame: &'a Frame,
    pub(super) dimensions: &'a [Dimension],
    /// Scale bars, from their 0 to their last number.
    pub(super) bars: &'a [Dimension],
    /// Written scales with the number of their text.
    pub(super) written: &'a [(usize, ScaleText)],
    /// Written scales of other drawings on the sheet, with their titles.
    pub(super) of_others: &'a [OfAnother],
    pub(super) words: &'a [Words],
    pub(super) elements: &'a [Element],
    /// What a whole number without a unit means.
    pub(super) bare: Option<LengthUnit>,
    /// Lengths that stand beside no line.
    pub(super) loose: &'a [usize],
    /// Lengths beside a line in pieces, of one of them or of all.
    pub(super) in_doubt: &'a [usize],
    /// Lengths that share a line with others.
    pub(super) shared: &'a [usize],
    /// Texts with a length in them that are none.
    pub(super) unread: &'a [usize],
    /// Texts that end in a ratio and are no scale that is believed.
    pub(super) ratios: &'a [usize],
    /// Whole numbers that are lengths where the job is metric.
    pub(super) bare_numbers: &'a [usize],
    /// Texts that say that a drawing is not to scale.
    pub(super) not_to_scale: &'a [usize],
}

/// One opinion about the scale.
pub(super) struct Opinion {
    pub(super) feet_per_unit: f64,
    /// How exact it can be, as a part of it.
    pub(super) rounding: f64,
    pub(super) sure: bool,
    /// Whether its text says more than the length.
    pub(super) doubted: bool,
    pub(super) from: String,
    pub(super) words: Option<usize>,
    pub(super) metric: bool,
    /// Whether it is measured by the page's size.
    pub(super) on_page: bool,
    /// For choosing the best of several: the length that it was measured over, in drawing units.
    pub(super) over: f64,
}

/// Chooses the scale. What disagrees with a scale given by hand is told; among what the drawing says itself,
/// disagreement is an error.
pub(super) fn choose(evidence: &Evidence<'_>) -> Result<(Scale, Vec<Finding>), Vec<Finding>> {
    let mut opinions: Vec<Opinion> = evidence
        .dimensions
        .iter()
        .map(|d| of_dimension(d, evidence))
        .collect();
    opinions.sort_by(|a, b| {
        b.sure
            .cmp(&a.sure)
            .then(a.doubted.cmp(&b.doubted))
            .then(b.over.total_cmp(&a.over))
            .then(a.words.cmp(&b.words))
    });
    let elsewhere = of_other_sheets(evidence);
    let mut others = Vec::new();
    for (i, (words, scale)) in evidence.written.iter().enumerate() {
        if !elsewhere.contains(&i) {
            others.extend(of_written(scale, Some(*words), evidence.frame));
        }
    }
    others.extend(evidence.bars.iter().map(|bar| of_bar(bar, evidence)));
    // What is written is exact, and a bar as exact as it is drawn, but on a page whose size is too coarse.
    others.sort_by_key(|o| o.rounding > AGREE);
    opinions.append(&mut others);
    let metric =
        opinions.iter().any(|o| o.metric) && !opinions.iter().any(|o| !o.metric && o.over > 0.0);
    if let Some(given) = evidence.given {
        return by_hand(given, &opinions, metric, evidence);
    }
    let elsewhere = elsewhere.iter().map(|&i| &evidence.written[i]);
    let Some(best) = opinions.first() else {
        let mut errors: Vec<Finding> = elsewhere
            .filter_map(|(words, scale)| another_sheet(scale, Some(*words), evidence))
            .collect();
        if errors.is_empty() {
            errors.push(no_scale(evidence));
        }
        return Err(errors);
    };
    let absurd = evidence.dimensions.iter().chain(evidence.bars);
    let absurd: Vec<Finding> = absurd.filter_map(|d| beyond_sense(d, evidence)).collect();
    if !absurd.is_empty() {
        return Err(absurd);
    }
    let mut findings = Vec::new();
    let mut errors = Vec::new();
    for other in &opinions[1..] {
        let apart = (other.feet_per_unit / best.feet_per_unit - 1.0).abs();
        if apart <= AGREE.max(best.rounding + other.rounding) {
            if apart > AGREE {
                findings.push(disagreement(best, other, evidence, false));
            }
            continue;
        }
        errors.push(disagreement(best, other, evidence, true));
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    if best.over == 0.0 && best.rounding > AGREE {
        return Err(vec![rounded_page(best, evidence)]);
    }
    findings.extend(pixel_note(best, evidence));
    let on_page = opinions.iter().any(|o| o.on_page);
    if !on_page {
        let unused = elsewhere.filter_map(|(words, scale)| unused(scale, Some(*words), evidence));
        findings.extend(unused);
    }
    findings.extend(
        evidence
            .dimensions
            .iter()
            .filter_map(|d| moved_ends(d, best.feet_per_unit, evidence)),
    );
    let unclear = evidence.dimensions.iter();
    findings.extend(unclear.filter_map(|d| one_of_many(d, evidence)));
    findings.extend(unused_lengths(evidence.in_doubt, OF_WHICH_PIECE, evidence));
    findings.extend(unused_lengths(evidence.shared, SHARED, evidence));
    let doubts = evidence.dimensions.iter();
    findings.extend(doubts.filter_map(|d| doubted(d, evidence)));
    let scale = Scale {
        borne_out: on_page && opinions.iter().any(|o| !o.on_page),
        bare: !on_page && evidence.bars.is_empty() && are_bare(evidence),
        ..scale(best.feet_per_unit, best.from.clone(), metric, evidence)
    };
    Ok((scale, findings))
}

/// Whether there are dimensions, and none of them has a unit.
fn are_bare(evidence: &Evidence<'_>) -> bool {
    let has_unit = |d: &Dimension| label::has_unit(&evidence.words[d.words].text);
    !evidence.dimensions.is_empty() && !evidence.dimensions.iter().any(has_unit)
}

fn scale(feet_per_unit: f64, from: String, metric: bool, evidence: &Evidence<'_>) -> Scale {
    Scale {
        feet_per_unit,
        from,
        paper_inches_per_unit: evidence.frame.paper.as_ref().map(|p| p.inches_per_unit),
        metric,
        by_hand: evidence.given.is_some(),
        borne_out: false,
        bare: false,
    }
}

fn of_dimension(dimension: &Dimension, evidence: &Evidence<'_>) -> Opinion {
    Opinion {
        feet_per_unit: dimension.feet_per_unit(),
        rounding: dimension.rounding(),
        sure: dimension.sure,
        doubted: is_doubted(dimension, evidence),
        from: format!("the dimension {}", evidence.words[dimension.words].text),
        words: Some(dimension.words),
        metric: dimension.length.metric,
        on_page: false,
        over: dimension.from.distance(dimension.to),
    }
}

fn of_bar(bar: &Dimension, evidence: &Evidence<'_>) -> Opinion {
    Opinion {
        from: format!("the scale bar from 0 to {}", evidence.words[bar.words].text),
        ..of_dimension(bar, evidence)
    }
}

fn is_doubted(dimension: &Dimension, evidence: &Evidence<'_>) -> bool {
    label::is_doubted(&evidence.words[dimension.words].text, evidence.bare)
}

/// A length that was read though its text says more than the length.
fn doubted(dimension: &Dimension, evidence: &Evidence<'_>) -> Option<Finding> {
    if !is_doubted(dimension, evidence) {
        return None;
    }
    let text = &evidence.words[dimension.words].text;
    let finding = Finding::note(
        "length-with-a-doubt",
        format!(
            "The length “{text}” was read as {} ft: what is written round the number was not weighed.",
            number::decimal(dimension.length.feet, 2)
        ),
    );
    Some(finding.at_place(place_of(Some(dimension.words), evidence)))
}

/// A length that no plan of a roof has.
fn beyond_sense(dimension: &Dimension, evidence: &Evidence<'_>) -> Option<Finding> {
    if dimension.length.feet <= LONGEST_FT {
        return None;
    }
    let text = &evidence.words[dimension.words].text;
    let finding = Finding::error(
        "dimension-beyond-sense",
        format!(
            "The dimension “{}” is longer than {} ft: no plan of a roof has such a length.",
            excerpt(text),
            number::decimal(LONGEST_FT, 0)
        ),
    )
    .remedy(
        "Correct the text, leave it out by --ignore, or give the scale by --scale 20ft=283.5 (a true length and the same length in \
         drawing units).",
    );
    Some(finding.at_place(place_of(Some(dimension.words), evidence)))
}

/// A length with so many lines about it that the nearest may well be another's.
fn one_of_many(dimension: &Dimension, evidence: &Evidence<'_>) -> Option<Finding> {
    if !dimension.one_of_many {
        return None;
    }
    let text = &evidence.words[dimension.words].text;
    let finding = Finding::warning(
        "dimension-line-unclear",
        format!("So many lines run beside the length {text} that the nearest was taken for its own: nothing else tells it."),
    )
    .remedy(
        "Put the dimension and its line on a layer “dimensions”, or its ends on ticks or arrow heads; check one length of the \
         result against the house.",
    );
    Some(finding.at_place(place_of(Some(dimension.words), evidence)))
}

/// A dimension that was measured to lines beside its ends, where nothing but their nearness says that they are its
/// extension lines.
fn moved_ends(
    dimension: &Dimension,
    feet_per_unit: f64,
    evidence: &Evidence<'_>,
) -> Option<Finding> {
    let part = dimension.moved / dimension.from.distance(dimension.to);
    if part <= MOVED {
        return None;
    }
    let text = &evidence.words[dimension.words].text;
    let moved = number::decimal(dimension.moved * feet_per_unit, 2);
    let percent = number::decimal(100.0 * part, 1);
    let finding = if dimension.of_side {
        Finding::note(
            "side-measured-between-corners",
            format!(
                "The length {text} stands beside a side of the roof whose line runs past its corners or stops short of them, \
                 by {moved} ft in all, {percent} % of it: it was measured between the corners."
            ),
        )
    } else {
        Finding::warning(
            "dimension-end-moved",
            format!(
                "The dimension {text} was measured to the lines beside the ends of its own line, {moved} ft from them in \
                 all, {percent} % of its length."
            ),
        )
        .remedy(
            "End the dimension line where its length ends, with a tick or an arrow head, or put it and its extension lines \
             on a layer “dimensions”.",
        )
    };
    Some(finding.at_place(place_of(Some(dimension.words), evidence)))
}

fn by_hand(
    given: &ScaleText,
    opinions: &[Opinion],
    metric: bool,
    evidence: &Evidence<'_>,
) -> Result<(Scale, Vec<Finding>), Vec<Finding>> {
    let (feet_per_unit, rounding) = match given {
        ScaleText::Units { feet_per_unit, .. } => (*feet_per_unit, 0.0),
        ScaleText::Paper { .. } => match of_written(given, None, evidence.frame) {
            Some(opinion) => (opinion.feet_per_unit, opinion.rounding),
            None => {
                let elsewhere = another_sheet(given, None, evidence);
                return Err(vec![
                    elsewhere.unwrap_or_else(|| no_paper(given.text(), evidence)),
                ]);
            }
        },
    };
    let hand = Opinion {
        feet_per_unit,
        rounding,
        sure: true,
        doubted: false,
        from: format!("the scale given, {}", given.text()),
        words: None,
        metric,
        on_page: matches!(given, ScaleText::Paper { .. }),
        over: 0.0,
    };
    let findings = opinions
        .iter()
        .filter(|o| {
            let apart = (o.feet_per_unit / feet_per_unit - 1.0).abs();
            apart > AGREE.max(o.rounding + rounding)
        })
        .map(|o| disagreement(&hand, o, evidence, false))
        .collect();
    Ok((scale(feet_per_unit, hand.from, metric, evidence), findings))
}

pub(super) fn place_of(words: Option<usize>, evidence: &Evidence<'_>) -> Option<Place> {
    let words = &evidence.words[words?];
    Some(Place::of(&evidence.elements[words.element].source))
}

fn disagreement(best: &Opinion, other: &Opinion, evidence: &Evidence<'_>, refuse: bool) -> Finding {
    let percent = (other.feet_per_unit / best.feet_per_unit - 1.0) * 100.0;
    let message = format!(
        "Two scales disagree by {:.1} %: {} makes a drawing unit {:.6} ft, {} makes it {:.6} ft.{}",
        percent.abs(),
        best.from,
        best.feet_per_unit,
        other.from,
        other.feet_per_unit,
        likely_cause(percent, best.on_page || other.on_page),
    );
    let mut finding = if refuse {
        Finding::error("scales-disagree", message).remedy(
            "Choose one with --scale (such as --scale 20ft=283.5, a true length and the same length in drawing units), or \
             correct the drawing. A text that is no dimension of the line beside it is left out by --ignore with its layer, \
             id or colour; where it has none of its own, move it beside its own line or onto a layer named ignore.",
        )
    } else {
        Finding::warning("scales-disagree", message)
            .remedy("The first was used; check one length of the result against the house.")
    };
    for words in [best.words, other.words] {
        finding = finding.at_place(place_of(words, evidence));
    }
    finding
}

/// Ratios that programs are known to make. Those of dots and of page sizes are only made where a page's size is measured by.
fn likely_cause(percent: f64, on_page: bool) -> &'static str {
    let ratio = 1.0 + percent / 100.0;
    let near = |r: f64| (ratio / r - 1.0).abs() < 0.004 || (ratio * r - 1.0).abs() < 0.004;
    if on_page && near(96.0 / 72.0) {
        " That is the ratio of 72 to 96 dots per inch: the file was saved for one and read for the other."
    } else if on_page && near(96.0 / 90.0) {
        " That is the ratio of 90 to 96 dots per inch: the file was saved for one and read for the other."
    } else if near(25.4) {
        " That is the ratio of a millimetre to an inch."
    } else if near(12.0) {
        " That is the ratio of an inch to a foot."
    } else if on_page && percent.abs() < 4.0 {
        " A page size rounded by the program that saved the file makes such a difference."
    } else {
        ""
    }
}

/// A written scale on a drawing in pixels is compared all the same: it should mean 72, 90 or 96 dots per inch.
fn pixel_note(best: &Opinion, evidence: &Evidence<'_>) -> Option<Finding> {
    if evidence.frame.paper.is_some() {
        return None;
    }
    let (words, text, per_inch) =
        evidence
            .written
            .iter()
            .find_map(|(words, scale)| match scale {
                ScaleText::Paper {
                    feet_per_paper_inch,
                    text,
                    ..
                } => Some((*words, text, *feet_per_paper_inch)),
                ScaleText::Units { .. } => None,
            })?;
    let dots = per_inch / best.feet_per_unit;
    let usual = [72.0, 90.0, 96.0, 150.0, 300.0, 600.0];
    if usual.iter().any(|d| (dots / d - 1.0).abs() < AGREE) {
        return None;
    }
    let finding = Finding::note(
        "written-scale-unused",
        format!(
            "The written scale {text} was not used: the drawing has no paper size ({}), and by {} it would mean {dots:.1} \
             drawing units to the inch.",
            evidence.frame.no_paper, best.from
        ),
    );
    Some(finding.at_place(place_of(Some(words), evidence)))
}

/// A page written in whole centimetres or points may be larger or smaller by half of one.
fn rounded_page(best: &Opinion, evidence: &Evidence<'_>) -> Finding {
    let finding = Finding::error(
        "page-size-rounded",
        format!(
            "The only scale is {}, a size that is rounded: lengths may be off by {:.1} %.",
            best.from,
            100.0 * best.rounding
        ),
    )
    .remedy(
        "Draw one dimension line with its true length as text, or give a true length and the same length in drawing units, \
         such as --scale 20ft=283.5.",
    );
    finding.at_place(place_of(best.words, evidence))
}

fn no_paper(text: &str, evidence: &Evidence<'_>) -> Finding {
    Finding::error(
        "scale-without-paper",
        format!(
            "The scale {text} cannot be used: the drawing has no paper size, because {}.",
            evidence.frame.no_paper
        ),
    )
    .remedy(
        "Draw one dimension line with its true length as text, or give a true length and the same length in drawing units, \
         such as --scale 20ft=283.5.",
    )
}

const OF_WHICH_PIECE: &str = "These lengths stand beside a line in several pieces, or one that other lines end on, and may be of a stretch of it or of all";

/// Texts by what they say.
fn named(texts: &[usize], evidence: &Evidence<'_>) -> String {
    let named = texts.iter().take(MOST_NAMED);
    let named = named.map(|&words| format!("“{}”", evidence.words[words].text));
    named.collect::<Vec<String>>().join(", ")
}

const SHARED: &str =
    "These lengths stand side by side along one line, and nothing parts it between them";

/// Lengths that were not used, since nothing tells from where to where they run.
fn unused_lengths(texts: &[usize], why: &str, evidence: &Evidence<'_>) -> Option<Finding> {
    let named = (!texts.is_empty()).then(|| named(texts, evidence))?;
    let mut finding = Finding::note(
        "length-of-which-piece",
        format!("{why}: {named}. They were not used."),
    )
    .remedy("Draw a dimension line of its own beside it, with a tick or an arrow head at both ends, to have it compared.");
    let places = texts.iter().take(MOST_NAMED);
    finding.places = places
        .filter_map(|&words| place_of(Some(words), evidence))
        .collect();
    Some(finding)
}

fn no_scale(evidence: &Evidence<'_>) -> Finding {
    if let Some((words, scale)) = evidence.written.first() {
        let finding = no_paper(scale.text(), evidence);
        return finding.at_place(place_of(Some(*words), evidence));
    }
    let of_the_roof = match evidence.of_others {
        [] => "",
        _ => " of the roof's plan",
    };
    let mut message = format!(
        "The drawing has no scale: no line with a length written beside it, and no written scale{of_the_roof}."
    );
    let mut places = Vec::new();
    for (texts, what) in [
        (
            evidence.unread,
            "A length is in these texts, which cannot be read as one",
        ),
        (evidence.loose, "These lengths stand beside no line"),
        (evidence.in_doubt, OF_WHICH_PIECE),
        (evidence.shared, SHARED),
        (
            evidence.bare_numbers,
            "These whole numbers have no unit, and are millimetres only where the job file or --units says m",
        ),
        (
            evidence.not_to_scale,
            "These texts say that a drawing is not to scale, and what else they say of one was not used",
        ),
        (
            evidence.ratios,
            "The ratio in these texts may be a scale, but nothing in them says so",
        ),
    ] {
        let named = named(texts, evidence);
        if !texts.is_empty() {
            message += &format!(" {what}: {named}.");
        }
        let named = texts.iter().take(MOST_NAMED);
        places.extend(named.filter_map(|&words| place_of(Some(words), evidence)));
    }
    let of_others = evidence.of_others.iter().take(MOST_NAMED);
    for &(scale, title) in of_others.clone() {
        let [scale, title] = [scale, title].map(|i| &evidence.words[i].text);
        message += &match scale == title {
            true => format!(" “{scale}” is the scale of another drawing."),
            false => format!(" “{scale}” belongs to the title “{title}”, of another drawing."),
        };
    }
    places.extend(of_others.filter_map(|&(scale, _)| place_of(Some(scale), evidence)));
    let mut finding = Finding::error("no-scale", message);
    finding.places = places;
    finding
    .remedy(
        "Draw one dimension line with its true length and unit as text (such as 20'-0\" or 6.10 m), or give --scale \
         20ft=283.5 (a true length and the same length in drawing units) or, as written on the sheet, --scale 1:50.",
    )
}
