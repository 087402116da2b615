"""The nonlinear vector potential on one mesh with FEniCSx: forms, the sector's two ends by elimination, and Newton."""

import math

import numpy as np
import ufl
from dolfinx import fem
from dolfinx.mesh import meshtags
from petsc4py import PETSc
from scipy.sparse import csr_matrix
from scipy.spatial import cKDTree

from sector import ANNULUS, fold_points
from timing import phase

MU0 = 1.25663706212e-6
QUADRATURE = {"quadrature_degree": 4}  # six points; left to itself UFL asks for far more
JIT = {"cffi_extra_compile_args": ["-O3", "-march=native"]}
STEEL, LINEAR, GAP = 1, 2, 3
TOLERANCE, MOST_STEPS = 1e-8, 60  # of the residual relative to the sources, as polepitch's
SOLVER = "mumps"  # Cholesky; PETSc's CHOLMOD and its own factor twice as slowly here
PETSc.Options()["mat_mumps_icntl_7"] = 0  # minimum degree: MUMPS' own choice takes 2.5 times as long past 10,000 unknowns


def reluctivity(law, s):
    """ν(B²) and dν/d(B²) in UFL."""
    alpha, tau = law["alpha"], law["tau"]
    s4 = (s * s) * (s * s)
    nu = (alpha + (1 - alpha) * s4 / (s4 + tau)) / MU0
    slope = (1 - alpha) * 4 * s * s * s * tau / ((s4 + tau) * (s4 + tau)) / MU0
    return nu, slope


def energy_density(law, s):
    """∫ H dB = ½ ∫ ν ds: of s⁴/(s⁴ + τ) with s = c t it is c (t − ∫ dt/(1 + t⁴)), c = τ^¼."""
    alpha, c = law["alpha"], law["tau"] ** 0.25
    t, root = s / c, math.sqrt(2)
    quartic = ufl.ln((t * t + root * t + 1) / (t * t - root * t + 1)) / (4 * root) + (
        ufl.atan(root * t + 1) + ufl.atan(root * t - 1)) / (2 * root)
    return (alpha * s + (1 - alpha) * c * (t - quartic)) / (2 * MU0)


class Elimination:
    """From nodal values to unknowns: 0 on the outer surface, the sector's end ± its start (A = sign · x[index])."""

    def __init__(self, sector, points, angle):
        """`angle`: of a rotor meshed through the gap; None where the sides are apart."""
        radius, count = np.hypot(points[:, 0], points[:, 1]), len(points)
        through = angle is not None
        r_in, tiny = sector.gap_radius(1), 1e-8
        rotor = radius < r_in + (-tiny if through else tiny)
        origin = np.where(rotor, sector.start(1) + (angle or 0.0), sector.start(0))
        past = fold_points(points, origin) * radius > (sector.pitch * radius - tiny)
        fixed = (radius > sector.sides[0]["far_radius"] - tiny) | (radius < tiny)
        shaft = sector.sides[1]["far_radius"]
        assert shaft == 0, "a hollow shaft is not foreseen here"
        slaves = np.flatnonzero(past & ~fixed)
        c, s = math.cos(sector.pitch), math.sin(sector.pitch)
        images = points[slaves, :2] @ np.array([[c, -s], [s, c]])
        distance, masters = cKDTree(points[:, :2]).query(images)
        assert distance.max() < 1e-7, "the sector's two ends do not match"
        master, self.sign = np.arange(count), np.ones(count)
        master[slaves], self.sign[slaves] = masters, sector.sign
        free = ~fixed
        free[slaves] = False
        number = np.full(count, -1)
        number[free] = np.arange(free.sum())
        self.index, self.count = number[master], int(free.sum())
        self.kept = self.index >= 0

    def expand(self, x):
        return np.where(self.kept, self.sign * x[self.index], 0.0)

    def restrict(self, full):
        kept = self.kept
        return np.bincount(self.index[kept], weights=self.sign[kept] * full[kept], minlength=self.count)

    def pattern(self, matrix):
        """Keys row · 2³² + column of the reduced entries, and (entries kept, signs) of the full matrix."""
        indptr, columns, _ = matrix.getValuesCSR()
        rows = np.repeat(np.arange(len(indptr) - 1), np.diff(indptr))
        kept = np.flatnonzero(self.kept[rows] & self.kept[columns])
        rows, columns = rows[kept], columns[kept]
        keys = (self.index[rows].astype(np.int64) << 32) | self.index[columns]
        return keys, kept, self.sign[rows] * self.sign[columns]


