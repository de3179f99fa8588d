//! The rules of the code and of the trade that the list follows, as data: where each stands, whether it was read or
//! is from memory, what the program does and what it leaves to the reader.
//!
//! IRC is the International Residential Code; sections are those of the 2018 edition unless `editions` says more. The
//! edition adopted locally, with its amendments, always wins.

use super::options::Edition;

/// How far a rule's text can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The text, or a quotation of it, was read; where.
    Read(&'static str),
    /// From memory: look it up before relying on it.
    Memory,
    /// Common practice; no source.
    Practice,
}

/// One rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// A short name: the one that a job file switches it off by.
    pub name: &'static str,
    /// What it is about.
    pub topic: &'static str,
    /// Where it stands.
    pub section: &'static str,
    /// What is known about editions.
    pub editions: &'static str,
    /// Whether it was read.
    pub standing: Standing,
    /// What the program does.
    pub does: &'static str,
    /// What it leaves to the reader.
    pub leaves: &'static str,
}

impl Rule {
    /// The rule as a citation for a line of the list.
    pub fn cite(&self, edition: Edition) -> String {
        match self.standing {
            Standing::Practice => "common practice, no source".to_owned(),
            Standing::Read(_) => format!("{}, read", self.dated(edition)),
            Standing::Memory => format!("{}, from memory", self.dated(edition)),
        }
    }

    /// Where it stands, short: `R905.2.8.5`, `practice`.
    pub fn short(&self) -> &'static str {
        match self.standing {
            Standing::Practice => "practice",
            _ => self.section.strip_prefix("IRC ").unwrap_or(self.section),
        }
    }

    fn dated(&self, edition: Edition) -> String {
        match self.section.strip_prefix("IRC ") {
            Some(section) => format!("IRC {} {section}", edition.year()),
            None => self.section.to_owned(),
        }
    }
}

/// The rule of a name.
pub fn find(name: &str) -> Option<&'static Rule> {
    RULES.iter().find(|r| r.name == name)
}

/// The names of all rules, in the table's order.
pub fn names() -> Vec<&'static str> {
    RULES.iter().map(|r| r.name).collect()
}

/// The slope over which the maker's steep-slope fastening is asked for, in 12 (rule `steep-fastening`).
pub const fn steep_above_in_12(edition: Edition) -> f64 {
    match edition {
        Edition::Irc2009 => 20.0,
        _ => 21.0,
    }
}

/// Whether the edition asks for 36 in of ice barrier along slopes of 8:12 and more (rule `ice-barrier-steep`).
pub const fn steep_ice_rule(edition: Edition) -> bool {
    matches!(
        edition,
        Edition::Irc2015 | Edition::Irc2018 | Edition::Irc2021
    )
}

