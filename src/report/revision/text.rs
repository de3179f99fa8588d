//! Two revisions on a terminal of 80 columns.

use rust_decimal::Decimal;

use super::{Revised, edge_words, signed};
use crate::geometry::Point;
use crate::materials::MaterialLine;
use crate::report::typeset::{typeset, wrapped};
use crate::report::{OutputUnits, number};
use crate::review::Revision;
use crate::roof::EdgeClass;

/// Columns of the names of rows.
const NAME: usize = 38;

/// What changed between two revisions, for a terminal.
pub fn text(revised: &Revised<'_>) -> String {
    let mut out = format!(
        "{} against {}\n\n",
        revised.new.inputs().project.source_file,
        revised.old.inputs().project.source_file
    );
    page(revised, &mut out);
    if revised.revision.lies_as_it_lay() {
        let rescaled = revised.revision.is_rescaled();
        let told = if revised.sizes_differ() {
            format!(
                "No face, opening or pipe moved by more than {}, which is what tracing moves lines by; what differs below \
                 comes of {}less.",
                revised.new.units().length(revised.revision.tolerance_ft),
                if rescaled { "the scale and of " } else { "" }
            )
        } else if rescaled {
            "No face, opening or pipe changed otherwise.".to_owned()
        } else {
            "No face, opening or pipe changed.".to_owned()
        };
        out += &wrapped(&typeset(&told), "", "");
        out.push('\n');
    }
    faces(revised, &mut out);
    cuts(revised, &mut out);
    edges(revised, &mut out);
    totals(revised, &mut out);
    materials(revised, &mut out);
    price(revised, &mut out);
    out
}

/// What makes two drawings of one roof look like two roofs: another scale, another place on the page.
fn page(revised: &Revised<'_>, out: &mut String) {
    let [old, new] = [revised.old, revised.new].map(|r| &r.inputs().drawing.scale);
    let by = new.feet_per_unit / old.feet_per_unit;
    if Revision::is_other_scale(by) {
        let told = format!(
            "Scale: from {} now, from {} before; a unit of the drawing is {} % of what it was.",
            new.from,
            old.from,
            number::decimal(100.0 * by, 1),
        );
        let revision = revised.revision;
        let stayed = revision.shift.length() <= 0.0;
        let same_lines = match revision.is_rescaled() {
            true if revision.lies_as_it_lay() && !revised.sizes_differ() => match stayed {
                true => {
                    " The lines lie where they lay: every length and area differs by the scale alone."
                }
                false => {
                    " The lines are the same ones: every length and area differs by the scale alone."
                }
            },
            true if stayed && revision.faces.iter().any(|f| f.kinds.is_empty()) => {
                " What did not change lies where it lay on the page: changes are told as if the old plan had been of this \
                 scale."
            }
            true => " Changes are told as if the old plan had been of this scale.",
            false => "",
        };
        *out += &wrapped(&typeset(&(told + same_lines)), "", "");
    }
    let shift = revised.revision.shift;
    if shift.length() > 0.0 {
        let by = place(Point::new(shift.x, shift.y), revised.new.units());
        let told = format!(
            "The plan was moved on its page by {by}; changes are told as if it had not been."
        );
        *out += &wrapped(&told, "", "");
    }
    if out.ends_with(".\n") {
        out.push('\n');
    }
}

fn faces(revised: &Revised<'_>, out: &mut String) {
    let kk = revised.new.units().per_square_foot();
    let sign = revised.new.units().area_sign();
    let mut any = false;
    for (number, change) in revised.changed() {
        if !any {
            *out += &row(&format!("faces, true {sign}"), ["old", "new", "diff."]);
            any = true;
        }
        let (old, new) = revised.true_sqft(change);
        *out += &row(
            &format!("{number:>2} {}", revised.name(change)),
            [
                &number::decimal(old * kk, 2),
                &number::decimal(new * kk, 2),
                &signed((new - old) * kk, 2),
            ],
        );
        *out += &wrapped(&revised.all_words(change), "     ", "     ");
    }
    // Names go by size: a face that grew may have taken the name of one that is as it was.
    for change in &revised.revision.faces {
        let name = revised.name(change);
        if change.kinds.is_empty() && name.contains(", was ") {
            *out += &format!("   {name}: unchanged\n");
            any = true;
        }
    }
    if any {
        out.push('\n');
    }
}

fn cuts(revised: &Revised<'_>, out: &mut String) {
    let kk = revised.new.units().per_square_foot();
    let sign = revised.new.units().area_sign();
    let mut any = false;
    for (number, change) in revised.changed_cuts() {
        let name = format!("{number:>2} {}", revised.cut_name(change));
        if !any {
            *out += &row(&format!("cut out, true {sign}"), ["old", "new", "diff."]);
        }
        // What a pipe cuts out is not measured.
        *out += &match revised.cut_sqft(change) {
            Some((old, new)) => row(
                &name,
                [
                    &number::decimal(old * kk, 2),
                    &number::decimal(new * kk, 2),
                    &signed((new - old) * kk, 2),
                ],
            ),
            None => row(&name, ["–"; 3]),
        };
        let mut words = revised.all_cut_words(change);
        if let Some(p) = revised.cut_at(change) {
            words += &format!("; at {}", place(p, revised.new.units()));
        }
        *out += &wrapped(&words, "     ", "     ");
        any = true;
    }
    if any {
        out.push('\n');
    }
}

