//! The road from bytes to a [`Drawing`].

use std::collections::BTreeMap;
use std::sync::Arc;

use usvg::roxmltree;

use super::bytes;
use super::curve::Chain;
use super::dimension::{self, Dimension, Segment};
use super::element::Element;
use super::label::{self, Meaning};
use super::layer::NameRole;
use super::options::ReadOptions;
use super::prepass::{self, Prepared};
use super::rule::{Rule, Subject};
use super::scale::{self, Evidence};
use super::shape::{Shape, Shown};
use super::text::{LengthUnit, ScaleText};
use super::words::{self, Words};
use super::xml;
use super::{Drawing, FallArrow, Label, LeftOut, Role, Scale, Stroke, tree};
use crate::geometry::Point;
use crate::{Finding, Place};

/// Curves lie no further from their straight pieces than this: 1/32 in. Stated in the report.
pub const FLATTENING_TOLERANCE_FT: f64 = 1.0 / 32.0 / 12.0;

/// The stack of the thread that reads: groups may be nested as deep as the limit allows.
const STACK_BYTES: usize = 64 << 20;

/// Reads on a thread with a deep stack.
pub(super) fn on_deep_stack(bytes: &[u8], options: &ReadOptions) -> Result<Drawing, Vec<Finding>> {
    std::thread::scope(|scope| {
        let reading = std::thread::Builder::new()
            .stack_size(STACK_BYTES)
            .spawn_scoped(scope, || read(bytes, options));
        match reading {
            Ok(thread) => thread.join().unwrap_or_else(|_| {
                Err(vec![
                    Finding::error("reader-failed", "The reader failed on this file.")
                        .remedy("Please report it with the drawing, and save the drawing again as plain SVG meanwhile."),
                ])
            }),
            Err(error) => Err(vec![Finding::error(
                "no-memory",
                format!("There is no memory to read the drawing: {error}."),
            )]),
        }
    })
}

fn read(bytes: &[u8], options: &ReadOptions) -> Result<Drawing, Vec<Finding>> {
    let decoded = bytes::decode(bytes, &options.limits).map_err(|f| vec![f])?;
    let text = xml::mended(&decoded.text, &options.limits).map_err(|f| vec![f])?;
    let prepared = {
        let document =
            roxmltree::Document::parse_with_options(&text, xml::parsing(&options.limits))
                .map_err(|error| vec![xml::broken(&error)])?;
        prepass::prepare(&text, &document, &options.limits)?
    };
    let shown = tree::resolve(&prepared).map_err(|f| vec![f])?;
    Reader::new(prepared, shown, options).finish()
}

struct Reader<'o> {
    options: &'o ReadOptions,
    elements: Vec<Element>,
    shapes: Vec<Shape>,
    words: Vec<Words>,
    meanings: Vec<Meaning>,
    prepared: Prepared,
    /// Why a shape is left out, by its number.
    out: BTreeMap<usize, String>,
    findings: Vec<Finding>,
}

