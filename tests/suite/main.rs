//! All integration tests in one binary. Test names are sentences about roofs.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "tests may stop the run"
)]

mod handmade;
mod support;

mod courses;
mod drawing;
mod job;
mod map;
mod materials;
mod outline;
mod report;
mod report_glb;
mod report_html;
mod roof;
mod roof_plans;
mod roof_real;
