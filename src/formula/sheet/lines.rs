//! Lines of text as rows: what is a title, a heading, a comment, an instruction or an ingredient.

use std::sync::LazyLock;

use regex::Regex;

use super::amount::{DEGREE, Pen, Taken, What};
use super::aside::{Aside, aside, instructs, is_total, left_aside, shouted, titled};
use super::cell::{problem, sound};
use super::reading::{Reading, Standing, speaks_of_amount, tidy};
use super::words::{Kind, key};
use super::{Amount, Block, LONGEST_NAME, Row, Sheet, Unit, batch_in};
use crate::diagnostic::{Diagnostic, Place};

/// Longest line that is looked into, bytes.
const LONGEST_LINE: usize = 400;

static BULLET: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"^\s*(?:[-*+•·–—◦▪●○‣☐□✓>]+\s*|\d{1,2}[.)]\s+)").expect("a valid shape")
});
static REMARK: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"\s(?:#|//).*$").expect("a valid shape"));
static SENTENCES: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"\p{Ll}{2,}[.!?]\s+\p{Lu}").expect("a valid shape"));
/// Of ten lines, how many make a list one whose amounts lead.
const MOSTLY: usize = 8;
/// Words from which on a line whose amount is no mass or volume, and any line, reads like prose.
const WORDY: usize = 6;
const LETTER: usize = 12;
/// What a list of bare numbers comes to at least where some of them count eggs, g. Source: common-practice.
const EGGS: f64 = 300.0;
/// Most of a thing that a bare number counts in a list of grams; what some other line weighs at least;
/// and how near to a round sum a list in per cent comes. Source: common-practice.
const FEW: f64 = 12.0;
const BULK: f64 = 50.0;
const ROUND: f64 = 0.01;
/// How near to the sum of the lines the batch in a title comes.
const ROUNDED: f64 = 0.05;
/// Lines of such a weight that make a list one in grams.
const BULKY: usize = 3;
/// A number that is so many times the sum of all others is not that of one line.
const BEYOND: f64 = 3.0;
/// Things in one line, each behind a bare number, from which on the line is a list.
const LISTED: usize = 4;
static BETWEEN: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"[,;]\s+|\s[+&]\s").expect("a valid shape"));
/// When and by whom a message was sent: `[12/03, 09:14] Ana: `.
static STAMP: LazyLock<Regex> = LazyLock::new(|| {
    let date = r"\d{1,4}[/.-]\d{1,2}(?:[/.-]\d{1,4}|\.)?";
    let time = r"\d{1,2}[:.]\d{2}(?::\d{2})?(?:\s?[ap]\.?m\.?)?";
    Regex::new(&format!(
        r"(?i)^\s*(?:\[?(?:{date},?\s+{time}|{time},?\s+{date})\]?|\[{time}\])\s*[-–]?\s*(?:[^:\d]{{1,40}}:\s)?"
    ))
    .expect("a valid shape")
});
/// A figure a line begins with.
static FIGURE: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^\s*[~≈]?\s*(\d+)[\d.,–-]*\s*").expect("a valid shape"));

