"""A flight whose fuel is what its aircraft's ledger says: the lowest credible quantity is planned with, the
highest weighed.

The plan itself runs on the lowest, so that endurance is on the safe side. Where another source says more, the
same flight is planned once more with that, and any limit it comes nearer to counts for the verdict.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from planner.flight.envelope import ORDER, LimitResult, worst
from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.sentences import Figure, say
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.document import Location

if TYPE_CHECKING:
    from planner.logbook.ledger.contents import Contents
    from planner.plan.results import Plan
    from planner.records.flight.record import Flight
    from planner.records.store import Loaded

_SAME: Final = 1e-7  # m3; less than a millilitre apart is one quantity


def resolve(
    flight: Loaded[Flight], aircraft: Loaded[Aircraft]
) -> tuple[Loaded[Flight], Loaded[Flight] | None]:
    """The flight with the ledger's lowest quantity in its tanks, and, where another source says more, with
    the highest; one that states its fuel as it is.

    Parameters: both records as loaded. Returns flights whose fuel is stated tank by tank; the first carries
    notices of where the figures came from. Raises InputRefused where there is no ledger, or it does not say.
    """
    if flight.record.fuel.source is None:
        return flight, None
    # late: a flight that states its fuel never opens a database
    from planner.logbook.ledger.account import account
    from planner.logbook.ledger.balance import stages
    from planner.logbook.ledger.burned import burn_findings, learn
    from planner.logbook.ledger.contents import contents, in_the_way
    from planner.logbook.ledger.entries import effective, grade_words, unusable_grades
    from planner.logbook.ledger.kept.store import ledger_path, opened
    from planner.logbook.ledger.suspects import suspects, unsettled

    record, document, profile = flight.record, flight.document, aircraft.record
    here = ("fuel", "from")
    path = document.folder / record.fuel.ledger if record.fuel.ledger else ledger_path(profile.name)
    try:
        with opened(path, profile.name, create=False) as ledger:
            held = ledger.entries()
    except InputRefused as refused:
        raise InputRefused([document.place(finding, here) for finding in refused.findings]) from None
    alive = effective(held)
    wrong = grade_words(profile, unusable_grades(profile, alive))
    if wrong:
        needed = "needed tanks drained of it"
        hint = (
            "ask the supplier and an engineer; then add the drain with '--leaves empty', or correct the entry"
        )
        raise InputRefused(
            [document.place(Finding("ledger-grade", words, needed, hint), here) for words in wrong]
        )
    now = contents(profile, held)
    if isinstance(now, str):
        needed, hint = "needed a ledger that says what is aboard", "state the fuel under 'tanks:'"
        raise document.refused(here, "ledger-empty", now, needed, hint)
    whole = account(profile, alive)
    doubts = unsettled(suspects(profile, alive, whole))
    told = [each.finding() for each in doubts]
    if in_the_way(now, doubts) is not None:
        refusals = [
            replace(each, severity="refused", needed="dip every tank, or correct it") for each in told
        ]
        raise InputRefused([document.place(each, here) for each in refusals])
    learned = learn(stages(profile, alive), whole.flow)
    notices = [
        document.place(finding, here) for finding in (*_sources(now), *told, *burn_findings(learned, profile))
    ]
    low = _with(flight, aircraft, now.low, now.u_low)
    low = replace(low, notices=(*low.notices, *notices))
    if sum(now.high) - sum(now.low) <= _SAME:
        return low, None
    return low, _with(flight, aircraft, now.high, now.u_high)


def _with(
    flight: Loaded[Flight], aircraft: Loaded[Aircraft], volumes: Sequence[float], us: Sequence[float]
) -> Loaded[Flight]:
    """The flight with what the ledger says stated tank by tank."""
    tanks: dict[Location, object] = {
        ("fuel", "tanks", name): Quantity(
            volume, u, "volume", say("{} +/- {}", Figure(volume, "volume", bare=True), Figure(u, "volume"))
        )
        for name, volume, u in zip(aircraft.record.tanks, volumes, us, strict=True)
    }
    return flight.with_(tanks, aircraft)


def _sources(now: Contents) -> Iterator[Finding]:
    """ledger-source: which quantities the plan takes; ledger-disagrees: sources that do not agree;
    ledger-alone: one nothing confirms.
    """
    low, high = now.agreement.lowest, now.agreement.highest
    assert low is not None  # contents() gives a reason instead where there is none
    assert high is not None
    weighed = (
        say(", mass also with {} ({}), the most", Figure(high.volume, "volume"), high.name)
        if high is not low
        else ""
    )
    since = now.since[:16].replace("T", " ")
    planned, u = Figure(max(low.volume, 0.0), "volume"), Figure(COVERAGE * low.u, "volume")
    why = "the least of the sources" if len(now.agreement.sources) > 1 else "the only source"
    words = f"{low.name} {low.basis}" if not low.fresh else low.name
    message = say("fuel from the ledger: planned with {} ({}, U {}), {}{}", planned, words, u, why, weighed)
    yield Finding(
        "ledger-source",
        message,
        f"last entry {since} UTC",
        "dip every tank before you fly",
        severity="notice",
    )
    if not now.agreement.agree:
        yield Finding("ledger-disagrees", now.agreement.words, severity="notice")
    elif len(now.agreement.sources) == 1:
        yield Finding(
            "ledger-alone", now.agreement.words, hint="dip, and add the dip to the ledger", severity="notice"
        )


def _placed(plan: Plan) -> dict[tuple[str, str, str], LimitResult]:
    """Every limit by its id, the place it is checked at and the moment changes it is checked with."""
    return {(limit.id, limit.place, limit.variant): limit for limit in plan.limits()}


def with_heavier(plan: Plan, heavier: Plan) -> Plan:
    """The plan, with every limit that the highest quantity of the ledger brings to a worse verdict told, and
    counted.

    ledger-heavier: such a limit. Parameters: the same flight with the lowest and the highest quantity.
    Returns a Plan.
    """
    here = _placed(plan)
    worse = [
        limit
        for place, limit in _placed(heavier).items()
        if place not in here or ORDER.index(limit.verdict) > ORDER.index(here[place].verdict)
    ]
    worse = [limit for limit in worse if limit.verdict != "inside"]
    findings = []
    for limit in worse:
        margin = Figure(limit.margin, limit.dimension, span=True, sign=True)
        u = Figure(limit.uncertainty, limit.dimension, span=True)
        most = Figure(heavier.fuel.aboard, "volume")
        message = say(
            "with the highest quantity, {}: {} {} (margin {}, U {})",
            most,
            limit.name,
            limit.verdict,
            margin,
            u,
        )
        finding = Finding(
            "ledger-heavier", message, hint="find out how much fuel is aboard", severity="notice"
        )
        findings.append(finding.at(plan.flight_path, 1, 1, "fuel > from"))
    verdict = worst([plan.verdict, *(limit.verdict for limit in worse)])
    return replace(plan, verdict=verdict, findings=(*plan.findings, *findings))
