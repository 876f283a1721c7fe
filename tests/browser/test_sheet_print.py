"""Every demo flight's sheet, printed by a real browser on both papers: one page of the right size with
everything on it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from planner.quantities.units import Display, UnitSystem
from planner.records.store import load_flight_file
from planner.search.remedies.figures import METRIC
from planner.search.remedies.headroom import Headroom, Room
from planner.search.solve import Interval
from planner.search.varied import case_of
from planner.views.flight.flight_json import flight_json
from planner.views.paper import Paper
from planner.views.sheet.sheet import SIGNATURES, sheet_of, written
from planner.views.words import cautions
from tests.sizes import in_turn, stride

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = [
    path
    for path in sorted((ROOT / "docs/flights").glob("*.yaml"))
    if re.search(r"^flight: 1", path.read_text(encoding="utf-8"), re.MULTILINE)
]
# ISO 216 A4, and ANSI/ASME Y14.1 size A (8.5 x 11 in), in points of 1/72 in.
SIZES: dict[Paper, tuple[float, float]] = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}


def room_of(case: Any) -> Headroom | None:
    """A card as full as that aircraft's can get: every place and every tank has a line. Its figures do not
    matter here.
    """
    if case.plan.verdict != "inside":
        return None
    people = tuple(
        Room(what=item.name, kind="mass", now=item.mass, exact=Interval(0.0, 200.0), least=0.0, most=199.0)
        for item in case.plan.loading.items[1:]
    )
    fuel = tuple(
        Room(what=each.tank.name, kind="fuel", now=each.volume, exact=Interval(0.0, 0.1), least=0.0, most=0.1)
        for each in case.plan.fuel.tanks
    )
    assert METRIC.load > 0
    return Headroom(
        (Room(what="all tanks", kind="fuel", now=0.1, exact=Interval(0.0, 0.2), least=0.0, most=0.2), *fuel),
        people,
        (),
        (),
    )


def sheet_file(path: Path, folder: Path, paper: Paper, system: UnitSystem = "metric") -> tuple[Path, Any]:
    display = Display(system)
    case = case_of(*load_flight_file(path))
    made = folder / f"{path.stem}.html"
    made.write_bytes(written(sheet_of(case.plan, display, room_of(case)), ".html", paper)[0])
    return made, case.plan


def pages(pdf: bytes) -> tuple[int, tuple[float, float]]:
    """Count of pages and size of the first, from the objects of a PDF that Chromium writes uncompressed."""
    counted = len(re.findall(rb"/Type\s*/Page\b", pdf))
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", pdf)
    assert box is not None
    said = re.search(rb"/Count\s+(\d+)", pdf)
    assert said is not None
    assert int(said[1]) == counted
    return counted, (float(box[1]), float(box[2]))


@pytest.fixture(scope="module")
def shown(browser: Any) -> Iterator[Any]:
    """One page for every sheet: to open one takes as long as to print."""
    page = browser.page()
    yield page
    page.close()


def test_the_count_sees_a_second_page(shown: Any) -> None:
    shown.go("data:text/html,<p style='break-after:page'>one</p><p>two</p>")
    assert pages(shown.pdf())[0] == 2


PRINTED = ((("a4", "metric"), ("letter", "us")), (("a4", "us"), ("letter", "metric")))


@pytest.mark.parametrize(
    ("path", "printed"),
    in_turn(FLIGHTS[stride(2) - 1 :: stride(2)], PRINTED),
    ids=lambda each: getattr(each, "stem", ""),
)
def test_one_page(
    path: Path, printed: tuple[tuple[Paper, UnitSystem], ...], shown: Any, tmp_path: Path
) -> None:
    for paper, system in printed:
        made, plan = sheet_file(path, tmp_path, paper, system)
        shown.go(made.as_uri())
        count, size = pages(shown.pdf())
        assert count == 1, f"{path.stem} on {paper} in {system} units"
        assert size == pytest.approx(SIZES[paper], abs=1.0)
        text = shown.run("document.body.innerText")
        digest = flight_json(plan)["digest"]
        for each in (
            digest,
            plan.verdict.upper(),
            *cautions(plan),
            *plan.aircraft.drains,
            *SIGNATURES,
            "FINAL RESERVE",
        ):
            assert each in text


def test_a_long_sheet_is_still_one_page(shown: Any, tmp_path: Path) -> None:
    """Many stations, long names, many drain points: the type gets smaller, nothing is left out."""
    profile = (ROOT / "aircraft_profiles/thornlea-t4.yaml").read_text(encoding="utf-8")
    lockers = [f"locker {number} behind the main spar on the left side" for number in range(8)]
    lines = "".join(f"  {name}: {{kind: baggage, arm: 3.2 m, max: 20 kg}}\n" for name in lockers)
    profile = profile.replace("  shelf: {kind", f"{lines}  shelf: {{kind", 1)
    drains = ", ".join(f"drain {i} under the wing root fairing" for i in range(9))
    profile = profile.replace("[left tank sump, right tank sump, filter bowl]", f"[{drains}]")
    (tmp_path / "long.yaml").write_text(profile, encoding="utf-8")
    flight = (
        (ROOT / "docs/flights/demo.yaml")
        .read_text(encoding="utf-8")
        .replace("aircraft: thornlea-t4", "aircraft: ./long.yaml")
    )
    flight = flight.replace(
        "  baggage: 15 kg", "  baggage: 1 kg\n" + "\n".join(f"  {name}: 1 kg" for name in lockers)
    )
    path = tmp_path / "flight.yaml"
    path.write_text(flight, encoding="utf-8")
    for paper in SIZES:
        made, plan = sheet_file(path, tmp_path, paper)
        shown.go(made.as_uri())
        assert pages(shown.pdf())[0] == 1
        assert all(drain in shown.run("document.body.innerText") for drain in plan.aircraft.drains)
