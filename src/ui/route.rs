//! Addresses inside the app.
//!
//! They live behind the `#` of the page's address, so that a deep link works on
//! any static host, below any path, and with the network off.

use crate::job::event::Id;
use std::fmt;

/// A screen with what it shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Route {
    /// What is live now.
    #[default]
    Bench,
    /// One running cure.
    Cure(Id),
    /// Pick a material and start its clock.
    StartClock,
    /// The list of jobs.
    Jobs,
    /// Open a new job.
    NewJob,
    /// One job: its ladder of stages.
    Job(Id),
    /// One stage of a job.
    Stage(Id, String),
    /// The batch card, on its own or for a stage's material by its number.
    Mix(Option<(Id, String, usize)>),
    /// The sheets of a job, or of the shop.
    Sheets(Option<Id>),
    /// One sheet of a job, or of the shop.
    Sheet(Option<Id>, String),
    /// What to buy for all open jobs, or for one of them.
    Buying(Option<Id>),
    /// A scan for a job, or for the shop.
    Scan(Option<Id>),
    /// Work on a living person, and nothing else.
    Person(Id),
    /// The report of a job, to print.
    Report(Id),
    /// Read the code on a card.
    ReadCard,
    /// The moulds of the shop.
    Moulds,
    /// One mould.
    Mould(Id),
    /// Its card or its casting log, for paper.
    MouldPaper(Id),
    /// One cast.
    Cast(Id),
    /// The methods, built in and own.
    Methods,
    /// One method: its code, or the first event of an own one.
    Method(String),
    /// One stage of an own method.
    MethodStage(Id, String),
    /// Answers from the record.
    Find,
    /// One photograph.
    Photo(Id),
    /// What waits to be written up.
    Notes,
    /// Families and tins.
    Shelf,
    /// One family's card.
    Family(String),
    /// One tin of the shop.
    Tin(Id),
    /// A new tin of a family.
    NewTin(String),
    /// Readings and settings.
    Shop,
    /// Help.
    Help,
}

impl Route {
    /// Reads the part of an address behind `#`; anything unknown leads to the Bench.
    pub fn parse(hash: &str) -> Self {
        let path = hash.trim_start_matches('#').trim_matches('/');
        let parts: Vec<&str> = path.split('/').collect();
        let id = |text: &str| Id::parse(text);
        match parts.as_slice() {
            ["cure", cure] => id(cure).map(Self::Cure),
            ["start"] => Some(Self::StartClock),
            ["jobs"] => Some(Self::Jobs),
            ["jobs", "new"] => Some(Self::NewJob),
            ["jobs", job] => id(job).map(Self::Job),
            ["jobs", job, stage] => id(job).map(|job| Self::Stage(job, (*stage).to_owned())),
            ["mix"] => Some(Self::Mix(None)),
            ["mix", job, stage, number] => match (id(job), number.parse()) {
                (Some(job), Ok(number)) => {
                    Some(Self::Mix(Some((job, (*stage).to_owned(), number))))
                }
                _ => None,
            },
            ["sheets", of] => job_or_shop(of).map(Self::Sheets),
            ["sheets", of, sheet] => job_or_shop(of).map(|of| Self::Sheet(of, (*sheet).to_owned())),
            ["buying"] => Some(Self::Buying(None)),
            ["buying", job] => id(job).map(|job| Self::Buying(Some(job))),
            ["scan", of] => job_or_shop(of).map(Self::Scan),
            ["person", job] => id(job).map(Self::Person),
            ["report", job] => id(job).map(Self::Report),
            ["read"] => Some(Self::ReadCard),
            ["moulds"] => Some(Self::Moulds),
            ["mould", mould] => id(mould).map(Self::Mould),
            ["mould", mould, "paper"] => id(mould).map(Self::MouldPaper),
            ["cast", cast] => id(cast).map(Self::Cast),
            ["methods"] => Some(Self::Methods),
            ["method", code] => Some(Self::Method((*code).to_owned())),
            ["method", own, stage] => {
                id(own).map(|own| Self::MethodStage(own, (*stage).to_owned()))
            }
            ["find"] => Some(Self::Find),
            ["photo", photo] => id(photo).map(Self::Photo),
            ["notes"] => Some(Self::Notes),
            ["shelf"] => Some(Self::Shelf),
            ["shelf", "tin", tin] => id(tin).map(Self::Tin),
            ["shelf", family] => Some(Self::Family((*family).to_owned())),
            ["shelf", family, "tin"] => Some(Self::NewTin((*family).to_owned())),
            ["shop"] => Some(Self::Shop),
            ["help"] => Some(Self::Help),
            _ => None,
        }
        .unwrap_or_default()
    }

    /// Which of the five main screens this belongs to.
    pub fn screen(&self) -> Screen {
        match self {
            Self::Bench | Self::Cure(_) | Self::StartClock => Screen::Bench,
            Self::Jobs
            | Self::NewJob
            | Self::Job(_)
            | Self::Stage(..)
            | Self::Sheets(_)
            | Self::Sheet(..)
            | Self::Buying(_)
            | Self::Scan(_)
            | Self::Person(_)
            | Self::Report(_)
            | Self::ReadCard
            | Self::Moulds
            | Self::Mould(_)
            | Self::MouldPaper(_)
            | Self::Cast(_)
            | Self::Methods
            | Self::Method(_)
            | Self::MethodStage(..)
            | Self::Find
            | Self::Photo(_)
            | Self::Notes => Screen::Jobs,
            Self::Mix(_) => Screen::Mix,
            Self::Shelf | Self::Family(_) | Self::Tin(_) | Self::NewTin(_) => Screen::Shelf,
            Self::Shop | Self::Help => Screen::Shop,
        }
    }
}

