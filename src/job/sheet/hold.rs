//! Will it hold: what a poured mould pushes and lifts, what holds it down, and
//! what its bolts carry.

use super::{Ask, Page};
use crate::engine::pour::{
    Bolt, Grade, Jacket, Joint, Outline, Thread, bolting, head_pressure, hold, opening_force,
};
use crate::engine::quantity::{Grams, GramsPerMillilitre, Millilitres, Millimetres, SquareMetres};
use crate::engine::takeoff::{Float, Quantity, Run};
use crate::trade::model::Dimension;

/// What is poured, by its word in the journal, with the family whose density it has.
const WHAT: [(&str, &str, &str); 4] = [
    ("silicone", "Silicone rubber", "SI-TIN"),
    ("urethane", "Polyurethane rubber", "PU-R"),
    ("plaster", "Plaster slurry", "GY-B"),
    ("other", "Something else", ""),
];

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let names = WHAT.map(|(id, text, _)| (id, text));
    let family = WHAT[page.choice("what", "What is poured", &names)].2;
    let card = page.rules.family(family).and_then(|family| {
        family.property("density").or_else(|| family.property("slurry-density"))
    });
    let density = page.density("density", "Its density, off your tin", card.map(|f| f.likely));
    let level = page.length("level", "Level above the board, spout and riser too");
    let safety = page.constant("uplift-safety");
    let safety = page.plain("safety", "Held with this times the lift", "×", safety, (1.0, 10.0));

    page.heading("Lift on the jacket");
    let area = page
        .ask_or(
            "area",
            "Wet area on the board, seen from above",
            Dimension::Area,
            &[("scan", "projected")],
        )
        .map(SquareMetres);
    let held = page.ask(
        "held",
        "All it encloses up to the level, if known",
        Ask::Of(Dimension::Volume),
        Some(0.0),
        (0.0, 1e8),
    );
    let weight = page.mass_or("weight", "Weight of the jacket", 0.0);
    let cores = [("no", "Rubber can't get under it"), ("yes", "Rubber can get under it")];
    let core = page.choice("core", "The original or a core", &cores) == 1;
    let volume = core
        .then(|| page.ask_or("core-volume", "Its volume", Dimension::Volume, &[("scan", "volume")]))
        .flatten();
    let mass = if core { page.mass("core-mass", "Its weight") } else { None };

    lift(page, density, level, area, (held, weight), (core, volume, mass), safety);
    joint(page, density, level)
}

fn lift(
    page: &mut Page<'_>,
    density: Option<GramsPerMillilitre>,
    level: Option<Millimetres>,
    area: Option<SquareMetres>,
    (held, weight): (Option<f64>, Grams),
    (core, volume, mass): (bool, Option<f64>, Option<Grams>),
    safety: f64,
) -> Option<()> {
    let (density, level) = (density?, level?);
    let (pressure, sum) = page.worked(head_pressure(level, density))?;
    page.result("Pressure at the board", Quantity::Pressure(pressure), &sum);
    let float = match (volume, mass) {
        (Some(volume), Some(mass)) => Some(Float { volume: Millilitres(volume), mass }),
        _ if core => return None,
        _ => None,
    };
    let jacket =
        Jacket { level, area: area?, held: Millilitres(held.unwrap_or(0.0)), weight, core: float };
    let (found, sum) = page.worked(hold(&jacket, density, safety))?;
    page.result("It lifts the jacket with", Quantity::Force(found.lift), &sum);
    page.result("Lay on the jacket, or bolt it to the board", Quantity::Mass(found.jacket), &sum);
    if core {
        page.result("The core floats with", Quantity::Force(found.float), &sum);
        page.result("Hold the core with", Quantity::Mass(found.core), &sum);
    }
    if held.unwrap_or(0.0) <= 0.0 {
        page.note(
            "Reckoned as for the worst shape. With what it encloses entered, it may be less.",
        );
    }
    Some(())
}

/// The flanges: what opens them, and what their bolts carry.
fn joint(
    page: &mut Page<'_>,
    density: Option<GramsPerMillilitre>,
    level: Option<Millimetres>,
) -> Option<()> {
    page.heading("Upright joint and its bolts");
    let outlines =
        [("ellipse", "Round or oval"), ("box", "Straight-sided"), ("seen", "Area known")];
    let outline = page.choice("outline", "Inside the flanges", &outlines);
    let tall = page.length("tall", "Height of the wet part");
    let outline = if outline == 2 {
        let area = page.area("front", "Area inside the flanges");
        Outline::Seen { area: area?, height: tall? }
    } else {
        let width = page.length("wide", "Width of the wet part");
        let (width, height) = (width?, tall?);
        if outline == 1 {
            Outline::Rectangle { width, height }
        } else {
            Outline::Ellipse { width, height }
        }
    };
    let runs = [("loop", "All the way round"), ("open", "From end to end")];
    let run = [Run::ClosedLoop, Run::Open][page.choice("run", "The flange runs", &runs)];
    let length = page.length("flange", "Length of the flange");
    let threads = Thread::ALL.map(|thread| (thread.name(), thread.name()));
    // M6 comes third in the list; it is what benches use.
    let thread = Thread::ALL[first(page, "thread", "Bolt", &threads, 2)];
    let grades = Grade::ALL.map(|grade| (grade.name(), grade.name()));
    let grade = Grade::ALL[first(page, "grade", "Its strength, as stamped", &grades, 1)];
    let start = page.constant("bolt-spacing");
    let spacing = page.length_or("spacing", "Spacing of bolts", start);
    let extra = page.count("extra", "More at corners, ends and spout", 4, (0, 100));
    let start = page.constant("bolt-safety");
    let bolt_safety =
        page.plain("bolt-safety", "Bolts loaded to proof load over", "×", start, (1.0, 100.0));
    let (density, level, length) = (density?, level?, length?);
    let height = match outline {
        Outline::Rectangle { height, .. }
        | Outline::Ellipse { height, .. }
        | Outline::Seen { height, .. } => height,
    };
    // It stands on the board: its middle is half its height above that.
    let middle = level - height / 2.0;
    let (thrust, sum) = page.worked(opening_force(outline, middle, density))?;
    page.result("It pushes the joint open with", Quantity::Force(thrust.force), &sum);
    let joint = Joint { force: thrust.force, peak: thrust.peak, length, run, spacing, extra };
    let bolt = Bolt { thread, grade };
    let (bolts, sum) = page.worked(bolting(&joint, bolt, bolt_safety))?;
    page.result("Bolts", Quantity::Count(bolts.count), &sum);
    page.result("Spacing", Quantity::Length(bolts.spacing), &sum);
    page.result("The lowest bolt carries, at most", Quantity::Force(bolts.load.each), &sum);
    page.result("Of what the bolt alone may", Quantity::Percent(bolts.load.used), &sum);
    if bolts.by_load {
        page.warn("The load asks for more bolts than the spacing does.");
    }
    page.warn("The bolt is seldom what fails: washers pull through the flange first. Large washers, a thick flange, clamps or a strap as well.");
    Some(())
}

/// A choice that starts elsewhere than at the first of the list.
fn first<const N: usize>(
    page: &mut Page<'_>,
    id: &str,
    text: &str,
    options: &[(&str, &str); N],
    start: usize,
) -> usize {
    let mut turned = *options;
    turned.rotate_left(start);
    (page.choice(id, text, &turned) + start) % N
}
