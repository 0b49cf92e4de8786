//! Text to a condition, or the first problem at its column.

use crate::diagnostic::{Choice, Diagnostic, nearest};
use crate::model::{
    Catalogue, Comparison, Dial, DishKind, Expr, Group, Named, PropertyKind, Subject, Test, fold,
};

/// Reads a condition.
///
/// ```text
/// or    := and { "or" and }          and := not { ("and" | ",") not }
/// not   := "not" not | "(" or ")" | test
/// test  := "always" | "vegan" | "vegetarian"
///        | [subject] property ("<"|"<="|">"|">="|"="|"below"|"above"|"at most"|"at least"|"under"|"over") number [unit] ["at" number "C"]
///        | [subject] property "between" number "and" number [unit] ["at" number "C"]
///        | [subject] property ("="|"is") word          (choice properties)
///        | subject "is" ["group"|"family"|"function"] name | [subject] ("group"|"family"|"function") name
///        | [subject] "contains" allergen | [subject] "free of" allergen | [subject] "known" property
///        | "mix has" ["group"|"family"|"function"|"allergen"] name
///        | "mix is" ("frozen"|"gel"|"thickened"|"other")
///        | "share of" ["group"|"family"|"function"] name comparison number "%"
///        | "mix." dial comparison number [unit]
/// subject := "in" | "out" | "this", joined to a property by "."
/// ```
/// Errors: `Q0xx` at the column (from 1) of the word that is wrong.
pub fn parse(text: &str, catalogue: &Catalogue) -> Result<Expr, Diagnostic> {
    let mut parser = Parser {
        text,
        tokens: tokens(text),
        next: 0,
        depth: 0,
        catalogue,
    };
    let expr = parser.or()?;
    match parser.peek() {
        None => Ok(expr),
        Some(token) => Err(parser.wrong(
            "Q003",
            format!("`{}` is not expected here", token.text),
            Some("conditions are joined by `and` or `or`".into()),
        )),
    }
}

#[derive(Debug, Clone)]
struct Token {
    text: String,
    column: usize,
}

fn tokens(text: &str) -> Vec<Token> {
    let mut out: Vec<Token> = vec![];
    let chars: Vec<char> = text.chars().collect();
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i];
        if c.is_whitespace() {
            i += 1;
            continue;
        }
        let start = i;
        if "<>=".contains(c) {
            i += 1;
            if i < chars.len() && chars[i] == '=' {
                i += 1;
            }
        } else if "(),%≤≥".contains(c) {
            i += 1;
        } else {
            while i < chars.len() && !chars[i].is_whitespace() && !"<>=(),%≤≥".contains(chars[i])
            {
                i += 1;
            }
        }
        let word: String = chars[start..i].iter().collect();
        let word = match word.as_str() {
            "≤" => "<=".to_string(),
            "≥" => ">=".to_string(),
            _ => word,
        };
        // `60C` is a number and a unit.
        match word.find(|c: char| !c.is_ascii_digit() && c != '.' && c != '-' && c != '+') {
            Some(cut) if cut > 0 && word[..cut].parse::<f64>().is_ok() => {
                out.push(Token {
                    text: word[..cut].to_string(),
                    column: start + 1,
                });
                out.push(Token {
                    text: word[cut..].to_string(),
                    column: start + 1 + cut,
                });
            }
            _ => out.push(Token {
                text: word,
                column: start + 1,
            }),
        }
    }
    out
}

struct Parser<'a> {
    text: &'a str,
    tokens: Vec<Token>,
    next: usize,
    depth: usize,
    catalogue: &'a Catalogue,
}

/// Brackets and denials within each other at most; more would exhaust the stack.
const DEEPEST: usize = 100;

const JOINERS: [&str; 5] = ["and", "or", ",", ")", "not"];

