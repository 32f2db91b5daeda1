//! What can be wrong with the rule table, in words for whoever edits it.

use crate::trade::model::Unit;
use std::fmt;

/// A mistake in the rule table. `at` names the item, from the outside in.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// Two things of one list share an id.
    Duplicate {
        /// The list.
        at: String,
        /// The id.
        id: String,
    },
    /// A number is infinite or not a number.
    NotFinite {
        /// The item.
        at: String,
    },
    /// Not low <= likely <= high.
    Unordered {
        /// The item.
        at: String,
        /// Low end, in the figure's unit.
        low: f64,
        /// Likely value.
        likely: f64,
        /// High end.
        high: f64,
    },
    /// The unit does not fit the place.
    WrongUnit {
        /// The item.
        at: String,
        /// The unit found.
        found: Unit,
        /// The units that fit.
        wanted: &'static str,
    },
    /// Called published without a source.
    NoSource {
        /// The item.
        at: String,
    },
    /// A name leads nowhere.
    Unresolved {
        /// The item.
        at: String,
        /// What kind of thing is named.
        kind: &'static str,
        /// The name.
        name: String,
    },
    /// Something needed is absent or empty.
    Lacks {
        /// The item.
        at: String,
        /// What is absent.
        what: String,
    },
    /// Two things stand in the wrong order.
    OutOfOrder {
        /// The item.
        at: String,
        /// What should come first.
        earlier: String,
        /// What should come after it.
        later: String,
    },
    /// A milestone errs to the wrong side for its use in a window.
    WrongEffect {
        /// The window.
        at: String,
        /// The milestone.
        milestone: String,
        /// The effect that fits.
        wanted: &'static str,
    },
    /// A milestone is on the wrong side of "firm", or firm twice.
    WrongPhase {
        /// The milestone.
        at: String,
    },
    /// A number is outside what makes sense.
    OutOfRange {
        /// The item.
        at: String,
        /// What must hold.
        rule: &'static str,
    },
    /// Stages need each other in a circle.
    Cycle {
        /// The method.
        at: String,
        /// The stages in the circle or behind it.
        stages: Vec<String>,
    },
    /// Conditions that can never hold together.
    Unreachable {
        /// The item.
        at: String,
        /// The switch that would need two options at once.
        switch: String,
    },
    /// A stage waits for a cure that no earlier stage starts.
    NotEarlier {
        /// The stage.
        at: String,
        /// The cure.
        cure: String,
    },
    /// Neither or both of role and family are given.
    RoleOrFamily {
        /// The material or cure.
        at: String,
    },
    /// A stage does not show a caution that its material calls for.
    Unsafe {
        /// The stage.
        at: String,
        /// The code that is missing.
        lacks: &'static str,
        /// The family that calls for it.
        family: String,
    },
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Duplicate { at, id } => {
                write!(f, "{at}: {id:?} is there twice. Rename one.")
            }
            Self::NotFinite { at } => write!(f, "{at}: not a finite number. Write a real one."),
            Self::Unordered { at, low, likely, high } => write!(
                f,
                "{at}: low {low}, likely {likely}, high {high} do not rise. Put them in order."
            ),
            Self::WrongUnit { at, found, wanted } => {
                write!(f, "{at}: the unit is {found:?}. Use {wanted}.")
            }
            Self::NoSource { at } => write!(
                f,
                "{at}: called published, but no source is named. Name one or lower its status."
            ),
            Self::Unresolved { at, kind, name } => {
                write!(f, "{at}: there is no {kind} {name:?}. Add it or correct the name.")
            }
            Self::Lacks { at, what } => write!(f, "{at}: has no {what}. Write one."),
            Self::OutOfOrder { at, earlier, later } => {
                write!(f, "{at}: {earlier} should not come after {later}. Correct a time or swap.")
            }
            Self::WrongEffect { at, milestone, wanted } => {
                write!(f, "{at}: {milestone} must have the effect {wanted:?}. Change it.")
            }
            Self::WrongPhase { at } => {
                write!(f, "{at}: wet up to one firm milestone, harden after it. Change its phase.")
            }
            Self::OutOfRange { at, rule } => write!(f, "{at}: {rule}. Correct the number."),
            Self::Cycle { at, stages } => write!(
                f,
                "{at}: {} wait for each other in a circle. Remove one need.",
                stages.join(", ")
            ),
            Self::Unreachable { at, switch } => write!(
                f,
                "{at}: needs two options of switch {switch:?} at once. Remove one condition."
            ),
            Self::NotEarlier { at, cure } => write!(
                f,
                "{at}: waits for {cure:?}, which no stage before it starts. Add the need or correct the cure."
            ),
            Self::RoleOrFamily { at } => {
                write!(f, "{at}: name a role or a family, one of the two.")
            }
            Self::Unsafe { at, lacks, family } => {
                write!(f, "{at}: uses {family} and does not show {lacks}. Add it to the stage.")
            }
        }
    }
}

impl std::error::Error for Problem {}
