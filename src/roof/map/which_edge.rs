//! Which of two lines that run round each other is the roof's edge: its walls and its eaves, its eaves and a setback.

use super::dashed::{LEAST_OVERHANG_FT, WIDEST_OVERHANG_FT};
use super::pens::rule_for;
use super::rating::{Rating, Ring};
use super::select::Search;
use crate::drawing::{Drawing, Stroke};
use crate::units::number;
use crate::{Finding, Place};

/// A choice whose ends have to be mended by so many hundredths of a foot more was not drawn to meet.
const MENDED_MORE: i64 = 30;
/// Choices that differ by less than this part of their area cover the same.
const SAME_COVER: f64 = 0.01;
/// Pitches beside the sides of an outline are at least so many: a single one may be meant for all of it.
const LEAST_SIDES: usize = 2;

/// Of which line is the edge, as asked.
pub(super) struct EdgeAsked {
    pub(super) finding: Finding,
    /// The choice with the inner line, where the likeliest is the one with the outer.
    pub(super) narrower: Option<Vec<bool>>,
}

impl Search<'_> {
    /// Whether lines of the best choice end on a dashed line that it leaves out; of any, where nothing tells which is best.
    pub(super) fn ends_on_dashed(&self) -> bool {
        if self.unlabelled() {
            return self.rated.values().any(|r| r.ends_on_dashed > 0);
        }
        let best = self.best();
        best.is_some_and(|(_, rating)| rating.ends_on_dashed > 0)
    }

    /// Whether a choice fits the pitches as well as the best one.
    fn fits(&self, rating: &Rating) -> bool {
        self.best().is_some_and(|(_, best)| {
            rating.labels_unsuited == best.labels_unsuited
                && rating.faces_unsuited == best.faces_unsuited
        })
    }

    /// Whether a choice fits as well as the best one with a dashed line for the roof's edge that runs round the best one's.
    pub(super) fn is_wider(&self, rating: &Rating) -> bool {
        let Some((_, best)) = self.best() else {
            return false;
        };
        let covers_more = best.sqft() > 0.0 && rating.sqft() > best.sqft() * (1.0 + SAME_COVER);
        covers_more
            && self.fits(rating)
            && rating.ends_on_dashed == 0
            && rating.dashed > best.dashed
            && rating.mended <= best.mended + MENDED_MORE
    }

    /// What is to be asked where a dashed line may be the edge as well as the line that it runs round, if both make a roof.
    pub(super) fn which_edge(&self) -> Option<EdgeAsked> {
        let (choice, best) = self.best()?;
        if self.unlabelled() || best.ends_on_dashed > 0 {
            return None;
        }
        let wider = self.rated.iter().filter(|(_, r)| self.is_wider(r));
        let Some((outer, widest)) = wider.max_by(|a, b| a.1.sqft().total_cmp(&b.1.sqft())) else {
            return self.which_of_rings();
        };
        let covers = Covers::of(widest.sqft(), best.sqft());
        Some(EdgeAsked {
            finding: ask(covers, &self.rules(outer, choice)),
            narrower: None,
        })
    }

    /// The same where the likeliest choice is the outer one: labels stand in it that stand beside the inner one, or the inner one
    /// holds them as well, as a roof does in the frame of its sheet.
    fn which_of_rings(&self) -> Option<EdgeAsked> {
        let (outer, best) = self.best()?;
        let Some(round) = self.rings.get(outer) else {
            return self.which_of_bare_rings(outer);
        };
        let is_rival = |(choice, ring): &(&Vec<bool>, &Ring)| {
            let rating = self.rated[*choice];
            // Walls dashed within a solid edge lie beneath the roof.
            let as_well_drawn = rating.dashed <= best.dashed
                && rating.faces_unsuited <= best.faces_unsuited
                && rating.ends_on_dashed == 0
                && rating.roof_lines_left_out <= best.roof_lines_left_out
                && rating.mended <= best.mended + MENDED_MORE;
            let holds_all = ring.inside > 0
                && ring.outside == round.outside
                && rating.labels_unsuited == best.labels_unsuited;
            let between = ring.outside > round.outside && ring.not_beside <= round.not_beside;
            let is_strip = round.encloses(ring)
                && (best.dashed > rating.dashed || Covers::of(round.sqft, ring.sqft).is_overhang());
            // Where labels stand round a courtyard or a chimney, others stand at the sides of the roof.
            let none_at_outer = round.far == round.inside + round.outside;
            let at_its_sides = ring.outside >= LEAST_SIDES && ring.far == 0 && none_at_outer;
            as_well_drawn
                && !ring.is_text_frame
                && round.runs_round(ring)
                && (holds_all || between && (is_strip || at_its_sides))
        };
        let rivals = self.rings.iter().filter(is_rival);
        // Of choices with one ring the one that holds nothing else: its lines tell by what they differ.
        let wider = |a: &Ring, b: &Ring| {
            let by_area = a.sqft.total_cmp(&b.sqft);
            by_area.then(a.is_alone.cmp(&b.is_alone))
        };
        let (inner, ring) = rivals.max_by(|a, b| wider(a.1, b.1))?;
        let covers = Covers::of(round.sqft, ring.sqft);
        let rules = self.rules(outer, inner);
        let finding = if best.dashed > self.rated[inner].dashed {
            ask(covers, &rules)
        } else {
            ask_of_solid(covers, &rules)
        };
        let finding = finding
            .place(Place::at(round.corner))
            .place(Place::at(ring.corner));
        Some(EdgeAsked {
            finding,
            narrower: Some(inner.clone()),
        })
    }

    /// The same where one pitch is given for all and no label stands in either of two rings: the likeliest choice is both of
    /// them then, a house round a courtyard with wings as narrow as an overhang.
    fn which_of_bare_rings(&self, both: &[bool]) -> Option<EdgeAsked> {
        self.options.default_pitch?;
        let is_bare = |(choice, _): &(&Vec<bool>, &Ring)| {
            let rating = self.rated[*choice];
            rating.less_covered == 0 && rating.dashed == 0 && self.fits(&rating)
        };
        let bare: Vec<(&Vec<bool>, &Ring)> = self.rings.iter().filter(is_bare).collect();
        let pairs = bare.iter().flat_map(|o| bare.iter().map(move |i| (*o, *i)));
        pairs
            .filter(|((outer, round), (inner, ring))| {
                let mut taken = both.iter().zip(outer.iter().zip(inner.iter()));
                taken.all(|(b, (o, i))| *b == (*o || *i)) && round.encloses(ring)
            })
            .find_map(|((outer, round), (inner, ring))| {
                let covers = Covers::of(round.sqft, ring.sqft);
                covers.is_overhang().then(|| EdgeAsked {
                    finding: ask_of_solid(covers, &self.rules(outer, inner)),
                    narrower: Some(inner.clone()),
                })
            })
    }

    /// The rules that part two choices.
    fn rules(&self, outer: &[bool], inner: &[bool]) -> Rules {
        let [outer, inner] = [outer, inner].map(|choice| self.strokes(choice));
        let strokes = |of: &[usize]| -> Vec<&Stroke> {
            of.iter().map(|&i| &self.drawing.strokes[i]).collect()
        };
        let pair = |of: &[usize], without: &[usize]| {
            let out: Vec<usize> = (of.iter().copied())
                .filter(|i| without.binary_search(i).is_err())
                .collect();
            [strokes(&out), strokes(without)]
        };
        Rules::parting(self.drawing, pair(&inner, &outer), pair(&outer, &inner))
    }

    /// What is told of a dashed line that lines of the roof end on.
    pub(super) fn of_dashed_edge(&self) -> Option<Finding> {
        let (_, best) = self.best()?;
        if self.unlabelled() {
            return None;
        }
        if best.ends_on_dashed > 0 {
            return Some(ask_of_ends(best.ends_on_dashed));
        }
        let rivals = self.rated.values().filter(|r| self.fits(r));
        let cut_short = rivals
            .filter(|r| r.ends_on_dashed > 0 && r.dashed < best.dashed)
            .find(|r| r.sqft() < best.sqft() * (1.0 - SAME_COVER))?;
        Some(taken(Covers::of(best.sqft(), cut_short.sqft())))
    }
}

