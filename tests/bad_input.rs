//! Files and texts no cook meant to give: every problem is told at its place, nothing crashes.
//!
//! `tests/errors/F*.txt` holds one small input and the expected text per code of a formula file.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use proptest::strategy::Union;
use serde_json::Value;
use tamis::answer::Refused;
use tamis::condition;
use tamis::engine::LONGEST_TEXT;
use tamis::formula::sheet::{LONGEST_NAME, MOST_LINES};
use tamis::model::{Catalogue, Comparison, Dial, Expr, Group, PropertyKind, Subject, Test};
use tamis::query;

mod kitchen;
mod program;

use kitchen::KITCHEN;
use program::{Ran, ran, run, tamis};

/// Time a refusal may take on a busy machine; reading 100 MB takes longer than one read of 4 MB.
const SOON: Duration = Duration::from_secs(5);
/// As long as the longest text may take on a busy machine; a question of 100 letters takes 0.2 s.
const SOON_FOR_A_PAGE: Duration = Duration::from_secs(30);
const SUGAR: &str = "ingredient,grams\nsucrose,100\n";

fn catalogue() -> &'static Catalogue {
    &KITCHEN.catalogue
}

fn folder() -> PathBuf {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER
        .get_or_init(|| program::fresh_folder("bad-input"))
        .clone()
}

/// Writes a file, and assesses it with the program.
fn assess(name: &str, bytes: &[u8]) -> Ran {
    std::fs::write(folder().join(name), bytes).expect("writable");
    ran(tamis().current_dir(folder()).args(["assess", name]))
}

fn refused(what: &str, ran: &Ran, told: &[&str]) {
    assert_eq!(ran.code, Some(2), "{what}: {}{}", ran.out, ran.err);
    assert_eq!(ran.out, "", "{what}");
    assert!(!ran.err.contains("panicked"), "{what}: {}", ran.err);
    for text in told {
        assert!(
            ran.err.contains(text),
            "{what}: no `{text}` in\n{}",
            ran.err
        );
    }
}

#[test]
fn a_bad_formula_is_refused_at_its_place() {
    // File, text, what must be told.
    let table: &[(&str, &str, &[&str])] = &[
        (
            "unknown.csv",
            "ingredient,grams\nqwertzu,100\n",
            &["unknown.csv:2:1: error[F003]", "tamis find \"qwertzu\""],
        ),
        (
            "near.csv",
            "ingredient,grams\nunicorn milk,100\n",
            &[
                "near.csv:2:1: error[F003]",
                "these are the nearest names",
                "1  ",
            ],
        ),
        (
            "ambiguous.csv",
            "ingredient,grams\npectin,100\n",
            &[
                "ambiguous.csv:2:1: error[F004]",
                "low-methoxyl with calcium",
                "1  high-methoxyl pectin",
                "3  low-methoxyl pectin",
            ],
        ),
        (
            "unnamed.csv",
            "ingredient,grams\n,100\n",
            &["unnamed.csv:2:1: error[F003]: the line names no ingredient"],
        ),
        (
            "negative.csv",
            "ingredient,grams\nsucrose,-1\n",
            &["negative.csv:2:9: error[F006]: `-1`"],
        ),
        (
            "missing.csv",
            "ingredient,grams\nwater,100\nsucrose,\n",
            &["missing.csv:3:9: error[F005]"],
        ),
        (
            "short.csv",
            "ingredient,grams\nwater,100\nsucrose\n",
            &["short.csv:3:", "error[F005]"],
        ),
        (
            "words.csv",
            "ingredient,grams\nsucrose,lots\n",
            &["words.csv:2:9: error[F007]: `lots` is not a number"],
        ),
        (
            "nan.csv",
            "ingredient,grams\nsucrose,NaN\n",
            &["nan.csv:2:9: error[F007]"],
        ),
        (
            "infinite.csv",
            "ingredient,grams\nsucrose,inf\n",
            &["infinite.csv:2:9: error[F007]"],
        ),
        (
            "huge.csv",
            "ingredient,grams\nsucrose,1e300\n",
            &["huge.csv:2:9: error[F006]", "1,000,000,000 g"],
        ),
        (
            "comma.csv",
            "ingredient,grams\nsucrose,12,5\n",
            &["comma.csv:2:9: error[F011]", "write a decimal point"],
        ),
        (
            "wide.csv",
            "ingredient,grams\nsucrose,12,fine\n",
            &["wide.csv:2:1: error[D003]: the record has 3 cells"],
        ),
        (
            "comma-note.csv",
            "ingredient,grams,note\nsucrose,12,5\n",
            &["comma-note.csv:2:9: error[F011]", "write a decimal point"],
        ),
        (
            "unit.csv",
            "ingredient,grams,unit\nsucrose,1,kgg\n",
            &["unit.csv:2:11: error[F008]", "the nearest unit is `kg`"],
        ),
        (
            "volume.csv",
            "ingredient,grams,unit\ngouda,1,tsp\n",
            &["volume.csv:2:7: error[F009]", "weigh it"],
        ),
        (
            "pieces.csv",
            "ingredient,grams\nxanthan gum,2 pieces\n",
            &["pieces.csv:2:13: error[F018]", "weigh it"],
        ),
        ("empty.csv", "", &["empty.csv: error[F010]"]),
        ("blank.csv", "\n\n\n", &["blank.csv: error[F010]"]),
        (
            "header.csv",
            "ingredient,grams\n",
            &["header.csv: error[F010]"],
        ),
        (
            "nothing.csv",
            "ingredient,grams\nsucrose,0\n",
            &["nothing.csv: error[F010]"],
        ),
        (
            "column.csv",
            "sucrose,1,2\nwater,3,4\n",
            &["column.csv:1:1: error[F015]", "ingredient,grams"],
        ),
        (
            "thousand.csv",
            "ingredient;grams\nsucrose;1.250\n",
            &[
                "thousand.csv:2:9: error[F014]: `1.250`",
                "write 1250 or 1.25",
            ],
        ),
        (
            "mixed.csv",
            "ingredient,amount\nsucrose,20 %\nwater,500 g\n",
            &["mixed.csv:3:7: error[F019]", "as line 2 is"],
        ),
        (
            "nul.csv",
            "ingredient,grams\nsuc\0rose,1\n",
            &["nul.csv:2: error[F001]"],
        ),
        (
            "quote.csv",
            "ingredient,grams\n\"sucrose,1\nwater,3\n",
            &["quote.csv:2:", "error[F020]", "close the quote"],
        ),
    ];
    for (name, text, told) in table {
        let plain = assess(name, text.as_bytes());
        refused(name, &plain, told);
        let json = tamis()
            .current_dir(folder())
            .args(["assess", name, "--json"])
            .output()
            .expect("the program runs");
        let json = Ran {
            code: json.status.code(),
            out: String::from_utf8_lossy(&json.stdout).into_owned(),
            err: String::from_utf8_lossy(&json.stderr).into_owned(),
        };
        told_alike(name, &plain, &json);
    }
}