/// The ingredients of one line, each with its byte, and the heading before them.
type Pieces<'t> = (Option<&'t str>, Vec<(usize, &'t str)>);

/// A line with its place.
#[derive(Debug, Clone)]
pub(super) struct Written {
    pub text: String,
    /// Where the text begins.
    pub place: Place,
    pub excerpt: String,
}

impl Written {
    fn place_of(&self, byte: usize) -> Place {
        let before = self.text.get(..byte).unwrap_or_default().chars().count();
        let column = match self.place.column {
            0 => 0,
            column => column + before,
        };
        Place {
            column,
            ..self.place.clone()
        }
    }
}

/// A row before it is known what its bare numbers count.
struct Entry {
    reading: Reading,
    place: Place,
    amount_place: Place,
    excerpt: String,
    note: String,
    part: String,
    /// An empty line or a rule follows, or stands before it.
    ends_block: bool,
    begins_block: bool,
    prose: bool,
}

/// Lines as the rows of a sheet.
pub(super) fn read(
    lines: &[Written],
    pen: &Pen,
    sheet: &mut Sheet,
    problems: &mut Vec<Diagnostic>,
) {
    let mut entries: Vec<Entry> = vec![];
    let (mut method, mut listed, mut part) = (false, false, String::new());
    let left = |line: &Written, what: &str| (line.place.clone(), left_aside(what, &line.text));
    let parts = |line: Option<&Written>| line.is_none_or(|line| blank(&line.text));
    for (n, line) in lines.iter().enumerate() {
        if line.text.trim().is_empty() {
            continue;
        }
        if line.text.len() > LONGEST_LINE {
            match method || instructs(&line.text, pen) {
                true => sheet.unread.push(left(line, "an instruction")),
                false => {
                    let length = line.text.chars().count();
                    problems.push(too_long(&line.place, &line.excerpt, length));
                }
            }
            continue;
        }
        let stamp = STAMP.find(&line.text).map_or(0, |m| m.end());
        let bullet = BULLET.find(&line.text[stamp..]);
        let bullet = stamp + bullet.map_or(0, |m| m.end());
        let bullet = if bullet < line.text.len() { bullet } else { 0 };
        let (text, note) = remarked(&line.text[bullet..]);
        match aside(text, pen) {
            Some(Aside::Method) => {
                method = true;
                sheet.unread.push(left(line, "a heading"));
                continue;
            }
            Some(Aside::List) => {
                (method, listed) = (false, true);
                sheet.unread.push(left(line, "a heading"));
                continue;
            }
            Some(Aside::Part(head)) => {
                (method, part) = (false, head);
                continue;
            }
            _ if method => {
                sheet.unread.push(left(line, "an instruction"));
                continue;
            }
            Some(Aside::Left(what)) => {
                match titled(text, pen).filter(|_| titles(sheet, &entries, &part)) {
                    Some(name) => sheet.title = name,
                    None => sheet.unread.push(left(line, what)),
                }
                continue;
            }
            None => {}
        }
        if batch_in(text, pen).is_some() {
            sheet.unread.push(left(line, "a line about the batch"));
            continue;
        }
        let told = told(text, pen);
        let passing = told.is_some() && instructs(text, pen);
        if passing {
            sheet.unread.push(left(line, "an instruction"));
        }
        let (head, pieces) = match told {
            Some(told) => told,
            None => pieces(text, pen),
        };
        match head.map(tidy) {
            Some(head)
                if titles(sheet, &entries, &part)
                    && pen.words.begins(Kind::Heading, &head) == 0 =>
            {
                sheet.title = head;
            }
            Some(head) => part = head,
            None => {}
        }
        match corrected(text, &mut entries, pen) {
            Some(Ok(said)) => {
                sheet.said.push(said);
                continue;
            }
            Some(Err(unsure)) => {
                sheet.unsure.push(unsure);
                continue;
            }
            None => {}
        }
        for (at, piece) in pieces {
            let reading = Reading::of(piece, pen);
            let byte = bullet + at;
            let place = line.place_of(byte + reading.at);
            let written = tidy(piece);
            if passing && !reading.measured() {
                continue;
            } else if portions(&reading) {
                sheet
                    .unread
                    .push((place, left_aside("a line about the batch", &written)));
            } else if is_total(&reading.name, pen) {
                sheet.unread.push((place, left_aside("a total", &written)));
            } else if !reading.measured() && instructs(piece, pen) {
                sheet
                    .unread
                    .push((place, left_aside("an instruction", &written)));
            } else if reading.amount.is_none()
                && !reading.taste
                && !listed
                && titles(sheet, &entries, &part)
                && !speaks_of_amount(piece, pen)
            {
                sheet.title = written;
            } else if reading.amount.is_none() && !reading.taste && shouted(unremarked(piece)) {
                part = written;
            } else {
                let amount_at = reading
                    .amount
                    .as_ref()
                    .map_or(piece.trim_end().len(), |(_, _, at)| *at);
                entries.push(Entry {
                    place,
                    amount_place: line.place_of(byte + amount_at),
                    excerpt: line.excerpt.clone(),
                    note: note.to_string(),
                    part: part.clone(),
                    // Of a message without an amount nothing is known.
                    prose: passing
                        || stamp > 0 && reading.amount.is_none()
                        || prose(piece, &reading, pen),
                    ends_block: parts(lines.get(n + 1)),
                    begins_block: parts(n.checked_sub(1).and_then(|n| lines.get(n))),
                    reading,
                });
            }
        }
    }
    title_with_amount(&mut entries, sheet);
    settle(entries, pen, sheet, problems);
}

/// Takes another figure for a line above: "sorry, cream 1.2 not 1", where a line of cream says 1; what is
/// told of it, or the line where it is not plain which it corrects.
fn corrected(text: &str, entries: &mut [Entry], pen: &Pen) -> Option<Result<String, String>> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let bare = |word: &str| {
        word.trim_matches([',', ';', '(', ')', '!', '.'])
            .to_string()
    };
    let number = |word: &str| {
        let taken = pen.amount(&bare(word), true)?;
        (taken.doubt.is_none()).then_some(taken.low)
    };
    let at = words
        .iter()
        .position(|word| pen.words.is(Kind::Instead, &bare(word)))?;
    let old = words.get(at + 1).and_then(|word| number(word))?;
    let new = words[..at]
        .iter()
        .rev()
        .take(2)
        .find_map(|word| number(word))?;
    let keys: Vec<String> = words[..at].iter().map(|word| key(&bare(word))).collect();
    let spoken = |entry: &Entry| {
        let name = key(&entry.reading.name);
        let mut name = name.split(' ').filter(|word| word.chars().count() > 2);
        name.any(|word| keys.iter().any(|key| key == word))
    };
    let says = |entry: &&mut Entry| {
        let amount = entry.reading.amount.as_ref();
        amount.is_some_and(|(taken, ..)| taken.low == old && taken.high == old) && spoken(entry)
    };
    let mut found = entries.iter_mut().filter(says);
    let (Some(entry), None) = (found.next(), found.next()) else {
        return Some(Err(tidy(text)));
    };
    if let Some((taken, ..)) = &mut entry.reading.amount {
        (taken.low, taken.high) = (new, new);
    }
    Some(Ok(format!(
        "`{}` corrects `{}`: {new} was taken for {old}",
        tidy(text),
        entry.excerpt.trim()
    )))
}

