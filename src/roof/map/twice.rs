//! The same roof drawn more than once on a sheet: a key plan, or the roof before the work beside the roof after it.

use std::sync::Arc;

use super::kinds::plan_area;
use super::outline::{OutlinePlan, SidePlan};
use super::{LabelledPitch, PlanMap};
use crate::drawing::Drawing;
use crate::drawing::text::states_of_roof_plan;
use crate::geometry::{Point, Sets, ring};
use crate::place::Source;
use crate::{Finding, Place};

/// Two parts are of one shape where what is measured of them differs by no more than this part: what is copied is alike to a
/// thousandth, what is traced twice hardly to a hundredth.
const ALIKE: f64 = 0.01;
/// Two areas within this part of each other are of one size: twice [`ALIKE`], as areas go with the square.
const ONE_SIZE: f64 = 0.02;
/// With more parts than this a sheet is a site plan, on which many houses are alike.
const MOST_PARTS: usize = 200;
/// A title stands no farther from its plan than this part of the plan's longer side.
const TITLE_WITHIN: f64 = 0.5;
/// With more faces or sides than this a part is not compared.
const MOST_FACES: usize = 200;

/// A part of the roof that touches no other.
struct Part {
    /// In plan.
    area_sqft: f64,
    /// What is alike of two parts of one shape, whatever their size and turn.
    shape: Vec<Measure>,
    outer: Vec<Point>,
    /// The corners of the box round it.
    low: Point,
    high: Point,
    source: Option<Arc<Source>>,
}

/// One face of a part, or one side of an outline: its pitch as rise per run, negative where none is written or no plane
/// rises; and of a face its share of the part's area and what is round it, of a side its length, over the root of that area.
#[derive(Clone, Copy)]
struct Measure([f64; 3]);

impl Measure {
    fn is_like(self, other: Self) -> bool {
        let near = |(a, b): (&f64, &f64)| (a - b).abs() <= ALIKE * a.abs().max(b.abs());
        self.0.iter().zip(&other.0).all(near)
    }
}

impl Part {
    fn has_shape_of(&self, other: &Self) -> bool {
        let mut rest = other.shape.clone();
        self.shape.len() == other.shape.len()
            && self.shape.iter().all(|measure| {
                let at = rest.iter().position(|other| measure.is_like(*other));
                at.map(|at| rest.swap_remove(at)).is_some()
            })
    }

    /// Whether its shape says nothing of one drawn twice: all squares are alike, all regular shapes of so many sides, and many a
    /// rectangle of one slope.
    fn is_common(&self) -> bool {
        match &self.shape[..] {
            [] | [_] => true,
            [first, rest @ ..] => rest.iter().all(|measure| measure.is_like(*first)),
        }
    }

    /// How far a place lies outside the box round it.
    fn distance(&self, at: Point) -> f64 {
        let nearest = Point::new(
            at.x.clamp(self.low.x, self.high.x),
            at.y.clamp(self.low.y, self.high.y),
        );
        at.distance(nearest)
    }

    fn longer_side(&self) -> f64 {
        let size = self.high - self.low;
        size.x.max(size.y)
    }

    fn place(&self) -> Place {
        let at = ring::centroid(&self.outer);
        match &self.source {
            Some(source) => Place::on(source, at),
            None => Place::at(at),
        }
    }
}

/// What is told where two parts of the roof have the same faces and pitches: at another size always, since houses of one shape in
/// two sizes are rare; at one size only where a title says that the sheet shows a state of the house, since rows of equal houses
/// are common; whatever the shapes where each stands over a title of a plan of another state.
pub(super) fn drawn_twice(map: &PlanMap, drawing: &Drawing) -> Option<Finding> {
    let mut parts = parts(map);
    if !(2..=MOST_PARTS).contains(&parts.len()) {
        return None;
    }
    parts.sort_by(|a, b| b.area_sqft.total_cmp(&a.area_sqft));
    let mut titles = drawing.state_titles.iter();
    let title = titles.find(|title| title.level == map.level);
    let size = |p: &Part, q: &Part| p.area_sqft - q.area_sqft <= ONE_SIZE * p.area_sqft;
    let alike = (1..parts.len()).find_map(|i| {
        let small = &parts[i];
        let mut larger = parts[..i].iter();
        let same = larger.find(|large| {
            let is_copy = title.is_some() || !size(large, small) && !small.is_common();
            is_copy && large.has_shape_of(small) && !ring::contains(&large.outer, small.outer[0])
        })?;
        Some((same, small))
    });
    let Some((large, small)) = alike else {
        return of_two_titles(&parts, map, drawing);
    };
    let sizes = if size(large, small) {
        format!(
            "shape, size and pitches, {} in plan each",
            plan_area(large.area_sqft)
        )
    } else {
        format!(
            "shape and pitches at two sizes, {} and {} in plan",
            plan_area(large.area_sqft),
            plan_area(small.area_sqft)
        )
    };
    let titled = title.map_or(String::new(), |title| {
        format!(" “{}” is written on the sheet.", title.text)
    });
    let layer = |part: &Part| part.source.as_ref().and_then(|s| s.layer.clone());
    Some(tell(
        &format!("Two parts of the roof have the same {sizes}, and both are counted"),
        &titled,
        [small, large],
        layer(small).filter(|_| layer(small) != layer(large)),
    ))
}

