//! The real roofs traced again by dice, line by line: roofs on which nothing was tuned. What counts is that none is settled
//! wrongly.
//!
//! `cargo test --release --test suite roof_real_retraced -- --nocapture` prints the counts.

use std::fmt::Write as _;

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::roof::map::{MapOptions, build};
use eavewright::roof::{Roof, SolveOptions};

use crate::outline_shapes::Dice;
use crate::roof_real::{Truth, compare};
use crate::support::shared_data;

/// A fall this far off (degrees) is wrong.
const WRONG_DEG: f64 = 10.0;
/// One line in four is drawn twice.
const DOUBLED: f64 = 0.25;
/// How often each roof is traced.
const TIMES: u64 = 2;

/// What became of the tracings.
#[derive(Clone, Debug, Default)]
struct Count {
    drawn: usize,
    settled: usize,
    asked: usize,
    refused: usize,
    /// Faces lost to the tracing, with a warning at their labels: no such face has a fall that could be right.
    lost_and_told: usize,
    silent_wrong: Vec<String>,
}

impl Count {
    fn add(&mut self, truth: &Truth, svg: &str) {
        self.drawn += 1;
        let maps = Drawing::read(svg.as_bytes(), &ReadOptions::default())
            .and_then(|drawing| build(&drawing, &MapOptions::default()));
        let Ok(maps) = maps else {
            self.refused += 1;
            return;
        };
        let told = maps
            .iter()
            .flat_map(|m| &m.findings)
            .any(|f| f.code == "label-outside");
        match Roof::solve(&maps, &SolveOptions::default()) {
            Ok(roof) if compare(truth, &roof).worst_fall_deg <= WRONG_DEG => self.settled += 1,
            Ok(_) if told => self.lost_and_told += 1,
            Ok(_) => self.silent_wrong.push(truth.id.clone()),
            Err(unsolved) if unsolved.suggested_falls.is_empty() => self.refused += 1,
            Err(_) => self.asked += 1,
        }
    }
}

/// Every edge as a line of its own (some as two), each end off by up to `off_in` inches either way.
fn retraced(truth: &Truth, off_in: f64, dice: &mut Dice) -> String {
    let map = truth.plan();
    let mut svg = String::from(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="2000" height="2000" viewBox="-1000 -1000 2000 2000"><g id="roof" fill="none" stroke="black" stroke-width="0.1">"#,
    );
    for edge in &map.edges {
        for _ in 0..1 + usize::from(dice.fraction() < DOUBLED) {
            let mut place = |node: usize| {
                let mut off = || off_in / 12.0 * (2.0 * dice.fraction() - 1.0);
                (map.nodes[node].x + off(), -map.nodes[node].y + off())
            };
            let ((x, y), (u, v)) = (place(edge.a), place(edge.b));
            let _ = write!(svg, r#"<path d="M{x:.4},{y:.4} L{u:.4},{v:.4}"/>"#);
        }
    }
    svg += r#"</g><g id="pitch" font-size="1" text-anchor="middle">"#;
    for (face, said) in truth.faces().iter().enumerate() {
        let at = truth.label_at(face);
        let label = said["label"].as_str().unwrap();
        let _ = write!(
            svg,
            r#"<text x="{:.4}" y="{:.4}">{label}</text>"#,
            at.x, -at.y
        );
    }
    svg + r#"</g><g id="scale" font-size="1"><line x1="-150" y1="900" x2="-50" y2="900" stroke="black"/><text x="-100" y="899" text-anchor="middle">100 ft</text></g></svg>"#
}

#[test]
fn real_roofs_traced_again_by_dice_are_asked_about_rather_than_settled_wrongly() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let mut roofs = Truth::all(&folder);
    roofs.retain(|truth| truth.class != "stepped");
    for off_in in [0.5, 1.0, 2.0, 4.0] {
        let mut count = Count::default();
        for (at, truth) in roofs.iter().enumerate() {
            for time in 0..TIMES {
                let mut dice = Dice::new(1 + 1000 * time + at as u64);
                count.add(truth, &retraced(truth, off_in, &mut dice));
            }
        }
        eprintln!(
            "{off_in} in off: {} drawn, {} settled, {} asked, {} refused, {} with a face lost and told, silently wrong {:?}",
            count.drawn,
            count.settled,
            count.asked,
            count.refused,
            count.lost_and_told,
            count.silent_wrong
        );
        assert!(count.silent_wrong.is_empty(), "{off_in} in");
        assert!(4 * count.asked <= count.drawn, "{off_in} in: asked");
        assert!(10 * count.refused <= count.drawn, "{off_in} in: refused");
    }
}
