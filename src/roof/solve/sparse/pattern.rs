//! Where the factor of symmetric equations has entries: worked out once, by blocks of unknowns that occur together.

/// The places of the entries of a factor.
///
/// Unknowns come in blocks (a corner's two coordinates, a face's gradient and height) and are numbered block by block.
/// A place is an unknown's number in the order of elimination.
#[derive(Clone, Debug)]
pub(in crate::roof::solve) struct Pattern {
    /// By block: its unknowns from .. to.
    unknowns: Vec<usize>,
    /// By block: its first place.
    first: Vec<usize>,
    /// By block in the order of elimination: how many unknowns it has, and the places before it.
    sizes: Vec<usize>,
    places: Vec<usize>,
    /// By block in that order: the later blocks that its columns reach.
    below: Lists,
    /// ... and how many entries of such a column come before those of each of them.
    ahead: Vec<usize>,
    /// By block in that order: the earlier blocks that reach it.
    before: Lists,
    /// By block: its number in that order.
    rank: Vec<usize>,
    /// The rows below the diagonal, column by column.
    pub(super) rows: Lists,
}

/// Lists of numbers end to end.
#[derive(Clone, Debug, Default)]
pub(super) struct Lists {
    pub(super) start: Vec<usize>,
    pub(super) items: Vec<usize>,
}

impl Lists {
    fn of(lists: &[Vec<usize>]) -> Self {
        let mut flat = Self {
            start: vec![0],
            items: Vec::with_capacity(lists.iter().map(Vec::len).sum()),
        };
        for list in lists {
            flat.items.extend(list);
            flat.start.push(flat.items.len());
        }
        flat
    }

    pub(super) fn range(&self, at: usize) -> std::ops::Range<usize> {
        self.start[at]..self.start[at + 1]
    }

    pub(super) fn get(&self, at: usize) -> &[usize] {
        &self.items[self.range(at)]
    }
}

impl Pattern {
    /// Blocks of so many unknowns; `links` are pairs of blocks that occur in one observation, `order[k]` is the block that is
    /// eliminated k-th.
    pub(in crate::roof::solve) fn new(
        sizes: &[usize],
        links: &[(usize, usize)],
        order: &[usize],
    ) -> Self {
        let mut rank = vec![0; order.len()];
        for (k, &block) in order.iter().enumerate() {
            rank[block] = k;
        }
        let (below, before) = filled(&rank, links);
        let sizes_in_order: Vec<usize> = order.iter().map(|&b| sizes[b]).collect();
        let places = running(&sizes_in_order);
        let mut pattern = Self {
            unknowns: running(sizes),
            first: rank.iter().map(|&k| places[k]).collect(),
            ahead: Vec::with_capacity(below.items.len()),
            sizes: sizes_in_order,
            places,
            below,
            before,
            rank,
            rows: Lists::default(),
        };
        pattern.expand();
        pattern
    }

    /// The rows of every single column.
    fn expand(&mut self) {
        self.rows.start.push(0);
        for (k, &size) in self.sizes.iter().enumerate() {
            let mut ahead = 0;
            for &later in self.below.get(k) {
                self.ahead.push(ahead);
                ahead += self.sizes[later];
            }
            let own = self.places[k]..self.places[k] + size;
            for column in own.clone() {
                self.rows.items.extend(column + 1..own.end);
                for &later in self.below.get(k) {
                    let from = self.places[later];
                    self.rows.items.extend(from..from + self.sizes[later]);
                }
                self.rows.start.push(self.rows.items.len());
            }
        }
    }

    /// How many unknowns there are.
    pub(super) fn count(&self) -> usize {
        self.unknowns.last().copied().unwrap_or(0)
    }

    /// How many blocks there are.
    pub(in crate::roof::solve) fn blocks(&self) -> usize {
        self.sizes.len()
    }

    /// The unknowns of a block.
    pub(super) fn unknowns_of(&self, block: usize) -> std::ops::Range<usize> {
        self.unknowns[block]..self.unknowns[block + 1]
    }

    /// The first place of a block.
    pub(super) fn place_of(&self, block: usize) -> usize {
        self.first[block]
    }

    /// The places of the block that is eliminated k-th, and the blocks before it that reach it.
    pub(super) fn reached(&self, k: usize) -> (std::ops::Range<usize>, &[usize]) {
        (self.places_at(k), self.before.get(k))
    }

    /// The places of the block that is eliminated k-th.
    pub(super) fn places_at(&self, k: usize) -> std::ops::Range<usize> {
        self.places[k]..self.places[k] + self.sizes[k]
    }

    /// Where the entries of a pair of unknowns of one block lie: columns and rows by their numbers in the block, row
    /// after column.
    pub(super) fn own_slot(&self, block: usize, column: usize, row: usize) -> usize {
        self.rows.start[self.first[block] + column] + row - column - 1
    }

    /// Where the entries of two blocks lie; `None` where no link joins them.
    pub(super) fn between(&self, a: usize, b: usize) -> Option<Between> {
        let (early, late) = (
            self.rank[a].min(self.rank[b]),
            self.rank[a].max(self.rank[b]),
        );
        let found = self.below.get(early).binary_search(&late).ok()?;
        Some(Between {
            first_column: self.places[early],
            size: self.sizes[early],
            ahead: self.ahead[self.below.start[early] + found],
            turned: self.rank[a] > self.rank[b],
        })
    }
}

/// Where the entries of two blocks lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Between {
    first_column: usize,
    size: usize,
    ahead: usize,
    /// The second block is the one eliminated first.
    turned: bool,
}

impl Between {
    /// Where the entry of an unknown of the first block and one of the second lies.
    pub(super) fn slot(&self, rows: &Lists, a: usize, b: usize) -> usize {
        let (column, row) = if self.turned { (b, a) } else { (a, b) };
        rows.start[self.first_column + column] + self.size - column - 1 + self.ahead + row
    }
}

/// The sums before each number, and the whole one.
fn running(sizes: &[usize]) -> Vec<usize> {
    let mut sums = vec![0];
    let mut sum = 0;
    for size in sizes {
        sum += size;
        sums.push(sum);
    }
    sums
}

/// Which later blocks each column of blocks reaches once all before it are eliminated, and the other way round. The
/// first block that a column reaches inherits the others.
fn filled(rank: &[usize], links: &[(usize, usize)]) -> (Lists, Lists) {
    let mut below = vec![Vec::new(); rank.len()];
    for &(a, b) in links.iter().filter(|(a, b)| a != b) {
        below[rank[a].min(rank[b])].push(rank[a].max(rank[b]));
    }
    let mut before = vec![Vec::new(); rank.len()];
    for k in 0..rank.len() {
        let mut reached = std::mem::take(&mut below[k]);
        reached.sort_unstable();
        reached.dedup();
        if let Some((&next, others)) = reached.split_first() {
            below[next].extend(others);
        }
        for &later in &reached {
            before[later].push(k);
        }
        below[k] = reached;
    }
    (Lists::of(&below), Lists::of(&before))
}
