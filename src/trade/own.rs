//! Methods of the shop's own: a built-in one, and what this shop does otherwise.
//!
//! The form is a difference, so that a file is short enough to read and write by
//! hand, and a stage that was not touched keeps its code, its amounts and its
//! cautions. `docs/method.md` describes it. [`read`] takes all of a file or
//! nothing, and says in words what is wrong.
//!
//! Nothing that guards a person leaves a copied method unseen: taking something
//! out, or weakening a line that must be ticked, wants a reason in the file, and
//! the reason stands at the stage.

use super::model::{
    Check, CureSlot, Family, Figure, Method, Mode, Role, Rules, Stage, Status, Unit, Wait,
};
use crate::engine::json::Json;
use std::cell::RefCell;

pub use problem::{Problem, Wrong};

mod fields;
mod graph;
mod problem;

/// Version of the form that is written and read.
pub const VERSION: &str = "1";
/// Longest text of a field, in bytes.
const LONGEST: usize = 240;
/// Most minutes of hands-on work of a stage: a day.
const MOST_MINUTES: f64 = 1440.0;
/// Largest file, in bytes.
const LARGEST: usize = 400_000;

thread_local! {
    /// Methods that were made already, with the text that they were made of.
    /// Jobs hold on to theirs for as long as the page lives.
    static MADE: RefCell<Vec<(String, &'static Method)>> = const { RefCell::new(Vec::new()) };
}

/// The method that a text stands for, under the code that jobs know it by.
///
/// # Errors
/// [`Problem`] when it can't be used.
pub fn made(rules: &Rules, code: &str, text: &str) -> Result<&'static Method, Problem> {
    let known = MADE.with_borrow(|made| {
        made.iter().find(|(of, method)| method.id == code && of == text).map(|(_, method)| *method)
    });
    if let Some(known) = known {
        return Ok(known);
    }
    let method: &'static Method = Box::leak(Box::new(read(rules, code, text)?));
    MADE.with_borrow_mut(|made| made.push((text.to_owned(), method)));
    Ok(method)
}

/// Reads a method of the shop's own.
///
/// # Errors
/// The first [`Problem`] found.
pub fn read(rules: &Rules, code: &str, text: &str) -> Result<Method, Problem> {
    let file = parse(text)?;
    let mut reader = Reader { rules, at: "the file".to_owned(), problem: None };
    let method = reader.method(&file).map(|method| Method { id: code.to_owned(), ..method });
    match (reader.problem, method) {
        (Some(problem), _) => Err(problem),
        (None, Some(method)) => Ok(method),
        (None, None) => Err(Problem::of(Wrong::NotAMethod)),
    }
}

/// Reads the text of a file.
///
/// # Errors
/// [`Problem`] with the line.
pub fn parse(text: &str) -> Result<Json<'_>, Problem> {
    if text.len() > LARGEST {
        return Err(Problem::of(Wrong::NotAMethod));
    }
    Json::read(text).map_err(|expected| Problem {
        wrong: Wrong::Unreadable,
        at: format!("Line {}", Json::last_line(text)),
        name: expected.0.to_owned(),
    })
}

/// The words of the modes in the file, and on the screen.
pub const MODES: [(&str, Mode, &str); 3] = [
    ("hands-on", Mode::HandsOn, "Hands on"),
    ("unattended", Mode::Unattended, "Nobody needed"),
    ("mixed", Mode::Mixed, "Now and then"),
];

/// What reads a file. It keeps the first problem and reads on, since leaving at
/// every step would be the larger code.
struct Reader<'r> {
    rules: &'r Rules,
    /// The thing that is read: for whoever must find it.
    at: String,
    problem: Option<Problem>,
}

