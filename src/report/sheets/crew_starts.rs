//! Where the courses of a face begin, and with what.

use super::crew_page::{LEAST, Page};
use super::crew_sheet::Crew;
use crate::courses::{EdgeKind, StartCorner};
use crate::geometry::{Point, Vector, ring};
use crate::report::canvas::TextStyle;
use crate::report::crew_words::{corner_words, pattern_words};

/// Corners this near in plan to the lowest stand at the lowest eave, in feet.
const LOWEST_FT: f64 = 0.05;

impl Crew<'_> {
    /// The pattern, and the width of the first piece of every course that departs from it.
    pub(super) fn starts(&self, page: &mut Page<'_>) {
        let near = corner_words(self.layout.start).near;
        page.head(
            "Pattern",
            &pattern_words(self.layout, &self.sheet, self.units()).join(" "),
        );
        let (cells, more_runs) = self.first_pieces();
        if !cells.is_empty() {
            page.y -= 0.8;
            page.head(
                &format!("First piece, {near}"),
                "width at the butt where the pattern gives none",
            );
            page.cells(&cells);
        }
        if more_runs {
            page.y -= 5.5;
            let at = Point::new(page.area.left, page.y);
            let words = "Courses go on beyond a valley or an opening: see the course layout.";
            page.canvas.text(at, TextStyle::new(LEAST), words);
            page.y -= 1.0;
        }
    }

    /// What rises from the start of the first course, where it has a name.
    pub(super) fn edge_at_start(&self) -> Option<&'static str> {
        let first = self.layout.runs.first()?;
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

    /// Course and width of first pieces that the pattern does not give; whether courses go on beyond what is in their way.
    fn first_pieces(&self) -> (Vec<(String, String)>, bool) {
        let mut cells = Vec::new();
        let mut more_runs = false;
        let mut last = None;
        for row in &self.sheet.rows {
            if last == Some(row.course) {
                more_runs = true;
                continue;
            }
            last = Some(row.course);
            // What the pattern gives needs no line of its own.
            if row.follows && self.sheet.step_in().is_some() {
                continue;
            }
            let first = self.layout.first_piece_in(&self.layout.runs[row.run]);
            cells.push((row.course.to_string(), self.inches(first)));
        }
        (cells, more_runs)
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
