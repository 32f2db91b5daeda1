//! How what is kept becomes JSON and comes back.
//!
//! Small macros instead of derived code: the derived readers of so many shapes were the
//! largest piece of code shipped. A field left out of a list does not compile.

use super::json::{Expected, Json, separate, write_number, write_text};
use super::quantity::Instant;
use crate::engine::table::Table;
use std::fmt;

/// What could not be read of a record: which field, and what it should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Misread {
    /// The innermost field; empty for the whole.
    pub field: &'static str,
    /// What was expected there.
    pub expected: Expected,
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for part in [self.field, ": expected ", self.expected.0] {
            f.write_str(part)?;
        }
        Ok(())
    }
}

impl From<Expected> for Misread {
    fn from(expected: Expected) -> Self {
        Self { field: "", expected }
    }
}

/// Can be kept as JSON.
pub trait Stored: Sized {
    /// Writes it behind `out`. What is written as `null` is left out of its record.
    fn write(&self, out: &mut String);

    /// Reads it.
    ///
    /// # Errors
    /// [`Misread`] for what is not its stored form.
    fn read(json: &Json<'_>) -> Result<Self, Misread>;
}

/// Writes a field behind those before it, if it is not null.
pub fn put(name: &str, value: &dyn Fn(&mut String), out: &mut String) {
    let before = out.len();
    separate(usize::from(!out.ends_with('{')), out);
    write_text(name, out);
    out.push(':');
    let start = out.len();
    value(out);
    if &out[start..] == "null" {
        out.truncate(before);
    }
}

/// Reads a field.
///
/// # Errors
/// [`Misread`] with the field's name.
pub fn take<T: Stored>(record: &Json<'_>, name: &'static str) -> Result<T, Misread> {
    T::read(record.get(name)).map_err(|wrong| named(wrong, name))
}

fn named(wrong: Misread, name: &'static str) -> Misread {
    if wrong.field.is_empty() { Misread { field: name, ..wrong } } else { wrong }
}

/// Keeps a struct as an object of the listed fields. With `or default`, a field that is
/// not there is what the default says.
#[macro_export]
macro_rules! stored_record {
    ($type:ident { $($field:ident),+ $(,)? }) => {
        impl $crate::engine::stored::Stored for $type {
            $crate::stored_record!(@write $($field)+);
            fn read(
                json: &$crate::engine::json::Json<'_>,
            ) -> Result<Self, $crate::engine::stored::Misread> {
                json.fields()?;
                Ok(Self { $($field: $crate::engine::stored::take(json, stringify!($field))?,)+ })
            }
        }
    };
    ($type:ident or default { $($field:ident),+ $(,)? }) => {
        impl $crate::engine::stored::Stored for $type {
            $crate::stored_record!(@write $($field)+);
            fn read(
                json: &$crate::engine::json::Json<'_>,
            ) -> Result<Self, $crate::engine::stored::Misread> {
                json.fields()?;
                let mut all = Self::default();
                $(if *json.get(stringify!($field)) != $crate::engine::json::Json::Null {
                    all.$field = $crate::engine::stored::take(json, stringify!($field))?;
                })+
                Ok(all)
            }
        }
    };
    (@write $($field:ident)+) => {
        fn write(&self, out: &mut String) {
            let Self { $($field),+ } = self;
            out.push('{');
            $($crate::engine::stored::put(
                stringify!($field),
                &|out| $crate::engine::stored::Stored::write($field, out),
                out,
            );)+
            out.push('}');
        }
    };
}

/// Keeps an enum without fields as one of the given words.
#[macro_export]
macro_rules! stored_words {
    ($type:ident { $($variant:ident = $word:literal),+ $(,)? }) => {
        impl $crate::engine::stored::Stored for $type {
            fn write(&self, out: &mut String) {
                let word = match self { $(Self::$variant => $word,)+ };
                $crate::engine::json::write_text(word, out);
            }
            fn read(
                json: &$crate::engine::json::Json<'_>,
            ) -> Result<Self, $crate::engine::stored::Misread> {
                match json.text()? {
                    $($word => Ok(Self::$variant),)+
                    _ => Err($crate::engine::json::Expected("a known word").into()),
                }
            }
        }
    };
}

/// Keeps a quantity as its number.
#[macro_export]
macro_rules! stored_number {
    ($($type:ident),+) => {
        $(impl $crate::engine::stored::Stored for $type {
            fn write(&self, out: &mut String) {
                $crate::engine::json::write_number(self.0, out);
            }
            fn read(
                json: &$crate::engine::json::Json<'_>,
            ) -> Result<Self, $crate::engine::stored::Misread> {
                Ok(Self(json.number()?))
            }
        })+
    };
}

/// Whole numbers: exact up to 2^53, as in every reader of JSON; no others are kept.
macro_rules! stored_whole {
    ($($type:ident),+) => {
        $(impl Stored for $type {
            fn write(&self, out: &mut String) {
                write_number(*self as f64, out);
            }
            fn read(json: &Json<'_>) -> Result<Self, Misread> {
                let number = whole(json)?;
                $type::try_from(number).map_err(|_| Expected("a whole number in range").into())
            }
        })+
    };
}

stored_whole!(i64, u64, u32);

fn whole(json: &Json<'_>) -> Result<i64, Misread> {
    let number = json.number()?;
    if number.fract() == 0.0 && number.abs() <= 9_007_199_254_740_992.0 {
        Ok(number as i64)
    } else {
        Err(Expected("a whole number").into())
    }
}

impl Stored for Instant {
    fn write(&self, out: &mut String) {
        self.0.write(out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        whole(json).map(Self)
    }
}

impl Stored for f64 {
    fn write(&self, out: &mut String) {
        write_number(*self, out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        Ok(json.number()?)
    }
}

impl Stored for bool {
    fn write(&self, out: &mut String) {
        out.push_str(if *self { "true" } else { "false" });
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        match json {
            Json::Bool(value) => Ok(*value),
            _ => Err(Expected("true or false").into()),
        }
    }
}

impl Stored for String {
    fn write(&self, out: &mut String) {
        write_text(self, out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        Ok(json.text()?.to_owned())
    }
}

impl<T: Stored> Stored for Option<T> {
    fn write(&self, out: &mut String) {
        match self {
            Some(value) => value.write(out),
            None => out.push_str("null"),
        }
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        match json {
            Json::Null => Ok(None),
            json => T::read(json).map(Some),
        }
    }
}

impl<T: Stored> Stored for Vec<T> {
    fn write(&self, out: &mut String) {
        write_list(self.iter(), out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        json.list()?.iter().map(T::read).collect()
    }
}

impl<T: Stored + Copy + Default, const N: usize> Stored for [T; N] {
    fn write(&self, out: &mut String) {
        write_list(self.iter(), out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        let mut all = [T::default(); N];
        let items = json.list()?;
        if items.len() != N {
            return Err(Expected("a list of another length").into());
        }
        for (one, item) in all.iter_mut().zip(items) {
            *one = T::read(item)?;
        }
        Ok(all)
    }
}

fn write_list<'a, T: Stored + 'a>(items: impl Iterator<Item = &'a T>, out: &mut String) {
    out.push('[');
    for (number, item) in items.enumerate() {
        separate(number, out);
        item.write(out);
    }
    out.push(']');
}

impl<T: Stored> Stored for Table<String, T> {
    fn write(&self, out: &mut String) {
        out.push('{');
        for (number, (name, value)) in self.iter().enumerate() {
            separate(number, out);
            write_text(name, out);
            out.push(':');
            value.write(out);
        }
        out.push('}');
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        let fields = json.fields()?.iter();
        fields.map(|(name, value)| Ok((name.clone(), T::read(value)?))).collect()
    }
}
