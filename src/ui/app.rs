//! The app: opens the records, follows the address, shows the screen.

use crate::device::{address, bell, look, offline, paper, rescue, wake};
use crate::job::person::clock;
use crate::job::settings::Scheme;
use crate::ui::overlay::{NoticeLine, OverlayHost, Overlays};
use crate::ui::parts::{either, live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::ringing::{self, Readiness, RingingScreen};
use crate::ui::route::{Route, Screen};
use crate::ui::store::{Store, use_store};
use crate::ui::{
    bench, buying, cure, emergency, family, find, help, job, jobs, learned, mix, mould,
    mould_paper, new_job, node, notes, own, papers, person, photo, scan, sheet, shelf, shop, stage,
    start_clock, tin, words,
};
use wasm_bindgen_futures::spawn_local;

/// Mounts the app into the page.
pub fn mount() {
    look::remove("opening");
    node::mount(App);
    rescue::started();
}

/// Where the app is, from context.
#[derive(Clone, Copy)]
pub struct Here(pub RwSignal<Route>);

/// Goes to a screen.
pub fn go(route: &Route) {
    address::go(&route.to_string());
}

#[component]
fn App() -> Node {
    let store = Store::new();
    let here = RwSignal::new(Route::parse(&address::hash()));
    let ready = RwSignal::new(false);
    let readiness = Readiness::new();
    provide_context(store);
    provide_context(Here(here));
    provide_context(Overlays::new());
    provide_context(readiness);
    address::on_change(move |hash| {
        here.set(Route::parse(&hash));
        address::to_top();
    });
    paper::unfold_for_print();
    store.start_clock();
    spawn_local(async move {
        store.open().await;
        ready.set(true);
        offline::register(move |state| readiness.offline.set(state));
        readiness.refresh().await;
    });
    ringing::arm_on_first_tap(readiness);
    ringing::follow(store, readiness);
    dress(store);
    either(move || ready.get(), Frame, Opening)
}

/// Keeps the page's attributes in step with the settings.
fn dress(store: Store) {
    Effect::new(move |_| {
        let settings = store.settings();
        look::set(
            "scheme",
            match settings.scheme {
                Scheme::Phone => None,
                Scheme::Light => Some("light"),
                Scheme::Dark => Some("dark"),
            },
        );
        look::set("gloves", settings.gloves.then_some("on"));
    });
}

#[component]
fn Opening() -> Node {
    view! { <p class="opening" role="status">"Opening the bench…"</p> }
}

#[component]
fn Frame() -> Node {
    let store = use_store();
    let Here(here) = expect_context();
    let screen = move || here.get().screen();
    let name = move || screen().slug();
    // Beside a living person nothing else is shown; nothing else rings until they are off.
    let alone = move || person::is_open(&here.get());
    Effect::new(move |_| {
        let on_person = |job| store.state.with(|state| clock(state, job).is_some());
        store.with_person.set(matches!(here.get(), Route::Person(job) if on_person(job)));
    });
    let content = move || match here.get() {
        Route::Bench => bench::BenchScreen(),
        Route::Cure(id) => view! { <cure::CureScreen id=id /> },
        Route::StartClock => start_clock::StartClockScreen(),
        Route::Jobs => jobs::JobsScreen(),
        Route::NewJob => new_job::NewJobScreen(),
        Route::Job(id) => view! { <job::JobScreen id=id /> },
        Route::Stage(id, stage) => view! { <stage::StageScreen id=id stage=stage /> },
        Route::Mix(of) => view! { <mix::MixScreen of=of /> },
        Route::Sheets(job) => view! { <sheet::SheetsScreen job=job /> },
        Route::Sheet(job, id) => view! { <sheet::SheetScreen job=job id=id /> },
        Route::Buying(job) => view! { <buying::BuyingScreen job=job /> },
        Route::Scan(job) => view! { <scan::ScanScreen job=job /> },
        Route::Person(job) => view! { <person::PersonScreen job=job /> },
        Route::Report(job) => view! { <papers::ReportScreen job=job /> },
        Route::ReadCard => papers::ReadScreen(),
        Route::Moulds => mould::MouldsScreen(),
        Route::Mould(id) => view! { <mould::MouldScreen id=id /> },
        Route::MouldPaper(id) => view! { <mould_paper::PaperScreen id=id /> },
        Route::Cast(id) => view! { <mould::CastScreen id=id /> },
        Route::Methods => own::MethodsScreen(),
        Route::Method(code) => view! { <own::MethodScreen code=code /> },
        Route::MethodStage(first, stage) => {
            view! { <own::stage::OwnStageScreen first=first stage=stage /> }
        }
        Route::Find => find::FindScreen(),
        Route::Photo(id) => view! { <photo::PhotoScreen id=id /> },
        Route::Notes => notes::NotesScreen(),
        Route::Shelf => shelf::ShelfScreen(),
        Route::Family(id) => view! { <family::FamilyScreen id=id /> },
        Route::Tin(id) => view! { <learned::TinScreen id=id /> },
        Route::NewTin(id) => view! { <tin::NewTinScreen family=id /> },
        Route::Shop => shop::ShopScreen(),
        Route::Help => help::HelpScreen(),
    };
    view! {
        <a class="skip" href="#main" on:click=tap(move |event: web_sys::Event| {
            event.prevent_default();
            crate::device::look::focus("main");
        })>"To the content"</a>
        <header class="head">
            {shown(move || !alone(), move || view! { <RoomLine /> })}
            <emergency::EmergencyKey />
        </header>
        {shown(move || store.broken.get().is_some(), move || view! {
            <p class="card stop" role="alert">{live(move || store.broken.get())}</p>
        })}
        {shown(move || !store.unread().is_empty(), move || view! {
            <UnreadNote />
        })}
        {shown(move || store.clock_jump.get().is_some(), move || view! {
            <div class="card warn" role="status">
                <p>{live(move || store.clock_jump.get())}</p>
                <button class="plain" on:click=tap(move |_| store.clock_jump.set(None))>"Seen"</button>
            </div>
        })}
        <main id="main" tabindex="-1" data-screen=name>
            {content}
        </main>
        <NoticeLine />
        {shown(move || !alone(), move || view! { <Foot here=here /> })}
        <OverlayHost />
        <RingingScreen />
        <emergency::EmergencyCard />
    }
}

/// Records that could not be read: said once, above everything, with a way out.
#[component]
fn UnreadNote() -> Node {
    let store = use_store();
    view! {
        <details class="card warn">
            <summary>
                {live(move || {
                    let count = store.unread().len();
                    let what = if count == 1 { "record" } else { "records" };
                    format!("{count} {what} could not be read. Nothing else is harmed.")
                })}
            </summary>
            <ul>
                {live(move || {
                    store.unread().into_iter().map(|(_, why)| view! { <li>{why}</li> }).collect_view()
                })}
            </ul>
        </details>
    }
}

/// The room in one line: air, humidity, age of the reading; leads to a new one.
#[component]
fn RoomLine() -> Node {
    let store = use_store();
    let line = move || {
        let now = store.now.get();
        store.state.with(|state| words::room(state, now))
    };
    view! {
        <a class="room" href=Route::Shop.to_string() aria-label="Room reading: enter a new one">
            <span class="room-now">{live(move || line().0)}</span>
            <span class="room-age">{live(move || line().1)}</span>
        </a>
    }
}

#[component]
fn Foot(here: RwSignal<Route>) -> Node {
    view! {
        <nav class="foot" aria-label="Screens">
            {Screen::ALL
                .into_iter()
                .map(|one| {
                    view! {
                        <a
                            href=one.route().to_string()
                            aria-current=move || (here.get().screen() == one).then_some("page")
                        >
                            {one.name()}
                        </a>
                    }
                })
                .collect_view()}
        </nav>
    }
}

/// What the first tap makes possible.
pub fn first_tap(readiness: Readiness) {
    bell::arm();
    wake::keep(move || readiness.refresh_now());
    readiness.refresh_now();
}
