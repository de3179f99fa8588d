//! What may be said on the command line.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use eavewright::batch::Shard;
use eavewright::report::{OutputUnits, Paper};

use super::Failure;

/// Takes off a shingle roof from a traced plan.
///
/// Trace the roof in any vector drawing program, write the pitch in each face and one known dimension, save as SVG.
/// Read the cautions in the report: working on roofs kills people.
#[derive(Debug, Parser)]
#[command(
    name = "eavewright",
    version,
    max_term_width = 100,
    arg_required_else_help = true
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Take the plan off: summary, PDF, and what else is asked for
    Takeoff(Box<TakeoffArgs>),
    /// Take off many plans at once, on all cores, into one folder with tables over all of them
    Batch(Box<BatchArgs>),
    /// Lay every shingle course by course: counts, cuts, reused offcuts and the crew's sheet, face by face
    Courses(Box<CoursesArgs>),
    /// Review the plan: stated areas against computed ones, every finding marked in place
    ///
    /// Exit status 1 where a stated figure differs by more than the tolerance, where the sheet says something against itself
    /// (lines and pitches that cannot be true together, checks that do not hold), or where the plan cannot be taken off; 0 otherwise, also where
    /// nothing was stated that could be compared, which the verdict then says.
    Check(Box<CheckArgs>),
    /// Compare two revisions of a plan: faces, areas, edges, the order, the price
    ///
    /// Both are taken off with the same options. Exit status 0 whether or not they differ, 1 where one of them cannot
    /// be taken off.
    Diff(Box<DiffArgs>),
    /// Lay the same roof in several shingle formats and put them side by side
    Compare(Box<CompareArgs>),
    /// Order for several plans of one job: what they take is added up before anything is rounded to packages
    Order(Box<OrderArgs>),
    /// List the shingle formats known, with pieces per square, where each came from and its cycle of starts
    Formats(FormatsArgs),
    /// Begin a job file, or print what editors and price lists are begun from
    #[command(subcommand)]
    Job(JobCommand),
    /// Print the completion script for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page, or a command's own, for man(1)
    Man {
        /// The command whose page it is; `job-new` is that of `job new`
        #[arg(value_name = "COMMAND", value_parser = PAGES)]
        page: Option<String>,
    },
}

/// The commands with a manual page of their own, as `man` is asked for them.
pub(crate) const PAGES: [&str; 14] = [
    "takeoff",
    "batch",
    "courses",
    "check",
    "diff",
    "compare",
    "order",
    "formats",
    "job",
    "job-new",
    "job-schema",
    "job-prices",
    "completions",
    "man",
];

/// How plans are read, whether one or many.
#[derive(Clone, Debug, Args)]
pub(crate) struct ReadingArgs {
    /// The job file: names, units, scale, shingle format, rules, prices
    #[arg(long, value_name = "JOB.toml")]
    pub(crate) job: Option<PathBuf>,
    /// The scale: `1/4in=1ft`, `1:48`, or `20ft=283.5` (a true length = that many drawing units)
    #[arg(long, value_name = "TEXT")]
    pub(crate) scale: Option<String>,
    /// The units of every number written
    #[arg(long, value_enum)]
    pub(crate) units: Option<UnitsArg>,
    /// The shingle format (see `eavewright formats`)
    #[arg(long, value_name = "NAME")]
    pub(crate) format: Option<String>,
    /// The pitch of every face or outline side without a label of its own, such as `6/12` or `30°`
    #[arg(long, value_name = "TEXT")]
    pub(crate) pitch: Option<String>,
    /// Shapes that are roof lines: `layer:roof*`, `colour:red`, `width>=0.5mm`, `id:hip*`, `dash:yes`; repeatable
    #[arg(long, value_name = "RULE")]
    pub(crate) roof: Vec<String>,
    /// Shapes that are no roof lines, by the same rules; repeatable
    #[arg(long, value_name = "RULE")]
    pub(crate) ignore: Vec<String>,
    /// The plan is an outline only: build hips, valleys and ridges from the pitches of its sides
    #[arg(long)]
    pub(crate) outline: bool,
    /// Take the likeliest falls where the drawing does not decide (told in the report)
    #[arg(long)]
    pub(crate) accept_falls: bool,
    /// Take the lines as snapped, without moving them so that the planes meet
    #[arg(long)]
    pub(crate) no_adjust: bool,
}

/// How much is told on a terminal.
#[derive(Clone, Copy, Debug, Args)]
pub(crate) struct TellingArgs {
    /// Print errors only
    #[arg(long, short, conflicts_with = "verbose")]
    pub(crate) quiet: bool,
    /// Print notes too, beside warnings
    #[arg(long, short)]
    pub(crate) verbose: bool,
}

