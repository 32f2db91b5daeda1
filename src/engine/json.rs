//! JSON (RFC 8259), read and written.
//!
//! The journal and its backups are JSON. Our own reader and writer, and not a general
//! crate's, because of its size: what is shipped needs no more than this, and a general
//! crate's, with its readers, was some twenty kilobytes. `tests/json.rs` holds this one
//! against a general crate.
//! Numbers stay as they are written until somebody asks for one, so that a record that
//! is only passed on loses nothing.

use super::decimals;

/// How deep lists and objects may lie in each other.
const DEPTH_MOST: usize = 128;

/// A value. Numbers are borrowed from the text that was read.
#[derive(Clone, Debug, PartialEq)]
pub enum Json<'a> {
    /// Nothing.
    Null,
    /// True or false.
    Bool(bool),
    /// A number, as it is written.
    Number(&'a str),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Json<'a>>),
    /// An object: names and values in the order of the text.
    Object(Vec<(String, Json<'a>)>),
}

/// What was expected instead of what is there, in words that follow "expected".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expected(pub &'static str);

impl<'a> Json<'a> {
    /// Reads a text that is one value and nothing else.
    ///
    /// # Errors
    /// [`Expected`] for a text that is not JSON, or is deeper than 128 levels.
    pub fn read(text: &'a str) -> Result<Self, Expected> {
        Reader { text, at: 0 }.whole()
    }

    /// The line of a text at which reading it stops: where a person should look.
    pub fn last_line(text: &str) -> usize {
        let mut reader = Reader { text, at: 0 };
        // What it is that stops it was said when it was read.
        let _ = reader.whole();
        text.bytes().take(reader.at).filter(|byte| *byte == b'\n').count() + 1
    }

    /// The entry of a name in an object, to be changed; null where there was none.
    /// What is no object becomes an empty one.
    pub fn entry(&mut self, name: &str) -> &mut Self {
        if !matches!(self, Self::Object(_)) {
            *self = Self::Object(Vec::new());
        }
        let Self::Object(fields) = self else { unreachable!("it was made an object") };
        let at = fields.iter().rposition(|(other, _)| other == name).unwrap_or_else(|| {
            fields.push((name.to_owned(), Self::Null));
            fields.len() - 1
        });
        &mut fields[at].1
    }

    /// The value of a name in an object; null where there is none.
    pub fn get(&self, name: &str) -> &Self {
        let Self::Object(fields) = self else { return &Self::Null };
        let found = fields.iter().rev().find(|(other, _)| other == name);
        found.map_or(&Self::Null, |(_, value)| value)
    }

    /// The number that it is.
    ///
    /// # Errors
    /// [`Expected`] for anything else, and for a number too great to hold.
    pub fn number(&self) -> Result<f64, Expected> {
        let number = match self {
            Self::Number(text) => decimals::read(text),
            _ => None,
        };
        number.ok_or(Expected("a number"))
    }

    /// The text that it is.
    ///
    /// # Errors
    /// [`Expected`] for anything else.
    pub fn text(&self) -> Result<&str, Expected> {
        match self {
            Self::Text(text) => Ok(text),
            _ => Err(Expected("a text")),
        }
    }

    /// The items of the list that it is.
    ///
    /// # Errors
    /// [`Expected`] for anything else.
    pub fn list(&self) -> Result<&[Self], Expected> {
        match self {
            Self::List(items) => Ok(items),
            _ => Err(Expected("a list")),
        }
    }

    /// The fields of the object that it is.
    ///
    /// # Errors
    /// [`Expected`] for anything else.
    pub fn fields(&self) -> Result<&[(String, Self)], Expected> {
        match self {
            Self::Object(fields) => Ok(fields),
            _ => Err(Expected("an object")),
        }
    }

    /// Writes it behind `out`.
    pub fn write(&self, out: &mut String) {
        match self {
            Self::Null => out.push_str("null"),
            Self::Bool(true) => out.push_str("true"),
            Self::Bool(false) => out.push_str("false"),
            Self::Number(text) => out.push_str(text),
            Self::Text(text) => write_text(text, out),
            Self::List(items) => {
                out.push('[');
                for (number, item) in items.iter().enumerate() {
                    separate(number, out);
                    item.write(out);
                }
                out.push(']');
            }
            Self::Object(fields) => {
                out.push('{');
                for (number, (name, value)) in fields.iter().enumerate() {
                    separate(number, out);
                    write_text(name, out);
                    out.push(':');
                    value.write(out);
                }
                out.push('}');
            }
        }
    }
}

/// Writes the comma before all items but the first.
pub fn separate(number: usize, out: &mut String) {
    if number > 0 {
        out.push(',');
    }
}

/// Writes a text in quotes.
pub fn write_text(text: &str, out: &mut String) {
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => {
                out.push('\\');
                out.push(letter);
            }
            '\0'..=' ' if letter != ' ' => {
                out.push_str("\\u00");
                for digit in [letter as u32 >> 4, letter as u32 & 15] {
                    out.push(char::from_digit(digit, 16).unwrap_or('0'));
                }
            }
            _ => out.push(letter),
        }
    }
    out.push('"');
}

