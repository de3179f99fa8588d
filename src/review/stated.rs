//! Areas that the drawing states, each with what it is of.

use super::cause::FaceSet;
use super::not_compared;
use super::settings::ReviewSettings;
use super::tables::{Tables, View};
use super::totals;
use super::whose::{self, Standing};
use super::words::{self, Tongue};
use crate::drawing::text::{AreaText, heads_a_part, is_of_roofs, may_be_of_a_face, parse_area};
use crate::drawing::{BareFigure, Drawing, Label, Says};
use crate::geometry::{Point, ring};
use crate::roof::{Face, FaceId, Roof};
use crate::{Finding, Place};

/// What a stated figure is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// One face.
    Face(FaceId),
    /// All faces of a part of the building that stands apart or over the rest.
    Part(FaceSet),
    /// The whole roof.
    Roof,
}

/// On which surface a statement says that it was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SurfaceSaid {
    /// On the slope, or nothing is said: a roof area is the area to be covered.
    True,
    /// In plan, in so many words.
    Plan,
}

/// An area that somebody stated.
#[derive(Clone, Debug)]
pub(super) struct Stated {
    pub(super) subject: Subject,
    pub(super) surface: SurfaceSaid,
    pub(super) sqft: f64,
    /// Half a unit of the last digit written.
    pub(super) half_step_sqft: f64,
    /// As written.
    pub(super) text: String,
    /// Where in the drawing; `None` for a list.
    pub(super) place: Option<Place>,
    /// The line of the list.
    pub(super) line: Option<u64>,
}

/// A text beside a face stands no further from it than this many times its own height.
const BESIDE: f64 = 3.0;

/// The drawing's statements. One that stands at no face and does not say that it is of the roof is told, not guessed.
pub(super) fn in_drawing(
    drawing: &Drawing,
    roof: &Roof,
    settings: &ReviewSettings,
    findings: &mut Vec<Finding>,
) -> Vec<Stated> {
    let tables = Tables::of(drawing);
    let mut all = Vec::new();
    let areas = drawing.labels.iter();
    for label in areas.filter(|l| matches!(l.says, Says::StatedArea { .. })) {
        match of_label(label, &tables, roof, settings) {
            Ok(stated) => all.push(stated),
            Err(told) => findings.push(*told),
        }
    }
    // A number alone says something only where words stand at it.
    if !drawing.area_heads.is_empty() {
        for figure in &drawing.bare_figures {
            match of_figure(figure, &tables, roof, settings) {
                Some(Ok(stated)) => all.push(stated),
                Some(Err(told)) => findings.push(*told),
                None => {}
            }
        }
    }
    findings.extend(drawing.unread_areas.iter().map(not_compared::unread));
    // On no level in particular: the highest face there.
    let in_faces = drawing
        .area_texts
        .iter()
        .filter(|text| roof.face_at(u32::MAX, text.at).is_some());
    findings.extend(in_faces.map(not_compared::unread));
    all
}

type Read = Result<Stated, Box<Finding>>;

