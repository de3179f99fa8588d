//! Which faces the words of an area mean: those that stand apart, by where the text stands, or those whose area it is.

use super::cause::FaceSet;
use super::counting;
use super::settings::ReviewSettings;
use super::stated::{Subject, SurfaceSaid, all_faces, computed, meets};
use crate::drawing::text::{AreaText, Share};
use crate::geometry::Sets;
use crate::roof::{EdgeClass, Face, FaceId, Roof, SlopeLimits};

type Faces = Vec<FaceId>;

/// What an area is of whose words name no part of the roof: all of it, or the share that they give. `None` where that may be
/// several things and the figure is none of them.
pub(super) fn of_share(read: &AreaText, roof: &Roof, settings: &ReviewSettings) -> Option<Subject> {
    let all = all_faces(roof);
    let (mut sets, may_be_all) = match read.share {
        None => return Some(Subject::Roof),
        Some(Share::Main) => (main(roof), true),
        Some(Share::Sloped) => (vec![all.clone(), sloped(roof)], true),
        Some(Share::Shingled) => (vec![sloped(roof), shingled(roof)], false),
        Some(Share::Several) => (Vec::new(), true),
    };
    sets.retain(|faces| !faces.is_empty());
    let is_one = sets.windows(2).all(|two| two[0] == two[1]);
    let only = sets.first().filter(|_| is_one).cloned();
    if may_be_all {
        sets.push(all.clone());
    }
    let meant = agreeing(read, &sets, roof, settings).or(only)?;
    if meant == all {
        return Some(Subject::Roof);
    }
    FaceSet::of(&meant).map(Subject::Part)
}

/// The main roof may be all of its building, its lowest level, or the slopes that hang together over ridges and hips without
/// the wings and porches that stand on them.
fn main(roof: &Roof) -> Vec<Faces> {
    let buildings = counting::buildings(roof);
    let building = largest(&buildings, roof).unwrap_or_else(|| all_faces(roof));
    let own = |id: &FaceId| building.contains(id);
    let lowest = building.iter().map(|&id| roof.face(id).level).min();
    let at_lowest = |id: &FaceId| Some(roof.face(*id).level) == lowest;
    let bodies: Vec<Faces> = bodies(roof)
        .into_iter()
        .filter(|body| body.iter().all(own))
        .collect();
    let lowest = building.iter().copied().filter(at_lowest).collect();
    let body = largest(&bodies, roof).unwrap_or_default();
    vec![building, lowest, body]
}

/// Where an area of a named part stands.
pub(super) struct Standing {
    /// The face in or beside which it stands.
    pub(super) face: Option<FaceId>,
    /// Whether it stands in it.
    pub(super) within: bool,
}

/// What an area is of whose words name a part of a building, or the flat roof, and which is not one face's. In a face it is that of
/// what parts off there from the rest; elsewhere that of any such part. `None` where that is not known.
pub(super) fn of_part(
    read: &AreaText,
    at: &Standing,
    roof: &Roof,
    settings: &ReviewSettings,
) -> Option<Subject> {
    let apart = at.face.and_then(|face| part_apart(roof, face));
    let sets = match (read.part, at.face.filter(|_| at.within)) {
        (Some("flat"), _) => vec![flat(roof)],
        (Some("main"), _) => main(roof),
        (Some("lower"), _) => vec![lower(roof)],
        (_, Some(face)) => holding(roof, face),
        (_, None) => parts(roof),
    };
    let by_figure = agreeing(read, &sets, roof, settings);
    let meant = by_figure.or_else(|| apart.filter(|_| is_of_a_roof(read)))?;
    FaceSet::of(&meant).map(Subject::Part)
}

/// Whether an area is a roof's by its words. A room or a floor has the name of the part that it is in (`GARAGE 528 SF`, `UPPER
/// 700 SF`): its area is only then the roof's where it is as large as the roof on the slope.
pub(super) fn is_of_a_roof(read: &AreaText) -> bool {
    read.of_roof || !read.of_building_part
}

/// The surfaces on which an area may be one of a roof's.
pub(super) fn surfaces(read: &AreaText) -> &'static [SurfaceSaid] {
    match (is_of_a_roof(read), read.plan) {
        (true, _) => &[SurfaceSaid::True, SurfaceSaid::Plan],
        (false, false) => &[SurfaceSaid::True],
        (false, true) => &[],
    }
}