fn edges(revised: &Revised<'_>, out: &mut String) {
    let units = revised.new.units();
    for (number, change) in revised.changed_edges() {
        let words = edge_words(change, units);
        let [a, b] = change.ends.map(|p| place(p, units));
        *out += &wrapped(
            &format!("{words} from {a} to {b}"),
            &format!("{number:>2} "),
            "     ",
        );
    }
    if !revised.revision.edges.is_empty() {
        out.push('\n');
    }
}

/// A place in the new plan.
fn place(p: Point, units: OutputUnits) -> String {
    let k = units.per_foot();
    format!("({:.1}, {:.1}) {}", p.x * k, p.y * k, units.length_key())
}

fn totals(revised: &Revised<'_>, out: &mut String) {
    let units = revised.new.units();
    let (k, kk) = (units.per_foot(), units.per_square_foot());
    let (old, new) = (revised.old.roof(), revised.new.roof());
    *out += &row("whole roof", ["old", "new", "diff."]);
    let mut line = |name: &str, a: f64, b: f64| {
        *out += &row(
            name,
            [
                &number::decimal(a, 2),
                &number::decimal(b, 2),
                &signed(b - a, 2),
            ],
        );
    };
    let sign = units.area_sign();
    line(
        &format!("plan area, {sign}"),
        old.plan_area().to_square_feet() * kk,
        new.plan_area().to_square_feet() * kk,
    );
    line(
        &format!("true area, {sign}"),
        old.true_area().to_square_feet() * kk,
        new.true_area().to_square_feet() * kk,
    );
    for class in EdgeClass::ALL {
        let (a, b) = (
            old.true_length(class).to_feet() * k,
            new.true_length(class).to_feet() * k,
        );
        if a > 0.0 || b > 0.0 {
            line(
                &format!("{}, true {}", class.words(), units.length_key()),
                a,
                b,
            );
        }
    }
    if let (Some(a), Some(b)) = (revised.old.inputs().courses, revised.new.inputs().courses) {
        *out += &counted("shingles opened", a.opened(), b.opened());
        *out += &counted("cuts", a.cuts(), b.cuts());
    }
    out.push('\n');
}

fn counted(name: &str, old: usize, new: usize) -> String {
    let difference = signed(new as f64 - old as f64, 0);
    row(
        name,
        [&number::count(old), &number::count(new), &difference],
    )
}

/// A line of either list, with what was and what is ordered.
pub(super) fn ordered<'a>(revised: &Revised<'a>) -> Vec<(&'a MaterialLine, f64, f64)> {
    let lines = |report: &crate::report::Report<'a>| -> &'a [MaterialLine] {
        report.inputs().materials.map_or(&[][..], |m| &m.lines)
    };
    let (old, new) = (lines(revised.old), lines(revised.new));
    let quantity = |list: &[MaterialLine], key: &str| {
        list.iter()
            .filter(|l| l.price_key() == key)
            .map(|l| l.quantity)
            .sum::<f64>()
    };
    let gone = old
        .iter()
        .filter(|o| new.iter().all(|n| n.price_key() != o.price_key()));
    new.iter()
        .chain(gone)
        .map(|line| {
            let key = line.price_key();
            (line, quantity(old, &key), quantity(new, &key))
        })
        .collect()
}

fn materials(revised: &Revised<'_>, out: &mut String) {
    let changed: Vec<_> = ordered(revised)
        .into_iter()
        .filter(|(_, old, new)| old != new)
        .collect();
    if changed.is_empty() {
        *out += "The order is the same.\n\n";
        return;
    }
    *out += &row("to order", ["old", "new", "diff."]);
    for (line, old, new) in changed {
        *out += &row(
            &typeset(&format!("{}, {}", line.item, line.unit)),
            [
                &number::trimmed(old, 2),
                &number::trimmed(new, 2),
                &signed(new - old, 2).replace(".00", ""),
            ],
        );
    }
    out.push('\n');
}

fn price(revised: &Revised<'_>, out: &mut String) {
    let (Some(old), Some(new)) = (revised.old.inputs().offer, revised.new.inputs().offer) else {
        return;
    };
    let money = |amount| number::money(amount, &new.bid.currency);
    let difference = new.bid.total - old.bid.total;
    let plus = if difference > Decimal::ZERO { "+" } else { "" };
    let taxed = [old, new].iter().any(|offer| !offer.bid.tax.is_zero());
    *out += &row(
        if taxed { "price with tax" } else { "price" },
        [
            &money(old.bid.total),
            &money(new.bid.total),
            &format!("{plus}{}", money(difference)),
        ],
    );
    if !(old.bid.unpriced.is_empty() && new.bid.unpriced.is_empty()) {
        *out += "without what has no price\n";
    }
    out.push('\n');
}

fn row(name: &str, figures: [&str; 3]) -> String {
    let [old, new, difference] = figures;
    // A long name takes lines of its own; the figures stand beside its last.
    let lines = folded(name);
    let (last, before) = lines
        .split_last()
        .map_or(("", &[][..]), |(l, b)| (l.as_str(), b));
    let before: String = before.iter().map(|line| format!("{line}\n")).collect();
    format!("{before}{last:<NAME$}{old:>14}{new:>14}{difference:>14}\n")
}

/// The words of a name in lines that fit beside the figures.
fn folded(name: &str) -> Vec<String> {
    if name.chars().count() < NAME {
        return vec![name.to_owned()];
    }
    let mut lines = vec![String::new()];
    for word in name.split_whitespace() {
        let line = lines.last_mut();
        match line {
            Some(line) if line.chars().count() + 1 + word.chars().count() < NAME => {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
            }
            _ => lines.push(format!("  {word}")),
        }
    }
    lines
}
