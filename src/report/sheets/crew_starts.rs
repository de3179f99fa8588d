//! Where the courses of a face begin, and with what.

use super::crew_page::Page;
use super::crew_sheet::Crew;
use crate::courses::{EdgeKind, StartCorner};
use crate::geometry::{Point, Vector, ring};
use crate::report::crew_starts::Starts;

/// Corners this near in plan to the lowest stand at the lowest eave, in feet.
const LOWEST_FT: f64 = 0.05;

impl Crew<'_> {
    /// The pattern, and every run that it does not give.
    pub(super) fn starts(&self, page: &mut Page<'_>) {
        let starts = Starts::of(self.layout, &self.sheet, self.units());
        if !starts.pattern.is_empty() {
            page.head("Pattern", &starts.pattern.join(" "));
        }
        if !starts.rows.is_empty() {
            page.y -= 0.8;
            let (first, more) = starts
                .legend
                .split_first()
                .map_or(("", &[][..]), |(f, m)| (f.as_str(), m));
            page.head("Courses", first);
            page.small(&more.join(" "));
            page.list(&starts.heads, &starts.rows);
            page.y -= 1.0;
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
        | EdgeKind::Apron => None,
    }
}
