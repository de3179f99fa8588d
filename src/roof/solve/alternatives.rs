//! The likeliest roof of a sheet and its rivals.
//!
//! The search gives the cheapest choice and, for every face and every other way it might fall, the cheapest choice that
//! has it. A rival usually differs from the best in a few faces only, so it is refined and priced where it differs: the
//! work grows with the number of faces, not with its square.

use std::collections::BTreeSet;

use crate::geometry::{Plane, Vector};

use super::cuts::Cuts;
use super::eliminate::Solved;
use super::ponds::Drainage;
use super::refine::{DIRECTION_PART, Refiner};
use super::region::{Price, Region, Roofing, price, usual_eave};
use super::sheet::Sheet;
use super::steps;
use super::tables::Tables;

/// Candidates within this angle of each other are one cluster: the search looks for one roof per cluster.
const CLUSTER_DEG: f64 = 12.0;
/// Candidates (of a face without a pitch) whose slopes differ more than this factor are not one cluster either.
const CLUSTER_SLOPE: f64 = 1.25;
/// Rivals dearer than the best by more than this in the search are not looked at.
const WINDOW: f64 = 12.0;
/// Sheets up to this many faces are refined as a whole for every rival.
const WHOLE_UP_TO: usize = 40;
/// How often ponds are told to the search.
const MOST_ROUNDS: usize = 5;

/// The likeliest roof.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    pub(super) roofing: Roofing,
    pub(super) price: Price,
}

/// Another roof, by what differs from the likeliest.
#[derive(Clone, Debug)]
pub(super) struct Rival {
    /// (face, its other plane), rising faces.
    pub(super) changes: Vec<(usize, Plane)>,
    /// How much it costs more.
    pub(super) dearer: f64,
}

/// All that the search found on one sheet.
#[derive(Clone, Debug)]
pub(super) struct Search {
    pub(super) best: Solution,
    pub(super) rivals: Vec<Rival>,
    /// How many candidates had to be dropped for the tables to fit.
    pub(super) dropped: usize,
}

/// Everything that stays fixed while one sheet is solved.
pub(super) struct Searcher<'a> {
    sheet: &'a Sheet,
    face_edges: Vec<Vec<usize>>,
    drainage: Drainage,
    refiner: Refiner,
    steps_allowed: bool,
}

/// A choice by what differs from the search's own best, and its ponds.
type LookedAt<'a> = (&'a [(usize, usize)], &'a [Vec<usize>]);

/// A rival while it is compared: relative to the search's own best choice.
struct Tried {
    choice: Vec<(usize, usize)>,
    region: Region,
    planes: Vec<(usize, Plane)>,
    steps: Vec<(usize, bool)>,
    dearer: f64,
    /// How much farther than the base's its planes were turned from the falls chosen for them.
    turned: f64,
    ponds: Vec<Vec<usize>>,
}

impl Tried {
    /// How much it costs more than the base. Where both are one roof, refined from different choices, the planes of the
    /// one that was turned farther lean towards falls that they do not have: that counts besides.
    fn dearer_than(&self, base: &Roofing) -> f64 {
        let same = self
            .planes
            .iter()
            .all(|(face, plane)| near(plane.gradient, base.planes[*face].gradient));
        self.dearer + if same { self.turned } else { 0.0 }
    }
}

/// By how much refining turned the planes of some faces from the falls chosen for them, as ½ Σ (turn / deviation)².
fn turned(roofing: &Roofing, faces: &[usize]) -> f64 {
    faces
        .iter()
        .map(|&face| {
            let chosen = roofing.chosen[face];
            let allowed = DIRECTION_PART * chosen.length();
            if allowed == 0.0 {
                return 0.0;
            }
            let off = (roofing.planes[face].gradient - chosen).length() / allowed;
            off * off / 2.0
        })
        .sum()
}

impl<'a> Searcher<'a> {
    pub(super) fn new(sheet: &'a Sheet, steps_allowed: bool) -> Self {
        Self {
            sheet,
            face_edges: sheet.face_edges(),
            drainage: Drainage::new(sheet),
            refiner: if steps_allowed {
                Refiner::with_steps(sheet)
            } else {
                Refiner::new(sheet)
            },
            steps_allowed,
        }
    }

