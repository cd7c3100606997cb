//! Finds numbers of a table that were probably not meant as they were read: another unit was meant, or ease or waistband were
//! forgotten. A wrong number here would be cut as if it were right, because every other check only asks whether the request was
//! fulfilled.

use super::plan::Changes;
use crate::finding::{Finding, FindingId};
use crate::job::{SizeRow, Want};
use crate::seam::{Gusset, Measures, Pair};
use crate::units::{Mm, against, in_other_units, outside};
use crate::words::listed;
use std::ops::RangeInclusive;

/// The crotch lengths of bodies, from babies to the largest adults. The soldiers of ANSUR II have 564 to 678 mm in the mean of
/// their hip girth, with a standard deviation of 27 to 41 mm (NATICK/TR-15/007); beyond them from memory.
const BODY: RangeInclusive<Mm> = Mm(250.0)..=Mm(1200.0);
/// The largest change of a crotch seam; with more it would be another pattern.
const CHANGE: Mm = Mm(80.0);
/// Finished heights of waistbands, from a narrow binding to the deepest rib (common practice, no source).
const WAISTBAND: RangeInclusive<Mm> = Mm(8.0)..=Mm(150.0);
/// The usual greatest height of a waistband on trousers made for sitting in (common practice, no source).
const USUAL_WAISTBAND: Mm = Mm(60.0);
/// Front and back measure are suspected to be exchanged if exchanging them reduces the larger of the two changes by more than
/// this.
const EXCHANGED: Mm = Mm(20.0);
/// The amount of ease in a crotch seam, positive or negative, if it is not 0 (1 to 2 in is usual for woven trousers, from
/// memory).
const EASE: RangeInclusive<Mm> = Mm(3.0)..=Mm(100.0);
/// If a body measure is shorter than the pattern by more than this, the ease was probably forgotten: half of the smallest usual
/// ease.
const SHORTER: Mm = Mm(12.7);

/// Looks for doubtful numbers in what a row asks for, given the change that follows from it.
pub(super) struct Doubt<'a> {
    pub row: &'a SizeRow<Mm>,
    /// What the pattern measures.
    pub before: &'a Measures,
    /// The change that follows from the row, with ease and waistband taken into account.
    pub changes: Changes,
    /// A waistband that is drawn for the size.
    pub waistband: Option<&'a str>,
    /// A gusset that is drawn for the size.
    pub gusset: Option<&'a Gusset>,
}

