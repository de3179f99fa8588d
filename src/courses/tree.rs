//! The cheapest layout where the runs that keep away from each other are a tree: columns of runs, each joined by others
//! on its way up. What is below a run then asks of the courses above only where the run and the one over it lie, and
//! the cheapest layout is found course by course for every pair of their places. (Non-serial dynamic programming:
//! Bertelè and Brioschi 1972, from memory.)

use super::path::Stop;

/// Runs as a tree: each has at most one over it that it must keep away from, and of the next course but one at most the
/// one over that.
pub(super) struct Tree<'a> {
    stops: &'a [Stop],
    /// The run over each.
    parents: Vec<Option<usize>>,
    /// The runs under each.
    children: Vec<Vec<Child<'a>>>,
}

/// A run under another.
struct Child<'a> {
    run: usize,
    /// By its places, the places of the run over it that agree, a bit a place.
    agreeing: &'a [u128],
}

/// The least cost of a run and all under it, by the places of the run over it and by its own.
struct Table {
    costs: Vec<f64>,
    /// For every place of the run over it, its own places that there is a layout for, the cheapest first.
    order: Vec<Vec<u8>>,
}

impl Table {
    fn cost(&self, over: usize, own: u8) -> f64 {
        self.costs[over * self.costs.len() / self.order.len() + usize::from(own)]
    }
}

/// Where no place is left.
const NOWHERE: u8 = u8::MAX;

impl<'a> Tree<'a> {
    /// The tree that the runs are; `None` where they are none. Runs under others come first.
    pub(super) fn of(stops: &'a [Stop]) -> Option<Self> {
        let mut parents = vec![None; stops.len()];
        let mut children: Vec<Vec<Child<'a>>> = stops.iter().map(|_| Vec::new()).collect();
        for (run, stop) in stops.iter().enumerate() {
            for near in stop.near.iter().filter(|near| !near.far) {
                if parents[near.run].replace(run).is_some() {
                    return None;
                }
                children[run].push(Child {
                    run: near.run,
                    agreeing: &near.agreeing,
                });
            }
        }
        for (run, stop) in stops.iter().enumerate() {
            for near in stop.near.iter().filter(|near| near.far) {
                if parents[near.run].and_then(|over| parents[over]) != Some(run) {
                    return None;
                }
            }
        }
        Some(Self {
            stops,
            parents,
            children,
        })
    }

    /// The cheapest place of every run, by its number; `None` where there is no layout.
    pub(super) fn cheapest(&self) -> Option<Vec<usize>> {
        let runs = self.stops.len();
        let mut tables: Vec<Option<Table>> = (0..runs).map(|_| None).collect();
        // For every run its cheapest place, by the places of the run over the one over it and of the one over it.
        let mut choices: Vec<Vec<u8>> = vec![Vec::new(); runs];
        for over in 0..runs {
            for child in &self.children[over] {
                tables[child.run] = Some(self.table(over, child, &tables, &mut choices));
            }
            for child in &self.children[over] {
                for below in &self.children[child.run] {
                    tables[below.run] = None;
                }
            }
        }
        let mut chosen = vec![0; runs];
        for run in (0..runs).rev() {
            let parent = self.parents[run];
            let above = parent.and_then(|p| self.parents[p]);
            chosen[run] = match (parent, above) {
                (None, _) => self.cheapest_at_the_top(run, &tables)?,
                (Some(parent), None) => {
                    let order = &tables[run].as_ref()?.order[chosen[parent]];
                    usize::from(*order.first()?)
                }
                (Some(parent), Some(above)) => {
                    let row = chosen[above] * self.stops[parent].places.len();
                    usize::from(choices[run][row + chosen[parent]])
                }
            };
        }
        Some(chosen)
    }

