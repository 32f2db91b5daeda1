//! Help: what each screen is for, in the words of the bench.

use crate::ui::prelude::*;
use crate::ui::route::Route;

const CHAPTERS: [(&str, &[&str]); 12] = [
    (
        "First",
        &[
            "Open this once with a network. From then on it needs none.",
            "Prop the phone where you can see it, plugged in, volume up. Tap once: now it can ring.",
            "Add it to the home screen, and save a backup now and then.",
        ],
    ),
    (
        "Bench",
        &[
            "Every running clock, the most urgent first. The large number runs to the next thing that happens.",
            "Wait: too early. Look: go and test it. Best now: do it. Last call: three quarters of the window are gone. Missed: test it before you go on.",
            "The clock says when to look; the test on the card says when it is ready.",
            "Openings are given with their cautious end, closings with their early end.",
        ],
    ),
    (
        "Start a clock",
        &[
            "Three taps: Start a clock, the material, the act. Tap at the moment of the act, not before.",
        ],
    ),
    (
        "Jobs",
        &[
            "A job leads through its stages. One stage at a time: cautions, how, amounts, lines to tick, clocks.",
            "A line marked Must is ticked, or waived with a reason that stays on the record.",
            "A stage that waits says for what. Overrule it with a reason if you know better.",
            "Buying list: what the stages to come need, what the Shelf holds of it, full tins to buy, what they and a cast cost. It prints with every sum open.",
            "Note size, price and what is left at the tin. Batches weighed from it come off by themselves.",
            "Report: everything that was done, to print for the client. A job's own file takes it to another phone.",
            "Read a card: a picture of the code on a mould's card leads to the mould, or keeps it here.",
            "Methods: copy one and change it to how you work. Find in the record: words, keys, and questions that it answers.",
            "All but the removal of a photograph can be undone. Nothing is shown as done before it is safely stored.",
        ],
    ),
    (
        "Photographs",
        &[
            "On a job and at each stage. Tap one to write under it, draw on it, or take it again and compare.",
            "They are not in the backup of the records. Save them too; on a new phone read the records first.",
        ],
    ),
    (
        "Moulds",
        &[
            "A job that is nearly done becomes a mould on its own page; older ones are put on record under Jobs, Moulds.",
            "Note each cast as it comes out, judge and weigh it. The mould says what is due, what is scrap and why, and whether weights drift.",
            "Print its card (A6, front and back) and tie it on. It is complete without this phone.",
        ],
    ),
    (
        "Take-off",
        &[
            "On the job's page, or from Jobs: sheets that ask what was measured and show what comes of it, with its sum.",
            "Take a result into the job as one of its measures. Anything entered can be changed where it stands.",
            "Waste and other factors are in sight; yours count before the table's.",
            "Will they get on? says what rubber and surface make of each other. A test patch outranks it.",
        ],
    ),
    (
        "Scan",
        &[
            "Under Take-off: open the file of a scanning app, say how large the piece really is, keep the figures with the job.",
            "Tap until the picture stands as you pour it. Then it says where air stays and what locks a rigid mould.",
            "A scan with holes or noise gives estimates. Check them at the piece.",
        ],
    ),
    (
        "Mix",
        &[
            "What to weigh, in which order, and what the scale reads when nothing is tared away.",
            "Tap a part to enter what really went in: the rest follows, or it says what to add. Too much peroxide can't be mended.",
            "Additions are weighed along. Over what is usual, only your tin's sheet can allow it.",
            "Tap \"Tub empty\" when it is: three times, and tubs go by your own rate.",
            "Peroxide: the level gives a time on this film, a wanted time gives the level. Out of reach? It says which temperature would do.",
            "How much at once: pot life and heat against mass. A caution, never a permission.",
        ],
    ),
    (
        "Shelf",
        &[
            "Generic families with starting values, each with its range, status and source.",
            "Add your tin: one time and its temperature off the data sheet make a card that counts before the family's.",
            "A tin learns from every gelled, and every ready after a not yet. Look at what it taught, leave out what went wrong, and let it take effect if you agree.",
        ],
    ),
    (
        "Readings",
        &[
            "Tap the room line at the top. A new air or surface reading moves every running clock at once, and you see what moved and why.",
            "Leaving for the night? Say how cold it gets and when, or when the heater goes off: clocks follow at once.",
            "A warm cabinet has readings of its own. Say when a piece is carried there.",
            "Pots follow the air. A film follows the surface it lies on: damp clay is colder than the room.",
            "Too cold or too hot: no time is given, because none would be true.",
        ],
    ),
    (
        "What this is not",
        &[
            "Emergency is on every screen. Fill in your details from Shop before they are needed.",
            "In the evening after mixing the Bench asks for tubs, rags and peroxide.",
            "It repeats cautions; it does not replace the safety data sheet, local rules, training or a risk assessment.",
            "No computed figure here is a permission.",
            "It sends nothing anywhere. There is no account.",
        ],
    ),
];

/// Help.
#[component]
pub fn HelpScreen() -> Node {
    view! {
        <p class="crumb">
            <a href=Route::Shop.to_string()>"Shop"</a>
        </p>
        <h1>"Help"</h1>
        {CHAPTERS
            .into_iter()
            .map(|(title, lines)| {
                view! {
                    <section class="card">
                        <h2>{title}</h2>
                        <ul>{lines.iter().map(|line| view! { <li>{*line}</li> }).collect_view()}</ul>
                    </section>
                }
            })
            .collect_view()}
    }
}
