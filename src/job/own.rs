//! Copying and changing methods of the shop's own.
//!
//! Each change is a whole new form of the method in the journal, so that undo is
//! the journal's and a running job keeps the form that it was opened with. What
//! would not be a method any more is refused in words, and nothing is kept.

use crate::trade::model::{Method, Rules, Stage};
use crate::trade::own::{self, Problem, VERSION};
use serde_json::{Value, json};

use super::event::{Body, Id};
use super::state::State;

/// One change of an own method.
#[derive(Clone, Debug)]
pub enum Change {
    /// A field of the file, by its way from the top; nothing removes it.
    Set(Vec<String>, Value),
    /// A new stage behind one, with its title.
    Add(String, String),
    /// A stage goes one place earlier or later.
    Move {
        /// The stage.
        stage: String,
        /// Which way.
        later: bool,
    },
}

/// The form of a method that is in force, with its id.
///
/// # Errors
/// [`Problem::Gone`] when it is not here or was dropped.
pub fn in_force(state: &State, first: Id) -> Result<(Id, &str), Problem> {
    let mut offered = state.record.own_methods().filter(|(_, own)| own.first == first);
    offered.next().map(|(id, own)| (id, own.method.as_str())).ok_or(Problem::Gone)
}

/// The method in force, as jobs see it.
///
/// # Errors
/// [`Problem`] when it is not here, or this version of the app can't use it.
pub fn method(rules: &Rules, state: &State, first: Id) -> Result<&'static Method, Problem> {
    let (id, text) = in_force(state, first)?;
    own::made(rules, &id.to_string(), text)
}

/// Copies a method, built in or own, under a name.
///
/// # Errors
/// [`Problem`] without a name or such a method.
pub fn copy(rules: &Rules, state: &State, code: &str, name: &str) -> Result<Body, Problem> {
    let mut file = match Id::parse(code) {
        Some(first) => parse(in_force(state, first)?.1)?,
        None => json!({ "benchtide": "method", "version": VERSION, "base": code, "stages": {} }),
    };
    set(&mut file, &["name".to_owned()], name.into());
    take(rules, &file.to_string())
}

/// Takes a method from a file.
///
/// # Errors
/// [`Problem`] when it is none.
pub fn take(rules: &Rules, text: &str) -> Result<Body, Problem> {
    own::read(rules, "", text)?;
    Ok(Body::MethodKept { method: parse(text)?.to_string(), replaces: None })
}

/// Changes a method.
///
/// # Errors
/// [`Problem`] when it would not be a method any more.
pub fn change(rules: &Rules, state: &State, first: Id, change: Change) -> Result<Body, Problem> {
    let (id, text) = in_force(state, first)?;
    let method = method(rules, state, first)?;
    let mut file = parse(text)?;
    match change {
        Change::Set(way, value) => set(&mut file, &way, value),
        Change::Add(after, title) => {
            let id = fresh(text);
            let behind = method.stages.iter().find(|stage| stage.id == after);
            let mut entry = json!({ "title": title });
            if let Some(behind) = behind.filter(|behind| !behind.when.is_empty()) {
                entry["when"] = behind.when.clone().into();
            }
            file["stages"][&id] = entry;
            let place = method.stages.iter().position(|stage| stage.id == after);
            relink(&mut file, &method.stages, &id, place.map_or(0, |place| place + 1));
        }
        Change::Move { stage, later } => {
            let place = method.stages.iter().position(|one| one.id == stage).unwrap_or(0);
            let place = if later { place + 1 } else { place.saturating_sub(1) };
            relink(&mut file, &method.stages, &stage, place);
        }
    }
    let text = file.to_string();
    own::read(rules, "", &text)?;
    Ok(Body::MethodKept { method: text, replaces: Some(id) })
}

fn parse(text: &str) -> Result<Value, Problem> {
    serde_json::from_str(text).map_err(|why| Problem::Unreadable(why.to_string()))
}

