//! The doors of the house open one way only (see `src/lib.rs`): each room may
//! use those below it and never those above. This reads the sources themselves,
//! because the compiler is content with any order inside one crate.

use std::{fs, path::Path};

/// The rooms from the ground up.
const ROOMS: [&str; 5] = ["engine", "trade", "job", "device", "ui"];
/// Rooms up to this one know nothing of a browser, and read no clock.
const LAST_PURE_ROOM: usize = 2;
/// Crates that only the rooms above that one may name, by the start of their name.
const BROWSER: [&str; 8] = [
    "web_sys",
    "js_sys",
    "wasm_bindgen",
    "leptos",
    "rexie",
    "gloo",
    "console_error_panic_hook",
    "serde_wasm_bindgen",
];
/// The machine's clock, as little theirs.
const CLOCK: [&str; 2] = ["SystemTime", "UNIX_EPOCH"];

/// A word, `::` or one other character, with its line.
#[derive(Clone, Debug, PartialEq)]
struct Token {
    text: String,
    line: usize,
}

/// The tokens of Rust source, without comments, strings and characters.
fn tokens(source: &str) -> Vec<Token> {
    let letters: Vec<char> = source.chars().collect();
    let at = |index: usize| letters.get(index).copied().unwrap_or('\0');
    let is_word = |letter: char| letter.is_alphanumeric() || letter == '_';
    let (mut found, mut index, mut line) = (Vec::new(), 0, 1);
    while index < letters.len() {
        let begin = index;
        match at(index) {
            '/' if at(index + 1) == '/' => {
                while index < letters.len() && at(index) != '\n' {
                    index += 1;
                }
            }
            '/' if at(index + 1) == '*' => {
                let mut depth = 0;
                loop {
                    match (at(index), at(index + 1)) {
                        ('/', '*') => (depth, index) = (depth + 1, index + 2),
                        ('*', '/') => (depth, index) = (depth - 1, index + 2),
                        _ => index += 1,
                    }
                    if depth == 0 || index >= letters.len() {
                        break;
                    }
                }
            }
            'r' if raw_string_hashes(&letters[index..]).is_some() => {
                let hashes = raw_string_hashes(&letters[index..]).unwrap();
                let close: Vec<char> =
                    std::iter::once('"').chain(std::iter::repeat_n('#', hashes)).collect();
                index += hashes + 2;
                while index < letters.len() && !letters[index..].starts_with(&close) {
                    index += 1;
                }
                index += close.len();
            }
            '"' => {
                index += 1;
                while index < letters.len() && at(index) != '"' {
                    index += if at(index) == '\\' { 2 } else { 1 };
                }
                index += 1;
            }
            // A character, or else a lifetime.
            '\'' if at(index + 1) == '\\' => {
                index += 3;
                while index < letters.len() && at(index) != '\'' {
                    index += 1;
                }
                index += 1;
            }
            '\'' if at(index + 2) == '\'' => index += 3,
            letter if is_word(letter) => {
                while is_word(at(index)) {
                    index += 1;
                }
                found.push(Token { text: letters[begin..index].iter().collect(), line });
            }
            ':' if at(index + 1) == ':' => {
                index += 2;
                found.push(Token { text: "::".into(), line });
            }
            letter => {
                index += 1;
                if !letter.is_whitespace() {
                    found.push(Token { text: letter.into(), line });
                }
            }
        }
        index = index.min(letters.len());
        line += letters[begin..index].iter().filter(|letter| **letter == '\n').count();
    }
    found
}

/// How many `#` a raw string that starts here has.
fn raw_string_hashes(letters: &[char]) -> Option<usize> {
    let hashes = letters[1..].iter().take_while(|letter| **letter == '#').count();
    (letters.get(1 + hashes) == Some(&'"')).then_some(hashes)
}

/// The module that a file is: `src/engine/cure/solve.rs` is engine, cure, solve.
fn module_of(file: &str) -> Vec<String> {
    let inside = file.trim_start_matches("src/").trim_end_matches(".rs");
    let mut parts: Vec<String> = inside.split('/').map(String::from).collect();
    if parts.last().is_some_and(|last| last == "mod") {
        parts.pop();
    }
    parts
}

