//! What is seen but is no part of the roof, and why.

use super::arrow::{self, Arrow};
use super::dimension::{Dimension, LayerSays};
use super::label::Meaning;
use super::layer::NameRole;
use super::leader::{self, Candidate, Leader, Lines};
use super::page::{self, PageColour};
use super::read::Reader;
use super::shape::Shape;
use super::{Scale, outlined};
use crate::finding::excerpt;
use crate::geometry::Point;
use crate::{Finding, Place};

const OUTLINED_REMEDY: &str = "Save the drawing with its text kept as text (not turned to paths or curves), or give what the \
    texts say by --scale and --pitch.";

/// What was told of texts that may have given the scale.
const UNREAD_TEXTS: [&str; 2] = ["text-in-pieces", "scale-bar-without-marks"];

/// Places named in one finding.
const MOST_PLACES: usize = 12;

impl Reader<'_> {
    /// An id such as `roof-outline` on one shape is no roof layer when other shapes are drawn with the same pen.
    pub(super) fn doubt_single_roof_ids(&mut self) {
        let by_id = |i: &usize| {
            let says = self.elements[self.shapes[*i].element].says;
            says.role == NameRole::Roof && says.by_id
        };
        let roof: Vec<usize> = (0..self.shapes.len())
            .filter(|&i| self.role(i) == NameRole::Roof)
            .collect();
        let [only] = roof[..] else { return };
        let pen = &self.shapes[only].style;
        let alike = (0..self.shapes.len())
            .filter(|&i| {
                i != only && self.role(i) == NameRole::Unsaid && self.shapes[i].style == *pen
            })
            .count();
        if by_id(&only) && alike >= 3 {
            self.elements[self.shapes[only].element].says.role = NameRole::Unsaid;
        }
    }

    pub(super) fn leave_out(&mut self) {
        for i in 0..self.shapes.len() {
            if let Some(why) = self.why_out(&self.shapes[i]) {
                self.out.insert(i, why);
            }
        }
    }

    pub(super) fn why_out(&self, shape: &Shape) -> Option<String> {
        if let Some(rule) = self.matching(&self.options.ignore_rules, shape) {
            return Some(format!("the rule {} ignores it", rule.text()));
        }
        if self.matching(&self.options.roof_rules, shape).is_some() {
            return None;
        }
        let element = &self.elements[shape.element];
        let layer = excerpt(element.source.layer.as_deref().unwrap_or("its name"));
        match element.says.role {
            NameRole::Dimension => Some(format!("a dimension, by its layer “{layer}”")),
            NameRole::Note => Some(format!("a note, by its layer “{layer}”")),
            role if role.is_left_out() => {
                Some(format!("no part of the roof, by its layer “{layer}”"))
            }
            _ if shape.hatched && shape.filled_only() => Some("a hatch".to_string()),
            _ => None,
        }
    }

    pub(super) fn is_roof(&self, shape: usize) -> bool {
        let shape = &self.shapes[shape];
        self.elements[shape.element].says.role == NameRole::Roof
            || self.matching(&self.options.roof_rules, shape).is_some()
    }

    pub(super) fn put_out(&mut self, shape: usize, why: impl Into<String>) {
        if !self.is_roof(shape) {
            self.out.entry(shape).or_insert_with(|| why.into());
        }
    }

    pub(super) fn leave_out_page(&mut self) {
        let background = page::background(&self.shapes, self.prepared.frame.view_box);
        if let Some(shape) = background {
            self.put_out(shape, "the page's background");
        }
        let colour = PageColour::of(&self.shapes, background);
        for i in 0..self.shapes.len() {
            if colour.hides(&self.shapes[i]) {
                self.put_out(i, "it has the page's colour and is not seen");
            }
        }
    }

    pub(super) fn leave_out_outlined(&mut self) {
        self.outlined = outlined::find(&self.shapes, |i| self.out.contains_key(&i));
        let shapes: Vec<usize> = self
            .outlined
            .iter()
            .flat_map(|o| o.shapes.clone())
            .collect();
        for shape in shapes {
            self.out
                .entry(shape)
                .or_insert_with(|| "text drawn as outlines".to_string());
        }
    }

    /// Text drawn as outlines is worth a warning; where no other text is there it is the reason for what is missing.
    pub(super) fn tell_outlined(&mut self, scale: &Scale) {
        if self.outlined.is_empty() {
            return;
        }
        let mut finding = Finding::warning(
            "text-as-outlines",
            format!(
                "{} of the drawing's texts are drawn as outlines, which cannot be read as text.",
                self.outlined.len()
            ),
        )
        .remedy(OUTLINED_REMEDY);
        if self.outlined.len() == 1 {
            finding.message =
                "A text of the drawing is drawn as outlines, which cannot be read as text."
                    .to_string();
        }
        let kept: Vec<String> = self
            .outlined
            .iter()
            .filter_map(|run| Some(format!("“{}”", self.spoken_of(run.shapes[0])?)))
            .take(MOST_PLACES)
            .collect();
        if !kept.is_empty() {
            finding.message += &format!(
                " The file keeps words beside them, which do not go with the shapes well enough to be believed: {}.",
                kept.join(", ")
            );
        }
        for run in self.outlined.iter().take(MOST_PLACES) {
            let element = self.shapes[run.shapes[0]].element;
            let at = scale.to_plan(run.middle);
            finding = finding.place(Place::on(&self.elements[element].source, at));
        }
        self.findings.push(finding);
    }

    /// Says where the scale may be hidden.
    pub(super) fn with_hint(&self, mut errors: Vec<Finding>) -> Vec<Finding> {
        let of_texts = |told: &&Finding| UNREAD_TEXTS.contains(&told.code);
        errors.extend(self.findings.iter().filter(of_texts).cloned());
        let Some(run) = self.outlined.first() else {
            return errors;
        };
        for error in errors.iter_mut().filter(|e| e.code == "no-scale") {
            error.message += " Its texts are drawn as outlines, which cannot be read as text.";
            let element = self.shapes[run.shapes[0]].element;
            error.places.push(Place::of(&self.elements[element].source));
            error.remedy = format!("{OUTLINED_REMEDY} {}", error.remedy);
        }
        errors
    }

    pub(super) fn leave_out_leaders(&mut self) {
        let candidates: Vec<Candidate> = (0..self.shapes.len())
            .filter(|&i| !self.is_roof(i))
            .filter_map(|i| self.leader_candidate(i))
            .collect();
        if candidates.is_empty() {
            return;
        }
        let may_be_head = |i: usize| may_be_of_leader(self.role(i)) && !self.is_roof(i);
        let heads = (0..self.shapes.len()).map(may_be_head).collect();
        let lines = Lines::new(candidates, &self.shapes, heads, |i| {
            self.out.contains_key(&i)
        });
        let leaders: Vec<Leader> = (0..self.words.len())
            .filter(|&i| matches!(self.meanings[i], Meaning::Roof(_) | Meaning::Side(..)))
            .filter_map(|i| leader::find(i, &self.words[i], &lines))
            .collect();
        for leader in &leaders {
            let why = format!("the leader line of “{}”", self.words[leader.words].text);
            for &shape in &leader.shapes {
                self.put_out(shape, why.clone());
            }
        }
        self.leaders = leaders;
    }

    pub(super) fn leader_candidate(&self, index: usize) -> Option<Candidate> {
        let shape = &self.shapes[index];
        let (outline, of_head) = leader::shaft(shape)?;
        let element = &self.elements[shape.element];
        let role = element.says.role;
        let fits = !shape.filled && !outline.closed && outline.pieces.len() <= 3;
        let left_out = self
            .out
            .get(&index)
            .is_some_and(|_| role == NameRole::Unsaid);
        if !fits || !may_be_of_leader(role) || left_out {
            return None;
        }
        let named = element
            .names
            .iter()
            .any(|n| n.to_lowercase().contains("leader"));
        let corners: Vec<Point> = outline.corners().collect();
        let [.., before_last, last] = corners[..] else {
            return None;
        };
        Some(Candidate {
            shape: index,
            ends: [corners[0], last],
            next: [corners[1], before_last],
            sure: of_head == 0
                && (role != NameRole::Unsaid || named || element.markers != Default::default()),
        })
    }

    pub(super) fn leave_out_arrows(&mut self) {
        self.arrows = arrow::find(&self.shapes, &self.elements, |i| {
            self.out.contains_key(&i) || self.is_roof(i)
        });
        let arrows: Vec<Arrow> = self
            .arrows
            .iter()
            .filter(|a| self.role(a.shaft) != NameRole::Fall)
            .cloned()
            .collect();
        for arrow in arrows {
            self.put_out(arrow.shaft, "an arrow");
            for head in arrow.heads {
                self.put_out(head, "an arrow head");
            }
        }
    }

    pub(super) fn role(&self, shape: usize) -> NameRole {
        self.elements[self.shapes[shape].element].says.role
    }

    /// A line of the roof stays one, whatever ends on it or stands beside it.
    pub(super) fn leave_out_dimensions(&mut self, dimensions: &[Dimension]) {
        for dimension in dimensions.iter().filter(|d| d.drawn) {
            let text = self.words[dimension.words].text.clone();
            for &shape in &dimension.shafts {
                self.put_out_of_building(shape, format!("the dimension line of {text}"));
            }
            for &shape in &dimension.ends {
                self.put_out_of_building(shape, format!("an end mark of the dimension {text}"));
            }
        }
    }

    fn put_out_of_building(&mut self, shape: usize, why: String) {
        if self.layer_says(shape) != LayerSays::Building {
            self.put_out(shape, why);
        }
    }
}

/// Whether leaders are drawn on layers of this role.
fn may_be_of_leader(role: NameRole) -> bool {
    matches!(
        role,
        NameRole::Unsaid | NameRole::Note | NameRole::Dimension
    )
}
