//! Sound and vibration of an alarm.
//!
//! Browsers let a page sound only after a first tap. One audio context is kept
//! and resumed. Two calls that differ in rhythm and pitch: a quick rising one
//! where minutes count, a slow pair of notes for "ready". Each repeat is louder.

use std::cell::RefCell;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{AudioContext, AudioContextState, OscillatorType};

thread_local! {
    static CONTEXT: RefCell<Option<AudioContext>> = const { RefCell::new(None) };
}

/// Whether an alarm would sound now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sound {
    /// A tap is needed first.
    NotArmed,
    /// It will sound.
    Armed,
    /// This browser can't.
    Unsupported,
}

/// Arms the sound. Call it from a tap.
pub fn arm() -> Sound {
    CONTEXT.with_borrow_mut(|context| {
        if context.is_none() {
            *context = AudioContext::new().ok();
        }
        match context {
            Some(context) => {
                // Resuming is asynchronous; `sound` tells the outcome.
                let _ = context.resume();
                state(context)
            }
            None => Sound::Unsupported,
        }
    })
}

/// Whether an alarm would sound now.
pub fn sound() -> Sound {
    CONTEXT.with_borrow(|context| context.as_ref().map_or(Sound::NotArmed, state))
}

fn state(context: &AudioContext) -> Sound {
    match context.state() {
        AudioContextState::Running => Sound::Armed,
        _ => Sound::NotArmed,
    }
}

/// The notes of a call: start in seconds, pitch in hertz, length in seconds.
type Notes = &'static [(f64, f32, f64)];

/// Minutes count.
pub const URGENT: Notes = &[
    (0.00, 880.0, 0.12),
    (0.16, 1175.0, 0.12),
    (0.32, 1568.0, 0.20),
    (0.70, 880.0, 0.12),
    (0.86, 1175.0, 0.12),
    (1.02, 1568.0, 0.20),
];

/// Something is ready.
pub const READY: Notes = &[(0.0, 523.0, 0.35), (0.45, 659.0, 0.55)];

/// Sounds a call. `loudness` from 0 to 1.
pub fn ring(notes: Notes, loudness: f32) {
    CONTEXT.with_borrow(|context| {
        if let Some(context) = context {
            // A browser that refuses a note leaves flash and vibration.
            let _ = play(context, notes, loudness);
        }
    });
}

fn play(context: &AudioContext, notes: Notes, loudness: f32) -> Result<(), JsValue> {
    let begin = context.current_time() + 0.02;
    for (start, pitch, length) in notes {
        let oscillator = context.create_oscillator()?;
        let gain = context.create_gain()?;
        oscillator.set_type(OscillatorType::Triangle);
        oscillator.frequency().set_value(*pitch);
        let (from, to) = (begin + start, begin + start + length);
        gain.gain().set_value_at_time(0.0, from)?;
        gain.gain().linear_ramp_to_value_at_time(loudness.clamp(0.05, 1.0), from + 0.02)?;
        gain.gain().linear_ramp_to_value_at_time(0.0, to)?;
        oscillator.connect_with_audio_node(&gain)?;
        gain.connect_with_audio_node(&context.destination())?;
        oscillator.start_with_when(from)?;
        oscillator.stop_with_when(to + 0.05)?;
    }
    Ok(())
}

/// Whether this browser can vibrate the phone.
pub fn can_vibrate() -> bool {
    super::window().is_some_and(|window| {
        js_sys::Reflect::has(&window.navigator(), &"vibrate".into()).unwrap_or(false)
    })
}

/// Whether there was a first tap: before it, browsers refuse to vibrate too.
pub fn is_armed() -> bool {
    CONTEXT.with_borrow(Option::is_some)
}

/// Vibrates the phone: lengths of buzz and pause in milliseconds.
pub fn vibrate(pattern: &[u32]) {
    if !can_vibrate() || !is_armed() {
        return;
    }
    if let Some(window) = super::window() {
        let array: js_sys::Array = pattern.iter().map(|ms| JsValue::from(*ms)).collect();
        let navigator: JsValue = window.navigator().into();
        if let Ok(vibrate) = js_sys::Reflect::get(&navigator, &"vibrate".into())
            && let Ok(vibrate) = vibrate.dyn_into::<js_sys::Function>()
        {
            // The answer only says whether the phone obeyed; nothing hangs on it.
            let _ = vibrate.call1(&navigator, &array);
        }
    }
}
