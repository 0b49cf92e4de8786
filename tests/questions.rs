//! Questions in a cook's words, each with the one reading a sensible cook means.
//!
//! `tests/questions/*.csv` holds them by kind. A question is right when its canonical form is the
//! label's, letter by letter. Ids ending in 3, 6 or 9 are held out: never used to improve the reader.
//! `fresh.csv` and, later, `blind.csv`, `second.csv`, `voices.csv` and `third.csv` were written by people who had not
//! looked at the reader; their labels say what a reading must hold: parts joined by ` & `, alternatives by ` / `, `ask`
//! and `nothing` as outcomes. Once a set has been learned from it tells no more how new questions fare: `voices.csv`
//! (ten people's ways to type, long-winded and mistyped ones among them) read 30.5 % before it was learned from.
//! `third.csv` was written in the same ten ways and kept closed until then; it read 71.5 %, and 39.5 % before.

mod kinds;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

use proptest::prelude::*;
use tamis::load::{self, Files};
use tamis::model::rule::PHASES;
use tamis::model::{
    Aim, Catalogue, Comparison, Dial, Expr, Goal, Group, PropertyKind, RuleKind, Subject, Test,
    Wish,
};
use tamis::query::{
    Amount, Batch, Change, How, Leaver, Order, Question, Read, Reading, Scene, print, read,
    read_in, terms, train, weighed,
};

/// Least share of questions read exactly, and the promise of the reader.
const LEAST_ACCURACY: f64 = 0.95;

/// The sets written without a look at the reader, and the least share of each whose reading holds
/// what the label asks.
const UNSEEN: [(&str, f64); 5] = [
    ("fresh", 0.88),
    ("blind", 0.97),
    ("second", 0.80),
    ("voices", 0.83),
    ("third", 0.75),
];

struct Labelled {
    id: String,
    kind: String,
    text: String,
    canonical: String,
}

impl Labelled {
    fn held_out(&self) -> bool {
        self.id.ends_with(['3', '6', '9'])
    }
}

fn catalogue() -> Catalogue {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = Files::folder(root).expect("the data can be read");
    load::catalogue(&files).expect("the data is sound")
}

fn questions() -> Vec<Labelled> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/questions");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the questions are there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .filter(|path| {
            !UNSEEN
                .iter()
                .any(|(name, _)| path.ends_with(format!("{name}.csv")))
        })
        .collect();
    paths.sort();
    labelled(&paths)
}

fn unseen(name: &str) -> Vec<Labelled> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    labelled(&[root.join(format!("tests/questions/{name}.csv"))])
}

fn labelled(paths: &[PathBuf]) -> Vec<Labelled> {
    let mut out = vec![];
    for path in paths {
        let mut rows = csv::Reader::from_path(path).expect("a table");
        for row in rows.records() {
            let row = row.expect("a row");
            out.push(Labelled {
                id: row[0].to_string(),
                kind: row[1].to_string(),
                text: row[2].to_string(),
                canonical: row[3].to_string(),
            });
        }
    }
    out
}

/// What came of a question: `ask`, `nothing`, or the canonical form.
fn outcome(read: &Read) -> String {
    match read {
        Read::One(reading) => print(&reading.question),
        Read::Several { .. } => "ask".to_string(),
        Read::Parts(parts) => parts.iter().map(outcome).collect::<Vec<_>>().join(" | "),
        Read::Nothing { .. } => "nothing".to_string(),
    }
}

