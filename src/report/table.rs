//! Tables for a terminal: aligned, or with the cells one below the other where the terminal is narrow.

use unicode_width::UnicodeWidthStr;

/// A table of texts. The first column names the row.
#[derive(Clone, Debug, Default)]
pub struct Table {
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with these column heads.
    #[must_use]
    pub fn new(heads: &[&str]) -> Self {
        Table { heads: heads.iter().map(ToString::to_string).collect(), rows: Vec::new() }
    }

    /// Adds a row, a cell for each column.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// The table in lines of at most `width` columns. If it is wider than that, every row becomes a block of lines of the
    /// form `head: cell`, which also reads well aloud.
    #[must_use]
    pub fn render(&self, width: usize) -> String {
        let widths: Vec<usize> = (0..self.heads.len())
            .map(|c| self.rows.iter().map(|r| r[c].width()).chain([self.heads[c].width()]).max().unwrap_or(0))
            .collect();
        let total: usize = widths.iter().sum::<usize>() + 2 * widths.len().saturating_sub(1);
        if total > width { self.stacked() } else { self.aligned(&widths) }
    }

    fn aligned(&self, widths: &[usize]) -> String {
        // Columns of words, and the first one, are aligned to the left, columns of numbers to the right.
        let number = |cell: &str| cell.starts_with(|f: char| f.is_ascii_digit() || "+-".contains(f));
        let words: Vec<bool> =
            (0..widths.len()).map(|c| c == 0 || self.rows.iter().all(|r| !number(&r[c]))).collect();
        let mut out = String::new();
        for row in std::iter::once(&self.heads).chain(&self.rows) {
            let mut line = String::new();
            for ((cell, &w), &words) in row.iter().zip(widths).zip(&words) {
                let blanks = " ".repeat(w - cell.width());
                let (left, right) =
                    if words { (cell.as_str(), blanks.as_str()) } else { (blanks.as_str(), cell.as_str()) };
                line.extend([left, right, "  "]);
            }
            out += line.trim_end();
            out.push('\n');
        }
        out
    }

    fn stacked(&self) -> String {
        let mut out = String::new();
        let wide = self.heads.iter().skip(1).map(|h| h.width()).max().unwrap_or(0);
        for row in &self.rows {
            out.extend([&self.heads[0], " ", &row[0], "\n"]);
            for (head, cell) in self.heads.iter().zip(row).skip(1) {
                let blanks = " ".repeat(wide - head.width());
                out.extend(["  ", head, ":", &blanks, " ", cell, "\n"]);
            }
        }
        out
    }
}
