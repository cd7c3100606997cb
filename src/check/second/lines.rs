//! Reads the lines of a block on some of its layers through the independent reader.
//!
//! Only the numbers that make up a line are handed over, on a layer of their own: no extended data, no names, no other
//! entities. That is quick, and it keeps the other reader's hazards (see [`crate::check::reread`]) out of the way.

use super::trace::{Spline, Trace};
use crate::dxf_text::{Block, Drawing};
use dxf::entities::{Entity, EntityType};
use dxf::{LwPolylineVertex, Vector};
use kurbo::{Point, Vec2};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The lines of a block on the wanted layers, in mm (`scale` is the number of mm in one unit of the file's numbers). An error
/// says, as the rest of a sentence, why they are not known.
pub(super) fn read(
    drawing: &Drawing<'_>,
    block: &Block,
    wanted: impl Fn(&str) -> bool,
    scale: f64,
) -> Result<Vec<Trace>, String> {
    let (text, count) = handed_over(drawing, block, wanted)?;
    let load = || dxf::Drawing::load(&mut &text[..]);
    let seen = catch_unwind(AssertUnwindSafe(load)).map_err(|_| "the second reader broke off".to_owned())?;
    let seen = seen.map_err(|e| e.to_string())?;
    let mut traces = Vec::with_capacity(count);
    let mut found = 0;
    for entity in seen.entities() {
        found += 1;
        traces.extend(trace(entity, scale)?);
    }
    if found != count {
        return Err(format!("the second reader finds {found} lines in place of {count}"));
    }
    Ok(traces)
}

/// The wanted entities as a drawing of their own, and how many they are.
fn handed_over(
    drawing: &Drawing<'_>,
    block: &Block,
    wanted: impl Fn(&str) -> bool,
) -> Result<(Vec<u8>, usize), String> {
    let bytes = drawing.bytes;
    let mut out = b"0\nSECTION\n2\nENTITIES\n".to_vec();
    // `start` is where the current entity begins; `is_line` and `taken` say whether its kind and its layer count.
    let (mut start, mut is_line, mut taken, mut count) = (out.len(), false, false, 0);
    let mut kind: &[u8] = b"";
    for pair in block.parts().flat_map(|part| drawing.pairs(part.body)) {
        let pair = pair.map_err(|e| e.to_string())?;
        let value = pair.text(bytes);
        if pair.code == 0 {
            let goes_on = matches!(value, b"VERTEX" | b"SEQEND");
            if !goes_on {
                if is_line && taken {
                    count += 1;
                } else {
                    out.truncate(start);
                }
                (start, taken) = (out.len(), false);
                is_line =
                    matches!(value, b"POLYLINE" | b"LWPOLYLINE" | b"LINE" | b"ARC" | b"ELLIPSE" | b"SPLINE");
            }
            kind = value;
        }
        if !is_line {
            continue;
        }
        match pair.code {
            // A polyline is on its own layer, whatever the layers of its vertices are.
            8 if matches!(kind, b"VERTEX" | b"SEQEND") => {}
            8 => taken |= wanted(&drawing.text(pair.value)),
            // The Z of a spline's points is left out, and one of 0 is put after each Y: without a Z the other reader sees no
            // points.
            30 | 31 if kind == b"SPLINE" => {}
            0 | 10..=59 | 66 | 70..=74 | 90 | 210 | 220 | 230 => {
                out.extend_from_slice(pair.code.to_string().as_bytes());
                out.push(b'\n');
                out.extend_from_slice(value);
                out.push(b'\n');
                match (pair.code, kind) {
                    // A spline that does not give its degree is cubic.
                    (0, b"SPLINE") => out.extend_from_slice(b"71\n3\n"),
                    (20, b"SPLINE") => out.extend_from_slice(b"30\n0\n"),
                    (21, b"SPLINE") => out.extend_from_slice(b"31\n0\n"),
                    _ => {}
                }
            }
            _ => {}
        }
    }
    if is_line && taken {
        count += 1;
    } else {
        out.truncate(start);
    }
    out.extend_from_slice(b"0\nENDSEC\n0\nEOF\n");
    Ok((out, count))
}

/// The line of an entity, as it is seen from the front; `None` where there is no line.
fn trace(entity: &Entity, scale: f64) -> Result<Option<Trace>, String> {
    let mm = |p: &dxf::Point| Point::new(p.x * scale, p.y * scale);
    let seen = |trace: Trace, normal: &Vector| if normal.z < 0.0 { trace.mirrored() } else { trace };
    Ok(match &entity.specific {
        EntityType::Polyline(p) if p.flags & (16 | 64) != 0 => None,
        EntityType::Polyline(p) => {
            let on_line = p.vertices().filter(|v| v.flags & 16 == 0);
            let vertices: Vec<(Point, f64)> = on_line.map(|v| (mm(&v.location), v.bulge)).collect();
            let trace = polyline(&vertices, p.flags & 1 == 1);
            // Flag 8 means a polyline in space, whose coordinates are those of the drawing.
            if p.flags & 8 == 0 { trace.map(|t| seen(t, &p.normal)) } else { trace }
        }
        EntityType::LwPolyline(p) => {
            let at = |v: &LwPolylineVertex| (Point::new(v.x * scale, v.y * scale), v.bulge);
            let vertices: Vec<(Point, f64)> = p.vertices.iter().map(at).collect();
            polyline(&vertices, p.flags & 1 == 1).map(|t| seen(t, &p.extrusion_direction))
        }
        EntityType::Line(l) => {
            let mut trace = Trace::at(mm(&l.p1));
            trace.arc_to(mm(&l.p2), 0.0);
            Some(trace)
        }
        EntityType::Arc(a) if a.radius > 0.0 => {
            let circle = Trace::circle(mm(&a.center), a.radius * scale, a.start_angle, a.end_angle);
            Some(seen(circle, &a.normal))
        }
        EntityType::Ellipse(e) => {
            let major = Vec2::new(e.major_axis.x, e.major_axis.y) * scale;
            // The minor axis is a quarter turn ahead of the major one, about the direction from which the plane is seen.
            let turn = if e.normal.z < 0.0 { -1.0 } else { 1.0 };
            let minor = Vec2::new(-major.y, major.x) * (e.minor_axis_ratio * turn);
            let turned = (e.end_parameter - e.start_parameter).rem_euclid(std::f64::consts::TAU);
            let sweep = if turned == 0.0 { std::f64::consts::TAU } else { turned };
            Some(Trace::ellipse(mm(&e.center), [major, minor], e.start_parameter, sweep))
        }
        EntityType::Spline(s) => {
            let end = |v: &dxf::Point| Vec2::new(v.x, v.y);
            let through: Vec<Point> = s.fit_points.iter().map(mm).collect();
            let fitted = s.control_points.is_empty();
            let spline = Spline {
                degree: usize::try_from(s.degree_of_curve).unwrap_or(0),
                knots: s.knot_values.clone(),
                controls: s.control_points.iter().map(mm).collect(),
                weights: s.weight_values.clone(),
            };
            let spline = if fitted {
                Spline::through(through, [&s.start_tangent, &s.end_tangent].map(end))
            } else {
                Some(spline)
            };
            Some(
                spline
                    .and_then(|spline| Trace::spline(&spline))
                    .ok_or("the second reader finds no curve in a SPLINE")?,
            )
        }
        _ => None,
    })
}

/// A polyline through vertices, each with the bulge of the edge after it.
fn polyline(vertices: &[(Point, f64)], closed: bool) -> Option<Trace> {
    let mut trace = Trace::at(vertices.first()?.0);
    for pair in vertices.windows(2) {
        trace.arc_to(pair[1].0, pair[0].1);
    }
    // A straight closing edge needs no step: a closed line is always taken from its last point to its first.
    let last = vertices[vertices.len() - 1].1;
    if closed && last != 0.0 {
        trace.arc_to(vertices[0].0, last);
    }
    trace.closed = closed;
    trace.long = vertices.len() > 3 || trace.points.len() > vertices.len();
    Some(trace)
}
