"""Four honey musts by a general-purpose solver (scipy's LSODA): python kinetics_honey.py > kinetics_honey.csv

The equations and parameters of the reference on kinetics, sections 1 and 2 (Coleman, Fish and Block 2007), with growth held at
its most above 277 mg N/L. The cases are ours: temperatures that change, nitrogen by the clock and at the one-third break,
slow and fast factors, and a must that holds alcohol already.
"""

from math import exp, inf

import scipy
from scipy.integrate import solve_ivp

END = 2000.0


def rates(celsius, nitrogen, growth, uptake):
    cells = exp(3.50 - 0.00361 * nitrogen)
    if nitrogen > 277.0:
        cells = exp(3.50 - 0.00361 * 277.0) * 277.0 / nitrogen
    return (
        exp(-3.92 + 0.0782 * celsius) * growth,
        exp(-4.73),
        exp(-9.81 - 0.108 * celsius + 0.00478 * celsius**2),
        cells,
        exp(-2.30 + 0.0771 * celsius) * uptake,
        exp(2.33),
        exp(-0.598),
    )


def run(sugar, yan, ethanol, pitch, temperatures, additions, growth, uptake):
    """Pieces (from, to, solution); additions are (hours or None at two thirds of the sugar, mg/L)."""
    total = yan + sum(added for _, added in additions)
    y, t, pieces, waiting = [pitch, yan / 1000, ethanol, sugar], 0.0, [], list(additions)
    while t < END:
        celsius = [c for begun, c in temperatures if begun <= t][-1]
        mu, kn, kd, yxn, beta, ks, yes = rates(celsius, total, growth, uptake)

        def slope(_, y):
            x, n, e, s = y
            n, s = max(n, 0.0), max(s, 0.0)
            grown, made = mu * n / (kn + n) * x, beta * s / (ks + s) * x
            return [grown - kd * e * x, -grown / yxn, made, -made / yes]

        stops = [h for h, _ in temperatures] + [h for h, _ in waiting if h is not None]
        until = min([h for h in stops if h > t] + [END])
        events = None
        if any(h is None for h, _ in waiting):
            def third(_, y):
                return y[3] - sugar * 2 / 3

            third.terminal, third.direction = True, -1
            events = [third]
        found = solve_ivp(slope, (t, until), y, "LSODA", dense_output=True, events=events, rtol=1e-10, atol=1e-13, max_step=2.0)
        pieces.append((t, found.t[-1], found.sol))
        t, y = found.t[-1], list(found.y[:, -1])
        at_third = found.status == 1
        due = [a for h, a in waiting if (h is None and at_third) or (h is not None and h <= t)]
        waiting = [(h, a) for h, a in waiting if not ((h is None and at_third) or (h is not None and h <= t))]
        y[1] += sum(due) / 1000
    return pieces


def sugar_at(pieces, hours):
    return next(max(float(sol(hours)[3]), 0.0) for _, to, sol in pieces if hours <= to)


def hours_to(pieces, sugar):
    low, high = 0.0, END
    if sugar_at(pieces, high) > sugar:
        return inf
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if sugar_at(pieces, middle) > sugar else (low, middle)
    return high


CASES = [
    ("warmed_then_cooled", 240, 40, 0, 0.25, "0:18;60:22;200:16", "24 h:40 mg/L;48 h:40 mg/L;72 h:40 mg/L", 0.8, 0.6),
    ("warm_and_strong", 300, 60, 0, 0.5, "0:25", "24 h:60 mg/L;at S=2/3 S0:80 mg/L", 1.3, 0.45),
    ("cool_and_well_fed", 180, 300, 0, 0.2, "0:12;96:15", "", 1.0, 0.6),
    ("fed_with_honey_at_work", 70, 20, 90, 2.4, "0:20", "", 1.0, 0.6),
]

print("# Four honey musts followed by LSODA of scipy, relative tolerance 1e-10: our own cases and program, kinetics_honey.py.")
print(f"# Made by: python kinetics_honey.py > kinetics_honey.csv (scipy {scipy.__version__}). Equations: reference on kinetics, sections 1 and 2.")
print("# Tolerance: times 0.1 %, sugar 0.02 g/L. NA: never.")
print("id,S0_g_l,N0_mg_l,E0_g_l,X0_g_l,temperatures,additions,growth,uptake,t_one_third_h,t_half_h,t_95pct_h,t_below_2gl_h,S_100h_g_l,S_240h_g_l,S_1999h_g_l")
for case in CASES:
    name, sugar, yan, ethanol, pitch, degrees, fed, growth, uptake = case
    temperatures = [tuple(float(v) for v in part.split(":")) for part in degrees.split(";")]
    additions = []
    for part in filter(None, fed.split(";")):
        at, amount = part.rsplit(":", 1)
        hours = None if at.startswith("at") else float(at.removesuffix(" h"))
        additions.append((hours, float(amount.removesuffix(" mg/L"))))
    pieces = run(sugar, yan, ethanol, pitch, temperatures, additions, growth, uptake)
    marks = [hours_to(pieces, sugar * left) for left in (2 / 3, 0.5, 0.05)] + [hours_to(pieces, 2.0)]
    times = ["NA" if mark == inf else f"{mark:.4f}" for mark in marks]
    sugars = [f"{sugar_at(pieces, hours):.4f}" for hours in (100.0, 240.0, 1999.0)]
    print(",".join([*map(str, case), *times, *sugars]))
