//! Which shapes are roof lines, where the layers do not say.
//!
//! A drafter tells things apart by layer, colour, width, dash and fill. The strokes are grouped by these, and those
//! groups are taken together whose lines bound faces that each hold exactly one pitch.

use std::collections::BTreeMap;

use super::build::{MapOptions, build_from};
use super::groups::{Group, groups, rings_apart};
use super::load;
use super::pens::{each_named, each_numbered};
use super::rating::{Rating, Ring};
use super::tangled::cross_more_often_than;
use super::which_edge::ask_of_ends;
use crate::drawing::{Drawing, Label, Role, Says, Stroke};
use crate::{Finding, Place, Severity};

/// A choice of strokes for the roof's lines.
#[derive(Clone, Debug, Default)]
pub struct StrokeSet {
    /// Indices in [`Drawing::strokes`].
    pub strokes: Vec<usize>,
    /// How well its lines and the labels go together, lower is better; equal ones may be told apart by solving.
    pub faults: usize,
    /// The plan area of the faces that hold a label, in square feet.
    pub covered_sqft: f64,
    /// Labels without a face of their own.
    pub stray_labels: usize,
    /// Whether nothing but solving can tell the choices apart: one pitch was given for every face without a label, so a
    /// face without one says nothing.
    pub unlabelled: bool,
    /// Which of two lines is its edge, where that is asked.
    pub edge: EdgeLine,
    /// What is asked where both make a roof: of the likeliest choice alone.
    pub which_edge: Option<Finding>,
    /// What is asked if it is taken, since lines of it go on to a dashed line that it leaves out.
    pub cut_short: Option<Finding>,
    /// Indices of the strokes of pens whose lines cross each other everywhere: nothing is looked for among those left out.
    pub tangled: Vec<usize>,
    /// What was left out, and why; nothing where layers decided.
    pub findings: Vec<Finding>,
}

/// Which of two lines that run round each other is the roof's edge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EdgeLine {
    /// The inner one, or the only one.
    #[default]
    Inner,
    /// The inner one, with labels beside it that stand in the likeliest choice.
    InnerBesideLabels,
    /// The outer one.
    Outer,
}

/// With this many groups or fewer, every choice of groups is tried.
const TRY_ALL: usize = 6;
/// How many choices are offered at most ...
const OFFERED: usize = 8;
/// ... and where no pitch is written, so that only solving can tell.
const OFFERED_UNLABELLED: usize = 1 << TRY_ALL;
/// With so few crossings a pen that crosses itself everywhere is looked at too where labels want it.
const FEW_CROSSINGS: usize = 2_000;

/// The choices of strokes that may be the roof's lines, the likeliest first.
///
/// The lines of the roof layer alone come first where there are any and they hold the labels.
pub fn candidates(drawing: &Drawing, options: &MapOptions) -> Vec<StrokeSet> {
    let of = |role: Role| -> Vec<usize> {
        (0..drawing.strokes.len())
            .filter(|&i| drawing.strokes[i].role == role)
            .collect()
    };
    let said = of(Role::Roof);
    let mut unsaid = of(Role::Unsaid);
    if !said.is_empty() && load::is_too_much(unsaid.iter().map(|&i| &drawing.strokes[i])) {
        unsaid.clear();
    }
    let named = each_named(drawing, &unsaid);
    let sets = of_groups(drawing, options, &said, groups(drawing, &unsaid, &named));
    // Lines with a name each may stand on layers all the same: which of them, is asked only where faces lack a pitch.
    let numbered = each_numbered(drawing, &unsaid, &named);
    if numbered == named || !lacks_a_pitch(drawing, sets.first(), options) {
        return sets;
    }
    let by_layer = of_groups(drawing, options, &said, groups(drawing, &unsaid, &numbered));
    match by_layer.first() {
        Some(first) if first.faults == 0 => by_layer,
        _ => sets,
    }
}

/// Whether a choice leaves faces without a pitch that does not follow from those beside them.
fn lacks_a_pitch(drawing: &Drawing, set: Option<&StrokeSet>, options: &MapOptions) -> bool {
    let refused = set.and_then(|set| build_from(drawing, set, options).err());
    refused.is_some_and(|findings| findings.iter().any(|f| f.code == "face-without-pitch"))
}

