"""The film roll of roll.bench.mjs, 10,000 laps, as a loop of NumPy arrays and LAPACK's tridiagonal solver. Prints milliseconds.

The same scheme: Q'' = g^2 Q in x = ln r, second-order core, modulus foreseen at mid-increment from the last lap's increment."""
import time
import numpy as np
from scipy.linalg.lapack import dgtsv

N, h, rc, Et, nu, K1, K2, Ec, T = 10000, 25e-6, 0.0445, 4.5e9, 0.01, 3000.0, 120.0, 1.11979e10, 125.0
r = rc + h * np.arange(N)
dx = np.log1p(h / r)
inv = 1 / dx
third = Et * dx / 3
sixth = Et * dx / 6
P = np.zeros(N)
inc = np.zeros(N)
attenuation = 0.0
core = Et / Ec + nu
start = time.perf_counter()
P[0] = T / rc
for k in range(1, N):
    p = P[: k + 1] + 0.5 * attenuation * inc[: k + 1]
    p[k] = 0.5 * T / r[k]
    e = K2 * (0.5 * (p[1:] + p[:-1]) + K1)
    w = 1 / e
    cell = inv[:k] + third[:k] * w
    off = inv[:k] - sixth[:k] * w
    d = cell.copy()
    d[0] += core
    d[1:] += cell[:-1]
    b = np.zeros(k)
    b[-1] = off[-1] * T
    if k == 1:
        q = b / d
    else:
        q = dgtsv(-off[:-1], d, -off[:-1], b)[3]
    dp = q / r[:k]
    P[:k] += dp
    P[k] = T / r[k]
    inc[:k] = dp
    attenuation = q[-1] / T
print((time.perf_counter() - start) * 1e3)
