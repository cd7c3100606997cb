//! Drawings written by another Rust library, the `dxf` crate: measured against sums of the chords that were drawn, altered,
//! verified by `ezdxf` and `shapely`, and read back by the `dxf` crate.

use crate::common::draft::{Draft, near, number};
use crate::outside::{Folder, json, python, report_of, run, said, truerise};
use dxf::entities::{Entity, EntityType, Insert, Line, ModelPoint, Polyline, Text, Vertex};
use dxf::enums::AcadVersion;
use dxf::{Block, Drawing};
use kurbo::Point;
use std::path::Path;

/// Where the fork is in the points of a draft: after the waist, the end of the straight part and 60 points of the curve.
const FORK: usize = 61;

fn dot(p: Point) -> dxf::Point {
    dxf::Point::new(p.x, p.y, 0.0)
}

fn entity(layer: &str, specific: EntityType) -> Entity {
    let mut entity = Entity::new(specific);
    layer.clone_into(&mut entity.common.layer);
    entity
}

fn text(at: Point, value: &str) -> Entity {
    let text = Text { location: dot(at), text_height: 5.0, value: value.to_owned(), ..Default::default() };
    entity("1", EntityType::Text(text))
}

/// Entities with their handles: the library gives them to what is added to its drawing, but not to what is in a block.
fn with_handles(drawing: &mut Drawing, entities: Vec<Entity>) -> Vec<Entity> {
    let mut given = |entity: Entity| {
        drawing.add_entity(entity);
        drawing.remove_entity(drawing.entities().count() - 1).unwrap()
    };
    entities.into_iter().map(&mut given).collect()
}

/// A front and a back: sew line, grain line, a drill hole, labels, and a notch on the inseam.
fn drawn(front: &Draft, back: &Draft, version: AcadVersion) -> Vec<u8> {
    let mut drawing = Drawing::new();
    drawing.header.version = version;
    drawing.add_entity(text(Point::ORIGIN, "Units: METRIC"));
    for (name, draft) in [("FRONT", front), ("BACK", back)] {
        let points = draft.outline();
        let mut line = Polyline::default();
        line.set_is_closed(true);
        for p in &points {
            line.add_vertex(&mut drawing, Vertex::new(dot(*p)));
        }
        let grain = Line::new(dot(Point::new(-150.0, -600.0)), dot(Point::new(-150.0, 0.0)));
        let entities = vec![
            text(Point::new(-200.0, -100.0), &format!("Piece Name: {name}")),
            text(Point::new(-200.0, -112.0), "Size: 38"),
            entity("14", EntityType::Polyline(line)),
            entity("7", EntityType::Line(grain)),
            entity("13", EntityType::ModelPoint(ModelPoint::new(dot(Point::new(-120.0, -50.0))))),
            entity("4", EntityType::ModelPoint(ModelPoint::new(dot(points[FORK + 20])))),
        ];
        let entities = with_handles(&mut drawing, entities);
        let block =
            Block { name: format!("{name}-38"), layer: "1".to_owned(), entities, ..Default::default() };
        drawing.add_block(block);
        let insert = Insert { name: format!("{name}-38"), ..Default::default() };
        drawing.add_entity(entity("1", EntityType::Insert(insert)));
    }
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).unwrap();
    bytes
}

/// The closed lines and the points of a block, as the `dxf` crate reads them.
fn read(path: &Path, block: &str) -> (Vec<Point>, Vec<Point>) {
    let drawing = Drawing::load_file(path).unwrap();
    let block = drawing.blocks().find(|b| b.name == block).unwrap();
    let (mut line, mut marks) = (Vec::new(), Vec::new());
    for entity in &block.entities {
        match &entity.specific {
            EntityType::Polyline(p) => {
                line.extend(p.vertices().map(|v| Point::new(v.location.x, v.location.y)));
            }
            EntityType::ModelPoint(p) => marks.push(Point::new(p.location.x, p.location.y)),
            _ => {}
        }
    }
    (line, marks)
}

fn along(points: &[Point]) -> f64 {
    points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum()
}

fn measures_and_alters(version: AcadVersion) {
    let front = Draft { lean: 2.0, extension: 62.0, begin: 75.0, rise: 290.0 };
    let back = Draft { lean: 7.0, extension: 112.0, begin: 95.0, rise: 370.0 };
    let folder = Folder::new();
    let path = folder.write("in.dxf", &drawn(&front, &back, version));
    let output = truerise().arg("measure").arg(&path).args(["--format", "json"]).output().unwrap();
    assert!(output.status.success(), "{}", said(&output));
    let measured = json(&output.stdout);
    for (part, draft) in [("front", &front), ("back", &back)] {
        let (points, at) = (draft.outline(), |what| format!("/sizes/0/measures/{part}/{what}_mm"));
        near("rise", number(&measured, &at("rise")), along(&points[..=FORK]), 0.001);
        // 60 points down to the knee, then the hem.
        near("inseam", number(&measured, &at("inseam")), along(&points[FORK..=FORK + 61]), 0.001);
    }

    let table = folder.write("sizes.csv", b"size,change\n38,24 mm\n");
    let report = report_of(&folder, &path, &table, &[]);
    let out = folder.path("out.dxf");
    for (part, block, draft) in [("front", "FRONT-38", &front), ("back", "BACK-38", &back)] {
        let slide = number(&report, &format!("/sizes/0/moves/{part}/along_mm"));
        let ((old_line, old_marks), (line, marks)) = (read(&path, block), read(&out, block));
        let points = draft.outline();
        let fork = points[FORK];
        let new = line.iter().position(|p| (*p - Point::new(fork.x, fork.y - slide)).hypot() < 0.001);
        near("rise after", along(&line[..=new.unwrap()]), along(&points[..=FORK]) + 12.0, 0.05);
        assert_eq!(line[line.len() - 4..], old_line[old_line.len() - 4..], "hem, outseam and side stay");
        assert_eq!(marks[0], old_marks[0], "the drill hole stays");
        assert_ne!(marks[1], old_marks[1], "the notch goes with the inseam");
        let on_edge = line.windows(2).map(|w| {
            let t = ((marks[1] - w[0]).dot(w[1] - w[0]) / (w[1] - w[0]).hypot2()).clamp(0.0, 1.0);
            (w[0].lerp(w[1], t) - marks[1]).hypot()
        });
        assert!(on_edge.fold(f64::MAX, f64::min) < 0.001, "the notch is on the edge");
    }

    let Some(python) = python() else { return };
    let paths = [path, out, folder.path("report.json")].map(|p| p.to_string_lossy().into_owned());
    let verified = run(&python, "verify_alteration.py", &[&paths[0], &paths[1], &paths[2]]);
    assert!(verified.status.success(), "{}", said(&verified));
    for (drawing, when) in [(&paths[0], "before"), (&paths[1], "after")] {
        let claims = serde_json::json!({ "drawing": report["drawing"],
            "sizes": [{ "size": "38", "measures": report["sizes"][0][when], "findings": [] }] });
        let claims = folder.write("claims.json", claims.to_string().as_bytes());
        let compared = run(&python, "compare_measures.py", &[drawing, &claims.to_string_lossy()]);
        assert!(compared.status.success(), "{when}: {}", said(&compared));
    }
}

#[test]
fn release_12_of_the_dxf_crate() {
    measures_and_alters(AcadVersion::R12);
}

#[test]
fn release_2000_of_the_dxf_crate() {
    measures_and_alters(AcadVersion::R2000);
}
