//! The round before the shop is locked, as a card on the Bench.

use crate::device::clock;
use crate::job::evening;
use crate::ui::new_job::Choice;
use crate::ui::parts::live;
use crate::ui::prelude::*;
use crate::ui::store::use_store;

/// The card, in the evening of a day with work; gone when each line is ticked.
#[component]
pub fn EveningCard() -> Node {
    let store = use_store();
    let due = Memo::new(move |_| {
        let now = store.now.get();
        // The last time that it was this late.
        let began = clock::next_at(evening::BEGINS, now) - evening::DAY;
        store
            .state
            .with(|state| evening::due(store.rules(), state, began, now))
            .map(|h| h.id.as_str())
    });
    live(move || {
        let hazard = due.get().and_then(|id| store.rules().hazard(id))?;
        let ticked = RwSignal::new(vec![false; hazard.controls.len()]);
        let tick = move |line: usize| {
            ticked.update(|ticked| ticked[line] = !ticked[line]);
            if ticked.with_untracked(|ticked| ticked.iter().all(|one| *one)) {
                let now = store.now.get_untracked();
                store.append(vec![evening::done(now)], "All is put to bed".into(), || {});
            }
        };
        Some(view! {
            <section class="card warn evening">
                <h2>{hazard.title.as_str()}</h2>
                <p>{hazard.dangers.as_str()}</p>
                <div class="stack">
                    {hazard
                        .controls
                        .iter()
                        .enumerate()
                        .map(|(line, text)| view! {
                            <Choice
                                title=text.clone()
                                note=String::new()
                                chosen=Signal::derive(move || ticked.with(|ticked| ticked[line]))
                                pick=Box::new(move || tick(line))
                            />
                        })
                        .collect_view()}
                </div>
            </section>
        })
    })
}
