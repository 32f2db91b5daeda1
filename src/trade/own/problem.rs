//! What can be wrong with a method of the shop's own, in words.

use std::fmt;

/// Why a method can't be taken, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// What is wrong.
    pub wrong: Wrong,
    /// Where: the code of a stage, with the line or cure in it, or its title.
    pub at: String,
    /// What is named there.
    pub name: String,
}

/// What is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// It can't be read at all.
    Unreadable,
    /// Some other kind of file.
    NotAMethod,
    /// Written by a newer version of the app.
    Newer,
    /// The method to be changed is not here any more.
    Gone,
    /// The copied method is not known.
    NoBase,
    /// A field of the wrong kind.
    Shape,
    /// A field that there is not.
    NoField,
    /// A field that must say something.
    Empty,
    /// A text that no screen has room for.
    TooLong,
    /// Minutes that can't be.
    Minutes,
    /// No such mode.
    NoMode,
    /// No such stage.
    NoStage,
    /// No such cure.
    NoCure,
    /// No such window of a cure.
    NoWindow,
    /// No such measure.
    NoMeasure,
    /// No such role or family.
    NoMaterial,
    /// The material has no such clock.
    NoClock,
    /// No such option of a switch.
    NoOption,
    /// Not a stage of the copied method, and without a title of its own.
    NoTitle,
    /// A code that can't be one.
    Code,
    /// The same name twice.
    Twice,
    /// Neither or both of role and family.
    RoleOrFamily,
    /// A line that must be ticked is weakened without a reason.
    NoReason,
    /// Nothing is left to do.
    NoStages,
    /// A stage that waits for itself, round about.
    Loop,
    /// A stage that can never begin: nothing before it starts a cure that it waits for.
    Unreached,
    /// A stage that stands before one that it waits for.
    Later,
}

impl Problem {
    /// One that is of the whole.
    pub fn of(wrong: Wrong) -> Self {
        Self { wrong, at: String::new(), name: String::new() }
    }
}

impl Wrong {
    /// What stands before the name, and after it.
    fn words(self) -> [&'static str; 2] {
        match self {
            Self::Unreadable => {
                ["expected ", ". Look there and just before for a lost comma, quote or bracket."]
            }
            Self::NotAMethod => ["this is no method file. Nothing was taken from it", "."],
            Self::Newer => ["it is of a newer form, ", ". Update the app first."],
            Self::Gone => ["this method is not on this phone. Go back to the list", "."],
            Self::NoBase => ["there is no method “", "” to copy. Correct “base”."],
            Self::Shape => ["“", "” is of the wrong kind. Write it as in the description."],
            Self::NoField => ["there is no field “", "” here. Look at its spelling."],
            Self::Empty => ["“", "” is empty. Write a few words."],
            Self::TooLong => ["“", "” is too long. Keep it to two lines."],
            Self::Minutes => ["minutes lie between 0 and 1440. Enter the hands-on time", "."],
            Self::NoMode => ["there is no mode “", "”. Write hands-on, unattended or mixed."],
            Self::NoStage => ["there is no stage “", "”. Correct its code."],
            Self::NoCure => ["there is no cure “", "”. Correct its code."],
            Self::NoWindow => ["that clock has no window “", "”. Correct it."],
            Self::NoMeasure => ["the method has no measure “", "”. Correct its code."],
            Self::NoMaterial => ["there is no role or family “", "”. Correct its code."],
            Self::NoClock => ["the material has no clock “", "”. Correct it."],
            Self::NoOption => ["the method has no option “", "”. Correct it."],
            Self::NoTitle => ["no such stage is copied. Correct the code, or give it a title", "."],
            Self::Code => ["“", "” can't be a code. Use letters, digits, dots and hyphens."],
            Self::Twice => ["“", "” is there twice. Rename or remove one."],
            Self::RoleOrFamily => ["name a role or a family, one of the two", "."],
            Self::NoReason => ["this line must be ticked. Say why it is changed", ": “why”."],
            Self::NoStages => ["no stage is left. Keep at least one", "."],
            Self::Loop => ["it waits for itself, round about. Let it wait for less", "."],
            Self::Unreached => [
                "it would never begin: it waits for the cure “",
                "”, and nothing before it starts that. Move it, or let it wait for something else.",
            ],
            Self::Later => [
                "it waits for “",
                "”, which comes after it. Move one, or let it wait for something else.",
            ],
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [before, after] = self.wrong.words();
        let colon = if self.at.is_empty() { "" } else { ": " };
        for part in [&self.at, colon, before, &self.name, after] {
            f.write_str(part)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}
