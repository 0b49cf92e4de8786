//! Signs that stand for words: `=>`, `+150 g`, `↑`, `✗`, `@`, `~~struck~~`.

/// Marks after or before a thing that goes.
const CROSSES: [char; 6] = ['✗', '✘', '✖', '❌', '⊘', '☓'];

/// Signs and the words they stand for.
const SPOKEN: [(&str, &str); 27] = [
    ("<->", "→"),
    ("<=>", "→"),
    ("-->", "→"),
    ("==>", "→"),
    ("->", "→"),
    ("↔", "→"),
    ("⇄", "→"),
    ("⇆", "→"),
    ("⇔", "→"),
    ("⇒", "→"),
    ("⟶", "→"),
    ("➔", "→"),
    ("➜", "→"),
    ("⬆", "↑"),
    ("▲", "↑"),
    ("↗", "↑"),
    ("⬇", "↓"),
    ("▼", "↓"),
    ("↘", "↓"),
    ("≈", " about "),
    ("@", " at "),
    ("×", " x "),
    ("⅕", " 1/5 "),
    ("⅛", " 1/8 "),
    ("¿", " "),
    ("¡", " "),
    ("…", " "),
];

/// The text with its signs as words, or as the one sign the grammar knows.
pub(super) fn with_signs_spoken(text: &str) -> String {
    let mut out = struck_out(text);
    for (sign, spoken) in SPOKEN {
        if out.contains(sign) {
            out = out.replace(sign, spoken);
        }
    }
    out = arrows_or_bounds(&out);
    out = crossed_out(&out);
    out = raised_and_lowered(&out);
    out = added(&out);
    out = changed_by(&out);
    asked(&out)
}

/// `~~egg~~`, and letters with a stroke through each: a thing that goes.
fn struck_out(text: &str) -> String {
    const STROKES: [char; 2] = ['\u{336}', '\u{335}'];
    let cross = CROSSES[0];
    let mut out = String::with_capacity(text.len());
    let parts: Vec<&str> = text.split("~~").collect();
    for (at, part) in parts.iter().enumerate() {
        out.push_str(part);
        if at % 2 == 1 && at + 1 < parts.len() {
            out.push(cross);
        }
    }
    if !out.contains(STROKES) {
        return out;
    }
    let mut plain = String::with_capacity(out.len());
    let mut struck = false;
    let mut letters = out.chars().peekable();
    while let Some(letter) = letters.next() {
        if STROKES.contains(&letter) {
            continue;
        }
        let here = letters.peek().is_some_and(|next| STROKES.contains(next));
        if struck && !here {
            plain.push(cross);
            struck = false;
        }
        struck |= here;
        plain.push(letter);
    }
    if struck {
        plain.push(cross);
    }
    plain
}

/// `fat => 8 %` bounds, `butter => oil` swaps.
fn arrows_or_bounds(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("=>") {
        let (before, after) = (&rest[..at], &rest[at + 2..]);
        out.push_str(before);
        let figure = after.trim_start().starts_with(|c: char| c.is_ascii_digit());
        out.push_str(if figure { "≥" } else { "→" });
        rest = after;
    }
    out.push_str(rest);
    out
}

/// `egg yolk ✗ → lecithin`: the arrow says it; `✗ egg` and `egg ✗`: it goes.
fn crossed_out(text: &str) -> String {
    let Some(at) = text.find(CROSSES) else {
        return text.to_string();
    };
    let cross = text[at..].chars().next().map_or(0, char::len_utf8);
    let (before, after) = (&text[..at], text[at + cross..].trim_start());
    let opens = before.trim_end();
    let leads = opens.is_empty() || opens.ends_with([',', ';', ':', '.', '?', '!']);
    let spoken = match () {
        () if after.starts_with('→') => " ",
        () if leads => " without ",
        () => " must go ",
    };
    crossed_out(&format!("{}{spoken}{after}", before.trim_end()))
}