#[test]
fn questions_are_read_exactly_or_asked_back() {
    let catalogue = catalogue();
    let questions = questions();
    let mut scores: BTreeMap<(bool, String), (usize, usize)> = BTreeMap::new();
    let mut misread = vec![];
    let mut wrong = 0;
    for question in &questions {
        let read = read(&question.text, &catalogue);
        let came = outcome(&read);
        let right = came == question.canonical;
        let score = scores
            .entry((question.held_out(), question.kind.clone()))
            .or_default();
        score.0 += usize::from(right);
        score.1 += 1;
        if right {
            continue;
        }
        wrong += 1;
        let hidden = question.held_out() && std::env::var_os("SHOW_HELD_OUT").is_none();
        let line = if hidden {
            format!("{} (held out)", question.id)
        } else {
            format!(
                "{} `{}`\n    meant {}\n    read  {came}",
                question.id, question.text, question.canonical
            )
        };
        println!("{line}");
        if matches!(read, Read::One(_) | Read::Parts(_)) {
            misread.push(question.id.clone());
        }
    }
    let mut totals: BTreeMap<bool, (usize, usize)> = BTreeMap::new();
    for ((held_out, kind), (right, all)) in &scores {
        let set = if *held_out { "held out" } else { "tuned on" };
        println!("{set}  {kind:<10} {right}/{all}");
        let total = totals.entry(*held_out).or_default();
        total.0 += right;
        total.1 += all;
    }
    for (held_out, (right, all)) in &totals {
        let set = if *held_out { "held out" } else { "tuned on" };
        let percent = 100.0 * *right as f64 / *all as f64;
        println!("{set}  all        {right}/{all} = {percent:.1} %");
    }
    println!("read in silence and wrong: {misread:?}");
    assert!(questions.len() >= 300, "{} questions", questions.len());
    let accuracy = 1.0 - wrong as f64 / questions.len() as f64;
    assert!(accuracy >= LEAST_ACCURACY, "{accuracy:.3}");
    assert!(misread.is_empty(), "wrong and not asked back: {misread:?}");
}

/// Whether an outcome holds every part of a fresh label.
fn holds(came: &str, must: &str) -> bool {
    must.split(" & ").all(|part| {
        part.split(" / ").any(|word| match word {
            "ask" | "nothing" => came == word,
            word => came.contains(word),
        })
    })
}

/// Prints how much of a set is read as its labels ask, by kind, and returns the share.
fn score(name: &str, questions: &[Labelled], catalogue: &Catalogue, shown: bool) -> f64 {
    let mut scores: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let (mut right, mut misread) = (0, vec![]);
    for question in questions {
        let read = read(&question.text, catalogue);
        let came = outcome(&read);
        let good = holds(&came, &question.canonical);
        let score = scores.entry(&question.kind).or_default();
        score.0 += usize::from(good);
        score.1 += 1;
        right += usize::from(good);
        if shown {
            let mark = if good { "right" } else { "WRONG" };
            println!(
                "{} {mark} `{}`\n    must  {}\n    read  {came}",
                question.id, question.text, question.canonical
            );
            if let Read::Several { ask, readings } = &read {
                println!("          {ask}");
                for reading in readings {
                    println!("          - {}", print(&reading.question));
                }
            }
        }
        if !good && matches!(read, Read::One(_) | Read::Parts(_)) {
            misread.push(&question.id);
        }
    }
    for (kind, (right, all)) in &scores {
        println!("{name}  {kind:<10} {right}/{all}");
    }
    let share = right as f64 / questions.len() as f64;
    println!(
        "{name}  all        {right}/{} = {:.1} %; {} not asked back: {misread:?}",
        questions.len(),
        100.0 * share,
        misread.len()
    );
    share
}

#[test]
fn unseen_questions_are_read_or_asked_back() {
    let catalogue = catalogue();
    let shown = std::env::var_os("SHOW_UNSEEN").is_some();
    for (name, least) in UNSEEN {
        let share = score(name, &unseen(name), &catalogue, shown);
        assert!(share >= least, "{name}: {share:.3}");
    }
}

/// What a guest must not have is part of the question, or told as not used, whatever stands around it.
#[test]
fn an_allergen_told_in_passing_is_never_dropped_in_silence() {
    let catalogue = catalogue();
    let ids = ["dextrose-monohydrate", "sucrose", "water"];
    let held = ids.map(|id| catalogue.key(id).expect("shipped"));
    let scene = Scene {
        held: &held,
        title: "Raspberry sorbet",
        grams: 1000.0,
    };
    let mut met = 0;
    for word in catalogue.words.iter().filter(|w| w.table == "allergens") {
        let text = format!(
            "swap the dextrose please, one guest at table four cannot go near {}",
            word.word
        );
        let read = read_in(&text, &catalogue, &scene);
        let said = outcome(&read);
        let words = ["ask", "nothing", "free of", "contains", "not "];
        let asked = words.iter().any(|part| said.contains(part));
        let told =
            matches!(&read, Read::One(r) if r.set_aside.iter().any(|w| w.contains(&word.word)));
        assert!(asked || told, "`{text}` read as {said}");
        met += 1;
    }
    assert!(met >= 20, "{met} allergens");
}

