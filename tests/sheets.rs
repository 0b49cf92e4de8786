//! Formulas in the forms kitchens use: lines of text, tables of any kind, spreadsheets.

use std::path::Path;
use std::sync::LazyLock;

use proptest::prelude::*;

use tamis::diagnostic::Problems;
use tamis::formula::sheet::{Amount, LONGEST_NAME, MOST_LINES, Row, Sheet, Unit, Words, read};
use tamis::load::Files;

static WORDS: LazyLock<Words> = LazyLock::new(|| Words::of(&Files::embedded()));

fn text(file: &str, bytes: impl AsRef<[u8]>) -> Result<Sheet, Problems> {
    read(file, None, bytes.as_ref(), &WORDS)
}

fn good(text: impl AsRef<[u8]>) -> Sheet {
    self::text("mix.csv", text.as_ref()).unwrap_or_else(|problems| panic!("{problems}"))
}

/// A number with three decimals at most.
fn short(number: f64) -> String {
    let text = format!("{number:.3}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    short.to_string()
}

/// An amount as the tables of the tests write it.
fn shown(amount: &Amount) -> String {
    let range = |low: f64, high: f64| match low == high {
        true => short(low),
        false => format!("{}-{}", short(low), short(high)),
    };
    match amount {
        Amount::Measure { low, high, unit } => {
            let (factor, name) = match unit {
                Unit::Gram(factor) => (factor, "g"),
                Unit::Millilitre(factor) => (factor, "ml"),
            };
            format!("{} {name}", range(low * factor, high * factor))
        }
        Amount::Percent(percent) => format!("{} %", short(*percent)),
        Amount::Pieces { low, high, piece } => {
            format!("{} {piece}", range(*low, *high)).trim().into()
        }
        Amount::ToTaste => "taste".into(),
        Amount::Missing => "missing".into(),
    }
}

/// Name and amount of every row.
fn rows(sheet: &Sheet) -> Vec<(String, String)> {
    let row = |row: &Row| (row.typed.clone(), shown(&row.amount));
    sheet.rows.iter().map(row).collect()
}

fn fixture(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/forms")
        .join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The records of a table of the tests.
fn records(name: &str) -> Vec<Vec<String>> {
    let bytes = fixture(name);
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let records = reader.records().map(|record| record.expect("a record"));
    records
        .map(|record| record.iter().map(str::to_string).collect())
        .collect()
}

#[test]
fn a_line_gives_its_row() {
    let mut wrong = String::new();
    for record in records("lines.csv") {
        let [line, typed, amount] = record.as_slice() else {
            panic!("{record:?}");
        };
        // Beside a line whose reading is beyond doubt.
        let told = match text("mix.txt", format!("1000 g water\n{line}\n")) {
            Ok(sheet) => format!("{:?}", rows(&sheet).get(1..)),
            Err(problems) => problems.to_string(),
        };
        let wanted = [(typed.clone(), short_amount(amount))];
        if told != format!("{:?}", Some(&wanted[..])) {
            wrong += &format!("{line}\n  wanted {wanted:?}\n  read   {told}\n");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// `566.990 g` as `566.99 g`.
fn short_amount(amount: &str) -> String {
    match amount.split_once(' ') {
        Some((number, unit)) => match number.parse() {
            Ok(number) => format!("{} {unit}", short(number)),
            Err(_) => amount.to_string(),
        },
        None => amount.to_string(),
    }
}

#[test]
fn a_cell_gives_its_amount() {
    let mut wrong = String::new();
    for record in records("cells.csv") {
        let [cell, amount] = record.as_slice() else {
            panic!("{record:?}");
        };
        let told = match text("mix.tsv", format!("ingredient\tamount\nsugar\t{cell}\n")) {
            Ok(sheet) => shown(&sheet.rows[0].amount),
            Err(problems) => problems.0[0].code.to_string(),
        };
        if told != short_amount(amount) {
            wrong += &format!("{cell}: wanted {amount}, read {told}\n");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Every table below says the same: 500 g whole milk, 120.5 g sugar, 1250 g water.
const SAME: [(&str, &str); 12] = [
    (
        "comma CSV",
        "ingredient,grams\nwhole milk,500\nsugar,120.5\nwater,1250\n",
    ),
    (
        "comma CSV",
        "grams,ingredient\r\n500,whole milk\r\n\r\n120.5,sugar\r\n1250,water\r\n",
    ),
    (
        "comma CSV",
        "Item,Weight (kg)\nwhole milk,0.5\nsugar,\"0.1205\"\nwater,1.25\n",
    ),
    (
        "comma CSV",
        "\"whole milk\",\"500\"\nsugar,\"120,5\"\nwater,\"1.250,0\"\n",
    ),
    (
        "semicolon CSV",
        "Zutat;Menge (g)\nwhole milk;500\nsugar;120,5\nwater;1.250\n",
    ),
    (
        "semicolon CSV",
        "Menge;Einheit;Zutat\n0,5;kg;whole milk\n120,5;g;sugar\n1,25;kg;water\n",
    ),
    (
        "semicolon CSV",
        "sep=;\ningredient;g;Notes\nwhole milk;500;cold\nsugar;120.5;\nwater;1250;\n",
    ),
    (
        "tab-separated table",
        "whole milk\t500\nsugar\t120.5\nwater\t1250\n",
    ),
    (
        "tab-separated table",
        "500 g\twhole milk\n120.5 g\tsugar\n1,25 kg\twater\n",
    ),
    (
        "tab-separated table",
        "quantité\tingrédient\tfournisseur\n500\twhole milk\tA\n120,5\tsugar\tB\n1 250\twater\tA\n",
    ),
    (
        "lines of text",
        "500 g whole milk\n120.5 g sugar\n1.25 kg water\n",
    ),
    (
        "lines of text",
        "whole milk: 500\nsugar: 120.5\nwater: 1250\n",
    ),
];

#[test]
fn tables_and_lines_of_any_form_say_the_same() {
    let wanted = [
        ("whole milk", "500 g"),
        ("sugar", "120.5 g"),
        ("water", "1250 g"),
    ];
    let wanted: Vec<(String, String)> = wanted.map(|(a, b)| (a.to_string(), b.to_string())).into();
    for (form, text) in SAME {
        let sheet = good(text);
        assert_eq!(rows(&sheet), wanted, "{text}");
        assert_eq!(sheet.form, format!("{form}, UTF-8"), "{text}");
    }
}

const MESSAGE: &str = "\
Kiosk vanilla gelato
Makes 1 litre

Ingredients:
- 560 g whole milk (3.5 %)
- 200 g double cream, 35%   # the organic one
- 1/2 tsp salt

For the swirl:
\u{2022} 80 g sour cherries
\u{2022} 2 sheets gelatin
sugar
BASE TWO
3 egg yolks
Total: 840 g
// from the notebook

Method
1. Heat to 82 C and churn
2. 20 g more sugar if it is dull
";

#[test]
fn a_message_is_taken_apart() {
    for text in [MESSAGE.to_string(), MESSAGE.replace('\n', "\r\n")] {
        let sheet = good(&text);
        assert_eq!(sheet.title, "Kiosk vanilla gelato");
        assert_eq!(sheet.form, "lines of text, UTF-8");
        let told: Vec<String> = sheet
            .rows
            .iter()
            .map(|row| {
                let amount = shown(&row.amount);
                let (line, column) = (row.place.line, row.place.column);
                let at = row.amount_place.column;
                let typed = &row.typed;
                format!(
                    "{line}:{column} {typed} | {at} {amount} | {} | {}",
                    row.part, row.note
                )
            })
            .collect();
        let wanted = [
            "5:9 whole milk (3.5 %) | 3 560 g |  | ",
            "6:9 double cream, 35% | 3 200 g |  | the organic one",
            "7:11 salt | 3 2.5 ml |  | ",
            "10:8 sour cherries | 3 80 g | For the swirl | ",
            "11:12 gelatin | 3 2 sheet | For the swirl | ",
            "12:1 sugar | 6 missing | For the swirl | ",
            "14:3 egg yolks | 1 3 | BASE TWO | ",
        ];
        assert_eq!(told, wanted);
        let unread: Vec<String> = sheet
            .unread
            .iter()
            .map(|(place, what)| format!("{} {what}", place.line))
            .collect();
        let wanted = [
            "2 a line about the batch: Makes 1 litre",
            "4 a heading: Ingredients:",
            "15 a total: Total: 840 g",
            "16 a comment: // from the notebook",
            "18 a heading: Method",
            "19 an instruction: 1. Heat to 82 C and churn",
            "20 an instruction: 2. 20 g more sugar if it is dull",
        ];
        assert_eq!(unread, wanted);
    }
}

#[test]
fn what_is_no_ingredient_is_left_aside() {
    for line in [
        "Heat to 82 C and churn",
        "Heat to 82 C",
        "Churn for 20 minutes.",
        "Milch erhitzen",
        "Total 1000 g",
        "Gesamt: 1000 g",
        "1000 g",
        "Serves 4",
        "4 servings",
        "Prep time: 20 min",
        "# base",
        "https://example.org/gelato",
        "-----",
        "The base keeps for three days in the fridge.",
    ] {
        let sheet = good(format!("1000 g water\n{line}\n"));
        assert_eq!(sheet.rows.len(), 1, "{line}");
        assert_eq!(sheet.unread.len(), 1, "{line}");
    }
}

#[test]
fn an_amount_among_the_instructions_is_a_row() {
    for line in [
        "Add 200 g sugar and stir",
        "Blend in 200 g sugar at the end.",
    ] {
        let sheet = good(format!("1000 g water\n{line}\n"));
        assert_eq!(sheet.rows.len(), 2, "{line}");
        assert!(sheet.rows[1].prose, "{line}");
        assert_eq!(sheet.unread.len(), 1, "{line}");
    }
}

#[test]
fn several_ingredients_in_one_line_are_several_rows() {
    for line in [
        "500 g milk, 200 g cream 35%, 1/2 tsp salt",
        "milk 500 g; cream 35% 200 g; salt 1/2 tsp",
        "milk: 500 g, cream 35%: 200 g, salt: 1/2 tsp",
    ] {
        let wanted = [
            ("milk", "500 g"),
            ("cream 35%", "200 g"),
            ("salt", "2.5 ml"),
        ];
        let wanted = wanted.map(|(a, b)| (a.to_string(), b.to_string()));
        assert_eq!(rows(&good(line)), wanted, "{line}");
    }
    let counted = good("Base: 500 g milk, 3 egg yolks, 120 g sugar");
    let wanted = [("milk", "500 g"), ("egg yolks", "3"), ("sugar", "120 g")];
    assert_eq!(
        rows(&counted),
        wanted.map(|(a, b)| (a.to_string(), b.to_string()))
    );
    assert_eq!(counted.title, "Base");
    let one = good("100 g butter, 82 % fat\n200 g chocolate, 5 g of it grated\n");
    assert_eq!(one.rows[0].typed, "butter, 82 % fat");
}

#[test]
fn measures_are_british_where_the_words_are() {
    for (line, amount) in [
        ("1 pint milk\n100 g sugar", "473.2 ml"),
        ("1 pint milk\n100 g caster sugar", "568.26 ml"),
        ("2 fl oz single cream\n1 kg milk", "56.82 ml"),
        ("2 fl oz cream\n1 kg milk", "60 ml"),
    ] {
        assert_eq!(rows(&good(line))[0].1, amount, "{line}");
    }
}

#[test]
fn a_batch_is_told_anywhere_in_a_line() {
    for (text, batch) in [
        (
            "Mango sorbet\nBase de calcul : 5 kg;\nEau;60 %\nSucre;40 %",
            Some(5000.0),
        ),
        (
            "Mango sorbet, batch size 2 kg\nwater 60 %\nsugar 40 %",
            Some(2000.0),
        ),
        ("# a batch of 750 g\nwater,60 %\nsugar,40 %", Some(750.0)),
        ("Mango sorbet\nwater 60 %\nsugar 40 %", None),
    ] {
        assert_eq!(good(text).batch, batch, "{text}");
    }
}

#[test]
fn a_title_holds_no_amount() {
    for (text, title, count) in [
        ("Lake gelato\n500 g milk\n", "Lake gelato", 1),
        ("Base (for 1 kg)\n\n500 g milk\n", "Base (for 1 kg)", 1),
        (
            "Lake gelato 1 kg\n\n500 g milk\n500 g cream\n",
            "Lake gelato 1 kg",
            2,
        ),
        ("corn flour 1 tbsp in milk\n500 g milk\n", "", 2),
        ("Ingredients\nsugar\n500 g milk\n", "", 2),
        ("ingredient\n500 g milk\n", "", 1),
        ("Base: 500 g milk, 3 eggs\n", "Base", 2),
        ("For the base: 500 g milk, 3 eggs\n", "", 2),
    ] {
        let sheet = good(text);
        assert_eq!(
            (sheet.title.as_str(), sheet.rows.len()),
            (title, count),
            "{text}"
        );
    }
}

#[test]
fn a_line_of_one_number_counts_pieces_beside_units_and_grams_without() {
    let beside = good("milk: 500 g\negg yolks: 3\n");
    assert_eq!(shown(&beside.rows[1].amount), "3");
    let without = good("milk: 500\nsugar 120\n");
    assert_eq!(shown(&without.rows[1].amount), "120 g");
}

#[test]
fn a_table_gives_its_rows() {
    let table: [(&str, &[(&str, &str)]); 13] = [
        // A total row, by its name or by its sum.
        (
            "ingredient,grams\nmilk,500\nsugar,100\nTotal,600\n",
            &[("milk", "500 g"), ("sugar", "100 g")],
        ),
        (
            "milk;500\nsugar;100\n;600\n",
            &[("milk", "500 g"), ("sugar", "100 g")],
        ),
        (
            "Zutat;Menge\nMilch;500 g\nGesamt;500 g\n",
            &[("Milch", "500 g")],
        ),
        // Grams win over per cents; per cents stand where nothing else does.
        (
            "item,%,weight (g)\nmilk,80,800\nsugar,20,200\n",
            &[("milk", "800 g"), ("sugar", "200 g")],
        ),
        (
            "item,%\nmilk,80\nsugar,20\n",
            &[("milk", "80 %"), ("sugar", "20 %")],
        ),
        (
            "item,share\nmilk,0.8\nsugar,0.2\n",
            &[("milk", "80 %"), ("sugar", "20 %")],
        ),
        (
            "milk;80%\nsugar;20 %\n",
            &[("milk", "80 %"), ("sugar", "20 %")],
        ),
        // A column of units; without one a bare number is grams.
        (
            "qty,unit,item\n500,g,milk\n2,tbsp,honey\n3,,egg yolks\n1,pinch,salt\n,to taste,mint\n4,pcs,eggs\n",
            &[
                ("milk", "500 g"),
                ("honey", "30 ml"),
                ("egg yolks", "3"),
                ("salt", "0.3 ml"),
                ("mint", "taste"),
                ("eggs", "4 piece"),
            ],
        ),
        (
            "ingredient,grams,unit\nmilk,500,\nhoney,2,tbsp\n",
            &[("milk", "500 g"), ("honey", "30 ml")],
        ),
        // A number for each line, a price, a supplier.
        (
            "1;milk;500\n2;sugar;120\n3;water;80\n",
            &[("milk", "500 g"), ("sugar", "120 g"), ("water", "80 g")],
        ),
        (
            "No.;Ingrediente;Peso (g);Precio\n1;leche;500;0,9\n2;az\u{fa}car;120,5;1\n",
            &[("leche", "500 g"), ("az\u{fa}car", "120.5 g")],
        ),
        // Amounts among the names.
        (
            "item,amount\n\"3 egg yolks\",\nsalt to taste,\nmilk,500 g\n",
            &[("egg yolks", "3"), ("salt", "taste"), ("milk", "500 g")],
        ),
        ("Weight oz,Ingredient\n16,milk\n", &[("milk", "453.592 g")]),
    ];
    for (text, wanted) in table {
        let wanted: Vec<(String, String)> = wanted
            .iter()
            .map(|(a, b)| (a.to_string(), b.to_string()))
            .collect();
        assert_eq!(rows(&good(text)), wanted, "{text}");
    }
}

#[test]
fn a_table_has_title_parts_notes_and_remarks() {
    let text = "Kiosk base;;\nBatch;1000;g\n;;\nIngredient;Amount (g);Notes\nFor the base:;;\nmilk;500;cold\n\
                For the swirl:;;\nsugar;100;\nHeat to 82 C and churn;;\n# old;;\nMethod;;\nmix;;\n";
    let sheet = good(text);
    assert_eq!(sheet.title, "Kiosk base");
    let told: Vec<String> = sheet
        .rows
        .iter()
        .map(|r| format!("{} {}/{}/{}", r.place.line, r.typed, r.part, r.note))
        .collect();
    assert_eq!(told, ["6 milk/For the base/cold", "8 sugar/For the swirl/"]);
    let unread: Vec<&str> = sheet.unread.iter().map(|(_, what)| what.as_str()).collect();
    let wanted = [
        "above the table: Batch, 1000, g",
        "an instruction: Heat to 82 C and churn",
        "a comment: # old",
        "a heading: Method",
        "an instruction: mix",
    ];
    assert_eq!(unread, wanted);
}

#[test]
fn spreadsheets_are_read_like_tables() {
    let open = |file: &str, sheet: Option<&str>| read(file, sheet, &fixture(file), &WORDS);
    let told = |sheet: &Sheet| {
        let row = |row: &Row| format!("{} {} {}", row.place, row.typed, shown(&row.amount));
        sheet.rows.iter().map(row).collect::<Vec<_>>()
    };
    let base = open("kiosk.xlsx", None).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(base.form, "spreadsheet, sheet Base");
    assert_eq!(base.title, "Kiosk vanilla base");
    let wanted = [
        "kiosk.xlsx#Base!B5 whole milk 560 g",
        "kiosk.xlsx#Base!B6 double cream 35% 200 g",
        "kiosk.xlsx#Base!B7 sugar 120 g",
        "kiosk.xlsx#Base!B8 egg yolks 120 g",
    ];
    assert_eq!(told(&base), wanted);
    assert_eq!(base.rows[1].note, "cold");
    assert_eq!(base.rows[1].part, "For the base");
    assert_eq!(base.rows[1].amount_place.to_string(), "kiosk.xlsx#Base!C6");
    let unread: Vec<String> = base
        .unread
        .iter()
        .map(|(p, what)| format!("{p} {what}"))
        .collect();
    let wanted = [
        "kiosk.xlsx#Base!B9 a total: Total, 1, 100%",
        "kiosk.xlsx#Base!B11 an instruction: Heat to 82 C and churn",
    ];
    assert_eq!(unread, wanted);

    let shares = open("kiosk.xlsx", Some("shares only")).unwrap_or_else(|p| panic!("{p}"));
    let wanted = ["60 %", "30 %", "10 %"];
    assert_eq!(
        shares
            .rows
            .iter()
            .map(|r| shown(&r.amount))
            .collect::<Vec<_>>(),
        wanted
    );

    let lines = open("kiosk.xlsx", Some("Lines")).unwrap_or_else(|p| panic!("{p}"));
    let wanted = [
        "kiosk.xlsx#Lines!A1 whole milk 500 g",
        "kiosk.xlsx#Lines!A2 sugar 120 g",
        "kiosk.xlsx#Lines!A3 egg yolks 3",
    ];
    assert_eq!(told(&lines), wanted);

    let ods = open("kiosk.ods", None).unwrap_or_else(|p| panic!("{p}"));
    let wanted = [
        "kiosk.ods#Base!A2 Vollmilch 560 g",
        "kiosk.ods#Base!A3 Zucker 120.5 g",
    ];
    assert_eq!(told(&ods), wanted);
    let xls = open("kiosk.xls", None).unwrap_or_else(|p| panic!("{p}"));
    let wanted = [
        "kiosk.xls#Base!A2 whole milk 560 g",
        "kiosk.xls#Base!A3 honey 30 ml",
        "kiosk.xls#Base!A4 egg yolks 3",
    ];
    assert_eq!(told(&xls), wanted);
}

#[test]
fn every_problem_is_told_at_once_and_in_its_place() {
    let text = "ingredient,grams,note\r\nsucrose,12,5\r\nmilk,500,cold\r\n\r\ncream,lots,\r\nwater,-5,\r\n\
                salt,5 furlong,\r\nbutter, melted,100\r\nhoney,5,a,b\r\n";
    let problems = self::text("mix.csv", text).expect_err("problems");
    let told: Vec<String> = problems
        .0
        .iter()
        .map(|p| format!("{} {} {}", p.place, p.code, p.message))
        .collect();
    let wanted = [
        "mix.csv:2:9 F011 `12,5` is two cells, `12` and `5`",
        "mix.csv:5:7 F007 `lots` is not a number",
        "mix.csv:6:7 F006 `-5` is no amount",
        "mix.csv:7:6 F008 `furlong` is no unit",
        "mix.csv:8:9 F007 `melted` is not a number",
        "mix.csv:9:1 D003 the record has 4 cells, the header 3",
    ];
    assert_eq!(told, wanted);
    assert!(problems.0.iter().all(|p| p.help.is_some()));
}

#[test]
fn what_cannot_be_read_is_told() {
    let long = "a".repeat(LONGEST_NAME + 1);
    let many = "500 g milk\n".repeat(MOST_LINES + 1);
    let table: [(&str, String, &str); 15] = [
        ("mix.csv", String::new(), "mix.csv F010"),
        ("mix.csv", "ingredient,grams\n".into(), "mix.csv F010"),
        (
            "mix.csv",
            "ingredient,grams\nmilk,\u{0}\n".into(),
            "mix.csv:2 F001",
        ),
        ("mix.csv", "milk,1\n".repeat(600_000), "mix.csv F002"),
        ("mix.csv", many, "mix.csv F012"),
        (
            "mix.csv",
            format!("ingredient,grams\n{long},5\n"),
            "mix.csv:2:1 F013",
        ),
        (
            "mix.txt",
            format!("500 g milk\n5 g {long}\n"),
            "mix.txt:2:5 F013",
        ),
        (
            "mix.csv",
            "ingredient,grams\n\"milk,5\nsugar,10\n".into(),
            "mix.csv:2:2 F020",
        ),
        (
            "mix.csv",
            "ingredient;grams\nmilk;1.250\n".into(),
            "mix.csv:2:6 F014",
        ),
        (
            "mix.txt",
            "1,250 g milk\n500 g cream".into(),
            "mix.txt:1:1 F014",
        ),
        (
            "mix.csv",
            "milk,500,3\ncream,200,2\n".into(),
            "mix.csv:1:1 F015",
        ),
        (
            "mix.csv",
            "sucrose,12,5\nmilk,500\ncream,200\n".into(),
            "mix.csv:1:9 F011",
        ),
        (
            "mix.xlsx",
            "PK\u{3}\u{4} and no more".into(),
            "mix.xlsx F016",
        ),
        ("mix.txt", "500 g milk\n2e400 g sugar\n-5 g salt".into(), ""),
        (
            "mix.txt",
            "500 g milk\n99999999999 g sugar\n".into(),
            "mix.txt:2:1 F006",
        ),
    ];
    for (file, text, wanted) in table {
        let told = match self::text(file, &text) {
            Ok(_) => String::new(),
            Err(problems) => format!("{} {}", problems.0[0].place, problems.0[0].code),
        };
        let start: String = text.chars().take(60).collect();
        assert_eq!(told, wanted, "{start}");
    }
    let sheet =
        |file, sheet, bytes: &[u8]| read(file, Some(sheet), bytes, &WORDS).expect_err("a problem");
    let none = sheet("kiosk.xlsx", "Bases", &fixture("kiosk.xlsx"));
    assert_eq!(none.0[0].code, "F017");
    assert_eq!(
        none.0[0].help.as_deref(),
        Some("its sheets are Base, Shares only, Lines, Faults")
    );
    assert_eq!(sheet("mix.csv", "Base", b"500 g milk").0[0].code, "F017");
    let faults = sheet("kiosk.xlsx", "Faults", &fixture("kiosk.xlsx"));
    let told: Vec<String> = faults
        .0
        .iter()
        .map(|p| format!("{} {}", p.place, p.code))
        .collect();
    let wanted = [
        "kiosk.xlsx#Faults!B2 F007",
        "kiosk.xlsx#Faults!B3 F006",
        "kiosk.xlsx#Faults!B4 F014",
    ];
    assert_eq!(told, wanted);
}

/// The bytes an input stands for: `\xNN` is a byte, `repeat N TEXT` many of the same, `fixture` a file
/// of `tests/forms`. Beside them the file's name and the sheet wanted.
fn input(text: &str) -> (String, Option<String>, Vec<u8>) {
    if let Some(name) = text.strip_prefix("fixture ") {
        let (file, sheet) = name.trim().split_once('#').expect("a sheet");
        return (file.to_string(), Some(sheet.to_string()), fixture(file));
    }
    let (count, text) = match text
        .strip_prefix("repeat ")
        .and_then(|rest| rest.split_once(' '))
    {
        Some((count, text)) => (count.parse().expect("a count"), text.trim_end()),
        None => (1, text),
    };
    let mut bytes = vec![];
    let mut rest = text;
    while let Some(at) = rest.find("\\x") {
        bytes.extend(rest[..at].bytes());
        bytes.push(u8::from_str_radix(&rest[at + 2..at + 4], 16).expect("two hex digits"));
        rest = &rest[at + 4..];
    }
    bytes.extend(rest.bytes());
    ("mix.csv".to_string(), None, bytes.repeat(count))
}

#[test]
fn problems_read_as_written_down() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/errors/sheet");
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let mut paths: Vec<_> = entries
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    let mut differ = String::new();
    for path in paths {
        let text = std::fs::read_to_string(&path).expect("UTF-8");
        let (given, expected) = text.split_once("---\n").expect("input --- expected");
        let (file, sheet, bytes) = input(given);
        let problems = read(&file, sheet.as_deref(), &bytes, &WORDS).expect_err("a problem");
        let told = format!("{problems}\n");
        let code = path
            .file_stem()
            .and_then(|stem| stem.to_str())
            .expect("a code");
        assert!(told.contains(&format!("error[{code}]")), "{code}: {told}");
        assert!(told.contains("= help: "), "{code}: {told}");
        if told != expected {
            differ += &format!("=== {code}\n{told}\n");
        }
    }
    assert!(differ.is_empty(), "reported otherwise:\n{differ}");
}

/// A good file of any form with some of its bytes changed.
fn mangled() -> impl Strategy<Value = Vec<u8>> {
    let mut files: Vec<Vec<u8>> = SAME
        .iter()
        .map(|(_, text)| text.as_bytes().to_vec())
        .collect();
    files.push(MESSAGE.as_bytes().to_vec());
    files.extend(["kiosk.xlsx", "kiosk.ods", "kiosk.xls"].map(fixture));
    files.push(fixture("lines.csv"));
    let edits = proptest::collection::vec((any::<usize>(), any::<u8>(), 0..4u8), 1..12);
    (proptest::sample::select(files), edits).prop_map(|(mut bytes, edits)| {
        for (at, byte, how) in edits {
            let at = at % bytes.len().max(1);
            match how {
                _ if bytes.is_empty() => {}
                0 => bytes[at] = byte,
                1 => bytes.insert(at, b"\",\n\r\t;-.(|"[usize::from(byte) % 10]),
                2 => drop(bytes.remove(at)),
                _ => bytes.truncate(at.max(20)),
            }
        }
        bytes
    })
}

/// Text of the words and signs of formulas, in any order.
fn near_text() -> impl Strategy<Value = String> {
    let words = "500 g kg 1,250 ½ 1/2 2-3 tbsp cup of milk sugar ( ) (1 cup) % , ; : \n \t - – x ~ about a pinch \
                 sheets to taste Total For the base: Heat # // 1. 12.05.2026 à \u{a0} each 2 x can | EL d' é";
    let words: Vec<String> = words.split(' ').map(str::to_string).collect();
    proptest::collection::vec(proptest::sample::select(words), 0..30).prop_map(|w| w.join(" "))
}

/// What holds of whatever was read.
fn sound(read: Result<Sheet, Problems>) -> Result<(), TestCaseError> {
    match read {
        Ok(sheet) => {
            prop_assert!(!sheet.rows.is_empty());
            for row in &sheet.rows {
                prop_assert!(row.typed.chars().count() <= LONGEST_NAME);
                if let Amount::Measure { low, high, .. } | Amount::Pieces { low, high, .. } =
                    row.amount
                {
                    prop_assert!(0.0 <= low && low <= high && high.is_finite(), "{row:?}");
                }
            }
        }
        Err(problems) => {
            prop_assert!(!problems.0.is_empty());
            prop_assert!(problems.to_string().contains("mix.csv"));
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn any_bytes_are_a_formula_or_a_problem(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        sound(text("mix.csv", bytes))?;
    }

    #[test]
    fn any_text_is_a_formula_or_a_problem(text in any::<String>()) {
        sound(self::text("mix.csv", text))?;
    }

    #[test]
    fn words_of_formulas_are_a_formula_or_a_problem(text in near_text()) {
        sound(self::text("mix.csv", text))?;
    }

    #[test]
    fn a_slip_in_a_file_is_a_formula_or_a_problem(bytes in mangled()) {
        sound(text("mix.csv", bytes))?;
    }
}
