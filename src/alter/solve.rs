//! Roots of rising functions.

/// Unknowns are solved to this accuracy in mm; a crotch length has to be met to 0.05 mm.
const EXACT: f64 = 1e-9;

/// The root of a rising function nearest to 0 and no further than `limit` from it, by false position with halving (the "Illinois"
/// rule; M. Dowell, P. Jarratt, *BIT* 11 (1971)), which keeps its bracket. The bracket is widened step by step from 0, up to
/// where the function can be evaluated, since far from 0 that may not be possible. Where there is no root, the error is what
/// stopped the search, if anything did.
pub(super) fn near_zero<E>(f: impl Fn(f64) -> Result<f64, E>, limit: f64) -> Result<f64, Option<E>> {
    let (mut a, mut fa) = (0.0_f64, f(0.0)?);
    if fa.abs() <= EXACT {
        return Ok(0.0);
    }
    let way = if fa > 0.0 { -1.0 } else { 1.0 };
    // Set once the function could not be evaluated, with its error; from then on the steps get shorter.
    let (mut step, mut told) = (limit / 16.0, None);
    let (mut b, mut fb) = loop {
        let b = (a.abs() + step).min(limit);
        match f(way * b) {
            Ok(fb) if fa * fb <= 0.0 => break (way * b, fb),
            Ok(_) if b >= limit => return Err(None),
            Ok(fb) => {
                (a, fa) = (way * b, fb);
                step = if told.is_some() { step / 2.0 } else { b };
            }
            Err(e) => {
                step /= 2.0;
                told = Some(e);
            }
        }
        if let Some(e) = told.take_if(|_| step < limit / 256.0) {
            return Err(Some(e));
        }
    };
    for _ in 0..80 {
        if fb.abs() <= EXACT || (b - a).abs() <= EXACT {
            break;
        }
        let c = b - fb * (b - a) / (fb - fa);
        let fc = f(c)?;
        if fc * fb < 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa /= 2.0;
        }
        (b, fb) = (c, fc);
    }
    Ok(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// If a function cannot be evaluated beyond a place, its root is found up to there; otherwise the result says what stopped
    /// the search.
    #[test]
    fn the_root_is_found_as_far_as_the_function_can_be_told() {
        let told = |end: f64| move |x: f64| if x.abs() <= end { Ok(x - 3.0) } else { Err("beyond") };
        let root = near_zero(told(3.2), 10.0);
        assert!(root.is_ok_and(|x| (x - 3.0).abs() < 1e-6), "{root:?}");
        assert_eq!(near_zero(told(2.9), 10.0), Err(Some("beyond")));
        assert_eq!(near_zero(told(10.0), 2.0), Err(None));
    }
}
