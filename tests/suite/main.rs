//! All integration tests in one binary. Test names are sentences about roofs.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "tests may stop the run"
)]

mod command;
mod handmade;
mod support;

mod batch;
mod batch_inputs;
mod batch_limits;
mod batch_real;
mod cli;
mod courses;
mod courses_cases;
mod courses_checker;
mod courses_counts;
mod courses_laws;
mod courses_leaning;
mod courses_roofs;
mod courses_square_cut;
mod courses_suggest;
mod drawing;
mod drawing_beneath;
mod drawing_clips;
mod drawing_dimension_ends;
mod drawing_faults;
mod drawing_halves;
mod drawing_labels;
mod drawing_marked;
mod drawing_mutations;
mod drawing_property;
mod drawing_sources;
mod faults;
mod fuzz_driver;
mod fuzz_targets;
mod geometry;
mod golden_roofs;
mod hygiene;
mod job;
mod job_commands;
mod job_schema;
mod layering;
mod map;
mod map_real;
mod map_tangled;
mod materials;
mod materials_bid;
mod materials_cases;
mod materials_ice;
mod materials_laws;
mod materials_limits;
mod materials_money;
mod materials_offer;
mod materials_rules;
mod materials_slopes;
mod materials_support;
mod order;
mod outline;
mod outline_plans;
mod outline_random;
mod outline_reference;
mod outline_shapes;
mod rafter_tables;
mod report;
mod report_course_sheets;
mod report_crew;
mod report_glb;
mod report_html;
mod report_lengths;
mod report_marks;
mod report_pdf;
mod report_plan;
mod report_roofs;
mod report_sections;
mod report_sums;
mod review;
mod review_cli;
mod review_revision;
mod roof;
mod roof_bounds;
mod roof_courtyard;
mod roof_dormers;
mod roof_error;
mod roof_laws;
mod roof_masses;
mod roof_missing;
mod roof_outlines;
mod roof_plans;
mod roof_random;
mod roof_real;
mod roof_real_parts;
mod roof_real_retraced;
mod sources;
mod sources_changed;
mod watch;