/// Problems under `--json` are those of the text: as many, at the same places, in the same words.
fn told_alike(what: &str, plain: &Ran, json: &Ran) {
    assert_eq!(json.code, plain.code, "{what}");
    assert_eq!(json.out, "", "{what}");
    let refused: Refused =
        serde_json::from_str(&json.err).unwrap_or_else(|e| panic!("{what}: {e} in\n{}", json.err));
    let again = serde_json::to_string_pretty(&refused).expect("JSON") + "\n";
    assert_eq!(again, json.err, "{what}");
    assert_eq!(refused.versions.tamis, env!("CARGO_PKG_VERSION"), "{what}");
    for problem in &refused.errors {
        // Arguments that are none are told in the words of the argument parser.
        if problem.code == "A001" {
            assert!(plain.err.contains(&problem.message), "{what}: {problem:?}");
            continue;
        }
        let place = &problem.place;
        let cell = place.sheet.iter().zip(&place.cell);
        let cell = cell.map(|(sheet, cell)| format!("#{sheet}!{cell}"));
        let counted = [place.line, place.column].into_iter().flatten();
        let counted: String = counted.map(|n| format!(":{n}")).collect();
        let place = place.file.clone() + &cell.collect::<String>() + &counted;
        let clean: String = problem.message.replace(char::is_control, " ");
        let line = format!("{place}: error[{}]: {clean}", problem.code);
        assert!(
            plain.err.contains(&line),
            "{what}: no `{line}` in\n{}",
            plain.err
        );
        if let Some(help) = &problem.help {
            assert!(plain.err.contains(help.as_str()), "{what}: {help}");
        }
        let text = &plain.err;
        let named = problem.nearest.iter().all(|n| text.contains(&n.name));
        assert!(named, "{what}: {:?} in\n{text}", problem.nearest);
    }
    let told = plain.err.matches(": error[").count().max(1);
    assert_eq!(refused.errors.len(), told, "{what}");
}

