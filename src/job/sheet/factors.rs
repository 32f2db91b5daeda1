//! The factors that a sum adds for loss, and the figures that stand in for a
//! measurement: each in sight, each the shop's own to change.
//!
//! An entry of a job's sheet counts for the job, one of the shop's for every
//! job without its own.

use super::{Ask, Field, Item, Origin, Page, number};
use crate::job::event::Id;
use crate::job::state::State;
use crate::trade::model::{Constant, Dimension, Rules, Unit};

/// The sheet's name in the journal.
pub const FACTORS: &str = "factors";

/// The constants of the table that a shop may make its own, in groups.
const GROUPS: [(&str, &[&str]); 5] = [
    (
        "Waste",
        &[
            "silicone-waste",
            "silicone-brush-waste",
            "tub-loss",
            "gel-waste",
            "glass-waste",
            "tissue-waste",
            "resin-waste",
            "plaster-waste",
            "plaster-waste-shell",
            "alginate-waste",
            "fast-cast-waste",
            "clay-waste",
            "bandage-waste",
            "film-waste",
            "scrim-waste",
            "shim-waste",
        ],
    ),
    (
        "Use by area",
        &[
            "gel-thickness",
            "resin-per-glass",
            "first-wetting",
            "resin-per-tissue",
            "brush-first-coat",
            "brush-next-coat",
            "release-use",
            "paste-use",
        ],
    ),
    ("Blanket and flange", &["blanket-thickness", "blanket-difference", "flange-width"]),
    ("Bolts and lift", &["bolt-spacing", "uplift-safety", "bolt-safety"]),
    (
        "Hands, a minute",
        &[
            "use-rate-gel",
            "use-rate-laminate",
            "use-rate-silicone-brush",
            "use-rate-silicone-pour",
            "use-rate-plaster",
        ],
    ),
];

/// A factor as this job or this shop has it; none where the table's stands.
pub fn factor(state: &State, job: Option<Id>, constant: &str) -> Option<f64> {
    let of_job = job.and_then(|_| number(state, job, FACTORS, constant));
    of_job.or_else(|| number(state, None, FACTORS, constant))
}

/// Whether a constant is what is added for loss.
pub fn is_waste(constant: &str) -> bool {
    GROUPS[0].1.contains(&constant)
}

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    for (heading, ids) in GROUPS {
        page.heading(heading);
        for id in ids {
            field(page, id);
        }
    }
    Some(())
}

/// The field of one factor, whichever sheet shows it.
pub(super) fn field(page: &mut Page<'_>, id: &str) {
    if let Some(field) = factor_field(page.rules, page.state, page.job, id) {
        page.items.push(Item::Field(field));
    }
}

/// The field by which a job (or the shop) makes a constant its own; none when
/// the table has no such constant.
pub fn factor_field(rules: &Rules, state: &State, job: Option<Id>, id: &str) -> Option<Field> {
    let constant = rules.constant(id)?;
    let (ask, range) = taken(constant);
    let own = number(state, job, FACTORS, id);
    let start = factor(state, None, id).unwrap_or(constant.figure.likely);
    Some(Field {
        sheet: FACTORS,
        id: id.to_owned(),
        text: constant.title.clone(),
        ask,
        value: Some(own.unwrap_or(start)),
        origin: if own.is_some() { Origin::Entered } else { Origin::Start },
        range,
    })
}

/// How a constant is entered, and what is sensible: a tenth to ten times it.
fn taken(constant: &Constant) -> (Ask, (f64, f64)) {
    let likely = constant.figure.likely;
    match constant.figure.unit {
        Unit::Percent => (Ask::Of(Dimension::Percent), (0.0, 100.0)),
        Unit::Factor => (Ask::Plain("×"), (likely.min(1.0) / 10.0, likely * 10.0)),
        Unit::Millimetre => (Ask::Of(Dimension::Length), (likely / 10.0, likely * 10.0)),
        Unit::Gram => (Ask::Of(Dimension::Mass), (0.0, likely * 10.0)),
        Unit::Kilogram => (Ask::Plain("kg"), (0.0, likely * 10.0)),
        Unit::KilogramPerSquareMetre => (Ask::Plain("kg/m²"), (0.0, likely * 10.0)),
        _ => (Ask::Plain(""), (likely / 10.0, likely * 10.0)),
    }
}