/// The first of some sets of faces whose area it is; on the slope before any in plan.
fn agreeing(
    read: &AreaText,
    sets: &[Faces],
    roof: &Roof,
    settings: &ReviewSettings,
) -> Option<Faces> {
    surfaces(read).iter().find_map(|&surface| {
        let is = |faces: &&Faces| meets(read, computed(roof, faces, surface), settings);
        sets.iter()
            .filter(|faces| !faces.is_empty())
            .find(is)
            .cloned()
    })
}

/// The faces of a garage, a dormer or the like by one of them, where the drawing parts them from the rest: those of a higher
/// level that hang together, or a building that stands apart and is not the largest.
fn part_apart(roof: &Roof, face: FaceId) -> Option<Faces> {
    if roof.face(face).level > 0 {
        return Some(counting::on_its_level(roof, face));
    }
    let buildings = counting::buildings(roof);
    let own = buildings.iter().find(|faces| faces.contains(&face))?;
    (largest(&buildings, roof).as_ref() != Some(own)).then(|| own.clone())
}

/// The parts of the roof in which a face lies: what stands apart, its building where there are several, the slopes that hang
/// together where there are larger ones.
fn holding(roof: &Roof, face: FaceId) -> Vec<Faces> {
    let buildings = counting::buildings(roof);
    let building = (buildings.len() > 1).then(|| {
        let own = buildings.iter().find(|faces| faces.contains(&face));
        own.cloned()
    });
    let bodies = bodies(roof);
    let most = largest(&bodies, roof);
    let body = bodies.into_iter().find(|body| body.contains(&face));
    let body = body.filter(|body| Some(body) != most.as_ref());
    let all = [part_apart(roof, face), building.flatten(), body];
    all.into_iter().flatten().collect()
}

/// Every part of the roof but the largest of its kind: buildings, what hangs together on a higher level, all that is higher, and
/// slopes that hang together.
fn parts(roof: &Roof) -> Vec<Faces> {
    let higher = chosen(roof, |face| face.level > 0);
    let but_largest = |sets: Vec<Faces>| {
        let most = largest(&sets, roof);
        let others = sets.into_iter().filter(move |s| Some(s) != most.as_ref());
        others.collect::<Vec<Faces>>()
    };
    let mut all = but_largest(counting::buildings(roof));
    for &face in &higher {
        let level = counting::on_its_level(roof, face);
        if !all.contains(&level) {
            all.push(level);
        }
    }
    all.push(higher);
    all.extend(but_largest(bodies(roof)));
    all
}

/// Slopes that hang together over ridges and hips: a main roof without its wings, dormers and porches, or one of these.
fn bodies(roof: &Roof) -> Vec<Faces> {
    let mut sets = Sets::new(roof.faces.len());
    let over = |class: EdgeClass| matches!(class, EdgeClass::Ridge | EdgeClass::Hip);
    for edge in roof.edges.iter().filter(|e| over(e.class)) {
        for two in edge.faces.windows(2) {
            sets.join(two[0].0, two[1].0);
        }
    }
    let mut all: Vec<Faces> = Vec::new();
    for (face, number) in sets.numbered().into_iter().enumerate() {
        all.resize(all.len().max(number + 1), Vec::new());
        all[number].push(FaceId(face));
    }
    all
}

/// The set of the largest plan area; the first of equal ones.
fn largest(sets: &[Faces], roof: &Roof) -> Option<Faces> {
    let plan = |faces: &Faces| computed(roof, faces, SurfaceSaid::Plan);
    let mut most: Option<(f64, &Faces)> = None;
    for faces in sets {
        let sqft = plan(faces);
        if most.is_none_or(|(so_far, _)| sqft > so_far) {
            most = Some((sqft, faces));
        }
    }
    most.map(|(_, faces)| faces.clone())
}

fn chosen(roof: &Roof, is: impl Fn(&Face) -> bool) -> Faces {
    let all = all_faces(roof).into_iter();
    all.filter(|&id| is(roof.face(id))).collect()
}

/// All that is on no higher level.
fn lower(roof: &Roof) -> Faces {
    chosen(roof, |face| face.level == 0)
}

fn flat(roof: &Roof) -> Faces {
    chosen(roof, Face::is_flat)
}

fn sloped(roof: &Roof) -> Faces {
    chosen(roof, |face| !face.is_flat())
}

/// The faces on which shingles are allowed where the job says nothing else.
fn shingled(roof: &Roof) -> Faces {
    let limits = SlopeLimits::default();
    chosen(roof, |face| !limits.refuses_shingles(face))
}
