//! One tin of the shop: its card, what was seen of it, and what that teaches.

use crate::job::card::{Card, Stock};
use crate::job::event::{Body, Id};
use crate::job::learning::{self, Evidence, Standing, Study};
use crate::job::state::Tin;
use crate::ui::app::go;
use crate::ui::chart::{self, Fit, Gel};
use crate::ui::overlay::{REASON, Why, use_overlays};
use crate::ui::parts::{live, redraw, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stock::StockCard;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// One tin.
#[component]
pub fn TinScreen(id: Id) -> Node {
    let store = use_store();
    let tin = move || store.state.with(|state| state.tins.get(&id).cloned());
    redraw(
        move || tin().map_or_else(String::new, |tin| tin.card.name),
        move || match tin() {
            Some(tin) => view! { <OneTin tin=tin /> },
            None => view! {
                <h1>"Shelf"</h1>
                <p class="card">"This tin is not on this phone."</p>
                <a class="big" href=Route::Shelf.to_string()>"To the Shelf"</a>
            },
        },
    )
}

#[component]
fn OneTin(tin: Tin) -> Node {
    let store = use_store();
    let id = tin.id;
    let family = tin.card.family.clone();
    let retire = move |_| {
        store.act_then(Ok(Body::TinRetired { tin: id }), "Tin taken off the Shelf", || {
            go(&Route::Shelf);
        });
    };
    view! {
        <p class="crumb"><a href=Route::Family(family.clone()).to_string()>"Its family"</a></p>
        <h1>{tin.card.name.clone()}</h1>
        <p class="hint">{words::tin_line(store.rules(), &tin.card)}</p>
        <StockCard id=id />
        <Learned id=id />
        <section class="card">
            <h2>"Its card"</h2>
            <dl class="facts"><TinTimes tin=tin.clone() /></dl>
        </section>
        <div class="stack">
            <NewBatch id=id />
            <button class="big quiet" on:click=tap(retire)>"Take this tin off the Shelf"</button>
        </div>
    }
}

/// The times of a tin's card at its reference, each with its origin.
#[component]
pub fn TinTimes(tin: Tin) -> Node {
    let store = use_store();
    let Some(family) = store.rules().family(&tin.card.family) else { return Node::Nothing };
    let lines = family.profiles.iter().filter_map(|profile| {
        Card::build(store.rules(), family, Some(tin.card.clone()), &profile.id).ok()
    });
    lines
        .flat_map(|card| {
            let times = card.profile.milestones.iter().zip(card.times.clone());
            times
                .map(|(milestone, time)| {
                    view! {
                        <dt>{milestone.title.clone()}</dt>
                        <dd>
                            {words::span_of_time(&time.spec.time)}
                            <span class="hint">" " {time.origin.to_string()}</span>
                        </dd>
                    }
                })
                .collect::<Vec<_>>()
        })
        .collect_view()
}

fn study(store: Store, id: Id) -> Option<(Tin, Study)> {
    store.state.with(|state| {
        let tin = state.tins.get(&id)?;
        Some((tin.clone(), learning::study(store.rules(), state, id)?))
    })
}

/// What the findings of a tin teach, and whether that takes effect.
#[component]
fn Learned(id: Id) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let accept = move |_| {
        let body = store.state.with_untracked(|s| learning::accept(store.rules(), s, id));
        match body {
            Ok(body) => store.append_moving(vec![body], "It takes effect from now on"),
            Err(refusal) => store.refuse(refusal.to_string()),
        }
    };
    let reset = move |_| {
        overlays.why.set(Some(Why {
            title: "Back to its card?".into(),
            text: "What was seen so far then teaches nothing any more. The record keeps it.".into(),
            offers: vec!["A fresh start".into(), "It went off".into()],
            words: REASON,
            done: Callback::new(move |_: String| {
                store.append_moving(vec![Body::LearningReset { tin: id }], "Back to its card");
            }),
        }));
    };
    view! {
        <section class="card" data-learned="">
            <h2>"What it taught"</h2>
            {live(move || {
                let (tin, study) = study(store, id)?;
                let in_force = tin.learning.as_ref().map(|learning| {
                    let words = learning::told("tin", &learning.belief, learning.findings);
                    view! { <p><b>"In force: "</b>{words}</p> }
                });
                let news = study.is_news(&tin);
                let empty = study.evidence.is_empty();
                let picture = picture(&tin.card.name, &study);
                let words = (news || tin.learning.is_none()).then(|| study.words());
                let list = study.evidence.into_iter().rev().take(30);
                Some(view! {
                    {in_force}
                    {words.map(|words| view! { <p>{words}</p> })}
                    {news.then(|| view! {
                        <p class="hint">"It takes effect only if you say so."</p>
                        <button class="big main" on:click=tap(accept)>"Let it take effect"</button>
                    })}
                    {empty.then(|| view! {
                        <p class="hint">
                            "Each time that you note \"gelled\" or \"ready\" after a \"not yet\", it learns how this tin runs here."
                        </p>
                    })}
                    {(!empty).then(|| view! {
                        <div class="chart-place" inner_html=picture></div>
                        <ul class="findings">
                            {list.map(|of| view! { <Found of=of /> }).collect_view()}
                        </ul>
                    })}
                    {tin.learning.is_some().then(|| view! {
                        <button class="big quiet" on:click=tap(reset)>"Back to its card"</button>
                    })}
                })
            })}
        </section>
    }
}

