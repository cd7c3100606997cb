//! The second reading: an independent reader (the `dxf` crate) reads every written block again, and what it sees is compared
//! with what was meant.
//!
//! The crate is used as a reader only, for one block at a time, and never sees the header. It has several hazards, each seen
//! in version 0.6.2: it overflows its stack on group codes nested some 15,000 deep, which unwinding cannot catch; it drops an
//! entity with a bad number and goes on; it refuses blank lines, and blanks around keywords; it sees no points of a spline
//! whose points have no Z. So each block is normalised before it is handed over, its nesting is checked first, its entities
//! are counted, and a reading that could not be done is a finding.

use crate::dxf_text::{DxfError, Pairs, Span, number};
use crate::finding::{Finding, FindingId};
use crate::output::{Kind, Meant, Numbers};
use dxf::entities::EntityType;
use kurbo::Point;
use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The deepest nesting of `102 {` and `1002 {` groups that is handed over.
const DEEPEST: usize = 100;
/// The largest number of layers that is handed over: the crate's time grows with the square of it.
const MOST_LAYERS: usize = 2000;
/// A part of a block is handed over once it has this many bytes; the blocks of ordinary patterns have fewer.
const PART: usize = 1 << 20;
/// How far, in drawing units, a number may be from what was meant: numbers are written to 1e-6, and reading rounds as well.
const WITHIN: f64 = 1.5e-6;

/// Reads the bytes of a written block again and compares its entities with points with what was meant: their layers, kinds,
/// points, bulges, and whether they are closed. `scale` is the number of millimetres in one unit of the block's numbers.
#[must_use]
pub fn block(written: &[u8], meant: &[Meant], line_end: u8, scale: f64) -> Option<Finding> {
    let what = compare(written, meant, line_end, scale).err()?;
    Some(Finding::error(
        FindingId::RereadDiffers,
        format!(
            "the second, independent reading of the altered piece {what}. Look at the piece in another program; if it \
             is right there, skip the second reading with --no-reread"
        ),
    ))
}

/// The finding for a piece that, once moved, would reach beyond the largest coordinates a drawing may have, so that nobody
/// could read it again. `scale` is the number of millimetres in one unit of its numbers.
#[must_use]
pub fn beyond(meant: &[Meant], scale: f64) -> Option<Finding> {
    let reach = number::REACH * scale.abs();
    let out = |p: &Point| p.x.abs() > reach || p.y.abs() > reach;
    meant.iter().any(|m| m.points.iter().any(out)).then(|| {
        let said = "the piece would reach further than coordinates may (1,000,000); check the export's unit and origin";
        Finding::error(FindingId::UnitDoubtful, said)
    })
}

/// What differs from what was meant, or why the comparison could not be made, worded as the rest of a sentence.
fn compare(written: &[u8], meant: &[Meant], line_end: u8, scale: f64) -> Result<(), String> {
    let (mut found, mut wrong) = (0, None);
    for part in parts(written, line_end)? {
        let text = handed_over(written, part, line_end)?;
        let seen = catch_unwind(AssertUnwindSafe(|| seen(&text)))
            .map_err(|_| "could not be done: the second reader broke off".to_owned())??;
        let of_part = meant.iter().skip(found);
        wrong = wrong.or(seen.iter().zip(of_part).find_map(|(seen, meant)| same(seen, meant, scale).err()));
        found += seen.len();
    }
    if found != meant.len() {
        return Err(format!("finds {found} entities in place of {}", meant.len()));
    }
    wrong.map_or(Ok(()), Err)
}

