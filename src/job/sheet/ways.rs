//! A volume found in two ways, and compared: a mould maker trusts the scale
//! and the tape only when they agree.

use super::{Ask, Page};
use crate::engine::quantity::{GramsPerMillilitre, Millilitres, Percent, SquareMetres};
use crate::engine::shape::{
    ByWeight, area_by_paper, density_in_pot, volume_by_fill, volume_by_weight,
};
use crate::engine::takeoff::{
    Quantity, Sum, TakeoffError, Worked, compare_volumes, volume_from_area, volume_from_clay,
};
use crate::trade::model::Dimension;

/// Ways to a volume, by their word in the journal and at the bench.
const WAYS: [(&str, &str); 9] = [
    ("clay", "Clay weighed"),
    ("pattern", "Paper pattern, times thickness"),
    ("overflow", "Water that ran over"),
    ("fill", "Filled with water or grain"),
    ("old-cast", "Weight of an old cast"),
    ("shape", "From the sheet of its size"),
    ("scan", "From a scan"),
    ("said", "Known already"),
    ("none", "None"),
];

/// Why two ways may differ.
const CAUSES: [(&str, &str); 6] = [
    ("open", "Not found out yet"),
    ("thickness", "Blanket is not even"),
    ("lost", "Clay was lost or added"),
    ("density", "Density was guessed"),
    ("slip", "A slip at scale or tape: mended"),
    ("shape", "The shape stands for it badly"),
];

/// Density of water at the bench: 15 to 25 °C (CRC Handbook: 0.997 to 0.999 g/ml).
const WATER: f64 = 0.998;
/// Cast gypsum, dry, as often weighed. From memory.
const OLD_CAST: f64 = 1.1;

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    page.heading("First way");
    let first = way(page, "first", 0);
    page.heading("Second way");
    let second = way(page, "second", 8);
    let (a, b) = (first?, second?);
    let allowed = page.constant("blanket-difference");
    let compared = compare_volumes(a, b, Percent(allowed));
    let (compared, _) = page.worked(compared)?;
    page.heading("The two compared");
    let sum = Sum::default()
        .with("First way", Quantity::Volume(a))
        .with("Second way", Quantity::Volume(b))
        .with("They may differ by", Quantity::Percent(Percent(allowed)));
    page.result("The second differs by", Quantity::Percent(compared.difference), &sum);
    if compared.ask_why {
        page.warn("Ask why before anything is mixed: two good ways agree better than that.");
        page.choice("why", "Why they differ", &CAUSES);
    } else {
        page.note("They agree. Go by the one that was weighed.");
    }
    Some(())
}

/// One way, with its result.
fn way(page: &mut Page<'_>, which: &str, start: usize) -> Option<Millilitres> {
    let name = |field: &str| format!("{which}.{field}");
    let mut ways = WAYS;
    ways.rotate_left(start);
    let kind = ways[page.choice(&name("way"), "How", &ways)].0;
    let found = match kind {
        "clay" => {
            let mass = page.mass(&name("mass"), "Every scrap of the clay");
            let density = density(page, &name("clay"), "Density of the clay", clay(page));
            volume_from_clay(mass?, density?)
        }
        "pattern" => {
            let area = pattern(page, which);
            let start = page.constant("blanket-thickness");
            let thickness = page.length_or(&name("thickness"), "Thickness of the blanket", start);
            volume_from_area(area?, thickness)
        }
        "overflow" => {
            page.note("Bag it, lower it into a full bucket, weigh what runs over.");
            let mass = page.mass(&name("mass"), "Water that ran over");
            let water = page.density(&name("water"), "Density of the water", Some(WATER));
            return shaped(page, volume_by_weight(ByWeight::Overflow, mass?, water?));
        }
        "fill" => {
            page.note("Never water in a plaster mould. Dry any other well after.");
            let empty = page.mass(&name("empty"), "Mould or box, empty");
            let full = page.mass(&name("full"), "The same, full");
            let density = density(page, &name("fill"), "Density of the fill", Some(WATER));
            return shaped(page, volume_by_fill(empty?, full?, density?));
        }
        "old-cast" => {
            let mass = page.mass(&name("mass"), "A solid cast of the same piece");
            let density =
                page.density(&name("cast"), "Density of that cast, as dry", Some(OLD_CAST));
            return shaped(page, volume_by_weight(ByWeight::OldCast, mass?, density?));
        }
        "shape" | "scan" => return from_sheet(page, which, kind),
        "said" => {
            let volume =
                page.ask(&name("volume"), "Volume", Ask::Of(Dimension::Volume), None, (1e-3, 1e8));
            return volume.map(Millilitres);
        }
        _ => return None,
    };
    shown(page, found)
}

