//! Finds the encoding of a drawing's texts.

use encoding_rs::{
    BIG5, EUC_KR, Encoding, GBK, IBM866, SHIFT_JIS, UTF_8, WINDOWS_874, WINDOWS_1250, WINDOWS_1251,
    WINDOWS_1252, WINDOWS_1253, WINDOWS_1254, WINDOWS_1255, WINDOWS_1256, WINDOWS_1257, WINDOWS_1258,
};

/// The encoding of a file. It is UTF-8 if the whole file is valid UTF-8, because a text in another code page is not so by chance.
/// Otherwise it is the code page named by `$DWGCODEPAGE` in the header, and without that Windows-1252, in which every byte has a
/// meaning, so that nothing is lost.
pub(super) fn of(bytes: &[u8], code_page: Option<&[u8]>) -> &'static Encoding {
    if std::str::from_utf8(bytes).is_ok() {
        return UTF_8;
    }
    code_page.and_then(named).unwrap_or(WINDOWS_1252)
}

/// The encoding of a code page by the names that the format uses, such as `ANSI_1251` (from memory).
fn named(name: &[u8]) -> Option<&'static Encoding> {
    let name = std::str::from_utf8(name).ok()?.trim().to_ascii_uppercase();
    let number = name.trim_start_matches(|c: char| !c.is_ascii_digit());
    Some(match number {
        "866" => IBM866,
        "874" => WINDOWS_874,
        "932" => SHIFT_JIS,
        "936" => GBK,
        "949" | "1361" => EUC_KR,
        "950" => BIG5,
        "1250" => WINDOWS_1250,
        "1251" => WINDOWS_1251,
        "1252" => WINDOWS_1252,
        "1253" => WINDOWS_1253,
        "1254" => WINDOWS_1254,
        "1255" => WINDOWS_1255,
        "1256" => WINDOWS_1256,
        "1257" => WINDOWS_1257,
        "1258" => WINDOWS_1258,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_code_page_counts_where_the_file_is_not_utf8() {
        assert_eq!(of(b"\xcf\xc5\xd0", Some(b"ANSI_1251")), WINDOWS_1251);
        assert_eq!(of(b"\x91\x4f", Some(b"ansi_932")), SHIFT_JIS);
        assert_eq!(of("Tür".as_bytes(), Some(b"ANSI_1251")), UTF_8);
        assert_eq!(of(b"T\xfcr", None), WINDOWS_1252);
        assert_eq!(of(b"T\xfcr", Some(b"DOS437")), WINDOWS_1252);
    }
}
