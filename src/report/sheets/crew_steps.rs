//! The order of work on a face, from the list of materials.

use super::crew_sheet::Crew;
use crate::courses::EdgeKind;
use crate::materials::{
    MaterialLine, MaterialList, Product, RIDGE_VENT_SHORT_FT, Work, layers_that_stay,
    step_length_at_least_in,
};
use crate::roof::EdgeClass;
use crate::units::number::{counted, listed};

/// A step of the work: what it is, and what to mind.
pub(super) type Step = (&'static str, String);

/// One item, two steps: below openings as the courses reach them, at a wall over the last course, when all courses lie.
const APRON: &str = "apron_flashing";
/// The allowance for mending the deck.
const DECK_SHEET: &str = "deck_sheet";
/// What comes next after the apron at a wall.
const AFTER_WALL_APRON: &str = "counterflashing";

/// The items that are a step of the work, in its order. Nails are told beside the edges; cap nails and roof sheets for
/// mending with what they go into.
const ORDER: [&str; 22] = [
    "drip_edge_eave",
    "self_adhered_sheet",
    "valley_smooth_roll",
    "valley_mineral_roll",
    "underlayment",
    "valley_metal",
    "drip_edge_rake",
    "pitch_change_flashing",
    "starter",
    "kick_out",
    "sidewall_flashing",
    "shingles",
    "pipe_boot",
    APRON,
    "step_flashing",
    "cricket",
    "head_flashing",
    AFTER_WALL_APRON,
    "roof_cement",
    "sealant",
    "ridge_vent",
    "hip_ridge_cap",
];

/// The step on both faces that meet there.
const PITCH_CHANGE: &str = "Flashing at the pitch change";

impl Crew<'_> {
    /// What is done on this face before, between and after the courses, as the list of materials has it.
    pub(super) fn sequence(&self) -> Vec<Step> {
        let Some(materials) = self.report.inputs().materials else {
            return Vec::new();
        };
        let mut steps: Vec<Step> = Vec::new();
        if let Some(off) = materials.tear_off {
            let layers = counted(off.layers as usize, "layer");
            let is_mended = materials.lines.iter().any(|line| line.key == DECK_SHEET);
            let mend = if is_mended {
                "; then mend the deck"
            } else {
                ""
            };
            // The offer may leave it to others: then it has no hours.
            let offer = self.report.inputs().offer;
            steps.push(
                match offer.is_none_or(|o| o.cost.has_labour(Work::TearOff)) {
                    true => (
                        "Tear off",
                        format!("{layers}, once tested for asbestos{mend}"),
                    ),
                    false => (
                        "Old roofing",
                        format!("{layers}, taken off by others before you start{mend}"),
                    ),
                },
            );
        }
        if materials.layers_kept > 0 {
            steps.push((
                "Old roofing",
                format!(
                    "the new roof goes over {}",
                    layers_that_stay(materials.layers_kept)
                ),
            ));
        }
        for key in ORDER {
            if key == AFTER_WALL_APRON && self.headwalls().any(|at_top| at_top) {
                let how = format!("over the last course{}", self.lap_words(APRON));
                steps.push(("Apron, wall", how));
            }
            if self.lines_of(key).next().is_some() {
                self.steps_of(key, materials, &mut steps);
            }
        }
        // Caps cut from field shingles are no line of their own.
        let of_shingles = self.classes("shingles");
        if let Some(how) = caps(&of_shingles) {
            let shows = self.inches(self.courses.format.exposure_in);
            steps.push((
                "Caps, cut from shingles",
                format!("{how}; {shows} of each shows"),
            ));
        }
        steps
    }

    /// The lines of the list with a key that this face or an edge of it feeds.
    pub(super) fn lines_of<'c>(&'c self, key: &'c str) -> impl Iterator<Item = &'c MaterialLine> {
        let lines = self.report.inputs().materials.map_or(&[][..], |m| &m.lines);
        lines.iter().filter(move |line| {
            line.key == key
                && (line.faces.iter().any(|(_, face)| *face == self.layout.face)
                    || self.classes_of(line).next().is_some())
        })
    }

    /// The classes of this face's edges that feed a line.
    pub(super) fn classes_of<'c>(
        &'c self,
        line: &'c MaterialLine,
    ) -> impl Iterator<Item = EdgeClass> {
        let edges = line
            .edges
            .iter()
            .map(|(_, id)| self.report.roof().edge(*id));
        edges
            .filter(|edge| edge.faces.contains(&self.layout.face))
            .map(|edge| edge.class)
    }

    /// The classes of this face's edges that feed the lines with a key.
    fn classes(&self, key: &str) -> Vec<EdgeClass> {
        let lines = self.report.inputs().materials.map_or(&[][..], |m| &m.lines);
        lines
            .iter()
            .filter(|line| line.key == key)
            .flat_map(|line| self.classes_of(line))
            .collect()
    }

    /// Whether an edge of a class on this face feeds an item.
    pub(super) fn is_fed(&self, key: &str, class: EdgeClass) -> bool {
        self.classes(key).contains(&class)
    }

    /// The steps that an item of this face is used in.
    fn steps_of(&self, key: &str, materials: &MaterialList, steps: &mut Vec<Step>) {
        let mut tell = |what: &'static str, how: String| steps.push((what, how));
        let is_fed = |class: EdgeClass| self.is_fed(key, class);
        match key {
            "drip_edge_eave" => tell(
                "Drip edge, eaves",
                format!("{}{}", self.under_sheets(materials), self.lap_words(key)),
            ),
            "self_adhered_sheet" => {
                if let Some(reach) = self.ice(materials) {
                    tell("Self-adhered sheet, eaves", reach);
                }
                if is_fed(EdgeClass::Valley) {
                    tell(
                        "Self-adhered sheet, valleys",
                        "one width, centred, from below, over the whole length".to_owned(),
                    );
                }
            }
            "valley_smooth_roll" => tell("Valley lining", "centred, from below".to_owned()),
            // IRC R905.2.8.2(2).
            "valley_mineral_roll" => tell(
                "Valley lining",
                format!(
                    "two plies, centred, from below: half a width under, {} at least, then a whole width over it, {} at least",
                    self.inches(18.0),
                    self.inches(36.0)
                ),
            ),
            "valley_metal" => tell(
                "Valley lining",
                format!(
                    "metal, {}{}; centred, from below{}",
                    self.over_sheets(materials),
                    self.through_valley(materials),
                    self.lap_words(key)
                ),
            ),
            "underlayment" => tell("Underlayment", self.underlayment(materials)),
            "drip_edge_rake" => {
                let what = match (is_fed(EdgeClass::Rake), is_fed(EdgeClass::HighEdge)) {
                    (true, true) => "Drip edge, rakes and high edge",
                    (false, true) => "Drip edge, high edge",
                    (_, false) => "Drip edge, rakes",
                };
                tell(
                    what,
                    format!("{}{}", self.over_sheets(materials), self.lap_words(key)),
                );
            }
            "pitch_change_flashing" if self.begins_at_pitch_change() => tell(
                PITCH_CHANGE,
                "over the roofing of the face below, under the first course here".to_owned(),
            ),
            "starter" => {
                let places = [
                    (EdgeClass::Eave, "eaves"),
                    (EdgeClass::PitchChange, "the pitch change"),
                    (EdgeClass::Rake, "rakes"),
                ];
                let places: Vec<&str> = places
                    .into_iter()
                    .filter_map(|(class, at)| is_fed(class).then_some(at))
                    .collect();
                let at = match places[..] {
                    [] | ["eaves"] => String::new(),
                    _ => format!("at {}; ", listed(&places, "and")),
                };
                let clear = self.inches(self.courses.rules.joint_distance_in);
                tell(
                    "Starter",
                    format!("{at}joints {clear} at least from those of course 1"),
                );
            }
            "shingles" => {
                tell("Courses", "as told below".to_owned());
                let flashed = self.lines_of("pitch_change_flashing").next().is_some();
                if flashed && self.ends_at_pitch_change() {
                    tell(
                        PITCH_CHANGE,
                        "over the last course, before the face above is begun".to_owned(),
                    );
                }
            }
            "pipe_boot" => tell("Pipe boots", "as the courses reach them".to_owned()),
            APRON if self.is_fed_by_face(key) || self.headwalls().any(|at_top| !at_top) => tell(
                match (
                    self.is_fed_by_face(key),
                    self.headwalls().any(|at_top| !at_top),
                ) {
                    (true, true) => "Apron, openings and wall",
                    (true, false) => "Apron, openings",
                    (false, _) => "Apron, wall in the face",
                },
                format!(
                    "over the course below, as the courses reach it{}{}",
                    self.past_words(key),
                    self.lap_words(key)
                ),
            ),
            "kick_out" => tell(
                "Kick-out",
                "over the starter at the foot of the wall, before its other flashing".to_owned(),
            ),
            "step_flashing" => {
                let is_metric = self.report.units().is_metric();
                let length_in = step_length_at_least_in(&self.courses.format, is_metric);
                let length = self.inches(length_in);
                let how = format!("one piece with every course, each {length} long at the least");
                tell("Step flashing", how);
            }
            "sidewall_flashing" => tell(
                "Sidewall flashing",
                format!("before the courses along it{}", self.lap_words(key)),
            ),
            "cricket" => tell("Cricket", "before the courses above it".to_owned()),
            "head_flashing" => tell(
                "Head flashing",
                format!(
                    "above the opening, under the courses there{}{}",
                    self.past_words(key),
                    self.lap_words(key)
                ),
            ),
            AFTER_WALL_APRON => tell(
                "Counterflashing",
                format!(
                    "into the wall or chimney, over the other flashing{}",
                    self.lap_words(key)
                ),
            ),
            // The side of a closed-cut valley that runs through has no cut edge.
            "roof_cement" if self.cuts_at_valleys() => tell(
                "Roof cement",
                "under the cut edge, all along the valley".to_owned(),
            ),
            "sealant" => {
                let has = |is: bool, what: &'static str| is.then_some(what);
                let roof = self.report.roof();
                let id = self.layout.face;
                let round = [
                    has(roof.penetrations.iter().any(|p| p.face == id), "pipes"),
                    has(
                        roof.openings.iter().any(|o| o.faces.contains(&id)),
                        "openings",
                    ),
                ];
                let round: Vec<&str> = round.into_iter().flatten().collect();
                let how = match round[..] {
                    [] => "where flashings meet the wall".to_owned(),
                    _ => format!("round {}", listed(&round, "and")),
                };
                tell("Sealant", how);
            }
            "ridge_vent" => tell(
                "Ridge vent",
                format!(
                    "slot as wide as the vent's maker says; slot and vent {} short of each end of the ridge",
                    self.inches(RIDGE_VENT_SHORT_FT * 12.0)
                ),
            ),
            "hip_ridge_cap" => {
                if let Some(how) = caps(&self.classes(key)) {
                    let shows = self.products(key).find_map(|product| product.exposure);
                    let shows = shows.map_or_else(String::new, |exposure| {
                        format!("; {} of each shows", self.inches(exposure.to_inches()))
                    });
                    tell("Caps", format!("{how}{shows}"));
                }
            }
            _ => {}
        }
    }

    /// What the catalog says of the lines with a key that this face feeds.
    fn products<'c>(&'c self, key: &'c str) -> impl Iterator<Item = &'c Product> {
        self.lines_of(key).map(|line| &line.product)
    }

    /// `; ends lapped 2″`, where the catalog names a lap.
    fn lap_words(&self, key: &str) -> String {
        let lap = self.products(key).find_map(|product| product.end_lap);
        lap.map_or_else(String::new, |lap| {
            format!("; ends lapped {}", self.inches(lap.to_inches()))
        })
    }

    /// `; 4″ past both its ends`, where the catalog names so much.
    fn past_words(&self, key: &str) -> String {
        let past = self.products(key).find_map(|product| product.past_ends);
        past.map_or_else(String::new, |past| {
            format!("; {} past each side", self.inches(past.to_inches()))
        })
    }

    /// The headwalls of this face that have an apron: whether each is at the top of the face, where no course comes after it,
    /// and not in its middle, as the front of a dormer is.
    fn headwalls(&self) -> impl Iterator<Item = bool> {
        const AS_HIGH_FT: f64 = 0.1;
        let (roof, face) = (self.report.roof(), self.layout.face);
        let corners = roof.face(face).outline.corners.iter();
        let top = corners.map(|c| c.z).fold(f64::NEG_INFINITY, f64::max);
        let fed = self.lines_of(APRON).flat_map(|line| &line.edges);
        fed.map(|(_, id)| roof.edge(*id))
            .filter(move |edge| edge.class == EdgeClass::Headwall && edge.faces.contains(&face))
            .map(move |edge| edge.start.z.max(edge.end.z) > top - AS_HIGH_FT)
    }

    /// Whether this face itself, not one of its edges, feeds an item.
    fn is_fed_by_face(&self, key: &str) -> bool {
        self.lines_of(key)
            .any(|line| line.faces.iter().any(|(_, face)| *face == self.layout.face))
    }

    fn cuts_at_valleys(&self) -> bool {
        [EdgeKind::ValleyCut, EdgeKind::ValleyOpen]
            .into_iter()
            .any(|kind| self.unfolded.has(kind))
    }
}

/// Caps over the hips and ridges among classes of edges.
fn caps(classes: &[EdgeClass]) -> Option<&'static str> {
    match (
        classes.contains(&EdgeClass::Hip),
        classes.contains(&EdgeClass::Ridge),
    ) {
        (true, true) => Some("hips first, from below; then the ridge"),
        (true, false) => Some("over the hips, from below"),
        (false, true) => Some("over the ridge"),
        (false, false) => None,
    }
}