#[test]
fn what_was_meant_is_offered_to_programs() {
    for (args, nearest) in [
        (&["show", "unicorn milk"][..], None),
        (&["show", "cream"], Some("cream-35-fat")),
        (&["completeness", "polyoll"], Some("polyol")),
        (
            &["compare", "agar", "sucrose", "--by", "hydration temprature"],
            Some("hydration_temperature"),
        ),
        (&["find", "--where", "fatt > 3"], Some("fat")),
        (
            &[
                "swap",
                "hazelnut-gelato",
                "--replace",
                "sucrose",
                "--keep",
                "swetness",
            ],
            Some("sweetness"),
        ),
        (&["shwo", "sucrose"], Some("show")),
    ] {
        let json: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
        let refused: Refused = serde_json::from_str(&run(&json).err).expect("JSON");
        let near: Vec<&str> = refused.errors[0]
            .nearest
            .iter()
            .map(|n| n.id.as_str())
            .collect();
        assert!(!near.is_empty(), "{args:?}");
        assert!(
            nearest.is_none_or(|id| near.contains(&id)),
            "{args:?}: {near:?}"
        );
    }
}

#[test]
fn harmless_ways_to_write_a_file_change_nothing() {
    let plain = assess("plain.csv", SUGAR.as_bytes());
    assert_eq!(plain.code, Some(0), "{}", plain.err);
    let table: &[(&str, &str)] = &[
        ("byte-order mark", "\u{feff}ingredient,grams\nsucrose,100\n"),
        ("Windows line ends", "ingredient,grams\r\nsucrose,100\r\n"),
        ("no last line end", "ingredient,grams\nsucrose,100"),
        (
            "quoted cells",
            "\"ingredient\",\"grams\"\n\"sucrose\",\"100\"\n",
        ),
        ("spaces", " ingredient , grams \n sucrose , 100 \n"),
        ("capitals", "Ingredient,GRAMS\nSucrose,100\n"),
        ("empty lines", "ingredient,grams\n\n\nsucrose,100\n,\n"),
        (
            "a note with a comma",
            "ingredient,grams,note\nsucrose,100,\"fine, and dry\"\n",
        ),
        (
            "a note over two lines",
            "ingredient,grams,note\nsucrose,100,\"fine\nand dry\"\n",
        ),
        ("columns changed round", "grams,ingredient\n100,sucrose\n"),
        ("another unit", "ingredient,grams,unit\nsucrose,0.1,kg\n"),
        (
            "a unit beside the number",
            "ingredient,grams\nsucrose,100 g\n",
        ),
        ("another header", "Zutat,weight\nsucrose,100\n"),
        ("no header", "sucrose,100\n"),
        ("semicolons", "ingredient;grams\nsucrose;100\n"),
        ("a decimal comma", "ingredient;grams\nsucrose;100,0\n"),
        ("a quoted comma", "ingredient,grams\nsucrose,\"100,0\"\n"),
        ("tabs", "ingredient\tgrams\nsucrose\t100\n"),
        ("lines of text", "100 g sucrose\n"),
        (
            "two lines of one",
            "ingredient,grams\nsucrose,60\nsucrose,40\n",
        ),
    ];
    for (what, text) in table {
        let ran = assess("plain.csv", text.as_bytes());
        assert_eq!(ran.code, Some(0), "{what}: {}", ran.err);
        // A different order of sums may move the last digit, which is not shown.
        assert_eq!(ran.out, plain.out, "{what}");
    }
    // As a spreadsheet program saves it: a mark, then two bytes for each character.
    let wide: Vec<u8> = std::iter::once(0xfeff)
        .chain(SUGAR.encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    assert_eq!(assess("plain.csv", &wide).out, plain.out, "UTF-16");
}

#[test]
fn a_slip_and_a_bare_name_are_taken_and_told() {
    let table: &[(&str, &str, &str)] = &[
        ("ingredient,grams\nsucrse,100\n", "sugar", "sucrse"),
        ("ingredient,grams\nmilk,100\n", "whole milk", "milk"),
        // The letters of another encoding than UTF-8.
        (
            "ingredient,grams\ncr\u{e8}me fra\u{ee}che,100\n",
            "creme fraiche",
            "",
        ),
    ];
    for (text, taken, typed) in table {
        let bytes: Vec<u8> = match text.is_ascii() {
            true => text.bytes().collect(),
            false => text.chars().map(|c| c as u8).collect(),
        };
        let ran = assess("taken.csv", &bytes);
        assert_eq!(ran.code, Some(0), "{text}: {}", ran.err);
        assert!(ran.out.contains(taken), "{text}: {}", ran.out);
        let said = format!("{typed} taken as {taken}");
        assert!(
            typed.is_empty() || ran.out.contains(&said),
            "{text}: {}",
            ran.out
        );
    }
}

#[test]
fn lines_count_on_after_a_note_over_two_lines() {
    let text = "ingredient,grams,note\nsucrose,100,\"fine\nand dry\"\nqwertzu,90,\n";
    refused(
        "lines",
        &assess("lines.csv", text.as_bytes()),
        &["lines.csv:4:1: error[F003]", "4 | qwertzu,90,"],
    );
}

#[test]
fn several_problems_are_told_together() {
    let text = "ingredient,grams,unit\nqwertzu,100,\npectin,-4,\nsucrose,x,furlong\nwater,1,furlong\ngouda,1,cup\n";
    let ran = assess("several.csv", text.as_bytes());
    refused(
        "several",
        &ran,
        &[
            "several.csv:2:1: error[F003]",
            "several.csv:3:1: error[F004]",
            "several.csv:3:8: error[F006]",
            "several.csv:4:9: error[F007]",
            "several.csv:5:9: error[F008]",
            "several.csv:6:7: error[F009]",
        ],
    );
    // One problem for one slip: an amount in no known unit is not missing as well.
    assert!(!ran.err.contains("F005"), "{}", ran.err);
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    refused(
        "a picture",
        &assess("picture.csv", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"),
        &["picture.csv:2: error[F001]", "save it as CSV in UTF-8"],
    );
    refused(
        "a spreadsheet cut off",
        &assess("mix.xlsx", b"PK\x03\x04 and no more"),
        &["mix.xlsx: error[F016]", "without a password"],
    );
    assess("one-sheet.csv", b"ingredient,grams\nsucrose,1\n");
    refused(
        "a sheet of a text",
        &ran(tamis()
            .current_dir(folder())
            .args(["assess", "one-sheet.csv#Base"])),
        &["one-sheet.csv: error[F017]"],
    );
}

#[test]
fn what_a_file_holds_cannot_steer_the_terminal() {
    let problems = KITCHEN
        .read("m.csv", b"ingredient,grams\n\x1b[2Jx,1\n")
        .expect_err("no such ingredient");
    assert!(!problems.to_string().contains('\x1b'));
}

#[test]
fn a_hundred_megabytes_are_refused_without_being_read() {
    let path = folder().join("junk.csv");
    let file = std::fs::File::create(&path).expect("writable");
    file.set_len(100_000_000).expect("a sparse file");
    drop(file);
    let start = Instant::now();
    let ran = ran(tamis().current_dir(folder()).args(["assess", "junk.csv"]));
    refused("junk", &ran, &["junk.csv: error[F002]", "more than 4 MB"]);
    assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
    std::fs::remove_file(path).expect("removed");
}

#[cfg(unix)]
#[test]
fn devices_and_pipes_are_no_files() {
    let folder = program::fresh_folder("bad-input-pipes");
    let pipe = |name: &str| {
        let made = std::process::Command::new("mkfifo")
            .arg(folder.join(name))
            .status();
        assert!(made.expect("mkfifo is there").success());
    };
    std::fs::create_dir_all(folder.join("base/data")).expect("writable");
    std::fs::create_dir_all(folder.join("base/schema")).expect("writable");
    for name in ["pipe.csv", "values.csv", "base/data/sources.csv"] {
        pipe(name);
    }
    let why = "it is a device or a pipe, not a file";
    let start = Instant::now();
    for args in [
        ["assess", "/dev/zero"],
        ["assess", "/dev/null"],
        ["assess", "pipe.csv"],
        ["check", "base"],
        ["--own=.", "properties"],
    ] {
        let ran = ran(tamis().current_dir(&folder).args(args));
        refused(&args.join(" "), &ran, &["error[I001]", why]);
    }
    let ran = ran(tamis()
        .current_dir(&folder)
        .args(["ask", "why is it icy", "--in", "pipe.csv"]));
    refused("in", &ran, &["pipe.csv: error[I001]", why]);
    assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
}

/// A formula file of so many lines alike.
fn long(line: &str, count: usize) -> String {
    format!("ingredient,grams\n{}", format!("{line}\n").repeat(count))
}

#[test]
fn as_many_lines_as_may_be_are_read_soon() {
    let most = MOST_LINES - 1;
    // Line, and what is told of the first.
    for (line, told) in [
        ("sucrose,1", None),
        ("sucrse,1", None),
        ("qwertzu,1", Some("most.csv:2:1: error[F003]")),
        ("pectin,1", Some("most.csv:2:1: error[F004]")),
        ("sucrose,x", Some("most.csv:2:9: error[F007]")),
    ] {
        let start = Instant::now();
        let ran = assess("most.csv", long(line, most).as_bytes());
        assert!(start.elapsed() < SOON, "{line}: {:?}", start.elapsed());
        match told {
            None => assert_eq!(ran.code, Some(0), "{}", ran.err),
            Some(told) => {
                let more = format!("and {} more problems", most - 30);
                refused(line, &ran, &[told, &more]);
            }
        }
    }
    for count in [most + 1, 10_000] {
        for line in ["sucrose,1", "qwertzu,1", "sucrose,x"] {
            let ran = assess("more.csv", long(line, count).as_bytes());
            let message = format!("the file has more than {MOST_LINES} lines");
            refused(line, &ran, &["more.csv: error[F012]", &message]);
        }
    }
}

#[test]
fn an_endless_name_is_refused_at_its_place() {
    let longest = "x".repeat(LONGEST_NAME);
    let text = format!("ingredient,grams\n{longest},1\n");
    let told = ["name.csv:2:1: error[F003]"];
    refused("longest", &assess("name.csv", text.as_bytes()), &told);
    for name in ["x".repeat(LONGEST_NAME + 1), "milk ".repeat(200_000)] {
        let text = format!("grams,ingredient\n1,sucrose\n1,{name}\n2,{name}\n");
        let start = Instant::now();
        let ran = assess("name.csv", text.as_bytes());
        let told = [
            "name.csv:3:3: error[F013]",
            "name.csv:4:3: error[F013]",
            "200 at most",
        ];
        refused("name", &ran, &told);
        assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
    }
}

/// A text of so many characters made of one part over and over.
fn over_and_over(part: &str, characters: usize) -> String {
    part.chars().cycle().take(characters).collect()
}

#[test]
fn the_longest_question_is_answered_soon() {
    for part in [
        "is it milk? ",
        "a cream, is it it it it ",
        "can it milk and can it cream ",
        "what is sugar? ",
        "hwo musch suger ",
        "? a b ",
        "it ",
        ",",
        "x",
    ] {
        let text = over_and_over(part, LONGEST_TEXT);
        let start = Instant::now();
        let ran = run(&["ask", &text]);
        assert!(matches!(ran.code, Some(0 | 1)), "{part}: {}", ran.err);
        assert!(
            start.elapsed() < SOON_FOR_A_PAGE,
            "{part}: {:?}",
            start.elapsed()
        );
    }
}

#[test]
fn a_longer_text_is_refused() {
    let mix = program::formula("sour-cherry-sorbet");
    let text = over_and_over("milk ", LONGEST_TEXT + 1);
    let text = text.as_str();
    let table: &[&[&str]] = &[
        &["ask", text],
        &["show", text],
        &["find", text],
        &["compare", "sucrose", text],
        &["compare", "sucrose", "xylitol", "--by", text],
        &["swap", &mix, "--replace", text],
        &["swap", &mix, "--replace", "sucrose", "--with", text],
        &["swap", &mix, "--replace", "sucrose", "--shelf", text],
        &["adjust", &mix, "--add", text],
        &["adjust", &mix, "--target", text],
    ];
    for args in table {
        let told = [
            "question: error[Q019]: the text has 2001 characters; at most 2000 are read",
            "one thing at a time",
        ];
        refused(&args[..args.len() - 1].join(" "), &run(args), &told);
    }
    // Characters count, not bytes.
    let wide = over_and_over("crème ", LONGEST_TEXT);
    assert!(matches!(run(&["ask", &wide]).code, Some(0 | 1)));
    // Scripts write long conditions.
    let named = "not this is sucrose and ".repeat(200) + "family polyol";
    assert_eq!(run(&["find", "--where", &named]).code, Some(0));
}

#[test]
fn what_is_no_readable_file_is_refused() {
    let way = "name a file with a line per ingredient";
    refused(
        "folder",
        &run(&["assess", "data"]),
        &["data: error[I001]", way],
    );
    let told = ["no-such.csv: error[I001]: cannot be read", way];
    for args in [
        vec!["assess", "no-such.csv"],
        vec!["swap", "no-such.csv", "--replace", "sucrose"],
        vec!["adjust", "no-such.csv", "--scale", "10"],
        vec!["ask", "why is it icy", "--in", "no-such.csv"],
    ] {
        refused(&args.join(" "), &run(&args), &told);
    }
}

#[cfg(unix)]
#[test]
fn an_unreadable_file_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let path = folder().join("locked.csv");
    std::fs::write(&path, SUGAR).expect("writable");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).expect("ours");
    // The superuser reads everything; then there is nothing to test.
    if std::fs::File::open(&path).is_err() {
        let path = path.to_str().expect("UTF-8");
        refused("locked", &run(&["assess", path]), &["error[I001]"]);
    }
}

