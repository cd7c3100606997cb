//! The summary of all orders of a batch.

use super::{Outcome, Shard};
use crate::finding;
use crate::job::Order;
use crate::order::sha256;
use crate::report::Verdict;
use crate::report::html::{self, IndexRow};
use crate::report::rows::Rows;
use crate::words::natural_order;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

const FORMAT: &str = "truerise-batch/1";

/// What tells one order list from another: a hash of its orders, whatever the order of its rows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ListId(String);

impl ListId {
    /// The id of these orders, which have to be sorted by name.
    pub fn of(orders: &[Order]) -> Result<Self, serde_json::Error> {
        Ok(ListId(sha256(&serde_json::to_vec(orders)?)))
    }
}

/// The summary of a batch, or of one shard of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Summary {
    format: String,
    /// SHA-256 over the orders of the list.
    pub list: ListId,
    /// Which part this is, such as `2/4`; left out of the summary of the whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shard: Option<String>,
    /// Whether all orders of this run passed.
    pub verdict: Verdict,
    /// How many of this run did.
    pub passed: usize,
    /// How many of this run did not.
    pub failed: usize,
    /// How many more are told of that an earlier run did in the same folder.
    pub earlier: usize,
    /// The orders by name; numbers in names count as numbers.
    pub orders: Vec<Outcome>,
}

impl Summary {
    /// The summary of these outcomes.
    #[must_use]
    pub fn new(list: ListId, shard: Option<Shard>, orders: Vec<Outcome>) -> Self {
        let passed = orders.iter().filter(|o| o.verdict == Verdict::Pass).count();
        let failed = orders.len() - passed;
        let verdict = if failed == 0 { Verdict::Pass } else { Verdict::Fail };
        let shard = shard.map(|s| s.to_string());
        let format = FORMAT.to_owned();
        Summary { format, list, shard, verdict, passed, failed, earlier: 0, orders }.by_name()
    }

    /// This summary extended by what earlier runs in its folder did with other orders. Its verdict remains that of its own
    /// run.
    #[must_use]
    pub fn with_earlier(mut self, outcomes: Vec<Outcome>) -> Self {
        self.earlier += outcomes.len();
        self.orders.extend(outcomes.into_iter().map(|outcome| Outcome { earlier: true, ..outcome }));
        self.by_name()
    }

    fn by_name(mut self) -> Self {
        self.orders.sort_by(|a, b| natural_order(&a.order, &b.order));
        self
    }

    /// The orders of this run.
    fn own(&self) -> impl Iterator<Item = &Outcome> {
        self.orders.iter().filter(|o| !o.earlier)
    }

    /// Reads a summary; `None` where the bytes are no summary of this version.
    #[must_use]
    pub fn from_json(bytes: &[u8]) -> Option<Self> {
        serde_json::from_slice(bytes).ok().filter(|s: &Summary| s.format == FORMAT)
    }

    /// Whether this is the summary of this shard of the list.
    #[must_use]
    pub fn covers(&self, list: &ListId, shard: Shard) -> bool {
        self.list == *list && self.shard.as_deref() == Some(shard.to_string().as_str())
    }

    /// How many orders of this run passed only because errors were accepted.
    #[must_use]
    pub fn accepted(&self) -> usize {
        self.own().filter(|o| o.verdict == Verdict::Pass && !o.accepted.is_empty()).count()
    }

    /// The orders of this run that did not pass.
    pub fn failures(&self) -> impl Iterator<Item = &Outcome> {
        self.own().filter(|o| o.verdict == Verdict::Fail)
    }
}

