//! Lines of (height, place along the eave), as the ends of runs are told.

/// The place at a height; where two points share it, the one that `choose` picks. Level beyond the ends.
pub(super) fn at(profile: &[(f64, f64)], h: f64, choose: fn(f64, f64) -> f64) -> f64 {
    let mut found: Option<f64> = None;
    let mut put = |s: f64| found = Some(found.map_or(s, |f| choose(f, s)));
    for pair in profile.windows(2) {
        let ((h0, s0), (h1, s1)) = (pair[0], pair[1]);
        if h < h0 || h > h1 {
            continue;
        }
        if h1 - h0 <= 0.0 {
            put(s0);
            put(s1);
        } else {
            put(s0 + (s1 - s0) * (h - h0) / (h1 - h0));
        }
    }
    match (found, profile.first(), profile.last()) {
        (Some(s), _, _) => s,
        (None, Some(&(h0, s0)), _) if h < h0 => s0,
        (None, _, Some(&(_, s1))) => s1,
        _ => 0.0,
    }
}
