"""The skeleton that `planner aircraft new` writes: blanks, so that no example figure can be flown."""

from typing import Final

SKELETON: Final = """\
# An aircraft profile. Fill in EVERY figure from the approved flight manual and the current weighing report
# of this very aircraft; figures of the type in general, or of a sister aircraft, will not do.
# Every quantity is written 'number unit', optionally 'number +/- standard-uncertainty unit': 688.4 +/- 2 kg.
# Units: kg lb | m mm in | L USgal impgal | L/h USgal/h | kg.m lb.in (a bare 'gal' is refused).
# Then: planner aircraft check THIS-FILE
profile: 1
name:                       # as you call it
source:                     # manual title, revision, and date of the weighing report
datum:                      # where arms are measured from; arms ahead of it are negative
fuel_grades: []             # see: planner density grades
basic_empty:
  mass:                     # from the current weighing report
  arm:                      # or 'moment:' instead
  date:                     # of that report, such as 2026-03-14
  includes: []              # what the report includes: full oil, unusable fuel
stations:
  front seats: {kind: seats, seats: 2, arm: }
  baggage: {kind: baggage, arm: , max: }
# combined_limits:
#   - {name: all baggage, stations: [baggage, shelf], max: }
tanks:
  left: {capacity: , unusable: , arm: }  # with the unusable fuel; arm may be a table [[0 L, 2.38 m], ...]
feed: together              # or the order in which tanks are emptied: [auxiliary, [left, right]]
masses:
  max_takeoff:
  # max_ramp:
  # max_landing:
  # max_zero_fuel:
envelopes:
  normal:
    edges: linear in cg     # or: linear in moment; follow the manual's own chart, they differ
    forward: []             # [[lowest mass, arm], ..., [take-off mass, arm]]
    aft: []
# lateral: {left: , right: }
# mean_aerodynamic_chord: {leading_edge: , length: }
burn:
  taxi:
  cruise:
  holding:
drains: []                  # every drain point, as a checklist
examples:                   # a sample loading of the papers: the check reckons it anew, so a slip shows
  - name:                   # where it is printed
    # basic_empty: {mass: , moment: }      # where the sample is not of this very aircraft
    load: {front seats: , baggage: }
    fuel:                   # usable, over all tanks; or {left: , right: }
    density:                # what the papers reckon with
    mass:                   # as printed, to the digit
    moment:                 # or centre_of_gravity:
    inside: true
"""
