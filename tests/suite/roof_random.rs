//! Random roofs with known planes, exact and traced badly: what is settled, asked about, and settled wrongly. No weight of
//! the search was fitted on them.
//!
//! `cargo test --release --test suite roof_random -- --nocapture` prints the counts by kind.

use std::collections::BTreeMap;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{self, MapOptions, PlanMap};
use eavewright::roof::{Roof, SolveOptions};

use crate::outline_shapes::Dice;
use crate::roof_masses::{RandomRoof, random_roof};
use crate::roof_real::inside;

/// A fall this far off (degrees) is wrong.
const WRONG_DEG: f64 = 10.0;
const ROOFS: usize = 400;
/// How far ends are off in the traced twins (feet).
const OFF_FT: f64 = 0.25;

#[derive(Clone, Debug, Default)]
struct Count {
    roofs: usize,
    first_right: usize,
    asked: usize,
    refused: usize,
    silent_wrong: Vec<usize>,
}

/// The fall of every known face, by a place inside it, within [`WRONG_DEG`].
fn is_right(known: &RandomRoof, roof: &Roof) -> bool {
    known.faces.iter().all(|face| {
        let found = roof.faces.iter().find(|f| {
            let rings = std::iter::once(&f.outline).chain(&f.holes);
            let rings: Vec<Vec<_>> = rings
                .map(|r| r.corners.iter().map(|c| c.plan()).collect())
                .collect();
            inside(&rings, face.at)
        });
        let fall = -face.plane.gradient;
        let found = found.and_then(|f| f.fall());
        found.is_some_and(|f| f.cross(fall).atan2(f.dot(fall)).abs().to_degrees() <= WRONG_DEG)
    })
}

impl Count {
    fn add(&mut self, number: usize, known: &RandomRoof, map: Option<PlanMap>) {
        self.roofs += 1;
        let Some(map) = map else {
            self.refused += 1;
            return;
        };
        let solve = |accept_falls: bool| {
            let options = SolveOptions {
                accept_falls,
                ..SolveOptions::default()
            };
            Roof::solve(std::slice::from_ref(&map), &options)
        };
        self.first_right += usize::from(solve(true).is_ok_and(|roof| is_right(known, &roof)));
        match solve(false) {
            Ok(roof) if !is_right(known, &roof) => self.silent_wrong.push(number),
            Ok(_) => {}
            Err(unsolved) if unsolved.suggested_falls.is_empty() => self.refused += 1,
            Err(_) => self.asked += 1,
        }
    }
}

/// The map of a drawing, as the program would find it.
fn mapped(svg: &str) -> Option<PlanMap> {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).ok()?;
    map::build(&drawing, &MapOptions::default())
        .ok()?
        .into_iter()
        .next()
}

#[test]
fn random_roofs_of_masses_are_right_or_asked_about() {
    let mut dice = Dice::new(9);
    let mut exact: BTreeMap<&str, Count> = BTreeMap::new();
    let mut traced: BTreeMap<&str, Count> = BTreeMap::new();
    let mut made = 0;
    while made < ROOFS {
        let Some(known) = random_roof(&mut dice) else {
            continue;
        };
        exact
            .entry(known.kind)
            .or_default()
            .add(made, &known, Some(known.plan()));
        let svg = known.traced(&mut dice, OFF_FT);
        traced
            .entry(known.kind)
            .or_default()
            .add(made, &known, mapped(&svg));
        made += 1;
    }
    for (what, counts) in [("exact", &exact), ("traced badly", &traced)] {
        let all = |f: fn(&Count) -> usize| counts.values().map(f).sum::<usize>();
        for (kind, count) in counts {
            eprintln!("{what:12} {kind:38} {count:?}");
            assert!(count.silent_wrong.is_empty(), "{what} {kind}: {count:?}");
        }
        let right = all(|c| c.first_right) as f64 / (ROOFS - all(|c| c.refused)) as f64;
        eprintln!(
            "{what}: {right:.3} first right, {} asked, {} refused",
            all(|c| c.asked),
            all(|c| c.refused)
        );
        assert!(right >= 0.97, "{what}: {right}");
        assert_eq!(all(|c| c.roofs), ROOFS);
    }
    assert!(exact.values().all(|c| c.refused == 0));
}
