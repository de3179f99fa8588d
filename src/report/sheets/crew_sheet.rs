//! The crew sheet: one upright page a face, readable at arm's length. No prices, no percentages.

use super::Draft;
use super::crew_edges::EdgeWords;
use super::crew_page::{CELL, HEAD, LEAST, Page, TEXT, UNDER_HEAD};
use super::crew_starts::StartWords;
use super::crew_steps::Step;
use super::frame::Frame;
use super::method::holes_of;
use super::small_plan::SmallPlan;
use crate::courses::{CourseFace, Courses, CrewSheet, EdgeKind, FaceLayout, course_words};
use crate::geometry::{Point, Vector, ring};
use crate::materials::Spread;
use crate::report::canvas::{Area, Canvas, Fonts, Layer, Pen, TextStyle};
use crate::report::crew_words::{corner_words, is_capped};
use crate::report::pdf::Paper;
use crate::report::{OutputUnits, Report, number};
use crate::roof::{COMPASS_POINTS, Face, compass_point};
use crate::units::{Length, True};

const COUNT: f64 = 8.0;
const NAME: f64 = 12.0;
/// The roof in the corner is at most so wide.
const SMALL_PLAN: f64 = 42.0;
/// From the top of the name of the face to what follows it.
const NAME_HEIGHT: f64 = NAME + 3.0;
/// Under the name of the face on further pages, with the line there.
const UNDER_NAME: f64 = 4.0;
/// Between two of the figures at the top, at least and at most.
const LEAST_BETWEEN: f64 = 4.0;
const MOST_BETWEEN: f64 = 16.0;
/// Upper edges nearer than this in height get one line, in inches.
const SAME_HEIGHT_IN: f64 = 1.0;
/// Chalk lines every so many courses.
const CHALK_EVERY: usize = 5;

/// Draws one sheet a shingled face.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(courses) = report.inputs().courses else {
        return Vec::new();
    };
    let small_plan = small_plan(report, paper);
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
                small_plan: small_plan.as_ref(),
            };
            Some(sheet.drafts(fonts, paper))
        })
        .flatten()
        .collect()
}

pub(super) struct Crew<'a> {
    pub(super) report: &'a Report<'a>,
    pub(super) courses: &'a Courses,
    pub(super) layout: &'a FaceLayout,
    pub(super) sheet: CrewSheet,
    pub(super) face: &'a Face,
    pub(super) unfolded: &'a CourseFace,
    pub(super) small_plan: Option<&'a SmallPlan<'a>>,
}

/// The roof in the corner of each sheet.
fn small_plan<'r>(report: &Report<'r>, paper: Paper) -> Option<SmallPlan<'r>> {
    let area = Frame::of(paper.sides_mm()).content;
    let room = Area::new(
        area.right - SMALL_PLAN,
        area.top - NAME_HEIGHT,
        area.right,
        area.top + 2.0,
    );
    SmallPlan::marked(report, room)
}

/// A figure, or a head, and what stands with it.
type Labelled = (String, String);

/// All that the sheet says, in its order: made once, and set several times until the lettering fills the sheet.
struct Words {
    counts: [Labelled; 5],
    safety: String,
    sequence: Vec<Step>,
    /// What the courses ask to be minded before they are begun.
    minded: Vec<Labelled>,
    starts: StartWords,
    chalk: Vec<Labelled>,
    last_course: Labelled,
    lower_tops: Vec<Labelled>,
    edges: EdgeWords,
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
        let frame = Frame::of(size);
        let further = NAME_HEIGHT + UNDER_NAME;
        let words = self.words(fonts);
        let page = Page::filled(fonts, &frame, further, |page| self.fill(page, &words));
        let mut pages = page.full;
        pages.push(page.canvas);
        for canvas in pages.iter_mut().skip(1) {
            self.name(canvas, frame.content, ", continued");
            let y = frame.content.top - NAME_HEIGHT - UNDER_NAME / 2.0;
            let ends = (frame.frame.left, frame.frame.right);
            canvas.on(Layer::Tables).line(
                Point::new(ends.0, y),
                Point::new(ends.1, y),
                Pen::new(0.35),
            );
        }
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

