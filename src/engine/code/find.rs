//! From a picture to the modules of a code.
//!
//! How dark each pixel is goes by the brightness around it, so that a shadow
//! across the card does no harm. Three finder patterns make a guess at where the
//! code lies. The guess is then moved until all that is the same in every code
//! of its size (finders, timing, alignment patterns) lies where it is dark and
//! light in the picture: that finds the fourth corner, whatever the perspective,
//! with no search for alignment patterns on their own.

use super::layout::{self, MOST, Module};
use super::{NoCode, meaning};

/// A place in the picture, in pixels.
type Spot = (f32, f32);

/// How many finders are looked at, the most often met first.
const FINDERS: usize = 12;
/// How many different ones are remembered on the way.
const MET: usize = 400;
/// How many groups of three finders are tried, the most square first.
const GROUPS: usize = 6;
/// How far the fourth corner is looked for, as a part of the side.
const REACH: f32 = 0.26;
/// How often the corners are moved at the most.
const MOVES: usize = 60;

/// A picture as how much darker each pixel is than what is around it.
struct Ink {
    width: usize,
    height: usize,
    ink: Vec<i16>,
}

/// What may be a finder: its middle, how long a module is, how often it was met.
#[derive(Clone, Copy)]
struct Finder {
    at: Spot,
    module: f32,
    met: f32,
}

/// Reads the code in a picture, given row by row as brightness from 0 to 255.
/// It may be turned any way and seen at a slant.
///
/// # Errors
/// [`NoCode`] when there is none, or when it can't be made out.
pub fn read(luma: &[u8], width: usize, height: usize) -> Result<String, NoCode> {
    if width.checked_mul(height) != Some(luma.len()) || width < 21 || height < 21 {
        return Err(NoCode::NoPicture);
    }
    let mut picture = luma.to_vec();
    let (mut width, mut height) = (width, height);
    let mut outcome = NoCode::NotFound;
    // Smaller, grain and blur matter less; that helps where the picture is large.
    for _ in 0..3 {
        for part in [10, 4] {
            match Ink::of(&picture, width, height, width.min(height) / part).text() {
                Ok(text) => return Ok(text),
                Err(NoCode::NotFound) => {}
                Err(other) => outcome = other,
            }
        }
        let (half, rows) = (width / 2, height / 2);
        if half < 40 || rows < 40 {
            break;
        }
        let mean = |index: usize| {
            let at = index / half * 2 * width + index % half * 2;
            let of = |at: usize| u32::from(picture.get(at).copied().unwrap_or(0));
            ((of(at) + of(at + 1) + of(at + width) + of(at + width + 1) + 2) / 4) as u8
        };
        picture = (0..half * rows).map(mean).collect();
        (width, height) = (half, rows);
    }
    Err(outcome)
}

impl Ink {
    /// Holds each pixel against the mean of those within `reach` of it.
    fn of(luma: &[u8], width: usize, height: usize, reach: usize) -> Self {
        let line = width + 1;
        // The sum of all above and to the left of a place.
        let mut sums = vec![0_u32; line * (height + 1)];
        for y in 0..height {
            let mut row = 0;
            for x in 0..width {
                row += u32::from(luma[y * width + x]);
                // Only differences count, and those are right past the end of the numbers.
                sums[(y + 1) * line + x + 1] = sums[y * line + x + 1].wrapping_add(row);
            }
        }
        let ink = |index: usize| {
            let (x, y) = (index % width, index / width);
            let (left, right) = (x.saturating_sub(reach), (x + reach + 1).min(width));
            let (top, foot) = (y.saturating_sub(reach), (y + reach + 1).min(height));
            let below = sums[foot * line + right].wrapping_sub(sums[foot * line + left]);
            let above = sums[top * line + right].wrapping_sub(sums[top * line + left]);
            let mean = below.wrapping_sub(above) / ((right - left) * (foot - top)) as u32;
            mean as i16 - i16::from(luma[index]) - 3
        };
        Self { width, height, ink: (0..width * height).map(ink).collect() }
    }