/// Each row of the grammar says what it reads, and what it does not.
#[test]
fn the_grammar_reads_its_own_examples() {
    let catalogue = catalogue();
    let mut missed = vec![];
    for row in &catalogue.grammar.terms {
        let holds = |text: &String| terms(text, &catalogue).contains(&row.name);
        missed.extend(row.examples.iter().filter(|text| !holds(text)));
        missed.extend(row.counters.iter().filter(|text| holds(text)));
    }
    assert!(missed.is_empty(), "terms: {missed:#?}");
    for frame in &catalogue.grammar.frames {
        let (text, canonical) = &frame.example;
        if text.is_empty() {
            // It reads only what is said of a formula in hand.
            let mut needs = frame.needs.iter().flatten();
            let of_formula = needs.any(|n| {
                n.starts_with("mention")
                    || ["amount.new", "asked.amount", "enough"].contains(&n.as_str())
            });
            assert!(of_formula, "{}: no example", frame.kind);
            continue;
        }
        let came = outcome(&read(text, &catalogue));
        assert_eq!(came, *canonical, "{text}");
    }
}

/// The weights of `data/grammar/prior.csv` are those that the examples of `tests/kinds` give;
/// `cargo run --release --example train` writes them.
#[test]
fn the_prior_is_what_its_examples_teach() {
    let examples = kinds::examples();
    assert!(examples.len() > 2000, "{}", examples.len());
    let mut trained: BTreeMap<(String, String), f64> = BTreeMap::new();
    for row in train(&examples, &catalogue()) {
        trained.insert((row.sign, row.kind), row.weight);
    }
    let mut kept: BTreeMap<(String, String), f64> = BTreeMap::new();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/grammar/prior.csv");
    let rows = csv::Reader::from_path(path).expect("the prior");
    for row in rows.into_records() {
        let row = row.expect("a row");
        let weight = row[2].parse().expect("a weight");
        kept.insert((row[0].to_string(), row[1].to_string()), weight);
    }
    // Another processor may round a last digit otherwise.
    let far = |sign: &(String, String), weight: &f64| {
        let other = trained.get(sign).copied().unwrap_or(0.0);
        (weight - other).abs() > if other == 0.0 { 0.4 } else { 0.05 }
    };
    let off = kept.iter().filter(|(sign, weight)| far(sign, weight));
    let off: Vec<_> = off.take(5).collect();
    assert!(off.is_empty(), "train anew: {off:?}");
    assert!(trained.len().abs_diff(kept.len()) <= kept.len() / 100);
}

/// Scores the labelled sets named in `QUESTIONS`, apart by `:`, and shows each reading.
#[test]
#[ignore = "a look at sets of one's own"]
fn own_sets() {
    let catalogue = catalogue();
    let paths = std::env::var("QUESTIONS").expect("files of labelled questions");
    for path in paths.split(':') {
        let questions = labelled(&[PathBuf::from(path)]);
        score(path, &questions, &catalogue, true);
    }
}

/// Shows every way the questions of the files named in `QUESTIONS` can be read, with what each costs.
#[test]
#[ignore = "a look at the ways to read"]
fn ways() {
    let catalogue = catalogue();
    let paths = std::env::var("QUESTIONS").expect("files of labelled questions");
    for path in paths.split(':') {
        for question in labelled(&[PathBuf::from(path)]) {
            println!("{} `{}`", question.id, question.text);
            println!("    must  {}", question.canonical);
            for way in weighed(&question.text, &catalogue, &Scene::default()) {
                let question = print(&way.reading.question);
                let left = way.reading.set_aside.join(" | ");
                println!("    {:.1} {:.0} {question} <{left}>", way.cost, way.dearest);
            }
        }
    }
}

