//! Sheets: the sums that a person works out about a piece, from what was
//! measured on it. Sizes, other ways to a volume, lay-ups, holding down a pour.
//!
//! A sheet is one function. It asks for its fields in the order of the paper,
//! and puts its results below them; what it asks may follow what was answered
//! (two shapes ask for two sets of sizes). The same function fills the screen,
//! the print and the tests. Entries live in the journal, in stored units.

mod amounts;
mod cast;
mod emergency;
mod factors;
mod fit;
mod hold;
mod laminate;
mod mould;
mod piece;
mod pour;
mod ways;

use super::event::{Body, Id};
use super::state::State;
use crate::engine::decimals;
use crate::engine::quantity::{
    Grams, GramsPerMillilitre, Millilitres, Millimetres, Minutes, Percent, SquareMetres,
};
use crate::engine::takeoff::{Quantity, Sum, SumLine, Worked};
use crate::trade::model::{Dimension, Family, Rules};
use std::fmt;

pub use cast::CAST;
pub use emergency::{DETAILS, EMERGENCY};
pub use factors::{FACTORS, factor, factor_field, is_waste};
pub use fit::against;
pub use mould::MOULD;

/// A sheet by its name in the journal.
pub struct Sheet {
    /// Its name in the journal and in addresses.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What it is good for, in one line.
    pub about: &'static str,
    work: fn(&mut Page<'_>) -> Option<()>,
}

/// All sheets, in the order in which a job needs them.
pub const SHEETS: [Sheet; 8] = [
    Sheet {
        id: "piece",
        title: "Size of the piece",
        about: "Area, volume and blanket from callipers and tape.",
        work: piece::work,
    },
    Sheet {
        id: "ways",
        title: "A volume found twice",
        about: "By weighing clay, water, a cast or a pattern; two ways compared.",
        work: ways::work,
    },
    Sheet {
        id: "fit",
        title: "Will they get on?",
        about: "Rubber on its surface, cast in its mould; the test patch.",
        work: fit::work,
    },
    Sheet {
        id: "amounts",
        title: "How much of it",
        about: "Clay, rubber, resin, plaster, bandage, bolts: any one of them.",
        work: amounts::work,
    },
    Sheet {
        id: "laminate",
        title: "Lay-up",
        about: "Gel coat, mat, edges and tissue by zone; tubs for each layer.",
        work: laminate::work,
    },
    Sheet {
        id: "hold",
        title: "Will it hold?",
        about: "Pressure, lift, hold-down and bolts before a pour.",
        work: hold::work,
    },
    Sheet {
        id: "pour",
        title: "Time to pour",
        about: "Tubs against work life, and whether they join.",
        work: pour::work,
    },
    Sheet {
        id: FACTORS,
        title: "Waste and other factors",
        about: "What is added for loss; every one can be changed.",
        work: factors::work,
    },
];

/// Cards: sheets that stand in no list of take-offs.
pub const CARDS: [Sheet; 3] = [
    Sheet {
        id: EMERGENCY,
        title: "Emergency card",
        about: "One tap away on every screen.",
        work: emergency::work,
    },
    Sheet {
        id: MOULD,
        title: "Mould card",
        about: "What the next pair of hands must know. It prints to go with the mould.",
        work: mould::work,
    },
    Sheet {
        id: CAST,
        title: "Cast",
        about: "Look, number, weigh. Judge it before you trim it.",
        work: cast::work,
    },
];

/// The sheet of a name.
pub fn find(id: &str) -> Option<&'static Sheet> {
    SHEETS.iter().chain(&CARDS).find(|sheet| sheet.id == id)
}

