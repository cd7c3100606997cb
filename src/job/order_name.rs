//! Names of orders. The results of an order go into a folder with its name. A name must therefore be valid for a folder on every
//! system, must not lead to another place, and must differ from every other name by more than upper and lower case.

/// The longest name, in bytes: below the 255 that file systems commonly accept.
const LONGEST: usize = 200;

/// Names that Windows reserves for devices, with any extension.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "conin$", "conout$"];

/// The beginnings of the names of the files that a batch writes next to the orders' folders.
const TAKEN: [&str; 2] = ["summary.", "index."];

/// Why a text cannot be the name of an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    /// Nothing but blanks.
    #[error("is empty")]
    Empty,
    /// It contains a character that leads to another folder, or may do so on some system.
    #[error("has '{0}' in it, which no folder's name can have on every system")]
    Character(char),
    /// It contains control characters or invisible characters.
    #[error("has a character in it that cannot be seen")]
    Unseen,
    /// `.`, `..` and hidden folders.
    #[error("starts with a dot")]
    LeadingDot,
    /// Windows drops a dot or blank at the end, which gives another name.
    #[error("has a blank at an end, or a dot at its end")]
    Edge,
    /// A name that Windows reserves for a device.
    #[error("is a name that Windows keeps for a device")]
    Device,
    /// The name of one of the batch's own files.
    #[error("is what the batch's own files are called")]
    Taken,
    /// Longer than file systems accept.
    #[error("is longer than {LONGEST} bytes")]
    TooLong,
}

/// What to do about a name that cannot be used.
pub const ACCEPTED: &str =
    "the results go into a folder of this name: use letters, digits, blanks, '-' and '_'";

/// Whether a text can be the name of an order.
pub fn check(name: &str) -> Result<(), NameError> {
    if name.trim().is_empty() {
        return Err(NameError::Empty);
    }
    if let Some(c) = name.chars().find(|c| r#"/\:*?"<>|"#.contains(*c)) {
        return Err(NameError::Character(c));
    }
    if super::diagnostic::escaped(name) != name {
        return Err(NameError::Unseen);
    }
    if name.starts_with('.') {
        return Err(NameError::LeadingDot);
    }
    if name.trim() != name || name.ends_with('.') {
        return Err(NameError::Edge);
    }
    let folded = folded(name);
    let stem = folded.split('.').next().unwrap_or_default().trim_end();
    // Names with a superscript digit, such as COM¹, are devices as well.
    let port =
        |p: &str| stem.strip_prefix(p).is_some_and(|n| n.chars().count() == 1 && n.contains(is_port_digit));
    if DEVICES.contains(&stem) || port("com") || port("lpt") {
        return Err(NameError::Device);
    }
    if TAKEN.iter().any(|taken| folded.starts_with(taken)) {
        return Err(NameError::Taken);
    }
    if name.len() > LONGEST {
        return Err(NameError::TooLong);
    }
    Ok(())
}

fn is_port_digit(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '¹' | '²' | '³')
}

/// The name in the form in which file systems that ignore case compare it.
#[must_use]
pub fn folded(name: &str) -> String {
    name.to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_stay_in_their_folder_are_taken() {
        for name in
            ["1041", "MH-214 spring_2", "größe", "a.b", "come", "com10", "console", "nul-1", "summary"]
        {
            assert_eq!(check(name), Ok(()), "{name}");
        }
    }

    #[test]
    fn names_that_would_leave_it_or_cannot_be_are_not() {
        // The characters and device names are those of "Naming Files, Paths, and Namespaces" of the
        // Windows documentation, from memory.
        for (name, error) in [
            ("", NameError::Empty),
            (" ", NameError::Empty),
            ("..", NameError::LeadingDot),
            (".", NameError::LeadingDot),
            (".git", NameError::LeadingDot),
            ("../x", NameError::Character('/')),
            ("/etc", NameError::Character('/')),
            ("a\\b", NameError::Character('\\')),
            ("C:", NameError::Character(':')),
            ("a\u{0}b", NameError::Unseen),
            ("a\nb", NameError::Unseen),
            ("a\u{202e}b", NameError::Unseen),
            ("x.", NameError::Edge),
            ("x ", NameError::Edge),
            ("CON", NameError::Device),
            ("nul.dxf", NameError::Device),
            ("Com1", NameError::Device),
            ("LPT9 .txt", NameError::Device),
            ("com²", NameError::Device),
            ("Summary.csv", NameError::Taken),
            ("summary.1-of-4", NameError::Taken),
            ("INDEX.html", NameError::Taken),
        ] {
            assert_eq!(check(name), Err(error), "{name:?}");
        }
        assert_eq!(check(&"a".repeat(201)), Err(NameError::TooLong));
    }
}
