//! The job file: what has to be known about a drawing and its alteration, in TOML.

use super::alter_options::{AlterOptions, BlendTo, BlendToError};
use super::diagnostic::{Problems, quoted};
use super::fold::FoldError;
use super::source::{Found, Source, utf8};
use super::tolerance::{SetError, Tolerances};
use super::toml_text::{self, Key, Value, in_order, scalar};
use super::{LabelKey, LabelTexts, allowance, fold, length};
use crate::pattern::{LayerMap, LayerUse, Reading};
use crate::trousers::SeamRole;
use crate::units::{Length, Unit};
use crate::words::{self, UnknownWord};

use std::collections::BTreeMap;
use std::str::FromStr;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What has to be known about a drawing and its alteration: a job file with the defaults filled in.
///
/// ```
/// use truerise::{Job, Nest};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// // The drawing has cut lines only, and the crotch seam on a layer of its own.
/// let job = Job::from_toml("[allowance]\nall = \"5/8in\"\nhem = \"40 mm\"\n[layers]\ncrotch = [\"CROTCH\"]\n", "job.toml")?;
/// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
/// let nest = Nest::read("harbour-nest.dxf", &bytes, &job)?;
///
/// // What is wrong is told with its place and what to write.
/// let problems = Job::from_toml("[allowance]\nhemm = 40\n", "job.toml").unwrap_err();
/// assert!(problems.to_string().contains("did you mean 'hem'?"));
/// # assert_eq!(nest.sizes().len(), 7);
/// # Ok(()) }
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The layers of the drawing by their use. Layers that are given for a use replace those of the standard.
    pub(crate) layers: LayerMap,
    /// The texts that name a seam or a part. Texts that are given for a key replace the usual ones.
    pub(crate) labels: LabelTexts,
    /// How drawings are read and altered. If the file states a unit, numbers without one have already taken it.
    pub(crate) alter: AlterOptions,
    /// The tolerances of the checks.
    pub(crate) tolerance: Tolerances<Length>,
}

impl Default for Job {
    /// The settings that apply without a job file.
    fn default() -> Self {
        Job {
            layers: LayerMap::default(),
            labels: with_usual(LabelTexts::new()),
            alter: AlterOptions::default(),
            tolerance: Tolerances::default(),
        }
    }
}

const SECTIONS: [&str; 7] = ["unit", "allowance", "fold", "layers", "labels", "alter", "tolerance"];
const ALTER_KEYS: [&str; 3] = ["uneven", "blend_to", "aim"];

impl Job {
    /// Reads a job file. Numbers without a unit take the file's own unit, or the drawing's if the file states none. The path is
    /// for messages only.
    pub fn from_toml(text: &str, path: &str) -> Result<Job, Problems> {
        let source = Source::new(path, text);
        let top = toml_text::parse(&source)?;
        let mut reader = Reader { source: &source, unit: None, problems: Found::default() };
        let mut job = Job::default();
        // Keys are read in the order of SECTIONS, because `unit` governs all the others.
        for section in SECTIONS {
            if let Some(value) = top.get(section) {
                reader.section(section, value, &mut job);
            }
        }
        for (key, _) in in_order(&top) {
            if !SECTIONS.contains(&key.get_ref().as_ref()) {
                reader.unknown(key, "this file", &SECTIONS);
            }
        }
        reader.problems.or(job)
    }

    /// As [`Job::from_toml`], but from the bytes of a file, which must be UTF-8.
    pub fn from_toml_bytes(bytes: &[u8], path: &str) -> Result<Job, Problems> {
        Job::from_toml(utf8(bytes, path)?, path)
    }

    /// The settings for reading drawings.
    #[must_use]
    pub(crate) fn reading(&self) -> Reading {
        Reading {
            layers: self.layers.clone(),
            unit: self.alter.unit,
            allowances: self.alter.allowance.clone(),
            turned_in: self.alter.fold,
            gap: self.tolerance.gap,
        }
    }
}

struct Reader<'a> {
    source: &'a Source<'a>,
    /// The file's own unit.
    unit: Option<Unit>,
    problems: Found,
}