#[test]
fn bad_words_on_the_command_line_are_refused() {
    let mix = program::formula("sour-cherry-sorbet");
    let table: &[(&[&str], &[&str])] = &[
        (&["show", "qwertzu"], &["error[Q014]", "tamis find"]),
        (&["show", "unicorn milk"], &["error[Q014]", "the nearest"]),
        (&["show", "cream"], &["error[Q002]", "double cream (48"]),
        (
            &["compare", "sucrose", "agar", "--by", "hydration temprature"],
            &["error["],
        ),
        (
            &["find", "--where", "fat >> 3"],
            &["condition:1:", "error[Q0"],
        ),
        (&["find", "fat > lots"], &["condition:1:7: error[Q0"]),
        (
            &["swap", &mix, "--replace", "qwertzu"],
            &["error[Q014]", "qwertzu"],
        ),
        (
            &["swap", &mix, "--replace", "whole-milk"],
            &["error[S001]", "whole milk is not in sour cherry sorbet"],
        ),
        (
            &["swap", &mix, "--replace", "sucrose", "--keep", "swetness"],
            &["error[Q006]", "sweetness"],
        ),
        (
            &["swap", &mix, "--replace", "sucrose", "--at-least", "fat"],
            &["error[Q013]"],
        ),
        (
            &["swap", &mix, "--replace", "sucrose", "--newcomers", "vegn"],
            &["condition:1:1: error[Q0"],
        ),
        (
            &["swap", &mix, "--replace", "sucrose", "--shelf", "qwertzu"],
            &["error[Q014]"],
        ),
        (
            &["swap", &mix, "--replace", "sucrose", "--at-most", "9"],
            &["--at-most"],
        ),
        (&["adjust", &mix], &["error[S002]", "--scale"]),
        (
            &["adjust", &mix, "--add", "lots of sugar"],
            &["addition: error[F010]"],
        ),
        (
            &["adjust", &mix, "--add", "-3 g sucrose"],
            &["addition: error[F006]"],
        ),
        (&["adjust", &mix, "--add", "2 cups gouda"], &["error[F009]"]),
        (&["sources", "--kind", "hearsay"], &["error[Q015]"]),
        (&["ask"], &["error[Q001]"]),
        (&["export", "--format", "sqlite"], &["error[I003]"]),
        (&["check", "no-such-folder"], &["error[I001]"]),
        (&["assess"], &["FORMULA"]),
        (&["churn"], &["churn"]),
    ];
    for (args, told) in table {
        let plain = run(args);
        refused(&args.join(" "), &plain, told);
        let json: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
        told_alike(&args.join(" "), &plain, &run(&json));
    }
}

