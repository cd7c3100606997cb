//! A nest has to be read in the same way in every size. Where a seam was found at a different place in one size, or not found in
//! one size, that is an error in every size; where it is only the side waist, which no slide touches, it is a warning, and an error
//! for whoever raises the waist.

use super::size::{LegPiece, Size};
use super::{How, Leg, Part, SeamRole, names};
use crate::finding::{Finding, FindingId, Severity};
use crate::words::listed;
use std::ops::Range;

/// How much the position of a corner may differ from one size to the next larger, as a share of the piece's height. Grading moves
/// no corner by a fortieth of the height; the top of a bib lies a fifth of it above the waist. Common practice, no source.
const ELSEWHERE: f64 = 0.06;

/// By how many mm the fork, and any other corner, may lie elsewhere even on short trousers: sizes that were each altered by a
/// different amount are still sizes of one nest.
const ALTERED: (f64, f64) = (60.0, 30.0);

/// Gives the index of a corner in a leg's ring.
type CornerOf = fn(&Leg) -> usize;

/// The corners of a leg, each with its word and with the seam whose length shows a reader where the corner was found.
const CORNERS: [(&str, SeamRole, CornerOf); 5] = [
    ("centre waist", SeamRole::Crotch, |_| 0),
    ("fork", SeamRole::Crotch, |leg| leg.fork),
    ("inner corner of the hem", SeamRole::Inseam, |leg| leg.hem_in),
    ("outer corner of the hem", SeamRole::Outseam, |leg| leg.hem_out),
    ("side waist", SeamRole::Outseam, |leg| leg.side),
];

/// Adds an error to every size of a nest that is read in more than one way, or a warning where that is only at the side waist.
pub(super) fn alike(sizes: &mut [Size<'_>]) {
    for part in [Part::Front, Part::Back] {
        let side = CORNERS.len() - 1;
        let elsewhere = [elsewhere(sizes, part, 0..side), elsewhere(sizes, part, side..CORNERS.len())];
        let [above, at_side] = elsewhere;
        let error = in_one_or_two(sizes).or(above).or_else(|| doubted(sizes, part));
        let severity = if error.is_some() { Severity::Error } else { Severity::Warning };
        let Some(message) = error.or(at_side) else { continue };
        for size in sizes.iter_mut() {
            let Some(LegPiece { piece, leg, .. }) = size.legs.of(part).first() else { continue };
            size.side_unsure |= severity == Severity::Warning;
            let finding = Finding::new(FindingId::SeamAmbiguous, severity, message.clone()).about(piece);
            let mut finding = finding.at(piece.drawn(leg.fork_point()));
            finding.size = Some(size.name.to_string());
            size.findings.push(finding);
        }
    }
}

/// How front and back are drawn.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    TwoPieces,
    OnePiece,
    Half,
}

impl Kind {
    fn worded(self) -> &'static str {
        match self {
            Kind::TwoPieces => "two",
            Kind::OnePiece => "one piece",
            Kind::Half => "one piece that is drawn as half",
        }
    }
}

fn kind(on: &LegPiece<'_>) -> Kind {
    match on.leg.one_piece {
        None => Kind::TwoPieces,
        Some(one) if one.other.is_some() => Kind::OnePiece,
        Some(_) => Kind::Half,
    }
}

