//! Elevations and sections beside a roof plan: what stands at the title of one shows no roof from above, whatever pitches
//! are written in it, and is left out.

use std::collections::{BTreeMap, BTreeSet};

use super::map::plan_area;
use crate::drawing::{Drawing, Label, Role, Says, ViewTitle};
use crate::geometry::{Point, Sets, part_in_box};
use crate::{Finding, Place};

/// A title stands no farther from its drawing than this part of the drawing's longer side (common practice, no source).
const TITLE_WITHIN: f64 = 0.5;
/// Of drawings over and under a title the one is meant that is nearer by this factor: titles stand by the drawing that they name.
const NEARER: f64 = 2.0;
/// A view whose box is so much of what is left may be the plan: elevations are lower than houses are deep (common practice, no source).
const AS_LARGE: f64 = 0.9;
/// A pitch stands no farther outside the box round its drawing than so many of its own heights.
const BESIDE_HEIGHTS: f64 = 3.0;
/// Strokes that pass through one cell of a net, or through two side by side, are one drawing. A cell is as wide as the smallest title's
/// letters are high, but no smaller than this part of the sheet, so that no line has more than a thousand: own choice.
const FINEST_CELL: f64 = 1e-3;

/// A drawing without what stands at the titles of other views, and what is told of these.
pub(super) struct PlanAlone {
    pub(super) drawing: Drawing,
    pub(super) findings: Vec<Finding>,
}

/// A box in plan feet.
#[derive(Clone, Copy, Debug)]
struct Extent {
    low: Point,
    high: Point,
}

impl Extent {
    fn at(p: Point) -> Self {
        Self { low: p, high: p }
    }

    fn of(points: &[Point]) -> Option<Self> {
        let boxes = points.iter().map(|&p| Self::at(p));
        boxes.reduce(Self::with)
    }

    fn with(self, other: Self) -> Self {
        Self {
            low: Point::new(self.low.x.min(other.low.x), self.low.y.min(other.low.y)),
            high: Point::new(self.high.x.max(other.high.x), self.high.y.max(other.high.y)),
        }
    }

    /// How far a place lies outside.
    fn distance(&self, p: Point) -> f64 {
        let nearest = Point::new(
            p.x.clamp(self.low.x, self.high.x),
            p.y.clamp(self.low.y, self.high.y),
        );
        p.distance(nearest)
    }

    fn holds(&self, p: Point) -> bool {
        self.distance(p) == 0.0
    }

    fn holds_box(&self, other: &Self) -> bool {
        self.holds(other.low) && self.holds(other.high)
    }

    fn meets(&self, other: &Self) -> bool {
        let apart = |a: &Self, b: &Self| a.high.x < b.low.x || a.high.y < b.low.y;
        !apart(self, other) && !apart(other, self)
    }

    fn longer_side(&self) -> f64 {
        let size = self.high - self.low;
        size.x.max(size.y)
    }

    fn area_sqft(&self) -> f64 {
        let size = self.high - self.low;
        size.x * size.y
    }
}

/// Strokes that touch, or all but do.
struct Cluster {
    strokes: Vec<usize>,
    extent: Extent,
    /// Whether a pitch is written in its box and in no smaller cluster's in that box.
    says_pitch: bool,
}

/// The drawing without other views.
///
/// # Errors
/// What is asked where lines at the title of another view may be the roof's as well.
pub(super) fn plan_alone(drawing: &Drawing) -> Result<Option<PlanAlone>, Vec<Finding>> {
    if drawing.view_titles.is_empty() {
        return Ok(None);
    }
    let sheet = Sheet::of(drawing);
    let mut out = Taken::default();
    let mut findings = Vec::new();
    let mut asked = Vec::new();
    let of_plans = sheet.of_plans();
    for title in &drawing.view_titles {
        let Some(view) = sheet.view(title, &of_plans) else {
            continue;
        };
        let labels = sheet.labels_of(&view);
        // A view without pitches is no roof by that alone, where pitches are written.
        let new = view.difference(&out.clusters).next().is_some();
        if !new || labels.is_empty() && sheet.has_pitches() {
            continue;
        }
        if sheet.is_said_to_be_roof(&view) {
            continue;
        }
        let with_this = out.with(&view, &labels);
        let Some(rest) = sheet.largest_left(&with_this) else {
            // Nothing is left that could be the plan instead.
            continue;
        };
        match sheet.may_be_roof(&view, rest) {
            Some(why) => asked.push(sheet.ask(title, &view, &labels, why)),
            None => {
                findings.push(sheet.tell(title, &view, &labels));
                out = with_this;
            }
        }
    }
    if !asked.is_empty() {
        asked.extend(findings);
        return Err(asked);
    }
    Ok((!findings.is_empty()).then(|| PlanAlone {
        drawing: sheet.without(&out),
        findings,
    }))
}

