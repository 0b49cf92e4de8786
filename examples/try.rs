fn main() {
    let t = std::time::Instant::now();
    let f = tamis::load::Files::embedded();
    let c = match tamis::load::catalogue(&f) {
        Ok(c) => c,
        Err(p) => {
            println!("{p}\n{} problems", p.0.len());
            return;
        }
    };
    println!("load {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let profiles: Vec<_> = c
        .ingredients
        .iter()
        .map(tamis::formula::Profile::of)
        .collect();
    println!("profiles {:?}", t.elapsed());
    let found = tamis::load::check(&c, &f);
    println!("{} findings", found.len());
    for p in found.iter().take(40) {
        println!("{p}");
    }
    let _ = profiles;
    let dir = std::path::PathBuf::from("/tmp/tamiscache");
    for _ in 0..2 {
        let t = std::time::Instant::now();
        let cache = tamis::store::open(&f, Some(&dir)).unwrap();
        println!(
            "cache {:?} {:?} same {}",
            t.elapsed(),
            cache.folder,
            cache.catalogue == c
        );
        let t = std::time::Instant::now();
        for q in [
            "guar",
            "carob",
            "E410",
            "glucos",
            "locus ben gum",
            "cream",
            "thickener",
            "9000-30-0",
            "suger",
        ] {
            let h = cache.index.search(q, 5, &cache.catalogue);
            println!(
                "{q}: {:?}",
                h.iter()
                    .map(|h| format!(
                        "{} {:.1} ({})",
                        cache.catalogue.ingredient(h.key).id,
                        h.score,
                        h.why
                    ))
                    .collect::<Vec<_>>()
            );
        }
        println!("search {:?}", t.elapsed());
    }
}
