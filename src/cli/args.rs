//! What can be typed on the command line.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

/// Knowledge base and engine for texture-engineered foods
#[derive(Parser, Debug)]
#[command(name = "tamis", version, about, long_about = None, arg_required_else_help = true, after_help = "Example: tamis ask \"can I use agar instead of gelatin\"")]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
    /// Keep the formula of an option as a file, ready to be assessed or changed further
    #[arg(long, global = true, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Which option to keep
    #[arg(
        long,
        global = true,
        value_name = "N",
        default_value_t = 1,
        requires = "write"
    )]
    pub option: usize,
    /// Write over a file that is there
    #[arg(long, global = true, requires = "write")]
    pub overwrite: bool,
    /// Give the reasons, rules and sources, and every figure
    #[arg(long, global = true)]
    pub why: bool,
    /// Print the answer as JSON
    #[arg(long, global = true)]
    pub json: bool,
    /// Work with the data and schema folders below DIR instead of the built-in ones
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Lay the own data in DIR over the built-in one; without it TAMIS_OWN, else the folder `tamis own` names
    #[arg(long, global = true, value_name = "DIR")]
    pub own: Option<PathBuf>,
    /// Leave own data out
    #[arg(long, global = true, conflicts_with = "own")]
    pub no_own: bool,
    /// Batch of a formula written in per cent, such as "1 kg"; without it 1000 g
    #[arg(long, global = true, value_name = "AMOUNT", value_parser = mass)]
    pub batch: Option<f64>,
}

/// Reads a mass: `1 kg`, `2500`, `5 lb`; in grams.
fn mass(text: &str) -> Result<f64, String> {
    let text = text.trim();
    let digits = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let number: Option<f64> = text[..digits].parse().ok();
    let grams = match text[digits..].trim() {
        "" | "g" => Some(1.0),
        "kg" => Some(1000.0),
        "lb" => Some(453.592_37),
        "oz" => Some(28.349_523_125),
        _ => None,
    };
    match (number, grams) {
        (Some(number), Some(grams)) if (0.001..=1e9).contains(&(number * grams)) => {
            Ok(number * grams)
        }
        _ => Err("an amount such as 1 kg or 2500 g is expected".into()),
    }
}

/// Reads a number that makes sense for an option.
fn within(low: f64, high: f64) -> impl Fn(&str) -> Result<f64, String> + Clone {
    move |text| match text.parse::<f64>() {
        Ok(number) if (low..=high).contains(&number) => Ok(number),
        _ => Err(format!("a number from {low} to {high} is expected")),
    }
}