/// Writes a number so that it reads the same to the last bit; null for one that
/// JSON does not know (infinite, or none at all).
pub fn write_number(number: f64, out: &mut String) {
    if number.is_finite() {
        out.push_str(&decimals::write(number));
    } else {
        out.push_str("null");
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    fn whole(&mut self) -> Result<Json<'a>, Expected> {
        let value = self.value(DEPTH_MOST)?;
        self.blanks();
        if self.at == self.text.len() { Ok(value) } else { Err(Expected("the end")) }
    }

    fn peek(&self) -> u8 {
        self.text.as_bytes().get(self.at).copied().unwrap_or(0)
    }

    fn blanks(&mut self) {
        while matches!(self.peek(), b' ' | b'\t' | b'\n' | b'\r') {
            self.at += 1;
        }
    }

    /// Goes behind a byte if it is the next.
    fn takes(&mut self, byte: u8) -> bool {
        let there = self.peek() == byte && self.at < self.text.len();
        self.at += usize::from(there);
        there
    }

    fn digits(&mut self) -> Result<(), Expected> {
        let start = self.at;
        while self.peek().is_ascii_digit() {
            self.at += 1;
        }
        if self.at > start { Ok(()) } else { Err(Expected("a digit")) }
    }

    fn value(&mut self, depth: usize) -> Result<Json<'a>, Expected> {
        self.blanks();
        let depth = depth.checked_sub(1).ok_or(Expected("fewer levels"))?;
        match self.peek() {
            b'"' => {
                self.at += 1;
                Ok(Json::Text(self.string()?))
            }
            open @ (b'[' | b'{') => {
                self.at += 1;
                self.items(open == b'{', depth)
            }
            b'-' | b'0'..=b'9' => self.number(),
            _ => {
                let words = [
                    ("null", Json::Null),
                    ("true", Json::Bool(true)),
                    ("false", Json::Bool(false)),
                ];
                let rest = &self.text[self.at..];
                let found = words.into_iter().find(|(word, _)| rest.starts_with(word));
                let (word, value) = found.ok_or(Expected("a value"))?;
                self.at += word.len();
                Ok(value)
            }
        }
    }

    /// The rest of a list or an object.
    fn items(&mut self, named: bool, depth: usize) -> Result<Json<'a>, Expected> {
        let end = if named { b'}' } else { b']' };
        let (mut list, mut fields) = (Vec::new(), Vec::new());
        self.blanks();
        if !self.takes(end) {
            loop {
                let name = if named { Some(self.name()?) } else { None };
                let value = self.value(depth)?;
                match name {
                    Some(name) => fields.push((name, value)),
                    None => list.push(value),
                }
                self.blanks();
                if self.takes(end) {
                    break;
                }
                if !self.takes(b',') {
                    return Err(Expected("a comma"));
                }
            }
        }
        Ok(if named { Json::Object(fields) } else { Json::List(list) })
    }

    fn name(&mut self) -> Result<String, Expected> {
        self.blanks();
        if !self.takes(b'"') {
            return Err(Expected("a name"));
        }
        let name = self.string()?;
        self.blanks();
        if self.takes(b':') { Ok(name) } else { Err(Expected("a colon")) }
    }

    fn number(&mut self) -> Result<Json<'a>, Expected> {
        let start = self.at;
        self.takes(b'-');
        if !self.takes(b'0') {
            self.digits()?;
        }
        if self.takes(b'.') {
            self.digits()?;
        }
        if self.takes(b'e') || self.takes(b'E') {
            let _ = self.takes(b'+') || self.takes(b'-');
            self.digits()?;
        }
        Ok(Json::Number(&self.text[start..self.at]))
    }

    /// The rest of a text, behind its first quote.
    fn string(&mut self) -> Result<String, Expected> {
        let mut string = String::new();
        loop {
            let start = self.at;
            while !matches!(self.peek(), b'"' | b'\\' | 0..=0x1f) {
                self.at += 1;
            }
            string.push_str(&self.text[start..self.at]);
            if self.takes(b'"') {
                return Ok(string);
            }
            if !self.takes(b'\\') {
                return Err(Expected("the end of a text"));
            }
            let escape = self.peek();
            self.at += 1;
            string.push(match escape {
                b'"' | b'\\' | b'/' => escape as char,
                b'b' => '\u{8}',
                b'f' => '\u{c}',
                b'n' => '\n',
                b'r' => '\r',
                b't' => '\t',
                b'u' => self.letter()?,
                _ => return Err(Expected("an escape")),
            });
        }
    }

    /// A letter given by its number, which may be in two halves.
    fn letter(&mut self) -> Result<char, Expected> {
        const BAD: Expected = Expected("a letter's number");
        let first = self.four_digits()?;
        let number = if first >> 10 == 0x36 {
            let second =
                if self.takes(b'\\') && self.takes(b'u') { self.four_digits()? } else { 0 };
            if second >> 10 != 0x37 {
                return Err(BAD);
            }
            0x1_0000 + ((first & 0x3ff) << 10 | second & 0x3ff)
        } else {
            first
        };
        char::from_u32(number).ok_or(BAD)
    }

    fn four_digits(&mut self) -> Result<u32, Expected> {
        let mut number = 0;
        for _ in 0..4 {
            let digit = char::from(self.peek()).to_digit(16).ok_or(Expected("a digit"))?;
            number = number << 4 | digit;
            self.at += 1;
        }
        Ok(number)
    }
}
