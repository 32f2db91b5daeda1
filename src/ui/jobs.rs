//! The list of jobs, last touched first.

use crate::job::event::Id;
use crate::job::record;
use crate::job::stage;
use crate::job::state::{Job, State};
use crate::trade::model::Rules;
use crate::ui::parts::{live, shown};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::store::use_store;

/// What a line of the list shows.
#[derive(Clone, PartialEq)]
struct Line {
    id: Id,
    name: String,
    method: String,
    invented: bool,
    progress: (usize, usize),
    current: Option<String>,
}

fn line(rules: &'static Rules, state: &State, job: &Job) -> Line {
    let method = state.method(rules, &job.method);
    Line {
        id: job.id,
        name: job.name.clone(),
        method: method.map_or_else(|| job.method.clone(), |m| m.title.clone()),
        invented: job.invented,
        progress: method.map_or((0, 0), |m| stage::progress(m, job)),
        current: method
            .and_then(|m| stage::current(m, state, job, &[]))
            .map(|stage| stage.title.clone()),
    }
}

/// What is not one job's, and where it is.
const BESIDE: [(Route, &str); 6] = [
    (Route::Moulds, "Moulds and casts"),
    (Route::ReadCard, "Read a card"),
    (Route::Sheets(None), "Take-off without a job"),
    (Route::Buying(None), "Buying list"),
    (Route::Methods, "Methods"),
    (Route::Find, "Find in the record"),
];

/// The list of jobs.
#[component]
pub fn JobsScreen() -> Node {
    let store = use_store();
    let lines = move || {
        store.state.with(|state| {
            let jobs = state.open_jobs();
            jobs.into_iter().map(|job| line(store.rules(), state, job)).collect::<Vec<_>>()
        })
    };
    view! {
        <h1>"Jobs"</h1>
        <a class="big main" href=Route::NewJob.to_string()>"New job"</a>
        {shown(move || lines().is_empty(), move || view! {
            <p class="card empty">"No jobs yet. A new one takes less than a minute: a name and a method."</p>
        })}
        {live(move || {
            let waiting = store.state.with(record::waiting).len();
            (waiting > 0).then(|| view! {
                <a class="big quiet" href=Route::Notes.to_string()>
                    {format!("Waiting to be written up: {waiting}")}
                </a>
            })
        })}
        <div class="rows">
            {live(move || {
                lines()
                    .into_iter()
                    .map(|line| {
                        view! {
                <a class="card job-line" href=Route::Job(line.id).to_string()>
                    <span class="live-name">{line.name}</span>
                    {line.invented.then(|| view! { <span class="invented">"invented"</span> })}
                    <span class="by-trade">{line.method}</span>
                    <span>
                        {match line.current {
                            Some(current) => {
                                format!("{} of {} done. Next: {current}", line.progress.0, line.progress.1)
                            }
                            None => format!("All {} stages done", line.progress.1),
                        }}
                    </span>
                </a>
                        }
                    })
                    .collect_view()
            })}
        </div>
        <nav class="tiles" aria-label="Beside the jobs">
            {BESIDE
                .iter()
                .map(|(route, name)| view! {
                    <a class="tile" href=route.to_string()>{*name}</a>
                })
                .collect_view()}
        </nav>
    }
}
