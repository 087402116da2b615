#!/usr/bin/env python3
"""The report page in a headless Chromium: silent, without network, its moving field in step and equal to the stored
solution, readable in light, dark and grey, by keyboard and on paper.
usage: page_test.py RUN_DIRECTORY [name of a test…]       RUN_DIRECTORY holds report.html and field/ of one run"""
import array
import base64
import glob
import json
import math
import os
import re
import subprocess
import sys
import tempfile
import time
import unittest

import vtu
from webdriver import Browser, missing_tools

directory = ""
SKIPPED = 77


def scenes(page):
    text = re.search(r'id="scenes-data">(.*?)</script>', page, re.S).group(1)
    return json.loads(text)


class Page(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.path = os.path.join(directory, "report.html")
        with open(cls.path, encoding="utf-8") as file:
            cls.text = file.read()
        cls.browser = Browser()

    @classmethod
    def tearDownClass(cls):
        cls.browser.close()

    def setUp(self):
        self.browser.size(1200, 1000)
        self.browser.scheme("light")
        self.browser.open(self.path)
        self.browser.complaints(), self.browser.requests()

    # ---- what a browser says

    def test_silent_and_without_network(self):
        for scheme in ("light", "dark"):
            self.browser.scheme(scheme)
            self.browser.open(self.path)
            self.browser.run("document.querySelector('.controls button').click()")
            self.browser.run("document.querySelector('.controls button').click()")
            self.assertEqual(self.browser.complaints(), [])
            asked = [url for url in self.browser.requests() if url != "file://" + os.path.abspath(self.path)]
            self.assertEqual(asked, [])

    def test_markup_is_valid(self):
        found = subprocess.run(["tidy", "-quiet", "-errors", "-utf8", "--drop-empty-elements", "no", self.path],
                               capture_output=True, text=True, check=False)
        # Words that this version of tidy does not know although the HTML standard has them.
        known = re.compile(r"proprietary attribute|is not recognized|trimming empty|<svg>|SVG")
        faults = [line for line in found.stderr.splitlines() if line.startswith("line ") and not known.search(line)]
        self.assertEqual(faults, [])
        pictures = re.findall(r"<svg role.*?</svg>", self.text, re.S)
        self.assertGreater(len(pictures), 3)
        for picture in pictures:
            subprocess.run(["xmllint", "--noout", "-"], input=picture.encode(), check=True)
        for path in glob.glob(os.path.join(directory, "*.svg")):
            subprocess.run(["xmllint", "--noout", path], check=True)

    # ---- the moving field

    CANVASES = ("scene-field", "scene-vectors", "scene-curve")

    def pictures(self):
        return [self.browser.run("return document.getElementById(arguments[0]).toDataURL()", name)
                for name in self.CANVASES]

    def test_slider_moves_field_vectors_and_curve_together(self):
        for index, scene in enumerate(scenes(self.text)["scenes"]):
            self.browser.run("const s = document.getElementById('scene-choice'); s.value = arguments[0];"
                             "s.dispatchEvent(new Event('change'))", index)
            count = len(scene["frames"])
            self.assertGreaterEqual(count, 5, scene["study"])
            seen = [set() for _ in self.CANVASES]
            chosen = range(min(6, count))  # neighbours: half a period on, |B| and lines are the same again
            for k in chosen:
                self.browser.run("const s = document.getElementById('scene-frame'); s.value = arguments[0];"
                                 "s.dispatchEvent(new Event('input'))", k)
                for known, picture in zip(seen, self.pictures()):
                    known.add(picture)
                said = self.browser.run("return document.querySelector('.controls output').textContent")
                x = float(re.search(r"([−\d.e-]+)", said[len(scene["x"]["name"]):]).group(1).replace("−", "-"))
                self.assertAlmostEqual(x, scene["frames"][k]["x"], delta=5.1e-4 * abs(x))
            still = max(math.hypot(*f["stator"]) for f in scene["frames"]) == 0
            self.assertEqual(len(seen[0]), len(chosen), scene["study"] + ": the field's picture stands still")
            self.assertEqual(len(seen[2]), len(chosen), scene["study"] + ": the point on the curve stands still")
            if not still and scene["x"]["name"] != "rotor_angle":
                self.assertEqual(len(seen[1]), len(chosen), scene["study"] + ": the vectors stand still")

    def test_play_and_pause(self):
        said = "return document.querySelector('.controls output').textContent"
        click = "document.querySelector('.controls button').click()"
        first = self.browser.run(said)
        self.browser.run(click)
        end = time.monotonic() + 30
        moved = first
        while moved == first and time.monotonic() < end:
            moved = self.browser.run(said)
        self.assertNotEqual(moved, first)
        self.browser.run(click)
        held = self.browser.run(said)
        self.browser.run("const end = Date.now() + 500; while (Date.now() < end);")
        self.assertEqual(self.browser.run(said), held)

    def test_potential_equals_the_stored_solution(self):
        """Against the field files, which hold A in single precision: nodes of the whole section, both sides turned."""
        data = scenes(self.text)
        checked, (inner, outer) = 0, gap_radii(data)
        for index, scene in enumerate(data["scenes"]):
            files = sorted(glob.glob(os.path.join(directory, "field", scene["study"] + "_*.vtu")))
            self.assertEqual(len(files), len(scene["frames"]))
            for k in (0, len(files) // 3, len(files) - 1):
                arrays = vtu.read_arrays(files[k], ("Points", "A_z"))
                points, a = arrays["Points"], arrays["A_z"]
                # Between the meshes the files hold the gap's harmonics, which the page does not.
                own = [i for i in range(0, len(a), 7)
                       if not inner * (1 - 1e-5) < math.hypot(points[3 * i], points[3 * i + 1]) < outer * (1 + 1e-5)]
                probes = own[::max(1, len(own) // 20)][:20]
                self.browser.run("movingField.choose(arguments[0]); movingField.show(arguments[1])", index, k)
                scale = self.browser.run("return movingField.step()")
                found = self.browser.run("return arguments[0].map(([x, y]) => movingField.probe(x, y).A)",
                                         [[points[3 * i], points[3 * i + 1]] for i in probes])
                for i, value in zip(probes, found):
                    # Half a step of the 16 bits; coordinates are single precision: 1e-7 of the radius, at some 2 T.
                    self.assertAlmostEqual(value, a[i], delta=0.5 * scale + 2e-7 * outer)
                    checked += 1
        self.assertEqual(checked, 60 * len(data["scenes"]))

    def test_sixty_fields_stay_under_fifteen_megabytes(self):
        """A field takes 16 bits a node in base64, and a record; with 40,000 nodes of a sector, more than the finest of
        the ready cases have, sixty of them and all else stay under 15 MB."""
        data = scenes(self.text)
        nodes = len(base64.b64decode(data["nodes"])) / 8  # two floats
        every = [len(json.dumps(frame)) for scene in data["scenes"] for frame in scene["frames"]]
        self.assertLess(max(every), 2 * 4 / 3 * nodes + 500)
        rest = len(self.text) - sum(every)
        self.assertLess(rest + 60 * (2 * 4 / 3 * 40000 + 500), 15e6)

    def test_a_point_is_read_by_pointer_and_keys(self):
        box = self.browser.run("const e = document.getElementById('scene-field'); e.scrollIntoView();"
                               "const b = e.getBoundingClientRect(); return [b.left, b.top, b.width, b.height]")
        said = "return document.querySelector('.said').textContent"
        words = r".+ \(.+\): +B \S+ T, +H \S+ A/m, +μr \S+, +A \S+ mWb/m"
        self.browser.point(box[0] + 0.1 * box[2], box[1] + 0.5 * box[3])
        self.assertRegex(self.browser.run(said), words)
        self.browser.run("document.getElementById('scene-field').focus()")
        before = self.browser.run(said)
        self.browser.press(["\ue012"])  # arrow to the left
        after = self.browser.run(said)
        self.assertRegex(after, words)
        self.assertNotEqual(before, after)

    # ---- charts

    def test_charts_read_zoom_and_save(self):
        count = self.browser.run("return document.querySelectorAll('figure.chart .plot').length")
        self.assertGreater(count, 0)
        self.browser.run("document.querySelector('figure.chart .plot').focus()")
        self.browser.press(["\ue014", "\ue014"])  # arrow to the right
        read = self.browser.run("return document.querySelector('figure.chart .read').textContent")
        curve = json.loads(re.search(r'id="curves">(.*?)</script>', self.text, re.S).group(1))
        shown = self.browser.run("return document.querySelector('figure.chart').dataset.chart")
        values = next(c for c in curve if c["id"] == shown)["panels"][0]["lines"][0]["values"]
        number = float(re.search(r" (-?\d\S*?)(?:[ ,]|$)", read.split(":", 1)[1].strip().partition(",")[0]).group(1))
        self.assertAlmostEqual(number, values[1], delta=1e-4 * max(1e-9, abs(values[1])))
        axis = "return document.querySelector('figure.chart .plot').textContent"
        whole = self.browser.run(axis)
        self.browser.press(["+"])
        self.assertNotEqual(self.browser.run(axis), whole)
        self.browser.press(["\ue00c"])  # Escape
        self.assertEqual(self.browser.run(axis), whole)

    def test_csv_holds_the_chart(self):
        saved = self.browser.run(
            "const made = []; URL.createObjectURL = blob => { made.push(blob); return '#'; };"
            "HTMLAnchorElement.prototype.click = function() { made.push(this.download); };"
            "[...document.querySelectorAll('figure.chart button')].find(b => b.textContent === 'CSV').click();"
            "return made[0].text().then(text => [made[1], text])")
        name, text = saved
        self.assertRegex(name, r"^[\w.-]+\.csv$")
        rows = [line.split(",") for line in text.strip().split("\n")]
        self.assertGreater(len(rows), 3)
        self.assertEqual({len(row) for row in rows}, {len(rows[0])})
        for row in rows[1:]:
            [float(cell) for cell in row if cell]

    # ---- readable

    def test_contrast_of_text(self):
        """WCAG 2.1, 1.4.3: 4.5 to 1, of every text that stands in the page's own elements."""
        with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "contrast.js"), encoding="utf-8") as file:
            script = file.read()
        for scheme in ("light", "dark"):
            self.browser.scheme(scheme)
            self.browser.open(self.path)
            result = self.browser.run(script)
            self.assertGreater(result["texts"], 200)
            self.assertEqual(result["faults"], [], scheme)

    def test_pictures_have_words(self):
        dumb = self.browser.run(
            "return [...document.querySelectorAll('img, svg, canvas, [role=img]')].filter(e => !e.closest('[aria-hidden], .plot div')"
            " && !(e.closest('.plot') && !e.classList.contains('plot'))"
            " && !(e.alt || e.getAttribute('aria-label') || document.getElementById(e.getAttribute('aria-labelledby')))).map(e => e.outerHTML.slice(0, 120))")
        self.assertEqual(dumb, [])
        self.assertEqual(self.browser.run("return document.documentElement.lang"), "en")

    def test_everything_is_reached_by_keyboard(self):
        wanted = self.browser.run(
            "document.activeElement.blur();"
            "return [...document.querySelectorAll('a[href], button, select, input, summary, .plot, #scene-field')]"
            ".filter(e => e.getClientRects().length).length")
        seen, ring = set(), 0
        for _ in range(wanted + 5):
            self.browser.press(["\ue004"])  # Tab
            at = self.browser.run(
                "const e = document.activeElement; if (e === document.body) return null;"
                "const all = [...document.querySelectorAll('*')]; const s = getComputedStyle(e);"
                "return [all.indexOf(e), parseFloat(s.outlineWidth) > 0 && s.outlineStyle !== 'none']")
            if at is None or at[0] in seen:
                continue
            seen.add(at[0])
            ring += at[1]
        self.assertGreaterEqual(len(seen), wanted)
        self.assertEqual(ring, len(seen), "something in focus shows no ring")

    def test_fits_narrow_and_wide_windows(self):
        for width in (390, 800, 1600):
            self.browser.size(width, 900)
            self.browser.open(self.path)
            over = self.browser.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
            self.assertLessEqual(over, 0, f"{width} pixels wide")

    def test_prints_to_a4(self):
        for scheme in ("light", "dark"):
            self.browser.scheme(scheme)
            self.browser.open(self.path)
            pdf = self.browser.pdf()
            with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
                file.write(pdf)
                file.flush()
                info = subprocess.run(["pdfinfo", file.name], capture_output=True, text=True, check=True).stdout
                text = subprocess.run(["pdftotext", "-layout", file.name, "-"], capture_output=True, text=True,
                                      check=True).stdout
            width, height = map(float, re.search(r"Page size: +([\d.]+) x ([\d.]+)", info).groups())
            self.assertAlmostEqual(width, 595.3, delta=1.5)  # ISO 216: A4 is 210 mm x 297 mm
            self.assertAlmostEqual(height, 841.9, delta=1.5)
            self.assertLess(int(re.search(r"Pages: +(\d+)", info).group(1)), 40)
            for words in ("Key results", "Cautions", "Run it again", "[rating]"):
                self.assertIn(words, text)


def gap_radii(data):
    """Radii of the gap circles of rotor and stator [m]."""
    nodes = array.array("f")
    nodes.frombytes(base64.b64decode(data["nodes"]))
    return [math.hypot(nodes[2 * i], nodes[2 * i + 1]) for i in (data["gap"]["rotor"][0], data["gap"]["stator"][0])]


if __name__ == "__main__":
    if missing_tools():
        print("not installed:", ", ".join(missing_tools()))
        sys.exit(SKIPPED)
    directory = sys.argv.pop(1)
    unittest.main(verbosity=2)
