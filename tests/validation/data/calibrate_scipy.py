"""Reference fits for tests/calibrate/against_scipy.rs: a pendulum-like arm, with priors, a shared gain, a bound and a flat direction.

Run with SciPy and NumPy: python3 calibrate_scipy.py > calibrate_scipy.json
Parameters x in units of their prior standard deviation: value = centre * exp(s * x), the last one a shared gain 1 + 0.02 x.
Readings: pull out and pull in at angles a: gain (W L sin a + F), gain (W L sin a - F); period 2 pi sqrt(I / (W L)); decay rate C / (2 I).
Weight W and lever L enter as their product only: one direction is left to the priors.
"""
import json
import numpy as np
import scipy
from scipy.optimize import least_squares

CENTRE = np.array([120.0, 0.45, 12.0, 330.0, 40.0])
SPREAD = np.array([0.05, 0.03, 0.5, 0.2, 0.6])
ANGLES = np.array([0.4, 0.8, 1.2])
SIGMA = np.concatenate([np.full(6, 2.0), np.full(2, 0.05), np.full(2, 0.004)])


def model(x):
    w, l, f, i, c = CENTRE * np.exp(SPREAD * x[:5])
    gain = 1 + 0.02 * x[5]
    s = w * l * np.sin(ANGLES)
    return np.concatenate([gain * (s + f), gain * (s - f),
                           np.full(2, 2 * np.pi * np.sqrt(i / (w * l))), np.full(2, c / (2 * i))])


def residuals(x, y):
    return np.concatenate([(model(x) - y) / SIGMA, x])


def jacobian(x, y):
    columns = []
    for k in range(6):
        z = x.astype(complex)
        z[k] += 1e-30j
        columns.append(residuals(z, y).imag / 1e-30)
    return np.array(columns).T


def fit(y, low, high):
    options = dict(xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac", max_nfev=10000)
    start = np.clip(np.zeros(6), low + 1e-3, high - 1e-3)
    found = least_squares(residuals, start, jac=jacobian, args=(y,), bounds=(low, high), method="trf", **options)
    held = (np.abs(found.x - low) < 1e-5) | (np.abs(found.x - high) < 1e-5)
    free = ~held
    fixed = np.where(np.abs(found.x - low) < 1e-5, low, high)

    def whole(z):
        x = np.where(held, fixed, 0).astype(z.dtype)
        x[free] = z
        return x

    # An interior method stays a little off the bounds: with those parameters put onto them, solved again for the rest.
    again = least_squares(lambda z: residuals(whole(z), y), found.x[free], jac=lambda z: jacobian(whole(z), y)[:, free],
                          method="lm", **options)
    x = whole(again.x)
    j = jacobian(x, y)[:, free]
    c = np.linalg.inv(j.T @ j)
    data = j[:len(y)]
    h = np.einsum("ij,jk,ik->i", data, c, data)
    r = residuals(x, y)
    covariance = np.zeros((6, 6))
    covariance[np.ix_(free, free)] = c
    values, vectors = np.linalg.eigh(data.T @ data)
    flat = np.zeros((6, int((1 / np.sqrt(1 + values) >= 0.95).sum())))
    flat[free] = vectors[:, 1 / np.sqrt(1 + values) >= 0.95]
    return dict(y=y.tolist(), low=low.tolist(), high=high.tolist(), at=x.tolist(), at_bound=held.tolist(),
                chi2=float(r @ r), covariance=covariance.tolist(), leverage=h.tolist(),
                studentised=(r[:len(y)] / np.sqrt(1 - h)).tolist(), flat=flat.T.tolist())


rng = np.random.default_rng(20)
cases = []
for case in range(6):
    truth = rng.normal(size=6)
    y = model(truth) + SIGMA * rng.normal(size=10)
    low, high = np.full(6, -6.0), np.full(6, 6.0)
    if case in (2, 4):
        high[4] = truth[4] - 1.0  # a bound that holds the damper
    if case == 4:
        low[2] = truth[2] + 0.4
    if case == 5:
        y[1] += 16.0  # one reading far out
    cases.append(fit(y, low, high))
print(json.dumps(dict(source=f"SciPy {scipy.__version__}, NumPy {np.__version__}, calibrate_scipy.py", cases=cases), indent=1))
