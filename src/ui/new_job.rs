//! A new job in under a minute: method, name, go. Variants and materials have
//! sensible starts and can wait.

use crate::engine::sorting::sort_by_key;
use crate::engine::table::Table;
use crate::job::command;
use crate::job::event::{Id, Material};
use crate::trade::model::{Method, Role, Switch};
use crate::ui::app::go;
use crate::ui::parts::{live, tap, typed};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::{Store, use_store};

/// Opens a new job.
#[component]
pub fn NewJobScreen() -> Node {
    let store = use_store();
    let mut methods: Vec<&'static Method> = store.rules().methods.iter().collect();
    let method = RwSignal::new(methods.first().map(|m| m.id.clone()).unwrap_or_default());
    store.state.with_untracked(|state| {
        let own = state.record.own_methods();
        methods.extend(own.filter_map(|(id, _)| state.record.own_method(&id.to_string())));
    });
    let name = RwSignal::new(String::new());
    let switches = RwSignal::new(Table::<String, String>::new());
    let materials = RwSignal::new(Table::<String, Material>::new());
    let chosen = move || store.state.with_untracked(|s| s.method(store.rules(), &method.get()));
    let open = move || {
        let outcome = store.state.with_untracked(|state| {
            command::open_job(
                store.rules(),
                state,
                &name.get_untracked(),
                &method.get_untracked(),
                switches.get_untracked(),
                materials.get_untracked(),
            )
        });
        match outcome {
            Ok(body) => {
                let at = crate::device::clock::now();
                let id = store.new_id(at);
                let draft = crate::job::demo::Draft { id, at, body };
                store.append_drafts(vec![draft], "Job opened".into(), move || go(&Route::Job(id)));
            }
            Err(refusal) => store.refuse(refusal.to_string()),
        }
    };
    let pick = move |id: String| {
        method.set(id);
        switches.set(Table::new());
        materials.set(Table::new());
    };
    view! {
        <h1>"New job"</h1>
        <form on:submit=tap(move |event: web_sys::Event| {
            event.prevent_default();
            open();
        })>
            <label class="field">
                "What is it called? Two or three words"
                <input
                    type="text"
                    autocomplete="off"
                    maxlength="60"
                    prop:value=move || name.get()
                    on:input=tap(move |event: web_sys::Event| name.set(typed(&event)))
                />
            </label>
            <Choosing pick=Callback::new(pick) />
            <fieldset class="choices methods">
                <legend>"How is it made?"</legend>
                {methods
                    .into_iter()
                    .map(|one| {
                        view! {
                            <Choice
                                title=one.title.clone()
                                note=one.suits.clone()
                                chosen=Signal::derive(move || method.get() == one.id)
                                pick=Box::new(move || pick(one.id.clone()))
                            />
                        }
                    })
                    .collect_view()}
            </fieldset>
            <button type="submit" class="big main">"Open the job"</button>
            {live(move || {
                chosen()
                    .map(|method| {
                        view! { <Variants method=method switches=switches materials=materials /> }
                    })
            })}
        </form>
    }
}

/// Questions about the piece, and the methods that their answers lean to, with
/// the reasons. Whoever knows picks below.
#[component]
fn Choosing(pick: Callback<String>) -> Node {
    let store = use_store();
    let yes = RwSignal::new(Vec::<usize>::new());
    let all = &store.rules().leanings;
    let short_list = move || {
        let yes = yes.get();
        let mut found: Vec<(&'static str, Vec<&'static str>)> = Vec::new();
        for (_, leaning) in all.iter().enumerate().filter(|(at, _)| yes.contains(at)) {
            match found.iter_mut().find(|(method, _)| *method == leaning.method) {
                Some((_, reasons)) => reasons.push(&leaning.reason),
                None => found.push((&leaning.method, vec![&leaning.reason])),
            }
        }
        sort_by_key(&mut found, |(_, reasons)| std::cmp::Reverse(reasons.len()));
        found
    };
    view! {
           <details class="card">
               <summary>"Help me choose"</summary>
               <div class="stack">
                   {all.iter()
                       .enumerate()
                       .filter(|(_, leaning)| store.rules().method(&leaning.method).is_some())
                       .map(|(at, leaning)| {
                           view! {
                               <Choice
                                   title=leaning.text.clone()
                                   note=String::new()
                                   chosen=Signal::derive(move || yes.with(|yes| yes.contains(&at)))
                                   pick=Box::new(move || yes.update(|yes| {
                                       match yes.iter().position(|one| *one == at) {
    Some(there) => drop(yes.remove(there)), None => yes.push(at),
                                       }
                                   }))
                               />
                           }
                       })
                       .collect_view()}
               </div>
               <h2>"It leans to"</h2>
               {live(move || {
                   let found = short_list();
                   if found.is_empty() {
                       return view! { <p class="hint">"Say yes to what fits the piece."</p> };
                   }
                   found
                       .into_iter()
                       .filter_map(|(id, reasons)| {
                           let method = store.rules().method(id)?;
                           Some(view! {
                               <button type="button" class="big lean" on:click=tap(move |_| pick.run(id.to_owned()))>
                                   <b>{method.title.clone()}</b>
                                   <span class="hint">{reasons.join(" ")}</span>
                               </button>
                           })
                       })
                       .collect_view()
               })}
           </details>
       }
}