/// A line and the remark behind it: "120 g sugar # the brown one".
fn remarked(text: &str) -> (&str, &str) {
    let found = text
        .contains(['#', '/'])
        .then(|| REMARK.find(text))
        .flatten();
    match found.filter(|found| found.start() > 0) {
        Some(found) => (
            &text[..found.start()],
            found
                .as_str()
                .trim_start_matches(['#', '/', ' ', '\t'])
                .trim(),
        ),
        None => (text, ""),
    }
}

/// Whether a line parts those around it: it is empty, or a rule.
fn blank(text: &str) -> bool {
    !text.contains(char::is_alphanumeric)
}

/// A heading without the remark in brackets behind it.
fn unremarked(text: &str) -> &str {
    let (head, _) = text.split_once('(').unwrap_or((text, ""));
    head.trim_end()
}

/// Whether a line without an amount is the title: it stands before everything.
fn titles(sheet: &Sheet, entries: &[Entry], part: &str) -> bool {
    sheet.title.is_empty() && entries.is_empty() && part.is_empty()
}

/// Whether a piece of a line reads like prose: it opens with what to do or runs over a full stop, or
/// its amount stands within many words.
pub(super) fn prose(text: &str, reading: &Reading, pen: &Pen) -> bool {
    if !reading.measured() && tells_condition(text, pen) {
        return true;
    }
    let leads = reading.standing() == Some(Standing::Leads);
    let words = text.split_whitespace().count();
    let wordy = words >= WORDY && reading.amount.is_none() || words >= LETTER;
    !leads && (instructs(text, pen) || SENTENCES.is_match(text) || wordy)
}

