//! The bench sheet: every gram once, as a scale shows it, and a page that needs nothing else.

mod opened;
mod program;

use tamis::answer::SheetOut;

use opened::engine;
use program::{fresh_folder, ran, tamis};

fn shipped() -> Vec<(tamis::formula::Formula, SheetOut)> {
    let formulas = engine().shipped();
    let read = |(name, text): (&str, &str)| {
        let formula = engine().formula(name, text.as_bytes());
        let formula = formula.unwrap_or_else(|p| panic!("{name}: {p}"));
        let sheet = engine().sheet(&formula, &[2.0, 0.5], "");
        (formula, sheet)
    };
    formulas.map(read).collect()
}

#[test]
fn every_gram_is_weighed_once_and_as_a_scale_shows_it() {
    for (formula, sheet) in shipped() {
        let lines = || sheet.bowls.iter().flat_map(|b| &b.lines);
        let exact: f64 = lines().map(|l| l.exact_grams).sum();
        assert!((exact - formula.grams()).abs() < 1e-6, "{}", sheet.name);
        for line in lines() {
            assert_eq!(line.grams.len(), 3, "{}", line.name);
            for (grams, times) in line.grams.iter().zip(&sheet.batches) {
                let wanted = line.exact_grams * times;
                // The rule of the scale: a line moves by a fortieth at most.
                let off = (grams - wanted).abs();
                assert!(
                    off <= 0.025 * wanted + 1e-9,
                    "{}: {grams} for {wanted}",
                    line.name
                );
                let steps = grams / 0.01;
                assert!(
                    (steps - steps.round()).abs() < 1e-6,
                    "{}: {grams}",
                    line.name
                );
            }
        }
        let key = |id: &str| engine().catalogue.key(id).expect("an ingredient");
        let gums = lines().filter(|l| {
            engine().catalogue.ingredient(key(&l.id)).family == "stabiliser" && l.grams[0] >= 2.0
        });
        for gum in gums {
            let steps = gum.grams[0] / 0.05;
            assert!(
                (steps - steps.round()).abs() < 1e-6,
                "{}: {}",
                gum.name,
                gum.grams[0]
            );
        }
    }
}

#[test]
fn bowls_follow_the_steps_they_are_for() {
    for (_, sheet) in shipped() {
        let steps: Vec<usize> = sheet.bowls.iter().filter_map(|b| b.step).collect();
        assert!(steps.is_sorted(), "{}: {steps:?}", sheet.name);
        for bowl in &sheet.bowls {
            let step = &sheet.steps[bowl.step.expect("a planned dish") - 1];
            let ids: Vec<&str> = step.ingredients.iter().map(|a| a.id.as_str()).collect();
            let held: Vec<&str> = bowl.lines.iter().map(|l| l.id.as_str()).collect();
            assert_eq!(ids, held, "{} {}", sheet.name, bowl.bowl);
        }
        assert!(!sheet.measured.is_empty() && !sheet.figures.is_empty());
    }
}

#[test]
fn the_page_needs_nothing_else_and_keeps_names_as_text() {
    let folder = fresh_folder("sheet-page");
    let formula = folder.join("a <b> & c sorbet.csv");
    std::fs::write(
        &formula,
        "ingredient,grams\nwater,700\nsucrose,250\nguar-gum,3\n",
    )
    .expect("written");
    let page = folder.join("sheet.html");
    for (paper, size) in [("a4", "size:A4"), ("letter", "size:letter")] {
        let done = ran(tamis()
            .args([
                "sheet",
                formula.to_str().expect("UTF-8"),
                "--paper",
                paper,
                "--label",
                "eu",
            ])
            .args(["--html", page.to_str().expect("UTF-8")]));
        assert_eq!(done.code, Some(0), "{}", done.err);
        let text = std::fs::read_to_string(&page).expect("a page");
        assert!(text.contains(size), "{paper}");
        assert!(text.contains("&lt;b&gt; &amp; c sorbet") && !text.contains("<b> & c"));
        assert!(text.contains("<svg"), "a frozen dish has its curve");
        let linked = text.replace("http://www.w3.org/2000/svg", "");
        for link in ["http:", "https:", "src=", "href=", "@import", "url("] {
            assert!(!linked.contains(link), "{link}");
        }
        assert_eq!(
            text.matches("<table").count(),
            text.matches("</table>").count()
        );
    }
}
