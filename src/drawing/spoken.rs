//! Text that was turned to shapes whose words the file still keeps beside them: for screen readers (`aria-label`), or as
//! the shape's id.
//!
//! The words are read only where the shapes can be their letters: at least one small outline for each, in one line as long
//! as such a text is. That it was done is told.
//!
//! A rise that stands at a pitch triangle, its 12 under the base, may have the whole pitch kept beside it: so this program
//! draws its own plans.

use std::collections::BTreeMap;

use usvg::roxmltree::Node;

use super::extent::Extent;
use super::label::{self, Meaning};
use super::read::Reader;
use super::shape::Shape;
use super::text::LengthUnit;
use super::words::Words;
use crate::geometry::{Point, Vector};
use crate::{Finding, Place};

/// Letters are smaller than this part of the drawing.
const LETTER_OF_DRAWING: f64 = 0.06;
/// A line of text is so many times as long as high, for each of its characters: two lines of text are half as long.
const LEAST_LONG: f64 = 0.28;
const MOST_LONG: f64 = 1.6;
/// A letter has at most so many outlines.
const OUTLINES: usize = 4;
/// Places named in one finding.
const MOST_PLACES: usize = 12;

/// The words that an element keeps for its shapes or its letters, if it may keep any.
pub(super) fn words_of(node: &Node<'_, '_>) -> Option<String> {
    let tag = node.tag_name().name();
    if !matches!(tag, "g" | "path" | "use" | "svg" | "text") {
        return None;
    }
    let kept = node.attribute("aria-label").map(str::trim);
    let kept = kept.or_else(|| {
        // Some programs name a shape by its text, with a number where the name is taken.
        let id = node.attribute("id").filter(|_| tag == "path")?;
        let text = id.trim_end_matches(|c: char| c.is_ascii_digit());
        let text = text.strip_suffix('_').unwrap_or(id);
        let spelt = text.contains(['/', ':', '\'', '"', '\u{2019}', '\u{201d}', '\u{b0}']);
        spelt.then_some(text)
    })?;
    (!kept.is_empty() && kept.len() <= 200).then(|| kept.to_string())
}

/// Whether a text is the rise of a pitch that is kept beside it.
pub(super) fn is_rise_of(text: &str, kept: &str) -> bool {
    let run = kept.strip_prefix(text);
    run == Some("/12") && text.starts_with(|c: char| c.is_ascii_digit())
}

impl Reader<'_> {
    /// Makes texts of shapes whose words are kept, and leaves the shapes out.
    pub(super) fn read_spoken(&mut self) {
        let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (i, shape) in self.shapes.iter().enumerate() {
            if let Some(by) = self.elements[shape.element].spoken
                && shape.filled_only()
                && !self.out.contains_key(&i)
            {
                groups.entry(by).or_default().push(i);
            }
        }
        if groups.is_empty() {
            return;
        }
        let shapes = self.shapes.iter().filter_map(Extent::of_shape);
        let Some(all) = shapes.reduce(Extent::union) else {
            return;
        };
        let bare = self.options.metric_job.then_some(LengthUnit::Millimetres);
        let mut places = Vec::new();
        let mut read = Vec::new();
        for (by, shapes) in groups {
            let Some(text) = self.prepared.spoken.get(by).cloned() else {
                continue;
            };
            let element = self.shapes[shapes[0]].element;
            let letters = shapes.iter().map(|&i| &self.shapes[i]);
            let Some(line) = line_of(letters, &text, all.size() * LETTER_OF_DRAWING) else {
                continue;
            };
            let meaning = label::read(&text, bare);
            if matches!(
                meaning,
                Meaning::Other
                    | Meaning::Spoilt
                    | Meaning::NearPitch
                    | Meaning::UnreadSide
                    | Meaning::UnreadDiameter
            ) {
                continue;
            }
            places.push(Place::of(&self.elements[element].source));
            read.push(format!("“{text}”"));
            self.words.push(Words {
                element,
                text,
                start: line.start,
                end: line.end,
                last: line.start,
                up: line.up,
                fill: self.shapes[shapes[0]].style.fill.clone(),
                in_pieces: false,
            });
            self.meanings.push(meaning);
            for shape in shapes {
                self.put_out(
                    shape,
                    "text drawn as outlines, read by the words kept beside it",
                );
            }
        }
        if read.is_empty() {
            return;
        }
        let told = Finding::note(
            "outlined-text-read",
            format!(
                "{} texts are drawn as outlines; they were read by the words that the file keeps beside them: {}.",
                read.len(),
                read.join(", ")
            ),
        );
        let told = places
            .into_iter()
            .take(MOST_PLACES)
            .fold(told, Finding::place);
        self.findings.push(told);
    }

    /// The words kept beside shapes, for a finding about them.
    pub(super) fn spoken_of(&self, shape: usize) -> Option<&str> {
        let by = self.elements[self.shapes[shape].element].spoken?;
        self.prepared.spoken.get(by).map(String::as_str)
    }
}

/// Where a line of text runs.
struct Line {
    start: Point,
    end: Point,
    up: Vector,
}

/// The line that shapes stand in, if they can be the letters of the text.
fn line_of<'s>(shapes: impl Iterator<Item = &'s Shape>, text: &str, largest: f64) -> Option<Line> {
    let mut extents = Vec::new();
    for shape in shapes {
        for outline in &shape.outlines {
            extents.push(Extent::of_points(outline.all_points())?);
        }
    }
    let letters = text.chars().filter(|c| !c.is_whitespace()).count();
    let fits = letters > 1 && (letters..=OUTLINES * letters).contains(&extents.len());
    if !fits || extents.iter().any(|e| e.size() > largest) {
        return None;
    }
    let whole = extents.into_iter().reduce(Extent::union)?;
    let upright = whole.height() > whole.width();
    let (long, high) = if upright {
        (whole.height(), whole.width())
    } else {
        (whole.width(), whole.height())
    };
    let for_each = long / high / text.chars().count() as f64;
    if !(LEAST_LONG..=MOST_LONG).contains(&for_each) {
        return None;
    }
    let (low, top) = (whole.low, whole.high);
    // Upright text is read from below: y runs down the drawing.
    Some(if upright {
        Line {
            start: top,
            end: Point::new(top.x, low.y),
            up: Vector::new(-high, 0.0),
        }
    } else {
        Line {
            start: Point::new(low.x, top.y),
            end: top,
            up: Vector::new(0.0, -high),
        }
    })
}
