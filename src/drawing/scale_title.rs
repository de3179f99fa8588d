//! Which written scales are the roof's drawing's, and which belong to the titles of other drawings on the sheet.

use std::collections::BTreeSet;

use super::Says;
use super::dimension::{Dimension, nearest_on};
use super::label::Meaning;
use super::read::Reader;
use super::text::{
    ScaleText, before_scale, ends_in_a_scale, is_of_another_drawing, of_a_roof, scale_in_words,
};
use super::words::Words;
use crate::finding::excerpt;
use crate::geometry::Point;
use crate::{Finding, Place};

/// A scale stands below its title by no more than this, in sizes of the larger text: a second line may stand between ...
const BELOW: f64 = 4.0;
/// ... and not farther to its side than this there.
const ASIDE: f64 = 2.0;
/// On the line of its title it stands as far to the side as this, in sizes: titles have a bar with the scale at its end.
const ON_THE_LINE: f64 = 12.0;
/// Baselines no farther apart than this are one line, in sizes.
const ONE_LINE: f64 = 1.0;

/// Scales and texts that are compared, at most: some 0.1 seconds.
const MOST_PAIRS: usize = 10_000_000;

/// A scale and the title of another drawing that it belongs to, by the numbers of their texts: the same where one text is both.
pub(super) type OfAnother = (usize, usize);

