//! Fonts: the glyph and the width of each letter, and the subset of a font that goes into the file.
//!
//! The built-in font has Latin, Greek, Cyrillic, Armenian and Georgian letters and many signs. Letters are set one after the
//! other, so scripts whose letters join, or that run from right to left, would come out wrong. Letters of scripts that run
//! from right to left are therefore drawn as boxes and reported.

use super::PlotError;
use super::ink::Words;
use kurbo::Point;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::writers::{CidFont, FontDescriptor};
use pdf_writer::{Buf, Name, Pdf, Rect, Ref, Str};
use std::collections::{BTreeMap, BTreeSet};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId, RawFace, Tag};

/// The built-in font; its licence lies beside it.
const BUILT_IN: &[u8] = include_bytes!("font/DejaVuSans.ttf");

/// In the file, glyph identifiers serve as character identifiers.
const IDENTITY: SystemInfo<'static> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// The fonts of a print.
pub(super) struct Fonts<'a> {
    fonts: Vec<Font<'a>>,
    missing: BTreeSet<char>,
}

/// One font, and which of its glyphs are used.
struct Font<'a> {
    data: &'a [u8],
    face: Face<'a>,
    /// Maps the font's glyphs to those of the subset.
    used: GlyphRemapper,
    /// For each glyph of the subset its letter, and its width in thousandths of the font size.
    letters: BTreeMap<u16, (Option<char>, f32)>,
}

impl<'a> Fonts<'a> {
    /// The built-in font, and the given font for letters that the built-in one lacks.
    pub fn new(given: Option<&'a [u8]>) -> Result<Self, PlotError> {
        let mut fonts = vec![Font::new(BUILT_IN)?];
        if let Some(data) = given {
            fonts.push(Font::new(data)?);
        }
        Ok(Fonts { fonts, missing: BTreeSet::new() })
    }

    /// The letters that were asked for and that no font has.
    pub fn missing(&self) -> &BTreeSet<char> {
        &self.missing
    }

    /// The font and the glyph of a letter, and whether there is one; otherwise the built-in font's box.
    fn glyph(&self, c: char) -> (usize, GlyphId, bool) {
        let found = self.fonts.iter().enumerate().find_map(|(i, f)| Some((i, f.face.glyph_index(c)?)));
        match found {
            Some((i, glyph)) if glyph.0 != 0 && !right_to_left(c) => (i, glyph, true),
            _ => (0, GlyphId(0), false),
        }
    }

    /// A line of text in black that begins at `at`.
    pub fn words(&self, at: Point, size: f64, value: impl Into<String>) -> Words {
        let value = value.into();
        let thousandths: f32 = value
            .chars()
            .map(|c| {
                let (i, glyph, _) = self.glyph(c);
                self.fonts[i].width(glyph)
            })
            .sum();
        Words { at, size, width: f64::from(thousandths) / 1000.0 * size, turn: 0.0, gray: 0.0, value }
    }

    /// A text as runs in one font each: the number of the font, and the bytes by which the PDF shows the run.
    pub fn encode(&mut self, text: &str) -> Vec<(usize, Vec<u8>)> {
        let mut runs: Vec<(usize, Vec<u8>)> = Vec::new();
        for c in text.chars() {
            let (i, glyph, found) = self.glyph(c);
            if !found {
                self.missing.insert(c);
            }
            let font = &mut self.fonts[i];
            let id = font.used.remap(glyph.0);
            let width = font.width(glyph);
            font.letters.entry(id).or_insert((found.then_some(c), width));
            match runs.last_mut() {
                Some((last, bytes)) if *last == i => bytes.extend(id.to_be_bytes()),
                _ => runs.push((i, id.to_be_bytes().to_vec())),
            }
        }
        runs
    }

    /// The name that a font has on every page.
    pub fn name(font: usize) -> &'static [u8] {
        if font == 0 { b"F0" } else { b"F1" }
    }

    /// Writes the fonts that are used; returns the name and the object of each.
    pub fn write(self, pdf: &mut Pdf, next: &mut Ref) -> Result<Vec<(&'static [u8], Ref)>, PlotError> {
        let mut written = Vec::new();
        for (i, font) in self.fonts.into_iter().enumerate() {
            if !font.letters.is_empty() {
                written.push((Self::name(i), font.write(pdf, next)?));
            }
        }
        Ok(written)
    }
}

/// Whether a letter belongs to a script that is written from right to left (the Unicode blocks reserved for such scripts).
fn right_to_left(c: char) -> bool {
    matches!(u32::from(c), 0x0590..=0x08FF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFF | 0x10800..=0x10FFF | 0x1E800..=0x1EFFF)
}

