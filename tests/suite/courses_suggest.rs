//! What is said to be saved by another choice is saved when the job file makes it.

use std::fs;
use std::path::PathBuf;

use eavewright::courses::{
    Choices, Courses, LayRules, StartCorner, Suggested, ValleyType, formats, suggestions,
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

/// The choices that a job file makes with a suggestion.
fn made(roof: &Roof, choose: Suggested) -> Choices {
    let job = Job::parse(&in_job(roof, choose)).unwrap();
    job.shingles.choices(roof).0
}

#[test]
fn whatever_choice_of_one_corner_or_of_one_face_at_its_valleys_saves_is_suggested() {
    let format = formats::by_name("39x13", &[]).unwrap();
    let rules = LayRules::default();
    let (mut starts, mut valleys) = (0, 0);
    for plan in [
        "fixtures/roofs/unequal-wing-12in12-on-6in12/plan.svg",
        "examples/quillback-road.svg",
    ] {
        let roof = roof_of(&fs::read(plan).unwrap()).unwrap();
        let lay = |choices: &Choices| Courses::lay(&roof, &format, &rules, choices).unwrap();
        let laid = lay(&Choices::default());
        let found = suggestions(&roof, &laid, &laid.choices);
        assert!(found.windows(2).all(|two| two[0].saves >= two[1].saves));
        for face in &laid.faces {
            let id = face.face;
            for choose in [
                Suggested::Start(id, face.start.other()),
                Suggested::Through(id, true),
                Suggested::Through(id, false),
            ] {
                let choices = made(&roof, choose);
                let saves = laid.opened().saturating_sub(lay(&choices).opened());
                if saves == 0 {
                    continue;
                }
                // Of two faces with one valley, one running through is the other being cut.
                let same = |s: &&eavewright::courses::Suggestion| {
                    let other = made(&roof, s.choose);
                    (other.start, other.through) == (choices.start.clone(), choices.through.clone())
                };
                let told = found.iter().find(same);
                assert_eq!(told.map(|s| s.saves), Some(saves), "{plan}, {choose:?}");
                starts += usize::from(choices.through.is_empty());
                valleys += usize::from(!choices.through.is_empty());
            }
        }
    }
    eprintln!("{starts} starts and {valleys} ways through valleys save");
    assert!(valleys > 3, "{valleys} ways through valleys");
}

#[test]
fn a_valley_that_the_user_or_the_way_of_making_valleys_has_settled_is_left_alone() {
    let svg = fs::read("examples/quillback-road.svg").unwrap();
    let roof = roof_of(&svg).unwrap();
    let format = formats::by_name("39x13", &[]).unwrap();
    let rules = LayRules::default();
    let mut all = 0;
    for face in &roof.faces {
        let job = format!("[shingles.faces.{}]\nthrough = true\n", face.name);
        let (choices, _) = Job::parse(&job).unwrap().shingles.choices(&roof);
        let laid = Courses::lay(&roof, &format, &rules, &choices).unwrap();
        for suggestion in suggestions(&roof, &laid, &choices) {
            let made = made(&roof, suggestion.choose).through;
            assert!(
                made.keys()
                    .all(|valley| !choices.through.contains_key(valley))
            );
            all += 1;
        }
    }
    assert!(all > 0, "nothing was suggested");
    for valley in [ValleyType::Woven, ValleyType::OpenMetal] {
        let rules = LayRules {
            valley,
            ..rules.clone()
        };
        let laid = Courses::lay(&roof, &format, &rules, &Choices::default()).unwrap();
        let of_starts = |c: Suggested| matches!(c, Suggested::Start(..));
        let found = suggestions(&roof, &laid, &laid.choices);
        assert!(found.iter().all(|s| of_starts(s.choose)));
    }
}