/// Sets a field. Whatever lies on the way to it is there as fields, or not at
/// all: only forms that were read before are changed.
fn set(file: &mut Value, way: &[String], value: Value) {
    let Some((last, way)) = way.split_last() else { return };
    let mut place = file;
    for key in way {
        place = &mut place[key];
    }
    match place.as_object_mut() {
        Some(fields) if value.is_null() => {
            fields.remove(last);
        }
        _ => place[last] = value,
    }
}

/// Puts a stage, new or not, at a place in the working order, and into the chain
/// of waits there: it waits for the one before it, and what waited for that
/// waits for it. Where it was before, the chain closes behind it.
fn relink(file: &mut Value, stages: &[Stage], id: &str, place: usize) {
    let moved = stages.iter().find(|stage| stage.id == id);
    let mut order: Vec<&str> = stages.iter().map(|s| s.id.as_str()).filter(|s| *s != id).collect();
    let place = place.min(order.len());
    let before = place.checked_sub(1).and_then(|place| order.get(place)).copied();
    order.insert(place, id);
    file["order"] = order.into();
    for stage in stages.iter().filter(|stage| stage.id != id) {
        let mut needs: Vec<String> = Vec::new();
        for need in &stage.needs {
            let behind = moved.filter(|moved| &moved.id == need);
            for need in behind.map_or(std::slice::from_ref(need), |moved| &moved.needs) {
                let need = if Some(need.as_str()) == before { id } else { need };
                if !needs.iter().any(|known| known == need) {
                    needs.push(need.to_owned());
                }
            }
        }
        if before.is_none() && needs.is_empty() {
            needs.push(id.to_owned());
        }
        if needs != stage.needs {
            file["stages"][&stage.id]["waits"] = waits(needs, stage);
        }
    }
    let needs = before.map(str::to_owned).into_iter().collect();
    file["stages"][id]["waits"] = match moved {
        Some(moved) => waits(needs, moved),
        None => needs.into(),
    };
}

/// What a stage waits for, in the words of the file.
fn waits(mut needs: Vec<String>, stage: &Stage) -> Value {
    needs.extend(waits_of(stage).into_iter().skip(stage.needs.len()));
    needs.into()
}

/// What a stage waits for: the codes of stages, then windows as "cure/window".
pub fn waits_of(stage: &Stage) -> Vec<String> {
    let windows = stage.waits.iter().map(|wait| format!("{}/{}", wait.cure, wait.window));
    stage.needs.iter().cloned().chain(windows).collect()
}

/// A code that a file does not have yet.
pub fn fresh(text: &str) -> String {
    let mut codes = (1..).map(|number: u32| format!("own-{number}"));
    codes.find(|code| !text.contains(&format!("\"{code}\""))).unwrap_or_default()
}

/// What was taken out below a place in the file: codes and reasons.
pub fn taken_out(text: &str, way: &[&str]) -> Vec<(String, String)> {
    let file = parse(text).unwrap_or_default();
    let place = way.iter().fold(&file, |place, key| &place[*key]);
    let entries = place.as_object().into_iter().flatten();
    entries.filter_map(|(id, entry)| Some((id.clone(), entry["out"].as_str()?.to_owned()))).collect()
}

/// The file of a method, laid out to be read and edited.
///
/// # Errors
/// [`Problem::Gone`].
pub fn file(state: &State, first: Id) -> Result<String, Problem> {
    let (_, text) = in_force(state, first)?;
    let (mut laid, mut depth, mut quoted, mut escaped) = (String::new(), 0, false, false);
    let line = |laid: &mut String, depth: usize| {
        laid.push('\n');
        (0..depth).for_each(|_| laid.push_str("  "));
    };
    for letter in text.chars() {
        if quoted {
            laid.push(letter);
            quoted = escaped || letter != '"';
            escaped = !escaped && letter == '\\';
            continue;
        }
        match letter {
            '{' | '[' => {
                depth += 1;
                laid.push(letter);
                line(&mut laid, depth);
            }
            '}' | ']' => {
                depth -= 1;
                line(&mut laid, depth);
                laid.push(letter);
            }
            ',' => {
                laid.push(letter);
                line(&mut laid, depth);
            }
            ':' => laid.push_str(": "),
            _ => {
                quoted = letter == '"';
                laid.push(letter);
            }
        }
    }
    Ok(laid)
}
