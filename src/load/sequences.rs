//! `data/sequences.toml`: how dishes are made.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::files::Files;
use super::lines::Lines;
use crate::condition;
use crate::diagnostic::{Diagnostic, Problems};
use crate::model::rule::Span;
use crate::model::sequence::{
    Asks, Borrow, Guard, Heat, Keep, Place, PlanRule, Sequence, Sequences, Solids,
};
use crate::model::{Catalogue, Expr};

/// Where it stands.
const PATH: &str = "data/sequences.toml";
/// The source of a step that takes that of the range of its class.
const OF_CLASS: &str = "class";
/// The role of whatever is left.
const REST: &str = "*";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    law: String,
    place: Vec<toml::Spanned<WrittenPlace>>,
    step: BTreeMap<String, toml::Spanned<WrittenStep>>,
    sequence: Vec<toml::Spanned<WrittenSequence>>,
    guard: Vec<toml::Spanned<WrittenGuard>>,
    keep: Vec<toml::Spanned<WrittenKeep>>,
    closing: Vec<toml::Spanned<WrittenKeep>>,
    boiling: Vec<WrittenBoiling>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenBoiling {
    solids: f64,
    celsius: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenPlace {
    role: String,
    #[serde(default)]
    ids: Vec<String>,
    #[serde(default)]
    families: Vec<String>,
    #[serde(default)]
    classes: Vec<String>,
    #[serde(default)]
    noted: Vec<String>,
    when: Option<String>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum WrittenHeat {
    Number(f64),
    Word(String),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenSpan {
    low: f64,
    typical: f64,
    high: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenBorrow {
    from: Vec<String>,
    low: f64,
    typical: f64,
    high: f64,
    #[serde(default)]
    of: Vec<String>,
    #[serde(default)]
    by: Vec<String>,
    #[serde(default)]
    keep: f64,
    #[serde(default)]
    enough: bool,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum WrittenSolids {
    Pan,
    Finished,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenStep {
    phase: String,
    #[serde(default)]
    takes: Vec<String>,
    #[serde(default)]
    needs: Vec<String>,
    #[serde(default)]
    with: Vec<String>,
    #[serde(default)]
    without: Vec<String>,
    #[serde(default)]
    after: String,
    #[serde(default)]
    about: Vec<String>,
    #[serde(default)]
    place: String,
    when: Option<String>,
    solids: Option<WrittenSolids>,
    celsius: Option<WrittenHeat>,
    minutes: Option<WrittenSpan>,
    borrow: Option<WrittenBorrow>,
    #[serde(default)]
    apart: bool,
    #[serde(default)]
    cooks: bool,
    #[serde(default)]
    always: bool,
    #[serde(default)]
    key: String,
    text: String,
    #[serde(default)]
    none: String,
    #[serde(default)]
    sign: String,
    because: String,
    source: String,
    #[serde(default)]
    locator: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenSequence {
    id: String,
    #[serde(default)]
    classes: Vec<String>,
    #[serde(default)]
    kinds: Vec<String>,
    #[serde(default)]
    needs: Vec<String>,
    #[serde(default)]
    without: Vec<String>,
    when: Option<String>,
    outweighs: Option<(String, String)>,
    #[serde(default)]
    cold: bool,
    steps: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenGuard {
    id: String,
    #[serde(default)]
    ids: Vec<String>,
    #[serde(default)]
    roles: Vec<String>,
    when: Option<String>,
    below: f64,
    #[serde(default)]
    stop: bool,
    text: String,
    because: String,
    source: String,
    #[serde(default)]
    locator: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenKeep {
    id: String,
    #[serde(default)]
    classes: Vec<String>,
    #[serde(default)]
    kinds: Vec<String>,
    #[serde(default)]
    needs: Vec<String>,
    #[serde(default)]
    without: Vec<String>,
    when: Option<String>,
    #[serde(default)]
    cold: bool,
    #[serde(default)]
    guard: String,
    celsius: Option<f64>,
    text: String,
    because: String,
    source: String,
    #[serde(default)]
    locator: String,
}

/// Collects problems at their lines.
struct Reader<'a> {
    catalogue: &'a Catalogue,
    lines: Lines<'a>,
    problems: Vec<Diagnostic>,
}

impl Reader<'_> {
    fn problem(&mut self, byte: usize, code: &'static str, message: String, help: &str) {
        let line = self.lines.at(byte);
        let problem = Diagnostic::new(code, PATH, message).at(line, 1);
        let excerpt = self.lines.line(line).to_string();
        self.problems.push(problem.excerpt(excerpt, 1).help(help));
    }

    fn when(&mut self, byte: usize, text: Option<&String>) -> Expr {
        match text.map(|text| condition::parse(text, self.catalogue)) {
            None => Expr::Always,
            Some(Ok(when)) => when,
            Some(Err(found)) => {
                self.problem(byte, "D081", found.message, "mend the condition");
                Expr::Always
            }
        }
    }

    fn ids(&mut self, byte: usize, ids: &[String], families: &[String]) {
        for id in ids {
            if self.catalogue.key(id).is_none() {
                let said = format!("no ingredient has the id `{id}`");
                self.problem(byte, "D080", said, "one of data/ingredients.csv");
            }
        }
        for family in families {
            if !self.catalogue.families().contains(&family.as_str()) {
                let said = format!("no family is called `{family}`");
                self.problem(byte, "D080", said, "one of data/ingredients.csv");
            }
        }
    }

    fn classes(&mut self, byte: usize, classes: &[String]) {
        for class in classes {
            if self.catalogue.classes.get(class).is_none() {
                let said = format!("no class of dishes is called `{class}`");
                self.problem(byte, "D080", said, "one of data/classes.csv");
            }
        }
    }

    fn kinds(&mut self, byte: usize, kinds: &[String]) {
        for kind in kinds {
            if !self.catalogue.classes.list.iter().any(|c| c.kind == *kind) {
                let said = format!("no class is of the kind `{kind}`");
                self.problem(byte, "D080", said, "a kind of data/classes.csv");
            }
        }
    }

    fn roles<'r>(
        &mut self,
        byte: usize,
        known: &[String],
        named: impl Iterator<Item = &'r String>,
    ) {
        for role in named.filter(|role| !known.contains(role) && *role != REST) {
            let said = format!("no place has the role `{role}`");
            self.problem(byte, "D080", said, "one of the roles above");
        }
    }

    fn source(&mut self, byte: usize, source: &str) {
        if source != OF_CLASS && !self.catalogue.sources.contains_key(source) {
            let said = format!("no source is `{source}`");
            self.problem(byte, "D080", said, "one of data/sources.csv");
        }
    }

    fn heat(&mut self, byte: usize, written: Option<&WrittenHeat>) -> Option<Heat> {
        Some(match written? {
            WrittenHeat::Number(celsius) => Heat::Fixed(*celsius),
            WrittenHeat::Word(word) => match word.as_str() {
                "heat" => Heat::Asked,
                "activation" => Heat::Activation,
                "end" => Heat::End,
                "serve" => Heat::Serving,
                "age" => Heat::Ageing,
                "set" => Heat::Setting,
                "draw" => Heat::Draw,
                "above set" => Heat::AboveSet,
                "swell" => Heat::Swelling,
                other => {
                    let said = format!("`{other}` decides no temperature");
                    let help = "a number, or heat, activation, end, serve, age, set, draw, above set, swell";
                    self.problem(byte, "D080", said, help);
                    return None;
                }
            },
        })
    }

    fn keeping(
        &mut self,
        written: Vec<toml::Spanned<WrittenKeep>>,
        roles: &[String],
        guards: &[Guard],
    ) -> Vec<Keep> {
        let mut out = vec![];
        for keep in written {
            let at = keep.span().start;
            let keep = keep.into_inner();
            self.classes(at, &keep.classes);
            self.kinds(at, &keep.kinds);
            self.roles(at, roles, keep.needs.iter().chain(&keep.without));
            self.source(at, &keep.source);
            if !keep.guard.is_empty() && !guards.iter().any(|g| g.id == keep.guard) {
                let said = format!("no guard is called `{}`", keep.guard);
                self.problem(at, "D080", said, "the id of a [[guard]]");
            }
            out.push(Keep {
                id: keep.id,
                classes: keep.classes,
                kinds: keep.kinds,
                asks: Asks {
                    when: self.when(at, keep.when.as_ref()),
                    needs: keep.needs,
                    without: keep.without,
                    outweighs: None,
                    cold: keep.cold,
                },
                guard: keep.guard,
                celsius: keep.celsius,
                text: keep.text,
                because: keep.because,
                source: keep.source,
                locator: keep.locator,
            });
        }
        out
    }
}

/// Reads how dishes are made for a catalogue that holds its classes.
///
/// Errors: a file that does not read (`D080`), an id, family, source, role, step, class or kind that is
/// none (`D080`), a condition that does not read (`D081`).
pub fn sequences(files: &Files, catalogue: &Catalogue) -> Result<Sequences, Problems> {
    let Some(text) = files.text(PATH) else {
        let problem = Diagnostic::new("D006", PATH, "the file is missing");
        return Err(problem
            .help("write it with [[place]], [step.name], [[sequence]]")
            .into());
    };
    let lines = Lines::of(text);
    let written: Written = match toml::from_str(text) {
        Ok(written) => written,
        Err(error) => {
            let line = lines.at(error.span().map_or(0, |span| span.start));
            let said = format!("this is no file of sequences: {}", error.message());
            let problem = Diagnostic::new("D080", PATH, said).at(line, 1);
            let excerpt = lines.line(line).to_string();
            return Err(problem
                .excerpt(excerpt, 1)
                .help("mend what is marked")
                .into());
        }
    };
    let mut reader = Reader {
        catalogue,
        lines,
        problems: vec![],
    };
    let mut out = Sequences {
        law: written.law,
        boiling: (written.boiling.iter())
            .map(|row| (row.solids, row.celsius))
            .collect(),
        ..Sequences::default()
    };
    for place in written.place {
        let at = place.span().start;
        let place = place.into_inner();
        reader.ids(at, &place.ids, &place.families);
        reader.classes(at, &place.classes);
        out.places.push(Place {
            when: reader.when(at, place.when.as_ref()),
            role: place.role,
            ids: place.ids,
            families: place.families,
            classes: place.classes,
            noted: place.noted,
        });
    }
    let roles: Vec<String> = out.places.iter().map(|p| p.role.clone()).collect();
    let known: Vec<String> = written.step.keys().cloned().collect();
    for (id, step) in written.step {
        let at = step.span().start;
        let step = step.into_inner();
        let lent = step.borrow.iter().flat_map(|b| &b.from);
        let named = step.takes.iter().chain(&step.needs).chain(&step.with);
        let named = named.chain(&step.without);
        reader.roles(at, &roles, named.chain(lent));
        for group in step.about.iter().map(|g| g.trim_start_matches('-')) {
            if !catalogue.groups.iter().any(|kin| kin.id == group) {
                let said = format!("no group is called `{group}`");
                reader.problem(at, "D080", said, "one of schema/groups.csv");
            }
        }
        if !step.after.is_empty() && !known.contains(&step.after) {
            let said = format!("no step is called `{}`", step.after);
            reader.problem(at, "D080", said, "write it as [step.name]");
        }
        reader.source(at, &step.source);
        out.steps.push(PlanRule {
            when: reader.when(at, step.when.as_ref()),
            heat: reader.heat(at, step.celsius.as_ref()),
            minutes: step.minutes.map(|m| span(m.low, m.typical, m.high)),
            borrow: step.borrow.map(|b| Borrow {
                parts: span(b.low, b.typical, b.high),
                from: b.from,
                of: b.of,
                by: b.by,
                keep: b.keep,
                enough: b.enough,
            }),
            solids: step.solids.map(|solids| match solids {
                WrittenSolids::Pan => Solids::Pan,
                WrittenSolids::Finished => Solids::Finished,
            }),
            id,
            phase: step.phase,
            takes: step.takes,
            needs: step.needs,
            with: step.with,
            without: step.without,
            after: step.after,
            about: step.about,
            place: step.place,
            apart: step.apart,
            cooks: step.cooks,
            always: step.always,
            key: step.key,
            text: step.text,
            none: step.none,
            sign: step.sign,
            because: step.because,
            source: step.source,
            locator: step.locator,
        });
    }
    for sequence in written.sequence {
        let at = sequence.span().start;
        let sequence = sequence.into_inner();
        let mut steps = vec![];
        for step in &sequence.steps {
            match out.steps.iter().position(|s| s.id == *step) {
                Some(n) => steps.push(n),
                None => {
                    let said = format!("no step is called `{step}`");
                    reader.problem(at, "D080", said, "write it as [step.name]");
                }
            }
        }
        reader.classes(at, &sequence.classes);
        let pair = sequence
            .outweighs
            .iter()
            .flat_map(|(more, less)| [more, less]);
        let named = sequence.needs.iter().chain(&sequence.without).chain(pair);
        reader.roles(at, &roles, named);
        reader.kinds(at, &sequence.kinds);
        let rest = |n: &usize| out.steps[*n].takes.iter().any(|role| role == REST);
        if !steps.iter().any(rest) {
            let said = format!("nothing of `{}` takes what is left", sequence.id);
            reader.problem(at, "D080", said, "add a step that takes `*`");
        }
        out.list.push(Sequence {
            id: sequence.id,
            classes: sequence.classes,
            kinds: sequence.kinds,
            asks: Asks {
                when: reader.when(at, sequence.when.as_ref()),
                needs: sequence.needs,
                without: sequence.without,
                outweighs: sequence.outweighs,
                cold: sequence.cold,
            },
            steps,
        });
    }
    for guard in written.guard {
        let at = guard.span().start;
        let guard = guard.into_inner();
        reader.ids(at, &guard.ids, &[]);
        reader.source(at, &guard.source);
        out.guards.push(Guard {
            id: guard.id,
            when: reader.when(at, guard.when.as_ref()),
            ids: guard.ids,
            roles: guard.roles,
            below: guard.below,
            stop: guard.stop,
            text: guard.text,
            because: guard.because,
            source: guard.source,
            locator: guard.locator,
        });
    }
    out.keeping = reader.keeping(written.keep, &roles, &out.guards);
    out.closing = reader.keeping(written.closing, &roles, &out.guards);
    match reader.problems.is_empty() {
        true => Ok(out),
        false => Err(Problems(reader.problems)),
    }
}

fn span(low: f64, typical: f64, high: f64) -> Span {
    Span { low, typical, high }
}
