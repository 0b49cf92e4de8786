//! A starch syrup of any DE, worked out from the curated ones of its kind.
//!
//! What every curated member of the kind states alike holds for the kind and is taken over with its
//! source; what moves with the DE follows a rule of [`RULES`].

use super::derived_row;
use super::syrup_name::SyrupName;
use crate::model::SyrupKind;
use crate::model::{Catalogue, Ingredient, Source, SourceKind, Value};
use crate::physics::syrup::{Spectrum, number_average};

/// Least DE of a glucose syrup. Source: cfr-21-168-120, 168.120(b)(1), 20.0 % of dry substance.
const LEAST_SYRUP: f64 = 20.0;
/// Least DE of dextrose. Source: cfr-21-168-111, 168.111(b)(1), 99.5 % of dry substance.
const LEAST_DEXTROSE: f64 = 99.5;
/// Least DE at which [`number_average`] holds. Source: its label `Valid`.
const LEAST_CHAIN: f64 = 3.0;
/// How far a delivery may lie from the DE it is sold as, either way.
/// Source: common-practice, the range most curated syrups state.
const AS_SOLD: f64 = 2.0;
/// The condition of sweetness per gram of dry substance.
const DRY: &str = "basis=dry";
/// Share by which a chain length of the line may be off. Source: derived, as rule `syrup-saccharides`.
const SPREAD: f64 = 0.10;

/// One rule that gives a figure of a syrup from its DE.
pub struct SyrupRule {
    /// Identifier, the source its values name.
    pub id: &'static str,
    /// The rule in a few words, shown with every value.
    pub brief: &'static str,
    /// Equation with units.
    pub equation: &'static str,
    /// DE it holds for.
    pub valid: &'static str,
    /// Where equation and figures come from.
    pub source: &'static str,
}

/// Every rule.
pub const RULES: [SyrupRule; 7] = [
    AS_NAMED,
    WATER,
    SPECTRUM,
    MOLAR_MASS,
    SWEETNESS,
    BY_SPECTRUM,
    REDUCING,
];

const AS_NAMED: SyrupRule = SyrupRule {
    id: "syrup-as-named",
    brief: "the DE of the name",
    equation: "DE = the DE of the name, +- 2 as sold",
    valid: "DE 3 to 99.5",
    source: "by definition; common-practice (tolerance)",
};
const WATER: SyrupRule = SyrupRule {
    id: "syrup-water",
    brief: "line in DE",
    equation: "water = w1 + (w2 - w1)(DE - DE1)/(DE2 - DE1) [g/100 g as sold], range from least to greatest of both neighbours",
    valid: "DE 20 to 99.5, level outside the curated ones",
    source: "the two curated syrups next in DE",
};
const SPECTRUM: SyrupRule = SyrupRule {
    id: "syrup-spectrum",
    brief: "line in DE",
    equation: "dp = d1 + (d2 - d1)(DE - DE1)/(DE2 - DE1) [% of dry substance]; DE 100 is glucose; DP 4 and more is the rest; range +- 10 % and to the chains broken at random of the same DE (flory-1936)",
    valid: "DE 20 to 99.5, usual conversion, not high-maltose",
    source: "the two published spectra next in DE",
};
const MOLAR_MASS: SyrupRule = SyrupRule {
    id: "syrup-molar-mass",
    brief: "sum(w)/sum(w/M) or 18016/DE",
    equation: "Mn = sum(w)/sum(w/M) of the spectrum, +- 5 %; without one 18016/DE, +- 10 % [g/mol]",
    valid: "DE 3 to 99.5",
    source: "one reducing end per chain; crc-102 (molar mass of glucose)",
};
const SWEETNESS: SyrupRule = SyrupRule {
    id: "syrup-sweetness",
    brief: "line in DE",
    equation: "s = s1 + (s2 - s1)(DE - DE1)/(DE2 - DE1) [sucrose = 1, dry basis]; starch (DE 0) is not sweet; range from least to greatest of both neighbours",
    valid: "maltodextrins, DE 3 to 20, level above the curated ones",
    source: "the two curated maltodextrins next in DE that state it on dry basis",
};
const BY_SPECTRUM: SyrupRule = SyrupRule {
    id: "syrup-sweetness-by-spectrum",
    brief: "sum of its chains",
    equation: "s = (DP1 s1 + DP2 s2 + (100 - DP1 - DP2) s3)/100 [sucrose = 1, dry basis; DP in % of dry substance], s1, s2, s3 of glucose, maltose and longer chains in a mix",
    valid: "DE 20 to 99.5, usual conversion",
    source: "the spectrum of rule syrup-spectrum; the ratios every mix is tasted by",
};
const REDUCING: SyrupRule = SyrupRule {
    id: "syrup-reducing",
    brief: "DE is reducing power",
    equation: "DE is the reducing power itself: weak below 20",
    valid: "DE 3 to 20",
    source: "definition of DE",
};

