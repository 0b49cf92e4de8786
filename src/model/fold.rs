//! Names compared as a person means them: case, accents, hyphens and spaces do not count.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A text with its first letter in capitals.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Lower case without accents; hyphens, underscores and runs of space become one space.
pub fn fold(text: &str) -> String {
    if text.is_ascii() {
        fold_ascii(text)
    } else {
        fold_any(text)
    }
}

fn fold_any(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut gap = false;
    for c in text.nfkd().filter(|c| !is_combining_mark(*c)) {
        if c.is_alphanumeric() || matches!(c, '%' | '.' | '+' | '/') {
            if gap && !out.is_empty() {
                out.push(' ');
            }
            gap = false;
            match c {
                'œ' | 'Œ' => out.push_str("oe"),
                'æ' | 'Æ' => out.push_str("ae"),
                'ß' => out.push_str("ss"),
                _ => out.extend(c.to_lowercase()),
            }
        } else if c == '\'' || c == '’' {
            // "confectioners' sugar" and "confectioners sugar" are one name.
        } else {
            gap = true;
        }
    }
    out
}

/// The same for a text that has no accents to take off.
fn fold_ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut gap = false;
    for byte in text.bytes() {
        match byte {
            b'0'..=b'9' | b'a'..=b'z' | b'A'..=b'Z' | b'%' | b'.' | b'+' | b'/' => {
                if gap && !out.is_empty() {
                    out.push(' ');
                }
                gap = false;
                out.push(char::from(byte.to_ascii_lowercase()));
            }
            b'\'' => {}
            _ => gap = true,
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{fold, fold_any, fold_ascii};

    #[test]
    fn both_ways_to_fold_agree_where_there_are_no_accents() {
        let every: String = (0..128u8).map(char::from).collect();
        let backwards: String = every.chars().rev().collect();
        for text in [
            every.as_str(),
            backwards.as_str(),
            "",
            "--",
            "  Locust--Bean_gum ",
            "confectioners' sugar",
            "12.5 % W/W",
        ] {
            assert_eq!(fold_ascii(text), fold_any(text), "{text:?}");
        }
    }

    #[test]
    fn case_accents_and_hyphens_do_not_count() {
        for (typed, folded) in [
            ("Crème-fraîche", "creme fraiche"),
            ("  locust   bean_gum ", "locust bean gum"),
            ("E 410", "e 410"),
            ("Confectioners’ Sugar", "confectioners sugar"),
            ("Blätter 2.5 %", "blatter 2.5 %"),
        ] {
            assert_eq!(fold(typed), folded);
        }
    }
}
