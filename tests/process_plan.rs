//! The plan of a mix: dry-blend, one heat for all, what goes in cold.

use std::sync::OnceLock;

use tamis::answer::Assessment;
use tamis::engine::{AssessOptions, Engine};
use tamis::load::Files;

fn engine() -> &'static Engine {
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    ENGINE.get_or_init(|| Engine::open(Files::embedded(), None).expect("the data is sound"))
}

fn assessed(csv: &str) -> Assessment {
    let formula = engine()
        .formula("mix.csv", csv.as_bytes())
        .unwrap_or_else(|p| panic!("{p}"));
    engine().assess(&formula, AssessOptions::default())
}

fn line<'a>(assessment: &'a Assessment, phase: &str) -> &'a str {
    let found = assessment.plan.iter().find(|l| l.phase == phase);
    found.map_or("", |l| &l.text)
}

/// A mix, a phase, what its line says, why.
const CASES: &[(&str, &str, &[&str], &str)] = &[
    (
        "ingredient,grams\nwater,800\nsucrose,150\ncoconut-oil-refined,45\nmono-and-diglycerides,2\nlocust-bean-gum,3\n",
        "heat",
        &["to 82 C", "60 C"],
        "common practice: flakes act from 140 F, a locust bean gum blend from 180 F; one heat covers both",
    ),
    (
        "ingredient,grams\nwater,800\nsucrose,150\nlocust-bean-gum,3\n",
        "premix",
        &["3 g locust bean gum", "15 to 30 g of the sugar"],
        "common practice: stabilisers are blended dry with 5 to 10 times their weight of sugar and sheared in",
    ),
    (
        "ingredient,grams\nwater,980\nsucrose,10\nguar-gum,4\n",
        "premix",
        &["all the sugar (10 g)"],
        "less sugar than the ratio asks for",
    ),
    (
        "ingredient,grams\nwater,990\nguar-gum,4\n",
        "premix",
        &["no dry sugar"],
        "nothing to carry the gum",
    ),
    (
        "ingredient,grams\nwhole-milk,800\nsucrose,150\negg-yolk,45\nlocust-bean-gum,3\n",
        "heat",
        &["to 82 C", "not above 84 C", "egg yolk"],
        "common practice: custard is cooked to 82 to 83 C; the gum needs 80 to 85 C",
    ),
    (
        "ingredient,grams\nwhole-milk,800\nsucrose,150\negg-yolk,45\nagar-powder,5\n",
        "heat",
        &["no one heat serves", "agar powder (95 C)", "below 84 C"],
        "agar must boil and yolk must not",
    ),
    (
        "ingredient,grams\nwater,800\nsucrose,180\n",
        "heat",
        &["no ingredient here is known to need heat", "local code"],
        "sugar dissolves cold in time; heat treatment is the code's business",
    ),
    (
        "ingredient,grams\nwater,500\nsucrose,180\nraspberry-puree,300\nlemon-juice,20\n",
        "add cold",
        &["300 g raspberry", "20 g lemon juice", "blend again"],
        "common practice: fruit and acid go into the cold mix",
    ),
];

#[test]
fn the_plan_says_what_the_trade_does() {
    for (csv, phase, parts, why) in CASES {
        let assessment = assessed(csv);
        let text = line(&assessment, phase);
        for part in *parts {
            assert!(
                text.contains(part),
                "{phase} of {csv}: no `{part}` in `{text}` ({why})"
            );
        }
    }
}

#[test]
fn the_heat_reaches_all_that_a_step_asks_and_passes_no_limit() {
    for entry in std::fs::read_dir("data/formulas").expect("the formulas") {
        let path = entry.expect("an entry").path();
        let assessment = assessed(&std::fs::read_to_string(&path).expect("a formula"));
        let heat = assessment
            .plan
            .iter()
            .find(|l| l.phase == "heat")
            .expect("a heat line");
        let reached = heat.celsius.unwrap_or(0.0);
        for rule in &engine().catalogue.rules {
            let tamis::model::RuleKind::Process { reach, limit, .. } = &rule.kind else {
                continue;
            };
            if !assessment.process.iter().any(|s| s.rule == rule.id) {
                continue;
            }
            if let Some(reach) = reach {
                assert!(
                    *reach <= reached,
                    "{}: {} asks {reach}, {}",
                    path.display(),
                    rule.id,
                    heat.text
                );
            }
            if let Some(limit) = limit {
                assert!(
                    reached <= *limit || heat.text.contains("no one heat serves"),
                    "{}: {} allows {limit}, {}",
                    path.display(),
                    rule.id,
                    heat.text
                );
            }
        }
    }
}