/// Whether a line begins with a figure of how a step is done: "82 C and through the sieve".
fn tells_condition(text: &str, pen: &Pen) -> bool {
    let Some(found) = FIGURE.captures(text) else {
        return false;
    };
    let rest = &text[found[0].len()..];
    let length = pen.words.begins(Kind::Condition, rest);
    let figure: f64 = found[1].parse().unwrap_or(f64::INFINITY);
    rest.starts_with(DEGREE) || length > 0 && pen.conditions(&rest[..length], figure)
}

/// The names that share an amount: of `50 g each icing sugar and cornflour`, and of `zest and juice of
/// 3 lemons`.
fn sharing(name: &str, amount: &Amount, pen: &Pen) -> Option<Vec<String>> {
    let join = |text: &str| {
        text.match_indices(' ').find_map(|(at, _)| {
            let next = text[at + 1..].split(' ').next()?;
            let plus = pen.words.is(Kind::Plus, next);
            plus.then(|| {
                (
                    text[..at].to_string(),
                    text[at + 1 + next.len()..].trim().to_string(),
                )
            })
        })
    };
    if pen.words.opens(Kind::Each, name) {
        let (_, rest) = name.split_once(' ')?;
        let (before, after) = join(rest.strip_prefix("of ").unwrap_or(rest))?;
        let after = after.split(',').next().unwrap_or_default().to_string();
        return Some(vec![before, after]);
    }
    let of_things = matches!(amount, Amount::Pieces { piece, .. } if !piece.is_empty());
    let (before, after) = join(name).filter(|_| of_things)?;
    let whole = after.split(' ').enumerate().find_map(|(n, word)| {
        let joins = n > 0 && pen.words.joined(&format!("{word} it")) == "it";
        joins.then(|| after.split(' ').skip(n).collect::<Vec<_>>().join(" "))
    })?;
    Some(vec![format!("{before} {whole}"), after])
}

fn portions(reading: &Reading) -> bool {
    let amount = reading.amount.as_ref();
    amount.is_some_and(|(taken, ..)| taken.what == What::Portions)
}

/// "Vanilla gelato 1 kg" above a list whose amounts stand before the names is its title.
fn title_with_amount(entries: &mut Vec<Entry>, sheet: &mut Sheet) {
    let leads = |entry: &Entry| entry.reading.standing() == Some(Standing::Leads);
    let [first, rest @ ..] = entries.as_slice() else {
        return;
    };
    let apart = first.ends_block && !leads(first) && sheet.title.is_empty();
    let measured = |entry: &Entry| entry.reading.measured();
    let measures = rest.iter().filter(|entry| measured(entry)).count();
    // "Caramel sauce, approx 3 kg" above bare numbers
    let unlike = match measured(first) {
        true => measures == 0,
        false => measures > 1,
    };
    // "Soft serve (10 kg)" above a list whose amounts stand otherwise
    let bracketed = |entry: &&Entry| entry.reading.standing() == Some(Standing::Bracketed);
    let unlike = unlike || bracketed(&first) && !rest.iter().any(|entry| bracketed(&entry));
    let led = rest.iter().filter(|entry| leads(entry)).count();
    // "Stabiliser blend (1 kg premix)" right above what makes 1 kg
    let sum: f64 = rest.iter().filter_map(sure_weight).sum();
    let sums = sure_weight(first).is_some_and(|first| (first - sum).abs() <= ROUNDED * sum);
    let closed = |entry: &Entry| entry.excerpt.trim_end().ends_with(')');
    let above = !leads(first) && closed(first) && !rest.iter().any(closed);
    if above && sums && rest.len() > 2 && sheet.title.is_empty() {
        sheet.title = tidy(&first.excerpt);
        entries.remove(0);
        return;
    }
    if apart && rest.len() > 1 && (unlike || led * 10 >= rest.len() * MOSTLY) {
        sheet.title = tidy(&first.excerpt);
        entries.remove(0);
    }
}

