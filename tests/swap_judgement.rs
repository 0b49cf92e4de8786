//! Laws of judgement, over every formula at hand and a wish for each of its lines: what a cook would not
//! sign is in no option, whatever goes. Each law counts the cases it met.

mod opened;

use std::path::PathBuf;

use opened::engine;
use tamis::answer::{OptionOut, SwapOut};
use tamis::engine::{SubstituteRequest, Wanted};
use tamis::formula::{Dish, Formula, Part};
use tamis::model::{DishKind, IngredientKey, Presence};

/// How far a batch may stray in grams that a scale shows, as a share of it.
const BATCH: f64 = 0.005;
/// Figures of ice.
const ICE: [&str; 3] = ["freezing_point", "frozen_at_18", "frozen_at_12"];

fn formulas() -> Vec<Formula> {
    let read = |folder: &str| {
        let files = std::fs::read_dir(folder).expect("the formulas");
        let files = files.map(|f| f.expect("a file").path());
        files.filter(|p| {
            let name = p.file_name().unwrap_or_default().to_string_lossy();
            name.ends_with(".csv") && !name.starts_with("cases") && !name.starts_with("grades")
        })
    };
    let mut files: Vec<PathBuf> = read("data/formulas").collect();
    files.extend(read("tests/blind/requests"));
    files.sort();
    let formula = |path: &PathBuf| {
        let bytes = std::fs::read(path).expect("a formula");
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        engine()
            .formula(&name, &bytes)
            .unwrap_or_else(|p| panic!("{p}"))
    };
    files.iter().map(formula).collect()
}

fn frozen(formula: &Formula) -> bool {
    let assessor = engine().assessor();
    Dish::of(assessor, formula, &assessor.state(formula)).kind == DishKind::Frozen
}

fn swapped(formula: &Formula, replace: &str, with: &[&str]) -> SwapOut {
    let request = SubstituteRequest {
        replace: replace.into(),
        with: with.iter().map(|id| id.to_string()).collect(),
        whole: true,
        wanted: Wanted::default(),
        ..SubstituteRequest::default()
    };
    let out = engine().substitute(formula, &request);
    out.unwrap_or_else(|p| panic!("{} in {}: {p}", replace, formula.name))
}

fn lines(formula: &Formula) -> Vec<(IngredientKey, String)> {
    let lines = formula.merged().lines.into_iter();
    let id = |key: IngredientKey| engine().catalogue.ingredient(key).id.clone();
    lines.map(|line| (line.key, id(line.key))).collect()
}

fn weight(option: &OptionOut) -> f64 {
    option.formula.iter().map(|a| a.grams).sum()
}

fn grams(option: &OptionOut, id: &str) -> f64 {
    let of = option.formula.iter().filter(|a| a.id == id);
    of.map(|a| a.grams).sum()
}

#[test]
fn whatever_line_goes_the_first_answer_is_one_a_cook_could_sign() {
    let (mut met, mut unfrozen, mut forms) = (0, 0, 0);
    for formula in formulas() {
        let (batch, icy) = (formula.grams(), frozen(&formula));
        for (key, id) in lines(&formula) {
            let leaver = engine().catalogue.ingredient(key);
            let out = swapped(&formula, &id, &[]);
            let Some(first) = out.options.first() else {
                continue;
            };
            met += 1;
            let case = format!("{id} in {}: {}", formula.name, first.summary);
            assert!(
                (weight(first) - batch).abs() <= BATCH * batch,
                "the batch swells: {case}"
            );
            if !icy {
                unfrozen += 1;
                let ice = first
                    .changed
                    .iter()
                    .find(|c| ICE.contains(&c.property.as_str()));
                assert!(ice.is_none(), "ice where none is: {case}");
            }
            let groups = engine().catalogue.groups.iter().filter(|g| g.siblings);
            let kin: Vec<&str> = groups
                .filter(|g| leaver.is_of(&g.id))
                .map(|g| g.id.as_str())
                .collect();
            if leaver.family == "sugar" && out.options.len() > 1 {
                forms += 1;
                let same = first.ingredients.iter().find(|a| {
                    let new = engine().catalogue.key(&a.id).expect("an ingredient");
                    let new = engine().catalogue.ingredient(new);
                    first.jobs.is_empty() && kin.iter().any(|g| new.is_of(g))
                });
                assert!(same.is_none(), "the same sugar again: {case}");
            }
        }
    }
    println!("{met} lines, {unfrozen} in dishes that are not frozen, {forms} sugars");
    assert!(met >= 100 && unfrozen >= 25 && forms >= 15);
}

