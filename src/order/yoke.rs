//! Altering a yoke: if one is sewn to a leg, the remedy at the waist is made on the yoke.

use super::Settings;
use super::leg::{on_the_waist, written};
use super::plan::Raised;
use crate::alter::{self, Change, Moves};
use crate::check::invariants;
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::output::{Handles, Written};
use crate::seam::{Leg, Measures, Pair, Part, SeamRole};

/// A yoke with its alteration.
pub(super) struct AlteredYoke<'s> {
    raised: Raised<'s>,
    change: Change,
    after: Leg,
}

impl<'s> AlteredYoke<'s> {
    pub fn new(raised: Raised<'s>) -> Self {
        let (piece, leg) = (raised.piece, &raised.top.leg);
        let change = alter::change(piece, leg, &raised.top.apply(raised.raise));
        let after = alter::after(leg, piece, &change);
        AlteredYoke { raised, change, after }
    }

    /// Adds the lengthening of the yoke's centre edge to the measures of its leg, and the raised waist to the leg's moves.
    pub fn counted(&self, part: Part, after: &mut Measures, moves: &mut Pair<Moves>) {
        let longer = self.after.length(SeamRole::Crotch) - self.raised.top.leg.length(SeamRole::Crotch);
        *after.rise_mut(part) += longer;
        after.crotch_length += longer;
        moves.of_mut(part).waist = self.raised.raise;
    }

    /// Writes the yoke, and checks the result.
    pub fn write(
        &self,
        drawing: &Drawing<'_>,
        handles: &Handles,
        settings: &Settings,
        findings: &mut Vec<Finding>,
    ) -> Written {
        let (piece, leg) = (self.raised.piece, &self.raised.top.leg);
        findings.extend(invariants::check_yoke(piece, leg, &self.after, &self.change));
        findings.extend(on_the_waist(piece, leg));
        let way = if self.raised.raise.0 < 0.0 { "lowered" } else { "raised" };
        let message = format!(
            "the waist is the yoke's: its centre is {way} by {:.1} along its centre edge, and its upper edge comes back at \
             the side",
            self.raised.raise.abs()
        );
        findings.push(Finding::note(FindingId::ReadAs, message).about(piece));
        written(drawing, handles, piece, &self.change, settings, findings)
    }
}
