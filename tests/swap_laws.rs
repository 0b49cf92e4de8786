//! What every swap must keep, over real formulas; and what the trade knows of single swaps.

mod opened;

use std::sync::OnceLock;

use serde_json::Value;
use tamis::answer::{Amount, Assessment, FindingOut, OptionOut, SwapOut};
use tamis::condition::{self, Facts, Truth, judge};
use tamis::engine::SwapOptions;
use tamis::formula::{Formula, Line};
use tamis::model::{Aim, Dial, Expr, Goal, IngredientKey, Presence, Severity, Wish};

use opened::engine;

/// Share of a cent of a gram that sums of floats may lose.
const NOTHING: f64 = 1e-6;

fn key(id: &str) -> IngredientKey {
    engine().catalogue.key(id).unwrap_or_else(|| panic!("{id}"))
}

fn formula(name: &str) -> Formula {
    let path = format!("data/formulas/{name}.csv");
    let bytes = std::fs::read(&path).expect("the formula");
    engine()
        .formula(&path, &bytes)
        .unwrap_or_else(|p| panic!("{p}"))
}

/// One swap: formula, what goes, the dials wished for, what newcomers must be.
struct Case {
    formula: &'static str,
    leaver: &'static str,
    goals: &'static [(Dial, Aim)],
    newcomers: &'static str,
    at_most: usize,
}

const CASES: &[Case] = &[
    Case {
        formula: "sour-cherry-sorbet",
        leaver: "sucrose",
        goals: &[
            (Dial::Sweetness, Aim::Keep),
            (Dial::FreezingPoint, Aim::Lower),
        ],
        newcomers: "vegan and not family polyol",
        at_most: 2,
    },
    Case {
        formula: "coconut-lime-ice",
        leaver: "dextrose-monohydrate",
        goals: &[(Dial::FreezingPoint, Aim::Keep)],
        newcomers: "vegan and free of wheat",
        at_most: 2,
    },
    Case {
        formula: "dark-chocolate-sorbet",
        leaver: "invert-sugar-syrup",
        goals: &[
            (Dial::Sweetness, Aim::Keep),
            (Dial::FreezingPoint, Aim::Keep),
        ],
        newcomers: "always",
        at_most: 2,
    },
    Case {
        formula: "reference-ice-cream",
        leaver: "sucrose",
        goals: &[(Dial::Sweetness, Aim::Relative(-0.2))],
        newcomers: "free of milk and vegetarian",
        at_most: 2,
    },
    Case {
        formula: "reference-ice-cream",
        leaver: "skimmed-milk-powder",
        goals: &[(Dial::Protein, Aim::Keep), (Dial::Lactose, Aim::Lower)],
        newcomers: "not contains soy",
        at_most: 2,
    },
    Case {
        formula: "sunflower-seed-base",
        leaver: "coconut-oil-refined",
        goals: &[(Dial::Fat, Aim::Keep)],
        newcomers: "vegan and free of tree nuts",
        at_most: 1,
    },
    Case {
        formula: "hazelnut-gelato",
        leaver: "guar-gum",
        goals: &[],
        newcomers: "vegan",
        at_most: 2,
    },
    Case {
        formula: "chestnut-gelato",
        leaver: "cream-35-fat",
        goals: &[(Dial::Fat, Aim::Keep)],
        newcomers: "always",
        at_most: 1,
    },
];

fn options_of(case: &Case) -> SwapOptions {
    SwapOptions {
        leavers: vec![(key(case.leaver), None)],
        wish: Wish {
            goals: case
                .goals
                .iter()
                .map(|(dial, aim)| Goal {
                    dial: *dial,
                    aim: *aim,
                })
                .collect(),
            newcomer: condition::parse(case.newcomers, &engine().catalogue)
                .unwrap_or_else(|p| panic!("{p}")),
            at_most: case.at_most,
            ..Wish::default()
        },
        ..SwapOptions::default()
    }
}

/// Every case with its formula and what came of it; searched once.
fn swapped() -> &'static Vec<(&'static Case, Formula, SwapOut)> {
    static ALL: OnceLock<Vec<(&'static Case, Formula, SwapOut)>> = OnceLock::new();
    ALL.get_or_init(|| {
        let one = |case: &'static Case| {
            let base = formula(case.formula);
            let out = engine().swap(&base, &options_of(case));
            (case, base, out)
        };
        CASES.iter().map(one).collect()
    })
}

