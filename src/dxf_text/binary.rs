//! Converts binary DXF to text: the same pairs in the same order, with nothing left out.
//!
//! The value types by group code are those of the format's published reference. The text has CRLF
//! line ends, and numbers in the shortest form that reads back to the same value.

use super::DxfError;
use std::io::Write;

/// The first bytes of every binary file, according to the format's reference.
const SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

/// Whether these are the bytes of a binary DXF file.
#[must_use]
pub fn is_binary(bytes: &[u8]) -> bool {
    bytes.starts_with(SENTINEL)
}

/// The file as ASCII DXF.
pub fn to_text(bytes: &[u8]) -> Result<Vec<u8>, DxfError> {
    let mut input = Input { bytes, at: SENTINEL.len() };
    // Release 13 and later write codes in two bytes. The second byte is then 0, because the first pair of a file is "0 SECTION".
    let wide = bytes.get(input.at + 1) == Some(&0);
    let mut out = Vec::with_capacity(bytes.len() * 2);
    while input.at < bytes.len() {
        let code = input.code(wide)?;
        // Writing to a Vec cannot fail.
        let _ = write!(out, "{code:3}\r\n");
        input.value(code, &mut out)?;
        out.extend_from_slice(b"\r\n");
        if code == 0 && out.ends_with(b"\r\nEOF\r\n") {
            return Ok(out);
        }
    }
    Err(DxfError::Binary { offset: bytes.len(), why: "ends before EOF; it was cut short" })
}

struct Input<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Input<'_> {
    fn take<const N: usize>(&mut self) -> Result<[u8; N], DxfError> {
        let short = DxfError::Binary { offset: self.at, why: "ends within a value; it was cut short" };
        let piece = self.bytes.get(self.at..self.at + N).ok_or_else(|| short.clone())?;
        self.at += N;
        piece.try_into().map_err(|_| short)
    }

    fn code(&mut self, wide: bool) -> Result<i16, DxfError> {
        if wide {
            return Ok(i16::from_le_bytes(self.take()?));
        }
        match self.take::<1>()?[0] {
            255 => Ok(i16::from_le_bytes(self.take()?)),
            code => Ok(i16::from(code)),
        }
    }

    fn value(&mut self, code: i16, out: &mut Vec<u8>) -> Result<(), DxfError> {
        let written = match code {
            10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => {
                let v = f64::from_le_bytes(self.take()?);
                if !v.is_finite() {
                    return Err(DxfError::Binary {
                        offset: self.at - 8,
                        why: "holds a number that is not finite",
                    });
                }
                // The number always has a decimal point, so that it is read as a real number again.
                write!(out, "{v:?}")
            }
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => {
                write!(out, "{}", i16::from_le_bytes(self.take()?))
            }
            90..=99 | 420..=429 | 440..=459 | 1071 => write!(out, "{}", i32::from_le_bytes(self.take()?)),
            160..=169 => write!(out, "{}", i64::from_le_bytes(self.take()?)),
            290..=299 => write!(out, "{}", self.take::<1>()?[0]),
            310..=319 | 1004 => {
                for _ in 0..self.take::<1>()?[0] {
                    let _ = write!(out, "{:02X}", self.take::<1>()?[0]);
                }
                Ok(())
            }
            0..=9
            | 100..=109
            | 300..=309
            | 320..=369
            | 390..=399
            | 410..=419
            | 430..=439
            | 470..=481
            | 999..=1009 => return self.string(out),
            _ => {
                return Err(DxfError::Binary {
                    offset: self.at,
                    why: "has a group code whose value type is not known",
                });
            }
        };
        let _ = written; // Writing to a Vec cannot fail.
        Ok(())
    }

    fn string(&mut self, out: &mut Vec<u8>) -> Result<(), DxfError> {
        let rest = &self.bytes[self.at..];
        let Some(end) = memchr::memchr(0, rest) else {
            return Err(DxfError::Binary { offset: self.at, why: "ends within a text; it was cut short" });
        };
        if rest[..end].iter().any(|b| matches!(b, b'\n' | b'\r')) {
            return Err(DxfError::Binary {
                offset: self.at,
                why: "holds a text with a line break, which ASCII DXF cannot hold",
            });
        }
        out.extend_from_slice(&rest[..end]);
        self.at += end + 1;
        Ok(())
    }
}
