//! Takes off a shingle roof from a traced plan.
//!
//! One road, never walked backwards: [`drawing`] → [`roof`] → [`courses`] → [`materials`] → [`report`].
//! Each stage is built from the product of the one before it, and returns either its product (with what it
//! noticed, as [`Finding`]s) or every reason why there is none.
//!
//! ```
//! use eavewright::courses::{self, Choices, Courses, LayRules};
//! use eavewright::drawing::{Drawing, ReadOptions};
//! use eavewright::roof::map::{self, MapOptions};
//! use eavewright::roof::{EdgeClass, Roof, SolveOptions};
//!
//! let plan = include_bytes!("../examples/quillback-road.svg");
//! let drawing = Drawing::read(plan, &ReadOptions::default()).unwrap();
//! let maps = map::build(&drawing, &MapOptions::default()).unwrap();
//! let roof = Roof::solve(&maps, &SolveOptions::default()).unwrap();
//! // The main ridge is 34 ft, the wing's 24 ft.
//! assert!((roof.true_length(EdgeClass::Ridge).to_feet() - 58.0).abs() < 1e-6);
//!
//! let format = courses::formats::by_name("39x13", &[]).unwrap();
//! let courses = Courses::lay(&roof, &format, &LayRules::default(), &Choices::default()).unwrap();
//! assert!(courses.bound() <= courses.opened());
//! ```
//!
//! Conventions that hold everywhere:
//! - plan coordinates are **feet**, x right, y **up** (north unless the job says otherwise), in the drawing's
//!   root user space times the scale; z is feet above the lowest eave;
//! - rings are counter-clockwise, holes clockwise, the face on the left;
//! - a gradient points **uphill**, its size is rise over run; a fall is its opposite;
//! - the course layout works in **inches** on the true (unfolded) face;
//! - nothing is rounded before [`report`] prints it.

pub mod batch;
pub mod courses;
pub mod drawing;
pub mod finding;
pub mod fonts;
pub mod geometry;
pub mod job;
pub mod materials;
pub mod place;
pub mod report;
pub mod review;
pub mod roof;
pub mod units;

pub use finding::{Finding, Severity, gravest_first};
pub use place::{Place, Source};
