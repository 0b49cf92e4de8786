//! The command line: arguments in, the engine's answer out.

mod args;
mod brief;
mod brief_assessment;
mod completeness;
mod curve;
mod export;
mod formula_file;
mod keep;
mod marks;
mod own;
mod page;
mod plan;
mod print_assessment;
mod print_knowledge;
mod print_swap;
mod progress;
mod prompt;
mod writer;

use std::ffi::OsString;
use std::io::{IsTerminal, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use crate::answer::Answer;
use crate::diagnostic::{Diagnostic, Problems};
use crate::engine::{AssessOptions, Engine, SwapOptions, fits};
use crate::formula::Formula;
use crate::load::Files;
use crate::model::{Expr, IngredientKey, Named, fold};
use crate::names::{Outcome, Taken};

use args::{Args, Command, Layout};
use marks::{additions, mark, wish};
use page::Page;
use writer::{inputs, save, write};

/// Exit code for bad input.
const BAD_INPUT: u8 = 2;

/// Runs the program on its arguments.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match Args::try_parse_from(args) {
        Ok(args) => args,
        Err(error) => {
            let printed = error.print();
            if error.use_stderr() {
                return ExitCode::from(BAD_INPUT);
            }
            return ended(writer::told(printed).map(|()| 0));
        }
    };
    ended(execute(&args))
}

/// The exit code, with every problem told.
fn ended(code: Result<u8, Problems>) -> ExitCode {
    match code {
        Ok(code) => ExitCode::from(code),
        Err(problems) => {
            let _ = writeln!(anstream::stderr(), "{problems}");
            ExitCode::from(BAD_INPUT)
        }
    }
}

