"""Slips in reading a drawing or a table, across the aircraft, under several limits, and in flight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from planner.quantities.units import UNITS
from planner.school.problems.examined.in_flight import BurnFacts, CheckFacts
from planner.school.problems.examined.jacks import JackFacts
from planner.school.problems.examined.room_for_both import PayloadFacts
from planner.school.problems.examined.sideways import LateralFacts
from planner.school.problems.graphs.envelope_paper import PaperFacts
from planner.school.problems.graphs.loading_graph import GraphFacts
from planner.school.problems.graphs.tables import TableFacts
from planner.school.slips.register import SLIPS, Wrong, slip
from planner.school.slips.slips_bench import one_main


@slip("neighbouring-line").of(GraphFacts)
def _neighbouring_line(facts: GraphFacts) -> Iterator[Wrong]:
    for line in facts.lines:
        for other in facts.others:
            if other.name != line.name and other.arm != line.arm:
                yield f"{line.name} on {other.name}", replace(facts, read_off=((line.name, other.arm),))
    for one, other in combinations(facts.lines, 2):
        if one.arm != other.arm:
            swapped = ((one.name, other.arm), (other.name, one.arm))
            yield f"{one.name} and {other.name}", replace(facts, read_off=swapped)


@slip("last-reading-only").of(GraphFacts)
def _last_only(facts: GraphFacts) -> Iterator[Wrong]:
    if len(facts.lines) > 1:
        yield "", replace(facts, empty=replace(facts.empty, mass=0.0, volume=0.0))


@slip("neighbouring-row").of(TableFacts)
def _row(facts: TableFacts) -> Iterator[Wrong]:
    for way in ("row above", "row below"):
        yield f"the {way}", replace(facts, way=way)


slip("interpolated-backwards").change(TableFacts, way="from the wrong end")


@slip("lateral-sign").of(LateralFacts)
def _lateral_sign(facts: LateralFacts) -> Iterator[Wrong]:
    for row in facts.rows:
        if row[2]:
            turned = tuple((*r[:2], -r[2], *r[3:]) if r is row else r for r in facts.rows)
            yield row[0], replace(facts, rows=turned)


def _less(facts: PayloadFacts, name: str) -> Iterator[Wrong]:
    kept = tuple(each for each in facts.limits if each[0] != name)
    if kept != facts.limits and kept:
        yield "", replace(facts, limits=kept)


slip("zero-fuel-forgotten").of(PayloadFacts)(lambda facts: _less(facts, "zero fuel"))
slip("landing-forgotten").of(PayloadFacts)(lambda facts: _less(facts, "landing"))


@slip("trip-off-landing").of(PayloadFacts)
def _trip_off(facts: PayloadFacts) -> Iterator[Wrong]:
    if any(name == "landing" for name, _ in facts.limits):
        yield "", replace(facts, trip=-facts.trip)
        yield "left out", replace(facts, trip=0.0)


slip("reference-forgotten").change(JackFacts, reference=0.0)
slip("reference-subtracted").of(JackFacts)(
    lambda facts: iter([("", replace(facts, reference=-facts.reference))])
)


@slip("planned-flow").of(CheckFacts)
def _planned(facts: CheckFacts) -> Iterator[Wrong]:
    yield "", replace(facts, flow_is=facts.planned)


@slip("gauge-from-start").of(CheckFacts)
def _from_start(facts: CheckFacts) -> Iterator[Wrong]:
    flow = (facts.start - facts.gauge) / facts.elapsed
    yield "", replace(facts, gauge=facts.start, flow_is=flow)


@slip("arm-from-datum").of(BurnFacts)
def _arm(facts: BurnFacts) -> Iterator[Wrong]:
    if facts.cg_limit:
        yield "", replace(facts, arm=facts.arm + facts.cg_limit)
        yield "from the CG", replace(facts, arm=facts.arm + facts.cg_limit - facts.cg)


def _enter_known() -> None:
    """Slips of other topics that are made here as well."""
    for name in ("slips_bench", "slips_limits", "slips_load", "slips_plan"):
        __import__(f"planner.school.slips.{name}")
    SLIPS["tare"].of(JackFacts)(_no_tare)
    SLIPS["one-main"].of(JackFacts)(one_main)
    SLIPS["past-the-bend"].change(TableFacts, way="first to last")
    SLIPS["unusable-as-usable"].change(TableFacts, less=0.0)
    SLIPS["divided-by-density"].of(TableFacts, BurnFacts)(_divided)
    SLIPS["litres-as-kilograms"].of(BurnFacts)(_kilograms)
    SLIPS["item-left-out"].of(GraphFacts, LateralFacts)(_left_out)
    SLIPS["limit-at-another-mass"].of(PaperFacts)(_other_mass)
    SLIPS["wrong-limit"].change(PaperFacts, side="aft").change(PaperFacts, side="forward")
    SLIPS["wrong-category"].of(PaperFacts)(_other_category)


def _no_tare(facts: JackFacts) -> Iterator[Wrong]:
    yield "left out", replace(facts, points=tuple(replace(each, tare=0.0) for each in facts.points))


def _divided(facts: TableFacts | BurnFacts) -> Iterator[Wrong]:
    if isinstance(facts, TableFacts):
        if facts.factor != 1.0:
            yield "", {"mass": facts.answers()["volume"] / (facts.factor / 1000) * 1000}  # type: ignore[operator]
        return
    burnt = facts.answers()["burnt"]
    assert isinstance(burnt, float)
    number = facts.density / 1000.0
    yield "", {"burnt": burnt, "time": burnt * number * 1e-3 / facts.flow}


def _kilograms(facts: BurnFacts) -> Iterator[Wrong]:
    burnt = facts.answers()["burnt"]
    assert isinstance(burnt, float)
    volume = burnt * UNITS["L"].factor
    yield "", {"burnt": burnt, "time": volume / facts.flow, "left": facts.aboard - volume}


def _left_out(facts: GraphFacts | LateralFacts) -> Iterator[Wrong]:
    if isinstance(facts, LateralFacts):
        for row in facts.rows[1:]:
            yield row[0], replace(facts, rows=tuple(each for each in facts.rows if each is not row))
        return
    for line in facts.lines if len(facts.lines) > 1 else ():
        kept = replace(facts, lines=tuple(each for each in facts.lines if each is not line)).answers()
        yield line.name, {key: kept[key] for key in ("mass", "total", "cg", "verdict")}


def _other_mass(facts: PaperFacts) -> Iterator[Wrong]:
    limit = facts.category.envelope.greatest_mass, facts.category.envelope.least_mass
    for mass in limit:
        yield "at the top or the foot of the envelope", {"limit": facts.limit_at(mass)}


def _other_category(facts: PaperFacts) -> Iterator[Wrong]:
    other = facts.other
    if other is not None and other.envelope.least_mass <= facts.here.mass <= other.envelope.greatest_mass:
        yield "", replace(facts, category=other)


_enter_known()
