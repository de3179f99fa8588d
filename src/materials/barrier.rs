//! Ice barrier as it is laid on one face: straight rows up from each level of its eaves, and no row where an earlier one
//! lies already.

use super::frame::{FlatFace, Stretch};
use super::ice::rows;

/// Eaves that differ less than this are one level: three quarters of an inch, in feet.
pub(super) const ONE_LEVEL_FT: f64 = 1.0 / 16.0;
/// Heights and lengths nearer than this are the same, in feet.
const HAIR_FT: f64 = 1e-4;
/// What a scrap of either sheet covers, in square feet: common practice, no source.
const SCRAP_SQFT: f64 = 1.0;

/// The barrier of one face. All measures in feet of the flat face.
pub(super) struct Barrier<'a> {
    flat: &'a FlatFace,
    width: f64,
    lap: f64,
    laid: Vec<Row>,
    /// How high the highest row ends, beyond the top of the face where the reach goes beyond it.
    highest: f64,
    /// How long each row is, in the order laid.
    pub(super) rows_ft: Vec<f64>,
    /// The area within the reach of the eaves, each part of it once, in square feet of true area.
    pub(super) net_sqft: f64,
}

/// A row laid.
#[derive(Clone, Copy)]
struct Row {
    left: f64,
    right: f64,
    /// From where on it covers what no lower row does.
    fresh: f64,
    top: f64,
    /// Up to where the reach of its eave was counted.
    counted: f64,
}

/// A part of the face along its eaves, and up to where earlier rows cover it and were counted there.
#[derive(Clone, Copy, PartialEq)]
struct Part {
    left: f64,
    right: f64,
    top: f64,
    counted: f64,
}

impl<'a> Barrier<'a> {
    /// Nothing laid yet, of a sheet of a width whose rows lap.
    pub(super) fn new(flat: &'a FlatFace, (width, lap): (f64, f64)) -> Self {
        Self {
            flat,
            width,
            lap,
            laid: Vec::new(),
            highest: f64::NEG_INFINITY,
            rows_ft: Vec::new(),
            net_sqft: 0.0,
        }
    }

    /// Lays the rows from one level of eaves, after those from all lower ones.
    pub(super) fn lay(&mut self, level: f64, reach: f64) {
        for part in self.parts() {
            self.lay_part(level, level + reach, part);
        }
    }

    /// Up to where the barrier covers all of the face but scraps; `None` where it leaves out some of what lies lower than
    /// its top.
    pub(super) fn top(&self) -> Option<f64> {
        let covered: f64 = self
            .laid
            .iter()
            .map(|r| self.flat.area_within((r.left, r.right), r.fresh, r.top))
            .sum();
        let top = self.highest.max(self.flat.lowest);
        let below = self.flat.area(self.flat.lowest, top);
        (below - covered < SCRAP_SQFT).then_some(top)
    }

    /// The face in parts along its eaves, by what covers each already.
    fn parts(&self) -> Vec<Part> {
        let ends = self.flat.sides.iter().flat_map(|s| [s.low.0, s.high.0]);
        let (left, right) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, r), u| {
            (l.min(u), r.max(u))
        });
        let mut cuts: Vec<f64> = self
            .laid
            .iter()
            .flat_map(|r| [r.left, r.right])
            .chain([left, right])
            .collect();
        cuts.sort_by(f64::total_cmp);
        let mut parts: Vec<Part> = Vec::new();
        for pair in cuts.windows(2) {
            let (left, right) = (pair[0], pair[1]);
            let within = |l: f64, r: f64| l < left + HAIR_FT && r > right - HAIR_FT;
            if right - left < HAIR_FT {
                continue;
            }
            let over = || self.laid.iter().filter(|r| within(r.left, r.right));
            let highest = |of: fn(&Row) -> f64| over().map(of).fold(f64::NEG_INFINITY, f64::max);
            let (top, counted) = (highest(|r| r.top), highest(|r| r.counted));
            match parts.last_mut() {
                Some(p) if left - p.right < HAIR_FT && (p.top, p.counted) == (top, counted) => {
                    p.right = right;
                }
                _ => parts.push(Part {
                    left,
                    right,
                    top,
                    counted,
                }),
            }
        }
        parts
    }

    /// The rows of one part: from the eave, or lapping what covers it already, up to the height wanted.
    fn lay_part(&mut self, level: f64, wanted: f64, part: Part) {
        let count_from = part.counted.max(level);
        if part.top > wanted - HAIR_FT {
            let ends = (part.left, part.right);
            self.net_sqft += self.flat.area_within(ends, count_from, wanted);
            return;
        }
        let start = level.max(part.top - self.lap);
        let mut below: Vec<Stretch> = self.flat.eaves_between(level, level + ONE_LEVEL_FT);
        let mut row = 0.0;
        while row < rows(wanted - start, self.width, self.lap) {
            let from = start + row * (self.width - self.lap);
            let top = from + self.width;
            if from >= self.flat.highest {
                self.highest = self.highest.max(top);
            }
            let here: Vec<Stretch> = self
                .flat
                .stretches(from, top)
                .into_iter()
                .filter(|s| below.iter().any(|b| b.touches(s)))
                .collect();
            for stretch in &here {
                let ends = (stretch.left.max(part.left), stretch.right.min(part.right));
                if ends.1 - ends.0 < HAIR_FT {
                    continue;
                }
                let (fresh, uncounted) = match row > 0.0 {
                    true => (from + self.lap, from + self.lap),
                    false => (from.max(part.top), count_from),
                };
                self.highest = self.highest.max(top);
                let counted = top.min(wanted);
                self.net_sqft += self
                    .flat
                    .area_within(ends, uncounted, counted.max(uncounted));
                self.rows_ft.push(ends.1 - ends.0);
                self.laid.push(Row {
                    left: ends.0,
                    right: ends.1,
                    fresh,
                    top,
                    counted,
                });
            }
            below = here;
            row += 1.0;
        }
    }
}
