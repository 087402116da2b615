"""Opens the fields of this folder in ParaView: |B| in colours, field lines at equal flux steps, the rotor's angle.

    paraview --script=open_in_paraview.py                 the first study, on the screen
    STUDY=slip paraview --script=open_in_paraview.py      another one
    python3 open_in_paraview.py --list                    the studies there are
    pvbatch open_in_paraview.py STUDY --picture out.png   a picture (--frame K, --lines N, --colour region)

Every element carries its own points, so colours jump where B jumps: nothing is averaged across borders of materials.
"""
import argparse
import inspect
import math
import os
import re
import sys

STUDIES = []  # in the order of the case


def folder_of_fields():
    """Where this script stands, or else where ParaView was started."""
    own = os.path.dirname(os.path.abspath(inspect.getsourcefile(folder_of_fields) or ""))
    for folder in (own, os.getcwd(), os.path.join(os.getcwd(), "field")):
        if any(os.path.exists(os.path.join(folder, name + ".pvd")) for name in STUDIES):
            return folder
    sys.exit("error: no field files (*.pvd) here; start ParaView in the folder of this script")


def what_to_show():
    parser = argparse.ArgumentParser(description="Open the fields of this folder in ParaView.")
    parser.add_argument("study", nargs="?", default=os.environ.get("STUDY") or STUDIES[0],
                        help="one of: " + ", ".join(STUDIES))
    parser.add_argument("--list", action="store_true", help="print the studies and stop")
    parser.add_argument("--lines", type=int, default=24, help="field lines between the extremes of A (default 24)")
    parser.add_argument("--colour", choices=("B", "region"), default="B", help="|B| (default) or the parts by name")
    parser.add_argument("--frame", type=int, default=0, help="which field of the series is shown first")
    parser.add_argument("--picture", metavar="FILE.png", help="write a picture and stop")
    parser.add_argument("--size", default="1200x1000", help="of the picture, in pixels (default 1200x1000)")
    asked = parser.parse_args()
    if asked.study not in STUDIES:
        parser.error("there is no study \"%s\" here; there are: %s" % (asked.study, ", ".join(STUDIES)))
    if asked.lines < 1:
        parser.error("--lines must be at least 1")
    if not re.fullmatch(r"[1-9]\d{1,3}x[1-9]\d{1,3}", asked.size):
        parser.error("--size must be WIDTHxHEIGHT in pixels, such as 1200x1000")
    return asked


def one_grid(data):
    """The grid in what a reader handed over, alone or in a block."""
    while hasattr(data, "GetNumberOfBlocks"):
        data = data.GetBlock(0)
    return data


def palette(largest):
    """Pale sand over clay to violet with evenly falling lightness: it survives greyscale and colour blindness."""
    colours = PALETTE
    points = []
    for k, colour in enumerate(colours):
        points += [largest * k / (len(colours) - 1)] + colour
    return points


PALETTE = []  # red, green, blue, the same as in the pictures