/// The size of printed sheets.
#[derive(Clone, Debug, Args)]
pub(crate) struct PaperArgs {
    /// The paper of a PDF: letter, tabloid, arch-a, arch-b, arch-c, arch-d, arch-e, arch-e1, a4, a3 (letter, or a4 in
    /// metres, unless told otherwise). Course layouts too fine for letter, arch-a or a4 take tabloid, arch-b or a3
    #[arg(long = "paper", value_name = "NAME")]
    name: Option<String>,
}

impl PaperArgs {
    /// The paper that was named; what is usual with the units where none was.
    pub(crate) fn chosen(&self, units: OutputUnits) -> Result<Paper, Failure> {
        self.name.as_deref().map_or_else(
            || Ok(Paper::usual(units)),
            |name| {
                name.parse()
                    .map_err(|why| Failure::usage("paper-unknown", why))
            },
        )
    }
}

/// What every command that reads one plan understands.
#[derive(Debug, Args)]
pub(crate) struct PlanArgs {
    /// The traced plan (SVG, also gzipped)
    pub(crate) plan: PathBuf,
    #[command(flatten)]
    pub(crate) reading: ReadingArgs,
    /// Write the drawing back with every finding, and every fall that is asked about, marked on top (diff: PLAN with
    /// everything that changed)
    #[arg(long, value_name = "FILE")]
    pub(crate) marked: Option<PathBuf>,
    /// Tell how shapes were chosen, why each face falls as it does, and where numbers came from
    #[arg(long)]
    pub(crate) explain: bool,
    #[command(flatten)]
    pub(crate) telling: TellingArgs,
}

impl PlanArgs {
    /// Whether notes are told with the warnings.
    pub(crate) fn notes_too(&self) -> bool {
        self.explain || self.telling.verbose
    }
}

#[derive(Debug, Args)]
pub(crate) struct TakeoffArgs {
    #[command(flatten)]
    pub(crate) plan: PlanArgs,
    #[command(flatten)]
    pub(crate) outputs: OutputArgs,
    /// Run again whenever the plan or the job file is saved, until stopped
    #[arg(long)]
    pub(crate) watch: bool,
}

#[derive(Debug, Args)]
pub(crate) struct DiffArgs {
    /// The earlier revision; the plan is the later one
    pub(crate) old: PathBuf,
    #[command(flatten)]
    pub(crate) plan: PlanArgs,
    /// What changed, as JSON; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    /// Both roofs drawn over each other, changes numbered; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) svg: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    #[command(flatten)]
    pub(crate) plan: PlanArgs,
    /// Stated figures beside the drawing, CSV: `S1,480`, `total,9.6 squares`, `eave,80 ft`; `-` is standard input
    #[arg(long, value_name = "AREAS.csv")]
    pub(crate) against: Option<PathBuf>,
    /// A difference up to this is none, in percent: 1 for a traced plan, 0.1 for one drawn from dimensions
    #[arg(long, value_name = "PERCENT")]
    pub(crate) tolerance: Option<String>,
    /// The review as JSON; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    /// The review sheet as PDF
    #[arg(long, value_name = "FILE")]
    pub(crate) pdf: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) paper: PaperArgs,
}

/// Where results go.
#[derive(Debug, Args)]
pub(crate) struct OutputArgs {
    /// The PDF; `PLAN-takeoff.pdf` beside the plan unless told otherwise
    #[arg(long, value_name = "FILE", conflicts_with = "no_pdf")]
    pub(crate) pdf: Option<PathBuf>,
    /// Write no PDF
    #[arg(long)]
    pub(crate) no_pdf: bool,
    /// The sheets of the PDF, in this order: plan, schedules, ... (all but cost unless told otherwise)
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub(crate) sheets: Vec<String>,
    #[command(flatten)]
    pub(crate) paper: PaperArgs,
    /// The machine-readable takeoff; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    /// One table: the order, then faces, edges and totals, one line each; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// The drawn plan as a layered SVG; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) svg: Option<PathBuf>,
    /// One self-contained page with a model of the roof that turns; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) html: Option<PathBuf>,
    /// The roof as glTF 2.0 (binary) for other programs; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) glb: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum JobCommand {
    /// Write a commented job file to start from; a file that is there already is left as it is
    New {
        /// The file to write; `-` is standard output
        #[arg(default_value = "job.toml", value_name = "JOB.toml")]
        file: PathBuf,
    },
    /// Print the JSON Schema of job files, for editors
    Schema,
    /// Print a price list with invented prices, to put one's own in
    Prices {
        /// Of packages in these units: feet and inches, or metres
        #[arg(long, value_enum, default_value = "ft")]
        units: UnitsArg,
    },
}

