//! What every view uses: markup, components, parts and signals.

pub use crate::ui::node::{Callback, CollectView, IntoNode, Node};
pub use benchtide_view::{component, view};
pub use reactive_graph::computed::Memo;
pub use reactive_graph::effect::Effect;
pub use reactive_graph::graph::untrack;
pub use reactive_graph::owner::{LocalStorage, StoredValue, expect_context, provide_context};
pub use reactive_graph::prelude::*;
pub use reactive_graph::signal::RwSignal;
pub use reactive_graph::wrappers::read::Signal;
