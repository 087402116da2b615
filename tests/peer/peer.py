"""peer.py EXPORT_SECTION CASE ELEMENTS…: the same section, law and currents solved by polepitch (through the program
export_section) and by a script on FEniCSx, Gmsh and PETSc; their times and how well they agree, as Markdown on stdout.
The last of ELEMENTS is the fine mesh that the torque is judged by and stays out of the table of times."""

import json
import logging
import statistics
import subprocess
import sys

import numpy as np

from sector import Sector, make_mesh
from turning import MovingBand, remeshed

REPEATS = 3


def density_for(sector, elements):
    """Mesh density of about so many triangles a pole, the gap meshed through; polepitch's is found the same way."""
    nearest, best, density = float("inf"), 0.0, 0.7
    for _ in range(5):
        mesh, _ = make_mesh(sector, density, sector.fold(0.1)[0])
        count = mesh.topology.index_map(2).size_local * sector.sectors / (2 * sector.pole_pairs)
        if abs(count - elements) < nearest:
            nearest, best = abs(count - elements), density
        density *= (elements / count) ** 0.5
    return best


def milliseconds(chains, name="all", clock=0):
    """Median over the warm points of all chains (all but their first), and the cold point's, of one phase."""
    warm = [1000 * p["time"].get(name, (0, 0))[clock] for chain in chains for p in chain[1:]]
    cold = [1000 * chain[0]["time"].get(name, (0, 0))[clock] for chain in chains]
    return statistics.median(warm), statistics.median(cold)


def read_chains(run):
    for chain in run["chains"]:
        for p in chain:
            p["time"] = {"all": (p["time"]["cpu"], p["time"]["wall"])}
            p["linkages"] = np.array(p["linkages"])
    return run["chains"]


def export(program, case, elements):
    """What polepitch says and how long it took."""
    data = json.loads(subprocess.run([program, case, elements], check=True, stdout=subprocess.PIPE, text=True).stdout)
    return data, Sector(data["section"]), data["runs"][0]


def compare(program, case, elements):
    """Everything at one mesh size. polepitch is timed before and after the script: the machine may change its pace."""
    data, sector, run = export(program, case, elements)
    law, points = data["law"], data["points"]
    density = density_for(sector, run["elements"])
    remeshed(sector, law, density, points[:1])  # compiles the forms, and loads the libraries
    out = {"data": data, "sector": sector, "run": run}
    out["band"] = MovingBand(sector, law, density)
    out["band chains"] = [out["band"].turn(points) for _ in range(REPEATS)]
    out["polepitch"] = read_chains(run) + read_chains(export(program, case, elements)[2])
    chain, out["elements"], out["unknowns"] = remeshed(sector, law, density, points)
    out["remeshed chains"] = [chain] + [remeshed(sector, law, density, points)[0] for _ in range(REPEATS - 1)]
    return out


def column(point_list, key):
    return np.array([p[key] for p in point_list])


def difference(chain, other):
    """Largest over the angles: energy and linkages (of the largest one) relative; torque over the mean torque, largest
    and r.m.s."""
    energy = np.abs(column(chain, "energy") / column(other, "energy") - 1).max()
    linkage, torque = column(other, "linkages"), column(other, "torque")
    phases = slice(0, -1)
    linked = max(np.abs(column(chain, "linkages") - linkage)[:, part].max() / np.abs(linkage[:, part]).max()
                 for part in (phases, slice(-1, None)))
    error = (column(chain, "torque") - torque) / abs(torque.mean())
    return energy, linked, np.abs(error).max(), np.sqrt(np.mean(error**2)), error.std()


def steps(chains):
    return f"{np.mean([p['steps'] for c in chains for p in c[1:]]):.1f}"


def per_step(chains, name):
    """Milliseconds of one Newton step, over the warm points."""
    warm = [p for chain in chains for p in chain[1:]]
    return 1000 * sum(p["time"][name][0] for p in warm) / sum(p["steps"] for p in warm)


