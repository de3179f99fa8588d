//! The sheets of the set, in the order that they are bound.

mod bid;
mod cost;
mod course_drawing;
mod course_labels;
mod course_layout;
mod crew_edges;
mod crew_page;
mod crew_sheet;
mod crew_starts;
mod crew_steps;
mod crew_under;
mod flow;
mod format_strip;
mod formats;
mod frame;
mod materials;
pub(crate) mod method;
mod plan_details;
mod plan_rest;
mod plan_sections;
mod review;
mod roof_plan;
mod rules;
mod schedules;
mod small_plan;
mod sums;
mod table;
mod table_set;
mod title_block;
mod view;
mod view_levels;

use frame::Frame;
use title_block::SheetTitle;

use super::Report;
use super::canvas::{Canvas, Fonts};
use super::pdf::{Page, PdfOptions};

/// A kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sheet {
    /// The dimensioned plan with the schedule of faces: the sheet that stands alone.
    RoofPlan,
    /// Edges, sloping edges one by one, openings, checks, shingles by face.
    Schedules,
    /// What to order, and why.
    Materials,
    /// The roof in parallel projection, with heights.
    View,
    /// Every course of every face, one sheet a face.
    CourseLayout,
    /// What the crew works by, one upright sheet a face.
    Crew,
    /// Other shingle formats on the same roof, where the job compares some.
    Formats,
    /// How it was measured, findings, cautions.
    Method,
    /// Stated figures against computed ones; only where the plan was reviewed.
    Review,
    /// The offer to the customer.
    Bid,
    /// What the job costs the contractor. Internal: never printed unless it is asked for by name.
    Cost,
}

impl Sheet {
    /// All kinds, in the order that they are bound.
    pub const ALL: [Self; 11] = [
        Self::RoofPlan,
        Self::Schedules,
        Self::Materials,
        Self::View,
        Self::CourseLayout,
        Self::Crew,
        Self::Formats,
        Self::Method,
        Self::Review,
        Self::Bid,
        Self::Cost,
    ];

    /// Those that are printed where nobody chooses: all but what is for the contractor's eyes alone.
    pub fn usual() -> Vec<Self> {
        let mut sheets = Self::ALL.to_vec();
        sheets.retain(|sheet| *sheet != Self::Cost);
        sheets
    }

    /// The name to choose it by, as in `--sheets plan,schedules`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::RoofPlan => "plan",
            Self::Schedules => "schedules",
            Self::Materials => "materials",
            Self::View => "view",
            Self::CourseLayout => "courses",
            Self::Crew => "crew",
            Self::Formats => "formats",
            Self::Method => "method",
            Self::Review => "review",
            Self::Bid => "bid",
            Self::Cost => "cost",
        }
    }
}

/// The kinds of sheets that are bound together: what is not among them must not be referred to, nor left to.
#[derive(Clone, Copy)]
struct Bound<'o>(&'o [Sheet]);

impl Bound<'_> {
    fn holds(self, sheet: Sheet) -> bool {
        self.0.contains(&sheet)
    }
}

/// A sheet drawn, but for its frame and title block, which need the count of sheets.
struct Draft<'f> {
    title: String,
    group: Option<String>,
    size: (f64, f64),
    /// The scale as the title block has it.
    scale: String,
    canvas: Canvas<'f>,
}

/// Draws the sheets asked for.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    options: &PdfOptions,
) -> Vec<Page<'f>> {
    let mut drafts: Vec<Draft<'f>> = Vec::new();
    let paper = options.paper;
    let (desk, hand) = (paper.on_the_desk(), paper.in_the_hand());
    let bound = Bound(&options.sheets);
    for sheet in &options.sheets {
        let next = drafts.len() + 1;
        drafts.extend(match sheet {
            Sheet::RoofPlan => {
                let mut plan = roof_plan::draw(report, fonts, (paper, bound), next);
                if !bound.holds(Sheet::Method) {
                    // The numbers on the plan would stand for nothing.
                    plan.extend(method::legend(report, fonts, (desk, paper), bound));
                }
                plan
            }
            Sheet::Schedules => schedules::draw(report, fonts, (desk, paper), bound),
            Sheet::Materials => materials::draw(report, fonts, desk, bound),
            Sheet::View => view::draw(report, fonts, paper),
            Sheet::CourseLayout => course_layout::draw(report, fonts, (paper, bound), next),
            Sheet::Crew => crew_sheet::draw(report, fonts, hand),
            Sheet::Formats => formats::draw(report, fonts, desk),
            Sheet::Method => method::draw(report, fonts, (desk, paper), bound),
            Sheet::Review => review::draw(report, fonts, paper),
            Sheet::Bid => bid::draw(report, fonts, hand),
            Sheet::Cost => cost::draw(report, fonts, hand),
        });
    }
    let of = drafts.len();
    drafts
        .into_iter()
        .enumerate()
        .map(|(index, draft)| finish(report, draft, index + 1, of))
        .collect()
}

fn finish<'f>(report: &Report<'_>, draft: Draft<'f>, number: usize, of: usize) -> Page<'f> {
    let Draft {
        title,
        group,
        size,
        scale,
        mut canvas,
    } = draft;
    let frame = Frame::of(size);
    let sheet = SheetTitle {
        title,
        scale,
        number,
        of,
    };
    frame.draw(&mut canvas);
    title_block::draw(&mut canvas, &frame, report, &sheet);
    Page {
        title: sheet.title,
        group,
        size,
        canvas,
    }
}

/// Height of running text: larger sheets are read from farther away. Heights after ISO 3098, and one between.
fn text_height(size: (f64, f64)) -> f64 {
    match size.0.max(size.1) {
        long if long > 800.0 => 3.5,
        long if long > 500.0 => 2.5,
        long if long > 400.0 => 2.2,
        _ => 1.8,
    }
}
