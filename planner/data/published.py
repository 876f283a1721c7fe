"""Worked examples and tables that other people published, with the figure they printed.

Only what was printed stands here: the figure, where it stands, how much of it can be relied on. The inputs
of each case and the arithmetic are in `planner.verify_cases`, which puts them through the engine.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from planner.sources import Tag


@dataclass(frozen=True, slots=True)
class PublishedCase:
    """One printed figure.

    `id`; `source`, a key of planner.sources; `clause`, page, figure or chapter; `what` was computed; `unit`
    of `published`, `tolerance` and our figure; `reason` for the tolerance; `tag`, how the least certain of the
    figures involved was read.
    """

    id: str
    source: str
    clause: str
    what: str
    unit: str
    published: float
    tolerance: float
    reason: str
    tag: Tag


_READ: Final[Tag] = "read in the source"
_COPY: Final[Tag] = "second-hand copy"
_MEMORY: Final[Tag] = "from memory"

_HALF: Final = "half of the last printed digit"
_EXACT: Final = "whole pounds in, whole pounds out: only float noise is allowed"
_CUT: Final = "the source drops the fractions of its moments, so its sum is up to 1 low"
_FLOAT: Final = 1e-9  # a tolerance for figures that have no rounding in them

_PHAK: Final = "faa-h-8083-25"
_PHAK_TABLE: Final = "weight and balance chapter, computational method"
_PHAK_ZFW: Final = "weight and balance chapter, zero-fuel weight example"
_PHAK_SHIFT: Final = "weight and balance chapter, shifting, adding and removing weight"
_AC: Final = "ac-43.13-1b"
_MC: Final = "measurement-canada-54b"
_MC_WHERE: Final = "Table 54B, inspection table of correction factors"
_MC_HALF: Final = "half of the last of four printed decimals"
_D1250_WHERE: Final = "Table 54B, worked examples"
_OTHER_FORMULA: Final = "the source uses another formula for moist air"
_CERTIFICATE: Final = "five printed decimals, and the certificates' own formulas for water and air"
_WATER_WHERE: Final = "Metrologia 38, 301, the equation's values"

PUBLISHED: Final[tuple[PublishedCase, ...]] = (
    # Mass and balance
    PublishedCase("phak-mass", _PHAK, _PHAK_TABLE, "loaded mass", "lb", 3320, _FLOAT, _EXACT, _READ),
    PublishedCase("phak-cg", _PHAK, _PHAK_TABLE, "loaded CG", "in", 84.8, 0.05, _HALF, _MEMORY),
    PublishedCase("phak-zero-fuel-mass", _PHAK, _PHAK_ZFW, "zero-fuel mass", "lb", 4240, _FLOAT, _EXACT, _READ),
    PublishedCase("phak-zero-fuel-moment", _PHAK, _PHAK_ZFW, "zero-fuel moment", "lb.in", 403205, 0.5, _HALF, _MEMORY),
    PublishedCase("phak-zero-fuel-cg", _PHAK, _PHAK_ZFW, "zero-fuel CG", "in", 95.1, 0.05, _HALF, _MEMORY),
    PublishedCase("phak-ramp-mass", _PHAK, _PHAK_ZFW, "ramp mass", "lb", 5062, _FLOAT, _EXACT, _MEMORY),
    PublishedCase("phak-takeoff-mass", _PHAK, _PHAK_ZFW, "take-off mass", "lb", 5038, _FLOAT, _EXACT, _MEMORY),
    PublishedCase("phak-takeoff-cg", _PHAK, _PHAK_ZFW, "take-off CG", "in", 97.9, 0.05, _HALF, _MEMORY),
    PublishedCase("phak-landing-mass", _PHAK, _PHAK_ZFW, "landing mass", "lb", 4588, _FLOAT, _EXACT, _MEMORY),
    PublishedCase("phak-landing-cg", _PHAK, _PHAK_ZFW, "landing CG", "in", 96.5, 0.05, _HALF, _MEMORY),
    PublishedCase("phak-shift-before", _PHAK, _PHAK_SHIFT, "CG before 100 lb moved aft", "in", 77.0, 0.05, _HALF, _READ),
    PublishedCase("phak-shift-after", _PHAK, _PHAK_SHIFT, "CG after 100 lb moved aft", "in", 78.5, 0.05, _HALF, _READ),
    PublishedCase("phak-shift-wanted", _PHAK, _PHAK_SHIFT, "mass to move for a CG 1 in forward", "lb", 65, _FLOAT, "no rounding in it", _COPY),
    PublishedCase(
        "phak-test-item-shift",
        _PHAK,
        "knowledge-test item on the shift formula",
        "CG after 90 lb moved forward",
        "in",
        96.13,
        0.0051,
        "half of the last printed digit; the exact 96.125 was rounded up",
        _COPY,
    ),
    PublishedCase("phak-addition", _PHAK, _PHAK_SHIFT, "CG after 140 lb put in", "in", 81.4, 0.05, _HALF, _MEMORY),
    PublishedCase("phak-removal", _PHAK, _PHAK_SHIFT, "CG after 100 lb taken out", "in", 78.8, 0.05, _HALF, _MEMORY),
    PublishedCase("datum-at-mains", "faa-h-8083-1a", "ch. 3, nose-wheel aircraft", "CG from the main wheels", "in", -13.2, 0.05, _HALF, _READ),
    PublishedCase("datum-ahead", "faa-h-8083-1a", "ch. 3, nose-wheel aircraft", "CG, datum 128 in ahead of the mains", "in", 114.8, 0.05, _HALF, _READ),
    PublishedCase("datum-behind", "faa-h-8083-1a", "ch. 3, nose-wheel aircraft", "CG, datum 75 in behind the mains", "in", -88.2, 0.05, _HALF, _READ),
    PublishedCase("tailwheel-ahead", "faa-h-8083-1a", "ch. 3, tail-wheel aircraft", "CG, datum 7.5 in ahead of the mains", "in", 19.7, 0.05, _HALF, _MEMORY),
    PublishedCase("tailwheel-behind", "faa-h-8083-1a", "ch. 3, tail-wheel aircraft", "CG, datum 80 in behind the mains", "in", -67.8, 0.05, _HALF, _MEMORY),
    PublishedCase(
        "weighing-mass",
        "faa-h-8083-30",
        "ch. 4, fig. 4-20",
        "empty mass from the scales",
        "lb",
        1331.5,
        _FLOAT,
        "half pounds in, half pounds out: only float noise is allowed",
        _MEMORY,
    ),
    PublishedCase("weighing-cg", "faa-h-8083-30", "ch. 4, fig. 4-20", "empty CG from the scales", "in", 50.1, 0.05, _HALF, _MEMORY),
    PublishedCase("percent-mac", "faa-h-8083-1", "percent MAC example", "CG as a share of the MAC", "%", 36.3, 0.05, _HALF, _MEMORY),
    PublishedCase("lever", "faa-h-8083-1b", "ch. 2, three masses on a lever", "balance point", "in", 72, _FLOAT, _EXACT, _READ),
    PublishedCase(
        "ballast",
        "faa-h-8083-1b",
        "permanent ballast example",
        "ballast to reach the forward limit, rounded up",
        "lb",
        7.7,
        _FLOAT,
        "rounded up to 0.1 lb, as ballast must be",
        _MEMORY,
    ),
    PublishedCase("forward-mass", _AC, "fig. 10-10", "mass, most forward loading", "lb", 1439, _FLOAT, _EXACT, _READ),
    PublishedCase("forward-moment", _AC, "fig. 10-10", "moment, most forward loading", "lb.in", 16104, 1.0, _CUT, _READ),
    PublishedCase("forward-cg", _AC, "fig. 10-10", "CG, most forward loading", "in", 11.2, 0.05, _HALF, _READ),
    PublishedCase("aft-mass", _AC, "fig. 10-11", "mass, most aft loading", "lb", 2036, _FLOAT, _EXACT, _READ),
    PublishedCase("aft-moment", _AC, "fig. 10-11", "moment, most aft loading", "lb.in", 43428, 1.0, _CUT, _READ),
    PublishedCase("aft-cg", _AC, "fig. 10-11", "CG, most aft loading", "in", 21.33, 0.005, _HALF, _READ),
    PublishedCase("minimum-fuel-volume", _AC, "10-2p", "minimum fuel of a 165 hp engine, volume", "USgal", 13.75, _FLOAT, "no rounding in it", _READ),
    PublishedCase("minimum-fuel-mass", _AC, "10-2p", "minimum fuel of a 165 hp engine, mass", "lb", 82.5, _FLOAT, "no rounding in it", _READ),
    PublishedCase(
        "time-in-tanks",
        "tp-2228",
        "fuel: three quarters of the time in the tanks",
        "planned time of 38 USgal at 8 USgal/h",
        "h",
        3.5625,
        _FLOAT,
        "no rounding in it",
        _READ,
    ),
    # Fuel density
    *(
        PublishedCase(
            f"mc54b-{density:g}@{temperature:g}",
            _MC,
            _MC_WHERE,
            f"factor to 15 degC, {density:g} kg/m3 at {temperature:g} degC",
            "1",
            printed,
            0.00005,
            _MC_HALF,
            _READ,
        )
        for density, temperature, printed in (
            (710, -40.0, 1.0700),
            (710, -38.9, 1.0686),
            (710, -35.0, 1.0638),
            (710, -24.9, 1.0512),
            (710, -20.0, 1.0450),
            (800, -40.0, 1.0502),
            (800, -35.0, 1.0457),
            (800, -20.0, 1.0322),
        )
    ),
    *(
        PublishedCase(
            f"d1250-{density:g}@{temperature:g}",
            "astm-d1250",
            _D1250_WHERE,
            f"factor to 15 degC, {density:g} kg/m3 at {temperature:g} degC",
            "1",
            printed,
            last_digit + 5e-8 * abs(temperature - 15),
            "one unit of the last printed decimal (cut or rounded is not known) and the source's alpha, rounded to seven decimals, times the correction",
            _COPY,
        )
        for density, temperature, printed, last_digit in (
            (839.0, 32.5, 0.98515, 1e-5),
            (889.0, 115.55, 0.91966, 1e-5),
            (777.5, 9.0, 1.006412, 1e-6),
            (819.0, 26.75, 0.989552, 1e-6),
        )
    ),
    *(
        PublishedCase(
            f"tanaka-{temperature:g}",
            "tanaka-2001",
            _WATER_WHERE,
            f"density of air-free water at {temperature:g} degC",
            "kg/m3",
            printed,
            0.00005,
            "half of the last of four printed decimals",
            _COPY,
        )
        for temperature, printed in ((10, 999.7027), (15, 999.1026), (20, 998.2067), (25, 997.0470), (30, 995.6488))
    ),
    PublishedCase(
        "masui-16",
        "masui-1995",
        "Metrologia 1995, result",
        "density of water measured at 16 degC",
        "kg/m3",
        998.9468,
        0.0012,
        "twice the measurement's own standard uncertainty of 0.0006",
        _READ,
    ),
    # Air and buoyancy
    PublishedCase("air-oiml", "oiml-r111", "E.3", "moist air at 20 degC, 1013.25 hPa, 50 %", "kg/m3", 1.19929, 5e-6, "half of the last printed digit", _COPY),
    PublishedCase("air-nist-1", "nist-sop-2", "Appendix B", "moist air at 22.3 degC, 748.1 mmHg, 37 %", "kg/m3", 1.17194, 1e-4, _OTHER_FORMULA, _COPY),
    PublishedCase("air-nist-2", "nist-sop-2", "Appendix B", "moist air at 23.4 degC, 612.3 mmHg, 23 %", "kg/m3", 0.95632, 1e-4, _OTHER_FORMULA, _COPY),
    PublishedCase("z-factor-1", "iso-20461", "accredited certificate", "uL per mg of weighed water at 19.72 degC", "1", 1.00275, 2.5e-5, _CERTIFICATE, _READ),
    PublishedCase("z-factor-2", "iso-20461", "accredited certificate", "uL per mg of weighed water at 18.75 degC", "1", 1.00258, 2.5e-5, _CERTIFICATE, _READ),
)
