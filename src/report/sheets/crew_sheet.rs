//! The crew sheet: one upright page a face, readable at arm's length. No prices, no percentages.

use super::frame::Frame;
use super::{Draft, small_plan};
use crate::courses::{CourseFace, Courses, EdgeKind, FaceLayout};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::pdf::Paper;
use crate::report::{OutputUnits, Report, number};
use crate::roof::Face;
use crate::units::{Length, True};

/// Heights of capitals, in mm: nothing to work by is smaller than the least.
const LEAST: f64 = 2.5;
const TEXT: f64 = 3.5;
const HEAD: f64 = 5.0;
const COUNT: f64 = 8.0;
const NAME: f64 = 12.0;
/// Over this pitch a roof is steep: 29 CFR 1926.500(b).
const STEEP_ABOVE_IN_12: f64 = 4.0;
/// From the word of an entry to what it means.
const ENTRY: f64 = 17.0;
/// Height of the words of entries.
const ENTRY_TEXT: f64 = 2.8;
/// Above and below a line across.
const ROUND_RULE: f64 = 1.6;
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
                face: report.roof().face(layout.face),
                unfolded: &unfolded,
            };
            Some(sheet.drafts(fonts, paper))
        })
        .flatten()
        .collect()
}

struct Crew<'a> {
    report: &'a Report<'a>,
    courses: &'a Courses,
    layout: &'a FaceLayout,
    face: &'a Face,
    unfolded: &'a CourseFace,
}

/// A page being filled from the top.
struct Page<'f> {
    canvas: Canvas<'f>,
    area: Area,
    frame: Area,
    y: f64,
    /// Pages that are full.
    full: Vec<Canvas<'f>>,
}

