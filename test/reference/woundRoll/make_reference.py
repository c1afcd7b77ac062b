"""Write reference.json: the last increment of six rolls, solved as a boundary-value problem by SciPy.
Run after a build: /usr/bin/python3 make_reference.py"""
import json
import pathlib
import subprocess
import numpy as np
import scipy
from scipy.integrate import solve_bvp

here = pathlib.Path(__file__).resolve().parent
root = here.parents[2]

# Invented rolls. Lengths m, pressures and moduli Pa, tension N/m; a core stiffness of None is rigid.
rolls = [
    {"name": "film", "laps": 600, "caliper": 25e-6, "coreRadius": 0.0445, "modulus": 4.5e9, "poisson": 0.01,
     "coreStiffness": 1.11979e10, "tension": 125, "stack": {"law": "exponential", "k1": 3000, "k2": 120}},
    {"name": "newsprint", "laps": 600, "caliper": 70e-6, "coreRadius": 0.045, "modulus": 4e9, "poisson": 0.01,
     "coreStiffness": 5e9, "tension": 300, "stack": {"law": "exponential", "k1": 3000, "k2": 35}},
    {"name": "foil", "laps": 600, "caliper": 20e-6, "coreRadius": 0.075, "modulus": 69e9, "poisson": 0,
     "coreStiffness": None, "tension": 400, "stack": {"law": "exponential", "k1": 40000, "k2": 400}},
    {"name": "constant modulus", "laps": 600, "caliper": 25e-6, "coreRadius": 0.05, "modulus": 4.5e9, "poisson": 0.3,
     "coreStiffness": 1e9, "tension": 125, "stack": {"law": "constant", "modulus": 2e7}},
    {"name": "saturating stack", "laps": 600, "caliper": 50e-6, "coreRadius": 0.05, "modulus": 3e9, "poisson": 0.02,
     "coreStiffness": 2e9, "tension": 200, "stack": {"law": "saturating", "atRest": 3e5, "highest": 1.5e7, "scale": 8e4}},
    {"name": "polynomial stack", "laps": 600, "caliper": 40e-6, "coreRadius": 0.05, "modulus": 3.5e9, "poisson": 0.02,
     "coreStiffness": 4e9, "tension": 150, "stack": {"law": "polynomial", "coefficients": [4e5, 80, 2e-5]}},
]

def modulus(stack):
    if stack["law"] == "exponential":
        return lambda p: stack["k2"] * (p + stack["k1"])
    if stack["law"] == "constant":
        return lambda p: stack["modulus"] + 0 * p
    if stack["law"] == "saturating":
        return lambda p: stack["highest"] - (stack["highest"] - stack["atRest"]) * np.exp(-p / stack["scale"])
    return lambda p: np.polynomial.polynomial.polyval(p, stack["coefficients"])

# The pressures before the last lap are the data of the problem, taken from the program itself; what is checked is the increment.
before = json.loads(subprocess.run(
    ["node", "--input-type=module", "-e", f"""
import {{ windRoll }} from '{(root / "dist/engine/roll/stress/windRoll.js").as_uri()}';
import {{ stackModulus }} from '{(root / "dist/engine/roll/stress/stackModulus.js").as_uri()}';
console.log(JSON.stringify({json.dumps(rolls)}.map((r) => [...windRoll({{ ...r, laps: r.laps - 1,
  coreStiffness: r.coreStiffness ?? Infinity, stack: stackModulus(r.stack), woundOn: () => r.tension }}).pressure])));
"""], check=True, capture_output=True, text=True).stdout)

def last_increment(roll, pressure):
    """r²·y″ + 3·r·y′ − (E_t/E_r(P + y/2) − 1)·y = 0 for the pressure y that the last lap adds, in r and y as written in
    roll stress papers; not in the variables of the program. P is taken straight between interfaces."""
    h, rc, et = roll["caliper"], roll["coreRadius"], roll["modulus"]
    radius = rc + h * np.arange(roll["laps"])
    # Under the lap itself there was no pressure before it.
    p = np.append(pressure, 0.0)
    er = modulus(roll["stack"])
    core = (0 if roll["coreStiffness"] is None else et / roll["coreStiffness"]) - 1 + roll["poisson"]
    surface = roll["tension"] / radius[-1]
    def f(r, y):
        g2 = et / er(np.interp(r, radius, p) + y[0] / 2)
        return np.vstack([y[1], ((g2 - 1) * y[0] - 3 * r * y[1]) / (r * r)])
    def ends(inner, outer):
        return np.array([rc * inner[1] - core * inner[0], outer[0] - surface])
    # Nodes at the interfaces, where P has its kinks, and the scale of y' brought to that of y by solving in metres per lap.
    mesh = np.unique(np.concatenate([radius, 0.5 * (radius[1:] + radius[:-1])]))
    decay = np.exp((mesh - radius[-1]) / (20 * h))
    start = np.vstack([surface * decay, surface * decay / (20 * h)])
    found = solve_bvp(f, ends, mesh, start, tol=1e-8, max_nodes=200000)
    if not found.success:
        raise SystemExit(f"{roll['name']}: {found.message}")
    return found.sol(radius)[0], float(found.rms_residuals.max())

out = {"scipy": scipy.__version__, "numpy": np.__version__, "rolls": []}
for roll, pressure in zip(rolls, before):
    increment, residual = last_increment(roll, np.array(pressure))
    print(roll["name"], "largest relative residual", residual, "at the core", increment[0], "at the surface", increment[-1])
    at = sorted({0, *range(50, 600, 50), *range(580, 600)})
    out["rolls"].append({**roll, "at": at, "increment": [float(f"{increment[i]:.10e}") for i in at]})
(here / "reference.json").write_text(json.dumps(out, indent=1) + "\n")