/// Whether an entity is as it was meant to be.
fn same(seen: &Seen, meant: &Meant, scale: f64) -> Result<(), String> {
    let kind = seen.kind;
    if kind != meant.kind || seen.points.len() != meant.points.len() {
        return Err(format!(
            "finds {kind:?} with {} points in place of {:?} with {}",
            seen.points.len(),
            meant.kind,
            meant.points.len()
        ));
    }
    let layer = meant.layer.trim();
    if plain(layer) && seen.layer.trim() != layer {
        return Err(format!("finds {kind:?} on layer {} in place of {layer}", seen.layer));
    }
    if seen.closed != meant.closed {
        let word = |closed| if closed { "closed" } else { "open" };
        return Err(format!("finds {kind:?} {} in place of {}", word(seen.closed), word(meant.closed)));
    }
    if seen.bulges != meant.bulges {
        return Err(format!(
            "finds arcs (vertex, bulge) {:?} in place of {:?} in {kind:?}",
            seen.bulges, meant.bulges
        ));
    }
    let numbers = Numbers { scale, mirrored: meant.mirrored };
    for (&(x, y), p) in seen.points.iter().zip(&meant.points) {
        let q = numbers.of(*p);
        let off = (x - q.x).abs().max((y - q.y).abs());
        if off.is_nan() || off > WITHIN {
            return Err(format!("finds ({x}, {y}) in place of ({}, {}) in {kind:?}", q.x, q.y));
        }
    }
    Ok(())
}

/// A part of a block that is handed over on its own.
#[derive(Clone, Copy)]
struct Part {
    span: Span,
    /// Whether the block begins with this part, and whether it ends with it.
    ends: [bool; 2],
    /// Whether the other reader takes the part as it stands.
    plain: bool,
}

/// Splits the block into parts of whole entities, because the other reader needs some thirty times the memory of what it
/// reads.
fn parts(bytes: &[u8], line_end: u8) -> Result<Vec<Part>, String> {
    let (mut depth, mut layers, mut plain, mut end) = (0usize, HashSet::new(), line_end == b'\n', 0);
    // The entities of a piece that stands in no BLOCK have to be put into one to be read.
    let (mut broken_off, mut framed) = (false, false);
    let mut cuts = vec![0];
    for pair in Pairs::new(bytes, Span::new(0, bytes.len()), line_end) {
        let pair = pair.map_err(|e| unread(&e))?;
        let raw = pair.value.of(bytes);
        plain &= pair.start == end && (pair.code != 0 || (raw == raw.trim_ascii() && raw != b"SPLINE"));
        end = pair.end;
        // The other reader ends a polyline at the first entity that is not a vertex.
        match (pair.code, pair.text(bytes)) {
            (0, b"VERTEX") => {}
            (0, b"SEQEND") => broken_off = false,
            (0, _) if broken_off => return Err("finds a POLYLINE without its SEQEND".to_owned()),
            (0, kind) => {
                framed |= kind == b"BLOCK";
                broken_off = kind == b"POLYLINE";
                let start = pair.start as usize;
                if kind != b"ENDBLK" && start > cuts[cuts.len() - 1] + PART {
                    cuts.push(start);
                }
            }
            (102 | 1002, [b'{', ..]) => depth += 1,
            (102 | 1002, [b'}', ..]) => depth = depth.saturating_sub(1),
            (8, layer) if layers.len() <= MOST_LAYERS => drop(layers.insert(layer)),
            _ => {}
        }
        if depth > DEEPEST {
            return Err(format!("could not be done: groups are nested more than {DEEPEST} deep"));
        }
    }
    if layers.len() > MOST_LAYERS {
        return Err(format!("could not be done: the block uses more than {MOST_LAYERS} layers"));
    }
    cuts.push(bytes.len());
    let last = cuts.len() - 2;
    let part = |(i, ends): (usize, &[usize])| Part {
        span: Span::new(ends[0], ends[1]),
        ends: [i == 0 && framed, i == last && framed],
        plain,
    };
    Ok(cuts.windows(2).enumerate().map(part).collect())
}

