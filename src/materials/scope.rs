//! What is done, in sentences: each of the lines of the order, and so of nothing that is in no price.

use std::collections::BTreeSet;

use super::cost::{CostInputs, CostSheet};
use super::overlay::layers_that_stay;
use super::words::{Words, figure};
use super::work::{CONTAINER, Work};
use super::{Item, MaterialLine, MaterialList};
use crate::roof::{EdgeClass, EdgeId, Face, FaceId};
use crate::units::number::{counted, listed};

/// What is done, one sentence each. Where the job says that laying takes no hours, material alone is offered.
pub(super) fn scope(inputs: &CostInputs<'_>, cost: &CostSheet, words: Words) -> Vec<String> {
    let order = Order { inputs };
    let lays = cost.has_labour(Work::Shingles);
    let done = |laid: String, delivered: String| if lays { laid } else { delivered };
    let mut said = Vec::new();
    said.extend(taken_off(inputs, cost, words));
    said.extend(order.shingles(lays));
    if order
        .lines(Item::SelfAdhered)
        .any(|l| l.rules.contains(&"ice-barrier"))
    {
        said.push(done(
            "Lay self-adhered sheet along the eaves against ice.".to_owned(),
            "Deliver self-adhered sheet against ice along the eaves.".to_owned(),
        ));
    }
    let edges: Vec<String> = [Item::DripEdgeEave, Item::DripEdgeRake]
        .into_iter()
        .filter_map(|item| order.edge_metal(item))
        .collect();
    if !edges.is_empty() {
        let edges = edges.join(" and ");
        said.push(done(
            format!("Fit new edge metal to {edges}."),
            format!("Deliver edge metal for {edges}."),
        ));
    }
    let valleys = order.valleys_ft();
    if valleys > 0.0 {
        let valleys = words.run(valleys);
        said.push(done(
            format!("Line {valleys} of valley."),
            format!("Deliver the lining of {valleys} of valley."),
        ));
    }
    let flashed = order.flashed();
    if !flashed.is_empty() {
        let flashed = listed(&flashed, "and");
        let (on, crickets) = (order.on_shingled(), order.crickets().done());
        said.push(done(
            format!("Flash {flashed} anew{on}{crickets}."),
            format!("Deliver flashing for {flashed}{on}{crickets}."),
        ));
    }
    if let Some(pipes) = order.booted() {
        said.push(done(
            format!("Fit new boots to {pipes}."),
            format!("Deliver boots for {pipes}."),
        ));
    }
    if order.has(Item::RidgeVent) {
        said.push(done(
            "Vent the ridges.".to_owned(),
            "Deliver vents for the ridges.".to_owned(),
        ));
    }
    said
}

/// What is not done: the work that takes no hours and the hauling that costs nothing, as the job says; the crickets that it
/// leaves out; and the faces that no shingles are ordered for.
pub(super) fn left_out(inputs: &CostInputs<'_>, cost: &CostSheet, words: Words) -> Vec<String> {
    let is_new = inputs.list.tear_off.is_none();
    let strips = is_new || cost.has_labour(Work::TearOff);
    let hauls = is_new || is_hauled(cost);
    let lays = inputs.faces().is_empty() || cost.has_labour(Work::Shingles);
    let mut said: Vec<String> = [
        (strips, "Taking off the old roofing."),
        (hauls, "Hauling the old roofing away."),
        (lays, "Laying the roof: material alone is offered."),
    ]
    .into_iter()
    .filter(|(done, _)| !done)
    .map(|(_, words)| words.to_owned())
    .collect();
    let order = Order { inputs };
    said.extend(order.crickets().left_out());
    said.extend(bare_faces(&order, words));
    said
}

/// That faces take no shingles of this order, by their names and area.
fn bare_faces(order: &Order<'_>, words: Words) -> Option<String> {
    let bare = order.bare_faces();
    let squares: f64 = bare.iter().map(|(_, f)| f.true_area.to_squares()).sum();
    let names: Vec<String> = (bare.iter())
        .map(|(roof, face)| match order.inputs.list.plan_of(*roof) {
            Some(plan) => format!("{} of {plan}", face.name),
            None => face.name.clone(),
        })
        .collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let area = words.surface(squares * 100.0);
    match names.as_slice() {
        [] => None,
        [name] => Some(format!(
            "Face {name}, {area}, on which no shingles are laid, and what stands on it."
        )),
        names => Some(format!(
            "Faces {}, {area}, on which no shingles are laid, and what stands on them.",
            listed(names, "and")
        )),
    }
}