def show(asked, folder):
    from paraview import simple as pv

    path = os.path.join(folder, asked.study + ".pvd")
    with open(path, encoding="utf-8") as text:
        series = text.read()
    label = re.search(r"<!-- timestep: (.*?) -->", series).group(1)
    fields = pv.PVDReader(registrationName=asked.study, FileName=path)
    fields.UpdatePipelineInformation()
    # In the order of the files: ParaView itself sorts them, so that a slip plays from 0 to 1.
    times = [float(value) for value in re.findall(r'timestep="(.*?)"', series)]
    if not 0 <= asked.frame < len(times):
        sys.exit("error: --frame %d is not there; the series has fields 0 to %d" % (asked.frame, len(times) - 1))

    # One scale and one set of lines for the whole series, so that its fields can be compared.
    low, high, largest = math.inf, -math.inf, 0.0
    for time in times:
        fields.UpdatePipeline(time)
        arrays = fields.GetPointDataInformation()
        low, high = min(low, arrays["A_z"].GetRange()[0]), max(high, arrays["A_z"].GetRange()[1])
        largest = max(largest, arrays["B"].GetRange(-1)[1])
    step = (high - low) / asked.lines

    view = pv.GetActiveViewOrCreate("RenderView")
    view.InteractionMode = "2D"
    view.OrientationAxesVisibility = 0
    view.UseColorPaletteForBackground = 0
    view.Background = [1, 1, 1]
    section = pv.Show(fields, view)
    section.SetRepresentationType("Surface")
    section.Ambient, section.Diffuse, section.Specular = 1, 0, 0  # colours as they are, without a lamp
    colour_by_parts(pv, fields, times[0])
    if asked.colour == "region":
        pv.ColorBy(section, ("CELLS", "region"))
    else:
        pv.ColorBy(section, ("POINTS", "B", "Magnitude"))
    scale = pv.GetColorTransferFunction("B")
    scale.RGBPoints = palette(largest)
    scale.ColorSpace = "Lab"
    scale.VectorMode = "Magnitude"
    bar = pv.GetScalarBar(scale if asked.colour == "B" else pv.GetColorTransferFunction("region"), view)
    section.SetScalarBarVisibility(view, True)  # gives the bar a title of its own
    bar.Title, bar.ComponentTitle = "flux density [T]" if asked.colour == "B" else "", ""  # it takes | as a mark
    bar.RangeLabelFormat = "%.2f"
    bar.TitleColor = bar.LabelColor = [0, 0, 0]
    bar.WindowLocation = "Any Location"
    width, height = (int(n) for n in asked.size.split("x"))
    bar.Position, bar.ScalarBarLength = [0.88, 0.2], 0.6
    room = 0
    if asked.colour == "region":
        # As many names under each other as there are, the longest of them inside the picture.
        names = bar_names(pv)
        bar.LabelFontSize = max(6, min(14, int(0.86 * height / len(names) / 1.6)))
        room = min(0.5, (50 + 0.46 * bar.LabelFontSize * max(map(len, names))) / width)
        bar.Position, bar.ScalarBarLength = [1 - room, 0.07], 0.86
        bar.TextPosition = "Ticks left/bottom, annotations right/top"  # names beside the section, not over it

    lines = pv.Contour(registrationName="field lines", Input=fields)
    lines.ContourBy = ["POINTS", "A_z"]
    lines.Isosurfaces = [low + (k + 0.5) * step for k in range(asked.lines)]
    drawn = pv.Show(lines, view)
    pv.ColorBy(drawn, None)
    drawn.AmbientColor = drawn.DiffuseColor = [0, 0, 0]
    drawn.LineWidth = 1.5

    moment = pv.AnnotateTimeFilter(registrationName="where the series stands", Input=fields)
    moment.Format = where(label) + "; %.3g mWb/m between lines" % (1e3 * step)
    words = pv.Show(moment, view)
    words.Color, words.FontSize = [0, 0, 0], 18
    pv.GetAnimationScene().UpdateAnimationUsingDataTimeSteps()
    view.ViewTime = times[asked.frame]
    pv.GetAnimationScene().AnimationTime = times[asked.frame]
    if asked.picture:
        view.ViewSize = [width, height]
    pv.Render()  # the first one moves the camera by itself
    view.ResetCamera()
    make_room(view, room, width / height)
    pv.SetActiveSource(fields)
    pv.Render()
    if asked.picture:
        pv.SaveScreenshot(asked.picture, view, ImageResolution=[width, height])


def bar_names(pv):
    return pv.GetColorTransferFunction("region").Annotations[1::2]


def make_room(view, share, aspect):
    """The section to the left, beside `share` of the picture's width; smaller where it would not fit."""
    if share <= 0:
        return
    scale = view.CameraParallelScale * max(1, 1 / (1.35 * aspect * (1 - share)))
    shift = share * aspect * scale
    view.CameraParallelScale = scale
    view.CameraPosition = [view.CameraPosition[0] + shift] + list(view.CameraPosition)[1:]
    view.CameraFocalPoint = [view.CameraFocalPoint[0] + shift] + list(view.CameraFocalPoint)[1:]


def where(label):
    """What stands over the picture: "rotor angle 12.00 deg", "load angle -45 deg", "slip 0.2", "time 0.04 s"."""
    if label.startswith("mechanical rotor angle"):
        return "rotor angle {time:.2f} deg"
    if label.startswith("number"):
        return "field {time:.0f}, rotor stands"
    name, unit = re.fullmatch(r"(.*?)(?: \[(.*)\])?", label).groups()
    return name + " {time:.4g}" + (" " + unit if unit else "")


def colour_by_parts(pv, fields, time):
    """Names beside the numbers of the cell array "region"."""
    fields.UpdatePipeline(time)
    names = one_grid(pv.servermanager.Fetch(fields)).GetFieldData().GetAbstractArray("region_names")
    scale = pv.GetColorTransferFunction("region")
    scale.InterpretValuesAsCategories = 1
    pairs, colours = [], []
    kinds = []
    for k in range(names.GetNumberOfValues()):
        name = names.GetValue(k)
        kind = re.sub(r"\d+", "", name)  # parts of a kind share a colour
        if kind not in kinds:
            kinds.append(kind)
        hue = kinds.index(kind) * 0.61803398875 % 1
        pairs += [str(k), name]
        colours += [0.55 + 0.4 * abs(math.cos(math.pi * (hue + shift / 3))) for shift in range(3)]
    scale.Annotations = pairs
    scale.IndexedColors = colours


def main():
    asked = what_to_show()
    if asked.list:
        print("\n".join(STUDIES))
        return
    show(asked, folder_of_fields())


main()
