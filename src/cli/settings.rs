//! The command line and the job file made into what each stage is told. The command line wins.

use std::io;
use std::path::{Path, PathBuf};

use eavewright::Finding;
use eavewright::courses::{self, Choices, LayRules, ShingleFormat};
use eavewright::drawing::text::{parse_pitch, parse_scale_text};
use eavewright::drawing::{Drawing, ReadOptions, Rule};
use eavewright::job::{self, Job, Traced, UnitSystem};
use eavewright::materials::{MaterialSettings, PriceList};
use eavewright::report::OutputUnits;
use eavewright::roof::map::MapOptions;
use eavewright::roof::outline::{CatchUp, OutlineOptions, Overhangs};
use eavewright::roof::{Roof, RoofOptions, SolveOptions};

use super::args::{PlanArgs, ReadingArgs, UnitsArg};
use super::{Failure, road};

/// The format laid where neither the command line nor the job names one. Common practice, no source: the size sold
/// most widely as a laminated shingle.
const DEFAULT_FORMAT: &str = "39x13";

/// What each stage is told.
#[derive(Clone)]
pub(crate) struct Settings {
    pub(crate) job: Job,
    pub(crate) read: ReadOptions,
    pub(crate) roof: RoofOptions,
    pub(crate) format: ShingleFormat,
    pub(crate) rules: LayRules,
    pub(crate) materials: MaterialSettings,
    pub(crate) metric: bool,
    /// Whether anybody said which units numbers are written in.
    units_said: bool,
    /// The job's format and those that it is compared with; empty where it is compared with none.
    pub(crate) compared: Vec<ShingleFormat>,
    /// Unit prices, where the job asks for an offer.
    pub(crate) prices: Option<PriceList>,
}

/// The job file, or an empty job.
pub(crate) fn job(path: Option<&Path>) -> Result<Job, Failure> {
    let Some(path) = path else {
        return Ok(Job::default());
    };
    let text = road::text(path).map_err(|e| {
        let told = format!("The job file {} cannot be read: {e}.", path.display());
        let told = Finding::error("job-unreadable", told).remedy(
            "Give a TOML file that is there and may be read; eavewright job new writes one.",
        );
        Failure::Usage(vec![told])
    })?;
    Job::parse(&text).map_err(Failure::Usage)
}

impl Settings {
    /// For one plan.
    pub(crate) fn new(args: &PlanArgs) -> Result<Self, Failure> {
        Self::of(&args.reading)
    }

    /// For any plan read so.
    pub(crate) fn of(args: &ReadingArgs) -> Result<Self, Failure> {
        let job = job(args.job.as_deref())?;
        let mut wrong = Vec::new();
        let read = read_options(args, &job, &mut wrong);
        let map = map_options(args, &job, &mut wrong);
        let format = format(args, &job).unwrap_or_else(|finding| {
            wrong.push(finding);
            None
        });
        let materials = job
            .material_settings(metric(args, &job))
            .map_err(|findings| wrong.extend(findings))
            .ok();
        let packages = job.has_metric_packages(metric(args, &job));
        let mut prices = prices(args.job.as_deref(), &job, packages).unwrap_or_else(|findings| {
            wrong.extend(findings);
            None
        });
        if let Some(prices) = &mut prices {
            prices.doubts.extend(job.package_doubt(metric(args, &job)));
        }
        let compared = compared(format.as_ref(), &job, &mut wrong);
        match (format, materials) {
            (Some(format), Some(materials)) if wrong.is_empty() => Ok(Self {
                roof: RoofOptions {
                    map,
                    outline: outline_options(&job),
                    solve: SolveOptions {
                        limits: materials.slope_limits(),
                        ..solve_options(args, &job)
                    },
                },
                materials,
                rules: job.shingles.rules(LayRules::default()),
                metric: metric(args, &job),
                units_said: args.units.is_some() || job.plan.units.is_some(),
                job,
                read,
                format,
                prices,
                compared,
            }),
            _ => Err(Failure::Usage(wrong)),
        }
    }
}

/// The formats that the job compares, its own first.
fn compared(
    own: Option<&ShingleFormat>,
    job: &Job,
    wrong: &mut Vec<Finding>,
) -> Vec<ShingleFormat> {
    let mut all: Vec<ShingleFormat> = own.cloned().into_iter().collect();
    for name in &job.shingles.compare {
        match courses::formats::by_name(name, &job.shingles.formats) {
            Ok(format) if all.iter().any(|f| f.name == format.name) => {}
            Ok(format) => all.push(format),
            Err(finding) => wrong.push(finding),
        }
    }
    if all.len() > 1 { all } else { Vec::new() }
}

/// The price list that a job names, its path from the job file; `None` where it names none or means the shipped one.
pub(crate) fn price_list_path(job_file: &Path, job: &Job) -> Option<PathBuf> {
    let list = job.prices.list.as_deref()?;
    let folder = job_file.parent().unwrap_or(Path::new(""));
    (list != job::DEMO_PRICES).then(|| folder.join(list))
}