/// One of several, as a big key.
#[component]
pub fn Choice(
    /// What it is.
    title: String,
    /// What it means.
    note: String,
    /// Whether it is chosen.
    chosen: Signal<bool>,
    /// Called on a tap.
    pick: Box<dyn Fn()>,
) -> Node {
    view! {
        <button
            type="button"
            class="choice"
            aria-pressed=move || chosen.get().to_string()
            on:click=tap(move |_| pick())
        >
            <span class="choice-mark" aria-hidden="true">
                {live(move || if chosen.get() { "■" } else { "□" })}
            </span>
            <span class="choice-text">
                <b>{title}</b>
                <span class="hint">{note}</span>
            </span>
        </button>
    }
}

#[component]
fn Variants(
    method: &'static Method,
    switches: RwSignal<Table<String, String>>,
    materials: RwSignal<Table<String, Material>>,
) -> Node {
    let store = use_store();
    view! {
        <p class="card">{method.idea.clone()}</p>
        {method
            .switches
            .iter()
            .map(|switch| view! { <SwitchChoice switch=switch switches=switches /> })
            .collect_view()}
        {method
            .roles
            .iter()
            .filter(|role| role.families.len() > 1 || has_tins(store, role))
            .map(|role| view! { <RoleChoice role=role materials=materials /> })
            .collect_view()}
        {(!method.goes_wrong.is_empty())
            .then(|| {
                view! {
                    <section class="card warn">
                        <h2>"What goes wrong"</h2>
                        <ul>
                            {method.goes_wrong.iter().map(|line| view! { <li>{line.clone()}</li> }).collect_view()}
                        </ul>
                    </section>
                }
            })}
    }
}

#[component]
fn SwitchChoice(switch: &'static Switch, switches: RwSignal<Table<String, String>>) -> Node {
    let chosen = move |option: &'static str| {
        Signal::derive(move || {
            switches.with(|s| s.get(&switch.id).unwrap_or(&switch.default) == option)
        })
    };
    view! {
        <fieldset class="choices">
            <legend>{switch.title.clone()}</legend>
            {switch
                .options
                .iter()
                .map(|option| {
                    view! {
                        <Choice
                            title=option.title.clone()
                            note=option.note.clone()
                            chosen=chosen(&option.id)
                            pick=Box::new(move || {
                                switches
                                    .update(|s| {
                                        s.insert(switch.id.clone(), option.id.clone());
                                    });
                            })
                        />
                    }
                })
                .collect_view()}
        </fieldset>
    }
}

fn has_tins(store: Store, role: &Role) -> bool {
    !tins_for(store, role).is_empty()
}

/// Tins of the shop that can play a role.
pub fn tins_for(store: Store, role: &Role) -> Vec<(Id, String)> {
    store.state.with_untracked(|state| {
        let fits = |tin: &&crate::job::state::Tin| {
            !tin.retired && role.families.contains(&tin.card.family)
        };
        state.tins.values().filter(fits).map(|tin| (tin.id, tin.card.name.clone())).collect()
    })
}

/// The families and tins that can play a role, as big keys.
#[component]
pub fn RoleChoice(
    /// The role.
    role: &'static Role,
    /// Chosen material of each role.
    materials: RwSignal<Table<String, Material>>,
) -> Node {
    let store = use_store();
    let offers: Vec<(Material, String, &str)> = tins_for(store, role)
        .into_iter()
        .map(|(id, name)| (Material::Tin(id), name, "your own tin"))
        .chain(role.families.iter().map(|id| {
            let title = store.rules().family(id).map_or_else(|| id.clone(), |f| f.title.clone());
            (Material::Family(id.clone()), title, "family starting values")
        }))
        .collect();
    let default = Material::Family(role.default.clone());
    view! {
        <fieldset class="choices">
            <legend>{role.title.clone()}</legend>
            {offers
                .into_iter()
                .map(|(material, title, note)| {
                    let (mine, default) = (material.clone(), default.clone());
                    let chosen = Signal::derive(move || {
                        materials.with(|m| m.get(&role.id).unwrap_or(&default) == &mine)
                    });
                    view! {
                        <Choice
                            title=title
                            note=note.to_owned()
                            chosen=chosen
                            pick=Box::new(move || {
                                materials
                                    .update(|m| {
                                        m.insert(role.id.clone(), material.clone());
                                    });
                            })
                        />
                    }
                })
                .collect_view()}
        </fieldset>
    }
}
