"""Writes meshes/ and mesh_reference.csv beside this file.

Reference values for tests/mesh.rs: surfaces made or carried by trimesh, written by
it in several formats, and measured by it, by NumPy and Shapely. Not needed
to build or to test; kept so that the values can be made again:

    pip install trimesh==5.2.0 numpy==2.4.6 scipy networkx shapely pillow
    python tests/data/mesh_reference.py PATH

PATH is a copy of the trimesh repository (MIT licence; its models/ are not in the
package). Without it the files named public_* are kept as they are.

Every figure is of the file as trimesh reads it back, so single precision is
taken into account. What trimesh doesn't measure is written out here: holes (the
connected components of edges with one face), volume with each hole covered by a fan
about the mean of its rim, mean curvature with the sign of a dent
by vector algebra in double precision, and the depth of summits (a list of points by
height, joined in that order).
"""

import csv
import pathlib
import struct
import subprocess
import sys

import networkx as nx
import numpy as np
import shapely
import trimesh
from trimesh import creation

HERE = pathlib.Path(__file__).parent
MESHES = HERE / "meshes"
UP = np.array([0.0, 0.0, 1.0])
STRAIGHT = np.sin(np.radians(1.0))

PUBLIC = {
    "cube.stl": "models/unit_cube.STL",
    "cube_20mm.stl": "models/20mm-xyz-cube.stl",
    "sphere.stl": "models/unit_sphere.STL",
    "angle_block.stl": "models/angle_block.STL",
    "plate_holes.stl": "models/plate_holes.STL",
    "several.stl": "models/multibody.stl",
    "cylinder.stl": "models/cylinder.stl",
    "pocket.ply": "models/octagonal_pocket.ply",
    "tetrahedron.ply": "models/tet.ply",
    "cube.obj": "models/cube.OBJ",
    "backwards.obj": "models/negative_indices.obj",
    "polygons.obj": "models/polygonfaces.obj",
}


def big_endian(mesh, quads=None):
    """PLY, binary, big end first, with properties in an unusual order and kinds."""
    faces = mesh.faces if quads is None else quads
    head = (
        "ply\nformat binary_big_endian 1.0\ncomment written by the test's script\n"
        "element extra 2\nproperty list ushort short many\nproperty double one\n"
        f"element vertex {len(mesh.vertices)}\n"
        "property uchar red\nproperty float z\nproperty double y\nproperty float x\n"
        f"element face {len(faces)}\nproperty ushort flags\n"
        "property list uchar uint vertex_index\nproperty list uchar float odd\n"
        "end_header\n"
    )
    out = [head.encode()]
    for i in range(2):
        out.append(struct.pack(">H3hd", 3, -1, 2, 3, 0.5))
    for x, y, z in mesh.vertices:
        out.append(struct.pack(">Bfdf", 7, z, np.float32(y), x))
    for face in faces:
        out.append(struct.pack(f">HB{len(face)}I", 9, len(face), *face))
        out.append(struct.pack(">B2f", 2, 0.0, 1.0))
    return b"".join(out)


def quad_obj(columns, rows):
    """A closed vase of four-sided faces, ends as polygons, with v/vt/vn corners."""
    lines, points = ["# a vase", "mtllib none.mtl", "o vase"], []
    for row in range(rows):
        height = 100.0 * row / (rows - 1)
        radius = 30.0 + 12.0 * np.sin(row / (rows - 1) * 5.0)
        for column in range(columns):
            turn = 2 * np.pi * column / columns
            points.append((radius * np.cos(turn), radius * np.sin(turn), height))
    lines += [f"v {x:.6f} {y:.6f} {z:.6e}" for x, y, z in points]
    lines += ["vt 0 0", "vn 0 0 1", "usemtl none", "s off"]
    faces = []
    for row in range(rows - 1):
        for column in range(columns):
            a, b = row * columns + column, row * columns + (column + 1) % columns
            faces.append((a, b, b + columns, a + columns))
    faces.append(tuple(reversed(range(columns))))
    faces.append(tuple(range((rows - 1) * columns, rows * columns)))
    lines += ["f " + " ".join(f"{i + 1}/1/1" for i in face) for face in faces]
    return "\n".join(lines) + "\n"


