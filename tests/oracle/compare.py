"""The planner's answer beside the naive engine's, figure by figure.

Surfaces: the data of `planner flight --json`, the chance of its draws, one row of `planner sweep` and the
printed sheet. The first two are set against the naive engine; sweep too; the sheet against the JSON, to the
digits it prints.

Tolerances. Closed figures 1e-9 (kg, m, L). Least margins of a burn: the change of the margin over one naive
step there.
U: 3 % where the margin is straight in the inputs, which is far more than the draws leave over once matched in
their moments; where it bends (`Check.bend`, a tank that may run dry, a corner of an edge) the planner's U may
be larger, up to `LARGER`, and never smaller. A verdict may differ only where margin - U is zero within that
same tolerance. Shares: 4.5 standard errors of both.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from planner.plan import plan_flight
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded, load_flight_file
from planner.sureness.chance import chance
from planner.views.flight.flight_json import flight_json
from tests.oracle.engine import BENT, INSIDE, OUTSIDE, RANK, UNSHOWN, Answer, Check, fly, worst
from tests.oracle.limits import AFT, FORWARD, LEFT, RIGHT

CLOSE = 1e-9
U_SHARE = 0.03
LARGER = (
    3.5  # times: the worse side of a bend may be that much less sure than the draws on both sides together
)
DRAWN = 0.1  # of the square root of the bend: how far a thousand draws leave the spread of a bent margin open
MICROMETRE = 3e-6  # m, kg or L: below it a U decides nothing
ERRORS = 4.5  # standard errors two shares may differ by
LITRE = 1e-3
DRY = 1e-9  # m3


@dataclass(frozen=True)
class Difference:
    """One thing the two say differently; `too_good` where the planner's side is the less careful one."""

    kind: str
    where: str
    planner: Any
    naive: Any
    too_good: bool = False
    about: str = ""

    def line(self) -> str:
        """The difference in words."""
        flag = " TOO GOOD" if self.too_good else ""
        return (
            f"{self.kind}: {self.where}: planner {_show(self.planner)}, naive {_show(self.naive)}{flag}"
            f" {self.about}".rstrip()
        )


@dataclass
class Comparison:
    """Both answers to one flight, how many limits were compared, and what differs."""

    answer: Answer
    data: dict[str, Any]
    limits: int
    differences: list[Difference]


def _show(value: Any) -> str:
    return f"{value:.9g}" if isinstance(value, float) else str(value)


def _close(a: float, b: float, more: float = 0.0) -> bool:
    return abs(a - b) <= CLOSE * max(1.0, abs(a), abs(b)) + more


def _bent(check: Check) -> bool:
    """Whether the planner may be more careful than a straight line: a bend, a corner in reach, or no one
    place to speak of.
    """
    return check.bend > BENT or check.corner or check.u_high > check.u_low * 1.001


def _u_fits(u: float, check: Check, tolerance: float) -> tuple[bool, bool]:
    """Whether a planner's U fits, and whether it is too small. Where a margin bends, the spread of the draws
    is itself a draw.
    """
    small = u < check.u_low * (1 - tolerance - DRAWN * check.bend**0.5) - MICROMETRE
    most = check.u_high * (LARGER if _bent(check) else 1 + tolerance)
    if check.corner:  # the least of every draw lies on the corner, where neither side of it can be seen
        most = max(most, check.u_around * LARGER)
    return not small and u <= most + 1e-9, small


def _verdict_open(check: Check, tolerance: float) -> bool:
    """Whether the verdict hangs on what the tolerance leaves open."""
    if abs(check.margin) <= CLOSE * max(1.0, abs(check.limit)) and check.u_high > 0:
        return True
    if abs(check.margin) <= 1e-12 * max(1.0, abs(check.limit)) and check.margin != 0:
        return True  # a sum in another order decides the sign
    high = check.u_high * (LARGER if _bent(check) else 1 + tolerance)
    return check.margin >= 0 and check.u_high > 0 and check.u_low * (1 - tolerance) <= check.margin <= high


def _limit(mine: Check, theirs: dict[str, Any], tolerance: float) -> Iterator[Difference]:
    where = f"{mine.where}, {mine.name}"
    u = float(theirs["expanded_uncertainty"])
    for key, figure in (("value", mine.value), ("limit", mine.limit), ("margin", mine.margin)):
        if not _close(float(theirs[key]), figure):
            good = key == "margin" and float(theirs[key]) > figure
            yield Difference(f"{key} {_sort(mine.name)}", where, float(theirs[key]), figure, good)
    fits, small = _u_fits(u, mine, tolerance)
    if not fits:
        yield Difference(
            f"U {'smaller' if small else 'larger'} {_sort(mine.name)}",
            where,
            u,
            mine.u,
            small,
            f"bend {mine.bend:.3f}",
        )
    if theirs["verdict"] != mine.verdict and not _verdict_open(mine, tolerance):
        about = f"margin {mine.margin:.6g}, U {mine.u:.6g}"
        yield Difference(
            "verdict",
            where,
            theirs["verdict"],
            mine.verdict,
            RANK[theirs["verdict"]] < RANK[mine.verdict],
            about,
        )