/// What a field takes.
#[derive(Clone, Debug, PartialEq)]
pub enum Ask {
    /// A number of a dimension, in its stored unit.
    Of(Dimension),
    /// A number with the unit that stands behind it.
    Plain(&'static str),
    /// One of these, by its word in the journal and on the screen.
    Choice(Vec<(String, String)>),
    /// A few words, which stand here; empty while there are none.
    Text(String),
}

/// Where a field's value comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// It has none yet.
    Open,
    /// A person entered it.
    Entered,
    /// The starting value of the table or the sheet.
    Start,
    /// Another sheet of the job.
    Sheet(&'static str),
}

/// A field of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// The sheet that its entry belongs to: its own, but for factors.
    pub sheet: &'static str,
    /// Its name in the journal.
    pub id: String,
    /// What is asked.
    pub text: String,
    /// What it takes.
    pub ask: Ask,
    /// Its value in the stored unit; of a choice, its place in the list.
    pub value: Option<f64>,
    /// Where the value comes from.
    pub origin: Origin,
    /// Least and greatest sensible value.
    pub range: (f64, f64),
}

/// A line of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A heading over what follows.
    Heading(String),
    /// What is asked.
    Field(Field),
    /// What came out, with its sum.
    Result {
        /// What it is.
        text: String,
        /// Its value.
        value: Quantity,
        /// How.
        sum: Vec<SumLine>,
    },
    /// A line in words.
    Note(String),
    /// Something to look at before going on.
    Warning(String),
    /// Something that speaks against going on at all.
    Stop(String),
}

/// A sheet being worked out.
pub struct Page<'a> {
    /// The rule table.
    pub rules: &'static Rules,
    /// What is true now.
    pub state: &'a State,
    /// The job, if any.
    pub job: Option<Id>,
    sheet: &'static str,
    items: Vec<Item>,
}

/// Works a sheet out: its fields and its results, in order.
pub fn work(rules: &'static Rules, state: &State, job: Option<Id>, sheet: &Sheet) -> Vec<Item> {
    let mut page = Page { rules, state, job, sheet: sheet.id, items: Vec::new() };
    let _ = (sheet.work)(&mut page);
    page.items
}

/// An entry of a sheet, as the journal has it.
pub fn entry<'a>(state: &'a State, job: Option<Id>, sheet: &str, field: &str) -> Option<&'a str> {
    Some(state.sheets.get(&(job, sheet.to_owned()))?.get(field)?.as_str())
}

/// A number of a sheet, as the journal has it.
pub fn number(state: &State, job: Option<Id>, sheet: &str, field: &str) -> Option<f64> {
    decimals::read(entry(state, job, sheet, field)?)
}

/// Why an entry is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// It lies outside what is sensible; the field's own range says what is.
    OutOfRange,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange => {
                f.write_str("That can't be right here. Look at the number and its unit.")
            }
        }
    }
}

/// The journal's line for a number entered into a field.
///
/// # Errors
/// [`Refused`] when the number is outside the field's range.
pub fn enter(job: Option<Id>, field: &Field, value: f64) -> Result<Body, Refused> {
    let (least, most) = field.range;
    if !(least..=most).contains(&value) {
        return Err(Refused::OutOfRange);
    }
    Ok(fill(job, field, Some(value.to_string())))
}

/// The journal's line for a word chosen in a field, or for clearing it.
pub fn fill(job: Option<Id>, field: &Field, entry: Option<String>) -> Body {
    Body::SheetFilled { job, sheet: field.sheet.to_owned(), field: field.id.clone(), entry }
}

/// The range of a size on the bench, in mm.
const SIZES: (f64, f64) = (0.01, 100_000.0);

impl<'a> Page<'a> {
    /// A field of a number. `start` stands there until another is entered.
    fn ask(
        &mut self,
        id: &str,
        text: &str,
        ask: Ask,
        start: Option<f64>,
        range: (f64, f64),
    ) -> Option<f64> {
        let entered = number(self.state, self.job, self.sheet, id);
        let origin = match (entered, start) {
            (Some(_), _) => Origin::Entered,
            (None, Some(_)) => Origin::Start,
            (None, None) => Origin::Open,
        };
        self.put(id, text, ask, (entered.or(start), origin), range)
    }

