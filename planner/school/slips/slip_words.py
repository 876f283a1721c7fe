"""The words of every slip: its name and what was done, then what to do instead."""

from __future__ import annotations

from typing import Final

_TABLE: Final = """
tare: tare not subtracted
Chocks, jacks and pads stand on the scale too: reading less tare.

fuel-on-scales: fuel that stood on the scales not taken off
The basic empty mass has no usable fuel: subtract its mass and its moment.

scales-litres: the volume of the fuel on the scales taken off as its mass
Volume times density is mass: only mass stands on a scale.

oil-twice: oil counted twice
Oil that was on the scales is in the reading already.

oil-not-at-all: oil not counted at all
The basic empty mass includes full oil: what was drained is added.

unusable-weighed-twice: unusable fuel added to a reading that held it, or taken off
It was in the tanks on the scales and belongs to the basic empty mass: leave it.

scale-arms: the arms of two scale points exchanged
Each reading goes with the arm of its own point.

one-main: one scale left out
The aircraft stands on three scales, and all three carry it.

nominal-volume: the volume marked on the bottle used
What is marked is a name, not a measurement: use the water, or the calibration.

no-buoyancy: buoyancy of the air left out
A balance in air reads a light liquid too low: add the air's density back as the formula has it.

ratio-upside-down: the ratio of the two net readings upside down
The sample over the water: a liquid lighter than water has a ratio below one.

bottle-not-subtracted: the empty bottle not subtracted
Full less empty is what the liquid weighs, for water and sample alike.

water-is-one: water taken as exactly 1000 kg/m3
Water has 1000 kg/m3 only near 4 degC: use the figure for its temperature.

no-unit: the number is right and has no unit
A figure without a unit is not an answer: the next reader has to guess.

wrong-unit: the number is right and its unit is not
Write the unit the figure was worked out in, and the one that was asked for.

imperial-as-us: imperial gallons taken as US gallons
1 impgal is 4.546 L, 1 USgal 3.785 L: a fifth more. Write which one it is.

us-as-imperial: US gallons taken as imperial gallons
1 USgal is 3.785 L, 1 impgal 4.546 L: a fifth more. Write which one it is.

litres-times-pounds: litres multiplied by pounds per gallon
6 lb belongs to a US gallon, not to a litre: bring volume and density to one unit first.

pounds-as-kilograms: a density in pounds used as if in kilograms, or pounds written as kilograms
1 lb is 0.4536 kg: the figure is wrong by 2.2046.

not-converted: the number was not converted
A number keeps its meaning only with its unit: another unit, another number.

inverse-factor: multiplied where it should be divided, or the other way round
Ask first whether the number must get larger or smaller, then use the factor.

thirty-two: the 32 of the Fahrenheit scale left out or put in at the wrong end
degC = (degF - 32) x 5/9: first the 32, then the factor; the other way round, first the factor.

jet-for-avgas: the density of jet fuel used for avgas
Jet fuel is a ninth heavier than avgas. Use the figure of the fuel that is in the tanks.

standard-density: a standard density used where the density was given
A standard figure is for when nothing better is known; the question states the density.

temperature-sign: corrected for temperature the wrong way
Warm fuel is lighter by the litre, cold fuel heavier.

from-another-temperature: corrected from 0 or 20 degC instead of 15 degC
The tables count from 15 degC: subtract 15 from the temperature of the fuel.

no-temperature-correction: the density was not corrected to the temperature
A density holds at its own temperature only: carry it over before you use it.

unusable-as-usable: unusable fuel counted as usable
Only usable fuel can be burnt or counted beside a basic empty mass that holds the unusable fuel.

unusable-off-twice: unusable fuel taken off twice
Usable fuel is what is left once the unusable is off: it comes off once.

unusable-added: unusable fuel added a second time
The basic empty mass includes it already.

wrong-category: the limits of another category used
Limits belong to a category: take those of the one that is flown.

edge-kind: the edge read as on the other kind of chart
Follow the manual's own chart: straight in CG and straight in moment agree at the points only.

past-the-bend: the limit read on one straight line from its first point to its last
The edge bends at every point that is given: interpolate between the two neighbours of this mass.

wrong-limit: a right number held against the wrong limit
Say which limit a figure is compared with before comparing.

limit-at-another-mass: the limit not read at this mass
Where an edge slopes, the limit changes with mass: interpolate.

sign-of-margin: the sign of a margin turned round
A margin is positive inside and negative beyond the limit, on either side.

only-mass-checked: only the mass compared with its limit, not the CG
Both must be inside: a light aircraft can still be out of balance.

only-cg-checked: only the CG compared with its limits, not the mass
Both must be inside: a loading can balance and be too heavy.

combined-limit: a combined limit ignored
Each station may be within its own limit and the sum still too much.

station-limit: a station's own limit ignored
The floor under a station carries so much and no more, whatever the take-off mass allows.

takeoff-limit-on-ramp: the take-off limit held against the ramp mass
On the ramp the ramp limit holds; the take-off limit holds after taxi.

only-takeoff: only the CG at take-off worked out
Burn the fuel from its own arm and work out the landing too.

no-fuel-at-landing: all fuel taken for burnt at landing
What was not burnt is aboard at landing: take off the trip fuel, and no more.

moment-of-fuel-kept: burnt fuel taken off the mass and not off the moment
What leaves takes its moment along: subtract both.

fuel-kept-on: burnt fuel added instead of taken off
Fuel burnt leaves the aircraft: subtract its mass and its moment.

chord: LEMAC or MAC used wrongly
Subtract the leading edge (LEMAC) from the CG, and divide by the chord (MAC).

distance-from-datum: an arm used where a distance between two places belongs
A shift counts the way carried; ballast counts from the CG that is wanted.

wrong-way: moved the wrong way
Aft is plus: load carried forward brings the CG forward.

lever-from-old-cg: ballast reckoned from the old CG
The lever of ballast runs from its place to the CG that is wanted, since the ballast is part of the new
mass.

defuel-for-aft-cg: draining fuel thought to cure an aft CG that fuel does not move
Work it out: fuel near the CG changes the mass and hardly the CG. Move what lies far aft.

unsafe-rounding: rounded to the unsafe side
What must at least be moved, left or drained is rounded up; what may at most be loaded, down.

wrong-state: the amount worked out and the state not
After a change work out mass, moment and CG again: the old ones no longer hold.

judged-wrongly: the figures are there and the word is not what they say
Compare each figure with its limit, in its sign, before writing the word.

sign-of-arm: the sign of an arm lost
Ahead of the datum arms and moments are negative; they are subtracted.

scale: a factor of 10, 100 or 1000 lost: the scale of a moment, or the decimal point
Note the scale in the heading of the column, and put it back before dividing.

baggage-at-rear-seats: baggage taken at the arm of the rear seats
Each station has an arm of its own; behind the rear seats a kilogram counts for more.

rows-swapped: the masses of two rows exchanged
Put a finger on the row: each mass goes with the arm beside it.

mean-of-arms: arms averaged instead of moments added
The CG is the sum of the moments over the sum of the masses: heavy items count for more.

cg-upside-down: the mass divided by the moment
The CG is a length: moment over mass, and it lies between the smallest and the largest arm.

over-empty-mass: the moment divided by the basic empty mass
Divide by the mass of everything in the sum.

rounded-early: rounded on the way
Keep the figures of every line, and round the result once.

superseded-empty: the superseded basic empty mass used
Only the current record counts; mark the old one and put it away.

example-aircraft: the manual's example aircraft used
The example is of another aircraft: take the figures of the record of this one.

standard-people: standard masses used where the people were weighed
Few people do not even out: with known masses, use them.

litres-as-kilograms: a volume of fuel taken for its mass
Volume times density is mass: a litre of avgas is about 0.72 kg, a US gallon about 6 lb.

divided-by-density: divided by the density where one multiplies, or the other way round
Fuel is lighter than water: the kilograms are fewer than the litres. Ask which must be larger.

item-left-out: an item left out of the sum
Tick every line of the loading as it goes into the sum.

one-person: only one of several people on a row counted
The row's mass is the sum of everyone on it.

flow-unit: a fuel flow read in the wrong unit
A flow in gallons is four times its number in litres: convert it before it meets litres.

reserve-speed: the final reserve taken at the wrong speed
The rule says at which speed its minutes count: cruise, holding and full power burn differently.

reserve-minutes: the final reserve of another rule: 30 min where 45 are asked, or the other way round
Day and night have their own minutes: read the rule.

contingency-forgotten: contingency fuel left out
Contingency is a share of the trip fuel and a line of its own.

alternate-forgotten: alternate fuel left out
Fuel to the alternate is required on top of the trip.

taxi-forgotten: taxi fuel forgotten
Fuel burnt before take-off is required, and gone at take-off.

reserve-forgotten: the final reserve left out
The final reserve is still in the tanks after landing: it belongs to the fuel required.

climb: the climb forgotten, or at the cruise flow
Each phase has its time and its flow: climbing burns more.

neighbouring-line: read on the line of another place
Every place has its own line: put a finger on its name before going up or down.

last-reading-only: the loads added up without the empty aircraft
The empty aircraft with its fluids is the first line of every sum.

neighbouring-row: the nearer row of the table taken instead of interpolating
Take the rows on either side and the share of the way between them.

interpolated-backwards: interpolated from the wrong end
The share of the way counts from the row below.

lateral-sign: the sign of a lateral arm lost
Left counts as minus, right as plus: loads on both sides cancel.

zero-fuel-forgotten: the zero-fuel limit ignored
Without fuel the wings no longer carry it: the zero-fuel mass bounds the payload by itself.

landing-forgotten: the landing limit ignored
What is aboard at landing is take-off less trip fuel: it has a limit of its own.

trip-off-landing: the trip fuel taken off the landing limit instead of put on it
What is burnt on the way may be aboard at take-off: add it to the landing limit.

reference-forgotten: the distance from the reference point given as the arm from the datum
Add where the reference point lies from the datum.

reference-subtracted: the reference point taken to the wrong side of the datum
Draw the datum, the reference point and the CG on one line before adding.

planned-flow: the planned flow used where the gauges tell another
What was burnt over the time it took is the flow that counts now.

gauge-from-start: reckoned from the fuel at take-off instead of the fuel at the gauge
What was burnt is gone: count from what the gauges show now.

arm-from-datum: the arm of the fuel taken instead of its distance from the limit
The lever runs from the limit, since the CG is to lie there when the fuel is gone.

minutes-as-hours: minutes used as hundredths of an hour
45 min is 0.75 h, not 0.45 h: divide minutes by 60.
"""
WORDS: Final = {
    name: (title, " ".join(cure))
    for head, *cure in map(str.splitlines, _TABLE.strip().split("\n\n"))
    for name, title in [head.split(": ", 1)]
}
