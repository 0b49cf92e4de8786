//! An answer is data both ways: what a command prints as JSON is read back as the type it was written
//! from, and written again as the same bytes.

use serde::Serialize;
use serde::de::DeserializeOwned;
use tamis::answer::{
    Asked, Assessment, CheckedOut, Comparison, Completeness, ExportedOut, FormulaOut, Hits, Kind,
    OwnOut, PlanOut, ProfileOut, PropertiesOut, SourcesOut, StartedOut, SwapOut, Told,
};

mod program;

use program::run;

/// The answer of a command as its type, which must be written again as it was printed.
fn answer<A: Serialize + DeserializeOwned>(args: &[&str]) -> A {
    let json: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
    let ran = run(&json);
    let what = args.join(" ");
    assert!(matches!(ran.code, Some(0 | 1)), "{what}: {}", ran.err);
    let told: Told<A> =
        serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{what}: {e} in\n{}", ran.out));
    let again = serde_json::to_string_pretty(&told).expect("JSON") + "\n";
    for (n, (one, other)) in ran.out.lines().zip(again.lines()).enumerate() {
        assert_eq!(one, other, "{what}, line {}", n + 1);
    }
    assert_eq!(ran.out.len(), again.len(), "{what}");
    assert!(told.versions.data_version.is_some(), "{what}");
    told.answer
}

#[test]
fn ingredients_are_read_back() {
    let shown: ProfileOut = answer(&["show", "agar"]);
    assert_eq!(shown.assumed[0].id, "agar-powder");
    answer::<ProfileOut>(&["show", "sucrose"]);
    let found: Hits = answer(&["find", "fat > 40 % and vegan"]);
    assert!(found.total > 0);
    let found: Hits = answer(&["find", "agar"]);
    assert_eq!(found.assumed[0].typed, "agar");
    answer::<Hits>(&["find", "qqqqqqqqqq"]);
    let compared: Comparison = answer(&["compare", "agar", "gelatin-powder"]);
    assert_eq!(compared.assumed.len(), 1);
}

#[test]
fn formulas_are_read_back() {
    let mix = "hazelnut-gelato";
    let assessed: Assessment = answer(&["assess", mix]);
    assert!(!assessed.uncertainty.is_empty());
    let beside: Assessment = answer(&["assess", mix, "--against", "reference-ice-cream"]);
    assert!(beside.against.is_some());
    answer::<Assessment>(&["assess", "sour-cherry-sorbet", "--overrun", "30"]);
    assert!(!answer::<PlanOut>(&["plan", mix]).plan.is_empty());
    let scaled: FormulaOut = answer(&["adjust", mix, "--scale", "2000"]);
    assert!((scaled.batch_g - 2000.0).abs() < 1e-6);
}

#[test]
fn swaps_and_adjustments_are_read_back() {
    let mix = "sour-cherry-sorbet";
    let replace = ["swap", mix, "--replace", "sucrose", "--at-most", "2"];
    let by_numbers: SwapOut = answer(&[&replace[..], &["--keep", "sweetness"]].concat());
    assert!(by_numbers.proof.is_some());
    let by_job: SwapOut = answer(&["swap", mix, "--replace", "guar-gum"]);
    assert_eq!(by_job.kind, Some(Kind::Swap));
    let none: SwapOut = answer(
        &[
            &replace[..],
            &["--at-least", "sweetness 60", "--not-over", "sugars 1"],
        ]
        .concat(),
    );
    assert!(none.options.is_empty());
    let adjusted: SwapOut = answer(&["adjust", mix, "--target", "sweetness 22"]);
    assert_eq!(adjusted.kind, Some(Kind::Adjust));
    answer::<SwapOut>(&["adjust", "hazelnut-gelato", "--add", "80 g dark chocolate"]);
}

#[test]
fn answers_in_words_are_read_back() {
    let mix = "hazelnut-gelato";
    for (words, formula, kind) in [
        ("hydration temperature of guar gum", None, Kind::Lookup),
        ("which gums dissolve cold and are vegan", None, Kind::Search),
        ("difference between agar and gelatin", None, Kind::Compare),
        ("can I use agar instead of gelatin", None, Kind::Swap),
        ("swap sugar keeping sweetness", Some(mix), Kind::Swap),
        ("make it 10 % less sweet", Some(mix), Kind::Adjust),
        ("how do I add guar gum without lumps", None, Kind::HowTo),
        ("how is it made", Some(mix), Kind::HowTo),
        (
            "why is my sorbet icy",
            Some("sour-cherry-sorbet"),
            Kind::Diagnose,
        ),
        ("fat of cream", None, Kind::AskBack),
        ("blue elephants", None, Kind::Nothing),
    ] {
        let mut args = vec!["ask", words];
        args.extend(formula.into_iter().flat_map(|name| ["--in", name]));
        let asked: Asked = answer(&args);
        assert_eq!(asked.kind, kind, "{words}");
    }
}

#[test]
fn what_is_known_is_read_back() {
    let all: SourcesOut = answer(&["sources"]);
    assert!(all.values.is_empty() && !all.sources.is_empty());
    let recalled: SourcesOut = answer(&["sources", "--kind", "memory"]);
    assert!(!recalled.values.is_empty());
    assert!(
        !answer::<PropertiesOut>(&["properties"])
            .properties
            .is_empty()
    );
    assert_eq!(
        answer::<Completeness>(&["completeness", "polyol"])
            .families
            .len(),
        1
    );
    assert!(answer::<CheckedOut>(&["check"]).ingredients > 0);
    assert_eq!(answer::<OwnOut>(&["own"]).folder, None);
    let own: OwnOut = answer(&["own", "--own", "data/kitchen"]);
    assert!(own.values > 0 && !own.shelf.is_empty());
    let folder = program::fresh_folder("answers");
    let at = |name: &str| folder.join(name).display().to_string();
    let started: StartedOut = answer(&["own", "--init", &at("own")]);
    assert!(started.tables.iter().all(|table| table.new));
    let written: ExportedOut = answer(&[
        "export",
        "--out",
        &at("out.csv"),
        "--format",
        "csv",
        "--where",
        "family polyol",
    ]);
    let rows = std::fs::read_to_string(at("out.csv")).expect("written");
    assert_eq!(rows.lines().count(), written.values + 1);
}

#[test]
fn an_export_is_read_back() {
    let ran = run(&["export", "--json", "--where", "family polyol"]);
    let profiles: Vec<ProfileOut> = serde_json::from_str(&ran.out).expect("profiles");
    let again = serde_json::to_string_pretty(&profiles).expect("JSON") + "\n";
    assert_eq!(ran.out, again);
    // A table is no JSON, and is not passed off as such.
    assert_eq!(run(&["export", "--json", "--format", "csv"]).code, Some(2));
}
