"""What the program says of many flights, readings, ledgers and papers is what it said."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.net.cases import Case, cases
from tests.net.differing import differences
from tests.net.running import figure, house, plain, said
from tests.sizes import TIMES


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    with house() as made:
        yield made


@pytest.mark.parametrize(
    "case", [each for each in cases() if TIMES > 1 or not each.long], ids=lambda case: case.command
)
def test_it_says_what_it_said(case: Case, folder: Path) -> None:
    moved = case.moved(said(case.command, folder))
    assert not moved, moved


def test_a_figure_is_told_alike_whatever_its_last_digits() -> None:
    for value in (12.3456785, 0.45359237, 1e-3, 999.999995, -62.5, 1234567.25):
        near = {figure(value * (1 + hair)) for hair in (-4e-16, 0.0, 4e-16)}
        assert len(near) == 1, near
        assert near.pop() == pytest.approx(value, rel=6e-8)
    assert str(figure(-1e-13)) == "0.0"
    assert plain("  1.5000000000001 kg ━━\n of") == plain("1.5 kg\nof ")
    assert plain("1.5 kg") != plain("1.5001 kg")


def test_what_moved_is_told_by_part_and_figure() -> None:
    before: dict[str, Any] = {"exit": 0, "fuel": {"mass_kg": 80.0, "held": [1, 2]}, "words": "12.5 kg aboard"}
    case = Case("flight f", Case("flight f", {}, False).now(before), False)
    assert not case.moved(before)
    for key, value, part in (("fuel", {"mass_kg": 80.00001, "held": [1, 2]}, "fuel"), ("exit", 1, "rest")):
        assert f": all, {part}; " in case.moved(before | {key: value})
    after = {"exit": 0, "fuel": {"mass_kg": 81.0, "held": [1, 2]}, "words": "12.6 kg\n aboard"}
    assert list(differences(before, after)) == [
        "fuel.mass_kg: 80.0 becomes 81.0",
        "words: '12.5 kg aboard' becomes '12.6 kg /  aboard'",
    ]
    assert not list(differences(before, {**before, "words": "12.5000000001\nkg aboard"}))
