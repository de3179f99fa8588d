//! Ponds told to the search: whoever lets water stand in one place pays for it.
//!
//! Whether a corner drains depends on all faces round it, so the first tables do not know. Each pond that a solution
//! shows is added as one more cost over the faces round it, and the search is run again: the same pond then costs in the
//! search what it costs in the end.

use std::collections::BTreeSet;

use crate::geometry::Vector;

use super::alternatives::near;
use super::eliminate::GroupCost;
use super::ponds::Drainage;
use super::region::POND;
use super::tables::Tables;

/// Faces round a pond that can be told; larger ones stay for the final cost.
const MOST_FACES: usize = 6;
/// Cells of such a table.
const MOST_CELLS: usize = 50_000;

/// The ponds told so far: the faces and which candidates make it.
#[derive(Clone, Debug, Default)]
pub(super) struct Cuts {
    known: BTreeSet<Vec<(usize, Vec<usize>)>>,
}

impl Cuts {
    /// Adds a pond of a choice; whether it was new.
    pub(super) fn add(
        &mut self,
        tables: &mut Tables,
        drainage: &Drainage,
        pond: &[usize],
        chosen: impl Fn(usize) -> usize,
    ) -> bool {
        let faces: BTreeSet<usize> = pond
            .iter()
            .flat_map(|&n| drainage.faces_at(n).iter().copied())
            .collect();
        let cells: usize = faces.iter().map(|&f| tables.lists[f].len()).product();
        if faces.len() > MOST_FACES || cells > MOST_CELLS {
            return false;
        }
        let guilty: Vec<(usize, Vec<usize>)> = faces
            .iter()
            .map(|&f| (f, alike(&tables.lists[f], chosen(f))))
            .collect();
        if !self.known.insert(guilty.clone()) {
            return false;
        }
        let table = (0..cells)
            .map(|cell| {
                let mut rest = cell;
                let all = guilty.iter().rev().all(|(face, guilty)| {
                    let size = tables.lists[*face].len();
                    let digit = rest % size;
                    rest /= size;
                    guilty.contains(&digit)
                });
                if all { POND } else { 0.0 }
            })
            .collect();
        tables.problem.groups.push(GroupCost {
            faces: faces.into_iter().collect(),
            table,
        });
        true
    }
}

/// The candidates that fall the same way as one of them.
fn alike(list: &[Vector], candidate: usize) -> Vec<usize> {
    (0..list.len())
        .filter(|&c| near(list[c], list[candidate]))
        .collect()
}