impl Reader<'_> {
    /// The written scales with the number of their text; without dimensions those in the titles of the roof's plan as well, and
    /// where nothing else gives the scale those in other texts that may be its title. Then those that belong to titles of other drawings, which say nothing of the roof.
    pub(super) fn written_scales(
        &self,
        dimensions: &[Dimension],
    ) -> (Vec<(usize, ScaleText)>, Vec<OfAnother>) {
        let all = || self.meanings.iter().enumerate();
        let is_alone = |(_, meaning): &(usize, &Meaning)| {
            matches!(meaning, Meaning::Scale(_) | Meaning::TitleScale(_))
        };
        let alone: Vec<usize> = all().filter(is_alone).map(|(i, _)| i).collect();
        let titles = self.drawing_titles(alone.len());
        let of_others: Vec<OfAnother> = alone
            .into_iter()
            .filter_map(|i| Some((i, self.title_of_another(i, &titles)?)))
            .collect();
        let not_ours: BTreeSet<usize> = of_others.iter().map(|&(scale, _)| scale).collect();
        let is_ours = |i: usize| !not_ours.contains(&i);
        let plain: Vec<(usize, ScaleText)> = all()
            .filter_map(|(i, meaning)| match meaning {
                Meaning::Scale(scale) if is_ours(i) => Some((i, scale.clone())),
                _ => None,
            })
            .collect();
        if !dimensions.is_empty() {
            return (plain, of_others);
        }
        let of_titles = all().filter_map(|(i, meaning)| match meaning {
            Meaning::TitleScale(scale) if is_ours(i) => Some((i, scale.clone())),
            _ => None,
        });
        let (roof, others): (Vec<_>, Vec<_>) =
            of_titles.partition(|(_, scale)| of_a_roof(scale.text()));
        // A scale without a drawing's name does not go before the one in the title of the roof's plan.
        if !plain.is_empty() || !roof.is_empty() {
            return ([plain, roof].concat(), of_others);
        }
        // Beside other drawings' ratios `M 1:50` may be of any of them.
        let is_of_another = |(i, meaning): (usize, &Meaning)| {
            *meaning == Meaning::Other && ends_in_a_scale(&self.words[i].text)
        };
        match all().any(is_of_another) {
            true => (Vec::new(), of_others),
            false => (others, of_others),
        }
    }

    /// A ratio of 1 that would be a pitch is a scale where it belongs to the title of another drawing: `1:10` beneath `EAVE DETAIL`.
    pub(super) fn read_ratios_of_others(&mut self) {
        let ratios: Vec<(usize, ScaleText)> = (self.meanings.iter().enumerate())
            .filter(|(_, meaning)| matches!(meaning, Meaning::Roof(Says::Pitch { .. })))
            .filter_map(|(i, _)| Some((i, scale_in_words(&self.words[i].text)?)))
            .collect();
        let titles = self.drawing_titles(ratios.len());
        for (i, scale) in ratios {
            let Some(title) = self.title_of_another(i, &titles) else {
                continue;
            };
            let [text, title] = [i, title].map(|i| excerpt(&self.words[i].text));
            let told = Finding::note(
                "ratio-of-another-drawing",
                format!(
                    "“{text}” was read as the scale of the drawing with the title “{title}”, not as a pitch."
                ),
            );
            let place = Place::of(&self.elements[self.words[i].element].source);
            self.findings.push(told.place(place));
            self.meanings[i] = Meaning::Scale(scale);
        }
    }

    /// Whether a text of a scale bar stands beneath the title of another drawing than the roof's, or beside it, or whether of all titles
    /// such a one is nearest: a bar may stand over its drawing's title.
    pub(super) fn is_under_another_title(&self, of_bar: usize) -> bool {
        let titles = self.drawing_titles(1);
        let place = self.words[of_bar].start;
        let distance = |title: &Words| nearest_on(place, title.start, title.end).distance(place);
        let far = titles
            .iter()
            .map(|&(i, of_another)| (distance(&self.words[i]), of_another));
        let nearest = far.min_by(|a, b| a.0.total_cmp(&b.0));
        nearest.is_some_and(|(_, of_another)| of_another)
            || self.title_of_another(of_bar, &titles).is_some()
    }

    /// The titles of drawings that give no scale themselves, and whether they are of another drawing than the roof's; none where
    /// there are too many to look at for so many scales.
    fn drawing_titles(&self, scales: usize) -> Vec<(usize, bool)> {
        if scales.saturating_mul(self.words.len()) > MOST_PAIRS {
            return Vec::new();
        }
        let all = self.words.iter().zip(&self.meanings).enumerate();
        let titles = all.filter(|(_, (words, meaning))| {
            let gives_one = matches!(meaning, Meaning::Scale(_) | Meaning::TitleScale(_));
            scales > 0 && !gives_one && !ends_in_a_scale(&words.text)
        });
        titles
            .filter_map(|(i, (words, _))| {
                let of_another = is_of_another_drawing(&words.text);
                (of_another || of_a_roof(&words.text)).then_some((i, of_another))
            })
            .collect()
    }

    /// The title of another drawing that a scale belongs to: in the same text, or the nearest title above it or on its line.
    fn title_of_another(&self, scale: usize, titles: &[(usize, bool)]) -> Option<usize> {
        let words = &self.words[scale];
        let own = before_scale(&words.text).unwrap_or_default();
        if of_a_roof(&own) || of_a_roof(&words.text) {
            return None;
        }
        if is_of_another_drawing(&own) {
            return Some(scale);
        }
        let (_, title, of_another) = titles
            .iter()
            .filter_map(|&(i, of_another)| {
                Some((from_title(words, &self.words[i])?, i, of_another))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        of_another.then_some(title)
    }
}

/// How far a scale stands from a title that it may belong to, in sizes of the larger text.
fn from_title(scale: &Words, title: &Words) -> Option<f64> {
    let u = scale.along();
    if title.along().dot(u) < 0.99 {
        return None;
    }
    let size = scale.size().max(title.size());
    let place = |words: &Words| {
        let at = |p: Point| (p - scale.start).dot(u) / size;
        (at(words.start), at(words.end))
    };
    let ((low, high), (title_low, title_high)) = (place(scale), place(title));
    let aside = (title_low - high).max(low - title_high).max(0.0);
    let above = (title.start - scale.start).dot(scale.up) / (scale.size() * size);
    let is_near = if above.abs() <= ONE_LINE {
        aside <= ON_THE_LINE
    } else {
        (0.0..=BELOW).contains(&above) && aside <= ASIDE
    };
    is_near.then(|| above.abs() + aside)
}