impl Reader<'_> {
    fn section(&mut self, name: &str, value: &Value, job: &mut Job) {
        if name == "unit" {
            self.unit(value, job);
            return;
        }
        let DeValue::Table(table) = value.get_ref() else {
            let message = format!("{name} is not a section");
            self.problem(value, &message, &format!("write [{name}] on a line of its own, its keys below"));
            return;
        };
        match name {
            "allowance" => self.allowance(table, job),
            "fold" => self.fold(table, job),
            "layers" => {
                for (layer_use, names) in self.lists::<LayerUse>(table, "[layers]", LayerUse::ALL) {
                    job.layers.set(layer_use, &names);
                }
            }
            "labels" => {
                job.labels = with_usual(self.lists::<LabelKey>(table, "[labels]", LabelKey::ALL));
            }
            "alter" => self.alter(table, job),
            _ => self.tolerance(table, job),
        }
    }

    fn problem<T>(&mut self, at: &Spanned<T>, message: &str, help: &str) {
        self.problems.at(self.source, at.span(), message, help);
    }

    fn unknown(&mut self, key: &Key, place: &str, known: &[&str]) {
        let message = format!("{} is no key of {place}", quoted(key.get_ref()));
        let perhaps = words::perhaps(key.get_ref(), known.iter().copied());
        self.problem(key, &message, &format!("{perhaps}the keys are {}", known.join(", ")));
    }

    /// The text of a value; anything other than a text or a plain number is a problem.
    fn text<'v>(&mut self, key: &str, value: &'v Value) -> Option<&'v str> {
        let text = scalar(value.get_ref());
        if text.is_none() {
            self.problem(
                value,
                &format!("{key} is neither text nor a plain decimal number"),
                "put the value in quotes",
            );
        }
        text
    }

    fn unit(&mut self, value: &Value, job: &mut Job) {
        let Some(text) = self.text("unit", value) else { return };
        match length::unit(text) {
            Some(unit) => {
                job.alter.unit = Some(unit);
                self.unit = Some(unit);
            }
            None => {
                self.problem(value, &format!("unit: {} is not known", quoted(text)), "write mm, cm or in");
            }
        }
    }

    fn allowance(&mut self, table: &DeTable, job: &mut Job) {
        for (key, value) in in_order(table) {
            let name = key.get_ref();
            let Some(text) = self.text(name, value) else { continue };
            match length::parse(text, self.unit) {
                Err(error) => self.problem(value, &format!("{name}: {}", error.problem()), length::ACCEPTED),
                Ok(length) => match job.alter.allowance.set(name, length) {
                    Ok(None) => {}
                    Ok(Some(_)) => self.problem(key, &format!("{name} is given twice"), "give it once"),
                    Err(_) => {
                        let seams = SeamRole::ALL.iter().map(|role| role.as_str());
                        let known: Vec<&str> = std::iter::once(allowance::ALL).chain(seams).collect();
                        self.unknown(key, "[allowance]", &known);
                    }
                },
            }
        }
    }

    fn fold(&mut self, table: &DeTable, job: &mut Job) {
        for (key, value) in in_order(table) {
            let name = key.get_ref();
            let Some(text) = self.text(name, value) else { continue };
            match length::parse(text, self.unit) {
                Err(error) => self.problem(value, &format!("{name}: {}", error.problem()), length::ACCEPTED),
                Ok(length) => match job.alter.fold.set(name, length) {
                    Ok(()) => {}
                    Err(FoldError::Twice(_)) => {
                        self.problem(key, &format!("{name} is given twice"), "give it once");
                    }
                    Err(_) => self.unknown(key, "[fold]", &fold::EDGES),
                },
            }
        }
    }

    fn alter(&mut self, table: &DeTable, job: &mut Job) {
        for (key, value) in in_order(table) {
            let name = key.get_ref();
            if !ALTER_KEYS.contains(&name.as_ref()) {
                self.unknown(key, "[alter]", &ALTER_KEYS);
                continue;
            }
            let Some(text) = self.text(name, value) else { continue };
            match name.as_ref() {
                "uneven" => job.alter.uneven = self.word(name, text, value),
                "aim" => job.alter.aim = self.word(name, text, value),
                _ => match BlendTo::parse(text, self.unit) {
                    Ok(place) => job.alter.blend_to = Some(place),
                    Err(error) => {
                        let problem = match error {
                            BlendToError::Neither(error) => error.problem(),
                            BlendToError::Zero => format!("{} is not above zero", quoted(text)),
                        };
                        let help =
                            "write knee, hem, or a length from the fork along the inseam, such as 250 mm";
                        self.problem(value, &format!("{name}: {problem}"), help);
                    }
                },
            }
        }
    }

    fn word<T: FromStr<Err = UnknownWord>>(&mut self, key: &str, text: &str, value: &Value) -> Option<T> {
        text.parse()
            .map_err(|error: UnknownWord| {
                let message = format!("{key}: {} is not known", quoted(text));
                self.problem(value, &message, &error.help());
            })
            .ok()
    }

    fn tolerance(&mut self, table: &DeTable, job: &mut Job) {
        for (key, value) in in_order(table) {
            let name = key.get_ref();
            let Some(text) = self.text(name, value) else { continue };
            match job.tolerance.set(name, text, self.unit) {
                Ok(()) => {}
                Err(SetError::Value(problem, accepted)) => {
                    self.problem(value, &format!("{name}: {problem}"), accepted);
                }
                Err(SetError::UnknownKey) => {
                    let known: Vec<&str> = Tolerances::KEYS.iter().map(|(key, _)| *key).collect();
                    self.unknown(key, "[tolerance]", &known);
                }
            }
        }
    }

    /// Reads lists of texts under known keys. The same text under two keys is a problem, because its meaning would be unclear.
    fn lists<K>(&mut self, table: &DeTable, place: &str, known: &[K]) -> BTreeMap<K, Vec<String>>
    where
        K: Copy + Ord + std::fmt::Display + FromStr<Err = UnknownWord>,
    {
        let mut lists: BTreeMap<K, Vec<String>> = BTreeMap::new();
        let mut seen: BTreeMap<String, K> = BTreeMap::new();
        for (key, value) in in_order(table) {
            let Ok(which) = key.get_ref().parse::<K>() else {
                let words: Vec<String> = known.iter().map(K::to_string).collect();
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                self.unknown(key, place, &words);
                continue;
            };
            if lists.contains_key(&which) {
                self.problem(key, &format!("{which} is given twice"), "give it once");
                continue;
            }
            let mut texts = Vec::new();
            let one = std::slice::from_ref(value);
            for item in value.get_ref().as_array().map_or(one, |array| array) {
                let Some(text) = self.text(&which.to_string(), item).map(str::trim) else { continue };
                if text.is_empty() {
                    self.problem(item, &format!("{which}: an empty text"), "leave it out");
                    continue;
                }
                if let Some(other) = seen.insert(text.to_lowercase(), which) {
                    let message = format!("{} stands under {other} and under {which}", quoted(text));
                    self.problem(item, &message, "let it stand once");
                }
                texts.push(text.to_owned());
            }
            lists.insert(which, texts);
        }
        lists
    }
}

