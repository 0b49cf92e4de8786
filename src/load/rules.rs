//! Rule files to rules.

use std::collections::HashSet;

use serde::Deserialize;

use super::files::Files;
use super::lines::Lines;
use crate::condition;
use crate::diagnostic::{Diagnostic, nearest};
use crate::model::rule::{Band, Direction, Lever, PHASES, Severity, Span};
use crate::model::{Catalogue, Dial, Expr, Group, Named, Row, Rule, RuleKind};

/// The kinds of rule.
const KINDS: [&str; 12] = [
    "swap",
    "interaction",
    "process",
    "caution",
    "care",
    "diagnosis",
    "dish",
    "guard",
    "dial",
    "drawback",
    "helper",
    "candidate",
];

#[derive(Deserialize)]
struct RuleFile {
    #[serde(default)]
    rule: Vec<toml::Spanned<Written>>,
}

/// One rule as a file writes it; which fields it needs depends on `kind`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    id: String,
    kind: String,
    #[serde(default = "always")]
    when: String,
    #[serde(default)]
    because: String,
    #[serde(default)]
    strength: String,
    #[serde(default = "memory")]
    source: String,
    #[serde(default)]
    locator: String,
    out: Option<String>,
    #[serde(rename = "in")]
    newcomers: Option<Vec<String>>,
    dose: Option<WrittenSpan>,
    shares: Option<Vec<f64>>,
    jobs: Option<Vec<String>>,
    #[serde(default)]
    lost: String,
    #[serde(default)]
    changes: String,
    effect: Option<String>,
    text: Option<String>,
    severity: Option<String>,
    #[serde(default)]
    standing: bool,
    phase: Option<String>,
    celsius: Option<WrittenSpan>,
    minutes: Option<WrittenSpan>,
    reach: Option<f64>,
    limit: Option<f64>,
    carrier: Option<WrittenSpan>,
    topic: Option<String>,
    asked: Option<Vec<String>>,
    symptom: Option<String>,
    #[serde(default)]
    dishes: Vec<String>,
    class: Option<String>,
    test: Option<String>,
    solute: Option<String>,
    cause: Option<String>,
    lever: Option<WrittenLever>,
    fix: Option<String>,
    usual: Option<WrittenBand>,
    product: Option<String>,
    dial: Option<String>,
    low: Option<f64>,
    high: Option<f64>,
    #[serde(rename = "unit")]
    _unit: Option<String>,
    tolerance: Option<f64>,
    step: Option<f64>,
    guard: Option<f64>,
    guard_edited: Option<f64>,
    only_rise: Option<bool>,
    relative: Option<bool>,
    weight: Option<u8>,
}

#[derive(Deserialize, Clone, Copy)]
struct WrittenSpan {
    low: Option<f64>,
    typical: Option<f64>,
    high: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLever {
    dial: Option<String>,
    direction: Option<String>,
    #[serde(default)]
    out: Vec<String>,
    #[serde(default, rename = "in")]
    newcomers: Vec<String>,
    share: Option<f64>,
    percent: Option<f64>,
}

/// Part of an ingredient that is exchanged where no dial decides: a step a cook can judge.
const HALF: f64 = 0.5;

#[derive(Deserialize)]
struct WrittenBand {
    dial: String,
    low: f64,
    high: f64,
    #[serde(rename = "unit")]
    _unit: Option<String>,
}

fn always() -> String {
    "always".into()
}

fn memory() -> String {
    "memory".into()
}

impl WrittenSpan {
    fn span(self) -> Option<Span> {
        let typical = self.typical.or(match (self.low, self.high) {
            (Some(low), Some(high)) => Some((low + high) / 2.0),
            (low, high) => low.or(high),
        })?;
        let span = Span {
            low: self.low.unwrap_or(typical),
            typical,
            high: self.high.unwrap_or(typical),
        };
        (span.low <= span.typical && span.typical <= span.high).then_some(span)
    }
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
            (written.trim() == key).then(|| (number, line, value.trim()))
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

