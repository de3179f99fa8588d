//! The road from bytes to a [`Drawing`].

use std::collections::{BTreeMap, BTreeSet};
use std::slice;

use super::arrow::Arrow;
use super::bytes;
use super::curve::Chain;
use super::deep_stack::on_deep_stack;
use super::dimension::{Dimension, LayerSays};
use super::drawn_between::Drawn;
use super::element::Element;
use super::label::{self, Meaning};
use super::layer::NameRole;
use super::leader::Leader;
use super::measured::Measured;
use super::options::ReadOptions;
use super::outlined::Outlined;
use super::prepass::{self, Prepared};
use super::rule::{Rule, Subject};
use super::scale::{self, Evidence};
use super::shape::{Letter, Shape, Shown};
use super::text::{LengthUnit, ends_in_a_scale, is_not_to_scale};
use super::words::{self, Words};
use super::{Drawing, LeftOut, Scale, spoken, stacked, tree, xml};
use crate::finding::excerpt;
use crate::units::text::has_a_length;
use crate::{Finding, Place};

/// Curves lie no further from their straight pieces than this: 1/32 in. Stated in the report.
pub const FLATTENING_TOLERANCE_FT: f64 = 1.0 / 32.0 / 12.0;

/// A text longer than this, in bytes, is a note, and no length with a few words.
const MOST_OF_A_LENGTH: usize = 40;

/// A side of a roof has so many digits in millimetres: from one metre to 100.
const LEAST_DIGITS: usize = 4;
const MOST_DIGITS: usize = 5;

/// Reads with a deep stack.
pub(super) fn read_deep(bytes: &[u8], options: &ReadOptions) -> Result<Drawing, Vec<Finding>> {
    match on_deep_stack(|| read(bytes, options)) {
        Ok(done) => done.unwrap_or_else(|_| Err(vec![reader_failed()])),
        Err(error) => Err(vec![Finding::error(
            "no-memory",
            format!("There is no memory to read the drawing: {error}."),
        )]),
    }
}

/// A fault of the reader's own: nothing that is wrong with a file may end so.
pub(super) fn reader_failed() -> Finding {
    Finding::error("reader-failed", "The reader failed on this file.").remedy(
        "Please report it with the drawing, and save the drawing again as plain SVG meanwhile.",
    )
}

fn read(bytes: &[u8], options: &ReadOptions) -> Result<Drawing, Vec<Finding>> {
    let limits = &options.limits;
    let decoded = bytes::decode(bytes, limits).map_err(|f| vec![f])?;
    let mut text = xml::mended(decoded.text, limits).map_err(|f| vec![f])?;
    let prepared = xml::with_document(&mut text, limits, |text, document| {
        prepass::prepare(text, document, limits)
    })
    .map_err(|f| vec![f])??;
    drop(text);
    let shown = tree::resolve(&prepared).map_err(|f| vec![f])?;
    Reader::new(prepared, shown, options).finish()
}

/// Everything known about a drawing while it is read, in drawing units.
pub(super) struct Reader<'o> {
    pub(super) options: &'o ReadOptions,
    pub(super) elements: Vec<Element>,
    pub(super) shapes: Vec<Shape>,
    pub(super) words: Vec<Words>,
    pub(super) meanings: Vec<Meaning>,
    pub(super) prepared: Prepared,
    /// Why a shape is left out, by its number.
    pub(super) out: BTreeMap<usize, String>,
    pub(super) findings: Vec<Finding>,
    /// Text drawn as shapes.
    pub(super) outlined: Vec<Outlined>,
    pub(super) arrows: Vec<Arrow>,
    pub(super) leaders: Vec<Leader>,
    /// Elements that are clipped by the shapes of letters.
    pub(super) clipped_by_text: Vec<usize>,
    /// For each rule that ignores something, whether it ignored no text.
    ignore_no_text: Vec<bool>,
}

