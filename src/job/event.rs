//! The journal's events and their stored form.
//!
//! Events are never rewritten. The stored form is JSON with a schema version
//! of its own ([`SCHEMA`]), so that records written by any earlier version can
//! be read for ever. Undo does not delete: it appends [`Body::Undone`].

use crate::engine::json::{Expected, Json, write_text};
use crate::engine::quantity::{Celsius, Grams, Instant, Minutes, Percent};
use crate::engine::stored::{Misread, Stored, put, take};
use crate::engine::table::Table;
use std::fmt;
use std::mem::ManuallyDrop;
use uuid::Uuid;

use super::card::{Stock, TinCard};
use super::learning::Learning;
use super::outlook::Stated;
use super::settings::Settings;

/// Version of the stored form written by this build.
pub const SCHEMA: u32 = 1;

/// Identity of an event, and of the thing that the event brought into being: a
/// job, a cure, a batch or a tin has the id of its first event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(Uuid);

impl Id {
    /// A new id: sorts by time of creation (RFC 9562 version 7), unique by 74
    /// random bits of the given ten bytes.
    pub fn new(at: Instant, random: [u8; 10]) -> Self {
        let millis = u64::try_from(at.millis()).unwrap_or(0);
        Self(uuid::Builder::from_unix_timestamp_millis(millis, &random).into_uuid())
    }

    /// Reads an id as written by `Display`, e.g. from an address.
    pub fn parse(text: &str) -> Option<Self> {
        Uuid::try_parse(text).ok().map(Self)
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}

impl Stored for Id {
    fn write(&self, out: &mut String) {
        write_text(&self.to_string(), out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        Self::parse(json.text()?).ok_or(Expected("an id").into())
    }
}

/// Where a job, a cure or a reading is. Readings only move cures of their place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The workshop's bench.
    #[default]
    Bench,
    /// A warm cabinet.
    Cabinet,
    /// Out of doors: only readings are taken there.
    Outside,
    /// The invented bench of the demo, kept apart from the real one.
    Demo,
}

crate::stored_words!(Place {
    Bench = "bench",
    Cabinet = "cabinet",
    Outside = "outside",
    Demo = "demo",
});

/// A material: a tin of the shop, or a built-in family.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Material {
    /// A built-in family by its code.
    Family(String),
    /// The user's own tin.
    Tin(Id),
}

impl Stored for Material {
    fn write(&self, out: &mut String) {
        out.push('{');
        match self {
            Self::Family(code) => put("family", &|out| code.write(out), out),
            Self::Tin(tin) => put("tin", &|out| tin.write(out), out),
        }
        out.push('}');
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        match take(json, "tin")? {
            Some(tin) => Ok(Self::Tin(tin)),
            None => take(json, "family").map(Self::Family),
        }
    }
}

/// One part of a batch as weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name of the part, e.g. "base".
    pub name: String,
    /// Mass aimed at.
    pub target: Grams,
    /// Mass weighed, if it was entered.
    pub actual: Option<Grams>,
}

crate::stored_record!(Part { name, target, actual });

/// What a person found on testing a cure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finding {
    /// It has gelled.
    Gelled,
    /// The window's test passed.
    Ready,
    /// Not yet: ask again after this time.
    NotYet {
        /// Minutes until the next look.
        again: Minutes,
    },
    /// The window is gone.
    Gone,
    /// The act of the window was done.
    Done,
}

impl Stored for Finding {
    fn write(&self, out: &mut String) {
        let word = match self {
            Self::Gelled => "gelled",
            Self::Ready => "ready",
            Self::Gone => "gone",
            Self::Done => "done",
            Self::NotYet { again } => {
                out.push('{');
                put(
                    "not-yet",
                    &|out| {
                        out.push('{');
                        put("again", &|out| again.write(out), out);
                        out.push('}');
                    },
                    out,
                );
                out.push('}');
                return;
            }
        };
        write_text(word, out);
    }
    fn read(json: &Json<'_>) -> Result<Self, Misread> {
        let Json::Text(word) = json else {
            return Ok(Self::NotYet { again: take(json.get("not-yet"), "again")? });
        };
        match word.as_str() {
            "gelled" => Ok(Self::Gelled),
            "ready" => Ok(Self::Ready),
            "gone" => Ok(Self::Gone),
            "done" => Ok(Self::Done),
            _ => Err(Expected("a known finding").into()),
        }
    }
}

