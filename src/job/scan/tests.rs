//! A scan's figures through the desk, against `tests/data/mesh_reference.csv` (made
//! by trimesh 5.2.0 with the script beside it) and against plane geometry.

use super::desk::Desk;
use super::{Found, Look, PULLS, Scan, TURN, UPS};
use crate::engine::mesh::{Direction, Mesh, MeshError, Scale, View, turntable};
use crate::engine::quantity::{Instant, Millimetres, Percent, SquareMetres};
use crate::job::event::{Event, Id};
use crate::job::sheet;
use crate::job::state::State;

fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(format!("tests/data/meshes/{name}")).unwrap()
}

fn open(name: &str) -> (Desk, Scan) {
    let (desk, numbers) = Desk::open(bytes(name)).unwrap();
    (desk, Scan::open(name.into(), &numbers, Millimetres(12.0)).unwrap())
}

/// What the desk finds of a scan whose size is agreed on.
fn found(desk: &mut Desk, scan: &mut Scan) -> Found {
    scan.look.agreed = true;
    Found::read(&desk.look(&scan.look).0).unwrap()
}

#[track_caller]
fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted} within {within}");
}

#[test]
fn what_is_told_is_what_was_measured() {
    for name in ["ring.stl", "holed.stl", "shell.ply", "inverted.obj", "public_polygons.obj"] {
        let (_, mut scan) = open(name);
        let direct = Mesh::read(&bytes(name)).unwrap().measure();
        assert_eq!(scan.measured(), direct, "{name}");
        scan.look.scale = Scale::INCH;
        assert_eq!(scan.measured(), direct.scaled(Scale::INCH), "{name}");
    }
}

#[test]
fn a_look_reads_back_as_it_was_written() {
    let look = Look {
        scale: Scale::INCH,
        up: 3,
        pull: 5,
        parting: Percent(35.0),
        degrees: 330,
        agreed: true,
    };
    assert_eq!(Look::read(&look.write()), Some(look));
    assert_eq!(Look::read(&Look::START.write()), Some(Look::START));
    assert_eq!(Look::read(&[1.0, 2.0]), None);
    assert_eq!(Look::read(&[0.0; 6]), None, "a scale of nothing");
}

#[test]
fn figures_are_those_of_the_reference_at_any_scale() {
    // mesh_reference.csv, columns shadow, facing, away (mm², pulled up from the lowest
    // point): of the cone 1941.1 seen from above, and of its 8500.2 in all 6559.1 away.
    let (mut desk, mut scan) = open("cone.stl");
    scan.look.pull = 1;
    scan.look.parting = Percent(0.0);
    let at = found(&mut desk, &mut scan);
    near(at.shadow.facing.value() * 1e6, 1941.142_82, 0.01);
    near(at.shadow.shadow.value() * 1e6, 1941.142_82, 20.0);
    near(at.away.value() * 1e6, 6559.076_41, 0.01);
    near(at.share.value(), 6559.076_41 / 8500.219_23 * 100.0, 0.01);
    assert_eq!(at.below, SquareMetres(0.0));
    // In inches, every area is 25.4² times as large and the share the same.
    scan.look.scale = Scale::INCH;
    let inches = found(&mut desk, &mut scan);
    near(inches.away / at.away, 25.4 * 25.4, 1e-6);
    near(inches.share / at.share, 1.0, 1e-6);
    near(scan.height().value(), 80.0 * 25.4, 1e-6);
    // A box from above and from the side: 100 x 60, 60 x 40 (plane geometry).
    let (mut desk, mut scan) = open("box.stl");
    near(found(&mut desk, &mut scan).shadow.shadow.value() * 1e6, 6000.0, 1e-3);
    scan.look.up = 4;
    near(found(&mut desk, &mut scan).shadow.shadow.value() * 1e6, 2400.0, 1e-3);
    assert_eq!(scan.height(), Millimetres(100.0));
}

#[test]
fn a_blanket_is_that_of_the_closed_form() {
    // Steiner: S t + M t² + 4/3 pi t³ of a box 100 x 60 x 40, M = pi (a + b + c).
    let (_, scan) = open("box.ply");
    let t: f64 = 12.0;
    let pi = std::f64::consts::PI;
    let wanted = 24_800.0 * t + pi * 200.0 * t * t + 4.0 / 3.0 * pi * t.powi(3);
    let blanket = scan.blanket().unwrap();
    near(blanket.volume.value(), wanted / 1000.0, 1e-3);
    assert!(blanket.exact);
    assert!(Scan { thickness: Millimetres(0.0), ..scan }.blanket().is_err());
}

#[test]
fn summits_are_found_from_the_left_and_from_the_front() {
    // The script's three humps on a plate of 100 x 100 about the origin: at (25, 0)
    // 20 high, at (-25, 15) 14, at (-20, -25) 9.
    let (mut desk, mut scan) = open("humps.obj");
    let highs = found(&mut desk, &mut scan).highs;
    let wanted = [[20.0, 75.0, 50.0], [14.0, 25.0, 65.0], [9.0, 30.0, 25.0]];
    assert_eq!(highs.len(), 3);
    for (high, [height, left, front]) in highs.iter().zip(wanted) {
        near(high.height.value(), height, 0.6);
        near(high.from_left.value(), left, 3.0);
        near(high.from_front.value(), front, 3.0);
    }
    // Stood on its head, the plate's underside is up, and level.
    scan.look.up = 1;
    let highs = found(&mut desk, &mut scan).highs;
    assert_eq!(highs.len(), 1);
}

