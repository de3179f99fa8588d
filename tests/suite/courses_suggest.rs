//! What is said to be saved by another choice is saved when the job file makes it.

use std::fs;
use std::path::PathBuf;

use eavewright::courses::{
    Choices, Courses, LayRules, StartCorner, Suggested, formats, suggestions,
};
use eavewright::job::Job;
use eavewright::roof::Roof;

use crate::support::roof_of;

/// A suggestion as it is written in a job file.
fn in_job(roof: &Roof, choose: Suggested) -> String {
    let (face, said) = match choose {
        Suggested::Start(face, StartCorner::Left) => (face, "start = \"left\"".to_owned()),
        Suggested::Start(face, StartCorner::Right) => (face, "start = \"right\"".to_owned()),
        Suggested::Through(face, through) => (face, format!("through = {through}")),
    };
    format!("[shingles.faces.{}]\n{said}\n", roof.face(face).name)
}

fn plans() -> Vec<PathBuf> {
    let mut plans: Vec<PathBuf> = fs::read_dir("fixtures/roofs")
        .unwrap()
        .map(|e| e.unwrap().path().join("plan.svg"))
        .filter(|p| p.exists())
        .collect();
    plans.push(PathBuf::from("examples/quillback-road.svg"));
    plans.sort();
    plans
}

#[test]
fn every_suggestion_saves_what_it_says_when_the_job_file_makes_it() {
    let format = formats::by_name("39x13", &[]).unwrap();
    let rules = LayRules::default();
    let (mut faces, mut followed) = (0, 0);
    for plan in plans() {
        let Ok(roof) = roof_of(&fs::read(&plan).unwrap()) else {
            continue;
        };
        let lay = |choices: &Choices| Courses::lay(&roof, &format, &rules, choices).unwrap();
        let laid = lay(&Choices::default());
        faces += laid.faces.len();
        for suggestion in suggestions(&roof, &laid, &laid.choices) {
            let job = Job::parse(&in_job(&roof, suggestion.choose)).unwrap();
            let (choices, doubts) = job.shingles.choices(&roof);
            assert!(doubts.is_empty());
            let then = lay(&choices).opened();
            let what = (plan.display(), suggestion);
            assert_eq!(then + suggestion.saves, laid.opened(), "{what:?}");
            followed += 1;
        }
    }
    eprintln!("{followed} suggestions on {faces} faces");
    assert!(faces > 60 && followed > 5, "{followed} on {faces} faces");
}

#[test]
fn what_the_user_has_chosen_is_not_suggested_against() {
    let svg = fs::read("examples/quillback-road.svg").unwrap();
    let roof = roof_of(&svg).unwrap();
    let format = formats::by_name("39x13", &[]).unwrap();
    let mut job = String::new();
    for face in &roof.faces {
        job += &format!("[shingles.faces.{}]\nstart = \"left\"\n", face.name);
    }
    let (choices, _) = Job::parse(&job).unwrap().shingles.choices(&roof);
    let laid = Courses::lay(&roof, &format, &LayRules::default(), &choices).unwrap();
    assert!(laid.faces.iter().all(|f| f.start == StartCorner::Left));
    let is_start = |c: Suggested| matches!(c, Suggested::Start(..));
    assert!(
        suggestions(&roof, &laid, &choices)
            .iter()
            .all(|s| !is_start(s.choose))
    );
}
