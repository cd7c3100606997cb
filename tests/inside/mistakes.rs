//! Mistakes planted in what the writer gives, as a bug in reading or writing would make them: each must be caught by the
//! second reading (the `dxf` crate) or by the comparison with the old drawing, before a file takes its place.

use crate::alter::{Added, Carried, Change, Redrawn};
use crate::check::reread;
use crate::check::untouched::{self, Given, InPlace};
use crate::dxf_text::Drawing;
use crate::finding::Finding;
use crate::output::{self, Handles, Meant};
use crate::pattern::{LayerUse, Pattern, Piece, Reading};
use kurbo::Vec2;
use std::fmt::Write;

/// A mistake is worth catching from this many mm on.
const OFF: f64 = 0.01;

/// Three pieces in inches, with handles; the cut line has an arc, a pocket line within is an LWPOLYLINE.
fn drawn() -> String {
    let mut handle = 16;
    let mut next = || {
        handle += 1;
        format!("{handle:X}")
    };
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$HANDSEED\n5\nFFF\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n");
    for (name, dx) in [("FRONT", 0.0), ("BACK", 1.25), ("POCKET", 2.5)] {
        let _ = write!(text, "0\nBLOCK\n8\n1\n2\n{name}-38\n70\n0\n10\n0.0\n20\n0.0\n");
        for (y, label) in [(1.5, format!("Piece Name: {name}")), (2.0, "Size: 38".to_owned())] {
            let _ = write!(
                text,
                "0\nTEXT\n5\n{}\n8\n1\n10\n{}\n20\n{y}\n40\n0.25\n1\n{label}\n",
                next(),
                dx + 3.0
            );
        }
        let _ = write!(text, "0\nPOLYLINE\n5\n{}\n8\n1\n66\n1\n70\n1\n", next());
        for (x, y, bulge) in
            [(0.5, 0.25, 0.0), (9.0, 0.75, 0.25), (9.5, 20.25, 0.0), (5.125, 21.0, 0.0), (0.75, 20.5, 0.0)]
        {
            let _ = write!(text, "0\nVERTEX\n5\n{}\n8\n1\n10\n{}\n20\n{y}\n", next(), x + dx);
            if bulge != 0.0 {
                let _ = write!(text, "42\n{bulge}\n");
            }
        }
        let _ = write!(text, "0\nSEQEND\n5\n{}\n8\n1\n", next());
        let _ = write!(
            text,
            "0\nLWPOLYLINE\n5\n{}\n8\n8\n90\n3\n70\n0\n10\n{}\n20\n4.0\n42\n0.5\n10\n{}\n20\n4.75\n10\n{}\n20\n6.5\n",
            next(),
            dx + 2.0,
            dx + 4.0,
            dx + 4.25
        );
        let _ = write!(
            text,
            "0\nLINE\n5\n{}\n8\n7\n10\n{}\n20\n3.0\n11\n{}\n21\n17.0\n",
            next(),
            dx + 4.5,
            dx + 4.5
        );
        let _ = write!(text, "0\nPOINT\n5\n{}\n8\n4\n10\n{}\n20\n20.75\n", next(), dx + 7.0);
        let _ = write!(text, "0\nPOINT\n5\n{}\n8\n13\n10\n{}\n20\n12.0\n", next(), dx + 6.0);
        text += "0\nENDBLK\n8\n1\n";
    }
    text +=
        "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\n1\n10\n0.0\n20\n0.0\n40\n5.0\n1\nUnits: ENGLISH\n";
    text + "0\nENDSEC\n0\nEOF\n"
}

fn read(drawing: &Drawing<'_>) -> Pattern {
    crate::pattern::read(drawing, &Reading::default()).unwrap()
}

/// The lower edge goes down, so that the arc has to bend; a vertex is added; a notch goes along.
fn change(piece: &Piece) -> Change {
    let path = piece.paths.iter().position(|p| p.layer_use == LayerUse::Cut).unwrap();
    let points = &piece.paths[path].points;
    let low = points.iter().map(|p| p.y).fold(f64::MAX, f64::min) + 30.0;
    let down = Vec2::new(1.0, -12.7);
    let moves: Vec<Vec2> = points.iter().map(|p| if p.y < low { down } else { Vec2::ZERO }).collect();
    let after = u32::try_from(points.len() - 1).unwrap();
    let at = points[points.len() - 1].lerp(points[0] + down, 0.5) + Vec2::new(-3.0, 0.0);
    Change {
        redrawn: vec![Redrawn { path, moves, added: vec![Added { after, share: 0.5, at }] }],
        carried: Carried { marks: vec![(0, down)], ..Carried::default() },
        ..Change::default()
    }
}