/// Whether what is taken off is hauled away at a price, or nobody has said yet at which.
fn is_hauled(cost: &CostSheet) -> bool {
    let mut hauled = cost.materials.iter().filter(|l| l.key == CONTAINER);
    hauled.any(|l| l.amount.is_none_or(|a| !a.is_zero()))
}

/// Taking off and hauling away, as far as either is in the price.
fn taken_off(inputs: &CostInputs<'_>, cost: &CostSheet, words: Words) -> Option<String> {
    let torn = inputs.list.tear_off?;
    let strips = cost.has_labour(Work::TearOff);
    let hauls = is_hauled(cost);
    let layers = counted(torn.layers as usize, "layer");
    let squares = words.squares(torn.squares);
    let roofing = format!("{layers} of roofing from {squares}");
    match (strips, hauls) {
        (true, true) => Some(format!("Take off {roofing} and haul it away.")),
        (true, false) => Some(format!("Take off {roofing}.")),
        (false, true) => Some(format!("Haul away {roofing}, which others take off.")),
        (false, false) => None,
    }
}

/// Whether caps are cut from the field shingles ordered.
pub(super) fn caps_from_field(list: &MaterialList) -> bool {
    let mut shingles = list.lines.iter().filter(|l| l.key == Item::Shingles.key());
    shingles.any(|l| l.rules.contains(&"caps"))
}

/// How many chimneys are wide enough for a cricket, and how many have one.
#[derive(Clone, Copy, Debug, Default)]
struct Crickets {
    wide: usize,
    /// Those of them on faces that shingles are ordered for.
    on_shingled: usize,
    ordered: usize,
    drawn: usize,
}

impl Crickets {
    /// As the flashing's sentence ends, where crickets are ordered.
    fn done(self) -> String {
        let Self { wide, ordered, .. } = self;
        match (ordered, ordered + self.drawn) {
            (0, _) => String::new(),
            (_, some) if some < wide => {
                format!(", with a cricket behind {some} of the {wide} wide chimneys")
            }
            _ => ", with a cricket behind each wide chimney".to_owned(),
        }
    }

    /// That some of those where shingles are laid have none.
    fn left_out(self) -> Option<String> {
        let all = self.on_shingled;
        match all.saturating_sub(self.ordered + self.drawn) {
            0 => None,
            1 if all == 1 => Some("A cricket behind the wide chimney.".to_owned()),
            some if some == all => Some("Crickets behind the wide chimneys.".to_owned()),
            some => Some(format!(
                "Crickets behind {some} of the {all} wide chimneys."
            )),
        }
    }
}

struct Order<'a> {
    inputs: &'a CostInputs<'a>,
}

