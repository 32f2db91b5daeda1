//! A writer of SVG, as small as the charts need: it adds to one text, prints
//! whole numbers only, and keeps everything inside the drawing.

/// Width of every chart in tenths of a unit; all coordinates are in tenths.
pub(super) const WIDTH: i32 = 3600;
/// About the width of a letter at the size of labels: the mean of bold words in
/// a wide sans serif, measured in a browser. Phones' own faces are narrower.
const LETTER: i32 = 92;
/// The most letters that a text gets before it is cut: it fills the width.
const MOST_LETTERS: usize = 38;
/// Class of areas that are filled with the hatch.
pub(super) const UNSURE: &str = "chart-unsure";

/// A place in the drawing, in tenths of a unit.
pub(super) type Spot = (i32, i32);

/// Where a text stands to its place.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A drawing on the way.
pub(super) struct Svg {
    id: String,
    out: String,
}

/// Adds texts to a text. One function for all, and never put in place of its
/// calls: sentences are made of many parts, and phones load each copy.
#[inline(never)]
pub(super) fn add(out: &mut String, parts: &[&str]) {
    for part in parts {
        out.push_str(part);
    }
}

/// A whole number's digits.
#[inline(never)]
pub(super) fn whole(number: i64) -> String {
    number.to_string()
}

/// Adds at most `most` letters of a text, with all that means something to XML
/// written out, and without the characters that XML can't hold at all.
fn escape(out: &mut String, text: &str, most: usize) {
    for (index, letter) in text.chars().enumerate() {
        if index == most {
            out.push('…');
            return;
        }
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => {}
            letter if letter < ' ' || ('\u{7f}'..'\u{a0}').contains(&letter) => out.push(' '),
            letter => out.push(letter),
        }
    }
}

impl Svg {
    /// A drawing of a height in tenths with what a screen reader says of it. Of
    /// the identifier letters, digits and hyphens are kept; it must differ
    /// between charts on one page, because titles and hatch go by it.
    pub fn new(id: &str, height: i32, title: &str, description: &str) -> Self {
        let mut svg = Self { id: String::new(), out: String::new() };
        for letter in id.chars() {
            if letter.is_ascii_alphanumeric() || letter == '-' {
                svg.id.push(letter);
            }
        }
        svg.put("<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"chart\" viewBox=\"0 0 360 ");
        svg.number(height);
        svg.put("\" role=\"img\" aria-labelledby=\"");
        svg.named("-title ");
        svg.named("-desc\"><title id=\"");
        svg.named("-title\">");
        escape(&mut svg.out, title, usize::MAX);
        svg.put("</title><desc id=\"");
        svg.named("-desc\">");
        escape(&mut svg.out, description, usize::MAX);
        svg.put("</desc><defs><pattern id=\"");
        svg.named(
            "-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
             <path class=\"chart-hatch\" d=\"M-1 1 1-1M0 6 6 0M5 7 7 5\"/></pattern></defs>",
        );
        svg
    }

    /// The finished text.
    pub fn finish(mut self) -> String {
        self.put("</svg>");
        self.out
    }

    fn put(&mut self, text: &str) {
        add(&mut self.out, &[text]);
    }

    fn named(&mut self, ending: &str) {
        add(&mut self.out, &[&self.id, ending]);
    }

    /// Adds tenths as a number: "12" or "12.3". None is below nothing here.
    fn number(&mut self, tenths: i32) {
        let tenths = i64::from(tenths.max(0));
        self.put(&whole(tenths / 10));
        if tenths % 10 != 0 {
            add(&mut self.out, &[".", &whole(tenths % 10)]);
        }
    }

    /// Begins a line or an area; [`Svg::spot`] goes on with it.
    pub fn begin(&mut self, class: &str) {
        add(&mut self.out, &["<path class=\"", class]);
        if class == UNSURE {
            self.put("\" fill=\"url(#");
            self.named("-hatch)");
        }
        self.put("\" d=\"");
    }

    /// A further spot of what has begun.
    pub fn spot(&mut self, spot: Spot) {
        self.put(if self.out.ends_with('"') { "M" } else { "L" });
        self.number(spot.0);
        self.put(" ");
        self.number(spot.1);
    }

    /// Ends what has begun; closed, it is an area.
    pub fn end(&mut self, closed: bool) {
        self.put(if closed { "Z\"/>" } else { "\"/>" });
    }

    /// A rectangle between two corners.
    pub fn area(&mut self, class: &str, from: Spot, to: Spot) {
        self.shape(class, (0, 0), &[from, (to.0, from.1), to, (from.0, to.1)]);
    }

    /// A straight line.
    pub fn line(&mut self, class: &str, from: Spot, to: Spot) {
        self.begin(class);
        self.spot(from);
        self.spot(to);
        self.end(false);
    }

    /// A closed shape about a spot, its corners given as offsets from it.
    pub fn shape(&mut self, class: &str, at: Spot, corners: &[Spot]) {
        self.begin(class);
        for corner in corners {
            self.spot((at.0 + corner.0, at.1 + corner.1));
        }
        self.end(true);
    }

    /// A word or more, in parts. The place gives way where it would run out of the
    /// drawing.
    pub fn text(&mut self, class: &str, at: Spot, anchor: Anchor, parts: &[&str]) {
        let mut words = String::new();
        add(&mut words, parts);
        let letters = words.bytes().filter(|byte| byte & 0xc0 != 0x80).count();
        let width = letters.min(MOST_LETTERS) as i32 * LETTER;
        let (name, before, after) = match anchor {
            Anchor::Start => ("start", 0, width),
            Anchor::Middle => ("middle", width / 2, width / 2),
            Anchor::End => ("end", width, 0),
        };
        add(&mut self.out, &["<text class=\"", class, "\" text-anchor=\"", name, "\" x=\""]);
        self.number(at.0.min(WIDTH - after).max(before));
        self.put("\" y=\"");
        self.number(at.1);
        self.put("\">");
        escape(&mut self.out, &words, MOST_LETTERS);
        self.put("</text>");
    }
}
