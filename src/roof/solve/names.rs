//! Face names: the compass direction that a face falls to and a number from the largest.

use crate::geometry::Vector;
use crate::roof::{Face, FaceId, Roof, compass_point};

/// The eight directions, clockwise from north, then level faces.
const DIRECTIONS: [&str; 9] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW", "FL"];

/// Areas nearer than this part are equal: the numbers then follow the place.
const EQUAL_AREA: f64 = 1e-6;
/// Equal faces nearer than this in x stand one above the other (feet; an eighth of an inch): their places are found to less.
const ONE_ABOVE_OTHER_FT: f64 = 0.01;

/// What a face's name depends on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Named {
    /// Downhill in plan; `None` for a level face.
    pub(super) fall: Option<Vector>,
    pub(super) true_area: f64,
    /// A place of the face in plan.
    pub(super) at: (f64, f64),
}

/// The order in which the faces are listed, and their names in that order. `up_bearing_deg` is the compass bearing of
/// the plan's upward direction.
pub(super) fn names(faces: &[Named], up_bearing_deg: f64) -> Vec<(usize, String)> {
    let mut order: Vec<usize> = (0..faces.len()).collect();
    let sector: Vec<usize> = faces
        .iter()
        .map(|f| {
            f.fall
                .map_or(8, |fall| compass_point(fall.bearing_deg() + up_bearing_deg))
        })
        .collect();
    order.sort_by(|&a, &b| {
        sector[a]
            .cmp(&sector[b])
            .then(faces[b].true_area.total_cmp(&faces[a].true_area))
            .then(a.cmp(&b))
    });
    settle_equals(&mut order, faces, &sector);
    let mut count = [0_usize; 9];
    order
        .into_iter()
        .map(|face| {
            let direction = sector[face];
            count[direction] += 1;
            (
                face,
                format!("{}{}", DIRECTIONS[direction], count[direction]),
            )
        })
        .collect()
}

/// Puts the faces into the order of their names and names them; every index of a face follows. Faces of which openings
/// left nothing are dropped. The new index of each face is returned.
pub(super) fn number(roof: &mut Roof, up_bearing_deg: f64) -> Vec<Option<FaceId>> {
    let faces = std::mem::take(&mut roof.faces);
    let left: Vec<usize> = (0..faces.len())
        .filter(|&f| !faces[f].outline.corners.is_empty())
        .collect();
    let named: Vec<Named> = left.iter().map(|&f| named(&faces[f])).collect();
    let mut new_id: Vec<Option<FaceId>> = vec![None; faces.len()];
    let mut slots: Vec<Option<Face>> = faces.into_iter().map(Some).collect();
    for (at, name) in names(&named, up_bearing_deg) {
        let old = left[at];
        if let Some(mut face) = slots[old].take() {
            new_id[old] = Some(FaceId(roof.faces.len()));
            face.name = name;
            roof.faces.push(face);
        }
    }
    let renamed = |id: FaceId| new_id.get(id.0).copied().flatten();
    for edge in &mut roof.edges {
        edge.faces = edge.faces.iter().filter_map(|&id| renamed(id)).collect();
    }
    for opening in &mut roof.openings {
        opening.faces = opening.faces.iter().filter_map(|&id| renamed(id)).collect();
        opening.flashing.retain_mut(|stretch| {
            let face = renamed(stretch.face);
            stretch.face = face.unwrap_or(stretch.face);
            face.is_some()
        });
    }
    for pipe in &mut roof.penetrations {
        pipe.face = renamed(pipe.face).unwrap_or(pipe.face);
    }
    new_id
}

fn named(face: &Face) -> Named {
    Named {
        fall: face.fall(),
        true_area: face.true_area.to_square_feet(),
        at: (face.label_at.x, face.label_at.y),
    }
}

/// Faces of one sector and equal area are numbered from west to east, then from south to north.
fn settle_equals(order: &mut [usize], faces: &[Named], sector: &[usize]) {
    for equal in order.chunk_by_mut(|&a, &b| {
        sector[a] == sector[b] && faces[b].true_area >= faces[a].true_area * (1.0 - EQUAL_AREA)
    }) {
        let x = |face: usize| faces[face].at.0;
        let y = |face: usize| faces[face].at.1;
        equal.sort_by(|&a, &b| x(a).total_cmp(&x(b)));
        for column in equal.chunk_by_mut(|&a, &b| x(b) - x(a) <= ONE_ABOVE_OTHER_FT) {
            column.sort_by(|&a, &b| y(a).total_cmp(&y(b)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_start_at_the_largest_and_equals_go_from_west_to_east() {
        let face = |bearing: Option<f64>, true_area, x| Named {
            fall: bearing.map(Vector::from_bearing_deg),
            true_area,
            at: (x, 0.0),
        };
        let faces = [
            face(Some(180.0), 10.0, 5.0),
            face(Some(170.0), 10.0, 1.0),
            face(Some(190.0), 30.0, 9.0),
            face(None, 5.0, 0.0),
            face(Some(337.6), 5.0, 0.0),
            face(Some(337.4), 5.0, 0.0),
        ];
        let listed: Vec<(usize, String)> = names(&faces, 0.0);
        let text: Vec<String> = listed.iter().map(|(f, n)| format!("{f}{n}")).collect();
        assert_eq!(text, ["4N1", "2S1", "1S2", "0S3", "5NW1", "3FL1"]);
        // East is up: what falls down the sheet falls west.
        assert_eq!(names(&faces[..1], 90.0)[0].1, "W1");
    }

    #[test]
    fn equal_faces_one_above_the_other_are_numbered_from_south_to_north_whatever_their_last_bits_are()
     {
        let order = |noise: f64| {
            let face = |x: f64, y: f64| Named {
                fall: Some(Vector::from_bearing_deg(180.0)),
                true_area: 10.0,
                at: (x, y),
            };
            // Half a thousandth of a foot lies on the border of two thousandths.
            let faces = [face(3.0005 + noise, 9.0), face(3.0005, 1.0), face(2.0, 5.0)];
            let listed: Vec<usize> = names(&faces, 0.0).into_iter().map(|n| n.0).collect();
            listed
        };
        assert_eq!(order(-1e-9), [2, 1, 0]);
        assert_eq!(order(1e-9), [2, 1, 0]);
    }
}
