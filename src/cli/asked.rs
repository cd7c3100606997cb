//! What is asked of one drawing: its size table, and its settings from options and job file.

use super::args::{Common, How};
use super::{Failure, files, inputs};
use crate::job::{Aim, BlendTo, Job, SizeTable, Uneven, length};
use crate::order::{self, Opened, Settings};
use crate::seam::{SeamRole, Size};
use crate::units::Unit;
use std::path::Path;

/// The bytes of a size table.
pub struct TableFile {
    /// Its path as it was given.
    shown: String,
    /// Its bytes.
    bytes: Vec<u8>,
}

impl TableFile {
    /// Reads the file of a size table.
    pub fn read(path: &Path) -> Result<Self, Failure> {
        Ok(TableFile::new(files::shown(path), files::read(path)?))
    }

    /// A size table of these bytes; the path's ending tells TOML from CSV.
    pub fn new(shown: String, bytes: Vec<u8>) -> Self {
        TableFile { shown, bytes }
    }

    fn table(&self, plain: Unit) -> Result<SizeTable, Failure> {
        let toml = Path::new(&self.shown).extension().is_some_and(|e| e.eq_ignore_ascii_case("toml"));
        Ok(if toml {
            SizeTable::from_toml_bytes(&self.bytes, &self.shown, plain)?
        } else {
            SizeTable::from_csv_bytes(&self.bytes, &self.shown, plain)?
        })
    }
}

/// The table and the settings for a drawing. `known` are the sizes of all drawings that share the
/// table; a row of any other size is an error.
pub fn read(
    common: &Common,
    how: &How,
    table: &TableFile,
    (job, opened): (&Job, &Opened<'_>),
    known: &[Size<'_>],
) -> Result<(SizeTable, Settings), Failure> {
    let plain = inputs::plain_unit(common, job, opened);
    let settings = settings(common, how, job, plain)?;
    let shown = &table.shown;
    let table = table.table(plain)?;
    let mut problems: Vec<String> =
        order::unknown(known, &table).iter().map(|u| format!("{shown}: {u}")).collect();
    let unknown = settings.only.iter().filter(|s| table.row(s).is_none());
    problems.extend(unknown.map(|s| format!("--size {}: is not in the size table {shown}", s.as_str())));
    if problems.is_empty() { Ok((table, settings)) } else { Err(problems.join("\n").into()) }
}

/// The options over the job file.
fn settings(common: &Common, how: &How, job: &Job, plain: Unit) -> Result<Settings, Failure> {
    let mut settings = inputs::settings(common, job);
    settings.aim = how.aim.unwrap_or(settings.aim);
    settings.uneven = how.uneven.unwrap_or(settings.uneven);
    if let Some(text) = &how.blend_to {
        settings.blend_to = BlendTo::parse(text, plain).map_err(|e| format!("--blend-to: {e}"))?;
    }
    if let Some(text) = &how.tolerance {
        settings.inseam = length::parse(text, plain).map_err(|e| format!("--tolerance: {e}"))?;
    }
    settings.accept.clone_from(&how.accept);
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
    table: &TableFile,
    rules: Option<&Path>,
    job: &Job,
    settings: &Settings,
) -> Vec<(&'static str, String)> {
    let seams = SeamRole::ALL.iter().filter_map(|&role| Some(format!("{role} {}", job.allowance.get(role)?)));
    let allowances = seams.collect::<Vec<_>>().join(", ");
    let mut told = vec![("Size table", format!("{}, SHA-256 {}", table.shown, order::sha256(&table.bytes)))];
    told.extend(rules.map(|path| ("Rule table", files::shown(path))));
    told.extend((!allowances.is_empty()).then_some(("Allowances given", allowances)));
    told.extend(settings.described());
    told
}