impl Parser<'_> {
    fn peek(&self) -> Option<&Token> {
        self.tokens.get(self.next)
    }

    fn word(&self, ahead: usize) -> &str {
        self.tokens
            .get(self.next + ahead)
            .map_or("", |t| t.text.as_str())
    }

    fn take(&mut self, words: &[&str]) -> bool {
        let all = words
            .iter()
            .enumerate()
            .all(|(n, w)| self.word(n).eq_ignore_ascii_case(w));
        if all {
            self.next += words.len();
        }
        all
    }

    fn wrong(&self, code: &'static str, message: String, help: Option<String>) -> Diagnostic {
        let (column, width) = match self.peek() {
            Some(token) => (token.column, token.text.chars().count()),
            None => (self.text.chars().count() + 1, 1),
        };
        Diagnostic::new(code, "condition", message)
            .at(1, column)
            .excerpt(self.text, width)
            .help_opt(help)
    }

    fn or(&mut self) -> Result<Expr, Diagnostic> {
        let mut parts = vec![self.and()?];
        while self.take(&["or"]) {
            parts.push(self.and()?);
        }
        Ok(single(parts, Expr::Any))
    }

    fn and(&mut self) -> Result<Expr, Diagnostic> {
        let mut parts = vec![self.not()?];
        while self.take(&["and"]) || self.take(&[","]) {
            parts.push(self.not()?);
        }
        Ok(single(parts, Expr::All))
    }

    fn not(&mut self) -> Result<Expr, Diagnostic> {
        self.depth += 1;
        let inner = if self.depth > DEEPEST {
            Err(self.wrong(
                "Q016",
                format!("more than {DEEPEST} brackets and `not` within each other"),
                None,
            ))
        } else {
            self.denied()
        };
        self.depth -= 1;
        inner
    }

    fn denied(&mut self) -> Result<Expr, Diagnostic> {
        if self.take(&["not"]) {
            return Ok(Expr::Not(Box::new(self.not()?)));
        }
        if self.take(&["("]) {
            let inner = self.or()?;
            if !self.take(&[")"]) {
                return Err(self.wrong("Q004", "a closing `)` is missing".into(), None));
            }
            return Ok(inner);
        }
        self.test()
    }

    fn test(&mut self) -> Result<Expr, Diagnostic> {
        if self.peek().is_none() {
            return Err(self.wrong(
                "Q005",
                "a condition is expected".into(),
                Some("such as `fat > 40 %` or `vegan`".into()),
            ));
        }
        if self.take(&["always"]) {
            return Ok(Expr::Always);
        }
        if self.take(&["mix", "has"]) {
            if self.take(&["allergen"]) {
                let allergen = self.allergen()?;
                return Ok(Expr::Test(Test::MixHasAllergen(allergen)));
            }
            return Ok(Expr::Test(Test::MixHas(self.group()?)));
        }
        if self.take(&["mix", "is"]) {
            let kinds: Vec<&str> = DishKind::ALL.iter().map(|(_, word)| *word).collect();
            let word = self.one_of(&kinds, "dish")?;
            let kind = DishKind::parse(&word);
            return Ok(Expr::Test(Test::MixIs(kind.unwrap_or_default())));
        }
        if self.take(&["share", "of"]) {
            let group = self.group()?;
            let comparison = self.comparison()?;
            let number = self.number()?;
            self.take(&["%"]);
            return Ok(Expr::Test(Test::Share(group, comparison, number)));
        }
        if let Some(id) = self.word(0).strip_prefix("mix.").map(str::to_string) {
            let Some(dial) = Dial::parse(&id) else {
                let near = nearest(&id, Dial::ALL.iter().map(|d| d.1));
                let help = near.map(|n| format!("the nearest dial is `mix.{n}`"));
                let problem = self.wrong("Q006", format!("a mix has no dial `{id}`"), help);
                return Err(problem.nearest(near.map(Choice::word)));
            };
            self.next += 1;
            let comparison = self.comparison()?;
            let number = self.number()?;
            self.unit(dial.unit(), &id)?;
            return Ok(Expr::Test(Test::Mix(dial, comparison, number)));
        }
        let subject = self.subject();
        if self.take(&["contains"]) {
            return Ok(Expr::Test(Test::Contains(subject, self.allergen()?)));
        }
        if self.take(&["free", "of"])
            || self.take(&["free", "from"])
            || self.take(&["is", "free", "of"])
        {
            return Ok(Expr::Test(Test::FreeOf(subject, self.allergen()?)));
        }
        if self.take(&["known"]) {
            let property = self.property()?;
            return Ok(Expr::Test(Test::Known(subject, property)));
        }
        for diet in ["vegan", "vegetarian"] {
            let alone = !matches!(self.word(1), "=" | "is");
            if self.take(&["is", diet]) || (alone && self.take(&[diet])) {
                return Ok(Expr::Test(Test::Word {
                    subject,
                    property: diet.into(),
                    word: "yes".into(),
                }));
            }
        }
        if self.take(&["is"]) || matches!(self.word(0), "group" | "family" | "function") {
            return Ok(Expr::Test(Test::Is(subject, self.group()?)));
        }
        let property = self.property()?;
        if let Some(PropertyKind::Choice(words)) =
            self.catalogue.property(&property).map(|p| p.kind.clone())
        {
            if !(self.take(&["="]) || self.take(&["is"])) {
                return Err(self.wrong(
                    "Q007",
                    format!("`{property}` is one of {}", words.join(", ")),
                    Some(format!("write `{property} = {}`", words[0])),
                ));
            }
            let word = self.one_of(
                &words.iter().map(String::as_str).collect::<Vec<_>>(),
                &property,
            )?;
            return Ok(Expr::Test(Test::Word {
                subject,
                property,
                word,
            }));
        }
        if self.take(&["between"]) {
            let low = self.number()?;
            self.unit_of(&property)?;
            if !(self.take(&["and"]) || self.take(&["to"])) {
                return Err(self.wrong(
                    "Q008",
                    "`between` needs `and` and a second number".into(),
                    None,
                ));
            }
            let high = self.number()?;
            self.unit_of(&property)?;
            let at_celsius = self.at()?;
            return Ok(Expr::Test(Test::Between {
                subject,
                property,
                low,
                high,
                at_celsius,
            }));
        }
        let comparison = self.comparison()?;
        let number = self.number()?;
        let number = self.converted(&property, number)?;
        let at_celsius = self.at()?;
        Ok(Expr::Test(Test::Number {
            subject,
            property,
            comparison,
            number,
            at_celsius,
        }))
    }

    /// `in` and `out` may be a word of their own or joined by a dot.
    fn subject(&mut self) -> Subject {
        for (word, subject) in [
            ("in", Subject::In),
            ("out", Subject::Out),
            ("this", Subject::This),
        ] {
            if self.take(&[word]) {
                return subject;
            }
            let rest = self
                .word(0)
                .strip_prefix(word)
                .and_then(|r| r.strip_prefix('.'))
                .map(str::to_string);
            if let Some(rest) = rest {
                let next = self.next;
                self.tokens[next].column += word.len() + 1;
                self.tokens[next].text = rest;
                return subject;
            }
        }
        Subject::This
    }

    /// Words up to the next sign, joiner or comparison, the longest run that `accept` knows.
    fn longest<T>(&mut self, accept: impl Fn(&str) -> Option<T>) -> Option<T> {
        let mut words: Vec<String> = vec![];
        let mut best = None;
        for token in &self.tokens[self.next..] {
            let low = token.text.to_lowercase();
            if JOINERS.contains(&low.as_str())
                || "<>=<=>=(".contains(low.as_str())
                || words.len() == 6
            {
                break;
            }
            words.push(low);
            if let Some(found) = accept(&words.join(" ")) {
                best = Some((words.len(), found));
            }
        }
        let (used, found) = best?;
        self.next += used;
        Some(found)
    }

    fn property(&mut self) -> Result<String, Diagnostic> {
        let catalogue = self.catalogue;
        let found = self.longest(|words| {
            let id = words.replace([' ', '-'], "_");
            let folded = fold(words);
            let by_word = || {
                let mut rows = catalogue.meanings(&folded);
                rows.find(|w| w.table == "properties")
                    .map(|w| w.meaning.clone())
            };
            catalogue
                .property(&id)
                .map(|p| p.id.clone())
                .or_else(by_word)
        });
        found.ok_or_else(|| {
            let typed = self.word(0).to_string();
            let near = nearest(&typed, catalogue.properties.iter().map(|p| p.id.as_str()));
            let help = match near {
                Some(near) => format!("the nearest is `{near}`"),
                None => "`tamis properties` lists them".into(),
            };
            let message = format!("no property is called `{typed}`");
            let problem = self.wrong("Q009", message, Some(help));
            problem.nearest(near.map(Choice::word))
        })
    }

    fn group(&mut self) -> Result<Group, Diagnostic> {
        let catalogue = self.catalogue;
        if self.take(&["group"]) {
            let groups = &catalogue.groups;
            let ids = groups.iter().map(|kin| kin.id.as_str());
            let called: Vec<&str> = ids.chain(groups.iter().map(|k| k.name.as_str())).collect();
            let found = self.one_of(&called, "group")?;
            let id = catalogue.group(&found).map_or(found, |kin| kin.id.clone());
            return Ok(Group::Kin(id));
        }
        if self.take(&["family"]) {
            let families = catalogue.families();
            return self.one_of(&families, "family").map(Group::Family);
        }
        if self.take(&["function"]) {
            let functions = catalogue.functions();
            return self.one_of(&functions, "function").map(Group::Function);
        }
        let found = self.longest(|words| match catalogue.named(words) {
            Named::One(key) => Some(key),
            _ => None,
        });
        found
            .map(|key| Group::Ingredient(catalogue.ingredient(key).id.clone()))
            .ok_or_else(|| {
                let typed = self.word(0).to_string();
                let near = nearest(&typed, catalogue.ingredients.iter().map(|i| i.id.as_str()))
                    .map(|n| format!("the nearest is `{n}`"));
                self.wrong(
                    "Q010",
                    format!("no single ingredient is called `{typed}`"),
                    near,
                )
            })
    }

    fn allergen(&mut self) -> Result<String, Diagnostic> {
        let allergens = self.catalogue.allergens();
        self.one_of(&allergens, "allergen")
    }

    /// One of `words`, each of which may hold spaces, hyphens or underscores; plurals count as singular.
    fn one_of(&mut self, words: &[&str], what: &str) -> Result<String, Diagnostic> {
        let folded: Vec<String> = words.iter().map(|word| fold(word)).collect();
        let singular = |word: &str| word.trim_end_matches('s').len();
        // `sulphites` is that before it is a plural of `sulphite`.
        let found = self.longest(|typed| {
            let typed = fold(typed);
            let single = &typed[..singular(&typed)];
            let exact = folded.iter().position(|word| *word == typed);
            let same = |word: &String| word[..singular(word)] == *single;
            let found = exact.or_else(|| folded.iter().position(same));
            found.map(|n| words[n].to_string())
        });
        found.ok_or_else(|| {
            let typed = self.word(0).to_string();
            let near =
                nearest(&typed, words.iter().copied()).map(|n| format!("the nearest is `{n}`"));
            self.wrong(
                "Q011",
                format!("no {what} is called `{typed}`"),
                near.or_else(|| {
                    (words.len() <= 12).then(|| format!("one of {}", words.join(", ")))
                }),
            )
        })
    }

    fn comparison(&mut self) -> Result<Comparison, Diagnostic> {
        const WORDS: [(&[&str], Comparison); 16] = [
            (&["<="], Comparison::AtMost),
            (&[">="], Comparison::AtLeast),
            (&["<"], Comparison::Less),
            (&[">"], Comparison::Greater),
            (&["="], Comparison::Equal),
            (&["below"], Comparison::Less),
            (&["under"], Comparison::Less),
            (&["less", "than"], Comparison::Less),
            (&["above"], Comparison::Greater),
            (&["over"], Comparison::Greater),
            (&["more", "than"], Comparison::Greater),
            (&["at", "most"], Comparison::AtMost),
            (&["up", "to"], Comparison::AtMost),
            (&["at", "least"], Comparison::AtLeast),
            (&["from"], Comparison::AtLeast),
            (&["is"], Comparison::Equal),
        ];
        for (words, comparison) in WORDS {
            if self.take(words) {
                return Ok(comparison);
            }
        }
        Err(self.wrong(
            "Q012",
            "a comparison is expected".into(),
            Some("such as `>`, `<=`, `below`, `at least` or `between`".into()),
        ))
    }

    fn number(&mut self) -> Result<f64, Diagnostic> {
        match self.word(0).replace('−', "-").parse::<f64>() {
            Ok(number) if number.is_finite() => {
                self.next += 1;
                Ok(number)
            }
            _ => Err(self.wrong("Q013", "a number is expected".into(), None)),
        }
    }

    /// Skips the property's own unit when it is written.
    fn unit_of(&mut self, property: &str) -> Result<(), Diagnostic> {
        let unit = self
            .catalogue
            .property(property)
            .map_or(String::new(), |p| p.unit.clone());
        self.unit(&unit, property)
    }

    /// Skips a unit of `what` when it is written; another unit is no other number but a mistake.
    fn unit(&mut self, unit: &str, what: &str) -> Result<(), Diagnostic> {
        let part = unit == "%" || unit.starts_with("% of ") || unit.starts_with("g/100 g");
        let own: Vec<&str> = unit.split(' ').collect();
        if self.take(&own)
            || part && (self.take(&["g/100", "g"]) || self.take(&["%"]))
            || unit == "C" && (self.take(&["c"]) || self.take(&["°c"]))
            || unit.starts_with("kcal/") && self.take(&["kcal"])
        {
            return Ok(());
        }
        let written = self.word(0).to_lowercase();
        let units = self.catalogue.properties.iter().map(|p| p.unit.as_str());
        let dials = Dial::ALL.iter().map(|entry| entry.3);
        let others = ["%", "c", "°c", "f", "°f", "kcal"];
        let mut known = units.chain(dials).chain(others);
        let first = |unit: &str| unit.split(' ').next().map(str::to_lowercase);
        if written.is_empty() || !known.any(|unit| first(unit).as_deref() == Some(&written)) {
            return Ok(());
        }
        let help = match unit {
            "" => format!("write the number alone: `{what}` has no unit"),
            _ if part => format!("write it in {unit}, or as `%`"),
            _ => format!("write it in {unit}, or the number alone"),
        };
        Err(self.wrong(
            "Q020",
            format!("the unit `{}` does not fit `{what}`", self.word(0)),
            Some(help),
        ))
    }

    /// The number in the property's unit; degrees Fahrenheit are turned into Celsius.
    fn converted(&mut self, property: &str, number: f64) -> Result<f64, Diagnostic> {
        let thermal = self
            .catalogue
            .property(property)
            .is_some_and(|p| p.unit == "C");
        if thermal && (self.take(&["f"]) || self.take(&["°f"])) {
            return Ok(celsius(number));
        }
        self.unit_of(property)?;
        Ok(number)
    }

    fn at(&mut self) -> Result<Option<f64>, Diagnostic> {
        if !self.take(&["at"]) {
            return Ok(None);
        }
        let number = self.number()?;
        if !(self.take(&["c"]) || self.take(&["°c"])) && (self.take(&["f"]) || self.take(&["°f"]))
        {
            return Ok(Some(celsius(number)));
        }
        Ok(Some(number))
    }
}

fn single(mut parts: Vec<Expr>, many: impl Fn(Vec<Expr>) -> Expr) -> Expr {
    if parts.len() == 1 {
        parts.remove(0)
    } else {
        many(parts)
    }
}

/// Degrees Celsius of a Fahrenheit figure; a figure below absolute zero stays as typed and fails its bounds later.
fn celsius(fahrenheit: f64) -> f64 {
    crate::model::unit::Fahrenheit::new(fahrenheit).map_or(fahrenheit, |f| f.to_celsius().get())
}
