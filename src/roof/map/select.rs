//! Which shapes are roof lines, where the layers do not say.
//!
//! A drafter tells things apart by layer, colour, width, dash and fill. The strokes are grouped by these, and those
//! groups are taken together whose lines bound faces that each hold exactly one pitch.

use std::collections::BTreeMap;

use super::attempt::{Attempt, is_thin};
use super::build::{MapOptions, PitchLabel, build_from, pitch_labels, spots};
use super::dashed::{self, Covers, Rules};
use super::labels::FaceFinder;
use super::ladder::climb;
use super::load;
use super::outline::{gap, reach};
use super::past::running_past;
use super::pens::{
    alike, each_named, each_numbered, is_called_a_roof_line, looks, rule_for, same_pen,
};
use super::piece::pieces;
use super::tangled::{cross_everywhere, cross_more_often_than};
use crate::drawing::{Drawing, Label, Role, Says, Stroke};
use crate::geometry::{Point, ring};
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
    /// Whether a dashed line is its edge that runs round the edge of the likeliest choice.
    pub is_wider: bool,
    /// Whether it is the edge within that of the likeliest choice, with labels beside it as the likeliest has them in it.
    pub is_narrower: bool,
    /// What is asked where both make a roof.
    pub which_edge: Option<Finding>,
    /// What is asked if it is taken, since lines of it go on to a dashed line that it leaves out.
    pub cut_short: Option<Finding>,
    /// Indices of the strokes of pens whose lines cross each other everywhere: nothing is looked for among those left out.
    pub tangled: Vec<usize>,
    /// What was left out, and why; nothing where layers decided.
    pub findings: Vec<Finding>,
}

/// With this many groups or fewer, every choice of groups is tried.
const TRY_ALL: usize = 6;
/// How many choices are offered at most ...
const OFFERED: usize = 8;
/// ... and where no pitch is written, so that only solving can tell.
const OFFERED_UNLABELLED: usize = 1 << TRY_ALL;
/// A choice whose ends have to be mended by so many hundredths of a foot more was not drawn to meet.
const MENDED_MORE: i64 = 30;
/// A ring with less than this share of the area within another is a chimney or a deck, not the edge.
const LEAST_SHARE: f64 = 0.25;
/// Choices that differ by less than this part of their area cover the same.
const SAME_COVER: f64 = 0.01;
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
        // A layer that says roof is believed, unless part of the roof is plainly drawn elsewhere.
        if rating.labels_unsuited == 0 {
            return vec![StrokeSet {
                strokes: said.to_vec(),
                faults: rating.labels_unsuited + rating.faces_unsuited,
                ..StrokeSet::default()
            }];
        }
    }
    search.run();
    let mut seen = groups.clone();
    if search.lacks_tangled() {
        seen.iter_mut().for_each(|g| g.tangled = false);
        search.groups = &seen;
        search.rated.clear();
        search.rings.clear();
        search.run();
    }
    // Walls in the pen of the ridge, within a dashed edge.
    let apart = rings_apart(drawing, search.groups);
    if search.ends_on_dashed() && apart.len() > search.groups.len() {
        search.groups = &apart;
        search.rated.clear();
        search.rings.clear();
        search.run();
    }
    search.sets()
}

/// The groups with their closed shapes apart from their single lines.
fn rings_apart(drawing: &Drawing, groups: &[Group]) -> Vec<Group> {
    let goes_round = |i: &usize| dashed::goes_round(&drawing.strokes[*i]);
    let mut apart = Vec::new();
    for group in groups {
        let (rings, lines): (Vec<usize>, Vec<usize>) =
            group.strokes.iter().partition(|i| goes_round(i));
        if rings.is_empty() || lines.is_empty() || group.tangled {
            apart.push(group.clone());
            continue;
        }
        let looks = format!("{}, closed", group.looks);
        apart.push(Group {
            strokes: rings,
            looks,
            ..group.clone()
        });
        apart.push(Group {
            strokes: lines,
            ..group.clone()
        });
    }
    apart
}