    pub(super) fn run(&self) -> Search {
        let mut tables = Tables::new(self.sheet, &self.face_edges, self.steps_allowed);
        let mut cuts = Cuts::default();
        let mut slot = vec![usize::MAX; self.sheet.faces.len()];
        let mut round = 1;
        loop {
            let solved = tables.problem.solve();
            let base = self.whole(&tables, &solved.best, &mut slot);
            let tried = self.try_rivals(&tables, &solved, &base, &mut slot);
            let ponds = tables.problem.groups.len();
            let told = self.tell_ponds(&mut tables, &mut cuts, &solved, &base, &tried)
                && tables.shed_ponds(ponds);
            if !told || round >= MOST_ROUNDS {
                return self.rank(base, tried, tables.dropped, &mut slot);
            }
            round += 1;
        }
    }

    /// Tells the search the ponds of all that was tried; whether one was new. Whether a pond hangs on faces farther off is seen from
    /// those without it: from all of them on small sheets, else from those that differ round it, so that the time grows with
    /// the faces.
    fn tell_ponds(
        &self,
        tables: &mut Tables,
        cuts: &mut Cuts,
        solved: &Solved,
        base: &Solution,
        tried: &[Tried],
    ) -> bool {
        let looked_at: Vec<LookedAt> = std::iter::once((&[][..], &base.price.ponds[..]))
            .chain(tried.iter().map(|t| (&t.choice[..], &t.ponds[..])))
            .collect();
        // Who chose another fall for a face; all that did not fall there as the first does.
        let mut changing: Vec<Vec<usize>> = vec![Vec::new(); self.sheet.faces.len()];
        for (number, (changes, _)) in looked_at.iter().enumerate() {
            for &(face, _) in *changes {
                changing[face].push(number);
            }
        }
        let standing: Vec<BTreeSet<usize>> = looked_at
            .iter()
            .map(|(_, ponds)| ponds.iter().flatten().copied().collect())
            .collect();
        let small = self.sheet.faces.len() <= WHOLE_UP_TO;
        let mut told = false;
        for &(changes, ponds) in &looked_at {
            for pond in ponds {
                let faces = pond.iter().flat_map(|&n| self.drainage.faces_at(n));
                let compared: Vec<usize> = if small {
                    (0..looked_at.len()).collect()
                } else {
                    let differing = faces.flat_map(|&f| changing[f].iter().copied());
                    std::iter::once(0).chain(differing).collect()
                };
                let without: Vec<_> = compared
                    .into_iter()
                    .filter(|&number| !pond.iter().any(|n| standing[number].contains(n)))
                    .map(|number| looked_at[number].0)
                    .map(|changes| move |face| chosen(solved, changes, face))
                    .collect();
                told |= cuts.add(
                    tables,
                    &self.drainage,
                    pond,
                    |face| chosen(solved, changes, face),
                    &without,
                );
            }
        }
        told
    }

    /// The whole roof of a choice.
    fn whole(&self, tables: &Tables, choice: &[usize], slot: &mut [usize]) -> Solution {
        let chosen: Vec<Vector> = choice
            .iter()
            .zip(&tables.lists)
            .map(|(&c, list)| list[c])
            .collect();
        let mut roofing = Roofing {
            planes: vec![Plane::default(); chosen.len()],
            is_step: vec![false; self.sheet.edges.len()],
            chosen,
        };
        let region = Region::whole(self.sheet);
        self.settle(&mut roofing, &region, slot);
        self.priced(roofing, &region)
    }

    /// The same falls with every step taken out: the planes are made to meet as nearly as they can.
    pub(super) fn without_steps(&self, mut roofing: Roofing) -> Solution {
        roofing.is_step.fill(false);
        let region = Region::whole(self.sheet);
        let mut slot = vec![usize::MAX; self.sheet.faces.len()];
        self.refiner
            .refine(self.sheet, &mut roofing, &region, &mut slot);
        self.priced(roofing, &region)
    }

    fn priced(&self, roofing: Roofing, region: &Region) -> Solution {
        let eave = usual_eave(self.sheet, &roofing, region).unwrap_or(0.0);
        let price = self.price(&roofing, region, eave);
        Solution { roofing, price }
    }

