//! One stage of an own method: its words, minutes, waits, lines and clocks.
//!
//! Every key is a [`Key`] and every answer goes through one place, so that each
//! costs a line of text and not a closure of its own.

use super::{change, set, taken_out};
use crate::job::event::Id;
use crate::job::own::{self, Change, text};
use crate::trade::model::{Dimension, Method, Stage};
use crate::trade::own::{MODES, Problem, Wrong, families};
use crate::ui::app::go;
use crate::ui::cautions::Cautions;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stock::value_key;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// Where a change is made.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    overlays: Overlays,
    first: Id,
    method: &'static Method,
    stage: &'static Stage,
}

/// What stands over the question for a reason.
const WHY: &str = "Why? It stands at the stage.";

/// What a key changes. Numbers count lines, clocks and waits of the stage.
#[derive(Clone, Copy, PartialEq)]
enum Key {
    Title,
    Minutes,
    Mode,
    Wait(usize),
    NewWait,
    Line(usize),
    LineText(usize),
    LineAsks(usize),
    NewLine,
    Clock(usize),
    ClockTitle(usize),
    ClockKind(usize),
    ClockOf(usize, usize),
    Earlier,
    Later,
    Add,
    Out,
}

/// The screen.
#[component]
pub fn OwnStageScreen(first: Id, stage: String) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let back = Route::Method(first.to_string());
    view! {
        <p class="crumb"><a href=back.to_string()>"The method"</a></p>
        {live(move || {
            let method = store.state.with(|state| own::method(store.rules(), state, first));
            let found = method.and_then(|method| {
                let stage = method.stages.iter().find(|one| one.id == stage);
                Ok((method, stage.ok_or(Problem::of(Wrong::Gone))?))
            });
            match found {
                Ok((method, stage)) => body(At { store, overlays, first, method, stage }),
                Err(_) => view! {
                    <h1>"Stage"</h1>
                    <p class="card">"This stage is not in the method any more."</p>
                },
            }
        })}
    }
}

fn body(at: At) -> Node {
    let At { stage, method, store, first, .. } = at;
    let index = method.stages.iter().position(|one| one.id == stage.id).unwrap_or(0);
    let minutes = words::value_of(&store.settings(), Dimension::Time, stage.minutes.likely);
    let mode = MODES.iter().find(|(_, mode, _)| *mode == stage.mode).map_or("", |(.., name)| name);
    let row = |key: Key, name: &str, hint: String, value: &str| {
        value_key(name.to_owned(), hint, Some(value.to_owned()), tap(move |_| press(at, key)))
    };
    let add = |key: Key, name: &str| row(key, name, String::new(), "add");
    let mut waits = Vec::new();
    for (number, wait) in own::waits_of(stage).iter().enumerate() {
        waits.push(row(Key::Wait(number), "waits for", String::new(), &name_of(at, wait)));
    }
    let mut lines = Vec::new();
    for (number, check) in stage.checks.iter().enumerate() {
        let mut asks = String::new();
        for measure in method.measures.iter().filter(|measure| check.ask.contains(&measure.id)) {
            asks.push_str(if asks.is_empty() { "asks: " } else { ", " });
            asks.push_str(&measure.title);
        }
        let must = if check.must { "must be ticked" } else { "may be ticked" };
        lines.push(row(Key::Line(number), must, asks, &check.text));
    }
    let mut clocks = Vec::new();
    for (number, slot) in stage.cures.iter().enumerate() {
        let family = families(store.rules(), &method.roles, slot).into_iter().next();
        let profile = family.and_then(|family| Some((family, family.profile(&slot.profile)?)));
        let hint = profile.map_or(String::new(), |(family, clock)| family.clock_title(clock));
        clocks.push(row(Key::Clock(number), "clock", hint, &slot.title));
    }
    let big = |key: Key, name: &'static str| {
        view! { <button class="big" on:click=tap(move |_| press(at, key))>{name}</button> }
    };
    view! {
        <h1>{stage.title.clone()}</h1>
        <Cautions hazards=stage.hazards.clone() ppe=stage.ppe.clone() questions=stage.cautions.clone() />
        {row(Key::Title, "What is done", String::new(), &stage.title)}
        {row(Key::Minutes, "Hands-on time", String::new(), &minutes)}
        {row(Key::Mode, "Hands", String::new(), mode)}
        <h2>"Waits for"</h2>
        {waits}
        {add(Key::NewWait, "Something else")}
        <h2>"Lines to tick"</h2>
        {lines}
        {taken_out(store, first, &["stages", &stage.id, "checks"])}
        {add(Key::NewLine, "Another line")}
        <h2>"Clocks"</h2>
        {clocks}
        {taken_out(store, first, &["stages", &stage.id, "cures"])}
        {add(Key::ClockKind(stage.cures.len()), "Another clock")}
        <h2>"Its place"</h2>
        <div class="stack">
            {(index > 0).then(|| big(Key::Earlier, "One place earlier"))}
            {(index + 1 < method.stages.len()).then(|| big(Key::Later, "One place later"))}
            {big(Key::Add, "A new stage after it")}
            {big(Key::Out, "Take this stage out")}
        </div>
    }
}