/// The given texts, and for every other key the usual ones, except those that are given for another key.
fn with_usual(mut given: LabelTexts) -> LabelTexts {
    let taken: Vec<String> = given.values().flatten().map(|text| text.to_lowercase()).collect();
    for &key in LabelKey::ALL {
        let free = key.usual().iter().filter(|text| !taken.contains(&text.to_lowercase()));
        given.entry(key).or_insert_with(|| free.map(ToString::to_string).collect());
    }
    given
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::{Aim, Uneven};
    use crate::units::Mm;
    use proptest::prelude::*;

    fn read(text: &str) -> Job {
        Job::from_toml(text, "truerise.toml").unwrap_or_else(|problems| panic!("{problems}"))
    }

    #[test]
    fn a_whole_file_is_read() {
        let job = read(
            r#"
            unit = "in"
            [allowance]
            all = "5/8 in"
            hem = "40 mm"
            waist = 0.5
            [fold]
            waist = "35 mm"
            hem = 2
            [layers]
            crotch = "CROTCH SEAM"
            grain = [7, "GRAIN"]
            notch = []
            [labels]
            crotch = ["CROTCH", "RISE"]
            front = ["FRONT", "FT", "VORDERHOSE"]
            [alter]
            uneven = "fork"
            blend_to = "knee"
            aim = "distance"
            [tolerance]
            inseam = "1.5 mm"
            "#,
        );
        assert_eq!(job.alter.unit, Some(Unit::In));
        // The unit of the drawing makes no difference, because the file states its own.
        let (allowance, fold) = (job.alter.allowance.in_mm(Unit::Mm), job.alter.fold.in_mm(Unit::Mm));
        assert_eq!(allowance.get(SeamRole::Inseam), Some(Mm(15.875)));
        assert_eq!(allowance.get(SeamRole::Hem), Some(Mm(40.0)));
        assert_eq!(fold, crate::job::TurnedIn { waist: Some(Mm(35.0)), hem: Some(Mm(50.8)) });
        // A number without a unit takes the file's own: half an inch of 25.4 mm.
        assert_eq!(allowance.get(SeamRole::Waist), Some(Mm(12.7)));
        for (layer, layer_use) in [
            ("CROTCH SEAM", Some(LayerUse::Crotch)),
            ("CROTCH", None),
            ("7", Some(LayerUse::Grain)),
            ("grain", Some(LayerUse::Grain)),
            ("4", None),
            ("14", Some(LayerUse::Sew)),
        ] {
            assert_eq!(job.layers.of(layer), layer_use, "{layer}");
        }
        assert_eq!(job.labels[&LabelKey::Front], ["FRONT", "FT", "VORDERHOSE"]);
        assert_eq!(job.labels[&LabelKey::Back], ["BACK", "BK"]);
        let alter = AlterOptions {
            uneven: Some(Uneven::Fork),
            blend_to: Some(BlendTo::Knee),
            aim: Some(Aim::Distance),
            ..job.alter.clone()
        };
        assert_eq!(job.alter, alter);
        assert_eq!(job.tolerance.inseam, Length::from(Mm(1.5)));
    }

    #[test]
    fn plain_numbers_are_of_the_drawings_unit_where_the_file_gives_none() {
        let text = "[allowance]\nall = 10\n[alter]\nblend_to = 30\n";
        let job = Job::from_toml(text, "j").unwrap();
        assert_eq!(job.alter.allowance.in_mm(Unit::Cm).all, Some(Mm(100.0)));
        assert_eq!(job.alter.blend_to.unwrap().in_mm(Unit::Cm), BlendTo::Length(Mm(300.0)));
    }

    #[test]
    fn an_empty_file_says_what_no_file_says() {
        assert_eq!(read(""), Job::default());
        let job = Job::default();
        assert!(LabelKey::ALL.iter().all(|key| job.labels.contains_key(key)));
    }

    #[test]
    fn no_usual_label_stands_under_two_keys() {
        let labels: Vec<&str> = LabelKey::ALL.iter().flat_map(|key| key.usual()).copied().collect();
        let once: std::collections::BTreeSet<String> =
            labels.iter().map(|text| text.to_lowercase()).collect();
        assert_eq!(once.len(), labels.len());
        let job = read("[labels]\nwaist = [\"rise\"]\n");
        assert_eq!(
            (&job.labels[&LabelKey::Waist], &job.labels[&LabelKey::Crotch]),
            (&vec!["rise".to_owned()], &vec!["CROTCH".to_owned()])
        );
    }

    #[test]
    fn a_layer_given_for_a_seam_holds_no_longer_what_the_standard_says() {
        let job = read("[layers]\ncrotch = \"8\"\nnotch = [\"4\"]\n");
        assert_eq!(job.layers.of("8"), Some(LayerUse::Crotch));
        assert_eq!(job.layers.of("4"), Some(LayerUse::Notch));
        assert_eq!(job.layers.of("80"), None);
        assert_eq!(job.layers.of("1"), Some(LayerUse::Cut));
    }

    #[test]
    fn every_problem_is_pointed_at() {
        for (text, line, column, part) in [
            ("unti = \"mm\"\n", 1, 1, "'unti' is no key of this file"),
            ("unit = \"ell\"\n", 1, 8, "unit: 'ell' is not known"),
            ("unit = true\n", 1, 8, "unit is neither text nor a plain decimal number"),
            ("allowance = 5\n", 1, 13, "allowance is not a section"),
            ("[allowance]\nside = 5\n", 2, 1, "'side' is no key of [allowance]"),
            ("[fold]\ncrotch = 5\n", 2, 1, "'crotch' is no key of [fold]"),
            ("[fold]\nwaist = -5\n", 2, 9, "waist: "),
            ("[fold]\nhem = 5\nHEM = 5\n", 3, 1, "HEM is given twice"),
            ("[allowance]\nhem = \"-5\"\n", 2, 7, "hem: '-5' is negative"),
            ("[allowance]\nhem = 5\nHEM = 5\n", 3, 1, "given twice"),
            ("[layers]\ngrian = []\n", 2, 1, "'grian' is no key of [layers]"),
            ("[layers]\ngrain = [\"7\", true]\n", 2, 15, "grain is neither text"),
            ("[layers]\ncut = [\" \"]\n", 2, 8, "cut: an empty text"),
            ("[layers]\ncut = [\"A\"]\nsew = [\"B\", \"a\"]\n", 3, 13, "'a' stands under cut and under sew"),
            ("[labels]\nsleeve = []\n", 2, 1, "'sleeve' is no key of [labels]"),
            ("[alter]\nuneven = \"both\"\n", 2, 10, "uneven: 'both' is not known"),
            ("[alter]\nblend_to = 0\n", 2, 12, "blend_to: '0' is not above zero"),
            ("[alter]\nblendto = 0\n", 2, 1, "'blendto' is no key of [alter]"),
            ("[tolerance]\ninseam = \"x\"\n", 2, 10, "inseam: 'x' does not start with a number"),
            ("[tolerance]\nseam = 1\n", 2, 1, "'seam' is no key of [tolerance]"),
            ("unit = \n", 1, 8, "not TOML"),
            ("unit = \"mm\"\nunit = \"cm\"\n", 2, 1, "not TOML: duplicate key"),
        ] {
            let problems = Job::from_toml(text, "truerise.toml").unwrap_err();
            let one = problems.iter().next().unwrap();
            assert_eq!((one.line(), one.column()), (Some(line), Some(column)), "{one}");
            assert!(one.message().contains(part), "{one}");
            assert!(one.to_string().contains("help: "), "{one}");
        }
    }

    #[test]
    fn all_problems_are_reported_in_the_order_of_the_file() {
        let text = "[tolerance]\nx = 1\n[allowance]\nhem = \"y\"\nknee = 1\n[zipper]\n";
        let problems = Job::from_toml(text, "j").unwrap_err();
        let lines: Vec<Option<usize>> =
            problems.iter().map(crate::job::diagnostic::Diagnostic::line).collect();
        assert_eq!(lines, [Some(2), Some(4), Some(5), Some(6)]);
    }

    #[test]
    fn deep_nesting_is_refused_and_does_not_exhaust_the_stack() {
        for text in
            ["unit = ".to_owned() + &"[".repeat(200_000), "unit = ".to_owned() + &"{a=".repeat(200_000)]
        {
            assert!(Job::from_toml(&text, "j").is_err());
        }
    }

    proptest! {
        #[test]
        fn any_text_is_a_job_or_problems(text in "(?s)(\\[|\\]|=|\"|\n|unit|layers|allowance|all|alter|blend_to|5|mm|.){0,30}") {
            if let Err(problems) = Job::from_toml(&text, "j") {
                prop_assert!(!problems.to_string().is_empty());
            }
        }
    }
}
