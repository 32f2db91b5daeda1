//! PLY: a header that says what rows follow, then the rows.
//!
//! Text, or binary of either byte order; elements and properties in any order and
//! of any type. Only `x`, `y`, `z` of `vertex` and the list `vertex_indices` (or
//! `vertex_index`) of `face` are kept; everything else is read over. (The
//! format's original description of 1994, from memory; held against files that a
//! reference library wrote.)

use super::text::{Words, number};
use super::weld::{Collector, Fan};
use super::{Mesh, MeshError};

/// Elements and properties that a header may have: more is no scan.
const MOST_ROWS: usize = 256;

/// Whether the file begins as one.
pub(super) fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(b"ply\n") || bytes.starts_with(b"ply\r")
}

/// How a number is written.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Kind {
    fn named(word: &[u8]) -> Option<Kind> {
        Some(match word {
            b"char" | b"int8" => Kind::I8,
            b"uchar" | b"uint8" => Kind::U8,
            b"short" | b"int16" => Kind::I16,
            b"ushort" | b"uint16" => Kind::U16,
            b"int" | b"int32" => Kind::I32,
            b"uint" | b"uint32" => Kind::U32,
            b"float" | b"float32" => Kind::F32,
            b"double" | b"float64" => Kind::F64,
            _ => return None,
        })
    }

    fn bytes(self) -> usize {
        match self {
            Kind::I8 | Kind::U8 => 1,
            Kind::I16 | Kind::U16 => 2,
            Kind::I32 | Kind::U32 | Kind::F32 => 4,
            Kind::F64 => 8,
        }
    }
}

/// What becomes of a property.
#[derive(Clone, Copy, PartialEq)]
enum Use {
    None,
    Along(usize),
    Corners,
}

struct Property {
    /// Of a list, the kind of its count.
    list: Option<Kind>,
    kind: Kind,
    becomes: Use,
}

struct Element {
    count: usize,
    is_vertex: bool,
    properties: Vec<Property>,
}

/// Where the rows are read from.
enum Rows<'a> {
    Text(Words<'a>),
    Binary { rest: &'a [u8], big: bool },
}

impl Rows<'_> {
    /// The next number; none at the end. What is no number is a not-a-number.
    fn next(&mut self, kind: Kind) -> Option<f64> {
        match self {
            Rows::Text(words) => Some(number(words.next()?).unwrap_or(f64::NAN)),
            Rows::Binary { rest, big } => {
                let (mine, after) = rest.split_at_checked(kind.bytes())?;
                *rest = after;
                // All kinds through eight bytes, little end first.
                let mut raw = [0; 8];
                raw[..mine.len()].copy_from_slice(mine);
                if *big {
                    raw[..mine.len()].reverse();
                }
                let raw = u64::from_le_bytes(raw);
                Some(match kind {
                    Kind::I8 => f64::from(raw as i8),
                    Kind::U8 => f64::from(raw as u8),
                    Kind::I16 => f64::from(raw as i16),
                    Kind::U16 => f64::from(raw as u16),
                    Kind::I32 => f64::from(raw as i32),
                    Kind::U32 => f64::from(raw as u32),
                    Kind::F32 => f64::from(f32::from_bits(raw as u32)),
                    Kind::F64 => f64::from_bits(raw),
                })
            }
        }
    }
}

/// Reads a file.
pub(super) fn read(bytes: &[u8]) -> Result<Mesh, MeshError> {
    let (elements, mut rows) = header(bytes)?;
    let mut mesh = Collector::new(bytes.len() / 100);
    for element in &elements {
        // Rows without anything in them are not there, however many.
        let count = if element.properties.is_empty() { 0 } else { element.count };
        for found in 0..count {
            let truncated = MeshError::Truncated { found, stated: Some(count) };
            row(&mut rows, element, &mut mesh, truncated)?;
        }
    }
    mesh.mesh()
}