/// What two choices of lines enclose in plan, in square feet: holes and faces of other levels are not taken off.
#[derive(Clone, Copy)]
pub(super) struct Covers {
    /// With the outer line, dashed as a rule.
    outer_sqft: f64,
    /// With the one inside it.
    inner_sqft: f64,
}

impl Covers {
    pub(super) fn of(outer_sqft: f64, inner_sqft: f64) -> Self {
        Self {
            outer_sqft,
            inner_sqft,
        }
    }

    /// Whether the strip between the two rings is as wide as an overhang: a gutter is narrower, a setback wider.
    fn is_overhang(self) -> bool {
        // A square has the shortest way round.
        let round_ft = 4.0 * self.inner_sqft.sqrt();
        let strip_sqft = self.outer_sqft - self.inner_sqft;
        (LEAST_OVERHANG_FT * round_ft..=WIDEST_OVERHANG_FT * round_ft).contains(&strip_sqft)
    }

    fn words(self) -> String {
        format!(
            "the dashed one encloses {} ft² in plan, the solid one inside it {} ft²",
            number::decimal(self.outer_sqft, 0),
            number::decimal(self.inner_sqft, 0)
        )
    }
}

/// The rules that part two lines of which either may be the edge, where their looks part them.
#[derive(Clone, Debug, Default)]
pub(super) struct Rules {
    /// Takes the inner one out and no line of the roof.
    inner: Option<String>,
    /// Takes the outer one out.
    outer: Option<String>,
}

