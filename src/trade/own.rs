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
    Check, CureSlot, Family, Figure, Method, Mode, Rules, Stage, Status, Unit, Wait,
};
use crate::engine::json::Json;
use std::cell::RefCell;

pub use problem::Problem;

mod graph;
mod problem;

/// Version of the form that is written and read.
pub const VERSION: &str = "1";
/// Longest text of a field, in letters.
const LONGEST: usize = 200;
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
    if text.len() > LARGEST {
        return Err(Problem::NotAMethod);
    }
    let file = parse(text)?;
    if file.get("benchtide").text() != Ok("method") {
        return Err(Problem::NotAMethod);
    }
    match file.get("version") {
        Json::Number(VERSION) => {}
        Json::Number(newer) => return Err(Problem::Newer((*newer).to_owned())),
        _ => return Err(Problem::NotAMethod),
    }
    let keys = ["benchtide", "version", "base", "name", "order", "stages"];
    let fields = Fields::new(&file, "the file".into(), &keys)?;
    let base = fields.text("base")?.unwrap_or_default();
    let mut method =
        super::rules::method_anew(&base).ok_or_else(|| fields.unknown("base method", &base))?;
    method.id = code.to_owned();
    method.title = fields.text("name")?.ok_or_else(|| fields.empty("name"))?;
    method.suits = format!("Your own. {}", method.suits);
    let own_from = method.stages.len();
    let mut out = Vec::new();
    for (id, value) in fields.entries("stages")? {
        let reason = stage(rules, &mut method, own_from, id, value)?;
        out.extend(reason.map(|reason| (id.clone(), reason)));
    }
    let own: Vec<String> = method.stages.iter().skip(own_from).map(|s| s.id.clone()).collect();
    graph::arrange(&mut method, &fields.list("order")?.unwrap_or_default(), &own)?;
    graph::resolve(rules, &method)?;
    graph::take_out(&mut method, out);
    graph::check(&method)?;
    Ok(method)
}

/// Reads the text of a file.
///
/// # Errors
/// [`Problem::Unreadable`] with the line.
pub fn parse(text: &str) -> Result<Json<'_>, Problem> {
    Json::read(text).map_err(|expected| Problem::Unreadable {
        line: Json::last_line(text),
        expected: expected.0,
    })
}

