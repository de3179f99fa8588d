//! Takes off a shingle roof from a traced plan.
//!
//! One road, never walked backwards: [`drawing`] → [`roof`] → [`courses`] → [`materials`] → [`report`].
//! Each stage is built from the product of the one before it, and returns either its product (with what it
//! noticed, as [`Finding`]s) or every reason why there is none.
//!
//! Conventions that hold everywhere:
//! - plan coordinates are **feet**, x right, y **up** (north unless the job says otherwise), in the drawing's
//!   root user space times the scale; z is feet above the lowest eave;
//! - rings are counter-clockwise, holes clockwise, the face on the left;
//! - a gradient points **uphill**, its size is rise over run; a fall is its opposite;
//! - the course layout works in **inches** on the true (unfolded) face;
//! - nothing is rounded before [`report`] prints it.

pub mod courses;
pub mod drawing;
pub mod finding;
pub mod fonts;
pub mod geometry;
pub mod job;
pub mod materials;
pub mod place;
pub mod report;
pub mod roof;
pub mod units;

pub use finding::{Finding, Severity};
pub use place::{Place, Source};
