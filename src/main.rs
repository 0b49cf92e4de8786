//! The command line; all it does is in [`tamis::cli`].

fn main() -> std::process::ExitCode {
    tamis::cli::run(std::env::args_os())
}