#[test]
fn a_named_protein_brings_as_much_protein() {
    let proteins = [
        "whey-protein-isolate",
        "pea-protein-isolate",
        "soy-protein-isolate",
    ];
    let mut met = 0;
    for formula in formulas() {
        for (key, id) in lines(&formula) {
            if !proteins.contains(&id.as_str()) {
                continue;
            }
            for new in proteins.iter().filter(|new| **new != id) {
                let out = swapped(&formula, &id, &[new]);
                let first = out.options.first().expect("a named pair is answered");
                let held = |id: &str, grams: f64| {
                    let key = engine().catalogue.key(id).expect("an ingredient");
                    grams * engine().assessor().profile(key).number(Part::Protein) / 100.0
                };
                let went = held(&id, formula.grams_of(key));
                let came = held(new, grams(first, new));
                met += 1;
                assert!(
                    (came - went).abs() <= 0.15 * went,
                    "{went:.1} g protein went, {came:.1} g came: {}",
                    first.summary
                );
            }
        }
    }
    println!("{met} pairs");
    assert!(met >= 2);
}

#[test]
fn what_only_may_hold_an_allergen_stays_and_is_told() {
    let (mut met, mut told) = (0, 0);
    for formula in formulas() {
        for (what, substance) in [
            ("egg-free", "egg"),
            ("dairy-free", "milk"),
            ("nut-free", "tree nuts"),
        ] {
            let asked = engine().ask(&format!("make it {what}"), Some(&formula));
            let Some(swap) = &asked.swap else { continue };
            let substances = engine().catalogue.substances(substance);
            // Strictly asked, what only may hold it goes as well.
            let strict = asked.assumed.iter().any(|a| a.starts_with("nothing with"));
            let mut said = asked.assumed.iter();
            let goes = said
                .find_map(|a| a.strip_prefix("what goes: "))
                .unwrap_or("");
            for (key, id) in lines(&formula) {
                let ingredient = engine().catalogue.ingredient(key);
                let mut rows = ingredient.allergens.iter();
                let holds = rows.any(|r| {
                    r.presence == Presence::Contains && substances.contains(&r.substance.as_str())
                });
                let named =
                    goes == ingredient.name || goes.contains(&format!("{}, ", ingredient.name));
                assert!(
                    strict || holds || !named,
                    "{id} thrown out on a guess, {what} {}: {goes}",
                    formula.name
                );
            }
            for option in swap.options.iter().chain(&swap.nearest) {
                met += 1;
                told += usize::from(option.cautions.iter().any(|c| c.id == "label-to-read"));
            }
        }
    }
    println!("{met} options, {told} with a label to read");
    assert!(met >= 20 && told >= 5);
}

#[test]
fn what_is_left_out_brings_nothing_in() {
    let mut met = 0;
    for formula in formulas() {
        for (key, id) in lines(&formula) {
            let ingredient = engine().catalogue.ingredient(key);
            if id != "table-salt" && id != "vanilla-extract" {
                continue;
            }
            let asked = engine().ask(
                &format!("leave the {} out", ingredient.name),
                Some(&formula),
            );
            let Some(swap) = &asked.swap else { continue };
            let Some(first) = swap.options.first() else {
                continue;
            };
            met += 1;
            assert!(first.ingredients.is_empty(), "{}", first.summary);
            assert!((weight(first) - formula.grams()).abs() <= BATCH * formula.grams());
        }
    }
    println!("{met} lines left out");
    assert!(met >= 5);
}