/// What a note or photograph is about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct About {
    /// The job.
    pub job: Option<Id>,
    /// The stage of the job.
    pub stage: Option<String>,
    /// The mould.
    pub mould: Option<Id>,
    /// The cast.
    pub cast: Option<Id>,
}

crate::stored_record!(About { job, stage, mould, cast });
impl About {
    /// Whether what is about `other` is about this as well: a job's photographs are
    /// those of its stages too.
    pub fn covers(&self, other: &Self) -> bool {
        fn agree<T: PartialEq>(wanted: &Option<T>, found: &Option<T>) -> bool {
            wanted.is_none() || wanted == found
        }
        agree(&self.job, &other.job)
            && agree(&self.stage, &other.stage)
            && agree(&self.mould, &other.mould)
            && agree(&self.cast, &other.cast)
    }
}

/// Why a cure's clock was put away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// It served its purpose.
    Finished,
    /// The material was thrown away.
    ThrownAway,
}

crate::stored_words!(Ending { Finished = "finished", ThrownAway = "thrown-away" });

/// Declares the journal's lines together with their stored form.
///
/// Written by hand and not derived: the derived reader of so many shapes is the
/// largest piece of code in the shipped app, and this one a tenth of it.
macro_rules! bodies {
    ($($(#[$doc:meta])* $variant:ident = $tag:literal {
        $($(#[$field_doc:meta])* $field:ident: $type:ty,)*
    })*) => {
        /// What happened. Each variant is one line of the journal.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Body {
            $($(#[$doc])* $variant { $($(#[$field_doc])* $field: $type,)* },)*
        }

        /// The kinds of lines with their fields and types, for what holds the
        /// published schema against them.
        #[cfg(test)]
        pub(super) const KINDS: &[(&str, &[(&str, &str)])] =
            &[$(($tag, &[$((stringify!($field), stringify!($type)),)*]),)*];

        impl Body {
            /// Writes the name and the fields of the stored form.
            fn write(&self, out: &mut String) {
                match self {
                    $(Self::$variant { $($field,)* } => {
                        begin($tag, out);
                        $(put(stringify!($field), &|out| $field.write(out), out);)*
                    })*
                }
                out.push('}');
            }

            /// Reads the fields of the stored form. What was read before a field
            /// that can't be is left lying: a damaged record is rare, and the
            /// code to clear up after every field of every line is not small.
            fn read(tag: &str, fields: &Json<'_>) -> Result<Self, Misread> {
                match tag {
                    $($tag => {
                        $(let $field = ManuallyDrop::new(take(fields, stringify!($field))?);)*
                        Ok(Self::$variant { $($field: ManuallyDrop::into_inner($field),)* })
                    })*
                    _ => Err(Misread { field: "what", expected: Expected("a known kind") }),
                }
            }
        }
    };
}

fn begin(tag: &str, out: &mut String) {
    put("what", &|out| write_text(tag, out), out);
    out.push_str(",\"with\":{");
}

bodies! {
    /// A job was opened. Its id is the event's.
    JobOpened = "job-opened" {
        /// Name of the job.
        name: String,
        /// Code of its method.
        method: String,
        /// Chosen option of each switch.
        switches: Table<String, String>,
        /// Chosen material of each role.
        materials: Table<String, Material>,
        /// Where it is done.
        place: Place,
        /// Whether it belongs to the invented demo.
        invented: bool,
    }
    /// Name, switches or materials of a job were changed.
    JobChanged = "job-changed" {
        /// The job.
        job: Id,
        /// New name, if changed.
        name: Option<String>,
        /// Options that were changed.
        switches: Table<String, String>,
        /// Materials that were changed.
        materials: Table<String, Material>,
    }
    /// A job was put out of sight with its cures.
    JobDiscarded = "job-discarded" {
        /// The job.
        job: Id,
    }
    /// A check was ticked, with the values that it asked for.
    CheckTicked = "check-ticked" {
        /// The job.
        job: Id,
        /// Stage of the method.
        stage: String,
        /// Check of the stage.
        check: String,
        /// Measures in their stored unit.
        values: Table<String, f64>,
    }
    /// A check was waived with a reason.
    CheckWaived = "check-waived" {
        /// The job.
        job: Id,
        /// Stage of the method.
        stage: String,
        /// Check of the stage.
        check: String,
        /// Why.
        reason: String,
    }
    /// A measure of a job was entered outside a check.
    MeasureEntered = "measure-entered" {
        /// The job.
        job: Id,
        /// Measure of the method.
        measure: String,
        /// Value in the measure's stored unit.
        value: f64,
    }
    /// A field of a sheet was filled in: a take-off, a laminate, a factor of the
    /// shop's own. What each sheet asks is in `job::sheet`.
    SheetFilled = "sheet-filled" {
        /// The job, mould or cast that it belongs to; none for the shop's own sheets.
        job: Option<Id>,
        /// The sheet.
        sheet: String,
        /// Its field.
        field: String,
        /// A number in the field's stored unit, or the chosen word; none clears it.
        entry: Option<String>,
    }
    /// A stage was allowed to start although it waits for something.
    StageOverridden = "stage-overridden" {
        /// The job.
        job: Id,
        /// Stage of the method.
        stage: String,
        /// Why.
        reason: String,
    }
    /// A stage was finished.
    StageFinished = "stage-finished" {
        /// The job.
        job: Id,
        /// Stage of the method.
        stage: String,
    }
    /// A batch was mixed. Its id is the event's.
    BatchMixed = "batch-mixed" {
        /// The job, if any.
        job: Option<Id>,
        /// The stage, if any.
        stage: Option<String>,
        /// What it is for.
        title: String,
        /// What it is made of.
        material: Material,
        /// Its parts.
        parts: Vec<Part>,
        /// Catalyst level, for families cured by peroxide.
        catalyst: Option<Percent>,
    }
    /// A batch was used up: what was left of it, and when its tub was empty.
    BatchUsedUp = "batch-used-up" {
        /// The batch.
        batch: Id,
        /// The instant of the last brush or drop.
        used: Instant,
        /// What was thrown away.
        left: Option<Grams>,
    }
    /// A clock was started. Its id is the event's.
    CureStarted = "cure-started" {
        /// The job, if any.
        job: Option<Id>,
        /// The stage, if any.
        stage: Option<String>,
        /// The method's cure slot, if any.
        slot: Option<String>,
        /// Two or three words for the Bench.
        title: String,
        /// What cures.
        material: Material,
        /// Which clock of the family.
        profile: String,
        /// Catalyst level, for families cured by peroxide.
        catalyst: Option<Percent>,
        /// Mass in the pot.
        mass: Option<Grams>,
        /// The batch that it came from.
        batch: Option<Id>,
        /// The instant of the act that started it.
        started: Instant,
        /// Where it is.
        place: Place,
        /// Reason given for starting against a stop.
        reason: Option<String>,
    }
    /// Somebody tested a cure.
    Observed = "observed" {
        /// The cure.
        cure: Id,
        /// The window whose test it was.
        window: String,
        /// What was found.
        finding: Finding,
        /// The real instant.
        seen: Instant,
    }
    /// A piece was carried to another place.
    CureMoved = "cure-moved" {
        /// The cure.
        cure: Id,
        /// Where it went.
        place: Place,
        /// When.
        moved: Instant,
    }
    /// A person decided whether a finding teaches anything about its tin.
    FindingJudged = "finding-judged" {
        /// The finding: the event that noted it.
        finding: Id,
        /// Whether it counts.
        counts: bool,
    }
    /// A cure's clock was put away.
    CureEnded = "cure-ended" {
        /// The cure.
        cure: Id,
        /// Why.
        how: Ending,
    }
    /// A reading was taken.
    ReadingTaken = "reading-taken" {
        /// Where.
        place: Place,
        /// The job whose surface was read; none for the whole place.
        job: Option<Id>,
        /// Air temperature.
        air: Option<Celsius>,
        /// Relative humidity.
        humidity: Option<Percent>,
        /// Surface temperature.
        surface: Option<Celsius>,
        /// Temperature of the mixing water.
        water: Option<Celsius>,
        /// When it was read.
        taken: Instant,
    }
    /// What a place will see after its last reading. Nothing stated: it holds.
    OutlookStated = "outlook-stated" {
        /// The place.
        place: Place,
        /// Temperatures to come, in order.
        ahead: Vec<Stated>,
    }
    /// What was learned of a tin takes effect.
    LearningAccepted = "learning-accepted" {
        /// The tin.
        tin: Id,
        /// What was learned.
        learning: Learning,
    }
    /// A tin goes by its card again; what was seen of it before teaches nothing any more.
    LearningReset = "learning-reset" {
        /// The tin.
        tin: Id,
    }
    /// A tin came onto the Shelf. Its id is the event's.
    TinAdded = "tin-added" {
        /// Its card.
        tin: TinCard,
    }
    /// What a tin holds, what is left in it, what it cost.
    TinStocked = "tin-stocked" {
        /// The tin.
        tin: Id,
        /// All that is known of its stock.
        stock: Stock,
    }
    /// A tin left the Shelf; cures that use it keep its card.
    TinRetired = "tin-retired" {
        /// The tin.
        tin: Id,
    }
    /// A mould is there, and can be cast from. Its id is the event's; its card is
    /// the sheet "mould" of that id.
    MouldMade = "mould-made" {
        /// The job that made it, if it is on record.
        job: Option<Id>,
        /// What the shop calls it.
        name: String,
    }
    /// A mould was looked after: worn parts mended, washed, greased.
    MouldServiced = "mould-serviced" {
        /// The mould.
        mould: Id,
        /// What was done.
        note: String,
    }
    /// A mould is used no more.
    MouldRetired = "mould-retired" {
        /// The mould.
        mould: Id,
        /// Why.
        reason: String,
    }
    /// A cast came out of a mould. Its id is the event's; what is known of it is
    /// the sheet "cast" of that id.
    CastMade = "cast-made" {
        /// The mould.
        mould: Id,
        /// The casting job, if any.
        job: Option<Id>,
        /// Its number in that mould.
        number: u32,
    }
    /// A photograph was taken. Its id is the event's; the picture is kept beside
    /// the journal under that id.
    PhotoTaken = "photo-taken" {
        /// What it shows.
        about: About,
        /// A few words under it.
        caption: String,
        /// When in the work it was taken: "before", "after", "stage", "fault".
        moment: String,
        /// The earlier photograph that it repeats.
        pair: Option<Id>,
        /// Width and height of the picture.
        size: [u32; 2],
    }
    /// Something was drawn on a photograph, or its caption changed.
    PhotoMarked = "photo-marked" {
        /// The photograph.
        photo: Id,
        /// Strokes in the picture's own units: "x y x y;>x y x y;x y", of which the
        /// second is an arrow and the third, a single point, a cross.
        strokes: String,
        /// A few words under it.
        caption: String,
    }
    /// A photograph was put out of sight.
    PhotoRemoved = "photo-removed" {
        /// The photograph.
        photo: Id,
    }
    /// A short note. Its id is the event's.
    NoteWritten = "note-written" {
        /// What it is about.
        about: About,
        /// The note.
        text: String,
        /// Whether it waits to be written up.
        open: bool,
    }
    /// A note was written up, and waits no more.
    NoteSettled = "note-settled" {
        /// The note.
        note: Id,
    }
    /// A method of the shop's own. Its id is the event's.
    MethodKept = "method-kept" {
        /// The method in the documented form, as JSON text.
        method: String,
        /// The own method that this one replaces.
        replaces: Option<Id>,
    }
    /// An own method is offered no more; jobs that use it keep it.
    MethodDropped = "method-dropped" {
        /// The method's first event.
        method: Id,
    }
    /// Settings were changed.
    SettingsChanged = "settings-changed" {
        /// All settings.
        settings: Settings,
    }
    /// A ringing alarm was answered.
    AlarmAnswered = "alarm-answered" {
        /// The cure.
        cure: Id,
        /// Key of the alarm.
        alarm: String,
    }
    /// An earlier event was undone; undoing this one brings it back.
    Undone = "undone" {
        /// The event.
        event: Id,
    }
}

/// One line of the journal.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Unique, sortable id.
    pub id: Id,
    /// Logical clock: greater than that of every event known when it was written.
    pub seq: u64,
    /// Wall clock at which it was written.
    pub at: Instant,
    /// What happened.
    pub body: Body,
}

/// Why a stored record could not be read. The record itself is kept untouched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// Written by a newer version of the app.
    Newer {
        /// Schema version found.
        version: u32,
    },
    /// Damaged, or not a record of this app.
    Damaged {
        /// What the reader stumbled on.
        reason: Misread,
    },
}

impl From<Misread> for Unreadable {
    fn from(reason: Misread) -> Self {
        Self::Damaged { reason }
    }
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Newer { version } => write!(
                f,
                "A record was written by a newer version of the app (form {version}). \
                 Update the app to see it; it is kept as it is."
            ),
            Self::Damaged { reason } => write!(
                f,
                "A record could not be read ({reason}). It is kept as it is, and goes into every \
                 backup; everything else is unharmed."
            ),
        }
    }
}