impl Page<'_> {
    /// Goes on on a further page where so much does not fit on this one.
    fn need(&mut self, height: f64) {
        if self.y - height < self.area.bottom {
            let fresh = Canvas::new(self.canvas.fonts);
            self.full.push(std::mem::replace(&mut self.canvas, fresh));
            self.y = self.area.top;
        }
    }
    /// A line across, and room for what follows it.
    fn rule(&mut self, next: f64) {
        if self.y - 2.0 * ROUND_RULE - next < self.area.bottom {
            self.need(f64::INFINITY);
            return;
        }
        self.y -= ROUND_RULE;
        let (left, right) = (self.frame.left, self.frame.right);
        self.canvas.on(Layer::Tables).line(
            Point::new(left, self.y),
            Point::new(right, self.y),
            Pen::new(0.35),
        );
        self.y -= ROUND_RULE;
    }
    fn head(&mut self, head: &str, beside: &str) {
        self.y -= HEAD;
        let at = Point::new(self.area.left, self.y);
        self.canvas.on(Layer::Tables);
        let text = self.canvas.text(at, TextStyle::new(HEAD).bold(), head);
        let beside_at = at + Vector::new(text.width + 5.0, 0.0);
        let room = self.area.right - beside_at.x;
        let style = TextStyle::new(TEXT);
        let lines = self.canvas.wrap(style, beside, room);
        for (i, line) in lines.iter().enumerate() {
            let down = Vector::new(0.0, style.pitch() * i as f64);
            self.canvas.text(beside_at - down, style, line);
        }
        self.y -= style.pitch() * lines.len().saturating_sub(1) as f64 + 2.4;
    }
    /// Cells of a label over a figure, in as many columns as fit.
    fn cells(&mut self, cells: &[(String, String)]) {
        let figure = TextStyle::new(TEXT).bold();
        let label = TextStyle::new(LEAST);
        let widest = cells
            .iter()
            .map(|(l, f)| {
                let (l, f) = (self.canvas.width(label, l), self.canvas.width(figure, f));
                l.max(f)
            })
            .fold(0.0, f64::max)
            + 3.0;
        let columns = ((self.area.width() / widest).floor() as usize).clamp(1, 9);
        let width = self.area.width() / columns as f64;
        const HEIGHT: f64 = 8.8;
        self.canvas.on(Layer::Tables);
        for (i, (words, number)) in cells.iter().enumerate() {
            let column = i % columns;
            if column == 0 {
                if i > 0 {
                    self.y -= HEIGHT;
                }
                self.need(HEIGHT);
                self.canvas.on(Layer::Tables);
            }
            let left = self.area.left + width * column as f64;
            let top = self.y;
            let cell = Area::new(left, top - HEIGHT, left + width, top);
            self.canvas.rect(cell, Pen::new(0.25));
            self.canvas
                .text(Point::new(left + 1.2, top - 3.2), label, words);
            self.canvas
                .text(Point::new(left + 1.2, top - 7.8), figure, number);
        }
        if !cells.is_empty() {
            self.y -= HEIGHT;
        }
    }
    /// Steps of the work in two columns, numbered down the first and on down the second.
    fn steps(&mut self, steps: &[(&'static str, String)]) {
        let (what, mind) = (TextStyle::new(LEAST).bold(), TextStyle::new(LEAST));
        const NUMBER: f64 = 5.5;
        let width = self.area.width() / 2.0 - 3.0;
        let columns = steps.split_at(steps.len().div_ceil(2));
        let top = self.y;
        let mut lowest = top;
        let mut number = 0;
        for (column, steps) in [columns.0, columns.1].into_iter().enumerate() {
            let left = self.area.left + column as f64 * (width + 6.0);
            let mut y = top;
            for (words, more) in steps {
                number += 1;
                y -= mind.pitch();
                self.canvas.on(Layer::Tables);
                self.canvas
                    .text(Point::new(left, y), what, &number.to_string());
                let at = Point::new(left + NUMBER, y);
                let set = self.canvas.text(at, what, &format!("{words}:"));
                let used = set.width + 1.4;
                let room = width - NUMBER;
                let lines = self.canvas.wrap_after(mind, more, room, used);
                for (i, line) in lines.iter().enumerate() {
                    let indent = if i == 0 { used } else { 0.0 };
                    if i > 0 {
                        y -= mind.pitch();
                    }
                    self.canvas.text(Point::new(at.x + indent, y), mind, line);
                }
            }
            lowest = lowest.min(y);
        }
        self.y = lowest;
    }
    /// A bold word with what it means beside it, in as many lines as it takes.
    fn entry(&mut self, word: &str, meaning: &str, room: f64) {
        let style = TextStyle::new(ENTRY_TEXT);
        let lines = self.canvas.wrap(style, meaning, room - ENTRY);
        self.need(style.pitch() * lines.len() as f64);
        for (i, line) in lines.iter().enumerate() {
            self.y -= style.pitch();
            let at = Point::new(self.area.left, self.y);
            self.canvas.on(Layer::Tables);
            if i == 0 {
                self.canvas.text(at, style.bold(), word);
            }
            let beside = at + Vector::new(ENTRY, 0.0);
            self.canvas.text(beside, style, line);
        }
    }
}

impl Crew<'_> {
    fn units(&self) -> OutputUnits {
        self.report.units()
    }
    fn inches(&self, inches: f64) -> String {
        self.units().small(Length::<True>::inches(inches))
    }

    fn drafts<'f>(&self, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
        let (short, long) = paper.sides_mm();
        let frame = Frame::of((short, long));
        let mut page = Page {
            canvas: Canvas::new(fonts),
            area: frame.content,
            frame: frame.frame,
            y: frame.content.top,
            full: Vec::new(),
        };
        self.name(&mut page);
        page.rule(COUNT + 8.0);
        self.counts(&mut page);
        let sequence = self.sequence();
        if !sequence.is_empty() {
            page.rule(40.0);
            page.head("Order of work", "");
            page.steps(&sequence);
        }
        page.rule(30.0);
        self.starts(&mut page);
        page.rule(28.0);
        self.chalk_lines(&mut page);
        page.rule(30.0);
        self.edges(&mut page);
        page.rule(12.0);
        self.safety(&mut page);
        let mut pages = page.full;
        pages.push(page.canvas);
        pages
            .into_iter()
            .map(|canvas| Draft {
                title: format!("Crew sheet, face {}", self.face.name),
                group: Some("Crew sheets".to_owned()),
                size: (short, long),
                scale: "no scale".to_owned(),
                canvas,
            })
            .collect()
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
            "{}, up the slope {}",
            self.units().pitch(self.face.pitch),
            self.units().length((high - low) / 12.0)
        );
        page.canvas
            .text(Point::new(left, base.y), TextStyle::new(TEXT), &about);
        self.small_plan(page);
        page.y = base.y - 3.0;
    }

    /// The roof in the corner, this face grey.
    fn small_plan(&self, page: &mut Page<'_>) {
        let room = Area::new(
            page.area.right - 42.0,
            page.y - NAME - 3.0,
            page.area.right,
            page.y + 2.0,
        );
        let face = Some(self.layout.face);
        small_plan::draw(&mut page.canvas, self.report, room, face);
    }

    fn counts(&self, page: &mut Page<'_>) {
        let format = &self.courses.format;
        let bundles = self
            .layout
            .opened
            .div_ceil(format.pieces_per_bundle.max(1) as usize);
        let nailing = self.courses.nailing(self.report.roof(), self.layout.face);
        let figures = [
            (number::count(self.layout.courses), "courses"),
            (number::count(self.layout.opened), "shingles"),
            (number::count(bundles), "bundles up"),
            (nailing.per_piece.to_string(), "nails each"),
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

    /// The width of the first piece of every course at its left end.
    fn starts(&self, page: &mut Page<'_>) {
        let sheet = self.layout.crew_sheet();
        let mut cells = Vec::new();
        let mut more_runs = false;
        let mut last = None;
        for (run, row) in self.layout.runs.iter().zip(&sheet.rows) {
            if last == Some(run.course) {
                more_runs = true;
                continue;
            }
            last = Some(run.course);
            // What the pattern gives needs no line of its own.
            if row.follows && sheet.step_in().is_some() {
                continue;
            }
            let first = run.joints_in.first().copied().unwrap_or(run.butt_in.1) - run.butt_in.0;
            // A run that leans by more than a shingle has its first joint before its butt begins, or far beyond: it is laid
            // with whole shingles and trimmed to the line.
            let width = self.layout.width_in;
            let leans = first <= 0.0 || first > width + 1e-6;
            let first = if leans { width } else { first };
            cells.push(((run.course + 1).to_string(), self.inches(first)));
        }
        let pattern = crate::report::course_table::pattern_words(self.layout, self.units());
        page.head("Pattern", &pattern.join(" "));
        if !cells.is_empty() {
            page.head(
                "First piece, left",
                "its width at the butt, where the pattern does not give it",
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
            "{} above the butt, {} from the ends and evenly between; cut pieces too",
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

    /// What is done on this face before, between and after the courses, as the list of materials has it.
    fn sequence(&self) -> Vec<(&'static str, String)> {
        let Some(materials) = self.report.inputs().materials else {
            return Vec::new();
        };
        let roof = self.report.roof();
        let mut steps: Vec<(&'static str, String)> = Vec::new();
        let fed = |line: &crate::materials::MaterialLine| {
            line.faces.iter().any(|(_, face)| *face == self.layout.face)
                || line
                    .edges
                    .iter()
                    .any(|(_, edge)| roof.edge(*edge).faces.contains(&self.layout.face))
        };
        for line in materials.lines.iter().filter(|line| fed(line)) {
            let Some((what, how)) = step(line.key) else {
                continue;
            };
            let how = match line.key {
                "self_adhered_sheet" => self.ice(materials).unwrap_or_else(|| how.to_owned()),
                _ => how.to_owned(),
            };
            if !steps.iter().any(|(other, _)| *other == what) {
                steps.push((what, how));
            }
        }
        steps
    }

    /// How far the ice barrier goes up this face.
    fn ice(&self, materials: &crate::materials::MaterialList) -> Option<String> {
        let ice = materials.ice.iter().find(|i| i.face == self.layout.face)?;
        let s = if ice.rows == 1 { "" } else { "s" };
        Some(format!(
            "{} up the slope at least, {} row{s}",
            self.units().length(ice.reach.to_feet()),
            ice.rows,
        ))
    }

    fn safety(&self, page: &mut Page<'_>) {
        let steep = self.face.pitch.to_in_12() > STEEP_ABOVE_IN_12;
        let words = if steep {
            "steep roof: tie off before you step on, unless rails or nets are up. Keep clear of power lines."
        } else {
            "6 ft or more above a lower level: rails, nets or tied off. Keep clear of power lines."
        };
        page.head("Safety", words);
    }
}

/// A step of the work by the item that it uses: what it is, and what to mind.
fn step(key: &str) -> Option<(&'static str, &'static str)> {
    Some(match key {
        "drip_edge_eave" => ("Drip edge, eaves", "on the deck, under the sheets"),
        "self_adhered_sheet" => ("Self-adhered sheet", "in the valleys"),
        "valley_smooth_roll" | "valley_mineral_roll" | "valley_metal" => {
            ("Valley lining", "centred, from below")
        }
        "underlayment" => ("Underlayment", "from below, over what lies at the eave"),
        "drip_edge_rake" => ("Drip edge, rakes", "over the underlayment"),
        "starter" => ("Starter", "joints away from those of course 1"),
        "shingles" => ("Courses", "by the starts below"),
        "pipe_boot" => ("Pipe boots", "as the courses reach them"),
        "step_flashing" => ("Step flashing", "one piece with every course"),
        "sidewall_flashing" => ("Sidewall flashing", "before the courses along it"),
        "apron_flashing" => ("Apron", "over the course below it"),
        "cricket" => ("Cricket", "before the courses above it"),
        "ridge_vent" => ("Ridge vent", "short of both ends of the ridge"),
        "hip_ridge_cap" => ("Caps", "hips first, from below; then the ridge"),
        _ => return None,
    })
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
