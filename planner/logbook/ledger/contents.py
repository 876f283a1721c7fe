"""What a flight plan takes from the ledger: the least fuel to reckon with for endurance, the most for mass,
tank by tank.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from planner.logbook.ledger.agree import Agreement, compare
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.doubt.telling import Suspect
from planner.logbook.ledger.entries import READINGS, Stored, effective
from planner.logbook.ledger.sources import FuelSource, Stage
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft


@frozen
class Contents:
    """Usable fuel per tank [m3] with standard uncertainties [m3]: `low` for endurance, `high` for mass; the
    agreement behind it and when the last entry was.
    """

    low: tuple[float, ...]
    u_low: tuple[float, ...]
    high: tuple[float, ...]
    u_high: tuple[float, ...]
    agreement: Agreement
    since: str


def _shares(aircraft: Aircraft, stage: Stage) -> tuple[float, ...]:
    """Each tank's share of the total: by the last dips or gauges of every tank, else as the log has followed
    the feed order.
    """
    read = (
        {each.entry.tank: each.entry.volume for each in stage.readings if each.entry.kind == kind}
        for kind in ("dip", "gauge")
    )
    ways = [[held[name] for name in aircraft.tanks] for held in read if aircraft.tanks.keys() <= held.keys()]
    held = (*ways, stage.split, [tank.usable for tank in aircraft.tanks.values()])
    way = next(each for each in held if math.fsum(each) > 0)
    return tuple(each / math.fsum(way) for each in way)


def per_tank(total: float, shares: Sequence[float], capacities: Sequence[float]) -> tuple[float, ...]:
    """A total [m3] over the tanks by `shares` (sum 1), no tank above its usable capacity [m3]; what is over
    goes to those with room.

    Returns volumes [m3] that sum to the total, or to all capacities where it is more. Source:
    [common-practice].
    """
    result = [0.0] * len(shares)
    left, open_tanks = max(total, 0.0), list(range(len(shares)))
    while open_tanks and left > 1e-12:
        weight = math.fsum(shares[index] for index in open_tanks)
        wanted = {
            index: left * (shares[index] / weight if weight > 0 else 1 / len(open_tanks))
            for index in open_tanks
        }
        poured = {index: min(wanted[index], capacities[index] - result[index]) for index in open_tanks}
        for index, volume in poured.items():
            result[index] += volume
        left -= math.fsum(poured.values())
        closed = [index for index in open_tanks if capacities[index] - result[index] <= 1e-12]
        if not closed:
            break
        open_tanks = [index for index in open_tanks if index not in closed]
    return tuple(result)


def in_the_way(now: Contents, doubts: Sequence[Suspect]) -> Suspect | None:
    """The first suspect by which the log itself is wrong, that nothing has settled, and since which no
    reading of every tank was taken: until then no quantity may be taken for endurance.

    Parameters: `now`, as `contents` has it; `doubts`, as `suspects` has them.
    """
    readings = [each.since for each in now.agreement.sources if each.name in READINGS]
    return next(
        (
            each
            for each in doubts
            if each.moves and not each.settled and not any(read > each.at for read in readings)
        ),
        None,
    )


def contents(aircraft: Aircraft, entries: Sequence[Stored]) -> Contents | str:
    """What is in the tanks now, by the ledger; a reason where it does not say.

    Parameters: `aircraft`; `entries`, all of the ledger. Returns Contents in SI.
    Source: [common-practice]: the lowest for endurance, the highest for mass.
    """
    alive = effective(entries)
    found = stages(aircraft, alive)
    if not found:
        return "the ledger has no entry that counts"
    last = found[-1]
    agreement = compare(last.sources)
    low, high = agreement.lowest, agreement.highest
    if low is None or high is None:
        return (
            "the ledger has no known quantity to start from; add a dip, a gauge, or an uplift with --leaves"
        )
    shares, capacities = _shares(aircraft, last), [tank.usable for tank in aircraft.tanks.values()]

    def spread(source: FuelSource) -> tuple[tuple[float, ...], tuple[float, ...]]:
        volumes = per_tank(source.volume, shares, capacities)
        # One total over several tanks: its error is carried by the tanks in proportion to the root of their
        # share, so that they add up to it.
        return volumes, tuple(source.u * math.sqrt(share) for share in shares)

    return Contents(*spread(low), *spread(high), agreement, alive[-1].entry.at)
