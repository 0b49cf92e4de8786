//! A name as the words it is made of, so that plural, word order and spelling do not count.

use crate::model::{Naming, Qualifier, fold};

/// One word of a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    /// Folded, as typed.
    pub typed: String,
    /// In the form in which words are compared.
    pub stem: String,
    /// What it tells beside a name.
    pub qualifier: Option<Qualifier>,
}

/// The words of a text; links such as `of` are left out, E numbers are one word.
pub(super) fn words(text: &str, naming: &Naming) -> Vec<Word> {
    let folded = expanded(&fold(&text.replace('&', " and ")), naming);
    let parts: Vec<&str> = folded.split([' ', '/']).collect();
    let mut out: Vec<Word> = vec![];
    let mut at = 0;
    while at < parts.len() {
        let part = parts[at].trim_matches('.');
        at += 1;
        if part.is_empty() {
            continue;
        }
        // `E 410`, `INS 410` and `E-410` are E410.
        if matches!(part, "e" | "ins") && parts.get(at).is_some_and(|next| numbered(next)) {
            out.push(word(&format!("e{}", parts[at]), naming));
            at += 1;
            continue;
        }
        let number = part.strip_prefix("ins").filter(|rest| numbered(rest));
        let part = number.map_or(part.to_string(), |rest| format!("e{rest}"));
        // `35 %` is one word.
        if part == "%" && out.last().is_some_and(|w| figure(&w.stem)) {
            let last = out.pop().expect("there is a last word");
            out.push(word(&format!("{}%", last.typed), naming));
            continue;
        }
        out.push(word(&part, naming));
    }
    out.retain(|word| word.qualifier != Some(Qualifier::Link));
    out
}

/// A folded text with every phrase and shorthand written as the words it is read as.
fn expanded(folded: &str, naming: &Naming) -> String {
    let mut out = format!(" {} ", folded.replace('/', " / "));
    for (phrase, word) in &naming.phrases {
        let phrase = format!(" {phrase} ");
        if out.contains(&phrase) {
            let there = out.contains(&format!(" {word} "));
            let by = if there {
                " ".to_string()
            } else {
                format!(" {word} ")
            };
            out = out.replace(&phrase, &by);
        }
    }
    // What is read as a word that is there anyway says nothing more: `mango puree alphonso`.
    let mut words: Vec<(&str, bool)> = vec![];
    for word in out.split_whitespace() {
        let plain = word.trim_end_matches('.');
        let known = naming.variants.get(word);
        let known = known.or_else(|| naming.variants.get(plain));
        for read in known.map_or(word, String::as_str).split(' ') {
            let again =
                |(other, variant): &(&str, bool)| *other == read && (known.is_some() || *variant);
            if !words.iter().any(again) {
                words.push((read, known.is_some()));
            }
        }
    }
    let words: Vec<&str> = words.into_iter().map(|(word, _)| word).collect();
    words.join(" ")
}

fn numbered(text: &str) -> bool {
    text.len() >= 3 && text.starts_with(|c: char| c.is_ascii_digit())
}

fn figure(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

fn word(typed: &str, naming: &Naming) -> Word {
    let usual = naming.variants.get(typed);
    let singular = |typed: &str| naming.variants.get(typed.strip_suffix('s')?).cloned();
    let plain = usual.cloned().or_else(|| singular(typed));
    let plain = plain.as_deref().unwrap_or(typed);
    Word {
        stem: stem(plain),
        qualifier: naming.qualifiers.get(plain).copied(),
        typed: typed.to_string(),
    }
}

/// Words longer than this that end in `i` are taken as plurals, in letters.
const ITALIAN: usize = 4;

/// A word without its plural and a mute `e`: `cherries` is `cherry`, `gelatines` is `gelatin`.
pub(super) fn stem(word: &str) -> String {
    if word.chars().count() <= 3 || figure(word) {
        return word.to_string();
    }
    let mut out = word.to_string();
    if out.ends_with('s') && !out.ends_with("ss") && !out.ends_with("us") {
        out.pop();
    }
    if out.ends_with('e') {
        out.pop();
    }
    match out.chars().last() {
        // Italian plurals: `limoni` is `limone`.
        Some('i') if out.len() == word.len() && out.len() > ITALIAN => {
            out.pop();
        }
        Some('i') => out.replace_range(out.len() - 1.., "y"),
        Some('v') => out.replace_range(out.len() - 1.., "f"),
        _ => {}
    }
    out
}

/// The stems in a fixed order, as one key.
pub(super) fn bag<'a>(stems: impl Iterator<Item = &'a str>) -> String {
    let mut stems: Vec<&str> = stems.collect();
    stems.sort_unstable();
    stems.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plural_spelling_and_case_do_not_count() {
        for (typed, other) in [
            ("cherries", "cherry"),
            ("peaches", "peach"),
            ("gelatine", "gelatins"),
            ("leaves", "leaf"),
            ("olives", "olive"),
            ("potatoes", "potato"),
            ("cheeses", "cheese"),
            ("limoni", "limone"),
        ] {
            assert_eq!(stem(typed), stem(other), "{typed}");
        }
    }

    #[test]
    fn an_e_number_and_a_per_cent_are_one_word() {
        let naming = Naming::default();
        let stems = |text: &str| {
            let words = words(text, &naming);
            words.into_iter().map(|w| w.stem).collect::<Vec<_>>()
        };
        assert_eq!(stems("E 410"), ["e410"]);
        assert_eq!(stems("INS410"), ["e410"]);
        assert_eq!(stems("E-471"), ["e471"]);
        assert_eq!(stems("cream 35 %"), ["cream", "35%"]);
    }
}
