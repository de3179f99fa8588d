//! Crickets behind wide chimneys (rules `cricket`, `cricket-height`).

use super::flashing;
use super::item::Item;
use super::need::{Need, Needs};
use super::options::CricketKind;
use super::site::Site;
use super::words::figure;
use crate::Finding;
use crate::roof::{CRICKET_OVER_IN, FaceId, Opening};
use crate::units::{Length, Pitch, Plan, Vertical, number};

/// The height of a cricket: half the chimney's width times the roof's pitch, so that the cricket has that pitch too.
/// W/2 at 12:12, W/3 at 8:12, W/4 at 6:12, W/6 at 4:12, W/8 at 3:12 (IRC Table R1003.20, from memory; each checked
/// against the formula).
///
/// ```
/// use eavewright::materials::cricket_height;
/// use eavewright::units::{Length, Pitch};
/// let height = cricket_height(Length::inches(36.0), Pitch::in_12(6.0));
/// assert_eq!(height.to_inches(), 9.0);
/// ```
pub fn cricket_height(width: Length<Plan>, pitch: Pitch) -> Length<Vertical> {
    Length::inches(width.to_inches() / 2.0 * pitch.to_rise_per_run())
}

/// Whether the list has the crickets that are not drawn.
fn are_listed(site: &Site<'_>) -> bool {
    site.settings.applies("cricket") && site.settings.crickets == CricketKind::Metal
}

/// Whether an opening has a cricket above it, drawn or listed.
pub(super) fn stands_above(site: &Site<'_>, opening: &Opening) -> bool {
    site.roof.draws_cricket_of(opening) || (opening.takes_cricket() && are_listed(site))
}

/// Openings of one kind and width of whose crickets the same is told.
struct Alike<'a> {
    openings: Vec<&'a Opening>,
    width: String,
    /// What is listed for each, as its words end; `None` where the crickets are drawn.
    listed: Option<String>,
}

impl Alike<'_> {
    fn finding(self, site: &Site<'_>) -> Option<Finding> {
        let first = self.openings.first()?;
        let kind = &first.kind;
        let (who, its) = match self.openings.len() {
            1 => {
                let faces = first.faces.iter();
                let names: Vec<&str> = faces.map(|&f| site.roof.face(f).name.as_str()).collect();
                let on = number::listed(&names, "and");
                (format!("The {kind} on {on} is"), ["it", "its cricket is"])
            }
            count => {
                let by_face = flashing::on_faces(site, flashing::firsts(&self.openings));
                (
                    format!("{count} {kind}s ({by_face}) are"),
                    ["them", "their crickets are"],
                )
            }
        };
        let (width, over) = (&self.width, site.words.small(CRICKET_OVER_IN));
        let said = format!("{who} {width} wide across the fall, over {over}");
        let finding = match self.listed {
            None => Finding::note(
                "cricket-drawn",
                format!(
                    "{said}; valleys that end at {} show that {} drawn, so none is listed.",
                    its[0], its[1]
                ),
            ),
            Some(listed) => {
                let each = if self.openings.len() > 1 {
                    " for each"
                } else {
                    ""
                };
                Finding::note(
                    "cricket-needed",
                    format!("{said}: a cricket of sheet metal is listed{each}{listed}."),
                )
                .remedy("Measure the chimney before it is bent; say `crickets = \"none\"` under [materials] where it is framed.")
            }
        };
        let places = self
            .openings
            .iter()
            .map(|opening| flashing::place_of(opening));
        Some(places.fold(finding, Finding::place))
    }
}

/// Keeps what is told of an opening with the others of which the same is told.
fn tell<'a>(
    told: &mut Vec<Alike<'a>>,
    opening: &'a Opening,
    width: String,
    listed: Option<String>,
) {
    let same = |alike: &&mut Alike<'a>| {
        let kind = alike.openings.first().map(|o| &o.kind);
        kind == Some(&opening.kind) && alike.width == width && alike.listed == listed
    };
    match told.iter_mut().find(same) {
        Some(alike) => alike.openings.push(opening),
        None => told.push(Alike {
            openings: vec![opening],
            width,
            listed,
        }),
    }
}

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !are_listed(site) {
        return;
    }
    let mut told = Vec::new();
    for opening in flashing::openings(site).filter(|opening| opening.takes_cricket()) {
        let width_in = opening.width.to_inches();
        let width = site.words.on_tape(width_in);
        if site.roof.draws_cricket_of(opening) {
            tell(&mut told, opening, width, None);
            continue;
        }
        let faces = uphill(site, opening);
        let Some(pitch) = steepest(site, &faces) else {
            continue;
        };
        let height = cricket_height(opening.width, pitch).to_inches();
        // Two triangles of plan width W/2 by W/2 at the roof's own pitch.
        let area = pitch
            .true_area(crate::units::Area::square_feet(
                (width_in / 12.0).powi(2) / 4.0,
            ))
            .to_square_feet();
        // The height is the rule's own: without it the size is left to who makes the cricket.
        let sized = site.settings.applies("cricket-height");
        let (high, metal) = match sized {
            true => (
                format!(", {} high", site.words.on_tape(height)),
                format!(", {} of metal without laps", site.words.surface(area)),
            ),
            false => (String::new(), String::new()),
        };
        // Made to measure: a price is for a size to the inch, whatever hair a traced chimney is off it.
        let mut size = figure(width_in, 0);
        if sized {
            size.push_str(&format!("x{}", figure(height, 0)));
        }
        let purpose = match opening.is_chimney() {
            true => "chimneys",
            false => "openings",
        };
        out.push(
            Need::loose(Item::Cricket, purpose, 1.0, 1.0)
                .variant(format!("{width} wide{high}"))
                .size(size)
                .faces(&faces)
                .rules(&["cricket", "cricket-height"]),
        );
        tell(&mut told, opening, width, Some(format!("{high}{metal}")));
    }
    let findings = told.into_iter().filter_map(|alike| alike.finding(site));
    out.findings.extend(findings);
}

/// The faces that take shingles and whose water runs on to an opening: its cricket lies on these, on none below them.
fn uphill(site: &Site<'_>, opening: &Opening) -> Vec<FaceId> {
    let mut faces = opening.faces_above();
    faces.retain(|face| site.is_shingled(*face));
    faces
}

/// The pitch of the steepest of these faces.
fn steepest(site: &Site<'_>, faces: &[FaceId]) -> Option<Pitch> {
    faces
        .iter()
        .map(|face| site.roof.face(*face).pitch)
        .max_by(|a, b| a.to_rise_per_run().total_cmp(&b.to_rise_per_run()))
}
