// Put into the crate beside its mutants.
//! Says which mutant is switched on, and notes which were asked for.
use std::fs::File;
use std::io::Write;
use std::sync::{LazyLock, Mutex};
use std::{collections::HashSet, env};

static ACTIVE: LazyLock<usize> =
    LazyLock::new(|| env::var("MUTANT").ok().and_then(|n| n.parse().ok()).unwrap_or(0));
static REACHED: LazyLock<Option<Mutex<(HashSet<usize>, File)>>> = LazyLock::new(|| {
    let file = File::options().append(true).open(env::var_os("MUTANTS_REACHED")?).ok()?;
    Some(Mutex::new((HashSet::new(), file)))
});

/// The one of `mutants` that is switched on, or 0.
pub fn at(mutants: &[usize]) -> usize {
    if let Some(reached) = &*REACHED {
        let mut reached = reached.lock().unwrap_or_else(|e| e.into_inner());
        for number in mutants {
            if reached.0.insert(*number) {
                let _ = reached.1.write_all(format!("{number}\n").as_bytes());
            }
        }
    }
    if mutants.contains(&*ACTIVE) { *ACTIVE } else { 0 }
}