/// # Errors
/// Why it is not compared.
fn of_label(label: &Label, tables: &Tables<'_>, roof: &Roof, settings: &ReviewSettings) -> Read {
    let place = Place::on(&label.source, label.at);
    let mut text = label.text.clone();
    let Some(own) = parse_area(&text) else {
        return Err(Box::new(not_compared::nobodys(&text, None, place)));
    };
    let view = View::of(label.baseline, label.height_ft);
    let mut views = Vec::new();
    let mut read = own;
    let over = over(label, roof);
    let of_face = |read: &AreaText| {
        let mut faces = over.iter().copied();
        faces.find(|face| agrees(read, roof, &[*face], settings))
    };
    let is_in_a_face = !over.is_empty();
    // Words beside it say more than a face that it only stands near.
    if !own.whole_roof
        && over.is_empty()
        && let Some((joined, head)) = view.as_ref().and_then(|v| tables.of_area(v, &text))
    {
        views.extend(View::of(head.baseline, label.height_ft));
        read = parse_area(&joined).unwrap_or(own);
        text = joined;
    }
    // In a face they say whether it is the face's at all.
    if let Some(face) = over.first().filter(|_| !own.whole_roof)
        && let Some(words) = view.as_ref().and_then(|view| tables.words_over(view))
    {
        let faces_own = of_face(&own).is_some();
        (read, text) = match under(&own, &text, words, roof, settings) {
            Under::Read(read, joined) if !(read.whole_roof && faces_own) => (read, joined),
            Under::Another if !faces_own => {
                let face = named(&own, roof, *face, settings);
                let told = not_compared::of_what_lies_beneath(&text, words, &face, place);
                return Err(Box::new(told));
            }
            _ => (own, text),
        };
    }
    // A figure alone has its surface from the head of its column.
    let is_figure = label
        .text
        .trim_start()
        .starts_with(|c: char| c.is_ascii_digit());
    read.plan |= is_figure && view.as_ref().is_some_and(|view| tables.is_in_plan(view));
    views.extend(view);
    // Under the head of a table of roofs a row's part is its roof.
    if read.of_building_part && !read.of_roof && !is_in_a_face && tables.are_of_roofs(&views) {
        let plan = read.plan;
        read = parse_area(&format!("roof {text}")).unwrap_or(read);
        read.plan |= plan;
    }
    if read.whole_roof {
        // Written into slope after slope it is each slope's. Alone it may be one slope that was counted for the roof.
        let is_slopes = tables.of_whole_roofs > 1
            && !read.total
            && !agrees(&read, roof, &all_faces(roof), settings);
        return match of_face(&read).filter(|_| is_slopes) {
            Some(face) => Ok(stated(
                read,
                text,
                Subject::Face(face),
                roof,
                place,
                settings,
            )),
            None => of_roof(read, text, &views, tables, roof, place, settings),
        };
    }
    let face = of_face(&read).or_else(|| over.first().copied());
    let standing = Standing {
        face: face.or_else(|| nearest(roof, label)),
        within: is_in_a_face,
    };
    match of_some(&read, &standing, roof, settings) {
        Some(subject) => Ok(stated(read, text, subject, roof, place, settings)),
        None => Err(Box::new(match standing.face {
            None => not_compared::nobodys(&text, read.part, place),
            Some(face) => {
                let face = named(&read, roof, face, settings);
                match whose::is_of_a_roof(&read) {
                    true => not_compared::of_part(&text, read.part, &face, place),
                    false => not_compared::of_a_room(&text, read.part, &face, place),
                }
            }
        })),
    }
}

/// What an area is of that is not the whole roof's: the face in or beside which it stands, or a part that its words name.
fn of_some(
    read: &AreaText,
    standing: &Standing,
    roof: &Roof,
    settings: &ReviewSettings,
) -> Option<Subject> {
    let face = standing.face.map(Subject::Face);
    let says_flat = read.part == Some("flat");
    let fits = |face: FaceId| agrees(read, roof, &[face], settings);
    if !(read.of_building_part || says_flat) || standing.face.is_some_and(fits) {
        return face;
    }
    whose::of_part(read, standing, roof, settings).or_else(|| {
        // Of several flat faces it is in one.
        let is_flat = standing.face.is_some_and(|f| roof.face(f).is_flat());
        face.filter(|_| says_flat && is_flat)
    })
}

/// What words over an area in a face make of it.
enum Under {
    /// They and it are one text that can be read.
    Read(AreaText, String),
    /// They leave it the face's.
    Face,
    /// They name something else, such as a room.
    Another,
}

