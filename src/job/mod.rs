//! The job file: names, units, scale, shingle format, rules, prices. TOML; every key is known or refused.

mod materials;
mod prices;
mod project;
mod read;
mod schema;
mod settings;
mod shingles;
mod site;

pub use materials::Materials;
pub use project::{CatchUp, Plan, Project, Traced, UnitSystem};
pub use shingles::{FaceChoice, Shingles};
pub use site::Site;

use crate::Finding;
use crate::materials::{Bidding, Labour, Prices};

/// What `[prices] list` says where the invented prices shipped with the program are meant.
pub const DEMO_PRICES: &str = "demo";

/// The job file's JSON Schema, for editors.
pub const SCHEMA: &str = include_str!("schema.json");

/// A commented job file to start from. It reads as a job with a name, and with the marks taken off its commented
/// keys it is still a job file.
pub const fn starter_text() -> &'static str {
    include_str!("starter.toml")
}

/// A job: everything about it that is not in the drawing. What the file leaves out is `None` or empty here, so that
/// a default and a choice can be told apart.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Job {
    /// `[project]`
    pub project: Project,
    /// `[plan]`
    pub plan: Plan,
    /// `[shingles]`
    pub shingles: Shingles,
    /// `[site]`
    pub site: Site,
    /// `[materials]`
    pub materials: Materials,
    /// `[prices]`
    pub prices: Prices,
    /// `[labour]`
    pub labour: Labour,
    /// `[bid]`
    pub bid: Bidding,
}

impl Job {
    /// Reads a job file. All that is wrong with it comes back at once, each with its line.
    ///
    /// ```
    /// use eavewright::job::Job;
    /// let job = Job::parse("[project]\nname = \"Heron Lane cottage\"\n").unwrap();
    /// assert_eq!(job.project.name.as_deref(), Some("Heron Lane cottage"));
    /// let wrong = Job::parse("[project]\nnmae = \"Heron Lane cottage\"\n").unwrap_err();
    /// assert!(wrong[0].message.contains("line 2") && wrong[0].remedy.contains("name"));
    /// ```
    ///
    /// # Errors
    /// Findings of severity error: no TOML, a key that is not known, a value that cannot be used.
    pub fn parse(text: &str) -> Result<Self, Vec<Finding>> {
        read::job(text)
    }
}