#[derive(Subcommand, Debug)]
pub enum Command {
    /// Answer a question in words
    #[command(
        after_help = "Examples:\n  tamis ask \"swap sugar keeping sweetness and lowering freezing point\" --in mix.csv\n  tamis ask \"why is my sorbet icy\" --in mix.csv\n  tamis ask    (a prompt, on a terminal)"
    )]
    Ask {
        /// The question, at most 2,000 characters
        words: Vec<String>,
        /// The formula it is about: a CSV file with the columns ingredient,grams, or the name of one that comes with the program
        #[arg(long = "in", value_name = "FORMULA.csv")]
        formula: Option<PathBuf>,
    },
    /// Work out the numbers of a formula
    #[command(after_help = "Example: tamis assess mix.csv --curve")]
    Assess {
        /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program; - reads standard input
        formula: PathBuf,
        /// Draw the freezing curve
        #[arg(long)]
        curve: bool,
        /// Write the freezing curve as SVG, in place of what is there
        #[arg(long, value_name = "FILE")]
        svg: Option<PathBuf>,
        /// Air beaten in, ml per 100 ml of mix
        #[arg(long, default_value_t = 0.0, value_name = "PERCENT", allow_hyphen_values = true, value_parser = within(0.0, 1000.0))]
        overrun: f64,
        /// Serving temperature, C
        #[arg(long, default_value_t = -18.0, allow_hyphen_values = true, value_name = "CELSIUS", value_parser = within(-100.0, 100.0))]
        serve: f64,
        /// Show another formula beside it
        #[arg(long, value_name = "FORMULA.csv")]
        against: Option<PathBuf>,
    },
    /// Say how a formula is made: steps in working order, with grams and temperatures
    #[command(after_help = "Example: tamis plan hazelnut-gelato")]
    Plan {
        /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
        formula: PathBuf,
    },
    /// Print the bench sheet of a formula: what to weigh, what to do, what to write down
    #[command(
        after_help = "Examples:\n  tamis sheet hazelnut-gelato --batches 2,3\n  tamis sheet hazelnut-gelato --html sheet.html --paper letter --label us"
    )]
    Sheet {
        /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
        formula: PathBuf,
        #[command(flatten)]
        wanted: Benched,
    },
    /// Draft the label of a formula: list of ingredients, allergens, nutrition, statements
    #[command(after_help = "Example: tamis label hazelnut-gelato --for us --serving 90")]
    Label {
        /// CSV file with the columns ingredient,grams, or the name of a formula that comes with the program
        formula: PathBuf,
        #[command(flatten)]
        wanted: Labelled,
    },
    /// Find what can stand in for an ingredient of a formula
    #[command(
        after_help = "Example: tamis swap mix.csv --replace sucrose --keep sweetness --lower freezing_point --newcomers \"vegan and not family polyol\""
    )]
    Swap {
        /// CSV file with the columns ingredient,grams
        formula: PathBuf,
        /// What goes
        #[arg(long, value_name = "NAME")]
        replace: String,
        /// What comes, when it is settled already (may be repeated)
        #[arg(long, value_name = "NAME")]
        with: Vec<String>,
        /// How many grams go; without it as much as serves the wish
        #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.001, 1e9))]
        amount: Option<f64>,
        /// All of it must go
        #[arg(long)]
        whole: bool,
        #[command(flatten)]
        wanted: Wanted,
    },
    /// Bring a formula back to its marks after an addition, or to new marks
    #[command(
        after_help = "Examples:\n  tamis adjust mix.csv --add \"200 g dark-chocolate-70\"\n  tamis adjust mix.csv --target \"fat 8\" --target \"scoopable at -18\"\n  tamis adjust mix.csv --scale 2500"
    )]
    Adjust {
        /// CSV file with the columns ingredient,grams
        formula: PathBuf,
        /// What was added, with its amount (may be repeated)
        #[arg(long, value_name = "AMOUNT NAME", allow_hyphen_values = true)]
        add: Vec<String>,
        /// A new mark: "fat 8", "sweetness -20 %", "scoopable at -18" (may be repeated)
        #[arg(long, value_name = "MARK", allow_hyphen_values = true)]
        target: Vec<String>,
        /// Batch weight to scale to, g
        #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.001, 1e9))]
        scale: Option<f64>,
        #[command(flatten)]
        wanted: Wanted,
    },
    /// Search ingredients by name or by property
    #[command(
        after_help = "Examples:\n  tamis find carob\n  tamis find \"hydration temperature below 60 C and vegan\"\n  tamis find gum --where \"cold_soluble = yes\"\n  tamis find \"thickeners without starch\"\n  tamis find --function emulsifier --where vegan"
    )]
    Find {
        /// Names, numbers, jobs, or a condition
        words: Vec<String>,
        /// What must hold
        #[arg(long = "where", value_name = "CONDITION")]
        condition: Option<String>,
        /// Only what does this job, such as `thickener`
        #[arg(long, value_name = "JOB")]
        function: Option<String>,
        /// Only this family, such as `starch`
        #[arg(long, value_name = "FAMILY")]
        family: Option<String>,
        /// How many to show
        #[arg(long, default_value_t = 20)]
        limit: usize,
    },
    /// Show all that is known of an ingredient, with sources
    #[command(after_help = "Example: tamis show locust bean gum")]
    Show {
        /// Name, id, E number or CAS number
        #[arg(required = true)]
        name: Vec<String>,
    },
    /// Put ingredients side by side
    #[command(
        after_help = "Example: tamis compare agar-powder gelatin-powder --by \"gel melting temperature\""
    )]
    Compare {
        /// Two or more ingredients
        #[arg(required = true, num_args = 2..)]
        names: Vec<String>,
        /// Properties to compare (may be repeated); without them those that decide
        #[arg(long, value_name = "PROPERTY")]
        by: Vec<String>,
    },
    /// Write the knowledge base for spreadsheets and programs
    #[command(
        after_help = "Example: tamis export --format csv --out values.csv --where \"family polyol\""
    )]
    Export {
        /// One table of values (csv), all of it (json), or the database (sqlite)
        #[arg(long, value_enum, default_value_t = Format::Csv)]
        format: Format,
        /// Where to, in place of what is there; standard output without it
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// Only ingredients for which this holds
        #[arg(long = "where", value_name = "CONDITION")]
        condition: Option<String>,
    },
    /// List the sources, or the values of one kind of source
    #[command(after_help = "Example: tamis sources --kind memory")]
    Sources {
        /// standard, regulation, handbook, textbook, paper, dataset, web, common-practice, derived, memory or own
        #[arg(long)]
        kind: Option<String>,
    },
    /// List the properties with units and meanings
    Properties,
    /// Show how complete the knowledge is, family by property
    #[command(after_help = "Examples:\n  tamis completeness\n  tamis completeness polyol")]
    Completeness {
        /// One family in full
        family: Option<String>,
        /// Text, a Markdown document, or a row per family and property (csv)
        #[arg(long, value_enum, default_value_t = Layout::Text)]
        format: Layout,
    },
    /// Check the data: every problem with its place and way out
    Check {
        /// The folder that holds data and schema; without it the built-in data
        folder: Option<PathBuf>,
    },
    /// Show what own data is in use, or start some: own values, prices, ingredients, blends, a shelf
    #[command(after_help = "Example: tamis own --init kitchen")]
    Own {
        /// Write empty tables into DIR; a table that is there stays as it is
        #[arg(long, value_name = "DIR")]
        init: Option<PathBuf>,
    },
    /// Print a completion script for a shell
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