fn picture(name: &str, study: &Study) -> String {
    let gels: Vec<Gel> = study
        .evidence
        .iter()
        .filter_map(|of| {
            let standing = match (of.standing, of.outlier) {
                (Standing::LeftOut, _) => chart::Standing::LeftOut,
                (_, Some(_)) => chart::Standing::Odd,
                _ => chart::Standing::Kept,
            };
            Some(Gel {
                predicted: of.predicted?,
                observed: of.took(),
                learning: chart::Learning::After,
                standing,
            })
        })
        .collect();
    chart::fit(&Fit { id: "fit", title: name, gels: &gels })
}

/// One finding, what is odd about it, and the keys that take it out or in.
#[component]
fn Found(of: Evidence) -> Node {
    let store = use_store();
    let now = store.now.get_untracked();
    let counts = of.standing == Standing::Counts;
    let expected = of.predicted.map(|span| format!("expected {}", words::span_of_time(&span)));
    let odd = of.outlier.map(|outlier| outlier.to_string());
    let why = (!counts).then(|| of.standing.to_string());
    let can_judge = !matches!(of.standing, Standing::Unusable(_) | Standing::TooCold);
    let finding = of.finding;
    let again = if of.standing == Standing::LeftOut {
        "Count it again"
    } else {
        "It had just come: count it"
    };
    let judge = move |_| {
        let body = Body::FindingJudged { finding, counts: !counts };
        store.act(Ok(body), if counts { "Left out" } else { "It counts" });
    };
    view! {
        <li class:left-out=!counts>
            <p>
                <b>{of.name.clone()}</b>
                {format!(", {}: {} after {}", words::clock(of.started, now), of.milestone, words::duration(of.took()))}
            </p>
            {expected.map(|line| view! { <p class="hint">{line}</p> })}
            {odd.map(|line| view! { <p class="trouble">{line}</p> })}
            {why.map(|line| view! { <p class="hint">{line}</p> })}
            {can_judge.then(|| view! {
                <button class="big quiet" on:click=tap(judge)>
                    {if counts { "Leave it out" } else { again }}
                </button>
            })}
        </li>
    }
}

/// A new batch number of the same material.
#[component]
fn NewBatch(id: Id) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let open = move |_| {
        overlays.why.set(Some(Why {
            title: "Number of the new batch".into(),
            text:
                "The new tin keeps this card. What was learned is its start, with a wider margin."
                    .into(),
            offers: Vec::new(),
            words: ["The number on it", "Put it on the Shelf"],
            done: Callback::new(move |number: String| begin(store, id, &number)),
        }));
    };
    view! { <button class="big" on:click=tap(open)>"New batch of this"</button> }
}

fn begin(store: Store, old: Id, number: &str) {
    let at = crate::device::clock::now();
    let made =
        store.state.with_untracked(|state| learning::new_batch(store.rules(), state, old, number));
    match made {
        Ok((body, inherited)) => {
            let tin = store.new_id(at);
            let draft = |id, body| crate::job::demo::Draft { id, at, body };
            let mut drafts = vec![draft(tin, body)];
            drafts.extend(
                inherited.map(|learning| {
                    draft(store.new_id(at), Body::LearningAccepted { tin, learning })
                }),
            );
            // Size and price are those of the material; what is left is not.
            let stock = store.state.with_untracked(|s| s.tins.get(&old).and_then(|old| old.stock));
            drafts.extend(stock.map(|(_, stock)| {
                let stock = Stock { left: None, ..stock };
                draft(store.new_id(at), Body::TinStocked { tin, stock })
            }));
            drafts.push(draft(store.new_id(at), Body::TinRetired { tin: old }));
            store.append_drafts(drafts, "New batch on the Shelf".into(), move || {
                go(&Route::Tin(tin));
            });
        }
        Err(refusal) => store.refuse(refusal.to_string()),
    }
}

/// On the Bench: tins whose findings teach something that does not take effect yet.
#[component]
pub fn LearnedCards() -> Node {
    let store = use_store();
    let news = Memo::new(move |_| {
        store.state.with(|state| {
            let tins = state.tins.values().filter(|tin| !tin.retired);
            tins.filter_map(|tin| {
                let study = learning::study(store.rules(), state, tin.id)?;
                // One finding may be chance: it is offered at the tin, not pressed.
                (study.counted >= 2 && study.is_news(tin))
                    .then(|| (tin.id, format!("{}: {}", tin.card.name, study.words())))
            })
            .collect::<Vec<_>>()
        })
    });
    let any = move || news.with(|news| !news.is_empty());
    view! {
        {shown(any, move || view! {
            <section class="card" role="status">
                <h2>"Learned, not in force"</h2>
                {live(move || {
                    news.get()
                        .into_iter()
                        .map(|(id, words)| view! {
                            <p>{words}</p>
                            <a class="big quiet" href=Route::Tin(id).to_string()>"Look and decide"</a>
                        })
                        .collect_view()
                })}
            </section>
        })}
    }
}
