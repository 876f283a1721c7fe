"""`planner board` as it is started and stopped from a terminal."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "docs/flights/demo.yaml")


@contextmanager
def start(*arguments: str, before: str = "") -> Iterator[subprocess.Popen[str]]:
    """The command in a process of its own, which never outlives its test."""
    code = (
        f"{before}\nimport sys\nsys.argv = ['planner', 'board', *{list(arguments)!r}]\nfrom planner.__main__"
        " import main\nmain()"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    process = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=environment,
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def line_of(process: subprocess.Popen[str]) -> str:
    """The next line it prints; where it has ended instead, what it complained of fails the test."""
    assert process.stdout is not None
    assert process.stderr is not None
    line = process.stdout.readline()
    assert line, process.stderr.read()
    return line


def finished(*arguments: str, before: str = "") -> tuple[int, str, str]:
    with start(*arguments, before=before) as process:
        out, err = process.communicate(timeout=60)
        return process.returncode, out, err


def test_check_shows_that_it_works_here() -> None:
    code, out, err = finished(DEMO, "--check")
    assert (code, err) == (0, "")
    assert "the plan is inside" in out
    code, out, err = finished(DEMO, "--check", "--json")
    assert (code, err) == (0, "")
    told = json.loads(out)
    assert told["works"] is True
    assert told["schema"] == "planner/board/1"


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "terminate"])
def test_it_serves_until_it_is_stopped(sign: signal.Signals) -> None:
    with start(DEMO, "--json") as process:
        text = ""
        while not text.rstrip().endswith("}"):
            text += line_of(process)
        url = json.loads(text)["url"]
        assert url.startswith("http://127.0.0.1:")
        opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        with opener.open(url, timeout=10) as answer:
            page = answer.read().decode()
        assert "Thornlea T4" in page
        assert "Never fly with them" in page, "the cautions are in the page itself"
        process.send_signal(sign)
        _, err = process.communicate(timeout=20)
        assert "Traceback" not in err
        assert process.returncode == (0 if sign == signal.SIGINT else -signal.SIGTERM)
    with pytest.raises(OSError, match=r"refused|111"):
        opener.open(url, timeout=5)


def test_two_boards_have_ports_and_secrets_of_their_own() -> None:
    with start(DEMO) as one, start(DEMO) as other:
        addresses = []
        for process in (one, other):
            line_of(process)
            addresses.append(line_of(process).strip())
        assert len({address.split("/")[2] for address in addresses}) == 2
        assert len({address.split("/")[3] for address in addresses}) == 2
        assert all(len(address.split("/")[3]) >= 32 for address in addresses), "24 random bytes, as text"
        for process in (one, other):
            process.send_signal(signal.SIGINT)
            process.communicate(timeout=20)


def test_the_secret_is_not_on_the_browsers_command_line(tmp_path: Path) -> None:
    """What the browser is told to open is a file that leads to the page and goes when the board stops."""
    note = tmp_path / "opened"
    before = (
        "import pathlib, webbrowser\n"
        f"note = pathlib.Path({str(note)!r})\n"
        "def opened(url):\n"
        "    text = pathlib.Path(url.removeprefix('file://')).read_text()\n"
        "    note.with_suffix('.part').write_text(url + '\\n' + text)\n"
        "    note.with_suffix('.part').rename(note)\n"
        "webbrowser.open = opened"
    )
    with start(DEMO, "--open", before=before) as process:
        line_of(process)
        address = line_of(process).strip()
        until = time.monotonic() + 20
        while not note.exists():
            assert time.monotonic() < until
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=20)
    url, page = note.read_text(encoding="utf-8").split("\n", 1)
    assert address.split("/")[3] not in url
    assert f"url={address}" in page
    assert not Path(url.removeprefix("file://")).exists()


def test_a_port_that_is_taken_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        code, _, err = finished(DEMO, "--port", str(taken.getsockname()[1]))
    assert code == 2
    assert "cannot be used" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("module", ["uvicorn", "starlette"])
def test_without_its_server_the_way_to_it_is_told(module: str) -> None:
    code, _, err = finished(DEMO, before=f"import sys; sys.modules['{module}'] = None")
    assert code == 2
    assert "pip install 'starlette" in err
    assert "Traceback" not in err


def test_a_flight_of_several_legs_is_refused() -> None:
    code, _, err = finished(str(ROOT / "docs/flights/three-legs.yaml"))
    assert code == 2
    assert "legs" in err


def test_a_bad_flight_is_told_before_anything_is_served(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text("flight: 1\naircraft: nothing\n", encoding="utf-8")
    code, out, err = finished(str(path))
    assert (code, out) == (2, "")
    assert "bad.yaml:" in err


def test_the_rest_of_the_program_does_not_need_the_extras() -> None:
    """A plain install has neither: help, plan and sheet in HTML work."""
    before = "import sys; sys.modules.update(dict.fromkeys(['uvicorn', 'starlette', 'typst']))"
    for arguments in (["--help"], ["flight", DEMO], ["sheet", DEMO, "-", "--help"]):
        code = f"{before}\nsys.argv = ['planner', *{arguments!r}]\nfrom planner.__main__ import main\nmain()"
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            check=False,
        )
        assert done.returncode == 0, done.stderr