    fn words(&self, fonts: &Fonts) -> Words {
        let (sequence, edges) = (self.sequence(), self.edge_words());
        Words {
            counts: self.counts(),
            safety: self.safety(),
            sequence,
            minded: self.minded(),
            starts: self.start_words(fonts),
            chalk: self.chalk_lines(),
            last_course: self.last_course(),
            lower_tops: self.lower_top_words(),
            edges,
        }
    }

    /// Sets all parts of the sheet, one under the other. What keeps people alive stands before what they do.
    fn fill(&self, page: &mut Page<'_>, words: &Words) {
        if !page.canvas.is_trial() {
            self.name(&mut page.canvas, page.area, "");
        }
        page.y -= NAME_HEIGHT;
        page.rule(COUNT + 8.0);
        set_counts(page, &words.counts);
        page.rule(2.0 * CELL);
        page.head("Safety", &words.safety);
        if !words.sequence.is_empty() {
            page.steps("Order of work", &words.sequence);
        }
        page.rule(2.0 * (HEAD + UNDER_HEAD) + CELL);
        for (head, said) in &words.minded {
            page.head(head, said);
        }
        words.starts.set(page);
        page.rule(2.0 * (HEAD + UNDER_HEAD) + CELL + 3.0);
        if !words.chalk.is_empty() {
            page.head("Chalk lines", "up the slope from the butts of course 1");
            page.cells(&words.chalk);
        }
        page.y -= 3.0;
        for (head, said) in std::iter::once(&words.last_course).chain(&words.lower_tops) {
            page.head(head, said);
        }
        page.rule(self.nails_height(page, &words.edges));
        self.set_edges(page, &words.edges);
    }

    /// The name of the face, which way it falls, how steep and long it is, and where on the roof it lies.
    fn name(&self, canvas: &mut Canvas<'_>, area: Area, more: &str) {
        canvas.on(Layer::FaceNames);
        let base = Point::new(area.left, area.top - NAME);
        let width = canvas.text_before(base, TextStyle::new(NAME).bold(), &self.face.name);
        let left = base.x + width + 7.0;
        let falls = self.face.downslope_deg().map_or_else(String::new, |deg| {
            let word = COMPASS_POINTS[compass_point(self.report.compass_deg(deg))];
            format!("falls {word}{more}")
        });
        let falls_at = Point::new(left, area.top - HEAD);
        canvas.text(falls_at, TextStyle::new(HEAD).bold(), &falls);
        let (low, high) = self.unfolded.v_range();
        let slope = format!(
            "{}, slope {}",
            self.units().pitch(self.face.pitch),
            self.units().length((high - low) / 12.0)
        );
        let sides = "left, right as you face it";
        let about = format!("{slope}; {sides}");
        let room = area.right - SMALL_PLAN - 2.0 - left;
        let fits = |height: &f64| canvas.width(TextStyle::new(*height), &about) <= room;
        let about_at = Point::new(left, base.y);
        match [TEXT, 3.0, LEAST].into_iter().find(fits) {
            Some(height) => {
                canvas.text(about_at, TextStyle::new(height), &about);
            }
            None => {
                let style = TextStyle::new(LEAST);
                let above = about_at + Vector::new(0.0, style.pitch());
                canvas.text(above, style, &slope);
                canvas.text(about_at, style, sides);
            }
        }
        if let Some(small_plan) = self.small_plan {
            small_plan.draw(canvas, Some((self.layout.face, self.start_in_plan())));
        }
    }

    /// The figures at the top, each with the words under it.
    fn counts(&self) -> [Labelled; 5] {
        let format = &self.courses.format;
        // What is begun of a bundle on this face goes on on another: whole bundles alone add up to what is bought.
        let a_bundle = format.pieces_per_bundle.max(1) as usize;
        let (bundles, loose) = (self.layout.opened / a_bundle, self.layout.opened % a_bundle);
        let word = plural(bundles, "bundle", "bundles");
        let up = match loose {
            0 => word.to_owned(),
            _ => format!("{word} + {loose}"),
        };
        let counted = |count: usize, one: &'static str, many: &'static str| {
            (number::count(count), plural(count, one, many).to_owned())
        };
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        let start = self
            .edge_at_start()
            .map_or_else(|| "start".to_owned(), |edge| format!("start at {edge}"));
        [
            counted(self.layout.courses, "course", "courses"),
            counted(self.layout.opened, "shingle", "shingles"),
            (number::count(bundles), up),
            (nailing.per_piece.to_string(), "nails each".to_owned()),
            (corner_words(self.layout.start).near.to_owned(), start),
        ]
    }