    /// How much darker a place is than what is around it; nothing outside.
    fn at(&self, x: f32, y: f32) -> i32 {
        // Below nothing turns into nothing, and what is too large into the most.
        let (column, row) = (x as usize, y as usize);
        if x < 0.0 || y < 0.0 || column >= self.width || row >= self.height {
            return 0;
        }
        self.ink.get(row * self.width + column).map_or(0, |ink| i32::from(*ink))
    }

    fn text(&self) -> Result<String, NoCode> {
        let finders = self.finders();
        let groups = groups(&finders);
        let outcome = if groups.is_empty() { NoCode::NotFound } else { NoCode::Unclear };
        groups.into_iter().find_map(|group| self.of_group(&group)).ok_or(outcome)
    }

    // ---- Finders ----

    /// Everything that looks like a finder from two sides, the most often met first.
    fn finders(&self) -> Vec<Finder> {
        let mut found: Vec<Finder> = Vec::new();
        for y in 0..self.height {
            let mut runs = [0.0_f32; 5];
            let mut before = false;
            for x in 0..=self.width {
                let dark = x < self.width && self.ink[y * self.width + x] > 0;
                if dark != before {
                    if before && is_finder(&runs) {
                        let middle = x as f32 - runs[4] - runs[3] - runs[2] / 2.0;
                        self.meet(&mut found, (middle, y as f32 + 0.5));
                    }
                    runs.rotate_left(1);
                    runs[4] = 0.0;
                    before = dark;
                }
                runs[4] += 1.0;
            }
        }
        let mut best = Vec::new();
        while best.len() < FINDERS && !found.is_empty() {
            let mut most = 0;
            for (index, one) in found.iter().enumerate() {
                if one.met > found[most].met {
                    most = index;
                }
            }
            best.push(found.swap_remove(most));
        }
        best
    }

    /// Looks at what may be a finder across and along, and counts it.
    fn meet(&self, found: &mut Vec<Finder>, at: Spot) {
        let Some((at, tall)) = self.across(at, (0.0, 1.0)) else { return };
        let Some((at, wide)) = self.across(at, (1.0, 0.0)) else { return };
        if tall > wide * 2.0 || wide > tall * 2.0 {
            return;
        }
        let module = (tall + wide) / 14.0;
        for one in found.iter_mut() {
            let near = (one.at.0 - at.0).abs().max((one.at.1 - at.1).abs()) < 2.0 * one.module;
            if near {
                let share = 1.0 / (one.met + 1.0);
                one.at.0 += (at.0 - one.at.0) * share;
                one.at.1 += (at.1 - one.at.1) * share;
                one.module += (module - one.module) * share;
                one.met += 1.0;
                return;
            }
        }
        if found.len() < MET {
            found.push(Finder { at, module, met: 1.0 });
        }
    }

    /// The five runs of a finder along a direction through a place in its dark
    /// middle: the middle's own middle, and the length of them all.
    fn across(&self, at: Spot, way: Spot) -> Option<(Spot, f32)> {
        let mut runs = [0.0; 5];
        let mut ends = [0.0; 2];
        for (side, sign) in [(0, -1.0), (1, 1.0)] {
            // The place itself counts once.
            let mut steps = side as f32;
            for run in 0..3 {
                let before = steps;
                loop {
                    let (x, y) = (at.0 + way.0 * sign * steps, at.1 + way.1 * sign * steps);
                    let outside =
                        x < 0.0 || y < 0.0 || x >= self.width as f32 || y >= self.height as f32;
                    if outside || (self.at(x, y) > 0) == (run == 1) {
                        break;
                    }
                    steps += 1.0;
                }
                let length = steps - before;
                if run == 0 {
                    ends[side] = steps;
                    runs[2] += length;
                } else {
                    runs[if side == 0 { 2 - run } else { 2 + run }] = length;
                }
            }
        }
        let off = (ends[1] - ends[0]) / 2.0;
        is_finder(&runs).then(|| ((at.0 + way.0 * off, at.1 + way.1 * off), runs.iter().sum()))
    }

    // ---- From three finders to a text ----

