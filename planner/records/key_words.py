"""What every key of every record means, in one line each: the descriptions of the schemas that editors show.

A key that means the same everywhere stands in `ANYWHERE`; `OF_RECORD` has what a record means by it. A test
holds both to the records.
"""

from __future__ import annotations

from typing import Final

# First what means the same everywhere, then record by record. A long line goes on further in.
_WORDS: Final = """\
aircraft: Id of `planner aircraft list`, or the path of a profile beside this file
alternate: The way to the alternate: a phase with a time or an amount of fuel
arm: Arm from the datum; aft is positive
certificate: Number of the certificate, or the batch it belongs to
date: The day it was done: year-month-day
density: Density, with the temperature it holds at
empty: The empty bottle with its stopper on the balance
fuel: Fuel: an amount by volume or mass
id: What is written on it
includes: Fluids that the basic empty mass includes; what it does not is added
invented: true for demonstration data; said on every output
lateral_arm: Arm across, from the centre line; right is positive, left negative
ledger: File of the fuel ledger beside this one, where it is not the usual one
loading_line: Two points of the manual's loading graph, in the place of the arm: [[0 kg, 0 kg.m], [100 kg,
      216 kg.m]]
load: Station -> one mass for all of it, or one per seat
mass: Mass
max: Greatest mass allowed
max_takeoff: Greatest take-off mass
measured: Density as measured, at the temperature under `at`
moment: Moment about the datum, in the place of the arm
name: Its name, as you call it
next_due: The day by which it is due again
notes: Anything worth knowing, in words
place: Where it was done
reading: What the instrument showed
reference: Number of the report or work order
tank: The tank, or tanks, that feed this phase; all in the profile's order where none is named
temperature: Temperature as measured
time: How long it takes
trip: The phases of the flight in order; taxi stands first or last
unusable: Fuel in it that can not be used; part of the capacity
volume: Volume
Station
  kind: Whether people, baggage or other things go there
  seats: How many seats it has
  lateral_arms: One lateral arm for each seat, in the order of the seats
  max: Greatest mass on this station, or on this row of seats
  min: Least mass on its first seat, where the manual gives one for flying solo
  area: Floor the load stands on
  max_per_area: Greatest load of that floor, mass per area
CombinedLimit
  stations: The stations whose sum is limited
  max: Greatest sum of their masses
TankBalance
  between: The two tanks
  max: Greatest difference of usable fuel between them
Index
  reference_arm: The arm that counts nothing: index = mass x (arm - this) / divisor + constant
  divisor: What a moment is divided by
  constant: What is added, so that no index is negative
Tank
  marks: Name of a mark -> usable fuel there, for flights: {tabs: 17 USgal}; full and empty are known of
      themselves
  max: Greatest mass of usable fuel in it
  capacity: All it holds, the unusable fuel included
  arm: Arm of its fuel, or a table of arms against the volume in it, unusable included: [[0 L, 2.38 m], [76
      L, 2.43 m]]
Masses
  max_ramp: Greatest mass before taxi, where the manual gives one
  max_landing: Greatest landing mass, where the manual gives one
  max_zero_fuel: Greatest mass without usable fuel, where the manual gives one
CategoryEnvelope
  edges: How the manual's own chart is drawn: between its points the two differ
  forward: Forward limit, lowest mass first: [[mass, arm], ...]; moments in the place of arms too
  aft: Aft limit, lowest mass first: [[mass, arm], ...]
  max_payload: Greatest payload of this category: everything on its stations, without fuel
  forbids: Stations that must be empty in this category
Lateral
  left: Left limit of the lateral centre of gravity; negative
  right: Right limit of it; positive
Chord
  leading_edge: Arm of the leading edge of the mean aerodynamic chord
  length: Length of the chord
Dipstick
  reads: Whether the stick reads all the fuel in the tank, or usable fuel
  table: Mark against volume, lowest first: [[0 cm, 0 L], [10 cm, 31 L], ...]
Oil
  volume: Oil when full
Aircraft
  units: Units its flights are shown in, where neither --units nor PLANNER_UNITS asks for others
  source: Manual, its revision, and the date of the weighing report
  datum: Where arms are measured from; arms ahead of it are negative
  fuel_grades: Grades it may use, ids of `planner density grades`
  basic_empty: Basic empty mass and its arm or moment, from the current weighing report
  stations: Name -> a place where load sits
  pilot: The seat the pilot flies from, as 'rear seat' or 'front seats 2'; the first seat where it is left
      out
  combined_limits: Limits on the sum of several stations
  tanks: Name -> a tank
  balance: Greatest difference of fuel between two tanks; one, or a list
  feed: `together`, or the order in which tanks are emptied: [auxiliary, [left, right]]
  masses: Mass limits of the aircraft
  moment_changes: Name -> moment of what moves without changing the mass, such as a gear
  exclusive_moment_changes: Lists of moment changes of which at most one holds at a time
  envelopes: Category -> its limits of the centre of gravity
  lateral: Limits of the lateral centre of gravity
  mean_aerodynamic_chord: The chord, for a centre of gravity in % of it
  index: What an index unit is, where moments are written in it: '45.2 index'
  burn: Phase -> fuel flow, by volume or mass; a reserve needs the flow at its own speed
  drains: Every drain point, as a checklist
  dipsticks: Tank -> the stick made for it
  oil: Oil that the basic empty mass leaves out
  weigh_every: The club's rule: how long a weighing holds, such as 48 months or 4 years
  examples: Sample loadings as the aircraft's own papers print them, for the check of this profile
  superseded: Earlier mass records, kept and marked by `planner aircraft amend`
ExampleEmpty
  mass: Basic empty mass in the sample loading
Example
  name: Where it is printed: page, figure, or number of the report
  category: One of the envelopes; the first where none is named
  basic_empty: Basic empty mass with arm or moment, where the sample is not of this very aircraft
  fuel: Usable fuel tank by tank, or one amount over all tanks in proportion to what they hold
  density: The density the papers reckon with; needed where fuel is given by volume
  mass: Mass as printed, to the digit
  moment: Moment as printed, to the digit
  centre_of_gravity: Centre of gravity as printed, as an arm from the datum
  inside: Whether the papers call it inside the envelope
BasicEmpty
  mass: Basic empty mass
  date: Date of the weighing report
  established: weighed, or computed from changes since a weighing
SupersededRecord
  version: Id of this record: its date and a digest of its figures
  superseded_on: The day it was replaced
  change: What replaced it, in words
  change_id: Number of that change, where it has one
  by: Who entered that change
DensitySpec
  at_15C: The supplier's figure for the batch at 15 degC, corrected to the fuel's temperature
  standard: true: the grade's standard figure, corrected to the fuel's temperature
  fixed: A density used as it stands, with no correction
  at: Temperature at which `measured` was measured
  bottle: Path of a density bottle sheet, from this file
  hydrometer: Path of a hydrometer sheet, from this file
TankContent
  usable: Usable fuel in the tank
  total: All fuel in the tank, the unusable included
  dipstick: Mark of the stick that the fuel wets
  mark: full, empty, or a mark of the profile's tank
Fuel
  grade: Grade on the delivery ticket, an id of `planner density grades`
  density: Where the density comes from: exactly one way
  temperature: Temperature of the fuel in the tanks, not of the air
  tanks: Tank -> usable fuel, or {total: 35 L}, or {dipstick: 11.5 cm}; every tank
  from: `ledger`: what is in the tanks comes from the aircraft's fuel ledger
Phase
  phase: taxi, climb, cruise or another phase of the profile's `burn:`
  fuel: An amount of fuel, in the place of a time
  flow: A flow of its own, in the place of the profile's
FurtherLeg
  load: Stations loaded anew; the others stay as they were
  uplift: Tank -> fuel put in before this leg
Flight
  title: What the flight, or its first leg, is called
  record: Id of the mass record the flight was planned with
  category: One of the profile's envelopes
  rules: The final reserve: a key of `planner fuel --rules`
  fuel: Grade, density, temperature and what is in each tank
  contingency: Share of the trip fuel, an amount, or a time at the cruise flow
  final_reserve: Your own final reserve; never below the rule's
  additional: Additional fuel
  extra: Extra fuel
  discretionary: What the pilot wants on top
  legs: Legs flown after this one
Reading
  closed: When the stopper was closed, on the clock of the readings
  readings: A series of time and mass, earliest first: [[30 s, 63.150 g], ...]
Air
  temperature: Temperature of the air; that of the sample if not given
  pressure: Pressure as read at the place (QFE)
  altitude: Altitude of the place, where no pressure was read
  qnh: Pressure reduced to sea level, as an altimeter is set
  humidity: Relative humidity
Balance
  resolution: Step of the balance's last digit
  uncertainty: Standard uncertainty of one reading
  scale: Relative standard uncertainty of its scale as a whole
Calibrated
  volume: Volume of the bottle at 20 degC
  empty: The empty bottle as it was then
Batch
  density: Density the supplier declares
  at: Temperature it is declared for; 15 degC if not given
BenchSheet
  liquid: A fuel grade, or water, salt water, cooking oil, lamp oil
  observer: Who did it
  batch: What the supplier declares for the batch
  aircraft: Profile in whose tanks an error is told in kilograms
  cautions_acknowledged: true: every handling caution was read and is followed
BottleSheet
  marked: Volume printed on the bottle: not a measurement
  glass: Kind of glass
  tared: true: the balance was zeroed on the empty bottle, so that `empty` is not read
  sample: The bottle filled with the sample: one reading, or a series
  water: The bottle filled with water: one reading, or a series
  calibrated: Volume from an earlier weighing with water
  temperature: One temperature for both liquids
  sample_temperature: Temperature of the sample
  water_temperature: Temperature of the water
  thermometer: Standard uncertainty of the one thermometer
  air: The air around the balance
  balance: The balance and how sure it is
HydrometerSheet
  reading: What the scale showed at the surface
  division: Step of the scale
  temperature: Temperature of the sample
  reference_temperature: Temperature the scale is right at, printed on the instrument; 15 degC if not given
  glass_correction: Whether the glass's expansion is corrected for; false where the table used with it holds
      it
  meniscus: Added where the top of the meniscus was read
LoadRecord
  how: How the mass is known; each way brings its own allowance and uncertainty
  mass: Mass as weighed, stated or guessed; none with `standard`
  pad: Allowance in the place of the usual one
  people: How many people a standard mass stands for
  who: Which standard mass
Scale
  calibrated: The day of its calibration
  uncertainty: Standard uncertainty all its readings share: a share, or a mass
Weigher
  name: Who weighed
  approval: Under which approval or licence
WeighingPoint
  reading: What the scale showed
  tare: What of it is not aircraft: chocks, jacks
  arm: Arm of the point, or the name of one under `arms:`
Fluid
  kind: Which fluid it is
  aboard: How much was aboard on the scales
  in_result: How much belongs in the result
  density: Density of the fluid; needed with a volume
WeighingSheet
  aircraft: The profile's own name
  weigher: Who weighed, and under which approval
  scale: The scale, its calibration and how sure it is
  attitude: How it was levelled
  configuration: Flaps, seats, doors
  equipment: What was aboard, or the equipment list by name and date
  datum: Where arms are measured from; as in the profile
  arms: Name -> an arm measured once and shared by several points
  points: Name -> a wheel, jack or pad on a scale
  fluids: Name -> a fluid; every fluid, also where there is none of it
  removed: Name -> a thing on the scales that is not part of the aircraft
  added: Name -> a thing of the aircraft that was not on the scales
Moved
  from_arm: Arm it stood at
  to_arm: Arm it stands at now
  from_lateral_arm: Lateral arm it stood at
  to_lateral_arm: Lateral arm it stands at now
ChangeSheet
  aircraft: The profile's own name
  by: Who enters the change; kept with it
  added: Name -> a thing put in
  removed: Name -> a thing taken out
  moved: Name -> a thing carried to another place
  weighed: The signed result of a new weighing
  worksheet: Path of a weighing sheet, from this file
"""


def _read(table: str) -> dict[str, dict[str, str]]:
    """The words by record and key; by no record those that hold everywhere."""
    found: dict[str, dict[str, str]] = {}
    record = ""
    for line in table.replace("\n      ", " ").splitlines():
        key, is_key, words = line.strip().partition(": ")
        if is_key:
            found.setdefault(record, {})[key] = words
        else:
            record = key
    return found


OF_RECORD: Final = _read(_WORDS)
ANYWHERE: Final = OF_RECORD.pop("")
