//! The crew sheet: one upright page a face, readable at arm's length. No prices, no percentages.

use super::crew_page::{HEAD, LEAST, Page, TEXT};
use super::frame::Frame;
use super::{Draft, small_plan};
use crate::courses::{CourseFace, Courses, CrewSheet, EdgeKind, FaceLayout};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::crew_words::corner_words;
use crate::report::pdf::Paper;
use crate::report::{OutputUnits, Report, number};
use crate::roof::Face;
use crate::units::{Length, True};

const COUNT: f64 = 8.0;
const NAME: f64 = 12.0;
/// The roof in the corner is at most so wide.
const SMALL_PLAN: f64 = 42.0;
/// The shingle with its nails is drawn so wide.
const NAILED: f64 = 56.0;
/// Nails stand this far from the ends of a shingle, in inches: common practice, no source.
const NAIL_FROM_END_IN: f64 = 1.0;
/// Chalk lines every so many courses.
const CHALK_EVERY: usize = 5;

/// Draws one sheet a shingled face.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(courses) = report.inputs().courses else {
        return Vec::new();
    };
    let layouts = courses.faces.iter().filter(|l| !l.runs.is_empty());
    layouts
        .filter_map(|layout| {
            let unfolded = courses.unfold(report.roof(), layout.face).ok()?;
            let sheet = Crew {
                report,
                courses,
                layout,
                sheet: layout.crew_sheet(),
                face: report.roof().face(layout.face),
                unfolded: &unfolded,
            };
            Some(sheet.drafts(fonts, paper))
        })
        .flatten()
        .collect()
}

pub(super) struct Crew<'a> {
    pub(super) report: &'a Report<'a>,
    courses: &'a Courses,
    pub(super) layout: &'a FaceLayout,
    pub(super) sheet: CrewSheet,
    pub(super) face: &'a Face,
    pub(super) unfolded: &'a CourseFace,
}