/// Strokes that look alike.
#[derive(Clone)]
struct Group {
    strokes: Vec<usize>,
    /// Whether they run across other lines and end in nothing, as leader lines do and roof lines do not.
    runs_past: bool,
    /// Whether they are single lines with a name each, which is no layer's.
    each_named: bool,
    /// Whether they cross each other everywhere, and others do not: then they are never taken.
    tangled: bool,
    /// What they look like, in words.
    looks: String,
}

fn groups(drawing: &Drawing, strokes: &[usize], named: &[bool]) -> Vec<Group> {
    let past = running_past(drawing, strokes);
    let mut groups: Vec<Group> = Vec::new();
    for ((&i, &runs_past), &is_named) in strokes.iter().zip(&past).zip(named) {
        let stroke = &drawing.strokes[i];
        let together = groups.iter_mut().find(|g| {
            let first = &drawing.strokes[g.strokes[0]];
            let one_kind = g.runs_past == runs_past && g.each_named == is_named;
            one_kind && (alike(first, stroke) || is_named && same_pen(first, stroke))
        });
        match together {
            Some(group) => group.strokes.push(i),
            None => groups.push(Group {
                strokes: vec![i],
                runs_past,
                each_named: is_named,
                tangled: false,
                looks: looks(stroke, !is_named),
            }),
        }
    }
    for group in groups.iter_mut().filter(|g| g.runs_past) {
        group.looks += ", running past other lines";
    }
    mark_tangled(drawing, &mut groups);
    groups
}

/// Marks the groups of pens that cross each other everywhere, unless all do.
fn mark_tangled(drawing: &Drawing, groups: &mut [Group]) {
    let first = |group: &Group| &drawing.strokes[group.strokes[0]];
    let cross = |group: &Group| {
        let of_pen = groups.iter().filter(|g| alike(first(g), first(group)));
        let numbers = of_pen.flat_map(|g| g.strokes.iter());
        let strokes: Vec<&Stroke> = numbers.map(|&i| &drawing.strokes[i]).collect();
        cross_everywhere(&strokes)
    };
    let tangled: Vec<bool> = groups.iter().map(cross).collect();
    if tangled.iter().all(|&t| t) {
        return;
    }
    for (group, _) in groups.iter_mut().zip(tangled).filter(|(_, t)| *t) {
        group.tangled = true;
        group.looks += ", crossing each other everywhere";
    }
}

/// Those of the strokes whose choice is looked at.
pub(super) fn looked_at(drawing: &Drawing, strokes: &[usize]) -> Vec<usize> {
    let named = each_named(drawing, strokes);
    let groups = groups(drawing, strokes, &named).into_iter();
    let taken = groups.filter(|g| !g.tangled);
    taken.flat_map(|g| g.strokes).collect()
}

/// How well a choice of groups fits the labels. The order of the fields is the order of their weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Rating {
    /// Labels without a face of their own.
    labels_unsuited: usize,
    /// Faces of the roof without a label, and lines in faces that bound nothing.
    faces_unsuited: usize,
    /// Lines taken that go on outside the faces to a dashed line left out, which is the roof's edge then.
    ends_on_dashed: usize,
    /// Dashed strokes taken: of equal choices the one without is better, since drafters dash what lies beneath.
    dashed: usize,
    /// Strokes left out on layers that are called by a line of the roof.
    roof_lines_left_out: usize,
    /// Plan area of the faces with a label, in whole square feet, negative: of equal choices the one that covers more is
    /// better, since walls and soffits are drawn inside the roof's edge.
    less_covered: i64,
    /// Strokes left out: of equal choices the fuller one is better, since nothing is lost in silence.
    left_out: usize,
    /// Labels that stand beside no outline, where no face holds one.
    not_beside: usize,
    /// Plan area of all faces where none holds a label, as in an outline with its pitches beside it, in whole square feet.
    /// Negative where there are labels, since walls stand within the edge; without labels more of it is not better.
    outlined: i64,
    /// How far ends were joined or taken on, in whole hundredths of a foot: lines that only just meet were not drawn to meet.
    mended: i64,
}

impl Rating {
    /// What the choice covers, in square feet of plan.
    fn sqft(&self) -> f64 {
        (self.outlined.abs() - self.less_covered) as f64
    }
}

