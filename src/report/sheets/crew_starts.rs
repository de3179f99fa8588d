//! Where the courses of a face begin, and with what.

use super::crew_page::{Listing, Page};
use super::crew_sheet::Crew;
use crate::courses::{EdgeKind, StartCorner};
use crate::geometry::{Point, Vector, ring};
use crate::report::canvas::Fonts;
use crate::report::crew_starts::Starts;

/// Corners this near in plan to the lowest stand at the lowest eave, in feet.
const LOWEST_FT: f64 = 0.05;

/// The pattern, and every run that it does not give.
pub(super) struct StartWords {
    pattern: String,
    /// How to read the listed runs: a sentence beside the head, and the rest under it.
    legend: (String, String),
    listed: Option<Listing>,
}

impl StartWords {
    pub(super) fn set(&self, page: &mut Page<'_>) {
        if !self.pattern.is_empty() {
            page.head("Pattern", &self.pattern);
        }
        if let Some(listed) = &self.listed {
            page.y -= 0.8;
            page.head("Courses", &self.legend.0);
            page.small(&self.legend.1);
            page.list(listed);
            page.y -= 1.0;
        }
    }
}

impl Crew<'_> {
    /// What is said of where the courses begin.
    pub(super) fn start_words(&self, fonts: &Fonts) -> StartWords {
        let starts = Starts::of(self.layout, &self.sheet, self.units());
        let legend = starts.legend.split_first();
        let has_rows = !starts.rows.is_empty();
        StartWords {
            pattern: starts.pattern.join(" "),
            legend: legend.map_or_else(Default::default, |(first, more)| {
                (first.clone(), more.join(" "))
            }),
            listed: has_rows.then(|| Listing::new(fonts, starts.heads, starts.rows)),
        }
    }

    /// What rises from the start of the first course, where it has a name.
    pub(super) fn edge_at_start(&self) -> Option<&'static str> {
        let first = &self.layout.runs[self.sheet.rows.first()?.run];
        let start = Point::new(
            match self.layout.start {
                StartCorner::Left => first.butt_in.0,
                StartCorner::Right => first.butt_in.1,
            },
            first.butt_height_in,
        );
        let outer = &self.unfolded.outer;
        let sides = ring::sides(&outer.points).zip(&outer.kinds);
        let rising = sides.filter_map(|(ends, kind)| Some((ends, rising_word(*kind)?)));
        rising
            .map(|((a, b), word)| (start.distance(a).min(start.distance(b)), word))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, word)| word)
    }

    /// The corner of the face that its courses begin at, in plan.
    pub(super) fn start_in_plan(&self) -> Option<Point> {
        let up = self.face.plane.gradient.unit()?;
        let right = -up.turn_left();
        let corners = || {
            self.face
                .outline
                .corners
                .iter()
                .map(|c| c.plan() - Point::default())
        };
        let lowest = corners().map(|c| c.dot(up)).reduce(f64::min)?;
        let along = |c: &Vector| match self.layout.start {
            StartCorner::Left => -c.dot(right),
            StartCorner::Right => c.dot(right),
        };
        corners()
            .filter(|c| c.dot(up) - lowest < LOWEST_FT)
            .max_by(|a, b| along(a).total_cmp(&along(b)))
            .map(|c| Point::default() + c)
    }
}

/// What a crew calls an edge that rises beside the start of the courses.
const fn rising_word(kind: EdgeKind) -> Option<&'static str> {
    match kind {
        EdgeKind::Rake => Some("rake"),
        EdgeKind::Hip => Some("hip"),
        EdgeKind::ValleyThrough | EdgeKind::ValleyCut | EdgeKind::ValleyOpen => Some("valley"),
        EdgeKind::Wall => Some("wall"),
        EdgeKind::Eave
        | EdgeKind::Ridge
        | EdgeKind::HighEdge
        | EdgeKind::PitchChange
        | EdgeKind::InPlane
        | EdgeKind::Apron => None,
    }
}
