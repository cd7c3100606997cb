//! What every command reads: drawings and the job file.

use super::args::{Common, Grading, How};
use super::files::Input;
use super::{Failure, files};
use crate::dxf_text::Drawing;
use crate::finding::Finding;
use crate::grade::{Options, RuleTable};
use crate::job::{Allowances, Job, TurnedIn};
use crate::order::{self, Opened, Settings};
use crate::pattern::{self, Reading, SizeName};
use crate::units::Unit;
use crate::words;
use std::borrow::Cow;
use std::collections::HashSet;
use std::path::{Path, PathBuf};

/// The file a job is looked for in, beside the drawing.
const JOB_FILE: &str = "truerise.toml";

/// The bytes of a drawing.
pub struct DrawingFile {
    /// Its path as it was given.
    pub path: PathBuf,
    /// The same as text.
    pub shown: String,
    /// Its bytes.
    bytes: Vec<u8>,
    /// Its text where that differs from its bytes.
    text: Option<Vec<u8>>,
    /// Whether its bytes are binary DXF.
    binary: bool,
    /// What was noticed in drawing its sizes from the base size.
    graded: Vec<Finding>,
}

impl DrawingFile {
    /// Reads a drawing's bytes; a binary drawing is turned into text.
    pub fn read(path: &Path, common: &Common) -> Result<Self, Failure> {
        DrawingFile::new(path, files::shown(path), common.inputs().read(path, Input::Drawing)?)
    }

    /// The drawing of these bytes.
    pub fn new(path: &Path, shown: String, bytes: Vec<u8>) -> Result<Self, Failure> {
        let text = match order::text(&bytes).map_err(|e| format!("{shown}: {e}"))? {
            Cow::Borrowed(_) => None,
            Cow::Owned(text) => Some(text),
        };
        let binary = text.is_some();
        Ok(DrawingFile { path: path.to_owned(), shown, bytes, text, binary, graded: Vec::new() })
    }

    /// The drawing with the sizes of a grade rule table, if there is one, drawn from its base size.
    pub fn graded(
        mut self,
        rules: Option<&RuleTable>,
        how: &How,
        common: &Common,
        job_file: Option<&TextFile>,
    ) -> Result<Self, Failure> {
        let grading = &how.grading;
        let Some(rules) = rules else {
            if grading.deltas.is_some() || grading.reference.is_some() {
                return Err(
                    "--deltas and --reference say how a rule table is read; give the table with --rules"
                        .into(),
                );
            }
            return Ok(self);
        };
        let (job, opened) = self.open_with(common, job_file)?;
        // Every size is drawn: which are altered is the size table's business.
        let options =
            Options { only: Vec::new(), no_reread: how.no_reread, ..self::grading(grading, &job, common) };
        let nest = order::nest(&opened, &job, rules, &options, &how.accept)
            .map_err(|e| format!("{}: {e}", self.shown))?;
        self.text = Some(nest.bytes);
        self.graded = nest.findings;
        Ok(self)
    }

    /// Whether the drawing is binary; what is written is ASCII.
    pub fn is_binary(&self) -> bool {
        self.binary
    }

    /// The job of this drawing and its pieces.
    pub fn open(&self, common: &Common) -> Result<(Job, Opened<'_>), Failure> {
        self.open_with(common, job_file(&self.path, common)?.as_ref())
    }

    /// As [`DrawingFile::open`], with a job file that has been read.
    pub fn open_with(
        &self,
        common: &Common,
        job_file: Option<&TextFile>,
    ) -> Result<(Job, Opened<'_>), Failure> {
        let text = self.text.as_deref().unwrap_or(&self.bytes);
        let stated = common.unit.map(Unit::from);
        let here = |e: &dyn std::fmt::Display| format!("{}: {e}", self.shown);
        let drawing = Drawing::scan(text).map_err(|e| here(&e))?;
        let drawn = pattern::drawn_unit(&drawing).map_err(|e| here(&e))?;
        let plain = stated.or(drawn).unwrap_or(Unit::Mm);
        let mut job = match job_file {
            Some(TextFile { shown, bytes }) => Job::from_toml_bytes(bytes, shown, plain)?,
            None => Job::default(),
        };
        let plain = stated.or(job.unit).unwrap_or(plain);
        let given = Allowances::parse(common.allowance.iter().map(String::as_str), plain)?;
        job.allowance = job.allowance.overlaid(&given);
        let folded = TurnedIn::parse(common.fold.iter().map(String::as_str), plain);
        job.fold = job.fold.overlaid(folded.map_err(|e| format!("--fold: {e}"))?);
        let opened = self.opened(drawing, &job, stated)?;
        Ok((job, opened))
    }

