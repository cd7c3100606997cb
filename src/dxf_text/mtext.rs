//! The text of an `MTEXT`: its paragraphs without their formatting.

/// The paragraphs of an `MTEXT`'s content, one line each. The formatting codes are those of the DXF reference (from memory): `\P`
/// ends a paragraph; codes for font, height, colour and the like extend to a semicolon; braces only group.
pub(super) fn plain(content: &str) -> String {
    let mut out = String::with_capacity(content.len());
    let mut chars = content.chars();
    while let Some(c) = chars.next() {
        match c {
            '{' | '}' => {}
            '\\' => match chars.next() {
                Some('P' | 'N' | 'X') => out.push('\n'),
                Some('~') => out.push(' '),
                Some('A' | 'C' | 'c' | 'F' | 'f' | 'H' | 'Q' | 'T' | 'W' | 'p') => {
                    chars.by_ref().find(|&c| c == ';');
                }
                // Stacked fractions: 1/2 written as 1^2, 1/2 or 1#2.
                Some('S') => {
                    let stacked = chars.by_ref().take_while(|&c| c != ';');
                    out.extend(stacked.map(|c| if matches!(c, '^' | '#') { '/' } else { c }));
                }
                Some('L' | 'l' | 'O' | 'o' | 'K' | 'k') | None => {}
                Some(other) => out.push(other),
            },
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn formatting_goes_and_paragraphs_stay() {
        assert_eq!(plain("Piece Name: FRONT\\PSize: 38"), "Piece Name: FRONT\nSize: 38");
        assert_eq!(plain("{\\fArial|b0|i0;\\H2.5x;Size:\\~}38"), "Size: 38");
        assert_eq!(plain("allow \\S5/8; in, \\L\\{cut\\}\\l \\\\"), "allow 5/8 in, {cut} \\");
        assert_eq!(plain("broken off \\"), "broken off ");
    }
}