    fn of_group(&self, [corner, right, down]: &[Finder; 3]) -> Option<String> {
        let side = |to: &Finder| {
            let (x, y) = ((to.at.0 - corner.at.0).abs(), (to.at.1 - corner.at.1).abs());
            let length = (x * x + y * y).sqrt();
            // Along rows and columns a turned module looks longer than it is.
            2.0 * length / ((corner.module + to.module) * x.max(y) / length)
        };
        let modules = (side(right) + side(down)) / 2.0 + 7.0;
        let guess = ((modules - 17.0) / 4.0 + 0.5) as usize;
        for off in [0, 1, -1, 2, -2, 3] {
            let version = guess.saturating_add_signed(off);
            if !(1..=MOST).contains(&version) {
                continue;
            }
            let start = [
                corner.at,
                right.at,
                down.at,
                (right.at.0 + down.at.0 - corner.at.0, right.at.1 + down.at.1 - corner.at.1),
            ];
            // What is clearer than a finder's middle counts no more than that.
            let middles = [corner, right, down].into_iter();
            let clear = middles.map(|one| self.at(one.at.0, one.at.1)).sum::<i32>() / 6;
            let fit = Fit::new(self, version, clear.max(3));
            let mut best = fit.fourth_corner(start);
            // Less than half of what should be there is not this code.
            for _ in 0..2 {
                if best.1 * 2 < fit.fixed.len() as i32 * fit.clear {
                    break;
                }
                if let Some(text) = self.through(&View::new(&best.0, fit.size), version) {
                    return Some(text);
                }
                fit.settle(&mut best);
            }
        }
        None
    }

    /// The text of the code that lies so.
    fn through(&self, view: &View, version: usize) -> Option<String> {
        meaning::text(version, &|x, y| {
            let mut sum = 0;
            for (a, b) in [(0.5, 0.5), (0.72, 0.5), (0.28, 0.5), (0.5, 0.72), (0.5, 0.28)] {
                let (x, y) = view.see(x as f32 + a, y as f32 + b);
                sum += self.at(x, y);
            }
            sum > 0
        })
    }
}

/// Whether five runs are as 1 : 1 : 3 : 1 : 1.
fn is_finder(runs: &[f32; 5]) -> bool {
    let module = runs.iter().sum::<f32>() / 7.0;
    let near = |run: f32, of: f32| (run - of * module).abs() < of.sqrt() * module * 0.65;
    module >= 1.0
        && near(runs[2], 3.0)
        && [runs[0], runs[1], runs[3], runs[4]].into_iter().all(|run| near(run, 1.0))
}

/// Groups of three that may be the finders of one code, as corner, right and
/// down, the most square first.
fn groups(finders: &[Finder]) -> Vec<[Finder; 3]> {
    let mut groups: Vec<(f32, [Finder; 3])> = Vec::new();
    let long = |of: Spot| (of.0 * of.0 + of.1 * of.1).sqrt();
    for corner in finders {
        for right in finders {
            for down in finders {
                let a = (right.at.0 - corner.at.0, right.at.1 - corner.at.1);
                let b = (down.at.0 - corner.at.0, down.at.1 - corner.at.1);
                let (one, other) = (long(a), long(b));
                let turn = (a.0 * b.1 - a.1 * b.0) / (one * other);
                let lean = (a.0 * b.0 + a.1 * b.1).abs() / (one * other);
                let share = |a: f32, b: f32| (a / b).max(b / a) - 1.0;
                let modules = share(right.module, down.module)
                    .max(share(right.module, corner.module))
                    .max(share(down.module, corner.module));
                // Below nothing is a mirrored one. What is no number is none at all.
                let fits = turn > 0.4
                    && share(one, other) < 1.2
                    && modules < 1.0
                    && one > 10.0 * corner.module
                    && one < 110.0 * corner.module;
                if fits {
                    let off = lean + share(one, other) + modules;
                    let place = groups.partition_point(|(other, _)| *other <= off);
                    groups.insert(place, (off, [*corner, *right, *down]));
                }
            }
        }
    }
    groups.truncate(GROUPS);
    groups.into_iter().map(|(_, group)| group).collect()
}

/// How the modules of a code lie in the picture.
struct View {
    first: f32,
    span: f32,
    of: [f32; 8],
}

