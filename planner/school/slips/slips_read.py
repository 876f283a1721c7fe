"""Slips in reading a drawing or a table, across the aircraft, under several limits, and in flight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from planner.school.problems.examined.in_flight import BurnFacts, CheckFacts
from planner.school.problems.examined.jacks import JackFacts
from planner.school.problems.examined.room_for_both import PayloadFacts
from planner.school.problems.examined.sideways import LateralFacts
from planner.school.problems.graphs.loading_graph import GraphFacts
from planner.school.problems.graphs.tables import TableFacts
from planner.school.slips.register import Wrong, one_altered, slip, without


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


slip("last-reading-only").change(
    GraphFacts,
    empty=lambda facts: replace(facts.empty, mass=0.0, volume=0.0) if len(facts.lines) > 1 else facts.empty,
)
slip("neighbouring-row").change(TableFacts, "the row above", way="row above").change(
    TableFacts, "the row below", way="row below"
)
slip("interpolated-backwards").change(TableFacts, way="from the wrong end")


@slip("lateral-sign").of(LateralFacts)
def _lateral_sign(facts: LateralFacts) -> Iterator[Wrong]:
    for line in facts.lines:
        if line.arm:
            yield line.name, one_altered(facts, line, arm=-line.arm)


slip("zero-fuel-forgotten").change(PayloadFacts, limits=without("zero fuel"))
slip("landing-forgotten").change(PayloadFacts, limits=without("landing"))


@slip("trip-off-landing").of(PayloadFacts)
def _trip_off(facts: PayloadFacts) -> Iterator[Wrong]:
    if any(name == "landing" for name, _ in facts.limits):
        yield "", replace(facts, trip=-facts.trip)
        yield "left out", replace(facts, trip=0.0)


slip("reference-forgotten").change(JackFacts, reference=0.0)
# Even of nothing: what is offered may not change.
slip("reference-subtracted").change(JackFacts, even=True, reference=lambda facts: -facts.reference)
slip("planned-flow").change(CheckFacts, flow_is=lambda facts: facts.planned)
slip("gauge-from-start").change(
    CheckFacts,
    gauge=lambda facts: facts.start,
    flow_is=lambda facts: (facts.start - facts.gauge) / facts.elapsed,
)


@slip("arm-from-datum").of(BurnFacts)
def _arm(facts: BurnFacts) -> Iterator[Wrong]:
    if facts.cg_limit:
        yield "", replace(facts, arm=facts.arm + facts.cg_limit)
        yield "from the CG", replace(facts, arm=facts.arm + facts.cg_limit - facts.cg)