#[test]
fn a_name_on_the_command_line_is_read_as_in_a_formula() {
    for (typed, meant) in [("sucrse", "sucrose"), ("milk", "whole-milk")] {
        let shown = |name: &str| -> Value {
            let shown = run(&["show", name, "--json"]);
            assert_eq!(shown.code, Some(0), "{name}: {}", shown.err);
            serde_json::from_str(&shown.out).expect("JSON")
        };
        let mut read = shown(typed);
        // What it was taken for is said, and nothing else is different.
        let assumed = read.as_object_mut().and_then(|o| o.remove("assumed"));
        let assumed = assumed.expect("what it was taken for");
        assert_eq!(assumed[0]["typed"], typed);
        assert_eq!(assumed[0]["id"], meant);
        assert_eq!(read, shown(meant), "{typed}");
    }
}

#[test]
fn numbers_on_the_command_line_must_make_sense() {
    let mix = program::formula("sour-cherry-sorbet");
    for args in [
        ["adjust", &mix, "--scale", "0"],
        ["adjust", &mix, "--scale", "-5"],
        ["adjust", &mix, "--scale", "inf"],
        ["adjust", &mix, "--scale", "NaN"],
    ] {
        refused(&args.join(" "), &run(&args), &["scale"]);
    }
    for (flag, value) in [
        ("--overrun", "-50"),
        ("--overrun", "NaN"),
        ("--serve", "-300"),
        ("--serve", "NaN"),
    ] {
        let flag = format!("{flag}={value}");
        refused(&flag, &run(&["assess", &mix, &flag]), &[value]);
    }
    for value in ["-5", "0", "NaN", "inf"] {
        let flag = format!("--amount={value}");
        let ran = run(&["swap", &mix, "--replace", "sucrose", &flag]);
        refused(&flag, &ran, &[value]);
    }
}