impl View {
    /// By where the middles of the finders lie, and where that of a fourth would.
    fn new(corners: &[Spot; 4], size: usize) -> Self {
        let [p, q, r, s] = *corners;
        let (ax, ay) = (q.0 - s.0, q.1 - s.1);
        let (bx, by) = (r.0 - s.0, r.1 - s.1);
        let (sx, sy) = (p.0 - q.0 + s.0 - r.0, p.1 - q.1 + s.1 - r.1);
        let whole = ax * by - bx * ay;
        let g = (sx * by - bx * sy) / whole;
        let h = (ax * sy - sx * ay) / whole;
        Self {
            first: 3.5,
            span: size as f32 - 7.0,
            of: [
                q.0 - p.0 + g * q.0,
                r.0 - p.0 + h * r.0,
                p.0,
                q.1 - p.1 + g * q.1,
                r.1 - p.1 + h * r.1,
                p.1,
                g,
                h,
            ],
        }
    }

    /// Where a place of the code, counted in modules, lies in the picture.
    fn see(&self, x: f32, y: f32) -> Spot {
        let (u, v) = ((x - self.first) / self.span, (y - self.first) / self.span);
        let [a, b, c, d, e, f, g, h] = self.of;
        let depth = g * u + h * v + 1.0;
        ((a * u + b * v + c) / depth, (d * u + e * v + f) / depth)
    }
}

/// What is the same in every code of a version, held against a picture.
struct Fit<'a> {
    ink: &'a Ink,
    size: usize,
    /// Places with 1 where it is dark, -1 where it is light.
    fixed: Vec<(f32, f32, i32)>,
    /// What a module counts for that is as it should be.
    clear: i32,
}

impl<'a> Fit<'a> {
    fn new(ink: &'a Ink, version: usize, clear: i32) -> Self {
        let size = layout::size(version);
        let mut fixed = Vec::new();
        for y in 0..size {
            for x in 0..size {
                let sign = match layout::module(version, x, y) {
                    Module::Dark => 1,
                    Module::Light => -1,
                    _ => continue,
                };
                fixed.push((x as f32 + 0.5, y as f32 + 0.5, sign));
            }
        }
        Self { ink, size, fixed, clear }
    }

    fn score(&self, corners: &[Spot; 4]) -> i32 {
        let view = View::new(corners, self.size);
        let mut sum = 0;
        for (x, y, sign) in &self.fixed {
            let (x, y) = view.see(*x, *y);
            sum += self.ink.at(x, y).clamp(-self.clear, self.clear) * sign;
        }
        sum
    }

    /// Takes corners that fit better than those that there are.
    fn try_it(&self, best: &mut ([Spot; 4], i32), corners: [Spot; 4]) -> bool {
        let score = self.score(&corners);
        let better = score > best.1;
        if better {
            *best = (corners, score);
        }
        better
    }

    /// A spot moved by so many modules to the right and down.
    fn moved(&self, [corner, right, down, _]: &[Spot; 4], spot: Spot, x: f32, y: f32) -> Spot {
        let (x, y) = (x / (self.size as f32 - 7.0), y / (self.size as f32 - 7.0));
        let along = |spot: f32, corner: f32, right: f32, down: f32| {
            spot + (right - corner) * x + (down - corner) * y
        };
        (along(spot.0, corner.0, right.0, down.0), along(spot.1, corner.1, right.1, down.1))
    }

    /// Where the fourth corner fits best, and how well.
    fn fourth_corner(&self, start: [Spot; 4]) -> ([Spot; 4], i32) {
        let mut best = (start, self.score(&start));
        // The smallest has no alignment pattern: nothing there says where it lies.
        let reach = if self.size > 21 { (self.size as f32 * REACH) as i32 } else { 0 };
        for y in -reach..=reach {
            for x in -reach..=reach {
                let mut corners = start;
                corners[3] = self.moved(&start, start[3], x as f32, y as f32);
                self.try_it(&mut best, corners);
            }
        }
        best
    }

    /// Moves all four until nothing fits better.
    fn settle(&self, best: &mut ([Spot; 4], i32)) {
        let mut step = 0.8;
        for _ in 0..MOVES {
            let mut better = false;
            for index in [3, 0, 1, 2] {
                for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                    let mut corners = best.0;
                    corners[index] = self.moved(&best.0, corners[index], x * step, y * step);
                    better |= self.try_it(best, corners);
                }
            }
            if !better {
                step /= 2.0;
            }
        }
    }
}
