"""Final-reserve rules as data: how many minutes, at which speed, and who says so.

"30 minutes" is three different amounts of fuel, as one rule counts it at cruise, another holding
and another at maximum continuous power: `basis` names the flow of the profile that is used. Rules
change and none of this is legal advice, so every note ends with the same request.
"""

from __future__ import annotations

from typing import Final, Literal

from planner.facts.sources import SOURCES, Tag
from planner.quantities.frozen import frozen

Basis = Literal["cruise", "holding", "maximum continuous", "best range"]
Kind = Literal["aeroplanes", "helicopters"]


@frozen
class ReserveRule:
    """One row of a fuel rule.

    `name` in words and `aircraft`, the kind it is written for; `final_reserve` [s] is the least the rule
    asks for; `basis` is the key of the profile's `burn` that prices it, `basis_words` the rule's speed in
    words, or that it states none; `conditions` are further lines the rule counts or asks for, and first
    of all which kind of aircraft it is for; `alternate_required` says whether the rule counts an alternate as
    a matter of course (the flight states one or says why none is needed); `contingency_allowed` says whether
    a contingency line may stand in the plan (no rule listed forbids a pilot's own); `source` is a key
    of SOURCES, `citation` the clause, `read` the day it was taken down, `tag` how this row was read.
    """

    key: str
    name: str
    aircraft: Kind
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


_COPY: Final[Tag] = "second-hand copy"
_CHECK: Final = "check the current text"
_NORMAL: Final = "normal cruising speed"
_HOLDING: Final = "holding speed at 1500 ft above the aerodrome"
_BEST_RANGE: Final = "best-range speed"
_PLANNED: Final = "planned normal cruising speed"
_NO_SPEED: Final = "the cruise flow, as the rule states no speed"
_ALTITUDE: Final = "normal cruising altitude, taken as the cruise flow"


