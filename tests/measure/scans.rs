//! A million triangles read and measured, in each format.

use super::{clock, say};
use benchtide::engine::mesh::{Direction, Mesh, Parting, View, shadow, turntable, undercut, vents};
use benchtide::engine::quantity::Millimetres;
use std::fmt::Write;

/// A closed rough ring of `2 * around * across` triangles.
pub struct Ring {
    points: Vec<[f32; 3]>,
    faces: Vec<[u32; 3]>,
}

fn ring(around: u32, across: u32) -> Ring {
    let turn = std::f32::consts::TAU;
    let mut points = Vec::new();
    let mut seed = 1_u32;
    for i in 0..around {
        for j in 0..across {
            // A linear congruential generator (Numerical Recipes): the same each time.
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let rough = 40.0 + (seed >> 8) as f32 / 16_777_216.0 * 0.2;
            let (u, v) = (turn * i as f32 / around as f32, turn * j as f32 / across as f32);
            let out = 100.0 + rough * v.cos();
            points.push([out * u.cos(), out * u.sin(), rough * v.sin()]);
        }
    }
    let mut faces = Vec::new();
    let at = |i: u32, j: u32| i % around * across + j % across;
    for i in 0..around {
        for j in 0..across {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            faces.extend([[a, b, c], [a, c, d]]);
        }
    }
    Ring { points, faces }
}

impl Ring {
    fn corners(&self, face: &[u32; 3]) -> [[f32; 3]; 3] {
        face.map(|corner| self.points[corner as usize])
    }

    /// As a file.
    pub fn stl(&self) -> Vec<u8> {
        let mut bytes = vec![0; 80];
        bytes.extend((self.faces.len() as u32).to_le_bytes());
        for face in &self.faces {
            bytes.extend([0; 12]);
            let along = self.corners(face).into_iter().flatten();
            bytes.extend(along.flat_map(f32::to_le_bytes));
            bytes.extend([0; 2]);
        }
        bytes
    }

    /// As a file.
    pub fn stl_text(&self) -> Vec<u8> {
        let mut text = String::from("solid ring\n");
        for face in &self.faces {
            text += "facet normal 0 0 0\nouter loop\n";
            for [x, y, z] in self.corners(face) {
                writeln!(text, "vertex {x:.4} {y:.4} {z:.4}").unwrap();
            }
            text += "endloop\nendfacet\n";
        }
        (text + "endsolid\n").into_bytes()
    }

    /// As a file.
    pub fn obj(&self) -> Vec<u8> {
        let mut text = String::new();
        for [x, y, z] in &self.points {
            writeln!(text, "v {x:.4} {y:.4} {z:.4}").unwrap();
        }
        for [a, b, c] in &self.faces {
            writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1).unwrap();
        }
        text.into_bytes()
    }

    fn ply_head(&self, format: &str) -> String {
        format!(
            "ply\nformat {format} 1.0\nelement vertex {}\nproperty float x\nproperty float y\n\
             property float z\nelement face {}\nproperty list uchar int vertex_indices\n\
             end_header\n",
            self.points.len(),
            self.faces.len()
        )
    }

    /// As a file.
    pub fn ply(&self) -> Vec<u8> {
        let mut bytes = self.ply_head("binary_little_endian").into_bytes();
        bytes.extend(self.points.iter().flatten().flat_map(|along| along.to_le_bytes()));
        for face in &self.faces {
            bytes.push(3);
            bytes.extend(face.iter().flat_map(|corner| corner.to_le_bytes()));
        }
        bytes
    }

    /// As a file.
    pub fn ply_text(&self) -> Vec<u8> {
        let mut text = self.ply_head("ascii");
        for [x, y, z] in &self.points {
            writeln!(text, "{x:.4} {y:.4} {z:.4}").unwrap();
        }
        for [a, b, c] in &self.faces {
            writeln!(text, "3 {a} {b} {c}").unwrap();
        }
        text.into_bytes()
    }
}

/// Runs it a few times, and says what the quickest run took.
fn quickest<T>(what: &str, aim: &str, mut run: impl FnMut() -> T) -> T {
    let mut least = f64::INFINITY;
    let mut result = None;
    for _ in 0..3 {
        let began = clock();
        result = Some(run());
        least = least.min(clock() - began);
    }
    say(&format!("{what:52} {least:9.0} ms   {aim}"));
    result.unwrap()
}

/// Says what a million triangles in a format take to read and measure.
pub fn read(format: &str, write: fn(&Ring) -> Vec<u8>) {
    let ring = ring(1000, 500);
    let bytes = write(&ring);
    let count = ring.faces.len() as u32;
    let what = format!("{count} triangles, {format}, {} MB", bytes.len() / 1_000_000);
    let found = quickest(&what, "aim 1000 ms in WASM", || Mesh::read(&bytes).unwrap().measure());
    assert_eq!((found.triangles, found.watertight), (count, true));
}

/// Says what its figures and pictures take.
pub fn figures() {
    let mesh = Mesh::read(&ring(1000, 500).stl()).unwrap();
    let coarse = quickest("a coarser one for pictures", "", || mesh.coarser(128).unwrap());
    let view = View { up: Direction::Z, degrees: 30.0, undercut: None };
    quickest("a picture", "", || turntable(&coarse, &view, 256));
    quickest("its shadow", "", || shadow(&mesh, Direction::Z));
    let parting = Parting { pull: Direction::Z, height: Millimetres(40.0) };
    quickest("what locks", "", || undercut(&mesh, &parting));
    let apart = Millimetres(10.0);
    quickest("where air stays", "", || vents(&mesh, Direction::Z, apart, apart).unwrap());
}
