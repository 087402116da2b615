"""The second-order triangle: shape functions in Gmsh's order (mid-sides 0–1, 1–2, 2–0) and a quadrature rule."""

import numpy as np

# Degree 4, six points (Dunavant 1985): barycentric coordinates and weights of the unit triangle.
A, B = 0.445948490915965, 0.091576213509771
POINTS = np.array([[A, A], [1 - 2 * A, A], [A, 1 - 2 * A], [B, B], [1 - 2 * B, B], [B, 1 - 2 * B]])
WEIGHTS = np.repeat([0.111690794839005, 0.054975871827661], 3)
NODES = np.array([[0, 0], [1, 0], [0, 1], [0.5, 0], [0.5, 0.5], [0, 0.5]])


def shapes(p):
    """Values and derivatives (2 × 6) of the six shape functions at one point."""
    b, c = p
    a = 1 - b - c
    value = [a * (2 * a - 1), b * (2 * b - 1), c * (2 * c - 1), 4 * a * b, 4 * b * c, 4 * c * a]
    d1 = [1 - 4 * a, 4 * b - 1, 0, 4 * (a - b), 4 * c, -4 * c]
    d2 = [1 - 4 * a, 0, 4 * c - 1, -4 * b, 4 * b, 4 * (a - c)]
    return np.array(value), np.array([d1, d2])


SHAPES = [shapes(p) for p in POINTS]
AT_NODES = [shapes(p)[1] for p in NODES]


def smallest_jacobian(xy):
    """Over the nodes of each triangle (triangles × 6 × 2), relative to that of its corners: 0 or less is inside out."""
    u, v = xy[:, 1] - xy[:, 0], xy[:, 2] - xy[:, 0]
    straight = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    return np.min([np.linalg.det(d @ xy) for d in AT_NODES], axis=0) / straight
