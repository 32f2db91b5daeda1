//! Shapes that say a state without colour: a tub seen in section, whose level
//! and lid tell how far it is.

use crate::job::live::WindowState;
use crate::ui::prelude::*;

/// The tub of a state. Drawn, not named: the word stands beside it.
#[component]
pub fn Tub(
    /// The state.
    state: WindowState,
) -> Node {
    let level = match state {
        WindowState::Wait => "M7 33h26v3H7z",
        WindowState::Look => "M7 24q6.5-4 13 0t13 0v12H7z",
        WindowState::Best | WindowState::Done => "M7 12h26v24H7z",
        WindowState::LastCall => "M7 12h26v24H7z",
        WindowState::Missed | WindowState::NoTime => "",
    };
    let mark = match state {
        // A wait is a lid on the tub, a last call a notch, a miss a bar across.
        WindowState::Wait => "M2 6h36",
        WindowState::LastCall => "M20 15v11M20 30v3",
        WindowState::Missed => "M3 37 37 5",
        WindowState::NoTime => "M14 20q0-6 6-6t6 6-6 6v3M20 32v2",
        WindowState::Done => "M12 23l6 6 11-12",
        _ => "",
    };
    let over = matches!(state, WindowState::LastCall | WindowState::Done);
    view! {
        <svg class="tub" class:over=over viewBox="0 0 40 40" aria-hidden="true" focusable="false">
            <path class="level" d=level />
            <path class="wall" d="M5 8v30h30V8" />
            <path class="mark" d=mark />
        </svg>
    }
}