#[test]
fn right_is_right_in_the_picture() {
    // A tall spike at the right end of a low bar: as it stands and on its head,
    // the picture has more of it in the half that `sides` calls right.
    let spike = b"v 0 0 0\nv 100 0 0\nv 100 0 90\nv 80 0 10\nv 0 0 10\n\
                  f 1 2 4\nf 1 4 5\nf 2 3 4\n";
    let mesh = Mesh::read(spike).unwrap();
    for up in [Direction::Z, Direction::Z.reversed()] {
        let [_, down, right, left, front, back] = up.sides();
        assert_eq!((down, left, back), (up.reversed(), right.reversed(), front.reversed()));
        let picture = turntable(&mesh, &View { up, degrees: 0.0, undercut: None }, 64);
        let seen = |columns: std::ops::Range<usize>| {
            picture
                .chunks(64)
                .map(|row| row[columns.clone()].iter().filter(|s| **s > 0).count())
                .sum::<usize>()
        };
        let in_right = seen(32..64) > seen(0..32);
        // The spike's end is the side at which x is 100.
        let to_right = mesh.from_side(right, [100.0, 0.0, 0.0].map(Millimetres));
        assert_eq!(in_right, to_right == Millimetres(0.0), "{up:?}");
        assert_ne!(seen(32..64), seen(0..32));
    }
    assert_eq!(UPS[0].0.sides().len(), PULLS.len());
}

#[test]
fn the_size_is_set_by_its_longest_side() {
    let (_, mut scan) = open("box.obj");
    assert_eq!(scan.longest(Scale::CENTIMETRE), Millimetres(1000.0));
    scan.set_longest(Millimetres(420.0)).unwrap();
    let measured = scan.measured();
    near(measured.size[1].value(), 60.0 * 4.2, 1e-6);
    near(measured.volume.value(), 240.0 * 4.2_f64.powi(3), 1e-6);
    for wrong in [0.0, -3.0, f64::NAN] {
        let error = MeshError::Length { what: "The length" };
        assert_eq!(scan.set_longest(Millimetres(wrong)), Err(error));
    }
}

#[test]
fn the_parting_plane_moves_and_stays_on_the_piece() {
    let (_, mut scan) = open("box.obj");
    assert_eq!(scan.parting(), Millimetres(20.0));
    scan.set_parting(Millimetres(10.0));
    assert_eq!(scan.look.parting, Percent(25.0));
    scan.look.shift(true);
    assert_eq!(scan.parting(), Millimetres(12.0));
    // Pulled to the right it is 100 long.
    scan.look.pull = 2;
    assert_eq!(scan.parting(), Millimetres(30.0));
    scan.set_parting(Millimetres(1e9));
    scan.look.shift(true);
    assert_eq!(scan.look.parting, Percent(100.0));
    for _ in 0..30 {
        scan.look.shift(false);
    }
    assert_eq!(scan.look.parting, Percent(0.0));
    // Twelve taps are once round, either way.
    for right in [true, false] {
        (0..360 / TURN).for_each(|_| scan.look.turn(right));
        assert_eq!(scan.look.degrees, 0);
    }
}

#[test]
fn what_is_kept_fills_the_sheet_and_nothing_else() {
    let (mut desk, mut scan) = open("ring.stl");
    let at = found(&mut desk, &mut scan);
    let id = Id::new(Instant(1_700_000_000_000), [3; 10]);
    let mut state = State::default();
    for (seq, body) in scan.keep(Some(id), &at).into_iter().enumerate() {
        let event = Event {
            id: Id::new(Instant(1_700_000_000_001), [seq as u8; 10]),
            seq: seq as u64,
            at: Instant(1_700_000_000_001),
            body,
        };
        state.apply(&event);
    }
    let number = |field: &str| sheet::number(&state, Some(id), "scan", field).unwrap();
    // mesh_reference.csv: area 28972.3441 mm², volume 208586.476 mm³, 30 mm high.
    near(number("area"), 0.028_972_344_1, 1e-9);
    near(number("volume"), 208.586_476, 1e-4);
    near(number("height"), 30.0, 1e-6);
    near(number("projected"), 0.009_270_509_78, 1e-4);
    assert_eq!(number("thickness"), 12.0);
    assert!(number("blanket") > number("area") * 12.0 * 1000.0);
    assert_eq!(sheet::entry(&state, Some(id), "scan", "name"), Some("ring.stl"));
    assert_eq!(state.sheets.len(), 1);
    assert_eq!(sheet::entry(&state, None, "scan", "name"), None);
}

#[test]
fn a_picture_is_an_image_of_its_own_and_shows_what_locks() {
    let (mut desk, mut scan) = open("ring.stl");
    let (numbers, plain) = desk.look(&scan.look);
    assert!(numbers.is_empty(), "nothing is told of a size that nobody agreed on");
    assert!(plain.starts_with("data:image/png;base64,iVBORw0KGgo"), "a PNG's first bytes");
    scan.look.agreed = true;
    scan.look.pull = 1;
    scan.look.parting = Percent(0.0);
    let (_, hatched) = desk.look(&scan.look);
    assert_ne!(plain, hatched);
    scan.look.turn(true);
    assert_ne!(desk.look(&scan.look).1, hatched);
}
