//! Embeds `data/` and `schema/` in the program and gives that text one hash.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

fn main() {
    let root = PathBuf::from(
        std::env::var("CARGO_MANIFEST_DIR").expect("cargo sets the manifest directory"),
    );
    let mut files = vec![];
    for folder in ["data", "schema"] {
        println!("cargo:rerun-if-changed={folder}");
        collect(&root.join(folder), &mut files);
    }
    files.sort();
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let out = Path::new(&std::env::var("OUT_DIR").expect("cargo sets OUT_DIR")).join("embedded.rs");
    let mut code = fs::File::create(out).expect("OUT_DIR is writable");
    writeln!(code, "/// Every data and schema file: path below the project root, text.\npub const FILES: &[(&str, &str)] = &[").expect("OUT_DIR is writable");
    for path in &files {
        let name = path
            .strip_prefix(&root)
            .expect("collected below the root")
            .to_string_lossy()
            .replace('\\', "/");
        // FNV-1a: only has to tell one data version from another.
        for byte in name
            .bytes()
            .chain(fs::read(path).expect("listed files are readable"))
        {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        writeln!(
            code,
            "    ({name:?}, include_str!({:?})),",
            path.display().to_string()
        )
        .expect("OUT_DIR is writable");
    }
    writeln!(
        code,
        "];\n/// Hash of all of it.\npub const HASH: &str = \"{hash:016x}\";"
    )
    .expect("OUT_DIR is writable");
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            collect(&path, files);
        } else if matches!(
            path.extension().and_then(|e| e.to_str()),
            Some("csv" | "toml" | "sql" | "json")
        ) {
            files.push(path);
        }
    }
}