    /// The cheapest place of a run that none is over.
    fn cheapest_at_the_top(&self, run: usize, tables: &[Option<Table>]) -> Option<usize> {
        let cost = |place: usize| {
            let below = self.children[run].iter().map(|child| {
                let table = tables[child.run].as_ref()?;
                let first = *table.order[place].first()?;
                Some(table.cost(place, first))
            });
            let below: f64 = below.sum::<Option<f64>>()?;
            Some((self.stops[run].places[place].0 + below, place))
        };
        (0..self.stops[run].places.len())
            .filter_map(cost)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, place)| place)
    }

    /// What a run and all under it cost, by the places of the run over it, and which places the runs under it then take.
    fn table(
        &self,
        over: usize,
        child: &Child<'_>,
        tables: &[Option<Table>],
        choices: &mut [Vec<u8>],
    ) -> Table {
        let (rows, own) = (&self.stops[over].places, &self.stops[child.run].places);
        let mut costs = vec![f64::INFINITY; rows.len() * own.len()];
        for (costs, bit) in costs.chunks_exact_mut(own.len().max(1)).zip(0..) {
            for ((cost, place), agreeing) in costs.iter_mut().zip(own).zip(child.agreeing) {
                if agreeing & (1 << bit) != 0 {
                    *cost = place.0;
                }
            }
        }
        for below in &self.children[child.run] {
            // Whose tables are there: the runs under this one came before it.
            let Some(table) = &tables[below.run] else {
                continue;
            };
            let far = self.stops[over].far_from(below.run);
            let mut chosen = Vec::with_capacity(costs.len());
            for (at, cost) in costs.iter_mut().enumerate() {
                let (row, place) = (at / own.len(), at % own.len());
                let agrees =
                    |q: &&u8| far.is_none_or(|far| far[usize::from(**q)] & (1 << row) != 0);
                let best = match cost.is_finite() {
                    true => table.order[place].iter().find(agrees).copied(),
                    false => None,
                };
                *cost += best.map_or(f64::INFINITY, |q| table.cost(place, q));
                chosen.push(best.unwrap_or(NOWHERE));
            }
            choices[below.run] = chosen;
        }
        // From row to row little changes in what is cheap.
        let mut sorted: Vec<u8> = (0..own.len() as u8).collect();
        let order = costs
            .chunks_exact(own.len().max(1))
            .map(|costs| {
                let cost = |place: u8| costs[usize::from(place)];
                for end in 1..sorted.len() {
                    let mut at = end;
                    while at > 0 && cost(sorted[at]) < cost(sorted[at - 1]) {
                        sorted.swap(at, at - 1);
                        at -= 1;
                    }
                }
                let possible = sorted.partition_point(|&place| cost(place).is_finite());
                sorted[..possible].to_vec()
            })
            .collect();
        Table { costs, order }
    }
}

#[cfg(test)]
mod tests {
    use super::super::path::Near;
    use super::super::problem::Seat;
    use super::super::random::Random;
    use super::*;

    /// Runs by chance, each under one of the next few; some pairs of places do not agree.
    fn by_chance(random: &mut Random, runs: usize, places: usize) -> Vec<Stop> {
        let parents: Vec<usize> = (0..runs)
            .map(|run| run + 1 + random.below(2.min(runs - run)))
            .collect();
        let sets = |random: &mut Random| -> Vec<u128> {
            let mut set =
                || (0..places).fold(0, |s, bit| s | u128::from(random.below(5) > 0) << bit);
            (0..places).map(|_| set()).collect()
        };
        (0..runs)
            .map(|run| {
                let mut near = Vec::new();
                for below in 0..run {
                    let far = parents[below] != run;
                    if far && parents.get(parents[below]) != Some(&run) {
                        continue;
                    }
                    // Not all that are two courses apart come near each other.
                    if !far || random.below(3) > 0 {
                        near.push(Near {
                            run: below,
                            far,
                            agreeing: sets(random),
                        });
                    }
                }
                let place = |random: &mut Random| {
                    let cost = random.below(50) as f64 / 8.0;
                    (cost, Seat::Single { as_closing: false })
                };
                Stop {
                    places: (0..places).map(|_| place(random)).collect(),
                    near,
                }
            })
            .collect()
    }

    /// The cost of a layout, if all its places agree.
    fn cost(stops: &[Stop], chosen: &[usize]) -> Option<f64> {
        stops.iter().enumerate().try_fold(0.0, |sum, (run, stop)| {
            let agrees = |near: &Near| near.agreeing[chosen[near.run]] & (1 << chosen[run]) != 0;
            let all = stop.near.iter().all(agrees);
            all.then(|| sum + stop.places[chosen[run]].0)
        })
    }

    #[test]
    fn no_layout_of_a_tree_is_cheaper_than_the_one_found() {
        let mut random = Random::new(3);
        let (runs, places) = (6, 3_usize);
        let (mut laid, mut joined) = (0, 0);
        for _ in 0..2_000 {
            let stops = by_chance(&mut random, runs, places);
            let tree = Tree::of(&stops).unwrap_or_else(|| unreachable!("built as a tree"));
            joined += usize::from(tree.children.iter().any(|c| c.len() > 1));
            let all = (0..places.pow(runs as u32)).filter_map(|n| {
                let chosen: Vec<usize> = (0..runs as u32)
                    .map(|run| n / places.pow(run) % places)
                    .collect();
                cost(&stops, &chosen)
            });
            let least = all.min_by(f64::total_cmp);
            let found = tree.cheapest();
            assert_eq!(found.is_some(), least.is_some());
            if let (Some(found), Some(least)) = (found, least) {
                assert_eq!(cost(&stops, &found), Some(least));
                laid += 1;
            }
        }
        assert!(laid > 1_000 && joined > 1_000, "{laid} {joined}");
    }

    #[test]
    fn a_run_with_two_over_it_is_no_tree() {
        let near = |run, far| Near {
            run,
            far,
            agreeing: vec![0],
        };
        let stop = |near| Stop {
            places: vec![(1.0, Seat::Single { as_closing: false })],
            near,
        };
        let split = [
            stop(vec![]),
            stop(vec![near(0, false)]),
            stop(vec![near(0, false)]),
        ];
        assert!(Tree::of(&split).is_none());
        // Near the next course but one, and to nothing between.
        let skipped = [stop(vec![]), stop(vec![]), stop(vec![near(0, true)])];
        assert!(Tree::of(&skipped).is_none());
    }
}
