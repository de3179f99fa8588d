//! Face names: the compass direction that a face falls to and a number from the largest.

use crate::geometry::Vector;

/// The eight directions, clockwise from north, then level faces.
const DIRECTIONS: [&str; 9] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW", "FL"];

/// Areas nearer than this part are equal: the numbers then follow the place.
const EQUAL_AREA: f64 = 1e-6;

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
                .map_or(8, |fall| sector(fall.bearing_deg() + up_bearing_deg))
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

/// The sector of 45° that a bearing lies in: 0 is north.
fn sector(bearing_deg: f64) -> usize {
    // A hair clockwise, so that a bearing on the very border of two sectors does not hang on the last bit.
    ((bearing_deg + 22.5 + 1e-6).rem_euclid(360.0) / 45.0) as usize % 8
}

/// Faces of one sector and equal area are numbered from west to east, then from south to north.
fn settle_equals(order: &mut [usize], faces: &[Named], sector: &[usize]) {
    let mut from = 0;
    while from < order.len() {
        let head = order[from];
        let mut to = from + 1;
        while to < order.len()
            && sector[order[to]] == sector[head]
            && faces[order[to]].true_area >= faces[head].true_area * (1.0 - EQUAL_AREA)
        {
            to += 1;
        }
        order[from..to].sort_by(|&a, &b| {
            let (a, b) = (faces[a].at, faces[b].at);
            // To a thousandth of a foot, so that two faces one above the other compare by y.
            let x = ((a.0 * 1e3).round()).total_cmp(&(b.0 * 1e3).round());
            x.then(a.1.total_cmp(&b.1))
        });
        from = to;
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
}