/// What is left out: clusters and labels by their numbers.
#[derive(Clone, Debug, Default)]
struct Taken {
    clusters: BTreeSet<usize>,
    labels: BTreeSet<usize>,
}

impl Taken {
    fn with(&self, view: &BTreeSet<usize>, labels: &BTreeSet<usize>) -> Self {
        Self {
            clusters: self.clusters.union(view).copied().collect(),
            labels: self.labels.union(labels).copied().collect(),
        }
    }
}

/// Which side of a title something stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Over,
    Under,
}

struct Sheet<'a> {
    drawing: &'a Drawing,
    clusters: Vec<Cluster>,
}

impl<'a> Sheet<'a> {
    fn of(drawing: &'a Drawing) -> Self {
        let all = drawing.strokes.iter();
        let extents: Vec<Option<Extent>> = all.map(|s| Extent::of(&s.points)).collect();
        let whole = extents.iter().flatten().copied().reduce(Extent::with);
        let letters = drawing.view_titles.iter().map(|t| t.height_ft);
        let finest = whole.map_or(0.0, |w| FINEST_CELL * w.longer_side());
        let cell = letters.fold(f64::INFINITY, f64::min).max(finest);
        let mut sets = Sets::new(drawing.strokes.len());
        join_near(drawing, cell, &mut sets);
        let mut of_cluster: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (stroke, cluster) in sets.numbered().into_iter().enumerate() {
            of_cluster.entry(cluster).or_default().push(stroke);
        }
        let clusters = of_cluster.into_values().filter_map(|strokes| {
            let boxes = strokes.iter().filter_map(|&s| extents[s]);
            let extent = boxes.reduce(Extent::with)?;
            Some(Cluster {
                strokes,
                extent,
                says_pitch: false,
            })
        });
        let mut sheet = Self {
            drawing,
            clusters: clusters.collect(),
        };
        for label in drawing.labels.iter().filter(|l| is_pitch(l)) {
            if let Some(around) = sheet.smallest_round(label.at) {
                sheet.clusters[around].says_pitch = true;
            }
        }
        sheet
    }

    fn has_pitches(&self) -> bool {
        self.drawing.labels.iter().any(is_pitch)
    }

    /// The smallest cluster whose box holds a place.
    fn smallest_round(&self, at: Point) -> Option<usize> {
        let round = (0..self.clusters.len()).filter(|&c| self.clusters[c].extent.holds(at));
        let size = |&c: &usize| self.clusters[c].extent.area_sqft();
        round.min_by(|a, b| size(a).total_cmp(&size(b)))
    }

    /// The clusters that stand at the titles of the roof's plan.
    fn of_plans(&self) -> BTreeSet<usize> {
        let none = BTreeSet::new();
        let titles = self.drawing.plan_titles.iter();
        titles
            .filter_map(|title| self.at_title(title.at, &none))
            .flat_map(|seed| self.grown(seed))
            .collect()
    }

    /// The clusters of the view that a title names, none of them the plan's.
    fn view(&self, title: &ViewTitle, of_plans: &BTreeSet<usize>) -> Option<BTreeSet<usize>> {
        // What is written in the roof speaks of a place on it.
        let holds = |c: &Cluster| c.says_pitch && c.extent.holds(title.at);
        if self.clusters.iter().any(holds) {
            return None;
        }
        let view = self.grown(self.at_title(title.at, of_plans)?);
        view.is_disjoint(of_plans).then_some(view)
    }

    /// The cluster that stands over a title, or where none does or one is far nearer under it, under it: those that hold it
    /// are frames.
    fn at_title(&self, title: Point, but: &BTreeSet<usize>) -> Option<usize> {
        let nearest = |side: Side| {
            let all = (0..self.clusters.len()).filter(|c| !but.contains(c));
            let with_gap = all.filter_map(|c| {
                let extent = &self.clusters[c].extent;
                let gap = match side {
                    Side::Over => extent.low.y - title.y,
                    Side::Under => title.y - extent.high.y,
                };
                let spans = extent.low.x <= title.x && title.x <= extent.high.x;
                (spans && gap > 0.0).then_some((gap, c))
            });
            let (gap, c) = with_gap.min_by(|a, b| a.0.total_cmp(&b.0))?;
            let whole = self.extent_of(&self.grown(c))?;
            (gap <= TITLE_WITHIN * whole.longer_side()).then_some((gap, c))
        };
        match (nearest(Side::Over), nearest(Side::Under)) {
            (Some((over, _)), Some((under, c))) if over > NEARER * under => Some(c),
            (Some((_, c)), _) | (None, Some((_, c))) => Some(c),
            (None, None) => None,
        }
    }

