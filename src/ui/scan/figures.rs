//! What a scan says once its size is agreed on: its measures, a blanket over it,
//! how it is poured and how a mould comes off; and its picture.

use super::At;
use crate::engine::mesh::{Hole, Measured};
use crate::engine::quantity::{Millilitres, Millimetres, SquareMetres};
use crate::engine::takeoff::Quantity;
use crate::job::scan::{Found, PULLS, Scan, UPS};
use crate::job::settings::Settings;
use crate::trade::model::Dimension;
use crate::ui::parts::{live, shown, tap};
use crate::ui::prelude::*;
use crate::ui::words;

/// Fields that are kept, with their titles.
pub const KEPT: [(&str, &str, Dimension); 6] = [
    ("height", "Height as poured", Dimension::Length),
    ("area", "Area", Dimension::Area),
    ("volume", "Volume", Dimension::Volume),
    ("thickness", "Thickness of the blanket", Dimension::Length),
    ("blanket", "Volume of the blanket", Dimension::Volume),
    ("projected", "Area seen from above", Dimension::Area),
];

fn area(settings: &Settings, area: SquareMetres) -> String {
    words::quantity(settings, &Quantity::Area(area))
}

fn sides(settings: &Settings, sides: [Millimetres; 3]) -> String {
    sides.map(|side| words::length(settings, side)).join(" × ")
}

/// A figure of the scan as it is now; nothing while there is none.
fn of_scan(at: At, figure: fn(&Settings, &Scan) -> String) -> Node {
    live(move || at.scan().map(|scan| figure(&at.store.settings(), &scan)))
}

/// A figure of what was found.
fn of_found(at: At, figure: fn(&Settings, &Found) -> String) -> Node {
    live(move || {
        let settings = at.store.settings();
        at.told.with(|(found, _)| {
            found.as_ref().map_or_else(|| "…".to_owned(), |found| figure(&settings, found))
        })
    })
}

/// The picture on its turntable, with its keys.
pub fn picture(at: At) -> Node {
    let seen = move || {
        let scan = at.scan()?;
        let degrees = scan.look.degrees;
        let from = match degrees {
            0 => "Seen from the front".into(),
            180 => "Seen from the back".into(),
            _ => format!("Turned by {degrees}°"),
        };
        Some(format!("{from}, {} up.", UPS[scan.look.up].1))
    };
    let hatched = move || {
        at.told.with(|(found, _)| {
            found.as_ref().map(|found| match found.share.value() {
                share if share > 0.0 => {
                    format!("Hatched: what locks, {} of the surface.", words::percent(found.share))
                }
                _ => "Nothing locks.".into(),
            })
        })
    };
    let alt = move || {
        let name = at.scan().map(|scan| scan.name).unwrap_or_default();
        format!("{name}. {} {}", seen().unwrap_or_default(), hatched().unwrap_or_default())
    };
    let turn = move |right: bool| at.change(move |scan| scan.look.turn(right));
    view! {
        <figure class="card scan">
            <img width="256" height="256" alt=alt src=move || at.told.with(|(_, picture)| picture.clone()) />
            <figcaption>
                <b>{live(seen)}</b> " " {live(hatched)}
                <span class="hint" role="status">{live(move || at.busy.get().then_some(" Working it out…"))}</span>
            </figcaption>
            <div class="row">
                <button class="big" aria-label="Turn it to the left" on:click=tap(move |_| turn(false))>"← Turn"</button>
                <button class="big" aria-label="Turn it to the right" on:click=tap(move |_| turn(true))>"Turn →"</button>
            </div>
        </figure>
    }
}

/// All figures, and the keys that change them.
pub fn all(at: At) -> Node {
    let keep = move |_| {
        let found = at.told.with_untracked(|(found, _)| found.clone());
        if let (Some(found), Some(scan)) = (found, untrack(|| at.scan())) {
            at.store.append(scan.keep(at.job, &found), "Figures kept".into(), || {});
        }
    };
    view! {
        {measures(at)}
        {blanket(at)}
        {picture(at)}
        {poured(at)}
        {pulled(at)}
        {shown(move || !at.busy.get(), move || view! {
            <button class="big main" on:click=tap(keep)>"Keep these figures"</button>
        })}
        <p class="hint">
            "Worked out from the scan, holes, noise and all: a plan to check at the piece, never a permission."
        </p>
    }
}