/// Code and text of every golden file, sorted.
fn golden() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/errors");
    let mut found: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .filter_map(|path| {
            let code = path.file_stem()?.to_str()?.to_string();
            let text = || std::fs::read_to_string(&path).expect("UTF-8");
            code.starts_with('F').then(|| (code, text()))
        })
        .collect();
    found.sort();
    found
}

#[test]
fn problems_read_as_written_down() {
    let mut differ = String::new();
    for (code, text) in golden() {
        let (input, expected) = text.split_once("---\n").expect("input --- expected");
        let read = KITCHEN.read("mix.csv", input.as_bytes());
        let problems = read.expect_err("a problem");
        let told = format!("{problems}\n");
        assert!(told.contains(&format!("error[{code}]")), "{code}: {told}");
        if told != expected {
            differ += &format!("=== {code}\n{told}\n");
        }
    }
    assert!(differ.is_empty(), "reported otherwise:\n{differ}");
}

#[test]
fn no_code_of_a_formula_lacks_a_golden_text() {
    let mut codes = BTreeSet::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("the sources are there") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("UTF-8");
            for (at, _) in text.match_indices("\"F0") {
                codes.insert(text[at + 1..at + 5].to_string());
            }
        }
    }
    let mut golden: BTreeSet<String> = golden().into_iter().map(|(code, _)| code).collect();
    // What only a file of any form can have wrong; `tests/sheets.rs` runs these.
    let sheets = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/errors/sheet");
    let sheets = std::fs::read_dir(sheets).expect("the folder is there");
    golden.extend(sheets.filter_map(|entry| {
        let path = entry.expect("an entry").path();
        Some(path.file_stem()?.to_str()?.to_string())
    }));
    assert_eq!(codes, golden);
}