/// A key was pressed: what it asks first.
fn press(at: At, key: Key) {
    let At { stage, method, store, .. } = at;
    let line = |number: usize| stage.checks.get(number).map_or("", |check| check.text.as_str());
    let slot = |number: usize| stage.cures.get(number).map_or("", |slot| slot.title.as_str());
    match key {
        Key::Minutes => ask_minutes(at),
        Key::Earlier | Key::Later => {
            let step = Change::Move { stage: stage.id.clone(), later: key == Key::Later };
            change(store, at.first, step, "Moved");
        }
        Key::Title => write(at, key, "What is done here?", &stage.title),
        Key::Add => write(at, key, "What is done in the new stage?", ""),
        Key::NewLine => write(at, key, "What is the line?", ""),
        Key::LineText(number) => write(at, key, "What is the line?", line(number)),
        Key::ClockTitle(number) => write(at, key, "What is it called on the Bench?", slot(number)),
        Key::Out => reason(at, key, &stage.title),
        Key::Mode => {
            choose(
                at,
                key,
                "Are hands needed?",
                MODES.iter().map(|mode| mode.2.to_owned()).collect(),
            );
        }
        Key::Wait(_) => choose(at, key, "Wait for it no more?", vec!["Don't wait for it".into()]),
        Key::NewWait => {
            let names = waitable(at).iter().map(|code| name_of(at, code)).collect();
            choose(at, key, "What else does it wait for?", names);
        }
        Key::Line(number) => {
            let must = stage.checks.get(number).is_some_and(|check| check.must);
            let must = if must { "It need not be ticked" } else { "It must be ticked" };
            let keys = ["Other words", must, "Ask for a value", "Take it out"];
            choose(at, key, line(number), keys.map(str::to_owned).to_vec());
        }
        Key::LineAsks(_) => {
            let mut names = vec!["Nothing".to_owned()];
            names.extend(method.measures.iter().map(|measure| measure.title.clone()));
            choose(at, key, "Which value does it ask for?", names);
        }
        Key::Clock(number) => {
            let keys = ["Another material or clock", "Other words", "Take it out"];
            choose(at, key, slot(number), keys.map(str::to_owned).to_vec());
        }
        Key::ClockKind(_) => {
            let names = curing(at).into_iter().map(|(name, ..)| name).collect();
            choose(at, key, "What cures?", names);
        }
        Key::ClockOf(_, material) => {
            let family = curing(at).get(material).and_then(|one| store.rules().family(&one.2));
            let Some(family) = family else { return };
            let clocks = family.profiles.iter().map(|clock| family.clock_title(clock)).collect();
            choose(at, key, "Which of its clocks?", clocks);
        }
    }
}

