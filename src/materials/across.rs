//! How the ice barrier goes on where the pitch changes: its reach is level, so what a low face leaves of it lies on the face
//! above, and the last row of the one runs on over the other.

use super::barrier::{Along, Barrier, Foot, HAIR_FT, ONE_LEVEL_FT, common, widths};
use super::frame::{Bound, FlatFace, FlatSide};
use super::site::Site;
use crate::roof::{EdgeClass, Face, FaceId};

/// What is left of the reach, in feet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reach {
    /// Measured level.
    pub(super) level_ft: f64,
    /// Up the slopes at the least.
    pub(super) least_ft: f64,
}

impl Reach {
    /// Up the slope of a face, in feet of true length: level × √(1 + m²).
    pub(super) fn on(self, face: &Face) -> f64 {
        (self.level_ft * face.pitch.slope_factor()).max(self.least_ft)
    }

    /// What is left of it above so much of a face, in feet of true length.
    fn beyond(self, true_ft: f64, face: &Face) -> Self {
        Self {
            level_ft: self.level_ft - true_ft / face.pitch.slope_factor(),
            least_ft: self.least_ft - true_ft,
        }
    }
}

/// The barrier of one face.
pub(super) struct Laid<'f> {
    pub(super) face: FaceId,
    pub(super) barrier: Barrier<'f>,
    /// Its lowest foot, and so where its reach is measured from.
    pub(super) foot: Foot,
    /// Whether the reach goes on over the face above.
    pub(super) goes_on: bool,
}

/// A foot of a face, and the reach that is left there.
#[derive(Clone)]
struct Start {
    foot: Foot,
    left: Reach,
}

/// A pitch change, seen from the face below it and from the one above.
struct Crossing {
    lower: FaceId,
    upper: FaceId,
    /// Its height in either flat face, and where it lies along the lower one.
    levels: (f64, f64),
    along: Along,
    /// From a place along the lower face to the same along the upper one.
    shift: f64,
}

/// Lays the barrier of all faces that take shingles, the lower ones first. `full` is the reach from the eaves of a face.
pub(super) fn lay<'f>(
    site: &Site<'_>,
    flats: &'f [Option<FlatFace>],
    full: impl Fn(&Face) -> Reach,
    sheet: (f64, f64),
) -> Vec<Laid<'f>> {
    let crossings = crossings(site, flats);
    let mut come_in: Vec<Vec<Start>> = vec![Vec::new(); flats.len()];
    let mut come_over: Vec<Vec<(Along, f64, f64)>> = vec![Vec::new(); flats.len()];
    let mut laid = Vec::new();
    for id in upward(flats.len(), &crossings) {
        let Some(flat) = &flats[id.0] else { continue };
        let face = site.roof.face(id);
        let mut starts = eaves(flat, full(face), face);
        starts.append(&mut come_in[id.0]);
        starts.sort_by(|a, b| a.foot.level.total_cmp(&b.foot.level));
        let Some(lowest) = starts.first().map(|s| s.foot.clone()) else {
            continue;
        };
        let mut barrier = Barrier::new(flat, sheet);
        for (along, level, top) in come_over[id.0].drain(..) {
            barrier.comes_over(along, level, top);
        }
        if site.is_shingled(id) {
            let feet: Vec<Foot> = starts.iter().map(|s| s.foot.clone()).collect();
            barrier.lay(&feet);
        }
        let mut goes_on = false;
        for crossing in crossings.iter().filter(|c| c.lower == id) {
            let up = crossing.upper;
            for start in &starts {
                let Some(over) = start.over(crossing, flat, face, site.roof.face(up)) else {
                    continue;
                };
                goes_on = true;
                for along in &over.foot.along {
                    let below = (along.0 - crossing.shift, along.1 - crossing.shift);
                    for (ends, top) in barrier.beyond(below, crossing.levels.0) {
                        let ends = (ends.0 + crossing.shift, ends.1 + crossing.shift);
                        let top = crossing.levels.1 + top - crossing.levels.0;
                        come_over[up.0].push((ends, crossing.levels.1, top));
                    }
                }
                add(&mut come_in[up.0], over);
            }
        }
        if site.is_shingled(id) {
            laid.push(Laid {
                face: id,
                barrier,
                foot: lowest,
                goes_on,
            });
        }
    }
    laid.sort_by_key(|l| l.face);
    laid
}