impl Doubt<'_> {
    /// All findings: errors that can be accepted, and warnings.
    pub fn findings(&self) -> Vec<Finding> {
        let mut all: Vec<Finding> = self.parts().into_iter().collect();
        match self.row.want {
            Want::CrotchLength(body) => all.extend(self.body(body)),
            Want::Lengths { front, back } => {
                all.extend(self.body(front + back).or_else(|| self.halves(front, back)));
            }
            Want::Change(change) => all.extend(self.change(change)),
        }
        let of_body = !matches!(self.row.want, Want::Change(_));
        all.extend(self.gusset.filter(|_| of_body).map(over_gusset));
        if all.is_empty() && of_body {
            all.extend(self.forgotten());
        }
        all
    }

    /// Checks a body measure.
    fn body(&self, body: Mm) -> Option<Finding> {
        let off = |length: Mm| self.total() + length - body + self.parts_times(length.0 / body.0);
        let fits = |length: Mm| BODY.contains(&length) && off(length).abs() <= CHANGE;
        let said = if BODY.contains(&body) {
            if self.total().abs() <= CHANGE {
                return None;
            }
            format!("a crotch length of {body} would change the pattern by {}", more_than_usual(self.total()))
        } else {
            let (body, bodies) = outside(body, &BODY, 2);
            format!("a crotch length of {body} is none that a body has ({bodies})")
        };
        let both = matches!(self.row.want, Want::Lengths { .. });
        let hint = |(text, length): (String, Mm)| {
            let meant = if both {
                format!(
                    "if both are meant in {} ({length} together)",
                    text.rsplit(' ').next().unwrap_or_default()
                )
            } else {
                format!("if {text} ({length}) is meant")
            };
            let cell = if both { "both cells" } else { "the cell" };
            format!("{meant}, which would change it by {:+.2} mm, write the unit into {cell}", off(length).0)
        };
        let mut hints: Vec<String> = self.in_other_units(body, fits).into_iter().map(hint).collect();
        hints.extend(self.ease_or_waistband());
        Some(doubtful(
            &said,
            &hints,
            "measure the wearer and the pattern again; it may be another size of the pattern",
        ))
    }

    fn total(&self) -> Mm {
        self.changes.total()
    }

    /// The lengths that the number would mean in other units.
    fn in_other_units(&self, length: Mm, fits: impl Fn(Mm) -> bool) -> Vec<(String, Mm)> {
        self.row.unit.map_or_else(Vec::new, |unit| in_other_units(length, unit, fits))
    }

    /// By how much the change grows where ease and waistband, which make no sense as they were read, are meant so many times as large.
    fn parts_times(&self, times: f64) -> Mm {
        let more = |given: Option<Mm>, usual: RangeInclusive<Mm>| {
            let meant = |l: &Mm| !usual.contains(&l.abs()) && usual.contains(&Mm(l.abs().0 * times));
            given.filter(meant).map_or(0.0, |l| l.0 * (times - 1.0))
        };
        Mm(more(self.row.ease, EASE) - 2.0 * more(self.row.waistband, WAISTBAND))
    }

    /// Checks the two parts of a body measure whose sum is plausible.
    fn halves(&self, front: Mm, back: Mm) -> Option<Finding> {
        let Pair { front: f, back: b } = self.changes;
        // The changes if front and back measure were exchanged.
        let lean = self.before.back.rise - self.before.front.rise;
        let exchanged = Pair { front: f + back - front, back: b + front - back };
        if self.changes.larger() > exchanged.larger() + EXCHANGED && front > back {
            let said = format!(
                "the front crotch length of {front} is more than the back's of {back}, while the pattern's back rise is {lean} \
                 more than its front rise"
            );
            return Some(doubtful(&said, &[], "look whether the two are exchanged"));
        }
        let part = if f.abs() >= b.abs() { ("front", front, f) } else { ("back", back, b) };
        let (word, body, change) = part;
        if change.abs() <= CHANGE {
            return None;
        }
        let fits = |length: Mm| (change + length - body).abs() <= CHANGE;
        let hints = self.in_other_units(body, fits).into_iter();
        let hints = hints
            .map(|(text, length)| format!("if {text} ({length}) is meant, write the unit into the cell"));
        let said = format!(
            "a {word} crotch length of {body} would change the {word} rise by {}",
            more_than_usual(change)
        );
        Some(doubtful(
            &said,
            &hints.collect::<Vec<_>>(),
            "measure again where the mark between the legs lies",
        ))
    }

    /// Checks a change that is asked for directly.
    fn change(&self, change: Mm) -> Option<Finding> {
        /// Nobody asks for a change smaller than this.
        const LEAST: Mm = Mm(2.0);
        let fits = |length: Mm| (LEAST..=CHANGE).contains(&length.abs());
        if change.abs() <= CHANGE {
            return None;
        }
        let (by, most) = against(change.0, CHANGE.0.copysign(change.0), 2);
        let said = format!("a change of {by} mm is more than {} mm", most.trim_start_matches('-'));
        let hints = self
            .in_other_units(change, fits)
            .into_iter()
            .map(|(text, length)| format!("if {text} ({length}) is meant, write the unit into the cell"));
        let help =
            "change is the difference wanted, not the length; the length of the body goes into crotch_length";
        Some(doubtful(&said, &hints.collect::<Vec<_>>(), help))
    }

    /// Checks ease and waistband by themselves.
    fn parts(&self) -> Vec<Finding> {
        let parts = [("an ease", self.row.ease, EASE), ("a waistband", self.row.waistband, WAISTBAND)];
        let one = |(name, given, usual): (&str, Option<Mm>, RangeInclusive<Mm>)| {
            let given = given.filter(|l| *l != Mm(0.0) && !usual.contains(&l.abs()))?;
            let (told, range) = outside(given.abs(), &usual, 2);
            let sign = if given < Mm(0.0) { "-" } else { "" };
            let said = format!("{name} of {sign}{told} is not to be believed (0, or {range})");
            let hints = self.in_other_units(given, |length| usual.contains(&length.abs())).into_iter();
            let hints = hints
                .map(|(text, length)| format!("if {text} ({length}) is meant, write the unit into the cell"));
            Some(doubtful(&said, &hints.collect::<Vec<_>>(), "look at the table again"))
        };
        if matches!(self.row.want, Want::Change(_)) {
            // A directly requested change includes neither of them.
            return Vec::new();
        }
        parts.into_iter().filter_map(one).collect()
    }

    /// A hint if ease or waistband explain a change that is too large.
    fn ease_or_waistband(&self) -> Option<String> {
        let without = |length: Mm| (self.total() - length).abs() <= CHANGE;
        let (ease, band) = (self.row.ease.unwrap_or_default(), self.row.waistband.unwrap_or_default());
        if self.total() > Mm(0.0) {
            if self.row.waistband.is_none() && self.total() <= CHANGE + USUAL_WAISTBAND * 2.0 {
                let drawn = self.waistband.map(|name| format!(" ('{name}' is drawn)")).unwrap_or_default();
                return Some(format!(
                    "where a separate waistband is sewn on{drawn}, write its finished height into waistband: it counts at both \
                     ends and takes twice as much off the change"
                ));
            }
            return (ease > Mm(0.0) && without(ease)).then(|| format!("the ease of {ease} is part of it"));
        }
        if band > Mm(0.0) && without(band * -2.0) {
            return Some(format!(
                "the waistband of {band} counts at both ends, and {} are part of it",
                band * 2.0
            ));
        }
        (self.row.ease.is_none() && without(*EASE.end() * -1.0)).then(|| FORGOTTEN_EASE.to_owned())
    }

    /// Warnings about ease or a waistband that was probably forgotten although the numbers are plausible.
    fn forgotten(&self) -> Vec<Finding> {
        let mut all = Vec::new();
        if let (None, Some(name)) = (self.row.waistband, self.waistband) {
            all.push(format!(
                "'{name}' is drawn for this size, and the table gives no waistband: its finished height counts at both ends. \
                 Write it into waistband, or 0 where the measure was taken without it"
            ));
        }
        if self.row.ease.is_none() && self.total() < -SHORTER {
            all.push(format!(
                "the body measure is {} shorter than the pattern's crotch length, and the table gives no ease: {FORGOTTEN_EASE}",
                self.total().abs()
            ));
        }
        all.into_iter().map(|said| Finding::warning(FindingId::MeasureDoubtful, said)).collect()
    }
}

