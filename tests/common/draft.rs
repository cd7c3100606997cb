//! A front and a back drawn from a few measures, and how the figures of a report are held against them.

use kurbo::{CubicBez, ParamCurve, ParamCurveArclen, Point, Vec2};
use serde_json::Value;
use std::fmt::Write;

/// A leg drawn for these tests, in mm, the grain along Y, the fork at the origin.
pub struct Draft {
    pub lean: f64,
    pub extension: f64,
    pub begin: f64,
    pub rise: f64,
}

impl Draft {
    /// The sew line from the centre waist over the fork and round, its straight part as long as the rise asks for.
    pub fn outline(&self) -> Vec<Point> {
        let down = Vec2::new(self.lean.to_radians().sin(), -self.lean.to_radians().cos());
        let begin = Point::new(-self.extension, self.begin);
        let fork = Point::ORIGIN;
        let curve = CubicBez::new(
            begin,
            begin + down * (0.6 * self.begin),
            fork - Vec2::new(0.55 * self.extension, 0.0),
            fork,
        );
        let waist = begin - down * (self.rise - curve.arclen(1e-9));
        let knee = Point::new(-45.0, -340.0);
        let inseam = CubicBez::new(fork, fork + Vec2::new(-12.0, -100.0), knee + Vec2::new(0.0, 120.0), knee);
        let sampled = |c: CubicBez, n: u32| (1..=n).map(move |i| c.eval(f64::from(i) / f64::from(n)));
        let mut points = vec![waist, begin];
        points.extend(sampled(curve, 60));
        points.extend(sampled(inseam, 60));
        points.extend([Point::new(-45.0, -780.0), Point::new(-265.0, -780.0), Point::new(-330.0, -60.0)]);
        points.push(waist + Vec2::new(-240.0, 0.0));
        points
    }
}

/// A drawing of a front and a back that have a sew line and a grain line only.
pub fn drawing(front: &Draft, back: &Draft) -> String {
    let mut text = String::from("0\nSECTION\n2\nBLOCKS\n");
    for (name, draft) in [("FRONT", front), ("BACK", back)] {
        let _ = write!(text, "0\nBLOCK\n8\n1\n2\n{name}-38\n70\n0\n10\n0.0\n20\n0.0\n");
        for label in [format!("Piece Name: {name}"), "Size: 38".to_owned()] {
            let _ = write!(text, "0\nTEXT\n8\n1\n10\n-200.0\n20\n-100.0\n40\n5.0\n1\n{label}\n");
        }
        text += "0\nLINE\n8\n7\n10\n-150.0\n20\n-600.0\n11\n-150.0\n21\n0.0\n";
        text += "0\nPOLYLINE\n8\n14\n66\n1\n70\n1\n";
        for p in draft.outline() {
            let _ = write!(text, "0\nVERTEX\n8\n14\n10\n{:.6}\n20\n{:.6}\n", p.x, p.y);
        }
        text += "0\nSEQEND\n0\nENDBLK\n";
    }
    text += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\n1\n10\n0.0\n20\n0.0\n40\n5.0\n1\nUnits: METRIC\n0\nENDSEC\n0\nEOF\n";
    text
}

pub fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path} in {value}"))
}

pub fn near(what: &str, is: f64, wanted: f64, within: f64) {
    assert!((is - wanted).abs() <= within, "{what}: {is} in place of {wanted} ± {within}");
}
