//! Closed lists of an answer's own words.

use crate::model::closed;

closed! {
    /// What sort of question was asked.
    #[derive(Default)]
    pub enum Kind {
        /// What is known of an ingredient.
        Lookup => "lookup",
        /// Which ingredients match.
        Search => "search",
        /// Ingredients side by side.
        Compare => "compare",
        /// What can stand in for something.
        Swap => "swap",
        /// A formula brought to its marks.
        Adjust => "adjust",
        /// What comes of a change.
        WhatIf => "what-if",
        /// What ingredients are there for.
        Role => "role",
        /// How something is done.
        HowTo => "how-to",
        /// What a formula comes to.
        Assess => "assess",
        /// What the law says.
        Legal => "legal",
        /// What must be known for a guest, or to keep the dish.
        Safety => "safety",
        /// What causes a fault.
        Diagnose => "diagnose",
        /// It must be asked back what was meant.
        AskBack => "ask-back",
        /// Nothing was understood.
        #[default]
        Nothing => "nothing",
    }
}

closed! {
    /// What a formula says of a cause, the surest first.
    pub enum Verdict {
        /// Its figures show it.
        Found => "found",
        /// What it takes is in the formula; whether it happened no figure tells.
        PossibleHere => "possible here",
        /// The formula cannot tell.
        Untested => "untested",
        /// Its figures speak against it.
        NotFound => "not found",
    }
}

closed! {
    /// How readily crystals form.
    pub enum Readiness {
        /// Soon after the ratio passes one.
        Ready => "ready",
        /// When the ratio is several times one, or the cold cycles.
        Slow => "slow",
        /// Not known to form in frozen desserts at usual levels.
        Rare => "rare",
    }
}

closed! {
    /// What an export is written as.
    pub enum Written {
        /// One table of values.
        Csv => "csv",
        /// Every ingredient with all its values.
        Json => "json",
        /// The database.
        Sqlite => "sqlite",
    }
}
