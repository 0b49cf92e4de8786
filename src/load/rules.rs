//! Rule files to rules.

use std::collections::HashSet;

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::files::Files;
use super::lines::Lines;
use super::written::{
    COMMON, Candidate, Care, Caution, Common, Diagnosis, DialRule, Dish, Drawback, Guard, Helper,
    Interaction, Process, Purpose, Swap, WrittenBand, WrittenLever, WrittenSpan,
};
use crate::condition;
use crate::diagnostic::{Diagnostic, nearest};
use crate::model::rule::{Band, Direction, Lever, PHASES, Severity, Span};
use crate::model::{Catalogue, Dial, Expr, Group, Kin, Named, Row, Rule, RuleKind};

/// The kinds of rule.
const KINDS: [&str; 13] = [
    "swap",
    "interaction",
    "process",
    "caution",
    "care",
    "purpose",
    "diagnosis",
    "dish",
    "guard",
    "dial",
    "drawback",
    "helper",
    "candidate",
];

/// What two things in one mix do to each other.
const EFFECTS: [&str; 7] = [
    "synergy",
    "gel",
    "incompatible",
    "double dose",
    "crystallises",
    "weakens",
    "protects",
];

/// How sure a rule is; empty where it makes no sense to say.
const STRENGTHS: [&str; 4] = ["strong", "moderate", "weak", ""];

/// Before the id of a group, where ids stand otherwise.
const GROUP: &str = "group ";

/// Part of an ingredient that is exchanged where no dial decides: a step a cook can judge.
const HALF: f64 = 0.5;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleFile {
    #[serde(default)]
    rule: Vec<toml::Spanned<toml::Table>>,
}

/// Reads every rule; problems carry the file and the line the rule starts on.
pub fn read(files: &Files, catalogue: &Catalogue, problems: &mut Vec<Diagnostic>) -> Vec<Rule> {
    read_texts(files.below("data/rules/", ".toml"), catalogue, problems)
}

fn read_texts<'a>(
    texts: impl Iterator<Item = (&'a str, &'a str)>,
    catalogue: &Catalogue,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Rule> {
    let mut rules: Vec<Rule> = vec![];
    let mut ids: HashSet<String> = HashSet::new();
    for (path, text) in texts {
        let lines = Lines::of(text);
        let file: RuleFile = match toml::from_str(text) {
            Ok(file) => file,
            Err(error) => {
                let span = error.span().unwrap_or(0..0);
                let line = lines.at(span.start);
                let before = &text[..span.start.min(text.len())];
                let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
                let marked = text.get(span).unwrap_or_default();
                let width = marked.chars().take_while(|c| *c != '\n').count();
                problems.push(
                    Diagnostic::new(
                        "D030",
                        path,
                        format!("this is no rule file: {}", error.message()),
                    )
                    .at(line, column)
                    .excerpt(lines.line(line), width)
                    .help("mend what is marked; a rule is `[[rule]]` and lines such as id = \"its-name\""),
                );
                continue;
            }
        };
        for written in file.rule {
            let line = lines.at(written.span().start);
            let reader = Reader {
                catalogue,
                path,
                lines: &lines,
                line,
            };
            match reader.rule(written.into_inner()) {
                Ok(rule) if !ids.insert(rule.id.clone()) => {
                    problems.push(
                        Diagnostic::new(
                            "D008",
                            path,
                            format!("the rule `{}` stands twice", rule.id),
                        )
                        .at(line, 0)
                        .help("rename or delete one of the two"),
                    );
                }
                Ok(rule) => rules.push(rule),
                Err(problem) => problems.push(problem),
            }
        }
    }
    rules
}

struct Reader<'a> {
    catalogue: &'a Catalogue,
    path: &'a str,
    lines: &'a Lines<'a>,
    line: usize,
}

