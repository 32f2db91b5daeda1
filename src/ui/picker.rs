//! Picking a material: the shop's own tins first, then the families.

use crate::job::event::Material;
use crate::trade::model::Family;
use crate::ui::parts::tap;
use crate::ui::prelude::*;
use crate::ui::store::use_store;

/// The tins and families that fit, as big tiles.
#[component]
pub fn MaterialTiles(
    /// Which families are offered.
    fits: fn(&Family) -> bool,
    /// Called with the material and its name.
    pick: Callback<(Material, String)>,
) -> Node {
    let store = use_store();
    let families = || store.rules().families.iter().filter(|family| fits(family));
    let tins = store.state.with(|state| {
        let offered = |id: &str| families().any(|family| family.id == id);
        let tins = state.tins.values().filter(|tin| !tin.retired && offered(&tin.card.family));
        tins.map(|tin| (Material::Tin(tin.id), tin.card.name.clone(), "your tin"))
            .collect::<Vec<_>>()
    });
    let families =
        families().map(|family| (Material::Family(family.id.clone()), family.title.clone(), ""));
    view! {
        <div class="tiles">
            {tins
                .into_iter()
                .chain(families)
                .map(|(material, title, note)| {
                    let picked = (material, title.clone());
                    view! {
                        <button class="tile" on:click=tap(move |_| pick.run(picked.clone()))>
                            <b>{title}</b>
                            <span class="hint">{note}</span>
                        </button>
                    }
                })
                .collect_view()}
        </div>
    }
}
