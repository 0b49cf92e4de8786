//! The freezing curve: drawn in the terminal, or as SVG.

use super::page::{Page, right};
use crate::engine::Engine;
use crate::formula::Formula;

const COLDEST: f64 = -30.0;
const STEPS: usize = 60;

fn points(engine: &Engine, formula: &Formula) -> Vec<(f64, f64)> {
    let state = engine.assessor().state(formula);
    (0..=STEPS)
        .filter_map(|n| {
            // Adding nothing makes `-0` a plain 0.
            let celsius = COLDEST * n as f64 / STEPS as f64 + 0.0;
            Some((celsius, state.frozen(celsius)?))
        })
        .collect()
}

/// One bar per two degrees.
pub fn draw(page: &mut Page, engine: &Engine, formula: &Formula) {
    page.gap();
    page.head("Freezing curve: share of the water frozen");
    let width = page.width().saturating_sub(16).max(20);
    for (celsius, percent) in points(engine, formula).into_iter().step_by(2) {
        let bar = "#".repeat((percent / 100.0 * width as f64).round() as usize);
        page.line(&format!(
            "{} C {} % {bar}",
            right(&format!("{celsius:.0}"), 4),
            right(&format!("{percent:.0}"), 3)
        ));
    }
}

/// The curve as a standalone SVG picture.
pub fn svg(engine: &Engine, formula: &Formula) -> String {
    let (width, height, margin) = (720.0, 440.0, 56.0);
    let x = |celsius: f64| margin + (celsius - COLDEST) / -COLDEST * (width - 2.0 * margin);
    let y = |percent: f64| height - margin - percent / 100.0 * (height - 2.0 * margin);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" font-family=\"sans-serif\" font-size=\"13\">\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n"
    );
    for celsius in (0..=6).map(|n| COLDEST + 5.0 * f64::from(n)) {
        out.push_str(&format!("<line x1=\"{0:.1}\" y1=\"{1:.1}\" x2=\"{0:.1}\" y2=\"{2:.1}\" stroke=\"#ddd\"/><text x=\"{0:.1}\" y=\"{3:.1}\" text-anchor=\"middle\">{celsius:.0}</text>\n", x(celsius), y(0.0), y(100.0), y(0.0) + 18.0));
    }
    for percent in (0..=5).map(|n| 20.0 * f64::from(n)) {
        out.push_str(&format!("<line x1=\"{0:.1}\" y1=\"{1:.1}\" x2=\"{2:.1}\" y2=\"{1:.1}\" stroke=\"#ddd\"/><text x=\"{3:.1}\" y=\"{4:.1}\" text-anchor=\"end\">{percent:.0}</text>\n", x(COLDEST), y(percent), x(0.0), x(COLDEST) - 8.0, y(percent) + 4.0));
    }
    let path: Vec<String> = points(engine, formula)
        .iter()
        .map(|(c, p)| format!("{:.1},{:.1}", x(*c), y(*p)))
        .collect();
    out.push_str(&format!(
        "<polyline fill=\"none\" stroke=\"#1d4e89\" stroke-width=\"2\" points=\"{}\"/>\n",
        path.join(" ")
    ));
    let name = formula.name.replace('&', "&amp;").replace('<', "&lt;");
    out.push_str(&format!("<text x=\"{margin}\" y=\"28\" font-size=\"15\">{name}: share of the water frozen, %</text>\n<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">temperature, C</text>\n</svg>\n", width / 2.0, height - 10.0));
    out
}
