//! The Shelf: the shop's own tins first, then the generic families by kind.

use crate::trade::model::Kind;
use crate::ui::parts::{live, shown};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;
use crate::ui::words;

const KINDS: [(Kind, &str); 12] = [
    (Kind::Polyester, "Polyester and vinyl ester"),
    (Kind::Epoxy, "Epoxy"),
    (Kind::Silicone, "Silicone"),
    (Kind::Polyurethane, "Polyurethane"),
    (Kind::Gypsum, "Plaster and stone"),
    (Kind::Alginate, "Alginate"),
    (Kind::Bandage, "Plaster bandage"),
    (Kind::Latex, "Latex"),
    (Kind::Clay, "Clay"),
    (Kind::Glass, "Glass"),
    (Kind::Release, "Releases"),
    (Kind::Sealer, "Sealers"),
];

/// The Shelf.
#[component]
pub fn ShelfScreen() -> Node {
    let store = use_store();
    let tins = move || {
        store.state.with(|state| {
            state.tins.values().filter(|tin| !tin.retired).cloned().collect::<Vec<_>>()
        })
    };
    view! {
        <h1>"Shelf"</h1>
        <section>
            <h2>"Your tins"</h2>
            {shown(move || tins().is_empty(), move || view! {
                <p class="card empty">
                    "None yet. Pick the family of a tin below: a time and its temperature off the data sheet make a card that counts before the family's."
                </p>
            })}
            <div class="tiles">
                {live(move || {
                    tins()
                        .into_iter()
                        .map(|tin| {
                            view! {
                    <a class="tile" href=Route::Tin(tin.id).to_string()>
                        <b>{tin.card.name.clone()}</b>
                        <span class="hint">{words::tin_line(store.rules(), &tin.card)}</span>
                    </a>
                            }
                        })
                        .collect_view()
                })}
            </div>
        </section>
        {KINDS
            .into_iter()
            .map(|(kind, title)| {
                let families: Vec<_> =
                    store.rules().families.iter().filter(|family| family.kind == kind).collect();
                (!families.is_empty())
                    .then(|| {
                        view! {
                            <section>
                                <h2>{title}</h2>
                                <div class="tiles">
                                    {families
                                        .into_iter()
                                        .map(|family| {
                                            view! {
                                                <a class="tile" href=Route::Family(family.id.clone()).to_string()>
                                                    <b>{family.title.clone()}</b>
                                                </a>
                                            }
                                        })
                                        .collect_view()}
                                </div>
                            </section>
                        }
                    })
            })
            .collect_view()}
        <p class="hint">
            "Families carry starting values only. The data sheet of the tin on your bench always comes first."
        </p>
    }
}