impl<'o> Reader<'o> {
    fn new(mut prepared: Prepared, shown: Shown, options: &'o ReadOptions) -> Self {
        let words = words::join(&shown.letters);
        let bare = options.metric_job.then_some(LengthUnit::Millimetres);
        let meanings = words.iter().map(|w| label::read(&w.text, bare)).collect();
        Self {
            options,
            elements: std::mem::take(&mut prepared.elements),
            shapes: shown.shapes,
            words,
            meanings,
            findings: std::mem::take(&mut prepared.findings),
            prepared,
            out: BTreeMap::new(),
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
        self.leave_out();
        let dimensions = self.dimensions();
        let (scale, told) = self.scale(&dimensions)?;
        self.findings.extend(told);
        self.leave_out_dimensions(&dimensions);
        Ok(self.drawing(scale))
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

    fn matching(&self, rules: &'o [Rule], shape: &Shape) -> Option<&'o Rule> {
        rules.iter().find(|r| r.matches(&self.subject(shape)))
    }

    fn leave_out(&mut self) {
        for i in 0..self.shapes.len() {
            if let Some(why) = self.why_out(&self.shapes[i]) {
                self.out.insert(i, why);
            }
        }
    }

    fn why_out(&self, shape: &Shape) -> Option<String> {
        if let Some(rule) = self.matching(&self.options.ignore_rules, shape) {
            return Some(format!("the rule {} ignores it", rule.text()));
        }
        if self.matching(&self.options.roof_rules, shape).is_some() {
            return None;
        }
        let element = &self.elements[shape.element];
        let layer = element.source.layer.as_deref().unwrap_or("its name");
        match element.says.role {
            NameRole::Dimension => Some(format!("a dimension, by its layer “{layer}”")),
            NameRole::Note => Some(format!("a note, by its layer “{layer}”")),
            NameRole::LeftOut => Some(format!("no part of the roof, by its layer “{layer}”")),
            _ if shape.hatched && shape.filled_only() => Some("a hatch".to_string()),
            _ => None,
        }
    }

    fn segments(&self) -> Vec<Segment> {
        let mut all = Vec::new();
        for (i, shape) in self.shapes.iter().enumerate() {
            let dimension_layer = self.elements[shape.element].says.role == NameRole::Dimension;
            for chain in self.chains(shape, f64::INFINITY) {
                let n = chain.points.len();
                let sides = if chain.closed || shape.filled_only() {
                    n
                } else {
                    n - 1
                };
                all.extend((0..sides).map(|k| Segment {
                    a: chain.points[k],
                    b: chain.points[(k + 1) % n],
                    shape: i,
                    dimension_layer,
                    filled_only: shape.filled_only(),
                }));
            }
        }
        all
    }

    /// The chains of a shape; with an infinite tolerance curves become chords.
    fn chains<'a>(&self, shape: &'a Shape, tolerance: f64) -> impl Iterator<Item = Chain> + 'a {
        shape
            .outlines
            .iter()
            .map(move |o| o.flatten(tolerance, 0.0))
            .filter(|c| c.points.len() > 1)
    }

    fn dimensions(&self) -> Vec<Dimension> {
        if !self
            .meanings
            .iter()
            .any(|m| matches!(m, Meaning::Length(_)))
        {
            return Vec::new();
        }
        let segments = self.segments();
        self.meanings
            .iter()
            .enumerate()
            .filter_map(|(i, meaning)| match meaning {
                Meaning::Length(length) => dimension::find(i, &self.words[i], *length, &segments),
                _ => None,
            })
            .collect()
    }

    fn scale(&self, dimensions: &[Dimension]) -> Result<(Scale, Vec<Finding>), Vec<Finding>> {
        let written: Vec<(usize, ScaleText)> = self
            .meanings
            .iter()
            .enumerate()
            .filter_map(|(i, m)| match m {
                Meaning::Scale(scale) => Some((i, scale.clone())),
                _ => None,
            })
            .collect();
        scale::choose(&Evidence {
            given: self.options.scale.as_ref(),
            frame: &self.prepared.frame,
            dimensions,
            written: &written,
            words: &self.words,
            elements: &self.elements,
        })
    }

    fn leave_out_dimensions(&mut self, dimensions: &[Dimension]) {
        for dimension in dimensions.iter().filter(|d| d.drawn) {
            let text = &self.words[dimension.words].text;
            for &shape in &dimension.shafts {
                let why = format!("the dimension line of {text}");
                self.out.entry(shape).or_insert(why);
            }
            for &shape in &dimension.ends {
                let why = format!("an end mark of the dimension {text}");
                self.out.entry(shape).or_insert(why);
            }
        }
    }

    fn drawing(self, scale: Scale) -> Drawing {
        let k = scale.feet_per_unit;
        let to_plan = |p: Point| Point::new(k * p.x, -k * p.y);
        let any_roof = self.shapes.iter().enumerate().any(|(i, s)| {
            !self.out.contains_key(&i) && self.elements[s.element].says.role == NameRole::Roof
        });
        let any_roof_rule = !self.options.roof_rules.is_empty();
        let mut drawing = Drawing {
            scale,
            ..Drawing::default()
        };
        for (i, shape) in self.shapes.iter().enumerate() {
            let element = &self.elements[shape.element];
            if let Some(why) = self.out.get(&i) {
                drawing.left_out.push(LeftOut {
                    place: Place::of(&element.source),
                    why: why.clone(),
                });
                continue;
            }
            let by_rule = self.matching(&self.options.roof_rules, shape).is_some();
            let role = role_of(element, any_roof, any_roof_rule, by_rule);
            if element.says.role == NameRole::Fall && !by_rule {
                drawing.falls.extend(self.fall(shape, to_plan));
                continue;
            }
            for chain in self.chains(shape, FLATTENING_TOLERANCE_FT / k) {
                drawing.strokes.push(Stroke {
                    points: chain.points.iter().map(|&p| to_plan(p)).collect(),
                    closed: chain.closed || (shape.filled_only() && chain.points.len() > 2),
                    curved: chain.curved,
                    filled_only: shape.filled_only(),
                    role,
                    level: element.says.level,
                    style: shape.style.clone(),
                    source: Arc::clone(&element.source),
                });
            }
        }
        self.labels(&mut drawing, to_plan);
        drawing.left_out.extend(self.prepared.left_out);
        drawing.findings.extend(self.findings);
        drawing
    }

    fn fall(&self, shape: &Shape, to_plan: impl Fn(Point) -> Point) -> Option<FallArrow> {
        let element = &self.elements[shape.element];
        let chain = self
            .chains(shape, f64::INFINITY)
            .max_by(|a, b| length(a).total_cmp(&length(b)))?;
        let (mut from, mut to) = (*chain.points.first()?, *chain.points.last()?);
        if element.markers == (true, false) {
            std::mem::swap(&mut from, &mut to);
        }
        Some(FallArrow {
            from: to_plan(from),
            to: to_plan(to),
            level: element.says.level,
            source: Arc::clone(&element.source),
        })
    }

    fn labels(&self, drawing: &mut Drawing, to_plan: impl Fn(Point) -> Point) {
        for (words, meaning) in self.words.iter().zip(&self.meanings) {
            let element = &self.elements[words.element];
            if element.says.role == NameRole::LeftOut {
                continue;
            }
            let at = to_plan(words.middle());
            match meaning {
                Meaning::Roof(says) => drawing.labels.push(Label {
                    says: says.clone(),
                    text: words.text.clone(),
                    at,
                    points_at: None,
                    height_ft: words.size() * drawing.scale.feet_per_unit,
                    level: element.says.level,
                    source: Arc::clone(&element.source),
                }),
                Meaning::Spoilt => drawing.findings.push(
                    Finding::warning(
                        "unreadable-label",
                        format!("The text “{}” looks like a pitch but cannot be read as one.", words.text),
                    )
                    .remedy("Write the pitch as rise in 12 (6/12), as degrees (26.6°), percent (50%) or rise : run (1:2).")
                    .place(Place::on(&element.source, at)),
                ),
                _ => {}
            }
        }
    }
}

fn length(chain: &Chain) -> f64 {
    chain.points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// The role of a stroke. Where a rule says which lines are the roof's, no layer is believed for that.
fn role_of(element: &Element, any_roof: bool, any_roof_rule: bool, by_rule: bool) -> Role {
    if by_rule {
        return Role::Roof;
    }
    match element.says.role {
        NameRole::Roof if !any_roof_rule => Role::Roof,
        NameRole::Unsaid if any_roof && element.says.level_alone && !any_roof_rule => Role::Roof,
        NameRole::Wall => Role::Wall,
        NameRole::Opening => Role::Opening,
        NameRole::Pipe => Role::Pipe,
        _ => Role::Unsaid,
    }
}
