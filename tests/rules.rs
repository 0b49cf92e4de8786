//! Rules as data: each kind takes its own fields and units and no other, groups stand for their
//! members, and the rules that miss siblings grow no more.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

use tamis::condition::belongs;
use tamis::diagnostic::Diagnostic;
use tamis::load::{Files, Own, catalogue, notes, rules_of};
use tamis::model::{Catalogue, Expr, Group, RuleKind, Test};

const FILE: &str = "data/rules/dial.toml";

fn shipped() -> Catalogue {
    catalogue(&Files::embedded()).unwrap_or_else(|problems| panic!("{problems}"))
}

static SHIPPED: LazyLock<Catalogue> = LazyLock::new(shipped);

/// The problems of a rule file that holds this text alone.
fn problems(text: &str) -> Vec<Diagnostic> {
    match rules_of(&[(FILE.to_string(), text.to_string())], &SHIPPED) {
        Ok(_) => vec![],
        Err(problems) => problems.0,
    }
}

/// A sound rule of every kind, by its lines.
const SOUND: [&str; 11] = [
    r#"kind = "swap"
out = "sucrose"
in = ["honey"]
dose = { low = 0.7, typical = 0.8, high = 1.0 }
jobs = ["sweetener"]"#,
    r#"kind = "interaction"
effect = "gel"
text = "Sets.""#,
    r#"kind = "process"
phase = "heat"
celsius = { low = 80.0, typical = 85.0, high = 90.0 }
text = "Heat it.""#,
    r#"kind = "caution"
topic = "test"
severity = "watch"
text = "Look out.""#,
    r#"kind = "diagnosis"
symptom = "hard"
cause = "cold"
fix = "warm it"
lever = { out = ["sucrose"], share = 0.5 }
usual = { dial = "fat", low = 1, high = 2, unit = "%" }"#,
    r#"kind = "dish"
class = "frozen"
dishes = ["sorbet"]"#,
    r#"kind = "guard"
product = "sorbet"
dial = "fat"
low = 0
high = 1
unit = "%""#,
    r#"kind = "dial"
dial = "fat"
tolerance = 1
step = 1"#,
    r#"kind = "drawback"
weight = 2
text = "tastes""#,
    r#"kind = "helper"
in = ["inulin-native"]"#,
    r#"kind = "candidate"
out = "family sugar""#,
];

fn rule(lines: &str) -> String {
    format!("[[rule]]\nid = \"tried\"\n{lines}\n")
}

#[test]
fn a_sound_rule_of_every_kind_reads() {
    for lines in SOUND {
        let found = problems(&rule(lines));
        assert!(found.is_empty(), "{lines}\n{}", found[0]);
    }
}

#[test]
fn no_kind_takes_a_field_it_does_not_know() {
    for lines in SOUND {
        let found = problems(&rule(&format!("{lines}\ncolour = \"red\"")));
        let last = lines.lines().count() + 3;
        let told = found
            .first()
            .map(|p| (p.code, p.place.line, &p.place.file[..]));
        assert_eq!(told, Some(("D034", last, FILE)), "{lines}");
        assert!(found[0].help.is_some(), "{lines}");
    }
}

