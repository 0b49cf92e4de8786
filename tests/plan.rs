//! The plan of a formula: every gram once, in the order of work, and nothing raw without a word.

mod opened;

use proptest::prelude::*;
use tamis::answer::{Kind, PlanOut, PlanStepOut};
use tamis::formula::{Formula, Line};

use opened::engine;

fn read(name: &str, lines: &str) -> Formula {
    let csv = format!("ingredient,grams\n{lines}");
    let formula = engine().formula(name, csv.as_bytes());
    formula.unwrap_or_else(|p| panic!("{name}: {p}"))
}

fn planned(name: &str, lines: &str) -> PlanOut {
    engine().plan(&read(name, lines))
}

/// The plan as one text: a line per step, grams first.
fn told(plan: &PlanOut) -> String {
    let each = plan.plan.iter().map(|step| {
        let grams = step.ingredients.iter();
        let grams: Vec<String> = grams.map(|a| format!("{} g {}", a.grams, a.id)).collect();
        format!("{} | {} | {}", step.phase, grams.join(" + "), step.text)
    });
    std::iter::once(plan.summary.clone())
        .chain(each)
        .collect::<Vec<_>>()
        .join("\n")
}

/// Where an ingredient first goes in.
fn first(plan: &[PlanStepOut], id: &str) -> Option<usize> {
    plan.iter()
        .position(|s| s.ingredients.iter().any(|a| a.id == id))
}

/// Where most of it goes in.
fn most(plan: &[PlanStepOut], id: &str) -> Option<usize> {
    let grams = |s: &PlanStepOut| -> f64 {
        let of = s.ingredients.iter().filter(|a| a.id == id);
        of.map(|a| a.grams).sum()
    };
    (0..plan.len())
        .filter(|n| grams(&plan[*n]) > 0.0)
        .max_by(|a, b| grams(&plan[*a]).total_cmp(&grams(&plan[*b])))
}

/// The hottest step.
fn hottest(plan: &[PlanStepOut]) -> Option<usize> {
    (0..plan.len())
        .filter(|n| plan[*n].phase == "heat" && plan[*n].celsius.is_some())
        .max_by(|a, b| {
            let celsius = |n: &usize| plan[*n].celsius.unwrap_or(0.0);
            celsius(a).total_cmp(&celsius(b))
        })
}

/// Every gram of a formula goes in once.
fn weighs_the_same(formula: &Formula, plan: &PlanOut) {
    for line in &formula.merged().lines {
        let id = &engine().catalogue.ingredient(line.key).id;
        let poured = plan.plan.iter().flat_map(|s| &s.ingredients);
        let grams: f64 = poured.filter(|a| a.id == *id).map(|a| a.grams).sum();
        assert!(
            (grams - line.grams).abs() < 1e-6,
            "{}: {} g of {id}, planned {grams} g\n{}",
            formula.name,
            line.grams,
            told(plan)
        );
    }
    let all = plan.plan.iter().flat_map(|s| &s.ingredients);
    assert!(all.clone().all(|a| a.grams > 0.0), "{}", told(plan));
    let all: f64 = all.map(|a| a.grams).sum();
    assert!((all - formula.grams()).abs() < 1e-6, "{}", told(plan));
}

struct Case {
    name: &'static str,
    lines: &'static str,
    /// What must be told.
    must: &'static [&'static str],
    /// What must not.
    never: &'static [&'static str],
    source: &'static str,
}

