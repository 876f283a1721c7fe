"""Sheets of the bench to fill in, with a word on every key; what has to be filled in stands empty, what may
be stands behind a #.
"""

from __future__ import annotations

from typing import Final

_HEAD: Final = """\
# Handling fuel is the last way to a density, not the first: ask the supplier for the batch, then read
# 'planner density {kind} --cautions'.
# Every figure is "number unit"; "+/-" is a standard uncertainty. Fill in what stands empty; take the # off
# what you know as well.
{kind}: 1
id:                                    # what is written on the {kind}
date: {date}
liquid:                                # a grade (planner density grades), or water, salt water, ...
cautions_acknowledged: false           # true once every caution was read and is followed; needed for fuel
# place: apron, in the open
# observer: your name
"""

_TAIL: Final = """\
# batch: {density: 720 +/- 1 kg/m3, at: 15 degC, certificate: number}   # what the supplier declares
# aircraft: my-aircraft.yaml           # how many kilograms an error is in its tanks
"""

_BODY: Final = {
    "bottle": (
        """\
# marked: 50 mL                        # printed on the bottle: not a measurement
# glass: borosilicate                  # or soda-lime
# balance: {resolution: 0.01 g, uncertainty: 0.01 g, scale: 0.01 %}
# thermometer: 0.3 degC                # standard uncertainty of the one thermometer
# air: {altitude: 120 m}               # or pressure: as read; temperature: and humidity: of the place
empty:                                 # the bottle with its stopper, empty and dry, such as 27.41 g
# tared: true                          # instead of 'empty:', where the balance was zeroed on the empty bottle
water:                                 # filled with distilled water to the same mark, dry outside
# calibrated: {volume: 50.55 mL, date: 2026-04-01, empty: 27.410 g}   # instead of 'water:'
sample:                                # filled with the sample
temperature:                           # of both liquids; or sample_temperature: and water_temperature:
"""
    ),
    "hydrometer": (
        """\
reading:                               # at the level surface, such as 0.7165 kg/L
temperature:                           # of the sample, with the hydrometer in it, such as 18.5 degC
glass_correction:                      # true, or false where the table used holds the correction
# division: 0.0005 kg/L                # of the scale
# reference_temperature: 15 degC       # printed on the instrument
# meniscus: 0.0005 kg/L                # added where the top of the rim was read
"""
    ),
}


def blank(kind: str, date: str) -> str:
    """The text of an empty sheet. Parameters: `kind`, bottle or hydrometer; `date` to put in."""
    return _HEAD.format(kind=kind, date=date) + _BODY[kind] + _TAIL
