//! The buying list: what to get, what is there, what can't be said yet, what it
//! costs, and what the log says of earlier plans.

use crate::device::paper;
use crate::engine::quantity::Money;
use crate::engine::takeoff::{Quantity, SumLine};
use crate::job::buying::{self, Line, List, Stages, Waiting, What};
use crate::job::cost::{self, Costs};
use crate::job::event::{Id, Material};
use crate::job::sheet::{self, Field};
use crate::job::used;
use crate::ui::amounts::enter_measures;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::sheet::{enter, shown_value, sum_lines};
use crate::ui::stock::value_key;
use crate::ui::store::{Store, use_store};
use crate::ui::words;

/// What the screen stands on.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    overlays: Overlays,
    /// The job whose list it is.
    of: Option<Id>,
    /// The jobs that are in it.
    jobs: RwSignal<Vec<Id>>,
    /// Whether finished stages are in it as well.
    all: RwSignal<bool>,
}

/// The buying list of a job, or of all open ones.
#[component]
pub fn BuyingScreen(job: Option<Id>) -> Node {
    let store = use_store();
    let jobs = RwSignal::new(match job {
        Some(job) => vec![job],
        None => at_first(store),
    });
    let at = At { store, overlays: use_overlays(), of: job, jobs, all: RwSignal::new(false) };
    let back = job.map_or(Route::Jobs, Route::Job);
    let name = job.and_then(|job| {
        store.state.with_untracked(|s| s.jobs.get(&job).map(|job| job.name.clone()))
    });
    view! {
        <p class="crumb"><a href=back.to_string()>{name.unwrap_or_else(|| "Jobs".into())}</a></p>
        <h1>"Buying list"</h1>
        <div class="row units" role="group" aria-label="Jobs in the list">
            {live(move || chips(at))}
        </div>
        {live(move || body(at))}
        <button class="big main" on:click=tap(|_| paper::print())>"Print"</button>
    }
}

/// All open jobs; the invented ones only where there are no others.
fn at_first(store: Store) -> Vec<Id> {
    store.state.with_untracked(|state| {
        let jobs = state.open_jobs();
        let real = jobs.iter().any(|job| !job.invented);
        jobs.into_iter().filter(|job| job.invented != real).map(|job| job.id).collect()
    })
}

/// A key for each job, pressed where it is in the list.
fn chips(at: At) -> Node {
    let At { store, jobs, all, .. } = at;
    let open = store.state.with(|state| {
        let open = state.open_jobs();
        open.into_iter().map(|job| (job.id, job.name.clone())).collect::<Vec<_>>()
    });
    let chip = |name: String, pressed: bool, press: Node| {
        view! { <button class="chip" aria-pressed=pressed.to_string() on:click=press>{name}</button> }
    };
    let mut keys: Vec<Node> = open
        .into_iter()
        .map(|(id, name)| {
            let flip = move |_| {
                jobs.update(|jobs| {
                    if jobs.contains(&id) {
                        jobs.retain(|job| *job != id);
                    } else {
                        jobs.push(id);
                    }
                });
            };
            chip(name, jobs.with(|jobs| jobs.contains(&id)), tap(flip))
        })
        .collect();
    let done = tap(move |_| all.update(|all| *all = !*all));
    keys.push(chip("Finished stages too".into(), all.get(), done));
    keys.into_iter().collect_view()
}

fn body(at: At) -> Node {
    let At { store, jobs, all, of, .. } = at;
    let which = if all.get() { Stages::All } else { Stages::Open };
    let jobs = jobs.get();
    let (list, names, costs) = store.state.with(|state| {
        let names = jobs.iter().filter_map(|id| state.jobs.get(id)).map(|job| job.name.clone());
        (
            buying::list(store.rules(), state, &jobs, which),
            names.collect::<Vec<_>>().join(", "),
            cost::costs(store.rules(), state, of, &jobs),
        )
    });
    if names.is_empty() {
        return view! { <p class="card empty">"No job is chosen. Choose one above."</p> };
    }
    let (short, there): (Vec<&Line>, Vec<&Line>) =
        list.lines.iter().partition(|line| line.is_short());
    let nothing = list.lines.is_empty() && list.waiting.is_empty();
    view! {
        <p class="hint">
            {format!("For {names}. A plan by the figures: what is on the tin's data sheet comes first.")}
        </p>
        {nothing.then(|| view! {
            <p class="card empty">"Nothing is needed any more: the stages that use material are done."</p>
        })}
        {group(at, "To buy", &short)}
        {group(at, "On the Shelf already", &there)}
        {open(at, &list)}
        {money(at, &list, costs)}
        {log(at, &jobs)}
    }
}

