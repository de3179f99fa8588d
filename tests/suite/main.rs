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
mod golden_roofs;
mod job;
mod layering;
mod map;
mod materials;
mod materials_support;
mod outline;
mod report;
mod report_glb;
mod report_html;
mod report_roofs;
mod roof;
mod roof_plans;
mod roof_real;
