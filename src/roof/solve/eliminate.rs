//! The exact minimum of a sum over faces and pairs of neighbours, by bucket elimination (R. Dechter, *Bucket
//! elimination: a unifying framework for reasoning*, Artificial Intelligence 113, 1999).
//!
//! The graph of faces is planar and thin, so the tables stay small. Messages run up and down the bucket tree once;
//! after that the best assignment with any one face forced is read off locally.

use std::collections::BTreeMap;

use super::sparse::thin_order;

/// Most cells of one table; beyond it the least likely candidates of its faces are dropped.
const MOST_CELLS: usize = 2_000_000;
/// Most cells of all tables together, a quarter of a gigabyte.
const MOST_CELLS_IN_ALL: usize = 30_000_000;

/// Candidates are numbered per face; costs are tables.
#[derive(Clone, Debug, Default)]
pub(super) struct Problem {
    /// `alone[face][candidate]`.
    pub(super) alone: Vec<Vec<f64>>,
    /// Costs of pairs of neighbours.
    pub(super) pairs: Vec<PairCost>,
    /// Costs of several faces together.
    pub(super) groups: Vec<GroupCost>,
}

/// A cost of several faces together; the table counts the last face fastest.
#[derive(Clone, Debug)]
pub(super) struct GroupCost {
    pub(super) faces: Vec<usize>,
    pub(super) table: Vec<f64>,
}

/// The cost of two neighbours: `table[i · (number of candidates of second) + j]`.
#[derive(Clone, Debug)]
pub(super) struct PairCost {
    pub(super) first: usize,
    pub(super) second: usize,
    pub(super) table: Vec<f64>,
}

/// A choice of one candidate a face.
pub(super) type Choice = Vec<usize>;

#[derive(Clone, Debug, Default)]
struct Bucket {
    /// Its own face first, then the faces that it leaves.
    scope: Vec<usize>,
    sizes: Vec<usize>,
    /// Own factors and the messages from below, over the scope (own face slowest).
    table: Vec<f64>,
    parent: Option<usize>,
    children: Vec<usize>,
    /// The minimum over the own face, over the rest of the scope.
    up: Vec<f64>,
    /// What the rest of the tree costs, over the rest of the scope.
    down: Vec<f64>,
}

/// A solved problem.
#[derive(Clone, Debug)]
pub(super) struct Solved {
    buckets: Vec<Bucket>,
    bucket_of: Vec<usize>,
    /// The cheapest choice.
    pub(super) best: Choice,
}

/// How large the tables of elimination are, in cells.
#[derive(Default)]
pub(super) struct Size {
    largest: usize,
    in_all: usize,
    /// The faces in the largest table.
    pub(super) faces_of_largest: Vec<usize>,
}

impl Size {
    pub(super) fn fits(&self) -> bool {
        self.largest <= MOST_CELLS && self.in_all <= MOST_CELLS_IN_ALL
    }
}

impl Problem {
    /// The cost of a choice.
    pub(super) fn cost(&self, choice: &[usize]) -> f64 {
        let alone: f64 = self.alone.iter().zip(choice).map(|(a, &c)| a[c]).sum();
        let pairs: f64 = self.pairs.iter().map(|p| self.pair_cost(p, choice)).sum();
        let groups: f64 = self.groups.iter().map(|g| self.group_cost(g, choice)).sum();
        alone + pairs + groups
    }

    fn group_cost(&self, group: &GroupCost, choice: &[usize]) -> f64 {
        let cell = group
            .faces
            .iter()
            .fold(0, |cell, &f| cell * self.alone[f].len() + choice[f]);
        group.table[cell]
    }

    fn pair_cost(&self, pair: &PairCost, choice: &[usize]) -> f64 {
        pair.table[choice[pair.first] * self.alone[pair.second].len() + choice[pair.second]]
    }

    fn order(&self) -> Vec<usize> {
        let weight: Vec<f64> = self
            .alone
            .iter()
            .map(|a| (a.len() as f64).ln() + 1e-3)
            .collect();
        let mut links: Vec<(usize, usize)> =
            self.pairs.iter().map(|p| (p.first, p.second)).collect();
        for group in &self.groups {
            for (at, &a) in group.faces.iter().enumerate() {
                links.extend(group.faces[at + 1..].iter().map(|&b| (a, b)));
            }
        }
        thin_order(&weight, &links)
    }