/// Reads one row into the mesh.
fn row(
    rows: &mut Rows<'_>,
    element: &Element,
    mesh: &mut Collector,
    truncated: MeshError,
) -> Result<(), MeshError> {
    let mut place = [f32::NAN; 3];
    for property in &element.properties {
        let Some(kind) = property.list else {
            let Some(value) = rows.next(property.kind) else { return Err(truncated) };
            if let Use::Along(axis) = property.becomes {
                place[axis] = value as f32;
            }
            continue;
        };
        let Some(length) = rows.next(kind) else { return Err(truncated) };
        let mut fan = Fan::default();
        // Not a count (below 0, not-a-number) is none; a false one meets the end.
        for _ in 0..length as u64 {
            let Some(value) = rows.next(property.kind) else { return Err(truncated) };
            if property.becomes == Use::Corners {
                let corner = if value >= 0.0 { value as u32 } else { u32::MAX };
                if let Some(triangle) = fan.next(corner) {
                    mesh.face(triangle)?;
                }
            }
        }
    }
    if element.is_vertex { mesh.point(place) } else { Ok(()) }
}

/// Reads the header, and where the rows begin.
fn header(bytes: &[u8]) -> Result<(Vec<Element>, Rows<'_>), MeshError> {
    let mut words = Words::new(bytes);
    let mut format: &[u8] = b"";
    let mut elements: Vec<Element> = Vec::new();
    let (mut is_face, mut lines) = (false, 0);
    words.skip_line();
    loop {
        lines += 1;
        if lines > 4 * MOST_ROWS || elements.len() > MOST_ROWS {
            return Err(MeshError::Header);
        }
        let keyword = words.next().ok_or(MeshError::Truncated { found: 0, stated: None })?;
        match keyword {
            b"format" => format = words.on_line().unwrap_or_default(),
            b"element" => {
                let name = words.on_line().unwrap_or_default();
                is_face = name == b"face";
                let count = words.on_line().and_then(number).unwrap_or(-1.0);
                if !(0.0..=4e9).contains(&count) {
                    return Err(MeshError::Header);
                }
                elements.push(Element {
                    count: count as usize,
                    is_vertex: name == b"vertex",
                    properties: Vec::new(),
                });
            }
            b"property" => {
                let element = elements.last_mut().ok_or(MeshError::Header)?;
                if element.properties.len() >= MOST_ROWS {
                    return Err(MeshError::Header);
                }
                let property = property(&mut words, element.is_vertex, is_face);
                element.properties.push(property.ok_or(MeshError::Header)?);
            }
            b"end_header" => {
                words.skip_line();
                break;
            }
            // Comments, and words that nobody has thought of yet.
            _ => {}
        }
        words.skip_line();
    }
    let rest = bytes.get(words.position()..).unwrap_or_default();
    let rows = match format {
        b"ascii" => Rows::Text(Words::new(rest)),
        b"binary_little_endian" => Rows::Binary { rest, big: false },
        b"binary_big_endian" => Rows::Binary { rest, big: true },
        _ => return Err(MeshError::Header),
    };
    Ok((elements, rows))
}

/// Reads the rest of a property's line.
fn property(words: &mut Words<'_>, of_vertex: bool, of_face: bool) -> Option<Property> {
    let first = words.on_line()?;
    let (list, kind) = if first == b"list" {
        (Some(Kind::named(words.on_line()?)?), Kind::named(words.on_line()?)?)
    } else {
        (None, Kind::named(first)?)
    };
    let becomes = match (words.on_line()?, list.is_some()) {
        (b"x", false) if of_vertex => Use::Along(0),
        (b"y", false) if of_vertex => Use::Along(1),
        (b"z", false) if of_vertex => Use::Along(2),
        (b"vertex_indices" | b"vertex_index", true) if of_face => Use::Corners,
        _ => Use::None,
    };
    Some(Property { list, kind, becomes })
}
