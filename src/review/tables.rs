//! Where words stand round a figure: on its line, right above it in its column, or as the head of its table.

use crate::drawing::text::{AreaText, has_an_area, heads_areas_of_roofs, parse_area};
use crate::drawing::{AreaColumn, AreaHead, AreaTopic, Drawing, Label, Says};
use crate::geometry::{Point, Vector};

/// Texts whose baselines lie within this many of their heights stand on one line.
const SAME_LINE: f64 = 0.5;
/// The next line of a column lies no further down than this many heights.
const NEXT_LINE: f64 = 2.5;
/// A figure stands no further behind its words than this many heights: across a column of a table.
const LINE_GAP: f64 = 25.0;
/// The head of a table stands no further above its last line than this many heights: some twenty lines.
const TABLE: f64 = 30.0;

/// Where a text stands as another one sees it.
#[derive(Clone, Copy)]
struct Stand {
    /// Its start along the other's baseline, in feet from the other's start.
    from_ft: f64,
    /// Its end.
    to_ft: f64,
    /// How far above, in heights of the other.
    above: f64,
}

impl Stand {
    fn is_in_line(self) -> bool {
        self.above.abs() < SAME_LINE
    }
}

/// A head that stands at a figure.
struct Near<'d> {
    /// How far off, in heights of the figure.
    apart: f64,
    at: Stand,
    head: &'d AreaHead,
}

/// What one text sees.
pub(super) struct View {
    start: Point,
    along: Vector,
    long_ft: f64,
    /// Of its letters, in feet.
    pub(super) height_ft: f64,
}

impl View {
    /// `None` for a text without a width.
    pub(super) fn of([start, end]: [Point; 2], height_ft: f64) -> Option<Self> {
        Some(Self {
            start,
            along: (end - start).unit()?,
            long_ft: start.distance(end),
            height_ft,
        })
    }

    fn stand(&self, [from, to]: [Point; 2]) -> Stand {
        let along = |p: Point| (p - self.start).dot(self.along);
        Stand {
            from_ft: along(from),
            to_ft: along(to),
            above: self.along.cross(from.midpoint(to) - self.start) / self.height_ft,
        }
    }

    fn shared_ft(&self, at: Stand) -> f64 {
        at.to_ft.min(self.long_ft) - at.from_ft.max(0.0)
    }

    /// Whether it stands beneath another in a column, as far as tables reach.
    fn is_beneath(&self, at: Stand) -> bool {
        at.above > SAME_LINE && at.above < TABLE && self.shared_ft(at) > 0.0
    }

    /// One stands over the other by half of the shorter one, or begins where it does.
    fn is_in_column(&self, at: Stand) -> bool {
        let shared = self.shared_ft(at);
        shared >= (at.to_ft - at.from_ft).min(self.long_ft) / 2.0
            || at.from_ft.abs() < self.height_ft && shared > 0.0
    }
}

/// The drawing's words about areas, and its figures.
pub(super) struct Tables<'d> {
    drawing: &'d Drawing,
    areas: Vec<[Point; 2]>,
    figures: Vec<[Point; 2]>,
    /// As written, in the order of `figures`.
    texts: Vec<&'d str>,
    /// How many areas say that they are the whole roof's.
    pub(super) of_whole_roofs: usize,
}

/// The head nearest above a figure in its column, as far as tables reach.
fn nearest_above<'d, H>(
    view: &View,
    heads: &'d [H],
    baseline: impl Fn(&H) -> [Point; 2],
) -> Option<&'d H> {
    let seen = heads.iter().map(|head| (view.stand(baseline(head)), head));
    let above = seen.filter(|(at, _)| view.is_beneath(*at));
    let (_, head) = above.min_by(|a, b| a.0.above.total_cmp(&b.0.above))?;
    Some(head)
}

/// Lines of a block of words over an area, at most: a name of two lines and a size.
const MOST_LINES: usize = 4;
/// A text without so many letters in a row has no word: `14'-0" × 16'-0"`, which stands between a room's name and its area.
const LETTERS_OF_WORDS: usize = 2;