class Field:
    """Forms and static matrices of one mesh."""

    def __init__(self, sector, law, mesh, tags, angle=None):
        self.sector, self.mesh = sector, mesh
        with phase("set-up"):
            self.region = np.empty(len(tags.values), dtype=np.int32)
            self.region[tags.indices] = tags.values - 1
            self.space = fem.FunctionSpace(mesh, ("Lagrange", 2))
            self.points = self.space.tabulate_dof_coordinates()
            self.elimination = Elimination(sector, self.points, angle)
            self.a = fem.Function(self.space)
            self.make_forms(law)
        with phase("linear part"):
            self.assemble_constant()

    def make_forms(self, law):
        sector, mesh = self.sector, self.mesh
        gap = self.region == ANNULUS - 1
        inside = np.where(gap, 0, self.region)
        steel = np.array([r["steel"] for r in sector.regions])[inside] & ~gap
        cells = np.arange(len(self.region), dtype=np.int32)
        kinds = np.where(gap, GAP, np.where(steel, STEEL, LINEAR)).astype(np.int32)
        dx = ufl.Measure("dx", domain=mesh, subdomain_data=meshtags(mesh, 2, cells, kinds), metadata=QUADRATURE)
        a, u, v = self.a, ufl.TrialFunction(self.space), ufl.TestFunction(self.space)
        grad, dot = ufl.grad, ufl.inner
        constant = fem.FunctionSpace(mesh, ("DG", 0))
        self.nu, self.turns, cell = fem.Function(constant), fem.Function(constant), ufl.TestFunction(constant)
        self.nu.x.array[:] = np.where(gap, 1 / MU0, np.array([r["reluctivity"] for r in sector.regions])[inside])
        s = dot(grad(a), grad(a))
        nu, slope = reluctivity(law, s)
        x = ufl.SpatialCoordinate(mesh)
        around, outward = x[0] * a.dx(1) - x[1] * a.dx(0), x[0] * a.dx(0) + x[1] * a.dx(1)
        linear, air = self.nu * dot(grad(u), grad(v)), 0.5 * self.nu * s
        change = 2 * slope * dot(grad(a), grad(u)) * dot(grad(a), grad(v))
        self.forms = {name: fem.form(form, jit_params=JIT) for name, form in {
            "linear": linear * dx(LINEAR) + linear * dx(GAP),
            "residual": nu * dot(grad(a), grad(v)) * dx(STEEL),
            "tangent": nu * dot(grad(u), grad(v)) * dx(STEEL) + change * dx(STEEL),
            "source": self.turns * v * dx,
            "area": cell * dx,
            "energy": energy_density(law, s) * dx(STEEL) + air * dx(LINEAR) + air * dx(GAP),
            "arkkio": -around * outward / ufl.sqrt(x[0] * x[0] + x[1] * x[1]) * dx(GAP),
        }.items()}

    def assemble_constant(self):
        e, regions = self.elimination, self.sector.regions
        matrix = fem.petsc.assemble_matrix(self.forms["linear"])
        matrix.assemble()
        keys, kept, sign = e.pattern(matrix)
        data = sign * matrix.getValuesCSR()[2][kept]
        self.tangent = fem.petsc.assemble_matrix(self.forms["tangent"])  # filled: an empty one would lose its pattern
        self.tangent.assemble()
        steel_keys, self.steel_kept, self.steel_sign = e.pattern(self.tangent)
        self.keys, place = np.unique(np.concatenate([keys, steel_keys]), return_inverse=True)
        self.linear = np.bincount(place[: len(keys)], weights=data, minlength=len(self.keys))
        self.steel_place = place[len(keys):]
        cell_area = fem.petsc.assemble_vector(self.forms["area"]).array
        area = np.bincount(self.region, weights=cell_area, minlength=len(regions))
        per_turn = np.array([r["turns"] for r in regions]) / area[: len(regions)]
        branch = np.array([r["branch"] for r in regions])
        inside = np.where(self.region == ANNULUS - 1, 0, self.region)
        self.linked = []
        for b in range(len(self.sector.branches)):
            mine = (branch[inside] == b) & (self.region != ANNULUS - 1)
            self.turns.x.array[:] = np.where(mine, per_turn[inside], 0.0)
            self.linked.append(e.restrict(fem.petsc.assemble_vector(self.forms["source"]).array))
        self.linked = np.array(self.linked)

    def steel_residual(self, x):
        self.a.x.array[:] = self.elimination.expand(x[: self.elimination.count])
        return self.elimination.restrict(fem.petsc.assemble_vector(self.forms["residual"]).array)

    def steel_tangent(self):
        """Values on self.keys, at the potential of the last residual."""
        self.tangent.zeroEntries()
        fem.petsc.assemble_matrix(self.tangent, self.forms["tangent"])
        self.tangent.assemble()
        values = self.steel_sign * self.tangent.getValuesCSR()[2][self.steel_kept]
        return np.bincount(self.steel_place, weights=values, minlength=len(self.keys))

    def integral(self, name):
        """Over one sector, per metre, at the potential of the last residual."""
        return fem.assemble_scalar(self.forms[name])