/// What is said of one stage; gives the reason when it was taken out.
fn stage(
    rules: &Rules,
    method: &mut Method,
    own_from: usize,
    id: &str,
    value: &Json<'_>,
) -> Result<Option<String>, Problem> {
    let keys = ["title", "how", "minutes", "mode", "waits", "when", "out", "checks", "cures"];
    let fields = Fields::new(value, id.to_owned(), &keys)?;
    let known = method.stages.iter().position(|stage| stage.id == id);
    let title = fields.text("title")?;
    let at = match (known, &title) {
        (Some(at), _) => at,
        (None, None) => return Err(Problem::NoTitle { at: id.to_owned() }),
        (None, Some(_)) => {
            code(id)?;
            method.stages.push(blank(id));
            method.stages.len() - 1
        }
    };
    let out = fields.text("out")?;
    let waits = fields.list("waits")?;
    let when = fields.list("when")?;
    if known.is_some() && when.is_some() {
        // A copied stage leaves by "out", with a reason.
        return Err(Problem::UnknownField { at: fields.at, key: "when".into() });
    }
    let mut switches: Vec<&str> = Vec::new();
    for condition in when.iter().flatten() {
        let switch = condition.split('=').next().unwrap_or_default();
        if switches.contains(&switch) {
            return Err(Problem::Twice { name: switch.to_owned() });
        }
        switches.push(switch);
        let holds = |(switch, option): (&str, &str)| {
            let switch = method.switches.iter().find(|known| known.id == switch)?;
            switch.options.iter().find(|known| known.id == option)
        };
        if condition.split_once('=').and_then(holds).is_none() {
            return Err(fields.unknown("switch and option", condition));
        }
    }
    let measures: Vec<&str> = method.measures.iter().map(|measure| measure.id.as_str()).collect();
    let slots: Vec<String> =
        method.stages.iter().flat_map(|stage| &stage.cures).map(|slot| slot.id.clone()).collect();
    let Some(stage) = method.stages.get_mut(at) else { return Ok(out) };
    if let Some(title) = title {
        stage.short.clone_from(&title);
        stage.title = title;
    }
    if let Some(how) = fields.list("how")? {
        stage.how = how;
    }
    if let Some(when) = when {
        stage.when = when;
    }
    if let Some(minutes) = fields.minutes()? {
        stage.minutes = minutes;
    }
    if let Some(mode) = fields.text("mode")? {
        let found = MODES.iter().find(|(word, ..)| *word == mode);
        stage.mode = found.ok_or_else(|| fields.unknown("mode", &mode))?.1;
    }
    if let Some(waits) = waits {
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
    for (id, value) in fields.entries("checks")? {
        check(stage, &measures, id, value)?;
    }
    let mut gone = Vec::new();
    for (id, value) in fields.entries("cures")? {
        let elsewhere = slots.contains(id) && !stage.cures.iter().any(|slot| &slot.id == id);
        if elsewhere {
            return Err(Problem::Twice { name: id.clone() });
        }
        if cure(rules, &method.roles, stage, id, value)? {
            gone.push(id.clone());
        }
    }
    for slot in gone {
        graph::forget(method, &slot);
    }
    // One of the shop's own leaves without a word at the stages after it.
    Ok(out.map(|reason| if at < own_from { reason } else { String::new() }))
}

/// The words of the modes in the file, and on the screen.
pub const MODES: [(&str, Mode, &str); 3] = [
    ("hands-on", Mode::HandsOn, "Hands on"),
    ("unattended", Mode::Unattended, "Nobody needed"),
    ("mixed", Mode::Mixed, "Now and then"),
];

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

/// What is said of one line.
fn check(stage: &mut Stage, measures: &[&str], id: &str, value: &Json<'_>) -> Result<(), Problem> {
    let at = format!("{}, line {id}", stage.id);
    let fields = Fields::new(value, at, &["text", "must", "asks", "out", "why"])?;
    let text = fields.text("text")?;
    let must = fields.flag("must")?;
    let out = fields.text("out")?;
    let asks = fields.list("asks")?;
    if let Some(measure) = asks.iter().flatten().find(|id| !measures.contains(&id.as_str())) {
        return Err(fields.unknown("measure", measure));
    }
    let Some(line) = stage.checks.iter().position(|check| check.id == id) else {
        code(id)?;
        let text = text.ok_or_else(|| fields.empty("text"))?;
        if out.is_none() {
            let (must, ask) = (must.unwrap_or_default(), asks.unwrap_or_default());
            stage.checks.push(Check { id: id.to_owned(), text, must, ask, when: Vec::new() });
        }
        return Ok(());
    };
    let Some(known) = stage.checks.get_mut(line) else { return Ok(()) };
    let other = text.as_ref().is_some_and(|text| text != &known.text);
    let weaker = known.must && (must == Some(false) || other);
    let why = fields.text("why")?;
    let said = match (&out, why) {
        (Some(out), _) if known.must => Some(("Left out", out.clone())),
        (None, Some(why)) if weaker => Some(("Changed", why)),
        (None, None) if weaker => return Err(Problem::NoReason { at: fields.at }),
        _ => None,
    };
    stage
        .cautions
        .extend(said.map(|(what, why)| format!("{what} here: “{}” Why: {why}", known.text)));
    if out.is_some() {
        stage.checks.remove(line);
        return Ok(());
    }
    if let Some(text) = text {
        known.text = text;
    }
    if let Some(must) = must {
        known.must = must;
    }
    if let Some(asks) = asks {
        known.ask = asks;
    }
    Ok(())
}

/// What is said of one cure; tells whether it was taken out.
fn cure(
    rules: &Rules,
    roles: &[super::model::Role],
    stage: &mut Stage,
    id: &str,
    value: &Json<'_>,
) -> Result<bool, Problem> {
    let at = format!("{}, cure {id}", stage.id);
    let fields = Fields::new(value, at, &["title", "role", "family", "profile", "out"])?;
    let out = fields.text("out")?;
    let known = stage.cures.iter().position(|slot| slot.id == id);
    let (title, profile) = (fields.text("title")?, fields.text("profile")?);
    let (role, family) = (fields.text("role")?, fields.text("family")?);
    if known.is_none() {
        code(id)?;
        stage.cures.push(CureSlot {
            id: id.to_owned(),
            title: title.clone().ok_or_else(|| fields.empty("title"))?,
            role: None,
            family: None,
            profile: profile.clone().ok_or_else(|| fields.empty("profile"))?,
            when: Vec::new(),
            repeats: false,
        });
    }
    let at = known.unwrap_or(stage.cures.len() - 1);
    let Some(slot) = stage.cures.get_mut(at) else { return Ok(false) };
    if let (Some(_), Some(why)) = (known, &out) {
        stage.cautions.push(format!("Clock left out here: “{}” Why: {why}", slot.title));
    }
    if let Some(title) = title {
        slot.title = title;
    }
    if let Some(profile) = profile {
        slot.profile = profile;
    }
    if role.is_some() || family.is_some() {
        (slot.role, slot.family) = (role, family);
    }
    if slot.role.is_some() == slot.family.is_some() {
        return Err(Problem::RoleOrFamily { at: fields.at });
    }
    let families = families(rules, roles, slot);
    if families.is_empty() {
        let name = slot.role.as_ref().or(slot.family.as_ref());
        return Err(fields.unknown("material", name.map_or("", |name| name)));
    }
    if families.iter().any(|family| family.profile(&slot.profile).is_none()) {
        let profile = slot.profile.clone();
        return Err(fields.unknown("clock of that material", &profile));
    }
    // What cures here brings its cautions along.
    for family in families {
        for (mine, theirs) in [(&mut stage.hazards, &family.hazards), (&mut stage.ppe, &family.ppe)]
        {
            for code in theirs {
                if !mine.contains(code) {
                    mine.push(code.clone());
                }
            }
        }
    }
    Ok(out.is_some())
}

/// The families that may cure in a slot.
pub fn families<'r>(
    rules: &'r Rules,
    roles: &[super::model::Role],
    slot: &CureSlot,
) -> Vec<&'r Family> {
    let of_role = slot.role.as_ref().and_then(|id| roles.iter().find(|role| &role.id == id));
    let ids = of_role.map_or(slot.family.as_slice(), |role| &role.families);
    ids.iter().filter_map(|id| rules.family(id)).collect()
}

