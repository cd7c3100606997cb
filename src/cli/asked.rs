//! What is asked of one drawing: its size table, and its settings from options and job file.

use super::Failure;
use super::args::{Common, How};
use super::inputs::{self, TextFile};
use crate::job::size_table::Reading;
use crate::job::{Aim, BlendTo, Job, SizeTable, TurnedIn, Uneven, length};
use crate::order::{Opened, Settings};
use crate::seam::{SeamRole, Size};
use crate::units::Unit;

/// The table and the settings for a drawing. `known` are the sizes of all drawings that share the
/// table; a row of any other size is an error.
pub fn read(
    common: &Common,
    how: &How,
    table: &TextFile,
    (job, opened): (&Job, &Opened<'_>),
    known: &[Size<'_>],
) -> Result<(SizeTable, Settings), Failure> {
    let plain = inputs::plain_unit(common, job, opened);
    let settings = settings(common, how, job, plain)?;
    let shown = &table.shown;
    let known = known.iter().map(|size| size.name.clone()).collect();
    let table = SizeTable::read_for(&table.bytes, shown, Reading { plain, sizes: Some(&known) })?;
    let asked = table.rows.iter().map(|row| row.size.as_str());
    inputs::sizes_there(&common.sizes, asked, &format!("is not in the size table {shown}, which has"))?;
    Ok((table, settings))
}

/// The options over the job file.
fn settings(common: &Common, how: &How, job: &Job, plain: Unit) -> Result<Settings, Failure> {
    let mut settings = inputs::settings(common, job);
    settings.aim = how.aim.unwrap_or(settings.aim);
    settings.uneven = how.uneven.unwrap_or(settings.uneven);
    if let Some(text) = &how.blend_to {
        settings.blend_to = Some(BlendTo::parse(text, plain).map_err(|e| format!("--blend-to: {e}"))?);
    }
    if let Some(text) = &how.tolerance {
        settings.inseam = length::parse(text, plain).map_err(|e| format!("--tolerance: {e}"))?;
    }
    settings.accept.clone_from(&how.accept);
    settings.follow = how.follow;
    settings.say_altered = how.say_altered;
    settings.reread = !how.no_reread;
    Ok(settings)
}

/// Refuses settings that cannot hold together where a drawing is to be altered.
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

/// What a page says of how a run was made: what each thing is called, and its value.
pub fn told(
    table: &TextFile,
    rules: Option<&TextFile>,
    job_file: Option<&TextFile>,
    job: &Job,
    settings: &Settings,
) -> Vec<(&'static str, String)> {
    let seams = SeamRole::ALL.iter().filter_map(|&role| Some(format!("{role} {}", job.allowance.get(role)?)));
    let allowances = seams.collect::<Vec<_>>().join(", ");
    let files = [("Size table", Some(table)), ("Rule table", rules), ("Job file", job_file)];
    let mut told: Vec<_> =
        files.into_iter().filter_map(|(name, file)| Some((name, file?.traced()))).collect();
    told.extend((!allowances.is_empty()).then_some(("Allowances given", allowances)));
    let folds = TurnedIn::EDGES.iter().filter_map(|&edge| Some(format!("{edge} {}", job.fold.get(edge)?)));
    let folds = folds.collect::<Vec<_>>().join(", ");
    told.extend((!folds.is_empty()).then_some(("Turned in beyond folds", folds)));
    told.extend(settings.described());
    told
}
