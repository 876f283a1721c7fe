"""Final-reserve rules as data: how many minutes, at which speed, and who says so.

"30 minutes" is three different amounts of fuel, as one rule counts it at cruise, another holding
and another at maximum continuous power: `basis` names the flow of the profile that is used. Rules
change and none of this is legal advice, so every note ends with the same request.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from planner.sources import SOURCES, TAKEN_DOWN, Tag

Basis = Literal["cruise", "holding", "maximum continuous"]


@dataclass(frozen=True, slots=True)
class ReserveRule:
    """One row of a fuel rule.

    `final_reserve` [s] is the least the rule asks for; `basis` is the key of the profile's `burn`
    that prices it, `basis_words` the rule's speed in words; `conditions` are further lines the rule
    counts or asks for; `alternate_required` says whether the rule counts an alternate as a matter of
    course (the flight states one or says why none is needed); `contingency_allowed` says whether a
    contingency line may stand in the plan (no rule listed forbids a pilot's own); `source` is a key
    of SOURCES, `citation` the clause, `read` the day it was taken down, `tag` how this row was read.
    """

    key: str
    final_reserve: float
    basis: Basis
    basis_words: str
    conditions: tuple[str, ...]
    alternate_required: bool
    contingency_allowed: bool
    source: str
    citation: str
    read: str
    tag: Tag
    note: str

    @property
    def minutes(self) -> float:
        """The final reserve in minutes [min], as the rules print it."""
        return self.final_reserve / 60.0


_CHECK: Final = "check the current text"
_NORMAL: Final = "normal cruising speed"
_HOLDING: Final = "holding speed at 1500 ft above the aerodrome"


def _rule(
    key: str,
    minutes: float,
    basis: Basis,
    words: str,
    source: str,
    citation: str,
    *,
    conditions: tuple[str, ...] = (),
    alternate: bool = False,
    tag: Tag | None = None,
    note: str = "",
) -> ReserveRule:
    # A row's own tag where only part of its source was read; otherwise the source's.
    end = f"{note}; {_CHECK}" if note else _CHECK
    return ReserveRule(key, minutes * 60.0, basis, words, conditions, alternate, True, source, citation, TAKEN_DOWN, tag or SOURCES[source].tag, end)


_US_IFR: Final = ("fuel to the destination, then to the alternate, then the reserve", "the alternate falls away only under the rule's weather exception")
_NO_ALTERNATE_HERE: Final = "whether an alternate is needed is another rule: state one if it is"
_EU: Final = "AMC1 NCO.OP.125(b), in force from 2022-10-30"
_UK: Final = "UK NCO.OP.125, changed 2025-10-30"
_PRESUMED: Final = "presumed equal to the European rule, the changed UK text was not read"
_AU: Final = "Part 91 MOS chapter 19"

_ALL: Final[tuple[ReserveRule, ...]] = (
    _rule("us-vfr-day", 30, "cruise", _NORMAL, "14-cfr-91.151", "14 CFR 91.151(a)(1)"),
    _rule("us-vfr-night", 45, "cruise", _NORMAL, "14-cfr-91.151", "14 CFR 91.151(a)(2)"),
    _rule("us-ifr", 45, "cruise", _NORMAL, "14-cfr-91.167", "14 CFR 91.167(a)", conditions=_US_IFR, alternate=True),
    _rule("us-rotorcraft-day", 20, "cruise", _NORMAL, "14-cfr-91.151", "14 CFR 91.151(b)"),
    _rule("us-rotorcraft-night", 20, "cruise", _NORMAL, "14-cfr-91.151", "14 CFR 91.151(b)"),
    _rule("us-rotorcraft", 30, "cruise", _NORMAL, "14-cfr-91.167", "14 CFR 91.167(a)", conditions=_US_IFR, alternate=True),
    _rule(
        "eu-vfr-local-day",
        10,
        "maximum continuous",
        "maximum continuous cruise power",
        "amc1-nco-op-125",
        _EU,
        conditions=("day only, with the aerodrome of departure in sight throughout, landing there",),
        tag="from memory",
        note="this row is written from memory",
    ),
    _rule("eu-vfr-day", 30, "holding", _HOLDING, "amc1-nco-op-125", _EU, note="minutes and holding basis were read, the exact wording is from memory"),
    _rule("eu-vfr-night", 45, "holding", _HOLDING, "amc1-nco-op-125", _EU, note="minutes and holding basis were read, the exact wording is from memory"),
    _rule(
        "eu-ifr",
        45,
        "holding",
        _HOLDING,
        "amc1-nco-op-125",
        _EU,
        conditions=(_NO_ALTERNATE_HERE,),
        note="minutes and holding basis were read, the exact wording is from memory",
    ),
    _rule("uk-vfr-day", 30, "holding", _HOLDING, "uk-nco-op-125", _UK, note=_PRESUMED),
    _rule("uk-vfr-night", 45, "holding", _HOLDING, "uk-nco-op-125", _UK, note=_PRESUMED),
    _rule("uk-ifr", 45, "holding", _HOLDING, "uk-nco-op-125", _UK, conditions=(_NO_ALTERNATE_HERE,), note=_PRESUMED),
    _rule("ca-vfr-day", 30, "cruise", _NORMAL, "car-602.88", "CAR 602.88"),
    _rule("ca-vfr-night", 45, "cruise", _NORMAL, "car-602.88", "CAR 602.88"),
    _rule(
        "ca-ifr",
        45,
        "cruise",
        _NORMAL,
        "car-602.88",
        "CAR 602.88",
        conditions=("fuel to the destination, an approach and a missed approach there, then to the alternate, then the reserve",),
        alternate=True,
        note="state the approach and missed approach as phases of the trip or of the alternate",
    ),
    _rule("au-private-day", 30, "holding", _HOLDING, "part-91-mos-19", _AU),
    _rule("au-private-night", 45, "holding", _HOLDING, "part-91-mos-19", _AU, tag="from memory", note="the night figure is from memory"),
    _rule(
        "au-private",
        45,
        "holding",
        _HOLDING,
        "part-91-mos-19",
        _AU,
        conditions=("the rule itself asks for no contingency fuel; a pilot's own is always welcome", _NO_ALTERNATE_HERE),
    ),
    _rule("nz-vfr-day", 30, "cruise", "planned normal cruising speed", "nz-car-91.305", "CAR 91.305"),
    _rule("nz-vfr-night", 45, "cruise", "planned normal cruising speed", "nz-car-91.305", "CAR 91.305"),
)

RULES: Final[dict[str, ReserveRule]] = {rule.key: rule for rule in _ALL}
