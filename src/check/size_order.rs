//! The order of sizes: which size follows which, and how far apart they are.

use crate::pattern::SizeName;

/// The place of a size in its run. Sizes of one run can be put in order; `38 long` and `38 short` belong to two runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Rank {
    /// What the names of all sizes in a run have in common: the name without its number.
    pub run: String,
    /// The size's number; for a letter size, its place counted from `M`.
    pub at: f64,
    /// Whether it is a letter size.
    pub letters: bool,
}

/// The rank of a size; `None` for a name with neither a number nor a size letter.
#[must_use]
pub fn rank(size: &SizeName) -> Option<Rank> {
    let name: String = size.as_str().chars().filter(|c| !c.is_whitespace()).collect();
    let name = name.to_lowercase();
    if let Some(at) = letters(&name) {
        return Some(Rank { run: String::new(), at, letters: true });
    }
    let start = name.find(|c: char| c.is_ascii_digit())?;
    let digits = name[start..].char_indices().find(|&(i, c)| {
        !c.is_ascii_digit() && (c != '.' || !name[start + i + 1..].starts_with(char::is_numeric))
    });
    let end = digits.map_or(name.len(), |(i, _)| start + i);
    let at = name[start..end].parse().ok()?;
    Some(Rank { run: format!("{}#{}", &name[..start], &name[end..]), at, letters: false })
}

/// The place of a letter size: `XS` is −2, `S` −1, `M` 0, `L` 1, `XL` 2, `XXL` and `2XL` 3.
fn letters(name: &str) -> Option<f64> {
    let (count, rest) = match name.find(|c: char| !c.is_ascii_digit())? {
        0 => (None, name),
        n => (Some(name[..n].parse::<u32>().ok().filter(|&n| n < 20)?), &name[n..]),
    };
    let base = rest.trim_start_matches('x');
    let xs = u32::try_from(rest.len() - base.len()).ok()?;
    let steps = match count {
        Some(n) if xs == 1 => n,
        Some(_) => return None,
        None => xs,
    };
    match (base, steps) {
        ("m", 0) => Some(0.0),
        ("s", n) => Some(-1.0 - f64::from(n)),
        ("l", n) => Some(1.0 + f64::from(n)),
        _ => None,
    }
}

/// The name that the size at the place `at` would have in the run to which `like` belongs.
#[must_use]
pub fn name_like(like: &SizeName, rank: &Rank, at: f64) -> String {
    if !rank.letters {
        return like.as_str().replacen(&format!("{}", rank.at), &format!("{at}"), 1);
    }
    // The places are whole numbers around that of M, and small.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let xs = (at.abs() - 1.0).max(0.0) as usize;
    let base = if at == 0.0 {
        "M"
    } else if at < 0.0 {
        "S"
    } else {
        "L"
    };
    "X".repeat(xs) + base
}