def _sort(name: str) -> str:
    if name in (FORWARD, AFT, LEFT, RIGHT):
        return "CG" if name in (FORWARD, AFT) else "lateral"
    return (
        "least mass"
        if name.startswith("least")
        else "greatest mass"
        if name.startswith("maximum")
        else "load"
    )


def _limits(answer: Answer, data: dict[str, Any], tolerance: float) -> Iterator[Difference | None]:
    """Every limit of the states and the load; None for each one compared."""
    found: dict[tuple[str, str], dict[str, Any]] = {
        ("load", limit["name"]): limit for limit in data["load_limits"]
    }
    for state in data["states"]:
        found |= {(state["name"], limit["name"]): limit for limit in state["limits"]}
        mass, moment, side, fuel = answer.states[state["name"]]
        pairs = (
            (state["mass_kg"], mass),
            (state["moment_kg_m"], moment),
            (state["cg_m"], moment / mass),
            (state["fuel_l"], fuel / LITRE),
        )
        for number, (theirs, ours) in enumerate(pairs):
            what = ("mass", "moment", "CG", "fuel")[number]
            if not _close(float(theirs), ours):
                yield Difference(f"state {what}", state["name"], float(theirs), ours)
        lateral = state["lateral_cg_m"]
        if isinstance(lateral, float) and not _close(lateral, side / mass):
            yield Difference("state lateral CG", state["name"], lateral, side / mass)
    for key, mine in answer.checks.items():
        if mine.where == "burn":
            continue
        theirs = found.pop(key, None)
        if theirs is None:
            if not (mine.where == "load" and mine.value == 0):  # nothing lies there, so nothing is said of it
                yield Difference(
                    "limit missing", f"{key[0]}, {key[1]}", "none", mine.verdict, mine.verdict != INSIDE
                )
            continue
        if key[0] == "landing" and answer.states["landing"][3] <= DRY:
            # no fuel for the whole trip: the fuel plan says so, and where it lands is nobody's figure
            continue
        yield None
        yield from _limit(mine, theirs, tolerance)
    for key, theirs in found.items():
        yield Difference("limit of the planner alone", f"{key[0]}, {key[1]}", theirs["verdict"], "none")


def _near_its_u(doubt: dict[str, Any] | None) -> bool:
    return doubt is not None and doubt["margin"] >= (1 - 2 * U_SHARE) * doubt["expanded_uncertainty"]


def _burn(answer: Answer, data: dict[str, Any], tolerance: float) -> Iterator[Difference | None]:
    """Least margins of the whole burn; the planner's variants with moment changes count as one limit, by
    their least.
    """
    rows = data["burn"]["least_margins"]
    for name in (FORWARD, AFT, LEFT, RIGHT):
        mine = answer.checks.get(("burn", name))
        same = [row for row in rows if row["limit"].split(" (")[0] == name]
        if mine is None or not same:
            if (mine is None) != (not same):
                yield Difference("burn limit missing", name, len(same), "none" if mine is None else "one")
            continue
        yield None
        least = min(same, key=lambda row: float(row["margin"]))
        if not _close(least["margin"], mine.margin, mine.step_error):
            yield Difference(
                f"burn margin {_sort(name)}",
                name,
                least["margin"],
                mine.margin,
                least["margin"] > mine.margin,
            )
            continue
        fits, small = _u_fits(float(least["expanded_uncertainty"]), mine, tolerance)
        if not fits:
            about = f"{mine.u_low:.4g} to {mine.u_high:.4g}, bend {mine.bend:.3f}"
            yield Difference(
                f"burn U {'smaller' if small else 'larger'} {_sort(name)}",
                name,
                least["expanded_uncertainty"],
                mine.u,
                small,
                about,
            )
        theirs = worst([row["verdict"] for row in same])
        if theirs == UNSHOWN and all(
            row["verdict"] == INSIDE or _near_its_u(row.get("doubt")) for row in same
        ):
            continue  # at another place the margin is so near to its U that the tolerance of either decides
        about = f"margin {mine.margin:.6g}, U {mine.u_low:.6g} to {mine.u_high:.6g}"
        # Where the least margin lies may be open; that draws fall below zero at one place is not.
        if theirs == INSIDE and mine.below_on_the_way:
            yield Difference("burn verdict on the way", name, theirs, mine.worst_on_the_way, True, about)
            continue
        if abs(mine.margin) <= mine.step_error or _verdict_open(mine, tolerance):
            continue
        if RANK[theirs] < RANK[mine.verdict] or (
            RANK[theirs] > RANK[mine.verdict] and RANK[theirs] > RANK[mine.worst_on_the_way]
        ):
            yield Difference(
                "burn verdict", name, theirs, mine.verdict, RANK[theirs] < RANK[mine.verdict], about
            )


