#!/usr/bin/python3
"""Torsion constant of a rhombus with diagonals 1 and p: Prandtl's stress function by finite differences.

u = x/a + y/b and v = x/a - y/b map the rhombus on a square, so that the edge is met exactly; Richardson
extrapolation from 128 and 256 cells. p = 1 gives the square's 0.140577 (1/sqrt 2)^4 = 0.0351443.
Run: /usr/bin/python3 rhombus.py > rhombus.csv    Made with Python 3.11, NumPy 1.24, SciPy 1.10.
"""
import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sl


def torsion(p, n):
    a, b = 0.5, 0.5 * p
    h, m = 2 / n, n - 1
    straight, mixed = 1 / a**2 + 1 / b**2, 2 * (1 / a**2 - 1 / b**2)
    eye = sp.identity(m)
    d2 = sp.diags([1, -2, 1], [-1, 0, 1], shape=(m, m)) / h**2
    d1 = sp.diags([-1, 1], [-1, 1], shape=(m, m)) / (2 * h)
    lap = straight * (sp.kron(d2, eye) + sp.kron(eye, d2)) + mixed * sp.kron(d1, d1)
    phi = sl.spsolve(lap.tocsc(), -2 * np.ones(m * m))
    return 2 * phi.sum() * h * h * a * b / 2


print("ratio,torsion")
for p in (1.0, 0.8, 0.6, 0.5, 0.4, 0.3, 0.2):
    coarse, fine = torsion(p, 128), torsion(p, 256)
    print(f"{p},{fine + (fine - coarse) / 3:.8f}")