/// One number a condition can hold: what a person would type.
fn number() -> impl Strategy<Value = f64> {
    (-20_000i32..20_000).prop_map(|n| f64::from(n) / 100.0)
}

fn subject() -> impl Strategy<Value = Subject> {
    prop_oneof![Just(Subject::This), Just(Subject::In), Just(Subject::Out)]
}

fn one_of<T: Clone + std::fmt::Debug + 'static>(all: Vec<T>) -> impl Strategy<Value = T> {
    proptest::sample::select(all)
}

fn comparison() -> impl Strategy<Value = Comparison> {
    one_of(Comparison::ALL.map(|(c, _)| c).to_vec())
}

fn group() -> impl Strategy<Value = Group> {
    let c = catalogue();
    let ids = c.ingredients.iter().map(|i| i.id.clone()).collect();
    let families = c.families().into_iter().map(str::to_string).collect();
    let functions: BTreeSet<String> = c
        .ingredients
        .iter()
        .flat_map(|i| i.functions.clone())
        .collect();
    prop_oneof![
        one_of(ids).prop_map(Group::Ingredient),
        one_of(families).prop_map(Group::Family),
        one_of(functions.into_iter().collect()).prop_map(Group::Function),
    ]
}

fn test() -> impl Strategy<Value = Test> {
    let c = catalogue();
    let of_kind = |choice: bool| {
        c.properties
            .iter()
            .filter(|p| match p.kind {
                PropertyKind::Choice(_) => choice,
                PropertyKind::Number => !choice,
                PropertyKind::Text => false,
            })
            .cloned()
            .collect::<Vec<_>>()
    };
    let numbers: Vec<String> = of_kind(false).into_iter().map(|p| p.id).collect();
    let words: Vec<(String, String)> = of_kind(true)
        .into_iter()
        .flat_map(|p| match p.kind {
            PropertyKind::Choice(words) => words
                .into_iter()
                .map(|w| (p.id.clone(), w))
                .collect::<Vec<_>>(),
            _ => vec![],
        })
        .collect();
    let allergens: BTreeSet<String> = c
        .allergen_lists
        .iter()
        .map(|l| l.substance.clone())
        .collect();
    let allergens: Vec<String> = allergens.into_iter().collect();
    let dials: Vec<Dial> = Dial::ALL.map(|d| d.0).to_vec();
    let celsius = || proptest::option::of((-40i32..150).prop_map(f64::from));
    let all: Vec<BoxedStrategy<Test>> = vec![
        (subject(), group())
            .prop_map(|(s, g)| Test::Is(s, g))
            .boxed(),
        (
            subject(),
            one_of(numbers.clone()),
            comparison(),
            number(),
            celsius(),
        )
            .prop_map(
                |(subject, property, comparison, number, at_celsius)| Test::Number {
                    subject,
                    property,
                    comparison,
                    number,
                    at_celsius,
                },
            )
            .boxed(),
        (
            subject(),
            one_of(numbers.clone()),
            number(),
            number(),
            celsius(),
        )
            .prop_map(|(subject, property, low, high, at_celsius)| Test::Between {
                subject,
                property,
                low,
                high,
                at_celsius,
            })
            .boxed(),
        (subject(), one_of(words))
            .prop_map(|(subject, (property, word))| Test::Word {
                subject,
                property,
                word,
            })
            .boxed(),
        (subject(), one_of(numbers))
            .prop_map(|(s, p)| Test::Known(s, p))
            .boxed(),
        (subject(), one_of(allergens.clone()))
            .prop_map(|(s, a)| Test::Contains(s, a))
            .boxed(),
        (subject(), one_of(allergens.clone()))
            .prop_map(|(s, a)| Test::FreeOf(s, a))
            .boxed(),
        group().prop_map(Test::MixHas).boxed(),
        one_of(allergens).prop_map(Test::MixHasAllergen).boxed(),
        (group(), comparison(), number())
            .prop_map(|(g, c, n)| Test::Share(g, c, n))
            .boxed(),
        (one_of(dials), comparison(), number())
            .prop_map(|(d, c, n)| Test::Mix(d, c, n))
            .boxed(),
    ];
    Union::new(all)
}

