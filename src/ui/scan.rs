//! A scan: a file is opened, its size agreed on, its figures looked at and kept.
//!
//! The work is done by a helper beside the page (`device::scan`); here is what it
//! is asked, and what it said.

mod figures;

use crate::device::files;
use crate::device::scan::{Heard, Helper, LARGEST};
use crate::engine::mesh::Scale;
use crate::engine::quantity::Millimetres;
use crate::job::event::Id;
use crate::job::scan::{Found, SHEET, Scan};
use crate::job::sheet;
use crate::trade::model::Dimension;
use crate::ui::overlay::{Overlays, use_overlays};
use crate::ui::pad::Pad;
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::route::Route;
use crate::ui::sheet::crumb;
use crate::ui::store::{Store, use_store};
use crate::ui::words;
use std::rc::Rc;
use web_sys::File;

/// A blanket's thickness to start with, before anybody has said another: what is
/// usual over a piece that one can carry (common practice).
const THICKNESS: Millimetres = Millimetres(12.0);
/// Seconds that the helper may take for an answer.
const PATIENCE: u32 = 60;

/// How far the screen is.
#[derive(Clone, PartialEq)]
enum Step {
    /// No file so far; or why the last one, or its helper, came to nothing.
    Choose(Option<String>),
    /// A file of this name is being read.
    Reading(String),
    /// It is read and measured.
    Open(Scan),
}

/// What the screen is made of.
#[derive(Clone, Copy)]
struct At {
    store: Store,
    overlays: Overlays,
    job: Option<Id>,
    step: RwSignal<Step>,
    /// What was found of the scan as it stands, and its picture.
    told: RwSignal<(Option<Found>, String)>,
    /// Whether an answer is waited for.
    busy: RwSignal<bool>,
    /// Whether something was changed since it was asked.
    again: StoredValue<bool>,
    /// For how many seconds it was waited.
    waited: StoredValue<u32>,
    helper: StoredValue<Option<Rc<Helper>>>,
    file: StoredValue<Option<File>>,
}

impl At {
    /// The scan that is open, tracked.
    fn scan(self) -> Option<Scan> {
        self.step.with(|step| match step {
            Step::Open(scan) => Some(scan.clone()),
            _ => None,
        })
    }

    /// Opens a file, in place of the one before.
    fn open(self, file: File) {
        if file.size() > LARGEST {
            self.end(Some("This file is larger than 250 MB. Save it with fewer triangles.".into()));
            return;
        }
        let started = Helper::start(move |heard| self.hear(heard));
        match started {
            Ok(helper) => {
                self.step.set(Step::Reading(file.name()));
                self.file.set_value(Some(file));
                self.helper.set_value(Some(Rc::new(helper)));
                self.again.set_value(false);
                self.wait();
            }
            Err(sentence) => self.end(Some(sentence)),
        }
    }

    fn wait(self) {
        self.waited.set_value(0);
        self.busy.set(true);
    }

    /// Lets the helper go.
    fn end(self, why: Option<String>) {
        self.helper.set_value(None);
        self.file.set_value(None);
        self.busy.set(false);
        self.step.set(Step::Choose(why));
    }

    fn hear(self, heard: Heard) {
        match heard {
            Heard::Ready => {
                let (helper, file) = (self.helper.get_value(), self.file.get_value());
                if let (Some(helper), Some(file)) = (helper, file) {
                    helper.open(&file);
                }
            }
            Heard::Refused(sentence) => self.end(Some(sentence)),
            Heard::Ended => self.end(Some(
                "The scan was too much for this phone. Save it with fewer triangles, and open it again."
                    .into(),
            )),
            Heard::Told(numbers, picture) => self.take(&numbers, picture),
        }
    }

    /// Takes in what the helper told.
    fn take(self, numbers: &[f64], picture: String) {
        self.busy.set(false);
        self.told.set((Found::read(numbers).filter(|_| self.scan().is_some()), picture));
        let step = self.step.get_untracked();
        if let Step::Reading(name) = step {
            self.file.set_value(None);
            let last = self.store.state.with_untracked(|state| {
                sheet::number(state, self.job, SHEET, "thickness").map(Millimetres)
            });
            if let Some(scan) = Scan::open(name, numbers, last.unwrap_or(THICKNESS)) {
                self.step.set(Step::Open(scan));
            }
        } else if self.again.get_value() {
            self.ask();
        }
    }

    /// Changes the scan, and asks anew.
    fn change(self, change: impl FnOnce(&mut Scan) + 'static) {
        // Compiled once whatever is changed.
        fn boxed(at: At, change: Box<dyn FnOnce(&mut Scan)>) {
            at.step.update(|step| {
                if let Step::Open(scan) = step {
                    change(scan);
                }
            });
            at.ask();
        }
        boxed(self, Box::new(change));
    }

    /// Asks for the scan as it stands now; of several changes, only the last.
    fn ask(self) {
        let busy = self.busy.get_untracked();
        self.again.set_value(busy);
        if let (false, Some(helper), Some(scan)) =
            (busy, self.helper.get_value(), untrack(|| self.scan()))
        {
            helper.look(&scan.look);
            self.wait();
        }
    }