/// What is told where two parts stand each at the title of a plan, and the titles name different states or plans.
fn of_two_titles(parts: &[Part], map: &PlanMap, drawing: &Drawing) -> Option<Finding> {
    let titled = drawing.plan_titles.iter().filter_map(|title| {
        let distance = |part: &usize| parts[*part].distance(title.at);
        let nearest = (0..parts.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
        let is_its_own = distance(&nearest) <= TITLE_WITHIN * parts[nearest].longer_side();
        let states = states_of_roof_plan(&title.text)?;
        (title.level == map.level && is_its_own).then_some((nearest, states, &title.text))
    });
    let titled: Vec<_> = titled.collect();
    let (a, b) = titled.iter().enumerate().find_map(|(i, a)| {
        let mut others = titled[..i].iter();
        let other = others.find(|b| a.0 != b.0 && a.1 != b.1)?;
        Some((other, a))
    })?;
    Some(tell(
        &format!(
            "Parts of the roof stand at the titles “{}” and “{}”, and both are counted",
            a.2, b.2
        ),
        "",
        [&parts[a.0], &parts[b.0]],
        None,
    ))
}

/// The finding about two parts; a layer that holds the one that is likely not to be counted, and not the other, is named.
fn tell(both: &str, titled: &str, parts: [&Part; 2], layer: Option<String>) -> Finding {
    let by_layer = match layer {
        Some(name) => format!("with --ignore \"layer:{name}\""),
        None => "by --ignore, or put it on a layer named ignore".to_string(),
    };
    Finding::warning(
        "roof-drawn-twice",
        format!(
            "{both}: they may be one roof drawn twice, as in a key plan or before and after the work.{titled}"
        ),
    )
    .remedy(format!("If they are one roof, leave the drawing that is not to be counted out {by_layer}."))
    .place(parts[0].place())
    .place(parts[1].place())
}

/// The corners of the box round some rings.
fn box_round(rings: &[Vec<Point>]) -> Option<(Point, Point)> {
    let all = || rings.iter().flatten().copied();
    let fold =
        |of: fn(f64, f64) -> f64| all().reduce(|a, b| Point::new(of(a.x, b.x), of(a.y, b.y)));
    Some((fold(f64::min)?, fold(f64::max)?))
}

/// The parts of the roof that touch no other: groups of drawn faces, and outlines.
fn parts(map: &PlanMap) -> Vec<Part> {
    let mut sets = Sets::new(map.faces.len());
    for edge in &map.edges {
        if let (Some(left), Some(right)) = (edge.left, edge.right) {
            sets.join(left, right);
        }
    }
    let mut of_part: Vec<Vec<usize>> = Vec::new();
    for (face, part) in sets.numbered().into_iter().enumerate() {
        of_part.resize_with(of_part.len().max(part + 1), Vec::new);
        of_part[part].push(face);
    }
    let drawn = of_part.iter().filter_map(|faces| of_faces(map, faces));
    drawn
        .chain(map.outlines.iter().filter_map(of_outline))
        .collect()
}

fn slope(pitch: Option<&LabelledPitch>) -> f64 {
    pitch.map_or(-1.0, |p| p.pitch.to_rise_per_run())
}

fn of_faces(map: &PlanMap, faces: &[usize]) -> Option<Part> {
    let rings: Vec<Vec<Vec<Point>>> = faces.iter().map(|&face| map.rings(face)).collect();
    let area = |rings: &[Vec<Point>]| rings.iter().map(|r| ring::signed_area(r)).sum::<f64>();
    let area_sqft: f64 = rings.iter().map(|r| area(r)).sum();
    let shape = faces.iter().zip(&rings).map(|(&face, rings)| {
        let round: f64 = rings.iter().map(|r| ring::perimeter(r)).sum();
        let pitch = slope(map.faces[face].pitch.as_ref());
        Measure([pitch, area(rings) / area_sqft, round / area_sqft.sqrt()])
    });
    let first = map.faces[*faces.first()?].rings.first()?.first()?;
    let (low, high) = box_round(&rings.concat())?;
    let largest = rings.iter().max_by(|a, b| area(a).total_cmp(&area(b)))?;
    (area_sqft > 0.0 && faces.len() <= MOST_FACES).then(|| Part {
        area_sqft,
        shape: shape.collect(),
        outer: largest[0].clone(),
        low,
        high,
        source: map.edges[first.edge].sources.first().cloned(),
    })
}

fn of_outline(outline: &OutlinePlan) -> Option<Part> {
    let area_sqft: f64 = outline.rings.iter().map(|r| ring::signed_area(r)).sum();
    let sides = outline.rings.iter().flat_map(|r| ring::sides(r));
    let written = outline.sides.iter().flatten();
    let end = |side: &SidePlan| if side.wall { -3.0 } else { -2.0 };
    let shape: Vec<Measure> = sides
        .zip(written)
        .map(|((a, b), side)| {
            let pitch = if side.is_still() {
                end(side)
            } else {
                slope(side.pitch.as_ref())
            };
            Measure([pitch, a.distance(b) / area_sqft.sqrt(), 0.0])
        })
        .collect();
    let source = outline
        .sides
        .iter()
        .flatten()
        .find_map(|side| side.sources.first());
    let (low, high) = box_round(&outline.rings)?;
    (area_sqft > 0.0 && shape.len() <= MOST_FACES).then(|| Part {
        area_sqft,
        shape,
        low,
        high,
        outer: outline.rings[0].clone(),
        source: source.cloned(),
    })
}
