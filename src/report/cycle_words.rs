//! Start cycles of the formats known, for a terminal.

use super::OutputUnits;
use super::typeset::wrap;
use crate::courses::{LayRules, ShingleFormat, StartCycle, start_cycle};

/// Offsets longer than this are not looked for, in inches, unless a format shows more (common practice, no source).
const LONGEST_OFFSET_IN: f64 = 8.0;

/// The cycle of starts of every format whose plain edge may lie in the field, at an offset of its exposure, which is
/// gauged with the tool that is in the hand already.
pub fn cycle_words(formats: &[ShingleFormat]) -> String {
    let least = LayRules::default().joint_distance_in;
    let cycles = formats
        .iter()
        .filter(|format| format.plain_edge && format.tabs == 0)
        .filter_map(|format| {
            let most = LONGEST_OFFSET_IN.max(format.exposure_in);
            let cycle = start_cycle(format.width_in, format.exposure_in, (least, most))?;
            // One start is no cycle.
            (cycle.starts_in.len() > 1).then_some((format, cycle))
        });
    let mut out = String::new();
    for (format, cycle) in cycles {
        let units = if format.metric {
            OutputUnits::Metres
        } else {
            OutputUnits::Feet
        };
        let head = format!("{:<15}", format.name);
        wrap(&sentence(&cycle, units), &head, "               ", &mut out);
    }
    if out.is_empty() {
        return out;
    }
    let about = "Start cycles, each course offset by about the exposure, for a straight start where square cuts are allowed in the field (reuse = \"square-cut\"): what is cut off the start of one course starts another.";
    let mut all = String::new();
    wrap(about, "", "", &mut all);
    all + &out
}

/// `start courses 1 to 7 with 42″, 36″ …; what is cut off courses 2, 3, 4 starts 7, 6, 5: 4 shingles for 7 courses,
/// nothing wasted.`
fn sentence(cycle: &StartCycle, units: OutputUnits) -> String {
    let list = |items: Vec<String>| items.join(", ");
    let starts = cycle.starts_in.iter().map(|&start| units.tape(start));
    let from = cycle.cuts.iter().map(|(from, _)| from.to_string());
    let to = cycle.cuts.iter().map(|(_, to)| to.to_string());
    let wasted = if cycle.wasted_in > 1e-6 * cycle.width_in {
        format!("{} of shingle wasted", units.tape(cycle.wasted_in))
    } else {
        "nothing wasted".to_owned()
    };
    let mut said = vec![format!(
        "start courses 1 to {} with {}",
        cycle.starts_in.len(),
        list(starts.collect())
    )];
    if !cycle.cuts.is_empty() {
        let (from, to) = (list(from.collect()), list(to.collect()));
        said.push(format!("what is cut off courses {from} starts {to}"));
    }
    said.extend(
        cycle
            .half
            .map(|half| format!("the other half of course {half} starts it in the next cycle")),
    );
    format!(
        "{}: {} shingles for {} courses, {wasted}",
        said.join("; "),
        cycle.shingles,
        cycle.courses,
    )
}
