//! Reading the embedded rule table and finding things in it.

use super::model::packed;
use super::model::{Constant, Family, Figure, Hazard, Method, Ppe, Profile, Rules, Window};
use std::sync::LazyLock;

static RULES: LazyLock<Rules> = LazyLock::new(read);

fn read() -> Rules {
    packed::unpack(include_bytes!(concat!(env!("OUT_DIR"), "/rules.bin")))
        .expect("build.rs packed it with the same types")
}

/// The embedded rule table.
pub fn rules() -> &'static Rules {
    &RULES
}

/// A built-in method to be changed. It is read anew and not cloned: the reader is
/// there, and the code to clone so many shapes is not small.
pub(super) fn method_anew(id: &str) -> Option<Method> {
    read().methods.into_iter().find(|method| method.id == id)
}

impl Rules {
    /// The family with this code.
    pub fn family(&self, id: &str) -> Option<&Family> {
        self.families.iter().find(|family| family.id == id)
    }

    /// The method with this code.
    pub fn method(&self, id: &str) -> Option<&Method> {
        self.methods.iter().find(|method| method.id == id)
    }

    /// The hazard with this code.
    pub fn hazard(&self, id: &str) -> Option<&Hazard> {
        self.hazards.iter().find(|hazard| hazard.id == id)
    }

    /// The PPE set with this letter.
    pub fn ppe_set(&self, id: &str) -> Option<&Ppe> {
        self.ppe.iter().find(|set| set.id == id)
    }

    /// The constant with this code.
    pub fn constant(&self, id: &str) -> Option<&Constant> {
        self.constants.iter().find(|constant| constant.id == id)
    }
}

impl Family {
    /// The profile with this id.
    pub fn profile(&self, id: &str) -> Option<&Profile> {
        self.profiles.iter().find(|profile| profile.id == id)
    }

    /// A few words for one of its clocks: "gel coat film", "laminate, pot".
    pub fn clock_title(&self, profile: &Profile) -> String {
        if profile.title.starts_with(&self.short) {
            profile.title.clone()
        } else {
            format!("{}, {}", self.short, profile.title)
        }
    }

    /// The property with this id.
    pub fn property(&self, id: &str) -> Option<&Figure> {
        self.properties.iter().find(|property| property.id == id).map(|property| &property.figure)
    }
}

impl Profile {
    /// The window with this id.
    pub fn window(&self, id: &str) -> Option<&Window> {
        self.windows.iter().find(|window| window.id == id)
    }
}
