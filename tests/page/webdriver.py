"""A headless Chromium driven through chromedriver: the few commands of W3C WebDriver that the page's tests need."""
import base64
import json
import os
import shutil
import socket
import subprocess
import time
import urllib.error
import urllib.request

CHROMIUM = ("chromium", "chromium-browser")
DRIVER = ("chromedriver", "/usr/lib/chromium/chromedriver")


def find(names):
    return next((path for path in map(shutil.which, names) if path), None)


def missing_tools():
    """What of browser and driver is not installed."""
    return [names[0] for names in (CHROMIUM, DRIVER) if find(names) is None]


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


class Browser:
    def __init__(self, width=1200, height=1000):
        port = free_port()
        self.process = subprocess.Popen([find(DRIVER), f"--port={port}", "--log-level=SEVERE"],
                                        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.root = f"http://127.0.0.1:{port}"
        try:
            self._wait_until_ready()
            self.root += "/session/" + self._open_session(width, height)
        except BaseException:
            self.process.kill()
            raise

    def _wait_until_ready(self):
        for _ in range(200):
            try:
                if self._call("GET", "/status")["ready"]:
                    return
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.1)
        raise RuntimeError("chromedriver does not answer")

    def _open_session(self, width, height):
        arguments = ["--headless=new", f"--window-size={width},{height}", "--force-device-scale-factor=1",
                     "--disable-dev-shm-usage", "--disable-gpu", "--no-first-run", "--disable-background-networking",
                     "--disable-component-update", "--hide-scrollbars"]
        if os.geteuid() == 0:
            arguments.append("--no-sandbox")  # Chromium's sandbox refuses to run as root
        wanted = {"browserName": "chrome",
                  "goog:chromeOptions": {"binary": find(CHROMIUM), "args": arguments},
                  "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"}}
        return self._call("POST", "/session", {"capabilities": {"alwaysMatch": wanted}})["sessionId"]

    def _call(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.root + path, data=data, method=method,
                                         headers={"Content-Type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise RuntimeError(error.read().decode()[:2000]) from None

    def open(self, path):
        self._call("POST", "/url", {"url": "file://" + os.path.abspath(path)})

    def run(self, script, *arguments):
        """The value that the function body `script` returns in the page."""
        return self._call("POST", "/execute/sync", {"script": script, "args": list(arguments)})

    def press(self, keys):
        """Keys to whatever has the focus."""
        actions = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        self._call("POST", "/actions", {"actions": [{"type": "key", "id": "keys", "actions": actions}]})

    def point(self, x, y):
        """The pointer to a place of the window, in CSS pixels."""
        move = [{"type": "pointerMove", "duration": 0, "x": int(x), "y": int(y)}]
        self._call("POST", "/actions", {"actions": [{"type": "pointer", "id": "mouse", "actions": move}]})

    def developer_tools(self, command, **parameters):
        return self._call("POST", "/goog/cdp/execute", {"cmd": command, "params": parameters})

    def scheme(self, name):
        """Light or dark, as a system's setting would say it."""
        self.developer_tools("Emulation.setEmulatedMedia",
                             features=[{"name": "prefers-color-scheme", "value": name}])

    def size(self, width, height):
        self.developer_tools("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1,
                             mobile=False)

    def complaints(self):
        """Messages of the console that are warnings or worse."""
        entries = self._call("POST", "/se/log", {"type": "browser"})
        return [e["message"] for e in entries if e["level"] in ("WARNING", "SEVERE")]

    def requests(self):
        """Addresses asked for since the last call, but for the page itself and data inside it."""
        found = []
        for entry in self._call("POST", "/se/log", {"type": "performance"}):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                found.append(message["params"]["request"]["url"])
        return [url for url in found if not url.startswith(("data:", "blob:"))]

    def screenshot(self, path):
        with open(path, "wb") as file:
            file.write(base64.b64decode(self._call("GET", "/screenshot")))

    def pdf(self):
        """The page printed to A4 with its own margins."""
        return base64.b64decode(self._call("POST", "/print", {"page": {"width": 21.0, "height": 29.7},
                                                              "background": True, "shrinkToFit": True}))

    def close(self):
        try:
            self._call("DELETE", "")
        finally:
            self.process.terminate()
            self.process.wait(timeout=20)
