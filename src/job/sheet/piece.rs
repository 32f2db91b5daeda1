//! The size of a piece: shapes put together, a blanket over them.

use super::{Ask, Page, SIZES};
use crate::engine::quantity::Millimetres;
use crate::engine::shape::{
    Axis, Base, Faces, Join, Measures, Part, Piece, Ring, RingBy, Shape, ShapeError, blanket,
    measure,
};
use crate::engine::takeoff::{Quantity, Sum, Worked};
use crate::trade::model::Dimension;

/// Shapes, by their word in the journal and at the bench.
const SHAPES: [(&str, &str); 13] = [
    ("ellipsoid", "Egg or head"),
    ("girthed", "Head, with its girth"),
    ("half-ellipsoid", "Half an egg, mask"),
    ("cylinder", "Round column"),
    ("frustum", "Round taper"),
    ("cap", "Shallow dome"),
    ("box", "Box or slab"),
    ("half-round", "Half-round"),
    ("prism", "Prism, by sides"),
    ("triangle", "Prism, three sides"),
    ("outline", "Prism, by outline"),
    ("lathe", "Turned profile"),
    ("girth", "By one girth"),
];

/// Most parts of a piece on the screen.
const PARTS: u32 = 12;
/// Most rings of a profile on the screen.
const RINGS: u32 = 40;

/// Fills the sheet.
pub(super) fn work(page: &mut Page<'_>) -> Option<()> {
    let parts = page.count("parts", "Parts", 1, (1, PARTS));
    let mut first = None;
    let mut more = Vec::new();
    let mut complete = true;
    for part in 1..=parts {
        if parts > 1 {
            page.heading(format!("Part {part}"));
        }
        let shape = shape(page, part);
        complete &= shape.is_some();
        if part == 1 {
            first = shape;
            continue;
        }
        let joins = [
            ("on-top", "Stands on what is there"),
            ("beside", "Stands next to it"),
            ("cut", "Is taken out of it"),
        ];
        let join = [Join::OnTop, Join::Beside, Join::Cut]
            [page.choice(&format!("{part}.join"), "How it joins", &joins)];
        let contact =
            page.area_or_none(&format!("{part}.contact"), "Where it touches, or its mouth");
        if let Some(shape) = shape {
            more.push(Part { shape, join, contact });
        }
    }
    if parts > 1 {
        page.heading("Over all of it");
    }
    let detail = page.plain("detail", "Carving, hair, folds: area times", "×", 1.0, (1.0, 10.0));
    let stands = [("board", "All but what it stands on"), ("all", "All round")];
    let faces = [Faces::WithoutBase, Faces::All][page.choice("faces", "Covered", &stands)];
    let start = page.constant("blanket-thickness");
    let thickness = page.length_or("thickness", "Thickness of the blanket", start);
    if !complete {
        return None;
    }
    let piece = Piece { first: first?, more, detail };
    let (size, sum) = page.worked(measure(&piece, faces))?;
    results(page, &size, &sum);
    if thickness.value() > 0.0 {
        let (over, sum) = page.worked(blanket(&piece, faces, thickness))?;
        let exact = if over.exact { "Blanket, true offset" } else { "Blanket, offset estimated" };
        page.result(exact, Quantity::Volume(over.offset), &sum);
        page.result("Blanket, area times thickness", Quantity::Volume(over.simple), &sum);
    }
    page.note("A plan: the piece differs from the body that stands for it. Find it a second way and compare.");
    Some(())
}

fn results(page: &mut Page<'_>, size: &Measures, sum: &Sum) {
    let lines = [
        ("Area to cover", Quantity::Area(size.area)),
        ("Volume of the piece", Quantity::Volume(size.volume)),
        ("Length round it, for the flange", Quantity::Length(size.rim)),
        ("Seen from above, for the lift", Quantity::Area(size.above.area)),
        ("Seen from the front, for the joint", Quantity::Area(size.front.area)),
        ("Outline from the front", Quantity::Length(size.front.outline)),
        ("Seen from the side", Quantity::Area(size.side.area)),
        ("Outline from the side", Quantity::Length(size.side.outline)),
    ];
    for (text, value) in lines {
        page.result(text, value, sum);
    }
}

