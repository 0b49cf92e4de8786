//! The bench sheet as one page of HTML that needs nothing else: black on white, for A4 or Letter.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::commands::sheet::Paper;
use super::print_sheet::weighed_exactly;
use crate::answer::{LabelOut, SheetOut};
use crate::formula::weighed;

/// Everything is black; the picture of the curve is turned grey.
const STYLE: &str = "\
*{box-sizing:border-box}\
body{font:10pt/1.3 sans-serif;color:#000;background:#fff;margin:0 auto;max-width:186mm}\
h1{font-size:16pt;margin:0}h2{font-size:11pt;margin:4mm 0 1mm;border-bottom:.4mm solid #000}\
p{margin:1mm 0}table{border-collapse:collapse;width:100%}\
td,th{padding:.6mm 1.5mm;text-align:left;vertical-align:top;border-bottom:.2mm solid #999;font-weight:normal}\
.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}\
.g{font-weight:bold;font-size:11pt}.b{font-weight:bold}.bowl td.b,.box{width:9mm}.w .n{width:18mm}\
.box i{display:inline-block;width:3.6mm;height:3.6mm;border:.3mm solid #000}\
tbody.bowl{break-inside:avoid}tbody.bowl tr:last-child td{border-bottom:.4mm solid #000}\
.stop{border:.6mm solid #000;padding:1.5mm;font-weight:bold}\
ol{margin:0;padding-left:7mm}.store{list-style:none}li{margin:.8mm 0;break-inside:avoid}\
.cells{display:grid;grid-template-columns:repeat(3,1fr);gap:2mm}\
.cells div{border:.3mm solid #000;min-height:11mm;padding:1mm;font-size:8pt}\
.curve{width:118mm;margin:4mm auto 0;break-inside:avoid}.curve svg{width:100%;height:auto;filter:grayscale(1)}\
.keep{break-inside:avoid}small{font-size:8pt}";

/// The sheet as HTML; with the picture of its freezing curve where the dish is frozen.
pub fn html(sheet: &SheetOut, paper: Paper, curve: Option<&str>) -> String {
    let size = match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    let style = format!("@page{{size:{size};margin:12mm}}{STYLE}");
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { (sheet.name) ", bench sheet" }
                style { (PreEscaped(style)) }
            }
            body {
                h1 { (sheet.name) }
                p { (sheet.summary) " Date ________  Cook ________  Trial ________" }
                @for step in &sheet.cautions {
                    p class=[(step.phase == "stop").then_some("stop")] { "! " (step.text) }
                }
                (weighing(sheet))
                (steps(sheet))
                div.keep {
                    h2 { "Allergens and figures" }
                    @for line in &sheet.allergens { p { (line) } }
                    p { (figures(sheet)) }
                }
                div.keep {
                    h2 { "Measured" }
                    div.cells {
                        @for m in &sheet.measured {
                            div { (m.what) @if !m.unit.is_empty() { ", " (m.unit) } }
                        }
                    }
                }
                @if let Some(svg) = curve {
                    div.curve { (PreEscaped(svg)) }
                }
                @if let Some(label) = &sheet.label { (drafted(label)) }
            }
        }
    };
    page.into_string() + "\n"
}

fn weighing(sheet: &SheetOut) -> Markup {
    html! {
        h2 { "Weigh" }
        table.w {
            thead {
                tr {
                    th { "bowl" } th {}
                    @for times in &sheet.batches {
                        th.n { @if sheet.batches.len() > 1 { "x " (weighed(*times)) } @else { "g" } }
                    }
                    th.n { "%" } th { "ingredient" }
                }
            }
            @for bowl in &sheet.bowls {
                tbody.bowl {
                    @for (n, line) in bowl.lines.iter().enumerate() {
                        tr {
                            td.b { @if n == 0 { (bowl.bowl) } }
                            td.box { i {} }
                            @for grams in &line.grams { td.n.g { (weighed_exactly(*grams)) } }
                            td.n { (format!("{:.2}", line.percent)) }
                            td { (line.name) }
                        }
                    }
                }
            }
        }
        @if !sheet.rounded.is_empty() {
            p {
                small {
                    "Rounded to the scale:"
                    @for r in &sheet.rounded {
                        " " (r.figure) " " (format!("{:.2}", r.exact)) " to "
                        (format!("{:.2}", r.weighed)) " " (r.unit) ";"
                    }
                }
            }
        }
    }
}

fn steps(sheet: &SheetOut) -> Markup {
    html! {
        h2 { "Do" }
        @if sheet.steps.is_empty() {
            p { "How this dish is made is not modelled here; only what is weighed is sure." }
        }
        ol {
            @for (n, step) in sheet.steps.iter().enumerate() {
                li class=[(step.step == 0).then_some("store")] {
                    @if let Some(bowl) = sheet.bowls.iter().find(|b| b.step == Some(n + 1)) {
                        span.b { "Bowl " (bowl.bowl) ": " }
                    }
                    (step.text)
                    @if !step.sign.is_empty() { " " i { "Done when: " (step.sign) "." } }
                }
            }
        }
    }
}

fn figures(sheet: &SheetOut) -> String {
    let each = sheet.figures.iter();
    let each: Vec<String> = each
        .map(|f| format!("{} {:.*} {}", f.figure, f.decimals, f.value, f.unit))
        .collect();
    each.join("; ")
}

fn drafted(label: &LabelOut) -> Markup {
    html! {
        div.keep {
            h2 { "Label draft, " (label.jurisdiction_name) }
            p { small { (label.draft) } }
            p { (emphasised(&label.ingredients, &label.emphasised)) }
            @if !label.contains.is_empty() { p.b { (label.contains) } }
            table {
                thead {
                    tr {
                        th { "nutrition" }
                        @for basis in &label.bases {
                            th.n {
                                "per " (basis)
                                @if basis == "serving" { ", " (weighed(label.serving_g)) " g" }
                            }
                        }
                    }
                }
                tbody {
                    @for row in &label.nutrition {
                        tr {
                            td style=(format!("padding-left:{}mm", 1 + 4 * row.indent)) { (row.label) }
                            @for cell in &row.shown { td.n { (cell) } }
                        }
                    }
                }
            }
            @for notice in &label.notices {
                p {
                    "Must say, " (notice.place) ": " span.b { (notice.text) }
                    @if !notice.judge.is_empty() { " (" (notice.judge) ")" }
                }
            }
            @for ask in &label.ask { p { small { "Ask: " (ask) } } }
            p { small { "Not in this draft: " (label.not_in_draft.join(", ")) } }
        }
    }
}

/// A text with its words in bold.
fn emphasised(text: &str, words: &[String]) -> Markup {
    let mut left = text;
    let mut pieces: Vec<(bool, &str)> = vec![];
    let next = |text: &str| {
        let found = words
            .iter()
            .filter_map(|w| Some((text.find(w.as_str())?, w.len())));
        found.min_by_key(|(at, length)| (*at, std::cmp::Reverse(*length)))
    };
    while let Some((at, length)) = next(left) {
        pieces.push((false, &left[..at]));
        pieces.push((true, &left[at..at + length]));
        left = &left[at + length..];
    }
    pieces.push((false, left));
    html! {
        @for (bold, piece) in pieces {
            @if bold { b { (piece) } } @else { (piece) }
        }
    }
}
