//! A uniform grid over a part of the plane, and the cells that a convex shape covers.

/// The smallest upright rectangle round some points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub(super) low: (f64, f64),
    pub(super) high: (f64, f64),
}

impl Default for Bounds {
    fn default() -> Self {
        Self {
            low: (f64::INFINITY, f64::INFINITY),
            high: (f64::NEG_INFINITY, f64::NEG_INFINITY),
        }
    }
}

impl Bounds {
    pub(super) fn take(&mut self, p: (f64, f64)) {
        self.low = (self.low.0.min(p.0), self.low.1.min(p.1));
        self.high = (self.high.0.max(p.0), self.high.1.max(p.1));
    }
}

/// The grid. Whatever lies beyond it counts to its outermost cells.
#[derive(Default)]
pub(super) struct Grid {
    origin: (f64, f64),
    cell: f64,
    columns: usize,
    rows: usize,
    /// The cells of the last shape asked for.
    pub(super) cells: Vec<u32>,
    reached: Vec<(f64, f64)>,
}

impl Grid {
    /// Lays cells of about the size `wish`, but not many more than four for each of `count` things.
    pub(super) fn lay(&mut self, bounds: &Bounds, wish: f64, count: usize) {
        let (width, height) = (bounds.high.0 - bounds.low.0, bounds.high.1 - bounds.low.1);
        let count = count.max(1) as f64;
        self.origin = bounds.low;
        self.cell = wish
            .max((width * height / (4.0 * count)).sqrt())
            .max(width.max(height) / (4.0 * count))
            .max(1e-6);
        self.columns = (width / self.cell) as usize + 1;
        self.rows = (height / self.cell) as usize + 1;
    }
    pub(super) fn cell(&self) -> f64 {
        self.cell
    }
    /// The number of cells.
    pub(super) fn len(&self) -> usize {
        self.columns * self.rows
    }
    fn column_of(&self, x: f64) -> usize {
        (((x - self.origin.0) / self.cell).max(0.0) as usize).min(self.columns - 1)
    }
    fn row_of(&self, y: f64) -> usize {
        (((y - self.origin.1) / self.cell).max(0.0) as usize).min(self.rows - 1)
    }

    /// The cells that the hull of some points covers, row by row, into `self.cells`.
    pub(super) fn cover(&mut self, points: &[(f64, f64)]) {
        self.cells.clear();
        let mut bounds = Bounds::default();
        for &p in points {
            bounds.take(p);
        }
        let (first, last) = (self.row_of(bounds.low.1), self.row_of(bounds.high.1));
        let (left, right) = (self.column_of(bounds.low.0), self.column_of(bounds.high.0));
        if first == last || left == right {
            for row in first..=last {
                for column in left..=right {
                    self.cells.push((row * self.columns + column) as u32);
                }
            }
            return;
        }
        self.reached.clear();
        self.reached
            .resize(last - first + 1, (f64::INFINITY, f64::NEG_INFINITY));
        for (i, &a) in points.iter().enumerate() {
            for &b in &points[i + 1..] {
                self.reach(a, b, first);
            }
        }
        for row in first..=last {
            let (from, to) = self.reached[row - first];
            for column in self.column_of(from)..=self.column_of(to) {
                self.cells.push((row * self.columns + column) as u32);
            }
        }
    }

    /// Widens the reached part of every row that the segment from a to b passes through.
    fn reach(&mut self, a: (f64, f64), b: (f64, f64), first: usize) {
        let (low, high) = if a.1 <= b.1 { (a, b) } else { (b, a) };
        let (from, to) = (self.row_of(low.1), self.row_of(high.1));
        let rise = high.1 - low.1;
        let slope = if rise > 0.0 {
            (high.0 - low.0) / rise
        } else {
            0.0
        };
        // A hair more, for rounding at the borders of cells.
        let hair = self.cell * 1e-6;
        for row in from..=to {
            let bottom = self.origin.1 + row as f64 * self.cell;
            let x_at = |y: f64| low.0 + (y - low.1) * slope;
            // The lowest and highest rows also hold what lies beyond the grid.
            let enter = if row == from { low.0 } else { x_at(bottom) };
            let leave = if row == to {
                high.0
            } else {
                x_at(bottom + self.cell)
            };
            let reached = &mut self.reached[row - first];
            reached.0 = reached.0.min(enter.min(leave) - hair);
            reached.1 = reached.1.max(enter.max(leave) + hair);
        }
    }
}
