//! The invented maker, its size range and the body measures behind each size.
//!
//! Marlpit Harbour Workwear does not exist. Its trousers MH-214 sit on the high hip, below the natural waist, with a separate
//! waistband. Hip girth grows 40 mm from one size to the next (two size numbers), as the bins of the body data do that the
//! growth of the crotch length was set by: +14.3 mm per 40 mm of hip girth in women, ANSUR II (2012, public data).

use std::fmt::Write as _;

/// The maker, as it stands in the drawing.
pub const MAKER: &str = "MARLPIT HARBOUR WORKWEAR";
/// The style, as it stands in the drawing.
pub const STYLE: &str = "MH-214 HARBOUR TROUSERS";
/// Name of the grade rule table.
pub const RULE_TABLE: &str = "HARBOUR";
/// The size the nest was drawn from.
pub const SAMPLE_SIZE: f64 = 38.0;
/// Finished height of the waistband, mm.
pub const WAISTBAND: f64 = 40.0;

/// Measures of one size in mm. Girths are body girths; ease is added where the draft uses them.
#[derive(Clone, Copy, Debug)]
pub struct Body {
    /// Size number.
    pub size: f64,
    /// Hip girth at its fullest.
    pub hip: f64,
    /// Girth where the trousers' waist seam sits.
    pub waist: f64,
    /// Fork level to waist seam at the side.
    pub depth: f64,
    /// Fork level to hem.
    pub leg: f64,
    /// Finished width around at the knee.
    pub knee: f64,
    /// Finished width around at the hem.
    pub hem: f64,
}

impl Body {
    /// The measures of a size, half and quarter sizes too.
    pub fn of(size: f64) -> Self {
        let steps = (size - SAMPLE_SIZE) / 2.0;
        Self {
            size,
            hip: 960.0 + 40.0 * steps,
            waist: 836.0 + 40.0 * steps,
            depth: 226.0 + 4.86 * steps,
            leg: 778.0 + 2.0 * steps,
            knee: 500.0 + 12.0 * steps,
            hem: 440.0 + 8.0 * steps,
        }
    }
}

/// The sizes the maker sells.
pub fn range() -> Vec<f64> {
    vec![34.0, 36.0, 38.0, 40.0, 42.0, 44.0, 46.0]
}

/// A size as text: `38`, `38.5`.
pub fn size_text(size: f64) -> String {
    format!("{size}")
}

/// What the maker's fitting panel measured: crotch length on the body at the level of the waistband's top edge, ease asked for
/// (both mm), and a remark.
pub struct Fitting {
    /// Size number.
    pub size: f64,
    /// Body crotch length.
    pub crotch_length: f64,
    /// Ease in the whole crotch seam.
    pub ease: f64,
    /// Remark carried along.
    pub note: &'static str,
}

/// The fitting panel's results, the whole range.
pub fn fittings() -> Vec<Fitting> {
    let row = |size, crotch_length, ease, note| Fitting { size, crotch_length, ease, note };
    vec![
        row(34.0, 585.0, 25.0, "panel of four"),
        row(36.0, 601.0, 25.0, ""),
        row(38.0, 618.0, 25.0, "folds at the fork in the trial garment"),
        row(40.0, 634.0, 25.0, ""),
        row(42.0, 650.0, 25.0, "\"strained, seated\""),
        row(44.0, 664.0, 25.0, ""),
        row(46.0, 678.0, 25.0, "panel of two, measure again"),
    ]
}

/// The size table as CSV, body measures.
pub fn size_table() -> String {
    let mut csv = String::from("size,crotch_length,front_share,ease,waistband,note\n");
    for f in fittings() {
        let note = f.note.replace('"', "\"\"");
        let note = if note.contains([',', '"']) { format!("\"{note}\"") } else { note };
        let _ = writeln!(csv, "{},{},50%,{},{WAISTBAND},{note}", f.size, f.crotch_length, f.ease);
    }
    csv
}

/// A second size table: differences instead of body measures, every way of writing a share and a length, one size shortened
/// and two sizes of the nest left out.
pub fn change_table() -> String {
    "size,change,front_share,note\n\
     34,12.5,50%,\n\
     36,12.5 mm,0.5,\n\
     38,25.4,1/2,sample size\n\
     40,1 in,50%,\n\
     44,-9,50%,fabric stands off at the seat\n"
        .to_owned()
}

/// The job file of a drawing without sew lines: the allowances it was cut with.
pub fn allowances() -> String {
    "# The allowances of cut-only.dxf, which has no sew lines: truerise measure cut-only.dxf --job cut-only.toml\n\
     [allowance]\nall = \"5/8 in\"\nhem = \"40 mm\"\nwaist = \"10 mm\"\n"
        .to_owned()
}
