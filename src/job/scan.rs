//! A scan on the screen: how it stands, what was found of it, what is kept.
//!
//! The surface itself is worked on beside the screen, by a second instance of the
//! app with a memory of its own ([`desk`]), so that a million triangles neither
//! hold up a clock nor take the records with them if they are too many. What goes
//! to and fro are plain numbers, written and read here. Of a file nothing is kept
//! but the figures that a person takes over.

pub mod desk;
mod picture;
#[cfg(test)]
mod tests;

use super::event::{Body, Id};
use crate::engine::decimals;
use crate::engine::mesh::{
    Blanket, Direction, Hole, Measured, MeshError, Part, Scale, Shadow, Undercut,
};
use crate::engine::quantity::{Millilitres, Millimetres, Percent, SquareMetres};

/// The sheet whose fields a scan fills in.
pub const SHEET: &str = "scan";

/// The sides of a file that can be up, and their names.
pub const UPS: [(Direction, &str); 6] = [
    (Direction::Z, "Z"),
    (Direction::Z.reversed(), "−Z"),
    (Direction::Y, "Y"),
    (Direction::Y.reversed(), "−Y"),
    (Direction::X, "X"),
    (Direction::X.reversed(), "−X"),
];

/// Names of the ways to pull a mould off, as [`Direction::sides`] has them.
pub const PULLS: [&str; 6] = ["up", "down", "right", "left", "to the front", "to the back"];

/// What a tap turns the turntable by, in degrees.
pub const TURN: u16 = 30;

/// How a scan stands, how its mould comes off, and from where it is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Millimetres to a unit of the file.
    pub scale: Scale,
    /// Which of [`UPS`] is up when it is poured.
    pub up: usize,
    /// Which of [`PULLS`] the half above the parting plane comes off by.
    pub pull: usize,
    /// Where the parting plane is, of the way from the lowest point along the pull.
    pub parting: Percent,
    /// How far the turntable has turned, in degrees.
    pub degrees: u16,
    /// Whether anything but the picture is wanted: once the size is agreed on.
    pub agreed: bool,
}

impl Look {
    /// As it is opened.
    pub const START: Look = Look {
        scale: Scale::MILLIMETRE,
        up: 0,
        pull: 0,
        parting: Percent(50.0),
        degrees: 0,
        agreed: false,
    };

    /// Which direction of the file is up.
    pub fn upwards(&self) -> Direction {
        UPS[self.up.min(UPS.len() - 1)].0
    }

    /// Which direction of the file the upper half of the mould is pulled in.
    pub fn pulled(&self) -> Direction {
        self.upwards().sides()[self.pull.min(PULLS.len() - 1)]
    }

    /// Turns the turntable a step, to the right or back.
    pub fn turn(&mut self, right: bool) {
        let step = if right { TURN } else { 360 - TURN };
        self.degrees = (self.degrees + step) % 360;
    }

    /// Moves the parting plane a twentieth of the way, up or down.
    pub fn shift(&mut self, higher: bool) {
        let step = if higher { 5.0 } else { -5.0 };
        self.parting = Percent((self.parting.value() + step).clamp(0.0, 100.0));
    }

    /// As numbers, for [`Look::read`].
    pub fn write(&self) -> Vec<f64> {
        vec![
            self.scale.factor(),
            self.up as f64,
            self.pull as f64,
            self.parting.value(),
            f64::from(self.degrees),
            f64::from(u8::from(self.agreed)),
        ]
    }

    /// From the numbers of [`Look::write`].
    pub fn read(numbers: &[f64]) -> Option<Look> {
        let [factor, up, pull, parting, degrees, agreed] = *numbers.first_chunk()?;
        Some(Look {
            scale: Scale::of_known_length(Millimetres(1.0), Millimetres(factor)).ok()?,
            up: up as usize,
            pull: pull as usize,
            parting: Percent(parting),
            degrees: degrees as u16,
            agreed: agreed > 0.0,
        })
    }
}