/// Why no syrup can have the name, and the way out; `None` for one that can.
pub fn fault(name: &SyrupName) -> Option<(String, String)> {
    let de = name.dextrose_equivalent;
    let word = name.kind.word();
    let other = |kind: SyrupKind| SyrupName { kind, ..*name }.name();
    if de > 100.0 || de <= 0.0 {
        return Some((
            format!("no {word} has DE {de}: it is per cent of dry substance"),
            "write a DE between 3 and 99".into(),
        ));
    }
    if de < LEAST_CHAIN {
        return Some((
            format!("{word} of DE {de} is nearly whole starch; nothing is known below DE 3"),
            "write maltodextrin-de5, or name a starch".into(),
        ));
    }
    if de >= LEAST_DEXTROSE {
        return Some((
            format!("{word} of DE {de} is dextrose (99.5 and more)"),
            "write dextrose-monohydrate or glucose-anhydrous".into(),
        ));
    }
    match name.kind {
        SyrupKind::Maltodextrin if de >= LEAST_SYRUP => Some((
            format!("a maltodextrin has a DE below 20, not {de}"),
            format!("write {}", other(SyrupKind::Dried)),
        )),
        SyrupKind::Liquid | SyrupKind::Dried if de < LEAST_SYRUP => Some((
            format!("a {word} has a DE of 20 or more, not {de}"),
            format!("write {}", other(SyrupKind::Maltodextrin)),
        )),
        _ => None,
    }
}

/// The sources its values name: one per rule.
pub fn sources() -> impl Iterator<Item = Source> {
    RULES.iter().map(|rule| Source {
        id: rule.id.into(),
        kind: SourceKind::Derived,
        citation: format!("Rule: {}; {}; {}", rule.equation, rule.valid, rule.source),
        year: String::new(),
        address: String::new(),
    })
}

/// The ingredient a name stands for, worked out from the curated ones. `None` where [`fault`] has
/// one, or where the catalogue has no member of its kind.
pub fn worked_out(name: &SyrupName, catalogue: &Catalogue) -> Option<Ingredient> {
    if fault(name).is_some() {
        return None;
    }
    let de = name.dextrose_equivalent;
    let kin = curated(catalogue, name.kind);
    let nearest = kin
        .iter()
        .min_by(|a, b| (a.0 - de).abs().total_cmp(&(b.0 - de).abs()))?
        .1;
    let mut values = shared(&kin);
    let make = Maker { catalogue };
    values.push(make.number(
        "dextrose_equivalent",
        &AS_NAMED,
        (de, de - AS_SOLD, (de + AS_SOLD).min(100.0)),
        String::new(),
    ));
    if !values.iter().any(|v| v.property == "water") {
        values.extend(make.water(&kin, de));
    }
    let chains = make.chains(name);
    values.extend(match name.kind {
        SyrupKind::Maltodextrin => make.sweetness(de, &kin),
        SyrupKind::Liquid | SyrupKind::Dried => make.by_spectrum(&chains),
    });
    values.extend(chains);
    if name.kind == SyrupKind::Maltodextrin {
        values.push(make.text("reducing", &REDUCING, "weak"));
    }
    if !values.iter().any(|v| v.property == "dispersal") {
        values.extend(as_nearest("dispersal", &kin, de));
    }
    let mut allergens = vec![];
    for row in kin.iter().flat_map(|(_, i)| &i.allergens) {
        if !allergens.contains(row) {
            allergens.push(row.clone());
        }
    }
    Some(Ingredient {
        id: name.id(),
        name: name.name(),
        note: format!(
            "Not curated: worked out for DE {de} from its neighbours. The maker's sheet goes first.{}",
            beside(catalogue, name)
        ),
        names: vec![],
        values,
        allergens,
        parts: vec![],
        own: false,
        row: derived_row(),
        ..nearest.clone()
    })
}