/// Run with `cargo test --release --test questions -- --ignored --nocapture`.
#[test]
#[ignore = "prints times, which no test asserts"]
fn time_per_question() {
    let catalogue = catalogue();
    let questions = questions();
    let mut times: Vec<(u128, &str)> = questions
        .iter()
        .map(|question| {
            // The best of three: the machine has other work to do.
            let best = (0..3).map(|_| {
                let start = Instant::now();
                std::hint::black_box(read(&question.text, &catalogue));
                start.elapsed().as_micros()
            });
            (best.min().unwrap_or_default(), question.text.as_str())
        })
        .collect();
    times.sort_unstable();
    let at = |share: usize| times[(times.len() - 1) * share / 100];
    println!(
        "{} questions: half within {} us, 95 % within {} us, the slowest {:?}",
        times.len(),
        at(50).0,
        at(95).0,
        at(100)
    );
}

/// Prints what comes of each line of the file named in `QUESTIONS`.
#[test]
#[ignore = "a look at readings"]
fn show() {
    let catalogue = catalogue();
    let path = std::env::var("QUESTIONS").expect("a file of questions");
    let text = std::fs::read_to_string(path).expect("the file");
    for line in text.lines() {
        let read = read(line, &catalogue);
        println!("{line}\n    {}", outcome(&read));
        match &read {
            Read::Several { ask, readings } => {
                println!("    {ask}");
                for reading in readings {
                    println!("    - {}", print(&reading.question));
                }
            }
            Read::Nothing { why, .. } => println!("    {why}"),
            _ => {}
        }
    }
}

/// One of the words of the catalogue, each as likely.
fn one_of(words: Vec<String>) -> BoxedStrategy<String> {
    proptest::sample::select(words).boxed()
}

fn figure() -> BoxedStrategy<f64> {
    (-4000i32..40_000)
        .prop_map(|n| f64::from(n) / 100.0)
        .boxed()
}

fn some<T: Clone + std::fmt::Debug + 'static>(
    of: &BoxedStrategy<T>,
    least: usize,
) -> BoxedStrategy<Vec<T>> {
    proptest::collection::vec(of.clone(), least..4).boxed()
}

fn conditions(catalogue: &Catalogue) -> BoxedStrategy<Expr> {
    let ids = |kind: fn(&PropertyKind) -> bool| {
        let all = catalogue.properties.iter().filter(|p| kind(&p.kind));
        all.map(|p| p.id.clone()).collect::<Vec<_>>()
    };
    let numbers = one_of(ids(|kind| *kind == PropertyKind::Number));
    let choices: Vec<(String, String)> = (catalogue.properties.iter())
        .filter_map(|p| match &p.kind {
            PropertyKind::Choice(words) => Some((p.id.clone(), words.clone())),
            _ => None,
        })
        .flat_map(|(id, words)| words.into_iter().map(move |word| (id.clone(), word)))
        .collect();
    let families = one_of(catalogue.families().iter().map(|f| f.to_string()).collect());
    let functions = one_of(
        catalogue
            .functions()
            .iter()
            .map(|f| f.to_string())
            .collect(),
    );
    let allergens = one_of(
        ["milk", "egg", "tree nuts", "soy", "peanut"]
            .map(str::to_string)
            .to_vec(),
    );
    let ingredients = one_of(catalogue.ingredients.iter().map(|i| i.id.clone()).collect());
    let comparison = proptest::sample::select(Comparison::ALL.map(|(c, _)| c).to_vec());
    let this = Subject::This;
    let test = prop_oneof![
        (
            numbers.clone(),
            comparison,
            figure(),
            proptest::option::of(figure())
        )
            .prop_map(
                move |(property, comparison, number, at_celsius)| Test::Number {
                    subject: this,
                    property,
                    comparison,
                    number,
                    at_celsius,
                }
            ),
        (numbers.clone(), figure(), figure()).prop_map(move |(property, low, high)| {
            Test::Between {
                subject: this,
                property,
                low,
                high,
                at_celsius: None,
            }
        }),
        proptest::sample::select(choices).prop_map(move |(property, word)| Test::Word {
            subject: this,
            property,
            word,
        }),
        numbers.prop_map(move |property| Test::Known(this, property)),
        allergens
            .clone()
            .prop_map(move |allergen| Test::Contains(this, allergen)),
        allergens.prop_map(move |allergen| Test::FreeOf(this, allergen)),
        families.prop_map(move |id| Test::Is(this, Group::Family(id))),
        functions.prop_map(move |name| Test::Is(this, Group::Function(name))),
        ingredients.prop_map(move |id| Test::Is(this, Group::Ingredient(id))),
    ];
    let leaf = test.prop_map(Expr::Test).boxed();
    leaf.prop_recursive(3, 12, 3, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 2..4).prop_map(Expr::All),
            proptest::collection::vec(inner.clone(), 2..4).prop_map(Expr::Any),
            inner.prop_map(|part| Expr::Not(Box::new(part))),
        ]
    })
    .boxed()
}