    fn price(&self, roofing: &Roofing, region: &Region, eave: f64) -> Price {
        price(
            self.sheet,
            &self.face_edges,
            &self.drainage,
            roofing,
            region,
            eave,
        )
    }

    /// Steps and planes of a region from its chosen gradients.
    fn settle(&self, roofing: &mut Roofing, region: &Region, slot: &mut [usize]) {
        if self.steps_allowed {
            steps::choose(self.sheet, roofing, region);
        }
        self.refiner.refine(self.sheet, roofing, region, slot);
        if self.steps_allowed {
            for _ in 0..steps::MOST_ADDED {
                let Some(edge) = steps::worst_gaping(self.sheet, roofing, region) else {
                    break;
                };
                roofing.is_step[edge] = true;
                self.refiner.refine(self.sheet, roofing, region, slot);
            }
            for _ in 0..steps::MOST_ADDED {
                let Some(edge) = steps::cheaper_apart(self.sheet, roofing, region) else {
                    break;
                };
                roofing.is_step[edge] = true;
                self.refiner.refine(self.sheet, roofing, region, slot);
            }
        }
    }

    /// For every face and every other cluster of its candidates the cheapest choice that has it, refined and priced.
    fn try_rivals(
        &self,
        tables: &Tables,
        solved: &Solved,
        base: &Solution,
        slot: &mut [usize],
    ) -> Vec<Tried> {
        let best = tables.problem.cost(&solved.best);
        let mut choices: BTreeSet<Vec<(usize, usize)>> = BTreeSet::new();
        for (face, list) in tables.lists.iter().enumerate() {
            let least = solved.least_with(face);
            for candidate in cluster_heads(list, &least, solved.best[face]) {
                if least[candidate] <= best + WINDOW {
                    choices.insert(solved.forced(face, candidate));
                }
            }
        }
        let eave = usual_eave(self.sheet, &base.roofing, &Region::whole(self.sheet)).unwrap_or(0.0);
        let mut work = base.roofing.clone();
        choices
            .into_iter()
            .map(|choice| self.try_rival(tables, base, choice, eave, &mut work, slot))
            .collect()
    }

    /// `work` is a copy of the base that is changed and restored.
    fn try_rival(
        &self,
        tables: &Tables,
        base: &Solution,
        choice: Vec<(usize, usize)>,
        eave: f64,
        work: &mut Roofing,
        slot: &mut [usize],
    ) -> Tried {
        let region = self.region(&choice);
        for &(face, candidate) in &choice {
            work.chosen[face] = tables.lists[face][candidate];
        }
        self.settle(work, &region, slot);
        let whole = region.faces.len() == self.sheet.faces.len();
        let before = if whole {
            base.price.cost
        } else {
            self.price(&base.roofing, &region, eave).cost
        };
        let eave = if whole {
            usual_eave(self.sheet, work, &region).unwrap_or(0.0)
        } else {
            eave
        };
        let after = self.price(work, &region, eave);
        let tried = Tried {
            planes: region.faces.iter().map(|&f| (f, work.planes[f])).collect(),
            steps: region.edges.iter().map(|&e| (e, work.is_step[e])).collect(),
            dearer: after.cost - before,
            turned: turned(work, &region.faces) - turned(&base.roofing, &region.faces),
            ponds: after.ponds,
            region,
            choice,
        };
        for &face in &tried.region.faces {
            work.chosen[face] = base.roofing.chosen[face];
            work.planes[face] = base.roofing.planes[face];
        }
        for &edge in &tried.region.edges {
            work.is_step[edge] = base.roofing.is_step[edge];
        }
        tried
    }

    /// The changed faces and their neighbours; the whole sheet where it is small.
    fn region(&self, choice: &[(usize, usize)]) -> Region {
        if self.sheet.faces.len() <= WHOLE_UP_TO {
            return Region::whole(self.sheet);
        }
        let mut faces: BTreeSet<usize> = choice.iter().map(|c| c.0).collect();
        for &(face, _) in choice {
            for &edge in &self.face_edges[face] {
                faces.extend(self.sheet.edges[edge].left);
                faces.extend(self.sheet.edges[edge].right);
            }
        }
        Region::new(self.sheet, &self.face_edges, faces.into_iter().collect())
    }

