//! What people and programs read: the sheets, the tables, the summary. Rounding happens only here, in [`number`].
//!
//! Everything is made from one [`Report`], so that the same number is printed wherever it appears. Pure: values in,
//! bytes and strings out.

mod canvas;
mod changeover_words;
mod comparison;
mod course_choices;
mod course_json;
mod course_table;
mod crew_starts;
mod crew_words;
mod csv;
mod cycle_words;
mod face_svg;
pub mod glb;
mod hatch;
pub mod html;
mod json;
mod json_checks;
mod json_money;
mod json_site;
mod number;
mod offer_words;
pub mod order;
mod pdf;
mod plan;
pub mod review;
pub mod revision;
mod sheets;
mod summary;
mod svg;
mod typeset;
mod units;
mod view;
pub mod view3d;

pub use changeover_words::changeover_words;
pub use comparison::{comparison_csv, comparison_json, comparison_table};
pub use course_choices::{layout_words, suggestion_words};
pub use course_json::course_json;
pub use course_table::course_table;
pub use csv::csv;
pub use cycle_words::cycle_words;
pub use face_svg::face_svg;
pub use json::{json, refusal_json};
pub use pdf::{LabelMark, LineMark, Paper, PdfFile, PdfOptions, SheetMarks, marks, pdf};
pub use sheets::Sheet;
pub use summary::summary;
pub use svg::svg;
pub use typeset::wrapped;
pub use units::OutputUnits;

use crate::courses::{Comparison, Courses};
use crate::drawing::Drawing;
use crate::materials::{MaterialList, Offer, Spread};
use crate::review::Review;
use crate::roof::{Edge, EdgeClass, Roof};
use crate::units::{Area, True};
use crate::{Finding, Severity, gravest_first};

/// What a report is made from.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// The plan that was read.
    pub drawing: &'a Drawing,
    /// The solved roof.
    pub roof: &'a Roof,
    /// The course layout, where one was made.
    pub courses: Option<&'a Courses>,
    /// What to order, where it was worked out.
    pub materials: Option<&'a MaterialList>,
    /// The roof in several shingle formats, where some are compared.
    pub comparison: Option<&'a Comparison>,
    /// The bid and the cost sheet behind it, where the job gives prices.
    pub offer: Option<&'a Offer>,
    /// Who and what for.
    pub project: &'a ProjectInfo,
    /// The units of every number written.
    pub units: OutputUnits,
}

impl<'a> Inputs<'a> {
    /// Of a roof alone, before anything is laid on it.
    pub fn of_roof(
        drawing: &'a Drawing,
        roof: &'a Roof,
        project: &'a ProjectInfo,
        units: OutputUnits,
    ) -> Self {
        Self {
            drawing,
            roof,
            courses: None,
            materials: None,
            comparison: None,
            offer: None,
            project,
            units,
        }
    }
}

/// Who and what for, as the title block prints it. Empty fields stay empty.
#[derive(Clone, Debug, Default)]
pub struct ProjectInfo {
    /// The job's name.
    pub name: String,
    /// Whom it is prepared for.
    pub client: String,
    /// Where the roof is.
    pub address: String,
    /// The date as the user wrote it; the program never makes one up.
    pub date: String,
    /// The revision.
    pub revision: String,
    /// Who drew it.
    pub drawn_by: String,
    /// Who checked it.
    pub checked_by: String,
    /// The document's number.
    pub document: String,
    /// Such as `for bid`, or `example, invented data`.
    pub status: String,
    /// Who offers.
    pub contractor: String,
    /// The address of who offers.
    pub contractor_address: String,
    /// The name of the plan's file, without its folder.
    pub source_file: String,
    /// The compass bearing of the drawing's "up", in degrees; 0 where up is north.
    pub up_bearing_deg: f64,
}

/// A takeoff, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct Report<'a> {
    inputs: Inputs<'a>,
    findings: Vec<&'a Finding>,
    review: Option<&'a Review>,
}

