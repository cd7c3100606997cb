//! Reads numbers strictly as drawings write them, and writes new numbers in the style of the old ones.

/// Coordinates beyond this many drawing units are refused: no pattern piece is a kilometre long, and searches by arc length
/// become unreliable far beyond it.
pub const REACH: f64 = 1e6;

/// The number of decimals available to a new number if its value needs them: 1e-6 drawing units.
const DECIMALS: usize = 6;

/// Reads a finite number in the format's own notation; `nan`, `inf` and a decimal comma are not accepted.
#[inline]
#[must_use]
pub fn parse(text: &[u8]) -> Option<f64> {
    let text = text.trim_ascii();
    let text = text.strip_prefix(b"+").unwrap_or(text);
    // The library also reads words such as "inf", but a drawing's number begins with a digit, sign or point.
    if !matches!(text.first()?, b'0'..=b'9' | b'-' | b'.') {
        return None;
    }
    let value: f64 = fast_float2::parse(text).ok()?;
    value.is_finite().then_some(value)
}

/// The style in which a number is written, which is kept when its value changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Style {
    plus: bool,
    bare_point: bool,
    point: bool,
    decimals: usize,
    /// The letter of the exponent, whether a positive exponent has a sign, and the least number of its digits.
    exponent: Option<(u8, bool, usize)>,
}

impl Style {
    fn of(old: &[u8]) -> Style {
        let old = old.trim_ascii();
        let (plus, digits) = match old.first() {
            Some(b'+') => (true, &old[1..]),
            Some(b'-') => (false, &old[1..]),
            _ => (false, old),
        };
        let split = digits.iter().position(|b| matches!(b, b'e' | b'E'));
        let mantissa = &digits[..split.unwrap_or(digits.len())];
        let point = mantissa.iter().position(|&b| b == b'.');
        let exponent = split.map(|i| {
            let tail = &digits[i + 1..];
            let signed = matches!(tail.first(), Some(b'+' | b'-'));
            (digits[i], tail.first() == Some(&b'+'), tail.len() - usize::from(signed))
        });
        Style {
            plus,
            bare_point: point == Some(0),
            point: point.is_some(),
            decimals: point.map_or(0, |p| mantissa.len() - p - 1),
            exponent,
        }
    }
}

/// The number of decimals with which a number is written.
#[must_use]
pub fn decimals(text: &[u8]) -> usize {
    let style = Style::of(text);
    if style.exponent.is_some() { DECIMALS } else { style.decimals }
}

/// Appends `value` in the style of the number `old`, with its sign, decimals, point and exponent. It gets more decimals only if
/// the value needs them to be right to 1e-6.
pub fn write_like(out: &mut Vec<u8>, old: &[u8], value: f64) {
    let style = Style::of(old);
    if style.exponent.is_some() {
        exponential(out, style, value);
    } else {
        fixed(out, style, value);
    }
}

