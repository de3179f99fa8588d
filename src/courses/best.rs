//! The best layout found: simple layouts first, then one chain of offcuts through the face where these do not reach the
//! bound, and a search where no chain is found or where more work is asked for.

use super::bound::{slice_bound, slice_need};
use super::candidates::{Seats, complete};
use super::dual::price_bound;
use super::handiest::Handiest;
use super::lay::Terms;
use super::one_piece::in_one_piece;
use super::problem::{Problem, Seat};
use super::ranking::Ranking;
use super::recut::Cutting;
use super::runs::Run;
use super::search::{Limits, improve};
use super::{Layout, Reuse, StepOption, chain, regular};

/// On faces of no more runs than this a shingle is much, and looking further costs little.
const SMALL_FACE: usize = 24;
/// So many chains are kept on small faces, where fewer do not reach what is proven.
const CHAINS_ON_SMALL_FACES: usize = 120;

fn is_small(problem: &Problem) -> bool {
    problem.runs.len() <= SMALL_FACE
}

/// What was found for a face.
pub(super) struct Found {
    /// `None` where the terms leave no choice, or no simple layout kept the rules.
    pub(super) chosen: Option<Chosen>,
    /// Proven.
    pub(super) bound: usize,
    /// Repeated steps that keep the rules without an exception, with their counts, the best first.
    pub(super) steps: Vec<StepOption>,
}

/// The layout chosen for a face.
pub(super) struct Chosen {
    /// One seat a run.
    pub(super) seats: Vec<Seat>,
    /// Which of its pieces come out of which shingle, where that was worked out for the choice.
    pub(super) cutting: Option<Cutting>,
}

impl From<(Vec<Seat>, Cutting)> for Chosen {
    fn from((seats, cutting): (Vec<Seat>, Cutting)) -> Self {
        Self {
            seats,
            cutting: Some(cutting),
        }
    }
}

/// The best seats found, looking at the usual ones too; stops at the bound.
pub(super) fn best(
    problem: &Problem,
    runs: &[Run],
    terms: Terms<'_>,
    grid: f64,
    usual: &Seats,
) -> Found {
    let (rules, effort) = (terms.rules, terms.effort);
    let mut ranking = Ranking::new(problem, effort, rules.wait_courses, grid);
    ranking.look_at_simple();
    if let Some(seats) = complete(usual.clone()) {
        ranking.offer_if_good(&seats);
    }
    let steps = ranking.pure_steps();
    // What is cut again of what two pieces leave is no chain: more layouts are looked at for it.
    let looks_at_all = effort.starts > 0 || rules.reuse == Reuse::SquareCut;
    if looks_at_all {
        ranking.look_at_others();
    }
    let need = slice_need(runs, problem.width);
    let mut bound = slice_bound(need, problem.width);
    ranking.rank_exactly(bound);
    let asks_for_fewest = terms.are_free() && terms.wish.layout == Layout::Fewest;
    // Prices say nothing of what is cut again, and the same a second time.
    let mut is_priced = rules.reuse == Reuse::SquareCut;
    let mut raise = |bound: &mut usize, enough: usize| {
        if !std::mem::replace(&mut is_priced, true) {
            *bound = price_bound(problem, runs, effort.rounds, enough).max(*bound);
        }
    };
    let mut chain = None;
    if asks_for_fewest && !ranking.reaches(bound) {
        let grown =
            |kept, most_waste| chain::grown(problem, rules.wait_courses, grid, kept, most_waste);
        chain = grown(effort.chains, f64::INFINITY);
        let opened = chain.as_ref().map(|(opened, _)| *opened);
        if is_small(problem) && effort.chains < CHAINS_ON_SMALL_FACES {
            // No more work is put into what is proven to be the least.
            if let Some(opened) = opened.filter(|&opened| opened > bound) {
                raise(&mut bound, opened);
            }
            if opened.is_none_or(|opened| opened > bound) {
                // What opens a shingle less wastes no more than it would leave over.
                let fewer = opened.map_or(f64::INFINITY, |opened| (opened - 1) as f64);
                let give = problem.tolerance * runs.len() as f64;
                let more = grown(CHAINS_ON_SMALL_FACES, fewer * problem.width - need + give);
                chain = [more, chain].into_iter().flatten().min_by_key(|c| c.0);
            }
        }
        if chain.is_none() && !looks_at_all {
            ranking.look_at_others();
            ranking.rank_exactly(bound);
        }
    }
    // What opens more than the bound or than a chain is not laid, nor improved but on a small face.
    let most = match &chain {
        _ if looks_at_all => usize::MAX,
        Some((opened, _)) if !is_small(problem) => *opened,
        None if ranking.reaches(bound) => bound,
        _ => usize::MAX,
    };
    ranking.rank_exactly(most);
    let chained = chain.as_ref().map(|(opened, _)| *opened);
    let enough = [ranking.fewest(), chained].into_iter().flatten().min();
    if enough.is_none_or(|opened| opened > bound) {
        raise(&mut bound, enough.unwrap_or(usize::MAX));
    }
    let chosen = match terms.are_free() {
        true => chosen(problem, runs, terms, bound, &ranking, chain),
        false => None,
    };
    Found {
        chosen,
        bound,
        steps,
    }
}