class System:
    """Tangent of a field at one rotor angle: the field's own pattern and, where there is one, a band's."""

    def __init__(self, field, band=None):
        self.field, keys = field, field.keys
        self.size = field.elimination.count + (band.extra if band else 0)
        self.place, self.base = np.arange(len(keys)), field.linear
        if band:
            own, values = band.entries()
            before = np.searchsorted(keys, own)
            new = keys[np.minimum(before, len(keys) - 1)] != own
            fresh, before = own[new], before[new]
            self.place = self.place + np.cumsum(np.bincount(before, minlength=len(keys) + 1))[:-1]
            keys = np.insert(keys, before, fresh)
            self.base = np.zeros(len(keys))
            self.base[self.place] = field.linear
            self.base[np.searchsorted(keys, own)] += values
        self.columns = (keys & 0xFFFFFFFF).astype(np.int32)
        self.starts = np.searchsorted(keys, np.arange(self.size + 1, dtype=np.int64) << 32).astype(np.int32)
        self.stiffness = csr_matrix((self.base, self.columns, self.starts), shape=(self.size, self.size))
        self.values = self.base.copy()  # PETSc works on these arrays themselves
        csr = (self.starts, self.columns, self.values)
        self.matrix = PETSc.Mat().createAIJWithArrays((self.size, self.size), csr, comm=PETSc.COMM_SELF)
        self.matrix.setOption(PETSc.Mat.Option.SPD, True)
        self.solver = PETSc.KSP().create(PETSc.COMM_SELF)
        self.solver.setType("preonly")
        self.solver.setOperators(self.matrix)
        preconditioner = self.solver.getPC()
        preconditioner.setType("cholesky")
        preconditioner.setFactorSolverType(SOLVER)
        self.solver.setFromOptions()
        self.right, self.step = self.matrix.createVecs()

    def residual(self, x, source):
        out = self.stiffness @ x - source
        out[: self.field.elimination.count] += self.field.steel_residual(x)
        return out

    def factorise(self):
        with phase("assembly"):
            self.values[:] = self.base
            self.values[self.place] += self.field.steel_tangent()
            self.matrix.stateIncrease()
            self.matrix.assemble()
        with phase("factor"):
            self.solver.getPC().setUp()  # of KSP it would wait for the first solve

    def solve(self, right):
        with phase("solve"):
            self.right.array[:] = right
            self.solver.solve(self.right, self.step)
            return self.step.array.copy()



def newton(system, currents, x):
    """Newton with the step halved until the residual falls. Returns the solution and the number of steps."""
    source = np.zeros(system.size)
    source[: system.field.elimination.count] = np.asarray(currents) @ system.field.linked
    scale = np.linalg.norm(source)
    with phase("assembly"):
        residual = system.residual(x, source)
    for count in range(1, MOST_STEPS + 1):
        system.factorise()
        step = system.solve(residual)
        before, share = np.linalg.norm(residual), 1.0
        while True:
            with phase("assembly"):
                trial = x - share * step
                residual = system.residual(trial, source)
            if np.linalg.norm(residual) < before * (1 - 0.1 * share) or share < 0.01:
                break
            share *= 0.5
        x = trial
        if np.linalg.norm(residual) <= TOLERANCE * scale:
            return x, count
    raise RuntimeError("Newton did not converge")
