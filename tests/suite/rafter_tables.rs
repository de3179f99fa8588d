//! Slope and hip factors against the rafter tables stamped on framing squares, to the hundredth of an inch per foot of
//! run that they are stamped to.
//!
//! Sources: the whole table is the exact formula, rounded as stamped; cells read in publications are the common rafter
//! at 7 in rise (13.89, Navy training manual 14044, fig. 2-17), 13 and 16 in (17.69 and 20.00, Army subcourse EN0069,
//! fig. 2-16), 6 and 12 in (13.42 and 16.97, Griffith, Carpentry, 1916), and the hip at 8 in (18.76, Navy 14044), 9 in (19.21,
//! Navy 14044), 12 in (20.78, Griffith). One field guide prints 1.524 as the hip factor at 7 in 12: a misprint for 1.530.

use eavewright::geometry::Point3;
use eavewright::units::Pitch;

/// Rise in 12, common rafter and hip or valley, in inches per foot of common run.
const STAMPED: [(f64, f64, f64); 24] = [
    (1.0, 12.04, 17.00),
    (2.0, 12.17, 17.09),
    (3.0, 12.37, 17.23),
    (4.0, 12.65, 17.44),
    (5.0, 13.00, 17.69),
    (6.0, 13.42, 18.00),
    (7.0, 13.89, 18.36),
    (8.0, 14.42, 18.76),
    (9.0, 15.00, 19.21),
    (10.0, 15.62, 19.70),
    (11.0, 16.28, 20.22),
    (12.0, 16.97, 20.78),
    (13.0, 17.69, 21.38),
    (14.0, 18.44, 22.00),
    (15.0, 19.21, 22.65),
    (16.0, 20.00, 23.32),
    (17.0, 20.81, 24.02),
    (18.0, 21.63, 24.74),
    (19.0, 22.47, 25.48),
    (20.0, 23.32, 26.23),
    (21.0, 24.19, 27.00),
    (22.0, 25.06, 27.78),
    (23.0, 25.94, 28.58),
    (24.0, 26.83, 29.39),
];

/// Half a unit of the last digit stamped, in inches per foot of run.
const STAMP: f64 = 0.005 + 1e-9;

/// A hip or valley between equal pitches over a square corner, in inches: over so much common run it runs as far to both
/// sides in plan.
fn hip(rise_in_12: f64, run_in: f64) -> f64 {
    let rise = rise_in_12 / 12.0 * run_in;
    Point3::default().distance(Point3::new(run_in, run_in, rise))
}

/// A common rafter over a run, both in inches.
fn common_rafter(rise_in_12: f64, run_in: f64) -> f64 {
    run_in * Pitch::in_12(rise_in_12).slope_factor()
}

#[test]
fn common_and_hip_rafters_agree_with_the_framing_square_from_1_to_24_in_12() {
    for (rise, common, stamped) in STAMPED {
        let got = common_rafter(rise, 12.0);
        assert!((got - common).abs() <= STAMP, "common at {rise}: {got}");
        let got = hip(rise, 12.0);
        assert!((got - stamped).abs() <= STAMP, "hip at {rise}: {got}");
    }
}

#[test]
fn worked_examples_of_the_manuals_come_out() {
    // Navy 14044: 7 in rise, 16 ft span: 8 ft run, 9 ft 3 1/8 in to the sixteenth.
    let rafter = common_rafter(7.0, 96.0);
    assert!(
        (rafter - (9.0 * 12.0 + 3.125)).abs() <= 1.0 / 16.0,
        "{rafter}"
    );
    // Navy 14044: hip at 8 in rise over 15 ft of common run, 23.45 ft.
    let of_hip = hip(8.0, 180.0) / 12.0;
    assert!((of_hip - 23.45).abs() <= 0.005, "{of_hip}");
    // Navy 14044: valley at 9 in rise over 15 ft of common run, 24.01 ft.
    let valley = hip(9.0, 180.0) / 12.0;
    assert!((valley - 24.01).abs() <= 0.005, "{valley}");
    // Griffith 1916: 6 in 12 over a 25 ft span, 12.5 × 13.42 = 167.75 in; the stamped value carries 0.005 × 12.5.
    let rafter = common_rafter(6.0, 150.0);
    assert!((rafter - 167.75).abs() <= 0.0625, "{rafter}");
    // Army EN0069: 13 in rise, building 20 ft 8 in wide: 17.69 × 10 1/3 = 182.79 in; the stamp carries 0.005 × 10 1/3.
    let rafter = common_rafter(13.0, 124.0);
    assert!((rafter - 182.79).abs() <= 0.055, "{rafter}");
}