/// Calls `law` on every option of every case; nearest misses must keep the laws too.
fn every_option(mut law: impl FnMut(&str, &Case, &Formula, &OptionOut)) {
    for (case, base, out) in swapped() {
        for (n, option) in out.options.iter().chain(&out.nearest).enumerate() {
            let what = format!("{} without {}, {}", case.formula, case.leaver, n + 1);
            law(&what, case, base, option);
        }
    }
}

fn grams_of(amounts: &[Amount], id: &str) -> f64 {
    amounts.iter().filter(|a| a.id == id).map(|a| a.grams).sum()
}

fn total(amounts: &[Amount]) -> f64 {
    amounts.iter().map(|a| a.grams).sum()
}

fn read_back(amounts: &[Amount]) -> Formula {
    Formula {
        lines: amounts
            .iter()
            .map(|a| Line {
                key: key(&a.id),
                grams: a.grams,
            })
            .collect(),
        ..Formula::default()
    }
}

#[test]
fn every_case_has_an_option() {
    for (case, _, out) in swapped() {
        assert!(
            !out.options.is_empty(),
            "{} without {}: {:?}",
            case.formula,
            case.leaver,
            out.why_none
        );
    }
}

#[test]
fn grams_in_and_out_account_for_the_new_formula() {
    every_option(|what, _, base, option| {
        let mut ids: Vec<&str> = option.formula.iter().map(|a| a.id.as_str()).collect();
        let lines = base.lines.iter().map(|l| l.key);
        ids.extend(lines.map(|k| engine().catalogue.ingredient(k).id.as_str()));
        for id in ids {
            let expected = base.grams_of(key(id)) + grams_of(&option.ingredients, id)
                - grams_of(&option.removed, id)
                + grams_of(&option.balanced, id);
            let is = grams_of(&option.formula, id);
            assert!(
                (is - expected).abs() < 1e-6,
                "{what}: {id} {is} not {expected}"
            );
        }
    });
}

#[test]
fn a_swap_by_numbers_keeps_the_weight_of_the_batch() {
    every_option(|what, _, base, option| {
        // Rules of a job trade by dose: a third of the weight of agar gels like gelatin.
        if option.confidence.is_some() {
            let (was, is) = (base.grams(), total(&option.formula));
            assert!((is - was).abs() < 0.01, "{what}: {is} g not {was} g");
        }
    });
}

#[test]
fn nothing_is_negative() {
    every_option(|what, _, _, option| {
        let lists = [&option.ingredients, &option.removed, &option.formula];
        for amount in lists.into_iter().flatten() {
            assert!(amount.grams > 0.0, "{what}: {} {}", amount.id, amount.grams);
            if let Some((low, high)) = amount.span {
                assert!(0.0 <= low && low <= high, "{what}: {}", amount.id);
            }
        }
        assert!(
            option.confidence.is_none_or(|c| (0.0..=1.0).contains(&c)),
            "{what}"
        );
    });
}

#[test]
fn only_what_was_named_goes() {
    every_option(|what, case, _, option| {
        for gone in &option.removed {
            assert_eq!(gone.id, case.leaver, "{what}");
        }
        assert_eq!(grams_of(&option.ingredients, case.leaver), 0.0, "{what}");
    });
}

#[test]
fn every_newcomer_meets_the_wish() {
    let catalogue = &engine().catalogue;
    every_option(|what, case, _, option| {
        let wish = condition::parse(case.newcomers, catalogue).expect("a condition");
        for newcomer in &option.ingredients {
            let facts = Facts::of(catalogue, catalogue.ingredient(key(&newcomer.id)));
            assert_eq!(
                judge(&wish, &facts),
                Truth::Yes,
                "{what}: {} is not {}",
                newcomer.id,
                case.newcomers
            );
        }
        assert!(
            option.confidence.is_none() || option.ingredients.len() <= case.at_most,
            "{what}"
        );
    });
}