impl<'o> Reader<'o> {
    fn new(mut prepared: Prepared, shown: Shown, options: &'o ReadOptions) -> Self {
        let elements = std::mem::take(&mut prepared.elements);
        // A letter that is left out, such as the number of a mark, is no part of a text that counts.
        let (left_out, counting): (Vec<Letter>, Vec<Letter>) = shown
            .letters
            .into_iter()
            .partition(|l| elements[l.element].says.role.is_left_out());
        prepared
            .left_out
            .extend(shown.clipped_away.iter().map(|&e| LeftOut {
                place: Place::of(&elements[e].source),
                why: "hidden by a clip path".to_string(),
            }));
        let drawn = Drawn::new(&shown.shapes);
        let mut words = stacked::join(words::join(&counting, &drawn));
        words.extend(words::join(&left_out, &drawn));
        let rules = options.ignore_rules.iter();
        let ignore_no_text = rules
            .map(|rule| {
                let about = |w: &Words| ignored(w, &elements[w.element], slice::from_ref(rule));
                !words.iter().any(about)
            })
            .collect();
        words.retain(|w| !ignored(w, &elements[w.element], &options.ignore_rules));
        for word in &mut words {
            let kept = elements[word.element].spoken;
            let kept = kept.and_then(|by| prepared.spoken.get(by));
            if let Some(kept) = kept.filter(|kept| spoken::is_rise_of(&word.text, kept)) {
                word.text.clone_from(kept);
            }
        }
        let meanings = words
            .iter()
            .map(|w| {
                // The number of a mark, of a grid line or of a year measures nothing.
                let is_left_out = elements[w.element].says.role.is_left_out();
                let bare = bare_in(options).filter(|_| !is_left_out);
                match w.in_pieces {
                    true => Meaning::InPieces,
                    false => label::read(&w.text, bare),
                }
            })
            .collect();
        Self {
            options,
            elements,
            shapes: shown.shapes,
            words,
            meanings,
            findings: std::mem::take(&mut prepared.findings),
            prepared,
            out: BTreeMap::new(),
            outlined: Vec::new(),
            arrows: Vec::new(),
            leaders: Vec::new(),
            clipped_by_text: shown.clipped_by_text,
            ignore_no_text,
        }
    }

    fn finish(mut self) -> Result<Drawing, Vec<Finding>> {
        let mut errors = self.rule_errors();
        if self.shapes.is_empty() {
            errors.push(self.no_lines());
            return Err(errors);
        }
        errors.extend(self.far_coordinates());
        if !errors.is_empty() {
            return Err(errors);
        }
        self.tell_idle_rules();
        self.tell_pieces();
        self.read_ratios_of_others();
        self.doubt_single_roof_ids();
        self.leave_out();
        self.leave_out_page();
        self.read_spoken();
        self.leave_out_outlined();
        let bars = self.scale_bars();
        let measured = self.dimensions();
        let (scale, told) = self
            .scale(&measured, &bars.ours)
            .map_err(|errors| self.with_hint(errors))?;
        self.findings.extend(told);
        let stated = self.stated(&measured.dimensions, &scale);
        let lengths = [measured.dimensions, measured.shared].concat();
        self.leave_out_dimensions(&lengths);
        self.leave_out_dimensions(&[bars.ours, bars.of_others].concat());
        self.leave_out_leaders();
        self.leave_out_arrows();
        self.leave_out_beneath(scale.feet_per_unit);
        self.tell_outlined(&scale);
        self.tell_masked();
        let mut drawing = self.drawing(scale, &lengths).map_err(|f| vec![f])?;
        drawing.dimensions = stated;
        Ok(drawing)
    }

    fn rule_errors(&self) -> Vec<Finding> {
        let all = self
            .options
            .roof_rules
            .iter()
            .chain(&self.options.ignore_rules);
        if self.prepared.frame.paper.is_some() {
            return Vec::new();
        }
        all.filter(|r| r.needs_paper())
            .map(|r| {
                Finding::error(
                    "rule-without-paper",
                    format!(
                        "The rule {} asks for a width on paper, but the drawing has no paper size: {}.",
                        r.text(),
                        self.prepared.frame.no_paper
                    ),
                )
                .remedy("Give the width in drawing units, without a unit: width>=1.5.")
            })
            .collect()
    }

    /// A rule that nothing in the drawing answers to is a slip in it, or for another drawing.
    fn tell_idle_rules(&mut self) {
        let options = self.options;
        let of_shapes = |rule: &Rule| !self.shapes.iter().any(|s| rule.matches(&self.subject(s)));
        let roof = options.roof_rules.iter().filter(|r| of_shapes(r));
        let roof = roof.map(|r| ("--roof", "line or shape", r));
        let ignore = options.ignore_rules.iter().zip(&self.ignore_no_text);
        let ignore = ignore
            .filter(|(rule, no_text)| **no_text && of_shapes(rule))
            .map(|(rule, _)| ("--ignore", "line, shape or text", rule));
        let told: Vec<Finding> = roof
            .chain(ignore)
            .map(|(option, what, rule)| {
                Finding::warning(
                    "rule-matches-nothing",
                    format!(
                        "The rule `{option} {}` matches no {what} in the drawing.",
                        rule.text()
                    ),
                )
                .remedy("See how layers and objects are called in the drawing, and correct the rule or leave it out.")
            })
            .collect();
        self.findings.extend(told);
    }

