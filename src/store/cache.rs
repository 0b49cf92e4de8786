//! The built store and index in the person's cache folder: made once, atomically, then opened.

use std::path::{Path, PathBuf};

use super::sqlite;
use crate::diagnostic::Problems;
use crate::index::Index;
use crate::load::{self, Files};
use crate::model::Catalogue;

/// What a run works with.
pub struct Cache {
    /// All that is known.
    pub catalogue: Catalogue,
    /// The search index.
    pub index: Index,
    /// Where both lie; `None` when no folder could be written and both are held in memory.
    pub folder: Option<PathBuf>,
}

/// Opens the cache below `folder` for these files, building it first where it is missing,
/// outdated or damaged. Two processes may do so at once: each builds beside, the first to
/// rename wins, the other uses what it finds. Without a writable folder all is held in memory.
///
/// Errors: the problems of the data itself.
pub fn open(files: &Files, folder: Option<&Path>) -> Result<Cache, Problems> {
    let Some(folder) = folder else {
        return in_memory(files);
    };
    let place = folder.join(format!("{}-{}", env!("CARGO_PKG_VERSION"), files.version));
    if let Some(cache) = opened(&place, files) {
        return Ok(cache);
    }
    let catalogue = checked(files)?;
    match build(&place, files, &catalogue) {
        Ok(()) => match opened(&place, files) {
            Some(cache) => {
                forget(&place, files);
                Ok(cache)
            }
            None => in_memory(files),
        },
        Err(_) => in_memory(files),
    }
}

fn opened(place: &Path, files: &Files) -> Option<Cache> {
    if !place.join("complete").exists() {
        return None;
    }
    let mut catalogue = sqlite::read(&place.join("store.sqlite"), &files.version).ok()?;
    catalogue.naming = load::naming(files, &catalogue).ok()?;
    catalogue.classes = load::classes(files, &catalogue).ok()?;
    catalogue.sequences = load::sequences(files, &catalogue).ok()?;
    (catalogue.permissions, catalogue.relatives) = load::law(files, &catalogue).ok()?;
    let index = Index::open(&place.join("index")).ok()?;
    (index.len() == catalogue.ingredients.len()).then(|| Cache {
        catalogue,
        index,
        folder: Some(place.to_path_buf()),
    })
}

/// The catalogue; what is shipped was checked before, own tables are checked here.
fn checked(files: &Files) -> Result<Catalogue, Problems> {
    let catalogue = load::catalogue(files)?;
    let Some(own) = files.own() else {
        return Ok(catalogue);
    };
    let mut found = load::check(&catalogue, files);
    found.retain(|problem| own.text(&problem.place.file).is_some());
    if found.is_empty() {
        Ok(catalogue)
    } else {
        Err(Problems(found))
    }
}

/// Removes what was built from other texts of the same own folder; nobody asks for it again.
fn forget(place: &Path, files: &Files) {
    let (Some(parent), Some(start)) = (place.parent(), files.own_versions()) else {
        return;
    };
    let start = format!("{}-{start}", env!("CARGO_PKG_VERSION"));
    let beside = std::fs::read_dir(parent).into_iter().flatten().flatten();
    for other in beside
        .map(|entry| entry.path())
        .filter(|path| path != place)
    {
        let name = other
            .file_name()
            .map_or(String::new(), |n| n.to_string_lossy().into());
        if name.starts_with(&start) {
            let _ = std::fs::remove_dir_all(&other);
        }
    }
}

fn in_memory(files: &Files) -> Result<Cache, Problems> {
    let catalogue = checked(files)?;
    let index = Index::in_memory(&catalogue);
    Ok(Cache {
        catalogue,
        index,
        folder: None,
    })
}

/// Builds beside, then renames into place; a place that is there but unusable is moved away first.
fn build(
    place: &Path,
    files: &Files,
    catalogue: &Catalogue,
) -> Result<(), Box<dyn std::error::Error>> {
    let parent = place.parent().unwrap_or(place);
    std::fs::create_dir_all(parent)?;
    let stamp = std::process::id();
    let beside = place.with_extension(format!("building-{stamp}"));
    let _ = std::fs::remove_dir_all(&beside);
    std::fs::create_dir_all(beside.join("index"))?;
    let built = (|| -> Result<(), Box<dyn std::error::Error>> {
        sqlite::write(&beside.join("store.sqlite"), catalogue, files)?;
        Index::build(&beside.join("index"), catalogue)?;
        std::fs::write(beside.join("complete"), files.version.as_bytes())?;
        Ok(())
    })();
    let moved = built.and_then(|()| {
        if std::fs::rename(&beside, place).is_ok() {
            return Ok(());
        }
        // Another process was first, or what is there is damaged: if it cannot be opened, replace it.
        if opened(place, files).is_none() {
            let old = place.with_extension(format!("old-{stamp}"));
            let _ = std::fs::rename(place, &old);
            let result = std::fs::rename(&beside, place);
            // What stood there may have been a folder or a file.
            let _ = std::fs::remove_dir_all(&old);
            let _ = std::fs::remove_file(&old);
            if let (Err(error), None) = (result, opened(place, files)) {
                return Err(error.into());
            }
        }
        Ok(())
    });
    let _ = std::fs::remove_dir_all(&beside);
    moved
}