/// A figure that opens into its sum.
fn figure(name: String, hint: String, value: String, inside: Node) -> Node {
    view! {
        <details class="card result">
            <summary>
                <span>{name} <span class="hint">" " {hint}</span></span>
                <b class="amount">{value}</b>
            </summary>
            {inside}
        </details>
    }
}

fn group(at: At, title: &'static str, lines: &[&Line]) -> Option<Node> {
    let items = lines.iter().map(|line| item(at, line)).collect::<Vec<_>>();
    (!items.is_empty()).then(|| view! { <h2>{title}</h2> {items.into_iter().collect_view()} })
}

fn item(at: At, line: &Line) -> Node {
    let store = at.store;
    let settings = store.settings();
    let show = |quantity: &Quantity| words::quantity(&settings, quantity);
    let name = store.state.with(|state| line.what.name(store.rules(), state));
    let parts = line.parts.iter().map(|(name, value)| format!("{name}: {}", show(value)));
    let parts = parts.collect::<Vec<_>>().join(", ");
    let (value, hint) = match line.tins {
        _ if !line.is_short() => {
            let have = line.have.map(|have| words::mass(&settings, have)).unwrap_or_default();
            (show(&line.need), format!("needed; {have} is there"))
        }
        Some(whole) => {
            let tins = if whole.count == 1 { "full tin" } else { "full tins" };
            let cost = line.cost.map(|cost| format!(", {}", show(&Quantity::Money(cost))));
            let hint = format!("{} short{}", show(&line.short), cost.unwrap_or_default());
            (format!("{} {tins}", whole.count), hint)
        }
        None => (show(&line.short), String::new()),
    };
    let uses = line.uses.iter().map(|one| {
        let value = show(&one.value);
        view! {
            <details>
                <summary><span>{one.text.clone()} " " <b>{value}</b></span></summary>
                {sum_lines(store, one.sum.clone())}
            </details>
        }
    });
    let uses = uses.collect::<Vec<_>>();
    let sum = Some(line.sum.lines.clone()).filter(|sum| sum.len() > 1);
    let inside = view! {
        {(!parts.is_empty()).then(|| view! { <p>{parts}</p> })}
        {sum.map(|sum| sum_lines(store, sum))}
        {uses.into_iter().collect_view()}
        {tin_link(line)}
    };
    figure(name, hint, value, inside)
}

/// The way to where size, stock and price of a line's tin are noted.
fn tin_link(line: &Line) -> Option<Node> {
    let (route, words) = match (&line.what, line.tin) {
        (What::Material(_), Some(tin)) => (Route::Tin(tin), "Its stock and price"),
        (What::Material(Material::Family(family)), None) if line.have.is_none() => {
            (Route::NewTin(family.clone()), "Add my tin, for stock and price")
        }
        _ => return None,
    };
    Some(view! { <a class="big quiet" href=route.to_string()>{words}</a> })
}

/// What can't be said yet, and what the eye has to judge.
fn open(at: At, list: &List) -> Node {
    let any = !(list.waiting.is_empty() && list.troubles.is_empty());
    let keys = list.waiting.iter().map(|one| measure(at, one)).collect::<Vec<_>>();
    let troubles = list.troubles.iter().map(|(text, error)| {
        let line = format!("{text}. {error}");
        view! { <p class="hint">{line}</p> }
    });
    let troubles = troubles.collect::<Vec<_>>();
    let by_eye = (!list.by_eye.is_empty()).then(|| list.by_eye.join(", "));
    view! {
        {any.then(|| view! {
            <section class="card">
                <h2>"Can't say yet"</h2>
                <p class="hint">"Enter what is measured; the rest follows."</p>
                {keys.into_iter().collect_view()}
                {troubles.into_iter().collect_view()}
            </section>
        })}
        {by_eye.map(|names| view! {
            <section class="card">
                <h2>"By eye"</h2>
                <p>{names}</p>
            </section>
        })}
    }
}