fn execute(args: &Args) -> Result<u8, Problems> {
    match &args.command {
        Command::Completions { shell } => {
            let mut out = vec![];
            clap_complete::generate(*shell, &mut Args::command(), "tamis", &mut out);
            write(&String::from_utf8_lossy(&out))?;
            return Ok(0);
        }
        Command::Man => {
            let mut out = vec![];
            let _ = clap_mangen::Man::new(Args::command()).render(&mut out);
            write(&String::from_utf8_lossy(&out))?;
            return Ok(0);
        }
        Command::Own { init: Some(folder) } => return own::init(folder),
        _ => {}
    }
    args.command
        .texts()
        .iter()
        .try_for_each(|text| fits(text))?;
    let engine = open(args)?;
    match &args.command {
        Command::Ask { words, formula } => {
            let base = formula
                .as_ref()
                .map(|path| formula_file::read(&engine, path, args.batch))
                .transpose()?;
            if words.is_empty() {
                if std::io::stdin().is_terminal() {
                    return prompt::run(&engine, base.as_ref(), args.json, args.why);
                }
                return Err(Diagnostic::new("Q001", "question", "no question was asked")
                    .help("such as tamis ask \"can I use agar instead of gelatin\"")
                    .into());
            }
            let text = words.join(" ");
            let (text, base) = match base {
                Some(base) => (text, Some(base)),
                None => formula_file::in_question(&engine, &text, args.batch)?,
            };
            let asked = engine.ask(&text, base.as_ref());
            answer(args, &engine, &Answer::Asked(Box::new(asked)))
        }
        Command::Assess {
            formula,
            curve,
            svg,
            overrun,
            serve,
            against,
        } => {
            let mix = formula_file::read(&engine, formula, args.batch)?;
            let options = AssessOptions {
                overrun_percent: *overrun,
                serving_celsius: *serve,
                ..AssessOptions::default()
            };
            let mut assessment = engine.assess(&mix, options);
            let reference = against
                .as_ref()
                .map(|path| formula_file::read(&engine, path, args.batch))
                .transpose()?
                .map(|f| {
                    engine.assess(
                        &f,
                        AssessOptions {
                            doubt: false,
                            ..options
                        },
                    )
                });
            assessment.against = reference
                .as_ref()
                .map(|other| crate::answer::Against::of(&assessment, other));
            if let Some(path) = svg {
                save(path, &inputs(args), &curve::svg(&engine, &mix))?;
            }
            if args.json || !(args.why || *curve || reference.is_some()) {
                return answer(args, &engine, &Answer::Assessment(Box::new(assessment)));
            }
            if let Some(path) = &args.write {
                keep::write(
                    args,
                    path,
                    &Answer::Assessment(Box::new(assessment.clone())),
                )?;
            }
            let mut page = Page::new();
            match (args.why || reference.is_some(), &reference) {
                (false, _) => brief_assessment::print(&mut page, &assessment),
                (true, other) => print_assessment::print(&mut page, &assessment, other.as_ref()),
            }
            if *curve {
                curve::draw(&mut page, &engine, &mix);
            }
            own::named(&mut page, &engine);
            write(&page.text())?;
            Ok(0)
        }
        Command::Plan { formula } => {
            let mix = formula_file::read(&engine, formula, args.batch)?;
            let plan = engine.plan(&mix);
            answer(args, &engine, &Answer::Plan(Box::new(plan)))
        }
        Command::Swap {
            formula,
            replace,
            with,
            amount,
            wanted,
            whole,
        } => {
            let mix = formula_file::read(&engine, formula, args.batch)?;
            let mut assumed = vec![];
            let mut named = |name: &str| {
                let taken = taken(&engine, name)?;
                let meant = &engine.catalogue.ingredient(taken.key).name;
                let each = taken.said.iter();
                assumed.extend(each.map(|said| format!("{name}: {meant}, {said}")));
                Ok::<_, Problems>(taken.key)
            };
            let leaver = named(replace)?;
            let newcomers: Vec<IngredientKey> = (with.iter())
                .map(|name| named(name))
                .collect::<Result<_, _>>()?;
            let wish = wish(&engine, wanted)?;
            let id = |key: &IngredientKey| engine.catalogue.ingredient(*key).id.clone();
            let comes: Vec<String> = newcomers.iter().map(id).collect();
            let options = SwapOptions {
                leavers: vec![(leaver, *amount)],
                entirely: *whole || amount.is_some(),
                newcomers,
                wish,
                understood: wanted.understood(&id(&leaver), &comes),
                assumed,
                ..SwapOptions::default()
            };
            if mix.grams_of(leaver) <= 0.0 {
                return Err(not_in(&mix, &engine.catalogue.ingredient(leaver).name));
            }
            answer(
                args,
                &engine,
                &Answer::Swap(Box::new(engine.swap(&mix, &options))),
            )
        }
        Command::Adjust {
            formula,
            add,
            target,
            scale,
            wanted,
        } => {
            let mut mix = formula_file::read(&engine, formula, args.batch)?;
            if let Some(grams) = scale {
                mix = mix.scaled(grams / mix.grams());
            }
            let mut added = vec![];
            for text in add {
                let lines = additions(&engine, text)?.lines;
                added.extend(lines.iter().map(|line| (line.key, line.grams)));
            }
            if added.is_empty() && target.is_empty() && wanted.is_empty() {
                if scale.is_some() {
                    write(&mix.to_csv(&engine.catalogue))?;
                    return Ok(0);
                }
                return Err(Diagnostic::new("S002", "adjust", "nothing to adjust to").help("name an addition (--add \"200 g dark chocolate\"), a mark (--target \"fat 8\") or a weight (--scale 2000)").into());
            }
            let mut wish = wish(&engine, wanted)?;
            for text in target {
                wish.goals.push(mark(text)?);
            }
            let understood = wanted.understood_adjust(
                &added
                    .iter()
                    .map(|(k, g)| (engine.catalogue.ingredient(*k).id.as_str(), *g))
                    .collect::<Vec<_>>(),
                target,
            );
            answer(
                args,
                &engine,
                &Answer::Swap(Box::new(engine.adjust(
                    &mix,
                    &added,
                    &wish,
                    &understood,
                    &[],
                ))),
            )
        }
        Command::Find {
            words,
            condition,
            function,
            family,
            limit,
        } => {
            let sorts = [("function", function), ("family", family)];
            let mut conditions: Vec<Expr> = vec![];
            for (sort, name) in sorts {
                if let Some(name) = name {
                    let text = format!("{sort} {}", name.trim().to_lowercase().replace(' ', "_"));
                    conditions.push(engine.condition(&text)?);
                }
            }
            if let Some(text) = condition {
                conditions.push(engine.condition(text)?);
            }
            let mut text = words.join(" ");
            let named = engine.catalogue.named(&text) != Named::Unknown;
            // Words that read as a condition are one: `tamis find "fat > 40 % and vegan"`.
            let mut order = None;
            if !text.trim().is_empty() && !named {
                if let Ok(read) = engine.condition(&text) {
                    conditions.insert(0, read);
                    text.clear();
                } else if let Some((rest, read, by)) = engine.searched(&text) {
                    conditions.insert(0, read);
                    (order, text) = (by, rest);
                } else if looks_like_condition(&text) && conditions.is_empty() {
                    conditions.push(engine.condition(&text)?);
                    text.clear();
                } else if let Some(word) = engine.unheeded(&text) {
                    let message = format!("`{word}` in `{text}` was not understood as a condition");
                    return Err(Diagnostic::new("Q002", "find", message)
                        .help("say it as a condition, such as tamis find \"gums and not this is guar-gum\", or ask it in words: tamis ask")
                        .into());
                }
            }
            let expr = match conditions.len() {
                0 => Expr::Always,
                1 => conditions.remove(0),
                _ => Expr::All(conditions),
            };
            let hits = match &order {
                Some(order) => engine.ranked(&text, &expr, order, *limit),
                None => engine.found(&text, &expr, *limit),
            };
            answer(args, &engine, &Answer::Hits(hits))
        }
        Command::Show { name } => {
            let key = ingredient(&engine, &name.join(" "))?;
            answer(args, &engine, &Answer::Profile(Box::new(engine.show(key))))
        }
        Command::Compare { names, by } => {
            let keys = names
                .iter()
                .map(|name| ingredient(&engine, name))
                .collect::<Result<Vec<_>, _>>()?;
            let properties = by
                .iter()
                .map(|p| property(&engine, p))
                .collect::<Result<Vec<_>, _>>()?;
            answer(
                args,
                &engine,
                &Answer::Comparison(engine.compare(&keys, &properties)),
            )
        }
        Command::Export {
            format,
            out,
            condition,
        } => {
            let expr = match condition {
                Some(text) => engine.condition(text)?,
                None => Expr::Always,
            };
            let out = out.as_deref().map(|path| (path, inputs(args)));
            export::run(&engine, *format, out, &expr)
        }
        Command::Sources { kind } => {
            let mut page = Page::new();
            print_knowledge::sources(&mut page, &engine, kind.as_deref())?;
            write(&page.text())?;
            Ok(0)
        }
        Command::Properties => {
            let mut page = Page::new();
            print_knowledge::properties(&mut page, &engine);
            write(&page.text())?;
            Ok(0)
        }
        Command::Completeness { family, format } => {
            let families = engine.catalogue.families();
            let asked = family.as_ref().map(|f| fold(f).replace(' ', "-"));
            if let Some(f) = asked.as_deref().filter(|f| !families.contains(f)) {
                let near = crate::diagnostic::nearest(f, families.iter().copied())
                    .map(|n| format!("the nearest is `{n}`"));
                return Err(Diagnostic::new(
                    "Q017",
                    "family",
                    format!("no family is called `{f}`"),
                )
                .help(near.unwrap_or(format!("one of {}", families.join(", "))))
                .into());
            }
            let found = engine.completeness(asked.as_deref());
            let text = match format {
                _ if args.json => json(&found),
                Layout::Text => {
                    let mut page = Page::new();
                    completeness::text(&mut page, &found);
                    page.text()
                }
                Layout::Markdown => completeness::markdown(&found),
                Layout::Csv => completeness::csv(&found),
            };
            write(&text)?;
            Ok(0)
        }
        Command::Check { .. } => {
            let found = engine.check();
            if found.is_empty() {
                let notes = engine.notes();
                let told: String = notes.iter().map(|n| n.note() + "\n").collect();
                write(&format!(
                    "{told}{} ingredients, {} rules: every check holds{}\n",
                    engine.catalogue.ingredients.len(),
                    engine.catalogue.rules.len(),
                    match notes.len() {
                        0 => String::new(),
                        found => format!(", {found} to be looked at"),
                    }
                ))?;
                return Ok(0);
            }
            Err(Problems(found))
        }
        Command::Own { .. } => {
            let mut page = Page::new();
            own::show(&mut page, &engine);
            write(&page.text())?;
            Ok(0)
        }
        Command::Completions { .. } | Command::Man => Ok(0),
    }
}