    /// A cluster with all whose lines enter the box round them: windows in a wall, a ground line beneath it.
    fn grown(&self, seed: usize) -> BTreeSet<usize> {
        let mut view = BTreeSet::from([seed]);
        let mut extent = self.clusters[seed].extent;
        loop {
            let enters = |c: &usize| {
                let cluster = &self.clusters[*c];
                let mut strokes = cluster.strokes.iter();
                !view.contains(c)
                    && cluster.extent.meets(&extent)
                    && strokes.any(|&s| self.enters(s, &extent))
            };
            let more: Vec<usize> = (0..self.clusters.len()).filter(enters).collect();
            if more.is_empty() {
                return view;
            }
            let boxes = more.iter().map(|&c| self.clusters[c].extent);
            extent = boxes.fold(extent, Extent::with);
            view.extend(more);
        }
    }

    /// Whether a stroke has a piece in a box.
    fn enters(&self, stroke: usize, extent: &Extent) -> bool {
        let stroke = &self.drawing.strokes[stroke];
        pieces(&stroke.points, stroke.closed)
            .any(|(a, b)| part_in_box(a, b, extent.low, extent.high).is_some())
    }

    fn extent_of(&self, view: &BTreeSet<usize>) -> Option<Extent> {
        let boxes = view.iter().map(|&c| self.clusters[c].extent);
        boxes.reduce(Extent::with)
    }

    /// The labels that stand in the box round a view, or hardly beside it and nearer to it than to anything else.
    fn labels_of(&self, view: &BTreeSet<usize>) -> BTreeSet<usize> {
        let Some(extent) = self.extent_of(view) else {
            return BTreeSet::new();
        };
        let is_its_own = |label: &Label| {
            let gap = extent.distance(label.at);
            let others = (0..self.clusters.len()).filter(|c| !view.contains(c));
            let mut others = others.map(|c| &self.clusters[c].extent);
            let is_nearest =
                |other: &Extent| other.holds_box(&extent) || other.distance(label.at) > gap;
            gap == 0.0 || gap <= BESIDE_HEIGHTS * label.height_ft && others.all(is_nearest)
        };
        let labels = self.drawing.labels.iter().enumerate();
        let speaks = labels.filter(|(_, l)| !matches!(l.says, Says::StatedArea { .. }));
        speaks
            .filter(|(_, l)| is_its_own(l))
            .map(|(i, _)| i)
            .collect()
    }

    /// The largest box of what is left and may be a plan: with a pitch in it, where pitches are written at all.
    fn largest_left(&self, out: &Taken) -> Option<Extent> {
        let labels = self.drawing.labels.iter().enumerate();
        let pitches: Vec<&Label> = labels
            .filter(|(i, l)| !out.labels.contains(i) && is_pitch(l))
            .map(|(_, l)| l)
            .collect();
        let gone = self.extent_of(&out.clusters)?;
        let left = (0..self.clusters.len()).filter(|c| !out.clusters.contains(c));
        let boxes = left.map(|c| self.clusters[c].extent);
        let is_plan = |extent: &Extent| {
            let at = |l: &&Label| extent.distance(l.at) <= BESIDE_HEIGHTS * l.height_ft;
            let labelled = pitches.iter().any(at) || !self.has_pitches();
            extent.area_sqft() > 0.0 && labelled && !extent.holds_box(&gone)
        };
        boxes
            .filter(is_plan)
            .max_by(|a, b| a.area_sqft().total_cmp(&b.area_sqft()))
    }