/// The message about a nest of which some sizes are read as front and back in one piece and others as two, or of which the front is
/// at one edge of the piece in some sizes and at the other in others.
fn in_one_or_two(sizes: &[Size<'_>]) -> Option<String> {
    let found = sizes.iter().filter_map(|size| Some((size, size.legs.front.first()?)));
    // Right and left handed pieces of one name are the same piece mirrored; with the front at its other edge it would be so as well.
    let read: Vec<_> = found
        .map(|(size, on)| {
            let right = on.leg.up.cross(on.leg.out) < 0.0;
            (size, kind(on), names::without_size(&on.piece.name, size), right)
        })
        .collect();
    let (first, rest) = read.split_first()?;
    if let Some(other) = rest.iter().find(|other| other.1 != first.1) {
        let [one, two] = if first.1 > other.1 { [first, other] } else { [other, first] };
        return Some(format!(
            "front and back are read as {} in size {} and as {} in size {}: a nest is read one way. {}",
            one.1.worded(),
            one.0.name,
            two.1.worded(),
            two.0.name,
            settle(SeamRole::Crotch)
        ));
    }
    let turned =
        rest.iter().find(|other| first.1 == Kind::OnePiece && other.2 == first.2 && other.3 != first.3)?;
    Some(format!(
        "front and back are drawn in one piece, and going round it from the front is the other way in size {} than in size {}: either the          piece lies mirrored in one of them, or front and back were mistaken for each other there. Draw it alike in every size, with a          text FRONT beside the front's crotch seam and BACK beside the back's ([labels] front, back)",
        turned.0.name, first.0.name
    ))
}

/// The message about one of these corners that was found at different places, if there is one.
fn elsewhere(sizes: &[Size<'_>], part: Part, corners: Range<usize>) -> Option<String> {
    let found = sizes.iter().filter_map(|size| Some((size, size.legs.of(part).first()?)));
    let mut by_height: Vec<_> = found
        .map(|(size, on)| {
            let level = |i: usize| on.leg.ring[i].to_vec2().dot(on.leg.up);
            let levels = (0..on.leg.ring.len()).map(level);
            let (low, high) = levels.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
            let places = CORNERS.map(|(_, _, corner)| (level(corner(&on.leg)) - low) / (high - low));
            (high - low, places, size, on)
        })
        .collect();
    by_height.sort_by(|a, b| a.0.total_cmp(&b.0));
    by_height.windows(2).find_map(|two| {
        let [one, other] = [&two[0], &two[1]];
        let (k, (word, role, _)) = CORNERS.iter().enumerate().find(|(k, (word, ..))| {
            if !corners.contains(k) {
                return false;
            }
            let altered = if *word == "fork" { ALTERED.0 } else { ALTERED.1 };
            (one.1[*k] - other.1[*k]).abs() > ELSEWHERE.max(altered / one.0)
        })?;
        // The centre waist and the hem are ends of seams that are altered.
        let concerned = if corners.contains(&0) {
            ""
        } else {
            "Outseam and waist of one of the two are measured from another place than in the other; crotch seam and inseam are not \
             concerned. "
        };
        Some(format!(
            "the {word} of the {} was not found at the same place in every size: {:.0} % of the piece's height above its \
             lowest point in size {} ({role} {}) and {:.0} % in size {} ({role} {}). {concerned}{}",
            part.word(),
            100.0 * one.1[k],
            one.2.name,
            one.3.length(*role),
            100.0 * other.1[k],
            other.2.name,
            other.3.length(*role),
            settle(*role)
        ))
    })
}

/// The message about a crotch seam that is not certain in one size, where it was found by shape alone in the others.
fn doubted(sizes: &[Size<'_>], part: Part) -> Option<String> {
    let by_shape =
        |size: &&Size<'_>| size.legs.of(part).first().is_some_and(|on| on.leg.found.crotch == How::Shape);
    let known: Vec<&Size<'_>> = sizes.iter().filter(by_shape).collect();
    let same = |name: &str, of: &Size<'_>| {
        let alike = |size: &&Size<'_>| {
            names::without_size(&size.legs.of(part)[0].piece.name, size) == names::without_size(name, of)
        };
        known.iter().any(alike)
    };
    let doubts = |size: &&Size<'_>| size.doubted.iter().any(|(of, name)| *of == part && same(name, size));
    let doubted: Vec<&str> = sizes.iter().filter(doubts).map(|size| size.name.as_str()).collect();
    if doubted.is_empty() {
        return None;
    }
    let read = known
        .iter()
        .map(|size| format!("{} ({})", size.name, size.legs.of(part)[0].length(SeamRole::Crotch)));
    Some(format!(
        "the crotch seam of the {} is not certain in size {}, and the same piece was read by its shape alone in size {}: a \
         nest is read one way. {}",
        part.word(),
        listed(doubted.into_iter()),
        read.collect::<Vec<_>>().join(", "),
        settle(SeamRole::Crotch)
    ))
}

/// The advice on how to settle where a seam is.
fn settle(role: SeamRole) -> String {
    if !matches!(role, SeamRole::Crotch | SeamRole::Inseam) {
        // Hem and side are told by their corners, and no text is looked for at them.
        return "Put turn points on the corners in every size, none on the vertices of a curve, or correct the size that differs"
            .to_owned();
    }
    format!(
        "Name the {role} seam in every size by a text at it ([labels] {role}) or put it on a layer of its own ([layers] \
         {role}), or correct the size that differs"
    )
}
