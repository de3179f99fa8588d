//! What is done at every kind of edge that a face has, and where the nails stand.

use super::crew_page::{HEAD, LEAST, Page, UNDER_HEAD};
use super::crew_sheet::Crew;
use crate::courses::{EdgeKind, FaceRing};
use crate::geometry::Point;
use crate::report::canvas::{Area, Ink, Layer, Pen, TextStyle};
use crate::roof::{EdgeClass, EdgeId, FaceId};

/// The shingle with its nails is drawn so wide.
const NAILED: f64 = 56.0;
/// Between it and the words about edges.
const BESIDE_NAILED: f64 = 6.0;
/// Nails stand this far from the ends of a shingle, in inches: common practice, no source.
const NAIL_FROM_END_IN: f64 = 1.0;
/// A foot no higher than this over the lowest corner of the face is where its first course lies, in inches.
const LOWEST_IN: f64 = 1.0;

/// A kind of edge as a crew sheet tells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    Eave,
    /// Where the face begins over a face of another pitch: that face, and whether the first course lies there.
    FootOver(FaceId, bool),
    Rake,
    Hip,
    ValleyThrough,
    ValleyCut,
    ValleyOpen,
    Sidewall,
    Headwall,
    Opening,
    /// Where the face ends under a face of another pitch.
    TopUnder(FaceId),
    Ridge,
    HighEdge,
}

impl Told {
    /// The order that a crew meets them in, from below.
    const fn rank(self) -> usize {
        match self {
            Self::Eave => 0,
            Self::FootOver(..) => 1,
            Self::Rake => 2,
            Self::Hip => 3,
            Self::ValleyThrough => 4,
            Self::ValleyCut => 5,
            Self::ValleyOpen => 6,
            Self::Sidewall => 7,
            Self::Opening => 8,
            Self::Headwall => 9,
            Self::TopUnder(_) => 10,
            Self::Ridge => 11,
            Self::HighEdge => 12,
        }
    }
    const fn name(self) -> &'static str {
        match self {
            Self::Eave => "Eave",
            Self::FootOver(..) => "Foot",
            Self::Rake => "Rake",
            Self::Hip => "Hip",
            Self::ValleyThrough | Self::ValleyCut | Self::ValleyOpen => "Valley",
            Self::Sidewall => "Sidewall",
            Self::Headwall => "Headwall",
            Self::Opening => "Opening",
            Self::TopUnder(_) => "Top",
            Self::Ridge => "Ridge",
            Self::HighEdge => "High edge",
        }
    }
}

