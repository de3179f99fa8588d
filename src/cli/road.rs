//! The road of one plan: drawing, roof, courses, materials.

use std::fs;
use std::path::Path;

use eavewright::courses::{Choices, Courses};
use eavewright::drawing::Drawing;
use eavewright::materials::MaterialList;
use eavewright::roof::Roof;
use eavewright::roof::map;
use eavewright::roof::SuggestedFall;
use eavewright::Finding;

use super::Failure;
use super::settings::Settings;

/// A plan taken off.
pub(crate) struct Takeoff {
    pub(crate) drawing: Drawing,
    pub(crate) roof: Roof,
    pub(crate) courses: Courses,
    pub(crate) materials: MaterialList,
}

/// Why a plan could not be taken off, with what was read of it, so that it can be marked.
pub(crate) struct Refused {
    pub(crate) findings: Vec<Finding>,
    pub(crate) drawing: Option<Drawing>,
    pub(crate) falls: Vec<SuggestedFall>,
}

impl Refused {
    fn plan(findings: Vec<Finding>, drawing: Option<Drawing>) -> Self {
        Self { findings, drawing, falls: Vec::new() }
    }
}

/// The bytes of a plan.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    fs::read(path).map_err(|e| {
        let why = if path.is_dir() { "it is a directory".to_owned() } else { e.to_string() };
        Failure::usage("plan-unreadable", format!("The plan {} cannot be read: {why}.", path.display()))
    })
}

/// From bytes to a list of materials.
pub(crate) fn take_off(bytes: &[u8], settings: &Settings) -> Result<Takeoff, Box<Refused>> {
    let drawing = Drawing::read(bytes, &settings.read).map_err(|f| Box::new(Refused::plan(f, None)))?;
    let maps = match map::build(&drawing, &settings.map) {
        Ok(maps) => maps,
        Err(findings) => return Err(Box::new(Refused::plan(findings, Some(drawing)))),
    };
    let roof = match Roof::solve(&maps, &settings.solve) {
        Ok(roof) => roof,
        Err(unsolved) => {
            return Err(Box::new(Refused {
                findings: unsolved.findings,
                drawing: Some(drawing),
                falls: unsolved.suggested_falls,
            }));
        }
    };
    let laid = Courses::lay(&roof, &settings.format, &settings.rules, &Choices::default());
    let courses = match laid {
        Ok(courses) => courses,
        Err(findings) => return Err(Box::new(Refused::plan(findings, Some(drawing)))),
    };
    let materials = MaterialList::compute(&roof, &courses, &settings.materials);
    Ok(Takeoff { drawing, roof, courses, materials })
}

impl Takeoff {
    /// Everything that any stage noticed, in the order of the road.
    pub(crate) fn findings(&self) -> Vec<Finding> {
        let stages = [&self.drawing.findings, &self.roof.findings, &self.courses.findings, &self.materials.findings];
        stages.into_iter().flatten().cloned().collect()
    }
}
