//! One stage of an own method: its words, minutes, waits, lines and clocks.

use super::{change, set, taken_out};
use crate::job::event::Id;
use crate::job::own::{self, Change, text};
use crate::trade::model::{Check, CureSlot, Dimension, Family, Method, Stage};
use crate::trade::own::{MODES, Problem, families};
use crate::ui::app::go;
use crate::ui::cautions::Cautions;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::stock::value_key;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// Where a change is made.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    overlays: Overlays,
    first: Id,
    method: &'static Method,
    stage: &'static Stage,
}

/// The screen.
#[component]
pub fn OwnStageScreen(first: Id, stage: String) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let back = Route::Method(first.to_string());
    view! {
        <p class="crumb"><a href=back.to_string()>"The method"</a></p>
        {live(move || {
            let method = store.state.with(|state| own::method(store.rules(), state, first));
            let found = method.and_then(|method| {
                let stage = method.stages.iter().find(|one| one.id == stage);
                Ok((method, stage.ok_or(Problem::Gone)?))
            });
            match found {
                Ok((method, stage)) => body(At { store, overlays, first, method, stage }),
                Err(_) => view! {
                    <h1>"Stage"</h1>
                    <p class="card">"This stage is not in the method any more."</p>
                },
            }
        })}
    }
}

impl At {
    /// Sets a field below the stage.
    fn set(self, way: &[&str], value: String) {
        let way = [&["stages", self.stage.id.as_str()], way].concat();
        set(self.store, self.first, &way, value);
    }

    fn change(self, what: Change, done: &'static str) {
        change(self.store, self.first, what, done);
    }

    /// A code that the file does not have.
    fn fresh(self) -> String {
        self.store.state.with_untracked(|state| {
            own::in_force(state, self.first).map(|(_, text)| own::fresh(text)).unwrap_or_default()
        })
    }

    /// Takes something out, for a reason.
    fn take_out(self, way: Vec<String>, what: &str) {
        self.overlays.reason("Why is it taken out?", what, move |reason| {
            let way: Vec<&str> = way.iter().map(String::as_str).chain(["out"]).collect();
            self.set(&way, text(&reason));
            if way.len() == 1 {
                go(&Route::Method(self.first.to_string()));
            }
        });
    }
}

/// A key of one thing in a list.
fn row(name: String, hint: String, value: &str, act: impl Fn() + 'static) -> Node {
    value_key(name, hint, Some(value.to_owned()), tap(move |_| act()))
}

fn body(at: At) -> Node {
    let At { stage, method, overlays, store, first } = at;
    let title = move || {
        overlays.write("What is done here?", &stage.title, move |words| {
            at.set(&["title"], text(&words));
        });
    };
    let settings = store.settings();
    let minutes = words::value_of(&settings, Dimension::Time, stage.minutes.likely);
    let shown = minutes.clone();
    let time = move || {
        overlays.pad.set(Some(Pad {
            title: "Hands-on minutes".into(),
            hint: String::new(),
            start: words::leading_number(&shown),
            units: words::units(&settings, Dimension::Time),
            done: Callback::new(move |entry: String| {
                let minutes = words::read_minutes(&entry)?;
                at.set(&["minutes"], minutes.value().to_string());
                Ok(())
            }),
        }));
    };
    let mode = MODES.iter().find(|(_, mode, _)| *mode == stage.mode).map_or("", |(.., name)| name);
    let modes = move || {
        let names = MODES.map(|(.., name)| name.to_owned()).to_vec();
        overlays.choose("Are hands needed?", names, move |chosen| {
            at.set(&["mode"], text(MODES[chosen].0));
        });
    };
    let place = move |later: bool| {
        tap(move |_| at.change(Change::Move { stage: stage.id.clone(), later }, "Moved"))
    };
    let add = tap(move |_| {
        overlays.write("What is done in the new stage?", "", move |words| {
            at.change(Change::Add(stage.id.clone(), words), "Stage added");
        });
    });
    let out = tap(move |_| at.take_out(Vec::new(), &stage.title));
    let index = method.stages.iter().position(|one| one.id == stage.id).unwrap_or(0);
    let add_line = move || {
        overlays.write("What is the line?", "", move |words| {
            at.set(&["checks", &at.fresh(), "text"], text(&words));
        });
    };
    let add_clock = move || {
        pick_clock(at, move |of, family, profile| {
            let title = family.profile(&profile).map(|profile| family.clock_title(profile));
            let title = text(&title.unwrap_or_default());
            at.set(&["cures", &at.fresh()], format!("{{{of},\"title\":{title}}}"));
        });
    };
    view! {
        <h1>{stage.title.clone()}</h1>
        <Cautions hazards=stage.hazards.clone() ppe=stage.ppe.clone() questions=stage.cautions.clone() />
        {row("What is done".into(), String::new(), &stage.title, title)}
        {row("Hands-on time".into(), String::new(), &minutes, time)}
        {row("Hands".into(), String::new(), mode, modes)}
        <h2>"Waits for"</h2>
        {waits(at)}
        <h2>"Lines to tick"</h2>
        {stage.checks.iter().map(|check| line(at, check)).collect::<Vec<_>>().into_iter().collect_view()}
        {taken_out(store, first, &["stages", "checks"], Some(stage.id.clone()))}
        {row("Another line".into(), String::new(), "add", add_line)}
        <h2>"Clocks"</h2>
        {stage.cures.iter().map(|slot| clock(at, slot)).collect::<Vec<_>>().into_iter().collect_view()}
        {taken_out(store, first, &["stages", "cures"], Some(stage.id.clone()))}
        {row("Another clock".into(), String::new(), "add", add_clock)}
        <h2>"Its place"</h2>
        <div class="stack">
            {(index > 0).then(|| view! { <button class="big" on:click=place(false)>"One place earlier"</button> })}
            {(index + 1 < method.stages.len()).then(|| view! {
                <button class="big" on:click=place(true)>"One place later"</button>
            })}
            <button class="big" on:click=add>"A new stage after it"</button>
            <button class="big quiet" on:click=out>"Take this stage out"</button>
        </div>
    }
}

