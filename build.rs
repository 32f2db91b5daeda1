//! Turns the trade's data files into one compact JSON document for the app.
//!
//! TOML is for people: it has comments and short tables. The app ships JSON,
//! because its journal already brings a JSON reader. Whether the data makes
//! sense is checked by `cargo test` (see `src/trade/validate.rs`).

use serde_json::{Map, Value};
use std::{env, error::Error, fs, path::Path};

/// The lists of the document; a data file adds to any of them.
const LISTS: [&str; 7] =
    ["families", "methods", "hazards", "ppe", "faults", "sources", "constants"];

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=trade");
    println!("cargo:rerun-if-changed=build.rs");
    let mut document = Map::new();
    for key in LISTS {
        document.insert(key.into(), Value::Array(Vec::new()));
    }
    let mut files = Vec::new();
    collect(Path::new("trade"), &mut files)?;
    files.sort();
    for file in files {
        let text = fs::read_to_string(&file)?;
        let table: Map<String, Value> =
            toml::from_str(&text).map_err(|error| format!("{}: {error}", file.display()))?;
        for (key, value) in table {
            match (document.get_mut(&key), value) {
                (Some(Value::Array(list)), Value::Array(more)) => list.extend(more),
                _ => {
                    return Err(format!("{}: no list is called {key:?}", file.display()).into());
                }
            }
        }
    }
    let out = Path::new(&env::var("OUT_DIR")?).join("rules.json");
    fs::write(out, serde_json::to_string(&Value::Object(document))?)?;
    Ok(())
}

/// Every data file below `folder`.
fn collect(folder: &Path, files: &mut Vec<std::path::PathBuf>) -> Result<(), Box<dyn Error>> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            collect(&path, files)?;
        } else if path.extension().is_some_and(|ending| ending == "toml") {
            files.push(path);
        }
    }
    Ok(())
}