impl<'a> Report<'a> {
    /// Gathers what the stages noticed, the graver findings first, otherwise in the order of the stages.
    pub fn new(inputs: Inputs<'a>) -> Self {
        let courses = inputs.courses.map_or(&[][..], |c| &c.findings);
        let materials = inputs.materials.map_or(&[][..], |m| &m.findings);
        let mut findings: Vec<&Finding> = inputs
            .drawing
            .findings
            .iter()
            .chain(&inputs.roof.findings)
            .chain(courses)
            .chain(materials)
            .chain(inputs.comparison.map_or(&[][..], |c| &c.findings))
            .chain(inputs.offer.map_or(&[][..], |o| &o.findings))
            .collect();
        gravest_first(&mut findings);
        Self {
            inputs,
            findings,
            review: None,
        }
    }
    /// With a review of the plan; what it noticed stands before what the stages noticed, among findings as grave.
    #[must_use]
    pub fn with_review(mut self, review: &'a Review) -> Self {
        self.findings.splice(0..0, &review.findings);
        gravest_first(&mut self.findings);
        self.review = Some(review);
        self
    }
    /// With what was noticed when it was printed, after findings as grave.
    #[must_use]
    pub fn with_findings(mut self, noticed: &'a [Finding]) -> Self {
        self.findings.extend(noticed);
        gravest_first(&mut self.findings);
        self
    }
    /// The review of the plan, where one was made.
    pub fn review(&self) -> Option<&'a Review> {
        self.review
    }
    /// The number of a finding, from 1, as marks and sheets carry it.
    fn number_of(&self, finding: &Finding) -> Option<usize> {
        let at = self.findings.iter().position(|f| std::ptr::eq(*f, finding));
        at.map(|index| index + 1)
    }
    /// What it was made from.
    pub fn inputs(&self) -> &Inputs<'a> {
        &self.inputs
    }
    /// What was noticed, the graver first.
    pub fn findings(&self) -> &[&'a Finding] {
        &self.findings
    }
    /// Those that somebody should look at: warnings and errors.
    fn warnings(&self) -> impl Iterator<Item = &'a Finding> {
        self.findings
            .iter()
            .copied()
            .filter(|f| f.severity >= Severity::Warning)
    }
    fn roof(&self) -> &'a Roof {
        self.inputs.roof
    }
    fn units(&self) -> OutputUnits {
        self.inputs.units
    }
    /// The roof's own area of the faces that are laid. Turned flat for the courses, faces of planes that part a little are larger
    /// or smaller by a hair: papers print the roof's area alone.
    fn laid_area(&self, courses: &Courses) -> Area<True> {
        let faces = courses.faces.iter();
        faces
            .map(|layout| self.inputs.roof.face(layout.face).true_area)
            .sum()
    }
    /// A bearing in the drawing, as a compass bearing in [0, 360).
    fn compass_deg(&self, drawing_deg: f64) -> f64 {
        let turned = drawing_deg + self.inputs.project.up_bearing_deg;
        let deg = turned.rem_euclid(360.0);
        if deg >= 360.0 { 0.0 } else { deg }
    }
    /// The names of the faces that meet in an edge.
    fn face_names(&self, edge: &Edge) -> impl Iterator<Item = &'a str> {
        let roof = self.inputs.roof;
        edge.faces
            .iter()
            .filter_map(|id| roof.faces.get(id.0))
            .map(|face| face.name.as_str())
    }
    /// Whether there may be old roofing on the deck, as far as the list of materials knows.
    fn may_meet_old_roofing(&self) -> bool {
        let materials = self.inputs.materials;
        materials.is_none_or(MaterialList::may_meet_old_roofing)
    }
    /// Where the bundles go, as far as the list of materials says what they weigh.
    fn spread(&self) -> Spread {
        let ridge_ft = self.inputs.roof.true_length(EdgeClass::Ridge).to_feet();
        let loading = self.inputs.materials.and_then(|m| m.loading);
        loading.map_or_else(|| Spread::of(ridge_ft, None), |l| l.spread())
    }
    /// Where the scale was found, in words.
    fn scale_source(&self) -> String {
        typeset::typeset(&self.inputs.drawing.scale.from)
    }
    /// The name of the job, or the plan's file where the job has none.
    fn title(&self) -> &'a str {
        let project = self.inputs.project;
        if project.name.is_empty() {
            &project.source_file
        } else {
            &project.name
        }
    }
}
