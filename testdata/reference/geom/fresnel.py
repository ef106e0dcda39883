"""Writes fresnel.csv: clothoids that begin at the origin with heading 0 (down) and curvature 0 which
grows by rate per mm over length mm: rate, length, x, y at the end, by SciPy's Fresnel integrals.

The heading is h = rate·s²/2, so x = ∫ sin h ds, y = −∫ cos h ds; with s = t·√(π/rate) these are the
Fresnel integrals of scipy.special.fresnel.
Run: /usr/bin/python3 fresnel.py > fresnel.csv
"""
import math
from scipy.special import fresnel

for rate in (0.002, 0.01, 0.05, 0.2, 1.0):
    for length in (0.5, 1.0, 2.0, 5.0, 10.0):
        scale = math.sqrt(math.pi / rate)
        s, c = fresnel(length / scale)
        print(f"{rate!r},{length!r},{float(scale * s)!r},{float(-scale * c)!r}")
