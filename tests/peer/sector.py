"""The section that polepitch drew, meshed with Gmsh: either both sides apart, or through the gap at one rotor angle."""

import math
from dataclasses import dataclass

import gmsh
import numpy as np
from dolfinx.io import gmshio
from mpi4py import MPI

from triangle import smallest_jacobian

ANNULUS = 10000  # cell tag of the air between the gap circles; the other tags are 1 + region
# Edge per gap and per distance from it, as polepitch's; its refinement at corners, tried here, gained nothing.
GAP_SHARE, GROWTH = 0.6, 0.3


@dataclass
class Sector:
    """One sector of the machine, as written by export_section. SI."""

    data: dict

    def __getattr__(self, name):
        return self.data[name]

    @property
    def pitch(self):
        return 2 * math.pi / self.sectors

    def start(self, side):
        return self.sides[side]["start_angle"]

    def gap_radius(self, side):
        return self.sides[side]["gap_radius"]

    def fold(self, angle):
        """Rotor angle within one sector of the stator's start, and the sign of the rotor's own sources there."""
        turns = math.floor((self.start(1) + angle - self.start(0)) / self.pitch)
        return angle - turns * self.pitch, self.sign**turns


def turned(point, angle):
    c, s = math.cos(angle), math.sin(angle)
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


class Model:
    """A Gmsh model under construction. `density` scales every size."""

    def __init__(self, sector, density):
        self.sector, self.density = sector, density
        self.points, self.surfaces, self.edges = {}, {}, []
        self.gap_size = min(GAP_SHARE * sector.gap, math.pi * sector.gap_radius(0) / sector.pole_pairs / 48)
        gmsh.initialize(["-nopopup"], False)
        for name, value in {
            "General.Terminal": 0, "General.NumThreads": 1, "Mesh.Algorithm": 6, "Mesh.MeshSizeFromCurvature": 0,
            "Mesh.MeshSizeExtendFromBoundary": 1, "Mesh.MeshSizeFromPoints": 1, "Mesh.HighOrderOptimize": 0,
        }.items():
            gmsh.option.setNumber(name, value)
        gmsh.model.add("sector")
        self.geo = gmsh.model.geo

    def size(self, point):
        distance = abs(math.hypot(*point) - self.sector.gap_radius(0))
        return (self.gap_size + GROWTH * distance) / self.density

    def point(self, xy):
        key = (round(xy[0], 9), round(xy[1], 9))
        if key not in self.points:
            self.points[key] = self.geo.addPoint(xy[0], xy[1], 0, self.size(xy))
        return self.points[key]

    def arc(self, start, end, centre=(0.0, 0.0)):
        return self.geo.addCircleArc(self.point(start), self.point(centre), self.point(end))

    def gap_arc(self, radius, first, last):
        """An arc of a gap circle with edges of one length; a mesh constraint that is set after synchronize()."""
        tag = self.arc(turned((radius, 0), first), turned((radius, 0), last))
        edges = max(1, math.ceil(radius * (last - first) * self.density / self.gap_size - 1e-9))
        self.edges.append((tag, edges))
        return tag

    def add_side(self, side, angle, cut=None):
        """Curves and surfaces of one side turned by `angle`. Its gap arcs are cut where they pass the angle `cut`;
        returns curve tags (lists, start to end, by curve) and the gap's pieces (first angle, last angle, tag)."""
        drawn, sector = self.sector.sides[side], self.sector
        xy = [turned(p, angle) for p in drawn["points"]]
        curves, pieces = [], []
        for i, c in enumerate(drawn["curves"]):
            if i in drawn["gap_curves"]:
                tags, own = self.cut_gap_curve(xy[c["start"]], xy[c["end"]], sector.start(side) + angle, cut)
                pieces += own
            elif c["arc"]:
                tags = [self.arc(xy[c["start"]], xy[c["end"]], turned(c["centre"], angle))]
            else:
                tags = [self.geo.addLine(self.point(xy[c["start"]]), self.point(xy[c["end"]]))]
            curves.append(tags)
        for r, region in enumerate(sector.regions):
            if region["side"] == side:
                loops = [self.geo.addCurveLoop(self.follow(curves, loop)) for loop in region["loops"]]
                self.surfaces[1 + r] = self.geo.addPlaneSurface(loops)
        return curves, sorted(pieces)

    @staticmethod
    def follow(curves, loop):
        tags = []
        for entry in loop:
            tags += curves[entry] if entry >= 0 else [-t for t in reversed(curves[-1 - entry])]
        return tags

    def cut_gap_curve(self, start, end, origin, cut):
        """Pieces of one arc of a gap circle, angles counted up from `origin`."""
        radius = math.hypot(*start)
        first, last = (origin + (math.atan2(p[1], p[0]) - origin + 1e-9) % (2 * math.pi) - 1e-9 for p in (start, end))
        backward = (last - first) % (2 * math.pi) > math.pi
        if backward:
            first, last = last, first
        last = first + (last - first) % (2 * math.pi)
        inside = cut is not None and first + 1e-9 < cut < last - 1e-9
        stops = [first, cut, last] if inside else [first, last]
        pieces = [(a, b, self.gap_arc(radius, a, b)) for a, b in zip(stops, stops[1:])]
        tags = [t for _, _, t in pieces]
        return ([-t for t in reversed(tags)] if backward else tags), pieces

    def add_annulus(self, outer, pieces):
        """The air between the gap circles in the stator's sector. Rotor arcs past its end get an image at its start.
        Returns (slave, master) curves: the two radial ends, and each such arc with its image."""
        begin, pitch = self.sector.start(0), self.sector.pitch
        r_in, r_out = self.sector.gap_radius(1), self.sector.gap_radius(0)
        shared = [t for a, _, t in pieces if a < begin + pitch - 1e-9]
        past = [(a, b, t) for a, b, t in pieces if a >= begin + pitch - 1e-9]
        images = [self.gap_arc(r_in, a - pitch, b - pitch) for a, b, _ in past]
        ends = [self.geo.addLine(self.point(turned((r_in, 0), a)), self.point(turned((r_out, 0), a)))
                for a in (begin, begin + pitch)]
        inner = [-t for t in reversed(images + shared)]
        loop = [ends[0]] + [t for _, _, t in outer] + [-ends[1]] + inner
        self.surfaces[ANNULUS] = self.geo.addPlaneSurface([self.geo.addCurveLoop(loop)])
        return [(ends[1], ends[0])] + [(t, image) for (_, _, t), image in zip(past, images)]

    def generate(self, pairs):
        self.geo.synchronize()
        model, c, s = gmsh.model, math.cos(self.sector.pitch), math.sin(self.sector.pitch)
        for tag, edges in self.edges:
            model.mesh.setTransfiniteCurve(tag, edges + 1)
        for slave, master in pairs:
            model.mesh.setPeriodic(1, [slave], [master], [c, -s, 0, 0, s, c, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1])
        field = model.mesh.field.add("MathEval")
        distance = f"Fabs(Sqrt(x*x+y*y)-{self.sector.gap_radius(0)})"
        model.mesh.field.setString(field, "F", f"({self.gap_size}+{GROWTH}*{distance})/{self.density}")
        model.mesh.field.setAsBackgroundMesh(field)
        for tag, surface in self.surfaces.items():
            model.setPhysicalName(2, model.addPhysicalGroup(2, [surface], tag), str(tag))
        model.mesh.generate(2)
        model.mesh.setOrder(2)
        straighten()


