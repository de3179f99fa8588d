//! What an estimator writes on a plan: lengths, pitches, scales, areas. Used for the drawing's own labels, for the job
//! file and for the command line alike.

mod area;
mod area_named;
mod area_words;
mod pitch;
mod scale;
mod sheet;
mod spoilt_pitch;
mod title;

pub use area::{AreaText, parse_area};
pub use area_named::Share;
pub use area_words::{
    column_is_in_plan, has_an_area, heads_a_part, heads_an_area, heads_areas_of_roofs,
    is_bare_figure, is_of_roofs, may_be_of_a_face, speaks_of_an_area, topic_of_areas,
    unit_of_column,
};
pub use pitch::{
    PitchText, Written, gives_two_pitches, parse_pitch, pitch_in_words, states_an_angle,
};
pub(crate) use pitch::{agree, counts_before};
pub(crate) use scale::before_scale;
pub use scale::{
    OnSheet, ScaleText, ends_in_a_scale, is_not_to_scale, parse_scale_text, scale_in_words,
    scale_of_title,
};
pub use sheet::Sheet;
pub use spoilt_pitch::{looks_like_a_pitch, nearly_a_pitch};
pub(crate) use title::of_a_roof;
pub use title::{is_of_a_view, is_of_another_drawing, names_a_state, states_of_roof_plan};

pub use crate::units::text::{LengthText, LengthUnit, normalise, parse_length};
