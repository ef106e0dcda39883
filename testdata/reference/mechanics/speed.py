#!/usr/bin/python3
"""Times of general solvers on a contact problem like that of BenchmarkWarmSolve: 150 stations, NiTi 25/.04
in a bend of 7 mm radius, its elastic branch (a quadratic programme). Best of five, after a run to warm up.
Run by "go run ./cmd/gate --only bench"; needs NumPy and SciPy, uses cvxopt where it is there.
"""
import time
import numpy as np
import scipy
from scipy.optimize import minimize, nnls, lsq_linear

N, L, K, EPS = 150, 15.0, 400.0, 1e-3
H = L / (N - 1)
s = np.arange(N) * H
x = L - s
d = 0.25 + 0.04 * x
ei = 44000 * d**4 / 48
kappa = np.where((s > 8) & (s < 13), 1 / 7, 0.0)
half = 0.12 + 0.019 * x
gap = half - np.minimum(d / 2, 0.01 + 0.77 * x)
D2 = np.zeros((N - 2, N))
for i in range(N - 2):
    D2[i, i:i + 3] = np.array([1, -2, 1]) / H**2
BEND = H * D2.T @ (ei[1:-1, None] * D2)
C = H * D2.T @ (ei[1:-1] * kappa[1:-1])
Q0 = BEND + np.eye(N) * H * EPS


def energy(y):
    over, under = np.maximum(y - gap, 0), np.maximum(-y - gap, 0)
    r = kappa[1:-1] + D2 @ y
    e = 0.5 * H * (ei[1:-1] * r * r).sum() + 0.5 * H * K * (over**2 + under**2).sum() + 0.5 * H * EPS * (y * y).sum()
    return e, BEND @ y + C + H * K * (over - under) + H * EPS * y


def best(run):
    run()
    times = []
    for _ in range(5):
        begin = time.perf_counter()
        out = run()
        times.append(time.perf_counter() - begin)
    return 1000 * min(times), energy(out)[0]


def dual():
    """The same problem as non-negative least squares (see contact.py)."""
    from scipy.linalg import cho_factor, cho_solve, cholesky, solve_triangular
    a, g = np.vstack([np.eye(N), -np.eye(N)]), np.concatenate([gap, gap])
    f = cho_factor(Q0)
    q = a @ cho_solve(f, a.T) + np.eye(2 * N) / (H * K)
    r = cholesky(q)
    lam, _ = nnls(r, -solve_triangular(r, a @ cho_solve(f, C) + g, trans="T"), maxiter=50 * N)
    return -cho_solve(f, C + a.T @ lam)


print("SciPy %s, same kind of problem at %d stations:" % (scipy.__version__, N))
for name, run in {
    "nnls of the dual": dual,
    "L-BFGS-B": lambda: minimize(energy, np.zeros(N), jac=True, method="L-BFGS-B", options={"maxiter": 20000, "maxfun": 40000, "ftol": 1e-15, "gtol": 1e-6}).x,
    "trust-constr": lambda: minimize(energy, np.zeros(N), jac=True, method="trust-constr", hess=lambda y: Q0 + np.diag(H * K * ((y > gap) | (y < -gap)).astype(float)), options={"maxiter": 500, "gtol": 1e-7}).x,
}.items():
    ms, e = best(run)
    print("%s: %.3g ms, energy %.9g N·mm" % (name, ms, e))
try:
    from cvxopt import matrix, solvers
    solvers.options["show_progress"] = False

    def qp():
        big = np.zeros((3 * N, 3 * N))
        big[:N, :N] = Q0
        big[N:, N:] = np.eye(2 * N) * H * K
        g = np.block([[np.eye(N), -np.eye(N), np.zeros((N, N))], [-np.eye(N), np.zeros((N, N)), -np.eye(N)], [np.zeros((2 * N, N)), -np.eye(2 * N)]])
        h = np.concatenate([gap, gap, np.zeros(2 * N)])
        q = np.concatenate([C, np.zeros(2 * N)])
        return np.array(solvers.qp(matrix(big), matrix(q), matrix(g), matrix(h))["x"]).ravel()[:N]

    ms, e = best(qp)
    print("cvxopt qp: %.3g ms, energy %.9g N·mm" % (ms, e))
except ImportError:
    print("cvxopt is not installed")
