//! From an outline traced on the walls to the outline of the eaves.

use super::input::{OutlineInput, OutlineSide, Rises};
use super::problem::OutlineProblem;
use crate::geometry::{Point, Vector};
use crate::units::words::decimal_inches;
use crate::{Finding, Place};

/// Eaves that end nearer in height than this are level with each other: a quarter of an inch, in feet.
const LEVEL_WITHIN_FT: f64 = 0.02;

/// Sides whose directions differ by a smaller sine are one straight wall: moved apart, they would not meet anywhere
/// near their corner.
const STRAIGHT_WITHIN: f64 = 1e-6;

/// Moves every side out by its overhang (feet in plan, by the side's number), and every eave down by what its plane
/// falls on that way. Eaves of different pitch then lie at different heights, as planes that start at one height over
/// the walls do.
///
/// ```
/// use eavewright::geometry::Point;
/// use eavewright::roof::outline::{OutlineInput, offset_to_eaves};
/// use eavewright::units::Pitch;
///
/// let walls = [(0.0, 0.0), (40.0, 0.0), (40.0, 24.0), (0.0, 24.0)].map(|(x, y)| Point::new(x, y));
/// let walls = OutlineInput::one_pitch(&walls, Pitch::in_12(6.0));
/// let eaves = offset_to_eaves(&walls, |_| 1.5).unwrap();
/// assert_eq!(eaves.rings[0][0].start, Point::new(-1.5, -1.5));
/// assert_eq!(eaves.rings[0][0].eave_height_ft, -0.75);
/// ```
///
/// # Errors
/// An overhang that is not a number, a side without length, or two sides of one straight wall with different overhangs.
pub fn offset_to_eaves(
    walls: &OutlineInput,
    overhang_ft: impl Fn(usize) -> f64,
) -> Result<OutlineInput, OutlineProblem> {
    let mut rings = Vec::with_capacity(walls.rings.len());
    let mut first = 0;
    for (index, ring) in walls.rings.iter().enumerate() {
        let n = ring.len();
        let corners: Vec<Point> = ring.iter().map(|side| side.start).collect();
        let area = crate::geometry::ring::signed_area(&corners);
        // Away from the inside, whichever way round the ring was given.
        let sign = if (area > 0.0) == (index == 0) {
            1.0
        } else {
            -1.0
        };
        let mut moved: Vec<(Point, Vector, f64)> = Vec::with_capacity(n);
        for i in 0..n {
            let number = first + i;
            let overhang = overhang_ft(number);
            let along = (corners[(i + 1) % n] - corners[i]).unit();
            let (Some(along), true) = (along, overhang.is_finite()) else {
                return Err(OutlineProblem::NotANumber { side: number });
            };
            let out = -along.turn_left() * sign;
            moved.push((corners[i] + out * overhang, along, overhang));
        }
        let mut sides = Vec::with_capacity(n);
        for (i, side) in ring.iter().enumerate() {
            let before = moved[(i + n - 1) % n];
            let here = moved[i];
            let start = corner(before, here).ok_or(OutlineProblem::OverhangStep {
                sides: [first + (i + n - 1) % n, first + i],
                overhangs_ft: [before.2, here.2],
                at: corners[i],
            })?;
            let drop = match side.rises {
                Rises::Eave(pitch) => pitch.to_rise_per_run() * here.2,
                Rises::Gable | Rises::Wall => 0.0,
            };
            sides.push(OutlineSide {
                start,
                eave_height_ft: side.eave_height_ft - drop,
                ..*side
            });
        }
        rings.push(sides);
        first += n;
    }
    Ok(OutlineInput { rings })
}

/// Told where the overhang parts the heights of two eaves that meet: a hip between unequal pitches then passes beside the
/// corner of the walls, and a short rake joins the eaves.
pub(super) fn parted_by_overhang(walls: &OutlineInput, eaves: &OutlineInput) -> Option<Finding> {
    const INCHES: f64 = 12.0;
    let mut corners: Vec<(Point, f64)> = Vec::new();
    for (walls, eaves) in walls.rings.iter().zip(&eaves.rings) {
        let n = eaves.len();
        for i in 0..n {
            let pair = [(i + n - 1) % n, i];
            let both = pair
                .iter()
                .all(|&k| matches!(eaves[k].rises, Rises::Eave(_)));
            let apart_ft = |ring: &[OutlineSide]| {
                let [before, here] = pair.map(|k| ring[k].eave_height_ft);
                (here - before).abs()
            };
            let is_parted = apart_ft(walls) < LEVEL_WITHIN_FT && apart_ft(eaves) > LEVEL_WITHIN_FT;
            if both && is_parted {
                corners.push((eaves[i].start, apart_ft(eaves)));
            }
        }
    }
    let told: Vec<String> = corners
        .iter()
        .map(|(at, apart_ft)| {
            format!(
                "{} at ({:.1}, {:.1}) ft",
                decimal_inches(apart_ft * INCHES),
                at.x,
                at.y
            )
        })
        .collect();
    let (first, more) = told.split_first()?;
    let more = more.iter().map(|m| format!(", {m}")).collect::<String>();
    let mut finding = Finding::warning(
        "eaves-at-different-heights",
        format!(
            "With one overhang, eaves of different pitch end at different heights, apart by {first}{more}: the hips there pass beside the corners of the walls, and short rakes join the eaves."
        ),
    )
    .remedy("Settle how these corners are built: another overhang or plate on one side brings the eaves to one height; then trace the edges of the eaves themselves.");
    for (at, _) in corners {
        finding = finding.place(Place::at(at));
    }
    Some(finding)
}

/// Where two moved sides meet; `None` where they are parallel and apart.
fn corner(
    (p, u, before): (Point, Vector, f64),
    (q, v, here): (Point, Vector, f64),
) -> Option<Point> {
    let sine = u.cross(v);
    if sine.abs() < STRAIGHT_WITHIN {
        // One straight wall with one overhang: the second side's start has moved square to it.
        return (before == here).then_some(q);
    }
    Some(q + v * ((p - q).cross(u) / v.cross(u)))
}