impl Crew<'_> {
    pub(super) fn units(&self) -> OutputUnits {
        self.report.units()
    }
    pub(super) fn inches(&self, inches: f64) -> String {
        self.units().small(Length::<True>::inches(inches))
    }

    fn drafts<'f>(&self, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
        let size = paper.sides_mm();
        let page = Page::filled(fonts, &Frame::of(size), |page| self.fill(page));
        let mut pages = page.full;
        pages.push(page.canvas);
        pages
            .into_iter()
            .map(|canvas| Draft {
                title: format!("Crew sheet, face {}", self.face.name),
                group: Some("Crew sheets".to_owned()),
                size,
                scale: "no scale".to_owned(),
                canvas,
            })
            .collect()
    }

    /// Sets all parts of the sheet, one under the other.
    fn fill(&self, page: &mut Page<'_>) {
        self.name(page);
        page.rule(COUNT + 8.0);
        self.counts(page);
        let sequence = self.sequence();
        if !sequence.is_empty() {
            page.rule(40.0);
            page.head("Order of work", "");
            page.steps(&sequence);
        }
        page.rule(30.0);
        self.starts(page);
        page.rule(28.0);
        self.chalk_lines(page);
        page.rule(30.0);
        self.edges(page);
        page.rule(12.0);
        self.safety(page);
    }

    fn name(&self, page: &mut Page<'_>) {
        page.canvas.on(Layer::FaceNames);
        let base = Point::new(page.area.left, page.y - NAME);
        let name = page
            .canvas
            .text(base, TextStyle::new(NAME).bold(), &self.face.name);
        let left = base.x + name.width + 7.0;
        let falls = self.face.downslope_deg().map_or_else(String::new, |deg| {
            format!("falls {}", compass_word(self.report.compass_deg(deg)))
        });
        let top = page.y - HEAD;
        page.canvas
            .text(Point::new(left, top), TextStyle::new(HEAD).bold(), &falls);
        let (low, high) = self.unfolded.v_range();
        let about = format!(
            "{}, slope {}; left, right as you face it",
            self.units().pitch(self.face.pitch),
            self.units().length((high - low) / 12.0)
        );
        let room = page.area.right - SMALL_PLAN - 2.0 - left;
        let fits = |height: &f64| page.canvas.width(TextStyle::new(*height), &about) <= room;
        let height = [TEXT, 3.0].into_iter().find(fits).unwrap_or(LEAST);
        page.canvas
            .text(Point::new(left, base.y), TextStyle::new(height), &about);
        self.small_plan(page);
        page.y = base.y - 3.0;
    }

    /// The roof in the corner, this face grey.
    fn small_plan(&self, page: &mut Page<'_>) {
        let room = Area::new(
            page.area.right - SMALL_PLAN,
            page.y - NAME - 3.0,
            page.area.right,
            page.y + 2.0,
        );
        let start = self.start_in_plan();
        let marked = Some((self.layout.face, start));
        small_plan::draw(&mut page.canvas, self.report, room, marked);
    }

    fn counts(&self, page: &mut Page<'_>) {
        let format = &self.courses.format;
        let bundles = self
            .layout
            .opened
            .div_ceil(format.pieces_per_bundle.max(1) as usize);
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        let start = self
            .edge_at_start()
            .map_or_else(|| "start".to_owned(), |edge| format!("start at {edge}"));
        let figures = [
            (number::count(self.layout.courses), "courses"),
            (number::count(self.layout.opened), "shingles"),
            (number::count(bundles), "bundles up"),
            (nailing.per_piece.to_string(), "nails each"),
            (
                corner_words(self.layout.start).near.to_owned(),
                start.as_str(),
            ),
        ];
        page.canvas.on(Layer::Tables);
        let step = page.area.width() / figures.len() as f64;
        for (i, (figure, words)) in figures.iter().enumerate() {
            let at = Point::new(page.area.left + step * i as f64, page.y - COUNT);
            page.canvas.text(at, TextStyle::new(COUNT).bold(), figure);
            let under = at - Vector::new(0.0, 6.8);
            page.canvas.text(under, TextStyle::new(TEXT), words);
        }
        page.y -= COUNT + 7.0;
    }

    fn chalk_lines(&self, page: &mut Page<'_>) {
        let exposure = self.courses.format.exposure_in;
        let cells: Vec<(String, String)> = (1..)
            .map(|i| i * CHALK_EVERY)
            .take_while(|&course| course < self.layout.courses)
            .map(|course| {
                let up = self.units().length(course as f64 * exposure / 12.0);
                (format!("top of {course}"), up)
            })
            .collect();
        page.head("Chalk lines", "up the slope from the butts of course 1");
        if !cells.is_empty() {
            page.cells(&cells);
        }
        let remainder = match self.units() {
            OutputUnits::Feet => number::inches_to_sixteenth(self.layout.ridge_remainder_in),
            OutputUnits::Metres => self.inches(self.layout.ridge_remainder_in),
        };
        let last = if self.layout.cap_covers_remainder {
            format!("{remainder} above the last course is left to the cap.")
        } else {
            format!("shows {remainder} below the top edge.")
        };
        page.y -= 3.0;
        page.head(&format!("Course {}", self.layout.courses), &last);
    }

    /// What is done at each kind of edge that the face has.
    fn edges(&self, page: &mut Page<'_>) {
        let rules = &self.courses.rules;
        let said = [
            (
                EdgeKind::Eave,
                "Eave",
                format!(
                    "starter first; butts {} past the edge",
                    self.inches(rules.eave_overhang_in)
                ),
            ),
            (
                EdgeKind::Rake,
                "Rake",
                format!("{} past the edge", self.inches(rules.rake_overhang_in)),
            ),
            (
                EdgeKind::Hip,
                "Hip",
                "cut on the hip line, cap over it".to_owned(),
            ),
            (
                EdgeKind::ValleyThrough,
                "Valley",
                format!(
                    "run through, {} past the centre line; no joint within {} of it",
                    self.inches(rules.valley_lap_in),
                    self.inches(rules.valley_joint_clear_in)
                ),
            ),
            (
                EdgeKind::ValleyCut,
                "Valley",
                format!(
                    "trim {} back from the centre line",
                    self.inches(rules.valley_cut_back_in)
                ),
            ),
            (
                EdgeKind::ValleyOpen,
                "Valley",
                format!(
                    "open: trim {} back from the centre line",
                    self.inches(rules.valley_open_back_in)
                ),
            ),
            (
                EdgeKind::Wall,
                "Wall",
                "cut on the line, flashing with every course".to_owned(),
            ),
        ];
        let top = page.y;
        page.head("Edges and nails", "");
        let room = page.area.width() - NAILED - 6.0;
        for (kind, name, words) in said {
            if self.unfolded.has(kind) {
                page.entry(name, &words, room);
            }
        }
        self.nails(page, top);
    }

    /// Where the nails stand, drawn on a shingle beside what is said about edges, from `top` down.
    fn nails(&self, page: &mut Page<'_>, top: f64) {
        let format = &self.courses.format;
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        let room = page.area.width() - NAILED - 6.0;
        let words = format!(
            "{} above the butt, {} from the ends, evenly between; cut pieces too",
            self.inches(nailing.line_in),
            self.inches(NAIL_FROM_END_IN),
        );
        if let Some(caution) = nailing.caution {
            page.entry("Nails", caution, room);
        }
        let scale = NAILED / format.width_in;
        let height = format.height_in * scale;
        // Where the words went on on a further page, the shingle stands at its head.
        let top = if top < page.y { page.area.top } else { top };
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
        for line in page.canvas.wrap(style, &words, NAILED) {
            under -= style.pitch();
            page.canvas.text(Point::new(left, under), style, &line);
        }
        page.y = page.y.min(under - 1.0);
    }

    fn safety(&self, page: &mut Page<'_>) {
        let steep = self.courses.choices.limits.is_steep_for_falls(self.face);
        let words = if steep {
            "steep roof: tie off before you step on, unless rails or nets are up. Keep clear of power lines."
        } else {
            "6 ft or more above a lower level: rails, nets or tied off. Keep clear of power lines."
        };
        page.head("Safety", words);
    }
}

fn compass_word(deg: f64) -> &'static str {
    const WORDS: [&str; 8] = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];
    WORDS[(deg / 45.0).round() as usize % 8]
}
