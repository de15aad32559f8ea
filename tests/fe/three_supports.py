#!/usr/bin/env python3
"""Finite elements of a hull on three supports, to hold the engine's elastic set-down against.

Plain Python, no packages: run `python3 tests/fe/three_supports.py`; it prints the values that stand
in tests/tests/published_support.rs. Nothing is shared with the engine: hull and cross beams are
Hermite beam elements, blocks are bars, and every set of supports in contact is tried until one
neither pulls nor sinks in.
"""

from itertools import combinations


def solve(a, b):
    """Gauss elimination with partial pivoting."""
    n = len(b)
    a = [row[:] + [b[i]] for i, row in enumerate(a)]
    for c in range(n):
        p = max(range(c, n), key=lambda r: abs(a[r][c]))
        a[c], a[p] = a[p], a[c]
        pivot = a[c][c]
        for r in range(c + 1, n):
            f = a[r][c] / pivot
            if f:
                row, top = a[r], a[c]
                for k in range(c, n + 1):
                    row[k] -= f * top[k]
    x = [0.0] * n
    for r in reversed(range(n)):
        x[r] = (a[r][n] - sum(a[r][k] * x[k] for k in range(r + 1, n))) / a[r][r]
    return x


class Frame:
    def __init__(self):
        self.entries, self.loads, self.size = {}, {}, 0

    def dof(self):
        self.size += 1
        return self.size - 1

    def add(self, dofs, matrix):
        for i, p in enumerate(dofs):
            for j, q in enumerate(dofs):
                self.entries[p, q] = self.entries.get((p, q), 0.0) + matrix[i][j]

    def spring(self, p, q, k):
        self.add([p, q], [[k, -k], [-k, k]])

    def beam(self, p, q, length, ei):
        """Hermite element; p and q are (deflection, slope)."""
        l, f = length, ei / length**3
        self.add(
            [*p, *q],
            [
                [12 * f, 6 * l * f, -12 * f, 6 * l * f],
                [6 * l * f, 4 * l * l * f, -6 * l * f, 2 * l * l * f],
                [-12 * f, -6 * l * f, 12 * f, -6 * l * f],
                [6 * l * f, 2 * l * l * f, -6 * l * f, 4 * l * l * f],
            ],
        )

    def load(self, p, force):
        self.loads[p] = self.loads.get(p, 0.0) + force

    def displacements(self, fixed):
        free = [i for i in range(self.size) if i not in fixed]
        at = {d: i for i, d in enumerate(free)}
        a = [[0.0] * len(free) for _ in free]
        for (p, q), v in self.entries.items():
            if p in at and q in at:
                a[at[p]][at[q]] += v
        x = solve(a, [self.loads.get(d, 0.0) for d in free])
        return [x[at[d]] if d in at else 0.0 for d in range(self.size)]


def support(frame, beam_ei, span, off, layers):
    """A cross beam on two fixed points with bars stacked on it: the freedom under the last bar, its
    stiffness, and the fixed freedoms."""
    left = span / 2 - off
    nodes, fixed = [], []
    for part, length in ((8, left), (8, span - left)):
        first = not nodes
        if first:
            nodes.append((frame.dof(), frame.dof()))
        for _ in range(part):
            nodes.append((frame.dof(), frame.dof()))
            frame.beam(nodes[-2], nodes[-1], length / part, beam_ei)
    fixed += [nodes[0][0], nodes[-1][0]]
    top = nodes[8][0]
    for ea, height in layers[:-1]:
        above = frame.dof()
        frame.spring(top, above, ea / height)
        top = above
    ea, height = layers[-1]
    return top, ea / height, fixed


def shares(supports, gaps, stations, hull_ei, ends, weight, centre, elements=24):
    """Loads on the supports, N, of a hull with a linearly spread weight."""
    aft, fore = ends
    length = fore - aft
    slope = 12 * (centre - (aft + fore) / 2) / length
    for count in (3, 2):
        for contact in combinations(range(3), count):
            frame, fixed = Frame(), []
            tops = []
            for args in supports:
                top, last, held = support(frame, *args)
                tops.append((top, last))
                fixed += held
            # Nodes at even stations and at the supports.
            xs = sorted({round(aft + length * i / elements, 9) for i in range(elements + 1)} | set(stations))
            nodes = [(frame.dof(), frame.dof()) for _ in xs]
            for i in range(len(xs) - 1):
                l = xs[i + 1] - xs[i]
                frame.beam(nodes[i], nodes[i + 1], l, hull_ei)
                # Consistent loads of a line load that varies linearly, downward positive.
                w = [weight / length * (1 + slope * ((x - aft) / length - 0.5)) for x in (xs[i], xs[i + 1])]
                a, b = w
                frame.load(nodes[i][0], l * (7 * a + 3 * b) / 20)
                frame.load(nodes[i][1], l * l * (3 * a + 2 * b) / 60)
                frame.load(nodes[i + 1][0], l * (3 * a + 7 * b) / 20)
                frame.load(nodes[i + 1][1], -l * l * (2 * a + 3 * b) / 60)
            at = [nodes[xs.index(s)][0] for s in stations]
            for i in contact:
                # The last bar reaches the hull once its gap is closed.
                top, last = tops[i]
                frame.spring(at[i], top, last)
                frame.load(at[i], last * gaps[i])
                frame.load(top, -last * gaps[i])
            u = frame.displacements(fixed)
            over = [u[at[i]] - u[top] - gaps[i] for i, (top, _) in enumerate(tops)]
            p = [tops[i][1] * over[i] if i in contact else 0.0 for i in range(3)]
            sunk = [over[i] for i in range(3) if i not in contact]
            if min(p[i] for i in contact) >= 0 and all(s <= 0 for s in sunk):
                return p
    raise ValueError("no contact set holds")


if __name__ == "__main__":
    # White oak No. 1 beams 0.2 m square, 1.92 m between the middles of the rails; blocks 0.6 x 0.2 m
    # across the grain at E / 15, bearing over their whole plan.
    e = 1.0e6 * 6894.757293168361
    ei = e * 0.2**4 / 12
    block = lambda height: (e / 15 * 0.2 * 0.6, height)
    low, mid, high = [block(0.05)], [block(0.15)], [block(0.15), block(0.1)]
    weight, span = 50_000.0, 1.92
    rigid, soft = 1.0e11, 4.0e6
    three = lambda off: [(ei, span, 0.0, low), (ei, span, off, mid), (ei, span, 0.0, high)]
    cases = {
        "equal spans, rigid hull": (three(0.0), [0, 0, 0], [-11.0, -9.0, -7.0], rigid, -8.9),
        "unequal spans and gaps, rigid hull": (three(0.3), [0, 0.0015, 0], [-11.0, -9.2, -6.8], rigid, -8.6),
        "unequal spans, hull that bends": (three(0.3), [0, 0, 0], [-11.0, -9.2, -6.8], soft, -8.6),
        "gap under a hull that bends": (three(0.0), [0, 0.002, 0.001], [-11.0, -9.0, -7.0], soft, -8.9),
        "an end that lifts": (three(0.0), [0, 0, 0.004], [-11.0, -9.0, -7.0], rigid, -9.6),
    }
    for name, (supports, gaps, stations, hull_ei, centre) in cases.items():
        p = shares(supports, gaps, stations, hull_ei, (-13.0, -4.0), weight, centre)
        print(f"{name}: {', '.join(f'{v:.2f}' for v in p)}  sum {sum(p):.3f}")
