//! What is wished beside the ingredients of a swap: goals, what newcomers must be, how many.

use crate::model::{Catalogue, Wish};

use super::clause::{Clause, chosen, joined};
use super::comparison::comparisons;
use super::exclusion::exclusions;
use super::goal::goals;
use super::sense::{Cue, Sense};
use super::sentence::Sentence;

/// The wish beside the nouns: goals, what newcomers must be, how many.
pub(super) fn wish(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Wish> {
    let goals = goals(sentence);
    let at_most = at_most(sentence);
    let shelf = shelf(sentence, catalogue);
    let mut clauses: Vec<Clause> = exclusions(sentence);
    clauses.extend(comparisons(sentence, catalogue));
    Some(Wish {
        goals,
        newcomer: joined(clauses, sentence, catalogue)?,
        shelf,
        at_most: at_most.unwrap_or(Wish::default().at_most),
    })
}

/// `at most 2 new`, `with one ingredient`.
pub(super) fn at_most(sentence: &mut Sentence) -> Option<usize> {
    for at in 0..sentence.len() {
        if sentence.comparison(at).is_none() && !sentence.is(at, Cue::Only) {
            continue;
        }
        // `one` fills, but not here.
        let number_at = match sentence.number(at + 1) {
            Some(_) => at + 1,
            None => sentence.after(at + 1),
        };
        let number = sentence.number(number_at);
        let mut last = number_at;
        while sentence.means(last + 1, |s| matches!(s, Sense::New)) {
            last += 1;
        }
        if let Some(number) = number
            && last > number_at
            && number >= 1.0
        {
            sentence.take_all(at, last);
            return Some(number as usize);
        }
    }
    None
}

/// The own shelf where it is named and stated; where it is not stated the words stay unused.
pub(super) fn own_shelf(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Vec<String>> {
    let at = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Shelf))?;
    if catalogue.shelf.is_empty() {
        return None;
    }
    sentence.take(at);
    let only = sentence.before(at).filter(|&n| sentence.is(n, Cue::Only));
    if let Some(only) = only {
        sentence.take(only);
    }
    Some(catalogue.shelf.clone())
}

/// `only from inulin, honey and dextrose`, `from my shelf`.
pub(super) fn shelf(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Vec<String>> {
    if let Some(own) = own_shelf(sentence, catalogue) {
        return Some(own);
    }
    if let Some(ids) = named_only(sentence) {
        return Some(ids);
    }
    // `from what I have here, dextrose and honey`: the list says what the shelf is.
    let told = |at: usize| {
        let next = (at + 1..sentence.len()).find(|&n| !sentence.comma(n) && !sentence.fills(n));
        sentence.is(at, Cue::Shelf) && next.is_some_and(|n| sentence.ingredient(n).is_some())
    };
    let listed = |at: usize| sentence.is(at, Cue::Only) && !super::lack::only_had(sentence, at);
    let start = (0..sentence.len()).find(|&at| listed(at) || told(at))?;
    let mut ids = vec![];
    let mut last = start;
    let mut joined = true;
    let mut next = sentence.after(start + 1);
    while next < sentence.len() {
        if let Some((id, assumed)) = chosen(sentence, next).filter(|_| joined || next == last + 1) {
            sentence.assume(&assumed);
            sentence.take(next);
            ids.push(id);
            last = next;
            joined = false;
        } else if !sentence.comma(next)
            && ![Cue::And, Cue::Or, Cue::From, Cue::Use, Cue::With]
                .iter()
                .any(|cue| sentence.is(next, *cue))
        {
            break;
        } else {
            joined = true;
        }
        next = sentence.after(next + 1);
    }
    if ids.is_empty() {
        return None;
    }
    sentence.take_all(start, last);
    Some(ids)
}

/// `with dextrose only`: the word stands after what is meant.
fn named_only(sentence: &mut Sentence) -> Option<Vec<String>> {
    let ends = |at: usize| at >= sentence.len() || sentence.comma(at);
    let after = |at: usize| sentence.is(at, Cue::Only) && ends(sentence.after(at + 1));
    let only = (1..sentence.len()).find(|&at| after(at))?;
    let noun = sentence.before(only)?;
    let lead = sentence.before(noun)?;
    let led = [Cue::With, Cue::By, Cue::Use, Cue::From]
        .iter()
        .any(|cue| sentence.is(lead, *cue));
    let (id, assumed) = chosen(sentence, noun).filter(|_| led)?;
    sentence.assume(&assumed);
    sentence.take_all(lead, only);
    Some(vec![id])
}
