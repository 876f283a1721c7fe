"""What a shell may complete: flight files and aircraft for FILE, keys of `--set` from the profile meant."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from planner.records.aircraft.record import Aircraft

_RECORDS: Final = (".yaml", ".yml")
_PLAIN: Final = ("category", "rules", "grade", "temperature", "fuel")


def files(incomplete: str) -> list[str]:
    """Flight files and folders beside what is typed so far, and ids of aircraft; nothing that can not be
    read.
    """
    from planner.records.store import profile_ids

    folder = incomplete.rpartition("/")[0]
    lead = f"{folder}/" if folder or incomplete.startswith("/") else ""
    try:
        beside = sorted(Path(lead or ".").iterdir())
    except OSError:
        beside = []
    found = [f"{lead}{path.name}/" for path in beside if path.is_dir() and not path.name.startswith(".")]
    found += [f"{lead}{each.name}" for each in beside if each.suffix in _RECORDS and _is_flight(each)]
    return [each for each in (*found, *profile_ids()) if each.startswith(incomplete)]


def _is_flight(path: Path) -> bool:
    """Whether its first lines begin a flight; cheap, as a folder may hold many files."""
    try:
        with path.open(encoding="utf-8", errors="replace") as lines:
            return any(line.startswith("flight:") for line, _ in zip(lines, range(80), strict=False))
    except OSError:
        return False


def keys(file: str, incomplete: str) -> list[str]:
    """Keys of `--set` for a flight file or an aircraft: its stations, seats, tanks and phases, each with its
    `=`; those every flight has where neither can be read.
    """
    aircraft = _aircraft(file)
    found = list(_PLAIN)
    if aircraft is not None:
        for name, station in aircraft.stations.items():
            found += [name, *(f"{name} {seat}" for seat in range(1, station.seats + 1) if station.seats > 1)]
        found += [f"fuel.{name}" for name in aircraft.tanks]
        found += list(aircraft.burn)
    return [f"{each}=" for each in found if f"{each}=".startswith(incomplete)]


def _aircraft(file: str) -> Aircraft | None:
    """The aircraft of a flight file, or by its id or profile."""
    from planner.quantities.errors import InputRefused
    from planner.records.document import read
    from planner.records.store import load_aircraft, load_flight_file

    if not file or file == "-":
        return None
    try:
        if Path(file).is_file() and "flight" in (read(file).value or {}):
            return load_flight_file(file)[1].record
        return load_aircraft(file).record
    except (InputRefused, OSError, TypeError):
        return None  # a shell is told nothing of it: the command itself will tell