    /// Texts of which no piece is read.
    fn tell_pieces(&mut self) {
        let all = self.words.iter().zip(&self.meanings);
        let told = all.filter(|(words, meaning)| {
            let role = self.elements[words.element].says.role;
            **meaning == Meaning::InPieces && !role.is_left_out()
        });
        let told: Vec<Finding> = told
            .map(|(words, _)| {
                Finding::warning(
                    "text-in-pieces",
                    format!(
                        "The text “{}” stands in pieces: they may be one length or pitch, or several texts, and none of them \
                         was read.",
                        excerpt(&words.text)
                    ),
                )
                .remedy("Write it as one text, or move texts that do not belong together farther apart.")
                .place(Place::of(&self.elements[words.element].source))
            })
            .collect();
        self.findings.extend(told);
    }

    fn no_lines(&self) -> Finding {
        Finding::error("no-lines", "The drawing shows no line and no filled shape.").remedy(
            "Trace the roof with lines or closed shapes, and see that their layer is switched on.",
        )
    }

    fn far_coordinates(&self) -> Option<Finding> {
        let limit = self.options.limits.coordinate;
        let far = self.shapes.iter().find(|s| {
            s.outlines
                .iter()
                .flat_map(|o| o.all_points())
                .any(|p| !(p.x.abs() < limit && p.y.abs() < limit))
        })?;
        Some(
            Finding::error(
                "coordinate-too-large",
                format!("A shape reaches beyond {limit:.0} drawing units from the origin, too far to be measured exactly."),
            )
            .remedy("Move the plan near the origin of the page, or delete the stray shape.")
            .place(Place::of(&self.elements[far.element].source)),
        )
    }

    fn subject<'a>(&'a self, shape: &'a Shape) -> Subject<'a> {
        let element = &self.elements[shape.element];
        Subject {
            names: &element.names,
            id: element.source.id.as_deref(),
            stroke: shape.style.stroke.as_deref(),
            fill: shape.style.fill.as_deref(),
            width: shape.style.width,
            dashed: shape.style.dashed,
            paper_inches_per_unit: self
                .prepared
                .frame
                .paper
                .as_ref()
                .map(|p| p.inches_per_unit),
        }
    }