def straighten():
    """Straight edges for triangles that an arc would turn inside out (two edges of one on a small fillet do)."""
    tags, xyz, _ = gmsh.model.mesh.getNodes()
    place = np.zeros(int(tags.max()) + 1, dtype=int)
    place[tags.astype(int)] = np.arange(len(tags))
    xy = xyz.reshape(-1, 3)[:, :2].copy()
    nodes = gmsh.model.mesh.getElementsByType(9)[1].reshape(-1, 6)
    triangles, moved = place[nodes.astype(int)], set()
    while True:
        bad = triangles[smallest_jacobian(xy[triangles]) < 0.1]
        middles = 0.5 * (xy[bad[:, [0, 1, 2]]] + xy[bad[:, [1, 2, 0]]])
        if len(bad) == 0 or np.abs(middles - xy[bad[:, 3:]]).max() < 1e-12:
            break
        xy[bad[:, 3:]] = middles
        moved.update(bad[:, 3:].ravel())
    for i in moved:
        gmsh.model.mesh.setNode(tags[i], [*xy[i], 0.0], [])


def edge_pairs(sector, side, curves):
    drawn = sector.sides[side]
    return [(curves[e][0], curves[s][0]) for e, s in zip(drawn["end_edge"], drawn["start_edge"])]


def make_mesh(sector, density, angle=None):
    """dolfinx mesh and cell tags. Without `angle` the two sides apart, up to the gap circles, the rotor unturned."""
    model = Model(sector, density)
    try:
        stator, outer = model.add_side(0, 0.0)
        cut = None if angle is None else sector.start(0) + sector.pitch
        rotor, pieces = model.add_side(1, angle or 0.0, cut)
        pairs = edge_pairs(sector, 0, stator) + edge_pairs(sector, 1, rotor)
        if angle is not None:
            pairs += model.add_annulus(outer, pieces)
        model.generate(pairs)
        mesh, tags, _ = gmshio.model_to_mesh(gmsh.model, MPI.COMM_SELF, 0, gdim=2)
    finally:
        gmsh.finalize()
    return mesh, tags


def fold_points(points, origin):
    """Angle of each point counted up from `origin`, in [0, 2π)."""
    return (np.arctan2(points[:, 1], points[:, 0]) - origin + 1e-9) % (2 * math.pi) - 1e-9