/// The size that an otherwise regular run leaves out: all steps are equal except one, which is twice as wide and has other
/// steps on both sides. A run that continues in wider steps from some size on does not leave one out.
#[must_use]
pub fn hole(places: &[f64]) -> Option<f64> {
    let steps: Vec<f64> = places.windows(2).map(|w| w[1] - w[0]).collect();
    let usual = steps.iter().copied().fold(f64::INFINITY, f64::min);
    let is = |step: f64, times: f64| (step / usual - times).abs() < 1e-6;
    let wide: Vec<usize> = (0..steps.len()).filter(|&i| !is(steps[i], 1.0)).collect();
    let [one] = wide[..] else { return None };
    let flanked = one > 0 && one + 1 < steps.len();
    (flanked && is(steps[one], 2.0)).then(|| places[one] + usual)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn at(name: &str) -> f64 {
        rank(&SizeName::new(name)).unwrap().at
    }

    #[test]
    fn sizes_stand_in_their_run() {
        let letters: Vec<f64> = ["XXS", "xs", "S", "M", "L", "XL", "2XL", "XXXL"].map(at).to_vec();
        assert_eq!(letters, [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0, 4.0]);
        let numbers: Vec<f64> = ["38", "38.5", "W 40 L 32", "104"].map(at).to_vec();
        assert_eq!(numbers, [38.0, 38.5, 40.0, 104.0]);
        let run = |name: &str| rank(&SizeName::new(name)).unwrap().run;
        assert_eq!(run("38 Long"), run("40LONG"));
        assert_ne!(run("38 Long"), run("38 Short"));
        assert_eq!(rank(&SizeName::new("ONE SIZE")), None);
    }

    #[test]
    fn the_run_is_what_the_sizes_have_in_common() {
        let of = |name: &str| rank(&SizeName::new(name)).map(|r| (r.run.clone(), r.at, r.letters));
        let number = |run: &str, at: f64| Some((run.to_owned(), at, false));
        let letter = |at: f64| Some((String::new(), at, true));
        for (name, meant) in [
            ("W 40 L 32", number("w#l32", 40.0)),
            ("38.5", number("#", 38.5)),
            ("W31.25 short", number("w#short", 31.25)),
            // A decimal point that no digit follows is not part of the number.
            ("38.", number("#.", 38.0)),
            ("38.b", number("#.b", 38.0)),
            ("T 7.R", number("t#.r", 7.0)),
            ("19XL", letter(20.0)),
            ("3XS", letter(-4.0)),
            ("x s", letter(-2.0)),
            // These are no letter sizes: a count of twenty X, two counts of X, a count without X, and an X before M.
            ("20XL", number("#xl", 20.0)),
            ("2XXL", number("#xxl", 2.0)),
            ("3L", number("#l", 3.0)),
            ("1XM", number("#xm", 1.0)),
            ("XM", None),
            ("X", None),
            ("", None),
        ] {
            assert_eq!(of(name), meant, "{name}");
        }
    }

    #[test]
    fn a_size_is_named_like_the_others_of_its_run() {
        let like = |name: &str, at: f64| {
            let size = SizeName::new(name);
            name_like(&size, &rank(&size).unwrap(), at)
        };
        assert_eq!(
            [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0].map(|at| like("M", at)),
            ["XXS", "XS", "S", "M", "L", "XL", "XXL"]
        );
        assert_eq!(like("W 32 L 32", 34.0), "W 34 L 32");
        assert_eq!(like("7.5 wide", 8.25), "8.25 wide");
    }

    #[test]
    fn a_hole_is_twice_a_step_with_steps_on_both_sides() {
        assert_eq!(hole(&[10.0, 13.0, 19.0, 22.0]), Some(16.0));
        assert_eq!(hole(&[10.0, 13.0, 16.0, 22.0, 25.0]), Some(19.0));
        assert_eq!(hole(&[10.0, 10.5, 11.5, 12.0]), Some(11.0));
        for none in [
            // At an end of the run the wide step may be where the steps change.
            &[10.0, 16.0, 19.0, 22.0][..],
            &[10.0, 13.0, 16.0, 22.0],
            // A step three times as wide, one not quite twice as wide, and two wide steps.
            &[10.0, 13.0, 22.0, 25.0],
            &[10.0, 10.5, 11.75, 12.25],
            &[10.0, 13.0, 19.0, 22.0, 28.0, 31.0],
            &[10.0, 13.0, 16.0, 19.0],
            &[10.0],
            &[],
        ] {
            assert_eq!(hole(none), None, "{none:?}");
        }
    }

    #[test]
    fn a_hole_is_one_size_left_out_of_a_regular_run() {
        assert_eq!(hole(&[34.0, 36.0, 40.0, 42.0]), Some(38.0));
        let long = SizeName::new("34 Long");
        assert_eq!(name_like(&long, &rank(&long).unwrap(), 38.0), "38 Long");
        let xs = SizeName::new("XS");
        assert_eq!(name_like(&xs, &rank(&xs).unwrap(), 2.0), "XL");
        assert_eq!(hole(&[34.0, 36.0, 38.0, 42.0, 46.0]), None);
        assert_eq!(hole(&[28.0, 29.0, 30.0, 32.0]), None);
        assert_eq!(hole(&[34.0, 36.0, 38.0]), None);
        assert_eq!(hole(&[2.0, 3.0, 5.0, 7.0, 8.0]), None);
    }
}
