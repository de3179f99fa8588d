//! Points and vectors in the plane, and points in space. y points up.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// A place in the plane.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

/// A displacement in the plane.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Vector {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

/// A place in space, z up.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point3 {
    /// To the right.
    pub x: f64,
    /// Up in plan.
    pub y: f64,
    /// Height.
    pub z: f64,
}

impl Point {
    /// From its coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// The distance to another point.
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }
    /// Half-way to another point.
    pub fn midpoint(self, other: Self) -> Self {
        self.lerp(other, 0.5)
    }
    /// `self` at t = 0, `other` at t = 1.
    pub fn lerp(self, other: Self, t: f64) -> Self {
        Self::new(
            self.x + (other.x - self.x) * t,
            self.y + (other.y - self.y) * t,
        )
    }

    /// The nearest point of the straight line between two points; either of them where they are one.
    pub fn nearest_on_segment(self, a: Self, b: Self) -> Self {
        let run = b - a;
        let square = run.dot(run);
        if square > 0.0 {
            a.lerp(b, ((self - a).dot(run) / square).clamp(0.0, 1.0))
        } else {
            a
        }
    }

    /// The distance from the straight line between two points.
    pub fn distance_to_segment(self, a: Self, b: Self) -> f64 {
        self.distance(self.nearest_on_segment(a, b))
    }
    /// The same place at a height.
    pub const fn at_height(self, z: f64) -> Point3 {
        Point3 {
            x: self.x,
            y: self.y,
            z,
        }
    }
    /// Whether both coordinates are finite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Vector {
    /// From its components.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// The length.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }
    /// Whether it is the zero vector; needs no square root.
    pub fn is_zero(self) -> bool {
        self.x == 0.0 && self.y == 0.0
    }
    /// The scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }
    /// The z of the cross product: positive when `other` is to the left of `self`.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }
    /// The angle to another direction in degrees, 0 to 180; 0 where one of them is the zero vector.
    pub fn angle_to_deg(self, other: Self) -> f64 {
        // With zeros of either sign the arctangent may be 180°.
        if self.is_zero() || other.is_zero() {
            return 0.0;
        }
        self.cross(other).atan2(self.dot(other)).abs().to_degrees()
    }
    /// Turned a quarter to the left (counter-clockwise).
    pub fn turn_left(self) -> Self {
        Self::new(-self.y, self.x)
    }
    /// The same direction with length 1; `None` for the zero vector and anything not finite.
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
    }
    /// The compass bearing in degrees: 0 = up (north), 90 = right (east), in [0, 360).
    pub fn bearing_deg(self) -> f64 {
        // Beside north alone numbers are fine enough to show what is only the rounding of the other component.
        let rounding = self.x.abs() <= f64::EPSILON * self.y.abs();
        let x = if rounding { 0.0 } else { self.x };
        let deg = x.atan2(self.y).to_degrees().rem_euclid(360.0);
        // rem_euclid of a tiny negative number may round up to 360 itself.
        if deg >= 360.0 { 0.0 } else { deg }
    }
    /// The unit vector of a compass bearing.
    pub fn from_bearing_deg(deg: f64) -> Self {
        let (sin, cos) = deg.to_radians().sin_cos();
        Self::new(sin, cos)
    }
}

impl Point3 {
    /// From its coordinates.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }
    /// The place in plan.
    pub const fn plan(self) -> Point {
        Point {
            x: self.x,
            y: self.y,
        }
    }
    /// The distance in space.
    pub fn distance(self, other: Self) -> f64 {
        (other.x - self.x)
            .hypot(other.y - self.y)
            .hypot(other.z - self.z)
    }
}

impl Sub for Point {
    type Output = Vector;
    fn sub(self, other: Self) -> Vector {
        Vector::new(self.x - other.x, self.y - other.y)
    }
}
impl Add<Vector> for Point {
    type Output = Self;
    fn add(self, v: Vector) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}
impl Sub<Vector> for Point {
    type Output = Self;
    fn sub(self, v: Vector) -> Self {
        Self::new(self.x - v.x, self.y - v.y)
    }
}
impl Add for Vector {
    type Output = Self;
    fn add(self, v: Self) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}
impl AddAssign for Vector {
    fn add_assign(&mut self, v: Self) {
        *self = *self + v;
    }
}
impl Sub for Vector {
    type Output = Self;
    fn sub(self, v: Self) -> Self {
        Self::new(self.x - v.x, self.y - v.y)
    }
}
impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}
impl Neg for Vector {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

/// Whether two segments cross in their insides.
///
/// ```
/// use eavewright::geometry::{Point, segments_cross};
/// let p = Point::new;
/// assert!(segments_cross((p(0.0, 0.0), p(2.0, 2.0)), (p(2.0, 0.0), p(0.0, 2.0))));
/// // One ends on the other.
/// assert!(!segments_cross((p(0.0, 0.0), p(2.0, 2.0)), (p(1.0, 1.0), p(0.0, 2.0))));
/// ```
pub fn segments_cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let (u, v) = (b - a, d - c);
    u.cross(c - a) * u.cross(d - a) < 0.0 && v.cross(a - c) * v.cross(b - c) < 0.0
}

/// The centre and the radius of the circle through three points; `None` where they lie on one line.
pub(crate) fn circle(a: Point, b: Point, c: Point) -> Option<(Point, f64)> {
    let (u, v) = (b - a, c - a);
    let d = 2.0 * u.cross(v);
    let (uu, vv) = (u.dot(u), v.dot(v));
    let to_centre = Vector::new((v.y * uu - u.y * vv) / d, (u.x * vv - v.x * uu) / d);
    let centre = a + to_centre;
    centre.is_finite().then(|| (centre, to_centre.length()))
}
