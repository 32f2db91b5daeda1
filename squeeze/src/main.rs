//! The packer as a program, for the build.

use std::{env, fs, process::ExitCode};

const USAGE: &str = "squeeze pack|unpack FROM TO";

fn run(words: &[String]) -> Result<(), String> {
    let [what, from, to] = words else { return Err(USAGE.to_string()) };
    let bytes = fs::read(from).map_err(|error| format!("{from} can't be read: {error}."))?;
    let made = match what.as_str() {
        "pack" if bytes.len() > squeeze::LENGTH_MOST => {
            return Err(format!("{from} is too long: at most {} bytes.", squeeze::LENGTH_MOST));
        }
        "pack" => squeeze::pack(&bytes),
        "unpack" => squeeze::unpack(&bytes).map_err(|error| format!("{from}: {error}"))?,
        _ => return Err(USAGE.to_string()),
    };
    fs::write(to, made).map_err(|error| format!("{to} can't be written: {error}."))
}

fn main() -> ExitCode {
    let words: Vec<String> = env::args().skip(1).collect();
    match run(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("squeeze: {message}");
            ExitCode::FAILURE
        }
    }
}
