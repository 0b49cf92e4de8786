//! The built cache: made once, opened after, and never the cause of a wrong answer.

use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::OnceLock;

use tamis::load::{self, Files};
use tamis::store;

mod program;

use program::{Ran, fresh_folder, ran, tamis};

fn question(folder: &Path) -> Ran {
    ran(tamis()
        .env("TAMIS_CACHE", folder)
        .args(["find", "carob gum"]))
}

/// The answer without any cache, asked once.
fn right() -> &'static str {
    static RIGHT: OnceLock<String> = OnceLock::new();
    RIGHT.get_or_init(uncached)
}

fn uncached() -> String {
    let ran = ran(tamis().env("TAMIS_CACHE", "").args(["find", "carob gum"]));
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("locust bean gum"), "{}", ran.out);
    ran.out
}

fn answers_right(what: &str, folder: &Path) {
    let ran = question(folder);
    assert_eq!(ran.code, Some(0), "{what}: {}", ran.err);
    assert_eq!(ran.out, right(), "{what}");
    assert_eq!(ran.err, "", "{what}");
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|e| e.expect("an entry").path())
        .collect();
    found.sort();
    found
}

/// The one cache in a folder, which must be complete.
fn only_cache(folder: &Path) -> PathBuf {
    let found = entries(folder);
    assert_eq!(found.len(), 1, "{found:?}");
    for part in ["complete", "store.sqlite", "index"] {
        assert!(found[0].join(part).exists(), "{part}");
    }
    found[0].clone()
}

/// A folder with a whole cache, copied from one that a first run built.
fn built(name: &str) -> (PathBuf, PathBuf) {
    static FIRST: OnceLock<PathBuf> = OnceLock::new();
    let first = FIRST.get_or_init(|| {
        let folder = fresh_folder("cache-first");
        answers_right("first run", &folder);
        only_cache(&folder)
    });
    let folder = fresh_folder(name);
    let cache = folder.join(first.file_name().expect("a name"));
    std::fs::create_dir_all(cache.join("index")).expect("made");
    for file in [entries(first), entries(&first.join("index"))].concat() {
        let below = file.strip_prefix(first).expect("below");
        if file.is_file() {
            std::fs::copy(&file, cache.join(below)).expect("copied");
        }
    }
    let cache = only_cache(&folder);
    (folder, cache)
}

#[test]
fn the_first_run_builds_and_the_second_only_opens() {
    let (folder, cache) = built("cache-twice");
    let store = cache.join("store.sqlite");
    let stamp = |path: &Path| {
        std::fs::metadata(path)
            .and_then(|m| m.modified())
            .expect("a time")
    };
    let before = (stamp(&store), stamp(&cache.join("complete")));
    answers_right("second run", &folder);
    assert_eq!(before, (stamp(&store), stamp(&cache.join("complete"))));
    assert_eq!(only_cache(&folder), cache);
}

/// What is done to the cache in its folder.
type Harm = fn(&Path);

#[test]
fn a_damaged_cache_is_built_anew() {
    let table: &[(&str, Harm)] = &[
        ("an empty store", |cache| {
            std::fs::write(cache.join("store.sqlite"), "").expect("writable");
        }),
        ("a truncated store", |cache| {
            let whole = std::fs::read(cache.join("store.sqlite")).expect("the store");
            std::fs::write(cache.join("store.sqlite"), &whole[..whole.len() / 2])
                .expect("writable");
        }),
        ("a garbled store", |cache| {
            let mut whole = std::fs::read(cache.join("store.sqlite")).expect("the store");
            let page = 4096;
            whole[page..].iter_mut().for_each(|b| *b ^= 0x55);
            std::fs::write(cache.join("store.sqlite"), whole).expect("writable");
        }),
        ("no store", |cache| {
            std::fs::remove_file(cache.join("store.sqlite")).expect("removed");
        }),
        ("no index", |cache| {
            std::fs::remove_dir_all(cache.join("index")).expect("removed");
        }),
        ("an index without its list", |cache| {
            std::fs::remove_file(cache.join("index/meta.json")).expect("removed");
        }),
        ("an index without its files", |cache| {
            for file in entries(&cache.join("index")) {
                if file.extension().is_some_and(|e| e != "json") {
                    std::fs::remove_file(file).expect("removed");
                }
            }
        }),
        ("an index with empty files", |cache| {
            for file in entries(&cache.join("index")) {
                std::fs::write(file, "").expect("writable");
            }
        }),
        ("no mark of completeness", |cache| {
            std::fs::remove_file(cache.join("complete")).expect("removed");
        }),
        ("an empty folder", |cache| {
            std::fs::remove_dir_all(cache).expect("removed");
            std::fs::create_dir(cache).expect("made");
        }),
        ("a file in place of the cache", |cache| {
            std::fs::remove_dir_all(cache).expect("removed");
            std::fs::write(cache, "no folder").expect("writable");
        }),
    ];
    for (what, harm) in table {
        let (folder, cache) = built("cache-damaged");
        harm(&cache);
        answers_right(what, &folder);
        assert_eq!(only_cache(&folder), cache, "{what}");
        answers_right(what, &folder);
    }
}

