//! Photographs as one file: a ZIP archive, stored and not squeezed, since JPEG
//! does not get smaller. What an archive needs around its files is made and read
//! here; the pictures themselves never pass through this memory all at once.
//!
//! The form is that of APPNOTE.TXT 6.3.10 (the published description of ZIP
//! files): local headers (4.3.7), central directory (4.3.12), its end (4.3.16),
//! CRC-32 with the polynomial 0xEDB88320 (4.4.7). A file's name ends with the id
//! of its photograph, by which it finds back to its record.

use std::fmt;

use super::event::Id;
use super::record::moment;
use super::state::State;

/// How many bytes at a file's end are enough to find its directory: that of some
/// eight thousand photographs.
pub const TAIL: u32 = 1 << 20;

const LOCAL: u32 = 0x0403_4B50;
const CENTRAL: u32 = 0x0201_4B50;
const END: u32 = 0x0605_4B50;
const LOCAL_BYTES: usize = 30;
const CENTRAL_BYTES: usize = 46;
const END_BYTES: usize = 22;
/// Version needed 2.0, names in UTF-8, stored.
const KIND: [u16; 3] = [20, 1 << 11, 0];
/// Half past nothing on 1 January 1980: the real day is in the name.
const DAY: [u16; 2] = [0, 0x21];
const ENDING: &str = ".jpg";

/// Why a file is no album. Nothing was taken from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotAnAlbum {
    /// No ZIP, cut short, changed, or packed anew by another program.
    Damaged,
    /// More than the format holds.
    TooLarge,
}

impl fmt::Display for NotAnAlbum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Damaged => {
                "This file of photographs is damaged, or was packed anew by another program. \
                 Nothing was taken from it. Try another copy."
            }
            Self::TooLarge => "That is too much for one file. Save them job by job.",
        })
    }
}

/// CRC-32 of some bytes.
pub fn checksum(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            (sum >> 1) ^ (0xEDB8_8320 & (sum & 1).wrapping_neg())
        })
    })
}

/// Some words as a part of a file's name.
fn plain(text: &str) -> String {
    let allowed = |letter: char| letter.is_ascii_alphanumeric() || !letter.is_ascii();
    text.chars().map(|letter| if allowed(letter) { letter } else { '-' }).collect()
}

/// The name of a photograph's file: job, moment, day, id.
pub fn name(state: &State, id: Id, day: &str) -> String {
    let photo = state.record.photos.get(&id);
    let job = photo.and_then(|photo| state.jobs.get(&photo.about.job?));
    let job = job.map_or_else(|| "shop".into(), |job| plain(&job.name));
    let moment = plain(moment(photo.map_or("", |photo| &photo.moment)));
    format!("{job}-{moment}-{day}-{id}{ENDING}")
}

/// An album that is being written: what goes before each picture, and at the end.
#[derive(Default)]
pub struct Album {
    directory: Vec<u8>,
    count: u16,
    length: u32,
}

fn put16(bytes: &mut Vec<u8>, numbers: &[u16]) {
    numbers.iter().for_each(|number| bytes.extend(number.to_le_bytes()));
}

fn put32(bytes: &mut Vec<u8>, numbers: &[u32]) {
    numbers.iter().for_each(|number| bytes.extend(number.to_le_bytes()));
}

impl Album {
    /// What goes before a picture.
    ///
    /// # Errors
    /// [`NotAnAlbum::TooLarge`] for more than 4 GB or 65,535 pictures.
    pub fn before(&mut self, name: &str, picture: &[u8]) -> Result<Vec<u8>, NotAnAlbum> {
        let size = u32::try_from(picture.len()).map_err(|_| NotAnAlbum::TooLarge)?;
        let name_bytes = u16::try_from(name.len()).map_err(|_| NotAnAlbum::TooLarge)?;
        // What the local header and the directory say alike.
        let mut alike = Vec::new();
        put16(&mut alike, &KIND);
        put16(&mut alike, &DAY);
        put32(&mut alike, &[checksum(picture), size, size]);
        put16(&mut alike, &[name_bytes, 0]);

        let mut local = Vec::new();
        put32(&mut local, &[LOCAL]);
        local.extend(&alike);
        local.extend(name.bytes());

        put32(&mut self.directory, &[CENTRAL]);
        put16(&mut self.directory, &[KIND[0]]);
        self.directory.extend(&alike);
        put16(&mut self.directory, &[0, 0, 0]);
        put32(&mut self.directory, &[0, self.length]);
        self.directory.extend(name.bytes());

        let longer = u32::try_from(local.len() + picture.len()).ok();
        self.length =
            longer.and_then(|more| self.length.checked_add(more)).ok_or(NotAnAlbum::TooLarge)?;
        self.count = self.count.checked_add(1).ok_or(NotAnAlbum::TooLarge)?;
        Ok(local)
    }

    /// What goes behind the last picture.
    pub fn end(mut self) -> Vec<u8> {
        let size = u32::try_from(self.directory.len()).unwrap_or(u32::MAX);
        put32(&mut self.directory, &[END]);
        put16(&mut self.directory, &[0, 0, self.count, self.count]);
        put32(&mut self.directory, &[size, self.length]);
        put16(&mut self.directory, &[0]);
        self.directory
    }
}

/// Where in an album a photograph is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The photograph.
    pub id: Id,
    /// First byte.
    pub from: u32,
    /// Behind its last byte.
    pub to: u32,
    /// CRC-32 of its bytes.
    pub checksum: u32,
}

fn get16(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

fn get32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

/// Finds the photographs of an album from the last bytes of its file
/// ([`TAIL`] of them, or all); none when it is not what this app writes. Files of
/// other names are passed over.
pub fn read(tail: &[u8], length: u32) -> Option<Vec<Entry>> {
    // A comment may follow the end; this app writes none.
    let last = tail.len().checked_sub(END_BYTES)?;
    let end = (0..=last).rev().find(|at| get32(tail, *at) == Some(END))?;
    let count = get16(tail, end + 10)?;
    let start = get32(tail, end + 16)?;
    let cut = length.checked_sub(u32::try_from(tail.len()).ok()?)?;
    let mut at = usize::try_from(start.checked_sub(cut)?).ok()?;
    let mut found = Vec::new();
    for _ in 0..count {
        let size = get32(tail, at + 24)?;
        let packed = get16(tail, at + 10)? != 0 || get32(tail, at + 20)? != size;
        if get32(tail, at)? != CENTRAL || packed {
            return None;
        }
        let checksum = get32(tail, at + 16)?;
        let name = usize::from(get16(tail, at + 28)?);
        let more = usize::from(get16(tail, at + 30)?) + usize::from(get16(tail, at + 32)?);
        let from = get32(tail, at + 42)?;
        let from = from.checked_add(u32::try_from(LOCAL_BYTES + name).ok()?)?;
        let to = from.checked_add(size).filter(|to| *to <= start)?;
        at += CENTRAL_BYTES;
        if let Some(id) = id_of(tail.get(at..at + name)?) {
            found.push(Entry { id, from, to, checksum });
        }
        at += name + more;
    }
    Some(found)
}

/// The id at the end of a file's name.
fn id_of(name: &[u8]) -> Option<Id> {
    const LETTERS: usize = 36;
    let name = std::str::from_utf8(name).ok()?.strip_suffix(ENDING)?;
    Id::parse(name.get(name.len().checked_sub(LETTERS)?..)?)
}

#[cfg(test)]
#[path = "album_tests.rs"]
mod tests;
