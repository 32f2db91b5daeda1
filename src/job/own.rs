//! Copying and changing methods of the shop's own.
//!
//! Each change is a whole new form of the method in the journal, so that undo is
//! the journal's and a running job keeps the form that it was opened with. What
//! would not be a method any more is refused in words, and nothing is kept.

use crate::engine::json::{Json, write_text};
use crate::trade::model::{Method, Rules, Stage};
use crate::trade::own::{self, Problem, VERSION, Wrong};

use super::event::{Body, Id};
use super::state::State;

/// One change of an own method.
#[derive(Clone, Debug)]
pub enum Change {
    /// A field of the file, by its way from the top, as JSON; empty removes it. An
    /// object sets the fields that it has, and leaves the others.
    Set(Vec<String>, String),
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
/// [`Wrong::Gone`] when it is not here or was dropped.
pub fn in_force(state: &State, first: Id) -> Result<(Id, &str), Problem> {
    let mut offered = state.record.own_methods().filter(|(_, own)| own.first == first);
    offered.next().map(|(id, own)| (id, own.method.as_str())).ok_or(Problem::of(Wrong::Gone))
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
    let new = format!(
        "{{\"benchtide\":\"method\",\"version\":{VERSION},\"base\":{},\"stages\":{{}}}}",
        text(code)
    );
    let mut file = own::parse(match Id::parse(code) {
        Some(first) => in_force(state, first)?.1,
        None => &new,
    })?;
    *file.entry("name") = Json::Text(name.to_owned());
    take(rules, &written(&file))
}

/// A text as JSON.
pub fn text(words: &str) -> String {
    let mut text = String::new();
    write_text(words, &mut text);
    text
}

fn written(file: &Json<'_>) -> String {
    let mut text = String::new();
    file.write(&mut text);
    text
}

/// Takes a method from a file.
///
/// # Errors
/// [`Problem`] when it is none.
pub fn take(rules: &Rules, text: &str) -> Result<Body, Problem> {
    own::read(rules, "", text)?;
    Ok(Body::MethodKept { method: written(&own::parse(text)?), replaces: None })
}

/// Changes a method.
///
/// # Errors
/// [`Problem`] when it would not be a method any more.
pub fn change(rules: &Rules, state: &State, first: Id, change: Change) -> Result<Body, Problem> {
    let (id, text) = in_force(state, first)?;
    let method = method(rules, state, first)?;
    let mut file = own::parse(text)?;
    match &change {
        Change::Set(way, value) => {
            let value = if value.is_empty() { Json::Null } else { own::parse(value)? };
            let place = way.iter().fold(&mut file, |place, key| place.entry(key));
            match value {
                Json::Object(fields) => fields.into_iter().for_each(|(name, value)| {
                    *place.entry(&name) = value;
                }),
                value => *place = value,
            }
        }
        Change::Add(after, title) => {
            let id = fresh(text);
            let place = method.stages.iter().position(|stage| &stage.id == after);
            let when = place.and_then(|place| method.stages.get(place)).map(|stage| &stage.when);
            let entry = file.entry("stages").entry(&id);
            *entry.entry("title") = Json::Text(title.clone());
            if let Some(when) = when.filter(|when| !when.is_empty()) {
                *entry.entry("when") = list(when.clone());
            }
            relink(&mut file, &method.stages, &id, place.map_or(0, |place| place + 1));
        }
        Change::Move { stage, later } => {
            let place = method.stages.iter().position(|one| &one.id == stage).unwrap_or(0);
            let place = if *later { place + 1 } else { place.saturating_sub(1) };
            relink(&mut file, &method.stages, stage, place);
        }
    }
    let text = written(&file);
    own::read(rules, "", &text)?;
    Ok(Body::MethodKept { method: text, replaces: Some(id) })
}

fn list(words: Vec<String>) -> Json<'static> {
    Json::List(words.into_iter().map(Json::Text).collect())
}

/// Puts a stage, new or not, at a place in the working order, and into the chain
/// of waits there: it waits for the one before it, and what waited for that
/// waits for it. Where it was before, the chain closes behind it.
fn relink(file: &mut Json<'_>, stages: &[Stage], id: &str, place: usize) {
    let moved = stages.iter().find(|stage| stage.id == id);
    let mut order: Vec<&str> = stages.iter().map(|s| s.id.as_str()).filter(|s| *s != id).collect();
    let place = place.min(order.len());
    let before = place.checked_sub(1).and_then(|place| order.get(place)).copied();
    order.insert(place, id);
    *file.entry("order") = list(order.into_iter().map(str::to_owned).collect());
    let mut wait = |stage: &str, waits: Vec<String>| {
        *file.entry("stages").entry(stage).entry("waits") = list(waits);
    };
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
            needs.extend(windows(stage));
            wait(&stage.id, needs);
        }
    }
    let needs = before.map(str::to_owned).into_iter();
    wait(id, needs.chain(moved.into_iter().flat_map(windows)).collect());
}

/// The windows that a stage waits for: "cure/window".
fn windows(stage: &Stage) -> impl Iterator<Item = String> + '_ {
    stage.waits.iter().map(|wait| format!("{}/{}", wait.cure, wait.window))
}

/// What a stage waits for: the codes of stages, then windows.
pub fn waits_of(stage: &Stage) -> Vec<String> {
    stage.needs.iter().cloned().chain(windows(stage)).collect()
}

/// A code that a file does not have yet.
pub fn fresh(text: &str) -> String {
    let mut codes = (1..).map(|number: u32| format!("own-{number}"));
    codes.find(|code| !text.contains(&format!("\"{code}\""))).unwrap_or_default()
}

/// What was taken out below a place in the file: codes and reasons.
pub fn taken_out(text: &str, way: &[&str]) -> Vec<(String, String)> {
    let file = own::parse(text).unwrap_or(Json::Null);
    let place = way.iter().fold(&file, |place, key| place.get(key));
    let entries = place.fields().unwrap_or_default().iter();
    let out = entries.map(|(id, entry)| (id, entry.get("out").text()));
    out.filter_map(|(id, out)| Some((id.clone(), out.ok()?.to_owned()))).collect()
}

/// The file of a method, laid out to be read and edited.
///
/// # Errors
/// [`Wrong::Gone`].
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
