//! Kinds of sheets with labels, by their measures, and how a page lays labels on them.

use std::fmt::Write as _;

/// Paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    A4,
    Letter,
}

impl Paper {
    /// Width and height, mm (ISO 216; 8.5 by 11 inches).
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Paper::A4 => [210.0, 297.0],
            Paper::Letter => [215.9, 279.4],
        }
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "Letter",
        }
    }
}

/// A kind of sheet: all measures in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Its word in addresses.
    pub word: &'static str,
    pub paper: Paper,
    pub columns: usize,
    pub rows: usize,
    /// Of one label.
    pub width: f64,
    pub height: f64,
    /// From the left and upper edges of the paper to the first label.
    pub left: f64,
    pub top: f64,
    /// Between labels, across and down.
    pub gap_across: f64,
    pub gap_down: f64,
}

/// Kinds that are common; the measures are from memory: hold a printed page against a sheet before printing many.
pub const SHEETS: &[Sheet] = &[
    a4("a4-8", [2, 4], [99.1, 67.7], [4.65, 13.1], [2.6, 0.0]),
    a4("a4-10", [2, 5], [99.1, 57.0], [4.65, 6.0], [2.6, 0.0]),
    a4("a4-14", [2, 7], [99.1, 38.1], [4.65, 15.15], [2.6, 0.0]),
    a4("a4-18", [3, 6], [63.5, 46.6], [7.25, 8.7], [2.5, 0.0]),
    a4("a4-21", [3, 7], [63.5, 38.1], [7.25, 15.15], [2.5, 0.0]),
    letter("letter-6", [2, 3], [101.6, 84.67], [4.0, 12.7], [4.7, 0.0]),
    letter("letter-10", [2, 5], [101.6, 50.8], [4.0, 12.7], [4.7, 0.0]),
    letter("letter-14", [2, 7], [101.6, 33.87], [4.0, 21.1], [4.7, 0.0]),
    letter(
        "letter-30",
        [3, 10],
        [66.68, 25.4],
        [4.76, 12.7],
        [3.17, 0.0],
    ),
];

const fn a4(
    word: &'static str,
    [columns, rows]: [usize; 2],
    [width, height]: [f64; 2],
    [left, top]: [f64; 2],
    [gap_across, gap_down]: [f64; 2],
) -> Sheet {
    Sheet {
        word,
        paper: Paper::A4,
        columns,
        rows,
        width,
        height,
        left,
        top,
        gap_across,
        gap_down,
    }
}

const fn letter(
    word: &'static str,
    grid: [usize; 2],
    size: [f64; 2],
    edge: [f64; 2],
    gap: [f64; 2],
) -> Sheet {
    Sheet {
        paper: Paper::Letter,
        ..a4(word, grid, size, edge, gap)
    }
}

/// The kind of a word.
pub fn of_word(word: &str) -> Option<&'static Sheet> {
    SHEETS.iter().find(|sheet| sheet.word == word)
}

impl Sheet {
    /// Labels on one sheet.
    pub fn labels(&self) -> usize {
        self.columns * self.rows
    }

    /// "A4, 21 labels of 63.5 × 38.1 mm".
    pub fn name(&self) -> String {
        format!(
            "{}, {} labels of {} × {} mm",
            self.paper.name(),
            self.labels(),
            self.width,
            self.height
        )
    }

    /// Whether a label is so low that it holds fewer words.
    pub fn is_low(&self) -> bool {
        self.height < 35.0
    }

    /// The stylesheet that lays labels on it: a page is a sheet, to a tenth of a millimetre.
    pub fn style(&self) -> String {
        let [wide, high] = self.paper.size_mm();
        // A hair less than the paper, so that rounding never begins another page.
        let page = high - 0.2;
        let inner = self.width.min(self.height) * 0.06;
        let code = (self.height - 2.0 * inner).min(self.width * 0.3).min(26.0);
        let mut css = String::new();
        let _ = write!(
            css,
            "@page {{ size: {wide}mm {high}mm; margin: 0; }}\n\
             .label-sheet {{ width: {wide}mm; height: {page}mm; padding: {top}mm 0 0 {left}mm; \
             grid-template-columns: repeat({columns}, {width}mm); grid-auto-rows: {height}mm; \
             column-gap: {across}mm; row-gap: {down}mm; }}\n\
             .bottle-label {{ padding: {inner:.2}mm; grid-template-columns: minmax(0, 1fr) {code:.2}mm; }}\n",
            top = self.top,
            left = self.left,
            columns = self.columns,
            width = self.width,
            height = self.height,
            across = self.gap_across,
            down = self.gap_down,
        );
        css
    }

    /// So many labels on as many sheets as they need, the first from a place on (1 is the first label of the sheet). `None`
    /// stands for a label that is used already.
    pub fn spread<T: Clone>(&self, label: &T, count: usize, start: usize) -> Vec<Vec<Option<T>>> {
        self.lay(std::iter::repeat_n(label.clone(), count), start)
    }

    /// The same for labels that differ.
    pub fn lay<T: Clone>(
        &self,
        labels: impl Iterator<Item = T>,
        start: usize,
    ) -> Vec<Vec<Option<T>>> {
        let used = start.clamp(1, self.labels()) - 1;
        let places = std::iter::repeat_n(None, used);
        let all: Vec<Option<T>> = places.chain(labels.map(Some)).collect();
        all.chunks(self.labels()).map(<[_]>::to_vec).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_lies_within_its_paper_and_in_its_middle() {
        for sheet in SHEETS {
            let [wide, high] = sheet.paper.size_mm();
            let across =
                sheet.columns as f64 * sheet.width + (sheet.columns - 1) as f64 * sheet.gap_across;
            let down = sheet.rows as f64 * sheet.height + (sheet.rows - 1) as f64 * sheet.gap_down;
            let right = wide - sheet.left - across;
            let below = high - sheet.top - down;
            assert!(
                right >= 0.0 && below >= 0.0,
                "{}: {right} {below}",
                sheet.word
            );
            // Sheets are the same both ways round.
            assert!((right - sheet.left).abs() < 0.3, "{}: {right}", sheet.word);
            assert!((below - sheet.top).abs() < 0.3, "{}: {below}", sheet.word);
        }
    }

    #[test]
    fn a_used_sheet_is_begun_where_it_was_left() {
        let sheet = of_word("a4-21").unwrap();
        let pages = sheet.spread(&"x", 24, 20);
        assert_eq!(pages.len(), 3);
        assert_eq!(pages[0].iter().flatten().count(), 2);
        assert_eq!(pages[0].iter().take_while(|one| one.is_none()).count(), 19);
        assert_eq!((pages[1].len(), pages[2].len()), (21, 1));
        assert_eq!(sheet.spread(&"x", 21, 1).len(), 1);
        assert!(sheet.spread(&"x", 0, 1).is_empty());
        for start in [0, 99] {
            let pages = sheet.spread(&"x", 1, start);
            assert_eq!(pages.iter().flatten().flatten().count(), 1, "{start}");
        }
    }

    #[test]
    fn a_page_is_as_large_as_its_paper_and_never_larger() {
        let style = of_word("letter-30").unwrap().style();
        assert!(
            style.contains("size: 215.9mm 279.4mm; margin: 0"),
            "{style}"
        );
        assert!(style.contains("height: 279.2mm"), "{style}");
        assert!(style.contains("repeat(3, 66.68mm)"), "{style}");
    }
}
