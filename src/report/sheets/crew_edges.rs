//! What is done at every kind of edge that a face has, and where the nails stand.

use super::crew_page::{HEAD, Page, UNDER_HEAD};
use super::crew_sheet::Crew;
use crate::courses::{EdgeKind, FaceRing, Nailing, ValleyType};
use crate::geometry::Point;
use crate::report::canvas::{Area, Ink, Layer, Pen};
use crate::report::typeset::typeset;
use crate::roof::{Edge, EdgeClass, EdgeId, FaceId};
use crate::units::number::listed;

/// The shingle with its nails is drawn so wide.
const NAILED: f64 = 56.0;
/// Between it and the words about edges.
const BESIDE_NAILED: f64 = 6.0;
/// Nails stand this far from the ends of a shingle, in inches: common practice, no source.
const NAIL_FROM_END_IN: f64 = 1.0;
/// No nail stands nearer to the centre of a valley than this, in inches: common practice, no source.
const NAIL_FROM_VALLEY_IN: f64 = 6.0;
/// The same on the side of a closed-cut valley that runs through under the other.
const NAIL_UNDER_CUT_IN: f64 = 12.0;
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
    /// One that is level, whatever is done at the others.
    ValleyLevel,
    Sidewall,
    Headwall,
    Opening,
    /// Where the face ends under a face of another pitch.
    TopUnder(FaceId),
    /// The face goes on in another one of the same plane.
    GoesOn(FaceId),
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
            Self::ValleyLevel => 7,
            Self::Sidewall => 8,
            Self::Opening => 9,
            Self::Headwall => 10,
            Self::TopUnder(_) => 11,
            Self::Ridge => 12,
            Self::HighEdge => 13,
            Self::GoesOn(_) => 14,
        }
    }
    const fn name(self) -> &'static str {
        match self {
            Self::Eave => "Eave",
            Self::FootOver(..) => "Foot",
            Self::Rake => "Rake",
            Self::Hip => "Hip",
            Self::ValleyThrough | Self::ValleyCut | Self::ValleyOpen | Self::ValleyLevel => {
                "Valley"
            }
            Self::Sidewall => "Sidewall",
            Self::Headwall => "Headwall",
            Self::Opening => "Opening",
            Self::TopUnder(_) => "Top",
            Self::Ridge => "Ridge",
            Self::HighEdge => "High edge",
            Self::GoesOn(_) => "Line",
        }
    }
}

/// What is done at each kind of edge that a face has, and with the nails.
pub(super) struct EdgeWords {
    entries: Vec<(&'static str, String)>,
    nailing: Nailing,
    /// Under the shingle with its nails.
    nails: String,
}

impl Crew<'_> {
    pub(super) fn edge_words(&self) -> EdgeWords {
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        let told = self.told().into_iter();
        let nails = self.nail_lengths().into_iter();
        let nails = nails.chain(nailing.caution.map(str::to_owned));
        EdgeWords {
            entries: told
                .map(|told| (told.name(), self.words_of(told)))
                .chain(nails.map(|words| ("Nails", words)))
                .collect(),
            nails: format!(
                "{} above the butt, {} from the ends, evenly between; cut pieces too",
                self.inches(nailing.line_in),
                self.inches(NAIL_FROM_END_IN),
            ),
            nailing,
        }
    }

    /// Sets them, the shingle with its nails beside them.
    pub(super) fn set_edges(&self, page: &mut Page<'_>, words: &EdgeWords) {
        let top = page.y;
        page.head("Edges and nails", "");
        let room = page.area.width() - NAILED - BESIDE_NAILED;
        for (name, meaning) in &words.entries {
            page.entry(name, meaning, room);
        }
        self.nails(page, top, words);
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
        if edge.is_some_and(|id| self.report.roof().edge(id).is_dead_valley()) {
            return Some(Told::ValleyLevel);
        }
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
            EdgeKind::InPlane => Told::GoesOn(self.beyond(edge?)?),
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
                "{}butts {} past the edge",
                self.starter_words(EdgeClass::Eave),
                self.inches(rules.eave_overhang_in)
            ),
            Told::FootOver(face, true) if self.takes_other_roofing(face) => format!(
                "pitch change over {}, which takes other roofing: {}butts of course 1 {} past the line",
                name(face),
                self.starter_words(EdgeClass::PitchChange),
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
            Told::Hip => format!("cut on the hip line{}", self.cap_words(EdgeClass::Hip)),
            Told::ValleyThrough | Told::ValleyCut | Told::ValleyOpen => self.valley_words(told),
            // Courses lie along it: no lap, joint or nail can be kept from it as from one that falls.
            Told::ValleyLevel => format!(
                "level, with {}: ask before laying; lining and outlet for standing water first",
                listed(&self.beyond_valleys(|edge, _| edge.is_dead_valley()), "and")
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
            Told::Ridge => format!("cut on the ridge line{}", self.cap_words(EdgeClass::Ridge)),
            Told::HighEdge => "cut on the line".to_owned(),
            Told::GoesOn(face) => format!(
                "in one plane with {}: courses run on over it, counted up to it",
                name(face)
            ),
        }
    }

