//! temp
pub struct Parts {
    pub fat: f64,
    pub protein: f64,
    pub carbohydrate: f64,
    pub polyols: f64,
    pub erythritol: f64,
    pub fibre: f64,
    pub organic_acids: f64,
    pub alcohol: f64,
}
pub fn eu_kilocalories(p: &Parts) -> f64 {
    9.0 * p.fat
        + 4.0 * (p.protein + p.carbohydrate)
        + 2.4 * p.polyols
        + 2.0 * p.fibre
        + 3.0 * p.organic_acids
        + 7.0 * p.alcohol
}
pub fn us_kilocalories(p: &Parts) -> f64 {
    9.0 * p.fat
        + 4.0 * (p.protein + p.carbohydrate)
        + 2.4 * p.polyols
        + 0.2 * p.erythritol
        + 7.0 * p.alcohol
}
