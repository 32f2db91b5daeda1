//! What the shop writes on its emergency card.

use super::Page;

/// The sheet's name in the journal.
pub const EMERGENCY: &str = "emergency";

/// What is asked: field in the journal, and in words.
pub const DETAILS: [(&str, &str); 4] = [
    ("number", "Number to call"),
    ("address", "This address"),
    ("eyewash", "Eyewash and water"),
    ("extinguisher", "Extinguisher and way out"),
];

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    for (id, text) in DETAILS {
        page.text(id, text);
    }
    page.note("It replaces neither the safety data sheets nor trained people.");
    Some(())
}