#[test]
fn an_excluded_allergen_never_comes_in() {
    let catalogue = &engine().catalogue;
    // Substances counted one by one, without the evaluator of conditions.
    let tree_nuts = [
        "almond",
        "hazelnut",
        "walnut",
        "cashew",
        "pecan nut",
        "brazil nut",
        "pistachio",
        "macadamia nut",
    ];
    for (wish, excluded) in [
        ("free of wheat", vec!["wheat"]),
        ("free of milk", vec!["milk"]),
        ("free of tree nuts", tree_nuts.to_vec()),
        ("not contains soy", vec!["soy"]),
    ] {
        let mut met = false;
        every_option(|what, case, _, option| {
            if !case.newcomers.contains(wish) {
                return;
            }
            met = true;
            for newcomer in &option.ingredients {
                let rows = &catalogue.ingredient(key(&newcomer.id)).allergens;
                let held = rows.iter().find(|row| {
                    excluded.contains(&row.substance.as_str()) && row.presence == Presence::Contains
                });
                assert!(held.is_none(), "{what}: {} {held:?}", newcomer.id);
            }
        });
        assert!(met, "no case asks for {wish}");
    }
}

/// Cautions a person must act on.
fn watches(option: &OptionOut) -> usize {
    let acts = |c: &&FindingOut| c.severity != Severity::Info;
    option.cautions.iter().filter(acts).count()
}

#[test]
fn no_option_is_beaten_on_everything() {
    for (case, _, out) in swapped() {
        let judged = |o: &OptionOut| Some((o.miss?, o.confidence?));
        for a in &out.options {
            for b in &out.options {
                let (Some((miss, sure)), Some((other_miss, other_sure))) = (judged(a), judged(b))
                else {
                    continue;
                };
                let beaten = other_miss < miss
                    && other_sure > sure
                    && b.ingredients.len() < a.ingredients.len()
                    && watches(b) < watches(a);
                assert!(
                    !beaten,
                    "{} without {}: {} beats {}",
                    case.formula, case.leaver, b.rank, a.rank
                );
            }
        }
    }
}

