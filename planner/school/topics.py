"""The topics, and sets of problems by seed."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import cycle
from typing import Final

from planner.quantities.frozen import frozen
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.records.store import Loaded
from planner.school.craft import EDITION, Craft, craft_of
from planner.school.dice import Dice, Pen
from planner.school.problem import Draft, NotSettable, Problem
from planner.school.problems import (
    balance,
    bench,
    correction,
    fuel_amounts,
    fuel_plan,
    landing,
    limits,
    moving,
    room,
)
from planner.school.problems.examined import in_flight, jacks, room_for_both, sideways
from planner.school.problems.graphs import envelope_paper, loading_graph, tables

# What the problems of a topic are good for.
_LESSONS: Final = """
moments: The CG is the sum of the moments over the sum of the masses: never the mean of arms, and never a
mean of CGs.

negative-arms: A lost minus sign moves the total by twice that moment. Another datum changes every arm, and
the aircraft balances at the same place.

index: An index is a moment with its zeros cut off. Put them back before you divide by the mass, and use one
scale throughout.

mac: Subtract the leading edge first, then divide by the chord: both are lengths, and only one of them is a
distance from the datum.

weighing: Write down what was in the aircraft on the scales: oil, unusable fuel, tools. A licensed person
checks the record and signs it.

bottle: What is marked on a bottle is not what it holds: weigh it with water first. And nobody needs to
weigh avgas to fly: ask for the batch's figure.

correction: Round the amount to the safe side, and check mass and CG again afterwards: a cure for one limit
can break another.

burn-past: A limit is passed at a time, not only at take-off and landing: know when, and what is left then.

fuel-check: What was burnt over the time it took is the flow you have; the plan is what you hoped for.

jacks: Wherever it is measured from, the sum of the moments over the mass is a distance from there; add
where that point lies. What pulls down counts as minus.

payload: Payload and fuel share the take-off mass; landing adds the trip fuel; zero fuel bounds the payload
alone. The least decides, and the balance is still to be checked.

lateral: Across, arms have signs of their own: left and right may cancel, and uneven tanks grow uneven.

units: Write the unit beside every number; a gallon without its country and a number without a unit are the
oldest slips there are.

density: Cold fuel is denser: a full tank is heavier in winter, and a litre of hot fuel takes you less far.

fuel-mass: Litres fill the tank and kilograms load the aircraft; only a density, and one of this fuel, leads
from the one to the other.

fuel-plan: Thirty minutes is three different amounts of fuel: at cruise, holding, and at full power. Say
which speed the rule means.

envelope-paper: Read the limit at the mass of the point, in the category flown, and draw the burn as a line.

loading-graph: A graph has a line for each place: say its name before you read, and keep to half a small
square.

load-tables: Take the two rows on either side, and the share of the way between them; never the nearer row.

dip-table: A stick belongs to its own tank and its own table, on level ground; between two rows interpolate.

envelope: Limits change with mass and with the category: read them at this mass, in this category, off this
aircraft's chart.

landing: The CG at take-off says nothing about the CG at landing: the fuel leaves from its own arm, and both
ends and the way between must be inside.

shift: A shift counts the distance carried, not the distance from the datum; ballast counts the distance
from the CG it is to bring about.

