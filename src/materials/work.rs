//! The parts of the work that a bid is priced by.

use super::Item;
use super::cost::CostLine;
use crate::units::number::{capital, listed};

/// The price key of hauling, which is no stock item.
pub const CONTAINER: &str = "container";

/// The part of the work that a cost belongs to, in the order of a bid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Work {
    /// Taking the old roof off and hauling it away.
    TearOff,
    /// Mending the deck.
    Deck,
    /// Underlayment, ice barrier, valley lining.
    Under,
    /// Metal along eaves and rakes.
    EdgeMetal,
    /// Shingles with starter, caps and nails, laid.
    Shingles,
    /// Flashing, boots, crickets, sealing.
    Flashing,
    /// Vents.
    Vents,
    /// Sums put by.
    Allowances,
}

impl Work {
    /// As a bid calls it, by what of it has a price: nothing is named that is in none. Caps may be cut from the shingles.
    pub(super) fn called(self, priced: &[&CostLine], caps_from_field: bool) -> String {
        let has = |item: Item| priced.iter().any(|l| l.item == Some(item));
        let is_worked = priced.iter().any(|l| l.item.is_none() && l.key.is_empty());
        let named = |names: &[(bool, &'static str)]| -> String {
            let given = names.iter().filter(|(given, _)| *given);
            let names: Vec<&str> = given.map(|(_, name)| *name).collect();
            listed(&names, "and")
        };
        let called = match self {
            Self::TearOff => {
                let is_hauled = priced.iter().any(|l| l.key == CONTAINER);
                named(&[(is_worked, "take off"), (is_hauled, "haul away")])
            }
            Self::Deck => "deck repairs, allowance".to_owned(),
            Self::Under => {
                let valleys = [Item::ValleySmoothRoll, Item::ValleyRoll, Item::ValleyMetal];
                let sheets = named(&[
                    (has(Item::Underlayment), "underlayment"),
                    (has(Item::SelfAdhered), "self-adhered sheet"),
                    (valleys.into_iter().any(has), "valley lining"),
                ]);
                if sheets.is_empty() {
                    "cap nails".to_owned()
                } else {
                    sheets
                }
            }
            Self::EdgeMetal => "edge metal".to_owned(),
            Self::Shingles => {
                let starter = has(Item::Starter);
                let caps = has(Item::Caps) || (caps_from_field && has(Item::Shingles));
                if has(Item::Shingles) {
                    let laid = if is_worked { ", laid" } else { "" };
                    let with = named(&[(starter, "starter"), (caps, "caps")]);
                    let with = if with.is_empty() {
                        with
                    } else {
                        format!(", with {with}")
                    };
                    format!("shingles{laid}{with}")
                } else {
                    named(&[
                        (starter, "starter"),
                        (caps, "caps"),
                        (has(Item::Nails) || has(Item::NailsLong), "nails"),
                        (is_worked, "laying"),
                    ])
                }
            }
            Self::Flashing => {
                let sealing = [Item::Cement, Item::Sealant];
                let is_sealed = sealing.into_iter().any(has);
                let is_flashed = priced
                    .iter()
                    .any(|l| l.item.is_some_and(|item| !sealing.contains(&item)));
                named(&[(is_flashed, "flashing"), (is_sealed, "sealing")])
            }
            Self::Vents => "ridge vents".to_owned(),
            // Each has a line of its own.
            Self::Allowances => match priced.first() {
                Some(line) => format!("allowance: {}", line.what),
                None => "allowance".to_owned(),
            },
        };
        capital(&called)
    }

    pub(super) const fn of(item: Item) -> Self {
        match item {
            Item::DeckSheet => Self::Deck,
            Item::DripEdgeEave | Item::DripEdgeRake => Self::EdgeMetal,
            Item::SelfAdhered
            | Item::ValleySmoothRoll
            | Item::ValleyRoll
            | Item::ValleyMetal
            | Item::Underlayment
            | Item::CapNails => Self::Under,
            Item::Starter | Item::Shingles | Item::Caps | Item::Nails | Item::NailsLong => {
                Self::Shingles
            }
            Item::RidgeVent => Self::Vents,
            Item::PipeBoot
            | Item::Apron
            | Item::StepFlashing
            | Item::SidewallFlashing
            | Item::KickOut
            | Item::HeadFlashing
            | Item::Cricket
            | Item::Counterflashing
            | Item::PitchChangeFlashing
            | Item::Cement
            | Item::Sealant => Self::Flashing,
        }
    }
}
