//! The new drawing, read again from the start as whoever measures it or lays it out will read it.
//!
//! The seams of an altered leg are known from the alteration. A reader of the new drawing has to find them anew, and may take other lines
//! for them: a fly that became too short is none any more, a curve that came to lie elsewhere ends at another corner. Every piece is then
//! as it was meant, and what the report says of it is not what is read.

use super::Settings;
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::job::LabelTexts;
use crate::opened::{self, Opened};
use crate::report::SizeReport;
use crate::seam::{self, Measures, Pair, Part, Size};
use crate::units::Mm;

/// By how much a length may be read differently: a rise or an inseam that ends at another corner differs by far more, and rounded
/// coordinates add up to less over a seam.
const ALIKE: Mm = Mm(0.2);

/// Why it matters, and what to do about it.
const ADVICE: &str = "Whoever measures or lays out the new drawing would see it so. Ask for a smaller change, or name the seams in the \
                      drawing, by texts at them or by layers of their own ([labels] and [layers] of the job file); if the new drawing is \
                      right as it is, --accept reread-differs";

/// Reads the new drawing again and adds what is read differently to the reports. `sizes` are those of the old drawing, as they are read
/// by these words for seams and parts. A drawing that cannot be read at all is an error.
pub(super) fn compare(
    opened: &Opened<'_>,
    (sizes, labels): (&[Size<'_>], &LabelTexts),
    new: &[u8],
    settings: &Settings,
    reports: &mut [SizeReport],
) -> Result<(), Finding> {
    let unread = |error: String| {
        let message = format!("the new drawing could not be read again: {error}");
        Finding::error(FindingId::RereadDiffers, message)
    };
    let drawing = Drawing::scan(new).map_err(|e| unread(e.to_string()))?;
    let again =
        opened::open(opened.path, new, drawing, &opened.reading).map_err(|e| unread(e.to_string()))?;
    let found = seam::sizes(&again.pattern, labels);
    for report in reports {
        let Some(after) = report.after.as_ref().filter(|_| !settings.only_asked || report.asked.is_some())
        else {
            continue;
        };
        let of_name = |size: &&Size<'_>| size.name.as_str() == report.size;
        let (was, is) = (sizes.iter().find(of_name), found.iter().find(of_name));
        let differs = match was.zip(is) {
            Some((was, is)) => differs(was, is, after),
            None => Some(Differs::error("no trouser legs of this size are found in it".to_owned())),
        };
        let Some(Differs { what, severity, part }) = differs else { continue };
        let message =
            format!("the new drawing, read again from the start, is read differently: {what}. {ADVICE}");
        let finding = Finding::new(FindingId::RereadDiffers, severity, message).size(report.size.clone());
        let leg = part.and_then(|part| was?.legs.of(part).first());
        let mut finding = leg.into_iter().fold(finding, |finding, on| finding.about(on.piece));
        finding.accept(&settings.accept);
        report.findings.push(finding);
    }
    Ok(())
}

/// What is read differently of a size.
struct Differs {
    what: String,
    severity: Severity,
    /// The part that is concerned, if it is one of them.
    part: Option<Part>,
}

impl Differs {
    fn error(what: String) -> Self {
        Differs { what, severity: Severity::Error, part: None }
    }
}

/// What is read differently of a size. If its seams could be read in more than one way, a reader asks, and nothing wrong is read: that is a
/// warning.
fn differs(was: &Size<'_>, is: &Size<'_>, after: &Measures) -> Option<Differs> {
    let Some(pair) = is.pair() else {
        let errors = || is.findings.iter().filter(|f| f.severity == Severity::Error);
        let asks = errors().next().is_some() && errors().all(|f| f.id == FindingId::SeamAmbiguous);
        let why = errors().next().map_or("front or back is not found", |f| &f.message);
        let severity = if asks { Severity::Warning } else { Severity::Error };
        return Some(Differs { severity, ..Differs::error(format!("it cannot be measured, for {why}")) });
    };
    let read = Measures::of(pair);
    let read = Pair { front: &read.front, back: &read.back };
    let meant = Pair { front: &after.front, back: &after.back };
    Part::ALL.into_iter().find_map(|part| {
        let [legs, again] = [was, is].map(|size| size.legs.of(part).len());
        let count =
            (legs != again).then(|| format!("{again} {} legs are found in place of {legs}", part.word()));
        let lengths = [
            ("rise", read.of(part).rise, meant.of(part).rise),
            ("inseam", read.of(part).inseam, meant.of(part).inseam),
        ];
        let length = lengths.into_iter().find(|(_, read, meant)| (*read - *meant).abs() > ALIKE);
        let what = count.or_else(|| {
            let (name, read, meant) = length?;
            Some(format!("the {} {name} reads {read} in place of {meant}", part.word()))
        })?;
        Some(Differs { part: Some(part), ..Differs::error(what) })
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests stop at the first surprise")]
    use super::*;
    use crate::job::{Job, SizeTable};
    use crate::order;
    use crate::units::Unit;

    /// The nest, its alteration by 30 mm in size 38, and what is told of `new`, a drawing made from both, as severity and message.
    fn told(new: impl Fn(&str, &str) -> String) -> Result<Vec<(Severity, String)>, Finding> {
        let nest = std::fs::read("samples/harbour-nest.dxf").unwrap();
        let (job, read) = (Job::default(), Drawing::scan(&nest).unwrap());
        let opened = order::open("nest.dxf", &nest, read, &job.reading()).unwrap();
        let sizes = seam::sizes(&opened.pattern, &job.labels);
        let table = SizeTable::from_csv("size,change\n38,30mm\n", "table").unwrap().in_mm(Unit::Mm);
        let settings = Settings::of(&job, Unit::Mm);
        let altered = order::alter(&opened, (&sizes, &job.labels), &table, &settings, "out.dxf");
        let text = String::from_utf8(altered.drawing.unwrap().to_vec()).unwrap();
        let mut reports = altered.report.sizes;
        let first = reports.iter().map(|r| r.findings.len()).collect::<Vec<_>>();
        let new = new(std::str::from_utf8(&nest).unwrap(), &text);
        compare(&opened, (&sizes, &job.labels), new.as_bytes(), &settings, &mut reports)?;
        let found = reports.iter().zip(first).flat_map(|(r, first)| r.findings[first..].to_vec());
        let told = found.inspect(|f| assert_eq!(f.id, FindingId::RereadDiffers));
        Ok(told.map(|f| (f.severity, format!("{}: {}", f.size.unwrap(), f.message))).collect())
    }

    #[test]
    fn what_was_written_reads_as_the_report_says() {
        assert_eq!(told(|_, altered| altered.to_owned()), Ok(Vec::new()));
        // The old drawing in the place of the new one: the front rise, 234.07 mm, lacks its half of 30 mm.
        let found = told(|nest, _| nest.to_owned()).unwrap();
        let [(Severity::Error, message)] = &found[..] else { panic!("{found:?}") };
        let says = "38: the new drawing, read again from the start, is read differently: the front rise reads 234.07 mm in place of \
                    249.07 mm. ";
        assert!(message.starts_with(says), "{message}");
    }

    #[test]
    fn a_leg_that_is_not_found_again_and_a_drawing_that_ends_are_errors() {
        let found = told(|_, altered| altered.replacen("Piece Name: BACK", "Piece Name: PATCH", 1)).unwrap();
        let [(Severity::Error, message)] = &found[..] else { panic!("{found:?}") };
        assert!(message.starts_with("34: ") && message.contains("it cannot be measured, for"), "{message}");
        let cut = told(|_, altered| altered[..altered.len() / 2].to_owned()).unwrap_err();
        assert!(cut.message.starts_with("the new drawing could not be read again: "), "{}", cut.message);
    }

    /// Where a reader asks, nothing wrong is read.
    #[test]
    fn a_seam_that_could_be_read_in_two_ways_is_a_warning() {
        let nest = std::fs::read("samples/harbour-nest.dxf").unwrap();
        let job = Job::default();
        let opened = order::open("nest.dxf", &nest, Drawing::scan(&nest).unwrap(), &job.reading()).unwrap();
        let was = &seam::sizes(&opened.pattern, &job.labels)[0];
        let after = Measures::of(was.pair().unwrap());
        let severity = |ids: &[FindingId]| {
            let mut is = was.clone();
            is.findings.extend(ids.iter().map(|id| Finding::error(*id, "why")));
            differs(was, &is, &after).map(|differs| differs.severity)
        };
        assert_eq!(severity(&[]), None);
        assert_eq!(severity(&[FindingId::SeamAmbiguous]), Some(Severity::Warning));
        let [seam, mate] = [FindingId::SeamAmbiguous, FindingId::MateMissing];
        assert_eq!(severity(&[seam, mate]), Some(Severity::Error));
    }
}