/// The body is measured over the gusset, the pattern without it, and the drawing does not say which way the crotch line runs over
/// it.
fn over_gusset(gusset: &Gusset) -> Finding {
    let said = format!(
        "the body is measured over the gusset {} as well, the pattern's crotch length without it",
        gusset.worded()
    );
    let help = "take the way that the crotch runs over it off the body measure and accept this, or ask for the difference in change";
    doubtful(&said, &[], help)
}

/// A note naming all sizes that get the plain body measure: forgotten ease does not show in any number.
pub(super) fn without_ease(rows: &[&SizeRow<Mm>]) -> Option<Finding> {
    let bare = rows.iter().filter(|row| row.ease.is_none() && !matches!(row.want, Want::Change(_)));
    let sizes: Vec<&str> = bare.map(|row| row.size.as_str()).collect();
    let message = format!(
        "the table gives no ease for size {}: the seam gets the measure of the body as it is. Write 25 to 50 mm into ease where \
         usual woven trousers are wanted, or 0 to say that none is",
        listed(sizes.iter().copied())
    );
    (!sizes.is_empty()).then(|| Finding::note(FindingId::ReadAs, message))
}

const FORGOTTEN_EASE: &str = "the body is measured without ease, and a pattern has some (25 to 50 mm in total is usual in woven \
                              trousers). Write it into ease, or 0 where the seam is to lie as close as the tape";

/// The finding: what is wrong, followed by what would make sense or, failing that, what to do.
fn doubtful(said: &str, hints: &[String], otherwise: &str) -> Finding {
    let hints = if hints.is_empty() { otherwise.to_owned() } else { hints.join("; ") };
    Finding::error(FindingId::MeasureDoubtful, format!("{said}: {hints}"))
}

/// Text that gives a change and the limit that it exceeds.
fn more_than_usual(change: Mm) -> String {
    let (by, most) = against(change.abs().0, CHANGE.0, 2);
    let sign = if change < Mm(0.0) { '-' } else { '+' };
    format!("{sign}{by} mm, which is more than {most} mm")
}
