//! The square code of a printed card.

use super::svg::{add, whole};
use crate::engine::code;

/// Light modules around a code, without which no reader finds it.
const QUIET: usize = 4;

/// The code of a text, always dark on light; none when the text is too long. The
/// words beside it have to say the same, so a screen reader passes it over.
pub fn code(text: &str) -> Option<String> {
    let code = code::encode(text).ok()?;
    let side = whole((code.size + 2 * QUIET) as i64);
    let mut out = String::new();
    add(
        &mut out,
        &[
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"code\" aria-hidden=\"true\" viewBox=\"0 0 ",
            &side,
            " ",
            &side,
            "\" shape-rendering=\"crispEdges\"><path class=\"code-light\" d=\"M0 0H",
            &side,
            "V",
            &side,
            "H0Z\"/><path class=\"code-dark\" d=\"",
        ],
    );
    for y in 0..code.size {
        let mut x = 0;
        while x < code.size {
            let from = x;
            while code.is_dark(x, y) {
                x += 1;
            }
            if x > from {
                let [left, top, long] = [from + QUIET, y + QUIET, x - from];
                let [left, top, long] = [left, top, long].map(|number| whole(number as i64));
                add(&mut out, &["M", &left, " ", &top, "h", &long, "v1h-", &long, "z"]);
            }
            x += 1;
        }
    }
    out.push_str("\"/></svg>");
    Some(out)
}