fn expression() -> impl Strategy<Value = Expr> {
    let leaf = prop_oneof![
        1 => Just(Expr::Always),
        9 => test().prop_map(Expr::Test),
    ];
    leaf.prop_recursive(3, 16, 4, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 2..4).prop_map(Expr::All),
            proptest::collection::vec(inner.clone(), 2..4).prop_map(Expr::Any),
            inner.prop_map(|e| Expr::Not(Box::new(e))),
        ]
    })
}

/// Text of the words, signs and names the readers know, in any order.
fn near_text() -> impl Strategy<Value = String> {
    let c = catalogue();
    let mut words: Vec<String> = c
        .ingredients
        .iter()
        .step_by(7)
        .flat_map(|i| [i.id.clone(), i.name.clone()])
        .chain(c.properties.iter().map(|p| p.id.clone()))
        .chain(c.words.iter().step_by(5).map(|w| w.word.clone()))
        .collect();
    let signs = "and or not ( ) < <= > >= = , % C g kg 5 -3 1e400 0.5 between free of contains \
                 in out this family function known mix.fat share of at ? swap for instead why";
    words.extend(signs.split(' ').map(str::to_string));
    proptest::collection::vec(one_of(words), 0..10).prop_map(|w| w.join(" "))
}

fn mutated_csv() -> impl Strategy<Value = Vec<u8>> {
    let whole = std::fs::read(program::formula("hazelnut-gelato")).expect("the formula");
    let edits = proptest::collection::vec((0..whole.len(), any::<u8>(), 0..4u8), 1..12);
    edits.prop_map(move |edits| {
        let mut bytes = whole.clone();
        for (at, byte, how) in edits {
            let at = at.min(bytes.len().saturating_sub(1));
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, b"\",\n\r\0;-."[usize::from(byte) % 8]),
                2 => drop(bytes.remove(at)),
                _ => bytes.truncate(at.max(20)),
            }
        }
        bytes
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn any_bytes_are_a_formula_or_a_problem(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let _ = KITCHEN.read("m.csv", &bytes).map_err(|p| p.to_string());
    }

    #[test]
    fn a_slip_in_a_formula_is_a_formula_or_a_problem(bytes in mutated_csv()) {
        match KITCHEN.read("m.csv", &bytes) {
            Ok(formula) => prop_assert!(formula.grams() > 0.0 && formula.grams().is_finite()),
            Err(problems) => {
                prop_assert!(!problems.0.is_empty());
                prop_assert!(problems.to_string().contains("m.csv"));
            }
        }
    }

    #[test]
    fn any_text_is_a_condition_or_a_problem(text in any::<String>()) {
        let _ = condition::parse(&text, catalogue()).map_err(|p| p.to_string());
    }

    #[test]
    fn words_of_conditions_are_a_condition_or_a_problem(text in near_text()) {
        if let Ok(expr) = condition::parse(&text, catalogue()) {
            let printed = condition::print(&expr);
            prop_assert_eq!(condition::parse(&printed, catalogue()), Ok(expr), "{}", printed);
        }
    }

    #[test]
    fn a_condition_is_read_back_as_it_was_printed(expr in expression()) {
        let printed = condition::print(&expr);
        prop_assert_eq!(condition::parse(&printed, catalogue()), Ok(expr), "{}", printed);
    }

    #[test]
    fn any_text_is_a_question_or_none(text in any::<String>()) {
        let _ = query::read(&text, catalogue());
    }

    #[test]
    fn words_of_questions_are_a_question_or_none(text in near_text()) {
        let _ = query::read(&text, catalogue());
    }
}

#[test]
fn endless_brackets_and_denials_are_a_problem() {
    for text in ["((((".repeat(30_000), "not ".repeat(30_000)] {
        let ran = run(&["find", "--where", &text]);
        refused(&text[..4], &ran, &["error[Q0"]);
    }
}