impl Crew<'_> {
    /// What is done at each kind of edge that the face has.
    pub(super) fn edges(&self, page: &mut Page<'_>) {
        let top = page.y;
        page.head("Edges and nails", "");
        let room = page.area.width() - NAILED - BESIDE_NAILED;
        for told in self.told() {
            page.entry(told.name(), &self.words_of(told), room);
        }
        self.nails(page, top);
    }

    /// The kinds of edges of this face, each once.
    fn told(&self) -> Vec<Told> {
        let low = self.unfolded.v_range().0;
        let mut all: Vec<Told> = self
            .unfolded
            .rings()
            .flat_map(|ring| (0..ring.kinds.len()).map(move |i| (ring, i)))
            .filter_map(|(ring, side)| self.told_of(ring, side, low))
            .collect();
        all.sort_by_key(|told| told.rank());
        // A foot or a top meets several faces as a rule not side by side in the ring.
        let mut once: Vec<Told> = Vec::new();
        for told in all {
            if !once.contains(&told) {
                once.push(told);
            }
        }
        once
    }

    /// Whether a face is too flat for shingles.
    fn takes_other_roofing(&self, face: FaceId) -> bool {
        let limits = &self.courses.choices.limits;
        limits.refuses_shingles(self.report.roof().face(face))
    }

    /// Whether the face begins over a face of another pitch.
    pub(super) fn begins_at_pitch_change(&self) -> bool {
        self.told().iter().any(|t| matches!(t, Told::FootOver(..)))
    }

    /// Whether the face ends under a face of another pitch.
    pub(super) fn ends_at_pitch_change(&self) -> bool {
        self.told().iter().any(|t| matches!(t, Told::TopUnder(_)))
    }

    fn told_of(&self, ring: &FaceRing, side: usize, low_in: f64) -> Option<Told> {
        let edge = ring.edges[side];
        Some(match ring.kinds[side] {
            EdgeKind::Eave => Told::Eave,
            EdgeKind::Rake => Told::Rake,
            EdgeKind::Hip => Told::Hip,
            EdgeKind::ValleyThrough => Told::ValleyThrough,
            EdgeKind::ValleyCut => Told::ValleyCut,
            EdgeKind::ValleyOpen => Told::ValleyOpen,
            EdgeKind::Ridge => Told::Ridge,
            EdgeKind::HighEdge => Told::HighEdge,
            EdgeKind::Apron => Told::Opening,
            EdgeKind::Wall => match edge.map(|id| self.report.roof().edge(id).class) {
                None => Told::Opening,
                Some(EdgeClass::Headwall) => Told::Headwall,
                Some(_) => Told::Sidewall,
            },
            EdgeKind::PitchChange => {
                let other = self.beyond(edge?)?;
                let next = (side + 1) % ring.points.len();
                let (a, b) = (ring.points[side], ring.points[next]);
                // The face lies on the left of its sides.
                if b.x > a.x {
                    let is_first = a.y.min(b.y) <= low_in + LOWEST_IN;
                    Told::FootOver(other, is_first)
                } else {
                    Told::TopUnder(other)
                }
            }
        })
    }

    /// The face on the other side of an edge.
    fn beyond(&self, edge: EdgeId) -> Option<FaceId> {
        let faces = &self.report.roof().edge(edge).faces;
        faces.iter().copied().find(|f| *f != self.layout.face)
    }

    fn words_of(&self, told: Told) -> String {
        let rules = &self.courses.rules;
        let name = |face: FaceId| &self.report.roof().face(face).name;
        match told {
            Told::Eave => format!(
                "starter first; butts {} past the edge",
                self.inches(rules.eave_overhang_in)
            ),
            Told::FootOver(face, true) if self.takes_other_roofing(face) => format!(
                "pitch change over {}, which takes other roofing: starter first; butts of course 1 {} past the line",
                name(face),
                self.inches(rules.eave_overhang_in)
            ),
            Told::FootOver(face, true) => format!(
                "pitch change over {0}: {0} first; butts of course 1 {1} past the line",
                name(face),
                self.inches(rules.eave_overhang_in)
            ),
            Told::FootOver(face, false) => format!(
                "pitch change over {0}: {0} first; butts by the chalk lines, over its flashing",
                name(face)
            ),
            Told::Rake => format!("{} past the edge", self.inches(rules.rake_overhang_in)),
            Told::Hip => "cut on the hip line, cap over it".to_owned(),
            Told::ValleyThrough => format!(
                "run through, {} past the centre line; no joint within {} of it",
                self.inches(rules.valley_lap_in),
                self.inches(rules.valley_joint_clear_in)
            ),
            Told::ValleyCut => format!(
                "trim {} back from the centre line",
                self.inches(rules.valley_cut_back_in)
            ),
            Told::ValleyOpen => format!(
                "open: trim {} back from the centre line",
                self.inches(rules.valley_open_back_in)
            ),
            Told::Sidewall if self.is_fed("step_flashing", EdgeClass::Sidewall) => {
                "cut on the line, step flashing with every course".to_owned()
            }
            Told::Sidewall if self.is_fed("sidewall_flashing", EdgeClass::Sidewall) => {
                "cut on the line, over the long flashing".to_owned()
            }
            Told::Headwall if self.is_fed("apron_flashing", EdgeClass::Headwall) => {
                "cut the last course on the line, apron over it".to_owned()
            }
            Told::Sidewall | Told::Headwall => "cut on the line".to_owned(),
            Told::Opening => "cut on its outline; its flashings as in the order of work".to_owned(),
            Told::TopUnder(face) => format!(
                "pitch change under {0}: last course up to the line, before {0} is begun",
                name(face)
            ),
            Told::Ridge => "cut on the ridge line, cap over it".to_owned(),
            Told::HighEdge => "cut on the line".to_owned(),
        }
    }

    /// What is said under the shingle with its nails.
    fn nail_words(&self) -> String {
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        format!(
            "{} above the butt, {} from the ends, evenly between; cut pieces too",
            self.inches(nailing.line_in),
            self.inches(NAIL_FROM_END_IN),
        )
    }

    /// How much room the shingle with its nails and the words under it take.
    pub(super) fn nails_height(&self, page: &Page<'_>) -> f64 {
        let format = &self.courses.format;
        let style = TextStyle::new(LEAST);
        let lines = page.canvas.wrap(style, &self.nail_words(), NAILED).len();
        let shingle = format.height_in / format.width_in * NAILED;
        (shingle + style.pitch() * lines as f64 + 2.0).max(HEAD + UNDER_HEAD)
    }

    /// Where the nails stand, drawn on a shingle beside what is said about edges, from `top` down.
    fn nails(&self, page: &mut Page<'_>, top: f64) {
        let format = &self.courses.format;
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        let room = page.area.width() - NAILED - BESIDE_NAILED;
        if let Some(caution) = nailing.caution {
            page.entry("Nails", caution, room);
        }
        let scale = NAILED / format.width_in;
        let height = format.height_in * scale;
        // Where the words went on on a further page, the shingle stands at its head.
        let top = if top < page.y { page.further_top } else { top };
        let (left, right) = (page.area.right - NAILED, page.area.right);
        let butt = top - height;
        page.canvas.on(Layer::Courses);
        let shown = Area::new(left, butt, right, butt + format.exposure_in * scale);
        page.canvas.fill(vec![shown.corners().to_vec()], Ink::Pale);
        page.canvas
            .rect(Area::new(left, butt, right, top), Pen::new(0.5));
        let y = butt + nailing.line_in * scale;
        page.canvas
            .line(Point::new(left, y), Point::new(right, y), Pen::new(0.25));
        let between = (format.width_in - 2.0 * NAIL_FROM_END_IN)
            / f64::from(nailing.per_piece.saturating_sub(1).max(1));
        for nail in 0..nailing.per_piece {
            let x = left + (NAIL_FROM_END_IN + f64::from(nail) * between) * scale;
            page.canvas.dot(Point::new(x, y), 1.0, Ink::Black);
        }
        let style = TextStyle::new(LEAST);
        let mut under = butt - 1.0;
        page.canvas.on(Layer::Tables);
        for line in page.canvas.wrap(style, &self.nail_words(), NAILED) {
            under -= style.pitch();
            page.canvas.text(Point::new(left, under), style, &line);
        }
        page.y = page.y.min(under - 1.0);
    }
}
