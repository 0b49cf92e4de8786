//! What can be asked: the shape every reading of a text comes to.

use crate::model::{Dial, Expr, Wish};

/// What should go in a swap.
#[derive(Debug, Clone, PartialEq)]
pub enum Leaver {
    /// These ingredients, by id.
    Ingredients(Vec<String>),
    /// Whatever in the formula meets this: `contains milk`, `family stabiliser`, `not vegan`.
    Matching(Expr),
}

/// How much of something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Grams.
    Grams(f64),
    /// A share of what is there, 0 to 1.
    Share(f64),
}

/// How an ingredient is to change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum How {
    /// All of it is left out.
    Out,
    /// More of it; how much is not said.
    More,
    /// Less of it; how much is not said.
    Less,
    /// So many grams more, or less where negative.
    By(f64),
    /// So many times what it is.
    Times(f64),
    /// To this share of the mix, %.
    To(f64),
    /// To so many grams.
    Set(f64),
}

/// A change thought into a formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What changes.
    pub what: Leaver,
    /// How.
    pub how: How,
}

/// What a batch is scaled to.
#[derive(Debug, Clone, PartialEq)]
pub enum Batch {
    /// This weight, g.
    Grams(f64),
    /// This volume of unfrozen mix, mL.
    Millilitres(f64),
    /// So many times what it is.
    Times(f64),
    /// So that it holds so many grams of an ingredient, by id.
    Of(String, f64),
}

/// The order of a search: which stands highest, or lowest, on one figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// A property id, or `freezing_point`: that of a solution of the ingredient.
    pub by: String,
    /// Whether the highest comes first.
    pub most: bool,
}

/// What is asked of the formula in hand.
#[derive(Debug, Clone, PartialEq)]
pub enum About {
    /// Whether it suits a diet: `vegan`, `vegetarian`.
    Diet(String),
    /// Whether it holds an allergen substance.
    Contains(String),
    /// The allergens stated of what is in it.
    Allergens,
    /// A figure of the mix.
    Dial(Dial),
    /// Whether a claim on nutrition may be made of it: `sugars-free`.
    Claim(String),
    /// What its label says.
    Label,
    /// How many portions of so many grams it makes.
    Portions(f64),
}

/// A question, understood.
#[derive(Debug, Clone, PartialEq)]
pub enum Question {
    /// What is known of an ingredient; no properties means all.
    Lookup {
        /// Ids.
        ingredients: Vec<String>,
        /// Property ids.
        properties: Vec<String>,
        /// Allergens asked about, as lists or substances name them: `milk`, `tree nuts`.
        allergens: Vec<String>,
    },
    /// Which ingredients have these properties.
    Search {
        /// Words to match against names; empty for none.
        text: String,
        /// What must hold.
        condition: Expr,
        /// What is ranked by; `None` for the order of the names.
        order: Option<Order>,
    },
    /// Ingredients side by side; no properties means those that decide for their family.
    Compare {
        /// Ids, two or more.
        ingredients: Vec<String>,
        /// Property ids.
        properties: Vec<String>,
    },
    /// What can stand in for something.
    Swap {
        /// What goes.
        leaver: Leaver,
        /// The named replacements, by id; empty for an open question.
        newcomers: Vec<String>,
        /// How much goes; `None` for all.
        amount: Option<Amount>,
        /// What is wanted.
        wish: Wish,
        /// The dish named, such as `sorbet`; empty for none.
        dish: String,
    },
    /// Bring a formula back to its marks after an addition, or to new marks.
    Adjust {
        /// What was added: id and grams.
        added: Vec<(String, f64)>,
        /// What is wanted; no goals means the marks it had.
        wish: Wish,
        /// The batch to scale to.
        scale: Option<Batch>,
        /// The dish named.
        dish: String,
    },
    /// What comes of a change, with nothing put right after it.
    WhatIf {
        /// The changes.
        changes: Vec<Change>,
        /// The figures asked about; none means those that move.
        on: Vec<Dial>,
        /// The dish named.
        dish: String,
    },
    /// What ingredients are there for.
    Role {
        /// Ids.
        ingredients: Vec<String>,
        /// The dish named.
        dish: String,
    },
    /// How to bring ingredients in: disperse, heat, cool, age.
    HowTo {
        /// Ids.
        ingredients: Vec<String>,
        /// The step asked about, one of `rule::PHASES`; empty for all.
        phase: String,
        /// The dish named.
        dish: String,
    },
    /// What is known of the formula in hand.
    Assess {
        /// What is asked; empty for all.
        about: Vec<About>,
    },
    /// Whether, and how much of it, the law permits; no substances means all in the formula in hand.
    Legal {
        /// Ingredient ids, or substances as permissions name them.
        substances: Vec<String>,
        /// Id of the class of dish named; empty for none.
        class: String,
        /// Jurisdictions; none means all on file.
        jurisdictions: Vec<String>,
    },
    /// What must be known for a guest, or to keep a dish.
    Care {
        /// Topics of `data/law-words.csv`.
        topics: Vec<String>,
        /// Ids of the ingredients asked about; none means the formula in hand.
        ingredients: Vec<String>,
        /// What the guest is allergic to.
        allergens: Vec<String>,
    },
    /// What causes a fault.
    Diagnose {
        /// Symptom words of the diagnosis rules.
        symptoms: Vec<String>,
        /// The dish named.
        dish: String,
        /// Ingredients named with it, by id.
        ingredients: Vec<String>,
    },
}

/// One way to read a text.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The question.
    pub question: Question,
    /// What was taken for granted, a sentence each.
    pub assumed: Vec<String>,
    /// Words not used because they do not change the meaning.
    pub set_aside: Vec<String>,
    /// Slips corrected: typed, meant.
    pub corrected: Vec<(String, String)>,
    /// Said as going without, so that no form of it may stay or come back.
    pub without: bool,
    /// Said of an allergy, or strictly: what may hold it goes too.
    pub strict: bool,
    /// The temperature the dish is kept or eaten at, C, where it is told.
    pub served: Option<f64>,
}

/// What a text came to.
#[derive(Debug, Clone, PartialEq)]
#[allow(clippy::large_enum_variant)] // one is made per question
pub enum Read {
    /// Understood.
    One(Reading),
    /// Two or three readings; the person must choose.
    Several {
        /// What has to be chosen, as a question.
        ask: String,
        /// The readings.
        readings: Vec<Reading>,
    },
    /// Several questions in one text, in order.
    Parts(Vec<Read>),
    /// Not understood.
    Nothing {
        /// Why, with the nearest things.
        why: String,
        /// Words that were not known.
        unknown: Vec<String>,
    },
}
