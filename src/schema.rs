//! JSON Schemas (draft 2020-12) of what the program writes and reads.
//!
//! The files it writes are described by the types of the report model. The files it reads are tables and job files. Their schemas
//! describe the TOML form, so that any editor with JSON Schema support can use them, and take their keys from the same lists as
//! the readers.

use crate::batch::Summary;
use crate::job::{Aim, LabelKey, Tolerances, Uneven, allowance, fold, length};
use crate::pattern::LayerUse;
use crate::report::grade::GradeReport;
use crate::report::plot::PlotReport;
use crate::report::{Advice, CheckReport, MeasureReport, Report};
use crate::seam::SeamRole;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use schemars::transform::{Transform, transform_subschemas};
use serde_json::{Map, Value, json};

/// The version of JSON Schema.
const DRAFT: &str = "https://json-schema.org/draft/2020-12/schema";

/// A function that makes a schema.
type Make = fn() -> Value;

/// All schemas by their names.
const SCHEMAS: &[(&str, Make)] = &[
    ("measures", one_or_several::<MeasureReport>),
    ("report", one_or_several::<Report>),
    ("advice", one_or_several::<Advice>),
    ("check", one_or_several::<CheckReport>),
    ("grade", written::<GradeReport>),
    ("plot", written::<PlotReport>),
    ("batch", written::<Summary>),
    ("sizes", sizes),
    ("job", job),
];

/// The names of the schemas.
pub fn names() -> impl Iterator<Item = &'static str> {
    SCHEMAS.iter().map(|(name, _)| *name)
}

/// The schema of that name.
#[must_use]
pub fn named(name: &str) -> Option<Value> {
    SCHEMAS.iter().find(|(n, _)| *n == name).map(|(_, schema)| schema())
}

/// A transformation that closes objects: no keys are allowed besides those listed.
#[derive(Clone, Debug)]
struct Closed;

impl Transform for Closed {
    fn transform(&mut self, schema: &mut schemars::Schema) {
        if schema.get("properties").is_some() {
            schema.insert("additionalProperties".to_owned(), false.into());
        }
        transform_subschemas(self, schema);
    }
}

/// The schema of something that the program writes.
fn written<T: JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize().with_transform(Closed);
    settings.into_generator().into_root_schema_for::<T>().to_value()
}

/// The same for a report that is a list if there are several drawings.
fn one_or_several<T: JsonSchema>() -> Value {
    let mut one = written::<T>();
    let name = T::schema_name();
    let Some(root) = one.as_object_mut() else { return one };
    let mut defs = match root.remove("$defs") {
        Some(Value::Object(defs)) => defs,
        _ => Map::new(),
    };
    root.remove("$schema");
    defs.insert(name.to_string(), one);
    let reference = json!({ "$ref": format!("#/$defs/{name}") });
    json!({
        "$schema": DRAFT,
        "title": name,
        "description": "One of these, or a list of them where several drawings were given.",
        "anyOf": [reference, { "type": "array", "items": reference }],
        "$defs": defs,
    })
}

/// A value that may be written with or without quotes.
fn text_or_number(description: &str) -> Value {
    json!({ "type": ["string", "number"], "description": description })
}

/// The size table in its TOML form.
fn sizes() -> Value {
    let text = length::ACCEPTED;
    json!({
        "$schema": DRAFT,
        "title": "Size table",
        "description": "What every size is to measure. The columns of the CSV form have the same names.",
        "type": "object",
        "required": ["size"],
        "additionalProperties": false,
        "properties": { "size": {
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "object",
                "required": ["size"],
                "oneOf": [
                    { "required": ["crotch_length"] },
                    { "required": ["front_crotch_length"] },
                    { "required": ["change"] },
                ],
                "dependentRequired": {
                    "front_crotch_length": ["back_crotch_length"],
                    "back_crotch_length": ["front_crotch_length"],
                },
                "dependentSchemas": { "front_crotch_length": { "properties": { "front_share": false } } },
                "additionalProperties": false,
                "properties": {
                    "size": text_or_number("The size, as the drawing names it."),
                    "crotch_length": text_or_number(&format!("The body measure; {text}.")),
                    "front_crotch_length": text_or_number("The front part of the body measure, in place of crotch_length and front_share."),
                    "back_crotch_length": text_or_number("The back part of it."),
                    "change": text_or_number("The difference wanted, with its sign."),
                    "front_share": text_or_number("The front's share of it: 50%, 0.5, 1/2 or 40/60 (40% to the front). Without it, half."),
                    "ease": text_or_number("Ease to be added to the body measure."),
                    "waistband": text_or_number("Finished height of a separate waistband."),
                    "note": text_or_number("Carried into the report."),
                },
            },
        } },
    })
}

/// The job file.
fn job() -> Value {
    let section = |properties: Map<String, Value>| json!({ "type": "object", "additionalProperties": false, "properties": properties });
    let each = |keys: &mut dyn Iterator<Item = &'static str>, value: &Value| {
        keys.map(|key| (key.to_owned(), value.clone())).collect::<Map<_, _>>()
    };
    let one = json!({ "type": ["string", "number"] });
    let names = json!({ "anyOf": [one, { "type": "array", "items": one }] });
    let mut seams = std::iter::once(allowance::ALL).chain(SeamRole::ALL.iter().map(|role| role.as_str()));
    let words = |list: &[&'static str]| json!({ "enum": list });
    json!({
        "$schema": DRAFT,
        "title": "Job file",
        "description": "What is to be known about a drawing and its alteration.",
        "type": "object",
        "additionalProperties": false,
        "properties": {
            "unit": { "type": "string", "description": "The unit of plain numbers: mm, cm or in." },
            "allowance": section(each(&mut seams, &text_or_number(length::ACCEPTED))),
            "fold": section(each(&mut fold::EDGES.into_iter(), &text_or_number(length::ACCEPTED))),
            "layers": section(each(&mut LayerUse::ALL.iter().map(|one| one.as_str()), &names)),
            "labels": section(each(&mut LabelKey::ALL.iter().map(|one| one.as_str()), &names)),
            "alter": section(Map::from_iter([
                ("uneven".to_owned(), words(&Uneven::ALL.iter().map(|one| one.as_str()).collect::<Vec<_>>())),
                ("aim".to_owned(), words(&Aim::ALL.iter().map(|one| one.as_str()).collect::<Vec<_>>())),
                ("blend_to".to_owned(), text_or_number("knee, hem, or a length from the fork along the inseam.")),
            ])),
            "tolerance": section(
                Tolerances::KEYS
                    .iter()
                    .map(|(key, about)| ((*key).to_owned(), text_or_number(about)))
                    .collect(),
            ),
        },
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::size_table::COLUMNS;

    #[test]
    fn the_table_has_the_keys_that_its_reader_knows() {
        let schema = sizes();
        let properties = schema["properties"]["size"]["items"]["properties"].as_object().unwrap();
        let keys: Vec<&str> = properties.keys().map(String::as_str).collect();
        let mut columns = COLUMNS.to_vec();
        columns.sort_unstable();
        assert_eq!(keys, columns);
    }

    #[test]
    fn names_are_those_there_are() {
        assert!(names().all(|name| named(name).is_some()));
        assert_eq!(named("drawing"), None);
    }
}