/// Whether a name brings in the browser or the clock.
fn is_of_the_machine(name: &str) -> bool {
    BROWSER.iter().any(|start| name.starts_with(start)) || CLOCK.contains(&name)
}

/// Reads one file and tells what is wrong with it.
struct Reader<'a> {
    file: &'a str,
    room: usize,
    tokens: Vec<Token>,
    faults: Vec<String>,
}

impl Reader<'_> {
    fn text(&self, index: usize) -> &str {
        self.tokens.get(index).map_or("", |token| &token.text)
    }

    fn fault(&mut self, index: usize, what: &str) {
        let line = self.tokens.get(index).map_or(0, |token| token.line);
        self.faults.push(format!("{}:{line}: {} {what}", self.file, ROOMS[self.room]));
    }

    /// Follows the path, or group of paths, at `index` from the module `base`;
    /// returns where it ends.
    fn follow(&mut self, mut index: usize, base: &[String]) -> usize {
        let mut place = base.to_vec();
        if self.text(index) == "{" {
            index += 1;
            while !matches!(self.text(index), "}" | "") {
                index = self.follow(index, base);
                while !matches!(self.text(index), "," | "}" | "") {
                    index += 1;
                }
                if self.text(index) == "," {
                    index += 1;
                }
            }
            return index + 1;
        }
        let head = index;
        match self.text(index) {
            "super" => drop(place.pop()),
            "self" => {}
            "*" => {
                match place.first().cloned() {
                    None => self.fault(index, "takes everything from the top of the house"),
                    Some(first) => self.enter(index, &first),
                }
                return index + 1;
            }
            name => place.push(name.to_string()),
        }
        index += 1;
        if self.text(index) == "::" {
            return self.follow(index + 1, &place);
        }
        match place.first() {
            None => self.fault(head, "renames the top of the house"),
            Some(first) => {
                let first = first.clone();
                self.enter(head, &first);
            }
        }
        index
    }

    /// Notes a fault when the room called `name` is above this one.
    fn enter(&mut self, index: usize, name: &str) {
        let above = ROOMS.iter().position(|room| *room == name).is_some_and(|to| to > self.room);
        if above {
            self.fault(index, &format!("must not use {name}, which is above it"));
        }
    }

    fn read(&mut self) {
        let mut module = module_of(self.file);
        let mut depth = 0_usize;
        let mut inner = Vec::new();
        let mut index = 0;
        while index < self.tokens.len() {
            let text = self.text(index).to_string();
            let starts = index == 0 || self.text(index - 1) != "::";
            match text.as_str() {
                "mod" if self.text(index + 2) == "{" => {
                    module.push(self.text(index + 1).to_string());
                    inner.push(depth);
                    depth += 1;
                    index += 2;
                }
                "{" => depth += 1,
                "}" => {
                    depth = depth.saturating_sub(1);
                    if inner.last() == Some(&depth) {
                        inner.pop();
                        module.pop();
                    }
                }
                "crate" | "benchtide" if starts && self.text(index + 1) == "::" => {
                    index = self.follow(index + 2, &[]);
                    continue;
                }
                "crate" if self.text(index + 1) == "as" => {
                    self.fault(index, "renames the top of the house");
                }
                "super" if starts && self.text(index + 1) == "::" => {
                    index = self.follow(index, &module.clone());
                    continue;
                }
                name if self.room <= LAST_PURE_ROOM && is_of_the_machine(name) => {
                    self.fault(index, &format!("must not know {name}"));
                }
                _ => {}
            }
            index += 1;
        }
    }
}

/// What is wrong with a file of the house, by its path below the project.
fn faults(file: &str, source: &str) -> Vec<String> {
    let module = module_of(file);
    let Some(room) = ROOMS.iter().position(|room| module.first().is_some_and(|one| one == room))
    else {
        return Vec::new(); // lib.rs and main.rs stand above all rooms.
    };
    let mut reader = Reader { file, room, tokens: tokens(source), faults: Vec::new() };
    reader.read();
    reader.faults
}