/// Invented formulas of ordinary dishes.
const CASES: &[Case] = &[
    Case {
        name: "vanilla-ice-cream.csv",
        lines: "whole-milk,560\ncream-35-fat,180\nskimmed-milk-powder,35\nsucrose,140\ndextrose-monohydrate,30\negg-yolk,50\nlocust-bean-gum,2\nguar-gum,1\nmono-and-diglycerides,2\nvanilla-extract,3\n",
        must: &[
            "Heat to 82 C",
            "not above 84 C (egg yolk)",
            "premix | 2 g locust-bean-gum + 1 g guar-gum + 21 g sucrose",
            "119 g sucrose",
            "Age at 4 C",
            "draw at -6 C",
            "serve at -13 C",
        ],
        never: &["STOP"],
        source: "common-practice: a custard base is cooked to 82 to 84 C, gums go in blended dry",
    },
    Case {
        name: "raspberry-sorbet.csv",
        lines: "raspberry-puree,600\nsucrose,190\ndextrose-monohydrate,40\nlocust-bean-gum,3\nlemon-juice,10\nwater,157\n",
        must: &[
            "add cold | 600 g raspberry-puree + 10 g lemon-juice",
            "The 157 g water carries it",
            "serve at -10 C",
        ],
        never: &["STOP", "local code; log"],
        source: "common-practice: fruit and acid go into the cold mix",
    },
    Case {
        name: "panna-cotta.csv",
        lines: "cream-35-fat,500\nwhole-milk,400\nsucrose,90\ngelatin-powder,8\nvanilla-bean,3\n",
        must: &[
            "8 g gelatin-powder + 40 g whole-milk",
            "below 80 C melt the bloomed gelatin in",
            "chill at 4 C without stirring",
        ],
        never: &["Churn", "Bring to a simmer"],
        source: "mcgee-2004 and gelatin-trade-page: gelatin is softened cold and not boiled",
    },
    Case {
        name: "pastry-cream.csv",
        lines: "whole-milk,500\nsucrose,100\negg-yolk,80\nmaize-starch,40\nbutter,40\nvanilla-extract,4\n",
        must: &[
            "boil egg with starch 1 to 2 min",
            "40 g maize-starch + 120 g whole-milk",
            "add warm | 40 g butter",
        ],
        never: &["STOP", "not above 84 C"],
        source: "mcgee-2004, ch. 2, Pastry cream: a boil of a minute",
    },
    Case {
        name: "custard.csv",
        lines: "whole-milk,500\nsucrose,100\negg-yolk,80\narrowroot,40\n",
        must: &["boil egg with starch 1 to 2 min"],
        never: &["not above 90 C", "to 75 C"],
        source: "mcgee-2004, ch. 2: starch-bound custard is boiled; arrowroot thickens to 86 C",
    },
    Case {
        name: "creme-anglaise.csv",
        lines: "whole-milk,500\negg-yolk,100\nsucrose,80\nvanilla-bean,2\n",
        must: &["Cook to 82 C", "not above 84 C"],
        never: &["boil egg", "STOP"],
        source: "mcgee-2004, ch. 2, Custard theory: sets at 79 to 83; never above 85",
    },
    Case {
        name: "lemon-curd.csv",
        lines: "lemon-juice,150\nwhole-egg,200\nsucrose,180\nbutter,120\n",
        must: &[
            "Cook to 82 C",
            "150 g lemon-juice + 200 g whole-egg",
            "120 g butter",
        ],
        never: &["STOP", "add cold | 150 g lemon-juice"],
        source: "common-practice: in a curd the juice is cooked with the egg, butter comes off the heat",
    },
    Case {
        name: "cheese-sauce.csv",
        lines: "whole-milk,250\ntrisodium-citrate-dihydrate,8\ncheddar,240\ntable-salt,1\n",
        must: &[
            "250 g whole-milk + 8 g trisodium-citrate-dihydrate",
            "below 85 C",
        ],
        never: &["STOP", "Churn"],
        source: "fox-mcsweeney-1998, Table 10.11, block 80 to 85 C",
    },
    Case {
        name: "ganache.csv",
        lines: "cream-35-fat,250\ndark-chocolate-60,280\nbutter,40\nglucose-syrup-de40,20\n",
        must: &[
            "Cream to 85 C",
            "280 g dark-chocolate-60",
            "At 35 to 40 C blend in the butter",
        ],
        never: &["STOP", "homogenise"],
        source: "web-ganache-technique, text: cream at 85, butter at 35 to 40 C",
    },
    Case {
        name: "strawberry-jam.csv",
        lines: "strawberry,500\nsucrose,480\nhm-pectin-rapid-set,4\ncitric-acid,5\n",
        must: &[
            "4 g hm-pectin-rapid-set + 28 g sucrose",
            "60 to 72 % soluble solids",
            "not put back",
            "5 g citric-acid | At the end of the boil",
        ],
        never: &["room temperature or warmer", "make up with water"],
        source: "mcgee-2004, ch. 5, Preparing Preserves: 103 to 105 C at sea level",
    },
    Case {
        name: "caramels.csv",
        lines: "sucrose,200\nglucose-syrup-de40,200\ncream-35-fat,250\nbutter,50\ntable-salt,3\n",
        must: &["Boil to 119 C", "Warm, and stir in little by little"],
        never: &["homogenise", "cool to 4 C"],
        source: "caramel-de-paper: 12 % moisture at 113.3, 8 % at 121.1 C",
    },
    Case {
        name: "mayonnaise.csv",
        lines: "egg-yolk,40\nsunflower-oil,300\nvinegar,25\nmustard-prepared,10\ntable-salt,4\n",
        must: &[
            "STOP: raw egg yolk",
            "drop by drop",
            "pH 4.1 or less",
            "Made cold",
        ],
        never: &["heat to", "homogenise", "acid last"],
        source: "xiong-2000, abstract: pH 4.0 or 4.1; mcgee-2004, ch. 11: yolk and acid first",
    },
    Case {
        name: "chocolate-mousse.csv",
        lines: "dark-chocolate-60,200\ncream-35-fat,300\negg-yolk,60\nsucrose,50\nwhole-milk,80\n",
        must: &[
            "Heat the egg to 82 C",
            "Whip the cream cold",
            "200 g dark-chocolate-60",
        ],
        never: &["STOP", "Churn"],
        source: "mcgee-2004, ch. 2, Custard theory; folding by common-practice",
    },
    Case {
        name: "marshmallow.csv",
        lines: "sucrose,300\nglucose-syrup-de40,150\nwater,120\ngelatin-powder,20\nvanilla-extract,3\n",
        must: &[
            "Boil the syrup to 116 C",
            "20 g gelatin-powder + 100 g water",
        ],
        never: &["STOP", "cool to 4 C"],
        source: "memory: marshmallow syrup 112 to 121 C, as data/class-ranges.csv has it",
    },
    Case {
        name: "sponge-cake.csv",
        lines: "wheat-flour,120\nwhole-egg,200\nsucrose,120\nbutter,40\nbaking-powder,3\n",
        must: &["baking itself is not modelled"],
        never: &["STOP", "heat to", "Cook"],
        source: "common-practice: tin and oven decide",
    },
    Case {
        name: "meringue.csv",
        lines: "egg-white,100\nsucrose,200\ncream-of-tartar,1\n",
        must: &["STOP: raw egg white", "not modelled", "soft peaks"],
        never: &["82 C"],
        source: "common-practice: unbaked meringue of raw white is raw egg",
    },
    Case {
        name: "bavarois.csv",
        lines: "whole-milk,250\negg-yolk,80\nsucrose,80\ngelatin-leaf,10\ncream-35-fat,300\npineapple,100\n",
        must: &[
            "cook apart | 100 g pineapple",
            "squeeze",
            "Heat to 82 C",
            "fold",
        ],
        never: &["STOP", "too little to carry"],
        source: "mcgee-2004: raw pineapple keeps gelatin from setting",
    },
    Case {
        name: "buttercream.csv",
        lines: "butter,250\nicing-sugar,300\nwhole-milk,30\nwheat-flour,20\n",
        must: &["STOP: raw wheat flour"],
        never: &["homogenise"],
        source: "common-practice: flour is a raw food",
    },
    Case {
        name: "agar ice cream.csv",
        lines: "whole-milk,800\nsucrose,150\negg-yolk,45\nagar-powder,5\n",
        must: &[
            "No one heat serves",
            "Heat to 95 C",
            "45 g egg-yolk | Let it cool below",
        ],
        never: &["STOP"],
        source: "common-practice: agar must boil and yolk must not",
    },
];

