//! What lies over a screen: the number pad, the question for a reason, and the
//! line at the foot with its undo.

use crate::device::look;
use crate::ui::pad::{Pad, PadView};
use crate::ui::parts::{live, shown, tap, typed};
use crate::ui::prelude::*;
use crate::ui::store::{Notice, use_store};

/// A question that wants a reason, with offers and a free line.
#[derive(Clone)]
pub struct Why {
    /// What is asked.
    pub title: String,
    /// What will happen.
    pub text: String,
    /// Offered answers.
    pub offers: Vec<String>,
    /// What stands over the free line, and on its key.
    pub words: [&'static str; 2],
    /// Called with the answer.
    pub done: Callback<String>,
}

/// The words of a [`Why`] that asks for a reason.
pub const REASON: [&str; 2] = ["Or in your words", "Use this reason"];

/// The words of a [`Why`] that takes nothing but one of its offers.
pub const CHOICE: [&str; 2] = ["", ""];

/// A thing that can't be undone, or a stop that is overruled: a held press.
#[derive(Clone, Copy)]
pub struct Overlays {
    /// The number pad, when it is open.
    pub pad: RwSignal<Option<Pad>>,
    /// The question for a reason, when it is open.
    pub why: RwSignal<Option<Why>>,
    /// Whether the emergency card is open.
    pub emergency: RwSignal<bool>,
}

impl Overlays {
    /// None open.
    pub fn new() -> Self {
        Self { pad: RwSignal::new(None), why: RwSignal::new(None), emergency: RwSignal::new(false) }
    }
}

impl Overlays {
    /// Asks for other words than `text`; without any, for new ones.
    pub fn write(self, title: &str, text: &str, then: Box<dyn Fn(String)>) {
        self.ask(title, text, Vec::new(), ["In your words", "Write it down"], then);
    }

    /// Asks for a reason.
    pub fn reason(self, title: &str, text: &str, then: Box<dyn Fn(String)>) {
        let offers = ["Done another way", "Not needed in this shop", "Can't be done here"];
        self.ask(title, text, offers.map(str::to_owned).to_vec(), REASON, then);
    }

    /// Offers a choice; `then` is called with its number.
    pub fn choose(self, title: &str, offers: Vec<String>, then: Box<dyn Fn(usize)>) {
        let all = offers.clone();
        let chosen = move |offer: String| {
            if let Some(at) = all.iter().position(|one| *one == offer) {
                then(at);
            }
        };
        self.ask(title, "", offers, CHOICE, Box::new(chosen));
    }

    fn ask(
        self,
        title: &str,
        text: &str,
        offers: Vec<String>,
        words: [&'static str; 2],
        then: Box<dyn Fn(String)>,
    ) {
        let (title, text) = (title.to_owned(), text.to_owned());
        // One that follows another opens after that has closed.
        look::next_frame(move || {
            let done = Callback::new(then);
            self.why.set(Some(Why { title, text, offers, words, done }));
        });
    }
}

/// Overlays from context.
pub fn use_overlays() -> Overlays {
    expect_context()
}

/// Shows whichever overlay is open.
#[component]
pub fn OverlayHost() -> Node {
    let overlays = use_overlays();
    view! {
        {live(move || overlays.pad.get().map(|pad| view! { <PadView pad=pad /> }))}
        {live(move || overlays.why.get().map(|why| view! { <WhyView why=why /> }))}
    }
}

#[component]
fn WhyView(why: Why) -> Node {
    let overlays = use_overlays();
    // Without offers it asks for other words than those that stand there.
    let offered = !why.offers.is_empty();
    let text = RwSignal::new(if offered { String::new() } else { why.text.clone() });
    let trouble = RwSignal::new(false);
    let done = why.done;
    let free = why.words != CHOICE;
    let answer = move |answer: String| {
        if answer.trim().is_empty() {
            trouble.set(true);
            return;
        }
        overlays.why.set(None);
        done.run(answer);
    };
    view! {
        <div class="sheet" role="dialog" aria-modal="true" aria-label=why.title.clone()>
            <div class="sheet-card">
                <h2>{why.title.clone()}</h2>
                {offered.then(|| view! { <p>{why.text.clone()}</p> })}
                <div class="stack">
                    {why
                        .offers
                        .into_iter()
                        .map(|offer| {
                            let words = offer.clone();
                            view! {
                                <button class="big" on:click=tap(move |_| answer(words.clone()))>{offer}</button>
                            }
                        })
                        .collect_view()}
                </div>
                {free.then(|| view! {
                    <label class="field">
                        {why.words[0]}
                        <input
                            type="text"
                            maxlength="160"
                            prop:value=move || text.get()
                            on:input=tap(move |event: web_sys::Event| text.set(typed(&event)))
                        />
                    </label>
                })}
                {shown(move || trouble.get(), move || view! {
                    <p class="trouble" role="alert">"Say why first, in a few words. It goes on the record."</p>
                })}
                <div class="row">
                    <button class="big quiet" on:click=tap(move |_| overlays.why.set(None))>"Back"</button>
                    {free.then(|| view! {
                        <button class="big main" on:click=tap(move |_| answer(text.get_untracked()))>
                            {why.words[1]}
                        </button>
                    })}
                </div>
            </div>
        </div>
    }
}

/// The line at the foot: what was done with its undo, or what went wrong.
#[component]
pub fn NoticeLine() -> Node {
    let store = use_store();
    view! {
        <div class="notice-place" aria-live="polite">
            {live(move || {
                store
                    .notice
                    .get()
                    .map(|notice| match notice {
                        Notice::Done { text, undo, .. } => {
                            view! {
                                <div class="notice">
                                    <p>{text}</p>
                                    <button
                                        class="big"
                                        on:click=tap(move |_| store.undo(&undo, "Undone"))
                                    >
                                        "Undo"
                                    </button>
                                </div>
                            }
                        }
                        Notice::Trouble(text) => {
                            view! {
                                <div class="notice trouble" role="alert">
                                    <p>{text}</p>
                                    <button class="big" on:click=tap(move |_| store.notice.set(None))>
                                        "Seen"
                                    </button>
                                </div>
                            }
                        }
                    })
            })}
        </div>
        {shown(move || { store.saving.get() > 0 }, move || view! {
            <p class="saving" role="status">"Saving…"</p>
        })}
    }
}
