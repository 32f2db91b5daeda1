//! The catalyst level by big step keys, both ways: what a level gives on this
//! film, and what level a wanted time takes.

use crate::engine::kinetics::CatalystVerdict;
use crate::engine::quantity::{Minutes, Percent};
use crate::job::card;
use crate::job::catalyst::Film;
use crate::job::event::{Id, Material};
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::use_store;
use crate::ui::words;

/// Catalyst level with its verdict, the time that it gives, and the level that
/// matches the reference speed on this surface.
#[component]
pub fn CatalystStep(material: Material, level: RwSignal<Option<Percent>>, job: Option<Id>) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let material = StoredValue::new(material);
    let wanted = RwSignal::new(None::<Minutes>);
    let step = move |by: f64| {
        wanted.set(None);
        level.update(|level| {
            let now = level.unwrap_or(Percent(0.0)) + Percent(by);
            let tenths = (now.value() * 10.0).round() / 10.0;
            *level = Some(Percent(tenths.clamp(0.0, 100.0)));
        });
    };
    let verdict = move || {
        let family = store.state.with(|state| {
            card::resolve(store.rules(), state, &material.get_value()).ok().map(|found| found.0)
        });
        let verdict = card::catalyst_range(family?)?.judge(level.get()?);
        (verdict != CatalystVerdict::Fine).then(|| (verdict.is_refused(), verdict.to_string()))
    };
    let film = move || {
        let now = store.now.get();
        store.state.with(|state| Film::of(store.rules(), state, &material.get_value(), job, now))
    };
    let ask = move |_| {
        let Some(film) = untrack(film) else { return };
        if let Some(why) = film.no_time() {
            return store.refuse(why.to_string());
        }
        overlays.pad.set(Some(Pad {
            title: format!("{}: wanted after", film.toward),
            hint: "Likely time. The film's temperature is taken as it is now.".into(),
            start: String::new(),
            units: vec!["min", "h"],
            done: Callback::new(move |entry: String| {
                let time = words::read_minutes(&entry)?;
                let advice = film.level_for(time).map_err(|why| why.to_string())?;
                level.set(Some(advice.level));
                wanted.set(Some(time));
                Ok(())
            }),
        }));
    };
    let lines = move || {
        let film = film()?;
        let settings = store.settings();
        if let Some(why) = film.no_time() {
            let at = words::temperature(&settings, film.at);
            return Some(
                view! { <p class="trouble">{format!("{at} ({}). {why}", film.basis)}</p> },
            );
        }
        let gives = film.gives(level.get()?);
        let mut lines = vec![format!(
            "At {} ({}): {} after {}.",
            words::temperature(&settings, film.at),
            film.basis,
            film.toward,
            words::span_of_time(&gives)
        )];
        match wanted.get().map(|time| film.level_for(time)) {
            Some(Ok(advice)) => lines.extend(words::missed_time(&settings, &advice)),
            Some(Err(why)) => lines.push(why.to_string()),
            None => {
                let same = film.same_speed();
                lines.extend(same.map(|advice| words::catalyst_advice(&settings, &advice)));
            }
        }
        Some(lines.into_iter().map(|line| view! { <p class="hint">{line}</p> }).collect_view())
    };
    view! {
        <div class="stepper" role="group" aria-label="Catalyst level">
            <button class="step" aria-label="Less catalyst" on:click=tap(move |_| step(-0.1))>"−"</button>
            <output class="step-value">
                {live(move || level.get().map(words::percent).unwrap_or_default())}
                <span class="hint">"catalyst, by weight"</span>
            </output>
            <button class="step" aria-label="More catalyst" on:click=tap(move |_| step(0.1))>"+"</button>
        </div>
        {live(move || {
            verdict()
                .map(|(refused, text)| {
                    let class = if refused { "trouble" } else { "hint" };
                    view! { <p class=class role="status">{text}</p> }
                })
        })}
        <div class="catalyst-says" role="status">{live(lines)}</div>
        <div class="stack">
            <button type="button" class="big quiet" on:click=tap(ask)>"Level for a wanted time"</button>
        </div>
    }
}
