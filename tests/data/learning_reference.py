"""Writes learning_reference.csv beside this file.

Reference values for tests/learning.rs. Not needed to build or to test; kept so
that the values can be made again:

    pip install numpy==2.4.6 scipy==1.17.1 statsmodels==0.15.0
    python tests/data/learning_reference.py

The same model solved by other means: in plain units (logarithm, kelvins,
exponent) instead of units of the prior.
* Constant temperature: the model is linear. Least squares of statsmodels (OLS)
  on rows augmented with the prior as three more observations; the scale of the
  noise from its sum of squares.
* Changing temperature: equivalent age by scipy.integrate.quad, the most likely
  coefficients by scipy.optimize.least_squares, covariance from the Jacobian.
* Quantiles of Student's t by scipy.stats.t.
* Each sighting judged by the others: fitted anew without it.

Numbers below that the app shares by agreement, not by code: noise expected 0.08
with the weight of 4 sightings, band +-atanh(band) as 80 %, least band 10 %, a
quarter of the card's variance put back for a new batch.
"""

import csv
import math
import pathlib

import numpy as np
import statsmodels.api as sm
from scipy import integrate, optimize, stats

R = 8.31446261815324
ZERO = 273.15
NOISE, WEIGHT = 0.08, 4.0
BATCH = 0.25


def q(dof):
    return stats.t.ppf(0.9, dof)


class Prior:
    def __init__(self, band, energy, exponent, reference):
        self.row = [band, *energy, *exponent, reference]
        self.reference = reference
        self.mean = np.array([0.0, energy[1] * 1000 / R, exponent[1]])
        half = [math.atanh(band), (energy[2] - energy[0]) * 500 / R, (exponent[2] - exponent[0]) / 2]
        self.card = np.diag((np.array(half) / q(WEIGHT)) ** 2)
        self.covariance = self.card

    def carried(self, mean, covariance):
        new = Prior(self.row[0], self.row[1:4], self.row[4:7], self.reference)
        new.mean, new.covariance = mean, covariance
        return new


class Seen:
    """Minutes to the sighting, reference minutes, level ratio, (minute, degC) points."""

    def __init__(self, took, reference, level, points, not_yet=None):
        self.last, self.reference, self.level = took, reference, level
        self.points, self.not_yet = points, not_yet
        first = took if not_yet is None else not_yet
        self.took = math.sqrt(first * took)
        self.variance = NOISE**2 + math.log(took / first) ** 2 / 12
        self.y = math.log(self.took / reference)
        self.z = 0.0 if level is None else math.log(level)

    def weighted(self, b1, reference, power):
        """Integral of u^power exp(-b1 u) over the time taken."""
        minutes = [p[0] for p in self.points]
        degrees = [p[1] for p in self.points]

        def inside(minute):
            u = 1 / (np.interp(minute, minutes, degrees) + ZERO) - 1 / (reference + ZERO)
            return u**power * math.exp(-b1 * u)

        breaks = sorted({0.0, self.took, *(m for m in minutes if 0 < m < self.took)})
        return sum(
            integrate.quad(inside, a, b, epsabs=0, epsrel=1e-12)[0] if power == 0
            else integrate.quad(inside, a, b, epsabs=1e-16, epsrel=1e-11)[0]
            for a, b in zip(breaks, breaks[1:])
        )

    def model(self, b, reference):
        age = self.weighted(b[1], reference, 0)
        return b[0] - math.log(age / self.took) - b[2] * self.z

    def gradient(self, b, reference):
        slope = self.weighted(b[1], reference, 1) / self.weighted(b[1], reference, 0)
        return np.array([1.0, slope, -self.z])


def constant(seen):
    return all(len(s.points) == 1 for s in seen)