/// Group codes with their values.
type Pairs = Vec<(i16, String)>;

fn pairs(bytes: &[u8]) -> Pairs {
    let text = std::str::from_utf8(bytes).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    lines.chunks(2).map(|pair| (pair[0].trim().parse().unwrap(), pair[1].to_owned())).collect()
}

fn text(pairs: &[(i16, String)]) -> Vec<u8> {
    pairs.iter().map(|(code, value)| format!("{code}\n{value}\n")).collect::<String>().into_bytes()
}

/// Entities by the places of their pairs, without the block's own ends.
fn entities(pairs: &Pairs) -> Vec<std::ops::Range<usize>> {
    let mut heads: Vec<usize> = (0..pairs.len()).filter(|&i| pairs[i].0 == 0).collect();
    heads.push(pairs.len());
    let all = heads.windows(2).map(|w| w[0]..w[1]);
    all.filter(|e| !["BLOCK", "ENDBLK"].contains(&pairs[e.start].1.as_str())).collect()
}

fn number(value: &str) -> f64 {
    value.trim().parse().unwrap()
}

/// A written block, and the mistakes that were planted in copies of it, with their names.
struct Planted {
    sound: Pairs,
    entities: Vec<std::ops::Range<usize>>,
    list: Vec<(String, Vec<u8>)>,
}

impl Planted {
    /// The kind of the entity that a pair belongs to.
    fn kind_at(&self, i: usize) -> &str {
        self.entities.iter().find(|e| e.contains(&i)).map_or("", |e| self.sound[e.start].1.as_str())
    }

    fn plant(&mut self, what: &str, place: usize, edit: impl FnOnce(&mut Pairs)) {
        let mut wrong = self.sound.clone();
        edit(&mut wrong);
        self.list.push((format!("{what} in {} at pair {place}", self.kind_at(place)), text(&wrong)));
    }

    /// A coordinate written wrong; `off` is in the drawing's numbers.
    fn coordinate(&mut self, i: usize, off: f64) {
        let (code, value) = (self.sound[i].0, number(&self.sound[i].1));
        for (what, wrong) in [
            ("a coordinate off", value + off),
            ("a coordinate off the other way", value - off),
            ("the other sign", -value),
            ("another unit", value * 25.4),
        ] {
            if (wrong - value).abs() > 0.9 * off {
                self.plant(what, i, |p| p[i].1 = format!("{wrong:.6}"));
            }
        }
        self.plant("a coordinate missing", i, |p| drop(p.remove(i)));
        if matches!(code, 10 | 11) && (value - number(&self.sound[i + 1].1)).abs() > off {
            self.plant("X and Y changed over", i, |p| {
                let (x, y) = (p[i].1.clone(), p[i + 1].1.clone());
                (p[i].1, p[i + 1].1) = (y, x);
            });
        }
    }

    /// A layer, bulge or flag written wrong.
    fn property(&mut self, i: usize) {
        let (code, value) = self.sound[i].clone();
        match (code, self.kind_at(i)) {
            (8, "TEXT" | "POLYLINE" | "LWPOLYLINE" | "LINE" | "POINT") => {
                self.plant("another layer", i, |p| "14".clone_into(&mut p[i].1));
            }
            (42, _) if number(&value) == 0.0 => {
                self.plant("a bulge that stays", i, |p| "0.25".clone_into(&mut p[i].1));
            }
            (42, _) => {
                self.plant("a bulge gone", i, |p| drop(p.remove(i)));
                self.plant("a bulge the other way", i, |p| p[i].1 = format!("-{value}"));
                self.plant("a bulge off", i, |p| p[i].1 = format!("{}", number(&value) + 0.001));
            }
            (70, "POLYLINE" | "LWPOLYLINE") => {
                let other = (number(&value) as i64 ^ 1).to_string();
                self.plant("closed or not", i, |p| p[i].1 = other);
            }
            _ => {}
        }
    }

    /// An entity missing, of another kind, twice, or after the next one.
    fn entity(&mut self, n: usize) {
        let e = self.entities[n].clone();
        self.plant("an entity missing", e.start, |p| drop(p.drain(e.clone())));
        self.plant("an entity of another kind", e.start, |p| "CIRCLE".clone_into(&mut p[e.start].1));
        if self.kind_at(e.start) != "SEQEND" {
            self.plant("an entity twice", e.start, |p| {
                let again = p[e.clone()].to_vec();
                p.splice(e.end..e.end, again);
            });
        }
        if let Some(end) = self.entities.get(n + 1).map(|next| next.end) {
            self.plant("two entities changed over", e.start, |p| p[e.start..end].rotate_left(e.len()));
        }
    }
}

