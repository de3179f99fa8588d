//! The takeoff on a terminal of 80 columns.

use super::offer_words::no_price_words;
use super::typeset::typeset;
use super::{Report, number};
use crate::materials::{Bid, Item, MaterialLine, MaterialList, of_many};
use crate::roof::EdgeClass;
use crate::units::Pitch;
use crate::{Finding, Severity};

/// Columns of a plain terminal.
const WIDTH: usize = 80;

/// A compact summary for a terminal of 80 columns: the totals that a price stands on, faces by pitch, edges by class,
/// what to order, and how many findings there are, those `of_paper` that the PDF came with counted in. Findings themselves
/// belong on standard error.
pub fn summary(report: &Report<'_>, of_paper: &[Finding]) -> String {
    let mut out = String::new();
    heading(report, &mut out);
    areas(report, &mut out);
    lengths(report, &mut out);
    courses(report, &mut out);
    materials(report, &mut out);
    offer(report, &mut out);
    let findings = report.findings().iter().copied().chain(of_paper);
    notices(findings.collect(), &mut out);
    out
}

fn line(out: &mut String, text: &str) {
    out.push_str(text.trim_end());
    out.push('\n');
}

/// Words on the left, a figure flush right in a column of `width`.
fn pair(label: &str, figure: &str, width: usize) -> String {
    let used = label.chars().count() + figure.chars().count();
    format!("{label}{}{figure}", " ".repeat(width.saturating_sub(used)))
}

fn heading(report: &Report<'_>, out: &mut String) {
    line(out, report.title());
    line(out, &format!("scale from {}", report.scale_source()));
    line(out, "");
}

/// Faces of one pitch together: a bid is priced by pitch.
fn areas(report: &Report<'_>, out: &mut String) {
    let (roof, units) = (report.roof(), report.units());
    let sign = units.area_sign();
    line(
        out,
        &format!(
            "{:<16}{:<32}{:>15}{:>15}",
            "pitch",
            "faces",
            format!("plan {sign}"),
            format!("true {sign}")
        ),
    );
    for (pitch, members) in by_pitch(report) {
        let names: Vec<&str> = members.iter().map(|f| f.name.as_str()).collect();
        let plan = members.iter().map(|f| f.plan_area).sum();
        let on_slope = members.iter().map(|f| f.true_area).sum();
        line(
            out,
            &format!(
                "{:<16}{:<32}{:>15}{:>15}",
                units.pitch(pitch),
                shortened(&names, 31),
                units.area::<crate::units::Plan>(plan),
                units.area::<crate::units::True>(on_slope)
            ),
        );
    }
    line(
        out,
        &format!(
            "{:<48}{:>15}{:>15}",
            number::counted(roof.faces.len(), "face"),
            units.area(roof.plan_area()),
            units.area(roof.true_area())
        ),
    );
    line(
        out,
        &format!(
            "{:>78}",
            format!(
                "= {} squares of 100 ft² true area",
                number::decimal(roof.true_area().to_squares(), 2)
            )
        ),
    );
    line(out, "");
}

/// Faces grouped by pitch as printed, the steepest first.
pub(super) fn by_pitch<'a>(report: &Report<'a>) -> Vec<(Pitch, Vec<&'a crate::roof::Face>)> {
    let mut groups: Vec<(Pitch, Vec<&crate::roof::Face>)> = Vec::new();
    let units = report.units();
    for face in &report.roof().faces {
        let printed = units.pitch(face.pitch);
        match groups
            .iter_mut()
            .find(|(pitch, _)| units.pitch(*pitch) == printed)
        {
            Some((_, members)) => members.push(face),
            None => groups.push((face.pitch, vec![face])),
        }
    }
    groups.sort_by(|a, b| b.0.to_rise_per_run().total_cmp(&a.0.to_rise_per_run()));
    groups
}

/// As many names as fit, then how many more.
fn shortened(names: &[&str], width: usize) -> String {
    let mut out = String::new();
    for (i, name) in names.iter().enumerate() {
        let more = format!(" +{}", names.len() - i);
        let room_for_more = if i + 1 < names.len() { more.len() } else { 0 };
        if out.chars().count() + 1 + name.chars().count() + room_for_more > width {
            out.push_str(&more);
            return out;
        }
        if i > 0 {
            out.push(' ');
        }
        out.push_str(name);
    }
    out
}

/// Edge classes that the roof has, two to a line, true lengths.
fn lengths(report: &Report<'_>, out: &mut String) {
    let (roof, units) = (report.roof(), report.units());
    let present: Vec<String> = EdgeClass::ALL
        .into_iter()
        .filter(|class| roof.edges.iter().any(|e| e.class == *class))
        .map(|class| {
            let total = roof.true_length(class).to_feet();
            pair(class.words(), &units.length(total), 36)
        })
        .collect();
    line(out, "true lengths");
    for two in present.chunks(2) {
        line(out, &format!("  {}", two.join("    ")));
    }
    if !roof.openings.is_empty() || !roof.penetrations.is_empty() {
        line(
            out,
            &format!(
                "  openings {}, pipes and vents {}",
                roof.openings.len(),
                roof.penetrations.len()
            ),
        );
    }
    line(out, "");
}

