#!/usr/bin/env python3
"""Fairest shares by linear programming, level by level, with HiGHS (SciPy): written apart from the program.

    python3 -m venv target/lp && target/lp/bin/pip install scipy==1.17.1
    target/lp/bin/python tests/published/shares_lp.py > tests/published/shares_lp.csv      a thousand made-up neighbourhoods
    target/lp/bin/python tests/published/shares_lp.py CASES.json                           cases in the form of shares.json
    target/lp/bin/python tests/published/shares_lp.py time 100 1000 10000                  how long it takes, so many sites
    target/lp/bin/python tests/published/shares_lp.py whole 1000                           every level, each site's days

A line of the CSV: the number from which the neighbourhood is made up, the least litres carried, the days of each site
(empty: it needs nothing). `server/engine/tests/shares.rs` makes up the same neighbourhoods and holds the engine to them.
"""
import json
import sys
import time

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, hstack, vstack

TIGHT = 1e-7
COUNT = 1000


class Numbers:
    """SplitMix64 (Steele, Lea, Flood 2014)."""

    def __init__(self, start):
        self.state = start

    def below(self, n):
        mask = (1 << 64) - 1
        self.state = (self.state + 0x9E3779B97F4A7C15) & mask
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & mask
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & mask
        return ((z ^ (z >> 31)) >> 33) % n

    def one_of(self, *choices):
        return choices[self.below(len(choices))]


def made_up(start):
    """Sites (litres, need, kept, class), carries (from, to, litres a day, loss), target. Half have round figures, so
    that ties are common."""
    r = Numbers(start)
    n = 2 + r.below(9)
    even, classes, lossy = r.below(2) == 0, r.one_of(1, 1, 2, 3), r.below(2) == 0
    sites = []
    for _ in range(n):
        if even:
            litres = r.one_of(0, 0, 100, 200, 500, 1000, 3000)
            need = r.one_of(0, 10, 10, 20, 30, 50, 100)
        else:
            litres = 0 if r.below(4) == 0 else r.below(50_000) / 10
            need = 0 if r.below(10) == 0 else (10 + r.below(1990)) / 10
        keep = r.one_of(0, 0, 0, 100, 300, 3 * need)
        sites.append((litres, need, keep, 1 + r.below(classes)))
    most = 6 * n if r.below(3) == 0 else 3 * n
    carries = []
    for _ in range(r.below(1 + most)):
        giver = r.below(n)
        receiver = (giver + 1 + r.below(n - 1)) % n
        daily = r.one_of(0, 5, 10, 10, 15, 20, 25, 30, 50, 100, 200, 500) if even else r.below(1500) / 10
        loss = r.one_of(0, 0, 0.01, 0.1, 0.2, 0.25, 0.5, 0.6) if lossy else 0
        carries.append((giver, receiver, daily, loss))
    return sites, carries, r.one_of(None, None, 0, 2, 5, 10, 20)


def large(count):
    """As `six_carries_each` of `server/engine/benches/engine.rs`: places with six carries each to anywhere, no losses."""
    state = 7

    def below(most):
        nonlocal state
        state = (state * 1664525 + 1013904223) % (1 << 32)
        return (state * most) >> 32

    sites = []
    for _ in range(count):
        need = 15.0 * [0, 1, 2, 2, 3, 4, 4, 6, 20, 40][below(10)]
        days = 1 + below(30) * below(30) // 25
        keep = need * [0.0, 0.0, 1.0, 3.0][below(4)]
        sites.append((days * max(need, 15.0), need, keep, 1))
    carries = []
    for giver in range(count):
        for _ in range(6):
            receiver = (giver + 1 + below(count - 1)) % count
            carries.append((giver, receiver, (50 + below(1450)) / 10.0, 0.0))
    return sites, carries


