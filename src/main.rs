//! The program: parse, run, exit code.

fn main() -> std::process::ExitCode {
    loomwalk::cli::run(std::env::args_os())
}
