//! What is asked for one drawing: its size table, and its settings from options and job file.

use super::Failure;
use super::inputs::{self, TextFile};
use crate::job::{Aim, SizeTable, TurnedIn, Uneven};
use crate::order::Settings;
use crate::pattern::{Pattern, SizeName};
use crate::seam::{SeamRole, Size};

/// Reads the size table for drawings with these sizes. A row for any other size is an error, and so is a size given as an
/// option for which there is no row.
pub fn table(file: &TextFile, sizes: &[Size<'_>], only: &[SizeName]) -> Result<SizeTable, Failure> {
    let known = sizes.iter().map(|size| size.name.clone()).collect();
    let table = SizeTable::read_for(&file.bytes, &file.shown, Some(&known))?;
    let asked = table.rows.iter().map(|row| row.size.as_str());
    inputs::sizes_there(only, asked, &format!("is not in the size table {}, which has", file.shown))?;
    Ok(table)
}

/// Refuses settings that contradict each other when a drawing is to be altered.
pub fn at_odds(settings: &Settings) -> Result<(), Failure> {
    if settings.aim == Aim::Distance && settings.uneven != Uneven::Keep {
        return Err(format!(
            "--aim distance slides by the share as it stands, and --uneven {} solves for the slide; choose one of them",
            settings.uneven
        )
        .into());
    }
    Ok(())
}

/// The settings of a run as the page lists them, each with its name and its value.
pub fn run_settings(
    table: &TextFile,
    rules: Option<&TextFile>,
    job_file: Option<&TextFile>,
    pattern: &Pattern,
    settings: &Settings,
) -> Vec<(&'static str, String)> {
    let seams =
        SeamRole::ALL.iter().filter_map(|&role| Some(format!("{role} {}", pattern.allowances.get(role)?)));
    let allowances = seams.collect::<Vec<_>>().join(", ");
    let files = [("Size table", Some(table)), ("Rule table", rules), ("Job file", job_file)];
    let mut told: Vec<_> =
        files.into_iter().filter_map(|(name, file)| Some((name, file?.traced()))).collect();
    told.extend((!allowances.is_empty()).then_some(("Allowances given", allowances)));
    let folds =
        TurnedIn::EDGES.iter().filter_map(|&edge| Some(format!("{edge} {}", pattern.turned_in.get(edge)?)));
    let folds = folds.collect::<Vec<_>>().join(", ");
    told.extend((!folds.is_empty()).then_some(("Turned in beyond folds", folds)));
    told.extend(settings.described());
    told
}