/// A part of a block as a drawing of its own. What our reader accepts and the other one refuses (blank lines, blanks around
/// keywords, other line ends, splines without Z) is rewritten in the plain form.
fn handed_over(bytes: &[u8], part: Part, line_end: u8) -> Result<Vec<u8>, String> {
    let mut out = Vec::with_capacity(part.span.range().len() + 64);
    out.extend_from_slice(b"0\nSECTION\n2\nBLOCKS\n");
    if !part.ends[0] {
        out.extend_from_slice(b"0\nBLOCK\n2\nREST\n");
    }
    if part.plain {
        out.extend_from_slice(part.span.of(bytes));
    } else {
        let mut spline = false;
        for pair in Pairs::new(bytes, part.span, line_end) {
            let pair = pair.map_err(|e| unread(&e))?;
            let value = if pair.code == 0 { pair.text(bytes) } else { pair.value.of(bytes) };
            if pair.code == 0 {
                spline = value == b"SPLINE";
            }
            // The Z of a spline's points is not compared. It is left out here, and a Z of 0 is put after each Y instead.
            if spline && matches!(pair.code, 30 | 31) {
                continue;
            }
            out.extend_from_slice(pair.code.to_string().as_bytes());
            out.push(b'\n');
            out.extend_from_slice(value);
            out.push(b'\n');
            match pair.code {
                20 if spline => out.extend_from_slice(b"30\n0\n"),
                21 if spline => out.extend_from_slice(b"31\n0\n"),
                _ => {}
            }
        }
    }
    if !part.ends[1] {
        out.extend_from_slice(b"0\nENDBLK\n");
    }
    out.extend_from_slice(b"0\nENDSEC\n0\nEOF\n");
    Ok(out)
}

fn unread(error: &DxfError) -> String {
    format!("could not be done ({error})")
}

/// Whether both readers give the same text for a name: the second one knows no code page, since it never sees the header, and
/// has its own escapes.
fn plain(name: &str) -> bool {
    name.bytes().all(|b| (b' '..0x7f).contains(&b) && !b"\\^%".contains(&b))
}

/// An entity with points, as the second reader sees it.
struct Seen {
    kind: Kind,
    layer: String,
    points: Vec<(f64, f64)>,
    closed: bool,
    bulges: Vec<(usize, f64)>,
}

/// The entities with points that the second reader finds, in order.
fn seen(text: &[u8]) -> Result<Vec<Seen>, String> {
    let mut cursor = text;
    let drawing = dxf::Drawing::load(&mut cursor).map_err(|e| format!("could not be done ({e})"))?;
    let mut all = Vec::new();
    for entity in drawing.blocks().flat_map(|b| &b.entities) {
        let xy = |p: &dxf::Point| (p.x, p.y);
        let (mut closed, mut bulges) = (false, Vec::new());
        let (kind, points) = match &entity.specific {
            // Meshes are not lines, and the control points of a fitted spline do not lie on it.
            EntityType::Polyline(p) if p.flags & (16 | 64) != 0 => continue,
            EntityType::Polyline(p) => {
                let vertices = || p.vertices().filter(|v| v.flags & 16 == 0);
                closed = p.flags & 1 == 1;
                bulges.extend(arcs(vertices().map(|v| v.bulge)));
                (Kind::Polyline, vertices().map(|v| xy(&v.location)).collect())
            }
            EntityType::LwPolyline(p) => {
                closed = p.flags & 1 == 1;
                bulges.extend(arcs(p.vertices.iter().map(|v| v.bulge)));
                (Kind::LwPolyline, p.vertices.iter().map(|v| (v.x, v.y)).collect())
            }
            EntityType::Line(l) => (Kind::Line, vec![xy(&l.p1), xy(&l.p2)]),
            EntityType::Arc(a) => (Kind::Arc, vec![xy(&a.center)]),
            EntityType::Ellipse(a) => (Kind::Ellipse, vec![xy(&a.center)]),
            EntityType::Spline(s) => {
                (Kind::Spline, s.control_points.iter().chain(&s.fit_points).map(xy).collect())
            }
            EntityType::ModelPoint(p) => (Kind::Point, vec![xy(&p.location)]),
            EntityType::Text(t) => (Kind::Text, vec![xy(&t.location)]),
            EntityType::Insert(i) => (Kind::Symbol, vec![xy(&i.location)]),
            EntityType::MText(t) => (Kind::Text, vec![xy(&t.insertion_point)]),
            _ => continue,
        };
        all.push(Seen { kind, layer: entity.common.layer.clone(), points, closed, bulges });
    }
    Ok(all)
}