impl<'a> Font<'a> {
    fn new(data: &'a [u8]) -> Result<Self, PlotError> {
        let bad = |why: String| PlotError::Font { why };
        let face = Face::parse(data, 0).map_err(|e| bad(e.to_string()))?;
        if face.tables().os2.is_some()
            && !(face.is_outline_embedding_allowed() && face.is_subsetting_allowed())
        {
            return Err(bad("its licence marks forbid putting it into a file".to_owned()));
        }
        if face.tables().glyf.is_none() && face.tables().cff.is_none() {
            return Err(bad("it has no outlines".to_owned()));
        }
        Ok(Font { data, face, used: GlyphRemapper::new(), letters: BTreeMap::new() })
    }

    /// A number in the font's units as thousandths of the font size.
    fn thousandths(&self, units: impl Into<f32>) -> f32 {
        units.into() * 1000.0 / f32::from(self.face.units_per_em())
    }

    fn width(&self, glyph: GlyphId) -> f32 {
        self.thousandths(self.face.glyph_hor_advance(glyph).unwrap_or(0))
    }

    /// The font's own name, which the name of the subset must contain after its tag (ISO 32000-1, 9.6.4).
    fn base_name(&self) -> String {
        let name = self
            .face
            .names()
            .into_iter()
            .filter(|n| n.name_id == ttf_parser::name_id::POST_SCRIPT_NAME)
            .find_map(|n| n.to_string())
            .unwrap_or_default();
        let plain: String = name.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
        format!("PIECES+{plain}")
    }

    /// Writes the subset as a font of two-byte characters (ISO 32000-1, 9.7).
    fn write(self, pdf: &mut Pdf, next: &mut Ref) -> Result<Ref, PlotError> {
        let [font, cid, descriptor, map, file] = std::array::from_fn(|_| next.bump());
        let base = self.base_name();
        let name = Name(base.as_bytes());
        let subset = Subset::of(&self)?;
        pdf.type0_font(font)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(map);
        self.write_widths(&mut pdf.cid_font(cid), name, &subset, descriptor);
        self.write_descriptor(&mut pdf.font_descriptor(descriptor), name, &subset, file);
        pdf.cmap(map, &self.letters_of_glyphs());
        subset.write(pdf, file);
        Ok(font)
    }

    /// Writes the widths of the glyphs.
    fn write_widths(&self, to: &mut CidFont<'_>, name: Name<'_>, subset: &Subset, descriptor: Ref) {
        to.subtype(if subset.cubic { CidFontType::Type0 } else { CidFontType::Type2 })
            .base_font(name)
            .system_info(IDENTITY)
            .font_descriptor(descriptor)
            .default_width(0.0);
        if !subset.cubic {
            to.cid_to_gid_map_predefined(Name(b"Identity"));
        }
        let mut widths = to.widths();
        for (&id, &(_, width)) in &self.letters {
            widths.consecutive(id, [width]);
        }
    }

    /// Writes the measures of the font as a whole, and where its outlines are.
    fn write_descriptor(&self, to: &mut FontDescriptor<'_>, name: Name<'_>, subset: &Subset, file: Ref) {
        let bounds = self.face.global_bounding_box();
        let side = |units: i16| self.thousandths(units);
        to.name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(side(bounds.x_min), side(bounds.y_min), side(bounds.x_max), side(bounds.y_max)))
            .italic_angle(self.face.italic_angle())
            .ascent(side(self.face.ascender()))
            .descent(side(self.face.descender()))
            .cap_height(side(self.face.capital_height().unwrap_or(self.face.ascender())))
            // The font does not give this value. It serves only to imitate a missing font, and this font is in the file.
            .stem_v(80.0);
        if subset.cubic {
            to.font_file3(file)
        } else {
            to.font_file2(file)
        };
    }

    /// Maps each glyph to its letter, so that text in the file can be searched and copied.
    fn letters_of_glyphs(&self) -> Buf {
        let mut unicode = UnicodeCmap::new(Name(b"Letters"), IDENTITY);
        for (&id, &(letter, _)) in &self.letters {
            if let Some(letter) = letter {
                unicode.pair(id, letter);
            }
        }
        unicode.finish()
    }
}

/// The glyphs that are used, in the form in which they go into the file.
struct Subset {
    bytes: Vec<u8>,
    /// Whether the outlines are cubic curves.
    cubic: bool,
}

impl Subset {
    fn of(font: &Font<'_>) -> Result<Self, PlotError> {
        let bytes = subsetter::subset(font.data, 0, &font.used)
            .map_err(|e| PlotError::Font { why: e.to_string() })?;
        // Of a subset with cubic outlines only the bare `CFF ` table goes into the file.
        let bare = RawFace::parse(&bytes, 0).ok().and_then(|f| f.table(Tag::from_bytes(b"CFF ")));
        let bare = bare.map(<[u8]>::to_vec);
        Ok(Subset { cubic: bare.is_some(), bytes: bare.unwrap_or(bytes) })
    }

    fn write(&self, pdf: &mut Pdf, file: Ref) {
        let mut stream = pdf.stream(file, &self.bytes);
        if self.cubic {
            stream.pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
        }
    }
}
