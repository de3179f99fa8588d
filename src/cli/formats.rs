//! `eavewright formats`: the shingle formats known.

use std::fmt::Write as _;

use eavewright::{courses, report};

use super::Failure;
use super::args::FormatsArgs;
use super::{say, settings};

pub(crate) fn run(args: &FormatsArgs) -> Result<(), Failure> {
    let own = settings::job(args.job.as_deref())?.shingles.formats;
    let shipped = courses::formats::shipped();
    let mut text = String::from(
        "Name           Width   Height  Exposed   Pieces a  Pieces a  Source\n\
         \x20                in       in       in     square    bundle\n",
    );
    let known: Vec<_> = own.into_iter().chain(shipped).collect();
    for format in &known {
        let _ = writeln!(
            text,
            "{:<13}{:>7.3}{:>9.3}{:>9.3}{:>11.2}{:>10}  {}",
            format.name,
            format.width_in,
            format.height_in,
            format.exposure_in,
            format.pieces_per_square(),
            format.pieces_per_bundle,
            format.source.0,
        );
    }
    text.push_str("\nHeadlap, height less twice the exposure:\n");
    for format in &known {
        let _ = writeln!(text, "{:<13}{:>7.3} in", format.name, format.headlap_in());
    }
    let cycles = report::cycle_words(&known);
    if !cycles.is_empty() {
        text.push('\n');
        text.push_str(&cycles);
    }
    say(&text)
}