fn measure(at: At, one: &Waiting) -> Node {
    let At { store, overlays, jobs, .. } = at;
    let Waiting { job, stage, measure, titles } = one.clone();
    let several = jobs.with(|jobs| jobs.len() > 1);
    let name = store.state.with(|state| {
        let name = state.jobs.get(&job).map(|job| job.name.clone()).filter(|_| several);
        name.map_or_else(|| measure.title.clone(), |name| format!("{name}: {}", measure.title))
    });
    let press = tap(move |_| enter_measures(store, overlays, job, stage.clone(), vec![measure]));
    let mut hint = format!("for {}", titles.first().cloned().unwrap_or_default());
    if titles.len() > 1 {
        hint.push_str(&format!(" and {} more", titles.len() - 1));
    }
    value_key(name, hint, None, press)
}

/// What the list costs, and a cast.
fn money(at: At, list: &List, costs: Costs) -> Node {
    let At { store, overlays, of, .. } = at;
    let settings = store.settings();
    let (total, unpriced, casts, rate) = store.state.with(|state| {
        (
            list.cost(store.rules(), state),
            list.unpriced(store.rules(), state),
            cost::casts(state, of),
            cost::minute_rate(state),
        )
    });
    let shown = |money: Money| words::quantity(&settings, &Quantity::Money(money));
    let one = |text: &str, hint: String, money: Money, sum: Vec<SumLine>| {
        figure(text.to_owned(), hint, shown(money), sum_lines(store, sum))
    };
    let without = |names: &[String]| match names {
        [] => String::new(),
        names => format!("without {}", names.join(", ")),
    };
    let mut lines = Vec::new();
    if let Some((total, sum)) = total {
        lines.push(one("Full tins to buy", without(&unpriced), total, sum.lines));
    }
    let known = !costs.costs.is_empty() || !lines.is_empty();
    let missing = without(&costs.unpriced);
    for cost in costs.costs {
        lines.push(one(cost.text, missing.clone(), cost.money, cost.sum.lines));
    }
    let ask_casts = {
        let field = casts.clone();
        tap(move |_| enter(store, overlays, of, field.clone()))
    };
    let ask_rate = {
        let field = rate.clone();
        tap(move |_| enter_rate(store, overlays, field.clone()))
    };
    let value = |field: &Field| field.value.map(|_| shown_value(&settings, field));
    view! {
        <h2>"Cost, in your money"</h2>
        {value_key(casts.text.clone(), "from this mould".into(), value(&casts), ask_casts)}
        {value_key(rate.text.clone(), "leave it out to count material only".into(), value(&rate), ask_rate)}
        {lines.into_iter().collect_view()}
        {(!known).then(|| view! {
            <p class="hint">"No price is noted. Size and price of a full tin are noted on the tin's own page, on the Shelf."</p>
        })}
        {(known && costs.incomplete).then(|| view! {
            <p class="hint">"It will be more: something can't be said yet."</p>
        })}
    }
}

/// Asks what a minute of work costs.
fn enter_rate(store: Store, overlays: Overlays, field: Field) {
    overlays.pad.set(Some(Pad {
        title: field.text.clone(),
        hint: "In your money. An hour's wage divided by 60.".into(),
        start: field.value.map(words::number).unwrap_or_default(),
        units: Vec::new(),
        done: Callback::new(move |entry: String| {
            let rate = words::read_money(&entry)?;
            let body = sheet::enter(None, &field, rate.value()).map_err(|no| no.to_string())?;
            store.append(vec![body], "Entered".into(), || {});
            Ok(())
        }),
    }));
}

/// Planned against used, of the finished stages.
fn log(at: At, jobs: &[Id]) -> Option<Node> {
    let store = at.store;
    let settings = store.settings();
    let found = store.state.with(|state| {
        let of_job = |job: &Id| {
            let all = used::of_job(store.rules(), state, *job).into_iter();
            let named = all.map(|one| (*job, words::material(state, &one.material), one));
            named.collect::<Vec<_>>()
        };
        jobs.iter().flat_map(of_job).collect::<Vec<_>>()
    });
    let lines = found.into_iter().map(|(job, name, used)| {
        let loss = used.real_loss().map(words::percent).unwrap_or_default();
        let href = Route::Sheet(Some(job), sheet::FACTORS.into()).to_string();
        let inside = view! {
            {sum_lines(store, used.sum().lines)}
            <a class="big quiet" href=href>"Change the factor for next time"</a>
        };
        figure(name, words::used(&settings, &used), loss, inside)
    });
    let lines = lines.collect::<Vec<_>>();
    (!lines.is_empty()).then(|| {
        view! {
            <h2>"Planned against used"</h2>
            {lines.into_iter().collect_view()}
        }
    })
}