impl Command {
    /// The formula files that are read.
    pub fn formulas(&self) -> Vec<&PathBuf> {
        match self {
            Command::Ask { formula, .. } => formula.iter().collect(),
            Command::Assess {
                formula, against, ..
            } => std::iter::once(formula).chain(against).collect(),
            Command::Swap { formula, .. }
            | Command::Adjust { formula, .. }
            | Command::Label { formula, .. }
            | Command::Sheet { formula, .. }
            | Command::Plan { formula } => vec![formula],
            _ => vec![],
        }
    }

    /// The texts that are read as words. A condition is none: scripts write long ones.
    pub fn texts(&self) -> Vec<String> {
        match self {
            Command::Ask { words, .. } | Command::Find { words, .. } => vec![words.join(" ")],
            Command::Show { name } => vec![name.join(" ")],
            Command::Compare { names, by } => [names.clone(), by.clone()].concat(),
            Command::Swap {
                replace,
                with,
                wanted,
                ..
            } => [vec![replace.clone()], with.clone(), wanted.shelf.clone()].concat(),
            Command::Adjust {
                add,
                target,
                wanted,
                ..
            } => [add.clone(), target.clone(), wanted.shelf.clone()].concat(),
            _ => vec![],
        }
    }
}

/// What is wanted of a label draft.
#[derive(clap::Args, Debug)]
pub struct Labelled {
    /// Where it is sold: eu, us, uk, ca or au (Australia and New Zealand)
    #[arg(long = "for", value_name = "PLACE", default_value = "eu")]
    pub place: String,
    /// Weight of a serving, g
    #[arg(long, default_value_t = 100.0, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.1, 1e6))]
    pub serving: f64,
    /// What comes out of the batch where water evaporates, g; without it as much as goes in
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.001, 1e9))]
    pub finished: Option<f64>,
}

/// What is wanted of a bench sheet.
#[derive(clap::Args, Debug)]
pub struct Benched {
    /// How many times the batch, in columns of their own: 2,3
    #[arg(long, value_name = "TIMES", value_delimiter = ',', allow_hyphen_values = true, value_parser = within(0.001, 1e6))]
    pub batches: Vec<f64>,
    /// Write the sheet as a page to print too, in place of what is there
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Paper of that page
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// Put a label draft on it: eu, us, uk, ca or au
    #[arg(long, value_name = "PLACE")]
    pub label: Option<String>,
    /// Weight of a serving for the label, g
    #[arg(long, default_value_t = 100.0, value_name = "GRAMS", allow_hyphen_values = true, value_parser = within(0.1, 1e6))]
    pub serving: f64,
}