impl Start {
    /// What comes in over a pitch change on the face above; `None` where the reach ends before it, or beside it.
    fn over(
        &self,
        crossing: &Crossing,
        flat: &FlatFace,
        lower: &Face,
        upper: &Face,
    ) -> Option<Self> {
        let (below, above) = crossing.levels;
        let used = below - self.foot.level;
        let left = self.left.beyond(used, lower);
        let reach = left.on(upper);
        if used < -HAIR_FT || reach < HAIR_FT {
            return None;
        }
        let along: Vec<Along> = widths(flat, &[&self.foot], below, 0.0)
            .into_iter()
            .filter_map(|width| common(width, crossing.along))
            .map(|(l, r)| (l + crossing.shift, r + crossing.shift))
            .collect();
        (!along.is_empty()).then_some(Self {
            foot: Foot {
                level: above,
                reach,
                along,
                is_eave: false,
            },
            left,
        })
    }
}

/// Adds a start to those of a face: to one that begins as high and reaches as far, where there is one.
fn add(starts: &mut Vec<Start>, start: Start) {
    let same = |s: &&mut Start| {
        (s.foot.level - start.foot.level).abs() < ONE_LEVEL_FT
            && (s.foot.reach - start.foot.reach).abs() < HAIR_FT
    };
    match starts.iter_mut().find(same) {
        Some(s) => s.foot.along.extend(start.foot.along),
        None => starts.push(start),
    }
}

/// The eaves of a face, a start for each of their levels.
fn eaves(flat: &FlatFace, full: Reach, face: &Face) -> Vec<Start> {
    let mut levels: Vec<f64> = flat
        .sides
        .iter()
        .filter(|s| s.bound == Bound::Edge(EdgeClass::Eave))
        .map(|s| s.low.1)
        .collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|b, a| (*b - *a).abs() < ONE_LEVEL_FT);
    let of = |level: f64| Start {
        foot: Foot {
            level,
            reach: full.on(face),
            along: flat.eaves_between(level, level + ONE_LEVEL_FT),
            is_eave: true,
        },
        left: full,
    };
    levels.into_iter().map(of).collect()
}

/// Whether the roof goes on beyond a side in a face that falls the same way: the sheets do as well. In one plane lines along the
/// fall part faces side by side, neither of which lies above.
fn goes_on_above(side: &FlatSide) -> bool {
    match side.bound {
        Bound::Edge(EdgeClass::PitchChange) => true,
        Bound::Edge(EdgeClass::InPlane) => side.high.1 - side.low.1 < HAIR_FT,
        _ => false,
    }
}

/// The faces that meet at pitch changes: the one below and the one above it.
pub(super) fn below_and_above(
    site: &Site<'_>,
    flats: &[Option<FlatFace>],
) -> Vec<(FaceId, FaceId)> {
    let crossings = crossings(site, flats);
    let mut pairs: Vec<_> = crossings.iter().map(|c| (c.lower, c.upper)).collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs
}

fn crossings(site: &Site<'_>, flats: &[Option<FlatFace>]) -> Vec<Crossing> {
    let mut found = Vec::new();
    for (i, flat) in flats.iter().enumerate() {
        let changes = flat
            .iter()
            .flat_map(|flat| &flat.sides)
            .filter(|side| goes_on_above(side) && !side.is_foot);
        for side in changes {
            let Some(edge) = side.edge else { continue };
            let faces = &site.roof.edge(edge).faces;
            let Some(upper) = faces.iter().find(|f| f.0 != i) else {
                continue;
            };
            let above = flats[upper.0].iter().flat_map(|flat| &flat.sides);
            let Some(foot) = above
                .into_iter()
                .find(|s| s.edge == Some(edge) && s.is_foot)
            else {
                continue;
            };
            found.push(Crossing {
                lower: FaceId(i),
                upper: *upper,
                levels: (side.middle_v(), foot.middle_v()),
                along: side.along(),
                shift: foot.along().0 - side.along().0,
            });
        }
    }
    found
}

/// All faces, each after those that lie below it across a pitch change.
fn upward(count: usize, crossings: &[Crossing]) -> Vec<FaceId> {
    let mut order: Vec<FaceId> = Vec::with_capacity(count);
    let mut placed = vec![false; count];
    loop {
        let waits = |id: usize| {
            let mut below = crossings.iter().filter(|c| c.upper.0 == id);
            below.any(|c| !placed[c.lower.0])
        };
        let rest: Vec<usize> = (0..count).filter(|&id| !placed[id]).collect();
        let ready: Vec<usize> = rest.iter().copied().filter(|&id| !waits(id)).collect();
        // Faces cannot lie above each other in a circle; were they drawn so, each is taken as it comes.
        let next = if ready.is_empty() { rest } else { ready };
        if next.is_empty() {
            return order;
        }
        for id in next {
            placed[id] = true;
            order.push(FaceId(id));
        }
    }
}