/// Every mistake of these kinds that can be made in a written block, with its name.
fn mistakes(written: &[u8], scale: f64) -> Vec<(String, Vec<u8>)> {
    let sound = pairs(written);
    let mut planted = Planted { entities: entities(&sound), sound, list: Vec::new() };
    for i in 0..planted.sound.len() {
        let inside = !planted.kind_at(i).is_empty();
        // What stands at the head of a POLYLINE is no point; the height of a piece's points is not read.
        if inside && matches!(planted.sound[i].0, 10 | 11 | 20 | 21) && planted.kind_at(i) != "POLYLINE" {
            planted.coordinate(i, OFF / scale);
        }
        planted.property(i);
        if inside {
            planted.plant("cut short", i, |p| p.truncate(i));
        }
    }
    for n in 0..planted.entities.len() {
        planted.entity(n);
    }
    let mut list = planted.list;
    list.extend(shifted(&planted.sound));
    list.push(("half of it".to_owned(), written[..written.len() / 2].to_vec()));
    list
}

/// Numbers written one byte too late or too early: a byte of the old number stays, and a line's end is gone.
fn shifted(sound: &Pairs) -> Vec<(String, Vec<u8>)> {
    let mut list = Vec::new();
    for (i, (code, value)) in sound.iter().enumerate().filter(|(_, (code, _))| matches!(code, 10 | 20)) {
        let (before, after) = (text(&sound[..i]), text(&sound[i + 1..]));
        let late = format!("{code}\n{}{value}", &value[..1]);
        let early = format!("{code}{value}{}\n", &value[value.len() - 1..]);
        list.push((
            format!("a number one byte late at pair {i}"),
            [&before, late.as_bytes(), &after].concat(),
        ));
        list.push((
            format!("a number one byte early at pair {i}"),
            [&before, early.as_bytes(), &after].concat(),
        ));
    }
    list
}

fn caught(bytes: &[u8], meant: &[Meant], scale: f64) -> Option<Finding> {
    reread::block(bytes, meant, b'\n', scale)
}

#[test]
fn the_second_reading_catches_every_mistake_in_a_block() {
    let bytes = drawn().into_bytes();
    let drawing = Drawing::scan(&bytes).unwrap();
    let pattern = read(&drawing);
    let (handles, mut count, mut missed) = (Handles::default(), 0, Vec::new());
    let mut all = Vec::new();
    for piece in &pattern.pieces[..2] {
        let (written, meant) = output::block(&drawing, piece, &change(piece), &handles);
        assert_eq!(caught(&written.bytes, &meant, piece.scale), None, "a sound piece");
        assert!(
            written.bytes.len() > drawing.blocks[piece.block].whole.range().len() + 50,
            "vertices were added"
        );
        for (what, wrong) in mistakes(&written.bytes, piece.scale) {
            count += 1;
            if caught(&wrong, &meant, piece.scale).is_none() {
                missed.push(what);
            }
        }
        all.push((written, meant, piece.scale));
    }
    // The piece before the change, and the other piece's.
    let (front, back) = (&all[0], &all[1]);
    for (what, wrong) in
        [("the old piece", drawing.blocks[0].whole.of(&bytes)), ("another piece", &back.0.bytes)]
    {
        count += 1;
        if caught(wrong, &front.1, front.2).is_none() {
            missed.push(what.to_owned());
        }
    }
    assert!(missed.is_empty(), "{} of {count} are missed: {missed:#?}", missed.len());
    assert!(count > 500, "{count}");
    eprintln!("{count} mistakes in blocks, all caught");
}

/// The new drawing with what is known of it.
struct New<'a> {
    old: Drawing<'a>,
    bytes: Vec<u8>,
    altered: Vec<InPlace>,
    given: Given,
    /// Where the altered blocks stand in the new drawing.
    places: Vec<std::ops::Range<usize>>,
}

