#!/usr/bin/python3
"""Writes cases/machines/drawn-motor.dxf with ezdxf (package python3-ezdxf): make_lamination.py FILE.

An invented six-pole lamination in mm: 60 degrees of a stator with 36 slots and 18 notches outside, and one pole of
a rotor with a magnet whose outer face is an arc about a point beside the axis. No such machine exists.
"""
import math
import sys

import ezdxf

BORE, OUTER, SLOTS, TOOTH = 45.0, 72.0, 36, 4.2
NOTCH = 2.0
CORE, SHAFT, FACE_CENTRE, FACE, HALF = 39.5, 15.0, 12.0, 32.2, 16.0
HOLE_AT, HOLE = 27.0, 4.0


def turned(point, degrees):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def polar(radius, degrees):
    return turned((radius, 0), degrees)


def half_body(radius):
    """Half width of the slot body that leaves teeth of constant width."""
    alpha = math.radians(180 / SLOTS)
    return (radius * math.sin(alpha) - TOOTH / 2) / math.cos(alpha)


def draw_slot(space, axis):
    mouth = math.sqrt(BORE**2 - 1.0**2)
    right = [(mouth, 1.0), (45.8, 1.0), (47.0, half_body(47.0)), (61.0, half_body(61.0))]
    left = [(x, -y) for x, y in reversed(right)]
    # The bottom is an arc: a bulge of 0.5 between the two lower corners, outwards.
    points = [(*turned(p, axis), 0) for p in right] + [(*turned(p, axis), 0) for p in left]
    points[3] = (*points[3][:2], 0.5 * -1)
    space.add_lwpolyline(points, format="xyb", dxfattribs={"layer": "STATOR"})
    for r in (47.0, 55.0):
        space.add_line(turned((r, -half_body(r)), axis), turned((r, half_body(r)), axis), dxfattribs={"layer": "COIL"})
    for r in (51.0, 58.0):
        space.add_point(turned((r, 0), axis), dxfattribs={"layer": "COIL"})


def draw_stator(space):
    mouth = math.degrees(math.asin(1.0 / BORE))
    begin = 0.0
    for k in range(6):
        axis = 5.0 + 10 * k
        draw_slot(space, axis)
        space.add_arc((0, 0), BORE, begin, axis - mouth, dxfattribs={"layer": "STATOR"})
        begin = axis + mouth
    space.add_arc((0, 0), BORE, begin, 60, dxfattribs={"layer": "STATOR"})
    notch = math.degrees(2 * math.asin(NOTCH / (2 * OUTER)))
    begin = 0.0
    for at in (10.0, 30.0, 50.0):  # behind every second tooth
        space.add_arc((0, 0), OUTER, begin, at - notch, dxfattribs={"layer": "STATOR"})
        begin = at + notch
        # From end to end round the notch's own centre, which lies on the outer circle.
        centre, a, b = polar(OUTER, at), polar(OUTER, begin), polar(OUTER, at - notch)
        angle = [math.degrees(math.atan2(p[1] - centre[1], p[0] - centre[0])) for p in (a, b)]
        space.add_arc(centre, NOTCH, angle[0], angle[1], dxfattribs={"layer": "STATOR"})
    space.add_arc((0, 0), OUTER, begin, 60, dxfattribs={"layer": "STATOR"})
    for edge in (0, 60):
        space.add_line(polar(BORE, edge), polar(OUTER, edge), dxfattribs={"layer": "STATOR"})


def draw_rotor(space):
    low, high = math.sqrt(CORE**2 - HALF**2), FACE_CENTRE + math.sqrt(FACE**2 - HALF**2)
    foot = math.degrees(math.asin(HALF / CORE))
    bottom = math.tan(math.radians(2 * foot) / 4)
    face = math.tan(2 * math.asin(HALF / FACE) / 4)
    corners = [(low, -HALF, 0), (high, -HALF, face), (high, HALF, 0), (low, HALF, -bottom)]
    space.add_lwpolyline([(*turned(p[:2], 30), p[2]) for p in corners], format="xyb", close=True,
                         dxfattribs={"layer": "MAGNET"})
    space.add_arc((0, 0), CORE, 0, 60, dxfattribs={"layer": "ROTOR"})
    space.add_arc((0, 0), SHAFT, 0, 60, dxfattribs={"layer": "ROTOR"})
    for edge in (0, 60):
        space.add_line(polar(SHAFT, edge), polar(CORE, edge), dxfattribs={"layer": "ROTOR"})
    space.add_circle(polar(HOLE_AT, 30), HOLE, dxfattribs={"layer": "HOLE"})


doc = ezdxf.new("R2000", setup=False)
doc.units = ezdxf.units.MM
for name in ("STATOR", "COIL", "ROTOR", "MAGNET", "HOLE"):
    doc.layers.add(name)
draw_stator(doc.modelspace())
draw_rotor(doc.modelspace())
doc.saveas(sys.argv[1])
