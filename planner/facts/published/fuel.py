"""Density of fuel, water and air as published."""

from __future__ import annotations

from typing import Final

from planner.facts.published.case import COPY, READ, PublishedCase

_MC: Final = "measurement-canada-54b"
_MC_WHERE: Final = "Table 54B, inspection table of correction factors"
_MC_HALF: Final = "half of the last of four printed decimals"
_D1250_WHERE: Final = "Table 54B, worked examples"
_OTHER_FORMULA: Final = "the source uses another formula for moist air"
_CERTIFICATE: Final = "five printed decimals, and the certificates' own formulas for water and air"
_WATER_WHERE: Final = "Metrologia 38, 301, the equation's values"

FUEL: Final[tuple[PublishedCase, ...]] = (
    # Fuel density
    *(
        PublishedCase(
            id=f"mc54b-{density:g}@{temperature:g}",
            source=_MC,
            clause=_MC_WHERE,
            what=f"factor to 15 degC, {density:g} kg/m3 at {temperature:g} degC",
            unit="1",
            published=printed,
            tolerance=0.00005,
            reason=_MC_HALF,
            tag=READ,
        )
        for density, temperature, printed in (
            (710, -40.0, 1.0700),
            (710, -38.9, 1.0686),
            (710, -35.0, 1.0638),
            (710, -24.9, 1.0512),
            (710, -20.0, 1.0450),
            (800, -40.0, 1.0502),
            (800, -35.0, 1.0457),
            (800, -20.0, 1.0322),
        )
    ),
    *(
        PublishedCase(
            id=f"d1250-{density:g}@{temperature:g}",
            source="astm-d1250",
            clause=_D1250_WHERE,
            what=f"factor to 15 degC, {density:g} kg/m3 at {temperature:g} degC",
            unit="1",
            published=printed,
            tolerance=last_digit + 5e-8 * abs(temperature - 15),
            reason=(
                "one unit of the last printed decimal (cut or rounded is not known) and the source's alpha,"
                " rounded to seven decimals, times the correction"
            ),
            tag=COPY,
        )
        for density, temperature, printed, last_digit in (
            (839.0, 32.5, 0.98515, 1e-5),
            (889.0, 115.55, 0.91966, 1e-5),
            (777.5, 9.0, 1.006412, 1e-6),
            (819.0, 26.75, 0.989552, 1e-6),
        )
    ),
    *(
        PublishedCase(
            id=f"tanaka-{temperature:g}",
            source="tanaka-2001",
            clause=_WATER_WHERE,
            what=f"density of air-free water at {temperature:g} degC",
            unit="kg/m3",
            published=printed,
            tolerance=0.00005,
            reason="half of the last of four printed decimals",
            tag=COPY,
        )
        for temperature, printed in (
            (10, 999.7027),
            (15, 999.1026),
            (20, 998.2067),
            (25, 997.0470),
            (30, 995.6488),
        )
    ),
    PublishedCase(
        id="masui-16",
        source="masui-1995",
        clause="Metrologia 1995, result",
        what="density of water measured at 16 degC",
        unit="kg/m3",
        published=998.9468,
        tolerance=0.0012,
        reason="twice the measurement's own standard uncertainty of 0.0006",
        tag=READ,
    ),
    # Air and buoyancy
    PublishedCase(
        id="air-oiml",
        source="oiml-r111",
        clause="E.3",
        what="moist air at 20 degC, 1013.25 hPa, 50 %",
        unit="kg/m3",
        published=1.19929,
        tolerance=5e-6,
        reason="half of the last printed digit",
        tag=COPY,
    ),
    PublishedCase(
        id="air-nist-1",
        source="nist-sop-2",
        clause="Appendix B",
        what="moist air at 22.3 degC, 748.1 mmHg, 37 %",
        unit="kg/m3",
        published=1.17194,
        tolerance=1e-4,
        reason=_OTHER_FORMULA,
        tag=COPY,
    ),
    PublishedCase(
        id="air-nist-2",
        source="nist-sop-2",
        clause="Appendix B",
        what="moist air at 23.4 degC, 612.3 mmHg, 23 %",
        unit="kg/m3",
        published=0.95632,
        tolerance=1e-4,
        reason=_OTHER_FORMULA,
        tag=COPY,
    ),
    PublishedCase(
        id="z-factor-1",
        source="iso-20461",
        clause="accredited certificate",
        what="uL per mg of weighed water at 19.72 degC",
        unit="1",
        published=1.00275,
        tolerance=2.5e-5,
        reason=_CERTIFICATE,
        tag=READ,
    ),
    PublishedCase(
        id="z-factor-2",
        source="iso-20461",
        clause="accredited certificate",
        what="uL per mg of weighed water at 18.75 degC",
        unit="1",
        published=1.00258,
        tolerance=2.5e-5,
        reason=_CERTIFICATE,
        tag=READ,
    ),
)
