//! `[project]` and `[plan]`: whose roof it is, and how the plan is to be read.

use serde::{Deserialize, Serialize};

use crate::Finding;
use crate::geometry::ring;
use crate::roof::{Face, Roof};
use crate::units::number::decimal;
use crate::units::{LengthText, METRES_PER_FOOT};

/// `[project]`: what the title block and the bid say.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Project {
    /// What the job is called.
    pub name: Option<String>,
    /// Whom it is prepared for.
    pub client: Option<String>,
    /// Where the roof is.
    pub address: Option<String>,
    /// The date to print, as text.
    pub date: Option<String>,
    /// The revision.
    pub revision: Option<String>,
    /// Who drew it.
    pub drawn_by: Option<String>,
    /// Who checked it.
    pub checked_by: Option<String>,
    /// The document's number.
    pub document: Option<String>,
    /// The status to print, such as `For approval`.
    pub status: Option<String>,
    /// Who offers.
    pub contractor: Option<String>,
    /// The address of who offers.
    pub contractor_address: Option<String>,
}

/// `[plan]`: how the traced plan is to be read. The command line wins over it.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Plan {
    /// The units of every number written.
    pub units: Option<UnitSystem>,
    /// The scale, as `--scale` takes it.
    pub scale: Option<String>,
    /// The pitch of every face (or outline side) without a label of its own, as `--pitch` takes it.
    pub pitch: Option<String>,
    /// What the outline of the plan follows; the eaves where nothing is said.
    pub traced: Option<Traced>,
    /// How far the eaves reach beyond the wall's outside face, in plan. With `traced = "walls"` the outline is moved out by it;
    /// in any case the ice barrier reaches from the eave's edge over it.
    pub eave_overhang: Option<LengthText>,
    /// How far the rakes reach beyond the wall's outside face, in plan.
    pub rake_overhang: Option<LengthText>,
    /// The compass bearing of the drawing's upward direction, in degrees: 0 when north is up.
    pub north_deg: Option<f64>,
    /// The plan is an outline alone: hips, valleys and ridges are to be built.
    pub outline: Option<bool>,
    /// Which shapes are roof lines, as `--roof` takes them.
    pub roof: Vec<String>,
    /// Which shapes are not, as `--ignore` takes them.
    pub ignore: Vec<String>,
    /// What happens where two faces of an outline roof catch up with each other.
    pub catch_up: Option<CatchUp>,
    /// The snap tolerance in true length; found by the program where nothing is said.
    pub tolerance: Option<LengthText>,
    /// Whether lines are moved so that the planes meet.
    pub adjust: Option<bool>,
    /// Whether the likeliest falls are taken where the drawing does not decide.
    pub accept_falls: Option<bool>,
}

impl Plan {
    /// Told where the walls would stand past the middle of the roof's largest slope: then the overhang, or its unit, is a
    /// slip.
    pub fn doubt(&self, roof: &Roof) -> Option<Finding> {
        let overhang_ft = self.eave_overhang?.to_feet();
        let area = |f: &&Face| f.plan_area.to_square_feet();
        let sloped = roof.faces.iter().filter(|f| !f.is_flat());
        let face = sloped.max_by(|a, b| area(a).total_cmp(&area(b)))?;
        let corners = face.outline.plan();
        let (near, far) = ring::reach(&corners, face.fall()?);
        let (per_foot, unit) = match self.units {
            Some(UnitSystem::Metres) => (METRES_PER_FOOT, "m"),
            _ => (1.0, "ft"),
        };
        let length = |feet: f64| format!("{} {unit}", decimal(feet * per_foot, 2));
        (overhang_ft > (far - near) / 2.0).then(|| {
            Finding::warning(
                "overhang-past-middle",
                format!(
                    "An eave overhang of {} puts the walls past the middle of face {}, which is {} deep in plan.",
                    length(overhang_ft),
                    face.name,
                    length(far - near)
                ),
            )
            .remedy("Correct `eave_overhang` under [plan] in the job file, or its unit.")
        })
    }
}

/// The units of every number written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum UnitSystem {
    /// Feet and inches.
    #[serde(rename = "ft")]
    Feet,
    /// Metres.
    #[serde(rename = "m")]
    Metres,
}

/// What the outline of a plan follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Traced {
    /// The eave edge: fascia and overhang are inside.
    Eaves,
    /// The outside face of the walls.
    Walls,
}

/// What happens where two faces of an outline roof catch up with each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CatchUp {
    /// The wider face goes on.
    Wider,
    /// The shallower face goes on.
    Shallower,
    /// The plan is refused.
    Refuse,
}
