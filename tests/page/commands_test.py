#!/usr/bin/env python3
"""polepitch animate and compare from the command line: pictures read by Pillow, the page in a headless Chromium.
usage: commands_test.py PROGRAM RUN1 RUN2     runs of two different machines"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

from webdriver import Browser, missing_tools

program, runs = "", []
here = os.path.dirname(os.path.abspath(__file__))
SKIPPED = 77


def call(*arguments, cwd):
    return subprocess.run([program, *arguments], cwd=cwd, capture_output=True, text=True, check=False)


class Commands(unittest.TestCase):
    def setUp(self):
        self.place = tempfile.TemporaryDirectory()
        self.addCleanup(self.place.cleanup)

    def animate(self, *arguments):
        return call("animate", os.path.join(here, "generator.toml"), "--study", "rotating-field", "--frames", "6",
                    "--size", "400x240", "--jobs", "1", *arguments, cwd=self.place.name)

    def test_gif(self):
        from PIL import Image
        done = self.animate("--pause", "150", "-o", "turning.gif")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("turning.gif: 6 frames of rotating-field, supply_phase from 0 to 300 deg", done.stdout)
        with Image.open(os.path.join(self.place.name, "turning.gif")) as gif:
            self.assertEqual((gif.size, gif.n_frames, gif.info["loop"], gif.info["duration"]), ((400, 240), 6, 0, 150))
            frames = []
            for k in range(6):
                gif.seek(k)
                frames.append(gif.convert("RGB").copy())
        self.assertEqual(len({frame.tobytes() for frame in frames}), 6)
        for frame in frames:  # white paper, and the colours of the bands of |B|
            self.assertEqual(frame.getpixel((1, 238)), (255, 255, 255))
            self.assertGreater(len(frame.getcolors(100000)), 20)

    def test_numbered_pictures(self):
        from PIL import Image
        folder = os.path.join(self.place.name, "slides")
        os.mkdir(folder)
        open(os.path.join(folder, "frame_099.png"), "w", encoding="ascii").close()  # of a former, longer series
        done = self.animate("--png", "-o", "slides", "--json")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual(json.loads(done.stdout)["frames"], 6)
        self.assertEqual(sorted(os.listdir(folder)), [f"frame_{k:03}.png" for k in range(6)])
        for name in os.listdir(folder):
            with Image.open(os.path.join(folder, name)) as picture:
                self.assertEqual(picture.size, (400, 240))

    def test_what_cannot_be_animated_is_told(self):
        for arguments, code, words in (
                (["--size", "40x30"], 2, "no size"), (["-o", "film.mp4"], 2, "does not end in .gif"),
                (["--frames", "1"], 2, "2 to 240")):
            done = self.animate(*arguments)
            self.assertEqual(done.returncode, code)
            self.assertIn(words, done.stderr)
        done = call("animate", os.path.join(here, "motor.toml"), "--study", "slipp", cwd=self.place.name)
        self.assertEqual(done.returncode, 2)
        self.assertIn('did you mean "slip"?', done.stderr)
        self.assertEqual(os.listdir(self.place.name), [])

    def test_compare_different_machines(self):
        done = call("compare", *runs, "-o", "both.html", "--charts", cwd=self.place.name)
        self.assertEqual(done.returncode, 0, done.stderr)
        for words in ("generator", "motor", "load-angle", "slip", "winding_factor", "the page is both.html"):
            self.assertIn(words, done.stdout)
        self.look(os.path.join(self.place.name, "both.html"))

    def test_compare_a_run_with_itself(self):
        copy = os.path.join(self.place.name, "copy")
        shutil.copytree(runs[0], copy)
        done = call("compare", runs[0], copy, "--json", cwd=self.place.name)
        self.assertEqual(done.returncode, 0, done.stderr)
        for row in json.loads(done.stdout)["quantities"]:
            self.assertEqual([v["value"] for v in row["values"]], [row["values"][0]["value"]] * 2)
            self.assertEqual(row["values"][1]["verdict"], "within errors")
        charts = self.look(os.path.join(self.place.name, "comparison.html"))
        self.assertGreater(charts, 4)

    def look(self, path):
        with open(os.path.join(here, "contrast.js"), encoding="utf-8") as file:
            contrast = file.read()
        found = subprocess.run(["tidy", "-quiet", "-errors", "-utf8", path], capture_output=True, text=True, check=False)
        self.assertFalse(re.search("Error:", found.stderr), found.stderr)
        browser = Browser()
        try:
            for scheme in ("light", "dark"):
                browser.scheme(scheme)
                browser.open(path)
                self.assertEqual(browser.complaints(), [])
                self.assertEqual([u for u in browser.requests() if u != "file://" + path], [])
                self.assertEqual(browser.run(contrast)["faults"], [])
            return browser.run("return document.querySelectorAll('.plot canvas').length / 2")
        finally:
            browser.close()


if __name__ == "__main__":
    if missing_tools():
        print("not installed:", ", ".join(missing_tools()))
        sys.exit(SKIPPED)
    program, runs = os.path.abspath(sys.argv[1]), [os.path.abspath(r) for r in sys.argv[2:4]]
    del sys.argv[1:4]
    unittest.main(verbosity=2)
