//! The scaled drawing from what was read.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::dimension::Dimension;
use super::element::Element;
use super::label::{self, Meaning};
use super::layer::NameRole;
use super::read::{FLATTENING_TOLERANCE_FT, Reader, bare_in};
use super::text::{PitchText, is_of_a_view, names_a_state, states_of_roof_plan};
use super::words::Words;
use super::{Drawing, Label, LeftOut, Mistyped, Role, Says, Scale, Stroke, Up, ViewTitle};
use super::{dashes, hatch, rounded, strip, xml};
use crate::geometry::Point;
use crate::{Finding, Place};

/// The largest pipe, in feet: a longer length beside one is none of its sizes.
const SIZE_FT: f64 = 2.0;

impl Reader<'_> {
    /// # Errors
    /// When the drawing has more straight pieces than the limit.
    pub(super) fn drawing(
        self,
        scale: Scale,
        dimensions: &[Dimension],
    ) -> Result<Drawing, Finding> {
        let k = scale.feet_per_unit;
        let used = scale.clone();
        let to_plan = |p: Point| used.to_plan(p);
        let any_roof = self.shapes.iter().enumerate().any(|(i, s)| {
            !self.out.contains_key(&i) && self.elements[s.element].says.role == NameRole::Roof
        });
        let any_roof_rule = !self.options.roof_rules.is_empty();
        let mut drawing = Drawing {
            scale,
            ..Drawing::default()
        };
        let fall_lines = self.fall_lines();
        let mut pieces = 0;
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
                match self.fall(i, &fall_lines, to_plan) {
                    Ok(arrow) => drawing.falls.extend(arrow),
                    Err(told) => drawing.findings.push(told),
                }
                continue;
            }
            for mut chain in self.chains(shape, FLATTENING_TOLERANCE_FT / k) {
                pieces += chain.points.len();
                if pieces > self.options.limits.pieces {
                    return Err(xml::refused(
                        "too-many-pieces",
                        "more straight pieces than",
                        self.options.limits.pieces,
                    )
                    .place(Place::of(&element.source)));
                }
                let closed = chain.closed || (shape.filled_only() && chain.points.len() > 2);
                for p in &mut chain.points {
                    *p = to_plan(*p);
                }
                drawing.strokes.push(Stroke {
                    points: chain.points,
                    closed,
                    curved: chain.curved,
                    filled_only: shape.filled_only(),
                    role,
                    level: element.says.level,
                    style: shape.style.clone(),
                    names: Arc::clone(&element.names),
                    source: Arc::clone(&element.source),
                });
            }
        }
        self.labels(&mut drawing, dimensions, to_plan);
        self.areas(&mut drawing, to_plan);
        drawing.state_titles = self.titles(to_plan, names_a_state);
        drawing.plan_titles = self.titles(to_plan, |t| states_of_roof_plan(t).is_some());
        drawing.loose_arrows = self.loose_arrows(to_plan);
        drawing.view_titles = self.view_titles(k, to_plan);
        drawing.left_out.extend(self.prepared.left_out);
        drawing.findings.extend(self.findings);
        strip::to_centre_lines(&mut drawing);
        dashes::join(&mut drawing);
        rounded::mark(&mut drawing);
        hatch::leave_out(&mut drawing);
        Ok(drawing)
    }

    fn labels(
        &self,
        drawing: &mut Drawing,
        dimensions: &[Dimension],
        to_plan: impl Fn(Point) -> Point,
    ) {
        let stray = self.stray_layers();
        let dimensions: BTreeSet<usize> = dimensions.iter().map(|d| d.words).collect();
        let leaders: BTreeMap<usize, Point> = (self.leaders.iter().rev())
            .map(|l| (l.words, to_plan(l.far)))
            .collect();
        for (i, words) in self.words.iter().enumerate() {
            let element = &self.elements[words.element];
            if self.is_passed_over(i) {
                continue;
            }
            let at = to_plan(words.middle());
            if label::says_up(&words.text) {
                drawing.ups.push(Up {
                    text: words.text.clone(),
                    at,
                    baseline: [to_plan(words.start), to_plan(words.end)],
                    height_ft: words.size() * drawing.scale.feet_per_unit,
                    level: element.says.level,
                    source: Arc::clone(&element.source),
                });
            }
            let is_dimension = || dimensions.contains(&i);
            let of_pipe = match &self.meanings[i] {
                Meaning::Other | Meaning::Length(_) if element.says.role == NameRole::Pipe => {
                    label::on_pipes(&words.text, bare_in(self.options))
                }
                _ => None,
            };
            let says = match of_pipe.as_ref().unwrap_or(&self.meanings[i]) {
                Meaning::Roof(_) | Meaning::Side(..) if stray.contains(&element.source.layer) => {
                    drawing.left_out.push(LeftOut {
                        place: Place::on(&element.source, at),
                        why: format!(
                            "the label “{}”: its layer holds lines that are no roof lines",
                            words.text
                        ),
                    });
                    vec![]
                }
                Meaning::Roof(says) => vec![says.clone()],
                Meaning::Side(
                    of_side,
                    PitchText {
                        pitch, half_step, ..
                    },
                ) => {
                    if of_side.is_none() {
                        drawing.unread_sides.push(mistyped(words, element, at));
                    }
                    let pitch = Says::Pitch {
                        pitch: *pitch,
                        half_step: *half_step,
                    };
                    of_side.iter().cloned().chain([pitch]).collect()
                }
                Meaning::Length(length)
                    if element.says.role == NameRole::Pipe && length.feet > 0.0 =>
                {
                    vec![Says::Diameter(length.feet)]
                }
                Meaning::Length(length) if length.feet <= SIZE_FT && !is_dimension() => {
                    vec![Says::Size(length.feet)]
                }
                Meaning::NearPitch => {
                    drawing.mistyped.push(mistyped(words, element, at));
                    vec![]
                }
                Meaning::UnreadArea => {
                    drawing.unread_areas.push(mistyped(words, element, at));
                    vec![]
                }
                Meaning::UnreadDiameter => {
                    drawing.unread_diameters.push(mistyped(words, element, at));
                    vec![]
                }
                Meaning::UnreadSide => {
                    drawing.unread_sides.push(mistyped(words, element, at));
                    vec![]
                }
                Meaning::Spoilt => {
                    drawing.findings.push(spoilt(words, element, at));
                    vec![]
                }
                _ => vec![],
            };
            drawing.labels.extend(says.into_iter().map(|says| Label {
                says,
                text: words.text.clone(),
                at,
                baseline: [to_plan(words.start), to_plan(words.end)],
                points_at: leaders.get(&i).copied(),
                height_ft: words.size() * drawing.scale.feet_per_unit,
                level: element.says.level,
                source: Arc::clone(&element.source),
            }));
        }
    }

    /// Whether a text is of a layer that is left out. What a title block states is compared as what is written beside the roof.
    fn is_passed_over(&self, words: usize) -> bool {
        match self.elements[self.words[words].element].says.role {
            NameRole::LeftOut => true,
            NameRole::Sheet => !self.is_area(words),
            _ => false,
        }
    }

    /// The texts that are a title of some kind.
    fn titles(
        &self,
        to_plan: impl Fn(Point) -> Point,
        is_title: impl Fn(&str) -> bool,
    ) -> Vec<Mistyped> {
        let all = self.words.iter().enumerate();
        all.filter(|(i, words)| !self.is_passed_over(*i) && is_title(&words.text))
            .map(|(_, words)| {
                let element = &self.elements[words.element];
                mistyped(words, element, to_plan(words.middle()))
            })
            .collect()
    }

    /// The titles of elevations, sections and details. A text at the end of a leader speaks of what it points at.
    fn view_titles(&self, feet_per_unit: f64, to_plan: impl Fn(Point) -> Point) -> Vec<ViewTitle> {
        let has_leader = |i: usize| self.leaders.iter().any(|l| l.words == i);
        let all = self.words.iter().enumerate();
        all.filter(|(_, words)| is_of_a_view(&words.text))
            .filter(|(i, _)| !self.is_passed_over(*i) && !has_leader(*i))
            .map(|(_, words)| ViewTitle {
                text: words.text.clone(),
                at: to_plan(words.middle()),
                height_ft: words.size() * feet_per_unit,
                source: Arc::clone(&self.elements[words.element].source),
            })
            .collect()
    }

    /// Layers without a role that hold lines beside a roof layer: another scheme, furniture. Their labels are not the
    /// roof's, provided that most labels stand elsewhere.
    fn stray_layers(&self) -> BTreeSet<Option<String>> {
        let seen = |i: usize| !self.out.contains_key(&i);
        let any_roof = (0..self.shapes.len()).any(|i| seen(i) && self.role(i) == NameRole::Roof);
        let mut stray = BTreeSet::new();
        if !any_roof {
            return stray;
        }
        for i in (0..self.shapes.len()).filter(|&i| seen(i) && self.role(i) == NameRole::Unsaid) {
            let element = &self.elements[self.shapes[i].element];
            // Beside a roof layer one that says a level alone holds that level's roof.
            if element.source.layer.is_some() && !element.says.level_alone {
                stray.insert(element.source.layer.clone());
            }
        }
        let labels = |in_stray: bool| {
            let all = self.words.iter().zip(&self.meanings);
            all.filter(|(_, m)| matches!(m, Meaning::Roof(Says::Pitch { .. }) | Meaning::Side(..)))
                .filter(|(w, _)| stray.contains(&self.elements[w.element].source.layer) == in_stray)
                .count()
        };
        if labels(true) >= labels(false) {
            stray.clear();
        }
        stray
    }
}

pub(super) fn mistyped(words: &Words, element: &Element, at: Point) -> Mistyped {
    Mistyped {
        text: words.text.clone(),
        at,
        level: element.says.level,
        source: Arc::clone(&element.source),
    }
}

fn spoilt(words: &Words, element: &Element, at: Point) -> Finding {
    Finding::warning(
        "unreadable-label",
        format!("The text “{}” looks like a pitch but cannot be read as one.", words.text),
    )
    .remedy("Write the pitch as rise in 12 (6/12), as degrees (26.6°), percent (50%) or rise : run (1:2).")
    .place(Place::on(&element.source, at))
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
