"""Write reference.json: outside values for the tests of src/engine/numerics. Run: /usr/bin/python3 make_reference.py"""
import json
import pathlib
import numpy as np
import scipy
from scipy import fft, interpolate, signal, stats

# A signal from closed form, so that nothing but the seedless formula is behind it.
k = np.arange(200)
x = np.sin(0.07 * k) + 0.3 * np.cos(1.9 * k + 0.4) + 0.002 * k

knots = np.array([0.0, 0.7, 1.1, 2.4, 3.0, 4.5, 5.0])
heights = np.array([1.0, 1.3, 1.2, 1.2, 4.0, 4.1, 3.5])
at = np.linspace(0, 5, 41)

def curve(f):
    return {"value": f(at).tolist(), "derivative": f(at, 1).tolist()}

def response(order, ripple, cutoff):
    sos = signal.butter(order, cutoff, output="sos") if ripple is None else signal.cheby1(order, ripple, cutoff, output="sos")
    w, h = signal.sosfreqz(sos, worN=[0.0, 0.1, 0.5, 1.0, 2.0, 3.0])
    return {"order": order, "ripple_dB": ripple, "cutoff": cutoff, "omega": w.tolist(), "gain": np.abs(h).tolist(),
            "filtfilt": signal.sosfiltfilt(sos, x).tolist()}

def quantile(distribution, p, *dof):
    """SciPy's quantile, brought onto SciPy's own distribution function by Newton steps on the smaller tail:
    its t and F quantiles alone are right to 10 or 11 digits only."""
    q = distribution.ppf(p, *dof)
    for _ in range(3):
        miss = distribution.cdf(q, *dof) - p if p <= 0.5 else (1 - p) - distribution.sf(q, *dof)
        q -= miss / distribution.pdf(q, *dof)
    return float(q)

def ppf(distribution, *dof):
    return [[p, *dof, quantile(distribution, p, *dof)] for p in (1e-6, 0.01, 0.3, 0.9, 0.975, 0.9999)]

def cdf(distribution, points, *dof):
    return [[v, *dof, float(distribution.cdf(v, *dof))] for v in points]

out = {
    "scipy": scipy.__version__,
    "numpy": np.__version__,
    "signal": x.tolist(),
    "filters": [response(4, None, 0.2), response(5, None, 0.05), response(1, None, 0.3), response(8, 0.05, 0.08), response(3, 1.0, 0.4)],
    "decimate10": signal.decimate(x, 10, ftype="iir", zero_phase=True).tolist(),
    "quantile": [[p, float(np.quantile(x, p))] for p in (0, 0.01, 0.25, 0.333, 0.5, 0.9, 1)],
    "mad": float(stats.median_abs_deviation(x)),
    "knots": knots.tolist(), "heights": heights.tolist(), "at": at.tolist(),
    "pchip": curve(interpolate.PchipInterpolator(knots, heights)),
    "notAKnot": curve(interpolate.CubicSpline(knots, heights)),
    "natural": curve(interpolate.CubicSpline(knots, heights, bc_type="natural")),
    "fft": [{"n": n, "re": fft.fft(x[:n]).real.tolist(), "im": fft.fft(x[:n]).imag.tolist()} for n in (1, 7, 16, 30, 64)],
    "savgol": [{"window": w, "degree": d, "derivative": q, "step": 0.02,
                "weights": signal.savgol_coeffs(w, d, q, delta=0.02, use="dot").tolist(),
                "values": signal.savgol_filter(x, w, d, q, delta=0.02)[:40].tolist()} for w, d, q in ((5, 2, 0), (11, 3, 1), (21, 4, 2))],
    "normal": {"ppf": ppf(stats.norm), "cdf": cdf(stats.norm, (-12, -1.5, 0.2, 3))},
    "t": {"ppf": ppf(stats.t, 1) + ppf(stats.t, 2.5) + ppf(stats.t, 10) + ppf(stats.t, 4000),
          "cdf": cdf(stats.t, (-30, -1.5, 0.2, 3), 2.5) + cdf(stats.t, (-8, 1.9), 4000)},
    "f": {"ppf": ppf(stats.f, 1, 4) + ppf(stats.f, 3, 7.5) + ppf(stats.f, 40, 900),
          "cdf": cdf(stats.f, (0.01, 0.9, 4), 3, 7.5) + cdf(stats.f, (0.7, 1.3), 40, 900)},
    "chi2": {"ppf": ppf(stats.chi2, 1) + ppf(stats.chi2, 4.5) + ppf(stats.chi2, 3000),
             "cdf": cdf(stats.chi2, (0.01, 4, 30), 4.5) + cdf(stats.chi2, (2800, 3100), 3000)},
}
pathlib.Path(__file__).with_name("reference.json").write_text(json.dumps(out, indent=None, separators=(",", ":")) + "\n")
