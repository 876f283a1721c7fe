"""Start-up time as ratios, all measured in one run on one machine: `python tests/benchmarks/run.py
[REPETITIONS]`.

What is measured is the wheel installed beside this Python, its modules compiled: never the checkout, never
compilation.

The yardstick is importing the libraries the program is built on. Every command is timed in turn, round after
round, so that a machine that slows down slows all of them. Run it where only the program's own dependencies
are installed: pint imports scipy and uncertainties where it finds them, which makes the yardstick longer and
the ratios look better than they are.
"""

from __future__ import annotations

import importlib.util
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "docs" / "flights" / "demo.yaml")
YARDSTICK = "import typer, rich, pydantic, pint, numpy"
COMMANDS = {
    "yardstick": ["-c", YARDSTICK],
    "bare python": ["-c", "pass"],
    "planner --help": ["-m", "planner", "--help"],
    "planner flight": ["-m", "planner", "flight", DEMO],
    "planner flight --json": ["-m", "planner", "flight", DEMO, "--json"],
}
GOALS = {"planner flight": 0.80, "planner --help": 0.35}


def once(arguments: list[str]) -> float:
    """Seconds of one whole process."""
    environment = {
        key: value
        for key, value in os.environ.items()
        if key not in ("PYTHONPATH", "PYTHONDONTWRITEBYTECODE")
    }
    start = time.perf_counter()
    # Away from the checkout: Python looks for modules where it stands.
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=tempfile.gettempdir(),
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    taken = time.perf_counter() - start
    if done.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(arguments)} ended with {done.returncode}:\n{done.stderr}")
    return taken


def main() -> None:
    where = importlib.util.find_spec("planner")
    if where is None or where.origin is None or ROOT in Path(where.origin).parents:
        raise SystemExit("install the wheel first: DEVELOPERS.md, Speed")
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    times: dict[str, list[float]] = {name: [] for name in COMMANDS}
    for arguments in COMMANDS.values():
        once(arguments)  # fills the disk cache and compiles
    for number in range(rounds):
        names = list(COMMANDS) if number % 2 else list(COMMANDS)[::-1]
        for name in names:
            times[name].append(once(COMMANDS[name]))
    installed = [name for name in ("scipy", "uncertainties") if importlib.util.find_spec(name)]
    extras = (
        f"{' and '.join(installed)} installed: the yardstick is too long"
        if installed
        else "scipy and uncertainties not installed"
    )
    lines = [
        (
            f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} processors, load"
            f" {os.getloadavg()[0]:.1f}"
        ),
        f"{rounds} rounds, interleaved; {extras}",
        f"{'':24}{'median':>10}{'least':>10}{'ratio of':>12}{'ratio of':>10}{'goal':>8}",
        f"{'':24}{'ms':>10}{'ms':>10}{'medians':>12}{'least':>10}",
    ]
    median, least = statistics.median(times["yardstick"]), min(times["yardstick"])
    for name, taken in times.items():
        middle, low = statistics.median(taken), min(taken)
        goal = f"{GOALS[name]:.2f}" if name in GOALS else ""
        lines.append(
            f"{name:24}{middle * 1e3:10.0f}{low * 1e3:10.0f}{middle / median:12.2f}"
            f"{low / least:10.2f}{goal:>8}"
        )
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