impl Rules {
    /// The rules that take out the first strokes of each pair and none of the second.
    pub(super) fn parting(
        drawing: &Drawing,
        [inner, but_inner]: [Vec<&Stroke>; 2],
        [outer, but_outer]: [Vec<&Stroke>; 2],
    ) -> Self {
        Self {
            inner: rule_for(drawing, &inner, &but_inner),
            outer: rule_for(drawing, &outer, &but_outer),
        }
    }

    fn remedy(&self) -> String {
        let way = |rule: &Option<String>| match rule {
            Some(rule) => format!("say --ignore '{rule}'"),
            None => "leave it out with --ignore by an id of its own".to_owned(),
        };
        format!(
            "If the outer line is the roof's edge, draw the inner one on a layer named ignore or {}; if the roof ends at the inner line, draw the outer one there or {}.",
            way(&self.inner),
            way(&self.outer)
        )
    }
}

/// Lines of two solid rings, with the labels between them.
fn ask_of_solid(covers: Covers, rules: &Rules) -> Finding {
    Finding::error(
        "which-edge",
        format!(
            "A closed line runs round another, no label says which is the roof's edge, and either may be it: the outer one encloses {} ft² in plan, the inner one {} ft².",
            number::decimal(covers.outer_sqft, 0),
            number::decimal(covers.inner_sqft, 0)
        ),
    )
    .remedy(rules.remedy())
}

/// A line round a roof whose own lines stop at its edge: its walls as likely.
pub(super) fn ask_round(covers: Covers, rules: &Rules) -> Finding {
    let encloses = format!(
        "the outer line encloses {} ft² in plan, the inner one {} ft²",
        number::decimal(covers.outer_sqft, 0),
        number::decimal(covers.inner_sqft, 0)
    );
    let told = match covers.is_overhang() {
        true => Finding::error(
            "which-edge",
            format!(
                "A closed line runs round the one taken for the roof's edge as eaves run round walls, and either may be it: {encloses}."
            ),
        ),
        false => Finding::warning(
            "line-round",
            format!(
                "A closed line hardly outside the one taken for the roof's edge was taken for a gutter or a fascia and left out: {encloses}."
            ),
        ),
    };
    told.remedy(format!(
        "{} Ridges, hips and valleys end on the roof's edge.",
        rules.remedy()
    ))
}

/// Nothing in the drawing says which of two rings is the roof's edge.
fn ask(covers: Covers, rules: &Rules) -> Finding {
    let message = format!(
        "A dashed line runs round the one taken for the roof's edge, and either may be it: {}.",
        covers.words()
    );
    let told = match covers.is_overhang() {
        true => Finding::error("which-edge", message),
        false => Finding::warning("dashed-line-round", message),
    };
    told.remedy(rules.remedy())
}

/// Lines of the roof end on a dashed line, and what is drawn with their pen cannot be told apart.
pub(super) fn ask_of_ends(count: usize) -> Finding {
    let message = match count {
        1 => "A line of the roof goes".to_owned(),
        count => format!("{count} lines of the roof go"),
    };
    Finding::error(
        "which-edge",
        format!("{message} on past the edge taken for the roof's and end on a dashed line, which may be its true edge over walls drawn solid."),
    )
    // What takes out all that is solid would take these lines too.
    .remedy("If the dashed line is the roof's edge, draw the walls on a layer named ignore or leave them out with --ignore by their ids; if the roof ends at the solid line, say --ignore dash:yes.")
}

/// The dashed line was taken, since lines of the roof end on it.
fn taken(covers: Covers) -> Finding {
    Finding::warning(
        "dashed-edge-taken",
        format!(
            "A dashed line was taken for the roof's edge, since lines of the roof end on it: {}.",
            covers.words()
        ),
    )
    .remedy("If the roof ends at the solid line, say --ignore dash:yes.")
}
