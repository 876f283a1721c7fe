"""Keys of JSON data and columns of a table, each told as one line."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import pytest

from planner.quantities.errors import Finding
from planner.quantities.units import Display, Quantity
from planner.views.blocks import Filled
from planner.views.columns import columns
from planner.views.keyed import keyed, plain

TANK = SimpleNamespace(
    name="left", volume=0.0725, u=0.0005, time=5400.0, reason="no stick", at=SimpleNamespace(arm=2.3)
)


def test_a_key_stands_in_the_order_told_and_in_its_unit() -> None:
    found = keyed(TANK, "name usable_l=volume min=time arm_m=at.arm")
    assert list(found.items()) == [("name", "left"), ("usable_l", 72.5), ("min", 90.0), ("arm_m", 2.3)]


def test_figures_are_told_where_the_unit_is_no_litre_and_no_minute() -> None:
    assert keyed(TANK, "volume_ml=volume*1e6") == {"volume_ml": pytest.approx(72500.0)}
    assert keyed(TANK, "expanded_uncertainty_l=u*k*1e3") == {"expanded_uncertainty_l": pytest.approx(1.0)}


def test_a_reason_in_place_of_a_figure_stays_a_reason() -> None:
    assert keyed(TANK, "dip_l=reason dip_min=reason dip_ml=reason*1e6") == dict.fromkeys(
        ("dip_l", "dip_min", "dip_ml"), "no stick"
    )


def test_what_is_worked_out_stands_at_its_key_or_last() -> None:
    found = keyed(TANK, "name kg usable_l=volume", kg=52.2, last=True)
    assert list(found.items()) == [("name", "left"), ("kg", 52.2), ("usable_l", 72.5), ("last", True)]


def test_a_key_without_a_figure_is_no_guess() -> None:
    with pytest.raises(AttributeError, match="mass"):
        keyed(TANK, "name mass_kg=mass")


def test_everything_is_made_plain() -> None:
    stick = Quantity(0.115, 0.001, "length", "11.5 cm")
    assert plain({"on": date(2026, 6, 1), "held": (1, None, True)}) == {
        "on": "2026-06-01",
        "held": [1, None, True],
    }
    assert plain(stick) == {"si": 0.115, "u": 0.001, "dimension": "length", "text": "11.5 cm"}
    finding = Finding("key-unknown", "message", "needed another")
    assert plain((finding,)) == [finding.as_json()]


def test_columns_are_told_in_one_line() -> None:
    words, figures, unit, verdict = columns("tank: words | dip\nnow | time [min] | verdict: beside")
    assert (words.header, words.figures, words.beside) == ("tank", False, False)
    assert (figures.head, figures.figures) == (["dip", "now"], True)
    assert unit.head == ["time", "min"]
    assert (verdict.figures, verdict.beside) == (False, True)


@pytest.mark.parametrize(
    ("told", "cell", "unit"),
    [("mass: mass", "72.5", "kg"), ("mass: mass.1", "72.50", "kg"), ("mass: +mass", "+72.5", "kg")],
)
def test_a_quantity_is_shown_in_its_columns_unit(told: str, cell: str, unit: str) -> None:
    table = Filled(Display(), told)
    table.add(72.5)
    made = table.made()
    assert (made.rows[0].cells, made.columns[0].unit) == ([cell], unit)
