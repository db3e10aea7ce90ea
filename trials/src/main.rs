//! The `halfgreen` command.

fn main() -> std::process::ExitCode {
    halfgreen::terminal::run(std::env::args_os())
}
