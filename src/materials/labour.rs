//! Labour: squares × hours a square × factors, all of them the job's own; nothing is assumed in silence.

use rust_decimal::{Decimal, RoundingStrategy};

use super::cents::{product, too_large};
use super::money::Exact;
use super::offer::Labour;
use crate::Finding;
use crate::roof::{Face, Hinge, near_limits};
use crate::units::Pitch;
use crate::units::number::whole;

/// The labour of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Hours {
    pub(super) lines: Vec<LabourLine>,
    /// What was reckoned with, as sentences to print.
    pub(super) assumptions: Vec<String>,
    /// What was noticed.
    pub(super) findings: Vec<Finding>,
}

/// Hours of one kind of work.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LabourLine {
    /// What is done.
    pub(super) what: String,
    /// Squares it is done on, to two decimals, so that the printed sum can be followed.
    pub(super) squares: Decimal,
    /// All factors together.
    pub(super) factor: Decimal,
    /// Hours, to two decimals, halves up; `None` where the job does not say how long it takes.
    pub(super) hours: Option<Decimal>,
    /// Whether it is tearing off.
    pub(super) tear_off: bool,
}

/// What the work is done on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Site {
    /// Storeys up to the eaves; 1 where nobody said.
    pub(super) storeys: u32,
    /// Layers to strip.
    pub(super) layers: u32,
    /// Squares to strip.
    pub(super) stripped_squares: f64,
}

/// A step of a scale of factors: what it is of, the job file's key for it, and what the job says.
struct Step {
    of: String,
    key: &'static str,
    said: Option<Exact>,
}

/// A factor as the job gives it, or the one below it where it gives none: what is hard on a steep roof is no easier
/// on a steeper one.
struct Factor {
    is: Decimal,
    /// How it was come by, where not as given.
    told: Option<String>,
    doubt: Option<Finding>,
}

impl Factor {
    const fn given(is: Decimal) -> Self {
        Self {
            is,
            told: None,
            doubt: None,
        }
    }

    /// The factor of the last of these steps.
    fn of(steps: &[Step]) -> Self {
        let Some(wanted) = steps.last() else {
            return Self::given(Decimal::ONE);
        };
        let Some((from, factor)) =
            (steps.iter().rev()).find_map(|s| s.said.map(|factor| (s, factor.0)))
        else {
            return Self {
                told: Some(format!("No factor is given for {}.", wanted.of)),
                ..Self::given(Decimal::ONE)
            };
        };
        if from.key == wanted.key {
            return Self::given(factor);
        }
        let told = format!(
            "No factor is given for {}; that for {}, {}, is taken.",
            wanted.of,
            from.of,
            factor.normalize()
        );
        Self {
            is: factor,
            doubt: Some(
                Finding::warning("labour-factor-carried", format!("Labour: {told}")).remedy(
                    format!("Give `{}` under [labour] in the job file.", wanted.key),
                ),
            ),
            told: Some(told),
        }
    }
}

/// The slopes that have a factor of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Slope {
    To6,
    To9,
    To12,
    Over12,
}

impl Slope {
    const ALL: [Self; 4] = [Self::To6, Self::To9, Self::To12, Self::Over12];

    /// The steepest that it holds for; `None` where it holds for all that are steeper than the one before.
    const fn limit(self) -> Option<Pitch> {
        match self {
            Self::To6 => Some(Pitch::in_12(6.0)),
            Self::To9 => Some(Pitch::in_12(9.0)),
            Self::To12 => Some(Pitch::in_12(12.0)),
            Self::Over12 => None,
        }
    }
    fn of(face: &Face) -> Self {
        let holds = |slope: &Self| slope.limit().is_some_and(|limit| !face.is_above(limit));
        let found = Self::ALL.into_iter().find(holds);
        found.unwrap_or(Self::Over12)
    }
    const fn words(self) -> &'static str {
        match self {
            Self::To6 => "up to 6:12",
            Self::To9 => "over 6:12 to 9:12",
            Self::To12 => "over 9:12 to 12:12",
            Self::Over12 => "over 12:12",
        }
    }
    fn factor(self, labour: &Labour) -> Factor {
        let said = |slope: Self| match slope {
            Self::To6 => None,
            Self::To9 => Some(("slope_over_6", labour.slope_over_6)),
            Self::To12 => Some(("slope_over_9", labour.slope_over_9)),
            Self::Over12 => Some(("slope_over_12", labour.slope_over_12)),
        };
        let upto = Self::ALL.into_iter().filter(|slope| *slope <= self);
        let steps: Vec<Step> = upto
            .filter_map(|slope| {
                let (key, said) = said(slope)?;
                let of = format!("slopes {}", slope.words());
                Some(Step { of, key, said })
            })
            .collect();
        Factor::of(&steps)
    }
}

/// Where the factor of laying changes, and between which factors.
fn hinges(labour: &Labour) -> Vec<Hinge> {
    let steps = Slope::ALL.into_iter().zip(Slope::ALL.into_iter().skip(1));
    steps
        .filter_map(|(lower, upper)| {
            let at = lower.limit()?;
            let [below, above] = [lower, upper].map(|slope| slope.factor(labour).is.normalize());
            let said = |taken, other| {
                format!("labour factor {taken} instead of {other} (the job file's [labour])")
            };
            (below != above).then(|| Hinge {
                at,
                below: said(below, above),
                above: said(above, below),
            })
        })
        .collect()
}