/// `lactose ↓` is `lactose lower`, `fibre ↑ 20 %` is `raise fibre by 20 %`.
fn raised_and_lowered(text: &str) -> String {
    if !text.contains(['↑', '↓']) {
        return text.to_string();
    }
    let clause = |part: &str| {
        let (Some(at), sign) = (part.find(['↑', '↓']), part.contains('↑')) else {
            return part.to_string();
        };
        let verb = if sign { "raise" } else { "lower" };
        let (before, after) = (part[..at].trim(), part[at + '↑'.len_utf8()..].trim());
        let figure = after.starts_with(|c: char| c.is_ascii_digit());
        let one = !after.contains(['↑', '↓']) && !before.contains(' ');
        match () {
            () if before.is_empty() => format!("{verb} {after}"),
            () if figure && one => format!("{verb} {before} by {after}"),
            () if figure => format!("{before} {verb} by {after}"),
            () if one => format!("{verb} {before} {after}"),
            () => format!("{before} {verb} {after}"),
        }
    };
    let parts: Vec<String> = text.split(", ").map(clause).collect();
    let out = parts.join(", ");
    out.replace('↑', " raise ").replace('↓', " lower ")
}

/// `+150 g dark rum` at the start of a clause: it is added.
fn added(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut opens = true;
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        if letter == '+' && opens {
            while letters.next_if(|c| c.is_whitespace()).is_some() {}
            let figure = letters.peek().is_some_and(char::is_ascii_digit);
            out.push_str(if figure { "add " } else { "+ " });
            opens = false;
            continue;
        }
        opens =
            matches!(letter, ',' | ';' | '.' | '?' | '!' | '\n') || opens && letter.is_whitespace();
        out.push(letter);
    }
    out
}

/// `sugar -10 %`: a signed share after a word changes it by so much.
fn changed_by(text: &str) -> String {
    const LEADS: [&str; 14] = [
        "to", "at", "of", "than", "below", "above", "is", "from", "between", "and", "about", "or",
        "by", "until",
    ];
    let mut out = String::with_capacity(text.len());
    let mut before = "";
    let words: Vec<&str> = text.split(' ').collect();
    for (at, word) in words.iter().enumerate() {
        let verb = match word.chars().next() {
            Some('-' | '−' | '–') => "lower by ",
            Some('+') => "raise by ",
            _ => "",
        };
        let figure = word.trim_start_matches(['-', '−', '–', '+']);
        let percent =
            figure.ends_with('%') || words.get(at + 1).is_some_and(|n| n.starts_with('%'));
        let number = figure.starts_with(|c: char| c.is_ascii_digit());
        let led = before.ends_with(char::is_alphabetic) && !LEADS.contains(&before);
        if at > 0 {
            out.push(' ');
        }
        if percent && number && led && !verb.is_empty() {
            out.push_str(verb);
            out.push_str(figure);
        } else {
            out.push_str(word);
        }
        before = word;
    }
    out
}

/// `melting range of shea stearin = ?`: what stands before is asked for.
fn asked(text: &str) -> String {
    let end = text.trim_end_matches(|c: char| c == '?' || c.is_whitespace());
    match end.strip_suffix('=') {
        Some(before) if !before.ends_with(['<', '>']) => format!("{}?", before.trim_end()),
        _ => text.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::with_signs_spoken;

    #[test]
    fn signs_are_spoken() {
        for (typed, spoken) in [
            ("butter -> oil", "butter → oil"),
            ("fat => 8 %", "fat ≥ 8 %"),
            ("butter => oil", "butter → oil"),
            ("yolk ✗ → lecithin", "yolk → lecithin"),
            ("~~yolk~~ → lecithin", "yolk → lecithin"),
            ("✗ egg", " without egg"),
            ("e\u{336}g\u{336}g\u{336} gone", "egg must go gone"),
            ("lactose ↓", "lower lactose "),
            ("fibre ↑ 20 %", "raise fibre by 20 %"),
            ("+150 g rum, + 2 g salt", "add 150 g rum, add 2 g salt"),
            ("fat + protein", "fat + protein"),
            (
                "sugar -10 %, below -18 %",
                "sugar lower by 10 %, below -18 %",
            ),
            ("brix of mango = ?", "brix of mango?"),
        ] {
            assert_eq!(with_signs_spoken(typed), spoken, "{typed}");
        }
    }
}