    /// The scopes of the buckets in the order of elimination.
    fn scopes(&self, order: &[usize]) -> Vec<Vec<usize>> {
        let mut place = vec![0; order.len()];
        for (k, &face) in order.iter().enumerate() {
            place[face] = k;
        }
        let mut rest: Vec<Vec<usize>> = vec![Vec::new(); order.len()];
        for pair in &self.pairs {
            let (a, b) = (place[pair.first], place[pair.second]);
            let (low, high) = (a.min(b), a.max(b));
            rest[low].push(order[high]);
        }
        for group in &self.groups {
            let mut places: Vec<usize> = group.faces.iter().map(|&f| place[f]).collect();
            places.sort_unstable();
            let low = places[0];
            rest[low].extend(places[1..].iter().map(|&p| order[p]));
        }
        for k in 0..order.len() {
            let mut scope = std::mem::take(&mut rest[k]);
            scope.sort_by_key(|&f| place[f]);
            scope.dedup();
            if let Some(&next) = scope.first() {
                let inherited: Vec<usize> = scope[1..].to_vec();
                rest[place[next]].extend(inherited);
            }
            rest[k] = scope;
        }
        order
            .iter()
            .zip(rest)
            .map(|(&face, scope)| std::iter::once(face).chain(scope).collect())
            .collect()
    }

    /// How large the tables are that elimination would need.
    pub(super) fn size(&self) -> Size {
        let mut size = Size::default();
        for scope in self.scopes(&self.order()) {
            let cells = scope
                .iter()
                .fold(1_usize, |n, &f| n.saturating_mul(self.alone[f].len()));
            size.in_all = size.in_all.saturating_add(cells);
            if cells > size.largest || (cells == size.largest && scope < size.faces_of_largest) {
                (size.largest, size.faces_of_largest) = (cells, scope);
            }
        }
        size
    }

    /// Solves it exactly.
    pub(super) fn solve(&self) -> Solved {
        let order = self.order();
        let scopes = self.scopes(&order);
        let mut bucket_of = vec![0; order.len()];
        for (k, &face) in order.iter().enumerate() {
            bucket_of[face] = k;
        }
        let mut buckets: Vec<Bucket> = scopes
            .into_iter()
            .map(|scope| {
                let sizes: Vec<usize> = scope.iter().map(|&f| self.alone[f].len()).collect();
                Bucket {
                    parent: scope.get(1).map(|&f| bucket_of[f]),
                    table: vec![0.0; sizes.iter().product()],
                    scope,
                    sizes,
                    ..Bucket::default()
                }
            })
            .collect();
        for (face, table) in self.alone.iter().enumerate() {
            buckets[bucket_of[face]].add(&[face], table);
        }
        for pair in &self.pairs {
            let k = bucket_of[pair.first].min(bucket_of[pair.second]);
            buckets[k].add(&[pair.first, pair.second], &pair.table);
        }
        for group in &self.groups {
            if let Some(k) = group.faces.iter().map(|&f| bucket_of[f]).min() {
                buckets[k].add(&group.faces, &group.table);
            }
        }
        send_up(&mut buckets);
        send_down(&mut buckets);
        let mut solved = Solved {
            buckets,
            bucket_of,
            best: vec![0; order.len()],
        };
        solved.best = solved.decode_from_roots();
        solved
    }
}

fn send_up(buckets: &mut [Bucket]) {
    for k in 0..buckets.len() {
        let rest: usize = buckets[k].sizes[1..].iter().product();
        let mut up = vec![f64::INFINITY; rest];
        for slab in buckets[k].table.chunks_exact(rest) {
            for (least, &cost) in up.iter_mut().zip(slab) {
                *least = least.min(cost);
            }
        }
        if let Some(parent) = buckets[k].parent {
            let scope = buckets[k].scope[1..].to_vec();
            buckets[parent].add(&scope, &up);
            buckets[parent].children.push(k);
        }
        buckets[k].up = up;
    }
}