impl Reader<'_> {
    fn wrong(&mut self, wrong: Wrong, name: &str) {
        if self.problem.is_none() {
            self.problem = Some(Problem { wrong, at: self.at.clone(), name: name.to_owned() });
        }
    }

    fn method(&mut self, file: &Json<'_>) -> Option<Method> {
        if file.get("benchtide").text() != Ok("method") {
            self.wrong(Wrong::NotAMethod, "");
            return None;
        }
        match file.get("version") {
            Json::Number(VERSION) => {}
            Json::Number(newer) => self.wrong(Wrong::Newer, newer),
            _ => self.wrong(Wrong::NotAMethod, ""),
        }
        self.known(file, &["benchtide", "version", "base", "name", "order", "stages"]);
        let base = self.text(file, "base").unwrap_or_default();
        let Some(mut method) = super::rules::method_anew(&base) else {
            self.wrong(Wrong::NoBase, &base);
            return None;
        };
        method.title = self.needed(file, "name");
        method.suits.insert_str(0, "Your own. ");
        let order = self.list(file, "order").unwrap_or_default();
        let own_from = method.stages.len();
        let mut out = Vec::new();
        for (id, value) in self.fields(file.get("stages")) {
            self.at.clone_from(id);
            // A stage of the shop's own leaves without a word at the next one.
            let own = method.stages.iter().take(own_from).all(|stage| &stage.id != id);
            let reason = self.stage(&mut method, id, value);
            out.extend(reason.map(|why| (id.clone(), if own { String::new() } else { why })));
        }
        let own: Vec<String> = method.stages.iter().skip(own_from).map(|s| s.id.clone()).collect();
        self.arrange(&mut method, order, &own);
        self.resolve(&method);
        graph::take_out(&mut method, out);
        self.walk(&method);
        Some(method)
    }

    /// What is said of one stage; gives the reason when it was taken out.
    fn stage(&mut self, method: &mut Method, id: &str, value: &Json<'_>) -> Option<String> {
        let keys = ["title", "how", "minutes", "mode", "waits", "when", "out", "checks", "cures"];
        self.known(value, &keys);
        let title = self.text(value, "title");
        let when = self.list(value, "when");
        let at = method.stages.iter().position(|stage| stage.id == id);
        let at = match at {
            Some(at) => {
                if when.is_some() {
                    // A copied stage leaves by "out", with a reason.
                    self.wrong(Wrong::NoField, "when");
                }
                at
            }
            None => {
                if title.is_none() {
                    self.wrong(Wrong::NoTitle, "");
                }
                self.code(id);
                self.conditions(method, when.as_deref().unwrap_or_default());
                method.stages.push(blank(id));
                method.stages.len() - 1
            }
        };
        let all = method.stages.iter().enumerate().filter(|(place, _)| *place != at);
        let taken: Vec<String> =
            all.flat_map(|(_, stage)| &stage.cures).map(|slot| slot.id.clone()).collect();
        let stage = method.stages.get_mut(at)?;
        if let Some(title) = title {
            stage.short.clone_from(&title);
            stage.title = title;
        }
        if let Some(how) = self.list(value, "how") {
            stage.how = how;
        }
        if let Some(when) = when {
            stage.when = when;
        }
        if let Some(minutes) = self.field(value, "minutes") {
            let minutes = minutes.number().unwrap_or(-1.0);
            if !(0.0..=MOST_MINUTES).contains(&minutes) {
                self.wrong(Wrong::Minutes, "");
            }
            stage.minutes = figure(minutes);
        }
        if let Some(mode) = self.text(value, "mode") {
            match MODES.iter().find(|(word, ..)| *word == mode) {
                Some((_, mode, _)) => stage.mode = *mode,
                None => self.wrong(Wrong::NoMode, &mode),
            }
        }
        if let Some(waits) = self.list(value, "waits") {
            (stage.needs, stage.waits) = (Vec::new(), Vec::new());
            for one in waits {
                match one.split_once('/') {
                    Some((cure, window)) => {
                        stage.waits.push(Wait { cure: cure.into(), window: window.into() });
                    }
                    None => stage.needs.push(one),
                }
            }
        }
        for (check, value) in self.fields(value.get("checks")) {
            self.at = [id, ", line ", check].concat();
            self.check(stage, &method.measures, check, value);
        }
        let mut gone = Vec::new();
        for (slot, value) in self.fields(value.get("cures")) {
            self.at = [id, ", cure ", slot].concat();
            if taken.contains(slot) {
                self.wrong(Wrong::Twice, slot);
            }
            if self.cure(&method.roles, stage, slot, value) {
                gone.push(slot);
            }
        }
        for slot in gone {
            graph::forget(method, slot);
        }
        id.clone_into(&mut self.at);
        self.text(value, "out")
    }

    /// Conditions must name an option of the method, each switch once.
    fn conditions(&mut self, method: &Method, when: &[String]) {
        for (at, condition) in when.iter().enumerate() {
            let switch = condition.split('=').next().unwrap_or_default();
            let option = condition.get(switch.len() + 1..).unwrap_or_default();
            let mut switches = method.switches.iter().filter(|known| known.id == switch);
            if !switches.any(|known| known.options.iter().any(|known| known.id == option)) {
                self.wrong(Wrong::NoOption, condition);
            }
            if when.iter().take(at).any(|other| other.split('=').next() == Some(switch)) {
                self.wrong(Wrong::Twice, switch);
            }
        }
    }

    /// What is said of one line.
    fn check(
        &mut self,
        stage: &mut Stage,
        measures: &[super::model::Measure],
        id: &str,
        value: &Json<'_>,
    ) {
        self.known(value, &["text", "must", "asks", "out", "why"]);
        let text = self.text(value, "text");
        let out = self.text(value, "out");
        let asks = self.list(value, "asks");
        let must = match self.field(value, "must") {
            Some(Json::Bool(must)) => Some(*must),
            None => None,
            Some(_) => {
                self.wrong(Wrong::Shape, "must");
                None
            }
        };
        for id in asks.iter().flatten() {
            if !measures.iter().any(|measure| &measure.id == id) {
                self.wrong(Wrong::NoMeasure, id);
            }
        }
        let line = stage.checks.iter().position(|check| check.id == id);
        if line.is_none() {
            self.code(id);
            if text.is_none() {
                self.wrong(Wrong::Empty, "text");
            }
            let (id, text, when) = (id.to_owned(), String::new(), Vec::new());
            stage.checks.push(Check { id, text, must: false, ask: Vec::new(), when });
        }
        let at = line.unwrap_or(stage.checks.len() - 1);
        let Some(known) = stage.checks.get_mut(at) else { return };
        let other = text.as_ref().is_some_and(|text| *text != known.text);
        if known.must && (out.is_some() || must == Some(false) || other) {
            let said = if out.is_some() { "Left out here: “" } else { "Changed here: “" };
            match out.clone().or(self.text(value, "why")) {
                Some(why) => stage.cautions.push([said, &known.text, "” Why: ", &why].concat()),
                None => self.wrong(Wrong::NoReason, ""),
            }
        }
        if out.is_some() {
            stage.checks.remove(at);
            return;
        }
        known.text = text.unwrap_or(std::mem::take(&mut known.text));
        known.must = must.unwrap_or(known.must);
        if let Some(asks) = asks {
            known.ask = asks;
        }
    }

    /// What is said of one cure; tells whether it was taken out.
    fn cure(&mut self, roles: &[Role], stage: &mut Stage, id: &str, value: &Json<'_>) -> bool {
        self.known(value, &["title", "role", "family", "profile", "out"]);
        let at = stage.cures.iter().position(|slot| slot.id == id);
        let out = self.text(value, "out");
        if at.is_none() {
            self.code(id);
            stage.cures.push(CureSlot {
                id: id.to_owned(),
                title: self.needed(value, "title"),
                role: None,
                family: None,
                profile: self.needed(value, "profile"),
                when: Vec::new(),
                repeats: false,
            });
        }
        let place = at.unwrap_or(stage.cures.len() - 1);
        let Some(slot) = stage.cures.get_mut(place) else { return false };
        if let (Some(_), Some(why)) = (at, &out) {
            stage.cautions.push(["Clock left out here: “", &slot.title, "” Why: ", why].concat());
        }
        for (key, place) in [("title", &mut slot.title), ("profile", &mut slot.profile)] {
            if let Some(text) = self.text(value, key) {
                *place = text;
            }
        }
        let (role, family) = (self.text(value, "role"), self.text(value, "family"));
        if role.is_some() || family.is_some() {
            (slot.role, slot.family) = (role, family);
        }
        if slot.role.is_some() == slot.family.is_some() {
            self.wrong(Wrong::RoleOrFamily, "");
        }
        let families = families(self.rules, roles, slot);
        if families.is_empty() {
            let name = slot.role.as_ref().or(slot.family.as_ref());
            self.wrong(Wrong::NoMaterial, name.map_or("", |name| name));
        }
        for family in families {
            if family.profile(&slot.profile).is_none() {
                self.wrong(Wrong::NoClock, &slot.profile);
            }
            // What cures here brings its cautions along.
            graph::join(&mut stage.hazards, &family.hazards);
            graph::join(&mut stage.ppe, &family.ppe);
        }
        out.is_some()
    }
}