/// The ingredients of one line, each with its byte, and the heading before them: "500 g milk, 200 g
/// cream", "Base: milk 500 g, cream 200 g".
fn pieces<'t>(text: &'t str, pen: &Pen) -> Pieces<'t> {
    if let Some(both) = added(text, pen) {
        return (None, both);
    }
    let whole = (None, vec![(0, text)]);
    if !text.contains([',', ';', '+', '&']) || text.contains('(') {
        return whole;
    }
    let mut pieces = vec![];
    let mut start = 0;
    for found in BETWEEN.find_iter(text) {
        pieces.push((start, &text[start..found.start()]));
        start = found.end();
    }
    pieces.push((start, &text[start..]));
    let standing = |piece: &str| {
        let reading = Reading::of(piece, pen);
        let named = reading.name.chars().any(char::is_alphabetic);
        let each = pen.words.opens(Kind::Each, &reading.name);
        let leads = reading.standing() == Some(Standing::Leads);
        let counts = leads && pen.words.measure(&reading.name).is_none();
        let counts = counts
            && reading
                .amount
                .as_ref()
                .is_some_and(|(taken, ..)| taken.counts());
        ((reading.measured() || counts) && named && !each).then_some(leads)
    };
    let mut head = None;
    // "Base: milk 500 g", "Base = 500 g milk"
    for sign in [": ", " = "] {
        if let Some((before, after)) = pieces[0].1.split_once(sign)
            && standing(after).is_some()
        {
            head = Some(before);
            pieces[0] = (before.len() + sign.len(), after);
            break;
        }
    }
    let first = standing(pieces[0].1);
    let alike = pieces.iter().all(|(_, piece)| standing(piece) == first);
    let measured = Reading::of(pieces[0].1, pen).measured();
    // "550 water, 180 sugar, 60 dextrose, 4 stabiliser. Blend, chill"
    let led = pieces
        .iter()
        .take_while(|(_, piece)| standing(piece) == Some(true));
    let listed = led.count() >= LISTED.max(pieces.len() / 2 + 1);
    if alike && measured && first.is_some() && pieces.len() > 1 {
        (head, pieces)
    } else if listed {
        for (_, piece) in &mut pieces {
            *piece = piece.split(". ").next().unwrap_or(piece);
        }
        (head, pieces)
    } else {
        whole
    }
}

/// The ingredients that a sentence names with their amounts, each with its byte, and the heading before
/// them: "the dries: 300 g sugar and 60 g dextrose, mixed well", "blend in 20 g lemon juice".
fn told<'t>(text: &'t str, pen: &Pen) -> Option<Pieces<'t>> {
    let instructs = instructs(text, pen);
    // What is served, filled or dusted with it is no part of the mix.
    let out = |word: &str| pen.words.detail(Kind::Verb, word) == Some("out");
    let word = |c: char| !c.is_alphabetic();
    if instructs && text.split(word).any(out) {
        return None;
    }
    let amount = |at: usize| {
        let opened = text[..at].matches('(').count() > text[..at].matches(')').count();
        let figure = text[at..].starts_with(|c: char| c.is_numeric());
        let taken = (figure && !opened).then(|| pen.amount(&text[at..], false))??;
        let rest = text[at + taken.end..].trim_start();
        let named = rest.starts_with(char::is_alphabetic);
        (taken.measured() && named).then_some(at + taken.end)
    };
    let joined = |before: &str| {
        let before = before.trim_end();
        let last = before.rsplit(' ').next().unwrap_or_default();
        let joins = [Kind::Plus, Kind::Lead];
        let joins = joins.iter().any(|kind| pen.words.is(*kind, last));
        before.is_empty() || before.ends_with([',', ';', ':']) || joins
    };
    let mut starts: Vec<usize> = vec![];
    let places = std::iter::once(0).chain(text.match_indices(' ').map(|(at, _)| at + 1));
    for at in places {
        let within = starts.last().and_then(|last| amount(*last));
        let free = within.is_none_or(|end| at >= end);
        if free && (instructs || joined(&text[..at])) && amount(at).is_some() {
            starts.push(at);
        }
    }
    let first = *starts.first()?;
    let before = text[..first].trim_end();
    let head = before.strip_suffix(':');
    let leads = pen.words.is(Kind::Lead, before);
    let listed = starts.len() > 1 && (first == 0 || head.is_some() || leads);
    if !listed && !instructs || first == 0 && starts.len() == 1 {
        return None;
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    let (mut cut, mut counted) = (false, false);
    let pieces = starts.iter().zip(ends).map(|(&start, end)| {
        let piece = &text[start..end];
        // A remark behind a comma, or the next sentence; the point of "ozs." is none.
        let from = amount(start).map_or(0, |end| end - start).min(piece.len());
        let stop = piece[from..]
            .find(", ")
            .into_iter()
            .chain(piece[from..].find(". "));
        let stop = stop.min().map(|stop| from + stop);
        let short = stop.map_or(piece, |stop| &piece[..stop]);
        let short = short.trim_end_matches([' ', ',', ';', '.']);
        let last = short.rsplit(' ').next().unwrap_or_default();
        let joins = pen.words.is(Kind::Plus, last) || pen.words.is(Kind::Lead, last);
        let short = match joins {
            true => short[..short.len() - last.len()].trim_end_matches([' ', ',']),
            false => short,
        };
        let beyond = piece[stop.unwrap_or(piece.len())..].trim_matches([' ', ',', ';', '.']);
        counted |= beyond.contains(char::is_numeric);
        cut |= !beyond.is_empty() && !pen.words.is(Kind::Plus, beyond);
        (start, short)
    });
    let pieces: Vec<(usize, &str)> = pieces.collect();
    // Plain lists, and those that count things as well, are read as such.
    let remarked = cut && !counted && (pieces.len() > 2 || head.is_some()) || leads;
    (instructs || remarked).then_some((head, pieces))
}

