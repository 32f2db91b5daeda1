//! Charts as SVG text: a cure on its way, predictions against what was seen,
//! and pot life against mass.
//!
//! A tired person at a bench would rather look than read, and the same card is
//! printed in black and white. So each chart is text made from plain data by
//! functions that know no browser, which is why it is tested where there is
//! none; a view only sets it. All share one frame: 360 units wide, as a phone is,
//! text of 15 units and more, shapes and words beside each colour. Colours,
//! widths and dashes are in the style sheet under "Charts", as the page's
//! security policy forbids them inside the drawing.
//!
//! What a chart shows was worked out elsewhere. It never gives leave to do
//! anything: the tin's data sheet and the touch test do.

mod code;
mod fit;
mod frame;
mod pot_life;
mod progress;
mod svg;
mod wall;

#[cfg(test)]
mod tests;

pub use code::code;
pub use fit::{Fit, Gel, Learning, Standing, fit};
pub use pot_life::{PotLife, PotPoint, pot_life};
pub use progress::{Band, Progress, progress};

/// What stands in a chart's place when there is nothing to draw.
const NOTHING: &str = "<p class=\"hint\">Nothing to show yet.</p>";

fn nothing() -> String {
    NOTHING.to_owned()
}