def made():
    """Surfaces by name, with the formats to write each in."""
    rng = np.random.default_rng(7)
    everything = ["stl", "stl_ascii", "obj", "ply", "ply_ascii", "ply_big"]
    box = creation.box((100, 60, 40))
    box.apply_translation((500, -20, 12))
    yield "box", box, everything
    yield "box_fine", box.subdivide().subdivide(), ["stl", "ply_big"]
    yield "cone", creation.cone(25, 80, sections=24), ["stl", "ply_ascii"]
    yield "capsule", creation.capsule(60, 20, count=(14, 14)), ["ply", "obj"]
    yield "tube", creation.annulus(20, 35, 50, sections=32), ["stl", "obj", "ply_big"]
    yield "ring", creation.torus(50, 15, 20, 12), everything
    rough = creation.icosphere(3, 60)
    rough.vertices += rng.normal(0, 0.4, rough.vertices.shape)
    yield "rough", rough, ["stl", "ply", "ply_big"]
    far = rough.copy().apply_translation((3000.0, -8000.0, 500.0))
    yield "rough_far", far, ["ply"]
    holed = creation.icosphere(3, 60)
    away = holed.triangles_center
    keep = away[:, 2] > -50
    keep &= np.linalg.norm(away - (60, 0, 0), axis=1) > 15
    keep &= np.linalg.norm(away - (0, -60, 0), axis=1) > 10
    holed.update_faces(keep)
    holed.remove_unreferenced_vertices()
    yield "holed", holed, ["stl", "obj", "ply"]
    bowl = creation.icosphere(2, 40)
    bowl.update_faces(bowl.triangles_center[:, 2] < 0)
    bowl.remove_unreferenced_vertices()
    yield "bowl", bowl, ["ply_ascii", "stl_ascii"]
    many = [creation.icosphere(1, 5 + i).apply_translation((40 * i, 3 * i, 0)) for i in range(5)]
    yield "apart", trimesh.util.concatenate(many), ["stl", "ply_big"]
    hollow = creation.icosphere(2, 15)
    hollow.invert()
    shell = trimesh.util.concatenate([creation.icosphere(2, 40), hollow])
    yield "shell", shell, ["stl", "ply"]
    inverted = creation.torus(50, 15, 16, 12)
    inverted.invert()
    yield "inverted", inverted, ["obj", "stl"]
    mixed = creation.icosphere(1, 30)
    mixed.faces[:20] = mixed.faces[:20][:, ::-1]
    yield "mixed", mixed, ["ply", "stl_ascii"]
    # Three humps upright, one of them under an overhang's reach.
    grid = np.linspace(-1, 1, 25)
    x, y = np.meshgrid(grid, grid, indexing="ij")
    z = (
        20 * np.exp(-((x - 0.5) ** 2 + y**2) / 0.05)
        + 14 * np.exp(-((x + 0.5) ** 2 + (y - 0.3) ** 2) / 0.03)
        + 9 * np.exp(-((x + 0.4) ** 2 + (y + 0.5) ** 2) / 0.03)
    )
    points = np.column_stack([50 * x.ravel(), 50 * y.ravel(), z.ravel()])
    index = np.arange(25 * 25).reshape(25, 25)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    faces = np.vstack([np.column_stack([i.ravel() for i in t]) for t in ((a, b, c), (a, c, d))])
    yield "humps", trimesh.Trimesh(points, faces, process=False), ["obj", "ply_big"]


def plain(data):
    """Without the comment that says which library wrote it."""
    lines = data.split(b"\n", 3)
    return b"\n".join(line for line in lines if b"://" not in line or len(line) > 200)