def fairest(sites, carries, target=None, levels=None):
    """sites: (litres, need, keep, class); carries: (from, to, litres a day, loss). Days by site, least carried; or, after
    so many levels, how many programs that took."""
    needing = [i for i, s in enumerate(sites) if s[1] > 0]
    carries = [c for c in carries if sites[c[1]][1] > 0]
    m, n = len(carries), len(sites)
    # variables: flow of each carry, then T of each site (fixed at 0 where nothing is needed)
    rows, cols, vals, rhs = [], [], [], []
    row_of = {}
    for i, (litres, need, keep, _) in enumerate(sites):  # out - in + need T = litres
        if need > 0:
            row_of[i] = len(rhs)
            rhs.append(litres)
            rows.append(row_of[i]), cols.append(m + i), vals.append(need)
    for k, (a, b, _, loss) in enumerate(carries):
        if a in row_of:
            rows.append(row_of[a]), cols.append(k), vals.append(1.0)
        if b in row_of:
            rows.append(row_of[b]), cols.append(k), vals.append(loss - 1.0)
    A_eq = coo_matrix((vals, (rows, cols)), shape=(len(rhs), m + n)).tocsr() if rhs else None
    b_eq = np.array(rhs)
    ub = [max(0.0, litres - keep) for litres, _, keep, _ in sites] + [0.0] * m
    rows, cols, vals = [], [], []
    for k, (a, b, daily, _) in enumerate(carries):
        rows += [a, n + k, n + k]
        cols += [k, k, m + b]
        vals += [1.0, 1.0, -daily]
    A_ub = coo_matrix((vals, (rows, cols)), shape=(len(ub), m + n)).tocsr()
    b_ub = np.array(ub)
    floor = [0.0] * n

    solved = 0

    def solve(cost, rising=(), lowest=None):
        """Least cost; `rising` sites last at least t, the variable that is put last."""
        nonlocal solved
        solved += 1
        extra = 1 if rising else 0
        A, b = A_ub, b_ub
        if extra:
            A = hstack([A_ub, coo_matrix((A_ub.shape[0], 1))]).tocsr()
            more = coo_matrix((np.r_[-np.ones(len(rising)), np.ones(len(rising))],
                               (np.r_[range(len(rising)), range(len(rising))],
                                np.r_[[m + i for i in rising], [m + n] * len(rising)])),
                              shape=(len(rising), m + n + 1))
            A = vstack([A, more]).tocsr()
            b = np.r_[b_ub, np.zeros(len(rising))]
            E = hstack([A_eq, coo_matrix((A_eq.shape[0], 1))]).tocsr()
        else:
            E = A_eq
        bounds = [(0, None)] * m + [(floor[i] if lowest is None else lowest[i], None) if sites[i][1] > 0 else (0, 0)
                                    for i in range(n)] + [(0, None)] * extra
        for feas in (1e-10, 1e-9, 1e-8, 1e-7):
            res = linprog(cost, A_ub=A, b_ub=b, A_eq=E, b_eq=b_eq, bounds=bounds, method="highs-ds",
                          options={"primal_feasibility_tolerance": feas, "dual_feasibility_tolerance": 1e-10})
            if res.status == 0:
                return res
        raise RuntimeError(res.message)

    def raise_together(group, cap):
        """Sites of the group whose floor is now their last; those that got as far as cap are handed back."""
        nonlocal levels
        rising = list(group)
        while rising and levels != 0:
            levels = levels and levels - 1
            cost = np.zeros(m + n + 1)
            cost[-1] = -1.0
            res = solve(cost, rising)
            t = res.x[-1]
            if cap is not None and t >= cap * (1 - 1e-9):
                for i in rising:
                    floor[i] = cap
                return rising
            # which of them can have more, when all the others have t
            lowest = list(floor)
            for i in rising:
                lowest[i] = max(floor[i], t * (1 - 1e-11))
            unknown, still = list(rising), []
            while unknown:
                cost = np.zeros(m + n)
                for i in unknown:
                    cost[m + i] = -1.0
                # the sum of all unknown: whoever gains in it is not stuck; if nobody gains, all are
                x = solve(cost, lowest=lowest).x
                gains = [i for i in unknown if x[m + i] > t + TIGHT * max(1.0, t)]
                if not gains:
                    break
                still += gains
                unknown = [i for i in unknown if i not in gains]
            for i in unknown:
                floor[i] = max(floor[i], t * (1 - 1e-11))
            rising = still
        return []

    classes = sorted({sites[i][3] for i in needing})
    reached = []
    if target is None or target > 0:
        for c in classes:
            reached += raise_together([i for i in needing if sites[i][3] == c], target)
    else:
        reached = needing
    if target is not None:
        raise_together(reached, None)
    if levels is not None:
        return floor, solved
    if not needing:
        return {}, 0.0
    cost = np.r_[np.ones(m), np.zeros(n)]
    best = solve(cost, lowest=[f * (1 - 1e-11) for f in floor])
    return {i: floor[i] for i in needing}, best.fun


def published(name):
    for case in json.load(open(name)):
        if case.get("refused"):
            continue
        at = {s["id"]: i for i, s in enumerate(case["sites"])}
        sites = [(s["litres"], s["need_L_per_day"], s.get("keep_L", 0), s.get("class", 1)) for s in case["sites"]]
        carries = [(at[c["from"]], at[c["to"]], c["L_per_day"], c.get("loss", 0)) for c in case.get("carries", [])]
        began = time.perf_counter()
        days, carried = fairest(sites, carries, case.get("target_days"))
        took = time.perf_counter() - began
        answer = case.get("answer", {"days": {}, "carried_L": carried})
        off = max([abs(days[at[k]] - v) / max(1, v) for k, v in answer["days"].items()] or [0])
        print(f"{case['id']}: days off by {off:.1e}, carried by {carried - answer['carried_L']:.1e} L, {took:.3f} s")


def timed(count):
    """The fairest share of a large neighbourhood, whole up to a hundred sites; beyond, its first levels alone."""
    sites, carries = large(count)
    levels = None if count <= 100 else 10 if count <= 1000 else 1
    began = time.perf_counter()
    _, found = fairest(sites, carries, levels=levels)
    took = time.perf_counter() - began
    what = "whole" if levels is None else f"the first {levels} of its levels alone, {found} linear programs"
    print(f"{count} sites, {len(carries)} carries: {took:.2f} s, {what}", flush=True)


def whole(count):
    """Every level of a large neighbourhood: the least litres carried, then the days of each site, a line each."""
    sites, carries = large(count)
    began = time.perf_counter()
    days, carried = fairest(sites, carries)
    print(f"{count} sites, {len(carries)} carries: {time.perf_counter() - began:.1f} s", file=sys.stderr, flush=True)
    print(f"{carried:.10g}")
    for place in range(count):
        print(f"{days[place]:.10g}" if place in days else "")


if __name__ == "__main__":
    if sys.argv[1:2] == ["whole"]:
        whole(int(sys.argv[2]))
    elif sys.argv[1:2] == ["time"]:
        for count in sys.argv[2:]:
            timed(int(count))
    elif len(sys.argv) > 1:
        published(sys.argv[1])
    else:
        for start in range(COUNT):
            sites, carries, target = made_up(start)
            days, carried = fairest(sites, carries, target)
            lasts = [f"{days[i]:.10g}" if i in days else "" for i in range(len(sites))]
            print(",".join([str(start), f"{carried:.10g}", *lasts]), flush=True)
