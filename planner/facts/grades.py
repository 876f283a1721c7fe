"""Fuel grades: what each is called, what it should weigh and look like, and which table corrects it."""

from __future__ import annotations

from typing import Final, Literal

from planner.quantities.frozen import frozen
from planner.quantities.units import POUND, US_GALLON

Kind = Literal["avgas", "motor gasoline", "jet"]


@frozen
class Grade:
    """One grade of fuel.

    `standard_density` [kg/m3] is the figure used when no batch density is known, taken to hold at
    15 degC (its publishers name no temperature); `band` [kg/m3] is the lowest and highest density at
    15 degC at which a reading agrees with the declared grade; `sources` are keys of SOURCES for the standard
    density, the band and the dye, in that order. `u_ethanol_per_kelvin` [kg/m3 per K] is above zero where the
    grade's specification lets ethanol in, which the petroleum tables do not cover (its own expansion is
    greater than gasoline's): the standard uncertainty that this adds to a density carried over one kelvin.
    """

    id: str
    name: str
    kind: Kind
    standard_density: float
    band: tuple[float, float]
    dye: str
    sources: tuple[str, ...]
    note: str
    unleaded: bool = True
    u_ethanol_per_kelvin: float = 0.0

    def contradicted(self, at_15c: float) -> bool:
        """Whether no fuel of this kind has such a density at 15 degC [kg/m3]. Source: as the two bounds."""
        return (
            at_15c > AVGAS_HARD_HIGH if self.kind == "avgas" else self.kind == "jet" and at_15c < JET_HARD_LOW
        )

    @property
    def batch_u(self) -> float:
        """Standard uncertainty of `standard_density` from batch to batch [kg/m3].

        Equation: u = (high - low) / 6: nearly every batch lies in the band, which is read as three standard
        deviations to either side of its middle. Source: [common-practice], no published source.
        """
        low, high = self.band
        return (high - low) / 6


# kg/m3; no aviation fuel is below or above, but slipped units are: common practice, no published source
LEAST_DENSITY: Final = 650.0
GREATEST_DENSITY: Final = 900.0  # kg/m3

_FAA_AVGAS: Final = 6.0 * POUND / US_GALLON  # kg/m3, FAA-H-8083-30 ch. 4: 6.0 lb/USgal
_FAA_TURBINE: Final = 6.7 * POUND / US_GALLON  # kg/m3, FAA-H-8083-30 ch. 4: 6.7 lb/USgal
_GM1_GASOLINE: Final = 710.0  # kg/m3, GM1 NCC.POL.105(g): 0.71 kg/L
_GM1_JET: Final = 790.0  # kg/m3, GM1 NCC.POL.105(g): 0.79 kg/L

_EN228_BAND: Final = (720.0, 775.0)  # kg/m3 at 15 degC, EN 228
_JET_BAND: Final = (775.0, 840.0)  # kg/m3 at 15 degC, MIL-HDBK-1022A

# Beyond these a declared grade is contradicted, not merely unusual: kg/m3 at 15 degC, common practice, no
# published source.
AVGAS_HARD_HIGH: Final = 740.0
JET_HARD_LOW: Final = _JET_BAND[0]

# The gasolines of the petroleum tables: K0 [kg2/m6/K] and K1 [kg/m3/K], [api-mpms-11.1] Table 54B.
GASOLINE: Final = (346.4228, 0.4388)

# EN 228 lets up to 10 % by volume of ethanol in (from memory). Ethanol expands by about 1.09e-3 per K (from
# memory), gasoline of 748 kg/m3 by K0/rho^2 + K1/rho = 1.21e-3 per K (api-mpms-11.1): the pure parts differ
# little, but a blend expands more than its parts, by a few per cent of the coefficient. 5 % of 1.21e-3 per K
# of 748 kg/m3 is a half-width; as a rectangle its u is 1/sqrt(3) of it.
_ETHANOL_SHARE: Final = 0.05  # of the coefficient of expansion: common practice, no published source
# per K, at the middle of the band
_EN228_EXPANSION: Final = GASOLINE[0] / 747.5**2 + GASOLINE[1] / 747.5
_U_ETHANOL: Final = _ETHANOL_SHARE * _EN228_EXPANSION * 747.5 / 3**0.5  # kg/m3 per K, 0.026

_BAND_OURS = "The band is a working band of this program, not a specification limit."

_ALL: Final[tuple[Grade, ...]] = (
    Grade(
        id="avgas-100LL",
        name="Avgas 100LL",
        kind="avgas",
        standard_density=_FAA_AVGAS,
        band=(690.0, 735.0),
        unleaded=False,
        dye="blue (fades with age)",
        sources=("faa-h-8083-30", "common-practice", "api-ei-1542"),
        note=f"{_BAND_OURS} Standard density 6.0 lb/USgal; the European guidance figure is 0.71 kg/L.",
    ),
    Grade(
        id="avgas-100",
        name="Avgas 100",
        kind="avgas",
        standard_density=_FAA_AVGAS,
        band=(690.0, 735.0),
        unleaded=False,
        dye="green",
        sources=("faa-h-8083-30", "common-practice", "api-ei-1542"),
        note=f"{_BAND_OURS} It is taken over from 100LL.",
    ),
    Grade(
        id="avgas-UL91",
        name="Avgas UL91",
        kind="avgas",
        standard_density=_GM1_GASOLINE,
        band=(680.0, 730.0),
        dye="not known for UL91 (the colour list gives brown for grade 91): ask the supplier",
        sources=("gm1-ncc-pol-105", "common-practice", "api-ei-1542"),
        note=f"{_BAND_OURS} Standard density is the general figure for gasoline.",
    ),
    Grade(
        id="avgas-UL94",
        name="Avgas UL94",
        kind="avgas",
        standard_density=_GM1_GASOLINE,
        band=(680.0, 730.0),
        dye="not known: ask the supplier",
        sources=("gm1-ncc-pol-105", "common-practice", "common-practice"),
        note=f"{_BAND_OURS} Standard density is the general figure for gasoline.",
    ),
    Grade(
        id="motor-gasoline-EN228",
        name="Motor gasoline to EN 228",
        kind="motor gasoline",
        standard_density=sum(_EN228_BAND) / 2,
        band=_EN228_BAND,
        dye="not known: it varies with the supplier",
        sources=("en-228", "en-228", "common-practice"),
        note=(
            "Standard density is the middle of the EN 228 band, as the general gasoline figure of 0.71 kg/L"
            " lies below the band. Only for an aircraft and engine approved for it. It may hold ethanol"
            " (common practice, no published source), which the petroleum tables do not cover: a density"
            " carried to another temperature is less sure for it."
        ),
        u_ethanol_per_kelvin=_U_ETHANOL,
    ),
    Grade(
        id="jet-A1",
        name="Jet A-1",
        kind="jet",
        standard_density=_GM1_JET,
        band=_JET_BAND,
        dye="undyed: colourless to straw",
        sources=("gm1-ncc-pol-105", "mil-hdbk-1022a", "mil-hdbk-1022a"),
        note="Standard density 0.79 kg/L; American handbooks use 6.7 lb/USgal.",
    ),
    Grade(
        id="jet-A",
        name="Jet A",
        kind="jet",
        standard_density=_FAA_TURBINE,
        band=_JET_BAND,
        dye="undyed: colourless to straw",
        sources=("faa-h-8083-30", "mil-hdbk-1022a", "mil-hdbk-1022a"),
        note="Standard density 6.7 lb/USgal.",
    ),
)

GRADES: Final[dict[str, Grade]] = {grade.id: grade for grade in _ALL}