/// Paper a page is printed on.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm
    A4,
    /// 8.5 x 11 in
    Letter,
}

/// What is wanted of a swap or a rebalance.
#[derive(clap::Args, Debug, Default)]
pub struct Wanted {
    /// Keep this dial where it is (may be repeated)
    #[arg(long, value_name = "DIAL")]
    pub keep: Vec<String>,
    /// Raise this dial
    #[arg(long, value_name = "DIAL")]
    pub raise: Vec<String>,
    /// Lower this dial
    #[arg(long, value_name = "DIAL")]
    pub lower: Vec<String>,
    /// A dial and the least it may be, such as "total solids 30"
    #[arg(
        long = "at-least",
        value_name = "DIAL NUMBER",
        allow_hyphen_values = true
    )]
    pub at_least: Vec<String>,
    /// A dial and the most it may be, such as "fat 8"
    #[arg(
        long = "not-over",
        value_name = "DIAL NUMBER",
        allow_hyphen_values = true
    )]
    pub not_over: Vec<String>,
    /// What every newcomer must satisfy, such as "vegan and free of tree nuts"
    #[arg(long, value_name = "CONDITION")]
    pub newcomers: Option<String>,
    /// Only these may come in
    #[arg(long, value_delimiter = ',', value_name = "NAMES")]
    pub shelf: Vec<String>,
    /// Only what stands on the shelf of the own data (shelf.csv) may come in
    #[arg(long, conflicts_with = "shelf")]
    pub from_shelf: bool,
    /// How many newcomers at most
    #[arg(long = "at-most", default_value_t = 3, value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=4), value_name = "N")]
    pub at_most: usize,
}

impl Wanted {
    /// Whether nothing was said.
    pub fn is_empty(&self) -> bool {
        self.keep.is_empty()
            && self.raise.is_empty()
            && self.lower.is_empty()
            && self.at_least.is_empty()
            && self.not_over.is_empty()
    }

    fn parts(&self) -> Vec<String> {
        let dials = |verb: &str, names: &[String]| {
            names
                .iter()
                .map(|n| format!("{verb} {}", n.trim().replace([' ', '-'], "_")))
                .collect::<Vec<_>>()
        };
        let mut parts = [
            dials("keep", &self.keep),
            dials("raise", &self.raise),
            dials("lower", &self.lower),
        ]
        .concat();
        parts.extend(self.at_least.iter().map(|t| format!("at least {t}")));
        parts.extend(self.not_over.iter().map(|t| format!("not over {t}")));
        parts.extend(self.newcomers.iter().map(|t| format!("newcomers {t}")));
        if !self.shelf.is_empty() {
            parts.push(format!("shelf {}", self.shelf.join(", ")));
        }
        if self.from_shelf {
            parts.push("from the shelf".into());
        }
        parts
    }

    /// The wish in words, for a swap.
    pub fn understood(&self, leaver: &str, newcomers: &[String]) -> String {
        let pair = match newcomers {
            [] => format!("swap {leaver}"),
            named => format!("swap {leaver} for {}", named.join(", ")),
        };
        std::iter::once(pair)
            .chain(self.parts())
            .collect::<Vec<_>>()
            .join("; ")
    }

    /// The wish in words, for a rebalance.
    pub fn understood_adjust(&self, added: &[(&str, f64)], targets: &[String]) -> String {
        let added = added
            .iter()
            .map(|(id, grams)| format!("add {} g {id}", crate::formula::weighed(*grams)));
        let parts: Vec<String> = added
            .chain(targets.iter().map(|t| format!("target {t}")))
            .chain(self.parts())
            .collect();
        format!("adjust {}", parts.join("; "))
    }
}

/// How completeness is written.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// For a terminal
    Text,
    /// A document
    Markdown,
    /// A row per family and property
    Csv,
}

/// What an export writes.
#[derive(ValueEnum, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// One row per value, with source and locator
    Csv,
    /// Every ingredient with all its values
    Json,
    /// The SQLite database
    Sqlite,
}