    /// Takes what is cheaper than the search's own best, and states every rival relative to the result.
    fn rank(
        &self,
        base: Solution,
        mut tried: Vec<Tried>,
        dropped: usize,
        slot: &mut [usize],
    ) -> Search {
        tried.sort_by(|a, b| {
            a.dearer
                .total_cmp(&b.dearer)
                .then_with(|| a.choice.cmp(&b.choice))
        });
        // Which taken rival owns a face's plane.
        let mut owner: Vec<Option<usize>> = vec![None; self.sheet.faces.len()];
        let mut roofing = base.roofing.clone();
        let mut taken = Vec::new();
        for (index, rival) in tried.iter().enumerate() {
            let dearer = rival.dearer_than(&base.roofing);
            if dearer >= -1e-9 || rival.region.faces.iter().any(|&f| owner[f].is_some()) {
                continue;
            }
            for &face in &rival.region.faces {
                owner[face] = Some(index);
            }
            for &(face, plane) in &rival.planes {
                roofing.planes[face] = plane;
            }
            for &(edge, step) in &rival.steps {
                roofing.is_step[edge] = step;
            }
            taken.push(index);
        }
        let mut rivals = Vec::new();
        for (index, rival) in tried.iter().enumerate() {
            if taken.contains(&index) {
                // The way back to the search's own choice.
                let changes = rival
                    .region
                    .faces
                    .iter()
                    .map(|&f| (f, base.roofing.planes[f]))
                    .collect();
                rivals.push(Rival {
                    changes,
                    dearer: -rival.dearer,
                });
                continue;
            }
            let lost: BTreeSet<usize> = rival
                .region
                .faces
                .iter()
                .filter_map(|&f| owner[f])
                .collect();
            let mut dearer = rival.dearer;
            let mut changes: std::collections::BTreeMap<usize, Plane> =
                std::collections::BTreeMap::new();
            for &other in &lost {
                dearer -= tried[other].dearer;
                changes.extend(
                    tried[other]
                        .region
                        .faces
                        .iter()
                        .map(|&f| (f, base.roofing.planes[f])),
                );
            }
            changes.extend(rival.planes.iter().copied());
            rivals.push(Rival {
                changes: changes.into_iter().collect(),
                dearer,
            });
        }
        if taken.is_empty() {
            return Search {
                best: base,
                rivals,
                dropped,
            };
        }
        // The gradients chosen are those of the planes now: only whether a face is level is read from them.
        let region = Region::whole(self.sheet);
        for (face, owner) in owner.iter().enumerate() {
            if owner.is_some() && !self.sheet.faces[face].is_flat() {
                roofing.chosen[face] = roofing.planes[face].gradient;
            }
        }
        if self.sheet.faces.len() > WHOLE_UP_TO {
            self.settle(&mut roofing, &region, slot);
        }
        Search {
            best: self.priced(roofing, &region),
            rivals,
            dropped,
        }
    }
}

/// The candidate of a face in a choice that differs from the search's best by `changes`.
fn chosen(solved: &Solved, changes: &[(usize, usize)], face: usize) -> usize {
    changes
        .binary_search_by_key(&face, |c| c.0)
        .map_or(solved.best[face], |at| changes[at].1)
}

/// The cheapest candidate of each cluster that does not hold the best one.
fn cluster_heads(list: &[Vector], least: &[f64], best: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..list.len()).filter(|&c| c != best).collect();
    order.sort_by(|&a, &b| least[a].total_cmp(&least[b]).then(a.cmp(&b)));
    let mut heads = vec![best];
    for c in order {
        if heads.iter().all(|&h| !near(list[h], list[c])) {
            heads.push(c);
        }
    }
    heads.remove(0);
    heads
}

/// Whether two gradients are the same fall for the purpose of asking.
pub(super) fn near(a: Vector, b: Vector) -> bool {
    let (long, short) = (a.length().max(b.length()), a.length().min(b.length()));
    a.angle_to_deg(b) <= CLUSTER_DEG && long <= CLUSTER_SLOPE * short.max(f64::MIN_POSITIVE)
}