fn write(at: At, key: Key, title: &str, words: &str) {
    at.overlays.write(title, words, Box::new(move |words| wrote(at, key, &words)));
}

fn reason(at: At, key: Key, what: &str) {
    at.overlays.reason(WHY, what, Box::new(move |words| wrote(at, key, &words)));
}

fn choose(at: At, key: Key, title: &str, offers: Vec<String>) {
    at.overlays.choose(title, offers, Box::new(move |chosen| chose(at, key, chosen)));
}

fn ask_minutes(at: At) {
    let settings = at.store.state.with_untracked(|state| state.settings.clone());
    at.overlays.pad.set(Some(Pad {
        title: "Hands-on minutes".into(),
        hint: String::new(),
        start: words::number(at.stage.minutes.likely),
        units: words::units(&settings, Dimension::Time),
        done: Callback::new(move |entry: String| {
            let minutes = words::read_minutes(&entry)?;
            at.set(&["minutes"], minutes.value().to_string());
            Ok(())
        }),
    }));
}

impl At {
    /// Sets a field below the stage.
    fn set(self, way: &[&str], value: String) {
        let way = [&["stages", self.stage.id.as_str()], way].concat();
        set(self.store, self.first, &way, value);
    }

    /// A code that the file does not have.
    fn fresh(self) -> String {
        self.store.state.with_untracked(|state| {
            own::in_force(state, self.first).map(|(_, text)| own::fresh(text)).unwrap_or_default()
        })
    }

    /// The code of a line.
    fn line(self, number: usize) -> &'static str {
        self.stage.checks.get(number).map_or("", |check| &check.id)
    }

    /// Lets the stage wait for other things.
    fn wait(self, waits: &[String]) {
        let words: Vec<String> = waits.iter().map(|wait| text(wait)).collect();
        self.set(&["waits"], ["[", &words.join(","), "]"].concat());
    }
}

/// Words were written, or a reason given.
fn wrote(at: At, key: Key, words: &str) {
    let stage = at.stage;
    let value = text(words);
    match key {
        Key::Title => at.set(&["title"], value),
        Key::Add => {
            change(at.store, at.first, Change::Add(stage.id.clone(), words.into()), "Stage added");
        }
        Key::NewLine => at.set(&["checks", &at.fresh(), "text"], value),
        Key::Out => {
            at.set(&["out"], value);
            go(&Route::Method(at.first.to_string()));
        }
        Key::LineText(number) => guarded(at, number, "text", value),
        Key::Line(number) => at.set(&["checks", at.line(number), "out"], value),
        Key::Clock(number) => {
            let slot = stage.cures.get(number).map_or("", |slot| slot.id.as_str());
            at.set(&["cures", slot, "out"], value);
        }
        Key::ClockTitle(number) => {
            let slot = stage.cures.get(number).map_or("", |slot| slot.id.as_str());
            at.set(&["cures", slot, "title"], value);
        }
        _ => {}
    }
}