#[test]
fn what_a_field_may_not_hold_is_told_at_its_line() {
    // What is written for what, the code and the line it is told at.
    let cases = [
        (0, "dose = {", "doze = {", "D034", 6),
        (0, "dose = {", "because = \"so\"\n# {", "D031", 3),
        (0, "typical = 0.8", "typical = \"0.8\"", "D035", 6),
        (0, "typical = 0.8", "typcial = 0.8", "D034", 6),
        (0, "typical = 0.8", "typical = 8.0", "D033", 6),
        (0, "\"sweetener\"", "\"sweetner\"", "D032", 7),
        (0, "\"sucrose\"", "\"group agars\"", "D011", 4),
        (0, "[\"honey\"]", "[\"group bee-honey\"]", "D032", 5),
        (1, "\"gel\"", "\"jell\"", "D032", 4),
        (2, "\"heat\"", "\"cook\"", "D032", 4),
        (2, "low = 80.0", "low = 95.0", "D033", 5),
        (2, "celsius", "fahrenheit", "D034", 5),
        (2, "high = 90.0", "high = 90.0, unit = \"F\"", "D034", 5),
        (3, "\"watch\"", "\"wach\"", "D032", 5),
        (3, "\"watch\"", "3", "D035", 5),
        (3, "severity", "severty", "D034", 5),
        (4, "unit = \"%\"", "unit = \"C\"", "D036", 8),
        (4, "low = 1,", "low = 5,", "D033", 8),
        (4, "share = 0.5", "share = 50", "D033", 7),
        (4, "share = 0.5", "part = 0.5", "D034", 7),
        (6, "unit = \"%\"", "unit = \"C\"", "D036", 8),
        (6, "unit = \"%\"", "because = \"so\"", "D031", 3),
        (6, "high = 1", "high = -1", "D033", 8),
        (7, "tolerance = 1", "tolerance = \"1\"", "D035", 5),
        (8, "weight = 2", "weight = 7", "D032", 4),
        (9, "inulin-native", "inuline-nativ", "D011", 4),
        (10, "family sugar", "family suger", "D011", 4),
    ];
    let mut differ = vec![];
    for (n, from, to, code, line) in cases {
        assert!(SOUND[n].contains(from), "{from}");
        let found = problems(&rule(&SOUND[n].replacen(from, to, 1)));
        let told = found.first().map(|p| (p.code, p.place.line));
        if told != Some((code, line)) || found[0].help.is_none() {
            let text = found.first().map(ToString::to_string);
            differ.push(format!("{to}: {told:?} for {:?}: {text:?}", (code, line)));
        }
    }
    assert!(differ.is_empty(), "{}", differ.join("\n"));
}

#[test]
fn a_condition_takes_no_unit_of_another_property() {
    let cases = [
        ("in.fat > 40 C", false),
        ("in.fat > 40 %", true),
        ("in.solid_fat_content > 40 % at 5 C", true),
        ("mix.freezing_point < -3 %", false),
        ("mix.freezing_point < -3 C", true),
        ("mix.fat > 3 kcal", false),
        ("in.melting_range > 30 %", false),
        ("mix has group agaar", false),
        ("mix has group agar", true),
    ];
    for (when, sound) in cases {
        let text = rule(&format!("{}\nwhen = \"{when}\"", SOUND[3]));
        let found = problems(&text);
        assert_eq!(found.is_empty(), sound, "{when}: {found:?}");
        if let Some(problem) = found.first() {
            assert_eq!(
                (problem.place.line, problem.help.is_some()),
                (7, true),
                "{when}"
            );
        }
    }
}

#[test]
fn a_group_stands_for_its_members_commonest_first() {
    let catalogue = &*SHIPPED;
    let group = |id: &str| {
        catalogue
            .group(id)
            .unwrap_or_else(|| panic!("no group {id}"))
    };
    assert_eq!(group("agar").members, ["agar-powder", "agar-flakes"]);
    assert_eq!(group("egg yolk").id, "yolk");
    for kin in &catalogue.groups {
        let common = |id: &String| {
            let key = catalogue.key(id).unwrap_or_else(|| panic!("no {id}"));
            let ingredient = catalogue.ingredient(key);
            assert!(belongs(ingredient, &Group::Kin(kin.id.clone())), "{id}");
            ingredient.commonness
        };
        assert!(kin.members.iter().map(common).is_sorted(), "{}", kin.id);
        let parent = catalogue.group(&kin.parent);
        let above = |id| parent.is_none_or(|p| p.members.contains(id));
        assert!(kin.members.iter().all(above), "{}", kin.id);
    }
    // In a lever the ids named first stay first, and none comes twice.
    for rule in &catalogue.rules {
        if let RuleKind::Diagnosis {
            lever: Some(lever), ..
        } = &rule.kind
        {
            let each: BTreeSet<&String> = lever.newcomers.iter().collect();
            assert_eq!(each.len(), lever.newcomers.len(), "{}", rule.id);
        }
    }
}

#[test]
fn a_person_s_own_ingredient_is_of_the_groups_it_names() {
    let row = "id,name,family,functions,groups\nsmoked-salt,smoked salt,salt,flavour enhancer,cooking-salt\n";
    let own = Own::of("mine", &[("ingredients.csv", row)]).expect("a table");
    let catalogue = catalogue(&Files::embedded().with_own(own)).unwrap_or_else(|p| panic!("{p}"));
    let key = catalogue.key("smoked-salt").expect("it is read");
    let salt = catalogue.ingredient(key);
    assert!(salt.is_of("cooking-salt") && salt.is_of("sodium-source"));
    let wrong = row.replace("cooking-salt", "cooking-slat");
    let own = Own::of("mine", &[("ingredients.csv", &wrong)]).expect("a table");
    let told = tamis::load::catalogue(&Files::embedded().with_own(own)).expect_err("no group");
    assert_eq!(told.0[0].code, "D065");
}

