//! The order of work on a face, from the list of materials.

use super::crew_sheet::Crew;
use crate::materials::{MaterialLine, MaterialList};

impl Crew<'_> {
    /// What is done on this face before, between and after the courses, as the list of materials has it.
    pub(super) fn sequence(&self) -> Vec<(&'static str, String)> {
        let Some(materials) = self.report.inputs().materials else {
            return Vec::new();
        };
        let roof = self.report.roof();
        let mut steps: Vec<(&'static str, String)> = Vec::new();
        let fed = |line: &MaterialLine| {
            line.faces.iter().any(|(_, face)| *face == self.layout.face)
                || line
                    .edges
                    .iter()
                    .any(|(_, edge)| roof.edge(*edge).faces.contains(&self.layout.face))
        };
        for line in materials.lines.iter().filter(|line| fed(line)) {
            let Some((what, how)) = step(line.key) else {
                continue;
            };
            let how = match line.key {
                "self_adhered_sheet" => self.ice(materials).unwrap_or_else(|| how.to_owned()),
                _ => how.to_owned(),
            };
            if !steps.iter().any(|(other, _)| *other == what) {
                steps.push((what, how));
            }
        }
        steps
    }

    /// How far the ice barrier goes up this face.
    fn ice(&self, materials: &MaterialList) -> Option<String> {
        let ice = materials.ice.iter().find(|i| i.face == self.layout.face)?;
        let s = if ice.rows == 1 { "" } else { "s" };
        Some(format!(
            "{} up the slope at least, {} row{s}",
            self.report.units().length(ice.reach.to_feet()),
            ice.rows,
        ))
    }
}

/// A step of the work by the item that it uses: what it is, and what to mind.
fn step(key: &str) -> Option<(&'static str, &'static str)> {
    Some(match key {
        "drip_edge_eave" => ("Drip edge, eaves", "on the deck, under the sheets"),
        "self_adhered_sheet" => ("Self-adhered sheet", "in the valleys"),
        "valley_smooth_roll" | "valley_mineral_roll" | "valley_metal" => {
            ("Valley lining", "centred, from below")
        }
        "underlayment" => ("Underlayment", "from below, over what lies at the eave"),
        "drip_edge_rake" => ("Drip edge, rakes", "over the underlayment"),
        "starter" => ("Starter", "joints away from those of course 1"),
        "shingles" => ("Courses", "by the starts below"),
        "pipe_boot" => ("Pipe boots", "as the courses reach them"),
        "step_flashing" => ("Step flashing", "one piece with every course"),
        "sidewall_flashing" => ("Sidewall flashing", "before the courses along it"),
        "apron_flashing" => ("Apron", "over the course below it"),
        "cricket" => ("Cricket", "before the courses above it"),
        "ridge_vent" => ("Ridge vent", "short of both ends of the ridge"),
        "hip_ridge_cap" => ("Caps", "hips first, from below; then the ridge"),
        _ => return None,
    })
}
