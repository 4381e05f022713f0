"""Reference values for the tests of package layout, from general libraries.

    /usr/bin/python3 testdata/layout/reference.py > testdata/layout/reference.json

Distances: shapely (GEOS), to an outline flattened to 4000 chords a curve; the
straight line across the fretboard end is left out, as the package does.
Crossings of the offset curve: shapely buffer(-e, fine) cut by the strings.
Fits: scipy.linalg.orthogonal_procrustes with the reflection taken out, and
numpy for the rest.
"""
import json
import math

import numpy as np
import scipy
import scipy.linalg
import shapely
import shapely.vectorized
from shapely.geometry import LineString, Point, Polygon

N = 4000


def cubic(p0, p1, p2, p3):
    t = np.linspace(0, 1, N + 1)[:, None]
    p0, p1, p2, p3 = map(np.array, (p0, p1, p2, p3))
    return (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t * t * p2 + t ** 3 * p3


def outline():
    """A bottle-shaped head of our own: straight, cubic, half-ellipse tip."""
    left = [np.array([[-22.0, 0.0], [-24.0, 20.0]])]
    left.append(cubic((-24, 20), (-26, 50), (-38, 60), (-36, 90)))
    left.append(cubic((-36, 90), (-34, 120), (-26, 140), (-20, 160)))
    a = np.linspace(math.pi, 0, N + 1)
    tip = np.stack([20 * np.cos(a), 160 + 14 * np.sin(a)], axis=1)
    bass = np.concatenate(left)
    treble = bass[::-1] * [-1, 1]
    return np.concatenate([bass, tip, treble])


PATH = "M -22 0 L -24 20 C -26 50 -38 60 -36 90 C -34 120 -26 140 -20 160 A 20 14 0 0 0 20 160 C 26 140 34 120 36 90 C 38 60 26 50 24 20 L 22 0 Z"


def main():
    pts = outline()
    edge, poly = LineString(pts), Polygon(pts)
    out = {"made_with": f"shapely {shapely.__version__}, scipy {scipy.__version__}, numpy {np.__version__}", "path": PATH}
    rng = np.random.default_rng(7)
    probe = [(-19.5, 50), (-12.5, 75.04), (0, 165), (0, 100), (20, 120), (-40, 90), (5, 180), (-3, 30)]
    probe += [tuple(map(float, p)) for p in np.round(rng.uniform([-35, 5], [35, 170], (40, 2)), 3)]
    out["distances"] = [
        {"x": x, "y": y, "mm": edge.distance(Point(x, y)) * (1 if poly.contains(Point(x, y)) else -1)} for x, y in probe
    ]
    out["offsets"] = []
    for e in (9.0, 13.5):
        ring = poly.buffer(-e, resolution=2000).exterior
        for x in (-19.5, -12.5, -5.5, 12.5):
            hit = ring.intersection(LineString([(x, 45), (x, 200)]))
            ys = sorted(g.y for g in getattr(hit, "geoms", [hit]) if not g.is_empty)
            out["offsets"].append({"e": e, "x": x, "ys": [y for y in ys if y > 45]})
    rng_b = np.random.default_rng(11)
    out["bodies"] = []
    for _ in range(24):  # tuner bodies near the waist: a side may leave the head between its corners
        a = rng_b.uniform(1.1, 2.0)
        d = np.array([math.cos(a), math.sin(a)])
        n = np.array([-d[1], d[0]])
        c = np.round(rng_b.uniform([12, 12], [17, 34]), 3) * [rng_b.choice([-1, 1]), 1]
        corners = [c + u * 12 * d + v * 9 * n for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        ring = np.concatenate([np.linspace(p, q, 1000, endpoint=False) for p, q in zip(corners, corners[1:] + corners[:1])])
        inside = shapely.vectorized.contains(poly, ring[:, 0], ring[:, 1])
        least = min(edge.distance(Point(p)) * (1 if i else -1) for p, i in zip(ring, inside))
        out["bodies"].append({"corners": [list(map(float, p)) for p in corners], "mm": least})
    out["fits"] = []
    sets = [
        ([(0, 0), (25, 2), (50, 4), (75, 6), (100, 8), (125, 10)], [(3.10, -1.95), (27.96, 1.24), (52.83, 4.44), (77.64, 7.52), (102.55, 10.71), (127.37, 13.82)]),
        ([(0, 0), (0, 25), (0, 50), (40, 0), (40, 25), (40, 50)], [(10.12, 5.03), (8.42, 29.95), (6.66, 54.93), (50.05, 7.70), (48.25, 32.70), (46.58, 57.58)]),
    ]
    nom = np.round(rng.uniform(-20, 130, (8, 2)), 2)
    a = math.radians(-11.3)
    rot = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
    sets.append((nom.tolist(), np.round(nom @ rot.T * 0.997 + [4, -9] + rng.normal(0, 0.1, (8, 2)), 3).tolist()))
    for nominal, measured in sets:
        s, d = np.array(nominal), np.array(measured)
        sm, dm = s.mean(0), d.mean(0)
        r, _ = scipy.linalg.orthogonal_procrustes(s - sm, d - dm)
        if np.linalg.det(r) < 0:
            u, _, vt = np.linalg.svd((s - sm).T @ (d - dm))
            r = u @ np.diag([1, -1]) @ vt
        turn = math.atan2(r[0, 1], r[0, 0])
        shift = dm - sm @ r
        rss = float((((s @ r + shift) - d) ** 2).sum())
        scale = float(np.trace(r.T @ (s - sm).T @ (d - dm)) / ((s - sm) ** 2).sum())
        out["fits"].append({"nominal": nominal, "measured": measured, "turn": turn, "shift": shift.tolist(), "rss": rss, "scale": scale})
    print(json.dumps(out, indent=1))


main()
