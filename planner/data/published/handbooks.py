"""Worked examples of handbooks and circulars: weighing, loading, shifting, ballast, time in the tanks."""

from __future__ import annotations

from typing import Final

from planner.data.published.case import COPY, CUT, EXACT, FLOAT, HALF, MEMORY, NO_ROUNDING, READ, PublishedCase

_PHAK: Final = "faa-h-8083-25"
_PHAK_TABLE: Final = "weight and balance chapter, computational method"
_PHAK_ZFW: Final = "weight and balance chapter, zero-fuel weight example"
_PHAK_SHIFT: Final = "weight and balance chapter, shifting, adding and removing weight"
_AC: Final = "ac-43.13-1b"

HANDBOOKS: Final[tuple[PublishedCase, ...]] = (
    # Mass and balance
    PublishedCase("phak-mass", _PHAK, _PHAK_TABLE, "loaded mass", "lb", 3320, FLOAT, EXACT, READ),
    PublishedCase("phak-cg", _PHAK, _PHAK_TABLE, "loaded CG", "in", 84.8, 0.05, HALF, MEMORY),
    PublishedCase("phak-zero-fuel-mass", _PHAK, _PHAK_ZFW, "zero-fuel mass", "lb", 4240, FLOAT, EXACT, READ),
    PublishedCase("phak-zero-fuel-moment", _PHAK, _PHAK_ZFW, "zero-fuel moment", "lb.in", 403205, 0.5, HALF, MEMORY),
    PublishedCase("phak-zero-fuel-cg", _PHAK, _PHAK_ZFW, "zero-fuel CG", "in", 95.1, 0.05, HALF, MEMORY),
    PublishedCase("phak-ramp-mass", _PHAK, _PHAK_ZFW, "ramp mass", "lb", 5062, FLOAT, EXACT, MEMORY),
    PublishedCase("phak-takeoff-mass", _PHAK, _PHAK_ZFW, "take-off mass", "lb", 5038, FLOAT, EXACT, MEMORY),
    PublishedCase("phak-takeoff-cg", _PHAK, _PHAK_ZFW, "take-off CG", "in", 97.9, 0.05, HALF, MEMORY),
    PublishedCase("phak-landing-mass", _PHAK, _PHAK_ZFW, "landing mass", "lb", 4588, FLOAT, EXACT, MEMORY),
    PublishedCase("phak-landing-cg", _PHAK, _PHAK_ZFW, "landing CG", "in", 96.5, 0.05, HALF, MEMORY),
    PublishedCase("phak-shift-before", _PHAK, _PHAK_SHIFT, "CG before 100 lb moved aft", "in", 77.0, 0.05, HALF, READ),
    PublishedCase("phak-shift-moment", _PHAK, _PHAK_SHIFT, "moment after 100 lb moved aft", "lb.in", 628000, FLOAT * 1e3, NO_ROUNDING, READ),
    PublishedCase("phak-shift-after", _PHAK, _PHAK_SHIFT, "CG after 100 lb moved aft", "in", 78.5, 0.05, HALF, READ),
    PublishedCase("phak-shift-wanted", _PHAK, _PHAK_SHIFT, "mass to move for a CG 1 in forward", "lb", 65, FLOAT, "no rounding in it", COPY),
    PublishedCase(
        "phak-test-item-shift",
        _PHAK,
        "knowledge-test item on the shift formula",
        "CG after 90 lb moved forward",
        "in",
        96.13,
        0.0051,
        "half of the last printed digit; the exact 96.125 was rounded up",
        COPY,
    ),
    PublishedCase("phak-addition", _PHAK, _PHAK_SHIFT, "CG after 140 lb put in", "in", 81.4, 0.05, HALF, MEMORY),
    PublishedCase("phak-removal", _PHAK, _PHAK_SHIFT, "CG after 100 lb taken out", "in", 78.8, 0.05, HALF, MEMORY),
    PublishedCase("datum-at-mains", "faa-h-8083-1a", "ch. 3, nose-wheel aircraft", "CG from the main wheels", "in", -13.2, 0.05, HALF, READ),
    PublishedCase("datum-ahead", "faa-h-8083-1a", "ch. 3, nose-wheel aircraft", "CG, datum 128 in ahead of the mains", "in", 114.8, 0.05, HALF, READ),
    PublishedCase("datum-behind", "faa-h-8083-1a", "ch. 3, nose-wheel aircraft", "CG, datum 75 in behind the mains", "in", -88.2, 0.05, HALF, READ),
    PublishedCase("tailwheel-ahead", "faa-h-8083-1a", "ch. 3, tail-wheel aircraft", "CG, datum 7.5 in ahead of the mains", "in", 19.7, 0.05, HALF, MEMORY),
    PublishedCase("tailwheel-behind", "faa-h-8083-1a", "ch. 3, tail-wheel aircraft", "CG, datum 80 in behind the mains", "in", -67.8, 0.05, HALF, MEMORY),
    PublishedCase(
        "weighing-mass",
        "faa-h-8083-30",
        "ch. 4, fig. 4-20",
        "empty mass from the scales",
        "lb",
        1331.5,
        FLOAT,
        "half pounds in, half pounds out: only float noise is allowed",
        MEMORY,
    ),
    PublishedCase("weighing-cg", "faa-h-8083-30", "ch. 4, fig. 4-20", "empty CG from the scales", "in", 50.1, 0.05, HALF, MEMORY),
    PublishedCase("percent-mac", "faa-h-8083-1", "percent MAC example", "CG as a share of the MAC", "%", 36.3, 0.05, HALF, MEMORY),
    PublishedCase("lever", "faa-h-8083-1b", "ch. 2, three masses on a lever", "balance point", "in", 72, FLOAT, EXACT, READ),
    PublishedCase("lever-shifted", "faa-h-8083-1b", "ch. 2, fig. 2-11", "arm of B that balances it at 50 in", "in", 25, FLOAT, NO_ROUNDING, MEMORY),
    PublishedCase(
        "twin-mass",
        "faa-h-8083-1b",
        "multi-engine chapter, chart method",
        "loaded mass, from scales to load",
        "lb",
        5064,
        0.002,
        "a weighed record is kept to the gram",
        COPY,
    ),
    PublishedCase(
        "ballast",
        "faa-h-8083-1b",
        "permanent ballast example",
        "ballast to reach the forward limit, rounded up",
        "lb",
        7.7,
        FLOAT,
        "rounded up to 0.1 lb, as ballast must be",
        MEMORY,
    ),
    PublishedCase("forward-mass", _AC, "fig. 10-10", "mass, most forward loading", "lb", 1439, FLOAT, EXACT, READ),
    PublishedCase("forward-moment", _AC, "fig. 10-10", "moment, most forward loading", "lb.in", 16104, 1.0, CUT, READ),
    PublishedCase("forward-cg", _AC, "fig. 10-10", "CG, most forward loading", "in", 11.2, 0.05, HALF, READ),
    PublishedCase("aft-mass", _AC, "fig. 10-11", "mass, most aft loading", "lb", 2036, FLOAT, EXACT, READ),
    PublishedCase("aft-moment", _AC, "fig. 10-11", "moment, most aft loading", "lb.in", 43428, 1.0, CUT, READ),
    PublishedCase("aft-cg", _AC, "fig. 10-11", "CG, most aft loading", "in", 21.33, 0.005, HALF, READ),
    PublishedCase("minimum-fuel-mass", _AC, "10-2p", "mass of the 13.75 USgal a 165 hp engine needs at least", "lb", 82.5, FLOAT, NO_ROUNDING, READ),
    PublishedCase("passengers-mass", _AC, "fig. 10-13", "mass, most passengers", "lb", 2100, FLOAT, EXACT, READ),
    PublishedCase("passengers-moment", _AC, "fig. 10-13", "moment, most passengers", "lb.in", 38466, 1.0, CUT, READ),
    PublishedCase("passengers-fuel", _AC, "fig. 10-13", "fuel that may be carried with most passengers", "USgal", 39, FLOAT, NO_ROUNDING, READ),
    PublishedCase("baggage-mass", _AC, "fig. 10-14", "mass, most baggage", "lb", 2036, FLOAT, EXACT, READ),
    PublishedCase("baggage-moment", _AC, "fig. 10-14", "moment, most baggage", "lb.in", 37988, 1.0, CUT, READ),
    PublishedCase("baggage-cg", _AC, "fig. 10-14", "CG, most baggage", "in", 18.7, 0.05, HALF, READ),
    PublishedCase(
        "time-in-tanks",
        "tp-2228",
        "fuel: three quarters of the time in the tanks",
        "planned time of 38 USgal at 8 USgal/h",
        "h",
        3.5625,
        FLOAT,
        "no rounding in it",
        READ,
    ),
    PublishedCase("ballast-arm", "ballast-arm-item", "2222 kg at 6.13 m and 136 kg for a CG at 6.28 m", "arm of the ballast", "m", 8.73, 0.005, HALF, COPY),
)