/// "3 large eggs, plus 1 large yolk" is two things, each led by its amount; so is "alginate 5 g in 1 l
/// water", and what stands before a colon is said of both.
fn added<'t>(text: &'t str, pen: &Pen) -> Option<Vec<(usize, &'t str)>> {
    let leads = |piece: &str| {
        let reading = Reading::of(piece, pen);
        let named = reading.name.chars().any(char::is_alphabetic);
        named && reading.standing() == Some(Standing::Leads)
    };
    let measured = |piece: &str| {
        let reading = Reading::of(piece, pen);
        reading.measured() && reading.name.chars().any(char::is_alphabetic)
    };
    text.match_indices(' ').find_map(|(at, _)| {
        let word = text[at + 1..].split(' ').next()?;
        let start = at + 1 + word.len();
        let rest = text[start..].trim_start();
        let digit = rest.starts_with(|c: char| c.is_numeric());
        let before = text[..at].trim_end_matches([',', ' ']);
        let head = before
            .split_once(": ")
            .map_or(0, |(head, _)| head.len() + 2);
        let plus = || pen.words.is(Kind::Plus, word) && leads(before) && leads(rest);
        let held = || {
            let open = before.contains('(');
            let lead = pen.words.is(Kind::Lead, word) && !open;
            lead && measured(&before[head..]) && measured(rest) && leads(rest)
        };
        let both = digit && (plus() || held());
        both.then(|| vec![(head, &before[head..]), (text.len() - rest.len(), rest)])
    })
}

