//! Crickets behind wide chimneys (rules `cricket`, `cricket-height`).

use super::flashing;
use super::item::Item;
use super::need::{Need, Needs};
use super::options::CricketKind;
use super::site::Site;
use crate::roof::{EdgeClass, Opening};
use crate::units::{Length, Pitch, Plan, Vertical};
use crate::{Finding, Place};

/// A chimney wider than this across the fall needs a cricket, in inches (R903.2.2).
const WIDER_THAN_IN: f64 = 30.0;
/// A valley that ends this near an opening's outline belongs to a cricket that is drawn, in feet.
const DRAWN_WITHIN_FT: f64 = 0.5;

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

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("cricket") || site.settings.crickets == CricketKind::None {
        return;
    }
    for opening in flashing::openings(site) {
        let width_in = opening.width.to_inches();
        // Astride a ridge no slope falls to it.
        let falls_to_it = opening.head.to_feet() > 0.0;
        if width_in <= WIDER_THAN_IN || opening.kind.contains("skylight") || !falls_to_it {
            continue;
        }
        let said = format!(
            "The {} is {} wide across the fall, over {}",
            opening.kind,
            site.words.small(width_in),
            site.words.small(WIDER_THAN_IN)
        );
        if drawn(site, opening) {
            out.findings.push(
                Finding::note(
                    "cricket-drawn",
                    format!("{said}; valleys that end at it show that its cricket is drawn, so none is listed."),
                )
                .place(Place::of(&opening.source)),
            );
            continue;
        }
        let Some(pitch) = pitch(site, opening) else {
            continue;
        };
        let height = cricket_height(opening.width, pitch).to_inches();
        // Two triangles of plan width W/2 by W/2 at the roof's own pitch.
        let area = pitch
            .true_area(crate::units::Area::square_feet(
                (width_in / 12.0).powi(2) / 4.0,
            ))
            .to_square_feet();
        out.findings.push(
            Finding::note(
                "cricket-needed",
                format!(
                    "{said}: a cricket {} high, {} of metal without laps.",
                    site.words.small(height),
                    site.words.surface(area)
                ),
            )
            .place(Place::of(&opening.source)),
        );
        let purpose = match flashing::is_chimney(opening) {
            true => "chimneys",
            false => "openings",
        };
        out.push(
            Need::loose(Item::Cricket, purpose, 1.0, 1.0)
                .variant(format!(
                    "{} wide, {} high",
                    site.words.small(width_in),
                    site.words.small(height)
                ))
                .faces(&opening.faces)
                .rules(&["cricket", "cricket-height"]),
        );
    }
}

/// The pitch of the steepest shingled face that the opening is cut out of.
fn pitch(site: &Site<'_>, opening: &Opening) -> Option<Pitch> {
    opening
        .faces
        .iter()
        .filter(|f| site.is_shingled(**f))
        .map(|f| site.roof.face(*f).pitch)
        .max_by(|a, b| a.to_rise_per_run().total_cmp(&b.to_rise_per_run()))
}

/// Whether a valley ends at the opening: its cricket is part of the plan.
fn drawn(site: &Site<'_>, opening: &Opening) -> bool {
    site.roof
        .edges
        .iter()
        .filter(|e| e.class == EdgeClass::Valley)
        .flat_map(|e| [e.start.plan(), e.end.plan()])
        .any(|p| {
            crate::geometry::ring::sides(&opening.outline)
                .any(|(a, b)| p.distance_to_segment(a, b) < DRAWN_WITHIN_FT)
        })
}