fn fixed(out: &mut Vec<u8>, style: Style, value: f64) {
    let decimals = style.decimals.max(DECIMALS);
    // Up to this limit an integer holds the digits exactly. Larger values are written by the general formatter, which is slower.
    let scaled = if decimals <= 9 { value.abs() * POWERS[decimals] } else { f64::INFINITY };
    if scaled >= 9e15 {
        let text = format!("{:.*}", decimals, value.abs());
        let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
        let zero = text.bytes().all(|b| matches!(b, b'0' | b'.'));
        sign(out, style, value < 0.0 && !zero);
        digits(out, style, whole.as_bytes(), fraction.as_bytes());
        return;
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 ..= 9e15
    let mut n = scaled.round() as u64;
    sign(out, style, value < 0.0 && n != 0);
    let mut buffer = [b'0'; 32];
    let mut at = buffer.len();
    for _ in 0..decimals {
        at -= 1;
        buffer[at] = b'0' + (n % 10) as u8;
        n /= 10;
    }
    let point = at;
    loop {
        at -= 1;
        buffer[at] = b'0' + (n % 10) as u8;
        n /= 10;
        if n == 0 {
            break;
        }
    }
    let (head, fraction) = buffer.split_at(point);
    digits(out, style, &head[at..], fraction);
}

const POWERS: [f64; 10] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

fn sign(out: &mut Vec<u8>, style: Style, negative: bool) {
    if negative {
        out.push(b'-');
    } else if style.plus {
        out.push(b'+');
    }
}

/// Writes the digits, with trailing zeros removed as far as the old number's decimals allow.
fn digits(out: &mut Vec<u8>, style: Style, whole: &[u8], fraction: &[u8]) {
    let mut keep = fraction.len();
    while keep > style.decimals && fraction[keep - 1] == b'0' {
        keep -= 1;
    }
    if !(style.bare_point && whole == b"0" && keep > 0) {
        out.extend_from_slice(whole);
    }
    if keep > 0 || style.point {
        out.push(b'.');
    }
    out.extend_from_slice(&fraction[..keep]);
}

fn exponential(out: &mut Vec<u8>, style: Style, value: f64) {
    let Some((letter, signed, least)) = style.exponent else { return };
    let magnitude = if value == 0.0 { 0.0 } else { value.abs().log10().floor() };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a small whole number
    let needed = (DECIMALS as f64 + magnitude).max(0.0) as usize;
    let text = format!("{:.*e}", style.decimals.max(needed), value.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    sign(out, style, value < 0.0);
    digits(out, style, whole.as_bytes(), fraction.as_bytes());
    out.push(letter);
    let (negative, power) = match exponent.strip_prefix('-') {
        Some(p) => (true, p),
        None => (false, exponent),
    };
    if negative {
        out.push(b'-');
    } else if signed {
        out.push(b'+');
    }
    for _ in power.len()..least {
        out.push(b'0');
    }
    out.extend_from_slice(power.as_bytes());
}

#[cfg(test)]
mod tests {
    use super::*;

    fn like(old: &str, value: f64) -> String {
        let mut out = Vec::new();
        write_like(&mut out, old.as_bytes(), value);
        String::from_utf8_lossy(&out).into_owned()
    }

    #[test]
    fn keeps_the_old_style() {
        assert_eq!(like("12.5000", 13.25), "13.2500");
        assert_eq!(like("12.5", 13.0), "13.0");
        assert_eq!(like("12", 13.0), "13");
        assert_eq!(like("12.", 13.0), "13.");
        assert_eq!(like("+12.5", 0.5), "+0.5");
        assert_eq!(like(".5", 0.25), ".25");
        assert_eq!(like("-.5", -0.25), "-.25");
        assert_eq!(like("1.5", -0.0), "0.0");
        assert_eq!(like("1.250000E+02", 37.125), "3.712500E+01");
        assert_eq!(like("1.25e2", 1234.5), "1.2345e3");
        assert_eq!(like("1.25e-02", 0.0), "0.00e00");
    }

    #[test]
    fn has_the_digits_a_micrometre_of_a_micrometre_needs() {
        for value in [1_234.567_890_12, -1.4e-6, 999_999.123_456_7, 0.1 + 0.2, -1.0 / 3.0] {
            for old in ["1", "1.5", "-0.123456789", "1.5e3", "2E+001", "12.345678901234"] {
                let text = like(old, value);
                let read = parse(text.as_bytes()).unwrap_or(f64::NAN);
                assert!((read - value).abs() <= 5.1e-7, "{old}: {value} written as {text}");
            }
        }
    }

    #[test]
    fn reads_no_words_and_no_commas() {
        for bad in ["nan", "inf", "-inf", "infinity", "1,5", "1d3", "", "-", "1 2", "0x10", "1e999"] {
            assert_eq!(parse(bad.as_bytes()), None, "{bad}");
        }
        assert_eq!(parse(b" +1.5 "), Some(1.5));
        assert_eq!(parse(b"-.5"), Some(-0.5));
    }
}