/// What the stage waits for, and a key to wait for more.
fn waits(at: At) -> Node {
    let At { stage, method, overlays, .. } = at;
    let write = move |waits: Vec<String>| {
        let words: Vec<String> = waits.iter().map(|wait| text(wait)).collect();
        at.set(&["waits"], format!("[{}]", words.join(",")));
    };
    let mut rows: Vec<Node> = own::waits_of(stage)
        .into_iter()
        .map(|wait| {
            let title = name_of(at, &wait);
            let drop = move || {
                let wait = wait.clone();
                overlays.choose(
                    "Wait for it no more?",
                    vec!["Don't wait for it".into()],
                    move |_| {
                        let waits = own::waits_of(stage).into_iter();
                        write(waits.filter(|other| *other != wait).collect());
                    },
                );
            };
            row(title, String::new(), "waits", drop)
        })
        .collect();
    let more = move || {
        let before = method.stages.iter().take_while(|one| one.id != stage.id);
        let mut codes: Vec<String> = Vec::new();
        for one in before {
            codes.push(one.id.clone());
            for slot in &one.cures {
                let family = families(at.store.rules(), &method.roles, slot).into_iter().next();
                let profile = family.and_then(|family| family.profile(&slot.profile));
                for window in profile.into_iter().flat_map(|profile| &profile.windows) {
                    codes.push(format!("{}/{}", slot.id, window.id));
                }
            }
        }
        let names = codes.iter().map(|code| name_of(at, code)).collect();
        overlays.choose("What else does it wait for?", names, move |chosen| {
            let mut waits = own::waits_of(stage);
            waits.push(codes[chosen].clone());
            write(waits);
        });
    };
    rows.push(row("Something else".into(), String::new(), "add", more));
    rows.into_iter().collect_view()
}

/// A stage or a window by its words.
fn name_of(at: At, wait: &str) -> String {
    let mut stages = at.method.stages.iter();
    let found = match wait.split_once('/') {
        None => stages.find(|one| one.id == wait).map(|one| one.title.clone()),
        Some((cure, window)) => {
            let slot = stages.flat_map(|one| &one.cures).find(|slot| slot.id == cure);
            slot.and_then(|slot| {
                let families = families(at.store.rules(), &at.method.roles, slot);
                let profile = families.first()?.profile(&slot.profile)?;
                Some(format!("{}: {}", slot.title, profile.window(window)?.title))
            })
        }
    };
    found.unwrap_or_else(|| wait.to_owned())
}