/// Refuses codes that can't stand in an address.
fn code(id: &str) -> Result<(), Problem> {
    let fits = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '.' | '-');
    if !id.is_empty() && id.len() <= 40 && id.chars().all(fits) {
        Ok(())
    } else {
        Err(Problem::Code { at: id.to_owned() })
    }
}

/// The fields of one thing in the file.
struct Fields<'v> {
    value: &'v Json<'v>,
    at: String,
}

impl<'v> Fields<'v> {
    fn new(value: &'v Json<'v>, at: String, keys: &[&str]) -> Result<Self, Problem> {
        let fields = Self { value, at };
        match fields.named("", value)?.iter().find(|(key, _)| !keys.contains(&key.as_str())) {
            Some((key, _)) => Err(Problem::UnknownField { at: fields.at, key: key.clone() }),
            None => Ok(fields),
        }
    }

    /// The fields of an object, each there once.
    fn named(&self, key: &str, of: &'v Json<'v>) -> Result<&'v [(String, Json<'v>)], Problem> {
        let all = of.fields().map_err(|_| self.shape(key, "fields in { }"))?;
        let again = |(at, (name, _)): &(usize, &(String, Json<'v>))| {
            all.iter().take(*at).any(|(other, _)| other == name)
        };
        match all.iter().enumerate().find(again) {
            Some((_, (name, _))) => Err(Problem::Twice { name: name.clone() }),
            None => Ok(all),
        }
    }

    fn field(&self, key: &str) -> Option<&'v Json<'v>> {
        let found = self.value.get(key);
        (*found != Json::Null).then_some(found)
    }

    fn shape(&self, key: &str, wanted: &'static str) -> Problem {
        Problem::Shape { at: self.at.clone(), key: key.to_owned(), wanted }
    }

    fn empty(&self, key: &'static str) -> Problem {
        Problem::Empty { at: self.at.clone(), key }
    }

    fn unknown(&self, what: &'static str, name: &str) -> Problem {
        Problem::Unknown { at: self.at.clone(), what, name: name.to_owned() }
    }

    fn words(&self, key: &'static str, value: &Json<'_>) -> Result<String, Problem> {
        let text = value.text().map_err(|_| self.shape(key, "words in quotes"))?.trim();
        match text.chars().count() {
            0 => Err(self.empty(key)),
            letters if letters > LONGEST => Err(Problem::TooLong { at: self.at.clone(), key }),
            _ => Ok(text.to_owned()),
        }
    }

    fn text(&self, key: &'static str) -> Result<Option<String>, Problem> {
        self.field(key).map(|value| self.words(key, value)).transpose()
    }

    fn flag(&self, key: &'static str) -> Result<Option<bool>, Problem> {
        match self.field(key) {
            None => Ok(None),
            Some(Json::Bool(flag)) => Ok(Some(*flag)),
            Some(_) => Err(self.shape(key, "true or false")),
        }
    }

    fn list(&self, key: &'static str) -> Result<Option<Vec<String>>, Problem> {
        let Some(value) = self.field(key) else { return Ok(None) };
        let all = value.list().map_err(|_| self.shape(key, "words in [ ]"))?;
        all.iter().map(|one| self.words(key, one)).collect::<Result<_, _>>().map(Some)
    }

    fn minutes(&self) -> Result<Option<Figure>, Problem> {
        let Some(value) = self.field("minutes") else { return Ok(None) };
        let minutes = value.number().map_err(|_| self.shape("minutes", "a number"))?;
        if (0.0..=MOST_MINUTES).contains(&minutes) {
            Ok(Some(figure(minutes)))
        } else {
            Err(Problem::Minutes { at: self.at.clone() })
        }
    }

    fn entries(&self, key: &'static str) -> Result<&'v [(String, Json<'v>)], Problem> {
        self.field(key).map_or(Ok(&[]), |value| self.named(key, value))
    }
}