fn sources(folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let name = path.strip_prefix(env!("CARGO_MANIFEST_DIR")).unwrap();
            let name = name.to_string_lossy().replace('\\', "/");
            found.push((name, fs::read_to_string(&path).unwrap()));
        }
    }
}

#[test]
fn doors_open_downwards_only() {
    let mut files = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    for room in ROOMS {
        assert!(
            files.iter().any(|(file, _)| module_of(file)[0] == room),
            "no file of {room} was found: is this reading the right folder?"
        );
    }
    let found: Vec<String> = files.iter().flat_map(|(file, source)| faults(file, source)).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_check_finds_doors_that_open_upwards() {
    let bad = [
        ("src/engine/mix.rs", "use crate::trade::model::Family;"),
        ("src/engine/mod.rs", "use crate::{engine::units, job::{self, event}};"),
        ("src/engine/mod.rs", "use super::trade;"),
        ("src/engine/cure/solve.rs", "fn f() -> super::super::super::ui::View {}"),
        ("src/engine/cure/solve.rs", "use super::super::{super::job::Event, units};"),
        ("src/engine/mix.rs", "mod tests { use super::super::super::device::storage; }"),
        ("src/trade/model.rs", "let x = f(1)? + crate::job::fold(a);"),
        ("src/job/event.rs", "type A<'a> = &'a crate::device::Tin;"),
        ("src/device/clock.rs", "pub(crate) use crate::ui::screens::*;"),
        ("src/engine/mod.rs", "use crate::*;"),
        ("src/engine/mod.rs", "use crate::{units::A, *};"),
        ("src/engine/mod.rs", "use crate as house; use house::ui;"),
        ("src/engine/mod.rs", "use super::{self as house};"),
        ("src/engine/mod.rs", "let c = '\"'; use crate::ui; let d = '\"';"),
        ("src/engine/mod.rs", "let c = r#\"a\"b\"#; use crate::ui;"),
        ("src/engine/mod.rs", "/* a /* b */ c */ use crate::ui;"),
        ("src/engine/mix.rs", "let now = js_sys::Date::now();"),
        ("src/trade/mod.rs", "use leptos::prelude::*;"),
        ("src/job/mod.rs", "use wasm_bindgen_futures::spawn_local;"),
        ("src/job/mod.rs", "use std::time::SystemTime;"),
    ];
    for (file, source) in bad {
        assert!(!faults(file, source).is_empty(), "{file}: {source}");
    }
    assert_eq!(
        faults("src/trade/rules.rs", "//! Rules.\n\nuse crate::job::event;\n"),
        ["src/trade/rules.rs:3: trade must not use job, which is above it"]
    );
}

#[test]
fn the_check_lets_through_what_is_allowed() {
    let good = [
        ("src/ui/bench.rs", "use crate::{device::storage, engine::units, job::*, trade};"),
        ("src/ui/bench.rs", "use leptos::prelude::*; use super::super::device;"),
        ("src/trade/model.rs", "use crate::engine::quantity::Grams;"),
        ("src/trade/rules/read.rs", "use super::super::super::engine::{units, mix::Batch};"),
        ("src/engine/mix.rs", "mod tests { use super::*; } pub(crate) fn job() {}"),
        ("src/engine/mix/scale.rs", "pub(in crate::engine) fn ui(device: u8) -> u8 { device }"),
        ("src/engine/mod.rs", "// use crate::ui;\n/// [`crate::job`]\n/* crate::ui */"),
        ("src/engine/mod.rs", "let a = \"crate::ui \\\" crate::job\"; let b = r\"crate::ui\";"),
        ("src/lib.rs", "pub mod ui; pub use crate::ui::mount;"),
        ("src/main.rs", "benchtide::ui::mount();"),
    ];
    for (file, source) in good {
        assert_eq!(faults(file, source), Vec::<String>::new(), "{file}: {source}");
    }
}