fn wishes(catalogue: &Catalogue) -> BoxedStrategy<Wish> {
    let dial = proptest::sample::select(Dial::ALL.map(|entry| entry.0).to_vec());
    let aim = prop_oneof![
        Just(Aim::Keep),
        Just(Aim::Raise),
        Just(Aim::Lower),
        figure().prop_map(Aim::AtLeast),
        figure().prop_map(Aim::AtMost),
        (figure(), figure()).prop_map(|(low, high)| Aim::Between(low, high)),
        (-1000i32..1000).prop_map(|n| Aim::Relative(f64::from(n) / 1000.0)),
    ];
    let goal = (dial, aim)
        .prop_map(|(dial, aim)| Goal { dial, aim })
        .boxed();
    let ids = one_of(catalogue.ingredients.iter().map(|i| i.id.clone()).collect());
    let newcomer = prop_oneof![Just(Expr::Always), conditions(catalogue)];
    (
        some(&goal, 0),
        newcomer,
        proptest::option::of(some(&ids, 1)),
        1usize..6,
    )
        .prop_map(|(goals, newcomer, shelf, at_most)| Wish {
            goals,
            newcomer,
            shelf,
            at_most,
        })
        .boxed()
}

fn any_question(catalogue: &Catalogue) -> BoxedStrategy<Question> {
    let id = one_of(catalogue.ingredients.iter().map(|i| i.id.clone()).collect());
    let property = one_of(catalogue.properties.iter().map(|p| p.id.clone()).collect());
    let allergen = one_of(
        ["milk", "egg", "tree nuts", "soy", "peanut"]
            .map(str::to_string)
            .to_vec(),
    );
    let words = |table: &str| {
        let rows = catalogue.words.iter().filter(|w| w.table == table);
        rows.map(|w| w.meaning.clone()).collect::<Vec<_>>()
    };
    let mut dishes = words("dishes");
    dishes.push(String::new());
    let dish = one_of(dishes);
    let symptoms = (catalogue.rules.iter()).filter_map(|rule| match &rule.kind {
        RuleKind::Diagnosis { symptom, .. } => Some(symptom.clone()),
        _ => None,
    });
    let symptom = one_of(symptoms.collect());
    let mut phases: Vec<String> = PHASES.iter().map(|p| p.to_string()).collect();
    phases.push(String::new());
    let phase = one_of(phases);
    let name = one_of(["", "nut", "dark chocolate"].map(str::to_string).to_vec());
    let condition = conditions(catalogue);
    let leaver = prop_oneof![
        some(&id, 1).prop_map(Leaver::Ingredients),
        condition.clone().prop_map(Leaver::Matching),
    ];
    let amount = prop_oneof![
        (1u32..100_000).prop_map(|n| Amount::Grams(f64::from(n) / 10.0)),
        (1u32..1000).prop_map(|n| Amount::Share(f64::from(n) / 1000.0)),
    ];
    let size = (1u32..9999).prop_map(|n| f64::from(n) / 4.0).boxed();
    let batch = prop_oneof![
        size.clone().prop_map(Batch::Grams),
        size.clone().prop_map(Batch::Millilitres),
        size.prop_map(Batch::Times),
    ];
    let mut figures: Vec<String> = catalogue.properties.iter().map(|p| p.id.clone()).collect();
    figures.push("freezing_point".to_string());
    let order = (one_of(figures), any::<bool>()).prop_map(|(by, most)| Order { by, most });
    let added = (
        id.clone(),
        (1u32..100_000).prop_map(|n| f64::from(n) / 10.0),
    )
        .boxed();
    let grams = || (-9999i32..9999).prop_map(|n| f64::from(n) / 4.0);
    let how = prop_oneof![
        proptest::sample::select(vec![How::Out, How::More, How::Less]),
        grams().prop_map(How::By),
        (1u32..400).prop_map(|n| How::Times(f64::from(n) / 4.0)),
        (1u32..400).prop_map(|n| How::To(f64::from(n) / 4.0)),
    ];
    let change = (leaver.clone(), how).prop_map(|(what, how)| Change { what, how });
    let dial = proptest::sample::select(Dial::ALL.map(|entry| entry.0).to_vec()).boxed();
    prop_oneof![
        (some(&change.boxed(), 1), some(&dial, 0), dish.clone())
            .prop_map(|(changes, on, dish)| Question::WhatIf { changes, on, dish }),
        (some(&id, 1), dish.clone())
            .prop_map(|(ingredients, dish)| Question::Role { ingredients, dish }),
        (some(&id, 1), some(&property, 0), some(&allergen, 0)).prop_map(
            |(ingredients, properties, allergens)| Question::Lookup {
                ingredients,
                properties,
                allergens,
            }
        ),
        (name, condition, proptest::option::of(order)).prop_map(|(text, condition, order)| {
            Question::Search {
                text,
                condition,
                order,
            }
        }),
        (some(&id, 2), some(&property, 0)).prop_map(|(ingredients, properties)| {
            Question::Compare {
                ingredients,
                properties,
            }
        }),
        (
            leaver,
            some(&id, 0),
            proptest::option::of(amount),
            wishes(catalogue),
            dish.clone()
        )
            .prop_map(|(leaver, newcomers, amount, wish, dish)| Question::Swap {
                leaver,
                newcomers,
                amount,
                wish,
                dish
            }),
        (
            some(&added, 0),
            wishes(catalogue),
            proptest::option::of(batch),
            dish.clone()
        )
            .prop_map(|(added, wish, scale, dish)| Question::Adjust {
                added,
                wish,
                scale,
                dish
            }),
        (some(&id, 1), phase, dish.clone()).prop_map(|(ingredients, phase, dish)| {
            Question::HowTo {
                ingredients,
                phase,
                dish,
            }
        }),
        (some(&symptom, 1), dish, some(&id, 0)).prop_map(|(symptoms, dish, ingredients)| {
            Question::Diagnose {
                symptoms,
                dish,
                ingredients,
            }
        }),
    ]
    .boxed()
}

