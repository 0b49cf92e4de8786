//! Text to tokens: words, numbers and signs with their places. Knows no vocabulary.

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum TokenKind {
    /// Letters, with digits inside: `agar`, `e410`, `don't`.
    Word,
    /// A figure: `12`, `-18`, `0.5`, `1/2`, `1,5`.
    Number(f64),
    /// Anything else that is not space: `%`, `;`, `<`.
    Sign,
}

/// One token and the bytes of the text it stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// First byte.
    pub start: usize,
    /// Byte after the last.
    pub end: usize,
}

/// The tokens of a text. Hyphens and underscores part words; `60C` is a number and a word.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut out: Vec<Token> = vec![];
    let mut rest = text.char_indices().peekable();
    while let Some(&(start, c)) = rest.peek() {
        if c.is_ascii_digit() || (starts(c) && starts_number(text, start)) {
            let (value, length) = number(&text[start..]);
            let end = start + length;
            while rest.next_if(|(at, _)| *at < end).is_some() {}
            out.push(Token {
                kind: TokenKind::Number(value),
                start,
                end,
            });
        } else if let Some(value) = fraction(c) {
            rest.next();
            out.push(Token {
                kind: TokenKind::Number(value),
                start,
                end: start + c.len_utf8(),
            });
        } else if c.is_alphabetic() || c == '°' {
            let mut end = start;
            while let Some((at, c)) =
                rest.next_if(|(_, c)| c.is_alphanumeric() || matches!(c, '\'' | '’' | '°'))
            {
                end = at + c.len_utf8();
            }
            out.push(Token {
                kind: TokenKind::Word,
                start,
                end,
            });
        } else {
            rest.next();
            if !c.is_whitespace() && !matches!(c, '-' | '_' | '–' | '—' | '\'' | '’' | '"' | '`')
            {
                out.push(Token {
                    kind: TokenKind::Sign,
                    start,
                    end: start + c.len_utf8(),
                });
            }
        }
    }
    out
}

/// What may stand before the first digit of a number: a minus or a bare decimal point.
fn starts(c: char) -> bool {
    is_minus(c) || c == '.'
}

fn is_minus(c: char) -> bool {
    matches!(c, '-' | '−')
}

/// A minus sign or a bare point belongs to the number when a digit follows and no word stands right before it.
fn starts_number(text: &str, at: usize) -> bool {
    let before = text[..at].chars().next_back();
    let after = text[at..].chars().nth(1);
    after.is_some_and(|c| c.is_ascii_digit()) && !before.is_some_and(char::is_alphanumeric)
}

fn fraction(c: char) -> Option<f64> {
    match c {
        '½' => Some(0.5),
        '¼' => Some(0.25),
        '¾' => Some(0.75),
        '⅓' => Some(1.0 / 3.0),
        '⅔' => Some(2.0 / 3.0),
        _ => None,
    }
}

/// The number a text begins with and how many bytes it takes: `1/2`, `1,000`, `2,5`, `-18`.
fn number(text: &str) -> (f64, usize) {
    let sign_length = text
        .chars()
        .next()
        .filter(|c| is_minus(*c))
        .map_or(0, char::len_utf8);
    let body = &text[sign_length..];
    let length = body
        .find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',' | '/'))
        .unwrap_or(body.len());
    let written = body[..length].trim_end_matches(['.', ',', '/']);
    let value = match written.split_once('/') {
        Some((over, under)) => match (over.parse::<f64>(), under.parse::<f64>()) {
            (Ok(over), Ok(under)) if under != 0.0 => over / under,
            _ => f64::NAN,
        },
        None => decimal(written),
    };
    let signed = if sign_length > 0 { -value } else { value };
    (signed, sign_length + written.len())
}

/// A comma before exactly three digits groups thousands; any other comma is a decimal point.
fn decimal(written: &str) -> f64 {
    let grouped = written
        .rsplit_once(',')
        .is_some_and(|(_, tail)| tail.len() == 3 && tail.chars().all(|c| c.is_ascii_digit()));
    let plain = if grouped {
        written.replace(',', "")
    } else {
        written.replace(',', ".")
    };
    plain.parse().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::{TokenKind, tokens};

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, value) in [
            ("200g", 200.0),
            ("-18 C", -18.0),
            ("1/2 cup", 0.5),
            ("½ cup", 0.5),
            ("1,000 g", 1000.0),
            ("2,5 %", 2.5),
            ("0.25.", 0.25),
            (".25 %", 0.25),
        ] {
            assert_eq!(tokens(text)[0].kind, TokenKind::Number(value), "{text}");
        }
    }

    #[test]
    fn a_hyphen_inside_a_word_is_no_minus() {
        let words: Vec<&str> = {
            let text = "dark-chocolate-70 e410";
            tokens(text).iter().map(|t| &text[t.start..t.end]).collect()
        };
        assert_eq!(words, ["dark", "chocolate", "70", "e410"]);
    }
}
