//! The fields of a file: each there once, none that nobody knows, of the right kind.

use super::{LONGEST, Reader, Wrong};
use crate::engine::json::Json;

impl Reader<'_> {
    /// Refuses codes that can't stand in an address.
    pub(super) fn code(&mut self, id: &str) {
        let fits = |letter: u8| letter.is_ascii_alphanumeric() || matches!(letter, b'.' | b'-');
        if id.is_empty() || id.len() > 40 || !id.bytes().all(fits) {
            self.wrong(Wrong::Code, id);
        }
    }

    /// The fields of an object, each there once; none of what is no object.
    pub(super) fn fields<'v>(&mut self, of: &'v Json<'v>) -> &'v [(String, Json<'v>)] {
        let fields = of.fields().unwrap_or_default();
        if fields.is_empty() && !matches!(of, Json::Null | Json::Object(_)) {
            self.wrong(Wrong::Shape, "");
        }
        for (at, (name, _)) in fields.iter().enumerate() {
            if fields.iter().take(at).any(|(other, _)| other == name) {
                self.wrong(Wrong::Twice, name);
            }
        }
        fields
    }

    /// Refuses fields that there are not.
    pub(super) fn known(&mut self, of: &Json<'_>, keys: &[&str]) {
        if matches!(of, Json::Null) {
            self.wrong(Wrong::Shape, "");
        }
        for (name, _) in self.fields(of) {
            if !keys.contains(&name.as_str()) {
                self.wrong(Wrong::NoField, name);
            }
        }
    }

    pub(super) fn field<'v>(&self, of: &'v Json<'v>, key: &str) -> Option<&'v Json<'v>> {
        Some(of.get(key)).filter(|value| !matches!(value, Json::Null))
    }

    pub(super) fn text(&mut self, of: &Json<'_>, key: &str) -> Option<String> {
        let value = self.field(of, key)?;
        Some(self.words(key, value))
    }

    pub(super) fn needed(&mut self, of: &Json<'_>, key: &str) -> String {
        self.words(key, self.field(of, key).unwrap_or(&Json::Text(String::new())))
    }

    pub(super) fn list(&mut self, of: &Json<'_>, key: &str) -> Option<Vec<String>> {
        let value = self.field(of, key)?;
        let items = value.list().unwrap_or_else(|_| {
            self.wrong(Wrong::Shape, key);
            &[]
        });
        Some(items.iter().map(|item| self.words(key, item)).collect())
    }

    pub(super) fn words(&mut self, key: &str, value: &Json<'_>) -> String {
        let text = value.text().unwrap_or_else(|_| {
            self.wrong(Wrong::Shape, key);
            ""
        });
        let text = text.trim();
        if text.is_empty() {
            self.wrong(Wrong::Empty, key);
        }
        if text.len() > LONGEST {
            self.wrong(Wrong::TooLong, key);
        }
        text.to_owned()
    }
}
