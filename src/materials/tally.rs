//! What a group of needs of one stock item comes to in packages, by the way that the item is cut or used.

use super::drip::is_short_run;
use super::item::{Item, Measured};
use super::need::{Cut, Need};
use super::order::{Order, for_caps};
use super::package;
use super::pieces::{self, SHORT_FT};
use super::product::Product;
use super::roll::unroll;
use super::words::{figure, whole};
use crate::units::number::counted;

/// What a group of needs comes to, in the item's own measure (feet, square feet, numbers).
pub(super) struct Tally {
    pub(super) net: f64,
    pub(super) consumed: f64,
    /// Packages before rounding.
    pub(super) packages: f64,
    /// Whole packages.
    pub(super) ordered: f64,
    /// What a package holds, in the item's own measure.
    pub(super) holds: f64,
    /// How it was computed, after the list of purposes.
    pub(super) how: String,
}

impl Order<'_> {
    /// `None` where the catalog does not say how large the package is.
    pub(super) fn tally(
        &self,
        item: Item,
        product: &Product,
        group: &[&(usize, Need)],
    ) -> Option<Tally> {
        let net: f64 = group.iter().map(|n| n.1.net).sum();
        match group.first().map(|n| &n.1.cut) {
            Some(Cut::Run(_)) => self.pieces(net, product, group),
            Some(Cut::Row { .. }) => self.rolls(item, net, product, group),
            _ => self.loose(item, net, product, group),
        }
    }

    /// Straight pieces, run by run: ⌈(run − lap) ÷ (piece − lap)⌉ each.
    fn pieces(&self, net: f64, product: &Product, group: &[&(usize, Need)]) -> Option<Tally> {
        let piece = product.length?.to_feet();
        let lap = product.end_lap.map_or(0.0, |l| l.to_feet());
        let past = product.past_ends.map_or(0.0, |l| l.to_feet());
        let (sharing, alone): (Vec<_>, Vec<_>) = group
            .iter()
            .filter_map(|n| match n.1.cut {
                Cut::Run(run) => Some((n.1.takes_rests(), run + 2.0 * past)),
                _ => None,
            })
            .partition(|(takes_rests, _)| *takes_rests || self.settings.share_offcuts);
        let lengths = |runs: Vec<(bool, f64)>| runs.into_iter().map(|r| r.1).collect::<Vec<_>>();
        let (sharing, alone) = (lengths(sharing), lengths(alone));
        let exact = |run: &f64| ((run - lap) / (piece - lap)).max(0.0);
        let packages: f64 = alone.iter().chain(&sharing).map(exact).sum();
        let each_takes = |run: &f64| pieces::along(run - lap, piece - lap).max(1.0);
        let whole: f64 = alone.iter().map(each_takes).sum();
        let (opened, used) = shared(&sharing, piece, lap);
        let (ordered, consumed) = (whole + opened, whole * piece + used);
        let way = match (alone.is_empty(), sharing.len()) {
            (_, 0) => "rounded up",
            (true, 1) => "rounded up",
            (true, _) => "rests serving other runs",
            (false, _) if group.iter().any(|n| is_short_run(n.1.purpose)) => {
                "rounded up; short ones cut from rests"
            }
            (false, _) => "rounded up; round openings rests serve other sides",
        };
        let ends = if past > 0.0 {
            format!(" + {} past each end", self.words.small(past * 12.0))
        } else {
            String::new()
        };
        let (each, packed) = packed(product);
        Some(Tally {
            net,
            consumed,
            packages: packages / each,
            ordered: pieces::holding(ordered, each),
            holds: piece * each,
            how: format!(
                "each run{ends} in pieces of {} {}, {way}{packed}",
                self.words.run(piece),
                if lap > 0.0 {
                    format!("lapping {}", self.words.small(lap * 12.0))
                } else {
                    "end to end".to_owned()
                }
            ),
        })
    }

    /// Rows cut from rolls in order.
    fn rolls(
        &self,
        item: Item,
        net: f64,
        product: &Product,
        group: &[&(usize, Need)],
    ) -> Option<Tally> {
        let roll = product.length?.to_feet();
        let lap = product.end_lap.map_or(0.0, |l| l.to_feet());
        let mut rows: Vec<f64> = group
            .iter()
            .filter_map(|n| match n.1.cut {
                Cut::Row {
                    length_ft,
                    width_part,
                } if length_ft > SHORT_FT => {
                    let past = if item == Item::Underlayment || n.1.purpose == "eaves" {
                        0.0
                    } else {
                        product.past_ends.map_or(0.0, |l| l.to_feet())
                    };
                    Some((length_ft + 2.0 * past) * width_part)
                }
                _ => None,
            })
            .collect();
        // The longest first, as a crew cuts them: what is left of a roll serves a shorter row, and the order does not hang on
        // which way the house faces.
        rows.sort_by(|a, b| b.total_cmp(a));
        let rolled = unroll(rows.iter().copied(), roll, lap)?;
        let per_foot = match item.measured() {
            Measured::Area => product.width?.to_feet(),
            _ => 1.0,
        };
        let packages = rolled.used_ft / roll;
        Some(Tally {
            net,
            consumed: rolled.used_ft * per_foot,
            packages,
            ordered: pieces::along(rolled.used_ft, roll),
            holds: roll * per_foot,
            how: format!(
                "{} of {} in all, {}, from rolls of {}",
                counted(rows.len(), "row"),
                self.words.run(rows.iter().sum()),
                counted(rolled.laps, "end lap"),
                self.words.run(roll)
            ),
        })
    }

    /// What is used as measured, by what a package covers or holds.
    fn loose(
        &self,
        item: Item,
        net: f64,
        product: &Product,
        group: &[&(usize, Need)],
    ) -> Option<Tally> {
        let used: f64 = group
            .iter()
            .map(|n| match n.1.cut {
                Cut::Loose(used) => used,
                _ => 0.0,
            })
            .sum();
        let (holds, consumed, how) = match item {
            Item::Starter | Item::Cement => {
                let covers = product.covers?.to_feet();
                let unit = product.unit.as_deref().unwrap_or("package");
                let how = format!(
                    "{} ÷ {} a {unit}",
                    self.words.run(used),
                    self.words.run(covers)
                );
                (covers, used, how)
            }
            Item::Caps => {
                let exposure = product.exposure?;
                let holds = f64::from(product.holds?);
                let how = format!(
                    "each run ÷ {} exposed, rounded up: {} caps ÷ {holds} a {}",
                    self.words.small(exposure.to_inches()),
                    figure(used, 0),
                    product.unit.as_deref().unwrap_or("package")
                );
                (holds * exposure.to_feet(), used * exposure.to_feet(), how)
            }
            Item::Shingles => {
                let holds = f64::from(self.format?.pieces_per_bundle);
                let for_caps = for_caps(group);
                let caps = match for_caps > 0.0 {
                    true => format!(" and {} for caps", whole(for_caps)),
                    false => String::new(),
                };
                let how = format!(
                    "{} opened{caps} ÷ {} a bundle",
                    whole(used - for_caps),
                    figure(holds, 0)
                );
                (holds, used, how)
            }
            Item::Nails | Item::NailsLong | Item::CapNails | Item::Sealant => {
                let holds = f64::from(product.holds?);
                let unit = product.unit.as_deref().unwrap_or("package");
                let how = format!("{} ÷ {} a {unit}", whole(used), figure(holds, 0));
                (holds, used, how)
            }
            _ => {
                let (each, packed) = packed(product);
                let how = match packed.strip_prefix(", ") {
                    Some(packed) => format!("{} pieces, {packed}", whole(used)),
                    None => String::new(),
                };
                (each, used, how)
            }
        };
        let handling = if item == Item::Shingles {
            1.0 + self.settings.handling_percent / 100.0
        } else {
            1.0
        };
        let taken = consumed * handling;
        let ordered = match item {
            Item::Starter | Item::Cement => pieces::along(taken, holds),
            // Counted; caps by the length of whole ones.
            _ => pieces::holding(taken, holds),
        };
        Some(Tally {
            net,
            consumed,
            packages: taken / holds,
            ordered,
            holds,
            how,
        })
    }
}

