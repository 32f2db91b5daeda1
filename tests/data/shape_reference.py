"""Writes shape_reference.csv beside this file.

Reference values for tests/shapes.rs, each by another road than the app's. Not
needed to build or to test; kept so that the values can be made again:

    pip install scipy==1.17.1 numpy==2.4.6 shapely==2.2.0
    python tests/data/shape_reference.py

Sizes in mm. Columns: kind; sizes; thickness; value; accuracy (relative, of the
value itself).

ellipsoid-area    semi-axes; 4 pi R_G(a2b2, a2c2, b2c2) by scipy.special.elliprg,
                  checked here against the Legendre form (ellipkinc, ellipeinc)
ellipse-girth     semi-axes; 4 a E(m) by scipy.special.ellipe
ellipsoid-blanket semi-axes; the parallel surface x + t n by the divergence
                  theorem, Gauss-Legendre times the trapezoidal rule, derivatives
                  by complex steps; no use of Steiner's formula
lathe-blanket     height:radius ...; the meridian section dilated by shapely's
                  buffer, cut at the board, turned by the rule of Pappus
lathe-all         the same, not cut at the board
hole              radius and height of a disc, radius and depth of a hole in its
                  middle from above; its section, which leaves the axis free,
                  dilated, cut at the board and turned
"""

import csv
import math
import pathlib

import numpy as np
from scipy import special
from shapely.geometry import Polygon, box

rows = []


def area(a, b, c):
    by_carlson = 4 * math.pi * special.elliprg(a * a * b * b, a * a * c * c, b * b * c * c)
    c, b, a = sorted((a, b, c))
    if a > c:
        angle = math.acos(c / a)
        m = a * a * (b * b - c * c) / (b * b * (a * a - c * c))
        by_legendre = 2 * math.pi * c * c + 2 * math.pi * a * b / math.sin(angle) * (
            special.ellipeinc(angle, m) * math.sin(angle) ** 2
            + special.ellipkinc(angle, m) * math.cos(angle) ** 2
        )
        assert abs(by_legendre / by_carlson - 1) < 1e-9, (a, b, c)
    return by_carlson


def parallel_volume(axes, t, nodes=160):
    """Volume inside the surface at distance t, 1/3 of the flux of its points."""
    squares = np.array(axes, dtype=float) ** 2
    x, weights = np.polynomial.legendre.leggauss(nodes)
    polar = (x + 1) * math.pi / 2
    weights = weights * math.pi / 2
    azimuth = np.arange(2 * nodes) * math.pi / nodes
    p, q = np.meshgrid(polar, azimuth, indexing="ij")

    def points(p, q):
        normal = np.stack([np.sin(p) * np.cos(q), np.sin(p) * np.sin(q), np.cos(p)])
        support = np.sqrt(np.tensordot(squares, normal**2, axes=1))
        return squares[:, None, None] * normal / support + t * normal

    step = 1e-30
    along = np.imag(points(p + 1j * step, q)) / step
    across = np.imag(points(p, q + 1j * step)) / step
    flux = np.sum(points(p, q) * np.cross(along, across, axis=0), axis=0)
    return float(np.sum(weights[:, None] * flux) * math.pi / nodes / 3)


def turned(polygon):
    """Volume of the half of a section right of the axis, turned round it."""
    half = polygon.intersection(box(0, -1e6, 1e6, 1e6))
    return 2 * math.pi * half.area * half.centroid.x


def lathe(rings, t, below):
    right = [(r, z) for z, r in rings]
    left = [(-r, z) for z, r in reversed(rings)]
    section = Polygon(right + left).buffer(0)
    whole = section.buffer(t, quad_segs=2048)
    if not below:
        whole = whole.intersection(box(-1e6, 0, 1e6, 1e6))
    return turned(whole) - turned(section)


def holed(outer, height, inner, deep, t):
    solid = Polygon([(0, 0), (outer, 0), (outer, height), (0, height)])
    section = solid.difference(box(-1, height - deep, inner, height + 1))
    # Mirrored, so that what crosses the axis is filled from both sides.
    mirrored = Polygon([(-x, z) for x, z in section.exterior.coords])
    whole = section.union(mirrored).buffer(t, quad_segs=2048)
    return turned(whole.intersection(box(-1e6, 0, 1e6, 1e6))) - turned(section)


def row(kind, sizes, thickness, value, accuracy):
    rows.append([kind, sizes, thickness, f"{value:.16g}", accuracy])


AXES = [
    (a, b, c)
    for a in (1, 20, 100, 400)
    for b in (1, 30, 100, 350)
    for c in (1, 45, 100, 101, 300)
]
for axes in AXES:
    row("ellipsoid-area", " ".join(map(str, axes)), 0, area(*axes), "1e-14")

for a, b in [(1, 1), (10, 1), (400, 1), (99.75, 77.165), (74, 95), (100, 99.9), (30000, 20)]:
    m = 1 - (min(a, b) / max(a, b)) ** 2
    row("ellipse-girth", f"{a} {b}", 0, 4 * max(a, b) * special.ellipe(m), "1e-13")

for axes in [(100, 100, 100), (100, 75, 110), (98.5, 77, 115), (30, 60, 90), (150, 100, 50), (80, 80, 40), (40, 45, 160)]:
    inside = 4 / 3 * math.pi * axes[0] * axes[1] * axes[2]
    for t in (1, 6, 10, 12, 25, 60):
        fine, finer = (parallel_volume(axes, t, nodes) - inside for nodes in (160, 240))
        assert abs(fine / finer - 1) < 1e-8, (axes, t)
        row("ellipsoid-blanket", " ".join(map(str, axes)), t, finer, "1e-8")

LATHES = {
    "bucket, wide below": [(0, 100), (150, 60)],
    "bucket, wide above": [(0, 60), (150, 100)],
    "steep lean": [(0, 20), (10, 100), (60, 110)],
    "cone": [(0, 80), (200, 0)],
    "spindle": [(0, 0), (70, 50), (160, 0)],
    "column": [(0, 50), (120, 50)],
    "waist": [(0, 80), (60, 30), (90, 28), (150, 70)],
    "baluster": [(0, 60), (30, 60), (30, 40), (45, 35), (120, 62), (180, 38), (230, 24), (245, 40), (260, 40), (260, 55), (290, 55)],
    "vase": [(0, 45), (40, 30), (80, 75), (150, 95), (210, 60), (240, 25), (270, 45)],
    "stack": [(0, 100), (60, 100), (60, 40), (120, 40)],
    "plate": [(0, 150), (8, 150)],
}
for name, rings in LATHES.items():
    sizes = " ".join(f"{z}:{r}" for z, r in rings)
    for t in (2, 10, 25):
        row("lathe-blanket", sizes, t, lathe(rings, t, False), "1e-6")
        row("lathe-all", sizes, t, lathe(rings, t, True), "1e-6")

for hole in [(150, 100, 30, 50), (150, 100, 30, 100), (150, 100, 5, 50), (150, 100, 60, 12), (80, 60, 20, 45)]:
    for t in (2, 10, 25):
        row("hole", " ".join(map(str, hole)), t, holed(*hole, t), "1e-6")

with open(pathlib.Path(__file__).with_name("shape_reference.csv"), "w", newline="") as file:
    writer = csv.writer(file, delimiter=";", lineterminator="\n")
    writer.writerow(["kind", "sizes", "thickness", "value", "accuracy"])
    writer.writerows(rows)