/// Rules that speak of groups. The number may rise, never fall.
const ON_GROUPS: usize = 215;

#[test]
fn no_rule_misses_a_sibling_without_a_reason() {
    let catalogue = &*SHIPPED;
    let found = notes(catalogue);
    let stale: Vec<String> = found
        .iter()
        .filter(|n| n.code == "D075")
        .map(|n| n.note())
        .collect();
    assert!(stale.is_empty(), "{}", stale.join("\n"));
    let missed: Vec<String> = found
        .iter()
        .filter(|n| n.code == "D074")
        .map(|n| n.note())
        .collect();
    // None is left; a rule that has to name one form alone says why in `only`.
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn rules_speak_of_groups() {
    let catalogue = &*SHIPPED;
    let speaks = |expr: &Expr| {
        let mut found = false;
        expr.visit(&mut |test| {
            found |= matches!(
                test,
                Test::Is(_, Group::Kin(_))
                    | Test::MixHas(Group::Kin(_))
                    | Test::Share(Group::Kin(_), ..)
            );
        });
        found
    };
    let kin = |group: &Group| matches!(group, Group::Kin(_));
    let on_groups = catalogue.rules.iter().filter(|rule| {
        speaks(&rule.when)
            || match &rule.kind {
                RuleKind::Swap { out, .. } | RuleKind::Candidate { out } => kin(out),
                RuleKind::Diagnosis { test, lever, .. } => {
                    speaks(test) || lever.as_ref().is_some_and(|l| l.out.iter().any(kin))
                }
                _ => false,
            }
    });
    let on_groups = on_groups.count();
    println!(
        "{on_groups} of {} rules speak of groups",
        catalogue.rules.len()
    );
    assert!(on_groups >= ON_GROUPS, "{on_groups}");
}

/// The groups that code asks for are there, and the sibling note finds what a rule leaves out.
#[test]
fn groups_named_in_code_exist() {
    let catalogue = &*SHIPPED;
    let mut named: BTreeSet<String> = BTreeSet::new();
    let mut files = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(path) = files.pop() {
        if path.is_dir() {
            let entries = std::fs::read_dir(&path).expect("a folder");
            files.extend(entries.map(|entry| entry.expect("readable").path()));
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("UTF-8");
        for after in text
            .split("is_of(\"")
            .skip(1)
            .chain(text.split("= \"").skip(1))
        {
            let word = after.split('"').next().unwrap_or_default();
            if text.contains(&format!("is_of(\"{word}\"")) || word.ends_with("-family") {
                named.insert(word.to_string());
            }
        }
    }
    assert!(named.len() > 10, "{named:?}");
    for id in named {
        let kin = catalogue
            .group(&id)
            .unwrap_or_else(|| panic!("no group `{id}`"));
        assert!(!kin.members.is_empty(), "nothing is in `{id}`");
    }
}

#[test]
fn a_rule_that_misses_a_sibling_is_told_and_a_reason_settles_it() {
    let text = |more: &str| {
        let lines = "kind = \"caution\"\ntopic = \"test\"\ntext = \"So.\"\n";
        rule(&format!("{lines}{more}"))
    };
    let told = |more: &str| {
        let mut tried = SHIPPED.clone();
        let rules = rules_of(&[(FILE.to_string(), text(more))], &SHIPPED);
        tried.rules = rules.unwrap_or_else(|p| panic!("{p}"));
        notes(&tried).iter().map(|n| n.code).collect::<Vec<_>>()
    };
    assert_eq!(told("when = \"mix has agar-powder\""), ["D074"]);
    assert_eq!(
        told("when = \"mix has agar-powder\"\nonly = \"so\""),
        [""; 0]
    );
    assert_eq!(
        told("when = \"mix has agar-powder and not mix has agar-flakes\""),
        [""; 0]
    );
    assert_eq!(told("when = \"mix has group agar\""), [""; 0]);
    assert_eq!(
        told("when = \"mix has group agar\"\nonly = \"so\""),
        ["D075"]
    );
}
