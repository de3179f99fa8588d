//! The road of one plan: drawing, roof, courses, materials.

use std::fs;
use std::io::{self, Read as _};
use std::path::Path;

use eavewright::courses::{self, Comparison, Courses, LaidBefore};
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::materials::{CostInputs, Item, MaterialList, Offer, PriceList};
use eavewright::report::{Inputs, OutputUnits, ProjectInfo, Report};
use eavewright::roof::{Roof, SuggestedFall, Unsolved};
use eavewright::{Finding, gravest_first};

use super::Failure;
use super::progress::Progress;
use super::settings::Settings;

/// A plan taken off.
pub(crate) struct Takeoff {
    pub(crate) drawing: Drawing,
    pub(crate) roof: Roof,
    pub(crate) courses: Courses,
    pub(crate) materials: MaterialList,
    /// The roof in the other formats that the job names.
    pub(crate) comparison: Option<Comparison>,
    /// What the job asks for it; `None` where it gives no prices.
    pub(crate) offer: Option<Offer>,
}

/// Why a plan could not be taken off, with what was read of it, so that it can be marked.
pub(crate) struct Refused {
    pub(crate) findings: Vec<Finding>,
    pub(crate) drawing: Option<Drawing>,
    pub(crate) falls: Vec<SuggestedFall>,
}

impl Refused {
    pub(crate) fn unread(findings: Vec<Finding>) -> Self {
        Self {
            findings,
            drawing: None,
            falls: Vec::new(),
        }
    }
}

/// How many steps it takes to the list of materials, and to the roof.
pub(crate) const TAKE_OFF_STEPS: u64 = 4;
pub(crate) const SOLVE_STEPS: u64 = 2;

/// The bytes of a plan.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    bytes(path).map_err(|e| {
        let why = if path.is_dir() {
            "it is a directory".to_owned()
        } else {
            e.to_string()
        };
        Failure::usage(
            "plan-unreadable",
            format!("The plan {} cannot be read: {why}.", path.display()),
        )
    })
}

/// What is in a file, as far as a plan may be long, and a byte more: the reader refuses longer ones, and an endless one
/// is not waited for.
pub(crate) fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    bytes_of(fs::File::open(path)?)
}