/// One of the offers was chosen.
fn chose(at: At, key: Key, chosen: usize) {
    let At { stage, method, store, .. } = at;
    match (key, chosen) {
        (Key::Mode, _) => at.set(&["mode"], text(MODES.get(chosen).map_or("", |mode| mode.0))),
        (Key::Wait(number), _) => {
            let mut waits = own::waits_of(stage);
            waits.remove(number);
            at.wait(&waits);
        }
        (Key::NewWait, _) => {
            let mut waits = own::waits_of(stage);
            waits.extend(waitable(at).into_iter().nth(chosen));
            at.wait(&waits);
        }
        (Key::Line(number), 0) => press(at, Key::LineText(number)),
        (Key::Line(number), 1) => {
            let must = stage.checks.get(number).is_some_and(|check| !check.must);
            guarded(at, number, "must", must.to_string());
        }
        (Key::Line(number), 2) => press(at, Key::LineAsks(number)),
        (Key::Line(_), _) | (Key::Clock(_), 2) => reason(at, key, ""),
        (Key::LineAsks(number), _) => {
            let measure = chosen.checked_sub(1).and_then(|at| method.measures.get(at));
            let asks = measure.map_or(String::new(), |measure| text(&measure.id));
            at.set(&["checks", at.line(number), "asks"], ["[", &asks, "]"].concat());
        }
        (Key::Clock(number), 0) => press(at, Key::ClockKind(number)),
        (Key::Clock(number), _) => press(at, Key::ClockTitle(number)),
        (Key::ClockKind(number), _) => press(at, Key::ClockOf(number, chosen)),
        (Key::ClockOf(number, material), _) => {
            let Some((_, role, code)) = curing(at).into_iter().nth(material) else { return };
            let Some(family) = store.rules().family(&code) else { return };
            let Some(clock) = family.profiles.get(chosen) else { return };
            let (slot, title) = match stage.cures.get(number) {
                Some(slot) => (slot.id.clone(), slot.title.clone()),
                None => (at.fresh(), family.clock_title(clock)),
            };
            let (role, family) = match role.is_empty() {
                true => ("null".to_owned(), text(&code)),
                false => (text(&role), "null".to_owned()),
            };
            let (clock, title) = (text(&clock.id), text(&title));
            let of = ["{\"role\":", &role, ",\"family\":", &family];
            let rest = [",\"profile\":", &clock, ",\"title\":", &title, "}"];
            at.set(&["cures", &slot], of.concat() + &rest.concat());
        }
        _ => {}
    }
}

/// Changes a line. A weaker guard wants a reason beside it.
fn guarded(at: At, number: usize, field: &'static str, value: String) {
    let Some(check) = at.stage.checks.get(number) else { return };
    if !check.must {
        at.set(&["checks", &check.id, field], value);
        return;
    }
    let changed = move |why: String| {
        let why = text(&why);
        let fields = ["{\"", field, "\":", &value, ",\"why\":", &why, "}"];
        at.set(&["checks", &check.id], fields.concat());
    };
    at.overlays.reason(WHY, &check.text, Box::new(changed));
}

/// What a stage may wait for: the stages before it and the windows of their clocks.
fn waitable(at: At) -> Vec<String> {
    let mut codes = Vec::new();
    for one in at.method.stages.iter().take_while(|one| one.id != at.stage.id) {
        codes.push(one.id.clone());
        for slot in &one.cures {
            let family = families(at.store.rules(), &at.method.roles, slot).into_iter().next();
            let profile = family.and_then(|family| family.profile(&slot.profile));
            for window in profile.iter().flat_map(|profile| &profile.windows) {
                codes.push([&slot.id, "/", &window.id].concat());
            }
        }
    }
    codes
}

/// A stage or a window by its words.
fn name_of(at: At, wait: &str) -> String {
    let (code, window) = wait.split_once('/').unwrap_or((wait, ""));
    for stage in &at.method.stages {
        if stage.id == code {
            return stage.title.clone();
        }
        for slot in stage.cures.iter().filter(|slot| slot.id == code) {
            let family = families(at.store.rules(), &at.method.roles, slot).into_iter().next();
            let profile = family.and_then(|family| family.profile(&slot.profile));
            if let Some(window) = profile.and_then(|profile| profile.window(window)) {
                return [&slot.title, ": ", &window.title].concat();
            }
        }
    }
    wait.to_owned()
}

/// What can cure: the method's roles, then all families, by name, role and family.
fn curing(at: At) -> Vec<(String, String, String)> {
    let rules = at.store.rules();
    let mut all = Vec::new();
    for role in &at.method.roles {
        all.push((role.title.clone(), role.id.clone(), role.default.clone()));
    }
    for family in &rules.families {
        all.push((family.title.clone(), String::new(), family.id.clone()));
    }
    all.retain(|(.., code)| rules.family(code).is_some_and(|family| !family.profiles.is_empty()));
    all
}
