//! What holds values: signals, memos, stored values. Each is a key, and as cheap
//! to copy.

use super::calls::Ask;
use super::graph::{self, Key, untrack};
use std::any::Any;
use std::cell::RefCell;
use std::marker::PhantomData;
use std::rc::Rc;

/// Declares a kind of cell: a key that knows the type of its value.
macro_rules! cell {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        pub struct $name<T: 'static>(Key, PhantomData<fn() -> T>);

        impl<T> Clone for $name<T> {
            fn clone(&self) -> Self {
                *self
            }
        }

        impl<T> Copy for $name<T> {}
    };
}

cell! {
    /// A value that is followed by who reads it.
    RwSignal
}

cell! {
    /// A value that is worked out from others.
    Memo
}

cell! {
    /// A value that nobody follows.
    StoredValue
}

fn read<T: 'static, U>(key: Key, look: impl FnOnce(&T) -> U) -> U {
    let value = graph::value(key).unwrap_or_else(gone);
    look(&cell_of::<T>(&value).borrow())
}

/// Changes a value, unless the part of the page that held it is gone: what was
/// begun there may end later, and nobody looks any more.
fn write<T: 'static>(key: Key, change: impl FnOnce(&mut T)) {
    if let Some(value) = graph::value(key) {
        change(&mut cell_of::<T>(&value).borrow_mut());
    }
}

fn cell_of<T: 'static>(value: &Rc<dyn Any>) -> &RefCell<T> {
    value.downcast_ref().unwrap_or_else(gone)
}

/// A cell is read whose part of the page is gone, which is a mistake in a view.
/// `public/recover.js` shows the way out.
#[cold]
fn gone<T>() -> T {
    panic!("a value of a part that is no longer shown was used")
}

fn hold<T: 'static>(value: T) -> Key {
    graph::make(Some(Rc::new(RefCell::new(value))), None, false)
}

impl<T: 'static> RwSignal<T> {
    /// A signal, for as long as the part that makes it is shown.
    pub fn new(value: T) -> Self {
        Self(hold(value), PhantomData)
    }

    /// Looks at the value, and follows it.
    pub fn with<U>(self, look: impl FnOnce(&T) -> U) -> U {
        self.track();
        read(self.0, look)
    }

    /// Looks at the value.
    pub fn with_untracked<U>(self, look: impl FnOnce(&T) -> U) -> U {
        read(self.0, look)
    }

    /// Follows the value.
    pub fn track(self) {
        graph::track(self.0);
    }

    /// Sets the value, and tells those who follow it.
    pub fn set(self, value: T) {
        self.update(|held| *held = value);
    }

    /// Changes the value, and tells those who follow it.
    pub fn update(self, change: impl FnOnce(&mut T)) {
        write(self.0, change);
        graph::changed(self.0);
    }
}

impl<T: Clone + 'static> RwSignal<T> {
    /// The value; follows it.
    pub fn get(self) -> T {
        self.with(T::clone)
    }

    /// The value.
    pub fn get_untracked(self) -> T {
        self.with_untracked(T::clone)
    }
}

impl<T: PartialEq + 'static> Memo<T> {
    /// A memo, for as long as the part that makes it is shown.
    pub fn new(work_out: impl Fn(()) -> T + 'static) -> Self {
        let value: Rc<RefCell<Option<T>>> = Rc::new(RefCell::new(None));
        let kept = value.clone();
        let run = move || {
            let new = Some(work_out(()));
            let differs = *kept.borrow() != new;
            if differs {
                *kept.borrow_mut() = new;
            }
            differs
        };
        Self(graph::make(Some(value), Some(Rc::new(run)), false), PhantomData)
    }
}

impl<T: 'static> Memo<T> {
    /// Looks at the value, and follows it.
    pub fn with<U>(self, look: impl FnOnce(&T) -> U) -> U {
        graph::track(self.0);
        self.with_untracked(look)
    }

    /// Looks at the value.
    pub fn with_untracked<U>(self, look: impl FnOnce(&T) -> U) -> U {
        graph::update(self.0);
        read(self.0, |value: &Option<T>| match value {
            Some(value) => look(value),
            None => look(gone::<&T>()),
        })
    }
}

impl<T: Clone + 'static> Memo<T> {
    /// The value; follows it.
    pub fn get(self) -> T {
        self.with(T::clone)
    }

    /// The value.
    pub fn get_untracked(self) -> T {
        self.with_untracked(T::clone)
    }
}

impl<T: 'static> StoredValue<T> {
    /// A stored value, for as long as the part that makes it is shown.
    pub fn new(value: T) -> Self {
        Self(hold(value), PhantomData)
    }

    /// Looks at the value.
    pub fn with_value<U>(self, look: impl FnOnce(&T) -> U) -> U {
        read(self.0, look)
    }

    /// Changes the value.
    pub fn update_value(self, change: impl FnOnce(&mut T)) {
        write(self.0, change);
    }

    /// Sets the value.
    pub fn set_value(self, value: T) {
        self.update_value(|held| *held = value);
    }
}

impl<T: Clone + 'static> StoredValue<T> {
    /// The value.
    pub fn get_value(self) -> T {
        self.with_value(T::clone)
    }
}

/// A value that is asked for by a function; whoever asks follows what it reads.
pub struct Signal<T: 'static>(StoredValue<Rc<dyn Ask<T>>>);

impl<T> Clone for Signal<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Signal<T> {}

impl<T: 'static> Signal<T> {
    /// Asks a function.
    pub fn derive(ask: impl Fn() -> T + 'static) -> Self {
        Self(StoredValue::new(Rc::new(ask)))
    }

    /// The value; follows it.
    pub fn get(self) -> T {
        self.0.get_value().ask()
    }

    /// The value.
    pub fn get_untracked(self) -> T {
        untrack(|| self.get())
    }
}
