//! A roof too long for one sheet at a scale that can be read, divided into parts for a sheet each. The parts meet in match
//! lines, which run where they cut the fewest edges and no opening.

use super::chain::Chain;
use super::details::Part;
use super::scale::DrawingScale;
use crate::geometry::{Point, Vector};
use crate::report::{OutputUnits, Report};

/// A whole roof is not drawn smaller than this on its own: 1/16 in to the foot, the smallest of the architect's scales,
/// and the metric scale next to it.
const SMALLEST_RATIO_FT: f64 = 192.0;
const SMALLEST_RATIO_M: f64 = 250.0;
/// A cut lies at most so much of a part's room from where it would divide evenly.
const PLAY: f64 = 0.3;
/// Places tried for a cut.
const TRIES: u32 = 96;
/// What it costs to cut an opening, to run along an edge, and to be half a room off an even division; an edge cut costs 1.
const OPENING_COST: f64 = 20.0;
const ALONG_COST: f64 = 6.0;
const UNEVEN_COST: f64 = 2.0;
/// A cut this near to an edge that runs its way cannot be told from it, in feet.
const ALONG_FT: f64 = 1.5;

/// The ratio under which a roof's lengths cannot be read.
pub(crate) const fn smallest_ratio(units: OutputUnits) -> f64 {
    match units {
        OutputUnits::Feet => SMALLEST_RATIO_FT,
        OutputUnits::Metres => SMALLEST_RATIO_M,
    }
}

/// One part of a divided roof.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Section {
    pub(crate) part: Part,
    /// Column from the left, row from the top.
    at: (usize, usize),
}

/// The parts of a divided roof, as read: from the top left.
#[derive(Clone, Debug)]
pub(crate) struct Division {
    pub(crate) scale: DrawingScale,
    pub(crate) sections: Vec<Section>,
}

/// Where two sections meet, from an end of the line to the other, in plan feet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meeting {
    pub(crate) ends: (Point, Point),
    /// Index of the section beyond.
    pub(crate) other: usize,
    /// Points to the section beyond.
    pub(crate) beyond: Vector,
}

impl Division {
    /// Divides a roof for sheets with so much room, in mm; `None` where it fits one of them at a scale that can be read.
    pub(crate) fn of(
        report: &Report<'_>,
        chains: &[Chain],
        (low, high): (Point, Point),
        room: (f64, f64),
    ) -> Option<Self> {
        let smallest = smallest_ratio(report.units());
        let size = high - low;
        if DrawingScale::fitting(report.units(), size, room.0, room.1).ratio <= smallest {
            return None;
        }
        let counts = |scale: &DrawingScale| {
            let k = scale.mm_per_foot();
            let count = |feet: f64, mm: f64| (feet * k / mm).ceil().max(1.0) as usize;
            (count(size.x, room.0), count(size.y, room.1))
        };
        // As large as the same number of sheets allows.
        let all = DrawingScale::standard(report.units());
        let least = all.iter().rfind(|scale| scale.ratio <= smallest)?;
        let (columns, rows) = counts(least);
        let scale = *all
            .iter()
            .find(|scale| counts(scale).0 * counts(scale).1 <= columns * rows)?;
        let (columns, rows) = counts(&scale);
        let k = scale.mm_per_foot();
        let xs = cuts(report, chains, (low.x, high.x), room.0 / k, columns, false);
        let ys = cuts(report, chains, (low.y, high.y), room.1 / k, rows, true);
        let mut sections = Vec::new();
        for row in (0..rows).rev() {
            for column in 0..columns {
                let part = Part {
                    low: Point::new(xs[column], ys[row]),
                    high: Point::new(xs[column + 1], ys[row + 1]),
                };
                let seen = |c: &Chain| {
                    let area = part.area();
                    area.clip_segment(c.start.plan(), c.end.plan()).is_some()
                };
                if chains.iter().any(seen) {
                    let at = (column, rows - 1 - row);
                    sections.push(Section { part, at });
                }
            }
        }
        Some(Self { scale, sections })
    }

    /// The match lines of a section.
    pub(crate) fn meetings(&self, index: usize) -> Vec<Meeting> {
        let Section { part, at } = self.sections[index];
        let (low, high) = (part.low, part.high);
        let corner = [
            low,
            Point::new(high.x, low.y),
            high,
            Point::new(low.x, high.y),
        ];
        // Below, right, above, left.
        let sides = [(0, 1), (1, 0), (0, -1), (-1, 0)];
        let mut meetings = Vec::new();
        for (i, (right, down)) in sides.into_iter().enumerate() {
            let beyond = (
                at.0.checked_add_signed(right),
                at.1.checked_add_signed(down),
            );
            let (Some(column), Some(row)) = beyond else {
                continue;
            };
            let other = self.sections.iter().position(|s| s.at == (column, row));
            if let Some(other) = other {
                meetings.push(Meeting {
                    ends: (corner[i], corner[(i + 1) % 4]),
                    other,
                    beyond: Vector::new(right as f64, -down as f64),
                });
            }
        }
        meetings
    }
}

/// The borders of `count` parts between two places along x, or along y where `upright`, each at most `room` feet long.
fn cuts(
    report: &Report<'_>,
    chains: &[Chain],
    (low, high): (f64, f64),
    room: f64,
    count: usize,
    upright: bool,
) -> Vec<f64> {
    let along = |p: Point| if upright { p.y } else { p.x };
    let cost = |at: f64| {
        let edges: f64 = chains
            .iter()
            .map(|c| {
                let (a, b) = (along(c.start.plan()), along(c.end.plan()));
                let square = (a - b).abs() < ALONG_FT && c.plan_ft > 2.0 * ALONG_FT;
                if square && (a - at).abs() < ALONG_FT {
                    ALONG_COST
                } else {
                    f64::from(u8::from(a.min(b) < at && at < a.max(b)))
                }
            })
            .sum();
        let openings = report.roof().openings.iter().filter(|o| {
            let ends = o.outline.iter().map(|&p| along(p));
            let (from, to) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            });
            from - ALONG_FT < at && at < to + ALONG_FT
        });
        edges + OPENING_COST * openings.count() as f64
    };
    let mut borders = vec![low];
    for i in 1..count {
        let even = low + (high - low) * i as f64 / count as f64;
        // What is left must still fit the parts that are left.
        let before = borders.last().copied().unwrap_or(low);
        let least = (high - (count - i) as f64 * room).max(even - PLAY * room);
        let most = (before + room).min(even + PLAY * room);
        let best = (0..=TRIES)
            .map(|k| least + (most - least) * f64::from(k) / f64::from(TRIES))
            .map(|at| (cost(at) + UNEVEN_COST * 2.0 * (at - even).abs() / room, at))
            .reduce(|best, next| if next.0 < best.0 { next } else { best });
        borders.push(best.map_or(even, |(_, at)| at));
    }
    borders.push(high);
    borders
}
