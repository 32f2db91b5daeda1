//! A cast: what came of it, what it weighs, what it was made of, who has it.

use super::{Ask, Page, SIZES};
use crate::engine::quantity::{Grams, Percent};
use crate::engine::takeoff::{Quantity, Sum};
use crate::job::mould::{self, Judged};
use crate::trade::model::{Dimension, casting_row};

/// The sheet's name in the journal.
pub const CAST: &str = "cast";

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let verdicts = Judged::ALL.map(|(_, id, text)| (id, text));
    let judged = Judged::ALL[page.choice("verdict", "It is", &verdicts)].0;
    if matches!(judged, Judged::Repaired | Judged::Scrapped) {
        let first = ("none".to_owned(), "Not said".to_owned());
        let faults = page.rules.faults.iter();
        let faults = faults.map(|fault| (fault.id.to_string(), fault.title.clone()));
        let faults = std::iter::once(first).chain(faults).collect();
        page.choose("fault", "What is wrong with it", faults);
    }
    let weight = page.mass("weight", "It weighs");
    compared(page, weight);
    page.family("material", "Cast in", &|family| casting_row(family).is_some());
    page.text("mix", "Ratio and amounts");
    page.ask("temp", "Temperature", Ask::Of(Dimension::Temperature), None, (-5.0, 60.0));
    page.minutes("open", "Opened after", None);
    page.ask("wall", "Wall", Ask::Of(Dimension::Length), None, SIZES);
    page.text("finish", "Finish");
    page.text("serial", "Number on its back");
    page.text("to", "To whom");
    Some(())
}

/// Its weight beside that of a good one: voids show as light.
fn compared(page: &mut Page<'_>, weight: Option<Grams>) -> Option<()> {
    let weight = weight?;
    let cast = page.state.record.casts.get(&page.job?)?;
    let good = mould::number(page.state, cast.mould, "target").map(Grams)?;
    let off = Percent((weight / good - 1.0) * 100.0);
    let sum = Sum::default()
        .with("A good cast weighs", Quantity::Mass(good))
        .with("This one", Quantity::Mass(weight));
    page.result("Against a good cast", Quantity::Percent(off), &sum);
    if off.value() < -page.constant("cast-light") {
        page.warn("Light: look for a void. Tap it all over, and look at the high points.");
    }
    Some(())
}
