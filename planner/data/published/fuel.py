"""Density of fuel, water and air as published."""

from __future__ import annotations

from typing import Final

from planner.data.published.case import COPY, READ, PublishedCase

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
            f"mc54b-{density:g}@{temperature:g}",
            _MC,
            _MC_WHERE,
            f"factor to 15 degC, {density:g} kg/m3 at {temperature:g} degC",
            "1",
            printed,
            0.00005,
            _MC_HALF,
            READ,
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
            f"d1250-{density:g}@{temperature:g}",
            "astm-d1250",
            _D1250_WHERE,
            f"factor to 15 degC, {density:g} kg/m3 at {temperature:g} degC",
            "1",
            printed,
            last_digit + 5e-8 * abs(temperature - 15),
            "one unit of the last printed decimal (cut or rounded is not known) and the source's alpha, rounded to seven decimals, times the correction",
            COPY,
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
            f"tanaka-{temperature:g}",
            "tanaka-2001",
            _WATER_WHERE,
            f"density of air-free water at {temperature:g} degC",
            "kg/m3",
            printed,
            0.00005,
            "half of the last of four printed decimals",
            COPY,
        )
        for temperature, printed in ((10, 999.7027), (15, 999.1026), (20, 998.2067), (25, 997.0470), (30, 995.6488))
    ),
    PublishedCase(
        "masui-16",
        "masui-1995",
        "Metrologia 1995, result",
        "density of water measured at 16 degC",
        "kg/m3",
        998.9468,
        0.0012,
        "twice the measurement's own standard uncertainty of 0.0006",
        READ,
    ),
    # Air and buoyancy
    PublishedCase("air-oiml", "oiml-r111", "E.3", "moist air at 20 degC, 1013.25 hPa, 50 %", "kg/m3", 1.19929, 5e-6, "half of the last printed digit", COPY),
    PublishedCase("air-nist-1", "nist-sop-2", "Appendix B", "moist air at 22.3 degC, 748.1 mmHg, 37 %", "kg/m3", 1.17194, 1e-4, _OTHER_FORMULA, COPY),
    PublishedCase("air-nist-2", "nist-sop-2", "Appendix B", "moist air at 23.4 degC, 612.3 mmHg, 23 %", "kg/m3", 0.95632, 1e-4, _OTHER_FORMULA, COPY),
    PublishedCase("z-factor-1", "iso-20461", "accredited certificate", "uL per mg of weighed water at 19.72 degC", "1", 1.00275, 2.5e-5, _CERTIFICATE, READ),
    PublishedCase("z-factor-2", "iso-20461", "accredited certificate", "uL per mg of weighed water at 18.75 degC", "1", 1.00258, 2.5e-5, _CERTIFICATE, READ),
)