/// How many pieces are in a package of what is sold by the piece, and how that is told: `, 25 a bundle`.
fn packed(product: &Product) -> (f64, String) {
    match product.holds.filter(|holds| *holds > 1) {
        Some(holds) => {
            let unit = product.unit.as_deref().unwrap_or("package");
            let unit = package::bare(unit);
            (f64::from(holds), format!(", {holds} a {unit}"))
        }
        None => (1.0, String::new()),
    }
}

/// Pieces for runs that share what is left of a piece, and the length used: whole pieces first, then the rests, the
/// longest first, each from the first piece that still holds it.
fn shared(runs: &[f64], piece: f64, lap: f64) -> (f64, f64) {
    let mut whole = 0.0;
    let mut used = 0.0;
    let mut rests = Vec::new();
    for run in runs {
        let pieces = ((run - lap + SHORT_FT) / (piece - lap)).floor().max(0.0);
        let rest = run - pieces * (piece - lap);
        whole += pieces;
        used += pieces * piece;
        // A rest no longer than the lap is covered by the last whole piece.
        if pieces == 0.0 || rest > lap + SHORT_FT {
            rests.push(rest);
        }
    }
    rests.sort_by(|a, b| b.total_cmp(a));
    let mut opened: Vec<f64> = Vec::new();
    for rest in rests {
        let at = match opened.iter().position(|left| *left > rest - SHORT_FT) {
            Some(at) => at,
            None => {
                opened.push(piece);
                opened.len() - 1
            }
        };
        // What is forgiven is not cut.
        let cut = rest.min(opened[at]);
        opened[at] -= cut;
        used += cut;
    }
    (whole + opened.len() as f64, used)
}

#[cfg(test)]
mod tests {
    use super::shared;

    #[test]
    fn runs_that_share_rests_open_no_piece_that_a_rest_would_serve() {
        // Pieces of 10 ft lapping 1 ft. Two runs of 19.5 ft: two whole pieces reach 19 ft, the rest laps 1 ft and is
        // 1.5 ft long; both come out of one more piece.
        assert_eq!(shared(&[19.5, 19.5], 10.0, 1.0), (5.0, 43.0));
        // Just two pieces: what the lap covers needs no third.
        assert_eq!(shared(&[19.0], 10.0, 1.0), (2.0, 20.0));
        // Shorter than a piece by less than the lap: a piece each, cut.
        assert_eq!(shared(&[9.5, 9.5], 10.0, 1.0), (2.0, 19.0));
        // Shorter than the lap itself: still a piece.
        assert_eq!(shared(&[0.5], 10.0, 1.0), (1.0, 0.5));
        // Two halves of one piece, each a hair more than a half too: no more is cut than the piece has.
        for half in [5.0, 5.0 + 2e-6] {
            assert_eq!(shared(&[half, half], 10.0, 0.0), (1.0, 10.0));
        }
        assert_eq!(shared(&[19.0 + 2e-6], 10.0, 1.0), (2.0, 20.0));
    }
}