def time_rows(sizes):
    def row(title, text):
        return f"| {title} | " + " | ".join(text(s) for s in sizes) + " |"

    def warm(key):
        return lambda s: f"{milliseconds(s[key])[0]:.0f} ({steps(s[key])})"

    def ratio(key):
        return lambda s: f"{milliseconds(s[key])[0] / milliseconds(s['polepitch'])[0]:.1f}"

    def phases(*names):
        return lambda s: " / ".join(f"{sum(milliseconds(s['remeshed chains'], n)[0] for n in name.split('+')):.0f}"
                                    for name in names)

    yield row("one core, milliseconds of processor time", lambda s: f"{s['run']['elements']:,.0f} a pole")
    yield "|---|" + "---|" * len(sizes)
    yield row("triangles a pole: polepitch / band / remeshed",
              lambda s: f"{s['run']['elements']:,.0f} / {s['band'].elements:,.0f} / {s['elements']:,.0f}")
    yield row("unknowns: polepitch / band / remeshed",
              lambda s: f"{s['run']['unknowns']:,} / {s['band'].unknowns:,} / {s['unknowns']:,}")
    yield row("script, one mesh of both sides: Gmsh / function space and forms / linear part",
              lambda s: " / ".join(f"{1000 * s['band'].setup[n][0]:.0f}" for n in ("meshing", "set-up", "linear part")))
    yield row("polepitch, one mesh: draw and mesh / pose",
              lambda s: f"{1000 * s['run']['mesh']['cpu']:.0f} / {1000 * s['run']['pose']['cpu']:.0f}")
    yield row("script, one Newton step: assembly / factorisation / solve",
              lambda s: " / ".join(f"{per_step(s['band chains'], n):.1f}" for n in ("assembly", "factor", "solve")))
    yield row("script, a new angle of the band: triangles / pattern",
              lambda s: " / ".join(f"{milliseconds(s['band chains'], n)[0]:.1f}" for n in ("band", "pattern")))
    yield row("script, a new mesh's angle: Gmsh / forms and linear part / interpolation",
              phases("meshing", "set-up+linear part+pattern", "interpolation"))
    for title, key in (("script remeshed", "remeshed chains"), ("script with moving band", "band chains"),
                       ("polepitch", "polepitch")):
        yield row(f"cold point, {title}", lambda s, k=key: f"{milliseconds(s[k])[1]:.0f} ({s[k][0][0]['steps']})")
    for title, key in (("script remeshed", "remeshed chains"), ("script with moving band", "band chains"),
                       ("polepitch", "polepitch")):
        yield row(f"warm point 3° electrical on, {title}", warm(key))
    yield row("**script with moving band over polepitch, warm**", ratio("band chains"))
    yield row("script remeshed over polepitch, warm", ratio("remeshed chains"))


def agreement_rows(sizes, fine):
    yield "| largest difference over six angles | energy | linkages | torque | torque r.m.s. | its scatter |"
    yield "|---|---|---|---|---|---|"

    def row(title, chain, other):
        return f"| {title} | " + " | ".join(f"{d:.1e}" for d in difference(chain, other)) + " |"

    for s in sizes:
        count, mine = f"{s['run']['elements']:,.0f}", s["polepitch"][0]
        yield row(f"{count}: moving band against polepitch", s["band chains"][0], mine)
        yield row(f"{count}: remeshed against polepitch", s["remeshed chains"][0], mine)
        for title, key in (("polepitch", "polepitch"), ("moving band", "band chains"), ("remeshed", "remeshed chains")):
            yield row(f"{count}: {title} against its own fine mesh", s[key][0], fine[key][0])
    count = f"{fine['run']['elements']:,.0f}"
    yield row(f"fine, {count}: moving band against polepitch", fine["band chains"][0], fine["polepitch"][0])
    yield row(f"fine, {count}: remeshed against polepitch", fine["remeshed chains"][0], fine["polepitch"][0])


def main(program, case, *elements):
    sizes = [compare(program, case, count) for count in elements]
    data, sector, fine = sizes[-1]["data"], sizes[-1]["sector"], sizes.pop()
    print(f"{data['case']}; R/g = {0.5 * (sector.bore_radius + sector.rotor_radius) / sector.gap:.1f}.\n")
    print("\n".join(time_rows(sizes)))
    print("\nIn parentheses Newton steps. Forms are compiled beforehand and do not count.\n")
    print("\n".join(agreement_rows(sizes, fine)))
    print(f"\nThe interpolated table of polepitch leaves the law by at most {data['law']['difference']:.0e} of H.")


if __name__ == "__main__":
    logging.disable(logging.INFO)
    main(*sys.argv[1:])
