//! One family's card: its values with their range, status and source, and the
//! tins of the shop that count before it.

use crate::trade::model::{Family, Figure, Mixing, Profile};
use crate::ui::cautions::Cautions;
use crate::ui::learned::TinTimes;
use crate::ui::parts::live;
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;
use crate::ui::words;

/// One family.
#[component]
pub fn FamilyScreen(id: String) -> Node {
    match use_store().rules().family(&id) {
        Some(family) => view! { <OneFamily family=family /> },
        None => view! {
            <h1>"Shelf"</h1>
            <p class="card">"This material is not known here. Update the app."</p>
            <a class="big" href=Route::Shelf.to_string()>"To the Shelf"</a>
        },
    }
}

#[component]
fn OneFamily(family: &'static Family) -> Node {
    view! {
        <p class="crumb">
            <a href=Route::Shelf.to_string()>"Shelf"</a>
        </p>
        <h1>{family.title.clone()}</h1>
        <p class="card caution">
            "Starting values of a generic family. The data sheet of your tin comes first."
        </p>
        <Tins family=family />
        <Cautions hazards=family.hazards.clone() ppe=family.ppe.clone() questions=Vec::new() />
        <Conditions family=family />
        {family.profiles.iter().map(|profile| view! { <Clock profile=profile /> }).collect_view()}
        <Properties family=family />
        {(!family.notes.is_empty())
            .then(|| {
                view! {
                    <section class="card">
                        <h2>"To know"</h2>
                        <ul>
                            {family
                                .notes
                                .iter()
                                .map(|note| {
                                    view! {
                                        <li>
                                            {note.text.clone()}
                                            <span class="hint">" (" {note.status.words()} {note.source.clone().map(|s| format!(": {s}"))} ")"</span>
                                        </li>
                                    }
                                })
                                .collect_view()}
                        </ul>
                    </section>
                }
            })}
    }
}

/// The shop's tins of this family with the values in force and their origin.
#[component]
fn Tins(family: &'static Family) -> Node {
    let store = use_store();
    let tins = move || {
        store.state.with(|state| {
            state
                .tins
                .values()
                .filter(|tin| !tin.retired && tin.card.family == family.id)
                .cloned()
                .collect::<Vec<_>>()
        })
    };
    view! {
        <section>
            {live(move || {
                tins()
                    .into_iter()
                    .map(|tin| {
                        view! {
                <article class="card tin">
                    <h2>{tin.card.name.clone()}</h2>
                    <p class="hint">{words::tin_line(store.rules(), &tin.card)}</p>
                    <dl class="facts"><TinTimes tin=tin.clone() /></dl>
                    <a class="big quiet" href=Route::Tin(tin.id).to_string()>"What it taught; new batch"</a>
                </article>
                        }
                    })
                    .collect_view()
            })}
            <a class="big main" href=Route::NewTin(family.id.clone()).to_string()>"Add my tin"</a>
        </section>
    }
}

#[component]
fn Line(title: String, figure: Figure) -> Node {
    let store = use_store();
    view! {
        <dt>{title}</dt>
        <dd>
            {words::figure(&store.settings(), &figure)}
            <span class="hint">" " {words::trust(&figure)}</span>
        </dd>
    }
}

#[component]
fn Conditions(family: &'static Family) -> Node {
    let mut lines: Vec<(String, Figure)> = Vec::new();
    let mut add = |title: &str, figure: &Figure| lines.push((title.to_owned(), figure.clone()));
    if let Some(reference) = &family.reference {
        add("Times are given at", &reference.temperature);
        if let Some(humidity) = &reference.humidity {
            add("and humidity", humidity);
        }
    }
    if let Some(factor) = &family.per_ten {
        add("Faster for ten degrees more, times", factor);
    }
    if let Some(limits) = &family.limits {
        add("No time below, while wet", &limits.wet_min);
        add("Hardening counts nothing below", &limits.harden_min);
        add("No time above", &limits.max);
    }
    if let Some(catalyst) = &family.catalyst {
        add("Catalyst, by weight", &catalyst.level);
        add("Warned above", &catalyst.warn_above);
        add("Refused above", &catalyst.block_above);
        add("Refused below", &catalyst.block_below);
        add("Catalyst density", &catalyst.density);
    }
    let ratio = match &family.mixing {
        Mixing::TwoPart { part_a, part_b, a, b, .. } => Some(format!(
            "{part_a} {} : {part_b} {} by weight",
            words::number(a.likely),
            words::number(b.likely)
        )),
        Mixing::Water { water, .. } => {
            Some(format!("{} of water to 100 of powder, by weight", words::number(water.likely)))
        }
        Mixing::BySheet { .. } => {
            Some("No ratio is given here: it must come from the tin's own sheet.".to_owned())
        }
        Mixing::Catalysed | Mixing::AsSupplied => None,
    };
    view! {
        <section class="card">
            <h2>"Conditions"</h2>
            {ratio.map(|ratio| view! { <p>{ratio}</p> })}
            <dl class="facts">
                {lines
                    .into_iter()
                    .map(|(title, figure)| view! { <Line title=title figure=figure /> })
                    .collect_view()}
            </dl>
        </section>
    }
}

#[component]
fn Clock(profile: &'static Profile) -> Node {
    view! {
        <section class="card">
            <h2>"Clock: " {profile.title.clone()}</h2>
            <p class="hint">{format!("Starts at: {}", profile.starts)}</p>
            <dl class="facts">
                {profile
                    .milestones
                    .iter()
                    .map(|m| view! { <Line title=m.title.clone() figure=m.time.clone() /> })
                    .collect_view()}
            </dl>
            {profile
                .windows
                .iter()
                .map(|w| {
                    view! {
                        <p>
                            <b>{w.title.clone()} ": "</b>
                            {w.test.clone()}
                        </p>
                    }
                })
                .collect_view()}
        </section>
    }
}

#[component]
fn Properties(family: &'static Family) -> Node {
    view! {
        <section class="card">
            <h2>"Further values"</h2>
            <dl class="facts">
                {family
                    .properties
                    .iter()
                    .map(|p| view! { <Line title=p.title.clone() figure=p.figure.clone() /> })
                    .collect_view()}
            </dl>
        </section>
    }
}