def _rule(
    key: str,
    name: str,
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
    aircraft: Kind = "helicopters" if "helicopters" in name else "aeroplanes"
    return ReserveRule(
        key=key,
        name=name,
        aircraft=aircraft,
        final_reserve=minutes * 60.0,
        basis=basis,
        basis_words=words,
        conditions=(f"for {aircraft} only", *conditions),
        alternate_required=alternate,
        contingency_allowed=True,
        source=source,
        citation=citation,
        read=SOURCES[source].read,
        tag=tag or SOURCES[source].tag,
        note=end,
    )


_US_IFR: Final = (
    "fuel to the destination, then to the alternate, then the reserve",
    "the alternate falls away only under the rule's weather exception",
)
_NO_ALTERNATE_HERE: Final = "whether an alternate is needed is another rule: state one if it is"
_EU: Final = "AMC1 NCO.OP.125(b), in force from 2022-10-30"
_EU_HELI: Final = "NCO.OP.126 of Regulation (EU) 965/2012, as before 2022-10-30"
_UK: Final = "UK NCO.OP.125, changed 2025-10-30"
_UK_HELI: Final = "UK NCO.OP.126, as before 2025-10-30"
_PRESUMED: Final = (
    "presumed equal to the European rule, the changed UK text was not read; before the change it asked for"
    " the same minutes at normal cruising altitude"
)
_BEFORE: Final = "read in a UK consolidation of 2020-11-21; the text it was since folded into was not read"
_AU: Final = "Part 91 MOS chapter 19"
_LAND: Final = "after the reserve, fuel to approach and land"
_ICAO_GA: Final = "ICAO Annex 6 Part II, 2.2.3.6"
_ICAO_HELI: Final = "ICAO Annex 6 Part III, Section III, fuel and oil supply"
_ICAO_WORDS: Final = "minutes from a summary; the altitude is from memory"
_ICAO_HELI_WORDS: Final = (
    "written from memory: only Section II, air transport, was read, which asks for 20 min at best-range speed"
    " and 10 % of the flight time"
)
_ICAO_STANDARD: Final = (
    "a standard that binds states, not pilots: the national rule of the country flown in counts"
)
_NZ_SHORT: Final = (
    "for a flight shorter than 20 min the rule asks for as much again as the flight takes; 20 min are counted"
    " here"
)

_ALL: Final[tuple[ReserveRule, ...]] = (
    _rule(
        "us-vfr-day",
        "United States VFR by day, aeroplanes",
        30,
        "cruise",
        _NORMAL,
        "14-cfr-91.151",
        "14 CFR 91.151(a)(1)",
    ),
    _rule(
        "us-vfr-night",
        "United States VFR by night, aeroplanes",
        45,
        "cruise",
        _NORMAL,
        "14-cfr-91.151",
        "14 CFR 91.151(a)(2)",
    ),
    _rule(
        "us-ifr",
        "United States IFR, aeroplanes",
        45,
        "cruise",
        _NORMAL,
        "14-cfr-91.167",
        "14 CFR 91.167(a)(3)",
        conditions=_US_IFR,
        alternate=True,
    ),
    _rule(
        "us-rotorcraft-day",
        "United States VFR by day, helicopters",
        20,
        "cruise",
        _NORMAL,
        "14-cfr-91.151",
        "14 CFR 91.151(b)",
    ),
    _rule(
        "us-rotorcraft-night",
        "United States VFR by night, helicopters",
        20,
        "cruise",
        _NORMAL,
        "14-cfr-91.151",
        "14 CFR 91.151(b)",
    ),
    _rule(
        "us-rotorcraft",
        "United States IFR, helicopters",
        30,
        "cruise",
        _NORMAL,
        "14-cfr-91.167",
        "14 CFR 91.167(a)(3)",
        conditions=_US_IFR,
        alternate=True,
    ),
    _rule(
        "eu-vfr-local-day",
        "European Union VFR by day, local, aeroplanes",
        10,
        "maximum continuous",
        "maximum continuous cruise power at 1500 ft above the aerodrome",
        "amc1-nco-op-125",
        _EU,
        conditions=("day only, with the aerodrome of departure in sight throughout, landing there",),
    ),
    _rule(
        "eu-vfr-day", "European Union VFR by day, aeroplanes", 30, "holding", _HOLDING, "amc1-nco-op-125", _EU
    ),
    _rule(
        "eu-vfr-night",
        "European Union VFR by night, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "amc1-nco-op-125",
        _EU,
    ),
    _rule(
        "eu-ifr",
        "European Union IFR, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "amc1-nco-op-125",
        _EU,
        conditions=(_NO_ALTERNATE_HERE,),
    ),
    _rule(
        "eu-heli-day",
        "European Union VFR by day, helicopters",
        20,
        "best range",
        _BEST_RANGE,
        "nco-op-126",
        _EU_HELI,
        note=_BEFORE,
    ),
    _rule(
        "eu-heli-night",
        "European Union VFR by night, helicopters",
        20,
        "best range",
        _BEST_RANGE,
        "nco-op-126",
        _EU_HELI,
        note=_BEFORE,
    ),
    _rule(
        "eu-heli",
        "European Union IFR, helicopters",
        30,
        "holding",
        _HOLDING,
        "nco-op-126",
        _EU_HELI,
        conditions=(_LAND, _NO_ALTERNATE_HERE),
        note=_BEFORE,
    ),
    _rule(
        "uk-vfr-day",
        "United Kingdom VFR by day, aeroplanes",
        30,
        "holding",
        _HOLDING,
        "uk-nco-op-125",
        _UK,
        note=_PRESUMED,
    ),
    _rule(
        "uk-vfr-night",
        "United Kingdom VFR by night, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "uk-nco-op-125",
        _UK,
        note=_PRESUMED,
    ),
    _rule(
        "uk-ifr",
        "United Kingdom IFR, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "uk-nco-op-125",
        _UK,
        conditions=(_NO_ALTERNATE_HERE,),
        note=_PRESUMED,
    ),
    _rule(
        "uk-heli-day",
        "United Kingdom VFR by day, helicopters",
        20,
        "best range",
        _BEST_RANGE,
        "nco-op-126",
        _UK_HELI,
        note=_BEFORE,
    ),
    _rule(
        "uk-heli-night",
        "United Kingdom VFR by night, helicopters",
        20,
        "best range",
        _BEST_RANGE,
        "nco-op-126",
        _UK_HELI,
        note=_BEFORE,
    ),
    _rule(
        "uk-heli",
        "United Kingdom IFR, helicopters",
        30,
        "holding",
        _HOLDING,
        "nco-op-126",
        _UK_HELI,
        conditions=(_LAND, _NO_ALTERNATE_HERE),
        note=_BEFORE,
    ),
    _rule(
        "ca-vfr-day", "Canada VFR by day, aeroplanes", 30, "cruise", _NORMAL, "car-602.88", "CAR 602.88(3)"
    ),
    _rule(
        "ca-vfr-night",
        "Canada VFR by night, aeroplanes",
        45,
        "cruise",
        _NORMAL,
        "car-602.88",
        "CAR 602.88(3)",
    ),
    _rule(
        "ca-ifr",
        "Canada IFR, aeroplanes",
        45,
        "cruise",
        _NO_SPEED,
        "car-602.88",
        "CAR 602.88(4)",
        conditions=(
            (
                "fuel to the destination, an approach and a missed approach there, then to the alternate,"
                " then 45 minutes"
            ),
        ),
        alternate=True,
        tag=_COPY,
        note="state the approach and missed approach as phases of the trip or of the alternate",
    ),
    _rule(
        "au-private-day",
        "Australia private VFR by day, aeroplanes",
        30,
        "holding",
        _HOLDING,
        "part-91-mos-19",
        _AU,
    ),
    _rule(
        "au-private-night",
        "Australia private VFR by night, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "part-91-mos-19",
        _AU,
        tag="from memory",
        note="the night figure is from memory",
    ),
    _rule(
        "au-private",
        "Australia private IFR, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "part-91-mos-19",
        _AU,
        conditions=(
            "the rule itself asks for no contingency fuel; a pilot's own is always welcome",
            _NO_ALTERNATE_HERE,
        ),
    ),
    _rule(
        "nz-vfr-day",
        "New Zealand VFR by day, aeroplanes",
        30,
        "cruise",
        _PLANNED,
        "nz-car-91.305",
        "CAR 91.305(a)",
    ),
    _rule(
        "nz-vfr-night",
        "New Zealand VFR by night, aeroplanes",
        45,
        "cruise",
        _PLANNED,
        "nz-car-91.305",
        "CAR 91.305(a)",
    ),
    _rule(
        "nz-ifr",
        "New Zealand IFR, aeroplanes",
        45,
        "holding",
        _HOLDING,
        "nz-car-91.403",
        "CAR 91.403",
        conditions=(_NO_ALTERNATE_HERE,),
        note="for aeroplanes without turbines; those with turbines need 30 min",
    ),
    _rule(
        "nz-heli-day",
        "New Zealand VFR by day, helicopters",
        20,
        "cruise",
        _PLANNED,
        "nz-car-91.305",
        "CAR 91.305(b)",
        tag=_COPY,
        note=_NZ_SHORT,
    ),
    _rule(
        "nz-heli-night",
        "New Zealand VFR by night, helicopters",
        20,
        "cruise",
        _PLANNED,
        "nz-car-91.305",
        "CAR 91.305(b)",
        tag=_COPY,
        note=_NZ_SHORT,
    ),
    _rule(
        "nz-heli",
        "New Zealand IFR, helicopters",
        30,
        "holding",
        _HOLDING,
        "nz-car-91.403",
        "CAR 91.403",
        conditions=(_NO_ALTERNATE_HERE,),
    ),
    _rule(
        "icao-ga-day",
        "ICAO general aviation VFR by day, aeroplanes",
        30,
        "cruise",
        _ALTITUDE,
        "icao-annex-6-ii",
        _ICAO_GA,
        conditions=(_ICAO_STANDARD,),
        note=_ICAO_WORDS,
    ),
    _rule(
        "icao-ga-night",
        "ICAO general aviation VFR by night, aeroplanes",
        45,
        "cruise",
        _ALTITUDE,
        "icao-annex-6-ii",
        _ICAO_GA,
        conditions=(_ICAO_STANDARD,),
        note=_ICAO_WORDS,
    ),
    _rule(
        "icao-ga",
        "ICAO general aviation IFR, aeroplanes",
        45,
        "cruise",
        _ALTITUDE,
        "icao-annex-6-ii",
        _ICAO_GA,
        conditions=(_ICAO_STANDARD, _NO_ALTERNATE_HERE),
        note=_ICAO_WORDS,
    ),
    _rule(
        "icao-heli-day",
        "ICAO general aviation VFR by day, helicopters",
        20,
        "best range",
        _BEST_RANGE,
        "icao-annex-6-iii",
        _ICAO_HELI,
        conditions=(_ICAO_STANDARD,),
        note=_ICAO_HELI_WORDS,
    ),
    _rule(
        "icao-heli-night",
        "ICAO general aviation VFR by night, helicopters",
        20,
        "best range",
        _BEST_RANGE,
        "icao-annex-6-iii",
        _ICAO_HELI,
        conditions=(_ICAO_STANDARD,),
        note=_ICAO_HELI_WORDS,
    ),
    _rule(
        "icao-heli",
        "ICAO general aviation IFR, helicopters",
        30,
        "holding",
        _HOLDING,
        "icao-annex-6-iii",
        _ICAO_HELI,
        conditions=(_ICAO_STANDARD, _LAND, _NO_ALTERNATE_HERE),
        note=_ICAO_HELI_WORDS,
    ),
)

RULES: Final[dict[str, ReserveRule]] = {rule.key: rule for rule in _ALL}
