"""The cautions of the program: those on every plan, and those before a fuel sample is weighed or floated.

They are data so that every output shows the same words and a test can hold each output to them.
"""

from __future__ import annotations

from typing import Final

PLAN_SHORT: Final = (
    "The approved flight manual and the current weighing report govern; 'inside' does not mean safe to fly."
)

PLAN_BRIEF: Final = "CAUTION: manual and weighing report govern; 'inside' does not mean safe to fly."

# The limit of what is computed, on every plan. Common practice, no published source.
PLAN: Final[tuple[str, ...]] = (
    (
        "The approved flight manual and the current weighing report of this very aircraft govern. Where they"
        " differ from this plan, they are right."
    ),
    (
        "The limits and masses shown were typed in by a user. Compare them with the documents before you rely"
        " on them."
    ),
    "In doubt an instructor or a licensed engineer decides, not this program.",
    (
        "'Inside' does not mean safe to fly: performance, weather, restraint of the load and icing are not"
        " computed here."
    ),
    "Rules and reserves are quoted with a date, are no legal advice, and change: check the current text.",
)

INVENTED: Final = "Invented demonstration data: no real aircraft has these figures. Never fly with them."

DENSITY_GATE: Final = (
    "Density only finds a gross error. It shows a tank of jet fuel at once, but not five parts of jet fuel in"
    " a hundred, nor motor gasoline, octane, lead, age or water lying at the bottom of the tank."
)

ACKNOWLEDGEMENT: Final = (
    "I have read the handling cautions and follow them, the aerodrome's rules and the supplier's"
    " instructions."
)

# All are shown, and acknowledged, before a weighed or floated sample is accepted.
SAMPLE: Final[tuple[str, ...]] = (
    (
        "You need not weigh or float avgas to fly. Ask the supplier for the density of the batch first; the"
        " figure in the flight manual governs."
    ),
    (
        "Work outdoors only: never in a dwelling or any closed room, and well away from drains and pits. The"
        " vapour is heavier than air, flows downhill and collects in hollows; avgas gives off vapour that can"
        " be lit down to about -46 degC."
    ),
    "Keep away every flame, cigarette, telephone, running engine and heater.",
    (
        "An ordinary balance can light the vapour. Stand it upwind, switch on and zero it before fuel comes"
        " near, and put only a closed container on it."
    ),
    (
        "Take the smallest sample that serves. Bond the container to the aircraft while you draw it. Have a"
        " fire extinguisher within reach."
    ),
    (
        "Wear gloves and eye protection. Leaded fuel is toxic: let none touch the skin, and do not breathe"
        " the vapour."
    ),
    (
        "Never draw fuel up a pipette by mouth. Never pour a sample back into a tank or on the ground: hand"
        " it in where the aerodrome collects fuel waste."
    ),
    "Have an instructor or the fuel supplier with you, and follow the aerodrome's rules.",
    "If the fuel looks, smells or weighs wrong, stop. Do not fly. Tell the supplier or a licensed engineer.",
    "In a classroom use water, salt water, cooking oil or lamp oil: never avgas.",
)

CLASSROOM: Final = (
    "In a classroom practise with water, salt water, cooking oil or lamp oil, never with avgas. "
    "Keep lamp oil from flames, and never let a practice liquid come near an aircraft or its fuel."
)

# Before engine start: the look at the fuel that no figure replaces. `{dye}` and `{grade}` are those of the
# flight's fuel. Common practice, no published source.
DRAIN: Final = (
    "Drain each of these before the first flight and after each uplift, into a clear jar against a white"
    " background."
)
NO_DRAINS: Final = "every low point and the filter (none named in the profile)"
BEFORE_START: Final[tuple[str, ...]] = (
    "Colour {dye}; clear and bright; no globules, no layer at the bottom.",
    "Smell it: a jar of water alone looks clean too.",
    (
        "Water or dirt: let it settle (water sinks through about a foot of avgas in 15 minutes) and drain"
        " every point again; if it keeps coming, no flight."
    ),
    "Read the grade on the uplift ticket: {grade}.",
    (
        "Dip every tank on level ground with the stick made for it; compare dip, gauge, uplift ticket and"
        " fuel log."
    ),
)

# On every weighing record and amendment: this program never signs.
PREPARED: Final = (
    "Prepared figures, not a signed record. A licensed person checks them against the readings and the"
    " manual, and signs; a pilot does not, and this program never does."
)

# On every screen of the fuel ledger.
LEDGER: Final = (
    "A ledger reckons; it does not look into the tanks. Dip every tank on level ground before every flight,"
    " with the stick made for it."
)
