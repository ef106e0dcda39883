#!/usr/bin/python3
"""Three contact problems of an elastic file in a canal, solved as a quadratic programme by other means.

Minimise  h sum 1/2 EI (kappa + y'' - set)^2 + h sum w 1/2 eps y^2 + h sum w 1/2 k p^2
subject to  y - p <= g_plus,  -y - p <= g_minus.
Its dual is a non-negative least-squares problem (Lawson and Hanson), solved by scipy.optimize.nnls:
  min_{l >= 0} 1/2 l' (A H^-1 A' + D^-1) l + l' (A H^-1 c + g),  y = -H^-1 (c + A' l).
Nothing is shared with the program but the statement of the problem. The columns of the result hold the
problem as well as its solution. Run: /usr/bin/python3 contact.py > contact.csv
Made with Python 3.11, NumPy 1.24, SciPy 1.10.
"""
import numpy as np
from scipy.linalg import cho_factor, cho_solve, cholesky, solve_triangular
from scipy.optimize import nnls

H, K, EPS = 0.1, 400.0, 1e-3


def solve(kappa, stiff, gm, gp, w):
    n = len(kappa)
    d2 = np.zeros((n - 2, n))
    for i in range(n - 2):
        d2[i, i:i + 3] = np.array([1, -2, 1]) / H**2
    ei = stiff[1:-1]
    hess = H * d2.T @ (ei[:, None] * d2) + np.diag(H * w * EPS)
    c = H * d2.T @ (ei * kappa[1:-1])
    a = np.vstack([np.eye(n), -np.eye(n)])
    g = np.concatenate([gp, gm])
    # scale rows by the wall springs, which makes the dual well conditioned
    f = cho_factor(hess)
    q = a @ cho_solve(f, a.T) + np.diag(np.concatenate([1 / (H * w * K)] * 2))
    b = a @ cho_solve(f, c) + g
    # 1/2 l'Ql + b'l = 1/2 |R l + R^-T b|^2 + const with Q = R'R
    r = cholesky(q)
    rhs = -solve_triangular(r, b, trans="T")
    lam, _ = nnls(r, rhs, maxiter=50 * n)
    y = -cho_solve(f, c + a.T @ lam)
    return y, lam[:n], lam[n:]


def case(name, n, radius, angle, tip, half, modulus):
    s = np.arange(n) * H
    x = s[-1] - s                         # behind the tip
    rad = np.minimum(0.01 + np.tan(np.radians(37.5)) * x, tip / 2 + 0.01 * x)
    stiff = modulus * (tip + 0.02 * x) ** 4 / 48
    arc = radius * np.radians(angle)
    end = s[-1] - 1.0
    kappa = np.where((s >= end - arc) & (s <= end), 1 / radius, 0.0)
    wall = half + 0.015 * x + 0.004 * np.sin(3 * s)
    gm, gp = wall - rad, wall + 0.003 * np.cos(2 * s) - rad
    w = np.ones(n)
    w[0] = w[-1] = 0.5
    y, fp, fm = solve(kappa, stiff, gm, gp, w)
    for i in range(n):
        print(f"{name},{i},{kappa[i]:.17g},{stiff[i]:.17g},{gm[i]:.17g},{gp[i]:.17g},{y[i]:.12g},{fm[i]:.12g},{fp[i]:.12g}")


print("case,station,curvature,stiffness,gap_minus,gap_plus,y,force_minus,force_plus")
case("loose", 150, 12, 20, 0.15, 0.12, 193000)
case("bent tight", 150, 5, 40, 0.25, 0.13, 75000)
case("squeezed", 120, 8, 28, 0.30, 0.14, 193000)