/// Entries as rows, once it is known whether the lines have units.
fn settle(entries: Vec<Entry>, pen: &Pen, sheet: &mut Sheet, problems: &mut Vec<Diagnostic>) {
    // A pinch of salt says nothing of what the other numbers count.
    let weighed = |entry: &Entry| match entry.reading.amount.as_ref().map(|(taken, ..)| &taken.what)
    {
        Some(What::Unit(Unit::Gram(_))) => true,
        Some(What::Unit(Unit::Millilitre(each))) => *each >= 1.0,
        _ => false,
    };
    let measured = entries.iter().any(|entry| !entry.prose && weighed(entry));
    let things = counts_things(&entries);
    let led = !measured && led_by_grams(&entries);
    let sure: f64 = entries.iter().filter_map(sure_weight).sum();
    let rest = rest_of_percent(&entries, pen);
    let mut sum = 0.0;
    let blocks = blocks(&entries);
    for (entry, block) in entries.into_iter().zip(blocks) {
        let Reading {
            mut name,
            amount,
            taste,
            ..
        } = entry.reading;
        let mut said = match taste {
            true => Amount::ToTaste,
            false => Amount::Missing,
        };
        let mut percent = None;
        if let Some((mut taken, standing, _)) = amount {
            // "cream 36 600" in a batch of 2 kg is 600 of cream 36.
            if let (true, Some((whole, part))) = (taken.spaced, taken.doubt)
                && whole > BEYOND * sure
                && part <= sure
            {
                name = tidy(&format!("{name} {}", ((whole - part) / 1000.0).round()));
                taken = Taken {
                    low: part,
                    high: part,
                    doubt: None,
                    ..taken
                };
            }
            let share = taken.what == What::Percent && standing == Standing::Trails && measured;
            let trails = matches!(standing, Standing::Parted | Standing::Trails);
            // "yolks 4" in a list of grams; nobody counts "butter 120"
            let few = taken.low.fract() == 0.0 && taken.low <= FEW;
            let counted = things && few && !pen.piece_in(&name).is_empty();
            let grams = match (measured, trails) {
                (false, true) => !counted,
                (true, true) => taken.low >= BULK,
                (false, false) => led && !counted,
                (true, false) => false,
            };
            match sound(taken) {
                // "water to 100 %"
                Ok(taken) if rest.is_some() && fills_up(&name, &taken, pen) => {
                    name = hedge_off(&name);
                    said = Amount::Percent(rest.unwrap_or_default());
                }
                // "cream 35 %" beside lines in grams says which cream, "salt 1 %" how much.
                Ok(taken) if share => {
                    percent = Some((name, taken.low));
                    name = tidy(entry.excerpt.trim());
                }
                Ok(taken) => said = taken.amount(grams.then_some(Unit::Gram(1.0))),
                Err(fault) => {
                    let text = amount_text(&entry.excerpt, &entry.amount_place);
                    problems.push(fault.told(&text, &entry.amount_place, &entry.excerpt, pen));
                }
            }
        }
        if let Amount::Pieces { piece, .. } = &mut said
            && piece.is_empty()
        {
            *piece = pen.piece_in(&name);
        }
        if name.is_empty() && sums_up(&said, sum) {
            sheet
                .unread
                .push((entry.place, left_aside("a total", &entry.excerpt)));
            continue;
        }
        let row = Row {
            place: entry.place,
            amount_place: entry.amount_place,
            excerpt: entry.excerpt,
            typed: String::new(),
            amount: said,
            note: entry.note,
            part: entry.part,
            prose: entry.prose,
            share: percent,
            block,
        };
        for typed in sharing(&name, &row.amount, pen).unwrap_or(vec![name]) {
            sum += weight(&row.amount);
            push(
                Row {
                    typed,
                    ..row.clone()
                },
                sheet,
                problems,
            );
        }
    }
}

/// Where each line stands among the others.
fn blocks(entries: &[Entry]) -> Vec<Block> {
    let each = entries.iter().enumerate().map(|(n, entry)| {
        let next = entries.get(n + 1);
        let listed = next.is_some_and(|next| next.reading.amount.is_some());
        match (n, entry.ends_block, entry.begins_block) {
            (0, true, _) => Block::Above,
            (_, false, true) if listed => Block::Opens,
            _ => Block::Within,
        }
    });
    each.collect()
}

/// What a line weighs, where its amount can be read one way.
fn sure_weight(entry: &Entry) -> Option<f64> {
    let (taken, ..) = entry.reading.amount.as_ref()?;
    match (&taken.what, taken.doubt) {
        (What::Unit(Unit::Gram(each) | Unit::Millilitre(each)), None) => Some(taken.low * each),
        // "Pistachio gelato x 1000"
        (What::Bare, None) => Some(taken.low),
        (What::Piece(piece, _), None) if piece.is_empty() => Some(taken.low),
        _ => None,
    }
}

