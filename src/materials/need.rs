//! Exact needs, before anything is rounded to packages. Needs of several roofs add up.

use super::drip::is_short_run;
use super::item::Item;
use crate::roof::{EdgeId, FaceId};

/// What one run, row, face or piece of the roof needs of one item.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Need {
    pub(super) item: Item,
    /// What tells stock items of one kind apart: `3 in` of a pipe boot.
    pub(super) variant: String,
    /// The same in price keys, where its words hang on the units that numbers are written in: `36x12` of a cricket.
    pub(super) size: Option<String>,
    /// What it is for, in the plural: `eaves`.
    pub(super) purpose: &'static str,
    /// The exact need: feet, square feet or a number, as the item is measured.
    pub(super) net: f64,
    /// The run length that a count was worked out from, in feet; 0 where there is none.
    pub(super) along_ft: f64,
    /// What is cut or used for it.
    pub(super) cut: Cut,
    /// The edges that feed it.
    pub(super) edges: Vec<EdgeId>,
    /// The faces that feed it.
    pub(super) faces: Vec<FaceId>,
    /// The rules that it follows, by name.
    pub(super) rules: &'static [&'static str],
}

/// How a need is cut from what is sold.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cut {
    /// A straight run in feet, cut from pieces that lap.
    Run(f64),
    /// A row of sheet in feet, cut from rolls; of the width sold or a part of it.
    Row {
        /// Length in feet, past its ends included.
        length_ft: f64,
        /// Part of the roll's width that it uses up: 1 or 0.5.
        width_part: f64,
    },
    /// Used as measured, in the item's own measure or in pieces.
    Loose(f64),
}

impl Need {
    /// A need of a number of loose pieces.
    pub(super) fn loose(item: Item, purpose: &'static str, net: f64, used: f64) -> Self {
        Self {
            item,
            variant: String::new(),
            size: None,
            purpose,
            net,
            along_ft: 0.0,
            cut: Cut::Loose(used),
            edges: Vec::new(),
            faces: Vec::new(),
            rules: &[],
        }
    }
    /// A run of metal.
    pub(super) fn run(item: Item, purpose: &'static str, net_ft: f64) -> Self {
        Self {
            cut: Cut::Run(net_ft),
            ..Self::loose(item, purpose, net_ft, 0.0)
        }
    }
    /// A row of sheet.
    pub(super) fn row(item: Item, purpose: &'static str, net: f64, length_ft: f64) -> Self {
        Self {
            cut: Cut::Row {
                length_ft,
                width_part: 1.0,
            },
            ..Self::loose(item, purpose, net, 0.0)
        }
    }
    /// Whether it is one side of an opening. Its short pieces are cut from one stock piece side after side; a run along
    /// the roof's own edge starts a new one, where the job does not say otherwise.
    fn at_opening(&self) -> bool {
        matches!(self.purpose, "openings" | "chimneys")
    }
    /// Whether it is cut from what others of its kind leave of a piece, whatever the job says.
    pub(super) fn takes_rests(&self) -> bool {
        self.at_opening() || is_short_run(self.purpose)
    }
    pub(super) fn variant(mut self, variant: impl Into<String>) -> Self {
        self.variant = variant.into();
        self
    }
    pub(super) fn size(mut self, size: String) -> Self {
        self.size = Some(size);
        self
    }
    pub(super) fn along(mut self, feet: f64) -> Self {
        self.along_ft = feet;
        self
    }
    pub(super) fn edges(mut self, edges: &[EdgeId]) -> Self {
        self.edges = edges.to_vec();
        self
    }
    pub(super) fn faces(mut self, faces: &[FaceId]) -> Self {
        self.faces = faces.to_vec();
        self
    }
    pub(super) fn rules(mut self, rules: &'static [&'static str]) -> Self {
        self.rules = rules;
        self
    }
}

/// All needs of one or more roofs, and what was noticed while finding them.
#[derive(Clone, Debug, Default)]
pub(super) struct Needs {
    pub(super) needs: Vec<Need>,
    pub(super) findings: Vec<crate::Finding>,
    /// Squares of roof that are stripped.
    pub(super) stripped_squares: f64,
    /// Ice barrier, a face each.
    pub(super) ice: Vec<super::ice::IceReach>,
    /// Faces with double underlayment.
    pub(super) double: Vec<super::underlayment::DoubleUnderlayment>,
    /// The vents' sum.
    pub(super) ventilation: Option<super::vent::Ventilation>,
}

impl Needs {
    pub(super) fn push(&mut self, need: Need) {
        if need.net > 0.0 {
            self.needs.push(need);
        }
    }
}
