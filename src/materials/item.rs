//! The stock items, in the order in which a crew uses them.

/// One item that can be ordered. The order here is the crew's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// Sheets to mend the deck: an allowance.
    DeckSheet,
    /// Metal edge along eaves.
    DripEdgeEave,
    /// Self-adhered sheet at eaves and in valleys.
    SelfAdhered,
    /// Smooth roll roofing in closed valleys.
    ValleySmoothRoll,
    /// Mineral-surfaced roll roofing in open valleys.
    ValleyRoll,
    /// Sheet metal in open valleys.
    ValleyMetal,
    /// The sheet under the shingles.
    Underlayment,
    /// Cap nails that hold it.
    CapNails,
    /// Metal edge along rakes and high edges.
    DripEdgeRake,
    /// The strip under the first course.
    Starter,
    /// The shingles themselves.
    Shingles,
    /// Sleeves round pipes.
    PipeBoot,
    /// Aprons at headwalls and below openings.
    Apron,
    /// One bent piece a course along walls.
    StepFlashing,
    /// Long bent pieces along walls, instead.
    SidewallFlashing,
    /// The piece that throws water off the wall at an eave.
    KickOut,
    /// Flashing above an opening without a cricket.
    HeadFlashing,
    /// The saddle behind a wide chimney, with its flanges up the chimney and under the shingles: there is no head
    /// flashing there.
    Cricket,
    /// Cap flashing over the base flashing.
    Counterflashing,
    /// Flashing at a level break of the pitch.
    PitchChangeFlashing,
    /// Vents along the ridge.
    RidgeVent,
    /// Caps over hips and ridges.
    Caps,
    /// Roofing nails for a nailer, by length.
    Nails,
    /// Longer nails, driven by hand, by length.
    NailsLong,
    /// Roof cement.
    Cement,
    /// Sealant.
    Sealant,
}

/// What the exact need of an item is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// Run length.
    Length,
    /// Surface.
    Area,
    /// Numbers.
    Count,
}

impl Item {
    /// All of them, in the crew's order.
    pub const ALL: [Self; 26] = [
        Self::DeckSheet,
        Self::DripEdgeEave,
        Self::SelfAdhered,
        Self::ValleySmoothRoll,
        Self::ValleyRoll,
        Self::ValleyMetal,
        Self::Underlayment,
        Self::CapNails,
        Self::DripEdgeRake,
        Self::Starter,
        Self::Shingles,
        Self::PipeBoot,
        Self::Apron,
        Self::StepFlashing,
        Self::SidewallFlashing,
        Self::KickOut,
        Self::HeadFlashing,
        Self::Cricket,
        Self::Counterflashing,
        Self::PitchChangeFlashing,
        Self::RidgeVent,
        Self::Caps,
        Self::Nails,
        Self::NailsLong,
        Self::Cement,
        Self::Sealant,
    ];

    /// The stable name of the item in price lists, job files and output.
    pub const fn key(self) -> &'static str {
        match self {
            Self::DeckSheet => "deck_sheet",
            Self::DripEdgeEave => "drip_edge_eave",
            Self::SelfAdhered => "self_adhered_sheet",
            Self::ValleySmoothRoll => "valley_smooth_roll",
            Self::ValleyRoll => "valley_mineral_roll",
            Self::ValleyMetal => "valley_metal",
            Self::Underlayment => "underlayment",
            Self::CapNails => "cap_nails",
            Self::DripEdgeRake => "drip_edge_rake",
            Self::Starter => "starter",
            Self::Shingles => "shingles",
            Self::PipeBoot => "pipe_boot",
            Self::Apron => "apron_flashing",
            Self::StepFlashing => "step_flashing",
            Self::SidewallFlashing => "sidewall_flashing",
            Self::KickOut => "kick_out",
            Self::HeadFlashing => "head_flashing",
            Self::Cricket => "cricket",
            Self::Counterflashing => "counterflashing",
            Self::PitchChangeFlashing => "pitch_change_flashing",
            Self::RidgeVent => "ridge_vent",
            Self::Caps => "hip_ridge_cap",
            Self::Nails => "roofing_nails",
            Self::NailsLong => "roofing_nails_long",
            Self::Cement => "roof_cement",
            Self::Sealant => "sealant",
        }
    }

    /// What its exact need is measured in.
    pub const fn measured(self) -> Measured {
        match self {
            Self::DripEdgeEave
            | Self::DripEdgeRake
            | Self::ValleySmoothRoll
            | Self::ValleyRoll
            | Self::ValleyMetal
            | Self::Starter
            | Self::Apron
            | Self::SidewallFlashing
            | Self::HeadFlashing
            | Self::Counterflashing
            | Self::PitchChangeFlashing
            | Self::RidgeVent
            | Self::Cement
            | Self::Caps => Measured::Length,
            Self::SelfAdhered | Self::Underlayment => Measured::Area,
            _ => Measured::Count,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Item;

    #[test]
    fn items_are_listed_in_their_own_order_with_different_keys() {
        assert!(Item::ALL.windows(2).all(|w| w[0] < w[1]));
        let mut keys: Vec<_> = Item::ALL.iter().map(|i| i.key()).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), Item::ALL.len());
    }
}
