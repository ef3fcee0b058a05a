"""Prints what the procedures chart and hdr-tracking must find on displays that are wrong by as much
as is known. It shares no code with the project: the chart's rule is written again from the words at
the head of scripts/lib/ring.lua, CIEDE2000 from CIE 142, ICtCp and its difference from ITU-R BT.2100 and
BT.2124, PQ from SMPTE ST 2084, BT.1886 from its annex 1. Needs numpy; 1.24.2 was used."""
import math

import numpy as np

BT709 = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)]
P3 = [(0.68, 0.32), (0.265, 0.69), (0.15, 0.06)]
BT2020 = [(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)]
D65 = (0.3127, 0.3290)


def matrix(primaries, white):
    """Linear signals to XYZ, white at Y = 1."""
    columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in primaries]).T
    target = np.array([white[0] / white[1], 1, (1 - white[0] - white[1]) / white[1]])
    return columns * np.linalg.solve(columns, target)


def lab(xyz, white):
    d = 6 / 29
    f = [t ** (1 / 3) if t > d ** 3 else t / (3 * d * d) + 4 / 29 for t in xyz / white]
    return 116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])


def unlab(L, a, b, white):
    d, y = 6 / 29, (L + 16) / 116
    f = np.array([y + a / 500, y, y - b / 200])
    return white * np.where(f > d, f ** 3, 3 * d * d * (f - 4 / 29))


