//! The forms a word of English can be a form of: `cousins`, `tried`, `stirring`.

/// Words too short to hold an ending.
const SHORTEST: usize = 4;

/// What a word may be a form of, without regard to whether there is such a word.
pub(super) fn base_forms(word: &str) -> Vec<String> {
    if word.len() < SHORTEST || !word.chars().all(|c| c.is_ascii_alphabetic() || c == '\'') {
        return vec![];
    }
    let mut found = vec![];
    let mut cut = |ending: &str, others: &[&str]| {
        let Some(stem) = word.strip_suffix(ending).filter(|stem| stem.len() > 1) else {
            return;
        };
        found.extend(others.iter().map(|other| format!("{stem}{other}")));
        let mut last = stem.chars().rev();
        if let (Some(one), Some(two)) = (last.next(), last.next())
            && one == two
        {
            // `stirring`
            found.push(stem[..stem.len() - 1].to_string());
        }
    };
    cut("'s", &[""]);
    cut("ies", &["y"]);
    cut("es", &["", "e"]);
    cut("s", &[""]);
    cut("ied", &["y"]);
    cut("ed", &["", "e"]);
    cut("ing", &["", "e"]);
    found
}

#[cfg(test)]
mod tests {
    use super::base_forms;

    #[test]
    fn a_form_leads_to_its_word() {
        for (form, word) in [
            ("cousins", "cousin"),
            ("tried", "try"),
            ("parties", "party"),
            ("stirring", "stir"),
            ("tasted", "taste"),
            ("boxes", "box"),
            ("baker's", "baker"),
        ] {
            assert!(base_forms(form).contains(&word.to_string()), "{form}");
        }
    }
}
