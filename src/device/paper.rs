//! Paper: the browser's own print. What is folded on the screen is open on
//! paper, since nobody can tap it there.

use super::{on_window, window};

/// Marks what was only opened for the print.
const MARK: &str = "data-printing";

/// From now on, all folded parts open while the page prints, whoever asked for it.
pub fn unfold_for_print() {
    on_window("beforeprint", || {
        while let Some(folded) = find("details:not([open])") {
            // One that can't be opened would be found for ever.
            let opened = folded.set_attribute("open", "").and(folded.set_attribute(MARK, ""));
            if opened.is_err() {
                break;
            }
        }
    });
    on_window("afterprint", || {
        while let Some(opened) = find("details[data-printing]") {
            if opened.remove_attribute("open").and(opened.remove_attribute(MARK)).is_err() {
                break;
            }
        }
    });
}

fn find(selector: &str) -> Option<web_sys::Element> {
    window()?.document()?.query_selector(selector).ok().flatten()
}

/// Asks the browser to print the page.
pub fn print() {
    if let Some(window) = window() {
        // A browser that prints nothing here leaves the list on the screen.
        let _ = window.print();
    }
}