/// A curated syrup of the same DE and another make.
fn beside(catalogue: &Catalogue, name: &SyrupName) -> String {
    let stem = format!("{}-", name.id());
    let found = catalogue
        .ingredients
        .iter()
        .find(|i| i.id.starts_with(&stem));
    found.map_or(String::new(), |i| format!(" {} is another make.", i.name))
}

/// The curated members of a kind by the DE in their id, lowest first.
fn curated(catalogue: &Catalogue, kind: SyrupKind) -> Vec<(f64, &Ingredient)> {
    let mut found: Vec<(f64, &Ingredient)> = catalogue
        .ingredients
        .iter()
        .filter(|i| i.row != derived_row())
        .filter_map(|i| Some((i.id.strip_prefix(kind.stem())?.parse().ok()?, i)))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// Rows every member states alike.
fn shared(kin: &[(f64, &Ingredient)]) -> Vec<Value> {
    let alike = |a: &Value, b: &Value| {
        (&a.property, &a.condition, &a.text, &a.source, &a.locator)
            == (&b.property, &b.condition, &b.text, &b.source, &b.locator)
            && (a.low, a.typical, a.high) == (b.low, b.typical, b.high)
    };
    let Some(((_, first), others)) = kin.split_first() else {
        return vec![];
    };
    let by_all = |v: &&Value| {
        others
            .iter()
            .all(|(_, i)| i.values.iter().any(|w| alike(v, w)))
    };
    first.values.iter().filter(by_all).cloned().collect()
}

/// The row of the member nearest in DE that states a property, with a word on whose it is.
fn as_nearest(property: &str, kin: &[(f64, &Ingredient)], de: f64) -> Option<Value> {
    let (_, owner, row) = kin
        .iter()
        .filter_map(|(at, i)| Some((at, i, i.value(property)?)))
        .min_by(|a, b| (a.0 - de).abs().total_cmp(&(b.0 - de).abs()))?;
    Some(Value {
        note: format!("as for {}", owner.name),
        ..row.clone()
    })
}

/// A figure at a DE, and who states it.
struct Point {
    de: f64,
    low: f64,
    typical: f64,
    high: f64,
    whose: String,
}

/// The figure on the straight line between the points around `de`, level outside them, with the
/// least and greatest of both, and who they are.
fn between(points: &[Point], de: f64) -> Option<((f64, f64, f64), String)> {
    let below = points.iter().rfind(|p| p.de <= de);
    let above = points.iter().find(|p| p.de >= de);
    let (a, b) = match (below, above) {
        (Some(a), Some(b)) => (a, b),
        (Some(only), None) | (None, Some(only)) => (only, only),
        (None, None) => return None,
    };
    let share = if b.de > a.de {
        (de - a.de) / (b.de - a.de)
    } else {
        0.0
    };
    let figure = (
        a.typical + (b.typical - a.typical) * share,
        a.low.min(b.low),
        a.high.max(b.high),
    );
    let whose = if a.de == b.de {
        format!("as {}", a.whose)
    } else {
        format!("between {} and {}", a.whose, b.whose)
    };
    Some((figure, whose))
}

/// Chain lengths up to three at a DE, % of dry substance, and who states them.
struct Anchor {
    de: f64,
    dp1: f64,
    dp2: f64,
    dp3: Option<f64>,
    whose: String,
}

/// Builds rows; knows units and published neighbours.
struct Maker<'a> {
    catalogue: &'a Catalogue,
}