/// Every number of `a` that differs from the same one in `b`.
fn differing(path: &str, a: &Value, b: &Value, out: &mut Vec<String>) {
    match (a, b) {
        (Value::Object(a), Value::Object(b)) => {
            for (name, value) in a {
                let other = b.get(name).unwrap_or(&Value::Null);
                differing(&format!("{path}.{name}"), value, other, out);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (n, (a, b)) in a.iter().zip(b).enumerate() {
                differing(&format!("{path}[{n}]"), a, b, out);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap_or(0.0), b.as_f64().unwrap_or(0.0));
            if (a - b).abs() > NOTHING * (1.0 + a.abs()) {
                out.push(format!("{path}: {a} not {b}"));
            }
        }
        (Value::String(_), Value::String(_)) => {}
        (a, b) if a == b => {}
        (a, b) => out.push(format!("{path}: {a} not {b}")),
    }
}

#[test]
fn the_figures_reported_are_those_of_the_formula_reported() {
    every_option(|what, _, _, option| {
        let Some(after) = &option.after else { return };
        let fresh = engine().quick(&read_back(&option.formula));
        let json = |a: &Assessment| serde_json::to_value(a).expect("JSON");
        let mut out = vec![];
        differing("", &json(after), &json(&fresh), &mut out);
        assert!(out.is_empty(), "{what}:\n{}", out.join("\n"));
    });
}

#[test]
fn amounts_are_written_as_a_scale_shows_them() {
    every_option(|what, _, base, option| {
        for amount in &option.ingredients {
            if option.confidence.is_none() {
                continue; // a dose by rule is a ratio; its span says how rough it is
            }
            let shown: f64 = tamis::formula::weighed(amount.grams)
                .parse()
                .expect("a number");
            let other = base.grams_of(key(&amount.id));
            assert!(
                other > 0.0 || (shown - amount.grams).abs() < 1e-9,
                "{what}: {} {}",
                amount.id,
                amount.grams
            );
        }
    });
}

#[test]
fn a_larger_batch_takes_the_same_options_in_more_grams() {
    for (case, base, out) in swapped().iter().filter(|(c, ..)| c.at_most == 1) {
        for factor in [2.0, 3.0, 10.0, 0.5] {
            let scaled = engine().swap(&base.scaled(factor), &options_of(case));
            let ids = |options: &[OptionOut]| {
                let each = options.iter().map(|o| {
                    let ids = o.ingredients.iter().map(|a| a.id.clone());
                    ids.collect::<Vec<_>>()
                });
                each.collect::<Vec<_>>()
            };
            assert_eq!(
                ids(&out.options),
                ids(&scaled.options),
                "{} times {factor}",
                case.formula
            );
            for (one, other) in out.options.iter().zip(&scaled.options) {
                for (a, b) in one.ingredients.iter().zip(&other.ingredients) {
                    // Both are rounded to the scale: three figures, so half a per cent each.
                    let rounding = 0.01 * factor * a.grams + 0.01 * factor.max(1.0);
                    assert!(
                        (b.grams - factor * a.grams).abs() <= rounding,
                        "{} times {factor}: {} g, then {} g of {}",
                        case.formula,
                        a.grams,
                        b.grams,
                        a.id
                    );
                }
            }
        }
    }
}

#[test]
fn the_same_swap_twice_is_the_same() {
    let (case, base, out) = &swapped()[1];
    assert!(engine().swap(base, &options_of(case)) == *out);
}

/// The formula with grams of one thing in the place of another.
fn traded(base: &Formula, out: &str, grams_out: f64, come: &str, grams_in: f64) -> Formula {
    let mut formula = base.merged();
    formula.add(key(out), -grams_out);
    formula.add(key(come), grams_in);
    formula
}

fn figures(formula: &Formula) -> Assessment {
    engine().quick(formula)
}

fn frozen(a: &Assessment, celsius: f64) -> f64 {
    let at = a.frozen_water.iter().find(|f| f.celsius == celsius);
    at.expect("a point of the curve").percent
}

#[test]
fn dextrose_for_part_of_the_sugar_softens_and_does_not_sweeten() {
    for name in [
        "sour-cherry-sorbet",
        "reference-ice-cream",
        "coconut-lime-ice",
    ] {
        let base = formula(name);
        let before = figures(&base);
        let after = figures(&traded(
            &base,
            "sucrose",
            50.0,
            "dextrose-monohydrate",
            50.0,
        ));
        assert!(
            after.sweetness_percent <= before.sweetness_percent,
            "{name}"
        );
        assert!(frozen(&after, -18.0) < frozen(&before, -18.0), "{name}");
        assert!(
            after.freezing_point_celsius < before.freezing_point_celsius,
            "{name}"
        );
    }
}

#[test]
fn dried_syrup_of_de_42_adds_solids_and_little_sweetness() {
    let base = formula("reference-sorbet");
    let before = figures(&base);
    let with = |id| figures(&traded(&base, "water", 50.0, id, 50.0));
    let (syrup, sugar) = (with("dried-glucose-syrup-de42"), with("sucrose"));
    let solids = |a: &Assessment| a.composition.total_solids_percent;
    // 50 g in 1000 g, about 95 % of it solids: 4.6 to 5 points.
    let gained = solids(&syrup) - solids(&before);
    assert!((4.5..=5.0).contains(&gained), "{gained}");
    // Half as sweet as sugar (0.5; memory), so at most 0.6 of what sugar adds.
    let sweet = |a: &Assessment| a.sweetness_percent - before.sweetness_percent;
    assert!(sweet(&syrup) <= 0.6 * sweet(&sugar));
    // Its chains weigh more than sugar's molecule, so it softens less.
    assert!(frozen(&syrup, -18.0) > frozen(&sugar, -18.0));
}

#[test]
fn a_syrup_that_comes_in_takes_water_out() {
    let base = formula("sour-cherry-sorbet");
    let options = SwapOptions {
        leavers: vec![(key("sucrose"), None)],
        wish: Wish {
            goals: vec![
                Goal {
                    dial: Dial::Sweetness,
                    aim: Aim::Keep,
                },
                Goal {
                    dial: Dial::FreezingPoint,
                    aim: Aim::Lower,
                },
            ],
            shelf: Some(vec!["invert-sugar-syrup".into()]),
            ..Wish::default()
        },
        ..SwapOptions::default()
    };
    let out = engine().swap(&base, &options);
    let option = out.options.first().expect("an option");
    assert_eq!(option.ingredients[0].id, "invert-sugar-syrup");
    assert!(grams_of(&option.balanced, "water") < 0.0);
}

#[test]
fn chocolate_adds_fat_and_sugar() {
    let base = formula("reference-ice-cream");
    let before = figures(&base).composition;
    let mut with = base.clone();
    with.add(key("dark-chocolate-70"), 100.0);
    let after = figures(&with).composition;
    assert!(after.fat_percent > before.fat_percent);
    let grams = |percent: f64, formula: &Formula| percent / 100.0 * formula.grams();
    let sugar = grams(after.sugars_percent, &with) - grams(before.sugars_percent, &base);
    // 30 % of a chocolate of 70 % cocoa is sugar at most.
    assert!((15.0..=32.0).contains(&sugar), "{sugar}");
}

fn cautions_of(base: &Formula, leaver: &str, newcomer: &str) -> String {
    let options = SwapOptions {
        leavers: vec![(key(leaver), None)],
        newcomers: vec![key(newcomer)],
        ..SwapOptions::default()
    };
    let out = engine().swap(base, &options);
    let texts = out
        .options
        .iter()
        .chain(&out.nearest)
        .flat_map(|o| &o.cautions)
        .map(|c| c.text.to_lowercase());
    texts.collect::<Vec<_>>().join("\n")
}

#[test]
fn polyols_for_the_sugar_call_for_a_caution_of_laxation() {
    for polyol in [
        "maltitol",
        "xylitol",
        "sorbitol-powder",
        "isomalt",
        "lactitol",
    ] {
        if engine().catalogue.key(polyol).is_none() {
            continue;
        }
        let cautions = cautions_of(&formula("reference-sorbet"), "sucrose", polyol);
        assert!(
            cautions.contains("laxative") || cautions.contains("polyols"),
            "{polyol}:\n{cautions}"
        );
    }
}

#[test]
fn erythritol_for_the_sugar_calls_for_a_caution_of_crystals() {
    let cautions = cautions_of(&formula("reference-sorbet"), "sucrose", "erythritol");
    assert!(
        cautions.contains("grit") && cautions.contains("crystallise"),
        "{cautions}"
    );
}

#[test]
fn locust_bean_gum_is_heated_and_guar_is_not() {
    let hottest = |id: &str, name: &str| {
        let base = formula("reference-sorbet");
        let other = ["guar-gum", "locust-bean-gum"]
            .into_iter()
            .find(|o| *o != id)
            .expect("the other");
        let only = traded(&base, other, base.grams_of(key(other)), id, 1.0);
        let steps = engine().assess(&only, Default::default()).process;
        steps
            .iter()
            .filter(|s| s.ingredients.iter().any(|i| i == name))
            .filter_map(|s| s.celsius)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let (carob, guar) = (
        hottest("locust-bean-gum", "locust bean gum"),
        hottest("guar-gum", "guar gum"),
    );
    assert!(carob >= 80.0 && carob > guar, "{carob} C and {guar} C");
}

#[test]
fn agar_for_gelatin_answers_agar_with_a_dose_first() {
    let asked = engine().ask("can I use agar instead of gelatin", None);
    let swap = asked.swap.expect("a swap");
    let first = &swap.options.first().expect("an option").ingredients[0];
    assert_eq!(first.id, "agar-powder");
    assert!(first.grams > 0.0 && first.span.is_some());
    assert!(
        swap.direct.contains(" g agar powder for "),
        "{}",
        swap.direct
    );
}

#[test]
fn without_a_wish_for_newcomers_anything_may_come() {
    assert_eq!(Wish::default().newcomer, Expr::Always);
}

#[test]
fn a_swap_for_which_nobody_qualifies_says_so() {
    let base = formula("sour-cherry-sorbet");
    let newcomers = "family starch and contains milk";
    let options = SwapOptions {
        leavers: vec![(key("sucrose"), None)],
        entirely: true,
        wish: Wish {
            goals: vec![Goal {
                dial: Dial::Sweetness,
                aim: Aim::Keep,
            }],
            newcomer: condition::parse(newcomers, &engine().catalogue).expect("a condition"),
            ..Wish::default()
        },
        ..SwapOptions::default()
    };
    let out = engine().swap(&base, &options);
    assert!(out.options.is_empty());
    assert!(!out.why_none.is_empty());
}

#[test]
fn more_newcomers_than_can_be_tried_are_cut_down_and_told() {
    let asked = engine().ask("replace sugar with at most 9 ingredients", None);
    let told = asked
        .assumed
        .iter()
        .any(|a| a.contains("newcomers at most"));
    assert!(told, "{:?}", asked.assumed);
}