    /// A height up the slope to snap a line at: feet and inches to an eighth, or millimetres.
    fn chalk(&self, up_in: f64) -> String {
        match self.units() {
            OutputUnits::Feet => self.units().length(up_in / 12.0),
            OutputUnits::Metres => self.inches(up_in),
        }
    }

    /// The courses that a line is snapped at the top of, and its height.
    fn chalk_lines(&self) -> Vec<Labelled> {
        let exposure = self.courses.format.exposure_in;
        let courses = (1..).map(|i| i * CHALK_EVERY);
        let courses = courses.take_while(|&course| course < self.layout.courses);
        courses
            .map(|course| {
                let up_in = course as f64 * exposure;
                (format!("top of {course}"), self.chalk(up_in))
            })
            .collect()
    }

    /// What a crew has to mind of the joints: where rules are not kept, what cutouts keep from each other, and parts of a
    /// course that run onto each other.
    fn minded(&self) -> Vec<Labelled> {
        let mut minded = Vec::new();
        for close in &self.layout.close_joints {
            let (low, high) = (close.nearest.0 + 1, close.nearest.1 + 1);
            minded.push((
                match close.is_of_cutouts {
                    true => "Cutouts".to_owned(),
                    false => "Joints".to_owned(),
                },
                format!(
                    "nearer than {} to {} in {}, down to {} in courses {low} and {high}: ask before you lay them.",
                    self.inches(close.asked_in),
                    close.other(),
                    course_words(close.courses.iter().map(|course| course + 1)),
                    self.inches(close.distance_in),
                ),
            ));
        }
        let near_valley = &self.layout.joints_near_valley;
        if !near_valley.is_empty() {
            minded.push((
                "Valley joints".to_owned(),
                format!(
                    "nearer than {} to the centre line in {}: ask before you lay them.",
                    self.inches(self.courses.rules.valley_joint_clear_in),
                    course_words(near_valley.iter().map(|course| course + 1)),
                ),
            ));
        }
        let format = &self.courses.format;
        if let Some(cutouts_in) = self.courses.rules.cutout_distance_in(format) {
            minded.push((
                "Cutouts".to_owned(),
                format!(
                    "{} at least from the joints and cutouts of the course below.",
                    self.inches(cutouts_in)
                ),
            ));
        }
        let crossing = self.layout.crossing_courses();
        if !crossing.is_empty() {
            let courses = course_words(crossing.into_iter().map(|course| course + 1));
            minded.push((
                "Ridge between".to_owned(),
                format!(
                    "the parts of {courses} run through two valleys and onto each other: cut both at the ridge there."
                ),
            ));
        }
        minded
    }

    /// The last course, and what is left above it.
    fn last_course(&self) -> Labelled {
        let remainder = self.units().tape(self.layout.ridge_remainder_in);
        let covers = match is_capped(self.report.roof(), self.layout.face) {
            true => "the cap",
            false => "the metal at the top edge",
        };
        let last = if self.layout.cap_covers_remainder {
            format!("{remainder} above the last course is left to {covers}.")
        } else {
            format!("shows {remainder} below the top edge.")
        };
        (format!("Course {}", self.layout.courses), last)
    }

    /// How high the lower upper edges lie, and what shows of the course below them.
    fn lower_top_words(&self) -> Vec<Labelled> {
        let exposure = self.courses.format.exposure_in;
        let told = |(at_in, name): (f64, &'static str)| {
            // The butts of course 1 hang over the eave.
            let up_in = at_in + self.courses.rules.eave_overhang_in;
            // Only at the top of the face is a low strip left to the cap: up to a lower one courses are laid.
            let course = (up_in / exposure - 1e-6).ceil().max(1.0);
            let shows = self.units().tape(up_in - (course - 1.0) * exposure);
            let words = format!(
                "{} up from the butts of course 1: course {course} shows {shows} below it.",
                self.chalk(up_in)
            );
            (format!("Lower {name}"), words)
        };
        self.lower_tops().into_iter().map(told).collect()
    }

