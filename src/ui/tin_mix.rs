//! How a tin of two parts is mixed, as its sheet states it: by weight or by
//! volume, with the densities of its parts and what error it allows.

use crate::device::look;
use crate::engine::quantity::{GramsPerMillilitre, Percent};
use crate::job::card::{PartDensities, Ratio, ratio_by_volume};
use crate::trade::model::Dimension;
use crate::ui::overlay::use_overlays;
use crate::ui::pad::Pad;
use crate::ui::parts::{live, tap};
use crate::ui::prelude::*;
use crate::ui::store::use_store;
use crate::ui::words;

/// What was entered.
#[derive(Clone, Copy)]
pub struct MixOfSheet {
    ratio: RwSignal<Option<Ratio>>,
    by_volume: RwSignal<bool>,
    densities: RwSignal<[Option<GramsPerMillilitre>; 2]>,
    /// Permitted error of the second part.
    pub tolerance: RwSignal<Option<Percent>>,
}

impl MixOfSheet {
    /// Nothing entered yet.
    pub fn new() -> Self {
        Self {
            ratio: RwSignal::new(None),
            by_volume: RwSignal::new(false),
            densities: RwSignal::new([None; 2]),
            tolerance: RwSignal::new(None),
        }
    }

    /// The ratio by weight, and the densities where both are known.
    ///
    /// # Errors
    /// A sentence when a ratio by volume lacks a density.
    pub fn read(self) -> Result<(Option<Ratio>, Option<PartDensities>), String> {
        let [a, b] = self.densities.get_untracked();
        let densities = a.zip(b).map(|(a, b)| PartDensities { a, b });
        let ratio = match (self.ratio.get_untracked(), self.by_volume.get_untracked()) {
            (Some(ratio), true) => {
                let of = densities.ok_or(
                    "A ratio by volume needs the density of both parts, and none is guessed. \
                     They are on the sheet; or weigh 100 ml of each: the grams, over 100.",
                )?;
                Some(ratio_by_volume(ratio, of).map_err(|error| error.to_string())?)
            }
            (ratio, _) => ratio,
        };
        Ok((ratio, densities))
    }
}

/// The keys for it.
#[component]
pub fn MixEntry(mix: MixOfSheet) -> Node {
    let store = use_store();
    let overlays = use_overlays();
    let ask = move |title: &str, hint: &str, units, done| {
        let (title, hint, start) = (title.to_owned(), hint.to_owned(), String::new());
        overlays.pad.set(Some(Pad { title, hint, start, units, done }));
    };
    let parts = move |title: &str, then: Callback<f64>| {
        let done = Callback::new(move |entry: String| {
            then.run(words::read_parts(&entry)?);
            Ok(())
        });
        ask(title, "Parts as the sheet states them.", Vec::new(), done);
    };
    let ask_ratio = move |_| {
        let first = move |a: f64| {
            let second = move |b: f64| mix.ratio.set(Some(Ratio { a, b }));
            look::next_frame(move || parts("Parts of the second", Callback::new(second)));
        };
        parts("Parts of the first", Callback::new(first));
    };
    let ask_density = move |part: usize| {
        let settings = store.state.with_untracked(|state| state.settings.clone());
        let done = Callback::new(move |entry: String| {
            let density = words::read_density(&entry)?;
            mix.densities.update(|densities| densities[part] = Some(density));
            Ok(())
        });
        let title = if part == 0 { "Density of the first" } else { "Density of the second" };
        let hint = "Off its sheet. Or weigh 100 ml of it: the grams, over 100.";
        ask(title, hint, words::units(&settings, Dimension::Density), done);
    };
    let ask_tolerance = move |_| {
        let done = Callback::new(move |entry: String| {
            mix.tolerance.set(Some(words::read_percent(&entry)?));
            Ok(())
        });
        ask("How far may the second part be off?", "In per cent of itself.", vec!["%"], done);
    };
    let density = move |part: usize| {
        let density = mix.densities.get()[part];
        density.map_or_else(|| "not stated".to_owned(), words::density)
    };
    let kind = move |name: &'static str, volume: bool| {
        view! {
            <button
                type="button"
                class="chip"
                aria-pressed=move || (mix.by_volume.get() == volume).to_string()
                on:click=tap(move |_| mix.by_volume.set(volume))
            >
                {name}
            </button>
        }
    };
    view! {
        <h2>"How it is mixed"</h2>
        <button type="button" class="reading wide" on:click=tap(ask_ratio)>
            <span class="reading-name">"Ratio"</span>
            <span class="reading-value">
                {live(move || {
                    let said = |r: Ratio| format!("{} : {}", words::number(r.a), words::number(r.b));
                    mix.ratio.get().map_or_else(|| "as the family".to_owned(), said)
                })}
            </span>
        </button>
        <div class="row units" role="group" aria-label="Ratio by">
            {kind("by weight", false)}
            {kind("by volume", true)}
        </div>
        <button type="button" class="reading wide" on:click=tap(move |_| ask_density(0))>
            <span class="reading-name">"Density of the first"</span>
            <span class="reading-value">{live(move || density(0))}</span>
        </button>
        <button type="button" class="reading wide" on:click=tap(move |_| ask_density(1))>
            <span class="reading-name">"Density of the second"</span>
            <span class="reading-value">{live(move || density(1))}</span>
        </button>
        <button type="button" class="reading wide" on:click=tap(ask_tolerance)>
            <span class="reading-name">"Allowed error of the second"</span>
            <span class="reading-value">
                {live(move || {
                    mix.tolerance.get().map_or_else(|| "as the family".to_owned(), words::percent)
                })}
            </span>
        </button>
    }
}
