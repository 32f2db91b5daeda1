"""Writes exotherm_reference.csv beside this file.

Reference values for tests/exotherm.rs: the heat balance of a batch in a vessel
and of a slab, with autocatalytic cure, written out here a second time from its
equations and solved by SciPy (solve_ivp, Radau and LSODA). Not needed to build
or to test; kept so that the values can be made again:

    pip install scipy==1.17.1
    python tests/data/exotherm_reference.py

The figures of the reactions are made up to cover the range of room temperature
resins; they are no material's. A cup is one temperature. A slab is 241 equal
cells by the method of lines: far finer than the app's.
"""

import csv
import math
import pathlib

import numpy as np
from scipy.integrate import solve_ivp

R = 8.31446261815324
ZERO = 273.15

# name: reference degC, k1, k2 (1/min), E1, E2 (kJ/mol), m, n, heat J/g, gel conversion
REACTIONS = {
    "slow-start": (20, 0.0003, 0.018, 50, 50, 0.5, 1.5, 350, 0.05),
    "quick": (20, 0.0020, 0.060, 50, 55, 0.8, 1.2, 320, 0.08),
    "steep": (25, 0.0008, 0.090, 60, 48, 1.0, 2.0, 450, 0.55),
    "second-order": (23, 0.0150, 0.0, 45, 0, 1.0, 2.0, 200, 0.60),
}
# density g/ml, specific heat J/(g K), conductivity W/(m K), share reacting
CONTENTS = {"neat": (1.12, 1.8, 0.18, 1.0), "filled": (1.70, 1.3, 0.45, 0.5)}
# Heat given off, W/(m2 K): open surface, wall, base; depth in m or as deep as wide
VESSELS = {"tub": (10, 9, 4, None), "tin": (10, 5, 4, None), "tray": (10, 9, 4, 0.015)}

CUPS = [
    ("slow-start", "neat", "tub", 20, 20, 20, 1.0),
    ("slow-start", "neat", "tub", 100, 20, 20, 1.0),
    ("slow-start", "neat", "tub", 500, 20, 20, 1.0),
    ("slow-start", "neat", "tub", 5000, 20, 20, 1.0),
    ("slow-start", "neat", "tin", 500, 20, 20, 1.0),
    ("slow-start", "neat", "tray", 500, 20, 20, 1.0),
    ("slow-start", "neat", "tub", 500, 30, 20, 1.0),
    ("slow-start", "neat", "tub", 500, 12, 28, 1.0),
    ("slow-start", "neat", "tub", 500, 20, 20, 2.5),
    ("slow-start", "neat", "tub", 500, 15, 15, 0.5),
    ("slow-start", "filled", "tub", 1000, 20, 20, 1.0),
    ("quick", "neat", "tub", 50, 20, 20, 1.0),
    ("quick", "neat", "tub", 250, 20, 20, 1.0),
    ("quick", "neat", "tin", 2000, 25, 18, 1.0),
    ("quick", "neat", "tray", 1000, 20, 20, 1.4),
    ("quick", "filled", "tub", 3000, 18, 18, 0.7),
    ("steep", "neat", "tub", 50, 20, 20, 1.0),
    ("steep", "neat", "tub", 150, 20, 20, 1.0),
    ("steep", "neat", "tub", 1000, 20, 20, 1.0),
    ("steep", "neat", "tin", 150, 30, 30, 1.0),
    ("steep", "filled", "tray", 400, 20, 20, 2.0),
    ("second-order", "neat", "tub", 100, 23, 23, 1.0),
    ("second-order", "neat", "tub", 800, 23, 23, 3.0),
    ("second-order", "neat", "tin", 100, 18, 23, 10.0),
]
# thickness mm, heat given off by the open side and to the form
SLABS = [
    ("slow-start", "neat", 5, 10, 6, 20, 20, 1.0),
    ("slow-start", "neat", 20, 10, 6, 20, 20, 1.0),
    ("slow-start", "filled", 40, 10, 6, 20, 20, 1.0),
    ("quick", "neat", 10, 10, 3, 22, 18, 1.0),
    ("quick", "neat", 60, 10, 6, 20, 20, 0.5),
    ("steep", "neat", 15, 10, 10, 20, 20, 1.0),
    ("second-order", "neat", 25, 10, 6, 23, 23, 2.0),
]


def rate(reaction, speed, kelvin, conversion):
    reference, k1, k2, e1, e2, m, n, _, _ = reaction
    away = 1 / (reference + ZERO) - 1 / kelvin
    one = k1 * np.exp(e1 * 1000 / R * away)
    two = k2 * np.exp(e2 * 1000 / R * away)
    left = np.clip(1 - conversion, 0, None)
    return speed / 60 * (one + two * np.clip(conversion, 0, None) ** m) * left**n


