//! Openings and pipes that changed, in words.

use super::{Revised, area_places};
use crate::geometry::{Point, Vector};
use crate::report::{Report, number};
use crate::review::{CutChange, CutId, CutKind, OpeningSize};
use crate::roof::{FaceId, Opening, OpeningId, Roof};
use crate::units::Length;

/// Of a move both ways, what is under an inch is not worth its words, in feet.
const LEAST_TOLD_FT: f64 = 1.0 / 12.0;

impl Revised<'_> {
    /// `chimney in N1`, `pipe in S1, was in N1`.
    pub(super) fn cut_name(&self, change: &CutChange) -> String {
        let side = |report: &Report<'_>, id: Option<CutId>| {
            let (id, roof) = (id?, report.roof());
            Some((kind(roof, id).to_owned(), place(roof, id.faces(roof))))
        };
        match (side(self.new, change.new), side(self.old, change.old)) {
            (Some((kind, face)), Some((_, before))) if self.changed_face(change) => {
                format!("{kind} {face}, was {before}")
            }
            (Some((kind, face)), _) | (None, Some((kind, face))) => format!("{kind} {face}"),
            (None, None) => String::new(),
        }
    }

    /// Whether it moved to another face. A face that was divided under it does not count.
    fn changed_face(&self, change: &CutChange) -> bool {
        let (Some(old), Some(new)) = (change.old, change.new) else {
            return false;
        };
        let of = |id: CutId, report: &Report<'_>| id.faces(report.roof()).to_vec();
        let (old, new) = (of(old, self.old), of(new, self.new));
        let stays = |o: &FaceId| {
            let pairs = &self.revision.faces;
            pairs
                .iter()
                .any(|f| f.old == Some(*o) && f.new.is_some_and(|n| new.contains(&n)))
        };
        let moved = change
            .kinds
            .iter()
            .any(|k| matches!(k, CutKind::Moved { .. }));
        moved && (old.len() != new.len() || !old.iter().all(stays))
    }

    /// Where it is or was, in the new plan.
    pub(super) fn cut_at(&self, change: &CutChange) -> Option<Point> {
        match (change.new, change.old) {
            (Some(id), _) => id.middle(self.new.roof()),
            (None, Some(id)) => Some(id.middle(self.old_roof())? + self.revision.shift),
            (None, None) => None,
        }
    }

    /// Where its number stands in the new plan: on the right of it, so that it is seen.
    pub(super) fn cut_mark_at(&self, change: &CutChange, beside_ft: f64) -> Option<Point> {
        let at = self.cut_at(change)?;
        let half_ft = |roof: &Roof, id: CutId| match id {
            CutId::Opening(id) => opening(roof, id).map_or(0.0, |o| {
                let middle = crate::geometry::ring::centroid(&o.outline);
                let right = o.outline.iter().map(|p| p.x - middle.x);
                right.fold(0.0, f64::max)
            }),
            CutId::Pipe(_) => 0.0,
        };
        let half_ft = match (change.new, change.old) {
            (Some(id), _) => half_ft(self.new.roof(), id),
            (None, Some(id)) => half_ft(self.old_roof(), id),
            (None, None) => 0.0,
        };
        Some(at + Vector::new(half_ft + beside_ft, 0.0))
    }

    /// What it takes out of the slopes before and now, in square feet, before as at the scale of now; `None` for a pipe.
    pub(super) fn cut_sqft(&self, change: &CutChange) -> Option<(f64, f64)> {
        let of = |roof: &Roof, id: Option<CutId>| match id {
            Some(CutId::Opening(id)) => {
                opening(roof, id).map(|opening| OpeningSize::of(roof, opening).true_sqft)
            }
            _ => None,
        };
        let old = of(self.old_roof(), change.old);
        let new = of(self.new.roof(), change.new);
        (old.is_some() || new.is_some()).then(|| (old.unwrap_or(0.0), new.unwrap_or(0.0)))
    }

    /// All that changed of it, with the flashing round an opening.
    pub(super) fn all_cut_words(&self, change: &CutChange) -> String {
        let mut words: Vec<String> = change
            .kinds
            .iter()
            .map(|k| self.cut_words(change, k))
            .collect();
        words.extend(self.flashing(change));
        words.join("; ")
    }

    /// What changed, in a few words.
    pub(super) fn cut_words(&self, change: &CutChange, kind_of: &CutKind) -> String {
        let units = self.new.units();
        match *kind_of {
            CutKind::Added => format!("new{}", self.what(self.new.roof(), change.new)),
            CutKind::Removed => format!("gone{}", self.what(self.old_roof(), change.old)),
            CutKind::Renamed => {
                let old = change.old.map_or("", |id| kind(self.old.roof(), id));
                format!("was {} {old}", article(old))
            }
            CutKind::Moved { across_ft, up_ft } => {
                let (across, up) = (units.length(across_ft.abs()), units.length(up_ft.abs()));
                let way = if up_ft < 0.0 { "down" } else { "up" };
                let level = change.new.is_some_and(|id| {
                    let roof = self.new.roof();
                    let faces = id.faces(roof);
                    faces.iter().all(|f| roof.face(*f).is_flat())
                });
                if level || self.changed_face(change) {
                    format!("moved by {}", units.length(across_ft.hypot(up_ft)))
                } else if up_ft.abs() < LEAST_TOLD_FT {
                    format!("moved by {across} across the slope")
                } else if across_ft.abs() < LEAST_TOLD_FT {
                    format!("moved by {up} of plan {way} the slope")
                } else {
                    format!("moved by {across} across the slope and {up} of plan {way} it")
                }
            }
            CutKind::Resized { from, to } => {
                let (before, now) = (self.size(&from), self.size(&to));
                let area =
                    |sqft: f64| number::decimal(sqft * units.per_square_foot(), area_places(units));
                let (old, new) = (area(from.plan_sqft), area(to.plan_sqft));
                let sign = units.area_sign();
                if before != now {
                    format!("{now} of plan, was {before}")
                } else {
                    format!("another outline of {new} {sign} of plan, was {old} {sign}")
                }
            }
            CutKind::Diameter { from_ft, to_ft } => {
                let words = |ft: Option<f64>| {
                    ft.map_or_else(
                        || "of no stated diameter".to_owned(),
                        |ft| units.small(Length::<crate::units::Plan>::feet(ft)),
                    )
                };
                format!("{}, was {}", words(to_ft), words(from_ft))
            }
        }
    }

    /// Across the fall by along it.
    fn size(&self, size: &OpeningSize) -> String {
        let units = self.new.units();
        format!(
            "{} × {}",
            units.length(size.across_ft),
            units.length(size.along_ft)
        )
    }

    /// What came or went, with its size.
    fn what(&self, roof: &Roof, id: Option<CutId>) -> String {
        match id {
            Some(CutId::Opening(id)) => opening(roof, id).map_or_else(String::new, |o| {
                format!(", {} of plan", self.size(&OpeningSize::of(roof, o)))
            }),
            Some(CutId::Pipe(i)) => roof
                .penetrations
                .get(i)
                .and_then(|p| p.diameter)
                .map_or_else(String::new, |d| format!(", {}", self.new.units().small(d))),
            None => String::new(),
        }
    }

    /// The flashing round an opening, where it is another one; before as at the scale of now.
    fn flashing(&self, change: &CutChange) -> Option<String> {
        let units = self.new.units();
        let of = |roof: &Roof, id: Option<CutId>| match id {
            Some(CutId::Opening(id)) => opening(roof, id).map(|o| {
                [(o.apron, "below"), (o.sides, "beside"), (o.head, "above")]
                    .iter()
                    .map(|(length, where_)| (length.to_feet(), where_))
                    .filter(|(feet, _)| *feet > 0.0)
                    .map(|(feet, where_)| format!("{} {where_}", units.length(feet)))
                    .collect::<Vec<_>>()
                    .join(", ")
            }),
            _ => None,
        };
        let told = |words: &String| !words.is_empty();
        let before = of(self.old_roof(), change.old).filter(told);
        match (of(self.new.roof(), change.new).filter(told), before) {
            (Some(now), Some(before)) if now == before => None,
            (Some(now), Some(before)) => Some(format!("flashing {now}; before {before}")),
            (Some(now), None) => Some(format!("flashing {now}")),
            (None, Some(before)) => Some(format!("flashing was {before}")),
            (None, None) => None,
        }
    }
}

pub(super) fn opening(roof: &Roof, id: OpeningId) -> Option<&Opening> {
    roof.openings.get(id.0)
}

fn kind(roof: &Roof, id: CutId) -> &str {
    match id {
        CutId::Opening(id) => opening(roof, id).map_or("opening", |o| &o.kind),
        CutId::Pipe(_) => "pipe",
    }
}

fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    }
}

/// `in N1`, `in N1 and S1`.
fn place(roof: &Roof, faces: &[FaceId]) -> String {
    let names: Vec<&str> = faces.iter().map(|f| roof.face(*f).name.as_str()).collect();
    match names.split_last() {
        Some((last, [])) => format!("in {last}"),
        Some((last, before)) => format!("in {} and {last}", before.join(", ")),
        None => "outside the roof".to_owned(),
    }
}
