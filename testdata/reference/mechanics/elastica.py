#!/usr/bin/python3
"""Large deflection of a uniform cantilever under an end load that keeps its direction (the elastica).

theta'' = -alpha cos(theta), theta(0) = 0, theta'(1) = 0, alpha = P L^2/(E I); deflection = integral of
sin(theta). Shooting with scipy.integrate.solve_ivp. Run: /usr/bin/python3 elastica.py > elastica.csv
Made with Python 3.11, SciPy 1.10. Agrees with the table of Bisshopp and Drucker (1945).
"""
import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq


def run(alpha):
    def shoot(k):
        return solve_ivp(lambda s, u: [u[1], -alpha * np.cos(u[0]), np.sin(u[0])], (0, 1), [0, k, 0], rtol=1e-11, atol=1e-12).y[:, -1]
    k = brentq(lambda k: shoot(k)[1], 0, 2 * alpha)
    end = shoot(k)
    return end[2], end[0]


print("alpha,deflection,slope")
for alpha in (0.05, 0.1, 0.25, 0.5, 1.0):
    d, t = run(alpha)
    print(f"{alpha},{d:.9f},{t:.9f}")
