//! Statements the label must carry: rows of data whose condition the formula meets.

use super::Case;
use crate::answer::NoticeOut;
use crate::model::label::{Labels, Notice, Who};

impl Case<'_> {
    pub(super) fn notices(&self) -> Vec<NoticeOut> {
        let rows = Labels::nearest(&self.chain, &self.labels.notices, |n| &n.jurisdiction);
        rows.into_iter()
            .filter_map(|row| self.notice(row))
            .collect()
    }

    fn notice(&self, row: &Notice) -> Option<NoticeOut> {
        let share = self.share(&row.who, &row.of);
        let reached = row.over.is_none_or(|over| share > over + 1e-9)
            && row.from.is_none_or(|from| share >= from - 1e-9);
        let asked = share > 0.0 && reached;
        let with = row.with.is_empty() || !self.named(&row.with).is_empty();
        if !asked || !with || !self.named(&row.without).is_empty() {
            return None;
        }
        let names = self.named(&row.who).join(", ");
        let amount = match share {
            s if s >= 0.1 => format!("{s:.1} %"),
            s => format!("{:.0} mg/kg", 1e4 * s),
        };
        let because = match row.of.as_slice() {
            [] => format!("{names}: {amount} of the food"),
            of => {
                let what: Vec<String> = of.iter().map(|(_, p)| p.replace('_', " ")).collect();
                format!("{amount} {} from {names}", what.join(" + "))
            }
        };
        Some(NoticeOut {
            id: row.id.clone(),
            text: row.text.clone(),
            place: row.place.clone(),
            because,
            judge: row.judge.clone(),
            source: row.source.clone(),
            locator: row.locator.clone(),
        })
    }

    /// Names of the ingredients that are some of these.
    fn named(&self, who: &Who) -> Vec<&str> {
        let catalogue = self.assessor.catalogue;
        let lines = self.apart.lines.iter();
        let each = lines.map(|line| catalogue.ingredient(line.key));
        each.filter(|i| who.contains(&i.id))
            .map(|i| i.name.as_str())
            .collect()
    }
}