    fn put(
        &mut self,
        id: &str,
        text: &str,
        ask: Ask,
        (value, origin): (Option<f64>, Origin),
        range: (f64, f64),
    ) -> Option<f64> {
        let field = Field {
            sheet: self.sheet,
            id: id.to_owned(),
            text: text.to_owned(),
            ask,
            value,
            origin,
            range,
        };
        self.items.push(Item::Field(field));
        value
    }

    /// A field that another sheet of the job can answer, until a person does.
    fn ask_or(
        &mut self,
        id: &str,
        text: &str,
        of: Dimension,
        from: &[(&'static str, &str)],
    ) -> Option<f64> {
        let own = number(self.state, self.job, self.sheet, id);
        let other = |(sheet, field): &(&'static str, &str)| {
            Some((number(self.state, self.job, sheet, field)?, *sheet))
        };
        let found = match (own, from.iter().find_map(other)) {
            (Some(own), _) => (Some(own), Origin::Entered),
            (None, Some((value, sheet))) => (Some(value), Origin::Sheet(sheet)),
            (None, None) => (None, Origin::Open),
        };
        let range = if of == Dimension::Length { SIZES } else { (1e-9, 1e9) };
        self.put(id, text, Ask::Of(of), found, range)
    }

    /// A size that can't be nothing.
    fn length(&mut self, id: &str, text: &str) -> Option<Millimetres> {
        self.ask(id, text, Ask::Of(Dimension::Length), None, SIZES).map(Millimetres)
    }

    /// A size that may be nothing; it starts there.
    fn length_or(&mut self, id: &str, text: &str, start: f64) -> Millimetres {
        let range = (0.0, SIZES.1);
        Millimetres(
            self.ask(id, text, Ask::Of(Dimension::Length), Some(start), range).unwrap_or(start),
        )
    }

    /// A mass of up to ten tonnes.
    fn mass(&mut self, id: &str, text: &str) -> Option<Grams> {
        self.ask(id, text, Ask::Of(Dimension::Mass), None, (1e-3, 1e7)).map(Grams)
    }

    /// A mass that starts at a value, and may be nothing.
    fn mass_or(&mut self, id: &str, text: &str, start: f64) -> Grams {
        let found = self.ask(id, text, Ask::Of(Dimension::Mass), Some(start), (0.0, 1e7));
        Grams(found.unwrap_or(start))
    }

    /// An area.
    fn area(&mut self, id: &str, text: &str) -> Option<SquareMetres> {
        self.ask(id, text, Ask::Of(Dimension::Area), None, (1e-6, 1e4)).map(SquareMetres)
    }

    /// An area that starts at nothing.
    fn area_or_none(&mut self, id: &str, text: &str) -> SquareMetres {
        let found = self.ask(id, text, Ask::Of(Dimension::Area), Some(0.0), (0.0, 1e4));
        SquareMetres(found.unwrap_or(0.0))
    }

    /// A density, with a start.
    fn density(&mut self, id: &str, text: &str, start: Option<f64>) -> Option<GramsPerMillilitre> {
        self.ask(id, text, Ask::Of(Dimension::Density), start, (0.05, 25.0)).map(GramsPerMillilitre)
    }

    /// Minutes, with a start.
    fn minutes(&mut self, id: &str, text: &str, start: Option<f64>) -> Option<Minutes> {
        self.ask(id, text, Ask::Of(Dimension::Time), start, (0.0, 10_000.0)).map(Minutes)
    }

    /// A number without a dimension, with what stands behind it.
    fn plain(
        &mut self,
        id: &str,
        text: &str,
        unit: &'static str,
        start: f64,
        range: (f64, f64),
    ) -> f64 {
        self.ask(id, text, Ask::Plain(unit), Some(start), range).unwrap_or(start)
    }

    /// A whole number.
    fn count(&mut self, id: &str, text: &str, start: u32, (least, most): (u32, u32)) -> u32 {
        let range = (f64::from(least), f64::from(most));
        let found = self.ask(id, text, Ask::Of(Dimension::Count), Some(f64::from(start)), range);
        found.map_or(start, |value| value.round() as u32).clamp(least, most)
    }

    /// One of a list; the first until another is chosen.
    fn choice(&mut self, id: &str, text: &str, options: &[(&str, &str)]) -> usize {
        let owned = options.iter().map(|(id, text)| ((*id).to_owned(), (*text).to_owned()));
        self.choose(id, text, owned.collect())
    }

    fn choose(&mut self, id: &str, text: &str, options: Vec<(String, String)>) -> usize {
        let chosen = entry(self.state, self.job, self.sheet, id)
            .and_then(|word| options.iter().position(|(id, _)| id == word));
        let origin = if chosen.is_some() { Origin::Entered } else { Origin::Start };
        let at = chosen.unwrap_or(0);
        self.put(id, text, Ask::Choice(options), (Some(at as f64), origin), (0.0, 0.0));
        at
    }

    /// One of the families that do for something, after "not said".
    fn family(&mut self, id: &str, text: &str, does: &dyn Fn(&Family) -> bool) {
        let mut options = vec![("none".to_owned(), "Not said".to_owned())];
        for family in self.rules.families.iter().filter(|family| does(family)) {
            options.push((family.id.clone(), family.title.clone()));
        }
        self.choose(id, text, options);
    }

    /// A few words.
    fn text(&mut self, id: &str, text: &str) -> Option<String> {
        let words = entry(self.state, self.job, self.sheet, id).map(str::to_owned);
        let origin = if words.is_some() { Origin::Entered } else { Origin::Open };
        let ask = Ask::Text(words.clone().unwrap_or_default());
        self.put(id, text, ask, (words.as_ref().map(|_| 0.0), origin), (0.0, 0.0));
        words
    }

    fn heading(&mut self, text: impl Into<String>) {
        self.items.push(Item::Heading(text.into()));
    }

    fn note(&mut self, text: impl Into<String>) {
        self.items.push(Item::Note(text.into()));
    }

    fn warn(&mut self, text: impl Into<String>) {
        self.items.push(Item::Warning(text.into()));
    }

    fn stop(&mut self, text: impl Into<String>) {
        self.items.push(Item::Stop(text.into()));
    }

    fn result(&mut self, text: impl Into<String>, value: Quantity, sum: &Sum) {
        let sum = sum.lines.clone();
        self.items.push(Item::Result { text: text.into(), value, sum });
    }

    /// What was worked out, or its error as a line of the sheet.
    fn worked<T, E: fmt::Display>(&mut self, found: Result<Worked<T>, E>) -> Option<(T, Sum)> {
        match found {
            Ok(Worked { result, sum }) => Some((result, sum)),
            Err(error) => {
                self.warn(error.to_string());
                None
            }
        }
    }

    /// A figure of the table of constants, in this shop's own value if it has one.
    fn constant(&self, id: &str) -> f64 {
        let own = factor(self.state, self.job, id);
        own.or_else(|| Some(self.rules.constant(id)?.figure.likely)).unwrap_or_default()
    }

    /// Grams a minute of a family: the slow end of what the log shows of this
    /// shop's hands, else the table's or the shop's own constant.
    fn use_rate(&self, family: &str, constant: &str) -> f64 {
        let learned = self.rules.family(family).and_then(|family| {
            let rate = super::batch::rate(self.rules, self.state, family)?;
            rate.own.map(|_| rate.span.low.value())
        });
        learned.unwrap_or_else(|| self.constant(constant) * 1000.0)
    }

    /// Its waste as per cent, whether written as "15 %" or as the factor 1.15.
    fn waste(&self, id: &str) -> Percent {
        use crate::trade::model::Unit;
        let value = self.constant(id);
        let unit = self.rules.constant(id).map(|constant| constant.figure.unit);
        Percent(if unit == Some(Unit::Factor) { (value - 1.0) * 100.0 } else { value })
    }

    /// Volume of a sheet's entry, e.g. of a scan.
    fn volume_of(&self, sheet: &str, field: &str) -> Option<Millilitres> {
        number(self.state, self.job, sheet, field).map(Millilitres)
    }
}
