"""Items of public knowledge tests, with the answer that was printed beside each.

The test papers themselves were not opened: pages that quote an item with its working and its answer were. Where a table of the test
supplement is needed to answer (arms, empty mass), that table is from memory and the row says so.
"""

from __future__ import annotations

from typing import Final

from planner.data.published.case import COPY, CUT, EXACT, FLOAT, HALF, LAST_CUT, MEMORY, NO_ROUNDING, PublishedCase

_PILOT: Final = "faa-pilot-test"
_MECHANIC: Final = "faa-mechanic-test"
_EUROPE: Final = "european-mass-exam"
_HELICOPTER: Final = "helicopter item, empty 1495.0 lb at 101.4 in"
_HELICOPTER_OIL: Final = "helicopter item, figure 44, 8 qt of oil and 40 USgal"
_TABLES: Final = "figures 33 and 34, loading tables (tables from memory, answer second-hand)"
_GRAPH: Final = "figures 34 and 35, loading graph with moment index"
_BURN: Final = "fuel burnt in flight, 12.7 USgal/h for 1 h 45 min"
_GLIDER: Final = "figure 54, glider with equipment added"
_ALTER_1: Final = "alteration of an aircraft of 1500 lb at 28.4 in"
_ALTER_2: Final = "alteration of an aircraft of 2886 lb"
_ALTER_3: Final = "alteration of an aircraft of 2100 lb at 32.5 in"
_TRICYCLE: Final = "weighing of a nose-wheel aircraft with hydraulic fluid aboard"
_CHORD: Final = "MAC from 625.6 in to 760.1 in"
_ROUNDED: Final = "the working rounds the fuel to 22.23 USgal; 22.225 weigh 0.03 lb less"
_CONSISTENT: Final = "the working rounds between its steps"

