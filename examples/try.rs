use tamis::formula::*;
use tamis::model::*;
fn main() {
    let f = tamis::load::Files::embedded();
    let c = match tamis::load::catalogue(&f) {
        Ok(c) => c,
        Err(p) => {
            println!("{p}\n{} problems", p.0.len());
            return;
        }
    };
    let profiles: Vec<_> = c.ingredients.iter().map(Profile::of).collect();
    for p in tamis::load::check(&c, &f).iter().take(20) {
        println!("{p}");
    }
    let a = Assessor {
        catalogue: &c,
        profiles: &profiles,
    };
    let file = std::env::args().nth(1).unwrap();
    let formula = match Formula::read(&file, &std::fs::read(&file).unwrap(), &c) {
        Ok(f) => f,
        Err(p) => {
            println!("{p}");
            return;
        }
    };
    let t = std::time::Instant::now();
    let s = a.state(&formula);
    println!("{:?}", t.elapsed());
    for (d, ..) in Dial::ALL {
        println!("{:20} {:?}", d.name(), s.dial(d));
    }
    println!("aw {:?}", s.water_activity());
    let wish = Wish {
        goals: vec![
            Goal {
                dial: Dial::Sweetness,
                aim: Aim::Keep,
            },
            Goal {
                dial: Dial::FreezingPoint,
                aim: Aim::Lower,
            },
        ],
        ..Wish::default()
    };
    let suc = c.key("sucrose").unwrap();
    let req = tamis::swap::Request {
        formula: &formula,
        leavers: vec![(suc, formula.grams_of(suc))],
        entirely: false,
        wish: &wish,
        balance: c.key("water").unwrap(),
    };
    let t = std::time::Instant::now();
    let r = tamis::swap::swap(a, &req);
    println!(
        "swap {:?} candidates {} unknown {} proof {:?}",
        t.elapsed(),
        r.candidates.list.len(),
        r.candidates.unknown.len(),
        r.proof
    );
    let n = |k: IngredientKey| c.ingredient(k).id.clone();
    for o in r.options.iter().chain(&r.nearest) {
        println!(
            "-- miss {:.2} conf {:.2}: in {:?} out {:?} water {:.1}",
            o.miss,
            o.confidence,
            o.newcomers
                .iter()
                .map(|(k, g)| format!("{} {:.1}", n(*k), g))
                .collect::<Vec<_>>(),
            o.removed
                .iter()
                .map(|(k, g)| format!("{} {:.1}", n(*k), g))
                .collect::<Vec<_>>(),
            o.balanced.1
        );
        println!(
            "   sweet {:.2} fp {:.2} f18 {:.1} solids {:.1}",
            o.state.sweetness,
            o.state.dial(Dial::FreezingPoint).unwrap(),
            o.state.frozen_at_18.unwrap(),
            o.state.dial(Dial::TotalSolids).unwrap()
        );
        for x in &o.reasons {
            println!("   because {} [{} {}]", x.text, x.source, x.locator);
        }
        for x in &o.cautions {
            println!("   caution {:?} {}", x.severity, x.text);
        }
    }
    println!("{:?}", r.conflicts);
}