/// The choices among groups of strokes, with those of the roof layer.
fn of_groups(
    drawing: &Drawing,
    options: &MapOptions,
    said: &[usize],
    groups: Vec<Group>,
) -> Vec<StrokeSet> {
    if groups.is_empty() || (said.is_empty() && groups.len() == 1) {
        // Nothing to choose.
        let strokes = groups
            .into_iter()
            .flat_map(|g| g.strokes)
            .chain(said.iter().copied())
            .collect();
        return vec![StrokeSet {
            strokes,
            ..StrokeSet::default()
        }];
    }
    let mut search = Search {
        drawing,
        options,
        said,
        groups: &groups,
        rated: BTreeMap::new(),
        rings: BTreeMap::new(),
    };
    if !said.is_empty() {
        let none = vec![false; groups.len()];
        let rating = search.rate(&none);
        // A layer that says roof is believed, unless lines are plainly drawn elsewhere that its faces lack.
        let alone = StrokeSet {
            strokes: said.to_vec(),
            faults: rating.labels_unsuited + rating.faces_unsuited,
            ..StrokeSet::default()
        };
        if rating.labels_unsuited == 0 {
            return vec![alone];
        }
        if build_from(drawing, &alone, options).is_ok() {
            return search.with_what_the_layer_lacks(alone);
        }
    }
    search.run();
    let mut seen = groups.clone();
    if search.lacks_tangled() {
        seen.iter_mut().for_each(|g| g.tangled = false);
        search.run_again(&seen);
    }
    // Walls in the pen of the ridge, within a dashed edge.
    let apart = rings_apart(drawing, search.groups);
    if search.ends_on_dashed() && apart.len() > search.groups.len() {
        search.run_again(&apart);
    }
    search.sets()
}

/// The choices among groups, tried.
pub(super) struct Search<'a> {
    pub(super) drawing: &'a Drawing,
    pub(super) options: &'a MapOptions,
    /// Of the roof layer: they are in every choice.
    pub(super) said: &'a [usize],
    pub(super) groups: &'a [Group],
    pub(super) rated: BTreeMap<Vec<bool>, Rating>,
    /// The choices that are one ring.
    pub(super) rings: BTreeMap<Vec<bool>, Ring>,
}

impl<'a> Search<'a> {
    /// Tries every choice where there are few groups; else takes groups off, and puts them on, one by one.
    pub(super) fn run(&mut self) {
        let groups = self.groups;
        let open: Vec<usize> = (0..groups.len()).filter(|&i| !groups[i].tangled).collect();
        if open.len() <= TRY_ALL {
            for bits in 0..1_usize << open.len() {
                let mut choice = vec![false; groups.len()];
                for (bit, &i) in open.iter().enumerate() {
                    choice[i] = bits >> bit & 1 == 1;
                }
                self.rate(&choice);
            }
            return;
        }
        self.walk(groups.iter().map(|g| !g.tangled).collect());
        self.walk(vec![false; groups.len()]);
    }

    /// Tries the choices among other groups instead.
    fn run_again(&mut self, groups: &'a [Group]) {
        self.groups = groups;
        self.rated.clear();
        self.rings.clear();
        self.run();
    }

    /// The likeliest choice.
    pub(super) fn best(&self) -> Option<(&Vec<bool>, &Rating)> {
        self.rated.iter().min_by_key(|(_, rating)| *rating)
    }

    /// Whether no choice holds all labels, so that a roof of long lines right across many bays may have been taken for a
    /// tangle, and there are few enough crossings to look at all the same.
    fn lacks_tangled(&self) -> bool {
        let unsuited = self.rated.values().map(|r| r.labels_unsuited).min();
        let tangled = self.tangled();
        let strokes: Vec<&Stroke> = tangled.iter().map(|&i| &self.drawing.strokes[i]).collect();
        unsuited.is_some_and(|labels| labels > 0)
            && !strokes.is_empty()
            && !cross_more_often_than(FEW_CROSSINGS, &strokes)
    }

    /// The strokes of the groups that are never taken.
    fn tangled(&self) -> Vec<usize> {
        let groups = self.groups.iter().filter(|g| g.tangled);
        let mut strokes: Vec<usize> = groups.flat_map(|g| g.strokes.iter().copied()).collect();
        strokes.sort_unstable();
        strokes
    }

    /// From a choice to better ones, changing one group at a time.
    fn walk(&mut self, mut choice: Vec<bool>) {
        let mut best = self.rate(&choice);
        loop {
            let mut better: Option<(Rating, usize)> = None;
            for i in (0..choice.len()).filter(|&i| !self.groups[i].tangled) {
                choice[i] = !choice[i];
                let rating = self.rate(&choice);
                choice[i] = !choice[i];
                if rating < best && better.is_none_or(|(least, _)| rating < least) {
                    better = Some((rating, i));
                }
            }
            let Some((rating, i)) = better else { return };
            best = rating;
            choice[i] = !choice[i];
        }
    }

    pub(super) fn strokes(&self, choice: &[bool]) -> Vec<usize> {
        let mut strokes = self.said.to_vec();
        for (group, _) in self.groups.iter().zip(choice).filter(|(_, c)| **c) {
            strokes.extend(&group.strokes);
        }
        strokes.sort_unstable();
        strokes
    }