/// A place that traps air, as somebody finds it on the piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct High {
    /// Above the lowest point.
    pub height: Millimetres,
    /// How deep the air would stand there.
    pub pocket: Millimetres,
    /// From the left side, seen from the front.
    pub from_left: Millimetres,
    /// From the front.
    pub from_front: Millimetres,
}

/// What was found of a scan as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// How large it is, seen from above.
    pub shadow: Shadow,
    /// What of it looks away from the pull.
    pub away: SquareMetres,
    /// What of it lies below something.
    pub below: SquareMetres,
    /// Both, as a share of the surface.
    pub share: Percent,
    /// Where air is trapped, the deepest first.
    pub highs: Vec<High>,
}

impl Found {
    fn write(shadow: Shadow, locks: &Undercut, highs: &[High]) -> Vec<f64> {
        let mut all = vec![
            shadow.shadow.value(),
            shadow.facing.value(),
            locks.away.value(),
            locks.below.value(),
            locks.share.value(),
        ];
        for high in highs {
            all.extend(
                [high.height, high.pocket, high.from_left, high.from_front].map(|one| one.value()),
            );
        }
        all
    }

    /// From the numbers that the desk gave. None if there are none.
    pub fn read(numbers: &[f64]) -> Option<Found> {
        let ([shadow, facing, away, below, share], rest) = numbers.split_first_chunk()?;
        let highs = rest.chunks_exact(4).map(|high| High {
            height: Millimetres(high[0]),
            pocket: Millimetres(high[1]),
            from_left: Millimetres(high[2]),
            from_front: Millimetres(high[3]),
        });
        Some(Found {
            shadow: Shadow { shadow: SquareMetres(*shadow), facing: SquareMetres(*facing) },
            away: SquareMetres(*away),
            below: SquareMetres(*below),
            share: Percent(*share),
            highs: highs.collect(),
        })
    }
}

/// A scan that is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Scan {
    /// The file's name.
    pub name: String,
    /// How it stands and is looked at.
    pub look: Look,
    /// How thick the blanket over it is to be.
    pub thickness: Millimetres,
    /// At a unit of the file to the millimetre.
    measured: Measured,
}

impl Scan {
    /// From what the desk gave of a file that it had opened.
    pub fn open(name: String, numbers: &[f64], thickness: Millimetres) -> Option<Scan> {
        Some(Scan { name, look: Look::START, thickness, measured: read_measured(numbers)? })
    }

    /// What it measures, at its scale.
    pub fn measured(&self) -> Measured {
        self.measured.clone().scaled(self.look.scale)
    }

    /// Its longest side at a scale: what one can check with a tape.
    pub fn longest(&self, scale: Scale) -> Millimetres {
        scale.length(self.measured.size.into_iter().fold(Millimetres(0.0), Millimetres::max))
    }

    /// Says that its longest side is really so long.
    ///
    /// # Errors
    /// [`MeshError::Length`] where it can't be.
    pub fn set_longest(&mut self, real: Millimetres) -> Result<(), MeshError> {
        self.look.scale = Scale::of_known_length(self.longest(Scale::MILLIMETRE), real)?;
        Ok(())
    }

    /// How high it stands when it is poured.
    pub fn height(&self) -> Millimetres {
        self.reach(self.look.upwards())
    }

    /// The height of the parting plane along the pull, above the lowest point.
    pub fn parting(&self) -> Millimetres {
        self.reach(self.look.pulled()) * (self.look.parting.value() / 100.0)
    }

    /// Puts the parting plane at a height along the pull; no higher than the scan.
    pub fn set_parting(&mut self, height: Millimetres) {
        let share = height / self.reach(self.look.pulled());
        if share.is_finite() {
            self.look.parting = Percent((share * 100.0).clamp(0.0, 100.0));
        }
    }