    fn rule(&self, w: Written) -> Result<Rule, Diagnostic> {
        let id = w.id.clone();
        let need = |what: &str| {
            let key = what.split(' ').next().unwrap_or(what);
            self.wrong(
                "D031",
                &id,
                "kind",
                format!("a rule of kind `{}` needs `{what}`", w.kind),
            )
            .help(format!("add a line `{key} = ...`"))
        };
        match self.catalogue.sources.get(&w.source) {
            None => {
                let near = nearest(&w.source, self.catalogue.sources.keys().map(String::as_str))
                    .map(|n| format!("the nearest source is `{n}`"));
                return Err(self
                    .wrong(
                        "D012",
                        &id,
                        "source",
                        format!("no source has the id `{}`", w.source),
                    )
                    .help(near.unwrap_or("add it to data/sources.csv".into())));
            }
            Some(source) if source.kind.needs_locator() && w.locator.is_empty() => {
                return Err(self
                    .wrong(
                        "D013",
                        &id,
                        "source",
                        format!("a rule from `{}` must say where it stands there", w.source),
                    )
                    .help("fill `locator` with the table, section, page or row"));
            }
            Some(_) => {}
        }
        let when = self.condition(&id, &w.when)?;
        let severity = || {
            let word = w.severity.as_deref().unwrap_or("info");
            Severity::parse(word).ok_or_else(|| {
                self.wrong("D032", &id, "severity", format!("`{word}` is no severity"))
                    .help("one of info, watch, stop")
            })
        };
        let dial_at = |key: &str, name: &str| {
            Dial::parse(name).ok_or_else(|| {
                let ids = Dial::ALL.iter().map(|d| d.1);
                let near = nearest(name, ids.clone()).map(|n| format!("the nearest is `{n}`"));
                let all = || format!("one of {}", ids.clone().collect::<Vec<_>>().join(", "));
                self.wrong("D032", &id, key, format!("a mix has no dial `{name}`"))
                    .help(near.unwrap_or_else(all))
            })
        };
        let dial = |name: &str| dial_at("dial", name);
        let text = || w.text.clone().ok_or_else(|| need("text"));
        let newcomers = || {
            let newcomers = w.newcomers.clone().ok_or_else(|| need("in"))?;
            newcomers
                .iter()
                .try_for_each(|newcomer| self.ingredient(&id, newcomer))?;
            Ok(newcomers)
        };
        let kind = match w.kind.as_str() {
            "swap" => {
                let newcomers = newcomers()?;
                let shares = w
                    .shares
                    .clone()
                    .unwrap_or_else(|| vec![1.0 / newcomers.len() as f64; newcomers.len()]);
                if shares.len() != newcomers.len()
                    || (shares.iter().sum::<f64>() - 1.0).abs() > 0.011
                {
                    return Err(self
                        .wrong(
                            "D033",
                            &id,
                            "shares",
                            "`shares` must have one number per newcomer and add up to 1",
                        )
                        .help(format!(
                            "newcomers: {}; write as many shares, or none for equal ones",
                            newcomers.len()
                        )));
                }
                RuleKind::Swap {
                    out: self.group(&id, w.out.as_deref().ok_or_else(|| need("out"))?)?,
                    newcomers,
                    dose: w
                        .dose
                        .and_then(WrittenSpan::span)
                        .ok_or_else(|| need("dose with low <= typical <= high"))?,
                    shares,
                    jobs: w.jobs.clone().ok_or_else(|| need("jobs"))?,
                    lost: w.lost.clone(),
                    changes: w.changes.clone(),
                }
            }
            "interaction" => RuleKind::Interaction {
                effect: w.effect.clone().ok_or_else(|| need("effect"))?,
                text: text()?,
                severity: severity()?,
            },
            "process" => {
                let phase = w.phase.clone().ok_or_else(|| need("phase"))?;
                if !PHASES.contains(&phase.as_str()) {
                    return Err(self
                        .wrong("D032", &id, "phase", format!("`{phase}` is no phase"))
                        .help(format!("one of {}", PHASES.join(", "))));
                }
                RuleKind::Process {
                    phase,
                    celsius: w.celsius.and_then(WrittenSpan::span),
                    minutes: w.minutes.and_then(WrittenSpan::span),
                    text: text()?,
                    reach: w.reach,
                    limit: w.limit,
                    carrier: w.carrier.and_then(WrittenSpan::span),
                }
            }
            "caution" => RuleKind::Caution {
                severity: severity()?,
                topic: w.topic.clone().ok_or_else(|| need("topic"))?,
                text: text()?,
                standing: w.standing,
            },
            "care" => RuleKind::Care {
                asked: w.asked.clone().ok_or_else(|| need("asked"))?,
                severity: severity()?,
                text: text()?,
            },
            "diagnosis" => RuleKind::Diagnosis {
                symptom: w.symptom.clone().ok_or_else(|| need("symptom"))?,
                dishes: w.dishes.clone(),
                solute: match &w.solute {
                    Some(name) if self.catalogue.property(name).is_none() => {
                        let ids = self.catalogue.properties.iter().map(|p| p.id.as_str());
                        let near = nearest(name, ids).map(|n| format!("the nearest is `{n}`"));
                        return Err(self
                            .wrong(
                                "D032",
                                &id,
                                "solute",
                                format!("no sugar or polyol is called `{name}`"),
                            )
                            .help_opt(near));
                    }
                    solute => solute.clone(),
                },
                test: self.condition(&id, w.test.as_deref().unwrap_or("always"))?,
                cause: w.cause.clone().ok_or_else(|| need("cause"))?,
                lever: match &w.lever {
                    None => None,
                    Some(lever) => Some(self.lever(&id, lever, dial_at)?),
                },
                fix: w.fix.clone().ok_or_else(|| need("fix"))?,
                usual: match &w.usual {
                    None => None,
                    Some(band) => Some(Band {
                        dial: dial_at("usual", &band.dial)?,
                        low: band.low,
                        high: band.high,
                    }),
                },
            },
            "dish" => RuleKind::Dish {
                class: w.class.clone().ok_or_else(|| need("class"))?,
                dishes: w.dishes.clone(),
            },
            "guard" => RuleKind::Guard {
                product: w.product.clone().ok_or_else(|| need("product"))?,
                band: Band {
                    dial: dial(w.dial.as_deref().ok_or_else(|| need("dial"))?)?,
                    low: w.low.unwrap_or(f64::NEG_INFINITY),
                    high: w.high.unwrap_or(f64::INFINITY),
                },
            },
            "dial" => RuleKind::Dial {
                dial: dial(w.dial.as_deref().ok_or_else(|| need("dial"))?)?,
                tolerance: w.tolerance.ok_or_else(|| need("tolerance"))?,
                step: w.step.ok_or_else(|| need("step"))?,
                guard: w.guard.unwrap_or(0.0),
                guard_edited: w.guard_edited.or(w.guard).unwrap_or(0.0),
                only_rise: w.only_rise.unwrap_or(false),
                relative: w.relative.unwrap_or(false),
            },
            "drawback" => RuleKind::Drawback {
                weight: w.weight.ok_or_else(|| need("weight"))?,
                text: text()?,
            },
            "helper" => match newcomers()?.as_slice() {
                [one] => RuleKind::Helper {
                    newcomer: one.clone(),
                },
                _ => {
                    return Err(self
                        .wrong("D032", &id, "in", "a helper is one ingredient")
                        .help("write `in` with one id, and a rule for each other"));
                }
            },
            "candidate" => RuleKind::Candidate {
                out: self.group(&id, w.out.as_deref().ok_or_else(|| need("out"))?)?,
            },
            other => {
                let near = nearest(other, KINDS).map(|n| format!("the nearest is `{n}`"));
                return Err(self
                    .wrong("D032", &id, "kind", format!("`{other}` is no kind of rule"))
                    .help(near.unwrap_or(format!("one of {}", KINDS.join(", ")))));
            }
        };
        Ok(Rule {
            id,
            when,
            kind,
            because: w.because,
            strength: w.strength,
            source: w.source,
            locator: w.locator,
            row: Row {
                file: self.path.to_string(),
                line: self.line,
            },
        })
    }

    fn lever(
        &self,
        id: &str,
        lever: &WrittenLever,
        dial_at: impl Fn(&str, &str) -> Result<Dial, Diagnostic>,
    ) -> Result<Lever, Diagnostic> {
        let dial = match (&lever.dial, lever.direction.as_deref()) {
            (None, None) => None,
            (Some(name), Some("higher")) => Some((dial_at("lever", name)?, Direction::Higher)),
            (Some(name), Some("lower")) => Some((dial_at("lever", name)?, Direction::Lower)),
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
        let out: Result<Vec<Group>, Diagnostic> =
            lever.out.iter().map(|name| self.group(id, name)).collect();
        lever
            .newcomers
            .iter()
            .try_for_each(|newcomer| self.ingredient(id, newcomer))?;
        Ok(Lever {
            dial,
            out: out?,
            newcomers: lever.newcomers.clone(),
            share: lever.share.unwrap_or(HALF),
            percent: lever.percent,
        })
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