/// A choice whose lines bound one face alone, which may be an outline.
#[derive(Clone, Copy, Debug)]
struct Ring {
    /// Its plan area, in square feet.
    sqft: f64,
    /// The corners of the box round it.
    low: Point,
    high: Point,
    /// Labels outside it.
    outside: usize,
    /// Those of them that stand too far from its sides to speak of one.
    not_beside: usize,
}

/// How many labels stand outside all faces, and how many of them too far from their sides to speak of one.
fn outside(attempt: &Attempt, labels: &[PitchLabel<'_>]) -> (usize, usize) {
    let sub = &attempt.sub;
    let rings = sub.faces.iter().filter_map(|face| face.first());
    let rings: Vec<Vec<Point>> = rings.map(|halves| sub.corners(halves)).collect();
    let is_beside = |label: &Label| {
        let mut sides = rings.iter().flat_map(|r| ring::sides(r));
        sides.any(|(a, b)| gap(label, a, b) <= reach(label))
    };
    let all = labels.iter().zip(&attempt.label_face);
    let outside = all.filter(|(_, face)| face.is_none());
    let outside: Vec<&Label> = outside.map(|(label, _)| label.label).collect();
    let far = outside.iter().filter(|label| !is_beside(label));
    (outside.len(), far.count())
}

impl Ring {
    fn new(attempt: &Attempt, labels: &[PitchLabel<'_>]) -> Option<Self> {
        let sub = &attempt.sub;
        let [face] = &sub.faces[..] else { return None };
        let corners = sub.corners(face.first()?);
        let fold = |of: fn(f64, f64) -> f64| {
            let all = corners.iter().copied();
            all.reduce(|a, b| Point::new(of(a.x, b.x), of(a.y, b.y)))
        };
        let (outside, not_beside) = outside(attempt, labels);
        Some(Self {
            sqft: sub.area(0),
            low: fold(f64::min)?,
            high: fold(f64::max)?,
            outside,
            not_beside,
        })
    }

    /// Whether it runs round another on all four sides, as an edge runs round walls.
    fn encloses(&self, other: &Self) -> bool {
        let (low, high) = (other.low - self.low, self.high - other.high);
        let least = low.x.min(low.y).min(high.x).min(high.y);
        least > 0.0 && other.sqft >= LEAST_SHARE * self.sqft
    }
}

/// Of which line is the edge, as asked.
#[derive(Clone)]
struct EdgeAsked {
    finding: Finding,
    /// The choice with the inner line, where the likeliest is the one with the outer.
    narrower: Option<Vec<bool>>,
}

struct Search<'a> {
    drawing: &'a Drawing,
    options: &'a MapOptions,
    said: &'a [usize],
    groups: &'a [Group],
    rated: BTreeMap<Vec<bool>, Rating>,
    /// The choices that are one ring.
    rings: BTreeMap<Vec<bool>, Ring>,
}

impl Search<'_> {
    /// Tries every choice where there are few groups; else takes groups off, and puts them on, one by one.
    fn run(&mut self) {
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

    fn strokes(&self, choice: &[bool]) -> Vec<usize> {
        let mut strokes = self.said.to_vec();
        for (group, _) in self.groups.iter().zip(choice).filter(|(_, c)| **c) {
            strokes.extend(&group.strokes);
        }
        strokes.sort_unstable();
        strokes
    }

    /// How many of the strokes to choose from stand on layers that are called by a line of the roof.
    fn roof_lines(&self) -> usize {
        let in_groups = self.groups.iter().flat_map(|g| &g.strokes);
        let all = self.said.iter().chain(in_groups);
        all.filter(|&&i| is_called_a_roof_line(&self.drawing.strokes[i]))
            .count()
    }

    fn rate(&mut self, choice: &[bool]) -> Rating {
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

    /// How well a choice fits, and its ring where it is one.
    fn rate_new(&self, strokes: &[usize]) -> (Rating, Option<Ring>) {
        let all: usize =
            self.said.len() + self.groups.iter().map(|g| g.strokes.len()).sum::<usize>();
        let mut rating = Rating {
            labels_unsuited: 0,
            faces_unsuited: 0,
            ends_on_dashed: 0,
            dashed: strokes
                .iter()
                .filter(|&&i| self.drawing.strokes[i].style.dashed)
                .count(),
            roof_lines_left_out: self.roof_lines().saturating_sub(
                strokes
                    .iter()
                    .filter(|&&i| is_called_a_roof_line(&self.drawing.strokes[i]))
                    .count(),
            ),
            less_covered: 0,
            left_out: all - strokes.len(),
            not_beside: 0,
            outlined: 0,
            mended: 0,
        };
        let mut levels: Vec<u32> = self.drawing.strokes.iter().map(|s| s.level).collect();
        levels.sort_unstable();
        levels.dedup();
        let one_level = levels.len() == 1;
        let mut one_ring = None;
        for level in levels {
            let here: Vec<&Stroke> = strokes
                .iter()
                .map(|&i| &self.drawing.strokes[i])
                .filter(|s| s.level == level)
                .collect();
            let spots = spots(self.drawing, level);
            let pieces = pieces(&here);
            let attempt = climb(&pieces, &spots, self.options.tolerance_ft);
            let sub = &attempt.sub;
            let taken_on = attempt.net.mended.iter().map(|m| m.by_ft);
            let mended = taken_on.fold(attempt.tolerance, f64::max);
            rating.mended = rating.mended.max((mended * 100.0).round() as i64);
            let dashed = self.dashed_left_out(strokes, level);
            if !dashed.is_empty() {
                rating.ends_on_dashed +=
                    dashed::ends_on(&attempt, &pieces, &FaceFinder::new(sub), &dashed);
            }
            let mut count = vec![0_usize; sub.faces.len()];
            let mut parts: Vec<usize> = Vec::new();
            let mut covered = 0.0;
            for &face in attempt.label_face.iter().flatten() {
                if count[face] == 0 {
                    covered += sub.area(face);
                }
                count[face] += 1;
                parts.push(sub.face_part[face]);
            }
            rating.less_covered -= covered.round() as i64;
            if parts.is_empty() {
                let all: f64 = (0..sub.faces.len()).map(|f| sub.area(f)).sum();
                let worse = if spots.is_empty() { 1 } else { -1 };
                rating.outlined += worse * all.round() as i64;
            }
            let labels = pitch_labels(self.drawing, level);
            if one_level {
                one_ring = Ring::new(&attempt, &labels);
            }
            if parts.is_empty() {
                rating.not_beside += outside(&attempt, &labels).1;
            }
            parts.sort_unstable();
            rating.labels_unsuited += attempt.faults.stray_labels + attempt.faults.crowded_labels;
            rating.faces_unsuited += attempt.faults.lost_lines;
            if self.options.default_pitch.is_none() {
                rating.faces_unsuited += (0..sub.faces.len())
                    .filter(|&f| count[f] == 0 && !is_thin(sub, f))
                    .filter(|&f| parts.binary_search(&sub.face_part[f]).is_ok())
                    .count();
            }
        }
        (rating, one_ring)
    }

    /// The dashed strokes of a level that a choice leaves out.
    fn dashed_left_out(&self, taken: &[usize], level: u32) -> Vec<&Stroke> {
        let all = self.groups.iter().flat_map(|g| &g.strokes);
        all.filter(|i| taken.binary_search(i).is_err())
            .map(|&i| &self.drawing.strokes[i])
            .filter(|s| s.level == level && s.style.dashed)
            .collect()
    }

    /// Whether lines of the best choice end on a dashed line that it leaves out; of any, where nothing tells which is best.
    fn ends_on_dashed(&self) -> bool {
        if self.unlabelled() {
            return self.rated.values().any(|r| r.ends_on_dashed > 0);
        }
        let best = self.rated.values().min();
        best.is_some_and(|rating| rating.ends_on_dashed > 0)
    }

    /// Whether a choice fits the pitches as well as the best one.
    fn fits(&self, rating: &Rating) -> bool {
        self.rated.values().min().is_some_and(|best| {
            rating.labels_unsuited == best.labels_unsuited
                && rating.faces_unsuited == best.faces_unsuited
        })
    }

    /// Whether a choice fits as well as the best one with a dashed line for the roof's edge that runs round the best one's.
    fn is_wider(&self, rating: &Rating) -> bool {
        let Some(best) = self.rated.values().min() else {
            return false;
        };
        let covers_more = best.sqft() > 0.0 && rating.sqft() > best.sqft() * (1.0 + SAME_COVER);
        covers_more
            && self.fits(rating)
            && rating.ends_on_dashed == 0
            && rating.dashed > best.dashed
            && rating.mended <= best.mended + MENDED_MORE
    }

    /// What is to be asked where a dashed line may be the edge as well as the line that it runs round, if both make a roof.
    fn which_edge(&self) -> Option<EdgeAsked> {
        let (choice, best) = self.rated.iter().min_by_key(|(_, rating)| *rating)?;
        if self.unlabelled() || best.ends_on_dashed > 0 {
            return None;
        }
        let wider = self.rated.iter().filter(|(_, r)| self.is_wider(r));
        let Some((outer, widest)) = wider.max_by(|a, b| a.1.sqft().total_cmp(&b.1.sqft())) else {
            return self.which_of_rings();
        };
        let covers = Covers {
            outer_sqft: widest.sqft(),
            inner_sqft: best.sqft(),
        };
        Some(EdgeAsked {
            finding: dashed::ask(covers, &self.rules(outer, choice)),
            narrower: None,
        })
    }

    /// The same where the likeliest choice is the outer one, since labels stand in it that stand beside the inner one.
    fn which_of_rings(&self) -> Option<EdgeAsked> {
        let (outer, best) = self.rated.iter().min_by_key(|(_, rating)| *rating)?;
        let Some(round) = self.rings.get(outer) else {
            return self.which_of_bare_rings(outer);
        };
        let is_rival = |(choice, ring): &(&Vec<bool>, &Ring)| {
            let rating = self.rated[*choice];
            let labels = ring.outside > round.outside && ring.not_beside <= round.not_beside;
            // Walls dashed within a solid edge lie beneath the roof.
            let as_well_drawn = rating.dashed <= best.dashed
                && rating.faces_unsuited == best.faces_unsuited
                && rating.ends_on_dashed == 0
                && rating.mended <= best.mended + MENDED_MORE;
            labels && as_well_drawn && round.encloses(ring)
        };
        let rivals = self.rings.iter().filter(is_rival);
        let (inner, ring) = rivals.max_by(|a, b| a.1.sqft.total_cmp(&b.1.sqft))?;
        let covers = Covers {
            outer_sqft: round.sqft,
            inner_sqft: ring.sqft,
        };
        let rules = self.rules(outer, inner);
        let finding = if best.dashed > self.rated[inner].dashed {
            dashed::ask(covers, &rules)
        } else if covers.is_overhang() {
            dashed::ask_of_solid(covers, &rules)
        } else {
            return None;
        };
        Some(EdgeAsked {
            finding,
            narrower: Some(inner.clone()),
        })
    }

    /// The same where one pitch is given for all and no label stands in either of two rings: the likeliest choice is both of
    /// them then, a house round a courtyard with wings as narrow as an overhang.
    fn which_of_bare_rings(&self, both: &[bool]) -> Option<EdgeAsked> {
        self.options.default_pitch?;
        let is_bare = |(choice, _): &(&Vec<bool>, &Ring)| {
            let rating = self.rated[*choice];
            rating.less_covered == 0 && rating.dashed == 0 && self.fits(&rating)
        };
        let bare: Vec<(&Vec<bool>, &Ring)> = self.rings.iter().filter(is_bare).collect();
        let pairs = bare.iter().flat_map(|o| bare.iter().map(move |i| (*o, *i)));
        pairs
            .filter(|((outer, round), (inner, ring))| {
                let mut taken = both.iter().zip(outer.iter().zip(inner.iter()));
                taken.all(|(b, (o, i))| *b == (*o || *i)) && round.encloses(ring)
            })
            .find_map(|((outer, round), (inner, ring))| {
                let covers = Covers {
                    outer_sqft: round.sqft,
                    inner_sqft: ring.sqft,
                };
                covers.is_overhang().then(|| EdgeAsked {
                    finding: dashed::ask_of_solid(covers, &self.rules(outer, inner)),
                    narrower: Some(inner.clone()),
                })
            })
    }

    /// The rules that part two choices.
    fn rules(&self, outer: &[bool], inner: &[bool]) -> Rules {
        let [outer, inner] = [outer, inner].map(|choice| self.strokes(choice));
        let strokes = |of: &[usize]| -> Vec<&Stroke> {
            of.iter().map(|&i| &self.drawing.strokes[i]).collect()
        };
        let rule = |of: &[usize], without: &[usize]| {
            let out: Vec<usize> = (of.iter().copied())
                .filter(|i| without.binary_search(i).is_err())
                .collect();
            rule_for(self.drawing, &strokes(&out), &strokes(without))
        };
        Rules {
            inner: rule(&inner, &outer),
            outer: rule(&outer, &inner),
        }
    }

    /// What is told of a dashed line that lines of the roof end on.
    fn of_dashed_edge(&self) -> Option<Finding> {
        let best = self.rated.values().min()?;
        if self.unlabelled() {
            return None;
        }
        if best.ends_on_dashed > 0 {
            return Some(dashed::ask_of_ends(best.ends_on_dashed));
        }
        let rivals = self.rated.values().filter(|r| self.fits(r));
        let cut_short = rivals
            .filter(|r| r.ends_on_dashed > 0 && r.dashed < best.dashed)
            .find(|r| r.sqft() < best.sqft() * (1.0 - SAME_COVER))?;
        Some(dashed::taken(Covers {
            outer_sqft: best.sqft(),
            inner_sqft: cut_short.sqft(),
        }))
    }

    /// The rated choices, the best first.
    fn sets(&self) -> Vec<StrokeSet> {
        let unlabelled = self.unlabelled();
        let tangled = self.tangled();
        let of_dashed_edge = self.of_dashed_edge();
        let which_edge = self.which_edge();
        let mut order: Vec<(&Rating, &Vec<bool>)> =
            self.rated.iter().map(|(c, r)| (r, c)).collect();
        order.sort();
        let narrower = which_edge.as_ref().and_then(|asked| asked.narrower.clone());
        let is_narrower = |choice: &Vec<bool>| narrower.as_ref() == Some(choice);
        // The two that are asked about stand first.
        if let Some(at) = order.iter().position(|(_, choice)| is_narrower(choice)) {
            order[1..=at].rotate_right(1);
        }
        order
            .into_iter()
            .map(|(rating, choice)| StrokeSet {
                strokes: self.strokes(choice),
                faults: rating.labels_unsuited + rating.faces_unsuited,
                stray_labels: rating.labels_unsuited,
                covered_sqft: -(rating.less_covered as f64),
                unlabelled,
                is_wider: match narrower {
                    Some(_) => !is_narrower(choice),
                    None => self.is_wider(rating),
                },
                is_narrower: is_narrower(choice),
                which_edge: which_edge.as_ref().map(|asked| asked.finding.clone()),
                cut_short: (unlabelled && rating.ends_on_dashed > 0)
                    .then(|| dashed::ask_of_ends(rating.ends_on_dashed)),
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
            })
            .collect()
    }

    /// Whether one pitch was given for all faces without a label. Outlines are told apart by nothing at all.
    fn unlabelled(&self) -> bool {
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
        if left_out.is_empty() {
            return Vec::new();
        }
        let looks: Vec<String> = left_out
            .iter()
            .map(|g| format!("{} ({} drawn)", g.looks, g.strokes.len()))
            .collect();
        let places = left_out
            .iter()
            .map(|g| Place::of(&self.drawing.strokes[g.strokes[0]].source))
            .collect();
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
                    looks.join("; ")
                ),
            )
        } else {
            Finding::note(
                "roof-lines-chosen",
                format!(
                    "No layer says which lines are the roof's. Left out, because they bound no face with a pitch of its own: {}.",
                    looks.join("; ")
                ),
            )
        };
        let mut told = told;
        if left_out.iter().any(|g| g.tangled) {
            // No dormer is looked for among these.
            told.severity = Severity::Warning;
        }
        vec![super::tell::several(
            told.remedy("Name the roof's layer roof, or choose with --roof and --ignore, if that is not right."),
            places,
        )]
    }
}