impl<'a> New<'a> {
    fn of(bytes: &'a [u8]) -> Self {
        let old = Drawing::scan(bytes).unwrap();
        let pattern = read(&old);
        let handles = Handles::default();
        let write = |piece: &Piece| output::block(&old, piece, &change(piece), &handles).0;
        let written: Vec<_> = pattern.pieces[..2].iter().map(write).collect();
        let parts = written.iter().flat_map(|w| w.parts(&old));
        let altered = parts.map(|(part, bytes)| InPlace { part, length: bytes.len() }).collect();
        let places = written.iter().map(|w| w.bytes.clone()).collect::<Vec<_>>();
        assert!(handles.given());
        let given = Given { seed: handles.seed(&old) };
        let new = output::file(&old, written, &handles).to_vec();
        let find = |block: &Vec<u8>| {
            let at = new.windows(block.len()).position(|w| w == &block[..]).unwrap();
            at..at + block.len()
        };
        let places = places.iter().map(find).collect();
        New { bytes: new, altered, given, places, old }
    }

    fn caught(&self, bytes: &[u8]) -> bool {
        self.caught_with(bytes, &self.altered)
    }

    fn caught_with(&self, bytes: &[u8], altered: &[InPlace]) -> bool {
        // In stretches of an odd length, as a writer may give them.
        untouched::compare(&self.old, bytes.chunks(97), altered, Some(&self.given)).is_some()
    }
}

#[test]
fn every_byte_outside_the_altered_pieces_is_held_to_the_old_drawing() {
    let bytes = drawn().into_bytes();
    let new = New::of(&bytes);
    assert!(!new.caught(&new.bytes), "a sound drawing");
    let (mut count, mut missed) = (0, Vec::new());
    let mut plant = |what: String, wrong: &[u8]| {
        count += 1;
        if !new.caught(wrong) {
            missed.push(what);
        }
    };
    let inside = |i: usize| new.places.iter().any(|place| place.contains(&i));
    for i in (0..new.bytes.len()).filter(|&i| !inside(i)) {
        let mut wrong = new.bytes.clone();
        wrong[i] ^= 1;
        plant(format!("byte {i} another"), &wrong);
        if i % 15 == 0 {
            wrong.remove(i);
            plant(format!("byte {i} missing"), &wrong);
            wrong = new.bytes.clone();
            wrong.insert(i, b'0');
            plant(format!("a byte more at {i}"), &wrong);
        }
    }
    for i in (0..new.bytes.len()).step_by(15) {
        plant(format!("cut short at {i}"), &new.bytes[..i]);
    }
    let [front, back] = [&new.places[0], &new.places[1]];
    let swapped = [
        &new.bytes[..front.start],
        &new.bytes[back.clone()],
        &new.bytes[front.end..back.start],
        &new.bytes[front.clone()],
        &new.bytes[back.end..],
    ];
    plant("two pieces changed over".to_owned(), &swapped.concat());
    plant("a piece twice".to_owned(), &[&new.bytes[..front.end], &new.bytes[front.start..]].concat());
    plant("a piece missing".to_owned(), &[&new.bytes[..front.start], &new.bytes[front.end..]].concat());
    plant("bytes behind the end".to_owned(), &[&new.bytes[..], b"0\n"].concat());
    plant("the old drawing".to_owned(), &bytes);
    assert!(missed.is_empty(), "{} of {count} are missed: {missed:#?}", missed.len());
    assert!(count > 1000, "{count}");
    eprintln!("{count} mistakes in the file, all caught");
}

#[test]
fn every_handle_of_an_altered_piece_is_its_own() {
    let bytes = drawn().into_bytes();
    let new = New::of(&bytes);
    let handles = |piece: &Pairs| (0..piece.len()).filter(|&i| piece[i].0 == 5).collect::<Vec<_>>();
    let of_pocket = pairs(new.old.blocks[2].body.of(&bytes));
    let of_pocket = of_pocket[handles(&of_pocket)[0]].1.clone();
    let mut count = 0;
    for (n, place) in new.places.iter().enumerate() {
        let sound = pairs(&new.bytes[place.clone()]);
        let all = handles(&sound);
        let longest = all.iter().max_by_key(|&&i| sound[i].1.len()).unwrap();
        // Of the piece's first entity, of a piece that is not altered, of a vertex that was added.
        for taken in [&sound[all[0]].1, &of_pocket, &sound[*longest].1] {
            for &i in all.iter().filter(|&&i| sound[i].1 != *taken).step_by(4) {
                let mut wrong = sound.clone();
                wrong[i].1.clone_from(taken);
                let wrong = text(&wrong);
                let mut altered = new.altered.clone();
                altered[n].length = wrong.len();
                let whole = [&new.bytes[..place.start], &wrong, &new.bytes[place.end..]].concat();
                assert!(new.caught_with(&whole, &altered), "handle {} as {taken}", sound[i].1);
                count += 1;
            }
        }
    }
    assert!(count > 50, "{count}");
    eprintln!("{count} mistakes in handles, all caught");
}
