//! The mould card: what whoever takes the mould off its shelf in ten years must
//! know. Its points and their order are those of the printed card.
//!
//! A table and not calls: fifty fields of six kinds are smaller as data.

use super::{Ask, Page, SIZES};
use crate::engine::quantity::Grams;
use crate::engine::takeoff::{Quantity, Sum};
use crate::job::mould;
use crate::trade::model::{Dimension, MouldMaterial, Verdict};

/// The sheet's name in the journal.
pub const MOULD: &str = "mould";

/// What a line of the card is.
#[derive(Clone, Copy)]
enum Is {
    Heading,
    Words,
    Number,
    /// A number that starts at none.
    Every,
    Size,
    Weight,
    Volume,
    Heat,
    Time,
    Days,
    Years,
    Shore,
    Face,
    /// What the tables say of its face.
    Tables,
}

/// Every line: its name in the journal, its words, what it is.
const LINES: &[(&str, &str, Is)] = &[
    ("", "Original", Is::Heading),
    ("original", "What it is", Is::Words),
    ("owner", "Owner", Is::Words),
    ("catalogue", "Catalogue number", Is::Words),
    ("moulded", "Moulded on, if long ago", Is::Words),
    ("age", "Years old when it came on record, 0 for new", Is::Years),
    ("licence", "Casts allowed, 0 for no limit", Is::Every),
    ("limits", "Permission and limits", Is::Words),
    ("", "How it is made", Is::Heading),
    ("number", "Number on the mould", Is::Words),
    ("method", "Method", Is::Words),
    ("pieces", "Pieces", Is::Number),
    ("open", "Open in this order", Is::Words),
    ("close", "Close in this order", Is::Words),
    ("face", "Rubber, or what its face is", Is::Face),
    ("batch", "Batch", Is::Words),
    ("ratio", "Ratio as weighed", Is::Words),
    ("shore", "Hardness", Is::Shore),
    ("wall", "Thickness", Is::Size),
    ("jacket", "Jacket", Is::Words),
    ("rubber-mass", "Weight of the rubber, or of a mould without", Is::Weight),
    ("jacket-mass", "Weight of the jacket", Is::Weight),
    ("", "Bolts", Is::Heading),
    ("bolts", "How many", Is::Number),
    ("bolt-size", "Size", Is::Words),
    ("bolt-length", "Length", Is::Size),
    ("torque", "How tight, hand and a nip", Is::Words),
    ("odd-bolt", "An odd one, and where", Is::Words),
    ("", "Pour", Is::Heading),
    ("position", "How it stands", Is::Words),
    ("spout", "Spout", Is::Words),
    ("vents", "Vents", Is::Number),
    ("cast-volume", "Volume of a cast", Is::Volume),
    ("target", "A good cast weighs", Is::Weight),
    ("weights", "In other materials", Is::Words),
    ("", "Cast in it", Is::Heading),
    ("suits", "Suits", Is::Words),
    ("never", "Never use", Is::Words),
    ("", "", Is::Tables),
    ("", "Care", Is::Heading),
    ("release", "Release", Is::Words),
    ("cleaning", "Cleaning", Is::Words),
    ("rest", "Rest before resin, off the tin's sheet", Is::Days),
    ("service-every", "Service every so many casts, 0 for never", Is::Every),
    ("retire-at", "Retire at so many casts, 0 for open", Is::Every),
    ("", "Recipe that worked", Is::Heading),
    ("recipe", "Ratio and amounts", Is::Words),
    ("recipe-temp", "Temperature", Is::Heat),
    ("recipe-pour", "Poured within", Is::Time),
    ("recipe-demould", "Opened after", Is::Time),
    ("", "Faults, storage, hands", Is::Heading),
    ("faults", "Known faults", Is::Words),
    ("place", "Where and how it lies", Is::Words),
    ("inside", "With what inside", Is::Words),
    ("made-by", "Made by", Is::Words),
    ("review", "Look at it again", Is::Words),
];

/// What is lifted with the mould, as far as it was weighed.
const LIFTED: [(&str, &str); 3] = [
    ("rubber-mass", "Rubber, or mould without"),
    ("jacket-mass", "Jacket"),
    ("target", "A cast inside"),
];

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    for (id, text, is) in LINES {
        line(page, id, text, *is);
    }
    let mould = page.job?;
    let mut lift = Grams(0.0);
    let mut sum = Sum::default();
    for (id, text) in LIFTED {
        if let Some(mass) = mould::number(page.state, mould, id).map(Grams) {
            lift = lift + mass;
            sum = sum.with(text, Quantity::Mass(mass));
        }
    }
    if !sum.lines.is_empty() {
        page.result("To lift, with a cast in it", Quantity::Mass(lift), &sum);
    }
    Some(())
}

fn line(page: &mut Page<'_>, id: &str, text: &str, is: Is) {
    let (ask, start, range) = match is {
        Is::Heading => return page.heading(text),
        Is::Words => {
            page.text(id, text);
            return;
        }
        Is::Face => {
            page.family(id, text, &|family| MouldMaterial::of(family).is_some());
            return;
        }
        Is::Tables => return tables(page),
        Is::Number => (Ask::Of(Dimension::Count), None, (0.0, 1000.0)),
        Is::Every => (Ask::Of(Dimension::Count), Some(0.0), (0.0, 100_000.0)),
        Is::Size => (Ask::Of(Dimension::Length), None, SIZES),
        Is::Weight => (Ask::Of(Dimension::Mass), None, (1e-3, 1e7)),
        Is::Volume => (Ask::Of(Dimension::Volume), None, (1e-3, 1e8)),
        Is::Heat => (Ask::Of(Dimension::Temperature), None, (-5.0, 60.0)),
        Is::Time => (Ask::Of(Dimension::Time), None, (0.0, 10_000.0)),
        Is::Years => (Ask::Plain("years"), Some(0.0), (0.0, 100.0)),
        Is::Days => (Ask::Plain("d"), None, (0.0, 60.0)),
        Is::Shore => (Ask::Plain("Shore A"), None, (0.0, 100.0)),
    };
    page.ask(id, text, ask, start, range);
}

/// What the tables say of its face: what goes in it, its rest, how long it keeps.
/// Words of the shop's own stand above it.
fn tables(page: &mut Page<'_>) {
    let Some(mould) = page.job else { return };
    let words = [
        ("By the table, goes in it: ", &[Verdict::Ok][..]),
        (
            "With release, sealer or a test first: ",
            &[Verdict::Release, Verdict::Seal, Verdict::Test],
        ),
        ("Never: ", &[Verdict::No, Verdict::Bonds]),
    ];
    for (before, verdicts) in words {
        let names = mould::goes(page.rules, page.state, mould, verdicts);
        if !names.is_empty() {
            page.note(format!("{before}{names}."));
        }
    }
    for line in mould::habits(page.rules, page.state, mould) {
        page.note(line);
    }
}