    /// Why what stands at the title of a view may be the roof all the same.
    fn may_be_roof(&self, view: &BTreeSet<usize>, rest: Extent) -> Option<&'static str> {
        let size = self.extent_of(view)?.area_sqft();
        (size >= AS_LARGE * rest.area_sqft())
            .then_some("they are as large as what is left, or nearly")
    }

    /// Whether a layer says that something in a view is the roof: then it is.
    fn is_said_to_be_roof(&self, view: &BTreeSet<usize>) -> bool {
        let strokes = view.iter().flat_map(|&c| &self.clusters[c].strokes);
        let mut roles = strokes.map(|&s| self.drawing.strokes[s].role);
        roles.any(|role| role == Role::Roof)
    }

    /// What stands at a title, in words.
    fn what(&self, title: &ViewTitle, view: &BTreeSet<usize>, labels: &BTreeSet<usize>) -> String {
        let mut texts: Vec<String> = Vec::new();
        for label in labels.iter().map(|&i| &self.drawing.labels[i]) {
            let text = format!("“{}”", label.text);
            if !texts.contains(&text) {
                texts.push(text);
            }
        }
        let with = match &texts[..] {
            [] => String::new(),
            texts => format!(", with {} in them", texts.join(", ")),
        };
        let size = self.extent_of(view).map_or(0.0, |e| e.area_sqft());
        format!(
            "The lines that stand at the title “{}”, a box of {}{with},",
            title.text,
            plan_area(size)
        )
    }

    fn places(&self, title: &ViewTitle, view: &BTreeSet<usize>) -> [Option<Place>; 2] {
        let first = view.first().map(|&c| {
            let stroke = self.clusters[c].strokes[0];
            Place::of(&self.drawing.strokes[stroke].source)
        });
        [Some(Place::on(&title.source, title.at)), first]
    }

    fn tell(&self, title: &ViewTitle, view: &BTreeSet<usize>, labels: &BTreeSet<usize>) -> Finding {
        let told = Finding::warning(
            "another-view",
            format!(
                "{} were taken for another drawing than the roof's plan and left out.",
                self.what(title, view, labels)
            ),
        )
        .remedy("If they are a part of the roof, draw the title on a layer named ignore.");
        let places = self.places(title, view);
        places.into_iter().flatten().fold(told, Finding::place)
    }

    fn ask(
        &self,
        title: &ViewTitle,
        view: &BTreeSet<usize>,
        labels: &BTreeSet<usize>,
        why: &str,
    ) -> Finding {
        let asked = Finding::error(
            "view-or-roof",
            format!(
                "{} may be another drawing than the roof's plan, or the roof itself: {why}.",
                self.what(title, view, labels)
            ),
        )
        .remedy("If they are another drawing, draw them and their texts on a layer named ignore; if they are a part of the roof, draw the title there.");
        let places = self.places(title, view);
        places.into_iter().flatten().fold(asked, Finding::place)
    }

    /// The drawing without what is left out. Stated areas and dimensions are no lines and stay.
    fn without(&self, out: &Taken) -> Drawing {
        let gone: BTreeSet<usize> = out
            .clusters
            .iter()
            .flat_map(|&c| self.clusters[c].strokes.iter().copied())
            .collect();
        let boxes: Vec<Extent> = out
            .clusters
            .iter()
            .map(|&c| self.clusters[c].extent)
            .collect();
        let beside = |at: Point| !boxes.iter().any(|b| b.holds(at));
        let mut drawing = self.drawing.clone();
        let mut number = 0..;
        drawing
            .strokes
            .retain(|_| !number.next().is_some_and(|i| gone.contains(&i)));
        let mut number = 0..;
        drawing
            .labels
            .retain(|_| !number.next().is_some_and(|i| out.labels.contains(&i)));
        drawing.falls.retain(|f| beside(f.from.midpoint(f.to)));
        drawing
            .loose_arrows
            .retain(|f| beside(f.from.midpoint(f.to)));
        drawing.mistyped.retain(|m| beside(m.at));
        drawing.unread_sides.retain(|m| beside(m.at));
        drawing.ups.retain(|up| beside(up.at));
        drawing
    }
}

fn is_pitch(label: &Label) -> bool {
    matches!(label.says, Says::Pitch { .. })
}

fn pieces(points: &[Point], closed: bool) -> impl Iterator<Item = (Point, Point)> + '_ {
    let last = points.last().zip(points.first()).filter(|_| closed);
    let last = last.map(|(&last, &first)| (last, first));
    points.windows(2).map(|w| (w[0], w[1])).chain(last)
}

/// Joins strokes that pass through the same cell of a net, or through two side by side.
fn join_near(drawing: &Drawing, cell: f64, sets: &mut Sets) {
    if !(cell > 0.0 && cell.is_finite()) {
        return;
    }
    let mut cells: BTreeMap<(i64, i64), usize> = BTreeMap::new();
    let cell_of = |p: Point| ((p.x / cell).floor() as i64, (p.y / cell).floor() as i64);
    for (i, stroke) in drawing.strokes.iter().enumerate() {
        for (a, b) in pieces(&stroke.points, stroke.closed) {
            let steps = (a.distance(b) / cell).ceil().max(1.0);
            let mut step = 0.0;
            while step <= steps {
                let first = *cells.entry(cell_of(a.lerp(b, step / steps))).or_insert(i);
                sets.join(first, i);
                step += 1.0;
            }
        }
    }
    for (&(x, y), &stroke) in &cells {
        for beside in [(x + 1, y - 1), (x + 1, y), (x + 1, y + 1), (x, y + 1)] {
            if let Some(&other) = cells.get(&beside) {
                sets.join(stroke, other);
            }
        }
    }
}
