"""The sheets filled in at the bench: a density bottle weighed, a hydrometer floated, and who did it when."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import Field, StrictBool, ValidationInfo, field_validator, model_validator

from planner.facts.grades import GRADES, Grade
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.sentences import Figure, say
from planner.quantities.units import Quantity, read_quantity
from planner.records.document import Document
from planner.records.fields import (
    Day,
    Density,
    Duration,
    Length,
    Mass,
    ReadBy,
    Record,
    Temperature,
    TimedRows,
    Volume,
    quantity,
    refusal,
    validate,
)
from planner.records.placed import Located, found, place_all, unknown
from planner.records.store import Loaded

CLASSROOM_LIQUIDS: Final = ("water", "salt water", "cooking oil", "lamp oil")
# a kerosine: the petroleum tables move its density to 15 degC
PETROLEUM_OUTSIDE_GRADES: Final = ("lamp oil",)
HEAVIEST_EMPTY: Final = 5.0  # kg: 10 L at most, of glass
HEAVIEST_FULL: Final = 20.0  # kg
BASE: Final = Quantity(15.0, 0.0, "temperature", "15 degC")
NO_SECONDS: Final = Quantity(0.0, 0.0, "time", "0 s")


def read_difference(value: Any) -> Quantity:
    """A temperature difference: `0.3 degC` here is a step, not a place on the scale."""
    if isinstance(value, Quantity):
        return value
    try:
        read = read_quantity(f"0 +/- {value}" if isinstance(value, str) else value, "temperature")
    except InputRefused as refused:
        first = refused.findings[0]
        message = first.message.replace("0 +/- ", "")
        raise refusal(first.code, message, "needed a difference of temperature such as '0.3 degC'") from None
    return Quantity(read.u, 0.0, "temperature", str(value))


Step = Annotated[Quantity, ReadBy(read_difference)]
Pressure = Annotated[Quantity, quantity("pressure")]
Ratio = Annotated[Quantity, quantity("ratio", low=0.0, low_words="zero or more")]


def read_label(value: Any) -> str:
    """What is written on a thing, as text."""
    if isinstance(value, str) and 0 < len(value.strip()) <= 60:
        return value
    # 007 would come out of YAML as 7: what is written on a bottle is not a number
    hint = f"put it in quotes: '{value}'" if isinstance(value, (int, float)) else ""
    raise refusal(
        "bench-label", f"{value!r} is not a label", "needed what is written on it, up to 60 characters", hint
    )


Label = Annotated[str, ReadBy(read_label)]


class Reading(Record):
    """What the balance showed: one figure, or a series, carried back to the closing of the stopper."""

    reading: Mass | None = None
    closed: Duration = NO_SECONDS
    readings: TimedRows | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, value: Any) -> Any:
        return value if isinstance(value, (dict, Reading)) else {"reading": value}

    @model_validator(mode="after")
    def _one(self) -> Reading:
        if (self.reading is None) == (self.readings is None):
            needed = "needed a mass such as '63.15 g', or {closed: 0 s, readings: [[30 s, 63.150 g], ...]}"
            raise refusal("bench-reading", "a weighing needs one reading or one series of readings", needed)
        return self

    def masses(self) -> list[Quantity]:
        """Every figure of the balance."""
        return [self.reading] if self.reading is not None else [mass for _, mass in self.readings or ()]


class Air(Record):
    """The air around the balance; `pressure` as read at the place, `qnh` as an altimeter is set."""

    temperature: Temperature | None = None  # that of the sample where it was not read
    pressure: Pressure | None = None
    altitude: Length | None = None
    qnh: Pressure | None = None
    humidity: Ratio | None = None

    @model_validator(mode="after")
    def _one_pressure(self) -> Air:
        if (self.pressure is None) == (self.altitude is None) or (
            self.qnh is not None and self.altitude is None
        ):
            needed = (
                "needed {pressure: 1009 hPa, temperature: 20 degC}, or {altitude: 420 m, temperature: 20"
                " degC}, to which qnh may be added"
            )
            message = "the air needs its pressure at the place, or the altitude"
            raise refusal("bench-air", message, needed, "the pressure here is QFE, not QNH")
        return self


class Balance(Record):
    """The balance: its step, the standard uncertainty of one reading, and of its scale as a whole."""

    resolution: Mass | None = None
    uncertainty: Mass | None = None
    scale: Ratio | None = None


class Calibrated(Record):
    """The volume of the bottle at 20 degC from an earlier weighing with water."""

    volume: Volume
    date: Day
    empty: Mass | None = None  # the empty bottle then: another mass now is another bottle


class Batch(Record):
    """The density the supplier declares for the batch, at 15 degC unless said otherwise."""

    density: Density
    at: Temperature = BASE
    certificate: str = ""


class BenchSheet(Record):
    """What every sheet of the bench states."""

    id: Label
    invented: StrictBool = False
    liquid: str
    date: Day
    place: str = ""
    observer: str = ""
    batch: Batch | None = None
    aircraft: str = ""
    # strict: 'yes' in quotes or not is text, and no acknowledgement
    cautions_acknowledged: StrictBool = False

    @property
    def grade(self) -> Grade | None:
        """The declared fuel grade, or None for a classroom liquid."""
        return GRADES.get(self.liquid)

    @property
    def petroleum(self) -> bool:
        """Whether the petroleum tables hold for the liquid."""
        return self.liquid in GRADES or self.liquid in PETROLEUM_OUTSIDE_GRADES


class BottleSheet(BenchSheet):
    """A density bottle weighed empty, with the sample and, to know what it holds, with water."""

    bottle: Literal[1]
    marked: Volume | None = None
    glass: Literal["borosilicate", "soda-lime"] | None = None
    tared: StrictBool = False
    empty: Reading | None = Field(default=None, validate_default=True)
    sample: Reading
    water: Reading | None = None
    calibrated: Calibrated | None = None
    temperature: Temperature | None = None
    sample_temperature: Temperature | None = None
    water_temperature: Temperature | None = None
    thermometer: Step | None = None
    air: Air | None = None
    balance: Balance = Balance()

    @field_validator("empty")
    @classmethod
    def _empty_or_tared(cls, value: Reading | None, others: ValidationInfo) -> Reading | None:
        if value is None and others.data.get("tared") is False:
            needed = "needed 'empty: 27.41 g', or 'tared: true' where the balance was zeroed on the bottle"
            raise refusal("key-missing", "'empty' is missing", needed)
        if value is not None and others.data.get("tared"):
            needed = "needed one of the two"
            raise refusal(
                "bench-tared", "'tared: true' and a reading of the empty bottle", needed, "delete one of them"
            )
        return value


class HydrometerSheet(BenchSheet):
    """A hydrometer floated in the sample."""

    hydrometer: Literal[1]
    reading: Density
    division: Density | None = None
    temperature: Temperature
    reference_temperature: Temperature = BASE
    glass_correction: StrictBool
    meniscus: Density = Quantity(0.0, 0.0, "density", "0 kg/m3")


S = TypeVar("S", BottleSheet, HydrometerSheet)


def _common(sheet: BenchSheet) -> Iterator[Located]:
    """bench-liquid-unknown; bench-cautions: fuel, and no cautions acknowledged; bench-batch-liquid."""
    liquids = (*GRADES, *CLASSROOM_LIQUIDS)
    kind = "known grade or classroom liquid"
    yield from unknown(("liquid",), [sheet.liquid], liquids, "bench-liquid-unknown", kind)
    if sheet.grade is not None and not sheet.cautions_acknowledged:
        message = f"the handling cautions for {sheet.grade.name} are not acknowledged"
        hint = (
            "read every one of them, then write 'cautions_acknowledged: true' or add --acknowledge-cautions"
        )
        needed = "needed before a sample of fuel is weighed or floated"
        yield found(("cautions_acknowledged",), "bench-cautions", message, needed, hint)
    if sheet.batch is not None and sheet.liquid in CLASSROOM_LIQUIDS and not sheet.petroleum:
        message = f"{sheet.liquid} has no batch to be compared with: no table moves its density to 15 degC"
        yield found(("batch",), "bench-batch-liquid", message, "needed a fuel or lamp oil", "delete 'batch:'")


def _bottle(sheet: BottleSheet) -> Iterator[Located]:
    """bench-volume-ways: water and a calibration both; bench-temperature-missing, bench-temperature-ways."""
    yield from _masses(sheet)
    if sheet.water is not None and sheet.calibrated is not None:
        message = "the bottle's volume is given both by water and by an earlier calibration"
        needed = "needed one of 'water:' and 'calibrated:'"
        yield found(("calibrated",), "bench-volume-ways", message, needed, "keep the water: it is of today")
    for key, used in (("sample_temperature", True), ("water_temperature", sheet.water is not None)):
        own = getattr(sheet, key)
        if own is not None and sheet.temperature is not None:
            message, needed = f"'{key}' and 'temperature' are both given", "needed one of the two"
            yield found((key,), "bench-temperature-ways", message, needed, "delete 'temperature:'")
        elif own is None and sheet.temperature is None and used:
            hint = "or 'temperature:' where one reading holds for all"
            message, needed = f"'{key}' is missing", f"needed '{key}: 20.0 degC'"
            yield found((key,), "bench-temperature-missing", message, needed, hint)
    if sheet.water_temperature is not None and sheet.water is None:
        message, hint = "a temperature of water and no weighing with water", "add 'water:' or delete it"
        yield found(("water_temperature",), "bench-temperature-ways", message, hint=hint)


def _masses(sheet: BottleSheet) -> Iterator[Located]:
    """bench-mass-implausible: a reading no density bottle gives, mostly kilograms for grams."""
    for key in ("empty", "sample", "water"):
        weighing: Reading | None = getattr(sheet, key)
        if weighing is None:
            continue
        what, most = ("is", HEAVIEST_EMPTY) if key == "empty" else ("and its liquid are", HEAVIEST_FULL)
        for each in [each for each in weighing.masses() if each.value > most][:1]:
            message = f"'{each.text}' is {each.value:g} kg: no density bottle {what} so heavy"
            kilograms = each.text.endswith("kg")
            guess = f"did you mean '{each.text.split()[0]} g'?" if kilograms else "check the unit"
            yield found((key,), "bench-mass-implausible", message, f"needed at most {most:g} kg", guess)


def _hydrometer(sheet: HydrometerSheet) -> Iterator[Located]:
    """bench-hydrometer-liquid: the petroleum tables do not hold; bench-density-implausible,
    bench-uncertainty-implausible, bench-reference-temperature.
    """
    if sheet.liquid in CLASSROOM_LIQUIDS and not sheet.petroleum:
        message = f"a hydrometer reading of {sheet.liquid} cannot be moved to 15 degC by the petroleum tables"
        hint = f"weigh {sheet.liquid} in a bottle instead"
        yield found(("liquid",), "bench-hydrometer-liquid", message, "needed a fuel or lamp oil", hint)
    if not 500 <= sheet.reading.value <= 1100:
        words = "'{}' is {}, which no hydrometer for fuel shows"
        message = say(words, sheet.reading.text, Figure(sheet.reading.value, "density"))
        needed = "needed 0.5 to 1.1 kg/L"
        yield found(("reading",), "bench-density-implausible", message, needed, "check number and unit")
    for key, spread, most, unit in (
        ("reading", sheet.reading.u, 50, "kg/m3"),
        ("division", sheet.division.value if sheet.division is not None else 0.0, 50, "kg/m3"),
        ("meniscus", sheet.meniscus.u, 50, "kg/m3"),
        ("temperature", sheet.temperature.u, 10, "K"),
    ):
        if not 0 <= spread <= most:
            message, hint = f"unsure by {spread:.3g} {unit}: this measures nothing", "check it"
            yield found((key,), "bench-uncertainty-implausible", message, f"needed 0 to {most} {unit}", hint)
    if not 0 <= sheet.reference_temperature.value <= 30:
        message = f"no hydrometer's scale is right at '{sheet.reference_temperature.text}'"
        needed, hint = "needed 0 to 30 degC", "it is printed on the instrument"
        yield found(("reference_temperature",), "bench-reference-temperature", message, needed, hint)
    if abs(sheet.meniscus.value) > 10:
        message = f"a meniscus of '{sheet.meniscus.text}' is not plausible"
        yield found(("meniscus",), "bench-density-implausible", message, "needed within 10 kg/m3")


def sheet_findings(sheet: BottleSheet | HydrometerSheet, document: Document) -> tuple[Finding, ...]:
    """Every finding of a sheet that does not need its figures joined, placed."""
    own = _bottle(sheet) if isinstance(sheet, BottleSheet) else _hydrometer(sheet)
    return place_all(document, [*_common(sheet), *own])


def load_sheet(document: Document, model: type[S], acknowledged: bool = False) -> Loaded[S]:
    """The sheet in a document already read; its checks are made when it is worked out, so that all findings
    come at once.

    Parameters: `document`; `model` BottleSheet or HydrometerSheet; `acknowledged` where the cautions were
    acknowledged beside the file. Raises InputRefused with every finding of form.
    """
    key = "bottle" if model is BottleSheet else "hydrometer"
    if acknowledged and isinstance(document.value, dict):
        document.value["cautions_acknowledged"] = True
    return Loaded(validate(document, model, key), document)


def beside(document: Document) -> Path:
    """The folder that names in a document are relative to."""
    return Path(document.path).parent if not document.path.startswith("<") else Path()
