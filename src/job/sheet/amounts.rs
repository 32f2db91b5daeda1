//! How much of it: any one amount rule of the trade on its own, for a piece
//! that no method measures, or a material that a method leaves to the eye.

use super::{Ask, Item, Page, number};
use crate::engine::table::Table;
use crate::job::card;
use crate::job::event::{Id, Material};
use crate::trade::amounts;
use crate::trade::model::{Dimension, Family, Kind, MaterialUse};

/// An input of a rule: its name there, what is asked, its dimension, where it
/// starts.
type Input = (&'static str, &'static str, Dimension, Option<f64>);

/// A material by its word in the journal: rule, kinds of family that can be
/// taken, fixed inputs, and what is asked.
struct What {
    id: &'static str,
    text: &'static str,
    rule: &'static str,
    fits: fn(&Family) -> bool,
    fixed: &'static [(&'static str, f64)],
    asks: &'static [Input],
}

const AREA: Input = ("area", "Area", Dimension::Area, None);
const THICKNESS: Input = ("thickness", "Thickness", Dimension::Length, Some(12.5));
const WALL: Input = ("thickness", "Thickness of the wall", Dimension::Length, Some(15.0));
const VOLUME: Input = ("volume", "Volume", Dimension::Volume, None);
const COATS: Input = ("coats", "Coats", Dimension::Count, Some(2.0));
const SPOUTS: Input = ("spout-volume", "Spouts and vents", Dimension::Volume, Some(0.0));
const TUBS: Input = ("tubs", "Tubs", Dimension::Count, Some(1.0));
const FLANGE: Input = ("flange-length", "Length of flange", Dimension::Length, Some(0.0));
const FLANGE_WIDTH: Input = ("flange-width", "Width of flange", Dimension::Length, Some(45.0));
const FACES: Input = ("flange-faces", "Flange faces", Dimension::Count, Some(2.0));
const PLIES: Input = ("plies", "Plies", Dimension::Count, Some(2.0));
const MAT: Input = ("areal-mass", "Mat, grams to a square metre", Dimension::Count, Some(450.0));
const TISSUE: Input = ("tissue", "Layers of tissue", Dimension::Count, Some(1.0));

fn none(_: &Family) -> bool {
    false
}
fn rubber(family: &Family) -> bool {
    family.kind == Kind::Silicone || family.id.starts_with("PU-R")
}

const WHATS: [What; 19] = [
    What {
        id: "clay",
        text: "Clay blanket",
        rule: "K-CLAY",
        fits: |f| f.kind == Kind::Clay,
        fixed: &[],
        asks: &[AREA, THICKNESS],
    },
    What {
        id: "rubber",
        text: "Rubber, poured",
        rule: "K-SI",
        fits: rubber,
        fixed: &[],
        asks: &[VOLUME, SPOUTS, TUBS],
    },
    What {
        id: "block",
        text: "Rubber block in a box",
        rule: "K-BOX",
        fits: rubber,
        fixed: &[],
        asks: &[
            ("length", "Box, length inside", Dimension::Length, None),
            ("width", "Box, width inside", Dimension::Length, None),
            ("fill", "Filled to this height", Dimension::Length, None),
            ("object-volume", "Volume of the original", Dimension::Volume, Some(0.0)),
            TUBS,
        ],
    },
    What {
        id: "brushed",
        text: "Rubber, brushed",
        rule: "K-BRUSH",
        fits: rubber,
        fixed: &[],
        asks: &[AREA, ("coats", "Coats", Dimension::Count, Some(4.0))],
    },
    What {
        id: "latex",
        text: "Latex coats",
        rule: "K-REL",
        fits: |f| f.kind == Kind::Latex,
        fixed: &[],
        asks: &[AREA, ("coats", "Coats", Dimension::Count, Some(12.0))],
    },
    What {
        id: "gel",
        text: "Gel coat",
        rule: "K-GEL",
        fits: |f| f.id == "UP-GEL",
        fixed: &[],
        asks: &[AREA, FLANGE, FLANGE_WIDTH, FACES],
    },
    What {
        id: "mat",
        text: "Mat",
        rule: "K-GLASS",
        fits: |f| f.kind == Kind::Glass,
        fixed: &[],
        asks: &[AREA, PLIES, MAT, FLANGE, FLANGE_WIDTH, FACES],
    },
    What { id: "tissue", text: "Tissue", rule: "K-TISSUE", fits: none, fixed: &[], asks: &[AREA] },
    What {
        id: "resin",
        text: "Laminating resin",
        rule: "K-RESIN",
        fits: |f| f.kind == Kind::Polyester && f.id != "UP-GEL",
        fixed: &[],
        asks: &[AREA, PLIES, MAT, TISSUE, FLANGE, FLANGE_WIDTH, FACES],
    },
    What {
        id: "plaster",
        text: "Plaster, solid",
        rule: "K-PLAS",
        fits: |f| f.kind == Kind::Gypsum,
        fixed: &[],
        asks: &[VOLUME],
    },
    What {
        id: "shell",
        text: "Plaster shell",
        rule: "K-PLAS",
        fits: |f| f.kind == Kind::Gypsum,
        fixed: &[("shell", 1.0)],
        asks: &[AREA, WALL],
    },
    What {
        id: "alginate",
        text: "Alginate",
        rule: "K-ALG",
        fits: |f| f.kind == Kind::Alginate,
        fixed: &[],
        asks: &[AREA, ("thickness", "Thickness", Dimension::Length, Some(10.0))],
    },
    What {
        id: "cast",
        text: "Fast-cast",
        rule: "K-CAST",
        fits: |f| f.kind == Kind::Polyurethane,
        fixed: &[],
        asks: &[VOLUME],
    },
    What {
        id: "release",
        text: "Release or sealer",
        rule: "K-REL",
        fits: |f| matches!(f.kind, Kind::Release | Kind::Sealer),
        fixed: &[],
        asks: &[AREA, COATS],
    },
    What {
        id: "bandage",
        text: "Plaster bandage",
        rule: "K-BAND",
        fits: |f| f.kind == Kind::Bandage,
        fixed: &[],
        asks: &[AREA, ("plies", "Plies", Dimension::Count, Some(4.0))],
    },
    What {
        id: "film",
        text: "Covering film",
        rule: "K-FILM",
        fits: none,
        fixed: &[],
        asks: &[AREA],
    },
    What {
        id: "shim",
        text: "Shim strips",
        rule: "K-SHIM",
        fits: none,
        fixed: &[],
        asks: &[
            ("length", "Length of the line", Dimension::Length, None),
            ("strip-length", "Length of a strip", Dimension::Length, Some(300.0)),
        ],
    },
    What {
        id: "bolts",
        text: "Bolts round a flange",
        rule: "K-BOLT",
        fits: none,
        fixed: &[],
        asks: &[
            ("loop", "Length round", Dimension::Length, None),
            ("extra", "More at corners and spout", Dimension::Count, Some(4.0)),
        ],
    },
    What {
        id: "bolts-run",
        text: "Bolts along a flange",
        rule: "K-BOLT",
        fits: none,
        fixed: &[],
        asks: &[
            ("run", "Length of the run", Dimension::Length, None),
            ("extra", "More at corners and spout", Dimension::Count, Some(2.0)),
        ],
    },
];