fn send_down(buckets: &mut [Bucket]) {
    for k in (0..buckets.len()).rev() {
        let rest: usize = buckets[k].sizes[1..].iter().product();
        if let Some(parent) = buckets[k].parent {
            let scope = buckets[k].scope[1..].to_vec();
            let mut down = buckets[parent].minimum_over(&scope);
            // The parent's belief holds this bucket's own message; what remains is the rest of the tree.
            for (d, up) in down.iter_mut().zip(&buckets[k].up) {
                *d -= up;
            }
            buckets[k].down = down;
        } else {
            buckets[k].down = vec![0.0; rest];
        }
        // From here on the table is the belief: the cheapest whole solution with the scope as given.
        let down = buckets[k].down.clone();
        for slab in buckets[k].table.chunks_exact_mut(rest) {
            for (cost, d) in slab.iter_mut().zip(&down) {
                *cost += d;
            }
        }
    }
}

/// A run of cells of a table, and the cell of the factor that goes with its first one. With each cell the factor moves on by
/// `stride`.
struct Run {
    cells: std::ops::Range<usize>,
    other: usize,
    stride: usize,
}

/// Calls `visit` for all cells of a table with these sizes, in order, run by run: the strides are those of a factor.
fn walk(sizes: &[usize], strides: &[usize], mut visit: impl FnMut(Run)) {
    let mut axes = merged(sizes, strides);
    let (length, stride) = axes.pop().unwrap_or((1, 0));
    let mut digits = vec![0; axes.len()];
    let (mut cell, mut other) = (0, 0);
    for _ in 0..axes.iter().map(|axis| axis.0).product() {
        visit(Run {
            cells: cell..cell + length,
            other,
            stride,
        });
        cell += length;
        for (digit, &(size, stride)) in digits.iter_mut().zip(&axes).rev() {
            *digit += 1;
            other += stride;
            if *digit < size {
                break;
            }
            other -= stride * size;
            *digit = 0;
        }
    }
}

/// The axes of a table as (size, stride of the factor); neighbours along which the factor moves on evenly are one.
fn merged(sizes: &[usize], strides: &[usize]) -> Vec<(usize, usize)> {
    let mut axes: Vec<(usize, usize)> = Vec::with_capacity(sizes.len());
    for (&size, &stride) in sizes.iter().zip(strides) {
        match axes.last_mut() {
            Some(last) if last.1 == stride * size => *last = (last.0 * size, stride),
            _ => axes.push((size, stride)),
        }
    }
    axes
}

impl Bucket {
    /// Strides of a factor over `faces` along this bucket's scope; faces outside the factor have stride 0.
    fn strides(&self, faces: &[usize]) -> Vec<usize> {
        let size = |face: usize| {
            self.scope
                .iter()
                .position(|&f| f == face)
                .map_or(1, |at| self.sizes[at])
        };
        let mut strides = vec![0; self.scope.len()];
        let mut step = 1;
        for &face in faces.iter().rev() {
            if let Some(at) = self.scope.iter().position(|&f| f == face) {
                strides[at] = step;
            }
            step *= size(face);
        }
        strides
    }

    fn add(&mut self, faces: &[usize], factor: &[f64]) {
        let strides = self.strides(faces);
        let table = &mut self.table;
        walk(&self.sizes, &strides, |run| {
            let cells = &mut table[run.cells];
            match run.stride {
                0 => cells.iter_mut().for_each(|cell| *cell += factor[run.other]),
                1 => cells
                    .iter_mut()
                    .zip(&factor[run.other..])
                    .for_each(|(cell, cost)| *cell += cost),
                stride => cells
                    .iter_mut()
                    .zip(factor[run.other..].iter().step_by(stride))
                    .for_each(|(cell, cost)| *cell += cost),
            }
        });
    }

    /// The minimum of the table over everything outside `faces`.
    fn minimum_over(&self, faces: &[usize]) -> Vec<f64> {
        let strides = self.strides(faces);
        let cells: usize = faces
            .iter()
            .filter_map(|f| self.scope.iter().position(|s| s == f))
            .map(|at| self.sizes[at])
            .product();
        let mut least = vec![f64::INFINITY; cells];
        walk(&self.sizes, &strides, |run| {
            let cells = &self.table[run.cells];
            match run.stride {
                0 => least[run.other] = cells.iter().copied().fold(least[run.other], f64::min),
                1 => cells
                    .iter()
                    .zip(&mut least[run.other..])
                    .for_each(|(&cell, least)| *least = least.min(cell)),
                stride => cells
                    .iter()
                    .zip(least[run.other..].iter_mut().step_by(stride))
                    .for_each(|(&cell, least)| *least = least.min(cell)),
            }
        });
        least
    }

