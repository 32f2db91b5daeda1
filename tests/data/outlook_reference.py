"""Writes outlook_reference.csv and outlook_fit.csv beside this file.

Reference values for tests/outlook.rs from SciPy 1.17.1 and NumPy 2.4.6. Not
needed to build or to test; kept so that the values can be made again:

    pip install scipy==1.17.1 numpy==2.4.6
    python tests/data/outlook_reference.py

outlook_reference.csv: equivalent age, in minutes at 20 degC, of a room whose
temperature approaches `target_C` from `start_C` exponentially; where `again_ms`
is given, a second approach to `again_C` begins at that time from the value that
the first one has then. Integrated by scipy.integrate.quad over the true
exponential, to a relative tolerance of 1e-13.

outlook_fit.csv: made-up readings with a made-up error, and the time constant
that numpy.polyfit finds as a line through ln|T - outside| with weights
|T - outside| on the residuals (that is, their squares on the squares), its
covariance scaled by the scatter; 80 % interval by scipy.stats.t; and the
constant that scipy.optimize.curve_fit finds on the exponential itself.
"""

import csv
import itertools
import math
import pathlib

import numpy
from scipy import integrate, optimize, stats

GAS_CONSTANT = 8.31446261815324  # CODATA, J/(mol K)
ZERO = 273.15
REFERENCE = 20.0

LAWS = [("arrhenius", 20.0), ("arrhenius", 50.0), ("arrhenius", 80.0),
        ("per-ten", 2.0), ("per-ten", 3.5)]
ROOMS = [(20.0, -5.0), (24.0, 14.0), (35.0, 10.0), (10.0, 35.0), (-5.0, 20.0),
         (17.0, 9.0), (22.0, 21.0), (18.0, 18.5)]
CONSTANTS = [30.0, 600.0, 95.0, 1440.0]
# Chosen to lie nowhere in particular, in time constants.
TURNS = [1.3e-4, 7.7e-4, 1.9e-3, 6.1e-3, 0.0173, 0.0441, 0.1234, 0.271, 0.523,
         0.91, 1.413, 2.17, 3.3, 5.1, 7.7, 10.9, 14.3, 29.0]


def speed(law, parameter, t):
    if law == "arrhenius":
        slope = parameter * 1000.0 / GAS_CONSTANT
        return math.exp(-slope * (1.0 / (t + ZERO) - 1.0 / (REFERENCE + ZERO)))
    return parameter ** ((t - REFERENCE) / 10.0)


def approach(start, target, constant):
    return lambda minutes: target + (start - target) * math.exp(-minutes / constant)


def age(law, parameter, curve, minutes, constant):
    edges = [0.0]
    while edges[-1] < minutes:
        edges.append(min(minutes, edges[-1] + constant / 2.0))
    parts = [integrate.quad(lambda m: speed(law, parameter, curve(m)), a, b,
                            epsabs=0.0, epsrel=1e-13)[0]
             for a, b in itertools.pairwise(edges)]
    return math.fsum(parts)


def ages(rows):
    rows.writerow(["law", "parameter", "start_C", "target_C", "constant_min",
                   "again_ms", "again_C", "again_constant_min", "at_ms", "age_min"])
    cases = itertools.product(LAWS, ROOMS)
    for number, ((law, parameter), (start, target)) in enumerate(cases):
        constant = CONSTANTS[number % len(CONSTANTS)]
        curve = approach(start, target, constant)
        for turns in TURNS:
            at = round(turns * constant * 60000.0)
            found = age(law, parameter, curve, at / 60000.0, constant)
            rows.writerow([law, parameter, start, target, constant, "", "", "", at,
                           f"{found:.12e}"])
    # Off in the evening, on in the morning.
    again = round(733.3 * 60000.0)
    for law, parameter in LAWS:
        for constant, again_to, again_constant in [(480.0, 21.0, 50.0), (900.0, 19.0, 900.0)]:
            first = approach(20.0, -3.0, constant)
            before = age(law, parameter, first, again / 60000.0, constant)
            second = approach(first(again / 60000.0), again_to, again_constant)
            for turns in TURNS:
                later = round(turns * again_constant * 60000.0)
                found = before + age(law, parameter, second, later / 60000.0, again_constant)
                rows.writerow([law, parameter, 20.0, -3.0, constant, again, again_to,
                               again_constant, again + later, f"{found:.12e}"])


def fits(rows):
    rows.writerow(["outside_C", "readings_min_C", "constant_min", "low_min", "high_min",
                   "curve_fit_min"])
    random = numpy.random.default_rng(20)
    cases = [(4.0, 21.0, 540.0, [0, 600]), (4.0, 21.0, 540.0, [0, 95, 610]),
             (-2.0, 18.0, 300.0, [0, 60, 130, 240, 480]),
             (12.0, 22.0, 180.0, [0, 20, 45, 90, 150, 260, 400]),
             (30.0, 16.0, 75.0, [0, 15, 30, 60, 100]),
             (9.0, 20.0, 1200.0, [0, 120, 245, 360, 490, 620, 700, 845, 960, 1100])]
    for outside, start, constant, minutes in cases:
        minutes = numpy.array(minutes, dtype=float)
        true = outside + (start - outside) * numpy.exp(-minutes / constant)
        read = numpy.round(true + random.normal(0.0, 0.2, len(minutes)), 1)
        side = math.copysign(1.0, start - outside)
        difference = side * (read - outside)
        assert (difference > 0.0).all()
        if len(minutes) > 2:
            (slope, _), cov = numpy.polyfit(minutes, numpy.log(difference), 1, w=difference,
                                            cov=True)
            half = stats.t.ppf(0.9, len(minutes) - 2) * math.sqrt(cov[0, 0])
            ends = [f"{1.0 / (half - slope):.6f}",
                    f"{1.0 / (-slope - half):.6f}" if slope + half < 0.0 else ""]
        else:
            slope, _ = numpy.polyfit(minutes, numpy.log(difference), 1, w=difference)
            ends = ["", ""]
        (_, direct), _ = optimize.curve_fit(lambda m, d, c: d * numpy.exp(-m / c), minutes,
                                            difference, p0=[difference[0], constant])
        readings = " ".join(f"{m:g}:{t:g}" for m, t in zip(minutes, read))
        rows.writerow([outside, readings, f"{-1.0 / slope:.6f}", *ends, f"{direct:.6f}"])


for name, write in [("outlook_reference.csv", ages), ("outlook_fit.csv", fits)]:
    target = pathlib.Path(__file__).with_name(name)
    with target.open("w", newline="") as file:
        write(csv.writer(file, lineterminator="\n"))
