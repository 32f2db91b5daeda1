//! Files that are broken, cut, mistaken or made to do harm: an error that says
//! so, or a mesh that measures sanely. There are no reference values for these:
//! what is checked is that nothing panics, hangs or believes a header.

use super::*;
use proptest::prelude::*;
use std::f64::consts::PI;
use std::{fs, time::Instant};

const FILES: [&str; 7] = [
    "cone.stl",
    "mixed_ascii.stl",
    "box.obj",
    "capsule.ply",
    "box_ascii.ply",
    "box_fine_big.ply",
    "public_backwards.obj",
];

fn file(name: &str) -> Vec<u8> {
    fs::read(format!("{}/tests/data/meshes/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// Reads and does everything that can be done: all numbers have to be finite.
fn try_all(bytes: &[u8]) -> Result<(), MeshError> {
    let mut mesh = Mesh::read(bytes)?;
    let found = mesh.measure();
    assert!(found.area.is_finite() && found.area.value() >= 0.0);
    assert!(found.volume.is_finite() && found.volume.value() >= 0.0);
    assert!(found.curvature.is_finite() && found.size.iter().all(|side| side.is_finite()));
    assert!(found.part_count >= 1 && found.part_count <= found.triangles);
    assert!(found.holes.len() as u32 <= found.hole_count);
    for hole in &found.holes {
        assert!(hole.length.is_finite() && hole.middle.iter().all(|along| along.is_finite()));
    }
    let blanket = found.blanket(Millimetres(8.0)).unwrap();
    assert!(blanket.volume.is_finite() && blanket.volume.value() >= 0.0);
    let up = Direction::new(0.2, -0.3, 0.9).unwrap();
    let seen = shadow(&mesh, up);
    assert!(seen.shadow.is_finite() && seen.facing.is_finite());
    let parting = Parting { pull: up, height: Millimetres(1.0) };
    let locks = undercut(&mesh, &parting);
    assert!((0.0..=100.001).contains(&locks.share.value()), "{:?}", locks.share);
    assert!(vents(&mesh, up, Millimetres(1e-3), Millimetres(1.0)).unwrap().len() <= MOST_VENTS);
    let view = View { up, degrees: 30.0, undercut: Some(&locks) };
    assert_eq!(turntable(&mesh, &view, 32).len(), 32 * 32);
    if let Ok(coarse) = mesh.coarser(8) {
        assert!(coarse.triangles() <= mesh.triangles());
    }
    Ok(())
}

#[test]
fn whole_files_are_read() {
    for name in FILES {
        assert_eq!(try_all(&file(name)), Ok(()), "{name}");
    }
}

#[test]
fn a_file_cut_anywhere_says_so_or_measures_sanely() {
    for name in FILES {
        let whole = file(name);
        for end in (0..whole.len()).step_by(100).chain(whole.len() - 20..whole.len()) {
            let found = try_all(&whole[..end]);
            // A text of lines can end after any of them; the others can't.
            // (The last blanks may be missing from a text.)
            let blank = whole[end..].iter().all(u8::is_ascii_whitespace);
            let exact = !name.ends_with(".obj") && !name.contains("ascii");
            assert!(!exact || found.is_err(), "{name} to {end}");
            if name == "mixed_ascii.stl" && !blank && end < whole.len() - 20 {
                assert!(found.is_err(), "{name} to {end}");
            }
        }
    }
}

#[test]
fn what_is_missing_is_counted() {
    let whole = file("cone.stl");
    assert_eq!(
        Mesh::read(&whole[..84 + 50 * 10 + 49]),
        Err(MeshError::Truncated { found: 10, stated: Some(48) })
    );
    let whole = file("box_ascii.stl");
    let text = String::from_utf8(whole).unwrap();
    let end = text.match_indices("endfacet").nth(4).unwrap().0;
    assert_eq!(
        Mesh::read(&text.as_bytes()[..end]),
        Err(MeshError::Truncated { found: 5, stated: None })
    );
    let ply = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\n\
               property float z\nend_header\n0 0 0\n1 0 0\n";
    assert_eq!(Mesh::read(ply.as_bytes()), Err(MeshError::Truncated { found: 2, stated: Some(4) }));
}

#[test]
fn counts_are_not_believed() {
    let began = Instant::now();
    let stl = |count: u32, bytes: usize| {
        let mut file = vec![0; 80];
        file.extend(count.to_le_bytes());
        file.resize(84 + bytes, 0);
        Mesh::read(&file)
    };
    assert_eq!(stl(0, 0), Err(MeshError::NoFaces));
    assert_eq!(stl(3_000_000, 60), Err(MeshError::Truncated { found: 1, stated: Some(3_000_000) }));
    assert_eq!(stl(u32::MAX, 60), Err(MeshError::NotAMesh));
    // All corners at one place.
    assert_eq!(stl(1, 50), Err(MeshError::NoFaces));
    assert_eq!(stl(1, 70), Err(MeshError::NoFaces));
    let ply = |format: &str, elements: &str, rows: &[u8]| {
        let mut file = format!("ply\nformat {format} 1.0\n{elements}end_header\n").into_bytes();
        file.extend(rows);
        Mesh::read(&file)
    };
    let points = "element vertex 4000000000\nproperty float x\n";
    let faces = "element face 4000000000\nproperty list uint int vertex_indices\n";
    let stated = Some(4_000_000_000);
    for format in ["ascii", "binary_little_endian", "binary_big_endian"] {
        for elements in [points, faces] {
            let found = ply(format, elements, b"");
            assert_eq!(found, Err(MeshError::Truncated { found: 0, stated }), "{format}");
        }
        // Rows without anything in them.
        let found = ply(format, "element nothing 4000000000\n", b"");
        assert_eq!(found, Err(MeshError::NoFaces));
        let found = ply(format, "element vertex 5e9\n", b"");
        assert_eq!(found, Err(MeshError::Header));
    }
    // One list said to be of four thousand million.
    let found = ply("binary_little_endian", faces, &[0xff; 64]);
    assert_eq!(found, Err(MeshError::Truncated { found: 0, stated }));
    let found = ply("ascii", faces, b"1e300 1 2 3");
    assert_eq!(found, Err(MeshError::Truncated { found: 0, stated }));
    // Lists said to be below nothing, or no number, are none.
    let list = "element face 3\nproperty list float int vertex_indices\n";
    assert_eq!(ply("ascii", list, b"-5 nan 0"), Err(MeshError::NoFaces));
    assert!(began.elapsed().as_secs() < 5);
}

#[test]
fn a_real_count_above_the_limit_is_too_large() {
    let count = MOST_TRIANGLES as u32 + 1;
    let mut file = vec![0; 84 + 50 * count as usize];
    file[80..84].copy_from_slice(&count.to_le_bytes());
    assert_eq!(Mesh::read(&file), Err(MeshError::TooLarge));
    let text = "v 0 0 0\nv 1 0 0\nv 0 1 0\n".to_owned() + &"f 1 2 3\n".repeat(MOST_TRIANGLES + 1);
    assert_eq!(Mesh::read(text.as_bytes()), Err(MeshError::TooLarge));
}

#[test]
fn what_is_no_number_is_found() {
    for bad in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        let mut stl = file("cone.stl");
        stl[84 + 50 + 12 + 16..84 + 50 + 12 + 20].copy_from_slice(&bad.to_le_bytes());
        assert_eq!(Mesh::read(&stl), Err(MeshError::NotNumbers { point: 5 }));
        let text = format!("v 0 0 0\nv 1 0 {bad}\nv 0 1 0\nf 1 2 3\n");
        assert_eq!(Mesh::read(text.as_bytes()), Err(MeshError::NotNumbers { point: 2 }));
    }
    let mut filled = file("cone.stl");
    filled[84..].fill(0xff);
    assert_eq!(Mesh::read(&filled), Err(MeshError::NotNumbers { point: 1 }));
    // A point that no face uses may be anything.
    let text = "v 0 0 0\nv nan 1 1\nv 1e30 0 0\nv 1 0 0\nv 0 1 0\nf 1 4 5\n";
    assert_eq!(try_all(text.as_bytes()), Ok(()));
    // An STL normal may be anything too.
    let mut stl = file("cone.stl");
    stl[84..96].fill(0xff);
    assert_eq!(try_all(&stl), Ok(()));
}

#[test]
fn faces_of_points_that_are_not_there() {
    for face in ["1 2 4", "0 1 2", "-4 1 2", "1 2 x", "1 2 99999999999", "1 2 /3"] {
        let text = format!("v 0 0 0\nv 1 0 0\nv 0 1 0\nf {face}\n");
        let refused = Err(MeshError::NoSuchPoint { triangle: 1, points: 3 });
        assert_eq!(Mesh::read(text.as_bytes()), refused, "{face}");
    }
    // A point may come after the face that uses it.
    assert_eq!(try_all(b"f 1 2 3\nv 0 0 0\nv 1 0 0\nv 0 1 0\n"), Ok(()));
}

#[test]
fn other_files_are_no_meshes() {
    let page = b"<!DOCTYPE html>\n<html>\n<body>\nsolid work\n</body>\n</html>\n";
    let picture = [&[0xff, 0xd8, 0xff, 0xe0, 0, 16][..], &[0x5a; 500]].concat();
    let packed = [&b"PK\x03\x04\x14\0\0\0\x08\0"[..], &[0x99; 500]].concat();
    for bytes in [&page[..], &picture, &packed, b"ply", b"x", b"\0\0\0", &[b' '; 1000]] {
        assert_eq!(Mesh::read(bytes), Err(MeshError::NotAMesh));
    }
    assert_eq!(Mesh::read(b""), Err(MeshError::Empty));
    assert_eq!(Mesh::read(b"v 0 0 0\nv 1 0 0\nv 0 1 0\n"), Err(MeshError::NoFaces));
    assert_eq!(Mesh::read(b"solid a\nendsolid a\n"), Err(MeshError::NoFaces));
    assert_eq!(Mesh::read(b"ply\nformat odd 1.0\nend_header\n"), Err(MeshError::Header));
    assert_eq!(Mesh::read(b"ply\nproperty float x\nend_header\n"), Err(MeshError::Header));
}

#[test]
fn extremes_of_size_stay_finite() {
    for size in ["1e-38", "1e-20", "1e20", "3e38"] {
        let text = format!("v 0 0 0\nv {size} 0 0\nv 0 {size} 0\nv 0 0 {size}\n")
            + "f 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n";
        let mut mesh = Mesh::read(text.as_bytes()).unwrap();
        let found = mesh.measure();
        assert!(found.volume.is_finite() && found.curvature.is_finite(), "{size}");
        assert!(found.watertight, "{size}");
        let view = View { up: Direction::Y, degrees: 0.0, undercut: None };
        turntable(&mesh, &view, 16);
        let _ = undercut(&mesh, &Parting { pull: Direction::X, height: Millimetres(1.0) });
    }
    // All points on a line, or in a plane.
    assert_eq!(try_all(b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n"), Ok(()));
    assert_eq!(try_all(b"v 0 0 5\nv 1 0 5\nv 0 1 5\nf 1 2 3\n"), Ok(()));
}

#[test]
fn every_error_says_what_was_wrong_and_what_to_do() {
    for error in [
        MeshError::Empty,
        MeshError::NotAMesh,
        MeshError::Truncated { found: 3, stated: Some(9) },
        MeshError::Truncated { found: 3, stated: None },
        MeshError::TooLarge,
        MeshError::NoFaces,
        MeshError::NotNumbers { point: 7 },
        MeshError::NoSuchPoint { triangle: 1, points: 2 },
        MeshError::Header,
        MeshError::Length { what: "The thickness" },
    ] {
        let text = error.to_string();
        assert!(text.ends_with('.') && text.matches(['.', ';']).count() >= 2, "{text}");
    }
}

#[track_caller]
fn near(what: &str, found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

#[test]
fn a_binary_file_may_begin_with_solid() {
    let mut bytes = file("ring.stl");
    bytes[..11].copy_from_slice(b"solid thing");
    bytes[11..80].fill(b' ');
    assert_eq!(Mesh::read(&bytes), Mesh::read(&file("ring.stl")));
}

#[test]
fn a_soup_of_triangles_is_counted_and_listed_in_part() {
    // Right triangles (plane geometry): 30 apart, each longer than the one before.
    let mut text = String::new();
    for i in 1..=30 {
        text += &format!("v {i} 0 0\nv {i} {i} 0\nv {i} 0 {i}\nf -3 -2 -1\n");
    }
    let found = Mesh::read(text.as_bytes()).unwrap().measure();
    assert_eq!((found.part_count, found.hole_count, found.open_edges), (30, 30, 90));
    assert_eq!((found.parts.len(), found.holes.len()), (MOST_LISTED, MOST_LISTED));
    for (place, (part, hole)) in found.parts.iter().zip(&found.holes).enumerate() {
        let side = 30.0 - place as f64;
        near("area", part.area.value() * 1e6, side * side / 2.0, 1e-3);
        near("rim", hole.length.value(), side * (2.0 + 2.0_f64.sqrt()), 1e-3);
    }
}

#[test]
fn many_triangles_about_one_point() {
    // A disc (plane geometry): a fan of 5000 triangles: its middle has a bucket of sides that large.
    let count = 5000;
    let mut text = String::from("v 0 0 0\n");
    for i in 0..count {
        let turn = f64::from(i) / f64::from(count) * 2.0 * PI;
        text += &format!("v {} {} 0\n", 100.0 * turn.cos(), 100.0 * turn.sin());
    }
    for i in 0..count {
        text += &format!("f 1 {} {}\n", i + 2, (i + 1) % count + 2);
    }
    let found = Mesh::read(text.as_bytes()).unwrap().measure();
    assert_eq!((found.open_edges, found.hole_count, found.clashing_edges), (5000, 1, 0));
    near("circle", found.area.value() * 1e6, PI * 1e4, 1.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_bytes_at_all(bytes in proptest::collection::vec(any::<u8>(), 0..800)) {
        let _ = try_all(&bytes);
    }

    #[test]
    fn any_bytes_behind_a_true_beginning(
        which in 0..FILES.len(),
        kept in 0..700_usize,
        bytes in proptest::collection::vec(any::<u8>(), 0..800),
    ) {
        let mut file = file(FILES[which]);
        file.truncate(kept);
        file.extend(bytes);
        let _ = try_all(&file);
    }

    #[test]
    fn a_few_bytes_changed(
        which in 0..FILES.len(),
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
    ) {
        let mut file = file(FILES[which]);
        for (place, byte) in changes {
            let place = place.index(file.len());
            file[place] = byte;
        }
        let _ = try_all(&file);
    }

    #[test]
    fn any_text_of_a_mesh(text in "(v|f|vertex|solid|endsolid|ply|#|-?[0-9./e]{1,6}|\n| ){0,200}") {
        let _ = try_all(text.as_bytes());
    }
}
