"""Writes elementary.csv: elementary functions to 40 digits, by decimal arithmetic of 80 digits.

Columns: function, x and y as hexadecimal floats (y is 0 for functions of one argument), value.
Method: exp and ln are those of Python's decimal module (correctly rounded); sine, cosine and arc
tangent are Taylor series here after exact reduction; the rest follows from these.
Run: /usr/bin/python3 elementary.py > elementary.csv
"""
import math
import random
from decimal import Decimal, getcontext

getcontext().prec = 80
EPSILON = Decimal(10) ** -75


def series(term, ratio):
    total, n = Decimal(0), 0
    while abs(term) > EPSILON * max(abs(total), EPSILON):
        total += term
        term *= ratio(n)
        n += 1
    return total


def atan(x):
    for _ in range(6):
        x = x / (1 + (1 + x * x).sqrt())
    power, total, n = x, Decimal(0), 1
    while abs(power) > EPSILON * abs(x):
        total += power / n
        power *= -x * x
        n += 2
    return 64 * total


PI = 4 * atan(Decimal(1))


def sin(x):
    x = x % (2 * PI)
    return series(x, lambda n: -x * x / ((2 * n + 2) * (2 * n + 3)))


def cos(x):
    return sin(x + PI / 2)


def tanh(x):
    e = (2 * x).exp()
    return (e - 1) / (e + 1)


def atan2(y, x):
    if x == 0:
        return PI / 2 if y > 0 else -PI / 2
    a = atan(y / x)
    if x < 0:
        a += PI if y >= 0 else -PI
    return a


def asin(x):
    return atan2(x, (1 - x * x).sqrt())


def acos(x):
    return atan2((1 - x * x).sqrt(), x)


def power(x, y):
    return (y * x.ln()).exp()


def hypot(x, y):
    return (x * x + y * y).sqrt()


def write(name, f, pairs):
    for x, y in pairs:
        value = f(Decimal(x), Decimal(y)) if y is not None else f(Decimal(x))
        print(f"{name},{float(x).hex()},{float(y or 0).hex()},{value:.39e}")


def main():
    r = random.Random(1)
    n = 80

    def even(low, high):
        return [(r.uniform(low, high), None) for _ in range(n)]

    def spread(low, high):
        return [(math.exp(r.uniform(math.log(low), math.log(high))), None) for _ in range(n)]

    def signed(points):
        return [(r.choice([-1, 1]) * x, y) for x, y in points]

    write("Exp", lambda x: x.exp(), even(-700, 700) + even(-3, 3) + signed(spread(1e-12, 1)))
    write("Log", lambda x: x.ln(), spread(1e-300, 1e300) + even(0.3, 3) + spread(1 + 1e-9, 1.1))
    angles = even(-10, 10) + even(-1e5, 1e5) + signed(spread(1e-9, 1))
    angles += [(k * math.pi / 2, None) for k in range(1, 60)]
    write("Sin", sin, angles)
    write("Cos", cos, angles)
    write("Tan", lambda x: sin(x) / cos(x), angles)
    write("Atan", atan, even(-4, 4) + signed(spread(1e-9, 1e9)))
    unit = even(-1, 1) + signed([(1 - x, None) for x, _ in spread(1e-12, 0.5)]) + signed(spread(1e-9, 0.1))
    write("Asin", asin, unit)
    write("Acos", acos, unit)
    write("Tanh", tanh, even(-25, 25) + even(-1, 1) + signed(spread(1e-9, 1)))
    write("Atan2", atan2, [(r.uniform(-5, 5), r.uniform(-5, 5)) for _ in range(2 * n)])
    write("Pow", power, [(x, r.uniform(-4, 4)) for x, _ in spread(1e-6, 1e6)]
          + [(r.uniform(0.5, 2), r.uniform(-900, 900)) for _ in range(n)]
          + [(x, r.uniform(-20, 20)) for x, _ in spread(1e-15, 1e15)])
    write("Hypot", hypot, [(r.uniform(-20, 20), r.uniform(-20, 20)) for _ in range(n)]
          + [(a * 1e250, b * 1e250) for (a, _), (b, _) in zip(spread(1e-3, 1e3), spread(1e-3, 1e3))])


main()
