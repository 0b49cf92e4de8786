//! An answer as text: in short, or with all reasons, rules and sources.

use super::page::Page;
use super::{
    brief, brief_assessment, completeness, keep, plan, print_assessment, print_knowledge,
    print_known, print_label, print_sheet, print_swap,
};
use crate::answer::Answer;

/// An answer as text that stands alone.
pub fn text(answer: &Answer, why: bool) -> String {
    let mut page = Page::new();
    self::answer(&mut page, answer, why);
    page.text()
}

/// Whether the own data in use is to be named beside an answer: it was worked out, not only listed.
pub fn rests_on_own_data(answer: &Answer) -> bool {
    matches!(
        answer,
        Answer::Assessment(_)
            | Answer::Profile(_)
            | Answer::Hits(_)
            | Answer::Comparison(_)
            | Answer::Swap(_)
            | Answer::Plan(_)
            | Answer::Sheet(_)
            | Answer::Label(_)
            | Answer::Asked(_)
    )
}

/// Prints an answer.
pub fn answer(page: &mut Page, answer: &Answer, why: bool) {
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
        (Answer::Asked(a), false) => brief::asked(page, a),
        (Answer::Assessment(a), true) => print_assessment::print(page, a, None),
        (Answer::Profile(p), true) => print_knowledge::profile(page, p),
        (Answer::Hits(h), true) => print_knowledge::hits(page, h),
        (Answer::Comparison(c), true) => print_knowledge::comparison(page, c),
        (Answer::Swap(s), true) => print_swap::swap(page, s),
        (Answer::Asked(a), true) => print_swap::asked(page, a),
        (Answer::Plan(p), _) => plan::print(page, p, why),
        (Answer::Sheet(s), _) => print_sheet::print(page, s, why),
        (Answer::Label(l), _) => print_label::print(page, l, why),
        (Answer::Formula(f), _) => page.raw(&keep::csv(&f.formula)),
        (Answer::Sources(s), _) => print_known::sources(page, s),
        (Answer::Properties(p), _) => print_known::properties(page, p),
        (Answer::Completeness(c), _) => completeness::text(page, c),
        (Answer::Own(own), _) => print_known::own(page, own),
        (Answer::Started(started), _) => print_known::started(page, started),
        (Answer::Checked(checked), _) => print_known::checked(page, checked),
        (Answer::Exported(exported), _) => print_known::exported(page, exported),
    }
}