fn under(own: &AreaText, text: &str, words: &str, roof: &Roof, settings: &ReviewSettings) -> Under {
    let joined = format!("{words} {text}");
    match parse_area(&joined).filter(|a| a.square_feet == own.square_feet) {
        // `WC 40 SF` could be read as of a face with a mark of two letters.
        _ if !may_be_of_a_face(words) => Under::Another,
        // `ROOF` over the area of a slope is as good as nothing; over that of the roof it says so.
        Some(read)
            if read.whole_roof
                && whose::of_share(&read, roof, settings) == Some(Subject::Roof)
                && !agrees(&read, roof, &all_faces(roof), settings) =>
        {
            Under::Face
        }
        Some(read) => Under::Read(read, joined),
        None => Under::Face,
    }
}

/// A number without a unit at the head of an area; `None` where it stands at none.
fn of_figure(
    figure: &BareFigure,
    tables: &Tables<'_>,
    roof: &Roof,
    settings: &ReviewSettings,
) -> Option<Read> {
    let view = View::of(figure.baseline, figure.height_ft)?;
    let head = tables.of_figure(&view)?;
    let place = Place::on(&figure.source, figure.at);
    let mut text = format!("{} {}", head.text, figure.text);
    if parse_area(&text).is_none()
        && let Some(unit) = tables.unit(&view)
    {
        text = format!("{text} {unit}");
    }
    let Some(mut read) = parse_area(&text).filter(|a| a.whole_roof || a.part.is_some()) else {
        // `TOTAL 12` counts anything, and a number beside the name of a part in a plan is its dimension.
        let told = not_compared::without_unit(&figure.text, &head.text, place);
        let is_told = is_of_roofs(&head.text) && !heads_a_part(&head.text);
        return is_told.then(|| Err(Box::new(told)));
    };
    read.plan |= tables.is_in_plan(&view);
    if !read.whole_roof {
        let nowhere = Standing {
            face: None,
            within: false,
        };
        let Some(subject) = whose::of_part(&read, &nowhere, roof, settings) else {
            let told = not_compared::nobodys(&text, read.part, place);
            return Some(Err(Box::new(told)));
        };
        return Some(Ok(stated(read, text, subject, roof, place, settings)));
    }
    let mut views: Vec<View> = View::of(head.baseline, figure.height_ft)
        .into_iter()
        .collect();
    views.push(view);
    let topics = tables.topics(&views);
    let is_of_roof = topics.first().is_some_and(|topic| topic.of_roof);
    if read.bare_total && !is_of_roof {
        // The unit comes from a column, and `TOTAL` says nothing: only the figure may say that it is the roof's.
        if !agrees(&read, roof, &all_faces(roof), settings) {
            return Some(Err(Box::new(not_compared::nobodys(&text, None, place))));
        }
    }
    Some(of_roof(read, text, &views, tables, roof, place, settings))
}

/// An area of the whole roof or a share of it, but where the table in which it is a mere total is of other areas.
fn of_roof(
    read: AreaText,
    text: String,
    views: &[View],
    tables: &Tables<'_>,
    roof: &Roof,
    place: Place,
    settings: &ReviewSettings,
) -> Read {
    let is_roofs = |area: &AreaText| agrees(area, roof, &all_faces(roof), settings);
    if read.bare_total
        && let Some(told) = totals::of_another(&read, &text, views, tables, is_roofs, &place)
    {
        return Err(Box::new(told));
    }
    let Some(subject) = whose::of_share(&read, roof, settings) else {
        return Err(Box::new(not_compared::of_share(&text, place)));
    };
    Ok(stated(read, text, subject, roof, place, settings))
}

fn stated(
    read: AreaText,
    text: String,
    subject: Subject,
    roof: &Roof,
    place: Place,
    settings: &ReviewSettings,
) -> Stated {
    Stated {
        subject,
        surface: surface(&read, roof, &subject.faces(roof), settings),
        sqft: read.square_feet,
        half_step_sqft: read.half_step_sqft,
        text,
        place: Some(place),
        line: None,
    }
}

