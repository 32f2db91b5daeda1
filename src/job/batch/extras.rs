//! What is stirred into a mix besides: pigment, thickener, filler, thinner.
//!
//! Which of them a family takes, and how much, are its further values in the
//! table of the trade. The tin's sheet comes before them: what is over a limit
//! is said, and never refused.

use crate::engine::mix::{Addition, Limit, MixError, TwoPart, additions};
use crate::engine::quantity::{Grams, Percent};
use crate::trade::model::{Family, Figure, Kind, Property};

/// The further values that are additions, and what they are called on the scale.
const EXTRAS: [(&str, &str); 4] = [
    ("pigment", "pigment"),
    ("thixotrope", "thickener"),
    ("filler", "filler"),
    ("thinner", "thinner"),
];

/// Something stirred in, by the id of the family's further value.
#[derive(Clone, Debug, PartialEq)]
pub struct Extra {
    /// The further value.
    pub id: String,
    /// How much, in per cent by mass of [`into`].
    pub share: Percent,
}

/// What a family takes.
pub fn offers(family: &Family) -> Vec<&Property> {
    let taken = |property: &&Property| EXTRAS.iter().any(|(id, _)| *id == property.id);
    family.properties.iter().filter(taken).collect()
}

/// What an addition is called on the scale.
pub fn plain(id: &str) -> &str {
    EXTRAS.iter().find(|(known, _)| *known == id).map_or(id, |(_, name)| name)
}

/// What its per cent go by (common practice): the base of a silicone or resin,
/// the powder of a plaster, else all that is mixed.
pub fn into(family: &Family) -> &'static str {
    match family.kind {
        Kind::Polyester => "the resin",
        Kind::Silicone => "the base",
        Kind::Gypsum | Kind::Alginate => "the powder",
        _ => "both parts together",
    }
}

/// Whether it is stirred in when the two parts are mixed already (common
/// practice for epoxy, whose ratio would otherwise hide in a paste).
pub(super) fn last(family: &Family) -> bool {
    family.kind == Kind::Epoxy
}

fn addition(id: &str, figure: &Figure, share: Percent) -> Addition {
    Addition {
        name: plain(id).to_owned(),
        share,
        least: Percent(figure.low.unwrap_or(0.0)),
        most: Percent(figure.high.unwrap_or(figure.likely)),
    }
}

/// How much of something stands to what a family takes of it; none for what is
/// no addition of the family.
pub fn limit(family: &Family, extra: &Extra) -> Option<Limit> {
    let figure = family.property(&extra.id)?;
    let one = additions(Grams(100.0), &[addition(&extra.id, figure, extra.share)]).ok()?;
    one.result.each.first().map(|added| added.limit)
}

/// Each addition's name and mass.
pub(super) fn masses(
    family: &Family,
    parts: TwoPart,
    extras: &[Extra],
) -> Result<Vec<(String, Grams)>, MixError> {
    let base = match family.kind {
        Kind::Polyester | Kind::Silicone => parts.a,
        Kind::Gypsum | Kind::Alginate => parts.b,
        _ => parts.total(),
    };
    let known = extras
        .iter()
        .filter_map(|extra| Some(addition(&extra.id, family.property(&extra.id)?, extra.share)));
    let worked = additions(base, &known.collect::<Vec<_>>())?;
    Ok(worked.result.each.into_iter().map(|added| (added.name, added.mass)).collect())
}