def fit(prior, seen):
    """Coefficients, their covariance for noise 1, variance of the noise, dof."""
    root = np.linalg.cholesky(np.linalg.inv(prior.covariance)).T * NOISE
    weights = np.array([NOISE / math.sqrt(s.variance) for s in seen])
    if constant(seen):
        rows, right = [*root], [*(root @ prior.mean)]
        for s, w in zip(seen, weights):
            u = 1 / (s.points[0][1] + ZERO) - 1 / (prior.reference + ZERO)
            rows.append(w * np.array([1.0, u, -s.z]))
            right.append(w * s.y)
        # Columns in like units, or the kelvins drown the rest.
        units = np.sqrt(np.diag(prior.covariance))
        result = sm.OLS(np.array(right), np.array(rows) * units).fit()
        beta = result.params * units
        covariance = result.normalized_cov_params * np.outer(units, units)
        squares = result.ssr
    else:
        units = np.sqrt(np.diag(prior.covariance))

        def residuals(scaled):
            beta = prior.mean + units * scaled
            data = [w * (s.model(beta, prior.reference) - s.y) for s, w in zip(seen, weights)]
            return np.concatenate([root @ (beta - prior.mean), data])

        def jacobian(scaled):
            beta = prior.mean + units * scaled
            data = [w * s.gradient(beta, prior.reference) for s, w in zip(seen, weights)]
            return np.vstack([root, *data]) * units

        found = optimize.least_squares(
            residuals, np.zeros(3), jac=jacobian, xtol=1e-15, ftol=1e-15, gtol=1e-13
        )
        beta = prior.mean + units * found.x
        covariance = np.linalg.inv(found.jac.T @ found.jac) * np.outer(units, units)
        squares = 2 * found.cost
    dof = WEIGHT + len(seen)
    return beta, covariance, (WEIGHT * NOISE**2 + squares) / dof, dof


def spans(prior, seen, asked):
    beta, covariance, noise, dof = fit(prior, seen)
    out = {}
    for name, k, form in [
        ("slowness", 0, math.exp),
        ("energy", 1, lambda b: b * R / 1000),
        ("exponent", 2, float),
    ]:
        half = q(dof) * math.sqrt(noise * covariance[k, k])
        out[name] = [form(beta[k] - half), form(beta[k]), form(beta[k] + half)]
    t, level = asked
    x = np.array([1.0, 1 / (t + ZERO) - 1 / (prior.reference + ZERO), -math.log(level or 1.0)])
    half = q(dof) * math.sqrt(noise * (1 + x @ covariance @ x))
    half = max(half, math.atanh(0.10))
    out["factor"] = [math.exp(x @ beta - half), math.exp(x @ beta), math.exp(x @ beta + half)]
    return out


def judged(prior, seen):
    """Standardised residual of each sighting by a fit without it."""
    for i, s in enumerate(seen):
        beta, covariance, noise, dof = fit(prior, seen[:i] + seen[i + 1 :])
        x = s.gradient(beta, prior.reference)
        missed = s.y - s.model(beta, prior.reference)
        scale = math.sqrt(noise * (s.variance / NOISE**2 + x @ covariance @ x))
        half = q(dof) * scale
        yield [missed / scale, s.took * math.exp(-missed - half), s.took * math.exp(-missed + half)]


POLYESTER = Prior(0.30, (39.9, 49.5, 59.5), (0.8, 1.0, 1.2), 20.0)
SHEET = Prior(0.20, (39.9, 49.5, 59.5), (0.8, 1.0, 1.2), 20.0)
SILICONE = Prior(0.30, (29.0, 42.0, 53.0), (0.9, 1.0, 1.1), 23.0)
WEAK = Prior(0.30, (1.0, 15.9, 28.9), (0.9, 1.0, 1.1), 20.0)


def at(t):
    return [(0, t)]


