//! What can be wrong with a method of the shop's own, in words.

use std::fmt;

/// Why a method can't be taken, and what to do. `at` names the stage, or the
/// line or cure in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Problem {
    /// It can't be read at all.
    Unreadable {
        /// The line.
        line: usize,
        /// What should stand there.
        expected: &'static str,
    },
    /// Some other kind of file.
    NotAMethod,
    /// Written by a newer version of the app.
    Newer(String),
    /// The method to be changed is not here any more.
    Gone,
    /// A field of the wrong kind.
    Shape {
        /// Where.
        at: String,
        /// The field.
        key: String,
        /// What belongs there.
        wanted: &'static str,
    },
    /// A field that there is not.
    UnknownField {
        /// Where.
        at: String,
        /// The field.
        key: String,
    },
    /// A field that must say something.
    Empty {
        /// Where.
        at: String,
        /// The field.
        key: &'static str,
    },
    /// A text that no screen has room for.
    TooLong {
        /// Where.
        at: String,
        /// The field.
        key: &'static str,
    },
    /// Minutes that can't be.
    Minutes {
        /// The stage.
        at: String,
    },
    /// A name that leads nowhere.
    Unknown {
        /// Where.
        at: String,
        /// What kind of thing is named.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// Not a stage of the copied method, and without a title of its own.
    NoTitle {
        /// Its code.
        at: String,
    },
    /// A code that can't be one.
    Code {
        /// The code.
        at: String,
    },
    /// The same name twice.
    Twice {
        /// The name.
        name: String,
    },
    /// Neither or both of role and family.
    RoleOrFamily {
        /// The cure.
        at: String,
    },
    /// A line that must be ticked is weakened without a reason.
    NoReason {
        /// The line.
        at: String,
    },
    /// Nothing is left to do.
    NoStages,
    /// A stage that waits for itself, round about.
    Loop {
        /// The stage's title.
        stage: String,
    },
    /// A stage that can never begin.
    Unreached {
        /// The stage's title.
        stage: String,
        /// The cure that nothing before it starts.
        cure: String,
    },
    /// A stage that stands before one that it waits for.
    Later {
        /// The stage's title.
        stage: String,
        /// The title of the later one.
        later: String,
    },
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable { line, expected } => write!(
                f,
                "This can't be read as a method file: expected {expected} in line {line}. Look \
                 there for a lost comma, quote or bracket."
            ),
            Self::NotAMethod => f.write_str("This is no method file. Nothing was taken from it."),
            Self::Newer(version) => {
                write!(f, "This file is of a newer form ({version}). Update the app first.")
            }
            Self::Gone => f.write_str("This method is not on this phone. Go back to the list."),
            Self::Shape { at, key, wanted } => {
                write!(f, "{at}: {key} is of the wrong kind. Write {wanted}.")
            }
            Self::UnknownField { at, key } => {
                write!(f, "{at}: there is no field “{key}”. Look at its spelling.")
            }
            Self::Empty { at, key } => write!(f, "{at}: “{key}” is empty. Write a few words."),
            Self::TooLong { at, key } => {
                write!(f, "{at}: “{key}” is too long. Keep it under 200 letters.")
            }
            Self::Minutes { at } => {
                write!(f, "{at}: minutes lie between 0 and 1440. Enter the hands-on time.")
            }
            Self::Unknown { at, what, name } => {
                write!(f, "{at}: there is no {what} “{name}”. Correct the name.")
            }
            Self::NoTitle { at } => write!(
                f,
                "{at} is no stage of the copied method. Correct the code, or give it a title."
            ),
            Self::Code { at } => {
                write!(f, "“{at}” can't be a code. Use letters, digits, dots and hyphens.")
            }
            Self::Twice { name } => write!(f, "“{name}” is there twice. Rename or remove one."),
            Self::RoleOrFamily { at } => {
                write!(f, "{at}: name a role or a family, one of the two.")
            }
            Self::NoReason { at } => {
                write!(f, "{at}: this line must be ticked. Say why it is changed: “why”.")
            }
            Self::NoStages => f.write_str("No stage is left. Keep at least one."),
            Self::Loop { stage } => {
                write!(f, "“{stage}” waits for itself, round about. Let it wait for less.")
            }
            Self::Unreached { stage, cure } => write!(
                f,
                "“{stage}” would never begin: it waits for the cure “{cure}”, and nothing before it \
                 starts that. Move it, or let it wait for something else."
            ),
            Self::Later { stage, later } => write!(
                f,
                "“{stage}” waits for “{later}”, which comes after it. Move one, or let it wait for \
                 something else."
            ),
        }
    }
}

impl std::error::Error for Problem {}