impl Maker<'_> {
    fn row(&self, property: &str, rule: &SyrupRule, note: String) -> Value {
        Value {
            property: property.into(),
            condition: String::new(),
            low: None,
            typical: None,
            high: None,
            text: String::new(),
            unit: self
                .catalogue
                .property(property)
                .map_or(String::new(), |p| p.unit.clone()),
            source: rule.id.into(),
            locator: format!("derived: {}, {}", rule.brief, rule.valid),
            note,
            row: derived_row(),
            own: false,
        }
    }

    /// A row from typical, least and greatest, to the digits such figures support.
    fn number(
        &self,
        property: &str,
        rule: &SyrupRule,
        (typical, low, high): (f64, f64, f64),
        note: String,
    ) -> Value {
        let digits = |x: f64| (x * 100.0).round() / 100.0;
        Value {
            low: Some(digits(low.min(typical))),
            typical: Some(digits(typical)),
            high: Some(digits(high.max(typical))),
            ..self.row(property, rule, note)
        }
    }

    fn text(&self, property: &str, rule: &SyrupRule, text: &str) -> Value {
        Value {
            text: text.into(),
            ..self.row(property, rule, String::new())
        }
    }

    fn water(&self, kin: &[(f64, &Ingredient)], de: f64) -> Option<Value> {
        let points: Vec<Point> = kin
            .iter()
            .filter_map(|(at, i)| self.point(*at, i, i.value("water")?))
            .collect();
        let (figure, whose) = between(&points, de)?;
        Some(self.number("water", &WATER, figure, whose))
    }

    fn point(&self, de: f64, i: &Ingredient, v: &Value) -> Option<Point> {
        let typical = v.figure()?;
        let (low, high) = v.range()?;
        Some(Point {
            de,
            low,
            typical,
            high,
            whose: format!("{} ({typical}, {})", i.name, v.source),
        })
    }

    /// Published spectra of the usual conversion, each at the DE it was printed for, lowest first;
    /// DE 100 is glucose by definition.
    fn anchors(&self) -> Vec<Anchor> {
        let mut found: Vec<Anchor> = [SyrupKind::Liquid, SyrupKind::Dried]
            .into_iter()
            .flat_map(|kind| curated(self.catalogue, kind))
            .filter_map(|(de, i)| {
                let (one, two) = (i.value("dp1")?, i.value("dp2")?);
                let published = |v: &Value| self.catalogue.kind(&v.source).needs_locator();
                let printed = one.condition("de").and_then(|de| de.parse().ok());
                (published(one) && published(two)).then(|| Anchor {
                    de: printed.unwrap_or(de),
                    dp1: one.figure().unwrap_or(0.0),
                    dp2: two.figure().unwrap_or(0.0),
                    dp3: i.number("dp3"),
                    whose: one.source.clone(),
                })
            })
            .collect();
        found.push(Anchor {
            de: 100.0,
            dp1: 100.0,
            dp2: 0.0,
            dp3: Some(0.0),
            whose: "by definition".into(),
        });
        found.sort_by(|a, b| a.de.total_cmp(&b.de));
        found.dedup_by(|later, kept| later.de == kept.de);
        found
    }

    /// Chain lengths and the molar mass they give.
    fn chains(&self, name: &SyrupName) -> Vec<Value> {
        let de = name.dextrose_equivalent;
        let mut rows = vec![];
        let mut spectrum = None;
        if name.kind != SyrupKind::Maltodextrin {
            let anchors = self.anchors();
            let random = Spectrum::most_probable(de);
            let part = |of: &dyn Fn(&Anchor) -> Option<f64>, random: Option<f64>| {
                let points: Option<Vec<Point>> = anchors
                    .iter()
                    .filter(|a| {
                        // Only the two around it, so that a spectrum without DP 3 elsewhere does no harm.
                        !anchors
                            .iter()
                            .any(|b| (a.de < b.de && b.de <= de) || (de <= b.de && b.de < a.de))
                    })
                    .map(|a| {
                        let figure = of(a)?;
                        Some(Point {
                            de: a.de,
                            low: f64::INFINITY,
                            typical: figure,
                            high: f64::NEG_INFINITY,
                            whose: format!("DE {} ({figure}, {})", a.de, a.whose),
                        })
                    })
                    .collect();
                let ((typical, ..), whose) = between(&points?, de)?;
                let random = random.unwrap_or(typical);
                let (low, high) = (typical * (1.0 - SPREAD), typical * (1.0 + SPREAD));
                Some(((typical, low.min(random), high.max(random)), whose))
            };
            let dp1 = part(&|a| Some(a.dp1), random.map(|s| s.dp1));
            let dp2 = part(&|a| Some(a.dp2), random.map(|s| s.dp2));
            let dp3 = part(&|a| a.dp3, random.map(|s| s.dp3));
            if let (Some(one), Some(two)) = (&dp1, &dp2) {
                let three = dp3.as_ref().map_or(0.0, |d| d.0.0);
                let four = (100.0 - one.0.0 - two.0.0 - three).max(0.0);
                spectrum = dp3
                    .is_some()
                    .then(|| Spectrum::new(one.0.0, two.0.0, three, four))
                    .flatten();
                let rest = match dp3 {
                    Some(_) => "100 less the others",
                    None => "100 less the others; three units and more",
                };
                for (property, found) in [("dp1", dp1), ("dp2", dp2), ("dp3", dp3)] {
                    rows.extend(
                        found
                            .map(|(figure, whose)| self.number(property, &SPECTRUM, figure, whose)),
                    );
                }
                let span = (four, four * (1.0 - SPREAD), four * (1.0 + SPREAD));
                rows.push(self.number("dp4_plus", &SPECTRUM, span, rest.into()));
            }
        }
        let average = spectrum
            .and_then(|s| s.number_average())
            .or_else(|| number_average(de));
        rows.extend(average.map(|average| {
            let mass = average.value.get();
            let of = if spectrum.is_some() {
                "of the spectrum"
            } else {
                "of the DE"
            };
            self.number(
                "number_average_molar_mass",
                &MOLAR_MASS,
                (
                    mass,
                    mass * (1.0 - average.doubt),
                    mass * (1.0 + average.doubt),
                ),
                of.into(),
            )
        }));
        rows
    }

    /// Sweetness of a maltodextrin on dry basis, between starch and its neighbours.
    fn sweetness(&self, de: f64, kin: &[(f64, &Ingredient)]) -> Option<Value> {
        let starch = Point {
            de: 0.0,
            low: 0.0,
            typical: 0.0,
            high: 0.0,
            whose: "starch (0, not sweet)".into(),
        };
        let stated = kin.iter().filter_map(|(at, i)| {
            let rows = i.all("relative_sweetness");
            let mut dry = rows.filter(|v| v.condition == DRY && v.typical.is_some());
            self.point(*at, i, dry.next()?)
        });
        let points: Vec<Point> = std::iter::once(starch).chain(stated).collect();
        let (figure, whose) = between(&points, de)?;
        Some(Value {
            condition: DRY.into(),
            ..self.number("relative_sweetness", &SWEETNESS, figure, whose)
        })
    }

    /// Sweetness of a syrup on dry basis: that of its chains.
    fn by_spectrum(&self, chains: &[Value]) -> Option<Value> {
        let part = |property: &str| chains.iter().find(|v| v.property == property)?.figure();
        let (one, two) = (part("dp1")?, part("dp2")?);
        let ratios = self.catalogue.mixture_ratios();
        let shares = [
            ("glucose", one),
            ("maltose", two),
            ("higher_saccharides", 100.0 - one - two),
        ];
        let mut figure = (0.0, 0.0, 0.0);
        for (kind, percent) in shares {
            let (low, typical, high) = ratios.get(kind)?;
            let share = percent / 100.0;
            figure.0 += share * typical;
            figure.1 += share * low;
            figure.2 += share * high;
        }
        Some(Value {
            condition: DRY.into(),
            ..self.number("relative_sweetness", &BY_SPECTRUM, figure, String::new())
        })
    }
}