/// The job's prices, over those of its price list: the shipped one is that of the packages ordered. The list's path is beside
/// the job file.
fn prices(
    path: Option<&Path>,
    job: &Job,
    metric_packages: bool,
) -> Result<Option<PriceList>, Vec<Finding>> {
    if !job.asks_for_offer() {
        return Ok(None);
    }
    let csv = match job.prices.list.as_deref() {
        None => None,
        Some(job::DEMO_PRICES) if metric_packages => Some(PriceList::DEMO_METRIC.to_owned()),
        Some(job::DEMO_PRICES) => Some(PriceList::DEMO.to_owned()),
        Some(_) => {
            let list = price_list_path(path.unwrap_or(Path::new("")), job).unwrap_or_default();
            let text = road::text(&list).map_err(|e| {
                vec![
                    Finding::error(
                        "price-list-unreadable",
                        format!("The price list {} cannot be read: {e}.", list.display()),
                    )
                    .remedy(match e.kind() {
                        io::ErrorKind::InvalidData => {
                            "Save it as “CSV UTF-8” in the program that it comes from."
                        }
                        _ => "Correct `list` under [prices]; the path counts from the job file.",
                    }),
                ]
            })?;
            Some(text)
        }
    };
    job.price_list(csv.as_deref()).map(Some)
}

impl Settings {
    /// What the user chose about the layout, and what in the choices fits the plan badly.
    pub(crate) fn choices(&self, drawing: &Drawing, roof: &Roof) -> (Choices, Vec<Finding>) {
        let (choices, mut doubts) = self.job.shingles.choices(roof);
        doubts.extend(self.job.plan.doubt(roof));
        doubts.extend(self.units_doubt(drawing));
        (self.materials.choices(choices), doubts)
    }

    /// Told where every length on the plan is metric and nobody said which units to write: packages go by these too.
    fn units_doubt(&self, drawing: &Drawing) -> Option<Finding> {
        (drawing.scale.metric && !self.metric && !self.units_said).then(|| {
            Finding::warning(
                "units-unlike-plan",
                "The lengths on the plan are metric; numbers are written in feet, and packages sold in feet and inches are ordered.",
            )
            .remedy("Say `--units m`, or `units` under [plan] in the job file; `--units ft` keeps feet.")
        })
    }

    /// The units of every number written.
    pub(crate) fn units(&self) -> OutputUnits {
        if self.metric {
            OutputUnits::Metres
        } else {
            OutputUnits::Feet
        }
    }
}

fn metric(args: &ReadingArgs, job: &Job) -> bool {
    match args.units {
        Some(units) => units == UnitsArg::M,
        None => job.plan.units == Some(UnitSystem::Metres),
    }
}

fn read_options(args: &ReadingArgs, job: &Job, wrong: &mut Vec<Finding>) -> ReadOptions {
    let scale = args.scale.as_ref().or(job.plan.scale.as_ref());
    let scale = scale.and_then(|text| {
        let parsed = parse_scale_text(text);
        if parsed.is_none() {
            wrong.push(
                Finding::error("scale-unreadable", format!("“{text}” is no scale."))
                    .remedy("Write `1/4in=1ft`, `1:48`, or a true length and as many drawing units: `20ft=283.5`."),
            );
        }
        parsed
    });
    ReadOptions {
        scale,
        metric_job: metric(args, job),
        roof_rules: rules(args.roof.iter().chain(&job.plan.roof), "--roof", wrong),
        ignore_rules: rules(
            args.ignore.iter().chain(&job.plan.ignore),
            "--ignore",
            wrong,
        ),
        ..ReadOptions::default()
    }
}

fn rules<'a>(
    texts: impl Iterator<Item = &'a String>,
    option: &str,
    wrong: &mut Vec<Finding>,
) -> Vec<Rule> {
    let parsed = texts.map(|text| Rule::parse(text));
    parsed
        .filter_map(|rule| {
            rule.map_err(|why| {
                wrong.push(
                    Finding::error("rule-unreadable", format!("{option}: {why}"))
                        .remedy("Correct it on the command line, or under [plan] in the job file."),
                );
            })
            .ok()
        })
        .collect()
}

fn map_options(args: &ReadingArgs, job: &Job, wrong: &mut Vec<Finding>) -> MapOptions {
    let pitch = args.pitch.as_ref().or(job.plan.pitch.as_ref());
    let default_pitch = pitch.and_then(|text| {
        let parsed = parse_pitch(text).map(|p| p.pitch);
        if parsed.is_none() {
            wrong.push(
                Finding::error("pitch-unreadable", format!("“{text}” is no pitch."))
                    .remedy("Write `6/12`, `26.6°`, `50%` or `flat`."),
            );
        }
        parsed
    });
    MapOptions {
        tolerance_ft: job.plan.tolerance.map(|t| t.to_feet()),
        default_pitch,
        outline: args.outline || job.plan.outline == Some(true),
    }
}

fn outline_options(job: &Job) -> OutlineOptions {
    let mut options = OutlineOptions::default();
    options.rules.catch_up = match job.plan.catch_up {
        Some(job::CatchUp::Shallower) => CatchUp::Shallower,
        Some(job::CatchUp::Refuse) => CatchUp::Refuse,
        Some(job::CatchUp::Wider) | None => CatchUp::Wider,
    };
    options.walls = (job.plan.traced == Some(Traced::Walls)).then(|| Overhangs {
        eave_ft: job.plan.eave_overhang.map(|o| o.to_feet()),
        rake_ft: job.plan.rake_overhang.map(|o| o.to_feet()),
    });
    options
}

fn solve_options(args: &ReadingArgs, job: &Job) -> SolveOptions {
    SolveOptions {
        accept_falls: args.accept_falls || job.plan.accept_falls == Some(true),
        adjust: !args.no_adjust && job.plan.adjust != Some(false),
        up_bearing_deg: job.plan.north_deg.unwrap_or(0.0),
        ..SolveOptions::default()
    }
}

fn format(args: &ReadingArgs, job: &Job) -> Result<Option<ShingleFormat>, Finding> {
    let name = args
        .format
        .as_deref()
        .or(job.shingles.format.as_deref())
        .unwrap_or(DEFAULT_FORMAT);
    courses::formats::by_name(name, &job.shingles.formats).map(Some)
}