def ciede2000(one, two):
    (l1, a1, b1), (l2, a2, b2) = one, two
    c7 = ((math.hypot(a1, b1) + math.hypot(a2, b2)) / 2) ** 7
    g = 1.5 - 0.5 * math.sqrt(c7 / (c7 + 25 ** 7))
    c1, c2 = math.hypot(g * a1, b1), math.hypot(g * a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, g * a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    grey = c1 * c2 == 0
    turn = 0 if grey else (h2 - h1 + 180) % 360 - 180
    hue = h1 + h2 if grey else (h1 + turn / 2) % 360
    l, c, rad = (l1 + l2) / 2, (c1 + c2) / 2, math.radians
    t = 1 - 0.17 * math.cos(rad(hue - 30)) + 0.24 * math.cos(rad(2 * hue)) + 0.32 * math.cos(rad(3 * hue + 6)) - 0.2 * math.cos(rad(4 * hue - 63))
    dl = (l2 - l1) / (1 + 0.015 * (l - 50) ** 2 / math.sqrt(20 + (l - 50) ** 2))
    dc = (c2 - c1) / (1 + 0.045 * c)
    dh = 2 * math.sqrt(c1 * c2) * math.sin(rad(turn / 2)) / (1 + 0.015 * c * t)
    rotation = -2 * math.sqrt(c ** 7 / (c ** 7 + 25 ** 7)) * math.sin(rad(60 * math.exp(-((hue - 275) / 25) ** 2)))
    return math.sqrt(dl ** 2 + dc ** 2 + dh ** 2 + rotation * dc * dh)


def places(n, spacing, to_rgb, white):
    """The colours of the rings that lie inside the space, in their order."""
    found = []
    for level in (20, 35, 50, 65, 80):
        for ring in range(1, 100):
            count = max(3, math.floor(2 * math.pi * 15 * ring / spacing + 0.5))
            here = []
            for i in range(count):
                hue = 2 * math.pi * (i + 0.5 * (ring % 2)) / count
                rgb = to_rgb @ unlab(level, 15 * ring * math.cos(hue), 15 * ring * math.sin(hue), white)
                if rgb.min() >= 0 and rgb.max() <= 1:
                    here.append((rgb, False))
            if not here:
                break
            found += here
    return found


def chart(primaries, n):
    """The set: linear signals, and whether a colour is of the neutral column."""
    to_xyz = matrix(primaries, D65)
    white = to_xyz @ np.ones(3)
    greys = math.floor(n / 8 + 0.5)
    column = [(np.full(3, unlab(100 * i / (greys + 1), 0, 0, np.ones(3))[1]), True) for i in range(1, greys + 1)]
    spacing, rest = 20.0, n - greys
    while len(found := places(n, spacing, np.linalg.inv(to_xyz), white)) < rest:
        spacing *= 0.95
    return column + [found[i * len(found) // rest] for i in range(rest)]


def differences(primaries, n, encode, target, shown, display, seen, counts):
    """CIEDE2000 of a set, with 8 bits, and that of its greys."""
    to_xyz = matrix(primaries, D65)
    own = to_xyz @ np.ones(3)
    against = display @ np.ones(3) if seen == "measured" else own
    found, greys = [], []
    for light, grey in chart(primaries, n):
        signal = np.floor(255 * encode(light) + 0.5) / 255
        wanted, got = to_xyz @ target(signal), display @ shown(signal)
        if not counts:
            got = got * wanted[1] / got[1]
        found.append(ciede2000(lab(wanted, own), lab(got, against)))
        greys += found[-1:] if grey else []
    share = 100 * np.mean(np.array(found) > 3)
    p95 = np.percentile(found, 95, method="weibull")  # k/(n + 1), as NIST's handbook has it
    return "average %.4f median %.4f p95 %.4f worst %.4f greys %.4f share %.3f" % (
        np.mean(found), np.median(found), p95, max(found), np.mean(greys), share)


def power(g):
    return lambda v: np.maximum(v, 0) ** g


def bt1886(black):
    root = black ** (1 / 2.4)
    return lambda v: ((1 - root) * v + root) ** 2.4


M1, M2, C1, C2, C3 = 2610 / 16384, 2523 / 32, 3424 / 4096, 2413 / 128, 2392 / 128


def pq(signal):
    p = signal ** (1 / M2)
    return 10000 * np.maximum((p - C1) / (C2 - C3 * p), 0) ** (1 / M1)


def signal_of(light):
    y = (np.maximum(light, 0) / 10000) ** M1
    return ((C1 + C2 * y) / (1 + C3 * y)) ** M2


def itp(one, two):
    to_rgb = np.linalg.inv(matrix(BT2020, D65))
    to_lms = np.array([[1688, 2146, 262], [683, 2951, 462], [99, 309, 3688]]) / 4096
    to_itp = np.array([[2048, 2048, 0], [6610, -13613, 7003], [17933, -17390, -543]]) / 4096
    i, t, p = to_itp @ (signal_of(to_lms @ to_rgb @ one) - signal_of(to_lms @ to_rgb @ two))
    return 720 * math.sqrt(i ** 2 + 0.25 * t ** 2 + p ** 2)


def hdr_colours(levels, display):
    """P3's primaries and secondaries, whole and half, and white, in 10 bits of BT.2020."""
    p3, wide = matrix(P3, D65), matrix(BT2020, D65)
    found = []
    for level in levels:
        for mixture in ((1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 1)):
            for strength in (1, 0.5) if 0 in mixture else (1,):
                light = strength * np.array(mixture) + 1 - strength
                signal = np.floor(1023 * signal_of(np.linalg.inv(wide) @ p3 @ light * level) + 0.5) / 1023
                found.append(itp(wide @ pq(signal), display @ pq(signal)))
    return "average %.4f worst %.4f" % (np.mean(found), max(found))


def main():
    off = matrix(BT709, (0.305, 0.322))
    for name, seen, counts in (("chart-differences", "measured", True), ("chart-white", "target", False)):
        print(name, differences(BT709, 64, power(1 / 2.2), power(2.2), power(2.4), off, seen, counts))
    dark = differences(P3, 64, power(1 / 2.4), bt1886(0), bt1886(0.0008 / 480), matrix(P3, D65), "target", True)
    print("chart-bt1886-dark", dark)
    white = matrix(BT2020, D65) @ np.ones(3)
    steps = pq(np.floor(1023 * np.arange(2, 21) / 20 + 0.5) / 1023)
    print("hdr-tracking-dim average %.4f" % np.mean([itp(white * y, 0.9 * white * y) for y in steps]))
    print("hdr-tracking-narrow", hdr_colours((20, 200), matrix(BT709, D65)))


main()
