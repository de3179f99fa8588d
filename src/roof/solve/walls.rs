//! Lines of walls between two roofs: which of the two stands over the wall, and which ends against it.

use crate::roof::{EdgeClass, FaceId, LEVEL_RISE_FT, Roof};
use crate::units::number;
use crate::{Finding, Place};

use crate::geometry::Point;

/// Which of the two faces at a wall end against it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Under {
    /// The lower one, on the left of the line.
    Left,
    /// The lower one, on the right of the line.
    Right,
    /// Both: they are equally high there, or lean against the wall from both its sides.
    Both,
}

/// A stretch of a wall's line, as parameters from its start (0) to its end (1), and who ends against the wall there.
pub(super) type UnderWall = (f64, f64, Under);

/// Who ends against the wall along a line, stretch by stretch.
/// `left` and `right` are the faces' heights at its two ends, in feet.
pub(super) fn under(left: [f64; 2], right: [f64; 2]) -> Vec<UnderWall> {
    let over = [left[0] - right[0], left[1] - right[1]];
    let who = |over: f64| match over {
        over if over > LEVEL_RISE_FT => Under::Right,
        over if over < -LEVEL_RISE_FT => Under::Left,
        _ => Under::Both,
    };
    match over.map(who) {
        [a, b] if a == b => vec![(0.0, 1.0, a)],
        [Under::Both, other] | [other, Under::Both] => vec![(0.0, 1.0, other)],
        [a, b] => {
            let crossing = over[0] / (over[0] - over[1]);
            vec![(0.0, crossing, a), (crossing, 1.0, b)]
        }
    }
}

/// How the two faces at a wall were told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum By {
    /// One falls to the wall or along it, and the other one rises to it or is level; or one is level and walled all round.
    Falls,
    /// Neither rises to the wall: the one that falls to it was taken to drip over it, where it could as well run into it.
    LikelyFalls,
    /// The heights that edges tie them to.
    Heights,
    /// Heights that nothing in the drawing ties: the roofs' eaves were taken to be level with each other.
    LevelEaves,
}

/// A line of a wall with a face on each side.
#[derive(Clone, Debug)]
pub(super) struct WallLine {
    pub(super) faces: [FaceId; 2],
    pub(super) under: Vec<Under>,
    pub(super) by: By,
    /// Whether edges tie the two faces to each other.
    pub(super) tied: bool,
    /// The classes that the faces' edges got there.
    pub(super) classes: [Vec<EdgeClass>; 2],
    /// The middle, in plan feet.
    pub(super) at: Point,
}

/// Tells which heights beside walls are not in the drawing, and what was taken in their place.
pub(super) fn told(roof: &Roof, lines: &[WallLine], new_id: &[Option<FaceId>]) -> Vec<Finding> {
    let name = |face: FaceId| {
        let id = new_id.get(face.0).copied().flatten().unwrap_or(face);
        roof.faces.get(id.0).map_or("", |f| f.name.as_str())
    };
    let guesses = [
        (By::LevelEaves, "with level eaves"),
        (
            By::LikelyFalls,
            "where the one that falls to the wall drips over it",
        ),
    ];
    let is_guessed = |l: &&WallLine| guesses.iter().any(|(by, _)| l.by == *by);
    let guessed: Vec<&WallLine> = lines.iter().filter(is_guessed).collect();
    let hung: Vec<&WallLine> = lines
        .iter()
        .filter(|l| l.by == By::Falls && !l.tied)
        .collect();
    let mut findings = Vec::new();
    if !guessed.is_empty() {
        let said = |(by, taken): (By, &str)| {
            let mut all: Vec<String> = (guessed.iter())
                .filter(|line| line.by == by)
                .map(|line| line.words(&name))
                .collect();
            all.sort();
            all.dedup();
            (!all.is_empty()).then(|| format!("{taken} {}", all.join("; ")))
        };
        let said: Vec<String> = guesses.into_iter().filter_map(said).collect();
        let message = format!(
            "the lines do not say which roof is the taller one at a wall drawn between two of them; {}",
            said.join("; ")
        );
        // Alike, and walled off from each other: nothing depends on which is the taller one.
        let alike = guessed.iter().all(|line| line.under == [Under::Both]);
        let finding = match alike {
            true => Finding::note("wall-heights", message),
            false => Finding::warning("wall-heights", message),
        };
        findings.push(placed(finding, &guessed).remedy(
            "Draw the taller roof on a layer of its own (`upper`, `level 2`, ...) where it is another one: that settles it.",
        ));
    }
    if !hung.is_empty() {
        let mut pairs: Vec<String> = hung
            .iter()
            .map(|line| {
                let [left, right] = line.faces.map(name);
                match line.under.first() {
                    Some(Under::Left) => format!("{left} is shown a little way below {right}"),
                    _ => format!("{right} is shown a little way below {left}"),
                }
            })
            .collect();
        pairs.sort();
        pairs.dedup();
        let pairs: Vec<&str> = pairs.iter().map(String::as_str).collect();
        let message = format!(
            "how high the roofs on the two sides of a wall stand is not drawn: {}. Areas and lengths do not depend on it",
            number::listed(&pairs, "and")
        );
        findings.push(placed(Finding::note("wall-height", message), &hung));
    }
    findings
}

fn placed(finding: Finding, lines: &[&WallLine]) -> Finding {
    lines
        .iter()
        .fold(finding, |finding, line| finding.place(Place::at(line.at)))
}

impl WallLine {
    /// `S1 ends over it (rake) and S2 against it (sidewall)`.
    fn words<'n>(&self, name: &impl Fn(FaceId) -> &'n str) -> String {
        let [left, right] = self.faces.map(name);
        let class = |of: usize| {
            let words: Vec<&str> = self.classes[of].iter().map(|c| c.words()).collect();
            number::listed(&words, "and")
        };
        match self.under[..] {
            [Under::Both] => format!(
                "{left} and {right} are equally high there and both end against it ({}, {})",
                class(0),
                class(1)
            ),
            [Under::Left] => format!(
                "{right} ends over it ({}) and {left} against it ({})",
                class(1),
                class(0)
            ),
            [Under::Right] => format!(
                "{left} ends over it ({}) and {right} against it ({})",
                class(0),
                class(1)
            ),
            _ => format!(
                "{left} ({}) and {right} ({}) cross in height there",
                class(0),
                class(1)
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Under, under};

    #[test]
    fn the_lower_face_ends_against_a_wall_and_where_heights_cross_each_does_for_its_part() {
        // By hand: the left face falls from 8 ft to 0, the right one lies at 2 ft: they cross after 6 of 8 ft.
        assert_eq!(
            under([8.0, 0.0], [2.0, 2.0]),
            [(0.0, 0.75, Under::Right), (0.75, 1.0, Under::Left)]
        );
        assert_eq!(under([8.0, 3.0], [2.0, 2.0]), [(0.0, 1.0, Under::Right)]);
        assert_eq!(under([0.0, 5.0], [4.0, 9.0]), [(0.0, 1.0, Under::Left)]);
        // They meet at one end: the taller one is the taller one all along.
        assert_eq!(under([8.0, 2.0], [2.0, 2.0]), [(0.0, 1.0, Under::Right)]);
        assert_eq!(under([3.0, 1.0], [3.01, 1.0]), [(0.0, 1.0, Under::Both)]);
    }
}
