"""What the aircraft really burns: between two known quantities of fuel, against the time flown and what was
planned.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.logbook.ledger.account import account
from planner.logbook.ledger.agree import compare
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.entries import Stored
from planner.logbook.ledger.sources import FuelSource, Stage
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, say
from planner.records.aircraft.record import Aircraft


@frozen
class BurnInterval:
    """From one known quantity to the next: `burnt`, `u` [m3] over `duration` [s] of flight; `planned` [m3] or
    why it is not known.

    `begin` and `end` say which sources the quantities rest on.
    """

    since: str
    until: str
    begin: FuelSource
    end: FuelSource
    flights: int
    duration: float
    burnt: float
    u: float
    planned: float | str

    @property
    def rate(self) -> float | str:
        """Mean flow [m3/s], or why there is none."""
        return self.burnt / self.duration if self.duration else "no time recorded"

    @property
    def above_plan(self) -> float | str:
        """Burnt less planned [m3], or why that is not known."""
        return self.burnt - self.planned if isinstance(self.planned, float) else self.planned

    @property
    def differs(self) -> bool:
        """Whether the burn differs from the plan by more than the measurement's uncertainty."""
        above = self.above_plan
        return isinstance(above, float) and abs(above) > COVERAGE * self.u


@frozen
class Learned:
    """The flow learned from all entries adjusted together: `flow`, `u` [m3/s], or why there is none; and its
    check, the flow over the intervals between known quantities alone: `between`, `spread` (standard deviation
    between them), `u_between` [m3/s], or why not.
    """

    intervals: tuple[BurnInterval, ...]
    flow: float | str
    u: float
    between: float | str
    spread: float | str
    u_between: float

    @property
    def apart(self) -> float | str:
        """How far the check is above the flow [m3/s], or why that is not known."""
        if isinstance(self.flow, str) or isinstance(self.between, str):
            return self.flow if isinstance(self.flow, str) else self.between
        return self.between - self.flow

    @property
    def differ(self) -> bool:
        """Whether the two are further apart than their uncertainties allow."""
        apart = self.apart
        return isinstance(apart, float) and abs(apart) > COVERAGE * math.hypot(self.u, self.u_between)


def _known(stage: Stage, first: bool) -> list[FuelSource]:
    """What is known of a stage without the log: its level, its dips, its ticket; not a source that is the odd
    one out.
    """
    odd = compare(stage.sources).odd
    found = [
        each
        for each in stage.sources
        if each.name in ("dip", "ticket")
        and each is not odd
        and each.fresh
        and "carried back" not in each.basis
    ]
    if stage.movement is not None and stage.movement.level is not None:
        volume, u = stage.movement.level
        found.append(FuelSource("ticket", volume, u, f"known level on {stage.movement.at[:10]}"))
    if first and not found:
        found = [each for each in stage.sources if each.name == "gauge" and each.fresh and each is not odd]
    return found


def learned_of(aircraft: Aircraft, entries: Sequence[Stored]) -> Learned:
    """What `learn` makes of the `entries` that count, in order of time."""
    return learn(stages(aircraft, entries), account(aircraft, entries).flow)


def learn(found: Sequence[Stage], flow: tuple[float, float] | None) -> Learned:
    """Burn between known quantities, the flow over all of them, and beside it the one that all entries
    adjusted together make likely.

    Equations: burnt = quantity before + uplifts - drains - quantity after; between = sum of burnt / sum of
    time, so that an error of a quantity in the middle cancels; spread = sqrt(sum h (r - between)^2 / ((n - 1)
    mean h)) over intervals of h hours; u of the mean = the larger of spread / sqrt(n) and what the two
    outermost quantities' u make of it.

    Parameters: `found` as made by `planner.logbook.ledger.balance.stages` [m3, s]; `flow`, that of
    `planner.logbook.ledger.account.account` [m3/s]. Returns Learned; a reason stands for what cannot be told.
    Range: intervals with recorded time. Source: [common-practice]; [jcgm-100] 4.2 for the spread.
    """
    intervals: list[BurnInterval] = []
    before: tuple[int, FuelSource] | None = None
    for index, stage in enumerate(found):
        known = _known(stage, first=before is None)
        if not known:
            continue
        best = min(known, key=lambda each: each.u)
        if before is not None:
            interval = _interval(found, before, (index, best))
            intervals += [interval] if interval is not None else []
        before = (index, best)
    own, u = flow or ("no timed flight", 0.0)
    timed = [each for each in intervals if each.duration]
    nothing = "no two known quantities with a timed flight between them"
    between: float | str = nothing
    spread: float | str = "one interval shows no spread" if timed else nothing
    u_between = 0.0
    if timed:
        hours = math.fsum(each.duration for each in timed)
        between = mean = math.fsum(each.burnt for each in timed) / hours
        u_between = math.hypot(timed[0].begin.u, timed[-1].end.u) / hours
    if len(timed) > 1:
        squares = math.fsum(each.duration * (each.burnt / each.duration - mean) ** 2 for each in timed)
        spread = math.sqrt(squares / ((len(timed) - 1) * hours / len(timed)))
        u_between = max(spread / math.sqrt(len(timed)), u_between)
    return Learned(
        intervals=tuple(intervals), flow=own, u=u, between=between, spread=spread, u_between=u_between
    )