/// The materials that can be taken: the shop's own tins first.
fn materials(page: &Page<'_>, fits: fn(&Family) -> bool) -> Vec<(String, String)> {
    let tins =
        page.state.tins.iter().filter(|(_, tin)| {
            !tin.retired && page.rules.family(&tin.card.family).is_some_and(fits)
        });
    let tins = tins.map(|(id, tin)| (id.to_string(), tin.card.name.clone()));
    // Of rubbers, silicone comes first.
    let order = [false, true].into_iter();
    let families = order.flat_map(|later| {
        let all = page.rules.families.iter();
        all.filter(move |f| fits(f) && (f.kind == Kind::Polyurethane) == later)
    });
    tins.chain(families.map(|family| (family.id.clone(), family.title.clone()))).collect()
}

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let names: Vec<_> =
        WHATS.iter().map(|what| (what.id.to_owned(), what.text.to_owned())).collect();
    let what = &WHATS[page.choose("what", "What", names)];
    let offered = materials(page, what.fits);
    let mut family = None;
    if !offered.is_empty() {
        let at = page.choose(&format!("{}.material", what.id), "Material", offered.clone());
        let word = &offered[at].0;
        let material =
            Id::parse(word).map_or_else(|| Material::Family(word.clone()), Material::Tin);
        family = card::resolve(page.rules, page.state, &material)
            .ok()
            .map(|(family, tin)| card::with_tin_ratio(family, tin.as_ref()));
    }
    let mut given = Table::new();
    let mut complete = true;
    for (id, text, dimension, start) in what.asks {
        let name = format!("{}.{id}", what.id);
        let entered = number(page.state, page.job, "amounts", &name);
        let start = entered.or_else(|| from_sheets(page, what.id, id)).or(*start);
        let least = if start == Some(0.0) { 0.0 } else { 1e-6 };
        let value = page.ask(&name, text, Ask::Of(*dimension), start, (least, 1e7));
        complete &= value.is_some();
        if let Some(value) = value {
            given.insert(*id, value);
        }
    }
    if !complete {
        return None;
    }
    let inputs = what.asks.iter().map(|(id, ..)| ((*id).to_owned(), (*id).to_owned())).collect();
    let used = MaterialUse {
        title: what.text.to_owned(),
        role: None,
        family: None,
        rule: Some(what.rule.to_owned()),
        inputs,
        fixed: what.fixed.iter().map(|(id, value)| ((*id).to_owned(), *value)).collect(),
        share: 1.0,
        batch: false,
        when: Vec::new(),
    };
    let look_up =
        |id: &str| given.get(id).copied().or_else(|| super::factor(page.state, page.job, id));
    match amounts::amount(page.rules, &used, family.as_ref(), &look_up) {
        Ok(found) => {
            let sum = found.sum;
            page.items.push(Item::Result {
                text: what.text.to_owned(),
                value: found.main,
                sum: sum.clone(),
            });
            for (text, value) in found.parts {
                page.items.push(Item::Result { text, value, sum: sum.clone() });
            }
            if !found.factors.is_empty() {
                page.heading("What went into it");
            }
            for factor in &found.factors {
                super::factors::field(page, factor);
            }
        }
        Err(error) => page.warn(error.to_string()),
    }
    Some(())
}

/// What the scan of the job says, where it fits.
fn from_sheets(page: &Page<'_>, what: &str, input: &str) -> Option<f64> {
    let field = match (what, input) {
        (_, "area") => "area",
        ("rubber", "volume") => "blanket",
        (_, "volume" | "object-volume") => "volume",
        _ => return None,
    };
    number(page.state, page.job, "scan", field)
}
