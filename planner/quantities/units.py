"""The edge where text with a unit becomes an SI float and back.

Everything inside `planner` is in kg, m, m3, s, Pa, kg/m3, m3/s, kg/s, kg.m and, for temperature,
degrees Celsius (the petroleum and water equations are published in it). The short list of units is
exact and needs no library; any other unit is left to pint, imported only then.
"""

from __future__ import annotations

import math
import re
from functools import cache, lru_cache, partial
from typing import TYPE_CHECKING, Final, Literal

from planner.quantities.errors import Finding, InputRefused, closest
from planner.quantities.frozen import frozen

if TYPE_CHECKING:
    import pint

# Exact by definition (1959 yard and pound agreement; NIST SP 811 App. B; UK Weights and Measures Act).
POUND: Final = 0.45359237  # kg
INCH: Final = 0.0254  # m
US_GALLON: Final = 231 * INCH**3  # m3, 231 cubic inches
IMPERIAL_GALLON: Final = 4.54609e-3  # m3
LITRE: Final = 1e-3  # m3
HOUR: Final = 3600.0  # s
STANDARD_GRAVITY: Final = 9.80665  # m/s2
INCH_OF_MERCURY: Final = 3386.389  # Pa at 0 degC, NIST SP 811 App. B.8

Dimension = Literal[
    "length",
    "mass",
    "volume",
    "density",
    "temperature",
    "time",
    "volume flow",
    "mass flow",
    "moment",
    "pressure",
    "ratio",
    "area",
    "floor load",
]
UnitSystem = Literal["metric", "us", "uk"]
_Shown = tuple[str, int]  # a unit, and decimals


@frozen
class Unit:
    """`SI value = factor * number + offset`; only degF has an offset, as temperature is kept in degC."""

    name: str
    dimension: Dimension
    factor: float
    offset: float = 0.0


