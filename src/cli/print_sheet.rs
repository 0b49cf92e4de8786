//! The bench sheet: on the terminal in the order of the work, or as a page to print.

use super::page::{Page, pad, right};
use super::plan;
use crate::answer::SheetOut;
use crate::formula::weighed;
use crate::model::Severity;

/// The sheet as text; with `why` the reasons and sources of its steps, and the label in full.
pub fn print(page: &mut Page, sheet: &SheetOut, why: bool) {
    page.head(&sheet.summary);
    for step in &sheet.cautions {
        let severity = Severity::parse(&step.phase).unwrap_or(Severity::Watch);
        page.marked(severity, "  !  ", &step.text);
    }
    weighing(page, sheet);
    steps(page, sheet, why);
    for line in &sheet.allergens {
        page.labelled("  ", line);
    }
    let figures: Vec<String> = (sheet.figures.iter())
        .map(|f| format!("{} {:.*} {}", f.figure, f.decimals, f.value, f.unit))
        .collect();
    page.labelled("  ", &figures.join("; "));
    if let Some(label) = &sheet.label {
        page.gap();
        super::print_label::print(page, label, why);
        page.gap();
    }
    let boxes: Vec<String> = (sheet.measured.iter())
        .map(|m| format!("{} ____ {}", m.what, m.unit).trim_end().to_string())
        .collect();
    page.labelled("  ", &boxes.join("   "));
}

/// Grams first, with a box to check and the bowl; a bowl is named once.
fn weighing(page: &mut Page, sheet: &SheetOut) {
    let column = |n: usize| -> Vec<String> {
        let lines = sheet.bowls.iter().flat_map(|b| &b.lines);
        lines
            .map(|l| format!("{} g", weighed_exactly(l.grams[n])))
            .collect()
    };
    let columns: Vec<Vec<String>> = (0..sheet.batches.len()).map(column).collect();
    let widths: Vec<usize> = (columns.iter())
        .map(|cells| {
            cells
                .iter()
                .map(|c| c.chars().count())
                .max()
                .unwrap_or(0)
                .max(7)
        })
        .collect();
    if sheet.batches.len() > 1 {
        let heads = sheet.batches.iter().zip(&widths);
        let heads: Vec<String> = heads
            .map(|(times, width)| right(&format!("x {}", weighed(*times)), *width))
            .collect();
        page.line(&format!("          {}", heads.join("  ")));
    }
    let mut at = 0;
    for bowl in &sheet.bowls {
        for (n, line) in bowl.lines.iter().enumerate() {
            let letter = if n == 0 { bowl.bowl.as_str() } else { "" };
            let cells = columns.iter().zip(&widths);
            let cells: Vec<String> = cells.map(|(c, width)| right(&c[at], *width)).collect();
            let percent = right(&format!("{:.2} %", line.percent), 8);
            page.line(&format!(
                "  {} [ ]  {} {percent}  {}",
                pad(letter, 2),
                cells.join("  "),
                line.name
            ));
            at += 1;
        }
    }
    let changed: Vec<String> = (sheet.rounded.iter())
        .map(|r| format!("{} {:.2} -> {:.2} {}", r.figure, r.exact, r.weighed, r.unit))
        .collect();
    if !changed.is_empty() {
        page.labelled("  as the scale shows it: ", &changed.join("; "));
    }
}

/// Grams of a scale, which are exact.
pub(super) fn weighed_exactly(grams: f64) -> String {
    let text = format!("{grams:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn steps(page: &mut Page, sheet: &SheetOut, why: bool) {
    for (n, step) in sheet.steps.iter().enumerate() {
        let bowl = sheet.bowls.iter().find(|b| b.step == Some(n + 1));
        let bowl = bowl.map_or(String::new(), |b| format!("{}: ", b.bowl));
        let sign = plan::sign(step, why);
        page.labelled(&plan::numbered(step), &format!("{bowl}{}{sign}", step.text));
        if why {
            plan::because(page, step);
        }
    }
    if sheet.steps.is_empty() {
        page.labelled(
            "  ",
            "How this dish is made is not modelled here; only what is weighed is sure.",
        );
    }
}
