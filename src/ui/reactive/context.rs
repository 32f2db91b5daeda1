//! What is found from everywhere on the page: one of each type.

use std::any::Any;
use std::cell::RefCell;

thread_local! {
    static PROVIDED: RefCell<Vec<Box<dyn Any>>> = const { RefCell::new(Vec::new()) };
}

/// Provides a value, for as long as the page lives.
pub fn provide_context<T: Copy + 'static>(value: T) {
    PROVIDED.with_borrow_mut(|provided| provided.push(Box::new(value)));
}

/// The value of this type. The app provides all of them before it shows anything.
pub fn expect_context<T: Copy + 'static>() -> T {
    PROVIDED.with_borrow(|provided| {
        let found = provided.iter().find_map(|value| value.downcast_ref().copied());
        found.unwrap_or_else(|| panic!("looked for before the app provided it"))
    })
}