def _table() -> dict[str, Unit]:
    volumes = {"L": LITRE, "mL": 1e-6, "m3": 1.0, "USgal": US_GALLON, "impgal": IMPERIAL_GALLON}
    volumes["USqt"] = US_GALLON / 4
    plain: list[tuple[Dimension, dict[str, float]]] = [
        ("length", {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": INCH, "ft": 12 * INCH}),
        ("mass", {"kg": 1.0, "g": 0.001, "lb": POUND}),
        ("volume", volumes),
        (
            "density",
            {
                "kg/m3": 1.0,
                "kg/L": 1000.0,
                "g/cm3": 1000.0,
                "g/mL": 1000.0,
                "lb/USgal": POUND / US_GALLON,
                "lb/impgal": POUND / IMPERIAL_GALLON,
                "lb/L": POUND / LITRE,
            },
        ),
        ("temperature", {"degC": 1.0}),
        ("time", {"s": 1.0, "min": 60.0, "h": HOUR}),
        ("volume flow", {f"{name}/h": volumes[name] / HOUR for name in ("L", "USgal", "impgal")}),
        ("mass flow", {"kg/h": 1 / HOUR, "lb/h": POUND / HOUR}),
        ("moment", {"kg.m": 1.0, "kg.mm": 0.001, "lb.in": POUND * INCH, "lb.ft": POUND * 12 * INCH}),
        ("pressure", {"Pa": 1.0, "hPa": 100.0, "inHg": INCH_OF_MERCURY}),
        ("ratio", {"%": 0.01}),
        ("area", {"m2": 1.0, "cm2": 1e-4, "in2": INCH**2, "ft2": (12 * INCH) ** 2}),
        ("floor load", {"kg/m2": 1.0, "lb/ft2": POUND / (12 * INCH) ** 2}),
    ]
    table = {
        name: Unit(name, dimension, factor) for dimension, units in plain for name, factor in units.items()
    }
    table["degF"] = Unit("degF", "temperature", 5 / 9, -32 * 5 / 9)
    table["K"] = Unit("K", "temperature", 1.0, -273.15)
    return table


UNITS: Final[dict[str, Unit]] = _table()


def _by_spelling(cures: dict[str, str]) -> dict[str, str]:
    """Each spelling with its cure, from each cure with its spellings."""
    return {spelling: cure for cure, spellings in cures.items() for spelling in spellings.split("|")}


# Words that name several different units; guessing between them is how aircraft run out of fuel.
_GALLONS: Final = "write USgal (3.785 L) or impgal (4.546 L)"
_AMBIGUOUS: Final = _by_spelling(
    {
        _GALLONS: "gal|gallon|gallons",
        "write USgal/h or impgal/h": "gal/h|gph",
        "write lb/USgal or lb/impgal": "lb/gal",
        "write USqt (0.946 L), or litres": "quart|quarts|qt",
        "an ounce may be a mass or a volume: write g or mL": "oz",
        "write kg": "ton|tons|t|kgs|KG|Kg",
        "write L": "l|ltr",
        "write degC": "C",
        "write degF": "F",
        "write kg.m": "kgm",
        "write lb": "lbs",
        "write kg/L": "kg/l",
        "write L/h": "l/h",
        "write m": "M",
    }
)
# Spellings that are met in papers and say one thing, in small letters: the cure for each.
_CURES: Final = _by_spelling(
    {
        "write L": "liter|liters|litre|litres|ltr|ltrs|lit",
        "write kg.m": "mkg|m.kg|m-kg|mkp|kg-m|kg m|kgm|kg.m.",
        "write kg.mm": "kg-mm|kg mm|kgmm|mmkg",
        "write lb": "lb|lbs|lbs.|lb.|pounds|pound",
        "write kg": "kg|kgs|kg.|kilo|kilos",
        "write lb.in": "lb-in|lb in|lbin|lb-ins|lb.-in.|lbs-in|lbs.in|inlb|in-lb|in.lb|in lb|in-lbs|in.lbs"
        "|inch-pounds|inch pounds|pound-inches",
        "write lb.ft": "lb-ft|lb ft|lbft|ft-lb|ft.lb|ft lb|ftlb|ft-lbs|foot-pounds",
        _GALLONS: "gal|gals|gal.|gallon|gallons",
        "write USgal": "usg|us gal|us gals|us gallon|us gallons|u.s. gal|u.s. gallons|us-gal|us.gal",
        "write impgal": "imp gal|imp gallons|imp. gal|imperial gallons|uk gal|imp-gal",
        "write USgal or USgal/h": "usgal|usg/h|usgph|us gal/h",
        "write USgal/h or impgal/h": "gph|gal/h|gal/hr|gallons/h",
        "write L/h": "lph|l/hr|l/h|ltr/h|liter/h|litres/h",
        "write lb/h": "pph|lb/hr|lbs/h|lbs/hr",
        "write lb/USgal or lb/impgal": "ppg|lb/gal|lbs/gal|lbs/usgal",
        "write in": 'in.|ins|inch|inches|"',
        "write degC": "celsius|c|°c|deg c|degrees c",
        "write degF": "fahrenheit|f|°f|deg f|degrees f",
        "write h": "hrs|hr",
        "write min": "mins|minutes",
    }
)
# Volumes that are one thing in the US and another in Britain, or one of several in the US, by pint's own
# names; and masses so.
_TWO_MEANINGS: Final = {
    *("gallon", "quart", "pint", "gill", "cup", "fluid_ounce", "fluid_dram", "minim", "fifth", "shot"),
    *("tablespoon", "teaspoon", "barrel", "oil_barrel", "beer_barrel", "dry_barrel", "hogshead", "bushel"),
    *("peck", "dry_gallon", "dry_pint", "dry_quart", "board_foot", "ounce", "ton", "hundredweight"),
    *("dram", "quarter"),
}
_WHICH: Final = "say which: USgal (3.785 L), impgal (4.546 L), USqt (0.946 L), or litres; g or kg for a mass"
# A moment as a column of a loading table has it: `127.1 lb.in/1000`.
_DIVIDED: Final = r"([^/]*[^/\s])\s*/\s*(10{1,4})"

# Larger than anything of an aircraft in any SI unit used here, and small enough that no product or square of
# it overflows.
GREATEST: Final = 1e9

NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_QUANTITY = re.compile(rf"({NUMBER})(?:\s*(?:\+/-|±)\s*({NUMBER}))?\s*(\S.*)?")
_COMPOUND_TIME = re.compile(rf"({NUMBER})\s*h\s*([0-9]+\.?[0-9]*)\s*min")
# What may go to pint: names joined by * and / with small powers. Its parser would also compute, and 9**9**9
# never ends.
_TERM = r"[A-Za-zµ°_]+(?:(?:\*\*|\^)-?[1-4])?"
_UNIT_NAME = rf"{_TERM}(?:\s*[*/]\s*{_TERM}){{0,4}}"

# Of every dimension: its SI unit, how a file may state it, and the unit and decimals of each reader.
_DIMENSIONS: Final[dict[Dimension, tuple[str, str, _Shown, _Shown, _Shown]]] = {
    "length": ("m", "2.165 m", ("m", 4), ("in", 2), ("in", 2)),
    "mass": ("kg", "82 kg", ("kg", 1), ("lb", 1), ("lb", 1)),
    "volume": ("m3", "31 L", ("L", 1), ("USgal", 1), ("impgal", 1)),
    "density": ("kg/m3", "0.72 kg/L", ("kg/L", 4), ("lb/USgal", 3), ("lb/impgal", 3)),
    "temperature": ("degC", "21 degC", ("degC", 1), ("degF", 0), ("degC", 1)),
    "time": ("s", "1 h 5 min", ("min", 0), ("min", 0), ("min", 0)),
    "volume flow": ("m3/s", "33 L/h", ("L/h", 1), ("USgal/h", 1), ("impgal/h", 1)),
    "mass flow": ("kg/s", "24 kg/h", ("kg/h", 1), ("lb/h", 1), ("lb/h", 1)),
    "moment": ("kg.m", "8.2 kg.m", ("kg.m", 2), ("lb.in", 0), ("lb.in", 0)),
    "pressure": ("Pa", "1013.25 hPa", ("hPa", 1), ("inHg", 2), ("hPa", 1)),
    "ratio": ("1", "5 %", ("%", 1), ("%", 1), ("%", 1)),
    "area": ("m2", "0.4 m2", ("m2", 2), ("ft2", 2), ("ft2", 2)),
    "floor load": ("kg/m2", "300 kg/m2", ("kg/m2", 1), ("lb/ft2", 1), ("lb/ft2", 1)),
}
SI_UNIT: Final[dict[str, str]] = {name: row[0] for name, row in _DIMENSIONS.items()}
_DISPLAY: Final[dict[UnitSystem, dict[Dimension, _Shown]]] = {
    "metric": {name: row[2] for name, row in _DIMENSIONS.items()},
    "us": {name: row[3] for name, row in _DIMENSIONS.items()},
    "uk": {name: row[4] for name, row in _DIMENSIONS.items()},
}


@frozen
class Quantity:
    """A number read with its unit: `value` and standard uncertainty `u` in SI, and the text as written."""

    value: float
    u: float
    dimension: Dimension
    text: str


def _refuse(needed: str, code: str, message: str, hint: str = "") -> InputRefused:
    return InputRefused([Finding(code, message, needed, hint)])


def example_of(dimension: Dimension) -> str:
    """A quantity of that dimension, as a file would write it."""
    return _DIMENSIONS[dimension][1]


def needed_words(dimensions: tuple[Dimension, ...]) -> str:
    """What was needed, with an example of each dimension."""
    return "needed " + " or ".join(f"a {name} such as '{example_of(name)}'" for name in dimensions)


def find_unit(name: str, needed: str = "", dimensions: tuple[Dimension, ...] = ()) -> Unit:
    """The unit of that exact name; a moment may stand as a table heads it, `lb.in/1000`.

    Parameters: `name` as written; `needed` for the words of a refusal; `dimensions` asked for, whose units a
    refusal lists. Raises InputRefused for a name that stands for several units or for none that pint knows.
    """
    unit = UNITS.get(name)
    if unit is not None:
        return unit
    refuse, doubtful = partial(_refuse, needed), f"'{name}' is not one exact unit"
    if name in _AMBIGUOUS:
        raise refuse("quantity-ambiguous-unit", doubtful, _AMBIGUOUS[name])
    if re.fullmatch(r"%\s*MAC", name):
        hint = "give 'mean_aerodynamic_chord:' in the profile, or a length"
        raise refuse("chord-missing", "a share of the chord, where no chord is known", hint)
    if name == "index":
        hint = "give 'index:' in the profile, or a moment"
        raise refuse("index-undefined", "an index unit means nothing without its definition", hint)
    if divided := re.fullmatch(_DIVIDED, name):
        whole = find_unit(divided[1], needed, dimensions)
        if whole.dimension == "moment":
            return Unit(name, "moment", whole.factor * float(divided[2]))
    if re.match(r"[-+*(]|/\s|\d", name) or divided:
        hint = "write one number and one unit; no arithmetic"
        raise refuse("quantity-arithmetic", f"'{name}' after the number is not a unit", hint)
    # cm3 and in3, written as m3 is here; pint wants cm**3
    spelt = re.sub(r"(?<=[a-z])([23])(?![\w.])", r"**\1", name)
    unit_or_doubt = _unit_from_pint(spelt) if re.fullmatch(_UNIT_NAME, spelt) else None
    if isinstance(unit_or_doubt, Unit):
        return unit_or_doubt
    if unit_or_doubt is not None:
        raise refuse("quantity-ambiguous-unit", doubtful, _WHICH)
    known = [each for each, unit in UNITS.items() if not dimensions or unit.dimension in dimensions]
    hint = _CURES.get(name.lower()) or closest(name, known)
    raise refuse("quantity-unknown-unit", f"'{name}' is not a known unit", hint)


@cache  # it takes 0.1 s to build, and a file may hold hundreds of wrong units
def _registry() -> pint.UnitRegistry[float]:
    import pint  # late on purpose: a plain plan never needs it and it is the slowest import we have

    return pint.UnitRegistry(on_redefinition="ignore")


@lru_cache(maxsize=256)  # a sheet writes the same unit many times
def _unit_from_pint(name: str) -> Unit | str | None:
    """The unit, or the name of a part of it that does not say which it is, or None."""
    registry = _registry()
    targets: dict[str, Dimension] = {
        "meter": "length",
        "kilogram": "mass",
        "meter**3": "volume",
        "kilogram/meter**3": "density",
        "second": "time",
        "meter**3/second": "volume flow",
        "kilogram/second": "mass flow",
        "kilogram*meter": "moment",
        "pascal": "pressure",
        "meter**2": "area",
        "kilogram/meter**2": "floor load",
    }
    try:
        parsed = registry.parse_expression(name)
        # By the parsed unit, not its spelling: `gal/hr`, `qt`, `kgal` are all customary; only `US...` in
        # front says which.
        for term in re.findall(r"[A-Za-zµ°_]+", name):
            for _, root, _ in registry.parse_unit_name(term):
                if root in _TWO_MEANINGS and not term.startswith("US"):
                    return str(root)
        for target, dimension in targets.items():
            if parsed.check(registry.parse_units(target)):
                return Unit(name, dimension, float(parsed.to(target).magnitude))
    except Exception:  # noqa: BLE001 - pint raises many kinds for a bad name (also AttributeError, TypeError, SyntaxError): all mean "no such unit"
        return None
    return None


def read_quantity(text: object, *dimensions: Dimension) -> Quantity:
    """Read `number unit` or `number +/- number unit` and refuse whatever would have to be guessed.

    Parameters: `text` as it stood in the file; `dimensions` that are acceptable here.
    Returns a Quantity in SI. `+/-` is a standard uncertainty in the same unit.
    Raises InputRefused for a bare number, a bare `gal`, NaN, infinity, arithmetic or a wrong dimension.
    """
    needed = needed_words(dimensions)
    refuse, check = partial(_refuse, needed), "check the number and its unit"
    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise refuse("quantity-not-text", f"{text!r} is not a quantity")
    if not isinstance(text, str):
        raise refuse("quantity-bare-number", f"{text} has no unit", "write the unit after the number")
    stripped = text.strip()
    compound = _COMPOUND_TIME.fullmatch(stripped)
    if compound and "time" in dimensions:
        seconds = float(compound[1]) * HOUR + float(compound[2]) * 60
        if not abs(seconds) <= GREATEST:
            raise refuse("quantity-too-large", f"'{stripped}' is longer than any flight", check)
        return Quantity(seconds, 0.0, "time", stripped)
    match = _QUANTITY.fullmatch(stripped)
    if match is None:
        if re.match(r"[+-]?(nan|inf)", stripped, re.IGNORECASE):
            raise refuse("quantity-not-finite", f"'{stripped}' is not a finite number")
        raise refuse("quantity-unreadable", f"'{stripped}' is not 'number unit'")
    number, spread, unit_name = float(match[1]), float(match[2] or 0.0), (match[3] or "").strip()
    if not unit_name:
        raise refuse("quantity-bare-number", f"'{stripped}' has no unit", "write the unit after the number")
    if unit_name.startswith(":") and unit_name[1:].isdecimal():
        raise refuse("quantity-unreadable", f"'{stripped}' has a colon", "write a time as '1 h 30 min'")
    if unit_name.startswith(","):
        hint = "write 1085 kg, not 1,085 kg; a decimal point, not a comma"
        raise refuse("quantity-arithmetic", f"'{stripped}' has a comma in the number", hint)
    unit = find_unit(unit_name, needed, dimensions)
    if unit.dimension not in dimensions:
        raise refuse("quantity-wrong-dimension", f"'{stripped}' is a {unit.dimension}")
    value = unit.factor * number + unit.offset
    if not math.isfinite(value) or not math.isfinite(spread):
        raise refuse("quantity-not-finite", f"'{stripped}' is not a finite number")
    if abs(value) > GREATEST or abs(unit.factor * spread) > GREATEST:
        raise refuse("quantity-too-large", f"'{stripped}' is larger than anything of an aircraft", check)
    if spread < 0:
        message = f"'{stripped}' has a negative uncertainty"
        raise refuse("quantity-negative-uncertainty", message, "write '82 +/- 2 kg'")
    return Quantity(value, unit.factor * spread, unit.dimension, stripped)


def unit_name(read: Quantity) -> str:
    """The unit a figure is written in, as it is spelt; `h` where a time has two."""
    match = _QUANTITY.fullmatch(read.text)
    return (match[3] or "").strip() if match else "h" if read.dimension == "time" else ""


@frozen
class Converted(Quantity):
    """A figure made from one printed in another form (% of the chord, an index); `step` is that of its last
    digit there [SI].
    """

    step: float


def last_digit(number: str) -> float:
    """The step of the last digit of a number as it is written: 0.01 for `2.27`."""
    digits, _, power = number.lower().partition("e")
    return float(10.0 ** (int(power or 0) - len(digits.partition(".")[2])))


def step_of(read: Quantity) -> float:
    """The step of a figure's last digit as it is written [SI]: 0.01 m for `2.27 m`."""
    if isinstance(read, Converted):
        return read.step
    match = _QUANTITY.fullmatch(read.text)
    return find_unit(unit_name(read)).factor * last_digit(match[1]) if match else 0.0


def in_unit(value: float, name: str) -> float:
    """`value` [SI] expressed in the unit `name`: (value - offset) / factor."""
    unit = UNITS[name]
    return (value - unit.offset) / unit.factor


@frozen
class Display:
    """How figures are shown to one reader: the unit and the decimals of every dimension."""

    system: UnitSystem = "metric"

    def unit(self, dimension: Dimension) -> str:
        """The unit name shown for a dimension."""
        return _DISPLAY[self.system][dimension][0]

    def decimals(self, dimension: Dimension) -> int:
        """The decimals shown for a dimension."""
        return _DISPLAY[self.system][dimension][1]

    def number(self, value: float, dimension: Dimension, extra: int = 0, sign: bool = False) -> str:
        """`value` [SI] as digits in the reader's unit; `extra` decimals more than usual."""
        name, decimals = _DISPLAY[self.system][dimension]
        digits = f"{in_unit(value, name):{'+' if sign else ''}.{max(decimals + extra, 0)}f}"
        return digits[1:] if not sign and digits.startswith("-") and float(digits) == 0 else digits

    def text(self, value: float, dimension: Dimension, extra: int = 0, sign: bool = False) -> str:
        """`value` [SI] as digits and unit."""
        return f"{self.number(value, dimension, extra, sign)} {self.unit(dimension)}"

    def of_span(self, dimension: Dimension) -> tuple[str, int]:
        """Unit and decimals of a difference: in metres nobody reads a margin."""
        metric_length = dimension == "length" and self.system == "metric"
        return ("mm", 1) if metric_length else _DISPLAY[self.system][dimension]

    def span(self, value: float, dimension: Dimension) -> str:
        """A difference in the dimension, signed: lengths as mm or in, where a margin is readable. Nothing is
        never minus nothing.
        """
        name, decimals = self.of_span(dimension)
        shown = value / UNITS[name].factor
        rounded = round(shown, decimals)
        return f"{rounded if rounded else 0.0:+.{decimals}f} {name}"


def clock(seconds: float) -> str:
    """`seconds` [s] as `1 h 05 min`, cut (never rounded up) to the whole minute below."""
    minutes = math.floor(seconds / 60 + 1e-9)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
