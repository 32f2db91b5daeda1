//! Taking an entry apart into numbers and the units that follow them.

use super::EntryError;
use super::decimal::decimal;

/// Fractions that have a character of their own.
const FRACTIONS: [(char, f64); 15] = [
    ('½', 1.0 / 2.0),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅕', 1.0 / 5.0),
    ('⅖', 2.0 / 5.0),
    ('⅗', 3.0 / 5.0),
    ('⅘', 4.0 / 5.0),
    ('⅙', 1.0 / 6.0),
    ('⅚', 5.0 / 6.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
];

/// A number with the unit typed after it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// The number, negative when a minus stands before the whole entry.
    pub number: f64,
    /// The unit in small letters without full stops; empty when there is none.
    pub unit: String,
    /// The whole entry as typed, for error sentences.
    pub typed: String,
}

fn fraction(character: char) -> Option<f64> {
    FRACTIONS.iter().find(|(known, _)| *known == character).map(|(_, value)| *value)
}

fn starts_number(rest: &str) -> bool {
    let mut characters = rest.chars();
    match characters.next() {
        Some(first) if first.is_ascii_digit() || fraction(first).is_some() => true,
        Some('.' | ',') => characters.next().is_some_and(|next| next.is_ascii_digit()),
        _ => false,
    }
}

/// Splits off the run of leading characters that satisfy `keep`.
fn run(rest: &str, keep: impl Fn(char) -> bool) -> (&str, &str) {
    rest.split_at(rest.find(|character| !keep(character)).unwrap_or(rest.len()))
}

/// A decimal with a point or a comma, or a whole number.
fn number_of(token: &str, typed: &str) -> Result<f64, EntryError> {
    if let Some((whole, decimals)) = token.split_once(',') {
        let could_be_thousands = (1..=3).contains(&whole.len())
            && !whole.starts_with('0')
            && decimals.len() == 3
            && decimals.chars().all(|c| c.is_ascii_digit());
        if could_be_thousands {
            return Err(EntryError::TwoReadings { text: token.into() });
        }
    }
    decimal(&token.replace(',', ".")).ok_or_else(|| {
        let digits = token.chars().filter(char::is_ascii_digit).count();
        if digits > 15 {
            EntryError::NotFinite
        } else {
            EntryError::NotANumber { text: typed.into() }
        }
    })
}

/// "3/8" at the start of `rest`, with what follows it. A slash followed by no
/// digit is none of ours.
fn ratio(rest: &str) -> Option<(f64, &str)> {
    let (above, rest) = run(rest, |c| c.is_ascii_digit());
    let (below, rest) = run(rest.strip_prefix('/')?, |c| c.is_ascii_digit());
    let (above, below): (f64, f64) = (decimal(above)?, decimal(below)?);
    (below > 0.0).then_some((above / below, rest))
}

/// A number at the start of `rest`: "12", "12,5", "1/2", "1 1/2", "½", "1½".
fn number<'a>(rest: &'a str, typed: &str) -> Result<(f64, &'a str), EntryError> {
    let bad = || EntryError::NotANumber { text: typed.into() };
    if let Some(found) = ratio(rest) {
        return Ok(found);
    }
    let (token, after) = run(rest, |c| c.is_ascii_digit() || c == '.' || c == ',');
    if after.starts_with('/') && after[1..].starts_with(|c: char| c.is_ascii_digit()) {
        // A fraction that `ratio` would not have: over nothing, or of decimals.
        return Err(bad());
    }
    let whole_only = token.chars().all(|c| c.is_ascii_digit());
    let spaced = after.trim_start();
    if whole_only && let Some(part) = spaced.chars().next().and_then(fraction) {
        let whole = if token.is_empty() { 0.0 } else { number_of(token, typed)? };
        return Ok((whole + part, &spaced[spaced.chars().next().map_or(0, char::len_utf8)..]));
    }
    let whole = number_of(token, typed)?;
    if spaced.len() < after.len()
        && let Some((part, rest)) = ratio(spaced)
    {
        return if whole_only && part < 1.0 { Ok((whole + part, rest)) } else { Err(bad()) };
    }
    Ok((whole, after))
}

/// The unit as it is compared: small letters, single spaces, no full stops.
fn normal(unit: &str) -> String {
    let words: Vec<&str> = unit.split_whitespace().collect();
    words.join(" ").replace('.', "").to_ascii_lowercase()
}

/// The entry without spaces around it, its sign, and what follows the sign.
fn opened(text: &str) -> Result<(&str, f64, &str), EntryError> {
    let typed = text.trim();
    if typed.is_empty() {
        return Err(EntryError::Empty);
    }
    let (sign, rest) = match typed.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, typed.strip_prefix('+').unwrap_or(typed).trim_start()),
    };
    Ok((typed, sign, rest))
}

/// One number; all that follows it is its unit.
pub(super) fn single(text: &str) -> Result<Piece, EntryError> {
    let (typed, sign, rest) = opened(text)?;
    let (value, rest) = number(rest, typed)?;
    if starts_number(rest.trim_start()) {
        return Err(EntryError::NotANumber { text: typed.into() });
    }
    Ok(Piece { number: sign * value, unit: normal(rest), typed: typed.into() })
}

/// Numbers each followed by a unit; at least one.
pub(super) fn pieces(text: &str) -> Result<Vec<Piece>, EntryError> {
    let (typed, sign, mut rest) = opened(text)?;
    let mut found = Vec::new();
    while !rest.is_empty() {
        let (value, after) = number(rest, typed)?;
        let end = after
            .char_indices()
            .map(|(at, _)| at)
            .find(|at| starts_number(&after[*at..]))
            .unwrap_or(after.len());
        let unit = normal(&after[..end]);
        found.push(Piece { number: sign * value, unit, typed: typed.into() });
        rest = &after[end..];
    }
    if found.is_empty() {
        return Err(EntryError::NotANumber { text: typed.into() });
    }
    Ok(found)
}
