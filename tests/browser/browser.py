"""A real headless Chromium, spoken to in its own protocol through a pipe: no driver, no network, nothing
downloaded.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import select
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

BINARIES = ("chromium", "chromium-browser", "google-chrome")
QUIET = (
    *(
        "--headless",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
    ),
    *(
        "--disable-sync",
        "--disable-default-apps",
        "--disable-extensions",
        "--mute-audio",
        "--hide-scrollbars",
        "--force-color-profile=srgb",
    ),
)


def binary() -> str | None:
    """The browser of this machine, or None."""
    return next((found for name in BINARIES if (found := shutil.which(name))), None)


# The protocol's two ends are the descriptors 3 and 4, whatever numbers the pipes have here.
LAUNCH = """import fcntl, os, sys
ends = [fcntl.fcntl(int(each), fcntl.F_DUPFD, 50) for each in sys.argv[1:3]]
os.dup2(ends[0], 3)
os.dup2(ends[1], 4)
os.execvp(sys.argv[3], sys.argv[3:])"""


class Browser:
    """One browser process with a new empty profile. Use it as a context."""

    def __init__(self, *flags: str) -> None:
        program = binary()
        assert program is not None, "no Chromium on this machine: apt-get install chromium"
        self.profile = tempfile.mkdtemp(prefix="board-browser-")
        to_browser, self.write_end = os.pipe()
        self.read_end, from_browser = os.pipe()
        root = (
            ("--no-sandbox",) if os.name == "posix" and os.geteuid() == 0 else ()
        )  # its sandbox refuses to run as root

        own = (*QUIET, *root, "--remote-debugging-pipe", f"--user-data-dir={self.profile}")
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                LAUNCH,
                str(to_browser),
                str(from_browser),
                program,
                *own,
                *flags,
                "about:blank",
            ],
            pass_fds=(to_browser, from_browser),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_browser)
        os.close(from_browser)
        self.number = 0
        self.silent = False  # once it did not answer, nobody waits for it again
        self.rest = b""
        self.events: list[dict[str, Any]] = []

    def __enter__(self) -> Browser:
        return self

    def __exit__(self, *_: object) -> None:
        with contextlib.suppress(OSError, TimeoutError, EOFError, AssertionError):
            self.call("Browser.close", patience=5)
        os.close(self.write_end)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait(10)
        os.close(self.read_end)
        shutil.rmtree(self.profile, ignore_errors=True)

    def call(
        self, method: str, params: dict[str, Any] | None = None, session: str = "", patience: float = 120
    ) -> dict[str, Any]:
        """Ask and wait for the answer; events that come meanwhile are kept in order."""
        assert not self.silent, "the browser stopped answering in an earlier test"
        self.number += 1
        message: dict[str, Any] = {"id": self.number, "method": method, "params": params or {}}
        if session:
            message["sessionId"] = session
        os.write(self.write_end, json.dumps(message).encode() + b"\0")
        until = time.monotonic() + patience
        while True:
            answer = self._next(until)
            if answer.get("id") == self.number:
                assert "error" not in answer, f"{method}: {answer['error']}"
                result: dict[str, Any] = answer["result"]
                return result
            self.events.append(answer)

    def _next(self, until: float) -> dict[str, Any]:
        while b"\0" not in self.rest:
            if not select.select([self.read_end], [], [], max(until - time.monotonic(), 0))[0]:
                self.silent = True
                raise TimeoutError("the browser does not answer")
            chunk = os.read(self.read_end, 1 << 16)
            if not chunk:
                raise EOFError("the browser has gone")
            self.rest += chunk
        line, self.rest = self.rest.split(b"\0", 1)
        found: dict[str, Any] = json.loads(line)
        return found

    def page(self, wide: int = 1280, high: int = 900) -> Page:
        """A new page of that size, watched from its first moment."""
        target = self.call("Target.createTarget", {"url": "about:blank"})["targetId"]
        session = self.call("Target.attachToTarget", {"targetId": target, "flatten": True})["sessionId"]
        page = Page(self, session, target)
        for domain in ("Page", "Runtime", "Log", "Network"):
            page.call(f"{domain}.enable")
        page.size(wide, high)
        return page


class Page:
    """A page: what a user does to it, and what it did."""

    def __init__(self, browser: Browser, session: str, target: str) -> None:
        self.browser, self.session, self.target = browser, session, target

    def call(self, method: str, params: dict[str, Any] | None = None) -> dict[str, Any]:
        return self.browser.call(method, params, self.session)

    def close(self) -> None:
        self.browser.call("Target.closeTarget", {"targetId": self.target})

    def size(self, wide: int, high: int) -> None:
        """The window's size in CSS pixels."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": False},
        )

    def media(self, kind: str = "", dark: bool = False) -> None:
        """Print or screen, light or dark."""
        self.call(
            "Emulation.setEmulatedMedia",
            {
                "media": kind,
                "features": [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}],
            },
        )

    def go(self, address: str) -> None:
        self.call("Page.navigate", {"url": address})
        self.wait("document.readyState === 'complete' && location.href !== 'about:blank'")

    def run(self, script: str) -> Any:
        """The value of a script, a promise awaited; an exception in it fails the test."""
        answer = self.call(
            "Runtime.evaluate",
            {"expression": script, "returnByValue": True, "awaitPromise": True, "userGesture": True},
        )
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def wait(self, script: str, patience: float = 60) -> None:
        """Until the script is true."""
        until = time.monotonic() + patience
        while not self.run(f"(() => {{ try {{ return Boolean({script}); }} catch {{ return false; }} }})()"):
            assert time.monotonic() < until, f"never true: {script}"
            time.sleep(0.01)

    def key(self, name: str, code: int, text: str = "") -> None:
        """A key pressed and let go, as from the keyboard."""
        for kind in ("keyDown", "keyUp"):
            params = {"type": kind, "key": name, "code": name, "windowsVirtualKeyCode": code}
            self.call(
                "Input.dispatchKeyEvent", {**params, "text": text} if text and kind == "keyDown" else params
            )

    def drag(self, start: tuple[float, float], end: tuple[float, float], steps: int = 12) -> None:
        """The mouse pressed, moved and let go."""
        x, y = start
        self.call(
            "Input.dispatchMouseEvent",
            {"type": "mousePressed", "x": x, "y": y, "button": "left", "clickCount": 1},
        )
        for i in range(1, steps + 1):
            at = {"x": x + (end[0] - x) * i / steps, "y": y + (end[1] - y) * i / steps}
            self.call("Input.dispatchMouseEvent", {"type": "mouseMoved", **at, "button": "left"})
        self.call(
            "Input.dispatchMouseEvent",
            {"type": "mouseReleased", "x": end[0], "y": end[1], "button": "left", "clickCount": 1},
        )

    def picture(self, path: Path, whole: bool = True) -> None:
        data = self.call("Page.captureScreenshot", {"captureBeyondViewport": whole})["data"]
        path.write_bytes(base64.b64decode(data))

    def pdf(self) -> bytes:
        """Printed as the page itself asks, its own paper size."""
        return base64.b64decode(
            self.call("Page.printToPDF", {"preferCSSPageSize": True, "printBackground": False})["data"]
        )

    def of(self, method: str) -> list[dict[str, Any]]:
        """The parameters of every event of that name so far on this page."""
        return [
            event["params"]
            for event in self.browser.events
            if event.get("method") == method and event.get("sessionId") == self.session
        ]

    def complaints(self) -> list[str]:
        """What the console would show in red or yellow: exceptions, errors, warnings, refused loads."""
        thrown = [json.dumps(each["exceptionDetails"]) for each in self.of("Runtime.exceptionThrown")]
        spoken = [
            json.dumps(each["args"])
            for each in self.of("Runtime.consoleAPICalled")
            if each["type"] in ("error", "warning", "assert")
        ]
        logged = [
            each["entry"]["text"]
            for each in self.of("Log.entryAdded")
            if each["entry"]["level"] in ("error", "warning")
        ]
        failed = [json.dumps(each) for each in self.of("Network.loadingFailed")]
        return thrown + spoken + logged + failed

    def requested(self) -> list[str]:
        """Every address the page asked for, also where nothing came of it."""
        return [each["request"]["url"] for each in self.of("Network.requestWillBeSent")]