/// What is printed is read back as the same question, with nothing assumed or set aside.
#[test]
fn a_printed_question_reads_back_as_itself() {
    let catalogue = catalogue();
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let law = runner.run(&any_question(&catalogue), |question| {
        let text = print(&question);
        let back = Read::One(Reading {
            question,
            assumed: vec![],
            set_aside: vec![],
            corrected: vec![],
            without: false,
            strict: false,
            served: None,
        });
        prop_assert_eq!(read(&text, &catalogue), back, "{}", text);
        Ok(())
    });
    if let Err(broken) = law {
        panic!("{broken}");
    }
}

/// Every property of the schema is asked for by three phrases of the trade, of an ingredient that
/// states it.
#[test]
fn every_property_is_reached_by_its_phrases() {
    let catalogue = catalogue();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/property_phrases.csv");
    let mut rows = csv::Reader::from_path(path).expect("a table");
    let mut tested = vec![];
    let mut missed = vec![];
    for row in rows.records() {
        let row = row.expect("a row");
        let property = &row[0];
        let stated = catalogue
            .ingredients
            .iter()
            .find(|i| i.id.contains('-') && i.value(property).is_some());
        let id = stated.map_or("xanthan-gum", |i| i.id.as_str());
        for phrase in row.iter().skip(1) {
            let text = format!("{phrase} of {id}");
            let came = outcome(&read(&text, &catalogue));
            // What a law sets is asked of the law.
            let by_law = property == "maximum_level" && came == format!("legal {id}");
            if came != format!("lookup {property} of {id}") && !by_law {
                missed.push(format!("{text}: {came}"));
            }
        }
        tested.push(property.to_string());
    }
    for property in &catalogue.properties {
        assert!(
            tested.contains(&property.id),
            "{} is not tested",
            property.id
        );
    }
    assert!(missed.is_empty(), "{missed:#?}");
}
