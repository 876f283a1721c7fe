"""Sentences that carry quantities: one wording, three systems of units, and no power of ten."""

from __future__ import annotations

import copy
import json
import pickle

import pytest

from planner.quantities.errors import Finding, OutOfRange
from planner.quantities.sentences import (
    Figure,
    Sentence,
    finding_line,
    finding_words,
    fixed,
    joined,
    percent,
    said,
    say,
)
from planner.quantities.units import IMPERIAL_GALLON, INCH, POUND, US_GALLON, Display, UnitSystem

METRIC, US, UK = Display("metric"), Display("us"), Display("uk")


@pytest.mark.parametrize(
    ("figure", "metric", "us", "uk"),
    [
        # Each figure is a whole number of the unit it is made of, so the expected text needs no arithmetic of
        # ours.
        (Figure(10 * US_GALLON, "volume"), "37.9 L", "10.0 USgal", "8.3 impgal"),
        (Figure(10 * IMPERIAL_GALLON, "volume", trim=True), "45.5 L", "12 USgal", "10 impgal"),
        (Figure(200 * POUND, "mass"), "90.7 kg", "200.0 lb", "200.0 lb"),
        (Figure(2 * INCH, "length", span=True), "50.8 mm", "2.00 in", "2.00 in"),
        (Figure(2 * INCH, "length", trim=True), "0.0508 m", "2 in", "2 in"),
        (Figure(100.0, "temperature", trim=True), "100 degC", "212 degF", "100 degC"),
        (Figure(5.0, "temperature", span=True), "5.0 degC", "9 degF", "5.0 degC"),
        (Figure(6 * POUND / US_GALLON, "density"), "719.0 kg/m3", "6.000 lb/USgal", "7.206 lb/impgal"),
        (Figure(720.0, "density", trim=True, bare=True), "720", "6.009", "7.216"),
        (Figure(10 * US_GALLON / 3600, "volume flow"), "37.9 L/h", "10.0 USgal/h", "8.3 impgal/h"),
        (Figure(-1.0, "mass", sign=True), "-1.0 kg", "-2.2 lb", "-2.2 lb"),
    ],
)
def test_a_figure_in_three_systems(figure: Figure, metric: str, us: str, uk: str) -> None:
    assert (figure.shown(METRIC), figure.shown(US), figure.shown(UK)) == (metric, us, uk)


@pytest.mark.parametrize(
    ("value", "decimals", "shown"),
    [
        (1e7, 1, "10000000.0"),
        (0.04, 1, "0.040"),
        (-0.04, 0, "-0.040"),
        (0.0, 1, "0.0"),
        (-1e-15, 1, "0.0"),
        (12.34, 1, "12.3"),
        (float("inf"), 1, "inf"),
    ],
)
def test_fixed_never_shows_a_power_of_ten_nor_zero_for_something(
    value: float, decimals: int, shown: str
) -> None:
    assert fixed(value, decimals) == shown


@pytest.mark.parametrize(
    ("share", "shown"),
    [
        (1.0, "100 %"),
        (0.999, "100 %"),
        (0.5, "50 %"),
        (0.0824, "8.2 %"),
        (0.0996, "10 %"),
        (0.0004, "0.04 %"),
        (0.0, "0 %"),
        (12.5, "1250 %"),
        (0.05, "5 %"),
    ],
)
def test_percent(share: float, shown: str) -> None:
    assert percent(share) == shown


def test_a_sentence_is_metric_text_and_keeps_its_quantities() -> None:
    sentence = say("{} usable does not fit: the tank holds {}", Figure(0.1, "volume"), Figure(0.05, "volume"))
    assert sentence == "100.0 L usable does not fit: the tank holds 50.0 L"
    assert said(sentence, US) == "26.4 USgal usable does not fit: the tank holds 13.2 USgal"
    assert [figure.value for figure in sentence.figures] == [0.1, 0.05]
    assert json.dumps(sentence) == '"100.0 L usable does not fit: the tank holds 50.0 L"'


def test_places_can_be_numbered_and_names_may_hold_braces() -> None:
    assert say("{1} before {0}", "a{}", Figure(1.0, "mass")) == "1.0 kg before a{}"
    with pytest.raises(IndexError):
        say("{} and {}", "one")


def test_sentences_within_sentences_keep_their_quantities() -> None:
    inner = say("{} over", Figure(POUND, "mass"))
    outer = joined("; ", [say("left: {}", inner), "", "and text", say("{}", inner)])
    assert outer == "left: 0.5 kg over; and text; 0.5 kg over"
    assert said(outer, UK) == "left: 1.0 lb over; and text; 1.0 lb over"


@pytest.mark.parametrize("again", [copy.copy, copy.deepcopy, lambda each: pickle.loads(pickle.dumps(each))])
def test_a_sentence_survives_copying(again: object) -> None:
    sentence = say("{} over", Figure(POUND, "mass"))
    other = again(sentence)  # type: ignore[operator]
    assert isinstance(other, Sentence)
    assert said(other, US) == "1.0 lb over"


@pytest.mark.parametrize(("system", "shown"), [("metric", "0.5 kg"), ("us", "1.0 lb"), ("uk", "1.0 lb")])
def test_a_finding_in_the_readers_units(system: UnitSystem, shown: str) -> None:
    figure = Figure(POUND, "mass")
    finding = Finding(
        "c", say("{} over", figure), say("needed {}", figure), "take it out", severity="notice"
    ).at("f.yaml", 3, 2, "seat")
    assert (
        finding_line(finding, Display(system))
        == f"f.yaml:3:2: seat: {shown} over; needed {shown}; take it out"
    )
    assert finding_words(finding, Display(system)) == f"{shown} over; needed {shown}; take it out"
    assert str(finding) == finding_line(finding, METRIC)


def test_out_of_range_keeps_its_quantities() -> None:
    error = OutOfRange(say("{} is too much", Figure(POUND, "mass")))
    assert str(error) == "0.5 kg is too much"
    assert said(error.words, US) == "1.0 lb is too much"
    assert OutOfRange("plain").words == "plain"
    assert OutOfRange().words == ""