    pub(super) fn rate(&mut self, choice: &[bool]) -> Rating {
        if let Some(&rating) = self.rated.get(choice) {
            return rating;
        }
        let (rating, ring) = self.rate_new(&self.strokes(choice));
        self.rated.insert(choice.to_vec(), rating);
        if let Some(ring) = ring {
            self.rings.insert(choice.to_vec(), ring);
        }
        rating
    }

    /// The rated choices, the best first.
    pub(super) fn sets(&self) -> Vec<StrokeSet> {
        let unlabelled = self.unlabelled();
        let tangled = self.tangled();
        let of_dashed_edge = self.of_dashed_edge();
        let asked = self.which_edge();
        let mut order: Vec<(&Rating, &Vec<bool>)> =
            self.rated.iter().map(|(c, r)| (r, c)).collect();
        order.sort();
        let narrower = asked.as_ref().and_then(|asked| asked.narrower.clone());
        let edge = |choice: &Vec<bool>, rating: &Rating| match &narrower {
            Some(narrower) if narrower == choice => EdgeLine::InnerBesideLabels,
            Some(_) => EdgeLine::Outer,
            None if self.is_wider(rating) => EdgeLine::Outer,
            None => EdgeLine::Inner,
        };
        // The two that are asked about stand first.
        if let Some(at) = order
            .iter()
            .position(|(_, c)| narrower.as_ref() == Some(*c))
        {
            order[1..=at].rotate_right(1);
        }
        let sets = order
            .into_iter()
            .map(|(rating, choice)| StrokeSet {
                strokes: self.strokes(choice),
                faults: rating.labels_unsuited + rating.faces_unsuited,
                stray_labels: rating.labels_unsuited,
                covered_sqft: -(rating.less_covered as f64),
                unlabelled,
                edge: edge(choice, rating),
                which_edge: None,
                cut_short: (unlabelled && rating.ends_on_dashed > 0)
                    .then(|| ask_of_ends(rating.ends_on_dashed)),
                tangled: tangled.clone(),
                findings: self
                    .tell(choice)
                    .into_iter()
                    .chain(of_dashed_edge.clone())
                    .collect(),
            })
            .filter(|set| !set.strokes.is_empty())
            .take(if unlabelled {
                OFFERED_UNLABELLED
            } else {
                OFFERED
            });
        let mut sets: Vec<StrokeSet> = sets.collect();
        if let Some(first) = sets.first_mut() {
            first.which_edge = asked.map(|asked| asked.finding);
        }
        sets
    }

    /// Whether one pitch was given for all faces without a label. Outlines are told apart by nothing at all.
    pub(super) fn unlabelled(&self) -> bool {
        self.options.default_pitch.is_some() && !self.options.outline
    }

    fn says_pitches(&self) -> bool {
        let pitch = |l: &Label| matches!(l.says, Says::Pitch { .. });
        self.drawing.labels.iter().any(pitch)
    }

    /// What the choice leaves out.
    fn tell(&self, choice: &[bool]) -> Vec<Finding> {
        let left_out: Vec<&Group> = self
            .groups
            .iter()
            .zip(choice)
            .filter(|(_, chosen)| !**chosen)
            .map(|(group, _)| group)
            .collect();
        let besides = self.taken_besides_the_layer(choice);
        if left_out.is_empty() {
            return besides.into_iter().collect();
        }
        let looks = looks_of(&left_out);
        let places = self.places_of(&left_out);
        let told = if self.unlabelled() {
            Finding::warning(
                "roof-lines-chosen",
                format!(
                    "No layer{} says which lines are the roof's: those were taken that solve as a roof. Left out: {}.",
                    if self.says_pitches() {
                        ""
                    } else {
                        " and no pitch"
                    },
                    looks
                ),
            )
        } else {
            Finding::note(
                "roof-lines-chosen",
                format!(
                    "{}Left out, because they bound no face with a pitch of its own: {looks}.",
                    match self.said {
                        [] => "No layer says which lines are the roof's. ",
                        _ => "",
                    },
                ),
            )
        };
        let mut told = told;
        if left_out.iter().any(|g| g.tangled) {
            // No dormer is looked for among these.
            told.severity = Severity::Warning;
        }
        let told = super::tell::several(
            told.remedy("Name the roof's layer roof, or choose with --roof and --ignore, if that is not right."),
            places,
        );
        besides.into_iter().chain([told]).collect()
    }

    /// Where groups are drawn: a place of each.
    pub(super) fn places_of(&self, groups: &[&Group]) -> Vec<Place> {
        let first = groups.iter().map(|g| g.strokes[0]);
        first
            .map(|i| Place::of(&self.drawing.strokes[i].source))
            .collect()
    }
}

/// What groups look like, in words.
pub(super) fn looks_of(groups: &[&Group]) -> String {
    let looks = groups
        .iter()
        .map(|g| format!("{} ({} drawn)", g.looks, g.strokes.len()));
    looks.collect::<Vec<_>>().join("; ")
}