KNOWLEDGE_TESTS: Final[tuple[PublishedCase, ...]] = (
    PublishedCase("helicopter-mass", _PILOT, _HELICOPTER, "loaded mass of a helicopter", "lb", 2055, FLOAT, EXACT, COPY),
    PublishedCase("helicopter-moment", _PILOT, _HELICOPTER, "loaded moment of a helicopter", "lb.in", 193193, 0.5, HALF, COPY),
    PublishedCase("helicopter-cg", _PILOT, _HELICOPTER, "loaded CG of a helicopter", "in", 94.01, 0.005, HALF, COPY),
    PublishedCase("helicopter-oil-mass", _PILOT, _HELICOPTER_OIL, "loaded mass, oil by volume", "lb", 1910, FLOAT, EXACT, COPY),
    PublishedCase("helicopter-oil-moment", _PILOT, _HELICOPTER_OIL, "loaded moment, oil by volume", "lb.in", 186380, 1.0, CUT, COPY),
    PublishedCase("helicopter-oil-cg", _PILOT, _HELICOPTER_OIL, "loaded CG, oil by volume", "in", 97.58, 0.005, HALF, COPY),
    PublishedCase("drain-110", _PILOT, "item on 110 lb above the maximum", "gasoline to drain, rounded up", "USgal", 18.4, FLOAT, "rounded up to 0.1", COPY),
    PublishedCase("drain-90", _PILOT, "item on 90 lb above the maximum", "gasoline to drain", "USgal", 15, FLOAT, NO_ROUNDING, COPY),
    PublishedCase("tables-overweight", _PILOT, _TABLES, "mass above the maximum", "lb", 20, FLOAT, EXACT, MEMORY),
    PublishedCase("tables-baggage", _PILOT, _TABLES, "baggage that may still be loaded", "lb", 45, FLOAT, EXACT, MEMORY),
    PublishedCase("tables-cg", _PILOT, _TABLES, "loaded CG", "in", 83.4, 0.05, HALF, MEMORY),
    PublishedCase("graph-mass", _PILOT, _GRAPH, "loaded mass without baggage", "lb", 2195, FLOAT, EXACT, COPY),
    PublishedCase("graph-moment", _PILOT, _GRAPH, "sum of the moment indices, times 1000", "lb.in", 98200, 1e-6, NO_ROUNDING, COPY),
    PublishedCase("graph-baggage", _PILOT, _GRAPH, "baggage up to the maximum mass", "lb", 105, FLOAT, EXACT, COPY),
    PublishedCase("burn-mass", _PILOT, _BURN, "mass after 1 h 45 min", "lb", 2903.62, 0.035, _ROUNDED, COPY),
    PublishedCase("burn-cg", _PILOT, _BURN, "CG after 1 h 45 min", "in", 68.83, 0.01, LAST_CUT, COPY),
    PublishedCase("most-at-130", _PILOT, "item on 2900 lb at 115.0 in, aft limit 116.0 in", "most that may be added at 130 in", "lb", 207.1, 0.05, HALF, COPY),
    PublishedCase("glider-mass", _PILOT, _GLIDER, "mass with the equipment", "lb", 980, FLOAT, EXACT, COPY),
    PublishedCase("glider-moment", _PILOT, _GLIDER, "moment with the equipment", "lb.in", 79533.3, 0.11, "the working writes 78000.2 as 78000.3", COPY),
    PublishedCase("glider-cg", _PILOT, _GLIDER, "CG with the equipment", "in", 81.15, 0.01, LAST_CUT, COPY),
    PublishedCase("glider-shift", _PILOT, _GLIDER, "how far the CG moves forward", "in", 1.38, 0.005, HALF, COPY),
    PublishedCase("alter-1500-mass", _MECHANIC, _ALTER_1, "new empty mass", "lb", 1559, FLOAT, EXACT, COPY),
    PublishedCase("alter-1500-moment", _MECHANIC, _ALTER_1, "new empty moment", "lb.in", 47240, 0.5, HALF, COPY),
    PublishedCase("alter-1500-cg", _MECHANIC, _ALTER_1, "new empty CG", "in", 30.30, 0.005, HALF, COPY),
    PublishedCase("alter-2886-mass", _MECHANIC, _ALTER_2, "new empty mass", "lb", 3003, FLOAT, EXACT, COPY),
    PublishedCase("alter-2886-moment", _MECHANIC, _ALTER_2, "new empty moment", "lb.in", 110670.78, 0.005, HALF, COPY),
    PublishedCase("alter-2886-cg", _MECHANIC, _ALTER_2, "new empty CG", "in", 36.85, 0.005, HALF, COPY),
    PublishedCase("alter-2886-shift", _MECHANIC, _ALTER_2, "how far the CG moves aft", "in", 1.62, 0.0051, _CONSISTENT, COPY),
    PublishedCase("alter-2100-mass", _MECHANIC, _ALTER_3, "new empty mass", "lb", 2151, FLOAT, EXACT, COPY),
    PublishedCase("alter-2100-moment", _MECHANIC, _ALTER_3, "new empty moment", "lb.in", 72863.5, 0.005, NO_ROUNDING, COPY),
    PublishedCase("ballast-4954", _MECHANIC, "4954 lb at 30.5 in, forward limit 32.0 in, ballast at 162 in", "least ballast", "lb", 57.16, 0.005, HALF, COPY),
    PublishedCase("tricycle-mass", _MECHANIC, _TRICYCLE, "empty mass from the scales", "lb", 1528, FLOAT, EXACT, COPY),
    PublishedCase("tricycle-moment", _MECHANIC, _TRICYCLE, "empty moment from the scales", "lb.in", 146864, 0.5, HALF, COPY),
    PublishedCase("tricycle-cg", _MECHANIC, _TRICYCLE, "empty CG from the scales", "in", 96.11, 0.01, LAST_CUT, COPY),
    PublishedCase("water-cg", _MECHANIC, "5862 lb weighed with potable water", "empty CG, the water taken out", "in", 151.365, 0.0005, HALF, MEMORY),
    PublishedCase("chord-before", _EUROPE, _CHORD, "CG as a share of the MAC", "%", 27.8, 0.05, HALF, COPY),
    PublishedCase("chord-mass", _EUROPE, _CHORD, "mass with 2500 kg of cargo", "kg", 43500, FLOAT, "whole kilograms in, whole kilograms out", COPY),
    PublishedCase("chord-cg", _EUROPE, _CHORD, "CG with 2500 kg of cargo", "in", 645.59, 0.005, HALF, COPY),
    PublishedCase("chord-after", _EUROPE, _CHORD, "CG with the cargo as a share of the MAC", "%", 14.86, 0.005, HALF, COPY),
    PublishedCase(
        "chord-15", _EUROPE, _CHORD, "CG at 15 % of the MAC", "in", 645.78, 0.0051, "half of the last printed digit; the exact 645.775 was rounded up", COPY
    ),
)