def write(name, mesh, kind):
    if kind == "stl_ascii":
        (MESHES / f"{name}_ascii.stl").write_text(mesh.export(file_type="stl_ascii"))
    elif kind == "ply_ascii":
        data = mesh.export(file_type="ply", encoding="ascii")
        (MESHES / f"{name}_ascii.ply").write_bytes(plain(data))
    elif kind == "ply_big":
        (MESHES / f"{name}_big.ply").write_bytes(big_endian(mesh))
    else:
        data = mesh.export(file_type=kind)
        data = data.encode() if isinstance(data, str) else data
        (MESHES / f"{name}.{kind}").write_bytes(plain(data))


def stored(repository, path):
    command = ["git", "-C", repository, "show", f"HEAD:{path}"]
    return subprocess.run(command, capture_output=True, check=True).stdout


def publics(repository):
    for name, path in PUBLIC.items():
        (MESHES / f"public_{name}").write_bytes(stored(repository, path))
    torus = trimesh.util.wrap_as_stream(stored(repository, "models/torus.STL"))
    torus = trimesh.load(torus, file_type="stl")
    (MESHES / "public_torus.ply").write_bytes(plain(torus.export(file_type="ply")))
    (MESHES / "LICENSE-public").write_bytes(stored(repository, "LICENSE.md"))


def holes_of(mesh):
    """The rims: node lists, with length and mean, longest first."""
    order = np.sort(mesh.edges, axis=1)
    unique, inverse, count = np.unique(order, axis=0, return_inverse=True, return_counts=True)
    single = mesh.edges[count[inverse.ravel()] == 1]
    graph = nx.Graph()
    graph.add_edges_from(map(tuple, single))
    rims = []
    for nodes in nx.connected_components(graph):
        sides = np.array([side for side in single if side[0] in nodes])
        ends = mesh.vertices[sides]
        lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        mean = (ends.mean(axis=1) * lengths[:, None]).sum(axis=0) / lengths.sum()
        rims.append((lengths.sum(), sides, mean))
    rims.sort(key=lambda rim: -rim[0])
    return rims, count


def curvature(mesh):
    """trimesh's definition, with the sign by the dihedral angle's own sine."""
    pairs, edges = mesh.face_adjacency, mesh.face_adjacency_edges
    total = 0.0
    for (f, g), (p, q) in zip(pairs, edges):
        face = list(mesh.faces[f])
        if face[(face.index(p) + 1) % 3] != q:
            p, q = q, p
        n, m = mesh.triangles_cross[f], mesh.triangles_cross[g]
        along = mesh.vertices[q] - mesh.vertices[p]
        length = np.linalg.norm(along)
        total += length * np.arctan2(along @ np.cross(n, m) / length, n @ m)
    return total / 2


def summits(mesh):
    """Depths of all summits along z, deepest first: the elder rule, plainly."""
    height = mesh.vertices[:, 2]
    near = nx.Graph()
    near.add_nodes_from(np.unique(mesh.faces))
    near.add_edges_from(map(tuple, mesh.edges_unique))
    hill, depths, summit, lowest = {}, [], {}, {}

    def top(v):
        while hill[v] != v:
            v = hill[v]
        return v

    for v in sorted(near.nodes, key=lambda v: -height[v]):
        hill[v], summit[v], lowest[v] = v, height[v], height[v]
        for other in {top(w) for w in near[v] if w in hill and w != v}:
            mine = top(v)
            if mine == other:
                continue
            low, high = sorted((mine, other), key=lambda hill: summit[hill])
            depths.append(summit[low] - height[v])
            hill[low] = high
            lowest[high] = height[v]
    depths += [summit[v] - lowest[v] for v in near.nodes if hill[v] == v]
    return sorted(depths, reverse=True)


def number(value):
    return f"{value:.9g}"