/// Of the layouts ranked, of the chain and of those that a search finds, the one that opens fewest shingles and then is
/// easiest to lay; the most regular one where that is wished.
fn chosen(
    problem: &Problem,
    runs: &[Run],
    terms: Terms<'_>,
    bound: usize,
    ranking: &Ranking<'_>,
    chain: Option<(usize, Vec<Seat>)>,
) -> Option<Chosen> {
    let (rules, effort, grid) = (terms.rules, terms.effort, ranking.pitch);
    let wait = rules.wait_courses;
    let mut handy = Handiest::new(problem, runs, rules);
    if terms.wish.layout == Layout::Regular {
        ranking.offer_pure(usize::MAX, &mut handy);
        let regular = handy.laid().map(Chosen::from);
        let chosen = regular.or_else(|| {
            let (seats, _) = regular::nearest(problem, wait, grid)?;
            Some(Chosen {
                seats,
                cutting: None,
            })
        });
        if chosen.is_some() {
            return chosen;
        }
        handy = Handiest::new(problem, runs, rules);
    }
    let offered = match rules.reuse {
        // What two pieces of a shingle leave is not in the ranking.
        Reuse::SquareCut => ranking.ranked.len(),
        Reuse::None | Reuse::TwoPiece => 1,
    };
    // What opens fewest comes first: what opens more is not looked at any further then.
    if let Some((opened, seats)) = &chain {
        handy.offer(*opened, seats.clone());
    }
    let counted = ranking.ranked.iter().filter(|ranked| ranked.is_exact);
    for ranked in counted.take(offered) {
        handy.offer(ranked.score.opened, ranked.seats.clone());
    }
    let mut fewest = ranking.fewest();
    let ranked = ranking.ranked.iter();
    let mut starts: Vec<&[Seat]> = ranked.map(|ranked| ranked.seats.as_slice()).collect();
    let improves_few = chain.is_some() && !is_small(problem);
    let most = match improves_few {
        true => effort.starts,
        false => effort.starts.max(effort.starts_without_chain),
    };
    starts.truncate(most);
    if let Some((opened, seats)) = &chain {
        fewest = Some(fewest.map_or(*opened, |least| least.min(*opened)));
        if most > 0 {
            starts.push(seats);
        }
    }
    for (seed, start) in (0..).zip(starts) {
        if fewest.is_some_and(|opened| opened <= bound) {
            break;
        }
        let mut seats = start.to_vec();
        let limits = Limits {
            moves: effort.moves_for(problem.runs.len()),
            bound,
            wait,
            grid,
            seed,
        };
        let opened = improve(problem, &mut seats, limits);
        handy.offer(opened, seats);
        fewest = Some(fewest.map_or(opened, |least| least.min(opened)));
    }
    if let Some(opened) = fewest {
        ranking.offer_pure(opened, &mut handy);
    }
    let (seats, cutting) = handy.laid()?;
    // What is cut again may come out of any piece's shingle.
    if rules.reuse == Reuse::SquareCut {
        return Some(Chosen::from((seats, cutting)));
    }
    let whole = in_one_piece(problem, seats.clone(), wait);
    let cutting = (whole == seats).then_some(cutting);
    Some(Chosen {
        seats: whole,
        cutting,
    })
}