    /// The cheapest cell that agrees with what is fixed, as candidates along the scope.
    fn cheapest(&self, fixed: &[Option<usize>]) -> Vec<usize> {
        let mut best = (f64::INFINITY, vec![0; self.sizes.len()]);
        let mut digits: Vec<usize> = fixed.iter().map(|f| f.unwrap_or(0)).collect();
        loop {
            let cell = digits
                .iter()
                .zip(&self.sizes)
                .fold(0, |cell, (&digit, &size)| cell * size + digit);
            if self.table[cell] < best.0 {
                best = (self.table[cell], digits.clone());
            }
            let mut at = digits.len();
            loop {
                if at == 0 {
                    return best.1;
                }
                at -= 1;
                if fixed[at].is_some() {
                    continue;
                }
                digits[at] += 1;
                if digits[at] < self.sizes[at] {
                    break;
                }
                digits[at] = 0;
            }
        }
    }
}

impl Solved {
    fn decode_from_roots(&self) -> Choice {
        let mut choice: Vec<Option<usize>> = vec![None; self.bucket_of.len()];
        for bucket in self.buckets.iter().rev() {
            let fixed: Vec<Option<usize>> = bucket.scope.iter().map(|&f| choice[f]).collect();
            for (&face, digit) in bucket.scope.iter().zip(bucket.cheapest(&fixed)) {
                choice[face] = Some(digit);
            }
        }
        choice.into_iter().map(|c| c.unwrap_or(0)).collect()
    }

    /// For every candidate of a face the cost of the cheapest choice that has it.
    pub(super) fn least_with(&self, face: usize) -> Vec<f64> {
        self.buckets[self.bucket_of[face]].minimum_over(&[face])
    }

    /// The cheapest choice with one face forced. Only the part of the tree that differs from the best choice is
    /// walked.
    ///
    /// Returns what changes: (face, candidate), rising faces.
    pub(super) fn forced(&self, face: usize, candidate: usize) -> Vec<(usize, usize)> {
        let mut changed: BTreeMap<usize, usize> = BTreeMap::new();
        let start = self.bucket_of[face];
        let mut fixed: Vec<Option<usize>> = vec![None; self.buckets[start].scope.len()];
        fixed[0] = Some(candidate);
        self.settle(start, &fixed, &mut changed);
        // (bucket to settle, bucket it is reached from)
        let mut open = vec![start];
        let mut done = vec![start];
        while let Some(from) = open.pop() {
            let bucket = &self.buckets[from];
            let near = bucket.children.iter().copied().chain(bucket.parent);
            for next in near {
                if done.contains(&next) {
                    continue;
                }
                let shared = if bucket.parent == Some(next) {
                    &bucket.scope[1..]
                } else {
                    &self.buckets[next].scope[1..]
                };
                let same = shared
                    .iter()
                    .all(|f| changed.get(f).is_none_or(|&c| c == self.best[*f]));
                if same {
                    continue;
                }
                let fixed: Vec<Option<usize>> = self.buckets[next]
                    .scope
                    .iter()
                    .map(|f| {
                        changed
                            .get(f)
                            .copied()
                            .or(shared.contains(f).then(|| self.best[*f]))
                    })
                    .collect();
                self.settle(next, &fixed, &mut changed);
                done.push(next);
                open.push(next);
            }
        }
        changed.retain(|&f, c| self.best[f] != *c);
        changed.into_iter().collect()
    }

    fn settle(&self, bucket: usize, fixed: &[Option<usize>], changed: &mut BTreeMap<usize, usize>) {
        let digits = self.buckets[bucket].cheapest(fixed);
        for (&face, digit) in self.buckets[bucket].scope.iter().zip(digits) {
            changed.insert(face, digit);
        }
    }
}