impl Reader<'_> {
    /// A problem at the value of `key`, or at the first line of the rule where it has no such line.
    fn wrong(
        &self,
        code: &'static str,
        id: &str,
        key: &str,
        message: impl std::fmt::Display,
    ) -> Diagnostic {
        let problem = Diagnostic::new(code, self.path, format!("rule `{id}`: {message}"));
        let lines = (self.line..).zip(self.lines.from(self.line));
        let mut of_rule = lines.take_while(|(number, line)| {
            *number == self.line || !line.trim_start().starts_with("[[")
        });
        let found = of_rule.find_map(|(number, line)| {
            let (written, value) = line.split_once('=')?;
            if written.trim() == key {
                return Some((number, line, value.trim()));
            }
            // A field of a field: `dose = { low = 1 }`.
            let mut inner = value.split(['{', ',']).map(str::trim_start);
            let inner = inner.find(|part| {
                part.split_once('=')
                    .is_some_and(|(name, _)| name.trim() == key)
            })?;
            Some((number, line, inner.trim_end_matches([' ', '}'])))
        });
        match found {
            Some((number, line, value)) => {
                let byte = line.find(value).unwrap_or(0);
                let column = line[..byte].chars().count() + 1;
                problem
                    .at(number, column)
                    .excerpt(line, value.chars().count())
            }
            None => problem
                .at(self.line, 0)
                .excerpt(self.lines.line(self.line), 1),
        }
    }

    /// The fields of a rule as those of its kind.
    fn fields<T: DeserializeOwned>(
        &self,
        id: &str,
        kind: &str,
        table: toml::Table,
    ) -> Result<T, Diagnostic> {
        toml::Value::Table(table)
            .try_into()
            .map_err(|error: toml::de::Error| self.misfit(id, kind, &error.to_string()))
    }

    /// A field that a rule of this kind lacks, does not have, or has in another form.
    fn misfit(&self, id: &str, kind: &str, message: &str) -> Diagnostic {
        let mut named = message.split('`').skip(1).step_by(2);
        let field = named.next().unwrap_or_default();
        if message.starts_with("missing field") {
            let whole = format!("a rule of kind `{kind}` needs `{field}`");
            return self
                .wrong("D031", id, "kind", whole)
                .help(format!("add a line `{field} = ...`"));
        }
        let one_line = message.lines().next().unwrap_or_default();
        if message.starts_with("unknown field") {
            let fields: Vec<&str> = named.chain(COMMON).collect();
            let near = nearest(field, fields.iter().copied())
                .map(|near| format!("the nearest field is `{near}`"));
            let message = format!("a rule of kind `{kind}` has no field `{field}`");
            return self
                .wrong("D034", id, field, message)
                .help(near.unwrap_or(format!("it has {}", fields.join(", "))));
        }
        // The last line tells the way to it: in `dose.low`.
        let way = message
            .lines()
            .rev()
            .find_map(|line| line.strip_prefix("in `"));
        let way = way.map_or("id", |way| way.trim_end_matches('`'));
        let field = way.rsplit('.').next().unwrap_or(way);
        let message = format!("the field `{field}` has another form: {one_line}");
        self.wrong("D035", id, field, message)
            .help("text stands in quotes, numbers do not; DEVELOPERS.md lists the fields")
    }

    fn rule(&self, mut table: toml::Table) -> Result<Rule, Diagnostic> {
        let mut common = toml::Table::new();
        for key in COMMON {
            common.extend(table.remove(key).map(|value| (key.to_string(), value)));
        }
        let said = |key: &str| common.get(key).and_then(|v| v.as_str()).unwrap_or_default();
        let (id, kind) = (said("id").to_string(), said("kind").to_string());
        let w: Common = self.fields(&id, &kind, common)?;
        self.sourced(&w)?;
        self.word(&id, "strength", &w.strength, &STRENGTHS)?;
        let when = self.condition(&id, &w.when)?;
        let kind = self.kind(&id, &w.kind, table)?;
        Ok(Rule {
            id,
            when,
            kind,
            because: w.because,
            strength: w.strength,
            source: w.source,
            locator: w.locator,
            only: w.only,
            row: Row {
                file: self.path.to_string(),
                line: self.line,
            },
        })
    }

    fn sourced(&self, w: &Common) -> Result<(), Diagnostic> {
        match self.catalogue.sources.get(&w.source) {
            None => {
                let near = nearest(&w.source, self.catalogue.sources.keys().map(String::as_str))
                    .map(|n| format!("the nearest source is `{n}`"));
                let message = format!("no source has the id `{}`", w.source);
                Err(self
                    .wrong("D012", &w.id, "source", message)
                    .help(near.unwrap_or("add it to data/sources.csv".into())))
            }
            Some(source) if source.kind.needs_locator() && w.locator.is_empty() => {
                let message = format!("a rule from `{}` must say where it stands there", w.source);
                Err(self
                    .wrong("D013", &w.id, "source", message)
                    .help("fill `locator` with the table, section, page or row"))
            }
            Some(_) => Ok(()),
        }
    }

    /// What follows, by the kind of the rule.
    fn kind(&self, id: &str, kind: &str, table: toml::Table) -> Result<RuleKind, Diagnostic> {
        Ok(match kind {
            "swap" => self.swap(id, self.fields(id, kind, table)?)?,
            "interaction" => {
                let w: Interaction = self.fields(id, kind, table)?;
                self.word(id, "effect", &w.effect, &EFFECTS)?;
                RuleKind::Interaction {
                    severity: self.severity(id, w.severity)?,
                    effect: w.effect,
                    text: w.text,
                }
            }
            "process" => {
                let w: Process = self.fields(id, kind, table)?;
                self.word(id, "phase", &w.phase, &PHASES)?;
                RuleKind::Process {
                    celsius: self.span(id, "celsius", w.celsius)?,
                    minutes: self.span(id, "minutes", w.minutes)?,
                    carrier: self.span(id, "carrier", w.carrier)?,
                    phase: w.phase,
                    text: w.text,
                    reach: w.reach,
                    limit: w.limit,
                }
            }
            "caution" => {
                let w: Caution = self.fields(id, kind, table)?;
                RuleKind::Caution {
                    severity: self.severity(id, w.severity)?,
                    topic: w.topic,
                    text: w.text,
                    standing: w.standing,
                }
            }
            "care" => {
                let w: Care = self.fields(id, kind, table)?;
                RuleKind::Care {
                    asked: w.asked,
                    severity: self.severity(id, w.severity)?,
                    text: w.text,
                }
            }
            "purpose" => {
                let w: Purpose = self.fields(id, kind, table)?;
                RuleKind::Purpose {
                    words: w.words,
                    classes: w.classes,
                    text: w.text,
                }
            }
            "diagnosis" => self.diagnosis(id, self.fields(id, kind, table)?)?,
            "dish" => {
                let w: Dish = self.fields(id, kind, table)?;
                RuleKind::Dish {
                    class: w.class,
                    dishes: w.dishes,
                }
            }
            "guard" => {
                let w: Guard = self.fields(id, kind, table)?;
                let band = Band {
                    dial: self.dial(id, "dial", &w.dial)?,
                    low: w.low.unwrap_or(f64::NEG_INFINITY),
                    high: w.high.unwrap_or(f64::INFINITY),
                };
                RuleKind::Guard {
                    product: w.product,
                    band: self.band(id, "unit", band, &w.unit)?,
                }
            }
            "dial" => {
                let w: DialRule = self.fields(id, kind, table)?;
                RuleKind::Dial {
                    dial: self.dial(id, "dial", &w.dial)?,
                    tolerance: w.tolerance,
                    step: w.step,
                    guard: w.guard.unwrap_or(0.0),
                    guard_edited: w.guard_edited.or(w.guard).unwrap_or(0.0),
                    guard_unfrozen: w.guard_unfrozen,
                    tasted: w.tasted.unwrap_or(0.0),
                    only_rise: w.only_rise,
                    relative: w.relative,
                }
            }
            "drawback" => {
                let w: Drawback = self.fields(id, kind, table)?;
                if !(1..=3).contains(&w.weight) {
                    return Err(self
                        .wrong("D032", id, "weight", format!("{} is no weight", w.weight))
                        .help("1 faint, 2 plain, 3 strong"));
                }
                RuleKind::Drawback {
                    weight: w.weight,
                    text: w.text,
                }
            }
            "helper" => {
                let w: Helper = self.fields(id, kind, table)?;
                match w.newcomers.as_slice() {
                    [one] => RuleKind::Helper {
                        newcomer: self.members(id, one)?.swap_remove(0),
                    },
                    _ => {
                        return Err(self
                            .wrong("D032", id, "in", "a helper is one ingredient")
                            .help("write `in` with one id, and a rule for each other"));
                    }
                }
            }
            "candidate" => {
                let w: Candidate = self.fields(id, kind, table)?;
                RuleKind::Candidate {
                    out: self.group(id, &w.out)?,
                }
            }
            other => {
                let near = nearest(other, KINDS).map(|n| format!("the nearest is `{n}`"));
                return Err(self
                    .wrong("D032", id, "kind", format!("`{other}` is no kind of rule"))
                    .help(near.unwrap_or(format!("one of {}", KINDS.join(", ")))));
            }
        })
    }

    fn swap(&self, id: &str, w: Swap) -> Result<RuleKind, Diagnostic> {
        for newcomer in &w.newcomers {
            if newcomer.starts_with(GROUP) {
                return Err(self
                    .wrong(
                        "D032",
                        id,
                        "in",
                        "grams of a group are grams of no one thing",
                    )
                    .help("name one member, and write a rule for each other with its own dose"));
            }
            self.ingredient(id, newcomer)?;
        }
        let count = w.newcomers.len();
        let shares = w.shares.unwrap_or(vec![1.0 / count as f64; count]);
        if shares.len() != count || (shares.iter().sum::<f64>() - 1.0).abs() > 0.011 {
            return Err(self
                .wrong(
                    "D033",
                    id,
                    "shares",
                    "`shares` must have one number per newcomer and add up to 1",
                )
                .help(format!(
                    "newcomers: {count}; write as many shares, or none for equal ones"
                )));
        }
        let jobs = self.catalogue.functions();
        w.jobs
            .iter()
            .try_for_each(|job| self.word(id, "jobs", job, &jobs))?;
        let dose = self.span(id, "dose", Some(w.dose))?;
        Ok(RuleKind::Swap {
            out: self.group(id, &w.out)?,
            newcomers: w.newcomers,
            dose: dose.ok_or_else(|| self.no_span(id, "dose"))?,
            shares,
            jobs: w.jobs,
            lost: w.lost,
            changes: w.changes,
        })
    }

    fn diagnosis(&self, id: &str, w: Diagnosis) -> Result<RuleKind, Diagnostic> {
        if let Some(name) = &w.solute
            && self.catalogue.property(name).is_none()
        {
            let ids = self.catalogue.properties.iter().map(|p| p.id.as_str());
            let near = nearest(name, ids).map(|n| format!("the nearest is `{n}`"));
            return Err(self
                .wrong(
                    "D032",
                    id,
                    "solute",
                    format!("no sugar or polyol is called `{name}`"),
                )
                .help_opt(near));
        }
        Ok(RuleKind::Diagnosis {
            symptom: w.symptom,
            also: w.also,
            dishes: w.dishes,
            solute: w.solute,
            test: self.condition(id, w.test.as_deref().unwrap_or("always"))?,
            cause: w.cause,
            lever: w.lever.map(|lever| self.lever(id, &lever)).transpose()?,
            fix: w.fix,
            usual: w.usual.map(|band| self.usual(id, &band)).transpose()?,
        })
    }

    fn usual(&self, id: &str, w: &WrittenBand) -> Result<Band, Diagnostic> {
        let band = Band {
            dial: self.dial(id, "usual", &w.dial)?,
            low: w.low,
            high: w.high,
        };
        self.band(id, "usual", band, &w.unit)
    }

    /// A band in order and in the unit of its dial.
    fn band(&self, id: &str, key: &str, band: Band, unit: &str) -> Result<Band, Diagnostic> {
        let own = band.dial.unit();
        if unit != own {
            let message = format!("the unit `{unit}` does not fit `{}`", band.dial.id());
            return Err(self
                .wrong("D036", id, key, message)
                .help(format!("the bounds are in {own}: write unit = \"{own}\"")));
        }
        if band.low > band.high {
            return Err(self
                .wrong("D033", id, key, "`low` is above `high`")
                .help("write the lower number as `low`"));
        }
        Ok(band)
    }

    /// One of the words a field may hold.
    fn word(&self, id: &str, key: &str, word: &str, words: &[&str]) -> Result<(), Diagnostic> {
        if words.contains(&word) {
            return Ok(());
        }
        let near = nearest(word, words.iter().copied()).map(|n| format!("the nearest is `{n}`"));
        let what = key.trim_end_matches('s');
        Err(self
            .wrong("D032", id, key, format!("`{word}` is no {what}"))
            .help(near.unwrap_or(format!(
                "one of {}",
                words.join(", ").trim_end_matches(", ")
            ))))
    }

    fn severity(&self, id: &str, word: Option<String>) -> Result<Severity, Diagnostic> {
        let word = word.as_deref().unwrap_or("info");
        Severity::parse(word).ok_or_else(|| {
            self.wrong("D032", id, "severity", format!("`{word}` is no severity"))
                .help("one of info, watch, stop")
        })
    }

    fn dial(&self, id: &str, key: &str, name: &str) -> Result<Dial, Diagnostic> {
        Dial::parse(name).ok_or_else(|| {
            let ids = Dial::ALL.iter().map(|d| d.1);
            let near = nearest(name, ids.clone()).map(|n| format!("the nearest is `{n}`"));
            let all = || format!("one of {}", ids.clone().collect::<Vec<_>>().join(", "));
            self.wrong("D032", id, key, format!("a mix has no dial `{name}`"))
                .help(near.unwrap_or_else(all))
        })
    }

    /// A span, where one is written, in order.
    fn span(
        &self,
        id: &str,
        key: &str,
        written: Option<WrittenSpan>,
    ) -> Result<Option<Span>, Diagnostic> {
        match written {
            None => Ok(None),
            Some(w) => w.span().map(Some).ok_or_else(|| self.no_span(id, key)),
        }
    }

    fn no_span(&self, id: &str, key: &str) -> Diagnostic {
        let message = format!("`{key}` needs low <= typical <= high");
        self.wrong("D033", id, key, message)
            .help("write { low = .., typical = .., high = .. } in this order of size")
    }

    fn lever(&self, id: &str, lever: &WrittenLever) -> Result<Lever, Diagnostic> {
        let dial = match (&lever.dial, lever.direction.as_deref()) {
            (None, None) => None,
            (Some(name), Some("higher")) => {
                Some((self.dial(id, "lever", name)?, Direction::Higher))
            }
            (Some(name), Some("lower")) => Some((self.dial(id, "lever", name)?, Direction::Lower)),
            (None, Some(_)) | (Some(_), _) => {
                return Err(self
                    .wrong(
                        "D032",
                        id,
                        "lever",
                        "a dial of a lever needs a direction, and a direction a dial",
                    )
                    .help("direction is one of higher, lower"));
            }
        };
        if lever.out.is_empty() && lever.newcomers.is_empty() {
            return Err(self
                .wrong(
                    "D033",
                    id,
                    "lever",
                    "`lever` names no ingredient to exchange",
                )
                .help("add `out`, what goes, or `in`, what comes, as lists"));
        }
        let share = lever.share.unwrap_or(HALF);
        if !(0.0..=1.0).contains(&share) {
            return Err(self
                .wrong(
                    "D033",
                    id,
                    "lever",
                    format!("a share of {share} is no part"),
                )
                .help("`share` is a part between 0 and 1; `percent` is that of the mix"));
        }
        let out: Result<Vec<Group>, Diagnostic> =
            lever.out.iter().map(|name| self.group(id, name)).collect();
        let mut newcomers: Vec<String> = vec![];
        for newcomer in &lever.newcomers {
            let members = self.members(id, newcomer)?;
            newcomers.extend(
                members
                    .into_iter()
                    .filter(|m| !newcomers.contains(m))
                    .collect::<Vec<_>>(),
            );
        }
        Ok(Lever {
            dial,
            out: out?,
            newcomers,
            share,
            percent: lever.percent,
        })
    }

    /// The ids a field means: one ingredient, or the members of a group, commonest first.
    fn members(&self, id: &str, written: &str) -> Result<Vec<String>, Diagnostic> {
        match written.strip_prefix(GROUP) {
            Some(group) => Ok(self.kin(id, "in", group)?.members.clone()),
            None => {
                self.ingredient(id, written)?;
                Ok(vec![written.to_string()])
            }
        }
    }

    /// The group of a name, which has members.
    fn kin(&self, id: &str, key: &str, name: &str) -> Result<&Kin, Diagnostic> {
        match self.catalogue.group(name) {
            Some(kin) if kin.members.is_empty() => Err(self
                .wrong("D011", id, key, format!("nothing is in the group `{name}`"))
                .help("add its members to data/groups.csv")),
            Some(kin) => Ok(kin),
            None => {
                let ids = self.catalogue.groups.iter().map(|kin| kin.id.as_str());
                let near = nearest(name, ids).map(|n| format!("the nearest is `{n}`"));
                Err(self
                    .wrong("D011", id, key, format!("no group is called `{name}`"))
                    .help(near.unwrap_or("schema/groups.csv lists them".into())))
            }
        }
    }

    fn ingredient(&self, id: &str, name: &str) -> Result<(), Diagnostic> {
        match self.catalogue.key(name) {
            Some(_) => Ok(()),
            None => Err(self.nobody(id, "in", name)),
        }
    }

    fn nobody(&self, id: &str, key: &str, name: &str) -> Diagnostic {
        let ids = self.catalogue.ingredients.iter().map(|i| i.id.as_str());
        let help = nearest(name, ids).map(|n| format!("the nearest id is `{n}`"));
        self.wrong(
            "D011",
            id,
            key,
            format!("no ingredient has the id `{name}`"),
        )
        .help(help.unwrap_or("`tamis find` searches the ingredients".into()))
    }

    fn group(&self, id: &str, written: &str) -> Result<Group, Diagnostic> {
        if let Some(group) = written.strip_prefix(GROUP) {
            let kin = self.kin(id, "out", group)?;
            return Ok(Group::Kin(kin.id.clone()));
        }
        if let Some(family) = written.strip_prefix("family ") {
            return match self.catalogue.families().contains(&family) {
                true => Ok(Group::Family(family.to_string())),
                false => Err(self
                    .wrong("D011", id, "out", format!("no family is called `{family}`"))
                    .help(format!("one of {}", self.catalogue.families().join(", ")))),
            };
        }
        if let Some(function) = written.strip_prefix("function ") {
            return match self.catalogue.functions().contains(&function) {
                true => Ok(Group::Function(function.to_string())),
                false => Err(self
                    .wrong(
                        "D011",
                        id,
                        "out",
                        format!("no function is called `{function}`"),
                    )
                    .help(format!("one of {}", self.catalogue.functions().join(", ")))),
            };
        }
        match self.catalogue.named(written) {
            Named::One(key) => Ok(Group::Ingredient(self.catalogue.ingredient(key).id.clone())),
            _ => Err(self.nobody(id, "out", written)),
        }
    }

    /// The condition, or its problem moved to the place in this file.
    fn condition(&self, id: &str, text: &str) -> Result<Expr, Diagnostic> {
        condition::parse(text, self.catalogue).map_err(|mut problem| {
            let found = self
                .lines
                .from(self.line)
                .enumerate()
                .take(40)
                .find_map(|(n, line)| {
                    line.find(text)
                        .map(|byte| (n, line, line[..byte].chars().count()))
                });
            problem.message = format!("rule `{id}`: {}", problem.message);
            problem.place.file = self.path.to_string();
            match found {
                Some((n, line, before)) => {
                    problem.place.line = self.line + n;
                    problem.place.column += before;
                    problem.excerpt = Some(line.to_string());
                }
                None => problem.place.line = self.line,
            }
            problem
        })
    }
}

/// Reads rules from `(path, text)` pairs, as a store keeps them.
///
/// Errors: the problems, each at its file and line.
pub fn rules_of(
    texts: &[(String, String)],
    catalogue: &Catalogue,
) -> Result<Vec<Rule>, crate::diagnostic::Problems> {
    let mut problems = vec![];
    let rules = read_texts(
        texts
            .iter()
            .map(|(path, text)| (path.as_str(), text.as_str())),
        catalogue,
        &mut problems,
    );
    if problems.is_empty() {
        Ok(rules)
    } else {
        Err(crate::diagnostic::Problems(problems))
    }
}
