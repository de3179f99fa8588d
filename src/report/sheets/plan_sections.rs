//! The plan of a roof too long for one sheet: a sheet a section at a scale that can be read, joined by match lines, each
//! with a small plan that shows which section it is.

use super::frame::Frame;
use super::plan_details::{Details, longest_name};
use super::roof_plan::DIMENSION_ROOM;
use super::{Draft, text_height};
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Align, Area, Canvas, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::plan::division::Division;
use crate::report::plan::{self, Scope, Unplaced, details};

/// Between the plan and the band under it.
const GAP: f64 = 5.0;
/// The band is so high at least, for the small plan of the whole.
const LEAST_BAND: f64 = 20.0;
/// The small plan stands so far from the left.
const SMALL_PLAN_AT: f64 = 160.0;

/// A divided roof, and where its sheets stand in the set.
pub(super) struct Sections {
    division: Division,
    size: (f64, f64),
    plan: Area,
    band: Area,
    /// Number of the sheet of the first section.
    first: usize,
}

impl Sections {
    /// `None` for a roof that fits a sheet of this size.
    pub(super) fn of(
        report: &Report<'_>,
        size: (f64, f64),
        scope: &Scope,
        first: usize,
    ) -> Option<Self> {
        let content = Frame::of(size).content;
        let height = plan::key_height(report, content.width()).max(LEAST_BAND);
        let band = Area {
            top: content.bottom + height,
            ..content
        };
        let plan = Area {
            bottom: band.top + GAP,
            ..content
        };
        let room = plan.inset(DIMENSION_ROOM);
        let extent = plan::extent(report)?;
        let division = Division::of(report, &scope.chains, extent, (room.width(), room.height()))?;
        Some(Self {
            division,
            size,
            plan,
            band,
            first,
        })
    }

    pub(super) fn division(&self) -> &Division {
        &self.division
    }
    /// The number of the sheet that a section is on.
    pub(super) fn sheet_of(&self, index: usize) -> usize {
        self.first + index
    }

