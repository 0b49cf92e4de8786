//! Adjectives of degree: one row `sweet, relative_sweetness, more` stands for `how sweet`, `sweeter`,
//! `sweetest`, `most sweet`, `least sweet` and `sweetest first`.

use crate::model::{Word, fold};

/// The table of adjectives: word, property, and whether more of the word is `more` or `less` of it.
pub(super) const TABLE: &str = "degrees";

/// Adds to the words what the adjectives among them stand for. A row of its own table wins.
pub(super) fn spread(words: &mut Vec<Word>) {
    let stated: Vec<(String, String)> = (words.iter())
        .filter(|word| word.table != TABLE)
        .map(|word| (word.table.clone(), fold(&word.word)))
        .collect();
    let known = |table: &str, phrase: &str| {
        let row = (table.to_string(), fold(phrase));
        stated.contains(&row)
    };
    let mut out = vec![];
    for adjective in words.iter().filter(|word| word.table == TABLE) {
        let mut add = |table: &str, phrase: String, meaning: &str, detail: &str| {
            if !known(table, &phrase) {
                out.push(Word {
                    table: table.to_string(),
                    word: phrase,
                    meaning: meaning.to_string(),
                    detail: detail.to_string(),
                });
            }
        };
        let (word, property) = (adjective.word.as_str(), adjective.meaning.as_str());
        let (most, least) = match adjective.detail.as_str() {
            "less" => ("least", "most"),
            _ => ("most", "least"),
        };
        let way = adjective.detail.as_str();
        add("properties", format!("how {word}"), property, way);
        let mut tops = vec![
            (format!("most {word}"), most),
            (format!("least {word}"), least),
        ];
        match forms(word) {
            Some((comparative, superlative)) => {
                if !known("qualities", &comparative) {
                    add("properties", comparative, property, way);
                }
                tops.push((superlative, most));
            }
            // `more viscous`: the word itself says of what.
            None => add("properties", word.to_string(), property, way),
        }
        for (phrase, end) in tops {
            add("superlatives", format!("{phrase} first"), end, property);
            add("superlatives", phrase, end, property);
        }
    }
    words.extend(out);
}

/// `sweeter`, `sweetest`; `None` for a word that takes `more` and `most`.
fn forms(word: &str) -> Option<(String, String)> {
    let vowel = |c: char| "aeiou".contains(c);
    let letters: Vec<char> = word.chars().collect();
    let groups = (letters.iter().enumerate())
        .filter(|&(n, &c)| vowel(c) && (n == 0 || !vowel(letters[n - 1])))
        .count();
    let silent = usize::from(word.ends_with('e'));
    let ends = |stem: &str| Some((format!("{stem}er"), format!("{stem}est")));
    match &letters[..] {
        _ if word.contains(' ') => None,
        [stem @ .., 'y'] => ends(&format!("{}i", stem.iter().collect::<String>())),
        _ if groups.saturating_sub(silent) > 1 => None,
        [stem @ .., 'e'] => ends(&stem.iter().collect::<String>()),
        // `wetter`
        [.., before, middle, last] if !vowel(*before) && vowel(*middle) && !vowel(*last) => {
            ends(&format!("{word}{last}"))
        }
        _ => ends(word),
    }
}

#[cfg(test)]
mod tests {
    use super::forms;

    #[test]
    fn adjectives_are_compared_as_english_compares_them() {
        for (word, comparative) in [
            ("sweet", Some("sweeter")),
            ("fatty", Some("fattier")),
            ("wet", Some("wetter")),
            ("dense", Some("denser")),
            ("dear", Some("dearer")),
            ("viscous", None),
            ("energy dense", None),
        ] {
            let found = forms(word).map(|(comparative, _)| comparative);
            assert_eq!(found.as_deref(), comparative, "{word}");
        }
    }
}
