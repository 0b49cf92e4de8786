//! The freezing curve: drawn in the terminal, or as SVG, with the band of its doubt.

use super::page::{Page, right};
use crate::engine::Engine;
use crate::formula::{Formula, State};

const COLDEST: f64 = -30.0;
/// Temperatures at which the doubt is worked out; between them it is a straight line.
const COARSE: usize = 15;
/// Points of the curve between two of those.
const FINE: usize = 6;
/// Rows of the plot in the terminal, one for five per cent.
const ROWS: usize = 20;
/// Temperatures of display cabinet and home freezer, C.
const MARKS: [f64; 2] = [-12.0, -18.0];

/// One point: temperature, share frozen and its half-width, per cent.
#[derive(Clone, Copy)]
struct Point {
    celsius: f64,
    percent: f64,
    half: f64,
}

fn points(engine: &Engine, formula: &Formula) -> Vec<Point> {
    let state = engine.assessor().state(formula);
    let coarse = |n: usize| COLDEST * n as f64 / COARSE as f64;
    let temperatures: Vec<f64> = (0..=COARSE).map(coarse).collect();
    let half = engine.frozen_doubts(formula, &temperatures);
    let mut points: Vec<Point> = (0..=COARSE * FINE)
        .filter_map(|n| {
            let celsius = COLDEST * n as f64 / (COARSE * FINE) as f64 + 0.0;
            let (at, along) = (n / FINE, (n % FINE) as f64 / FINE as f64);
            let (one, next) = (*half.get(at)?, *half.get(at + 1).or(half.get(at))?);
            let percent = state.frozen(celsius)?;
            let half = if percent > 0.0 {
                one + along * (next - one)
            } else {
                0.0
            };
            Some(Point {
                celsius,
                percent,
                half,
            })
        })
        .collect();
    // The corner where the first ice stands falls between two steps.
    if let Some(first) = state.freezing_point {
        let place = points.partition_point(|p| p.celsius > first.value);
        let corner = Point {
            celsius: first.value,
            percent: 0.0,
            half: 0.0,
        };
        points.insert(place, corner);
    }
    points
}

/// The curve as characters: `*` the curve, `.` its doubt, `:` cabinet and freezer.
pub fn draw(page: &mut Page, engine: &Engine, formula: &Formula) {
    let points = points(engine, formula);
    let Some(last) = points.last().copied() else {
        return;
    };
    page.gap();
    page.head("Freezing curve: share of the water frozen, %");
    let columns = page.width().saturating_sub(8).clamp(30, 84);
    let column = |celsius: f64| (celsius / COLDEST * (columns - 1) as f64).round() as usize;
    let row =
        |percent: f64| ROWS - (percent.clamp(0.0, 100.0) / 100.0 * ROWS as f64).round() as usize;
    let mut grid = vec![vec![' '; columns]; ROWS + 1];
    for celsius in MARKS {
        for line in &mut grid {
            line[column(celsius)] = ':';
        }
    }
    for n in 0..columns {
        let celsius = COLDEST * n as f64 / (columns - 1) as f64;
        let near = |p: &Point| (p.celsius - celsius).abs();
        let p = points
            .iter()
            .min_by(|a, b| near(a).total_cmp(&near(b)))
            .unwrap_or(&last);
        for line in &mut grid[row(p.percent + p.half)..=row(p.percent - p.half)] {
            line[n] = '.';
        }
        grid[row(p.percent)][n] = '*';
    }
    for (n, line) in grid.iter().enumerate() {
        let percent = 100 - n * 100 / ROWS;
        let label = if percent.is_multiple_of(20) {
            percent.to_string()
        } else {
            String::new()
        };
        let text: String = line.iter().collect();
        page.line(&format!("{} |{text}", right(&label, 5)));
    }
    let mut axis = vec!['-'; columns];
    let mut labels = vec![' '; columns + 4];
    let ticks = [0.0, -6.0, -12.0, -18.0, -24.0, -30.0];
    for celsius in ticks {
        axis[column(celsius)] = '+';
        let text = format!("{celsius:.0}");
        let start = column(celsius).saturating_sub(text.len() / 2);
        for (n, c) in text.chars().enumerate() {
            labels[start + n] = c;
        }
    }
    page.line(&format!("      +{}", axis.into_iter().collect::<String>()));
    page.line(&format!(
        "       {}",
        labels.into_iter().collect::<String>()
    ));
    page.labelled(
        "       ",
        "temperature, C; * curve, . doubt, : cabinet and freezer",
    );
}

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 480.0;
const LEFT: f64 = 66.0;
const RIGHT: f64 = 24.0;
const TOP: f64 = 56.0;
const BOTTOM: f64 = 62.0;