/// Whether a list of bare numbers may count some things: its numbers are those of a batch, and their sum
/// is no round one, as that of a list in per cent or per kilogram is.
fn counts_things(entries: &[Entry]) -> bool {
    let bare = |entry: &Entry| match &entry.reading.amount {
        Some((taken, ..)) if taken.what == What::Bare => Some(taken.low),
        _ => None,
    };
    let numbers: Vec<f64> = entries.iter().filter_map(bare).collect();
    let sum: f64 = numbers.iter().sum();
    let round = [100.0, 1000.0, 10_000.0]
        .iter()
        .any(|whole| (sum - whole).abs() <= ROUND * whole);
    !round && sum >= EGGS && numbers.iter().any(|number| *number >= BULK)
}

/// Whether the numbers that lead the lines of a list without units are grams: "300 sugar", "150 water".
fn led_by_grams(entries: &[Entry]) -> bool {
    let leads = |entry: &&Entry| entry.reading.standing() == Some(Standing::Leads);
    let bare = |entry: &&Entry| match &entry.reading.amount {
        Some((taken, ..)) => taken.what == What::Bare && taken.low >= BULK,
        None => false,
    };
    let led = entries.iter().filter(leads);
    led.filter(bare).count() >= BULKY
}

/// Whether a line says that its thing fills up to the whole: "water to 100 %".
fn fills_up(name: &str, taken: &Taken, pen: &Pen) -> bool {
    let last = name.rsplit(' ').next().unwrap_or_default();
    taken.what == What::Percent && taken.low == 100.0 && pen.words.is(Kind::To, last)
}

/// A name without the word that led up to its amount.
fn hedge_off(name: &str) -> String {
    let (before, _) = name.rsplit_once(' ').unwrap_or((name, ""));
    tidy(before.trim_end_matches([',', ' ']))
}

/// What the other lines in per cent leave of a hundred.
fn rest_of_percent(entries: &[Entry], pen: &Pen) -> Option<f64> {
    let percents = entries.iter().filter_map(|entry| {
        let (taken, ..) = entry.reading.amount.as_ref()?;
        let plain = taken.what == What::Percent && !fills_up(&entry.reading.name, taken, pen);
        plain.then_some((taken.low + taken.high) / 2.0)
    });
    let rest = 100.0 - percents.sum::<f64>();
    (rest > 0.0 && rest < 100.0).then_some(rest)
}

/// Adds a row, unless its name is too long.
pub(super) fn push(row: Row, sheet: &mut Sheet, problems: &mut Vec<Diagnostic>) {
    let length = row.typed.chars().count();
    if length > LONGEST_NAME {
        problems.push(too_long(&row.place, &row.excerpt, length));
    } else {
        sheet.rows.push(row);
    }
}

/// The amount as written, for a message.
fn amount_text(line: &str, place: &Place) -> String {
    let rest = line.chars().skip(place.column.saturating_sub(1));
    rest.take_while(|c| c.is_ascii_digit() || matches!(c, ' ' | '.' | ',' | '\'' | '-'))
        .collect::<String>()
        .trim()
        .to_string()
}

/// What an amount weighs in sums: grams, and a millilitre as one.
pub(super) fn weight(amount: &Amount) -> f64 {
    match amount {
        Amount::Measure {
            low,
            unit: Unit::Gram(factor) | Unit::Millilitre(factor),
            ..
        } => low * factor,
        Amount::Percent(percent) => *percent,
        _ => 0.0,
    }
}

/// Whether an amount is the sum of those above it, as far as sums are rounded.
pub(super) fn sums_up(amount: &Amount, sum: f64) -> bool {
    let amount = match amount {
        Amount::Pieces { low, .. } => *low,
        amount => weight(amount),
    };
    sum > 0.0 && (amount - sum).abs() <= 0.005 * sum
}

fn too_long(place: &Place, excerpt: &str, length: usize) -> Diagnostic {
    let message = format!("the name has {length} characters, {LONGEST_NAME} at most");
    problem("F013", message, place, excerpt, 1).help("shorten it")
}