/// One part: which shape, and its sizes.
fn shape(page: &mut Page<'_>, part: u32) -> Option<Shape> {
    let name = |field: &str| format!("{part}.{field}");
    let kind = SHAPES[page.choice(&name("shape"), "Shape", &SHAPES)].0;
    match kind {
        "ellipsoid" | "girthed" | "half-ellipsoid" | "box" => {
            let length = page.length(&name("length"), "Front to back");
            let breadth = page.length(&name("breadth"), "Left to right");
            let up =
                if kind == "half-ellipsoid" { "Rise above the board" } else { "Bottom to top" };
            let height = page.length(&name("height"), up);
            if kind == "girthed" {
                let girth = page.length(&name("girth"), "Round it level, with the tape");
                let found = Shape::ellipsoid_to_girth(length?, breadth?, height?, girth?);
                return said(page, found);
            }
            let (length, breadth, height) = (length?, breadth?, height?);
            Some(match kind {
                "ellipsoid" => Shape::Ellipsoid { length, breadth, height },
                "box" => Shape::Box { length, breadth, height },
                _ => Shape::HalfEllipsoid { length, breadth, height, cut: Axis::Height },
            })
        }
        "cylinder" => {
            let width = page.length(&name("width"), "Across");
            let height = page.length(&name("height"), "Bottom to top");
            Some(Shape::Cylinder { width: width?, height: height? })
        }
        "frustum" => {
            let bottom = page.length(&name("bottom"), "Across the base");
            let top = page.length_or(&name("top"), "Across the top", 0.0);
            let height = page.length(&name("height"), "Bottom to top");
            Some(Shape::Frustum { bottom: bottom?, top, height: height? })
        }
        "cap" => {
            let width = page.length(&name("width"), "Across the base");
            let height = page.length(&name("height"), "Rise");
            let found = Shape::cap_on(width?, height?);
            said(page, found)
        }
        "half-round" => {
            let width = page.length(&name("width"), "Across the flat");
            let length = page.length(&name("length"), "Along it");
            Some(Shape::HalfRound { width: width?, length: length? })
        }
        "prism" => {
            let sides = page.count(&name("sides"), "Sides, all alike", 6, (3, 100));
            let side = page.length(&name("side"), "Length of a side");
            let height = page.length(&name("height"), "Height of the walls");
            Some(Shape::Prism { base: Base::Regular { sides, side: side? }, height: height? })
        }
        "triangle" => {
            let a = page.length(&name("side-a"), "First side");
            let b = page.length(&name("side-b"), "Second side");
            let c = page.length(&name("side-c"), "Third side");
            let height = page.length(&name("height"), "Height of the walls");
            Some(Shape::Prism { base: Base::Triangle([a?, b?, c?]), height: height? })
        }
        "outline" => {
            let area = page.area(&name("base"), "Area of the base, e.g. by a weighed pattern");
            let outline = page.length(&name("outline"), "Round the base");
            let height = page.length(&name("height"), "Height of the walls");
            let base = Base::Measured { area: area?, outline: outline? };
            Some(Shape::Prism { base, height: height? })
        }
        "lathe" => lathe(page, part),
        _ => {
            let girth = page.length(&name("girth"), "Round the base, where it is widest");
            let height = page.length(&name("height"), "Bottom to top");
            // Between a column (1) and half an egg (2/3). Working rule.
            let form = page.plain(
                &name("form"),
                "Fullness: column 1, half egg 0.67, cone 0.33",
                "×",
                0.75,
                (0.25, 1.0),
            );
            Some(Shape::Girth { girth: girth?, height: height?, form })
        }
    }
}

/// A turned body: rings from the bottom up, evenly spaced until a height is
/// entered.
fn lathe(page: &mut Page<'_>, part: u32) -> Option<Shape> {
    let name = |field: &str| format!("{part}.{field}");
    let by = [
        ("width", "Across, with callipers"),
        ("girth", "Round it, with a tape"),
        ("radius", "From the middle out"),
    ];
    let by = [RingBy::Width, RingBy::Girth, RingBy::Radius]
        [page.choice(&name("by"), "Rings measured", &by)];
    let rings = page.count(&name("rings"), "Rings", 5, (2, RINGS));
    let total = page.length(&name("height"), "Bottom to top");
    let mut found = Vec::new();
    let mut complete = total.is_some();
    for ring in 1..=rings {
        let even = total.map(|total| total.value() * f64::from(ring - 1) / f64::from(rings - 1));
        let height = page.ask(
            &name(&format!("at{ring}")),
            &format!("Ring {ring}, height"),
            Ask::Of(Dimension::Length),
            even,
            (0.0, SIZES.1),
        );
        let size = page.ask(
            &name(&format!("ring{ring}")),
            &format!("Ring {ring}, size"),
            Ask::Of(Dimension::Length),
            None,
            (0.0, SIZES.1),
        );
        match (height, size) {
            (Some(height), Some(size)) => {
                found.push(Ring { height: Millimetres(height), size: Millimetres(size) });
            }
            _ => complete = false,
        }
    }
    complete.then_some(Shape::Lathe { rings: found, by })
}

fn said(page: &mut Page<'_>, found: Result<Shape, ShapeError>) -> Option<Shape> {
    let sum = Sum::default();
    page.worked(found.map(|result| Worked { result, sum })).map(|(shape, _)| shape)
}