    pub(super) fn matching(&self, rules: &'o [Rule], shape: &Shape) -> Option<&'o Rule> {
        rules.iter().find(|r| r.matches(&self.subject(shape)))
    }

    /// What a shape's layer makes of it beside a length. A dimension may stand on a layer of notes.
    pub(super) fn layer_says(&self, shape: usize) -> LayerSays {
        match self.role(shape) {
            NameRole::Dimension => LayerSays::Dimension,
            NameRole::Sheet | NameRole::LeftOut => LayerSays::LeftOut,
            NameRole::Note => LayerSays::Nothing,
            _ if self.is_roof(shape) => LayerSays::Building,
            NameRole::Unsaid if self.out.contains_key(&shape) => LayerSays::LeftOut,
            NameRole::Unsaid => LayerSays::Nothing,
            _ => LayerSays::Building,
        }
    }

    /// The chains of a shape; with an infinite tolerance curves become chords.
    pub(super) fn chains<'a>(
        &self,
        shape: &'a Shape,
        tolerance: f64,
    ) -> impl Iterator<Item = Chain> + 'a {
        shape
            .outlines
            .iter()
            .map(move |o| o.flatten(tolerance, 0.0))
            .filter(|c| c.points.len() > 1)
    }

    fn scale(
        &self,
        measured: &Measured,
        bars: &[Dimension],
    ) -> Result<(Scale, Vec<Finding>), Vec<Finding>> {
        let Measured {
            dimensions,
            shared,
            in_doubt,
        } = measured;
        let (written, of_others) = self.written_scales(dimensions);
        let counts = |i: &usize| {
            let role = self.elements[self.words[*i].element].says.role;
            !role.is_left_out()
        };
        let all = (0..self.words.len()).filter(counts);
        let shared: Vec<usize> = shared.iter().map(|d| d.words).collect();
        let of_lines = dimensions.iter().map(|d| d.words);
        let of_lines: BTreeSet<usize> = of_lines.chain(shared.iter().copied()).collect();
        let loose: Vec<usize> = all
            .clone()
            .filter(|&i| match self.meanings[i] {
                Meaning::Length(length) => self.may_measure(&self.words[i], length),
                _ => false,
            })
            .filter(|i| !of_lines.contains(i) && !in_doubt.contains(i))
            .collect();
        let unsaid = |i: &usize| {
            let nothing = matches!(
                self.meanings[*i],
                Meaning::Other | Meaning::UnreadSide | Meaning::InPieces
            );
            nothing && self.words[*i].text.len() <= MOST_OF_A_LENGTH
        };
        let unread: Vec<usize> = all
            .filter(unsaid)
            .filter(|&i| {
                let words = &self.words[i];
                let on_dimensions = self.elements[words.element].says.role == NameRole::Dimension;
                has_a_length(&words.text)
                    || is_figures(&words.text) && (on_dimensions || is_decimal(&words.text))
                    || is_feet_dash_inches(&words.text)
                    || is_linear_feet(&words.text)
            })
            .collect();
        let bare_numbers: Vec<usize> = (0..self.words.len())
            .filter(|i| unsaid(i) && counts(i) && is_bare_length(&self.words[*i].text))
            .collect();
        let not_to_scale: Vec<usize> = (0..self.words.len())
            .filter(|i| unsaid(i) && is_not_to_scale(&self.words[*i].text))
            .collect();
        let ratios: Vec<usize> = (0..self.words.len())
            .filter(|i| unsaid(i) || matches!(self.meanings[*i], Meaning::TitleScale(_)))
            .filter(|&i| ends_in_a_scale(&self.words[i].text))
            .filter(|i| !not_to_scale.contains(i))
            .collect();
        scale::choose(&Evidence {
            given: self.options.scale.as_ref(),
            bare: bare_in(self.options),
            loose: &loose,
            in_doubt,
            shared: &shared,
            unread: &unread,
            ratios: &ratios,
            bare_numbers: &bare_numbers,
            not_to_scale: &not_to_scale,
            frame: &self.prepared.frame,
            dimensions,
            bars,
            written: &written,
            of_others: &of_others,
            words: &self.words,
            elements: &self.elements,
        })
    }
}

/// Whether figures have decimals, as a length in metres has: `11,58`.
fn is_decimal(figures: &str) -> bool {
    let parts = figures.trim().split_once(['.', ',']);
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    parts.is_some_and(|(whole, decimals)| digits(whole) && digits(decimals))
}

/// Whether figures are feet and inches without their marks: `40-0`.
fn is_feet_dash_inches(figures: &str) -> bool {
    let parts = figures.trim().split_once('-');
    let number = |part: &str| part.trim().parse::<u32>().ok();
    parts.is_some_and(|(feet, inches)| {
        number(feet).is_some() && number(inches).is_some_and(|n| n < 12)
    })
}

/// Whether a text is a number of linear feet: `40.0 LF`.
fn is_linear_feet(text: &str) -> bool {
    let plain = text.trim().to_lowercase();
    let number = plain.trim_end_matches('.').strip_suffix("lf");
    number.is_some_and(|number| number.trim().parse::<f64>().is_ok())
}

/// Whether a text is a whole number that is a length in millimetres where the job is metric.
fn is_bare_length(text: &str) -> bool {
    let digits = text.trim();
    (LEAST_DIGITS..=MOST_DIGITS).contains(&digits.len())
        && digits.bytes().all(|b| b.is_ascii_digit())
}

/// Whether a text is figures without a unit: `14.000`, `40-0`, which among dimensions may be meant as a length.
fn is_figures(text: &str) -> bool {
    let signs = |c: char| c.is_ascii_digit() || " .,-'".contains(c);
    text.contains(|c: char| c.is_ascii_digit()) && text.chars().all(signs)
}

/// What a whole number without a unit means, if it means a length at all.
pub(super) fn bare_in(options: &ReadOptions) -> Option<LengthUnit> {
    options.metric_job.then_some(LengthUnit::Millimetres)
}

/// Whether a rule ignores a text.
fn ignored(words: &Words, element: &Element, rules: &[Rule]) -> bool {
    let subject = Subject {
        names: &element.names,
        id: element.source.id.as_deref(),
        stroke: None,
        fill: words.fill.as_deref(),
        width: 0.0,
        dashed: false,
        paper_inches_per_unit: None,
    };
    rules
        .iter()
        .any(|r| r.is_about_texts() && r.matches(&subject))
}