fn bytes_of(from: impl io::Read) -> io::Result<Vec<u8>> {
    let most = ReadOptions::default().limits.bytes as u64 + 1;
    let mut bytes = Vec::new();
    from.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// What is in a text file beside a plan, such as a list of figures or prices: no longer than a plan may be either.
pub(crate) fn text(path: &Path) -> io::Result<String> {
    text_in(bytes(path)?)
}

/// What stands on standard input, as a text file beside a plan.
pub(crate) fn standard_input() -> io::Result<String> {
    text_in(bytes_of(io::stdin().lock())?)
}

fn text_in(bytes: Vec<u8>) -> io::Result<String> {
    let most = ReadOptions::default().limits.bytes;
    if bytes.len() > most {
        let told = format!("it is longer than {} MiB", most >> 20);
        return Err(io::Error::other(told));
    }
    let text = match &bytes[..] {
        [0xff, 0xfe, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => utf16(rest, u16::from_be_bytes),
        _ => String::from_utf8(bytes).ok(),
    };
    // A text of two bytes a letter without its mark may be UTF-8 too, with nothing between the letters.
    text.filter(|t| !t.contains('\0')).ok_or_else(|| {
        let told = "it is no text in UTF-8, nor in UTF-16 with its mark";
        io::Error::new(io::ErrorKind::InvalidData, told)
    })
}

/// Text of two bytes a letter, as spreadsheets and editors save it where they are asked for Unicode; `None` where it is damaged.
fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Option<String> {
    let (units, rest) = bytes.as_chunks::<2>();
    let units: Vec<u16> = units.iter().map(|&two| unit(two)).collect();
    String::from_utf16(&units).ok().filter(|_| rest.is_empty())
}

/// From bytes to a list of materials.
pub(crate) fn take_off(
    bytes: &[u8],
    settings: &Settings,
    progress: &Progress,
) -> Result<Takeoff, Box<Refused>> {
    take_off_after(bytes, settings, progress, &mut LaidBefore::default())
}

/// [`take_off`] for one of many plans: faces that were on an earlier one are not laid again.
pub(crate) fn take_off_after(
    bytes: &[u8],
    settings: &Settings,
    progress: &Progress,
    before: &mut LaidBefore,
) -> Result<Takeoff, Box<Refused>> {
    progress.step("reading the drawing");
    let drawing = Drawing::read(bytes, &settings.read).map_err(|f| Box::new(Refused::unread(f)))?;
    match roof_and_on(&drawing, settings, progress, before) {
        Ok((roof, courses, materials)) => Ok(Takeoff {
            drawing,
            roof,
            courses,
            materials,
            comparison: None,
            offer: None,
        }),
        Err(unsolved) => Err(refused(drawing, unsolved)),
    }
}

/// From bytes to the roof alone.
pub(crate) fn solve(
    bytes: &[u8],
    settings: &Settings,
    progress: &Progress,
) -> Result<(Drawing, Roof), Box<Refused>> {
    progress.step("reading the drawing");
    let drawing = Drawing::read(bytes, &settings.read).map_err(|f| Box::new(Refused::unread(f)))?;
    progress.step("solving the roof");
    match Roof::from_drawing(&drawing, &settings.roof) {
        Ok(roof) => Ok((drawing, roof)),
        Err(unsolved) => Err(refused(drawing, unsolved)),
    }
}

fn refused(drawing: Drawing, unsolved: Unsolved) -> Box<Refused> {
    Box::new(Refused {
        // What was noticed while reading often is the reason why the rest fails: a label that could not be read.
        findings: [drawing.findings.clone(), unsolved.findings].concat(),
        drawing: Some(drawing),
        falls: unsolved.suggested_falls,
    })
}

fn roof_and_on(
    drawing: &Drawing,
    settings: &Settings,
    progress: &Progress,
    before: &mut LaidBefore,
) -> Result<(Roof, Courses, MaterialList), Unsolved> {
    progress.step("solving the roof");
    let roof = Roof::from_drawing(drawing, &settings.roof)?;
    let (choices, doubts) = settings.choices(drawing, &roof);
    progress.step("laying the courses");
    let (format, rules) = (&settings.format, &settings.rules);
    let mut courses =
        Courses::lay_after(&roof, format, rules, &choices, before).map_err(unsolved)?;
    courses.findings.extend(doubts);
    progress.step("listing the materials");
    let materials = MaterialList::compute(&roof, &courses, &settings.materials);
    Ok((roof, courses, materials))
}

fn unsolved(findings: Vec<Finding>) -> Unsolved {
    Unsolved {
        findings,
        suggested_falls: Vec::new(),
    }
}

impl Takeoff {
    /// The report of all that was taken off.
    pub(crate) fn report<'a>(&'a self, project: &'a ProjectInfo, units: OutputUnits) -> Report<'a> {
        Report::new(Inputs {
            drawing: &self.drawing,
            roof: &self.roof,
            courses: Some(&self.courses),
            materials: Some(&self.materials),
            comparison: self.comparison.as_ref(),
            offer: self.offer.as_ref(),
            project,
            units,
        })
    }

    /// Everything that any stage noticed, in the order of the road.
    pub(crate) fn findings(&self) -> Vec<Finding> {
        let stages = [
            &self.drawing.findings,
            &self.roof.findings,
            &self.courses.findings,
            &self.materials.findings,
        ];
        let compared = self.comparison.iter().map(|c| &c.findings);
        let offer = self.offer.iter().map(|o| &o.findings);
        let all = stages.into_iter().chain(compared).chain(offer);
        let mut all: Vec<Finding> = all.flatten().cloned().collect();
        gravest_first(&mut all);
        all
    }

    /// Lays the roof in the other formats that the job names, if it names any.
    pub(crate) fn compare(&mut self, settings: &Settings) {
        if settings.compared.is_empty() {
            return;
        }
        let compared = courses::compare(
            &self.roof,
            &settings.compared,
            &settings.rules,
            &settings.choices(&self.drawing, &self.roof).0,
            None,
        );
        match compared {
            Ok(comparison) => self.comparison = Some(comparison),
            // The job's own format has been laid, so this is not to be expected; it is no reason to have no takeoff.
            Err(reasons) => self.materials.findings.extend(reasons),
        }
    }

    /// Makes the offer that the job asks for, if it asks for one.
    pub(crate) fn price(&mut self, settings: &Settings) -> Result<(), Failure> {
        let taken = std::slice::from_ref(&*self);
        self.offer = offer_for(taken, &self.materials, settings)?;
        Ok(())
    }

    /// The roof as laid in a format that it has been compared in.
    fn laid_in(&self, name: &str) -> Option<&Courses> {
        let compared = self.comparison.iter().flat_map(|c| &c.formats);
        let mut courses = compared.map(|c| &c.courses);
        courses.find(|courses| courses.format.name == name)
    }
}

/// What the job asks for all these roofs, whose materials stand in one list, with what the other formats that it names
/// would come to; `None` where it asks for no offer. A format is offered where all of the roofs have been laid in it.
pub(crate) fn offer_for(
    taken: &[Takeoff],
    list: &MaterialList,
    settings: &Settings,
) -> Result<Option<Offer>, Failure> {
    let Some(prices) = &settings.prices else {
        return Ok(None);
    };
    let roofs: Vec<&Roof> = taken.iter().map(|t| &t.roof).collect();
    let mut offer = self::offer(&roofs, list, prices, settings)?;
    // Where no face takes shingles, none can be had instead.
    let others = match offer.bid.takes_shingles {
        true => settings.compared.get(1..).unwrap_or_default(),
        false => &[],
    };
    for format in others {
        let name = &format.name;
        // Where a roof could not be laid in it, its comparison tells why.
        let laid: Option<Vec<(&Roof, &Courses)>> = taken
            .iter()
            .map(|t| Some((&t.roof, t.laid_in(name)?)))
            .collect();
        let Some(laid) = laid else { continue };
        let key = format!("{}:{name}", Item::Shingles.key());
        if !prices.lists(&key) {
            offer.findings.push(
                Finding::note(
                    "format-not-priced",
                    format!("{name} is compared but not offered: a bundle of it has no price."),
                )
                .remedy(format!("Give the price of `{key}`.")),
            );
            continue;
        }
        let list = MaterialList::compute_job(&laid, &settings.materials);
        let priced = self::offer(&roofs, &list, prices, settings)?;
        if !priced.bid.takes_shingles {
            continue;
        }
        offer.offer_instead(format!("Shingles {name} instead"), &priced);
    }
    Ok(Some(offer))
}

/// What the job asks for the work on all of its roofs.
fn offer(
    roofs: &[&Roof],
    list: &MaterialList,
    prices: &PriceList,
    settings: &Settings,
) -> Result<Offer, Failure> {
    let job = &settings.job;
    let inputs = CostInputs {
        roofs,
        list,
        prices,
        labour: &job.labour,
        bidding: &job.bid,
        storeys: job.site.storeys.unwrap_or(1),
        date: job.project.date.as_deref(),
    };
    let currency = job.prices.currency.as_deref();
    Offer::make(&inputs, currency, settings.metric).map_err(Failure::Usage)
}
