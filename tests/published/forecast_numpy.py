#!/usr/bin/env python3
"""One case of the forecast simulated apart from the engine, by NumPy: the values that forecast/tests.rs holds it to.

    python3 -m venv target/py && target/py/bin/pip install numpy==2.4.6
    target/py/bin/python tests/published/forecast_numpy.py

Two sites with the mains down, everything by pump. Upper: 3000 ± 300 L for 20 people at 15 L a day. Lower: 2400 ± 60 L for
20 people, and 40 ± 0 L of fuel at 0.3 L an hour for 16 hours a day, the burn within a tenth. Use within 15 %, half of its
variance shared. Log-normal factors have a mean of 1. The days end with the water or the fuel, whichever is first.
"""

import numpy

rng = numpy.random.default_rng(1)
N = 4_000_000


def factor(z, spread):
    s2 = numpy.log1p(spread**2)
    return numpy.exp(numpy.sqrt(s2) * z - s2 / 2)


shared = rng.standard_normal(N)


def use():
    return factor(numpy.sqrt(0.5) * shared + numpy.sqrt(0.5) * rng.standard_normal(N), 0.15)


upper_litres = numpy.maximum(3000 + 300 * rng.standard_normal(N), 0)
upper_use = use()
upper = upper_litres / (300 * upper_use)
lower_litres = numpy.maximum(2400 + 60 * rng.standard_normal(N), 0)
lower_use = use()
lower = numpy.minimum(lower_litres / (300 * lower_use), 40 / (0.3 * 16 * factor(rng.standard_normal(N), 0.1)))
first = numpy.minimum(upper, lower)
pooled = (upper_litres + lower_litres) / (300 * (upper_use + lower_use))
for name, days in [("upper", upper), ("lower", lower), ("first", first), ("pooled", pooled)]:
    p10, p50, p90 = numpy.percentile(days, [10, 50, 90])
    print(f"{name}: {p10:.4f} {p50:.4f} {p90:.4f} days; reaches 8 days {numpy.mean(days >= 8):.4f}")