    /// Level upper edges of the face that lie below its top, each height once: how far up from its lowest corner.
    fn lower_tops(&self) -> Vec<(f64, &'static str)> {
        let (low, high) = self.unfolded.v_range();
        let outer = &self.unfolded.outer;
        let tops = ring::sides(&outer.points).zip(&outer.kinds);
        let mut tops: Vec<(f64, &'static str)> = tops
            .filter_map(|((a, b), kind)| {
                let name = match kind {
                    EdgeKind::Ridge => "ridge",
                    EdgeKind::HighEdge => "high edge",
                    _ => return None,
                };
                let is_level = (a.y - b.y).abs() < SAME_HEIGHT_IN;
                let at = a.y.max(b.y);
                (is_level && at < high - SAME_HEIGHT_IN).then_some((at - low, name))
            })
            .collect();
        tops.sort_by(|a, b| a.0.total_cmp(&b.0));
        tops.dedup_by(|a, b| a.1 == b.1 && (a.0 - b.0).abs() < SAME_HEIGHT_IN);
        tops
    }

    /// What somebody can fall through on this face.
    fn holes(&self) -> Option<String> {
        let openings = self.report.roof().openings.iter();
        let here = openings.filter(|opening| opening.faces.contains(&self.layout.face));
        let (count, counted) = holes_of(here)?;
        let (it, one) = match count {
            1 => ("it", "it"),
            _ => ("them", "one"),
        };
        Some(format!(
            "{counted}: cover or rail {it}; never step or sit on {one}. "
        ))
    }

    /// 29 CFR 1926.501(b); loads and old roofing as on the method sheet (common practice, no source).
    fn safety(&self) -> String {
        let steep = self.courses.choices.limits.is_steep_for_falls(self.face);
        let words = if steep {
            "steep roof: tie off before you step on, unless rails or nets are up. Keep clear of power lines.".to_owned()
        } else {
            format!(
                "{} or more above a lower level: rails, nets or tied off. Keep clear of power lines.",
                self.units().feet_of_law(6.0)
            )
        };
        let spread = match self.report.spread() {
            Spread::AlongRidge if self.unfolded.has(EdgeKind::Ridge) => {
                "Spread bundles along the ridge."
            }
            Spread::AlongRidge => "Spread bundles along the roof's ridge.",
            Spread::InLifts => {
                "Bundles in lifts, spread over the faces: the ridge is too short for all."
            }
            Spread::NoRidge => "Spread bundles; never stack them.",
        };
        let old = match self.report.may_meet_old_roofing() {
            true => " Old roofing: tested for asbestos before any is torn.",
            false => "",
        };
        let holes = self.holes().unwrap_or_default();
        format!("{words} {holes}{spread}{old}")
    }
}

/// Sets the figures at the top side by side: the room is shared by widths, and where they leave too little between them, all
/// are set smaller.
fn set_counts(page: &mut Page<'_>, counts: &[Labelled; 5]) {
    let wide = |page: &Page<'_>, (figure, words): &Labelled, grow: f64| {
        let figure = page
            .canvas
            .width(TextStyle::new(COUNT * grow).bold(), figure);
        figure.max(page.canvas.width(TextStyle::new(TEXT * grow), words))
    };
    let between = |page: &Page<'_>, grow: f64| {
        let all: f64 = counts.iter().map(|count| wide(page, count, grow)).sum();
        (page.area.width() - all) / (counts.len() - 1) as f64
    };
    let grow = [1.0, 0.9, 0.8].into_iter();
    let grow = grow
        .clone()
        .find(|grow| between(page, *grow) >= LEAST_BETWEEN)
        .unwrap_or(LEAST / TEXT);
    let step = between(page, grow).min(MOST_BETWEEN);
    page.canvas.on(Layer::Tables);
    let mut left = page.area.left;
    for count in counts {
        let at = Point::new(left, page.y - COUNT);
        let (figure, words) = count;
        page.canvas
            .text(at, TextStyle::new(COUNT * grow).bold(), figure);
        let under = at - Vector::new(0.0, 6.8);
        page.canvas.text(under, TextStyle::new(TEXT * grow), words);
        left += wide(page, count, grow) + step;
    }
    page.y -= COUNT + 6.8 + page.hangs(TEXT * grow).max(0.2);
}

const fn plural(count: usize, one: &'static str, many: &'static str) -> &'static str {
    match count {
        1 => one,
        _ => many,
    }
}