    /// A sheet a section, then the details of all of them.
    pub(super) fn draw<'f>(
        &self,
        report: &Report<'_>,
        fonts: &'f Fonts,
        whole: &Scope,
    ) -> Vec<Draft<'f>> {
        let text = text_height(self.size);
        let count = self.division.sections.len();
        let scopes: Vec<Scope> = self
            .division
            .sections
            .iter()
            .map(|section| details::scope(report, &section.part, &whole.chains))
            .collect();
        let mut sheets = Vec::new();
        let scale = self.division.scale;
        let details_of = Details::new(report, fonts, self.size, scale, &whole.chains);
        let draw = |index: usize, scope: &Scope| {
            let mut canvas = Canvas::new(fonts);
            let sheet_of = |other| self.sheet_of(other);
            let which = (&self.division, index);
            let (drawn, projection) =
                plan::draw_section(&mut canvas, report, which, sheet_of, scope, self.plan, text);
            (canvas, drawn, projection)
        };
        let drawn: Vec<_> = (0..count).map(|i| draw(i, &scopes[i])).collect();
        let missing: Vec<Unplaced> = drawn.iter().map(|d| d.1.unplaced.clone()).collect();
        // The details follow the sections.
        let first_detail = self.first + count;
        let (mut names, mut apart) = (Vec::new(), Vec::new());
        for (index, first) in drawn.into_iter().enumerate() {
            let unplaced = self.nowhere_else(report, &scopes, &missing, index);
            let own = details::parts(report, &unplaced, &first.2);
            let own = details_of.enlargeable(own);
            // Once more without the leaders that the details make needless.
            let (mut canvas, mut section, projection) = if own.is_empty() {
                first
            } else {
                let elsewhere = own.clone();
                let scope = Scope {
                    elsewhere,
                    ..scopes[index].clone()
                };
                draw(index, &scope)
            };
            if !plan::finding_marks::need_a_sheet(report) {
                let part = self.division.sections[index].part;
                section.mark_findings(&mut canvas, report, Some(&part), &projection);
            }
            // How many details there are in all is known only after the last section.
            let longest = longest_name(own.len().max(27), first_detail);
            let places = section.mark_details(&mut canvas, &projection, &own, &longest);
            let kept = plan::north_by(self.band);
            section.north(&mut canvas, report, &projection, kept);
            let sized = details_of.sized(&own, index, &places);
            let (here, others) = details_of.on_plan(&mut canvas, &mut section, sized, names.len());
            names.extend(here);
            apart.extend(others);
            self.band(&mut canvas, report, index);
            sheets.push(Draft {
                title: format!("Roof plan, section {} of {count}", index + 1),
                group: Some("Roof plan, sections".to_owned()),
                size: self.size,
                scale: scale.words(),
                canvas,
            });
        }
        let (more, there) = details_of.sheets(apart, (names.len(), first_detail), &sheets);
        for (index, sheet) in sheets.iter_mut().enumerate() {
            for name in names.iter().chain(&there) {
                name.write(&mut sheet.canvas, index);
            }
        }
        sheets.extend(more);
        sheets
    }

    /// What has no label on a section and none on another one either.
    fn nowhere_else(
        &self,
        report: &Report<'_>,
        scopes: &[Scope],
        missing: &[Unplaced],
        index: usize,
    ) -> Unplaced {
        let own = &missing[index];
        let part = &self.division.sections[index].part;
        let faces = own.faces.iter().copied().filter(|face| {
            let named = (0..scopes.len())
                .any(|i| scopes[i].faces.contains(face) && !missing[i].faces.contains(face));
            !named && part.holds(report.roof().faces[*face].label_at)
        });
        // An edge that runs on says its length where more of it is seen.
        let chains = own.chains.iter().filter(|chain| !chain.is_cut).cloned();
        Unplaced {
            chains: chains.collect(),
            faces: faces.collect(),
        }
    }

    /// Key, scale bar, and the small plan of the whole with this section picked out.
    fn band(&self, canvas: &mut Canvas<'_>, report: &Report<'_>, index: usize) {
        plan::key_and_bar(canvas, report, self.band, self.division.scale);
        let room = Area {
            left: self.band.left + SMALL_PLAN_AT,
            ..self.band
        };
        self.small_plan(canvas, report, room, index);
    }

    fn small_plan(&self, canvas: &mut Canvas<'_>, report: &Report<'_>, room: Area, index: usize) {
        let Some((low, high)) = plan::extent(report) else {
            return;
        };
        let head = TextStyle::new(1.8).bold();
        canvas.on(Layer::Key);
        let at = Point::new(room.left, room.top - head.height);
        canvas.text(at, head, "Whole roof: sheets of the sections");
        let room = Area {
            top: at.y - 2.5,
            ..room
        };
        let size = high - low;
        let k = (room.width() / size.x).min(room.height() / size.y);
        let place = |p: Point| {
            let from = p - low;
            Point::new(room.left + from.x * k, room.bottom + from.y * k)
        };
        let area = |part: &details::Part| {
            let (low, high) = (place(part.low), place(part.high));
            Area::new(low.x, low.y, high.x, high.y)
        };
        let this = area(&self.division.sections[index].part);
        canvas.fill(vec![this.corners().to_vec()], Ink::Pale);
        for edge in &report.roof().edges {
            let width = if edge.faces.len() == 1 { 0.35 } else { 0.18 };
            let ends = [edge.start, edge.end].map(|p| place(p.plan()));
            canvas.line(ends[0], ends[1], Pen::new(width).round());
        }
        for (i, section) in self.division.sections.iter().enumerate() {
            let area = area(&section.part);
            let pen = if i == index { 0.7 } else { 0.25 };
            canvas.rect(area, Pen::new(pen));
            let style = TextStyle::new(1.8).bold().align(Align::Middle).halo(0.9);
            let base = area.center() - Vector::new(0.0, style.height / 2.0);
            canvas.text(base, style, &self.sheet_of(i).to_string());
        }
    }
}
