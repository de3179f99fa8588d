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

/// The faces round a pond and which of their candidates make it.
type Guilty = Vec<(usize, Vec<usize>)>;

/// The ponds told so far.
#[derive(Clone, Debug, Default)]
pub(super) struct Cuts {
    known: BTreeSet<Guilty>,
}

impl Cuts {
    /// Adds a pond of a choice; whether it was new. Falls alike those chosen are taken to make the same pond. Where one of the
    /// `others`, which have no such pond, falls alike, only the falls chosen are; where it has those very falls, it
    /// hangs on faces farther off and is not told.
    pub(super) fn add(
        &mut self,
        tables: &mut Tables,
        drainage: &Drainage,
        pond: &[usize],
        chosen: impl Fn(usize) -> usize,
        others: &[impl Fn(usize) -> usize],
    ) -> bool {
        let faces: BTreeSet<usize> = pond
            .iter()
            .flat_map(|&n| drainage.faces_at(n).iter().copied())
            .collect();
        if faces.len() > MOST_FACES {
            return false;
        }
        let cells: usize = faces.iter().map(|&f| tables.lists[f].len()).product();
        if cells > MOST_CELLS {
            return false;
        }
        let drains = |guilty: &Guilty| {
            let same = |other: &dyn Fn(usize) -> usize| {
                guilty
                    .iter()
                    .all(|(face, falls)| falls.contains(&other(*face)))
            };
            others.iter().any(|other| same(other))
        };
        let mut guilty: Guilty = faces
            .iter()
            .map(|&f| (f, alike(&tables.lists[f], chosen(f))))
            .collect();
        if drains(&guilty) {
            guilty = faces.iter().map(|&f| (f, vec![chosen(f)])).collect();
        }
        if drains(&guilty) {
            return false;
        }
        if !self.known.insert(guilty.clone()) {
            return false;
        }
        let table = pond_table(tables, &guilty, cells);
        tables.problem.groups.push(GroupCost {
            faces: faces.into_iter().collect(),
            table,
        });
        true
    }
}

/// The cost of a pond: of so many cells those where every face round it falls as one that makes it.
fn pond_table(tables: &Tables, guilty: &Guilty, cells: usize) -> Vec<f64> {
    let mut making = vec![0];
    for (face, falls) in guilty {
        let size = tables.lists[*face].len();
        making = making
            .iter()
            .flat_map(|cell| falls.iter().map(move |fall| cell * size + fall))
            .collect();
    }
    let mut table = vec![0.0; cells];
    for cell in making {
        table[cell] = POND;
    }
    table
}

/// The candidates that fall the same way as one of them.
fn alike(list: &[Vector], candidate: usize) -> Vec<usize> {
    (0..list.len())
        .filter(|&c| near(list[c], list[candidate]))
        .collect()
}