def measure(path):
    mesh = trimesh.load(path, force="mesh", process=False, skip_materials=True)
    mesh = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    # In single precision, as the app keeps them; points nearer than trimesh's
    # tolerance of 1e-8 become one.
    points = mesh.vertices.astype(np.float32).astype(float)
    mesh = trimesh.Trimesh(points, mesh.faces, process=False)
    mesh.merge_vertices()
    lines = (mesh.faces == np.roll(mesh.faces, 1, axis=1)).any(axis=1)
    mesh.update_faces(~lines)
    mesh.remove_unreferenced_vertices()
    flat = int(lines.sum() + (mesh.area_faces == 0).sum())

    rims, count = holes_of(mesh)
    middle = mesh.bounds.mean(axis=0)
    closed = mesh.copy()
    closed.apply_translation(-middle)
    extra = [mean - middle for _, _, mean in rims]
    start = len(closed.vertices)
    caps = [[(q, p, start + i) for p, q in sides] for i, (_, sides, _) in enumerate(rims)]
    covered = trimesh.Trimesh(
        np.vstack([closed.vertices] + extra) if extra else closed.vertices,
        np.vstack([closed.faces] + caps) if caps else closed.faces,
        process=False,
    )
    # Where triangles clash, trimesh's volume depends on the axis it integrates along.
    volume = np.linalg.det(covered.triangles).sum() / 6
    if covered.is_winding_consistent:
        volume = covered.volume
    inside_out = volume < 0
    if inside_out:
        mesh.invert()
    tight = bool(mesh.is_watertight and mesh.is_winding_consistent)
    sides = np.unique(np.sort(mesh.edges, axis=1), axis=0)
    parts = nx.Graph()
    parts.add_nodes_from(range(len(mesh.faces)))
    home = {}
    for face, side in zip(mesh.edges_face, np.sort(mesh.edges, axis=1)):
        parts.add_edge(home.setdefault(tuple(side), face), face)
    sizes = [mesh.area_faces[list(part)].sum() for part in nx.connected_components(parts)]

    facing = np.maximum(mesh.triangles_cross @ UP, 0).sum() / 2
    flats = [shapely.Polygon(triangle[:, :2]) for triangle in mesh.triangles]
    shadow = shapely.union_all(flats, grid_size=1e-9).area
    low, high = mesh.bounds[:, 2]
    upper = mesh.triangles_center[:, 2] - low >= (high - low) * 0.53
    with np.errstate(divide="ignore", invalid="ignore"):
        draft = np.where(upper, 1, -1) * (mesh.triangles_cross @ UP) / (2 * mesh.area_faces)
    away = mesh.area_faces[draft < -STRAIGHT].sum()
    steady = not (np.abs(np.abs(draft) - STRAIGHT) < 1e-5).any()
    deep = [depth for depth in summits(mesh) if depth > 0.01 * (high - low)][:4]
    return {
        "file": path.name,
        "triangles": len(mesh.faces),
        "degenerate": flat,
        "x": number(mesh.extents[0]),
        "y": number(mesh.extents[1]),
        "z": number(mesh.extents[2]),
        "area": number(mesh.area),
        "volume": number(abs(volume)),
        "watertight": int(tight),
        "inside_out": int(inside_out),
        "open": int((count == 1).sum()),
        "crowded": int((count > 2).sum()),
        "parts": len(sizes),
        "largest": number(max(sizes)),
        "holes": len(rims),
        "longest": number(rims[0][0]) if rims else 0,
        "euler": mesh.euler_number if tight else "",
        "curvature": number(mesh.integral_mean_curvature) if tight else "",
        "curvature_exact": number(curvature(mesh)) if tight else "",
        "facing": number(facing),
        "shadow": number(shadow),
        "away": number(away) if steady else "",
        "depths": " ".join(number(depth) for depth in deep),
    }


def main():
    MESHES.mkdir(exist_ok=True)
    if len(sys.argv) > 1:
        publics(sys.argv[1])
    for name, mesh, kinds in made():
        for kind in kinds:
            write(name, mesh, kind)
    (MESHES / "vase.obj").write_text(quad_obj(24, 20))
    rows = [measure(path) for path in sorted(MESHES.glob("*.*"))]
    with open(HERE / "mesh_reference.csv", "w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


main()
