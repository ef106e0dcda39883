"""Writes quantile.csv: p, normal quantile, by SciPy (scipy.special.ndtri, Cephes).
Run: /usr/bin/python3 quantile.py > quantile.csv
"""
from scipy.special import ndtri

P = [1e-300, 1e-100, 1e-30, 1e-16, 1e-12, 1e-11, 1e-9, 1e-6, 1e-4, 0.001, 0.01, 0.025, 0.05, 0.074, 0.076,
     0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.45, 0.49, 0.499, 0.51, 0.6, 0.7, 0.75, 0.8, 0.9, 0.924, 0.926,
     0.95, 0.975, 0.99, 0.999, 0.9999]
for p in P:
    print(f"{p!r},{float(ndtri(p))!r}")
