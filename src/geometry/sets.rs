//! Disjoint sets.

/// Sets of numbers that are joined and never parted.
#[derive(Clone, Debug)]
pub(crate) struct Sets {
    parent: Vec<usize>,
}

impl Sets {
    /// Every number alone.
    pub(crate) fn new(count: usize) -> Self {
        Self {
            parent: (0..count).collect(),
        }
    }
    /// The name of the set that a number is in: its smallest member.
    pub(crate) fn find(&mut self, mut x: usize) -> usize {
        while self.parent[x] != x {
            self.parent[x] = self.parent[self.parent[x]];
            x = self.parent[x];
        }
        x
    }
    /// Makes two sets one. The smaller name stays, so that the result does not depend on the order.
    pub(crate) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        let (low, high) = (a.min(b), a.max(b));
        self.parent[high] = low;
    }
    /// For each number the number of its set, counted from 0 in order of the sets' smallest members.
    pub(crate) fn numbered(&mut self) -> Vec<usize> {
        let mut number = vec![usize::MAX; self.parent.len()];
        let mut next = 0;
        for x in 0..self.parent.len() {
            let root = self.find(x);
            if number[root] == usize::MAX {
                number[root] = next;
                next += 1;
            }
            number[x] = number[root];
        }
        number
    }
}
