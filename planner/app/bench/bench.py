"""`planner density bottle` and `hydrometer`: samples measured at the bench."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from planner.app.bench.bench_sheet import SheetAsked, sheet_command
from planner.app.bench.bottles import calibration
from planner.app.given.options import helped

BOTTLE: Final = {
    "empty": "Balance reading of the bottle, empty and dry.",
    "tared": "The balance was zeroed on the empty bottle; --empty is then left out.",
    "water": "Reading with distilled water.",
    "sample": "Reading with the sample.",
    "temperature": "Temperature of sample and water.",
    "sample_temperature": "Temperature of the sample.",
    "water_temperature": "Temperature of the water.",
    "marked": "Volume marked on the bottle.",
    "calibrated > volume": "Volume at 20 degC from an earlier calibration, instead of water.",
    "calibrated > date": "Its date.",
    "glass": "borosilicate or soda-lime.",
    "balance > resolution": "Step of the balance.",
    "balance > uncertainty": "Standard uncertainty of one balance reading.",
    "thermometer": "Standard uncertainty of the thermometer, such as '0.3 degC'.",
    "air > altitude": "Altitude of the place, for the density of the air.",
    "air > pressure": "Or the pressure read there (QFE, not QNH).",
    "air > temperature": "Temperature of the air at the balance.",
    "air > humidity": "Humidity of the air, such as '55 %'.",
}
HYDROMETER: Final = {
    "reading": "Reading of the scale, such as '0.7165 kg/L'.",
    "temperature": "Temperature of the sample, with the hydrometer in it.",
    "reference_temperature": "Temperature at which the scale is right; 15 degC where left out.",
    "glass_correction": "Whether the glass has still to be corrected for; must be said.",
    "meniscus": "Added to a reading at the top of the rim, such as '0.0005 kg/L'.",
    "division": "Division of the scale.",
}


@sheet_command(BOTTLE)
@helped(no_keep="Do not keep the volume found with water.")
def bottle(asked: SheetAsked, /, no_keep: bool = False) -> None:
    """Density of a liquid weighed in a density bottle, with what it holds, how sure that is, and the declared
    batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch, or the bottle's volume moved by
    more than U. Never instead of the supplier's figure.

    Example: planner density bottle docs/flights/bottle-b07.yaml --working --no-keep
    """
    from planner.density.bench.bench_results import weigh_sheet
    from planner.density.bench.calibrations import empty_since_last
    from planner.records.sheets.bench import BottleSheet, load_sheet

    document = asked.document()
    bench = asked.worked(
        lambda given: weigh_sheet(load_sheet(document, BottleSheet, asked.acknowledged), given)
    )
    if emptier := empty_since_last(bench, document):
        bench = replace(bench, findings=(*bench.findings, document.place(emptier, ("empty",))))
    change, kept = calibration(bench, document, keep=not no_keep and asked.named)
    if change is not None and change.exceeds:
        moved = document.place(change.finding("bench-volume-changed"), ("water",))
        bench = replace(bench, findings=(*bench.findings, moved))
    asked.tell(bench, document, change, kept)


@sheet_command(HYDROMETER)
def hydrometer(asked: SheetAsked, /) -> None:
    """Density of a fuel read with a hydrometer, at the temperature of the sample and at 15 degC, with the
    declared batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch. Never instead of the supplier's
    figure.

    Example: planner density hydrometer docs/flights/hydrometer-h02.yaml
    """
    from planner.density.bench.bench_results import float_sheet
    from planner.records.sheets.bench import HydrometerSheet, load_sheet

    document = asked.document()
    bench = asked.worked(
        lambda given: float_sheet(load_sheet(document, HydrometerSheet, asked.acknowledged), given)
    )
    asked.tell(bench, document)
