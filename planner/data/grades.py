"""Fuel grades: what each is called, what it should weigh and look like, and which table corrects it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from planner.units import POUND, US_GALLON

Kind = Literal["avgas", "motor gasoline", "jet"]
Product = Literal["gasoline", "jet"]


@dataclass(frozen=True, slots=True)
class Grade:
    """One grade of fuel.

    `standard_density` [kg/m3] is the figure used when no batch density is known, taken to hold at
    15 degC (its publishers name no temperature); `band` [kg/m3] is the lowest and highest density at
    15 degC at which a reading agrees with the declared grade; `product` picks the temperature table;
    `sources` are keys of SOURCES for the standard density, the band and the dye, in that order.
    """

    id: str
    name: str
    kind: Kind
    product: Product
    standard_density: float
    band: tuple[float, float]
    unleaded: bool
    dye: str
    sources: tuple[str, ...]
    note: str


_FAA_AVGAS: Final = 6.0 * POUND / US_GALLON  # kg/m3, FAA-H-8083-30 ch. 4: 6.0 lb/USgal
_FAA_TURBINE: Final = 6.7 * POUND / US_GALLON  # kg/m3, FAA-H-8083-30 ch. 4: 6.7 lb/USgal
_GM1_GASOLINE: Final = 710.0  # kg/m3, GM1 NCC.POL.105(g): 0.71 kg/L
_GM1_JET: Final = 790.0  # kg/m3, GM1 NCC.POL.105(g): 0.79 kg/L

_EN228_BAND: Final = (720.0, 775.0)  # kg/m3 at 15 degC, EN 228
_JET_BAND: Final = (775.0, 840.0)  # kg/m3 at 15 degC, MIL-HDBK-1022A

# Beyond these a declared grade is contradicted, not merely unusual: kg/m3 at 15 degC, common practice, no published source.
AVGAS_HARD_HIGH: Final = 740.0
JET_HARD_LOW: Final = _JET_BAND[0]

_BAND_OURS = "The band is a working band of this program, not a specification limit."

_ALL: Final[tuple[Grade, ...]] = (
    Grade(
        "avgas-100LL",
        "Avgas 100LL",
        "avgas",
        "gasoline",
        _FAA_AVGAS,
        (690.0, 735.0),
        False,
        "blue (fades with age)",
        ("faa-h-8083-30", "common-practice", "api-ei-1542"),
        f"{_BAND_OURS} Standard density 6.0 lb/USgal; the European guidance figure is 0.71 kg/L.",
    ),
    Grade(
        "avgas-100",
        "Avgas 100",
        "avgas",
        "gasoline",
        _FAA_AVGAS,
        (690.0, 735.0),
        False,
        "green",
        ("faa-h-8083-30", "common-practice", "api-ei-1542"),
        f"{_BAND_OURS} It is taken over from 100LL.",
    ),
    Grade(
        "avgas-UL91",
        "Avgas UL91",
        "avgas",
        "gasoline",
        _GM1_GASOLINE,
        (680.0, 730.0),
        True,
        "not known for UL91 (the colour list gives brown for grade 91): ask the supplier",
        ("gm1-ncc-pol-105", "common-practice", "api-ei-1542"),
        f"{_BAND_OURS} Standard density is the general figure for gasoline.",
    ),
    Grade(
        "avgas-UL94",
        "Avgas UL94",
        "avgas",
        "gasoline",
        _GM1_GASOLINE,
        (680.0, 730.0),
        True,
        "not known: ask the supplier",
        ("gm1-ncc-pol-105", "common-practice", "common-practice"),
        f"{_BAND_OURS} Standard density is the general figure for gasoline.",
    ),
    Grade(
        "motor-gasoline-EN228",
        "Motor gasoline to EN 228",
        "motor gasoline",
        "gasoline",
        sum(_EN228_BAND) / 2,
        _EN228_BAND,
        True,
        "not known: it varies with the supplier",
        ("en-228", "en-228", "common-practice"),
        "Standard density is the middle of the EN 228 band, as the general gasoline figure of 0.71 kg/L lies below the band. "
        "Only for an aircraft and engine approved for it; it may hold ethanol.",
    ),
    Grade(
        "jet-A1",
        "Jet A-1",
        "jet",
        "jet",
        _GM1_JET,
        _JET_BAND,
        True,
        "undyed: colourless to straw",
        ("gm1-ncc-pol-105", "mil-hdbk-1022a", "mil-hdbk-1022a"),
        "Standard density 0.79 kg/L; American handbooks use 6.7 lb/USgal.",
    ),
    Grade(
        "jet-A",
        "Jet A",
        "jet",
        "jet",
        _FAA_TURBINE,
        _JET_BAND,
        True,
        "undyed: colourless to straw",
        ("faa-h-8083-30", "mil-hdbk-1022a", "mil-hdbk-1022a"),
        "Standard density 6.7 lb/USgal.",
    ),
)

GRADES: Final[dict[str, Grade]] = {grade.id: grade for grade in _ALL}
