//! The tub in measuring cups, through densities that somebody stated.

use super::key::TheSum;
use crate::engine::quantity::Grams;
use crate::job::batch::{Plan, Weighing, densities, enter_density, in_cups, pair};
use crate::job::card::TinCard;
use crate::job::event::Material;
use crate::trade::model::{Dimension, Family, Mixing};
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::use_store;
use crate::ui::words;

/// By volume.
#[component]
pub fn CupsCard(
    material: Material,
    /// The family as its tin changes it.
    family: StoredValue<Family>,
    tin: Option<TinCard>,
    /// The tub as it is planned.
    tub: Signal<Option<(Plan, Weighing)>>,
) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let kept = StoredValue::new((material, tin));
    let ask = move |part: usize, name: String| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        overlays.pad.set(Some(Pad {
            title: format!("Density of the {name}"),
            hint: "Off its sheet. Or weigh 100 ml of it: the grams, over 100.".into(),
            start: String::new(),
            units: words::units(&settings, Dimension::Density),
            done: Callback::new(move |entry: String| {
                let density = words::read_density(&entry)?;
                let body = kept.with_value(|(material, _)| enter_density(material, part, density));
                store.act(Ok(body.map_err(|refusal| refusal.to_string())?), "Density noted");
                Ok(())
            }),
        }));
    };
    let shown = move || {
        let (plan, weighing) = tub.get()?;
        let settings = store.settings();
        let of = store.state.with(|state| {
            kept.with_value(|(material, tin)| {
                family.with_value(|family| densities(state, material, family, tin.as_ref()))
            })
        });
        family.with_value(|family| {
            let level = plan.catalyst.as_ref().map(|(level, _)| *level);
            let pair = pair(family, level).ok()?;
            let ends = plan.parts.iter().zip(&weighing.ends).filter(|(part, _)| !part.extra);
            let masses: Vec<Grams> = ends.map(|(_, mass)| *mass).collect();
            let cups = in_cups(&pair, [*masses.first()?, *masses.get(1)?], of);
            let powder = matches!(family.mixing, Mixing::Water { .. });
            let line = |part: usize| {
                let name = pair.names[part].to_owned();
                match cups.volumes[part] {
                    Some(volume) => {
                        let words = format!("{name}: {}", words::volume(&settings, volume));
                        view! { <p class="amount">{words}</p> }
                    }
                    None if powder => view! {
                        <p class="hint">{format!("{name}: by weight only. It packs in a cup.")}</p>
                    },
                    None => {
                        let words = format!("{name}: its density is not known, and none is guessed.");
                        view! {
                            <p>{words}</p>
                            <button class="big quiet" on:click=tap(move |_| ask(part, name.clone()))>
                                "Enter its density"
                            </button>
                        }
                    }
                }
            };
            let hundred = |b: f64| format!("100 : {}", words::number(b));
            let ratio = match cups.by_volume {
                Some(by_volume) => format!(
                    "{} by weight, {} by volume",
                    hundred(cups.by_weight),
                    hundred(by_volume)
                ),
                None => format!("{} by weight", hundred(cups.by_weight)),
            };
            Some(view! {
                <p>{ratio}</p>
                {line(0)}
                {line(1)}
                <TheSum sum=cups.sum.clone() />
                <p class="hint">"A scale is surer than a cup. Families state densities from memory: yours is on the tin's sheet."</p>
            })
        })
    };
    view! {
        <details class="card" data-cups="">
            <summary>"In measuring cups"</summary>
            {live(shown)}
        </details>
    }
}