fn open(args: &Args) -> Result<Engine, Problems> {
    let folder = match (&args.data, &args.command) {
        (Some(folder), _)
        | (
            None,
            Command::Check {
                folder: Some(folder),
            },
        ) => Some(folder),
        _ => None,
    };
    let (files, cache) = match folder {
        Some(folder) => (Files::folder(folder)?, None),
        None => (Files::embedded(), cache_folder()),
    };
    let engine = own::open(args, files, cache.as_deref())?;
    Ok(match progress::watch() {
        Some(watch) => engine.watched(watch),
        None => engine,
    })
}

/// `TAMIS_CACHE`, else the person's cache folder of the system.
fn cache_folder() -> Option<PathBuf> {
    if let Some(folder) = std::env::var_os("TAMIS_CACHE") {
        return (!folder.is_empty()).then(|| PathBuf::from(folder));
    }
    directories::ProjectDirs::from("", "", "tamis").map(|dirs| dirs.cache_dir().to_path_buf())
}

fn answer(args: &Args, engine: &Engine, answer: &Answer) -> Result<u8, Problems> {
    if let Some(path) = &args.write {
        keep::write(args, path, answer)?;
    }
    let text = if args.json {
        json(&engine.stamped(answer))
    } else {
        let mut page = Page::new();
        print(&mut page, answer, args.why);
        own::named(&mut page, engine);
        page.text()
    };
    write(&text)?;
    Ok(answer.exit_code())
}

