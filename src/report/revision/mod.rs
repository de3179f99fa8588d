//! Two revisions of a plan side by side: for a terminal, for scripts, and drawn over each other.

mod cuts;
mod drawing;
mod findings;
mod json;
mod text;

pub use drawing::svg;
pub use findings::findings;
pub use json::json;
pub use text::text;

use super::{Report, number};
use crate::geometry::Point;
use crate::review::{ChangeKind, CutChange, EdgeChange, FaceChange, Revision};
use crate::roof::{EdgeClass, FaceId, Roof};

/// Two takeoffs and what became of the first.
#[derive(Clone, Copy, Debug)]
pub struct Revised<'a> {
    /// The earlier revision.
    pub old: &'a Report<'a>,
    /// The later one.
    pub new: &'a Report<'a>,
    /// What changed.
    pub revision: &'a Revision,
}

impl<'a> Revised<'a> {
    /// Faces that changed, with their numbers from 1.
    fn changed(&self) -> impl Iterator<Item = (usize, &'a FaceChange)> {
        let changed = self.revision.faces.iter().filter(|f| !f.kinds.is_empty());
        changed.enumerate().map(|(i, change)| (i + 1, change))
    }

    /// Openings and pipes that changed, with their numbers after those of the faces.
    fn changed_cuts(&self) -> impl Iterator<Item = (usize, &'a CutChange)> {
        let first = self.changed().count() + 1;
        let changed = self.revision.cuts.iter().filter(|c| !c.kinds.is_empty());
        changed
            .enumerate()
            .map(move |(i, change)| (first + i, change))
    }

    /// Edges of another class, with their numbers after those of the openings and pipes.
    fn changed_edges(&self) -> impl Iterator<Item = (usize, &'a EdgeChange)> {
        let first = self.changed().count() + self.changed_cuts().count() + 1;
        let edges = self.revision.edges.iter();
        edges
            .enumerate()
            .map(move |(i, change)| (first + i, change))
    }

    /// The old roof as it is compared: at the new scale, where the lines lie where they lay.
    fn old_roof(&self) -> &Roof {
        self.revision.compared(self.old.roof())
    }

    /// `S1`, or `S1, was S2` where the name changed.
    fn name(&self, change: &FaceChange) -> String {
        let old = change.old.map(|id| self.old.roof().face(id).name.as_str());
        let new = change.new.map(|id| self.new.roof().face(id).name.as_str());
        match (old, new) {
            (Some(old), Some(new)) if old != new => format!("{new}, was {old}"),
            (_, Some(name)) | (Some(name), None) => name.to_owned(),
            (None, None) => String::new(),
        }
    }

    /// Where a face's change is shown in the new plan.
    fn at(&self, change: &FaceChange) -> Option<Point> {
        match (change.new, change.old) {
            (Some(id), _) => Some(self.new.roof().face(id).label_at),
            (None, Some(id)) => Some(self.old_roof().face(id).label_at + self.revision.shift),
            (None, None) => None,
        }
    }

    /// Whether the whole roof's area, or a length of it, differs by more than is printed as nothing, and than another scale makes
    /// it differ by.
    fn sizes_differ(&self) -> bool {
        let units = self.new.units();
        let (old, new) = (self.old_roof(), self.new.roof());
        let area = |roof: &Roof| roof.true_area().to_square_feet();
        let areas = (area(new) - area(old)).abs() * units.per_square_foot();
        let length = |roof: &Roof, class| roof.true_length(class).to_feet();
        let lengths = |class| (length(new, class) - length(old, class)).abs();
        areas >= HALF_OF_LAST_DIGIT
            || (EdgeClass::ALL.into_iter())
                .any(|class| lengths(class) * units.per_foot() >= HALF_OF_LAST_DIGIT)
    }

    /// True areas before and now, in square feet; 0 where there is no face. Where the scale alone is another, the one before is
    /// what its lines would have had at the new one.
    fn true_sqft(&self, change: &FaceChange) -> (f64, f64) {
        let of = |roof: &Roof, id: Option<FaceId>| {
            id.map_or(0.0, |id| roof.face(id).true_area.to_square_feet())
        };
        (
            of(self.old_roof(), change.old),
            of(self.new.roof(), change.new),
        )
    }

    /// What changed, in a few words.
    fn words(&self, kind: &ChangeKind) -> String {
        let units = self.new.units();
        let area = |sqft: f64| {
            format!(
                "{} {} of plan",
                number::decimal(sqft * units.per_square_foot(), area_places(units)),
                units.area_sign()
            )
        };
        match *kind {
            ChangeKind::Added => "new".to_owned(),
            ChangeKind::Removed => "gone".to_owned(),
            ChangeKind::Pitch {
                from_in_12,
                to_in_12,
            } => format!(
                "pitch {}/12, was {}/12",
                number::rise_in_12(to_in_12),
                number::rise_in_12(from_in_12)
            ),
            ChangeKind::Fall { by_deg } => {
                format!("falls another way, by {}°", number::decimal(by_deg, 0))
            }
            ChangeKind::Grew { by_sqft } => format!("larger by {}", area(by_sqft)),
            ChangeKind::Shrank { by_sqft } => format!("smaller by {}", area(by_sqft)),
            ChangeKind::Moved { by_ft } => format!("outline moved by {}", units.length(by_ft)),
            ChangeKind::TakenOut { by_sqft } => format!("{} inside it taken out", area(by_sqft)),
            ChangeKind::FilledIn { by_sqft } => {
                format!("{} inside it no longer taken out", area(by_sqft))
            }
            ChangeKind::Openings { from_sqft, to_sqft } => format!(
                "openings take {}, {} before",
                area(to_sqft),
                number::decimal(from_sqft * units.per_square_foot(), area_places(units))
            ),
        }
    }

    fn all_words(&self, change: &FaceChange) -> String {
        let words: Vec<String> = change.kinds.iter().map(|k| self.words(k)).collect();
        words.join("; ")
    }
}

/// An edge that lies where one of another class lay, in words.
fn edge_words(change: &EdgeChange, units: super::OutputUnits) -> String {
    format!(
        "{} that was {}: {}",
        change.to.words(),
        change.from.words(),
        units.length(change.true_ft)
    )
}

/// Where an edge's change is shown in the new plan: its middle.
fn edge_at(change: &EdgeChange) -> Point {
    let [a, b] = change.ends;
    a.midpoint(b)
}

/// Places of an area in words, so that the least that is told is not printed as nothing.
const fn area_places(units: super::OutputUnits) -> u32 {
    if units.is_metric() { 2 } else { 1 }
}

/// Half of the last digit of an area or a length as it is printed, in the unit that it is printed in.
const HALF_OF_LAST_DIGIT: f64 = 0.005;

/// With its sign, a true minus; none on nothing.
fn signed(value: f64, places: u32) -> String {
    let printed = number::decimal(value, places);
    if number::rounded(value, places) > 0.0 {
        format!("+{printed}")
    } else {
        printed
    }
}