impl<'d> Tables<'d> {
    pub(super) fn of(drawing: &'d Drawing) -> Self {
        let is_area = |l: &&Label| matches!(l.says, Says::StatedArea { .. });
        let of_whole = |l: &&Label| match l.says {
            Says::StatedArea { whole_roof, .. } => whole_roof,
            _ => false,
        };
        let stated = || drawing.labels.iter().filter(is_area);
        let areas: Vec<[Point; 2]> = stated().map(|l| l.baseline).collect();
        let bare = || drawing.bare_figures.iter();
        let texts = stated().map(|l| l.text.as_str());
        Self {
            drawing,
            figures: (areas.iter().copied())
                .chain(bare().map(|f| f.baseline))
                .collect(),
            areas,
            texts: texts.chain(bare().map(|f| f.text.as_str())).collect(),
            of_whole_roofs: stated().filter(of_whole).count(),
        }
    }

    /// The words that head an area: those nearest before it on its line, or right above it in its column, unless they head
    /// a column of several; with the words and the area as one text.
    pub(super) fn of_area(&self, view: &View, text: &str) -> Option<(String, &'d AreaHead)> {
        let head = self.head(view, &self.areas)?;
        let joined = format!("{} {text}", head.text);
        parse_area(&joined).is_some().then_some((joined, head))
    }

