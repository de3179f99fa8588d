//! Text that was turned into shapes: recognised, so that it is neither taken for roof lines nor passed over in silence.

use super::extent::Extent;
use super::shape::Shape;
use crate::geometry::{Point, Sets};

/// A run of letters drawn as shapes.
#[derive(Clone, Debug)]
pub(super) struct Outlined {
    /// The shapes, by number.
    pub(super) shapes: Vec<usize>,
    /// Its middle in drawing units.
    pub(super) middle: Point,
}

/// Letters are smaller than this part of the drawing.
const LETTER_OF_DRAWING: f64 = 0.06;
/// A run has at least so many letters.
const FEWEST: usize = 3;

struct Letter {
    shape: usize,
    extent: Extent,
    corners: usize,
}

/// Finds runs of small filled outlines that stand close together as letters do.
pub(super) fn find(shapes: &[Shape], out: impl Fn(usize) -> bool) -> Vec<Outlined> {
    let Some(all) = shapes
        .iter()
        .filter_map(Extent::of_shape)
        .reduce(Extent::union)
    else {
        return Vec::new();
    };
    let mut letters: Vec<Letter> = Vec::new();
    for (i, shape) in shapes.iter().enumerate() {
        if out(i) || !shape.filled_only() {
            continue;
        }
        letters.extend(letters_of(i, shape, all.size() * LETTER_OF_DRAWING));
    }
    letters.sort_by(|a, b| {
        a.extent
            .low
            .x
            .total_cmp(&b.extent.low.x)
            .then(a.shape.cmp(&b.shape))
    });
    let groups = grouped(&letters);
    groups
        .into_iter()
        .filter_map(|g| run(&g, &letters))
        .collect()
}

/// The outlines of a shape, when all are as small as letters.
fn letters_of(index: usize, shape: &Shape, largest: f64) -> Vec<Letter> {
    let all: Option<Vec<Letter>> = shape
        .outlines
        .iter()
        .map(|o| {
            let extent = Extent::of_points(o.all_points())?;
            (extent.size() <= largest && extent.size() > 0.0).then_some(Letter {
                shape: index,
                extent,
                corners: o.pieces.len(),
            })
        })
        .collect();
    all.unwrap_or_default()
}

/// Letters whose gaps are smaller than their size, as lists of numbers.
fn grouped(letters: &[Letter]) -> Vec<Vec<usize>> {
    let mut sets = Sets::new(letters.len());
    let widest = letters.iter().map(|l| l.extent.size()).fold(0.0, f64::max);
    for i in 0..letters.len() {
        let a = &letters[i].extent;
        for (j, letter) in letters.iter().enumerate().skip(i + 1).take(200) {
            let b = &letter.extent;
            if b.low.x > a.high.x + widest {
                break;
            }
            if a.gap(b) < 0.5 * a.size().max(b.size()) {
                sets.join(i, j);
            }
        }
    }
    let mut groups: std::collections::BTreeMap<usize, Vec<usize>> =
        std::collections::BTreeMap::new();
    for i in 0..letters.len() {
        groups.entry(sets.find(i)).or_default().push(i);
    }
    groups.into_values().collect()
}

/// A group is a run of letters when it is long enough and at least one outline has more corners than any arrow head.
fn run(group: &[usize], letters: &[Letter]) -> Option<Outlined> {
    let detailed = group.iter().filter(|&&i| letters[i].corners > 5).count();
    if group.len() < FEWEST || detailed == 0 {
        return None;
    }
    let extent = group
        .iter()
        .map(|&i| letters[i].extent)
        .reduce(Extent::union)?;
    let mut shapes: Vec<usize> = group.iter().map(|&i| letters[i].shape).collect();
    shapes.sort_unstable();
    shapes.dedup();
    Some(Outlined {
        shapes,
        middle: extent.middle(),
    })
}
