"""Final-reserve rules as data: how many minutes, at which speed, and who says so.

"30 minutes" is three different amounts of fuel, as one rule counts it at cruise, another holding
and another at maximum continuous power: `basis` names the flow of the profile that is used. Rules
change and none of this is legal advice, so every note ends with the same request.
"""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

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
    a matter of course (the flight states one or says why none is needed); no rule listed forbids a pilot's
    own contingency line; `source` is a key of SOURCES, `citation` the clause, `read` the day it was taken
    down, `tag` how this row was read.
    """

    key: str
    name: str
    aircraft: Kind
    final_reserve: float
    basis: Basis
    basis_words: str
    conditions: tuple[str, ...]
    alternate_required: bool
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

# At which speed a rule counts, with the words of the rule.
_Speed: TypeAlias = tuple[Basis, str]
_NORMAL: Final[_Speed] = ("cruise", "normal cruising speed")
_PLANNED: Final[_Speed] = ("cruise", "planned normal cruising speed")
_NO_SPEED: Final[_Speed] = ("cruise", "the cruise flow, as the rule states no speed")
_ALTITUDE: Final[_Speed] = ("cruise", "normal cruising altitude, taken as the cruise flow")
_HOLDING: Final[_Speed] = ("holding", "holding speed at 1500 ft above the aerodrome")
_BEST_RANGE: Final[_Speed] = ("best range", "best-range speed")
_FULL_POWER: Final[_Speed] = (
    "maximum continuous",
    "maximum continuous cruise power at 1500 ft above the aerodrome",
)


@frozen
class _Law:
    """What all rows of one text share; `tag` where it was not read as the rest of its source was."""

    source: str
    citation: str
    note: str = ""
    conditions: tuple[str, ...] = ()
    alternate: bool = False
    tag: Tag | None = None


_PRESUMED: Final = (
    "presumed equal to the European rule, the changed UK text was not read; before the change it asked for"
    " the same minutes at normal cruising altitude"
)
_BEFORE: Final = "read in a UK consolidation of 2020-11-21; the text it was since folded into was not read"
_ICAO_HELI_WORDS: Final = (
    "written from memory: only Section II, air transport, was read, which asks for 20 min at best-range speed"
    " and 10 % of the flight time"
)
_ICAO: Final = ("a standard that binds states, not pilots: the national rule of the country flown in counts",)
_NZ_SHORT: Final = (
    "for a flight shorter than 20 min the rule asks for as much again as the flight takes; 20 min are counted"
    " here"
)
_NZ_TURBINES: Final = "for aeroplanes without turbines; those with turbines need 30 min"

_US_DAY: Final = _Law("14-cfr-91.151", "14 CFR 91.151(a)(1)")
_US_NIGHT: Final = _Law("14-cfr-91.151", "14 CFR 91.151(a)(2)")
_US_HELI: Final = _Law("14-cfr-91.151", "14 CFR 91.151(b)")
_US_IFR: Final = _Law(
    "14-cfr-91.167",
    "14 CFR 91.167(a)(3)",
    conditions=(
        "fuel to the destination, then to the alternate, then the reserve",
        "the alternate falls away only under the rule's weather exception",
    ),
    alternate=True,
)
_EU: Final = _Law("amc1-nco-op-125", "AMC1 NCO.OP.125(b), in force from 2022-10-30")
_EU_HELI: Final = _Law("nco-op-126", "NCO.OP.126 of Regulation (EU) 965/2012, as before 2022-10-30", _BEFORE)
_UK: Final = _Law("uk-nco-op-125", "UK NCO.OP.125, changed 2025-10-30", _PRESUMED)
_UK_HELI: Final = _Law("nco-op-126", "UK NCO.OP.126, as before 2025-10-30", _BEFORE)
_CA: Final = _Law("car-602.88", "CAR 602.88(3)")
_CA_ORDER: Final = (
    "fuel to the destination, an approach and a missed approach there, then to the alternate, then 45 minutes"
)
_CA_IFR: Final = _Law(
    "car-602.88",
    "CAR 602.88(4)",
    "state the approach and missed approach as phases of the trip or of the alternate",
    (_CA_ORDER,),
    alternate=True,
    tag="second-hand copy",
)
_AU: Final = _Law("part-91-mos-19", "Part 91 MOS chapter 19")
_AU_NIGHT: Final = _Law(
    "part-91-mos-19", "Part 91 MOS chapter 19", "the night figure is from memory", tag="from memory"
)
_NZ: Final = _Law("nz-car-91.305", "CAR 91.305(a)")
_NZ_IFR: Final = _Law("nz-car-91.403", "CAR 91.403", _NZ_TURBINES)
_NZ_HELI: Final = _Law("nz-car-91.305", "CAR 91.305(b)", _NZ_SHORT, tag="second-hand copy")
_NZ_HELI_IFR: Final = _Law("nz-car-91.403", "CAR 91.403")
_ICAO_GA: Final = _Law(
    "icao-annex-6-ii",
    "ICAO Annex 6 Part II, 2.2.3.6",
    "minutes from a summary; the altitude is from memory",
    _ICAO,
)
_ICAO_HELI: Final = _Law(
    "icao-annex-6-iii", "ICAO Annex 6 Part III, Section III, fuel and oil supply", _ICAO_HELI_WORDS, _ICAO
)

# Conditions of single rows.
_IN_SIGHT: Final = "day only, with the aerodrome of departure in sight throughout, landing there"
_LAND: Final = "after the reserve, fuel to approach and land"
_NO_ALTERNATE: Final = "whether an alternate is needed is another rule: state one if it is"
_OWN_CONTINGENCY: Final = "the rule itself asks for no contingency fuel; a pilot's own is always welcome"


def _rule(key: str, name: str, minutes: float, speed: _Speed, law: _Law, *conditions: str) -> ReserveRule:
    """A row of a law, with conditions of its own."""
    aircraft: Kind = "helicopters" if "helicopters" in name else "aeroplanes"
    return ReserveRule(
        key=key,
        name=name,
        aircraft=aircraft,
        final_reserve=minutes * 60.0,
        basis=speed[0],
        basis_words=speed[1],
        conditions=(f"for {aircraft} only", *law.conditions, *conditions),
        alternate_required=law.alternate,
        source=law.source,
        citation=law.citation,
        read=SOURCES[law.source].read,
        tag=law.tag or SOURCES[law.source].tag,
        note=f"{law.note}; {_CHECK}" if law.note else _CHECK,
    )


_ALL: Final[tuple[ReserveRule, ...]] = (
    _rule("us-vfr-day", "United States VFR by day, aeroplanes", 30, _NORMAL, _US_DAY),
    _rule("us-vfr-night", "United States VFR by night, aeroplanes", 45, _NORMAL, _US_NIGHT),
    _rule("us-ifr", "United States IFR, aeroplanes", 45, _NORMAL, _US_IFR),
    _rule("us-rotorcraft-day", "United States VFR by day, helicopters", 20, _NORMAL, _US_HELI),
    _rule("us-rotorcraft-night", "United States VFR by night, helicopters", 20, _NORMAL, _US_HELI),
    _rule("us-rotorcraft", "United States IFR, helicopters", 30, _NORMAL, _US_IFR),
    _rule(
        "eu-vfr-local-day", "European Union VFR by day, local, aeroplanes", 10, _FULL_POWER, _EU, _IN_SIGHT
    ),
    _rule("eu-vfr-day", "European Union VFR by day, aeroplanes", 30, _HOLDING, _EU),
    _rule("eu-vfr-night", "European Union VFR by night, aeroplanes", 45, _HOLDING, _EU),
    _rule("eu-ifr", "European Union IFR, aeroplanes", 45, _HOLDING, _EU, _NO_ALTERNATE),
    _rule("eu-heli-day", "European Union VFR by day, helicopters", 20, _BEST_RANGE, _EU_HELI),
    _rule("eu-heli-night", "European Union VFR by night, helicopters", 20, _BEST_RANGE, _EU_HELI),
    _rule("eu-heli", "European Union IFR, helicopters", 30, _HOLDING, _EU_HELI, _LAND, _NO_ALTERNATE),
    _rule("uk-vfr-day", "United Kingdom VFR by day, aeroplanes", 30, _HOLDING, _UK),
    _rule("uk-vfr-night", "United Kingdom VFR by night, aeroplanes", 45, _HOLDING, _UK),
    _rule("uk-ifr", "United Kingdom IFR, aeroplanes", 45, _HOLDING, _UK, _NO_ALTERNATE),
    _rule("uk-heli-day", "United Kingdom VFR by day, helicopters", 20, _BEST_RANGE, _UK_HELI),
    _rule("uk-heli-night", "United Kingdom VFR by night, helicopters", 20, _BEST_RANGE, _UK_HELI),
    _rule("uk-heli", "United Kingdom IFR, helicopters", 30, _HOLDING, _UK_HELI, _LAND, _NO_ALTERNATE),
    _rule("ca-vfr-day", "Canada VFR by day, aeroplanes", 30, _NORMAL, _CA),
    _rule("ca-vfr-night", "Canada VFR by night, aeroplanes", 45, _NORMAL, _CA),
    _rule("ca-ifr", "Canada IFR, aeroplanes", 45, _NO_SPEED, _CA_IFR),
    _rule("au-private-day", "Australia private VFR by day, aeroplanes", 30, _HOLDING, _AU),
    _rule("au-private-night", "Australia private VFR by night, aeroplanes", 45, _HOLDING, _AU_NIGHT),
    _rule(
        "au-private", "Australia private IFR, aeroplanes", 45, _HOLDING, _AU, _OWN_CONTINGENCY, _NO_ALTERNATE
    ),
    _rule("nz-vfr-day", "New Zealand VFR by day, aeroplanes", 30, _PLANNED, _NZ),
    _rule("nz-vfr-night", "New Zealand VFR by night, aeroplanes", 45, _PLANNED, _NZ),
    _rule("nz-ifr", "New Zealand IFR, aeroplanes", 45, _HOLDING, _NZ_IFR, _NO_ALTERNATE),
    _rule("nz-heli-day", "New Zealand VFR by day, helicopters", 20, _PLANNED, _NZ_HELI),
    _rule("nz-heli-night", "New Zealand VFR by night, helicopters", 20, _PLANNED, _NZ_HELI),
    _rule("nz-heli", "New Zealand IFR, helicopters", 30, _HOLDING, _NZ_HELI_IFR, _NO_ALTERNATE),
    _rule("icao-ga-day", "ICAO general aviation VFR by day, aeroplanes", 30, _ALTITUDE, _ICAO_GA),
    _rule("icao-ga-night", "ICAO general aviation VFR by night, aeroplanes", 45, _ALTITUDE, _ICAO_GA),
    _rule("icao-ga", "ICAO general aviation IFR, aeroplanes", 45, _ALTITUDE, _ICAO_GA, _NO_ALTERNATE),
    _rule("icao-heli-day", "ICAO general aviation VFR by day, helicopters", 20, _BEST_RANGE, _ICAO_HELI),
    _rule("icao-heli-night", "ICAO general aviation VFR by night, helicopters", 20, _BEST_RANGE, _ICAO_HELI),
    _rule(
        "icao-heli", "ICAO general aviation IFR, helicopters", 30, _HOLDING, _ICAO_HELI, _LAND, _NO_ALTERNATE
    ),
)

RULES: Final[dict[str, ReserveRule]] = {rule.key: rule for rule in _ALL}
