//! An order of elimination that keeps the fill small.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Always the unknown with the least weight of itself and its neighbours (minimum degree, weighted). `weight[i]` is positive;
/// ties go to the lower number.
pub(in crate::roof::solve) fn thin_order(weight: &[f64], links: &[(usize, usize)]) -> Vec<usize> {
    let mut near = neighbours(weight.len(), links);
    // Positive floats order like their bits.
    let size = |near: &[Vec<usize>], i: usize| {
        (weight[i] + near[i].iter().map(|&j| weight[j]).sum::<f64>()).to_bits()
    };
    let mut sizes: Vec<u64> = (0..weight.len()).map(|i| size(&near, i)).collect();
    let mut queue: BinaryHeap<Reverse<(u64, usize)>> = sizes
        .iter()
        .enumerate()
        .map(|(i, &size)| Reverse((size, i)))
        .collect();
    let mut done = vec![false; weight.len()];
    let mut order = Vec::with_capacity(weight.len());
    let mut joined = Vec::new();
    while let Some(Reverse((least, i))) = queue.pop() {
        // Entries of sizes that have changed since stay in the queue.
        if done[i] || sizes[i] != least {
            continue;
        }
        done[i] = true;
        order.push(i);
        let around = std::mem::take(&mut near[i]);
        for &j in &around {
            join(&near[j], &around, (i, j), &mut joined);
            near[j].clone_from(&joined);
        }
        for &j in &around {
            sizes[j] = size(&near, j);
            queue.push(Reverse((sizes[j], j)));
        }
    }
    order
}

/// The neighbours of every unknown, rising.
fn neighbours(count: usize, links: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let mut near = vec![Vec::new(); count];
    for &(a, b) in links.iter().filter(|(a, b)| a != b) {
        near[a].push(b);
        near[b].push(a);
    }
    for list in &mut near {
        list.sort_unstable();
        list.dedup();
    }
    near
}

/// Both rising lists in one, rising, without these two.
fn join(a: &[usize], b: &[usize], without: (usize, usize), joined: &mut Vec<usize>) {
    joined.clear();
    let (mut a, mut b) = (a.iter().peekable(), b.iter().peekable());
    loop {
        let next = match (a.peek(), b.peek()) {
            (Some(&&x), Some(&&y)) => {
                if x <= y {
                    a.next();
                }
                if y <= x {
                    b.next();
                }
                x.min(y)
            }
            (Some(&&x), None) => {
                a.next();
                x
            }
            (None, Some(&&y)) => {
                b.next();
                y
            }
            (None, None) => return,
        };
        if next != without.0 && next != without.1 {
            joined.push(next);
        }
    }
}