#[derive(Debug, Args)]
pub(crate) struct CoursesArgs {
    #[command(flatten)]
    pub(crate) plan: PlanArgs,
    /// The face that --svg draws or --then changes on, by its name; not needed where only one face has courses
    #[arg(long, value_name = "NAME")]
    pub(crate) face: Option<String>,
    /// Where to change on one face from the job's format to this one, when an old stock is used up
    #[arg(long, value_name = "FORMAT")]
    pub(crate) then: Option<String>,
    /// Shingles of the job's format at hand for that face: the change comes in one of the last courses they reach
    #[arg(long, value_name = "PIECES", requires = "then")]
    pub(crate) stock: Option<usize>,
    /// One face with every piece, joint and offcut number; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) svg: Option<PathBuf>,
    /// The layout for other programs; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    /// The course layout and crew sheets as a PDF
    #[arg(long, value_name = "FILE")]
    pub(crate) pdf: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArgs {
    #[command(flatten)]
    pub(crate) plan: PlanArgs,
    /// The formats to compare, the first being what the others are measured against (all known unless told otherwise)
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub(crate) formats: Vec<String>,
    /// Count this many nails in every piece of every format, instead of each format's own number
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..=20))]
    pub(crate) nails: Option<u32>,
    /// The comparison as a sheet with bars
    #[arg(long, value_name = "FILE")]
    pub(crate) pdf: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) paper: PaperArgs,
    /// The comparison for other programs; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    /// The comparison for a spreadsheet, one line a format; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct OrderArgs {
    /// The traced plans of the job's roofs or phases
    #[arg(required = true, value_name = "PLAN")]
    pub(crate) plans: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) reading: ReadingArgs,
    /// The order for the supplier, one line an item; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// The order for other programs; `-` is standard output
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) telling: TellingArgs,
}

#[derive(Debug, Args)]
pub(crate) struct BatchArgs {
    /// Folders of plans, patterns such as `lots/**/*.svg`, plans, or lists of plans (one path a line; `-` is standard input)
    #[arg(required = true, value_name = "FOLDER|GLOB|LIST")]
    pub(crate) sources: Vec<PathBuf>,
    /// Where results go: `plans/NAME.json` for each plan, and the tables plans, faces and edges (CSV and Parquet)
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: PathBuf,
    #[command(flatten)]
    pub(crate) reading: ReadingArgs,
    /// What to write for each plan besides its JSON
    #[arg(long, value_name = "KINDS", value_enum, value_delimiter = ',')]
    pub(crate) also: Vec<AlsoArg>,
    #[command(flatten)]
    pub(crate) paper: PaperArgs,
    /// Do one share of the plans only, such as `2/5`: the second of five machines
    #[arg(long, value_name = "I/N")]
    pub(crate) shard: Option<Shard>,
    /// How many plans to work on at once; as many as there are cores unless told otherwise
    #[arg(long, value_name = "N")]
    pub(crate) jobs: Option<NonZeroUsize>,
    /// The longest that one plan may take; one that takes longer is stopped and told, and the others go on
    #[arg(long, value_name = "SECONDS", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..=86_400))]
    pub(crate) time_limit: u32,
    /// The most memory that taking off one plan may need (on Linux)
    #[arg(long, value_name = "MIB", default_value_t = 2048, value_parser = clap::value_parser!(u32).range(256..=1_048_576))]
    pub(crate) memory_limit: u32,
    /// Take off again what an earlier run has finished
    #[arg(long)]
    pub(crate) again: bool,
    /// Print what stops the run only, no progress
    #[arg(long, short)]
    pub(crate) quiet: bool,
    /// How this program starts its own workers
    #[arg(long, hide = true)]
    pub(crate) as_worker: bool,
}

/// A file that may be written for each plan besides its JSON.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub(crate) enum AlsoArg {
    /// The PDF with all sheets
    Pdf,
    /// The order, then faces, edges and totals, one line each
    Csv,
    /// The drawn plan
    Svg,
    /// The page with the model that turns
    Html,
    /// The roof as glTF 2.0
    Glb,
}

#[derive(Debug, Args)]
pub(crate) struct FormatsArgs {
    /// A job file whose formats are listed too
    #[arg(long, value_name = "JOB.toml")]
    pub(crate) job: Option<PathBuf>,
}

/// The units of every number written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsArg {
    /// Feet and square feet
    Ft,
    /// Metres and square metres
    M,
}
