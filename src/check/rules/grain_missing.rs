//! # What it finds
//! A piece without a grain line.
//! # Why it matters on the cutting table
//! Nobody can tell which way round the piece lies on the fabric.
//! # How it is measured
//! The piece has to have a line with two separate ends on the grain layer.
//! # Tolerance
//! None.
//! # Where the tolerance comes from
//! A grain line is there or it is not.

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;

/// The check.
pub const RULE: Rule = Rule {
    name: "grain-missing",
    right: "Every piece has a grain line.",
    lengths: false,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    if piece.grain().is_some() {
        return Vec::new();
    }
    let message = "the piece has no grain line; draw one on the grain layer (7), or name its layer under [layers] \
                   grain in the job file";
    vec![sheet.at_block(Finding::error(FindingId::GrainMissing, message), piece)]
}
