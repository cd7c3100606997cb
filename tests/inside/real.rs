//! The bytes of other programs' drawings go through the text layer as they are.

use crate::bodies;
use crate::dxf_text::Drawing;
use crate::inside::common::real::{drawings, fetched};
use crate::order;
use crate::output::{self, Handles};

#[test]
fn drawings_of_other_programs_go_through_the_text_layer() {
    let Some(folder) = fetched() else { return };
    let (files, mut scanned) = (drawings(&folder), 0);
    for file in &files {
        let bytes = std::fs::read(file).unwrap();
        bodies::dxf_text(&bytes);
        let text = order::text(&bytes).unwrap();
        if let Ok(drawing) = Drawing::scan(&text) {
            scanned += 1;
            assert!(
                output::file(&drawing, Vec::new(), &Handles::default()).to_vec() == *text,
                "{}",
                file.display()
            );
        }
    }
    eprintln!("the text layer takes {scanned} of {} drawings", files.len());
    assert!(files.len() >= 37 && scanned >= files.len() - 2, "{scanned} of {}", files.len());
}
