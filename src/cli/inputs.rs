//! The inputs of every command: drawings and the job file.

use super::args::{Common, Grading};
use super::files::Input;
use super::{Failure, files};
use crate::dxf_text::Drawing;
use crate::finding::Finding;
use crate::grade::{Options, RuleTable};
use crate::job::{AlterOptions, Job};
use crate::order::{self, Opened};
use crate::pattern::{Reading, SizeName};
use crate::words;
use std::borrow::Cow;
use std::collections::HashSet;
use std::path::{Path, PathBuf};

/// The name of the job file that is looked for beside a drawing.
const JOB_FILE: &str = "truerise.toml";

/// A drawing that was read, as bytes and as text.
pub struct DrawingFile {
    /// Its path as it was given.
    pub path: PathBuf,
    /// The path as text, for messages.
    pub shown: String,
    /// Its bytes.
    bytes: Vec<u8>,
    /// Its text, where that is not the same as its bytes.
    text: Option<Vec<u8>>,
    /// Whether its bytes are binary DXF.
    binary: bool,
    /// The findings from drawing its sizes from the base size.
    graded: Vec<Finding>,
}

impl DrawingFile {
    /// Reads a drawing's bytes; a binary drawing is turned into text.
    pub fn read(path: &Path, common: &Common) -> Result<Self, Failure> {
        DrawingFile::new(path, files::display(path), common.inputs().read(path, Input::Drawing)?)
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

    /// The same drawing; where there is a grade rule table, with all the table's sizes drawn from the base size.
    pub fn graded(
        mut self,
        rules: Option<&RuleTable>,
        grading: &Grading,
        job: &Job,
    ) -> Result<Self, Failure> {
        let Some(rules) = rules else {
            if grading.deltas.is_some() || grading.reference.is_some() {
                return Err(
                    "--deltas and --reference say how a rule table is read; give the table with --rules"
                        .into(),
                );
            }
            return Ok(self);
        };
        let opened = self.open_by(job)?;
        // Every size is drawn; the size table decides which of them are altered.
        let no_reread = job.alter.no_reread.unwrap_or(false);
        let options = Options { only: Vec::new(), no_reread, ..self::grading(grading, job) };
        let nest = order::nest(&opened, job, rules, &options, &job.alter.accept)
            .map_err(|e| format!("{}: {e}", self.shown))?;
        self.text = Some(nest.bytes);
        self.graded = nest.findings;
        Ok(self)
    }

    /// Whether the drawing is binary; drawings are always written as ASCII.
    pub fn is_binary(&self) -> bool {
        self.binary
    }

    /// The drawing's job, and the drawing opened with it.
    pub fn open(&self, common: &Common) -> Result<(Job, Opened<'_>), Failure> {
        let job = job(&common.options()?, job_file(&self.path, common)?.as_ref())?;
        let opened = self.open_by(&job)?;
        Ok((job, opened))
    }

    /// The drawing opened with a given job.
    pub fn open_by(&self, job: &Job) -> Result<Opened<'_>, Failure> {
        self.open_as(&job.reading())
    }

    /// The pieces of the drawing, read in a known way.
    pub fn open_as(&self, reading: &Reading) -> Result<Opened<'_>, Failure> {
        let text = self.text.as_deref().unwrap_or(&self.bytes);
        let here = |e: &dyn std::fmt::Display| format!("{}: {e}", self.shown);
        let drawing = Drawing::scan(text).map_err(|e| here(&e))?;
        let mut opened = order::open(&self.shown, &self.bytes, drawing, reading).map_err(|e| here(&e))?;
        opened.pattern.findings.extend(self.graded.iter().cloned());
        Ok(opened)
    }
}

/// A text file written by people: a size table, a rule table or a job file.
pub struct TextFile {
    /// Its path as it was given.
    pub shown: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl TextFile {
    /// Reads such a file.
    pub fn read(path: &Path, common: &Common) -> Result<Self, Failure> {
        Ok(TextFile { shown: files::display(path), bytes: common.inputs().read(path, Input::Other)? })
    }

    /// The rules of a grade rule table.
    pub fn rules(&self) -> Result<RuleTable, Failure> {
        Ok(RuleTable::read(&self.bytes, &self.shown)?)
    }

    /// The name and hash of the file, which tell it from other files of the same name.
    pub fn traced(&self) -> String {
        format!("{}, SHA-256 {}", self.shown, order::sha256(&self.bytes))
    }
}

/// The job file that was named, or else the one beside the drawing, if there is one.
pub fn job_file(drawing: &Path, common: &Common) -> Result<Option<TextFile>, Failure> {
    let path = common.job.clone().or_else(|| job_file_beside(drawing));
    path.map(|path| TextFile::read(&path, common)).transpose()
}

/// The job file beside a drawing, if there is one.
pub fn job_file_beside(drawing: &Path) -> Option<PathBuf> {
    Some(drawing.parent().unwrap_or(Path::new("")).join(JOB_FILE)).filter(|beside| beside.exists())
}

/// The job: the given options take precedence over what the job file says.
pub fn job(options: &AlterOptions, file: Option<&TextFile>) -> Result<Job, Failure> {
    let mut job = match file {
        Some(TextFile { shown, bytes }) => Job::from_toml_bytes(bytes, shown)?,
        None => Job::default(),
    };
    job.alter = options.clone().or(&job.alter);
    Ok(job)
}

/// The settings for reading a rule table, from the options and the job.
pub fn grading(grading: &Grading, job: &Job) -> Options {
    Options {
        deltas: grading.deltas,
        only: job.alter.only.clone(),
        reference: grading.reference.map(std::num::NonZeroUsize::get),
        no_reread: false,
    }
}

/// Refuses a `--size` that does not exist. `lacks` is the text that says where it is missing; it comes before the list of
/// sizes that do exist.
pub fn sizes_there<'k>(
    given: &[SizeName],
    there: impl IntoIterator<Item = &'k str>,
    lacks: &str,
) -> Result<(), Failure> {
    let there: Vec<&str> = there.into_iter().collect();
    let known: HashSet<SizeName> = there.iter().copied().map(SizeName::from).collect();
    let missing = given.iter().filter(|size| !known.contains(*size));
    let problem = |size: &SizeName| {
        let perhaps = words::perhaps(size.as_str(), there.iter().copied());
        let perhaps = if perhaps.is_empty() { perhaps } else { format!("; {}", perhaps.trim_end()) };
        format!(
            "--size {}: {lacks} {}{perhaps}",
            words::escaped(size.as_str()),
            words::listed(there.iter().copied())
        )
    };
    let problems: Vec<String> = missing.map(problem).collect();
    if problems.is_empty() { Ok(()) } else { Err(problems.join("\n").into()) }
}
