//! What is drawn on a photograph with a finger: lines, arrows and crosses, as
//! compact text, and that text as markup of a drawing.
//!
//! Strokes are in the picture's own units, so that they sit right at any size:
//! `x y x y x y` is a line, `>x y x y` an arrow, `x y` (a tap) a cross; `;` parts
//! them. They lie over the picture and never in it: the photograph stays what the
//! camera saw.

/// Begins an arrow.
const ARROW: char = '>';
/// A finger that moved less than this part of the longer side has not moved: fewer
/// points, and a tap is a tap.
const STILL: f64 = 1.0 / 80.0;
/// A wing of an arrow and an arm of a cross, as a part of the longer side.
const WING: f64 = 1.0 / 25.0;
/// Most letters of one stroke; a longer one goes on no further.
const LONGEST: usize = 2000;

/// A new stroke.
pub fn begin(arrow: bool) -> String {
    if arrow { ARROW.into() } else { String::new() }
}

/// Goes on with a stroke to a place, given as parts of width and height.
pub fn go_on(stroke: &mut String, place: [f64; 2], size: [u32; 2]) {
    let [x, y] = [0, 1].map(|axis| {
        let side = f64::from(size[axis]);
        (place[axis].clamp(0.0, 1.0) * side).round()
    });
    let so_far = points(stroke);
    let moved =
        so_far.last().is_none_or(|last| (last[0] - x).hypot(last[1] - y) >= STILL * longer(size));
    if moved && stroke.len() < LONGEST {
        if !so_far.is_empty() {
            stroke.push(' ');
        }
        stroke.push_str(&format!("{} {}", x as u32, y as u32));
    }
}

/// The strokes with one more.
pub fn with(strokes: &str, stroke: &str) -> String {
    if strokes.is_empty() || stroke.is_empty() {
        [strokes, stroke].concat()
    } else {
        [strokes, ";", stroke].concat()
    }
}

/// The strokes without the last.
pub fn without_last(strokes: &str) -> String {
    strokes.rsplit_once(';').map_or("", |(before, _)| before).to_owned()
}

/// The strokes as markup inside a drawing of the picture's size: once as a pale
/// rim, once as the line, so that they stand out on light and dark.
pub fn markup(strokes: &str, size: [u32; 2]) -> String {
    let wing = WING * longer(size);
    let mut path = String::new();
    let mut draw = |points: &[[f64; 2]]| {
        for (index, [x, y]) in points.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            path.push_str(&format!("{letter}{} {}", x.round() as i64, y.round() as i64));
        }
    };
    for stroke in strokes.split(';') {
        let points = points(stroke);
        match (&points[..], stroke.starts_with(ARROW)) {
            ([], _) => {}
            ([[x, y]], _) => {
                draw(&[[x - wing, y - wing], [x + wing, y + wing]]);
                draw(&[[x - wing, y + wing], [x + wing, y - wing]]);
            }
            ([from, .., to], true) => {
                draw(&[*from, *to]);
                let (dx, dy) = (from[0] - to[0], from[1] - to[1]);
                let length = dx.hypot(dy).max(1.0);
                // Wings at 45 degrees: along the shaft and as far across it.
                let (dx, dy) = (dx / length * wing, dy / length * wing);
                let [x, y] = *to;
                draw(&[[x + dx - dy, y + dy + dx], *to, [x + dx + dy, y + dy - dx]]);
            }
            (points, false) => draw(points),
        }
    }
    if path.is_empty() {
        return path;
    }
    format!("<path class=\"rim\" d=\"{path}\"/><path d=\"{path}\"/>")
}

/// Only numbers come out of a stroke, whatever a record says.
fn points(stroke: &str) -> Vec<[f64; 2]> {
    let mut numbers = stroke
        .trim_start_matches(ARROW)
        .split(' ')
        .map_while(|number| number.parse::<u32>().ok().map(f64::from));
    let mut points = Vec::new();
    while let (Some(x), Some(y)) = (numbers.next(), numbers.next()) {
        points.push([x, y]);
    }
    points
}

fn longer(size: [u32; 2]) -> f64 {
    f64::from(size[0].max(size[1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: [u32; 2] = [1600, 1200];

    fn drawn(arrow: bool, places: &[[f64; 2]]) -> String {
        let mut stroke = begin(arrow);
        places.iter().for_each(|place| go_on(&mut stroke, *place, SIZE));
        stroke
    }

    #[test]
    fn a_finger_becomes_points_of_the_picture() {
        assert_eq!(drawn(false, &[[0.0, 0.0], [0.5, 0.5], [1.0, 1.0]]), "0 0 800 600 1600 1200");
        assert_eq!(drawn(true, &[[0.25, 0.5], [0.75, 0.5]]), ">400 600 1200 600");
        // A finger that rolls a little on a tap, and one that leaves the picture.
        assert_eq!(drawn(false, &[[0.5, 0.5], [0.501, 0.499]]), "800 600");
        assert_eq!(drawn(false, &[[0.9, 0.9], [1.4, -3.0]]), "1440 1080 1600 0");
    }

    #[test]
    fn a_stroke_ends_somewhere() {
        let mut stroke = begin(false);
        for step in 0..100_000 {
            go_on(&mut stroke, [f64::from(step % 7) / 7.0, f64::from(step % 5) / 5.0], SIZE);
        }
        assert!(stroke.len() < LONGEST + 20);
    }

    #[test]
    fn strokes_come_and_the_last_goes() {
        let two = with(&with("", "1 2"), ">3 4 5 6");
        assert_eq!(two, "1 2;>3 4 5 6");
        assert_eq!(without_last(&two), "1 2");
        assert_eq!(without_last(&without_last(&two)), "");
        assert_eq!(without_last(""), "");
        assert_eq!(with(&two, ""), two);
    }

    #[test]
    fn each_kind_is_drawn_twice_as_rim_and_line() {
        let line = markup("0 0 800 600", SIZE);
        assert_eq!(line, "<path class=\"rim\" d=\"M0 0L800 600\"/><path d=\"M0 0L800 600\"/>");
        // A wing is 1600 / 25 = 64: an arrow to the right has its wings behind its tip.
        let arrow = markup(">400 600 1200 600", SIZE);
        assert!(arrow.contains("M400 600L1200 600M1136 536L1200 600L1136 664"), "{arrow}");
        let cross = markup("800 600", SIZE);
        assert!(cross.contains("M736 536L864 664M736 664L864 536"), "{cross}");
        assert_eq!(markup("", SIZE), "");
    }

    #[test]
    fn a_record_from_elsewhere_puts_no_markup_on_the_page() {
        let odd = markup("1 2 <script>;\"/><img>;>;5 6 7 -8;9999999999 1;4 4 8 8", SIZE);
        let path = odd.replace("<path class=\"rim\" d=\"", "").replace("<path d=\"", "");
        let path = path.replace("\"/>", "");
        assert!(path.chars().all(|letter| "ML- 0123456789".contains(letter)), "{odd}");
        assert!(odd.contains("M4 4L8 8"), "{odd}");
    }
}