room: Every limit holds at once: the smallest room is the room there is. The ramp has its own limit, and
taxi fuel is gone at take-off.
"""
LESSONS: Final = dict(each.replace("\n", " ").split(": ", 1) for each in _LESSONS.strip().split("\n\n"))


@frozen
class Topic:
    """A topic: its name on the command line, what it is in words, and what sets a problem on it."""

    name: str
    words: str
    set: Callable[[Craft, Dice, int], Draft]


# The number of a topic in the code of a sheet is its place here, for ever: new ones go to the end.
TOPICS: Final[dict[str, Topic]] = {
    topic.name: topic
    for topic in (
        Topic("units", "unit conversion", fuel_amounts.set_units),
        Topic("density", "density and temperature", fuel_amounts.set_density),
        Topic("fuel-mass", "volume to mass", fuel_amounts.set_fuel_mass),
        Topic("moments", "moments and CG", balance.set_moments),
        Topic("negative-arms", "negative arms and the datum", balance.set_negative_arms),
        Topic("index", "moment index", balance.set_index),
        Topic("mac", "CG in per cent of the mean aerodynamic chord", balance.set_mac),
        Topic("envelope", "envelope", limits.set_envelope),
        Topic("room", "how much more may be loaded", room.set_room),
        Topic("fuel-plan", "fuel plan and reserves", fuel_plan.set_fuel_plan),
        Topic("landing", "burn and landing CG", landing.set_landing),
        Topic("shift", "mass shift and ballast", moving.set_shift),
        Topic("correction", "correction of a loading outside a limit", correction.set_correction),
        Topic("weighing", "weighing", bench.set_weighing),
        Topic("bottle", "density bottle", bench.set_bottle),
        Topic("loading-graph", "loading graph", loading_graph.set_loading_graph),
        Topic("envelope-paper", "envelope on grid paper", envelope_paper.set_envelope_paper),
        Topic("load-tables", "loading and fuel tables", tables.set_load_tables),
        Topic("dip-table", "dip table", tables.set_dip_table),
        Topic("lateral", "lateral balance", sideways.set_lateral),
        Topic("payload", "greatest payload and greatest fuel", room_for_both.set_payload),
        Topic("jacks", "weighing with a tail wheel or on jacks", jacks.set_jacks),
        Topic("burn-past", "fuel burnt past a limit", in_flight.set_burn_past),
        Topic("fuel-check", "fuel check in flight", in_flight.set_fuel_check),
    )
}
_ATTEMPTS: Final = 8


@frozen
class ProblemSet:
    """Problems set together, topics left out with the reason, and `check`, a digest of all printed."""

    problems: tuple[Problem, ...]
    left_out: tuple[tuple[str, str], ...]
    check: str


def set_one(craft: Craft, topic: str, level: int, *key: object) -> Problem:
    """One problem. The same key gives the same problem.

    Parameters: `craft` [SI]; `topic`, a key of TOPICS; `level` 1 to 5; `key`, words and numbers that seed it.
    Raises NotSettable where the profile has no figures for the topic, KeyError for an unknown one.
    """
    attempt = 0
    while True:  # a draw that leads nowhere is not the profile's fault
        try:
            draft = TOPICS[topic].set(craft, Dice(*key, topic, level, attempt), level)
            return draft.posed(topic, level, craft.aircraft, LESSONS[topic])
        except NotSettable as reason:
            attempt += 1
            if attempt == _ATTEMPTS or (attempt == 2 and str(reason).startswith("the profile")):
                raise


def set_problems(
    aircraft: Loaded[Aircraft],
    display: Display,
    topics: Sequence[str],
    level: int,
    seed: int,
    count: int,
    edition: int = EDITION,
    choices: bool = False,
) -> ProblemSet:
    """A set of problems, topic after topic, in the order given.

    Parameters: `aircraft`; `display`, the units the problems are set in; `topics`, keys of TOPICS; `level` 1
    to 5; `seed`; `count` of problems; `edition`, an earlier one sets its sheets as they were; `choices`
    offers answers to choose from.
    Returns a ProblemSet: the same arguments give the same one, on any machine. Topics the profile has no
    figures for are left out with the reason, and the others take their turns.
    Raises NotSettable where no topic is left.
    """
    craft = craft_of(aircraft, Pen(display), edition)
    problems: list[Problem] = []
    left_out: dict[str, str] = {}
    turns = cycle(topics)
    while len(problems) < count:
        none_of(left_out, topics)
        name = next(turns)
        if name in left_out:
            continue
        try:
            problems.append(_another(craft, name, level, (seed, len(problems)), problems))
        except NotSettable as reason:
            left_out[name] = str(reason)
    return together(problems, left_out, seed, choices=choices)


def none_of(left_out: Mapping[str, str], topics: Iterable[str]) -> None:
    """Raises NotSettable, with the reasons, where every topic is left out."""
    if left_out.keys() >= set(topics):
        raise NotSettable("; ".join(f"{name}: {reason}" for name, reason in left_out.items()))


def together(
    problems: Sequence[Problem], left_out: Mapping[str, str], seed: int, *, choices: bool
) -> ProblemSet:
    """Problems as a set, with answers to choose from where that is wanted."""
    if choices:
        from planner.school.marking.choices import with_choices  # late: slips know the topics' problems

        problems = [with_choices(each, seed, number) for number, each in enumerate(problems)]
    return ProblemSet(tuple(problems), tuple(left_out.items()), digest(problems))


def _another(
    craft: Craft, topic: str, level: int, key: tuple[int, int], before: Sequence[Problem]
) -> Problem:
    """The problem of this key, or of the next ones while it is on the sheet already, or the last tried."""
    problem = set_one(craft, topic, level, *key)
    for again in range(_ATTEMPTS if craft.edition > 1 else 0):
        if not any(each.question == problem.question and each.tables == problem.tables for each in before):
            break
        problem = set_one(craft, topic, level, *key, f"again {again}")
    return problem


def digest(problems: Sequence[Problem]) -> str:
    """Eight signs that differ when anything printed in the questions differs."""
    text = "\n".join(
        repr((problem.topic, problem.question, problem.tables, problem.asks))
        + (repr(problem.grids) if problem.grids else "")
        for problem in problems
    ).replace(", by_eye=False)", ")")
    # In the words of the first edition, so that sheets printed then are still known.
    return hashlib.sha256(re.sub(r"\bPrinted(Figure|Table)\(", r"\1(", text).encode()).hexdigest()[:8]