/// A stage of the shop's own before anything is said of it.
fn blank(id: &str) -> Stage {
    Stage {
        id: id.to_owned(),
        title: String::new(),
        short: String::new(),
        how: Vec::new(),
        mode: Mode::HandsOn,
        minutes: figure(10.0),
        needs: Vec::new(),
        when: Vec::new(),
        waits: Vec::new(),
        gate: None,
        checks: Vec::new(),
        tools: Vec::new(),
        materials: Vec::new(),
        cures: Vec::new(),
        cautions: Vec::new(),
        hazards: Vec::new(),
        ppe: Vec::new(),
        faults: Vec::new(),
    }
}

fn figure(minutes: f64) -> Figure {
    Figure {
        low: None,
        likely: minutes,
        high: None,
        unit: Unit::Minute,
        status: Status::WorkingRule,
        source: None,
    }
}

/// The families that may cure in a slot.
pub fn families<'r>(rules: &'r Rules, roles: &[Role], slot: &CureSlot) -> Vec<&'r Family> {
    let of_role = slot.role.as_ref().and_then(|id| roles.iter().find(|role| &role.id == id));
    let ids = of_role.map_or(slot.family.as_slice(), |role| &role.families);
    ids.iter().filter_map(|id| rules.family(id)).collect()
}
