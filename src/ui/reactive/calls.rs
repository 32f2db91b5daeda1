//! Closures behind a pointer.
//!
//! `dyn Fn` would do, but brings three ways to be called along for each closure, with
//! their code, and there are many hundreds of closures. These bring one.

/// Gives a value.
pub trait Ask<T> {
    /// Asks for it.
    fn ask(&self) -> T;
}

impl<T, F: Fn() -> T> Ask<T> for F {
    fn ask(&self) -> T {
        self()
    }
}

/// Takes a value, and gives another.
pub trait Take<In, Out> {
    /// Gives it one.
    fn take(&self, with: In) -> Out;
}

impl<In, Out, F: Fn(In) -> Out> Take<In, Out> for F {
    fn take(&self, with: In) -> Out {
        self(with)
    }
}

/// Takes a value, and may change itself by it.
pub trait TakeMut<In> {
    /// Gives it one.
    fn take_mut(&mut self, with: In);
}

impl<In, F: FnMut(In)> TakeMut<In> for F {
    fn take_mut(&mut self, with: In) {
        self(with);
    }
}
