//! Facets that stand for the curves of an outline: where their curves run on the built roof, and what they cost.

use std::collections::BTreeSet;

use super::input::{OutlineInput, Rises};
use super::product::{ArcKind, OutlineRoof};
use crate::geometry::{Point, Vector, circle};
use crate::roof::map::{FARTHEST_FACET_FT, Facet, SidePlan, WIDEST_FACET};
use crate::units::words::feet;
use crate::units::{Length, True, number};
use crate::{Finding, Place};

/// Curves named in one finding.
const MOST_PLACES: usize = 8;

/// For every facet the points of its curve from end to end, moved with the ends of its side where these were put in line or
/// moved out to the eaves.
pub(super) fn curves(roof: &OutlineRoof, sides: &[&SidePlan]) -> Vec<Vec<Point>> {
    facets(sides)
        .filter_map(|(side, facet)| {
            let ends = roof.sides[side].base?.map(|node| roof.nodes[node].plan());
            moved(&facet.points, ends)
        })
        .collect()
}

/// How far the sides of an outline of walls are moved out for their eaves to have these overhangs. Of a curve of walls the eave
/// is a curve too, farther out by the overhang: so its corners are, and the facets between them by less.
pub(super) fn moved_out(overhang_ft: &[f64], sides: &[&SidePlan]) -> Vec<f64> {
    let all = overhang_ft.iter().zip(sides);
    all.map(|(overhang, side)| overhang * side.facet.as_ref().map_or(1.0, cosine_of_half))
        .collect()
}

/// Facets begin as low as eaves that are moved out by all of their overhang, for the eave of a curve to go on level into that
/// of a straight wall.
pub(super) fn lower(eaves: &mut OutlineInput, overhang_ft: &[f64], moved_ft: &[f64]) {
    let by_side = overhang_ft.iter().zip(moved_ft);
    for (side, (overhang, moved)) in eaves.rings.iter_mut().flatten().zip(by_side) {
        if let Rises::Eave(pitch) = side.rises {
            side.eave_height_ft -= pitch.to_rise_per_run() * (overhang - moved);
        }
    }
}

/// The cosine of half the angle that a facet's curve turns by; rounded, so that facets alike are moved alike.
fn cosine_of_half(facet: &Facet) -> f64 {
    let points = &facet.points;
    let (first, last) = (points[0], points[points.len() - 1]);
    let sine = match circle(first, points[points.len() / 2], last) {
        Some((_, radius)) if points.len() > 2 => first.distance(last) / (2.0 * radius),
        _ => 0.0,
    };
    ((1.0 - sine * sine).max(0.0).sqrt() * 1e9).round() / 1e9
}

fn facets<'s>(sides: &'s [&SidePlan]) -> impl Iterator<Item = (usize, &'s Facet)> {
    let all = sides.iter().enumerate();
    all.filter_map(|(side, plan)| Some((side, plan.facet.as_ref()?)))
}

/// Points turned, scaled and moved so that the first and the last are where they are wanted. `None` where they had no length.
fn moved(points: &[Point], [from, to]: [Point; 2]) -> Option<Vec<Point>> {
    let (&first, &last) = (points.first()?, points.last()?);
    let (u, v) = (last - first, to - from);
    let (along, across) = (u.dot(v) / u.dot(u), u.cross(v) / u.dot(u));
    let place = |p: &Point| {
        let w = *p - first;
        from + Vector::new(along * w.x - across * w.y, across * w.x + along * w.y)
    };
    if !along.is_finite() || !across.is_finite() {
        return None;
    }
    let inner = points[1..points.len() - 1].iter().map(place);
    Some(std::iter::once(from).chain(inner).chain([to]).collect())
}

/// How many facets stand for how many curves, by which rule, and the hips and valleys between them.
pub(super) fn told(roof: &OutlineRoof, sides: &[&SidePlan]) -> Option<Finding> {
    let facets: Vec<(usize, &Facet)> = facets(sides).collect();
    let mut seen = BTreeSet::new();
    let places: Vec<Place> = facets
        .iter()
        .filter(|(_, facet)| seen.insert(facet.curve))
        .map(|(side, facet)| {
            let at = facet.points[facet.points.len() / 2];
            match sides[*side].sources.first() {
                Some(source) => Place::on(source, at),
                None => Place::at(at),
            }
        })
        .collect();
    if places.is_empty() {
        return None;
    }
    let curve = |side: usize| sides[side].facet.as_ref().map(|facet| facet.curve);
    let between = |kind: ArcKind| -> Length<True> {
        roof.arcs
            .iter()
            .filter(|arc| arc.kind == kind)
            .filter(|arc| curve(arc.left).is_some() && curve(arc.left) == curve(arc.right))
            .map(|arc| roof.true_length(arc))
            .sum()
    };
    // A curve that bulges out makes hips, one that is hollow makes valleys.
    let made: Vec<String> = [(ArcKind::Hip, "hips"), (ArcKind::Valley, "valleys")]
        .into_iter()
        .map(|(kind, name)| (between(kind).to_feet(), name))
        .filter(|&(long, name)| long > 0.0 || name == "hips")
        .map(|(long, name)| format!("{} of {name}", feet(long)))
        .collect();
    let message = format!(
        "{} of the outline {} built as {}, as few as turn by no more than {}° each and stand no farther than {} from the curve. Areas and eaves are those of the curve; the facets make {}, which a roof that is laid round has not.",
        number::counted(places.len(), "curve"),
        if places.len() == 1 { "was" } else { "were" },
        number::counted(facets.len(), "flat facet"),
        number::decimal(WIDEST_FACET.to_degrees(), 0),
        feet(FARTHEST_FACET_FT),
        made.join(" and "),
    );
    let told = Finding::warning("curved-outline", message).remedy(
        "Draw the curve in straight pieces where it is built in other facets, one piece for each.",
    );
    Some(
        places
            .into_iter()
            .take(MOST_PLACES)
            .fold(told, Finding::place),
    )
}