fn courses(report: &Report<'_>, out: &mut String) {
    let Some(courses) = report.inputs().courses else {
        return;
    };
    line(
        out,
        &format!(
            "{}: {} shingles opened, proven lower bound {}\n  {} pieces laid, {} cuts, waste {} %",
            courses.format.name,
            number::count(courses.opened()),
            number::count(courses.bound()),
            number::count(courses.pieces_laid()),
            number::count(courses.cuts()),
            number::decimal(courses.waste_percent(), 1)
        ),
    );
    line(out, "");
}

fn materials(report: &Report<'_>, out: &mut String) {
    if let Some(materials) = report.inputs().materials {
        material_rows(materials, out);
    }
}

/// The unit of as many as are printed: `bundle` of one, `bundles`, `boxes`.
fn several(unit: &str, printed: &str) -> String {
    match printed == "1" || number::is_measure(unit) {
        true => unit.to_owned(),
        false => of_many(unit),
    }
}

/// At most so many characters of a name, the end of it where it is longer: the end tells files apart.
pub(super) fn clipped(name: &str, width: usize) -> String {
    let length = name.chars().count();
    if length <= width {
        return name.to_owned();
    }
    let tail: String = name.chars().skip(length + 1 - width).collect();
    format!("…{tail}")
}

/// What to order, an item a line.
pub(super) fn material_rows(materials: &MaterialList, out: &mut String) {
    line(out, &format!("{:<40}{:>14}  order", "material", "needed"));
    for item in &materials.lines {
        let amount = number::needed(item.needed, &item.needed_unit, 1);
        let needed = format!("{amount} {}", several(&item.needed_unit, &amount));
        let name = typeset(&item.item);
        let fits = name.chars().count() + needed.chars().count() < 54;
        let beside = if fits { name.as_str() } else { "" };
        if !fits {
            line(out, &name);
        }
        let quantity = number::trimmed(item.quantity, 2);
        line(
            out,
            &format!(
                "{}{quantity:>7} {}",
                pair(beside, &needed, 54),
                several(&item.unit, &quantity)
            ),
        );
        for words in opened(item) {
            line(out, &format!("  {words}"));
        }
    }
    line(out, "");
}

/// Of shingles, which lie whole, in parts and not at all: how many the order is made by, where that are more than are needed;
/// what is cut up for caps, and what is ordered for handling and to spare, apart from them.
fn opened(item: &MaterialLine) -> Vec<String> {
    let (opened, for_caps) = (item.consumed - item.for_caps, item.for_caps.ceil());
    if item.key != Item::Shingles.key() || item.consumed.round() <= item.needed.round() {
        return Vec::new();
    }
    let mut words = format!(
        "ordered for the {} opened",
        number::counted(opened.round() as usize, &item.needed_unit)
    );
    if for_caps > 0.0 {
        words.push_str(&format!(" and {} for caps", number::trimmed(for_caps, 0)));
    }
    let packages = |count: f64, what: &str| {
        let printed = number::trimmed(count, 2);
        (count > 0.0).then(|| format!("plus {printed} {what}{}", several(&item.unit, &printed)))
    };
    let handling = packages(item.allowance - item.spare, "")
        .map(|packages| format!("{packages} for handling"));
    let mut lines = vec![words];
    for more in [handling, packages(item.spare, "spare ")]
        .into_iter()
        .flatten()
    {
        match lines.last_mut() {
            // Two spaces stand before it.
            Some(last) if last.chars().count() + 2 + more.chars().count() + 2 <= WIDTH => {
                last.push_str(&format!(", {more}"));
            }
            _ => lines.push(more),
        }
    }
    lines
}

fn offer(report: &Report<'_>, out: &mut String) {
    if let Some(offer) = report.inputs().offer {
        offer_rows(&offer.bid, out);
    }
}

/// Price, tax, what is to be paid, and how many items are in none of them.
pub(super) fn offer_rows(bid: &Bid, out: &mut String) {
    if let Some(words) = no_price_words(bid).filter(|_| !bid.takes_shingles) {
        line(out, words);
        line(out, "");
        return;
    }
    let money = |amount| number::money(amount, &bid.currency);
    let mut sums = vec![("price", bid.price)];
    if !bid.tax.is_zero() {
        sums.extend([("tax", bid.tax), ("to pay", bid.total)]);
    }
    for (words, amount) in sums {
        line(out, &pair(words, &money(amount), 54));
    }
    if !bid.unpriced.is_empty() {
        line(
            out,
            &format!(
                "without {}, for want of prices",
                number::counted(bid.unpriced.len(), "item")
            ),
        );
    }
    line(out, "");
}

fn notices(findings: Vec<&Finding>, out: &mut String) {
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    let (warnings, notes) = (count(Severity::Warning), count(Severity::Note));
    if warnings + notes > 0 {
        let text = format!(
            "{} to look at, {}.",
            number::counted(warnings, "warning"),
            number::counted(notes, "note")
        );
        debug_assert!(text.chars().count() <= WIDTH, "fits a terminal");
        line(out, &text);
    }
}
