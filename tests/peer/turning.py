"""A rotor turned through a list of angles, both ways: everything meshed anew, or a moving band between fixed meshes."""

import numpy as np
from dolfinx import geometry
from scipy.spatial import cKDTree

from band import Band
from field import MU0, Field, System, newton
from sector import make_mesh
from timing import phase, take


def point_result(sector, field, x, steps, phases, sign, energy=0.0, torque=0.0):
    machine = sector.sectors * sector.length
    linkages = machine * (field.linked @ x[: field.elimination.count])
    rotor = [r["branch"] for r in sector.regions if r["side"] == 1]
    linkages[[b for b in set(rotor) if b >= 0]] *= sign
    return {"energy": machine * (field.integral("energy") + energy), "linkages": linkages, "torque": machine * torque,
            "steps": steps, "time": phases}


def fold_currents(sector, currents, sign):
    """Currents of a rotor that is looked at from one of its neighbouring sectors."""
    out = np.array(currents, dtype=float)
    out[[b for b in {r["branch"] for r in sector.regions if r["side"] == 1} if b >= 0]] *= sign
    return out


def remeshed(sector, law, density, points):
    """Each angle on a mesh of its own; the start is the last solution, evaluated at the new nodes."""
    results, last = [], None
    for point in points:
        take()
        with phase("all"):
            angle, sign = sector.fold(point["angle"])
            with phase("meshing"):
                mesh, tags = make_mesh(sector, density, angle)
            field = Field(sector, law, mesh, tags, angle)
            with phase("pattern"):
                system = System(field)
            x = np.zeros(system.size)
            if last:
                with phase("interpolation"):
                    x = carry_over(sector, *last, field, angle, sign)
            x, steps = newton(system, fold_currents(sector, point["currents"], sign), x)
            torque = field.integral("arkkio") / (MU0 * (sector.gap_radius(0) - sector.gap_radius(1)))
        last = (field, angle, sign)
        results.append(point_result(sector, field, x, steps, take(), sign, torque=torque))
    return results, elements_a_pole(sector, field), field.elimination.count


def carry_over(sector, old, old_angle, old_sign, new, angle, sign):
    """Unknowns of `new` from the potential of `old`: the rotor's nodes are looked up where they were."""
    places, radius = new.points.copy(), np.hypot(new.points[:, 0], new.points[:, 1])
    rotor = radius < sector.gap_radius(1) - 1e-8
    c, s = np.cos(angle - old_angle), np.sin(angle - old_angle)
    places[rotor, :2] = places[rotor, :2] @ np.array([[c, -s], [s, c]])
    tree = geometry.BoundingBoxTree(old.mesh, 2)
    cells = geometry.compute_colliding_cells(old.mesh, geometry.compute_collisions(tree, places), places)
    values = old.a.x.array[cKDTree(old.points).query(places)[1]]  # for those just outside a curved edge
    found = np.flatnonzero(np.diff(cells.offsets) > 0)
    values[found] = evaluate(old, places[found, :2], cells.array[cells.offsets[found]])
    values[rotor] *= sign * old_sign
    x = np.zeros(new.elimination.count)
    own = new.elimination.kept & (new.elimination.sign > 0)
    x[new.elimination.index[own]] = values[own]
    return x


def shapes(b, c):
    """Six shape functions in FEniCSx's order, and their derivatives, at one point of each cell."""
    a, zero = 1 - b - c, np.zeros_like(b)
    value = [a * (2 * a - 1), b * (2 * b - 1), c * (2 * c - 1), 4 * b * c, 4 * c * a, 4 * a * b]
    d1 = [1 - 4 * a, 4 * b - 1, zero, 4 * c, -4 * c, 4 * (a - b)]
    d2 = [1 - 4 * a, zero, 4 * c - 1, 4 * b, 4 * (a - c), -4 * b]
    return np.array(value).T, np.array(d1).T, np.array(d2).T


def evaluate(field, places, cells):
    """Potential at points of curved cells. FEniCSx's own evaluation gives up where two edges of a cell follow one
    arc; three steps of the same iteration, kept near the cell, are exact elsewhere and do no harm there."""
    dofs = field.space.dofmap.list.array.reshape(-1, 6)[cells]
    nodes = field.points[dofs, :2]
    b = c = np.full(len(cells), 1 / 3)
    for _ in range(4):
        value, d1, d2 = shapes(b, c)
        miss = places - np.einsum("pi,pix->px", value, nodes)
        u, v = np.einsum("pi,pix->px", d1, nodes), np.einsum("pi,pix->px", d2, nodes)
        det = np.cross(u, v)
        b = np.clip(b + np.cross(miss, v) / det, -0.05, 1.05)
        c = np.clip(c + np.cross(u, miss) / det, -0.05, 1.05)
    return np.einsum("pi,pi->p", shapes(b, c)[0], field.a.x.array[dofs])


class MovingBand:
    """Both sides meshed once."""

    def __init__(self, sector, law, density):
        take()
        with phase("meshing"):
            mesh, tags = make_mesh(sector, density)
        self.sector, self.field = sector, Field(sector, law, mesh, tags)
        self.band = Band(sector, self.field)
        self.setup = take()
        self.elements = elements_a_pole(sector, self.field) + self.band.extra * sector.sectors / (2 * sector.pole_pairs)
        self.unknowns = self.field.elimination.count + self.band.extra

    def turn(self, points):
        results, x = [], np.zeros(self.unknowns)
        for point in points:
            take()
            with phase("all"):
                with phase("band"):
                    self.band.turn_to(point["angle"])
                    x = self.band.start_crossings(x)
                with phase("pattern"):
                    system = System(self.field, self.band)
                x, steps = newton(system, point["currents"], x)
            energy, torque = self.band.energy_and_torque(x)
            results.append(point_result(self.sector, self.field, x, steps, take(), 1, energy, torque))
        return results


def elements_a_pole(sector, field):
    return len(field.region) * sector.sectors / (2 * sector.pole_pairs)
