//! Ice barrier as it is laid on one face: straight rows up from each of its feet, over the foot's width, and no row where
//! an earlier one lies already.

use super::frame::FlatFace;
use super::ice::rows;
use super::pieces::SHORT_FT;

/// Eaves that differ less than this are one level: three quarters of an inch, in feet.
pub(super) const ONE_LEVEL_FT: f64 = 1.0 / 16.0;
/// Heights and lengths nearer than this are the same, in feet.
pub(super) const HAIR_FT: f64 = 1e-4;
/// What a scrap of either sheet covers, in square feet: common practice, no source.
const SCRAP_SQFT: f64 = 1.0;

/// From where to where something lies along a face, in feet.
pub(super) type Along = (f64, f64);

/// Where barrier begins on a face: at its eaves of one level, or at a pitch change that it comes over from the face below.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Foot {
    pub(super) level: f64,
    /// How far up the slope of this face it reaches from there.
    pub(super) reach: f64,
    pub(super) along: Vec<Along>,
    pub(super) is_eave: bool,
}

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
    /// The area within the reach of the feet, each part of it once, in square feet of true area.
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
    /// Up to where the reach of its foot was counted.
    counted: f64,
    /// Whether it lies on the face below and only ends on this one.
    is_from_below: bool,
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

    /// A row of the face below ends on this one: it covers from a level up to a height.
    pub(super) fn comes_over(&mut self, (left, right): Along, level: f64, top: f64) {
        self.highest = self.highest.max(top);
        self.laid.push(Row {
            left,
            right,
            fresh: level,
            top,
            counted: f64::NEG_INFINITY,
            is_from_below: true,
        });
    }

    /// Lays the rows from all feet, of which the lowest come first.
    pub(super) fn lay(&mut self, feet: &[Foot]) {
        for foot in feet {
            for part in self.parts() {
                self.lay_part(foot, feet, part);
            }
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

    /// The most rows that lie one above the other on this face, without those that come over from the face below.
    pub(super) fn most_rows(&self) -> usize {
        let own = || self.laid.iter().filter(|r| !r.is_from_below);
        let over = |u: f64| own().filter(|r| r.left < u && u < r.right).count();
        own()
            .map(|r| over(r.left + HAIR_FT).max(over(r.right - HAIR_FT)))
            .max()
            .unwrap_or(0)
    }

    /// Whether a row of the face below ends on this one.
    pub(super) fn has_rows_from_below(&self) -> bool {
        self.laid.iter().any(|r| r.is_from_below)
    }

    /// What rows cover beyond a height, part by part between two ends: where, and up to which height.
    pub(super) fn beyond(&self, ends: Along, height: f64) -> Vec<(Along, f64)> {
        let parts = self
            .parts()
            .into_iter()
            .filter(|p| p.top > height + HAIR_FT);
        parts
            .filter_map(|p| Some((common((p.left, p.right), ends)?, p.top)))
            .collect()
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

    /// How wide rows lie over feet: from one eave on to the next where no more than the width of a sheet parts them.
    fn widths(&self, feet: &[&Foot], top: f64) -> Vec<Along> {
        widths(self.flat, feet, top, self.width)
    }

    /// The rows of one part: from the foot, or lapping what covers it already, up to the height wanted.
    fn lay_part(&mut self, foot: &Foot, feet: &[Foot], part: Part) {
        let wanted = foot.level + foot.reach;
        let count_from = part.counted.max(foot.level);
        let part_ends = (part.left, part.right);
        // Nothing is left to cover up to there, or up to the top of the face.
        if part.top > wanted.min(self.flat.highest) - HAIR_FT {
            for ends in within(&self.widths(&[foot], wanted), part_ends) {
                self.net_sqft += self.flat.area_within(ends, count_from, wanted);
            }
            return;
        }
        let start = foot.level.max(part.top - self.lap);
        let mut below = foot.along.clone();
        let mut row = 0.0;
        while row < rows(wanted - start, self.width, self.lap) {
            let from = start + row * (self.width - self.lap);
            let top = from + self.width;
            let (fresh, uncounted) = match row > 0.0 {
                true => (from + self.lap, from + self.lap),
                false => (from.max(part.top), count_from),
            };
            if fresh > self.flat.highest - SHORT_FT {
                self.highest = self.highest.max(top);
            }
            // A row goes on over the eaves that begin beside it before it ends.
            let beside = |f: &&Foot| {
                let begins = f.level > foot.level && f.level < top - HAIR_FT;
                std::ptr::eq(*f, foot) || (foot.is_eave && f.is_eave && begins)
            };
            let feet_here: Vec<&Foot> = feet.iter().filter(beside).collect();
            let widths = self.widths(&feet_here, top);
            let here: Vec<Along> = self
                .flat
                .stretches(from, top)
                .iter()
                .map(|s| (s.left, s.right))
                .filter(|s| below.iter().any(|b| touch(*b, *s)))
                .flat_map(|s| within(&widths, s))
                .collect();
            for ends in within(&here, part_ends) {
                let counted = top.min(wanted);
                self.net_sqft += self
                    .flat
                    .area_within(ends, uncounted, counted.max(uncounted));
                // What only the lap would cover takes no row.
                if self.flat.area_within(ends, fresh, top) < SHORT_FT * (ends.1 - ends.0) {
                    continue;
                }
                self.highest = self.highest.max(top);
                self.rows_ft.push(ends.1 - ends.0);
                self.laid.push(Row {
                    left: ends.0,
                    right: ends.1,
                    fresh,
                    top,
                    counted,
                    is_from_below: false,
                });
            }
            below = here;
            row += 1.0;
        }
    }
}

/// How wide rows that end at a height lie over feet: as wide as these, and on to sides that lean outward from their ends,
/// such as valleys. Where feet lie nearer than a gap, one row lies over both.
pub(super) fn widths(flat: &FlatFace, feet: &[&Foot], top: f64, gap: f64) -> Vec<Along> {
    let mut all: Vec<Along> = feet
        .iter()
        .flat_map(|foot| {
            foot.along.iter().map(|along| {
                let left = flat.outward((along.0, foot.level), top, ONE_LEVEL_FT, f64::min);
                let right = flat.outward((along.1, foot.level), top, ONE_LEVEL_FT, f64::max);
                (left, right)
            })
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<Along> = Vec::new();
    for along in all {
        match joined.last_mut() {
            Some(last) if along.0 < last.1 + gap.max(HAIR_FT) => last.1 = last.1.max(along.1),
            _ => joined.push(along),
        }
    }
    joined
}

/// What of these lies between two ends.
fn within(all: &[Along], ends: Along) -> Vec<Along> {
    all.iter()
        .filter_map(|along| common(*along, ends))
        .collect()
}

/// What two have in common, if more than a hair.
pub(super) fn common(a: Along, b: Along) -> Option<Along> {
    let (left, right) = (a.0.max(b.0), a.1.min(b.1));
    (right - left >= HAIR_FT).then_some((left, right))
}

fn touch(a: Along, b: Along) -> bool {
    a.0 < b.1 + HAIR_FT && b.0 < a.1 + HAIR_FT
}