/// The table.
pub const RULES: [Rule; 26] = [
    Rule {
        name: "minimum-slope",
        topic: "Least slope for shingles",
        section: "IRC R905.2.2",
        editions: "all",
        standing: Standing::Read("copies of the 2018 text; a city's page"),
        does: "leaves faces under 2:12 out of every line and warns",
        leaves: "a low-slope roofing for them",
    },
    Rule {
        name: "underlayment",
        topic: "Underlayment at 4:12 and more",
        section: "IRC R905.1.1",
        editions: "table form from 2018; R905.2.7 before",
        standing: Standing::Read(
            "a city's page, for the 2 in side laps; Navy manual 14044 for the 4 in end laps",
        ),
        does: "lays one layer in rows on each face, counted row by row with its laps; cap nails, one a square foot (common practice)",
        leaves: "the sheet's class; end laps 6 ft apart in neighbouring rows",
    },
    Rule {
        name: "underlayment-low-slope",
        topic: "Underlayment from 2:12 to under 4:12",
        section: "IRC R905.1.1",
        editions: "table form from 2018; R905.2.7 before",
        standing: Standing::Read(
            "a city's page; Navy guide specification for the 19 in strip and laps",
        ),
        does: "lays a starter strip of half a width plus 1 in, then sheets lapping as much (19 in of 36)",
        leaves: "a sheet of another width laps by its maker's instructions",
    },
    Rule {
        name: "underlayment-overlaps",
        topic: "Underlayment over hips, ridges and up walls",
        section: "Navy manual 14044 and guide specification",
        editions: "older government practice",
        standing: Standing::Read("felt 6 in past hips and ridges, 4 in up walls"),
        does: "lengthens rows that end at a hip or wall, or by 6 in at a valley lined with metal (common practice), and counts on past a ridge or headwall",
        leaves: "whether local practice does more",
    },
    Rule {
        name: "ice-barrier",
        topic: "Ice barrier at eaves",
        section: "IRC R905.1.2",
        editions: "R905.2.7.1 before 2015",
        standing: Standing::Read(
            "a code forum's quotation; a trade magazine's worked reach, counted from the inside face",
        ),
        does: "where the job says the code's table asks for it: rows from the eave to 24 in inside the wall, measured level, on over pitch changes",
        leaves: "whether the table asks for it; how far behind a porch's eave the wall stands, as one overhang is taken for all eaves; the exception for detached unheated buildings (from memory)",
    },
    Rule {
        name: "ice-barrier-steep",
        topic: "Ice barrier at 8:12 and more",
        section: "IRC R905.1.2",
        editions: "2015, 2018 and 2021; removed in 2024",
        standing: Standing::Read("a code forum's quotation and its note on 2024"),
        does: "never less than 36 in up the slope",
        leaves: "",
    },
    Rule {
        name: "nails-length",
        topic: "Length of nails",
        section: "IRC R905.2.5",
        editions: "all",
        standing: Standing::Read("copies of the text"),
        does: "adds what the nail goes through: layers, 3/4 in of deck, or the whole of a thinner deck and 1/8 in",
        leaves: "corrosion class and shank",
    },
    Rule {
        name: "nails-number",
        topic: "Number of nails",
        section: "IRC R905.2.6",
        editions: "all",
        standing: Standing::Read("a scan of the 2018 page"),
        does: "the format's number for every piece laid, cut ones too, never under 4 for a strip",
        leaves: "the maker's nailing zone",
    },
    Rule {
        name: "steep-fastening",
        topic: "Fastening on steep slopes",
        section: "IRC R905.2.6",
        editions: "over 21:12; older editions over 20:12 (which ones: from memory)",
        standing: Standing::Read("a scan of the 2018 page; an older city file for 20:12"),
        does: "takes the format's high-wind number of nails there, and warns",
        leaves: "the maker's steep-slope instructions, hand sealing",
    },
    Rule {
        name: "valley-open-metal",
        topic: "Open valley, metal",
        section: "IRC R905.2.8.2(1)",
        editions: "all",
        standing: Standing::Read("a city permit file's quotation"),
        does: "metal in pieces on the true length, with laps and trims; width from the catalog, warned of under 24 in",
        leaves: "gauge and metal",
    },
    Rule {
        name: "valley-open-roll",
        topic: "Open valley, roll roofing",
        section: "IRC R905.2.8.2(2)",
        editions: "all",
        standing: Standing::Read("a city permit file's quotation"),
        does: "two plies on the true length: a half width (18 in) under, a full width (36 in) over",
        leaves: "",
    },
    Rule {
        name: "valley-closed",
        topic: "Closed valley, cut or woven",
        section: "IRC R905.2.8.2(3)",
        editions: "all",
        standing: Standing::Read("a city permit file's quotation"),
        does: "one ply, 36 in wide, of the lining chosen, on the true length",
        leaves: "whether the shingle's maker allows the valley",
    },
    Rule {
        name: "step-flashing",
        topic: "Flashing along sidewalls",
        section: "IRC R905.2.8.3",
        editions: "all",
        standing: Standing::Read(
            "a scan of the 2018 page; pieces and headlap: a state specification",
        ),
        does: "one bent piece a course: true length over exposure, rounded up, and one more for each run; or, where the job says so, a continuous flashing on the true length",
        leaves: "",
    },
    Rule {
        name: "headwall-flashing",
        topic: "Aprons, chimneys, pipes",
        section: "IRC R905.2.8.4",
        editions: "all",
        standing: Standing::Read(
            "a city permit file's quotation; 4 in past each side: a state specification",
        ),
        does: "aprons with returns at headwalls and below openings, one boot a pipe",
        leaves: "the maker's instructions; kits for skylights",
    },
    Rule {
        name: "counterflashing",
        topic: "Cap flashing",
        section: "IRC R905.2.8.1",
        editions: "all",
        standing: Standing::Read("a scan of the 2018 page"),
        does: "lapping pieces over the base flashing round chimneys, along walls where the job says so",
        leaves: "0.019 in of metal at least; whether siding covers the base flashing",
    },
    Rule {
        name: "drip-edge",
        topic: "Drip edge",
        section: "IRC R905.2.8.5",
        editions: "from 2012",
        standing: Standing::Read("copies of the text from 2012 on"),
        does: "pieces run by run at eaves and rakes, lapping 2 in",
        leaves: "profile; nails 12 in apart",
    },
    Rule {
        name: "cricket",
        topic: "Cricket behind wide chimneys",
        section: "IRC R903.2.2",
        editions: "all",
        standing: Standing::Read("an inspectors' archive, 2003 text"),
        does: "one saddle behind each chimney wider than 30 in across the fall, at the roof's own pitch, in place of head flashing",
        leaves: "framing; unit skylights are excepted (from memory)",
    },
    Rule {
        name: "cricket-height",
        topic: "Height of crickets",
        section: "IRC R1003.20",
        editions: "all",
        standing: Standing::Memory,
        does: "half the width times the pitch: W/2 at 12:12, W/3 at 8:12, W/4 at 6:12, W/6 at 4:12, W/8 at 3:12",
        leaves: "",
    },
    Rule {
        name: "kick-out",
        topic: "Kick-out where a sidewall meets an eave",
        section: "IRC R903.2.1",
        editions: "all",
        standing: Standing::Memory,
        does: "one at the eave end of each sidewall",
        leaves: "",
    },
    Rule {
        name: "ventilation",
        topic: "Attic ventilation",
        section: "IRC R806.2",
        editions: "conditions for 1/300: one or more in 2012, all that apply from 2015 (from memory)",
        standing: Standing::Read("a copy of the 2012 text"),
        does: "net free area from the attic floor, held against what ridges and eaves can take",
        leaves: "which ratio applies; the vents' own net free area",
    },
    Rule {
        name: "reroof-layers",
        topic: "Laying over old roofing",
        section: "IRC R908.3.1.1",
        editions: "all",
        standing: Standing::Read("copies of the text"),
        does: "warns where two or more layers would stay",
        leaves: "wet decks, wood shakes, slate and tile, which must come off too",
    },
    Rule {
        name: "overlay",
        topic: "Sheets over old roofing",
        section: "trade practice",
        editions: "",
        standing: Standing::Practice,
        does: "where old roofing stays: no underlayment, no ice barrier and no sheet in closed valleys is listed over it",
        leaves: "what the ice barrier would have kept out; the state of what stays",
    },
    Rule {
        name: "starter",
        topic: "Starter strip",
        section: "trade practice",
        editions: "",
        standing: Standing::Practice,
        does: "true length of eaves, of pitch changes over faces without shingles, of rakes by choice",
        leaves: "joints as far from those of the first course as the job's joint distance asks",
    },
    Rule {
        name: "caps",
        topic: "Hip and ridge caps",
        section: "trade practice",
        editions: "",
        standing: Standing::Practice,
        does: "true length over exposure, rounded up for each run",
        leaves: "",
    },
    Rule {
        name: "pitch-change",
        topic: "Level break of the pitch",
        section: "trade practice",
        editions: "",
        standing: Standing::Practice,
        does: "a bent flashing on the true length, unless the job says no",
        leaves: "whether the shingles run through",
    },
    Rule {
        name: "sealing",
        topic: "Cement and sealant",
        section: "trade practice",
        editions: "",
        standing: Standing::Practice,
        does: "covers of the catalog",
        leaves: "",
    },
];

#[cfg(test)]
mod tests {
    use super::{RULES, find};

    #[test]
    fn rules_have_different_names_and_say_what_the_program_does() {
        for (i, rule) in RULES.iter().enumerate() {
            assert!(
                !rule.does.is_empty() && !rule.section.is_empty(),
                "{}",
                rule.name
            );
            assert!(
                RULES[..i].iter().all(|r| r.name != rule.name),
                "{} twice",
                rule.name
            );
        }
        assert!(find("ice-barrier").is_some() && find("ice").is_none());
    }
}
