"""Reads SVG path data, one path a line, with svgelements (Debian package
python3-svgelements) and prints one JSON line for each: the pieces of the path,
each as its points at t = 0, 1/4, 1/2, 3/4 and 1. Pieces of no length are left out.
"""
import json
import sys

from svgelements import Arc, Close, Line, Move, Path


def point(piece, t):
    # Lines have their end points only in some versions.
    if isinstance(piece, (Line, Close)):
        a, b = piece.start, piece.end
        return [a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)]
    p = piece.point(t)
    return [p.x, p.y]


for text in sys.stdin:
    out = []
    for piece in Path(text.strip()):
        if isinstance(piece, Move):
            continue
        if isinstance(piece, (Line, Close)) and (piece.end is None or abs(piece.start - piece.end) <= 1e-9):
            continue
        if isinstance(piece, Arc) and abs(piece.start - piece.end) <= 1e-12:
            continue
        out.append([point(piece, k / 4) for k in range(5)])
    print(json.dumps(out))
