//! What ends at a corner, found without walking all that has ends: a plan may hold thousands of roofs.

use std::collections::BTreeMap;

use crate::geometry::Point3;
use crate::roof::{EdgeId, Roof};

/// Ends nearer than this are the same corner, in feet (a quarter of an inch).
pub(super) const SAME_CORNER_FT: f64 = 0.02;

/// Things by where they end, in cells as wide as a corner: what is at one place lies in its cell or in those round it.
pub(super) struct Corners<T> {
    cells: BTreeMap<[i64; 3], Vec<(Point3, T)>>,
}

impl<T: Copy> Corners<T> {
    pub(super) const fn new() -> Self {
        let cells = BTreeMap::new();
        Self { cells }
    }

    pub(super) fn add(&mut self, end: Point3, what: T) {
        self.cells.entry(cell(end)).or_default().push((end, what));
    }

    /// What ends at a place.
    pub(super) fn at(&self, at: Point3) -> impl Iterator<Item = T> {
        const ROUND: [i64; 3] = [-1, 0, 1];
        let [x, y, z] = cell(at);
        let columns = ROUND.into_iter().flat_map(move |dx| {
            let y = ROUND.map(|dy| y.saturating_add(dy));
            y.map(|y| (x.saturating_add(dx), y))
        });
        columns
            .flat_map(move |(x, y)| {
                let (low, high) = (z.saturating_sub(1), z.saturating_add(1));
                self.cells.range([x, y, low]..=[x, y, high])
            })
            .flat_map(|(_, ends)| ends)
            .filter(move |(end, _)| end.distance(at) < SAME_CORNER_FT)
            .map(|&(_, what)| what)
    }
}

impl Corners<EdgeId> {
    /// All edges of a roof.
    pub(super) fn of_edges(roof: &Roof) -> Self {
        let mut corners = Self::new();
        for (index, edge) in roof.edges.iter().enumerate() {
            for end in [edge.start, edge.end] {
                corners.add(end, EdgeId(index));
            }
        }
        corners
    }
}

fn cell(p: Point3) -> [i64; 3] {
    [p.x, p.y, p.z].map(|v| (v / SAME_CORNER_FT).floor() as i64)
}

#[cfg(test)]
mod tests {
    use super::{Corners, SAME_CORNER_FT};
    use crate::geometry::Point3;

    #[test]
    fn ends_within_a_quarter_of_an_inch_are_one_corner_whichever_cells_they_lie_in() {
        let near = 0.57 * SAME_CORNER_FT;
        for from in [-40.0, -0.01, 0.0, 0.019, 12.345] {
            let place = |by: f64| Point3::new(from + by, 2.0 * from + by, by - from);
            let mut corners = Corners::new();
            // √3 times 0.57 is 0.987, and 0.59 is 1.02.
            corners.add(place(near), 1);
            corners.add(place(-near), 2);
            corners.add(place(0.59 * SAME_CORNER_FT), 3);
            let mut found: Vec<i32> = corners.at(place(0.0)).collect();
            found.sort_unstable();
            assert_eq!(found, [1, 2], "{from}");
        }
    }
}