    fn reach(&self, along: Direction) -> Millimetres {
        let sides = self.measured.size.map(|side| self.look.scale.length(side));
        along.reach(sides)
    }

    /// The blanket of its thickness.
    ///
    /// # Errors
    /// [`MeshError::Length`] where the thickness is not above 0.
    pub fn blanket(&self) -> Result<Blanket, MeshError> {
        self.measured().blanket(self.thickness)
    }

    /// The journal's lines for keeping its figures with a job, or the shop.
    pub fn keep(&self, job: Option<Id>, found: &Found) -> Vec<Body> {
        let measured = self.measured();
        let blanket = self.blanket().ok().map(|blanket| blanket.volume.value());
        let numbers = [
            ("area", Some(measured.area.value())),
            ("volume", Some(measured.volume.value())),
            ("blanket", blanket),
            ("thickness", Some(self.thickness.value())),
            ("projected", Some(found.shadow.shadow.value())),
            ("height", Some(self.height().value())),
        ];
        let fill = |field: &str, entry: String| Body::SheetFilled {
            job,
            sheet: SHEET.into(),
            field: field.into(),
            entry: Some(entry),
        };
        let mut kept = vec![fill("name", self.name.clone())];
        for (field, number) in numbers {
            kept.extend(number.map(|number| fill(field, decimals::write(number))));
        }
        kept
    }
}

fn count(number: bool) -> f64 {
    f64::from(u8::from(number))
}

/// What was measured, as numbers for [`read_measured`].
fn write_measured(of: &Measured) -> Vec<f64> {
    let [x, y, z] = of.size.map(Millimetres::value);
    let mut all = vec![
        f64::from(of.triangles),
        f64::from(of.degenerate),
        x,
        y,
        z,
        of.area.value(),
        of.volume.value(),
        count(of.watertight),
        count(of.inside_out),
        f64::from(of.open_edges),
        f64::from(of.crowded_edges),
        f64::from(of.clashing_edges),
        f64::from(of.hole_count),
        f64::from(of.part_count),
        of.curvature.value(),
        of.euler as f64,
        count(of.convex),
        of.holes.len() as f64,
    ];
    for hole in &of.holes {
        all.extend(hole.middle.map(Millimetres::value));
        all.extend([hole.length.value(), hole.extent.value()]);
    }
    for part in &of.parts {
        all.extend([f64::from(part.triangles), part.area.value(), part.volume.value()]);
    }
    all
}

fn read_measured(numbers: &[f64]) -> Option<Measured> {
    let (head, rest) = numbers.split_first_chunk::<18>()?;
    let [triangles, degenerate, x, y, z, area, volume, watertight, inside_out, open, ..] = *head;
    let [.., crowded, clashing, hole_count, part_count, curvature, euler, convex, holes] = *head;
    let (holes, parts) = rest.split_at_checked(5 * holes as usize)?;
    let hole = |hole: &[f64]| Hole {
        middle: [hole[0], hole[1], hole[2]].map(Millimetres),
        length: Millimetres(hole[3]),
        extent: Millimetres(hole[4]),
    };
    let part = |part: &[f64]| Part {
        triangles: part[0] as u32,
        area: SquareMetres(part[1]),
        volume: Millilitres(part[2]),
    };
    Some(Measured {
        triangles: triangles as u32,
        degenerate: degenerate as u32,
        size: [x, y, z].map(Millimetres),
        area: SquareMetres(area),
        volume: Millilitres(volume),
        watertight: watertight > 0.0,
        inside_out: inside_out > 0.0,
        open_edges: open as u32,
        crowded_edges: crowded as u32,
        clashing_edges: clashing as u32,
        hole_count: hole_count as u32,
        holes: holes.chunks_exact(5).map(hole).collect(),
        part_count: part_count as u32,
        parts: parts.chunks_exact(3).map(part).collect(),
        curvature: Millimetres(curvature),
        euler: euler as i64,
        convex: convex > 0.0,
    })
}
