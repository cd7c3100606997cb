//! Reads pairs of group code and value as spans, in one pass over the bytes.

use super::DxfError;
use memchr::Memchr;

/// A place in the file's bytes.
///
/// 32 bits suffice for 4 GB; [`super::Drawing::scan`] refuses larger files. A span has half the size of a `Range<usize>`, so that
/// a large nest needs only a few times the memory of its file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The bytes from `start` to before `end`, both within 4 GB.
    #[must_use]
    pub fn new(start: usize, end: usize) -> Self {
        // Files over 4 GB have been refused by the scan, so neither end is ever clipped.
        let clip = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Span { start: clip(start), end: clip(end) }
    }

    /// The bytes at this place.
    #[must_use]
    pub fn of(self, bytes: &[u8]) -> &[u8] {
        &bytes[self.start as usize..self.end as usize]
    }

    /// The place as a range of indices.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The place without blanks at both ends.
    #[must_use]
    pub fn trimmed(self, bytes: &[u8]) -> Span {
        let text = self.of(bytes);
        let inner = text.trim_ascii();
        let lead = text.len() - text.trim_ascii_start().len();
        let start = self.start as usize + lead;
        Span::new(start, start + inner.len())
    }
}

/// One group code with its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pair {
    /// The group code.
    pub code: i16,
    /// The byte at which the line of the code begins.
    pub start: u32,
    /// The value as it is written, without its line end.
    pub value: Span,
    /// The byte at which the next pair begins.
    pub end: u32,
}

impl Pair {
    /// The value without blanks at both ends.
    #[must_use]
    pub fn text<'a>(&self, bytes: &'a [u8]) -> &'a [u8] {
        self.value.of(bytes).trim_ascii()
    }

    /// The place of the whole pair: the lines of the code and of the value with their line ends.
    #[must_use]
    pub fn span(&self) -> Span {
        Span { start: self.start, end: self.end }
    }
}

/// The byte that ends a line of this file: LF (also for CRLF), or CR where a file has no LF at all.
#[must_use]
pub(super) fn line_end_of(bytes: &[u8]) -> u8 {
    if memchr::memchr(b'\n', bytes).is_none() { b'\r' } else { b'\n' }
}

/// The number of the line, counted from 1, that contains `offset`.
#[must_use]
pub(super) fn line_at(bytes: &[u8], offset: usize) -> usize {
    let upto = &bytes[..offset.min(bytes.len())];
    memchr::memchr_iter(line_end_of(bytes), upto).count() + 1
}

/// The pairs in a stretch of the file. Blank lines in the place of a code are skipped, as other readers do; anything else in that
/// place that is not a number is an error.
pub struct Pairs<'a> {
    bytes: &'a [u8],
    /// Where the stretch begins in `bytes`; the line ends are counted from here.
    base: usize,
    at: usize,
    end: usize,
    ends: Memchr<'a>,
    drained: bool,
}

impl<'a> Pairs<'a> {
    /// Reads `stretch` of `bytes`; `line_end` as found for the whole file.
    #[must_use]
    pub fn new(bytes: &'a [u8], stretch: Span, line_end: u8) -> Self {
        let (base, end) = (stretch.start as usize, stretch.end as usize);
        Pairs { bytes, base, at: base, end, ends: Memchr::new(line_end, &bytes[base..end]), drained: false }
    }

    /// The next line without its line end, and the byte at which the following line begins.
    #[inline]
    fn line(&mut self) -> Option<(usize, usize, usize)> {
        let start = self.at;
        let (stop, next) = match self.ends.next() {
            Some(i) => (self.base + i, self.base + i + 1),
            None if self.drained || start >= self.end => return None,
            None => {
                self.drained = true;
                (self.end, self.end)
            }
        };
        self.at = next;
        let stop = if stop > start && self.bytes[stop - 1] == b'\r' { stop - 1 } else { stop };
        Some((start, stop, next))
    }
}

/// A group code from its line, blanks at both ends allowed.
#[inline]
fn group_code(line: &[u8]) -> Option<i16> {
    let line = line.trim_ascii();
    let (negative, digits) = match line.first()? {
        b'-' => (true, &line[1..]),
        b'+' => (false, &line[1..]),
        _ => (false, line),
    };
    if digits.is_empty() || digits.len() > 4 {
        return None;
    }
    let mut code = 0i16;
    for &d in digits {
        if !d.is_ascii_digit() {
            return None;
        }
        code = code * 10 + i16::from(d - b'0');
    }
    Some(if negative { -code } else { code })
}

impl Iterator for Pairs<'_> {
    type Item = Result<Pair, DxfError>;

    #[inline]
    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let (start, stop, _) = self.line()?;
            let Some(code) = group_code(&self.bytes[start..stop]) else {
                // Blank lines, and a byte order mark before the first code, are ignored.
                let line = self.bytes[start..stop].trim_ascii();
                if line.is_empty() {
                    continue;
                }
                let line = line.strip_prefix(b"\xef\xbb\xbf".as_slice()).unwrap_or(line);
                if let (0, Some(code)) = (start, group_code(line)) {
                    return Some(self.value_of(start, code));
                }
                self.drained = true;
                self.ends = Memchr::new(0, &[]);
                return Some(Err(DxfError::GroupCode {
                    line: line_at(self.bytes, start),
                    text: printable(line),
                }));
            };
            return Some(self.value_of(start, code));
        }
    }
}

impl Pairs<'_> {
    #[inline]
    fn value_of(&mut self, start: usize, code: i16) -> Result<Pair, DxfError> {
        let Some((from, stop, next)) = self.line() else {
            return Err(DxfError::Truncated {
                line: line_at(self.bytes, start),
                missing: "the value of its last group code",
            });
        };
        let whole = Span::new(start, next);
        Ok(Pair { code, start: whole.start, value: Span::new(from, stop), end: whole.end })
    }
}

/// Bytes of the input as shown in a message: at most 40 characters, with control characters escaped.
#[must_use]
pub(crate) fn printable(bytes: &[u8]) -> String {
    let text = String::from_utf8_lossy(bytes);
    let mut out: String = text
        .chars()
        .take(40)
        .flat_map(|c| if c.is_control() { c.escape_default().collect::<Vec<_>>() } else { vec![c] })
        .collect();
    if text.chars().count() > 40 {
        out.push('…');
    }
    out
}