impl fmt::Display for Route {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Bench => write!(f, "#/"),
            Self::Cure(cure) => write!(f, "#/cure/{cure}"),
            Self::StartClock => write!(f, "#/start"),
            Self::Jobs => write!(f, "#/jobs"),
            Self::NewJob => write!(f, "#/jobs/new"),
            Self::Job(job) => write!(f, "#/jobs/{job}"),
            Self::Stage(job, stage) => write!(f, "#/jobs/{job}/{stage}"),
            Self::Mix(None) => write!(f, "#/mix"),
            Self::Mix(Some((job, stage, number))) => write!(f, "#/mix/{job}/{stage}/{number}"),
            Self::Sheets(of) => write!(f, "#/sheets/{}", of_whom(of)),
            Self::Sheet(of, sheet) => write!(f, "#/sheets/{}/{sheet}", of_whom(of)),
            Self::Buying(None) => write!(f, "#/buying"),
            Self::Buying(Some(job)) => write!(f, "#/buying/{job}"),
            Self::Scan(of) => write!(f, "#/scan/{}", of_whom(of)),
            Self::Person(job) => write!(f, "#/person/{job}"),
            Self::Report(job) => write!(f, "#/report/{job}"),
            Self::ReadCard => write!(f, "#/read"),
            Self::Moulds => write!(f, "#/moulds"),
            Self::Mould(mould) => write!(f, "#/mould/{mould}"),
            Self::MouldPaper(mould) => write!(f, "#/mould/{mould}/paper"),
            Self::Cast(cast) => write!(f, "#/cast/{cast}"),
            Self::Methods => write!(f, "#/methods"),
            Self::Method(code) => write!(f, "#/method/{code}"),
            Self::MethodStage(own, stage) => write!(f, "#/method/{own}/{stage}"),
            Self::Find => write!(f, "#/find"),
            Self::Photo(photo) => write!(f, "#/photo/{photo}"),
            Self::Notes => write!(f, "#/notes"),
            Self::Shelf => write!(f, "#/shelf"),
            Self::Family(family) => write!(f, "#/shelf/{family}"),
            Self::Tin(tin) => write!(f, "#/shelf/tin/{tin}"),
            Self::NewTin(family) => write!(f, "#/shelf/{family}/tin"),
            Self::Shop => write!(f, "#/shop"),
            Self::Help => write!(f, "#/help"),
        }
    }
}

/// What stands in an address for work that belongs to no job.
const SHOP: &str = "shop";

/// A job's id, or none for the shop's own.
fn job_or_shop(text: &str) -> Option<Option<Id>> {
    if text == SHOP { Some(None) } else { Id::parse(text).map(Some) }
}

fn of_whom(job: &Option<Id>) -> String {
    job.map_or_else(|| SHOP.to_owned(), |job| job.to_string())
}

/// The five main screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    /// What is live now.
    Bench,
    /// Jobs and their stages.
    Jobs,
    /// Batch cards.
    Mix,
    /// Materials.
    Shelf,
    /// Readings, settings, backup.
    Shop,
}

impl Screen {
    /// All, in the order of the foot bar.
    pub const ALL: [Screen; 5] =
        [Screen::Bench, Screen::Jobs, Screen::Mix, Screen::Shelf, Screen::Shop];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bench => "Bench",
            Self::Jobs => "Jobs",
            Self::Mix => "Mix",
            Self::Shelf => "Shelf",
            Self::Shop => "Shop",
        }
    }

    /// Its name in addresses and attributes.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Bench => "bench",
            Self::Jobs => "jobs",
            Self::Mix => "mix",
            Self::Shelf => "shelf",
            Self::Shop => "shop",
        }
    }

    /// Its first address.
    pub fn route(self) -> Route {
        match self {
            Self::Bench => Route::Bench,
            Self::Jobs => Route::Jobs,
            Self::Mix => Route::Mix(None),
            Self::Shelf => Route::Shelf,
            Self::Shop => Route::Shop,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Instant;

    #[test]
    fn every_address_reads_back_as_its_route() {
        let id = Id::new(Instant(1_700_000_000_000), [9; 10]);
        for route in [
            Route::Bench,
            Route::Cure(id),
            Route::StartClock,
            Route::Jobs,
            Route::NewJob,
            Route::Job(id),
            Route::Stage(id, "M1.12".into()),
            Route::Mix(None),
            Route::Mix(Some((id, "M1.12".into(), 2))),
            Route::Sheets(None),
            Route::Sheets(Some(id)),
            Route::Scan(None),
            Route::Scan(Some(id)),
            Route::Sheet(None, "factors".into()),
            Route::Sheet(Some(id), "piece".into()),
            Route::Buying(None),
            Route::Buying(Some(id)),
            Route::Person(id),
            Route::Report(id),
            Route::ReadCard,
            Route::Moulds,
            Route::Mould(id),
            Route::MouldPaper(id),
            Route::Cast(id),
            Route::Methods,
            Route::Method("M1".into()),
            Route::MethodStage(id, "M1.12".into()),
            Route::Find,
            Route::Photo(id),
            Route::Notes,
            Route::Shelf,
            Route::Family("UP-GEL".into()),
            Route::NewTin("UP-GEL".into()),
            Route::Shop,
            Route::Help,
        ] {
            assert_eq!(Route::parse(&route.to_string()), route);
        }
    }

    #[test]
    fn a_broken_address_leads_to_the_bench() {
        for address in ["", "#", "#/nowhere", "#/cure/xyz", "#/mix/a/b/c", "#///"] {
            assert_eq!(Route::parse(address), Route::Bench);
        }
    }
}
