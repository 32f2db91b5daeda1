//! The desk beside the screen: holds a scan's surface and answers about it.

use super::{Found, High, Look, picture, write_measured};
use crate::engine::mesh::{
    Mesh, MeshError, Parting, Undercut, View, shadow, turntable, undercut, vents,
};
use crate::engine::quantity::Millimetres;

/// Pixels along a side of a picture.
const PIXELS: usize = 256;
/// Triangles of a surface that can be drawn as it is; any more, and a coarser one
/// is drawn in its stead.
const DRAWN: u32 = 60_000;
/// Cells along the longest side of that one: less than the picture's pixels.
const CELLS: u16 = 128;
/// A pocket of air matters from this share of the longest side on, and vents are
/// no nearer than that one: what is smaller nobody would drill (common practice).
const DEEP: f64 = 0.01;
const APART: f64 = 0.05;

/// A surface, with what was worked out of it last.
pub struct Desk {
    fine: Mesh,
    /// For pictures, where the surface has too many triangles.
    coarse: Option<Mesh>,
    found: Option<Standing>,
}

/// What was found as a scan stood.
struct Standing {
    /// How: all of [`Look`] but its last two numbers.
    how: Vec<f64>,
    found: Vec<f64>,
    /// On the surface that is drawn.
    locks: Undercut,
}

impl Desk {
    /// Reads a file and measures it: the desk, and the numbers for
    /// [`super::Scan::open`].
    ///
    /// # Errors
    /// What is wrong with the file.
    pub fn open(bytes: Vec<u8>) -> Result<(Desk, Vec<f64>), MeshError> {
        let mut fine = Mesh::read(&bytes)?;
        // Its room is wanted for measuring.
        drop(bytes);
        let measured = fine.measure();
        let coarse = (fine.triangles() > DRAWN).then(|| fine.coarser(CELLS).ok()).flatten();
        Ok((Desk { fine, coarse, found: None }, write_measured(&measured)))
    }

    /// Numbers for [`Found::read`], and a picture as the address of an image.
    pub fn look(&mut self, look: &Look) -> (Vec<f64>, String) {
        let numbers = look.write();
        let how = &numbers[..4];
        let known = self.found.as_ref().is_some_and(|known| known.how == how);
        if look.agreed && !known {
            self.fine.set_scale(look.scale);
            let (found, locks) = self.stand(look);
            self.found = Some(Standing { how: how.to_vec(), found, locks });
        }
        let found = self.found.as_ref().filter(|_| look.agreed);
        let view = View {
            up: look.upwards(),
            degrees: f64::from(look.degrees),
            undercut: found.map(|found| &found.locks),
        };
        let drawn = self.coarse.as_ref().unwrap_or(&self.fine);
        let shades = turntable(drawn, &view, PIXELS);
        let numbers = found.map(|found| found.found.clone()).unwrap_or_default();
        (numbers, picture::address(&shades, PIXELS))
    }

    /// What is found of the scan as it stands, and what of the drawn surface locks.
    fn stand(&mut self, look: &Look) -> (Vec<f64>, Undercut) {
        let up = look.upwards();
        let pull = look.pulled();
        let height = self.fine.reach(pull) * (look.parting.value() / 100.0);
        let parting = Parting { pull, height };
        let locks = undercut(&self.fine, &parting);
        let longest = self.fine.size().into_iter().fold(Millimetres(0.0), Millimetres::max);
        // Lengths above 0, unless the scan is a single point: then there are none.
        let vents = vents(&self.fine, up, longest * DEEP, longest * APART).unwrap_or_default();
        let [_, _, _, left, front, _] = up.sides();
        let highs = vents.iter().map(|vent| High {
            height: vent.height,
            pocket: vent.pocket,
            from_left: self.fine.from_side(left, vent.place),
            from_front: self.fine.from_side(front, vent.place),
        });
        let highs: Vec<High> = highs.collect();
        let found = Found::write(shadow(&self.fine, up), &locks, &highs);
        let drawn = match &mut self.coarse {
            Some(coarse) => {
                coarse.set_scale(look.scale);
                undercut(coarse, &parting)
            }
            None => locks,
        };
        (found, drawn)
    }
}
