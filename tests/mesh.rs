//! Scans against values from outside the project.
//!
//! Sources, named again beside each check: `tests/data/mesh_reference.csv`, made by
//! trimesh 5.2.0, NumPy and Shapely with the script beside it, of the files in
//! `tests/data/meshes/` (made by that script in six formats; `public_*` are from
//! trimesh's repository, MIT licence); the project's check values (topic 9 and
//! its table of public meshes, trimesh 5.2.0); closed forms of geometry handbooks.

use benchtide::engine::mesh::{
    Direction, MOST_VENTS, Mesh, MeshError, Parting, Scale, View, shadow, turntable, undercut,
    vents,
};
use benchtide::engine::quantity::Millimetres;
use std::collections::HashMap;
use std::f64::consts::PI;
use std::{fs, path::Path};

#[track_caller]
fn near(what: &str, found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

fn file(name: &str) -> Vec<u8> {
    fs::read(Path::new("tests/data/meshes").join(name)).unwrap()
}

fn mesh(name: &str) -> Mesh {
    Mesh::read(&file(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// The rows of the reference, by column.
fn reference() -> Vec<HashMap<String, String>> {
    let text = fs::read_to_string("tests/data/mesh_reference.csv").unwrap();
    let mut lines = text.lines().map(|line| line.split(',').map(String::from));
    let names: Vec<String> = lines.next().unwrap().collect();
    lines.map(|row| names.iter().cloned().zip(row).collect()).collect()
}

/// A number of a row; none where the reference has none.
fn number(row: &HashMap<String, String>, column: &str) -> Option<f64> {
    row[column].parse().ok()
}

#[test]
fn every_file_measures_as_the_reference_library_says() {
    let rows = reference();
    assert!(rows.len() > 40);
    for row in rows {
        let name = &row["file"];
        let get = |column: &str| number(&row, column).unwrap();
        let mut mesh = mesh(name);
        let found = mesh.measure();
        let count = |column: &str, found: u32| {
            assert_eq!(f64::from(found), get(column), "{name}: {column}");
        };
        count("triangles", found.triangles);
        count("degenerate", found.degenerate);
        count("watertight", u32::from(found.watertight));
        count("inside_out", u32::from(found.inside_out));
        count("open", found.open_edges);
        count("crowded", found.crowded_edges);
        count("parts", found.part_count);
        count("holes", found.hole_count);
        // Coordinates are single precision.
        let largest = ["x", "y", "z"].map(get).into_iter().fold(0.0, f64::max);
        let far = if name == "rough_far.ply" { 100.0 } else { 1.0 };
        for (axis, side) in ["x", "y", "z"].into_iter().zip(found.size) {
            near(name, side.value(), get(axis), far * 3e-7 * largest);
        }
        // Areas are in square millimetres there, volumes in cubic ones.
        let (area, volume) = (get("area"), get("volume"));
        near(name, found.area.value() * 1e6, area, far * 1e-6 * area);
        near(name, found.volume.value() * 1e3, volume, far * 2e-6 * volume);
        near(name, found.parts[0].area.value() * 1e6, get("largest"), far * 1e-6 * area);
        let longest = found.holes.first().map_or(0.0, |hole| hole.length.value());
        near(name, longest, get("longest"), 1e-6 * largest);
        if let Some(euler) = number(&row, "euler") {
            assert_eq!(found.euler as f64, euler, "{name}");
            let bends = number(&row, "curvature").unwrap();
            near(name, found.curvature.value(), bends, far * 1e-5 * bends);
            let exact = number(&row, "curvature_exact").unwrap();
            near(name, found.curvature.value(), exact, far * 2e-6 * exact);
        }

        let seen = shadow(&mesh, Direction::Z);
        let wanted = get("facing");
        near(name, seen.facing.value() * 1e6, wanted, 1e-5 * area);
        // Shapely's union of all triangles, against a grid: a hundredth.
        let wanted = get("shadow");
        near(name, seen.shadow.value() * 1e6, wanted, 0.01 * wanted + 1e-9);

        if let Some(away) = number(&row, "away") {
            let height = found.size[2] * 0.53;
            let locks = undercut(&mesh, &Parting { pull: Direction::Z, height });
            near(name, locks.away.value() * 1e6, away, 1e-4 * area);
        }

        let tall = found.size[2];
        let deep: Vec<f64> = row["depths"].split(' ').map(|depth| depth.parse().unwrap()).collect();
        // Any two vents may be as close as one likes here.
        let found = vents(&mesh, Direction::Z, tall * 0.01, tall * 1e-6).unwrap();
        for (vent, depth) in found.iter().zip(&deep) {
            near(name, vent.pocket.value(), *depth, 1e-4 * tall.value());
        }
        assert!(found.len() >= deep.len().min(4), "{name}: {} {deep:?}", found.len());
        assert!(deep.len() == 4 || found.len() == deep.len(), "{name}: {} {deep:?}", found.len());
    }
}

#[test]
fn the_public_meshes_measure_as_in_the_table_of_check_values() {
    // Check values, topic 9, and data/mesh_area_volume.csv (trimesh 5.2.0).
    for (name, area, volume) in [
        ("public_cube.stl", 6.0, 1.0),
        ("public_sphere.stl", 12.506493, 4.152741),
        ("public_torus.ply", 19.715509, 4.917547),
        ("public_cube_20mm.stl", 2499.024877, 7938.681876),
        ("public_angle_block.stl", 9.387338, 1.145523),
        ("public_cylinder.stl", 56.518395, 25.092388),
        ("public_plate_holes.stl", 133343.41189, 767362.11253),
    ] {
        let found = mesh(name).measure();
        near(name, found.area.value() * 1e6, area, 1e-6 * area);
        near(name, found.volume.value() * 1e3, volume, 1e-6 * volume);
        assert!(found.watertight, "{name}");
    }
}

#[test]
fn a_blanket_on_a_box_is_steiners() {
    // Check values, topic 9: box 100 x 60 x 40 mm; Steiner's formula.
    for name in ["box.stl", "box_ascii.stl", "box.obj", "box.ply", "box_ascii.ply", "box_big.ply"] {
        let found = mesh(name).measure();
        assert!(found.convex);
        near(name, found.curvature.value(), 628.3185, 1e-4);
        for (t, whole) in [(5.0, 380_231.562), (10.0, 555_020.643)] {
            let blanket = found.blanket(Millimetres(t)).unwrap();
            assert!(blanket.exact);
            near(name, blanket.volume.value() * 1e3 + 240_000.0, whole, 0.01);
            near(name, blanket.flat.value() * 1e3, 24_800.0 * t, 0.01);
        }
    }
}

#[test]
fn a_blanket_on_a_sphere_and_on_a_ring() {
    // Check values, topic 9: sphere r 100, t 10: 1 386 490 mm3 (area times
    // thickness 1 256 637). 1280 flat triangles are 0.7 % short of it.
    let mut sphere = mesh("public_sphere.stl");
    sphere.set_scale(Scale::of_known_length(Millimetres(2.0), Millimetres(200.0)).unwrap());
    let blanket = sphere.measure().blanket(Millimetres(10.0)).unwrap();
    near("sphere", blanket.volume.value() * 1e3, 1_386_490.0, 0.007 * 1_386_490.0);
    near("flat", blanket.flat.value() * 1e3, 1_256_637.0, 0.007 * 1_256_637.0);
    // Torus R 1, r 0.5, by its extents in the table of check values; Pappus: the
    // blanket is 2 pi^2 R ((r+t)^2 - r^2), without any term in t^3. The mesh has
    // 8700 flat triangles.
    let found = mesh("public_torus.ply").measure();
    let t = 0.1;
    let wanted = 2.0 * PI * PI * ((0.5_f64 + t).powi(2) - 0.25);
    let blanket = found.blanket(Millimetres(t)).unwrap();
    near("torus", blanket.volume.value() * 1e3, wanted, 0.005 * wanted);
    assert!(!blanket.exact);
    for t in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let refused = found.blanket(Millimetres(t));
        assert_eq!(refused, Err(MeshError::Length { what: "The thickness" }));
    }
}

#[test]
fn only_closed_bodies_without_dents_are_convex() {
    // By construction (see the script).
    for (name, convex) in [
        ("cone.stl", true),
        ("capsule.obj", true),
        ("public_sphere.stl", true),
        ("public_tetrahedron.ply", true),
        ("box_fine.stl", true),
        ("rough.stl", false),
        ("tube.stl", false),
        ("bowl_ascii.ply", false),
        ("apart.stl", false),
        ("inverted.obj", false),
        ("vase.obj", false),
    ] {
        assert_eq!(mesh(name).measure().convex, convex, "{name}");
    }
}

#[test]
fn each_format_gives_the_same() {
    for names in [
        ["ring.stl", "ring_ascii.stl", "ring.obj", "ring.ply", "ring_ascii.ply", "ring_big.ply"],
        ["box.stl", "box_ascii.stl", "box.obj", "box.ply", "box_ascii.ply", "box_big.ply"],
    ] {
        let first = mesh(names[0]).measure();
        for name in names {
            let found = mesh(name).measure();
            assert_eq!(found.triangles, first.triangles);
            near(name, found.area / first.area, 1.0, 1e-6);
            near(name, found.volume / first.volume, 1.0, 1e-6);
            near(name, found.curvature / first.curvature, 1.0, 1e-6);
        }
    }
}

#[test]
fn the_scale_changes_lengths_areas_and_volumes() {
    // 100 x 60 x 40 of each unit; an inch is 25.4 mm (NIST SP 811).
    let as_it_is = mesh("box.stl").measure();
    for (scale, factor) in Scale::USUAL.into_iter().zip([1.0, 10.0, 25.4, 1000.0]) {
        let mut scaled = mesh("box.stl");
        scaled.set_scale(scale);
        near("height", scaled.size()[2].value(), 40.0 * factor, 1e-6 * factor);
        near("height", scale.length(as_it_is.size[2]).value(), 40.0 * factor, 1e-6 * factor);
        let (direct, after) = (scaled.measure(), as_it_is.clone().scaled(scale));
        for (a, b) in [
            (direct.area.value(), 0.0248 * factor * factor),
            (after.area.value(), 0.0248 * factor * factor),
            (direct.volume.value(), 240.0 * factor.powi(3)),
            (after.volume.value(), 240.0 * factor.powi(3)),
            (after.parts[0].volume.value(), 240.0 * factor.powi(3)),
            (direct.curvature.value(), 628.3185307 * factor),
            (after.curvature.value(), 628.3185307 * factor),
        ] {
            near("scaled", a / b, 1.0, 1e-6);
        }
        let seen = shadow(&scaled, Direction::Y);
        near("shadow", seen.shadow.value(), 0.004 * factor * factor, 1e-6 * factor * factor);
        let found = vents(&scaled, Direction::Y, Millimetres(factor), Millimetres(500.0 * factor));
        near("pocket", found.unwrap()[0].pocket.value(), 60.0 * factor, 1e-5 * factor);
    }
    let mut bowl = mesh("bowl_ascii.ply");
    let hole = bowl.measure().scaled(Scale::CENTIMETRE).holes[0].clone();
    bowl.set_scale(Scale::CENTIMETRE);
    assert_eq!(bowl.measure().holes[0], hole);
    for (read, real) in [(0.0, 1.0), (1.0, 0.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
        assert!(Scale::of_known_length(Millimetres(read), Millimetres(real)).is_err());
    }
}

#[test]
fn holes_are_where_they_were_cut() {
    // The script cuts a ball of radius 60: below z -50, about (60, 0, 0) and about
    // (0, -60, 0), in falling size.
    let found = mesh("holed.stl").measure();
    let wanted = [[0.0, 0.0, -50.0], [60.0, 0.0, 0.0], [0.0, -60.0, 0.0]];
    for (hole, place) in found.holes.iter().zip(wanted) {
        for (along, wanted) in hole.middle.iter().zip(place) {
            near("middle", along.value(), wanted, 6.0);
        }
        // Longer than its extent to and fro, shorter than round its box.
        let times = hole.length / hole.extent;
        assert!((2.0..4.5).contains(&times), "{times}");
    }
    // A half ball's rim is a flat circle: covered, it has half the ball's volume.
    let found = mesh("bowl_ascii.ply").measure();
    assert_eq!(found.hole_count, 1);
    near("rim", found.holes[0].length.value(), 2.0 * PI * 40.0, 0.12 * 250.0);
}

/// Boxes as OBJ: from and to along each axis.
fn boxes(all: &[[f64; 6]]) -> Mesh {
    let mut text = String::new();
    for [x0, y0, z0, x1, y1, z1] in all {
        for corner in 0..8 {
            let pick =
                |bit: usize, low: f64, high: f64| if corner >> bit & 1 == 1 { high } else { low };
            text +=
                &format!("v {} {} {}\n", pick(0, *x0, *x1), pick(1, *y0, *y1), pick(2, *z0, *z1));
        }
        text += "f -8 -6 -5 -7\nf -4 -3 -1 -2\nf -8 -7 -3 -4\nf -6 -2 -1 -5\n";
        text += "f -8 -4 -2 -6\nf -7 -5 -1 -3\n";
    }
    let mut mesh = Mesh::read(text.as_bytes()).unwrap();
    assert!(mesh.measure().watertight);
    mesh
}

#[test]
fn what_lies_below_an_overhang_locks() {
    // A plate of 100 x 100 on a foot of 40 x 40 on a floor of 100 x 100, a millimetre
    // apart. Plane geometry: pulled up, the undersides of plate (10 000) and foot
    // (1 600) look away; the tops of floor and foot lie below something.
    let table = boxes(&[
        [0.0, 0.0, 0.0, 100.0, 100.0, 10.0],
        [30.0, 30.0, 11.0, 70.0, 70.0, 59.0],
        [0.0, 0.0, 60.0, 100.0, 100.0, 70.0],
    ]);
    let pull = |height| Parting { pull: Direction::Z, height: Millimetres(height) };
    let found = undercut(&table, &pull(5.0));
    // The floor's own underside is below the parting plane and comes off downwards.
    near("away", found.away.value() * 1e6, 11_600.0, 1.0);
    near("below", found.below.value() * 1e6, 10_000.0 + 1_600.0, 300.0);
    let all = 2.0 * (20_000.0 + 4_000.0) + 3_200.0 + 4.0 * 40.0 * 48.0;
    near("share", found.share.value(), 23_200.0 / all * 100.0, 0.6);
    // Pulled downwards from above everything it is the same the other way up.
    let down = Parting { pull: Direction::Z.reversed(), height: Millimetres(5.0) };
    near("down", undercut(&table, &down).away.value() * 1e6, 11_600.0, 1.0);
    // Pulled sideways, from the middle, nothing locks: all walls are straight.
    let side = Parting { pull: Direction::X, height: Millimetres(50.0) };
    let found = undercut(&table, &side);
    near("sideways", found.share.value(), 0.0, 1e-9);
    // And its shadow: the foot is hidden by the plate.
    let seen = shadow(&table, Direction::Z);
    near("shadow", seen.shadow.value() * 1e6, 10_000.0, 1e-3);
    near("facing", seen.facing.value() * 1e6, 21_600.0, 1e-2);
}

#[test]
fn the_shadow_of_a_box_from_a_corner_is_a_hexagon() {
    // A cube seen along its diagonal: side squared times the root of 3 (geometry).
    let cube = mesh("public_cube.stl");
    let along = Direction::new(1.0, 1.0, 1.0).unwrap();
    let seen = shadow(&cube, along);
    near("shadow", seen.shadow.value() * 1e6, 3.0_f64.sqrt(), 0.01);
    near("facing", seen.facing.value() * 1e6, 3.0_f64.sqrt(), 1e-6);
    for nowhere in [[0.0; 3], [f64::NAN, 1.0, 0.0], [f64::INFINITY, 0.0, 0.0]] {
        assert_eq!(Direction::new(nowhere[0], nowhere[1], nowhere[2]), None);
    }
}

#[test]
fn vents_are_on_the_summits() {
    // The script's three humps: at (25, 0) 20 high, at (-25, 15) 14, at (-20, -25) 9.
    let humps = mesh("humps.obj");
    let found = vents(&humps, Direction::Z, Millimetres(1.0), Millimetres(5.0)).unwrap();
    assert_eq!(found.len(), 3);
    for (vent, [x, y, z]) in
        found.iter().zip([[25.0, 0.0, 20.0], [-25.0, 15.0, 14.0], [-20.0, -25.0, 9.0]])
    {
        near("x", vent.place[0].value(), x, 3.0);
        near("y", vent.place[1].value(), y, 3.0);
        near("height", vent.height.value(), z, 0.6);
    }
    // Two that are nearer than asked for are one; so are those too shallow.
    let apart =
        |deep, apart| vents(&humps, Direction::Z, Millimetres(deep), Millimetres(apart)).unwrap();
    // The second and the third are 41 mm apart, the first 53 from either.
    assert_eq!(apart(1.0, 48.0).len(), 2);
    assert_eq!(apart(1.0, 60.0).len(), 1);
    assert_eq!(apart(10.0, 5.0).len(), 2);
    // Of thirty upright triangles, 1 to 30 high and apart, the highest are listed.
    let line = |i| format!("v {i} 0 0\nv {i} {i} 0\nv {i} 0 {i}\nf -3 -2 -1\n");
    let text: String = (1..=30).map(line).collect();
    let spikes = Mesh::read(text.as_bytes()).unwrap();
    let most = vents(&spikes, Direction::Z, Millimetres(0.1), Millimetres(0.1)).unwrap();
    assert_eq!(most.len(), MOST_VENTS);
    for (vent, tall) in most.iter().zip((0..=30).rev()) {
        near("pocket", vent.pocket.value(), f64::from(tall), 1e-3);
    }
    // A box on end: its flat top is one place, not four corners.
    let cube = mesh("public_cube.stl");
    let found = vents(&cube, Direction::Z, Millimetres(0.01), Millimetres(1e-3)).unwrap();
    assert_eq!(found.len(), 1);
    assert!(vents(&cube, Direction::Z, Millimetres(0.0), Millimetres(1.0)).is_err());
    assert!(vents(&cube, Direction::Z, Millimetres(1.0), Millimetres(f64::NAN)).is_err());
}

#[test]
fn a_picture_shows_as_much_as_the_shadow() {
    // Looking down by 20 degrees at a cube of side 1, front on: 1 by cos 20 of front
    // and 1 by sin 20 of top (geometry), on a picture as wide as the diagonal.
    let cube = mesh("public_cube.stl");
    let view = View { up: Direction::Z, degrees: 0.0, undercut: None };
    let picture = turntable(&cube, &view, 256);
    assert_eq!(picture.len(), 256 * 256);
    let seen = picture.iter().filter(|shade| **shade > 0).count() as f64 * 3.0 / (256.0 * 256.0);
    let tilt = 20.0_f64.to_radians();
    near("seen", seen, tilt.cos() + tilt.sin(), 0.02);
    // Front and top are of two shades; turned by a half turn it looks the same.
    let mut shades: Vec<u8> = picture.iter().copied().filter(|shade| *shade > 0).collect();
    shades.sort_unstable();
    shades.dedup();
    assert_eq!(shades.len(), 2);
    let quarter = turntable(&cube, &View { degrees: 90.0, ..view }, 256);
    let differ = picture.iter().zip(&quarter).filter(|(a, b)| a != b).count();
    assert!(differ < 1500, "{differ}");
    // The background stays empty at the border, whichever way it is turned.
    for degrees in [0.0, 33.0, 45.0, 200.0, -1000.0] {
        let picture = turntable(&cube, &View { degrees, ..view }, 64);
        let border = (0..64).flat_map(|i| [i, 63 * 64 + i, 64 * i, 64 * i + 63]);
        assert!(border.into_iter().all(|at| picture[at] == 0), "{degrees}");
    }
}

#[test]
fn a_picture_hatches_what_locks() {
    let ring = mesh("ring.stl");
    // Parted at its lowest point, the ring's lower half looks away.
    let locks =
        undercut(&ring, &Parting { pull: Direction::Z.reversed(), height: Millimetres(0.0) });
    assert!(locks.share.value() > 20.0);
    let view = View { up: Direction::Z, degrees: 0.0, undercut: None };
    let (plain, hatched) = (
        turntable(&ring, &view, 200),
        turntable(&ring, &View { undercut: Some(&locks), ..view }, 200),
    );
    let seen = plain.iter().filter(|shade| **shade > 0).count();
    assert_eq!(hatched.iter().filter(|shade| **shade > 0).count(), seen);
    let stripes = hatched.iter().filter(|shade| **shade == 1).count();
    assert!(stripes * 5 > seen && stripes * 2 < seen, "{stripes} of {seen}");
}

#[test]
fn a_coarser_mesh_is_near_the_fine_one() {
    let mut fine = mesh("public_torus.ply");
    let mut coarse = fine.coarser(24).unwrap();
    assert!(coarse.triangles() * 2 < fine.triangles(), "{}", coarse.triangles());
    near("area", coarse.measure().area / fine.measure().area, 1.0, 0.08);
    assert!(fine.coarser(1).is_err() || fine.coarser(1).unwrap().triangles() < 30);
}

#[test]
fn a_flipped_mesh_has_its_hollows_outside() {
    let mut once = mesh("ring.stl");
    let right = once.measure();
    once.flip();
    let turned = once.measure();
    assert!(!right.inside_out && turned.inside_out);
    assert_eq!(turned.volume, right.volume);
    near("curvature", turned.curvature / right.curvature, 1.0, 1e-12);
    // A hollow inside a body counts against it.
    let shell = mesh("shell.stl").measure();
    assert!(shell.parts[0].volume.value() > 0.0 && shell.parts[1].volume.value() < 0.0);
}