    /// The drawing's pieces, read by a job that is known.
    pub fn open_by(&self, job: &Job, common: &Common) -> Result<Opened<'_>, Failure> {
        let text = self.text.as_deref().unwrap_or(&self.bytes);
        let drawing = Drawing::scan(text).map_err(|e| format!("{}: {e}", self.shown))?;
        self.opened(drawing, job, common.unit.map(Unit::from))
    }

    fn opened<'a>(
        &'a self,
        drawing: Drawing<'a>,
        job: &Job,
        stated: Option<Unit>,
    ) -> Result<Opened<'a>, Failure> {
        let reading = Reading { unit: stated.or(job.unit), ..job.reading() };
        let mut opened = order::open(&self.shown, &self.bytes, drawing, &reading)
            .map_err(|e| format!("{}: {e}", self.shown))?;
        opened.pattern.findings.extend(self.graded.iter().cloned());
        Ok(opened)
    }
}

/// A file that people write: a size table, a rule table or a job file.
pub struct TextFile {
    /// Its path as it was given.
    pub shown: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl TextFile {
    /// Reads such a file.
    pub fn read(path: &Path, common: &Common) -> Result<Self, Failure> {
        Ok(TextFile { shown: files::shown(path), bytes: common.inputs().read(path, Input::Other)? })
    }

    /// The rules of a grade rule table.
    pub fn rules(&self) -> Result<RuleTable, Failure> {
        Ok(RuleTable::read(&self.bytes, &self.shown)?)
    }

    /// What tells this very file from another of the same name.
    pub fn traced(&self) -> String {
        format!("{}, SHA-256 {}", self.shown, order::sha256(&self.bytes))
    }
}

/// The job file that was named, else the one beside the drawing, if there is one.
pub fn job_file(drawing: &Path, common: &Common) -> Result<Option<TextFile>, Failure> {
    let path = common.job.clone().or_else(|| job_file_beside(drawing));
    path.map(|path| TextFile::read(&path, common)).transpose()
}

/// The job file beside a drawing, if there is one.
pub fn job_file_beside(drawing: &Path) -> Option<PathBuf> {
    Some(drawing.parent().unwrap_or(Path::new("")).join(JOB_FILE)).filter(|beside| beside.exists())
}

/// How a rule table is read, by the options and the job file.
pub fn grading(grading: &Grading, job: &Job, common: &Common) -> Options {
    Options {
        layers: job.layers.clone(),
        deltas: grading.deltas,
        only: common.sizes.iter().map(SizeName::new).collect(),
        reference: grading.reference.map(std::num::NonZeroUsize::get),
        no_reread: false,
    }
}

/// The unit of plain numbers in a table or an option: what was said, else the drawing's.
pub fn plain_unit(common: &Common, job: &Job, opened: &Opened<'_>) -> Unit {
    common.unit.map(Unit::from).or(job.unit).unwrap_or_else(|| opened.unit())
}

/// The settings that a job file and the options every command has give.
pub fn settings(common: &Common, job: &Job) -> Settings {
    Settings { only: common.sizes.iter().map(SizeName::new).collect(), ..Settings::of(job) }
}

/// Refuses a `--size` that is none of those there are; `lacks` says where it is missing, before what is there.
pub fn sizes_there<'k>(
    given: &[String],
    there: impl IntoIterator<Item = &'k str>,
    lacks: &str,
) -> Result<(), Failure> {
    let there: Vec<&str> = there.into_iter().collect();
    let known: HashSet<SizeName> = there.iter().copied().map(SizeName::from).collect();
    let missing = given.iter().filter(|size| !known.contains(&SizeName::from(size.as_str())));
    let problem = |size: &String| {
        let perhaps = words::perhaps(size, there.iter().copied());
        let perhaps = if perhaps.is_empty() { perhaps } else { format!("; {}", perhaps.trim_end()) };
        format!("--size {}: {lacks} {}{perhaps}", words::escaped(size), words::listed(there.iter().copied()))
    };
    let problems: Vec<String> = missing.map(problem).collect();
    if problems.is_empty() { Ok(()) } else { Err(problems.join("\n").into()) }
}
