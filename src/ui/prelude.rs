//! What every view uses: markup, components, parts and signals.

pub use crate::ui::node::{Callback, CollectView, IntoNode, Node};
pub use crate::ui::reactive::{
    Effect, Memo, RwSignal, Signal, StoredValue, expect_context, provide_context, untrack,
};
pub use benchtide_view::{component, view};
