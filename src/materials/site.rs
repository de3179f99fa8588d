//! One roof with its courses and settings, as the rules see it: which faces take shingles, and the runs of edges.

use super::corners::Corners;
use super::need::Needs;
use super::runs::{Run, runs};
use super::settings::MaterialSettings;
use super::words::{Words, figure};
use super::{
    caps, cricket, drip, field, flashing, ice, nails, overlay, pipes, sealing, starter, tear_off,
    underlayment, valley, vent,
};
use crate::courses::{Courses, FaceLayout};
use crate::roof::{EdgeClass, EdgeId, Face, FaceId, Roof};
use crate::{Finding, Place};

/// One roof of a job.
pub(super) struct Site<'a> {
    pub(super) roof: &'a Roof,
    pub(super) courses: &'a Courses,
    pub(super) settings: &'a MaterialSettings,
    pub(super) words: Words,
    /// By face: whether it takes shingles.
    shingled: Vec<bool>,
    /// Which edges end where.
    corners: Corners<EdgeId>,
    /// By class: the runs along at least one face that takes shingles. Many rules ask for them.
    runs: Vec<(EdgeClass, Vec<Run>)>,
}

impl<'a> Site<'a> {
    pub(super) fn new(
        roof: &'a Roof,
        courses: &'a Courses,
        settings: &'a MaterialSettings,
    ) -> Self {
        let shingled = roof
            .faces
            .iter()
            .enumerate()
            .map(|(i, face)| {
                let refused = courses.choices.limits.refuses_shingles(face);
                !refused && courses.faces.iter().any(|l| l.face == FaceId(i))
            })
            .collect();
        let mut site = Self {
            roof,
            courses,
            settings,
            words: Words::new(settings.metric),
            shingled,
            corners: Corners::of_edges(roof),
            runs: Vec::new(),
        };
        let beside = |id: EdgeId| roof.edge(id).faces.iter().any(|f| site.is_shingled(*f));
        let runs = EdgeClass::ALL.map(|class| (class, site.runs_of(class, beside)));
        site.runs = runs.into();
        site
    }

    /// What the roof needs, rule by rule.
    pub(super) fn needs(&self) -> Needs {
        let mut out = Needs::default();
        self.tell_faces_left_out(&mut out);
        out.stripped_squares = tear_off::needs(self, &mut out);
        overlay::tell(self, &mut out);
        drip::needs(self, &mut out);
        let iced = ice::needs(self, &mut out);
        underlayment::needs(self, &iced, &mut out);
        valley::needs(self, &mut out);
        starter::needs(self, &mut out);
        field::needs(self, &mut out);
        pipes::needs(self, &mut out);
        flashing::needs(self, &mut out);
        cricket::needs(self, &mut out);
        vent::needs(self, &mut out);
        out.ventilation = vent::ventilation(self, &mut out);
        caps::needs(self, &mut out);
        sealing::needs(self, &mut out);
        nails::needs(self, &mut out);
        out
    }

    /// Whether a face takes shingles.
    pub(super) fn is_shingled(&self, face: FaceId) -> bool {
        self.shingled.get(face.0).copied().unwrap_or(false)
    }

    /// The faces that take shingles.
    pub(super) fn faces(&self) -> impl Iterator<Item = (FaceId, &'a Face)> + '_ {
        let roof = self.roof;
        roof.faces
            .iter()
            .enumerate()
            .map(|(i, f)| (FaceId(i), f))
            .filter(|(id, _)| self.is_shingled(*id))
    }

    /// The layouts of the faces that take shingles.
    pub(super) fn layouts(&self) -> impl Iterator<Item = &'a FaceLayout> + '_ {
        let courses = self.courses;
        courses.faces.iter().filter(|l| self.is_shingled(l.face))
    }

    /// The runs of a class along at least one face that takes shingles.
    pub(super) fn runs(&self, class: EdgeClass) -> Vec<Run> {
        let mut all = self.runs.iter();
        let found = all.find(|(of, _)| *of == class);
        found.map(|(_, runs)| runs.clone()).unwrap_or_default()
    }

    /// The runs of a class among the edges that `keep` lets through.
    pub(super) fn runs_of(&self, class: EdgeClass, keep: impl Fn(EdgeId) -> bool) -> Vec<Run> {
        runs(self.roof, &self.corners, class, keep)
    }

    fn tell_faces_left_out(&self, out: &mut Needs) {
        for (i, face) in self.roof.faces.iter().enumerate() {
            let area = self.words.surface(face.true_area.to_square_feet());
            if self.courses.choices.limits.refuses_shingles(face) {
                out.findings.push(
                    Finding::warning(
                        "slope-refused",
                        format!(
                            "Face {} is {}:12, under the 2:12 that shingles need: its {area}, and what of its edges it shares with no shingled face, are in no line of the materials.",
                            face.name,
                            figure(face.pitch.to_in_12(), 2)
                        ),
                    )
                    .remedy("Offer a low-slope roofing for it apart.")
                    .place(Place::at(face.label_at)),
                );
            } else if !self.is_shingled(FaceId(i)) {
                out.findings.push(
                    Finding::warning(
                        "face-without-courses",
                        format!(
                            "Face {} has no course layout: its {area} are in no line of the materials.",
                            face.name
                        ),
                    )
                    .remedy("See why under the findings about its courses, and order what it takes by hand.")
                    .place(Place::at(face.label_at)),
                );
            }
        }
    }
}