def _fuel(answer: Answer, data: dict[str, Any], tolerance: float) -> Iterator[Difference | None]:
    """Lines, required, surplus with its U, endurance."""
    fuel, plan = data["fuel"], answer.plan
    assert plan is not None
    yield None
    ours: dict[str, float] = {}
    theirs: dict[str, float] = {}
    for kind, volume in plan.lines:
        ours[kind] = ours.get(kind, 0.0) + float(volume) / LITRE
    for line in fuel["lines"]:
        theirs[line["kind"]] = theirs.get(line["kind"], 0.0) + line["l"]
    for kind in sorted(ours.keys() | theirs.keys()):
        if not _close(theirs.get(kind, 0.0), ours.get(kind, 0.0)):
            good = theirs.get(kind, 0.0) < ours.get(kind, 0.0)
            yield Difference(f"fuel line {kind}", kind, theirs.get(kind, 0.0), ours.get(kind, 0.0), good)
    required, surplus = float(plan.required) / LITRE, answer.surplus / LITRE
    for key, figure, better in (
        ("aboard_l", answer.aboard / LITRE, 1),
        ("required_l", required, -1),
        ("surplus_l", surplus, 1),
    ):
        if not _close(fuel[key], figure):
            yield Difference(f"fuel {key}", key, fuel[key], figure, (fuel[key] - figure) * better > 0)
    if (
        isinstance(fuel["endurance_min"], float)
        and not math.isnan(plan.endurance)
        and not _close(fuel["endurance_min"], plan.endurance / 60)
    ):
        good = fuel["endurance_min"] > plan.endurance / 60
        yield Difference("endurance", "endurance", fuel["endurance_min"], plan.endurance / 60, good)
    u = answer.surplus_u / LITRE
    least = min(u, max(surplus - answer.surplus_shown / LITRE, 0.0))
    check = Check(
        "fuel", "surplus", surplus, 0.0, surplus, u, least, u, answer.surplus_bend, answer.fuel_verdict
    )
    check = replace(check, corner=answer.dip_corner)
    fits, small = _u_fits(fuel["surplus_expanded_uncertainty_l"], check, tolerance)
    if not fits:
        yield Difference(
            f"U {'smaller' if small else 'larger'} surplus",
            "surplus",
            fuel["surplus_expanded_uncertainty_l"],
            u,
            small,
        )
    if fuel["verdict"] != answer.fuel_verdict and not _verdict_open(check, tolerance):
        good = RANK[fuel["verdict"]] < RANK[answer.fuel_verdict]
        yield Difference(
            "fuel verdict",
            "surplus",
            fuel["verdict"],
            answer.fuel_verdict,
            good,
            f"surplus {surplus:.6g}, U {u:.6g}",
        )


def _density(answer: Answer, data: dict[str, Any]) -> Iterator[Difference]:
    theirs = data["density"]
    if not _close(theirs["kg_per_m3"], answer.rho):
        yield Difference("density", "density", theirs["kg_per_m3"], answer.rho)
    if abs(theirs["u_kg_per_m3"] - answer.u_rho) > 1e-6 * max(answer.u_rho, 0.01):
        yield Difference(
            "density u", "density", theirs["u_kg_per_m3"], answer.u_rho, theirs["u_kg_per_m3"] < answer.u_rho
        )


def _share(answer: Answer, found: Any, kind: str = "share inside") -> Iterator[Difference]:
    theirs, ours = found.inside / found.draws, answer.inside_share
    if not answer.inputs:
        error = 0.0
    else:
        middle = (found.inside + ours * answer.draws) / (found.draws + answer.draws)
        error = math.sqrt(
            max(middle * (1 - middle), 1.0 / min(found.draws, answer.draws))
            * (1 / found.draws + 1 / answer.draws)
        )
    if abs(theirs - ours) > ERRORS * error + 1e-12:
        yield Difference(kind, "share", theirs, ours, theirs > ours, f"standard error {error:.4f}")


def compare(
    flight: Loaded[Flight],
    aircraft: Loaded[Aircraft],
    draws: int = 1000,
    seed: int = 1,
    chance_draws: int = 0,
    surfaces: bool = False,
    tolerance: float = U_SHARE,
) -> Comparison:
    """Both answers to one flight. `chance_draws` 0 leaves the share out; `surfaces` adds sweep and sheet."""
    plan = plan_flight(flight, aircraft)
    data = flight_json(plan)
    answer = fly(flight.record, aircraft.record, aircraft.document.value, draws, seed)
    found: list[Difference | None] = [*_density(answer, data), *_limits(answer, data, tolerance)]
    found += [*_burn(answer, data, tolerance), *_fuel(answer, data, tolerance)]
    if chance_draws:
        found += _share(answer, chance(plan, chance_draws, seed))
    if surfaces:
        from tests.oracle.surfaces import surfaces_of

        found += surfaces_of(flight, plan, data, answer)
    return Comparison(
        answer, data, sum(each is None for each in found), [each for each in found if each is not None]
    )


def compare_file(path: Path | str, **options: Any) -> Comparison:
    """The same for a flight file. Raises InputRefused where the loader or the planner makes no plan."""
    return compare(*load_flight_file(path), **options)


__all__ = ["OUTSIDE", "UNSHOWN", "Comparison", "Difference", "compare", "compare_file"]