    /// `starter first; `, where the list has any for the edges of a class.
    fn starter_words(&self, class: EdgeClass) -> &'static str {
        match self.is_listed(&["starter"], class) {
            true => "starter first; ",
            false => "",
        }
    }

    /// `, cap over it`, where the list has caps for the edges of a class, ready or cut from field shingles.
    fn cap_words(&self, class: EdgeClass) -> &'static str {
        match self.is_listed(&["hip_ridge_cap", "shingles"], class) {
            true => ", cap over it",
            false => "",
        }
    }

    /// Whether one of these is listed for edges of a class that the face has; without a list everything is.
    fn is_listed(&self, keys: &[&str], class: EdgeClass) -> bool {
        self.report.inputs().materials.is_none() || keys.iter().any(|key| self.is_fed(key, class))
    }

    /// What is done at a valley, with which face comes first and where no nail stands.
    fn valley_words(&self, told: Told) -> String {
        let rules = &self.courses.rules;
        let through = || {
            format!(
                "run through, {} past the centre line; no joint within {} of it",
                self.inches(rules.valley_lap_in),
                self.inches(rules.valley_joint_clear_in)
            )
        };
        let trimmed =
            |back_in: f64| format!("trim {} back from the centre line", self.inches(back_in));
        let others = |kind: EdgeKind| -> Option<String> {
            let names = self.beyond_valleys(|edge, of| of == kind && !edge.is_dead_valley());
            (!names.is_empty()).then(|| listed(&names, "and"))
        };
        let (first, how, clear_in) = match told {
            Told::ValleyThrough if rules.valley == ValleyType::Woven => (
                others(EdgeKind::ValleyThrough).map_or_else(
                    || "woven: ".to_owned(),
                    |faces| format!("woven with {faces}, both faces going up together, each course over the other face's in turn: "),
                ),
                through(),
                NAIL_FROM_VALLEY_IN,
            ),
            Told::ValleyThrough => (
                others(EdgeKind::ValleyThrough)
                    .map_or_else(String::new, |faces| format!("this face before {faces}: ")),
                through(),
                NAIL_UNDER_CUT_IN,
            ),
            Told::ValleyOpen => (
                others(EdgeKind::ValleyOpen).map_or_else(
                    || "open: ".to_owned(),
                    |faces| format!("open, with {faces}, either face first: "),
                ),
                trimmed(rules.valley_open_back_in),
                NAIL_FROM_VALLEY_IN,
            ),
            _ => (
                others(EdgeKind::ValleyCut)
                    .map_or_else(String::new, |faces| format!("this face after {faces}: ")),
                trimmed(rules.valley_cut_back_in),
                NAIL_FROM_VALLEY_IN,
            ),
        };
        format!(
            "{first}{how}; no nail within {} of it",
            self.inches(clear_in)
        )
    }

    /// The names of the faces beyond these valleys, each once.
    fn beyond_valleys(&self, are: impl Fn(&Edge, EdgeKind) -> bool) -> Vec<&str> {
        let roof = self.report.roof();
        let mut names: Vec<&str> = Vec::new();
        for ring in self.unfolded.rings() {
            for (kind, id) in ring.kinds.iter().zip(&ring.edges) {
                let id = id.filter(|id| are(roof.edge(*id), *kind));
                if let Some(other) = id.and_then(|id| self.beyond(id)) {
                    let name = roof.face(other).name.as_str();
                    if !names.contains(&name) {
                        names.push(name);
                    }
                }
            }
        }
        names
    }

    /// Which nail goes where, as they are ordered; `None` where the list names no length.
    fn nail_lengths(&self) -> Option<String> {
        let mut said: Vec<String> = Vec::new();
        for key in ["roofing_nails", "roofing_nails_long"] {
            for line in self.lines_of(key).filter(|line| !line.variant.is_empty()) {
                let classes: Vec<EdgeClass> = self.classes_of(line).collect();
                let on_face = line.faces.iter().any(|(_, face)| *face == self.layout.face);
                let places = [
                    (on_face, "courses"),
                    (
                        classes
                            .iter()
                            .any(|c| !matches!(c, EdgeClass::Hip | EdgeClass::Ridge)),
                        "starter",
                    ),
                    (classes.contains(&EdgeClass::Hip), "hip caps"),
                    (classes.contains(&EdgeClass::Ridge), "ridge caps"),
                ];
                let places: Vec<&str> = places
                    .into_iter()
                    .filter_map(|(is, place)| is.then_some(place))
                    .collect();
                if !places.is_empty() {
                    said.push(format!(
                        "{} for {}",
                        typeset(&line.variant),
                        listed(&places, "and")
                    ));
                }
            }
        }
        (!said.is_empty()).then(|| said.join("; "))
    }

    /// How much room the shingle with its nails and the words under it take.
    pub(super) fn nails_height(&self, page: &Page<'_>, words: &EdgeWords) -> f64 {
        let format = &self.courses.format;
        let style = page.least();
        let lines = page.canvas.wrap(style, &words.nails, NAILED).len();
        let shingle = format.height_in / format.width_in * NAILED;
        (shingle + style.pitch() * lines as f64 + 2.0).max(HEAD + UNDER_HEAD)
    }

    /// Where the nails stand, drawn on a shingle beside what is said about edges, from `top` down.
    fn nails(&self, page: &mut Page<'_>, top: f64, words: &EdgeWords) {
        let (format, nailing) = (&self.courses.format, &words.nailing);
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
        let style = page.least();
        let mut under = butt - 1.0;
        page.canvas.on(Layer::Tables);
        for line in page.canvas.wrap(style, &words.nails, NAILED) {
            under -= style.pitch();
            page.canvas.text(Point::new(left, under), style, &line);
        }
        page.y = page.y.min(under - 1.0);
    }
}