def solved(slope, start, gel, method, cells, horizon, atol):
    """Time and middle temperature at gel, peak and time of the peak; seconds, kelvins."""
    middle = cells // 2

    def gelled(_, y):
        return y[cells:].min() - gel

    gelled.terminal = True
    first = solve_ivp(slope, (0, horizon), start, method=method, events=gelled, rtol=1e-8, atol=atol)
    assert first.status == 1, "no gel"
    at = first.t_events[0][0]
    whole = solve_ivp(slope, (0, 4 * at + 7200), start, method=method, dense_output=True, rtol=1e-8, atol=atol)
    # The hottest of a fine sweep, swept again about the hottest.
    times = np.linspace(0, whole.t[-1], 20001)
    for _ in range(3):
        hottest = whole.sol(times)[:cells].max(axis=0)
        best = times[hottest.argmax()]
        width = times[1] - times[0]
        times = np.linspace(max(0, best - width), min(whole.t[-1], best + width), 2001)
    return at, first.y_events[0][0][middle], hottest.max(), best


def cup(reaction, contents, vessel, mass, start, air, speed):
    density, specific, _, share = contents
    top, wall, base, depth = vessel
    volume = mass / density * 1e-6
    if depth is None:
        depth = (4 * volume / math.pi) ** (1 / 3)
    radius = math.sqrt(volume / depth / math.pi)
    loss = (top + base) * math.pi * radius**2 + wall * 2 * math.pi * radius * depth

    def slope(_, y):
        r = rate(reaction, speed, y[0], y[1])
        warming = (mass * share * reaction[7] * r - loss * (y[0] - air - ZERO)) / (mass * specific)
        return [warming, r]

    return solved(slope, np.array([start + ZERO, 0.0]), reaction[8], "Radau", 1, 48 * 3600, [1e-7, 1e-11])


def slab(reaction, contents, thickness, open_side, form_side, start, air, speed, cells=241):
    density, specific, conductivity, share = contents
    width = thickness / 1000 / cells
    held = density * 1e6 * specific * width
    edges = [1 / (width / (2 * conductivity) + 1 / h) for h in (open_side, form_side)]

    def slope(_, y):
        t, a = y[:cells], y[cells:]
        r = rate(reaction, speed, t, a)
        flow = conductivity / width * np.diff(t)
        gain = held * share * reaction[7] / specific * r
        gain[:-1] += flow
        gain[1:] -= flow
        gain[0] -= edges[0] * (t[0] - air - ZERO)
        gain[-1] -= edges[1] * (t[-1] - air - ZERO)
        return np.concatenate([gain / held, r])

    begin = np.concatenate([np.full(cells, start + ZERO), np.zeros(cells)])
    atol = np.concatenate([np.full(cells, 1e-5), np.full(cells, 1e-9)])
    return solved(slope, begin, reaction[8], "LSODA", cells, 48 * 3600, atol)


HEADER = (
    "kind,reference_C,k1_per_min,k2_per_min,E1_kJ_mol,E2_kJ_mol,m,n,heat_J_g,gel_conversion,"
    "density_g_ml,specific_heat_J_gK,conductivity_W_mK,reacting,size,open_W_m2K,form_W_m2K,"
    "start_C,air_C,speed,gel_min,gel_C,peak_C,peak_min"
).split(",")

target = pathlib.Path(__file__).with_name("exotherm_reference.csv")
with target.open("w", newline="") as file:
    rows = csv.writer(file, lineterminator="\n")
    rows.writerow(HEADER)

    def put(kind, reaction, contents, size, sides, conditions, result):
        at, at_t, peak, peak_at = result
        found = [f"{at / 60:.5f}", f"{at_t - ZERO:.4f}", f"{peak - ZERO:.4f}", f"{peak_at / 60:.4f}"]
        rows.writerow([kind, *reaction, *contents, size, *sides, *conditions, *found])
        file.flush()

    for name, filling, kind, mass, *conditions in CUPS:
        reaction, contents = REACTIONS[name], CONTENTS[filling]
        result = cup(reaction, contents, VESSELS[kind], mass, *conditions)
        put(kind, reaction, contents, mass, ["", ""], conditions, result)
    for name, filling, thickness, open_side, form_side, *conditions in SLABS:
        reaction, contents = REACTIONS[name], CONTENTS[filling]
        result = slab(reaction, contents, thickness, open_side, form_side, *conditions)
        put("slab", reaction, contents, thickness, [open_side, form_side], conditions, result)