    /// The same for a number without a unit, for which numbers stand in the way as areas do.
    pub(super) fn of_figure(&self, view: &View) -> Option<&'d AreaHead> {
        self.head(view, &self.figures)
    }

    fn head(&self, view: &View, figures: &[[Point; 2]]) -> Option<&'d AreaHead> {
        let heads = self.drawing.area_heads.iter();
        let seen = heads.map(|head| (view.stand(head.baseline), head));
        let (mut in_line, mut over): (Option<Near<'d>>, Option<Near<'d>>) = (None, None);
        let is_nearer =
            |apart: f64, than: &Option<Near<'d>>| than.as_ref().is_none_or(|n| apart < n.apart);
        for (at, head) in seen {
            let before = -at.to_ft / view.height_ft;
            let on_line = at.is_in_line() && (0.0..=LINE_GAP).contains(&before);
            let next = at.above > SAME_LINE && at.above < NEXT_LINE && view.is_in_column(at);
            if on_line && is_nearer(before, &in_line) {
                let apart = before;
                in_line = Some(Near { apart, at, head });
            } else if next && is_nearer(at.above, &over) {
                let apart = at.above;
                over = Some(Near { apart, at, head });
            }
        }
        if in_line.is_none() && over.is_none() {
            return None;
        }
        // What stands between has the words for its own; so it has those farther off. But the words before a row are those of
        // every figure in it that stands in a column of its own.
        let has_column = self.column(view).is_some();
        for figure in figures {
            let at = view.stand(*figure);
            in_line = in_line.filter(|near| {
                let between = at.from_ft >= near.at.to_ft && at.to_ft <= 0.0;
                has_column || !(at.is_in_line() && between)
            });
            let beneath = at.above < -SAME_LINE && at.above > -NEXT_LINE;
            let of_several = beneath && view.is_in_column(at);
            over = over.filter(|near| {
                let between = at.above > SAME_LINE && at.above < near.at.above - SAME_LINE;
                let lies_there = between && at.to_ft > 0.0 && at.from_ft < view.long_ft;
                !of_several && !lies_there
            });
        }
        let all = in_line.into_iter().chain(over);
        let near = all.min_by(|a, b| a.apart.total_cmp(&b.apart))?;
        Some(near.head)
    }

    /// What the column above a total is of, by its words for areas, the nearest first: above the total's head, or its figure.
    pub(super) fn topics(&self, views: &[View]) -> Vec<&'d AreaTopic> {
        let seen = views.iter().flat_map(|view| {
            let topics = self.drawing.area_topics.iter();
            topics.map(move |topic| (view, view.stand(topic.baseline), topic))
        });
        let mut above: Vec<(f64, &'d AreaTopic)> = seen
            .filter(|(view, at, _)| view.is_beneath(*at))
            .map(|(_, at, topic)| (at.above, topic))
            .collect();
        above.sort_by(|a, b| a.0.total_cmp(&b.0));
        above.into_iter().map(|(_, topic)| topic).collect()
    }

    /// Whether an area is a row of a table of roofs: the nearest words above it that are no row of such a table head one.
    pub(super) fn are_of_roofs(&self, views: &[View]) -> bool {
        let Some(height_ft) = views.last().map(|view| view.height_ft) else {
            return false;
        };
        let topics = self.topics(views).into_iter();
        let mut heads = topics.skip_while(|t| t.of_roof && self.is_row(t, height_ft));
        heads
            .next()
            .is_some_and(|head| head.of_roof && heads_areas_of_roofs(&head.text))
    }

    /// Whether words for areas are those of a row, with an area of its own in the same text or behind it on its line; else they
    /// are the head of what stands beneath them.
    pub(super) fn is_row(&self, topic: &AreaTopic, height_ft: f64) -> bool {
        has_an_area(&topic.text) || self.behind(topic, height_ft).is_some()
    }

    /// The area of a row, where it can be read.
    pub(super) fn area_of_row(&self, topic: &AreaTopic, height_ft: f64) -> Option<AreaText> {
        parse_area(&topic.text).or_else(|| {
            let (baseline, text) = self.behind(topic, height_ft)?;
            parse_area(text).or_else(|| {
                let unit = self.unit(&View::of(baseline, height_ft)?)?;
                parse_area(&format!("{text} {unit}"))
            })
        })
    }

    /// The figure behind some words on their line.
    fn behind(&self, topic: &AreaTopic, height_ft: f64) -> Option<([Point; 2], &'d str)> {
        let view = View::of(topic.baseline, height_ft)?;
        let figures = self.figures.iter().zip(&self.texts);
        let seen = figures.filter_map(|(baseline, text)| {
            let at = view.stand(*baseline);
            let behind = (at.from_ft - view.long_ft) / height_ft;
            let is_there = at.is_in_line() && (0.0..=LINE_GAP).contains(&behind);
            is_there.then_some((behind, *baseline, *text))
        });
        let (_, baseline, text) = seen.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((baseline, text))
    }

    /// The words on the line right above an area in its column; sizes between, which have no words, are passed over. What
    /// says something about the roof, such as a pitch, or is an area has the words above it for its own.
    pub(super) fn words_over(&self, view: &View) -> Option<&'d str> {
        let mut baseline = [view.start, view.start + view.along * view.long_ft];
        for _ in 0..MOST_LINES {
            let view = View::of(baseline, view.height_ft)?;
            let others = self.drawing.other_texts.iter();
            let others = others.map(|text| (text.baseline, Some(text)));
            let labels = self.drawing.labels.iter().map(|l| (l.baseline, None));
            let seen = others
                .chain(labels)
                .map(|(at, text)| (view.stand(at), text));
            let over = seen.filter(|(at, _)| {
                at.above > SAME_LINE && at.above < NEXT_LINE && view.is_in_column(*at)
            });
            let (_, next) = over.min_by(|a, b| a.0.above.total_cmp(&b.0.above))?;
            let next = next?;
            let mut words = next.text.split(|c: char| !c.is_alphabetic());
            if words.any(|w| w.chars().count() >= LETTERS_OF_WORDS) {
                return Some(&next.text);
            }
            baseline = next.baseline;
        }
        None
    }

    /// The unit of the column in which a figure stands, by the nearest head above it.
    pub(super) fn unit(&self, view: &View) -> Option<&'d str> {
        let head = nearest_above(view, &self.drawing.area_units, |head| head.baseline)?;
        Some(&head.text)
    }

    /// Whether a figure stands in a column of areas in plan, by the nearest head above it.
    pub(super) fn is_in_plan(&self, view: &View) -> bool {
        self.column(view).is_some_and(|column| column.in_plan)
    }

    fn column(&self, view: &View) -> Option<&'d AreaColumn> {
        nearest_above(view, &self.drawing.area_columns, |column| column.baseline)
    }
}
