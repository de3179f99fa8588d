//! The eight points of the compass.

/// The names of the eight points, clockwise from north.
pub const COMPASS_POINTS: [&str; 8] = [
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
];

/// A bearing this near to the border of two points, in degrees, belongs to the one clockwise of it: what lies on the very
/// border must not hang on the last bits. No hand-drawn line is as exact.
const HAIR_DEG: f64 = 0.01;
/// The width of a point, in degrees.
const POINT_DEG: f64 = 45.0;

/// The point, from 0 for north, that is nearest to a bearing. Every word and name that says where a face falls to comes
/// from here.
///
/// ```
/// use eavewright::roof::{COMPASS_POINTS, compass_point};
/// assert_eq!(COMPASS_POINTS[compass_point(180.0)], "south");
/// assert_eq!(COMPASS_POINTS[compass_point(337.4)], "north-west");
/// assert_eq!(COMPASS_POINTS[compass_point(337.5)], "north");
/// ```
pub fn compass_point(bearing_deg: f64) -> usize {
    ((bearing_deg + POINT_DEG / 2.0 + HAIR_DEG).rem_euclid(360.0) / POINT_DEG) as usize % 8
}

#[cfg(test)]
mod tests {
    use super::{COMPASS_POINTS, compass_point};

    #[test]
    fn a_bearing_on_the_border_of_two_points_has_one_of_them_whatever_its_last_bits_are() {
        let point = |deg: f64| COMPASS_POINTS[compass_point(deg)];
        for off in [-1e-9, 0.0, 1e-9] {
            assert_eq!(point(22.5 + off), "north-east");
            assert_eq!(point(337.5 + off), "north");
            assert_eq!(point(-22.5 + off), "north");
        }
        assert_eq!(point(22.48), "north");
        assert_eq!(point(359.9), "north");
        assert_eq!(point(720.0 + 271.0), "west");
    }
}
