#!/usr/bin/env python3
"""The engine's benchmark work done in Python, by the general libraries fluids and numpy: to be read beside it, in one run.

    python3 -m venv target/py && target/py/bin/pip install numpy==2.4.6 scipy==1.17.1 fluids==1.3.1
    cargo bench -p keepwell-engine --bench engine -- volume dip duty colebrook && target/py/bin/python tests/published/engine_time.py

Prints the median time of each piece of work, in nanoseconds for one call.
"""

import statistics
import time

import numpy
from fluids.friction import Colebrook
from fluids.geometry import TANK, V_from_h
from scipy.optimize import brentq


def median_ns(work, calls):
    """The median of eleven rounds, for one call."""
    rounds = []
    for _ in range(11):
        began = time.perf_counter_ns()
        for _ in range(calls):
            work()
        rounds.append((time.perf_counter_ns() - began) / calls)
    return statistics.median(rounds)


def loss(flow, bore, length, roughness, fittings):
    """Head lost in a pipe and its fittings at a flow in m3/s, by Darcy and Weisbach with Colebrook's factor."""
    speed = flow / (numpy.pi / 4 * bore**2)
    factor = Colebrook(speed * bore / 1.0035e-6, roughness / bore)
    return (factor * length / bore + fittings) * speed**2 / (2 * 9.80665)


def duty():
    """Where a pump's curve of three points meets a lift, a pressure and a pipe, as in the bench."""
    curve = numpy.polyfit([0.0, 40.0, 80.0], [42.0, 37.0, 22.0], 2)
    head = 3.0 + 206_843 / (998.2 * 9.80665)
    return brentq(
        lambda q: numpy.polyval(curve, q) - head - loss(q / 60_000, 0.02624, 25.0, 1.5e-6, 12.0), 0.1, 80.0
    )


KINDS = [
    ("upright", dict(D=1.2, L=1.7, horizontal=False)),
    ("upright, cone", dict(D=1.2, L=1.7, horizontal=False, sideA="conical", sideA_a=0.4)),
    ("upright, dished", dict(D=1.2, L=1.7, horizontal=False, sideA="torispherical", sideA_f=1.0, sideA_k=0.06)),
    ("lying", dict(D=1.2, L=2.0, horizontal=True)),
    ("lying, dished", dict(D=1.2, L=2.0, horizontal=True, sideA="torispherical", sideA_f=1.0, sideA_k=0.06,
                           sideB="torispherical", sideB_f=1.0, sideB_k=0.06)),
    ("lying, elliptical", dict(D=1.2, L=2.0, horizontal=True, sideA="ellipsoidal", sideA_a=0.3, sideB="ellipsoidal",
                               sideB_a=0.3)),
]

for name, how in KINDS:
    tank = TANK(**how)
    print(f"volume at a depth, {name}: {median_ns(lambda: tank.V_from_h(0.6), 200):,.0f} ns")
    heights = [tank.h_max * step / 1000 for step in range(1001)]
    print(f"dip table of 1000, {name}: {median_ns(lambda: [tank.V_from_h(h) for h in heights], 1):,.0f} ns")
depths = numpy.linspace(0.0, 1.7, 1_000_000)
print(f"a million volumes, upright, in one array: {median_ns(lambda: numpy.pi / 4 * 1.2**2 * depths, 1):,.0f} ns")
print(f"Colebrook: {median_ns(lambda: Colebrook(4e4, 6e-5), 2000):,.0f} ns")
print(f"duty point: {median_ns(duty, 20):,.0f} ns")
