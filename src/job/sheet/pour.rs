//! Time to pour: tubs against the work life, and whether each joins the last.

use super::{Ask, Page};
use crate::engine::mix::{GramsPerMinute, split_batches};
use crate::engine::pour::{Pour, pour_time};
use crate::engine::quantity::{Grams, Minutes, Percent};
use crate::engine::takeoff::Quantity;
use crate::trade::model::Dimension;

/// What is poured, by its word in the journal; its rate, and its family for the
/// work life until one is entered.
const WHAT: [(&str, &str, &str, &str); 3] = [
    ("rubber", "Silicone rubber", "use-rate-silicone-pour", "SI-TIN"),
    ("plaster", "Plaster", "use-rate-plaster", "GY-POT"),
    ("other", "Something else", "use-rate-silicone-pour", ""),
];

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let names = WHAT.map(|(id, text, ..)| (id, text));
    let (_, _, rate, family) = WHAT[page.choice("what", "What is poured", &names)];
    let total = page.ask_or("mass", "In all", Dimension::Mass, &[]).map(Grams);
    let low = |family: &str| {
        let family = page.rules.family(family)?;
        let profile = family.profile("pot").or_else(|| family.profile("mix"))?;
        Some(
            profile.milestones.first()?.time.low.unwrap_or(profile.milestones.first()?.time.likely),
        )
    };
    let life = low(family);
    let life = page.minutes("life", "Work life now, the short end: off your tin", life);
    let rate = page.use_rate(family, rate);
    let rate =
        page.ask("rate", "Poured a minute", Ask::Of(Dimension::Mass), Some(rate), (1.0, 1e5));
    let mixing = page.minutes("mixing", "To mix a tub, and let it rest", Some(5.0));
    let gap = page.minutes("gap", "From one tub empty to the next flowing", Some(5.0));
    let share = Percent(page.constant("split-share") * 100.0);
    let gap_share = Percent(page.constant("silicone-gap-share") * 100.0);
    let (total, life, mixing, gap) = (total?, life?, mixing?, gap?);
    let rate = GramsPerMinute(rate?);
    let left = Minutes((life - mixing).value().max(0.0));
    let split = split_batches(total, left, rate, share, None);
    let split = match split {
        Ok(split) => split,
        Err(error) => {
            page.warn(error.to_string());
            return None;
        }
    };
    let tubs = page.count("tubs", "Tubs", split.count, (1, 99));
    let tub = total / f64::from(tubs);
    let pour = Pour { tub, tubs, rate, mixing, gap, work_life: life, gap_share };
    let (time, sum) = page.worked(pour_time(&pour))?;
    let left = Minutes(time.left.value().max(0.0));
    page.result("In each tub", Quantity::Mass(tub), &sum);
    page.result("To pour one", Quantity::Time(time.each), &sum);
    page.result("In all, mixing too", Quantity::Time(time.all), &sum);
    page.result("Work life left when a tub is empty", Quantity::Time(left), &sum);
    if time.left.value() <= 0.0 {
        page.warn("It stiffens in the tub before that is empty. Mix smaller tubs, or pour faster.");
    } else if time.each.value() > life.value() * share.value() / 100.0 {
        page.warn("One tub takes most of its work life. Smaller tubs give time for a mishap.");
    }
    if let Some(warning) = time.seam.and_then(crate::engine::pour::Seam::warning) {
        page.warn(warning);
    }
    page.note("Weigh all parts of all tubs before the first is mixed.");
    Some(())
}