    /// Opens the pad for a length.
    fn length(
        self,
        title: &'static str,
        start: Millimetres,
        done: impl Fn(Millimetres) -> Result<(), String> + 'static,
    ) {
        let settings = self.store.state.with_untracked(|state| state.settings.clone());
        self.overlays.pad.set(Some(Pad {
            title: title.into(),
            hint: String::new(),
            start: words::bare_number(&settings, Dimension::Length, start.value()),
            units: words::units(&settings, Dimension::Length),
            done: Callback::new(move |entry: String| done(words::read_length(&settings, &entry)?)),
        }));
    }
}

/// The scan of a job, or one for the shop.
#[component]
pub fn ScanScreen(job: Option<Id>) -> Node {
    let store = use_store();
    let at = At {
        store,
        overlays: use_overlays(),
        job,
        step: RwSignal::new(Step::Choose(None)),
        told: RwSignal::new((None, String::new())),
        busy: RwSignal::new(false),
        again: StoredValue::new(false),
        waited: StoredValue::new(0),
        helper: StoredValue::new(None),
        file: StoredValue::new(None),
    };
    // The app's one clock counts: where it is held up, the helper is as well.
    Effect::new(move |_| {
        store.now.track();
        at.waited.update_value(|waited| *waited += 1);
        if at.busy.get_untracked() && at.waited.get_value() > PATIENCE {
            at.end(Some(
                "It took longer than a minute and was stopped. Save the scan with fewer triangles."
                    .into(),
            ));
        }
    });
    let pick = move |event: web_sys::Event| {
        if let Some(file) = files::picked(&event) {
            at.open(file);
        }
    };
    let trouble = move || {
        at.step.with(|step| match step {
            Step::Choose(why) => why.clone(),
            _ => None,
        })
    };
    let reading = move || {
        at.step.with(|step| match step {
            Step::Reading(name) => Some(format!("Reading {name}…")),
            _ => None,
        })
    };
    let open = Memo::new(move |_| at.step.with(|step| matches!(step, Step::Open(_))));
    let agreed = Memo::new(move |_| at.scan().is_some_and(|scan| scan.look.agreed));
    view! {
        {crumb(store, job, Route::Sheets(job))}
        <h1>"Scan"</h1>
        {shown(move || trouble().is_some(), move || view! {
            <p class="card stop" role="alert">{live(trouble)}</p>
        })}
        {shown(move || reading().is_some(), move || view! {
            <p class="card" role="status">{live(reading)}</p>
            <button class="big quiet" on:click=tap(move |_| at.end(None))>"Stop"</button>
        })}
        {shown(move || open.get() && !agreed.get(), move || view! {
            {figures::picture(at)}
            {size(at)}
        })}
        {shown(move || agreed.get(), move || figures::all(at))}
        {shown(move || reading().is_none(), move || view! {
            <label class="big file">
                {live(move || if open.get() { "Open another scan" } else { "Open a scan" })}
                <input type="file" on:change=tap(pick) />
            </label>
            <p class="hint">
                "STL, OBJ or PLY, up to 3 million triangles and 250 MB. The file is stored nowhere and sent nowhere; only the figures that you keep are recorded."
            </p>
        })}
        {kept(at)}
    }
}

/// What was kept of a scan before.
fn kept(at: At) -> Node {
    live(move || {
        let store = at.store;
        let name = store.state.with(|state| {
            sheet::entry(state, at.job, SHEET, "name").map(|name| format!("Kept: {name}"))
        })?;
        let value = move |field: &str, of: Dimension| {
            store.state.with(|state| {
                let value = sheet::number(state, at.job, SHEET, field)?;
                Some(words::value_of(&state.settings, of, value))
            })
        };
        let lines = figures::KEPT.into_iter().filter_map(move |(field, title, of)| {
            let value = value(field, of)?;
            Some(view! { <dt>{title}</dt> <dd>{value}</dd> })
        });
        Some(view! {
            <section class="card" data-kept="">
                <h2>{name}</h2>
                <dl class="facts">{lines.collect_view()}</dl>
                <p class="hint">"The sheets of the take-off take them from here."</p>
            </section>
        })
    })
}

/// The question for the size, before anything else.
fn size(at: At) -> Node {
    let answers = ["Yes, millimetres", "Centimetres", "Inches", "Metres"];
    let long = move |scale: Scale| {
        at.scan().map(|scan| words::length(&at.store.settings(), scan.longest(scale)))
    };
    let agree = move |scale: Scale| {
        at.change(move |scan| {
            scan.look.scale = scale;
            scan.look.agreed = true;
        });
    };
    let other = move |_| {
        let Some(scan) = untrack(|| at.scan()) else { return };
        at.length("Its longest side", scan.longest(Scale::MILLIMETRE), move |real| {
            let mut scan = scan.clone();
            scan.set_longest(real).map_err(|error| error.to_string())?;
            agree(scan.look.scale);
            Ok(())
        });
    };
    view! {
        <section class="card">
            <h2>
                {live(move || format!("Is its longest side {}?", long(Scale::MILLIMETRE).unwrap_or_default()))}
            </h2>
            <p class="hint">"No file says what its numbers are in. Put a tape to the piece."</p>
            <div class="stack">
                {Scale::USUAL
                    .into_iter()
                    .zip(answers)
                    .map(|(scale, answer)| view! {
                        <button class="big" on:click=tap(move |_| agree(scale))>
                            {answer} <span class="hint">{live(move || long(scale))}</span>
                        </button>
                    })
                    .collect_view()}
                <button class="big quiet" on:click=tap(other)>"Another length"</button>
            </div>
        </section>
    }
}