impl<'a> Order<'a> {
    /// The lines of an item: one, or one a variant.
    fn lines(&self, item: Item) -> impl Iterator<Item = &'a MaterialLine> {
        let lines = self.inputs.list.lines.iter();
        lines.filter(move |l| l.key == item.key())
    }

    fn has(&self, item: Item) -> bool {
        self.lines(item).next().is_some()
    }

    /// The faces that shingles are ordered for.
    fn shingled(&self) -> BTreeSet<(usize, FaceId)> {
        let shingles = self.lines(Item::Shingles);
        shingles.flat_map(|l| l.faces.iter().copied()).collect()
    }

    /// The faces that nothing of the shingles ordered is for, each with the index of its roof.
    fn bare_faces(&self) -> Vec<(usize, &'a Face)> {
        let shingled = self.shingled();
        let roofs = self.inputs.roofs.iter().enumerate();
        roofs
            .flat_map(|(i, roof)| {
                let faces = roof.faces.iter().enumerate();
                faces.map(move |(face, of)| ((i, FaceId(face)), of))
            })
            .filter(|(id, _)| !shingled.contains(id))
            .map(|((roof, _), face)| (roof, face))
            .collect()
    }

    /// Where flashing is ordered, if not on all faces.
    fn on_shingled(&self) -> &'static str {
        match self.bare_faces().is_empty() {
            true => "",
            false => " where shingles are laid",
        }
    }

    /// Behind which of the wide chimneys a cricket is ordered, or drawn and shingled as part of the roof.
    fn crickets(&self) -> Crickets {
        let ordered: f64 = self.lines(Item::Cricket).map(|l| l.needed).sum();
        let shingled = self.shingled();
        let mut crickets = Crickets {
            ordered: ordered.round() as usize,
            ..Crickets::default()
        };
        for (i, roof) in self.inputs.roofs.iter().enumerate() {
            for opening in roof.openings.iter().filter(|o| o.takes_cricket()) {
                let mut faces = opening.faces.iter();
                let is_shingled = faces.any(|face| shingled.contains(&(i, *face)));
                let is_drawn = is_shingled && roof.draws_cricket_of(opening);
                crickets.wide += 1;
                crickets.on_shingled += usize::from(is_shingled);
                crickets.drawn += usize::from(is_drawn);
            }
        }
        crickets
    }

    /// How many of the pipes have a boot ordered; `None` where none has.
    fn booted(&self) -> Option<String> {
        let ordered: f64 = self.lines(Item::PipeBoot).map(|l| l.needed).sum();
        let roofs = self.inputs.roofs.iter();
        let drawn: usize = roofs.map(|roof| roof.penetrations.len()).sum();
        match ordered.round() as usize {
            0 => None,
            some if some < drawn => Some(format!("{some} of the {drawn} pipes drawn")),
            _ => Some("all pipes drawn".to_owned()),
        }
    }

    /// What the flashing ordered lies along.
    fn flashed(&self) -> Vec<&'static str> {
        let bent = [
            Item::StepFlashing,
            Item::SidewallFlashing,
            Item::Apron,
            Item::KickOut,
            Item::HeadFlashing,
            Item::Cricket,
            Item::Counterflashing,
        ];
        let lines = || bent.into_iter().flat_map(|item| self.lines(item));
        // What lies along the roof's own edges names them; what lies round an opening names its faces.
        [
            (lines().any(|l| !l.edges.is_empty()), "walls"),
            (lines().any(|l| !l.faces.is_empty()), "openings"),
            (self.has(Item::PitchChangeFlashing), "pitch changes"),
        ]
        .into_iter()
        .filter_map(|(is_flashed, what)| is_flashed.then_some(what))
        .collect()
    }

    fn shingles(&self, lays: bool) -> Option<String> {
        let formats: Vec<String> = self
            .lines(Item::Shingles)
            .map(|l| l.item.to_lowercase())
            .collect();
        if formats.is_empty() {
            return None;
        }
        let list = self.inputs.list;
        let has_caps = self.has(Item::Caps) || caps_from_field(list);
        let besides: Vec<&str> = [
            (self.has(Item::Underlayment), "underlayment"),
            (self.has(Item::Starter), "starter"),
            (has_caps, "caps"),
        ]
        .into_iter()
        .filter_map(|(is_there, words)| is_there.then_some(words))
        .collect();
        let with = if besides.is_empty() {
            String::new()
        } else {
            format!(", with {}", listed(&besides, "and"))
        };
        let over = match list.layers_kept {
            0 => String::new(),
            layers => format!(", over {}", layers_that_stay(layers)),
        };
        let (lay, on) = if lays {
            ("Lay", "on")
        } else {
            ("Deliver", "for")
        };
        Some(format!(
            "{lay} {} {on} {}{over}{with}.",
            formats.join(" and "),
            counted(self.inputs.faces().len(), "roof face"),
        ))
    }

    /// `80 ft of eave`: what of an edge metal's line lies on the roof, and along which edges.
    fn edge_metal(&self, item: Item) -> Option<String> {
        let line = self.lines(item).next()?;
        let classes: BTreeSet<EdgeClass> = (line.edges.iter())
            .filter_map(|at| self.edge(at).map(|(class, _)| class))
            .collect();
        let words: Vec<&str> = classes.into_iter().map(EdgeClass::words).collect();
        Some(format!(
            "{} {} of {}",
            figure(line.needed, 2),
            line.needed_unit,
            listed(&words, "and")
        ))
    }

    /// True length of the valleys that something is ordered for, in feet.
    fn valleys_ft(&self) -> f64 {
        let linings = [
            Item::SelfAdhered,
            Item::ValleySmoothRoll,
            Item::ValleyRoll,
            Item::ValleyMetal,
        ];
        let lined: BTreeSet<&(usize, EdgeId)> = linings
            .into_iter()
            .flat_map(|item| self.lines(item))
            .flat_map(|l| &l.edges)
            .collect();
        lined
            .into_iter()
            .filter_map(|at| self.edge(at))
            .filter(|(class, _)| *class == EdgeClass::Valley)
            .map(|(_, feet)| feet)
            .sum()
    }

    /// Class and true length, in feet, of an edge of one of the roofs.
    fn edge(&self, (roof, edge): &(usize, EdgeId)) -> Option<(EdgeClass, f64)> {
        let edge = self.inputs.roofs.get(*roof)?.edges.get(edge.0)?;
        Some((edge.class, edge.true_length.to_feet()))
    }
}
