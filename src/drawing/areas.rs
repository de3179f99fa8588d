//! Texts that say something about areas besides those that are one: heads of tables, words for other areas, bare figures.

use std::sync::Arc;

use super::assemble::mistyped;
use super::label::Meaning;
use super::layer::NameRole;
use super::read::Reader;
use super::text::{
    column_is_in_plan, has_an_area, heads_an_area, is_bare_figure, speaks_of_an_area,
    topic_of_areas, unit_of_column,
};
use super::words::Words;
use super::{AreaColumn, AreaHead, AreaTopic, BareFigure, Drawing, Label, Says};
use crate::geometry::Point;

impl Reader<'_> {
    /// Whether a text is an area, or speaks of one that cannot be read.
    pub(super) fn is_area(&self, words: usize) -> bool {
        matches!(
            self.meanings[words],
            Meaning::UnreadArea | Meaning::Roof(Says::StatedArea { .. })
        )
    }

    /// What stands round areas. What a title block states is compared, so its words are too.
    pub(super) fn areas(&self, drawing: &mut Drawing, to_plan: impl Fn(Point) -> Point) {
        self.among_words(drawing, &to_plan);
        let baseline = |words: &Words| [to_plan(words.start), to_plan(words.end)];
        let role = |words: &Words| self.elements[words.element].says.role;
        let seen = || self.words.iter().filter(|w| role(w) != NameRole::LeftOut);
        let head = |words: &Words, text: String| AreaHead {
            text,
            baseline: baseline(words),
        };
        drawing.area_heads = seen()
            .filter(|words| heads_an_area(&words.text))
            .map(|words| head(words, words.text.clone()))
            .collect();
        drawing.area_units = seen()
            .filter_map(|words| Some(head(words, unit_of_column(&words.text)?)))
            .collect();
        drawing.area_columns = seen()
            .filter_map(|words| {
                Some(AreaColumn {
                    in_plan: column_is_in_plan(&words.text)?,
                    baseline: baseline(words),
                })
            })
            .collect();
        drawing.area_topics = seen()
            .filter_map(|words| {
                Some(AreaTopic {
                    of_roof: topic_of_areas(&words.text)?,
                    text: words.text.clone(),
                    baseline: baseline(words),
                })
            })
            .collect();
        let states_any = |l: &Label| matches!(l.says, Says::StatedArea { .. });
        if drawing.labels.iter().any(states_any) {
            let meant = self.words.iter().zip(&self.meanings);
            let others = meant.filter(|(_, meaning)| matches!(meaning, Meaning::Other));
            drawing.other_texts = (others.map(|(words, _)| words))
                .filter(|words| role(words) != NameRole::LeftOut)
                .map(|words| head(words, words.text.clone()))
                .collect();
        }
        let feet_per_unit = drawing.scale.feet_per_unit;
        drawing.bare_figures = seen()
            .filter(|words| is_bare_figure(&words.text))
            .map(|words| BareFigure {
                text: words.text.clone(),
                at: to_plan(words.middle()),
                baseline: baseline(words),
                height_ft: words.size() * feet_per_unit,
                source: Arc::clone(&self.elements[words.element].source),
            })
            .collect();
    }

    /// Texts that are no area and have one in them: those that say something else too, such as a pitch, and speak of the roof's
    /// area are told wherever they stand, the others where they stand in a face.
    fn among_words(&self, drawing: &mut Drawing, to_plan: impl Fn(Point) -> Point) {
        for (i, words) in self.words.iter().enumerate() {
            let element = &self.elements[words.element];
            if self.is_area(i) || element.says.role == NameRole::LeftOut {
                continue;
            }
            let told = || mistyped(words, element, to_plan(words.middle()));
            let is_read = !matches!(self.meanings[i], Meaning::Other);
            if is_read && speaks_of_an_area(&words.text) {
                drawing.unread_areas.push(told());
            } else if element.says.role != NameRole::Sheet && has_an_area(&words.text) {
                drawing.area_texts.push(told());
            }
        }
    }
}