impl Event {
    /// The stored form: `{"v":1,"id":…,"seq":…,"at":…,"what":"check-ticked","with":{…}}`.
    pub fn to_json(&self) -> String {
        let mut text = String::from("{");
        put("v", &|out| SCHEMA.write(out), &mut text);
        put("id", &|out| self.id.write(out), &mut text);
        put("seq", &|out| self.seq.write(out), &mut text);
        put("at", &|out| self.at.write(out), &mut text);
        self.body.write(&mut text);
        text.push('}');
        text
    }

    /// Reads the stored form.
    ///
    /// # Errors
    /// [`Unreadable`] when the record is damaged or of a newer schema.
    pub fn read(record: &Json<'_>) -> Result<Self, Unreadable> {
        let version: u32 = take(record, "v")?;
        if version > SCHEMA {
            return Err(Unreadable::Newer { version });
        }
        let what: String = take(record, "what")?;
        let with = record.get("with");
        with.fields().map_err(Misread::from)?;
        Ok(Self {
            id: take(record, "id")?,
            seq: take(record, "seq")?,
            at: take(record, "at")?,
            body: Body::read(&what, with)?,
        })
    }

    /// Reads the stored form from JSON text.
    ///
    /// # Errors
    /// [`Unreadable`] when the text is damaged or of a newer schema.
    pub fn from_json(text: &str) -> Result<Self, Unreadable> {
        Self::read(&Json::read(text).map_err(Misread::from)?)
    }