#[test]
fn an_old_version_is_left_alone_and_not_used() {
    let folder = fresh_folder("cache-old");
    let old = folder.join("0.0.1-0000");
    std::fs::create_dir_all(old.join("index")).expect("made");
    std::fs::write(old.join("complete"), "0000").expect("writable");
    answers_right("beside an old version", &folder);
    assert_eq!(entries(&folder).len(), 2);
    assert!(old.join("complete").exists());
}

#[test]
fn a_store_of_another_version_is_built_anew() {
    let (folder, cache) = built("cache-version");
    let files = Files::embedded().with("data/words/none.csv", "");
    let catalogue = load::catalogue(&Files::embedded()).expect("the data is sound");
    let store_path = cache.join("store.sqlite");
    std::fs::remove_file(&store_path).expect("removed");
    store::write(&store_path, &catalogue, &files).expect("written");
    answers_right("another version", &folder);
    assert!(store::read(&store_path, &Files::embedded().version).is_ok());
}

#[test]
fn without_a_folder_to_write_to_the_answer_is_the_same() {
    let folder = fresh_folder("cache-nowhere");
    let file = folder.join("file");
    std::fs::write(&file, "").expect("writable");
    answers_right("a file in place of the folder", &file);
    answers_right("a folder below a file", &file.join("deeper/still"));
    #[cfg(target_os = "linux")]
    answers_right("a folder nobody may write", Path::new("/proc/tamis"));
}

#[cfg(unix)]
#[test]
fn a_read_only_parent_is_no_problem() {
    use std::os::unix::fs::PermissionsExt;
    let folder = fresh_folder("cache-locked");
    let mode = |bits| {
        std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(bits)).expect("ours");
    };
    mode(0o500);
    answers_right("read-only", &folder);
    mode(0o700);
}

fn at_once(count: usize, name: &str) {
    let folder = fresh_folder(name);
    let children: Vec<_> = (0..count)
        .map(|_| {
            std::process::Command::new(env!("CARGO_BIN_EXE_tamis"))
                .args(["find", "carob gum"])
                .env("COLUMNS", "80")
                .env("NO_COLOR", "1")
                .env("TAMIS_CACHE", &folder)
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .expect("the program runs")
        })
        .collect();
    let right = right();
    for child in children {
        let output = child.wait_with_output().expect("it ends");
        assert_eq!(output.status.code(), Some(0));
        assert_eq!(String::from_utf8_lossy(&output.stdout), right);
        assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    }
    only_cache(&folder);
    answers_right("after", &folder);
}

#[test]
fn two_first_runs_at_once_leave_one_cache() {
    at_once(2, "cache-two");
}

#[test]
fn eight_first_runs_at_once_leave_one_cache() {
    at_once(8, "cache-eight");
}

#[test]
fn what_is_written_is_read_back() {
    let files = Files::embedded();
    let catalogue = load::catalogue(&files).expect("the data is sound");
    let path = fresh_folder("cache-round").join("store.sqlite");
    store::write(&path, &catalogue, &files).expect("written");
    let mut back = store::read(&path, &files.version).expect("readable");
    load::of_texts(&files, &mut back).unwrap_or_else(|p| panic!("{p}"));
    assert!(back == catalogue, "the store lost or changed something");
}