impl Subject {
    /// Its faces, in the roof's order.
    pub(super) fn faces(self, roof: &Roof) -> Vec<FaceId> {
        match self {
            Self::Face(face) => vec![face],
            Self::Part(faces) => faces.faces().collect(),
            Self::Roof => all_faces(roof),
        }
    }
}

/// The surface that an area is said to be on. Under the title of a roof plan either may be meant: plan where it is that of the
/// faces in plan and not on the slope.
fn surface(
    read: &AreaText,
    roof: &Roof,
    faces: &[FaceId],
    settings: &ReviewSettings,
) -> SurfaceSaid {
    let is = |surface| meets(read, computed(roof, faces, surface), settings);
    let by_title = read.titled && is(SurfaceSaid::Plan) && !is(SurfaceSaid::True);
    if read.plan || by_title {
        SurfaceSaid::Plan
    } else {
        SurfaceSaid::True
    }
}

pub(super) fn all_faces(roof: &Roof) -> Vec<FaceId> {
    (0..roof.faces.len()).map(FaceId).collect()
}

/// A face by its name, with its area on the surface that a statement says.
fn named(read: &AreaText, roof: &Roof, face: FaceId, settings: &ReviewSettings) -> String {
    let name = words::subject(roof, Subject::Face(face));
    let sqft = computed(roof, &[face], surface(read, roof, &[face], settings));
    format!("{name} ({})", Tongue::of(settings).area(sqft))
}

pub(super) fn computed(roof: &Roof, faces: &[FaceId], surface: SurfaceSaid) -> f64 {
    let of = |face: &Face| match surface {
        SurfaceSaid::True => face.true_area.to_square_feet(),
        SurfaceSaid::Plan => face.plan_area.to_square_feet(),
    };
    faces.iter().map(|&id| of(roof.face(id))).sum()
}

pub(super) fn meets(read: &AreaText, sqft: f64, settings: &ReviewSettings) -> bool {
    let off = (read.square_feet - sqft).abs();
    off <= (settings.tolerance * sqft).max(read.half_step_sqft)
}

/// Whether an area is that of some faces, on the slope or in plan.
fn agrees(read: &AreaText, roof: &Roof, faces: &[FaceId], settings: &ReviewSettings) -> bool {
    let surfaces = whose::surfaces(read).iter();
    let mut all = surfaces.map(|&s| computed(roof, faces, s));
    all.any(|sqft| meets(read, sqft, settings))
}

/// The faces that a text stands in, or points at: the highest first, those of its own level before them where its layer says one.
/// Notes over a dormer are mostly the dormer's, and on no level.
fn over(label: &Label, roof: &Roof) -> Vec<FaceId> {
    let mut at: Vec<Point> = label.points_at.into_iter().collect();
    at.push(label.at);
    at.extend(label.baseline);
    let own = |level: u32| label.level > 0 && level == label.level;
    let covering = |p: Point| {
        let all = roof.faces.iter().enumerate();
        let mut all: Vec<(bool, u32, FaceId)> = all
            .filter(|(_, face)| face.covers(p))
            .map(|(i, face)| (own(face.level), face.level, FaceId(i)))
            .collect();
        all.sort_by_key(|(own, level, _)| std::cmp::Reverse((*own, *level)));
        all.into_iter().map(|(.., face)| face).collect::<Vec<_>>()
    };
    let mut all = at.into_iter().map(covering);
    all.find(|faces| !faces.is_empty()).unwrap_or_default()
}

fn nearest(roof: &Roof, label: &Label) -> Option<FaceId> {
    let reach = BESIDE * label.height_ft;
    let away = |face: &Face| {
        let corners = face.outline.plan();
        ring::sides(&corners)
            .map(|(a, b)| label.at.distance_to_segment(a, b))
            .fold(f64::INFINITY, f64::min)
    };
    let all = roof.faces.iter().enumerate().map(|(i, f)| (away(f), i));
    all.filter(|(d, _)| *d <= reach)
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
        .map(|(_, i)| FaceId(i))
}