    /// Order of the fold, the same on every phone: logical clock, then id.
    pub fn order(&self) -> (u64, Id) {
        (self.seq, self.id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event(body: Body) -> Event {
        Event { id: Id::new(Instant(1_700_000_000_000), [7; 10]), seq: 3, at: Instant(5), body }
    }

    #[test]
    fn an_event_survives_its_stored_form() {
        let before = event(Body::Observed {
            cure: Id::new(Instant(1), [1; 10]),
            window: "overcoat".into(),
            finding: Finding::NotYet { again: Minutes(5.0) },
            seen: Instant(99),
        });
        assert_eq!(Event::from_json(&before.to_json()), Ok(before));
    }

    #[test]
    fn damaged_text_says_so_and_newer_forms_are_recognised() {
        assert!(matches!(Event::from_json("{"), Err(Unreadable::Damaged { .. })));
        assert!(matches!(Event::from_json(r#"{"v":1}"#), Err(Unreadable::Damaged { .. })));
        assert_eq!(Event::from_json(r#"{"v":99}"#), Err(Unreadable::Newer { version: 99 }));
    }

    #[test]
    fn ids_sort_by_the_time_of_creation() {
        assert!(Id::new(Instant(1000), [255; 10]) < Id::new(Instant(1001), [0; 10]));
        let id = Id::new(Instant(1000), [3; 10]);
        assert_eq!(Id::parse(&id.to_string()), Some(id));
        assert_eq!(Id::parse("nonsense"), None);
    }
}