#[test]
fn ordinary_dishes_are_planned_as_a_cook_makes_them() {
    let mut wrong = vec![];
    for case in CASES {
        let formula = read(case.name, case.lines);
        let plan = engine().plan(&formula);
        let text = told(&plan);
        weighs_the_same(&formula, &plan);
        for part in case.must.iter().filter(|part| !text.contains(*part)) {
            wrong.push(format!(
                "{}: no `{part}` ({})\n{text}",
                case.name, case.source
            ));
        }
        for part in case.never.iter().filter(|part| text.contains(*part)) {
            wrong.push(format!("{}: `{part}` ({})\n{text}", case.name, case.source));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn the_formulas_that_come_with_the_program_are_planned_gram_for_gram() {
    for entry in std::fs::read_dir("data/formulas").expect("the formulas") {
        let path = entry.expect("an entry").path();
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .to_string();
        let text = std::fs::read(&path).expect("a formula");
        let formula = engine()
            .formula(&name, &text)
            .unwrap_or_else(|p| panic!("{p}"));
        let plan = engine().plan(&formula);
        weighs_the_same(&formula, &plan);
        assert!(!plan.summary.is_empty());
        assert!(
            !plan.plan.iter().any(|s| s.text.contains(['{', '[', '?'])),
            "{}",
            told(&plan)
        );
    }
}

/// The dishes a generated formula is called.
const DISHES: &[&str] = &[
    "gelato",
    "sorbet",
    "granita",
    "parfait",
    "ice pop",
    "soft serve",
    "panna cotta",
    "fruit jelly",
    "bavarois",
    "gummy",
    "pudding",
    "pastry cream",
    "creme anglaise",
    "lemon curd",
    "cheesecake",
    "bechamel",
    "sauce",
    "cheese sauce",
    "mousse",
    "meringue",
    "marshmallow",
    "whipped cream",
    "ganache",
    "caramel",
    "fudge",
    "jam",
    "pate de fruit",
    "mayonnaise",
    "vinaigrette",
    "hollandaise",
    "buttercream",
    "cake",
    "drink",
    "yogurt",
    "mix",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn every_gram_goes_in_once(
        dish in 0..DISHES.len(),
        picks in prop::collection::vec((any::<prop::sample::Index>(), 1u32..4000), 1..14),
    ) {
        let keys: Vec<_> = engine().catalogue.keys().collect();
        let lines = picks.iter().map(|(pick, tenths)| Line {
            key: keys[pick.index(keys.len())],
            grams: f64::from(*tenths) / 10.0,
        });
        let formula = Formula {
            name: DISHES[dish].to_string(),
            lines: lines.collect(),
            ..Formula::default()
        };
        let plan = engine().plan(&formula);
        weighs_the_same(&formula, &plan);
    }
}

#[test]
fn acid_comes_after_the_heat_of_starch() {
    for dish in ["pudding", "sauce", "fruit filling"] {
        let plan = planned(
            &format!("{dish}.csv"),
            "water,300\nraspberry-puree,200\nsucrose,60\nmaize-starch,30\nlemon-juice,15\n",
        );
        let acid = first(&plan.plan, "lemon-juice").expect("the juice");
        assert!(
            acid > hottest(&plan.plan).expect("a heat"),
            "{}",
            told(&plan)
        );
        assert!(
            first(&plan.plan, "maize-starch") < hottest(&plan.plan),
            "{}",
            told(&plan)
        );
    }
}

#[test]
fn calcium_comes_after_hydration() {
    for (agent, salt) in [
        ("lm-pectin", "calcium-lactate"),
        ("low-acyl-gellan", "calcium-chloride"),
        ("sodium-alginate", "calcium-lactate"),
    ] {
        let lines = format!("water,500\nsucrose,60\n{agent},4\n{salt},1\n");
        let plan = planned("fruit-jelly.csv", &lines);
        let salt = first(&plan.plan, salt).expect("the salt");
        assert!(
            salt > first(&plan.plan, agent).expect("the agent"),
            "{}",
            told(&plan)
        );
        assert!(Some(salt) > hottest(&plan.plan), "{}", told(&plan));
    }
}

#[test]
fn gelatin_blooms_before_it_melts_and_melts_after_the_heat() {
    for dish in ["panna cotta", "ice cream", "bavarois", "mousse"] {
        let plan = planned(
            &format!("{dish}.csv"),
            "whole-milk,400\ncream-35-fat,300\nsucrose,80\negg-yolk,60\ngelatin-powder,7\n",
        );
        let bloom = first(&plan.plan, "gelatin-powder").expect("the gelatin");
        let melt = plan
            .plan
            .iter()
            .position(|s| s.text.contains("melt the bloomed"));
        let melt = melt.unwrap_or_else(|| panic!("{}", told(&plan)));
        assert_eq!(plan.plan[bloom].phase, "hydrate cold");
        assert!(
            bloom < melt && Some(melt) > hottest(&plan.plan),
            "{}",
            told(&plan)
        );
    }
}

#[test]
fn alcohol_and_cultured_milk_go_in_after_the_heat() {
    for dish in [
        "ice cream",
        "sherbet",
        "panna cotta",
        "parfait",
        "bavarois",
        "pudding",
    ] {
        let plan = planned(
            &format!("{dish}.csv"),
            "whole-milk,400\ncream-35-fat,100\nsucrose,80\negg-yolk,60\nyogurt-plain-whole,200\nrum-dark-40,20\ngelatin-leaf,6\n",
        );
        let heat = hottest(&plan.plan);
        for late in ["yogurt-plain-whole", "rum-dark-40"] {
            assert!(most(&plan.plan, late) > heat, "{dish}: {}", told(&plan));
        }
    }
}

#[test]
fn egg_with_starch_is_never_planned_raw() {
    for starch in [
        "maize-starch",
        "potato-starch",
        "tapioca-starch",
        "wheat-flour",
        "custard-powder",
        "rice-flour",
    ] {
        for dish in [
            "pudding",
            "pastry cream",
            "custard",
            "sauce",
            "ice cream",
            "cream",
            "mousse",
            "bavarois",
        ] {
            let plan = planned(
                &format!("{dish}.csv"),
                &format!("whole-milk,500\nsucrose,100\negg-yolk,80\n{starch},40\n"),
            );
            let cooked = plan
                .plan
                .iter()
                .any(|s| s.phase == "heat" && s.celsius.is_some_and(|c| c >= 90.0));
            let stopped = plan.plan.iter().any(|s| s.phase == "stop");
            assert!(cooked || stopped, "{dish} with {starch}: {}", told(&plan));
        }
    }
}

#[test]
fn raw_milk_is_told() {
    let plan = planned(
        "ice-cream.csv",
        "farm-milk,700\nsucrose,150\ncream-35-fat,150\n",
    );
    assert!(
        told(&plan).contains("STOP: raw milk") || plan.plan.iter().any(|s| s.rule == "raw-milk"),
        "{}",
        told(&plan)
    );
}

#[test]
fn a_question_how_to_make_it_is_answered_with_the_plan() {
    let formula = read(CASES[0].name, CASES[0].lines);
    for question in [
        "how do I make this",
        "what do I weigh first?",
        "what temperature",
    ] {
        let asked = engine().ask(question, Some(&formula));
        assert_eq!(asked.kind, Kind::HowTo, "{question}");
        assert!(
            asked.summary.starts_with("Heat to 82 C"),
            "{question}: {}",
            asked.summary
        );
        assert!(asked.plan.len() > 8, "{question}");
    }
}