fn json(answer: &impl serde::Serialize) -> String {
    serde_json::to_string_pretty(answer)
        .map(|t| t + "\n")
        .unwrap_or_default()
}

/// Prints an answer: in short, or with all reasons, rules and sources.
fn print(page: &mut Page, answer: &Answer, why: bool) {
    match (answer, why) {
        (Answer::Assessment(a), false) => brief_assessment::print(page, a),
        (Answer::Profile(p), false) => brief::profile(page, p),
        (Answer::Hits(h), false) => {
            page.head(&h.summary);
            brief::hits(page, h);
        }
        (Answer::Comparison(c), false) => {
            page.head(&c.summary);
            brief::comparison(page, c);
        }
        (Answer::Swap(s), false) => brief::swap(page, s),
        (Answer::Plan(p), why) => plan::print(page, p, why),
        (Answer::Asked(a), false) => brief::asked(page, a),
        (Answer::Assessment(a), true) => print_assessment::print(page, a, None),
        (Answer::Profile(p), true) => print_knowledge::profile(page, p),
        (Answer::Hits(h), true) => print_knowledge::hits(page, h),
        (Answer::Comparison(c), true) => print_knowledge::comparison(page, c),
        (Answer::Swap(s), true) => print_swap::swap(page, s),
        (Answer::Asked(a), true) => print_swap::asked(page, a),
    }
}

fn ingredient(engine: &Engine, name: &str) -> Result<IngredientKey, Problems> {
    taken(engine, name).map(|taken| taken.key)
}

/// What a name on the command line is taken for.
fn taken(engine: &Engine, name: &str) -> Result<Taken, Problems> {
    match engine.resolve(name) {
        Outcome::Taken(taken) => Ok(taken),
        Outcome::Choice { options, reason } => {
            let options: Vec<&str> = (options.iter())
                .map(|key| engine.catalogue.ingredient(*key).name.as_str())
                .collect();
            let why = match reason.is_empty() {
                true => String::new(),
                false => format!(": {reason}"),
            };
            Err(Diagnostic::new(
                "Q002",
                "name",
                format!("`{name}` can mean {} ingredients{why}", options.len()),
            )
            .help(format!("write one of: {}", options.join("; ")))
            .into())
        }
        Outcome::Unknown {
            fault: Some((why, way_out)),
            ..
        } => Err(Diagnostic::new("Q014", "name", why).help(way_out).into()),
        Outcome::Unknown { near, .. } => {
            let near: Vec<&str> = (near.iter())
                .map(|key| engine.catalogue.ingredient(*key).name.as_str())
                .collect();
            let help = match near.is_empty() {
                true => "`tamis find WORDS` searches".to_string(),
                false => format!("the nearest are {}", near.join("; ")),
            };
            Err(
                Diagnostic::new("Q014", "name", format!("no ingredient is called `{name}`"))
                    .help(help)
                    .into(),
            )
        }
    }
}

fn property(engine: &Engine, name: &str) -> Result<String, Problems> {
    let id = name.trim().to_lowercase().replace([' ', '-'], "_");
    let by_word = engine
        .catalogue
        .words
        .iter()
        .find(|w| w.table == "properties" && fold(&w.word) == fold(name))
        .map(|w| w.meaning.clone());
    let known = engine
        .catalogue
        .property(&id)
        .map(|p| p.id.clone())
        .or(by_word);
    known.ok_or_else(|| {
        let near = crate::diagnostic::nearest(
            &id,
            engine.catalogue.properties.iter().map(|p| p.id.as_str()),
        )
        .map(|n| format!("the nearest is `{n}`"));
        Diagnostic::new(
            "Q009",
            "property",
            format!("no property is called `{name}`"),
        )
        .help(near.unwrap_or("`tamis properties` lists them".into()))
        .into()
    })
}

fn not_in(mix: &Formula, name: &str) -> Problems {
    Diagnostic::new("S001", "swap", format!("{name} is not in {}", mix.name))
        .help("name an ingredient of the formula with --replace")
        .into()
}

fn looks_like_condition(text: &str) -> bool {
    text.contains(['<', '>', '='])
        || text.contains(" free of ")
        || text.starts_with("free of ")
        || text.contains(" between ")
}