/// One line to tick.
fn line(at: At, check: &'static Check) -> Node {
    let At { overlays, method, .. } = at;
    let title = |id: &String| Some(method.measures.iter().find(|m| &m.id == id)?.title.clone());
    let asks: Vec<String> = check.ask.iter().filter_map(title).collect();
    let hint = if asks.is_empty() { String::new() } else { format!("asks: {}", asks.join(", ")) };
    // A weaker guard wants a reason beside it.
    let guarded = move |field: &'static str, value: String| {
        let way = ["checks", check.id.as_str()];
        if !check.must {
            at.set(&[way[0], way[1], field], value);
            return;
        }
        overlays.reason("This line guards. Why is it changed?", &check.text, move |why| {
            let fields = format!("{{\"{field}\":{value},\"why\":{}}}", text(&why));
            at.set(&way, fields);
        });
    };
    let act = move |chosen: usize| match chosen {
        0 => overlays.write("What is the line?", &check.text, move |words| {
            guarded("text", text(&words));
        }),
        1 => guarded("must", (!check.must).to_string()),
        2 => {
            let mut names = vec!["Nothing".to_owned()];
            names.extend(method.measures.iter().map(|measure| measure.title.clone()));
            overlays.choose("Which value does it ask for?", names, move |chosen| {
                let measure = chosen.checked_sub(1).and_then(|at| method.measures.get(at));
                let asks = measure.map_or(String::new(), |measure| text(&measure.id));
                at.set(&["checks", &check.id, "asks"], format!("[{asks}]"));
            });
        }
        _ => at.take_out(vec!["checks".into(), check.id.clone()], &check.text),
    };
    let must = if check.must { "It need not be ticked" } else { "It must be ticked" };
    let keys = ["Other words", must, "Ask for a value", "Take it out"];
    let open = move || overlays.choose(&check.text, keys.map(str::to_owned).to_vec(), act);
    row(check.text.clone(), hint, if check.must { "must" } else { "may" }, open)
}

/// One clock.
fn clock(at: At, slot: &'static CureSlot) -> Node {
    let family = families(at.store.rules(), &at.method.roles, slot).into_iter().next();
    let title = |family: &Family| Some(family.clock_title(family.profile(&slot.profile)?));
    let hint = family.and_then(title).unwrap_or_default();
    let keys = ["Another material or clock", "Other words", "Take it out"];
    let act = move |chosen: usize| match chosen {
        0 => pick_clock(at, move |of, _, _| {
            at.set(&["cures", &slot.id], format!("{{{of},\"title\":{}}}", text(&slot.title)));
        }),
        1 => at.overlays.write("What is it called on the Bench?", &slot.title, move |words| {
            at.set(&["cures", &slot.id, "title"], text(&words));
        }),
        _ => at.take_out(vec!["cures".into(), slot.id.clone()], &slot.title),
    };
    let keys = keys.map(str::to_owned).to_vec();
    let open = move || at.overlays.choose(&slot.title, keys.clone(), act);
    row(slot.title.clone(), hint, "change", open)
}

/// Asks for a material and one of its clocks; `then` gets them as fields of the
/// file, with the family and the clock.
fn pick_clock(at: At, then: impl Fn(String, &'static Family, String) + Copy + 'static) {
    let At { method, store, overlays, .. } = at;
    let rules = store.rules();
    let curing = |family: &&'static Family| !family.profiles.is_empty();
    let mut offers: Vec<(String, &'static str, &'static str, &'static Family)> = Vec::new();
    for role in &method.roles {
        let family = rules.family(&role.default).filter(curing);
        offers.extend(family.map(|family| (role.title.clone(), "role", role.id.as_str(), family)));
    }
    for family in rules.families.iter().filter(curing) {
        offers.push((family.title.clone(), "family", family.id.as_str(), family));
    }
    let names = offers.iter().map(|(name, ..)| name.clone()).collect();
    overlays.choose("What cures?", names, move |chosen| {
        let (_, key, code, family) = offers[chosen];
        let profiles = family.profiles.iter().map(|profile| family.clock_title(profile)).collect();
        overlays.choose("Which of its clocks?", profiles, move |chosen| {
            let profile = family.profiles[chosen].id.clone();
            let of = format!(
                "\"role\":null,\"family\":null,\"{key}\":{},\"profile\":{}",
                text(code),
                text(&profile)
            );
            then(of, family, profile);
        });
    });
}
