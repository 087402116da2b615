"""A moving band: one layer of second-order triangles between the two gap circles, cut anew at each rotor angle."""

import numpy as np

from field import MU0
from sector import fold_points
from triangle import SHAPES, WEIGHTS


class Circle:
    """Unknowns along a sector's gap circle, corners and mid-sides in turn, without the last (the first's image)."""

    def __init__(self, sector, side, field):
        self.radius = sector.gap_radius(side)
        on = np.flatnonzero(np.abs(np.hypot(field.points[:, 0], field.points[:, 1]) - self.radius) < 1e-8)
        angle = fold_points(field.points[on], sector.start(side))
        order = np.argsort(angle)
        self.angle = sector.start(side) + angle[order][:-1]
        dofs = on[order][:-1]
        self.unknown, self.sign = field.elimination.index[dofs], field.elimination.sign[dofs]
        self.edges, self.pitch, self.repeat = len(dofs) // 2, sector.pitch, sector.sign

    def at(self, node):
        """Angle, unknown and sign of nodes counted on past the sector's end."""
        turns, own = np.divmod(node, 2 * self.edges)
        return self.angle[own] + turns * self.pitch, self.unknown[own], self.sign[own] * float(self.repeat) ** turns


class Band:
    def __init__(self, sector, field):
        self.sector, self.first = sector, field.elimination.count
        self.outer, self.inner = Circle(sector, 0, field), Circle(sector, 1, field)
        self.extra = self.outer.edges + self.inner.edges  # mid-side nodes of the edges that cross the band

    def cross(self, turn):
        """Edges across the band as pairs of corner counts (outer, inner): always the shorter of the next two."""
        outer = [a for a in self.outer.at(2 * np.arange(self.outer.edges + 1))[0]]
        around = np.arange(-self.inner.edges, self.inner.edges)
        start = around[np.argmin(np.abs(self.inner.at(2 * around)[0] + turn - outer[0]))]
        inner = [a + turn for a in self.inner.at(2 * (start + np.arange(self.inner.edges + 1)))[0]]
        i = j = 0
        pairs = [(0, 0)]
        while i < self.outer.edges or j < self.inner.edges:
            may = i < self.outer.edges
            if j == self.inner.edges or (may and abs(outer[i + 1] - inner[j]) <= abs(inner[j + 1] - outer[i])):
                i += 1
            else:
                j += 1
            pairs.append((i, j))
        return np.array([(i, start + j) for i, j in pairs])

    def turn_to(self, turn):
        """Triangles at a rotor angle: unknowns, signs (triangles × 6) and coordinates (× 2)."""
        pairs = self.cross(turn)
        now, after = pairs[:-1], pairs[1:]
        outward = (after[:, 0] > now[:, 0])[:, None]  # two corners on the outer circle
        o, i = self.node(self.outer, 2 * now[:, 0]), self.node(self.inner, 2 * now[:, 1], turn)
        far_o, far_i = self.node(self.outer, 2 * after[:, 0]), self.node(self.inner, 2 * after[:, 1], turn)
        mid_o, mid_i = self.node(self.outer, 2 * now[:, 0] + 1), self.node(self.inner, 2 * now[:, 1] + 1, turn)
        count = len(now)
        ahead = np.arange(1, count + 1)
        here = self.crossing(np.arange(count), np.ones(count), o, i)
        there = self.crossing(ahead % count, np.where(ahead == count, float(self.sector.sign), 1.0), far_o, far_i)
        # Outer triangle: o, far o, i; inner one: far i, i, o. Counter-clockwise both.
        corners = [np.where(outward, u, v) for u, v in ((o, far_i), (far_o, i), (i, o))]
        middles = [np.where(outward, u, v) for u, v in ((mid_o, mid_i), (there, here), (here, there))]
        nodes = np.stack(corners + middles, axis=1)
        self.unknown, self.sign, self.xy = nodes[..., 0].astype(np.int64), nodes[..., 1], nodes[..., 2:]
        self.ends = (o, i)
        self.integrate()

    @staticmethod
    def node(circle, count, turn=0.0):
        angle, unknown, sign = circle.at(count)
        x, y = circle.radius * np.cos(angle + turn), circle.radius * np.sin(angle + turn)
        return np.column_stack([unknown, sign, x, y])

    def crossing(self, number, sign, o, i):
        return np.column_stack([self.first + number, sign, 0.5 * (o[:, 2:] + i[:, 2:])])

    def integrate(self):
        self.points = []  # per quadrature point: position, gradients (triangles × 2 × 6), weight
        self.matrix = np.zeros((len(self.unknown), 6, 6))
        for weight, (value, derivative) in zip(WEIGHTS, SHAPES):
            jacobian = derivative @ self.xy
            det = np.linalg.det(jacobian)
            assert det.min() > 0, "an element of the moving band is inside out"
            gradient = np.linalg.solve(jacobian, np.broadcast_to(derivative, (len(det), 2, 6)))
            self.points.append((np.einsum("i,tix->tx", value, self.xy), gradient, weight * det))
            self.matrix += (weight * det / MU0)[:, None, None] * (gradient.transpose(0, 2, 1) @ gradient)

    def entries(self):
        """Keys and values of the band's stiffness among the unknowns, each key once, ascending."""
        rows, columns = self.unknown[:, :, None], self.unknown[:, None, :]
        keys = (rows << 32 | columns).ravel()
        values = (self.matrix * self.sign[:, :, None] * self.sign[:, None, :]).ravel()
        own, place = np.unique(keys, return_inverse=True)
        return own, np.bincount(place, weights=values)

    def start_crossings(self, x):
        """Carries a solution over: every unknown of the two sides stays, crossing edges start from their ends' mean."""
        o, i = self.ends
        x[self.first:] = 0.5 * (o[:, 1] * x[o[:, 0].astype(int)] + i[:, 1] * x[i[:, 0].astype(int)])
        return x

    def energy_and_torque(self, x):
        """Of one sector, per metre; the torque by Arkkio's integral over the band."""
        local = self.sign * x[self.unknown]
        energy = 0.5 * np.einsum("ti,tij,tj->", local, self.matrix, local)
        torque = 0.0
        for xy, gradient, weight in self.points:
            ax, ay = np.einsum("tdi,ti->dt", gradient, local)
            radius = np.hypot(xy[:, 0], xy[:, 1])
            torque -= np.sum(weight * (xy[:, 0] * ay - xy[:, 1] * ax) * (xy[:, 0] * ax + xy[:, 1] * ay) / radius)
        return energy, torque / (MU0 * (self.outer.radius - self.inner.radius))

