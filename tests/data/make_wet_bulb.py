"""Writes wet_bulb.csv beside this file.

Reference values for tests/air.rs from psychrolib 2.5.0 (MIT), which carries
the equations of the ASHRAE Handbook of Fundamentals, chapter 1. Not needed to
build or to test; kept so that the values can be made again:

    pip install psychrolib==2.5.0
    python tests/data/make_wet_bulb.py

Only wet bulbs over 1 degC are kept: below freezing the library takes ice, the
app supercooled water.
"""

import csv
import pathlib

import psychrolib

PAIRS = [
    (5, 80), (8, 95), (10, 50), (10, 90), (12, 70), (15, 40), (15, 60), (15, 85),
    (17, 58), (17, 75), (18, 30), (20, 20), (20, 50), (20, 65), (20, 90), (23, 45),
    (25, 60), (28, 35), (30, 70), (35, 25), (35, 90), (40, 10),
]
PRESSURES = [101325, 101325, 90000]

psychrolib.SetUnitSystem(psychrolib.SI)
# The library stops its search at 0.001 K unless told otherwise.
psychrolib.PSYCHROLIB_TOLERANCE = 1e-7

target = pathlib.Path(__file__).with_name("wet_bulb.csv")
with target.open("w", newline="") as file:
    rows = csv.writer(file, lineterminator="\n")
    rows.writerow(["T_C", "RH_pct", "pressure_Pa", "Tw_psychrolib_C", "psat_psychrolib_Pa"])
    for index, (air, humidity) in enumerate(PAIRS):
        pressure = PRESSURES[index % len(PRESSURES)]
        wet = psychrolib.GetTWetBulbFromRelHum(air, humidity / 100, pressure)
        if wet > 1:
            saturation = psychrolib.GetSatVapPres(air)
            rows.writerow([air, humidity, pressure, f"{wet:.4f}", f"{saturation:.2f}"])
