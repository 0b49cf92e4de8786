//! What is written: whole or not at all, and never over what is read. Every failure is told.

use std::error::Error;
use std::fs::{self, File, Metadata};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use super::args::Args;
use super::own;
use crate::diagnostic::{Diagnostic, Problems};

/// Writes to standard output; a reader that went away is no error.
///
/// Errors: `I002`, such as a full disk.
pub fn write(text: &str) -> Result<(), Problems> {
    let mut out = anstream::stdout().lock();
    let done = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    told(done)
}

/// What became of standard output, as a problem where there is one.
pub fn told(done: io::Result<()>) -> Result<(), Problems> {
    match done {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(failed(Path::new("standard output"), &error))
        }
        _ => Ok(()),
    }
}

/// The files and folders a command reads.
pub fn inputs(args: &Args) -> Vec<PathBuf> {
    let data = args.data.iter();
    let data = data.flat_map(|root| [root.join("data"), root.join("schema")]);
    let mut inputs: Vec<PathBuf> = data.chain(own::folder(args)).collect();
    for formula in args.command.formulas() {
        inputs.push(match formula.as_os_str() == "-" {
            true => PathBuf::from("/dev/stdin"),
            false => formula.clone(),
        });
    }
    inputs
}

/// Writes a text to a file, in place of what is there.
///
/// Errors: `I002` as for [`save_with`].
pub fn save(path: &Path, inputs: &[PathBuf], text: &str) -> Result<(), Problems> {
    save_with(path, inputs, |beside| Ok(fs::write(beside, text)?))
}

/// Lets `fill` write a file, which then takes the place of what is there, with its permissions. A
/// link is followed.
///
/// Errors: `I002` where `fill` or the system fails, and where what is there is read by the same
/// command, may not be written, or is no file.
pub fn save_with(
    path: &Path,
    inputs: &[PathBuf],
    fill: impl FnOnce(&Path) -> Result<(), Box<dyn Error>>,
) -> Result<(), Problems> {
    let target = end_of_links(path);
    let before = fs::metadata(&target).ok();
    if let Some(before) = &before {
        let refused = |why: &str, help: &str| {
            Err(Problems::from(
                Diagnostic::new("I002", path.display().to_string(), why).help(help),
            ))
        };
        if before.is_dir() {
            return refused("cannot be written: it is a folder", "name a file in it");
        }
        if !before.is_file() {
            return refused(
                "cannot be written: it is a device or a pipe, not a file",
                "name a file; what is printed goes to standard output without one",
            );
        }
        if inputs.iter().any(|input| reads(input, &target)) {
            return refused(
                "cannot be written: the same command reads it",
                "name another file",
            );
        }
        if before.permissions().readonly() {
            return refused(
                "cannot be written: it is write-protected",
                "name another file, or allow it to be written",
            );
        }
    }
    let failed = |error: &dyn Error| failed(path, error);
    let beside = Beside::new(&target).map_err(|e| failed(&e))?;
    fill(&beside.0).map_err(|e| failed(e.as_ref()))?;
    beside.settled(before.as_ref()).map_err(|e| failed(&e))?;
    fs::rename(&beside.0, &target).map_err(|e| failed(&e))
}

/// Writes a text to a new file; what is there stays untouched. Whether there was nothing.
///
/// Errors: `I002` where the system fails.
pub fn create(path: &Path, text: &str) -> Result<bool, Problems> {
    if fs::symlink_metadata(path).is_ok() {
        return Ok(false);
    }
    let failed = |error: io::Error| failed(path, &error);
    let beside = Beside::new(path).map_err(failed)?;
    fs::write(&beside.0, text).map_err(failed)?;
    beside.settled(None).map_err(failed)?;
    // A link, unlike a rename, fails where another process was first.
    match fs::hard_link(&beside.0, path) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Ok(false),
        // Not every file system has links.
        Err(_) => fs::rename(&beside.0, path).map_err(failed).map(|()| true),
    }
}

/// A problem of writing.
pub fn failed(path: &Path, error: &dyn Error) -> Problems {
    let place = path.display().to_string();
    Diagnostic::new("I002", place, format!("cannot be written: {error}")).into()
}

/// Links followed at most, as the system does.
const LINKS: usize = 40;

/// Where a path leads in the end, though nothing may be there yet.
fn end_of_links(path: &Path) -> PathBuf {
    let mut end = path.to_path_buf();
    for _ in 0..LINKS {
        match fs::read_link(&end) {
            Ok(next) => end = end.parent().unwrap_or(Path::new("")).join(next),
            Err(_) => break,
        }
    }
    end
}

/// Whether what is read from a file or a folder comes from this file.
fn reads(input: &Path, file: &Path) -> bool {
    let (Ok(input), Ok(file)) = (fs::canonicalize(input), fs::canonicalize(file)) else {
        return false;
    };
    let table = || {
        let ending = file.extension().and_then(|e| e.to_str());
        matches!(ending, Some("csv" | "toml"))
    };
    match input.is_dir() {
        true => file.starts_with(&input) && table(),
        false => input == file || same(&input, &file),
    }
}

/// Whether two names are links to one file.
#[cfg(unix)]
fn same(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let id = |path: &Path| fs::metadata(path).ok().map(|m| (m.dev(), m.ino()));
    id(one).is_some_and(|one| Some(one) == id(other))
}

#[cfg(not(unix))]
fn same(_: &Path, _: &Path) -> bool {
    false
}

/// A new file beside another; it is gone when this is, unless it was renamed.
struct Beside(PathBuf);

impl Beside {
    /// An empty file of a name nothing else has.
    fn new(target: &Path) -> io::Result<Beside> {
        let folder = target.parent().unwrap_or(Path::new(""));
        let mut number = 0;
        loop {
            let name = format!(".tamis-{}-{number}.part", std::process::id());
            let path = folder.join(name);
            match File::create_new(&path) {
                Ok(_) => return Ok(Beside(path)),
                Err(error) if error.kind() == ErrorKind::AlreadyExists => number += 1,
                Err(error) => return Err(error),
            }
        }
    }

    /// Gives the file the permissions of the one it is to replace, and sees it on the disk.
    fn settled(&self, before: Option<&Metadata>) -> io::Result<()> {
        let file = File::options().write(true).open(&self.0)?;
        if let Some(before) = before {
            #[cfg(unix)]
            {
                use std::os::unix::fs::{MetadataExt, fchown};
                // Only the superuser may give a file away; anybody else keeps it.
                let _ = fchown(&file, Some(before.uid()), Some(before.gid()));
            }
            file.set_permissions(before.permissions())?;
        }
        file.sync_all()
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.0);
    }
}