/// The summary as CSV, one row for each order, safe to open in a spreadsheet.
pub fn csv(summary: &Summary) -> Result<String, ::csv::Error> {
    let mut rows = Rows::headed([
        "order",
        "verdict",
        "drawing",
        "sizes",
        "altered",
        "unchanged",
        "refused",
        "errors",
        "warnings",
        "output",
        "output_sha256",
        "report",
        "reason",
        "accepted",
        "earlier",
    ])?;
    for o in &summary.orders {
        let output = o.output.as_ref();
        rows.push([
            o.order.as_str(),
            if o.verdict == Verdict::Pass { "pass" } else { "fail" },
            &o.drawing,
            &o.sizes,
            &o.altered.to_string(),
            &o.unchanged.to_string(),
            &o.refused.to_string(),
            &o.errors.to_string(),
            &o.warnings.to_string(),
            output.map(|output| output.path.as_str()).unwrap_or_default(),
            output.map(|output| output.sha256.as_str()).unwrap_or_default(),
            o.report.as_deref().unwrap_or_default(),
            o.reason.as_deref().unwrap_or_default(),
            &finding::ids(&o.accepted),
            if o.earlier { "yes" } else { "" },
        ])?;
    }
    rows.text()
}

/// The page that lists all orders and links to the page of each.
pub fn index(summary: &Summary) -> Result<String, askama::Error> {
    let row = |o: &Outcome| IndexRow {
        order: o.order.clone(),
        drawing: o.drawing.clone(),
        verdict: o.report.is_some().then_some(o.verdict),
        altered: o.altered,
        errors: o.errors,
        warnings: o.warnings,
        page: o.page.clone(),
        accepted: !o.accepted.is_empty(),
        earlier: o.earlier,
        note: match &o.reason {
            Some(reason) => reason.clone(),
            None if o.accepted.is_empty() => String::new(),
            None => format!("let through: {}", finding::ids(&o.accepted)),
        },
    };
    html::index(&summary.orders.iter().map(row).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn orders() -> Vec<Order> {
        ["=a", "b", "c"].map(|name| Order::new(name, "d.dxf", "t.csv")).to_vec()
    }

    #[test]
    fn a_summary_comes_back_and_covers_its_shard_alone() {
        let orders = orders();
        let list = ListId::of(&orders).unwrap();
        let [first, second]: [Shard; 2] = Shard::all(2).collect::<Vec<_>>().try_into().unwrap();
        let outcomes = [&orders[2], &orders[0]].map(|o| Outcome::refused(o, "why\nnot")).to_vec();
        let summary = Summary::new(list.clone(), Some(first), outcomes);
        let json = crate::report::json::render(&summary).unwrap();
        assert_eq!(Summary::from_json(json.as_bytes()).unwrap(), summary);
        assert!(summary.covers(&list, first));
        assert!(!summary.covers(&list, second));
        let other = ListId::of(&orders[..2]).unwrap();
        assert!(!summary.covers(&other, first));
        assert_eq!((summary.passed, summary.failed, summary.verdict), (0, 2, Verdict::Fail));
    }

    #[test]
    fn the_table_is_safe_in_a_spreadsheet_and_of_one_line_an_order() {
        let orders = orders();
        let outcomes = orders.iter().map(|o| Outcome::refused(o, "=1+1\nb")).collect();
        let table = csv(&Summary::new(ListId::of(&orders).unwrap(), None, outcomes)).unwrap();
        assert_eq!(table.lines().nth(1), Some("'=a,fail,d.dxf,t.csv,0,0,0,0,0,,,,'=1+1; b,,"));
        assert_eq!(table.lines().count(), 4);
    }

    #[test]
    fn orders_are_listed_in_the_order_of_their_numbers() {
        let orders = ["A1", "A10", "A2"].map(|name| Order::new(name, "d.dxf", "t.csv"));
        let outcomes = orders.iter().map(|o| Outcome::refused(o, "why not")).collect();
        let summary = Summary::new(ListId::of(&orders).unwrap(), None, outcomes);
        let page = index(&summary).unwrap();
        let places = ["A1<", "A2<", "A10<"].map(|name| page.find(name).unwrap());
        assert!(places.is_sorted(), "{places:?}");
        let table = csv(&summary).unwrap();
        let names: Vec<&str> = table.lines().skip(1).map(|l| l.split(',').next().unwrap()).collect();
        assert_eq!(names, ["A1", "A2", "A10"]);
    }
}