cases = {
    "nothing seen family": (POLYESTER, [], (14.0, 1.25)),
    "nothing seen sheet": (SHEET, [], (26.0, None)),
    "one at reference": (POLYESTER, [Seen(32, 25, 1.0, at(20))], (20.0, 1.0)),
    "one in the cold": (SHEET, [Seen(61, 25, 1.2, at(12))], (20.0, 1.0)),
    "three alike": (POLYESTER, [Seen(m, 25, 1.0, at(20)) for m in (31, 33, 32)], (14.0, 0.8)),
    "three apart": (
        POLYESTER,
        [Seen(40, 25, 0.75, at(21)), Seen(46, 25, 1.25, at(13.5)), Seen(19, 25, 1.0, at(26))],
        (17.0, 1.1),
    ),
    "two milestones": (
        POLYESTER,
        [Seen(30, 25, 1.0, at(18)), Seen(101, 75, 1.0, at(18)), Seen(71, 75, 1.25, at(21))],
        (22.0, 1.0),
    ),
    "six no catalyst": (
        SILICONE,
        [Seen(m, 300, None, at(t)) for m, t in
         ((390, 18), (260, 25), (330, 21), (520, 14), (300, 23), (240, 27))],
        (16.0, None),
    ),
    "weak law": (WEAK, [Seen(m, 20, None, at(t)) for m, t in ((21, 12), (19, 24), (22, 18))], (8.0, None)),
    "scattered": (
        POLYESTER,
        [Seen(m, 25, c, at(t)) for m, c, t in
         ((28, 1.0, 20), (41, 1.0, 19), (25, 1.2, 22), (30, 0.8, 24), (52, 1.0, 15))],
        (20.0, 1.0),
    ),
    "between two looks": (
        SHEET,
        [Seen(40, 25, 1.0, at(18), not_yet=25), Seen(27, 25, 1.0, at(20)), Seen(60, 25, 1.0, at(14), not_yet=50)],
        (20.0, 1.0),
    ),
    "twenty exact": (
        POLYESTER,
        [Seen(25 * 1.27 * math.exp(6300 * (1 / (t + ZERO) - 1 / 293.15)) * c**-0.9, 25, c, at(t))
         for t, c in [(12 + k * 0.8, 0.75 + 0.5 * ((k * 7) % 20) / 20) for k in range(20)]],
        (15.0, 1.25),
    ),
    "cooling": (
        POLYESTER,
        [Seen(95, 50, 1.0, [(0, 24), (60, 17), (120, 12)]), Seen(240, 150, 1.0, [(-30, 15), (200, 21)])],
        (15.0, 1.0),
    ),
    "overnight": (
        POLYESTER,
        [Seen(1500, 960, 1.0, [(0, 20), (180, 19), (720, 9), (1000, 11), (1300, 18), (1600, 21)]),
         Seen(780, 960, 1.25, [(0, 22), (400, 28), (900, 20)]),
         Seen(31, 25, 1.0, at(18.5))],
        (12.0, 1.0),
    ),
    "changing no catalyst": (
        SILICONE,
        [Seen(410, 300, None, [(0, 25), (240, 15), (480, 14)]),
         Seen(280, 300, None, [(0, 19), (100, 30), (300, 24)]),
         Seen(330, 300, None, [(10, 22), (20, 22), (200, 23)]),
         Seen(600, 300, None, [(0, 16), (600, 9)], not_yet=520)],
        (20.0, None),
    ),
}

target = pathlib.Path(__file__).with_name("learning_reference.csv")
with target.open("w", newline="") as file:
    rows = csv.writer(file, lineterminator="\n")

    def write(case, kind, values):
        rows.writerow([case, kind, *(v if isinstance(v, str) else f"{v:.12g}" for v in values)])

    rows.writerow(["case", "row", "values"])
    for case, (prior, seen, asked) in cases.items():
        # Instants are whole milliseconds.
        for s in seen:
            s.__init__(round(s.last * 60000) / 60000, s.reference, s.level, s.points, s.not_yet)
        kind = "constant" if constant(seen) else "changing"
        write(case, "prior", [kind, *prior.row])
        for s in seen:
            optional = ["" if v is None else f"{v:.12g}" for v in (s.level, s.not_yet)]
            points = [f"{m:g}@{t:g}" for m, t in s.points]
            rows.writerow([case, "seen", f"{s.last:.17g}", f"{s.reference:g}", *optional, *points])
        write(case, "asked", [asked[0], "" if asked[1] is None else asked[1]])
        for name, span in spans(prior, seen, asked).items():
            write(case, name, span)
        for values in judged(prior, seen):
            write(case, "judged", values)
        # A new batch that starts from this one, one sighting later.
        beta, covariance, noise, _ = fit(prior, seen)
        carried = prior.carried(beta, (1 - BATCH) * noise * covariance + BATCH * prior.card)
        later = Seen(44, 25, None, at(15))
        for name, span in spans(carried, [later], asked).items():
            write(case, f"next {name}", span)
