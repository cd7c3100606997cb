//! Records what an order was made from and what it gave, so that it is done again only where one of these has changed.

use super::Outcome;
use crate::job::Order;
use crate::order::sha256;
use crate::units::Unit;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

const FORMAT: &str = "truerise-fingerprint/1";

/// Everything that determines the results of an order.
#[derive(Clone, Debug, Serialize)]
pub struct Inputs<'a> {
    /// The program's version.
    pub program: &'static str,
    /// The order with its settings, and with the paths as given, because the report repeats them.
    pub order: &'a Order,
    /// SHA-256 of the drawing.
    pub drawing: String,
    /// SHA-256 of the size table.
    pub sizes: String,
    /// SHA-256 of the job file, whether it was named or lies beside the drawing.
    pub job: Option<String>,
    /// SHA-256 of the grade rule table.
    pub rules: Option<String>,
    /// The unit in which the page shows lengths, if one is asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub show: Option<Unit>,
}

impl<'a> Inputs<'a> {
    /// The inputs of an order, from the bytes of its files.
    #[must_use]
    pub fn new(
        order: &'a Order,
        drawing: &[u8],
        sizes: &[u8],
        job: Option<&[u8]>,
        rules: Option<&[u8]>,
    ) -> Self {
        Inputs {
            program: env!("CARGO_PKG_VERSION"),
            order,
            drawing: sha256(drawing),
            sizes: sha256(sizes),
            job: job.map(sha256),
            rules: rules.map(sha256),
            show: None,
        }
    }

    /// The inputs for a page that shows lengths in this unit.
    #[must_use]
    pub fn showing(self, show: Option<Unit>) -> Self {
        Inputs { show, ..self }
    }
}

/// The fingerprint of an order that was done. It is written after everything else, so an order without a fingerprint, or with
/// one that does not fit its files, was not finished.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fingerprint {
    format: String,
    inputs: serde_json::Value,
    /// SHA-256 of every result, by file name.
    results: BTreeMap<String, String>,
    /// What became of the order.
    pub outcome: Outcome,
}

impl Fingerprint {
    /// The fingerprint of an order with its results.
    pub fn new(
        inputs: &Inputs<'_>,
        results: BTreeMap<String, String>,
        outcome: Outcome,
    ) -> Result<Self, serde_json::Error> {
        Ok(Fingerprint { format: FORMAT.to_owned(), inputs: serde_json::to_value(inputs)?, results, outcome })
    }

    /// Reads a fingerprint; `None` where the bytes are no fingerprint of this version.
    #[must_use]
    pub fn from_json(bytes: &[u8]) -> Option<Self> {
        serde_json::from_slice(bytes).ok().filter(|f: &Fingerprint| f.format == FORMAT)
    }

    /// Whether the order need not be done again: it was made from these inputs, and these are exactly its results, by file
    /// name and SHA-256.
    #[must_use]
    pub fn holds(&self, inputs: &Inputs<'_>, results: &BTreeMap<String, String>) -> bool {
        serde_json::to_value(inputs).is_ok_and(|now| now == self.inputs) && self.stands(results)
    }

    /// Whether these, by file name and SHA-256, are exactly the results that the order gave.
    #[must_use]
    pub fn stands(&self, results: &BTreeMap<String, String>) -> bool {
        *results == self.results
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::AlterOptions;

    #[test]
    fn any_change_of_inputs_or_results_is_seen() {
        let order = Order::new("a", "a.dxf", "t.csv");
        let inputs = Inputs::new(&order, b"drawing", b"sizes", None, None);
        let results: BTreeMap<String, String> = [("drawing.dxf".to_owned(), sha256(b"x"))].into();
        let made = Fingerprint::new(&inputs, results.clone(), Outcome::refused(&order, "r")).unwrap();
        let read = Fingerprint::from_json(&serde_json::to_vec(&made).unwrap()).unwrap();
        assert_eq!(read, made);
        assert!(read.holds(&inputs, &results));

        let other = Order {
            alter: AlterOptions { uneven: Some(crate::job::Uneven::Fork), ..AlterOptions::default() },
            ..order.clone()
        };
        for changed in [
            Inputs::new(&order, b"drawinG", b"sizes", None, None),
            Inputs::new(&order, b"drawing", b"sizeS", None, None),
            Inputs::new(&order, b"drawing", b"sizes", Some(b""), None),
            Inputs::new(&order, b"drawing", b"sizes", None, Some(b"")),
            Inputs::new(&other, b"drawing", b"sizes", None, None),
            Inputs { program: "0.0.0", ..inputs.clone() },
        ] {
            assert!(!read.holds(&changed, &results), "{changed:?}");
        }
        assert!(!read.holds(&inputs, &BTreeMap::new()));
        let mut more = results.clone();
        more.insert("report.json".to_owned(), sha256(b"y"));
        assert!(!read.holds(&inputs, &more));
        for bytes in [&b""[..], b"{}", b"nonsense"] {
            assert_eq!(Fingerprint::from_json(bytes), None);
        }
    }
}
