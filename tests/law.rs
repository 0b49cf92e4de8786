//! Additives of formulas against what each place permits: `tests/law-checks.csv`, each row with the
//! text it comes from and the arithmetic by hand.

use std::process::{Command, Stdio};

/// Rounding of the levels in the table, mg/kg: they are worked to whole figures.
const ROUNDING: f64 = 5.0;

#[test]
fn additives_keep_to_the_limits_of_each_place_or_are_told() {
    let folder = std::env::temp_dir().join(format!("tamis-law-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/law-checks.csv");
    let mut table = csv::Reader::from_path(path).expect("a table");
    let mut wrong = vec![];
    for row in table.records() {
        let row = row.expect("a row");
        let lines = row[1].split(';').filter_map(|line| line.rsplit_once(':'));
        let lines: Vec<String> = lines.map(|(what, g)| format!("{what},{g}")).collect();
        let file = folder.join(format!("{}.csv", &row[0]));
        std::fs::write(&file, format!("ingredient,grams\n{}\n", lines.join("\n")))
            .expect("written");
        let out = Command::new(env!("CARGO_BIN_EXE_tamis"))
            .args(["--no-own", "--json", "ask"])
            .arg(format!("legal for {}", &row[2]))
            .arg("--in")
            .arg(&file)
            .env("TAMIS_CACHE", folder.join("cache"))
            .stdin(Stdio::null())
            .output()
            .expect("it runs");
        let answer: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap_or_default();
        let checks = answer["legal"]["checks"]
            .as_array()
            .cloned()
            .unwrap_or_default();
        let of = |check: &&serde_json::Value| check["substances"].to_string().contains(&row[3]);
        let Some(check) = checks.iter().find(of) else {
            wrong.push(format!(
                "{} in {}: no check ({})",
                &row[3], &row[0], answer["summary"]
            ));
            continue;
        };
        let level = check["level_mg_per_kg"][1].as_f64().unwrap_or(f64::NAN);
        let meant: f64 = row[5].parse().expect("a number");
        if check["verdict"] != row[4] || (level - meant).abs() > ROUNDING {
            wrong.push(format!("{} in {}: {}", &row[3], &row[0], check["said"]));
        }
    }
    std::fs::remove_dir_all(&folder).ok();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