/// Warm on the left, as time runs in a batch freezer.
fn x(celsius: f64) -> f64 {
    LEFT + celsius / COLDEST * (WIDTH - LEFT - RIGHT)
}

fn y(percent: f64) -> f64 {
    HEIGHT - BOTTOM - percent.clamp(0.0, 100.0) / 100.0 * (HEIGHT - TOP - BOTTOM)
}

fn line(from: (f64, f64), to: (f64, f64), style: &str) -> String {
    format!(
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" {style}/>\n",
        from.0, from.1, to.0, to.1
    )
}

fn label(at: (f64, f64), style: &str, text: &str) -> String {
    format!(
        "<text x=\"{:.1}\" y=\"{:.1}\" {style}>{text}</text>\n",
        at.0, at.1
    )
}

fn path(points: impl Iterator<Item = (f64, f64)>) -> String {
    let all: Vec<String> = points
        .map(|(c, p)| format!("{:.1},{:.1}", x(c), y(p)))
        .collect();
    all.join(" ")
}

/// The grid with its figures, and the two axes.
fn axes() -> String {
    let mut out = String::new();
    let (grid, frame) = ("stroke=\"#e3e3e3\"", "stroke=\"#555\"");
    for celsius in (0..=10).map(|n| 0.0 - 3.0 * f64::from(n)) {
        out += &line((x(celsius), y(0.0)), (x(celsius), y(100.0)), grid);
        let text = format!("{:.0}", celsius + 0.0);
        out += &label((x(celsius), y(0.0) + 20.0), "text-anchor=\"middle\"", &text);
    }
    for percent in (0..=10).map(|n| 10.0 * f64::from(n)) {
        out += &line((x(0.0), y(percent)), (x(COLDEST), y(percent)), grid);
        let text = format!("{percent:.0}");
        out += &label(
            (x(0.0) - 8.0, y(percent) + 4.5),
            "text-anchor=\"end\"",
            &text,
        );
    }
    out += &line((x(0.0), y(0.0)), (x(COLDEST), y(0.0)), frame);
    out += &line((x(0.0), y(0.0)), (x(0.0), y(100.0)), frame);
    out
}

/// What is frozen in a cabinet and in a freezer.
fn marks(state: &State) -> String {
    let mut out = String::new();
    for (celsius, place) in MARKS.into_iter().zip(["cabinet", "freezer"]) {
        let Some(percent) = state.frozen(celsius) else {
            continue;
        };
        out += &line(
            (x(celsius), y(0.0)),
            (x(celsius), y(percent)),
            "stroke=\"#b3541e\" stroke-dasharray=\"4 4\"",
        );
        out += &format!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"4\" fill=\"#b3541e\"/>\n",
            x(celsius),
            y(percent)
        );
        let text = format!("{percent:.0} % at {celsius:.0} C ({place})");
        out += &label(
            (x(celsius) + 8.0, y(percent) + 20.0),
            "fill=\"#b3541e\"",
            &text,
        );
    }
    out
}

/// The curve as a standalone SVG picture.
pub fn svg(engine: &Engine, formula: &Formula) -> String {
    let points = points(engine, formula);
    let state = engine.assessor().state(formula);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" font-family=\"sans-serif\" font-size=\"13\" fill=\"#333\">\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n"
    );
    out += &axes();
    let band = points.iter().map(|p| (p.celsius, p.percent + p.half));
    let back = points.iter().rev().map(|p| (p.celsius, p.percent - p.half));
    out += &format!(
        "<polygon fill=\"#1d4e89\" fill-opacity=\"0.16\" points=\"{} {}\"/>\n",
        path(band),
        path(back)
    );
    out += &format!(
        "<polyline fill=\"none\" stroke=\"#1d4e89\" stroke-width=\"2.5\" points=\"{}\"/>\n",
        path(points.iter().map(|p| (p.celsius, p.percent)))
    );
    out += &marks(&state);
    let name = formula
        .name
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;");
    out += &label(
        (LEFT, 28.0),
        "font-size=\"17\" fill=\"#111\"",
        &format!("{name}: share of the water frozen"),
    );
    if let Some(reading) = state.freezing_point {
        let text = format!("first ice at {:.2} C; the band is the doubt", reading.value);
        out += &label((LEFT, 46.0), "fill=\"#666\"", &text);
    }
    let middle = (x(0.0) + x(COLDEST)) / 2.0;
    out += &label(
        (middle, HEIGHT - 16.0),
        "text-anchor=\"middle\"",
        "temperature, C",
    );
    let centre = (y(0.0) + y(100.0)) / 2.0;
    out += &label(
        (20.0, centre),
        &format!("text-anchor=\"middle\" transform=\"rotate(-90 20 {centre:.1})\""),
        "frozen water, % of all water",
    );
    out + "</svg>\n"
}
