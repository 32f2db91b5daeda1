//! Packs the trade's data files into one compact document for the app.
//!
//! TOML is for people: it has comments and short tables. The app ships a packed
//! form, so that neither a TOML reader nor the names of fields go along. A
//! misspelt field or a wrong shape stops the build here; whether the data makes
//! sense is checked by `cargo test` (see `src/trade/validate.rs`).

use model::Rules;
use std::{env, error::Error, fs, path::Path, path::PathBuf};

#[allow(dead_code, reason = "the app uses the rest")]
#[path = "src/trade/model.rs"]
mod model;

#[allow(dead_code, reason = "the app uses the rest")]
#[path = "src/engine/table.rs"]
mod table;

/// Where the model looks for it.
mod engine {
    pub(crate) use super::table;
}

/// The lists of the document; a data file adds to any of them.
const LISTS: [&str; 9] = [
    "families",
    "methods",
    "hazards",
    "ppe",
    "faults",
    "sources",
    "constants",
    "pairings",
    "leanings",
];

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=trade");
    println!("cargo:rerun-if-changed=src/trade/model.rs");
    println!("cargo:rerun-if-changed=src/trade/model");
    println!("cargo:rerun-if-changed=src/engine/table.rs");
    println!("cargo:rerun-if-changed=build.rs");
    let mut document = toml::Table::new();
    for list in LISTS {
        document.insert(list.into(), toml::Value::Array(Vec::new()));
    }
    let mut files = Vec::new();
    collect(Path::new("trade"), &mut files)?;
    files.sort();
    for file in files {
        let named = |error: &dyn std::fmt::Display| format!("{}: {error}", file.display());
        let table: toml::Table = fs::read_to_string(&file)?.parse().map_err(|e| named(&e))?;
        // Each file by itself first, so that an error names its file.
        let mut alone = toml::Table::new();
        for list in LISTS {
            let items = table.get(list).cloned().unwrap_or(toml::Value::Array(Vec::new()));
            alone.insert(list.into(), items);
        }
        alone.try_into::<Rules>().map_err(|e| named(&e))?;
        for (list, items) in table {
            match (document.get_mut(&list), items) {
                (Some(toml::Value::Array(all)), toml::Value::Array(more)) => all.extend(more),
                _ => return Err(named(&format!("no list is called {list:?}")).into()),
            }
        }
    }
    let rules: Rules = document.try_into()?;
    let out = Path::new(&env::var("OUT_DIR")?).join("rules.bin");
    fs::write(out, model::packed::pack(&rules))?;
    Ok(())
}

/// Every data file below `folder`.
fn collect(folder: &Path, files: &mut Vec<PathBuf>) -> Result<(), Box<dyn Error>> {
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