/// The clay's density as the job found it, or the card's.
fn clay(page: &Page<'_>) -> Option<f64> {
    let own = page.job.and_then(|job| page.state.jobs.get(&job));
    own.and_then(|job| job.measures.get("clay-density").copied()).or_else(|| {
        let card = page.rules.family("CL-W")?.property("density")?;
        Some(card.likely)
    })
}

/// A density: known, or by a pot filled with water and then packed.
fn density(
    page: &mut Page<'_>,
    id: &str,
    text: &str,
    start: Option<f64>,
) -> Option<GramsPerMillilitre> {
    let ways = [("known", "Enter it, or the card's"), ("pot", "By a pot filled twice")];
    if page.choice(&format!("{id}.by"), "Where its density comes from", &ways) == 0 {
        return page.density(&format!("{id}.density"), text, start);
    }
    let water = page.mass(&format!("{id}.water"), "The pot's fill of water");
    let packed = page.mass(&format!("{id}.packed"), "The same pot, packed with it");
    let found = density_in_pot(water?, packed?, GramsPerMillilitre(WATER));
    let (density, sum) = page.worked(found)?;
    page.result(text, Quantity::Density(density), &sum);
    Some(density)
}

/// An area by the paper laid over it.
fn pattern(page: &mut Page<'_>, which: &str) -> Option<SquareMetres> {
    let name = |field: &str| format!("{which}.{field}");
    page.note("Wrap it in paper, cut the paper flat, weigh it. Weigh a square of the same paper.");
    let pattern = page.mass(&name("pattern"), "The pattern");
    let sheet = page.mass(&name("sheet"), "The square of paper");
    let side = page.length_or(&name("side"), "Side of the square", 100.0);
    let found = area_by_paper(pattern?, sheet?, side, side);
    let (area, sum) = page.worked(found)?;
    page.result("Area of the pattern", Quantity::Area(area), &sum);
    Some(area)
}

/// What another sheet of the job found.
fn from_sheet(page: &mut Page<'_>, which: &str, kind: &str) -> Option<Millilitres> {
    let whats = [("blanket", "Its blanket"), ("volume", "The piece itself")];
    let what = whats[page.choice(&format!("{which}.of"), "Which volume", &whats)].0;
    let found = if kind == "scan" {
        page.volume_of("scan", what)
    } else {
        let text = if what == "blanket" { "offset" } else { "Volume of the piece" };
        let sheet = super::find("piece")?;
        let items = super::work(page.rules, page.state, page.job, sheet);
        items.into_iter().find_map(|item| match item {
            super::Item::Result { text: found, value: Quantity::Volume(volume), .. }
                if found.contains(text) =>
            {
                Some(volume)
            }
            _ => None,
        })
    };
    match found {
        Some(volume) => page.result("Volume", Quantity::Volume(volume), &Sum::default()),
        None => page.warn("It isn't there yet: fill that sheet first, or open a scan."),
    }
    found
}

fn shown(
    page: &mut Page<'_>,
    found: Result<Worked<Millilitres>, TakeoffError>,
) -> Option<Millilitres> {
    let (volume, sum) = page.worked(found)?;
    page.result("Volume", Quantity::Volume(volume), &sum);
    Some(volume)
}

fn shaped(
    page: &mut Page<'_>,
    found: Result<Worked<Millilitres>, crate::engine::shape::ShapeError>,
) -> Option<Millilitres> {
    let (volume, sum) = page.worked(found)?;
    page.result("Volume", Quantity::Volume(volume), &sum);
    Some(volume)
}
