//! Will they get on: what the mould's face touches, what is cast in it, and
//! what a test patch said.

use super::{Page, entry};
use crate::engine::air::GateReason;
use crate::job::card;
use crate::job::event::Id;
use crate::job::state::State;
use crate::trade::model::{Cell, MouldMaterial, Pairing, Question, Rules, Verdict};

/// The sheet's name in the journal.
const FIT: &str = "fit";

/// Fields for what the face touches.
const TOUCHES: [(&str, &str); 2] = [("surface", "It lies on"), ("second", "It also touches")];

/// What a test patch said, by its word in the journal and at the bench.
const PATCH: [(&str, &str); 3] =
    [("none", "None made yet"), ("clean", "Cured clean"), ("tacky", "Stayed tacky")];

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let faces = MouldMaterial::ALL.map(|(_, id, text)| (id, text));
    let start = of_job(page.rules, page.state, page.job).unwrap_or(0);
    let mut turned = faces;
    turned.rotate_left(start);
    let face = (page.choice("face", "The mould's face", &turned) + start) % faces.len();
    for (id, text) in TOUCHES {
        let row = chosen(page, id, text, Question::Surface);
        said(page, row, face);
    }
    page.choice("patch", "Test patch on that very surface", &PATCH);
    page.note("A test patch on a hidden spot outranks every table.");
    page.heading("What is cast in it");
    let row = chosen(page, "cast", "It is cast in", Question::Cast);
    said(page, row, face);
    Some(())
}

/// The rows of a question, after "not said".
fn rows(rules: &'static Rules, of: Question) -> impl Iterator<Item = &'static Pairing> {
    rules.pairings.iter().filter(move |pairing| pairing.kind == of)
}

fn chosen(page: &mut Page<'_>, id: &str, text: &str, of: Question) -> Option<&'static Pairing> {
    let first = ("none".to_owned(), "Not said".to_owned());
    let others = rows(page.rules, of).map(|row| (row.id.clone(), row.title.clone()));
    let at = page.choose(id, text, std::iter::once(first).chain(others).collect());
    rows(page.rules, of).nth(at.checked_sub(1)?)
}

fn said(page: &mut Page<'_>, row: Option<&'static Pairing>, face: usize) {
    let Some(cell) = row.and_then(|row| row.cells.get(face)) else { return };
    let words = cell.verdict.words();
    let note = cell.note.trim_end_matches('.');
    let source = cell.source.as_ref().map(|source| format!(" ({source})")).unwrap_or_default();
    let line = format!("{}{}. {note}{source}.", words[..1].to_ascii_uppercase(), &words[1..]);
    match cell.verdict {
        Verdict::Ok => page.note(line),
        Verdict::No => page.stop(line),
        _ => page.warn(line),
    }
}

/// The place in the table of what the job's mould is faced with.
fn of_job(rules: &'static Rules, state: &State, job: Option<Id>) -> Option<usize> {
    let job = state.jobs.get(&job?)?;
    let method = state.method(rules, &job.method)?;
    let roles = method.roles.iter().filter(|role| role.id == "rubber" || role.id == "face");
    roles.map(|role| &role.id).find_map(|role| {
        let material = crate::job::stage::material(method, job, Some(role), None)?;
        let (family, _) = card::resolve(rules, state, &material).ok()?;
        let face = MouldMaterial::of(family)?;
        MouldMaterial::ALL.iter().position(|(one, ..)| *one == face)
    })
}

/// What the sheet of a job says against pouring its rubber; nothing while the
/// surfaces are not said.
pub fn against(rules: &'static Rules, state: &State, job: Id) -> Vec<GateReason> {
    let words = |field: &str| entry(state, Some(job), FIT, field);
    let own =
        words("face").and_then(|word| MouldMaterial::ALL.iter().position(|(_, id, _)| *id == word));
    let Some(face) = own.or_else(|| of_job(rules, state, Some(job))) else { return Vec::new() };
    let cell = |(field, _): &(&str, &str)| -> Option<&'static Cell> {
        let row = words(field)?;
        rows(rules, Question::Surface).find(|one| one.id == row)?.cells.get(face)
    };
    let cells: Vec<&'static Cell> = TOUCHES.iter().filter_map(cell).collect();
    let patch = words("patch");
    let mut found = Vec::new();
    if patch == Some("tacky") {
        found.push(GateReason::PatchTacky);
    }
    for cell in &cells {
        if cell.verdict == Verdict::No {
            found.push(GateReason::Unsuited { note: &cell.note });
        }
    }
    // What lies on bare clay or plaster is sealed, and a sealer can stop a cure too.
    let doubtful = cells.iter().any(|cell| matches!(cell.verdict, Verdict::Seal | Verdict::Test));
    if doubtful && patch != Some("clean") && patch != Some("tacky") {
        found.push(GateReason::Untested);
    }
    found
}