/// The labour on the faces that take shingles. Work whose hours the job does not give is listed without any, so that
/// it is seen to be in no price; of work that takes no hours there is no line.
///
/// # Errors
/// Hours beyond all jobs.
pub(super) fn hours(faces: &[&Face], site: Site, labour: &Labour) -> Result<Hours, Finding> {
    let mut out = Hours::default();
    let height = height_factor(site.storeys, labour);
    let mut told = Vec::new();
    if site.layers > 0 {
        let work = Task {
            what: format!("Tear off, layers: {}", site.layers),
            hours_a_square: labour.tear_off_hours_per_square,
            tear_off: true,
        };
        let factors = [layers_factor(site.layers, labour), height.is];
        out.lines
            .extend(work.line(site.stripped_squares, &factors)?);
    }
    let cut_up = labour.cut_up.map_or(Decimal::ONE, |f| f.0);
    let squares_of = |slope: Option<Slope>| -> f64 {
        let on = |face: &&&Face| slope.is_none_or(|slope| Slope::of(face) == slope);
        faces
            .iter()
            .filter(on)
            .map(|f| f.true_area.to_squares())
            .sum()
    };
    let lay = |what| Task {
        what,
        hours_a_square: labour.hours_per_square,
        tear_off: false,
    };
    if labour.hours_per_square.is_none() {
        let line = lay("Lay the roof".to_owned()).line(squares_of(None), &[])?;
        out.lines.extend(line);
    } else {
        for slope in Slope::ALL {
            let factor = slope.factor(labour);
            let factors = [factor.is, height.is, cut_up];
            let work = lay(format!("Lay, {}", slope.words()));
            let Some(line) = work.line(squares_of(Some(slope)), &factors)? else {
                continue;
            };
            out.lines.push(line);
            told.extend(factor.told);
            out.findings.extend(factor.doubt);
        }
        out.findings.extend(near_limits(faces, &hinges(labour)));
    }
    if out.lines.iter().any(|line| line.hours.is_some()) {
        told.extend(height.told);
        out.findings.extend(height.doubt);
    }
    out.assumptions = assumptions(labour, &out.lines);
    out.assumptions.extend(told);
    Ok(out)
}

/// Some work and how long a square of it takes.
struct Task {
    what: String,
    hours_a_square: Option<Exact>,
    tear_off: bool,
}

impl Task {
    /// Its line; `None` where there is nothing to do, or it takes no time.
    fn line(self, squares: f64, factors: &[Decimal]) -> Result<Option<LabourLine>, Finding> {
        let beyond = || too_large(&self.what);
        let squares = printed(squares).ok_or_else(beyond)?;
        if squares.is_zero() || self.hours_a_square.is_some_and(|h| h.0.is_zero()) {
            return Ok(None);
        }
        let factor = product(factors).ok_or_else(beyond)?;
        let hours = self.hours_a_square.map(|hours| {
            let hours = product(&[squares, factor, hours.0]);
            hours.map(halves_up).ok_or_else(beyond)
        });
        Ok(Some(LabourLine {
            hours: hours.transpose()?,
            what: self.what,
            squares,
            factor,
            tear_off: self.tear_off,
        }))
    }
}

/// A number of squares as it is printed everywhere: to two decimals, halves up.
fn printed(squares: f64) -> Option<Decimal> {
    let hundredths = squares * 100.0;
    (hundredths.abs() < 1e15).then(|| Decimal::new(whole(hundredths), 2).normalize())
}

fn halves_up(number: Decimal) -> Decimal {
    number.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero)
}

/// What several layers take over one: each further one is a part of the first.
fn layers_factor(layers: u32, labour: &Labour) -> Decimal {
    let further = labour.further_layer_factor.map_or(Decimal::ONE, |f| f.0);
    let more = further.saturating_mul(Decimal::from(layers.saturating_sub(1)));
    Decimal::ONE.saturating_add(more)
}

/// The factor for the height of the eaves: of the third storey, or else of the second.
fn height_factor(storeys: u32, labour: &Labour) -> Factor {
    let steps = [
        Step {
            of: "the second storey".to_owned(),
            key: "second_storey",
            said: labour.second_storey,
        },
        Step {
            of: "the third storey and above".to_owned(),
            key: "third_storey",
            said: labour.third_storey,
        },
    ];
    match storeys {
        0 | 1 => Factor::given(Decimal::ONE),
        2 => Factor::of(&steps[..1]),
        _ => Factor::of(&steps),
    }
}

/// What was reckoned with, as sentences to print.
fn assumptions(labour: &Labour, lines: &[LabourLine]) -> Vec<String> {
    let mut said = Vec::new();
    let has = |tear_off: bool| {
        let mut timed = lines.iter().filter(|l| l.hours.is_some());
        timed.any(|l| l.tear_off == tear_off)
    };
    if let (Some(hours), true) = (labour.hours_per_square, has(false)) {
        said.push(format!(
            "Laying: {} h of labour a square, before factors.",
            hours.0
        ));
    }
    if let (Some(hours), true) = (labour.tear_off_hours_per_square, has(true)) {
        said.push(format!(
            "Tearing off: {} h of labour a square and layer, no factor for the slope.",
            hours.0
        ));
    }
    for line in lines.iter().filter(|l| l.factor != Decimal::ONE) {
        said.push(format!(
            "{}: factor {}.",
            line.what,
            line.factor.normalize()
        ));
    }
    said
}
