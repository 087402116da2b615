#!/usr/bin/python3
"""Writes the drawings that tests/geometry/dxf_reader_test.cpp reads, with ezdxf (package python3-ezdxf).

An invented test piece in mm, whose areas are known in closed form: the same in every version of the format that can
hold its entities. R12 has neither ELLIPSE, SPLINE nor LWPOLYLINE.
"""
import math
import sys

import ezdxf


def write(version, directory):
    doc = ezdxf.new(version)
    old = version == "R12"
    if not old:
        doc.units = ezdxf.units.MM
    space = doc.modelspace()
    for name in ("CORE", "SLOT", "HOLE"):
        doc.layers.new(name) if old else doc.layers.add(name)
    # A rectangle of 40 x 20 with half circles of radius 10 at both ends: bulges of 1.
    outline = [(-20, -10, 0), (20, -10, 1), (20, 10, 0), (-20, 10, 1)]
    if old:
        line = space.add_polyline2d([p[:2] for p in outline], dxfattribs={"layer": "CORE"})
        line.close(True)
        for vertex, point in zip(line.vertices, outline):
            vertex.dxf.bulge = point[2]
    else:
        space.add_lwpolyline(outline, format="xyb", close=True, dxfattribs={"layer": "CORE"})
    # A block on layer 0: a half disc of radius 2 with its diameter, inserted twice, mirrored, scaled and turned.
    block = doc.blocks.new("HALF")
    block.add_arc((0, 0), 2, 0, 180)
    block.add_line((2, 0), (-2, 0))
    space.add_blockref("HALF", (-10, 0), dxfattribs={"layer": "SLOT", "rotation": 30})
    space.add_blockref("HALF", (10, 0), dxfattribs={"layer": "SLOT", "xscale": -1.5, "yscale": 1.5, "rotation": 75})
    space.add_circle((0, 6), 1.25, dxfattribs={"layer": "HOLE"})
    space.add_text("core", dxfattribs={"layer": "CORE", "height": 1, "insert": (-25, 1)})
    if not old:
        space.add_ellipse((0, -4), major_axis=(6, 0), ratio=0.5, dxfattribs={"layer": "HOLE"})
        # A circle of radius 1.5 about (20, 0) as one rational spline of degree 2.
        r, w = 1.5, math.sqrt(0.5)
        corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
        space.add_rational_spline([(20 + r * x, r * y) for x, y in corners], [1, w, 1, w, 1, w, 1, w, 1], degree=2,
                                  knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], dxfattribs={"layer": "HOLE"})
        space.add_hatch(color=2)
    doc.saveas(f"{directory}/piece_{version}.dxf")


for wanted in ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"):
    write(wanted, sys.argv[1])