def _interval(
    held: Sequence[Stage], before: tuple[int, FuelSource], after: tuple[int, FuelSource]
) -> BurnInterval | None:
    movements = [
        movement for stage in held[before[0] + 1 : after[0] + 1] if (movement := stage.movement) is not None
    ]
    flights = [each for each in movements if each.kind == "flight"]
    if not flights:
        return None
    supplied = math.fsum(each.change for each in movements if each.kind == "supply")
    u = math.hypot(before[1].u, after[1].u, *(each.own_u for each in movements if each.kind == "supply"))
    plans = [each.entry.planned for flight in flights for each in flight.entries]
    planned: float | str = (
        math.fsum(plans) if all(each >= 0 for each in plans) else "not every flight has a planned burn"
    )
    timed = all(each.duration for each in flights)
    since, until = held[before[0]].at, held[after[0]].at
    burnt = before[1].volume + supplied - after[1].volume
    return BurnInterval(
        since=since,
        until=until,
        begin=before[1],
        end=after[1],
        flights=len(flights),
        duration=math.fsum(each.duration for each in flights) if timed else 0.0,
        burnt=burnt,
        u=u,
        planned=planned,
    )


def burn_findings(learned: Learned, aircraft: Aircraft) -> tuple[Finding, ...]:
    """ledger-burn-plan: a burn that differs from its plan by more than the measurement's U; ledger-burn-flow:
    a learned flow, or its check, that is not the profile's; ledger-burn-apart: the two against each other.

    Parameters: `learned` [m3, m3/s]; `aircraft`. Returns notices. Source: [atsb-ao-2014-168] for the burn
    that nobody acted on.
    """
    found = []
    for each in learned.intervals:
        above = each.above_plan
        if isinstance(above, float) and each.differs:
            side = "above" if above > 0 else "below"
            days = (
                each.until[:10]
                if each.since[:10] == each.until[:10]
                else f"{each.since[:10]} to {each.until[:10]}"
            )
            message = say(
                "{}: measured burn {} {} the plan (U {})",
                days,
                Figure(abs(above), "volume"),
                side,
                Figure(COVERAGE * each.u, "volume"),
            )
            hint = "find out why, and plan with the measured burn until then" if above > 0 else ""
            found.append(Finding("ledger-burn-plan", message, hint=hint, severity="notice"))
    book = aircraft.burn.get("cruise")
    flows = (
        ("learned", learned.flow, learned.u),
        ("burnt between known quantities", learned.between, learned.u_between),
    )
    for words, flow, u in flows:
        if isinstance(flow, str) or book is None or book.dimension != "volume flow":
            continue
        gap = flow - book.value
        if abs(gap) > COVERAGE * math.hypot(u, book.u):
            side = "above" if gap > 0 else "below"
            rates = [Figure(each, "volume flow") for each in (flow, COVERAGE * u, abs(gap))]
            message = say(
                words + " {} (U {}), {} {} the profile's cruise flow of {}", *rates, side, book.text
            )
            hint = "the learned flow holds climb and taxi too; compare like with like"
            found.append(Finding("ledger-burn-flow", message, hint=hint, severity="notice"))
            return tuple(found)  # which explains as well why the two are apart
    if learned.differ:
        figures = [
            Figure(each, "volume flow") for each in (learned.between, learned.flow) if isinstance(each, float)
        ]
        message = say("between known quantities {} was burnt, by all entries together {}", *figures)
        hint = (
            "see which entries are in doubt (planner ledger reconcile), and plan with the higher until then"
        )
        found.append(Finding("ledger-burn-apart", message, hint=hint, severity="notice"))
    return tuple(found)