/// The vertices at which an arc begins, with their bulges.
fn arcs(bulges: impl Iterator<Item = f64>) -> impl Iterator<Item = (usize, f64)> {
    bulges.enumerate().filter(|&(_, bulge)| bulge != 0.0)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::format_collect, reason = "tests stop at the first surprise")]
    use super::*;

    /// The text that is handed over, without the lines that open and close the section.
    fn handed(bytes: &str, line_end: u8) -> Result<String, String> {
        let bytes = bytes.as_bytes();
        let part = parts(bytes, line_end)?[0];
        let text = String::from_utf8(handed_over(bytes, part, line_end)?).unwrap();
        let inner = text.strip_prefix("0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nREST\n");
        let inner = inner.and_then(|t| t.strip_suffix("0\nENDBLK\n0\nENDSEC\n0\nEOF\n"));
        Ok(inner.unwrap().to_owned())
    }

    #[test]
    fn a_block_is_handed_over_in_the_plain_form() {
        // Where the other reader takes the text as it is, it is handed over unchanged, with the blanks around names and
        // codes.
        for plain in ["  0\nLINE\n  8\n 14 \n", "  0\r\nLINE\r\n  8\r\n14\r\n"] {
            assert_eq!(handed(plain, b'\n').unwrap(), plain);
        }
        // Blanks around a keyword, a blank line, and old line ends.
        for other in [
            "  0\n LINE\n  8\n14\n",
            "  0\nLINE \n  8\n14\n",
            "\n  0\nLINE\n  8\n14\n",
            "  0\nLINE\n\n  8\n14\n",
        ] {
            assert_eq!(handed(other, b'\n').unwrap(), "0\nLINE\n8\n14\n", "{other:?}");
        }
        assert_eq!(handed("  0\rLINE\r  8\r14\r", b'\r').unwrap(), "0\nLINE\n8\n14\n");
        let error = handed("  0\nLINE\nx\n14\n", b'\n').unwrap_err();
        assert!(error.starts_with("could not be done (") && error.contains("'x'"), "{error}");
    }

    /// Group codes 10, 20 and 30 are control points, 11, 21 and 31 fit points. The Z of either may be missing, for all points
    /// or for some.
    #[test]
    fn the_points_of_a_spline_are_seen_without_z() {
        let head = "  0\nBLOCK\n  8\nA\n  2\nB\n  0\nSPLINE\n  8\nE\n 70\n8\n 71\n1\n 40\n0\n 40\n0\n 40\n1\n 40\n1\n";
        let end = "  0\nPOINT\n  8\nG\n 10\n19\n 20\n23\n 30\n5\n  0\nENDBLK\n  8\nA\n";
        for z in [["", ""], [" 30\n4\n", " 31\n5\n"], [" 30\n4\n", ""], ["", " 31\n5\n"]] {
            let points = [
                " 10\n1\n 20\n2\n",
                z[0],
                " 10\n3\n 20\n5\n",
                " 11\n7\n 21\n11\n",
                z[1],
                " 11\n8\n 21\n13\n",
            ];
            let text = head.to_owned() + &points.concat() + end;
            let part = parts(text.as_bytes(), b'\n').unwrap()[0];
            let found = seen(&handed_over(text.as_bytes(), part, b'\n').unwrap()).unwrap();
            let found: Vec<_> = found.iter().map(|s| (s.kind, &s.points[..])).collect();
            let spline = [(1.0, 2.0), (3.0, 5.0), (7.0, 11.0), (8.0, 13.0)];
            assert_eq!(found, [(Kind::Spline, &spline[..]), (Kind::Point, &[(19.0, 23.0)])], "{z:?}");
        }
    }

    #[test]
    fn a_polyline_needs_its_end() {
        let line = "0\nPOLYLINE\n0\nVERTEX\n0\nVERTEX\n";
        for end in ["0\nSEQEND\n0\nLINE\n", "0\nSEQEND\n0\nPOLYLINE\n0\nSEQEND\n0\nENDBLK\n"] {
            assert!(handed(&(line.to_owned() + end), b'\n').is_ok());
        }
        let error = handed(&(line.to_owned() + "0\nENDBLK\n"), b'\n').unwrap_err();
        assert_eq!(error, "finds a POLYLINE without its SEQEND");
    }

    /// The limits for the `dxf` crate, see above. What counts is the number of groups that are open at a time, and of
    /// different layers.
    #[test]
    fn what_breaks_the_other_reader_is_not_handed_over() {
        for code in ["102", "1002"] {
            let groups = |open: usize, close: usize| {
                format!("{code}\n{{GROUP\n").repeat(open) + &format!("{code}\n}}\n").repeat(close)
            };
            let sound = groups(100, 70) + &groups(70, 200) + &groups(100, 0);
            assert!(handed(&sound, b'\n').is_ok());
            assert_eq!(
                handed(&(sound + &groups(1, 0)), b'\n').unwrap_err(),
                "could not be done: groups are nested more than 100 deep"
            );
        }
        let layers = |count: usize| (0..count).map(|i| format!("8\nL{i}\n")).collect::<String>();
        assert!(handed(&(layers(2000) + &layers(2000)), b'\n').is_ok());
        assert_eq!(
            handed(&layers(2001), b'\n').unwrap_err(),
            "could not be done: the block uses more than 2000 layers"
        );
    }

    #[test]
    fn names_that_both_readers_read_alike_are_plain() {
        for name in ["14", "SEW LINE", "a~b", ""] {
            assert!(plain(name), "{name}");
        }
        for name in ["N\u{e4}ht", "a^b", "a\\U+00C4", "100%", "a\tb", "a\u{7f}"] {
            assert!(!plain(name), "{name:?}");
        }
    }

    /// Group codes by the DXF reference: 70 of a POLYLINE, 16 and 64 for meshes; 70 of a VERTEX, 16 for a control point.
    #[test]
    fn every_entity_with_points_is_seen() {
        let vertex = |x: u32, flags: u32| format!("0\nVERTEX\n8\nA\n10\n{x}\n20\n{}\n70\n{flags}\n", 3 * x);
        let polyline = |flags: u32, vertices: &str| {
            format!("0\nPOLYLINE\n8\nA\n66\n1\n70\n{flags}\n{vertices}0\nSEQEND\n")
        };
        let text = [
            "0\nBLOCK\n8\nA\n2\nB\n70\n0\n10\n0\n20\n0\n".to_owned(),
            polyline(1, &(vertex(7, 0) + &vertex(8, 16) + &vertex(9, 0))),
            polyline(16, &vertex(2, 0)),
            polyline(64, &vertex(3, 0)),
            "0\nARC\n8\nC\n10\n2.5\n20\n3.5\n40\n4\n50\n0\n51\n90\n".to_owned(),
            "0\nELLIPSE\n8\nD\n10\n5.5\n20\n6.5\n11\n2\n21\n0\n40\n0.5\n".to_owned(),
            "0\nSPLINE\n8\nE\n70\n8\n71\n1\n72\n4\n73\n2\n74\n1\n40\n0\n40\n0\n40\n1\n40\n1\n10\n1\n20\n2\n30\n0\n10\n3\n20\n5\n30\n0\n11\n7\n21\n11\n31\n0\n"
                .to_owned(),
            "0\nMTEXT\n8\nF\n10\n13\n20\n17\n40\n2\n1\nnote\n".to_owned(),
            "0\nPOINT\n8\nG\n10\n19\n20\n23\n".to_owned(),
            "0\nENDBLK\n8\nA\n".to_owned(),
        ]
        .concat();
        let part = parts(text.as_bytes(), b'\n').unwrap()[0];
        let found = seen(&handed_over(text.as_bytes(), part, b'\n').unwrap()).unwrap();
        let found: Vec<_> =
            found.iter().map(|s| (s.kind, s.layer.as_str(), &s.points[..], s.closed)).collect();
        let expected = [
            (Kind::Polyline, "A", &[(7.0, 21.0), (9.0, 27.0)][..], true),
            (Kind::Arc, "C", &[(2.5, 3.5)], false),
            (Kind::Ellipse, "D", &[(5.5, 6.5)], false),
            (Kind::Spline, "E", &[(1.0, 2.0), (3.0, 5.0), (7.0, 11.0)], false),
            (Kind::Text, "F", &[(13.0, 17.0)], false),
            (Kind::Point, "G", &[(19.0, 23.0)], false),
        ];
        assert_eq!(found, expected);
    }

    #[test]
    fn what_would_reach_beyond_a_million_of_its_own_numbers_is_said() {
        let at = |x: f64, y: f64| Meant {
            start: 0,
            layer: "13".into(),
            kind: Kind::Point,
            points: vec![Point::new(7.0, 9.0), Point::new(x, y)],
            mirrored: false,
            closed: false,
            bulges: Vec::new(),
        };
        // In inches, seen from behind as well: 25.4 million mm.
        for scale in [25.4, -25.4] {
            for far in [(25_400_001.0, 3.0), (-25_400_001.0, 3.0), (3.0, 25_400_001.0), (3.0, -25_400_001.0)]
            {
                let found = beyond(&[at(1.0, 2.0), at(far.0, far.1)], scale).unwrap();
                assert_eq!(found.id, FindingId::UnitDoubtful);
            }
            for near in [(25_399_999.0, -25_399_999.0), (-25_399_999.0, 25_399_999.0)] {
                assert!(beyond(&[at(near.0, near.1)], scale).is_none());
            }
        }
    }

    #[test]
    fn a_block_of_several_parts_is_compared_to_its_end() {
        let n = 80_000_u32;
        let mut text = "  0\nBLOCK\n  8\n1\n  2\nP\n".to_owned();
        let mut meant = Vec::new();
        for i in 0..n {
            text.extend(["  0\nPOINT\n  8\n13\n 10\n", &i.to_string(), ".0\n 20\n1.0\n"]);
            meant.push(Meant {
                start: 0,
                layer: "13".into(),
                kind: Kind::Point,
                points: vec![Point::new(f64::from(i), 1.0)],
                mirrored: false,
                closed: false,
                bulges: Vec::new(),
            });
        }
        text += "  0\nENDBLK\n  8\n1\n";
        assert!(parts(text.as_bytes(), b'\n').is_ok_and(|p| p.len() == 3 && p[1].ends == [false, false]));
        assert_eq!(compare(text.as_bytes(), &meant, b'\n', 1.0), Ok(()));
        let windows = text.replace('\n', "\r\n");
        assert_eq!(compare(windows.as_bytes(), &meant, b'\n', 1.0), Ok(()));
        let last = meant.len() - 1;
        meant[last].points[0].y = 2.0;
        let wrong = compare(text.as_bytes(), &meant, b'\n', 1.0);
        assert_eq!(wrong, Err("finds (79999, 1) in place of (79999, 2) in Point".to_owned()));
        meant.pop();
        let many = compare(text.as_bytes(), &meant, b'\n', 1.0);
        assert_eq!(many, Err("finds 80000 entities in place of 79999".to_owned()));
    }
}
