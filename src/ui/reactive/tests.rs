//! The rules at the top of `reactive.rs`, one test each. They are those of the
//! usual model of signals (common practice), so what is expected needs no figures.

use super::*;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

/// Counts the runs of an effect that shows what `read` gives.
fn shown<T: 'static>(read: impl Fn() -> T + 'static) -> (Rc<Cell<u32>>, RenderEffect) {
    let runs = Rc::new(Cell::new(0));
    let counted = runs.clone();
    let effect = RenderEffect::new(Box::new(move |()| {
        read();
        counted.set(counted.get() + 1);
    }));
    (runs, effect)
}

#[test]
fn an_effect_runs_once_for_all_changes_of_an_act() {
    root(|| {
        let (a, b) = (RwSignal::new(1), RwSignal::new(2));
        let (runs, _effect) = shown(move || a.get() + b.get());
        assert_eq!(runs.get(), 1);
        a.set(3);
        b.set(4);
        assert_eq!(runs.get(), 1, "it waits for the end of the act");
        run_waiting();
        assert_eq!(runs.get(), 2);
        run_waiting();
        assert_eq!(runs.get(), 2);
    });
}

#[test]
fn a_memo_tells_only_of_a_value_that_differs() {
    root(|| {
        let number = RwSignal::new(1);
        let odd = Memo::new(move |_| number.get() % 2 == 1);
        let (runs, _effect) = shown(move || odd.get());
        number.set(3);
        run_waiting();
        assert_eq!(runs.get(), 1);
        number.set(4);
        run_waiting();
        assert_eq!((runs.get(), odd.get_untracked()), (2, false));
        number.set(5);
        run_waiting();
        assert_eq!((runs.get(), odd.get_untracked()), (3, true));
    });
}

#[test]
fn nobody_sees_a_memo_that_is_behind() {
    root(|| {
        let number = RwSignal::new(1);
        let twice = Memo::new(move |_| number.get() * 2);
        let four_times = Memo::new(move |_| twice.get() * 2);
        let seen = Rc::new(RefCell::new(Vec::new()));
        let notes = seen.clone();
        let (runs, _effect) = shown(move || {
            notes.borrow_mut().push((number.get(), twice.get(), four_times.get()));
        });
        number.set(5);
        assert_eq!(four_times.get_untracked(), 20, "asked before the effects run");
        run_waiting();
        assert_eq!(*seen.borrow(), [(1, 2, 4), (5, 10, 20)]);
        assert_eq!(runs.get(), 2);
    });
}

#[test]
fn an_effect_follows_what_it_read_last() {
    root(|| {
        let (which, a, b) = (RwSignal::new(true), RwSignal::new(1), RwSignal::new(2));
        let (runs, _effect) = shown(move || if which.get() { a.get() } else { b.get() });
        b.set(3);
        run_waiting();
        assert_eq!(runs.get(), 1);
        which.set(false);
        run_waiting();
        a.set(4);
        run_waiting();
        assert_eq!(runs.get(), 2);
        b.set(5);
        run_waiting();
        assert_eq!(runs.get(), 3);
    });
}

#[test]
fn what_is_read_untracked_is_not_followed() {
    root(|| {
        let number = RwSignal::new(1);
        let (runs, _effect) = shown(move || untrack(|| number.get()) + number.get_untracked());
        number.set(2);
        run_waiting();
        assert_eq!(runs.get(), 1);
    });
}

#[test]
fn what_a_run_made_goes_before_the_next() {
    root(|| {
        let (outer, inner) = (RwSignal::new(1), RwSignal::new(1));
        let (kept, runs) = (Rc::new(RefCell::new(Vec::new())), Rc::new(Cell::new(0)));
        let (keep, counted) = (kept.clone(), runs.clone());
        let _effect = RenderEffect::new(Box::new(move |()| {
            outer.get();
            keep.borrow_mut().push(StoredValue::new(7));
            let counted = counted.clone();
            Effect::new(move |()| {
                inner.get();
                counted.set(counted.get() + 1);
            });
        }));
        run_waiting();
        assert_eq!(runs.get(), 1);
        outer.set(2);
        inner.set(2);
        run_waiting();
        assert_eq!(runs.get(), 2, "the outer one first; the old inner one is gone by then");
        let (old, new) = (kept.borrow()[0], kept.borrow()[1]);
        old.set_value(8);
        assert_eq!(new.get_value(), 7, "a late write reaches nobody");
    });
}

#[test]
fn a_dropped_part_runs_no_more() {
    root(|| {
        let number = RwSignal::new(1);
        let (runs, effect) = shown(move || number.get());
        number.set(2);
        drop(effect);
        run_waiting();
        assert_eq!(runs.get(), 1);
    });
}

#[test]
#[should_panic = "no longer shown"]
fn reading_what_is_gone_is_a_mistake() {
    let kept = Rc::new(Cell::new(None));
    let keep = kept.clone();
    let effect = RenderEffect::new(Box::new(move |()| keep.set(Some(RwSignal::new(1)))));
    drop(effect);
    kept.get().map(RwSignal::get_untracked);
}