fn plural(count: u32, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

/// How sound a surface is.
fn sound(settings: &Settings, of: &Measured) -> String {
    let mut text = if of.watertight {
        "Closed all round.".to_owned()
    } else if of.hole_count == 0 {
        "Not a sound surface: the volume is an estimate.".to_owned()
    } else {
        let widest = of.holes.iter().fold(Millimetres(0.0), |most, hole| most.max(hole.extent));
        format!(
            "{}, the widest {}. The volume is taken as if {} covered flat.",
            plural(of.hole_count, "hole", "holes"),
            words::length(settings, widest),
            if of.hole_count == 1 { "it were" } else { "they were" }
        )
    };
    if of.crowded_edges > 0 {
        text += " In places more than two surfaces meet.";
    }
    if of.clashing_edges > 0 {
        text += " In places it is inside out: look at volume and undercuts with care.";
    }
    if of.inside_out {
        text += " It was saved inside out, and has been turned.";
    }
    text
}

fn hole(settings: &Settings, hole: &Hole) -> Node {
    let text = format!(
        "{} wide, {} round the rim",
        words::length(settings, hole.extent),
        words::length(settings, hole.length)
    );
    view! { <li>{text}</li> }
}

fn measures(at: At) -> Node {
    let holes = move || at.scan().map(|scan| scan.measured().holes).unwrap_or_default();
    let anew = move |_| at.change(|scan| scan.look.agreed = false);
    view! {
        <section class="card">
            <h2>{of_scan(at, |_, scan| scan.name.clone())}</h2>
            <dl class="facts">
                <dt>"Size"</dt>
                <dd data-figure="size">{of_scan(at, |s, scan| sides(s, scan.measured().size))}</dd>
                <dt>"Area"</dt>
                <dd data-figure="area">{of_scan(at, |s, scan| area(s, scan.measured().area))}</dd>
                <dt>"Volume"</dt>
                <dd data-figure="volume">{of_scan(at, |s, scan| words::volume(s, scan.measured().volume))}</dd>
                <dt>"Parts"</dt>
                <dd data-figure="parts">
                    {of_scan(at, |_, scan| {
                        let of = scan.measured();
                        format!(
                            "{}, {}",
                            plural(of.part_count, "piece", "pieces apart"),
                            plural(of.triangles, "triangle", "triangles")
                        )
                    })}
                </dd>
            </dl>
            <p data-figure="sound">{of_scan(at, |s, scan| sound(s, &scan.measured()))}</p>
            {shown(move || !holes().is_empty(), move || view! {
                <details>
                    <summary>"Where it is open"</summary>
                    <ul>
                        {live(move || {
                            let settings = at.store.settings();
                            holes().iter().map(|one| hole(&settings, one)).collect_view()
                        })}
                    </ul>
                </details>
            })}
            <button class="big quiet" on:click=tap(anew)>"It is another size"</button>
        </section>
    }
}

/// A key that shows a length and opens the pad for another.
fn length_key(
    at: At,
    title: &'static str,
    of: fn(&Scan) -> Millimetres,
    set: fn(&mut Scan, Millimetres),
) -> Node {
    let open = move |_| {
        let Some(scan) = untrack(|| at.scan()) else { return };
        at.length(title, of(&scan), move |length| {
            at.change(move |scan| set(scan, length));
            Ok(())
        });
    };
    view! {
        <button class="reading wide" on:click=tap(open)>
            <span class="reading-name">{title}</span>
            <span class="reading-value">{live(move || at.scan().map(|scan| words::length(&at.store.settings(), of(&scan))))}</span>
        </button>
    }
}

fn blanket(at: At) -> Node {
    let volume = |s: &Settings, scan: &Scan| match scan.blanket() {
        Ok(blanket) => words::volume(s, blanket.volume),
        Err(error) => error.to_string(),
    };
    let how = |s: &Settings, scan: &Scan| {
        let exact = scan.blanket().is_ok_and(|blanket| blanket.exact);
        let flat = scan.blanket().map_or(Millilitres(0.0), |blanket| blanket.flat);
        let flat = words::volume(s, flat);
        if exact {
            format!("With its round edges and corners. Area times thickness is {flat}.")
        } else {
            format!(
                "An estimate: in narrow hollows a blanket meets itself, and over holes there is none. Area times thickness is {flat}."
            )
        }
    };
    view! {
        <section class="card">
            <h2>"A blanket all over it"</h2>
            {length_key(at, "Thickness", |scan| scan.thickness, |scan, length| scan.thickness = length)}
            <p class="amount" data-figure="blanket">{of_scan(at, volume)}</p>
            <p class="hint">{of_scan(at, how)}</p>
        </section>
    }
}

/// Chips of which one is chosen.
fn chips(
    at: At,
    label: &'static str,
    names: [&'static str; 6],
    chosen: fn(&Scan) -> usize,
    choose: fn(&mut Scan, usize),
) -> Node {
    let chips = names.into_iter().enumerate().map(|(index, name)| {
        let pressed = move || at.scan().is_some_and(|scan| chosen(&scan) == index).to_string();
        let press = move |_| at.change(move |scan| choose(scan, index));
        view! { <button class="chip" aria-pressed=pressed on:click=tap(press)>{name}</button> }
    });
    view! {
        <div class="row" role="group" aria-label=label>{chips.collect_view()}</div>
    }
}

fn poured(at: At) -> Node {
    let highs = move || {
        let settings = at.store.settings();
        let length = |length| words::length(&settings, length);
        at.told.with(|(found, _)| {
            let highs = found.iter().flat_map(|found| &found.highs);
            highs
                .map(|high| {
                    let air = if high.pocket < high.height {
                        format!("{} of air", length(high.pocket))
                    } else {
                        "the top".into()
                    };
                    let text = format!(
                        "{} from the left, {} from the front, {} up: {air}",
                        length(high.from_left),
                        length(high.from_front),
                        length(high.height)
                    );
                    view! { <li>{text}</li> }
                })
                .collect_view()
        })
    };
    view! {
        <section class="card scan">
            <h2>"As it is poured"</h2>
            <p>"Which side of the file is up?"</p>
            {chips(at, "Up", UPS.map(|(_, name)| name), |scan| scan.look.up, |scan, up| scan.look.up = up)}
            <dl class="facts">
                <dt>"Height"</dt>
                <dd data-figure="height">{of_scan(at, |s, scan| words::length(s, scan.height()))}</dd>
                <dt>"Area seen from above"</dt>
                <dd data-figure="projected">{of_found(at, |s, found| area(s, found.shadow.shadow))}</dd>
            </dl>
            <h3>"Vents: where air stays, the deepest first"</h3>
            <ol data-figure="vents">{live(highs)}</ol>
            <p class="hint">"Left and front as in the picture before it is turned."</p>
        </section>
    }
}

fn pulled(at: At) -> Node {
    let what = |s: &Settings, found: &Found| {
        format!(
            "{} looks away from the pull, {} lies below something.",
            area(s, found.away),
            area(s, found.below)
        )
    };
    let shift = move |higher: bool| at.change(move |scan| scan.look.shift(higher));
    view! {
        <section class="card scan">
            <h2>"A rigid mould in two halves"</h2>
            <p>"The half beyond the parting plane is pulled"</p>
            {chips(at, "Pull", PULLS, |scan| scan.look.pull, |scan, pull| scan.look.pull = pull)}
            {length_key(at, "Parting plane, along the pull", Scan::parting, Scan::set_parting)}
            <div class="row">
                <button class="big" on:click=tap(move |_| shift(false))>"Back"</button>
                <button class="big" on:click=tap(move |_| shift(true))>"Further"</button>
            </div>
            <p class="amount" data-figure="share">
                {of_found(at, |_, found| format!("{} locks", words::percent(found.share)))}
            </p>
            <p class="hint" data-figure="locks">{of_found(at, what)}</p>
        </section>
    }
}
