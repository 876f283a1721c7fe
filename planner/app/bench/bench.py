"""`planner density bottle` and `hydrometer`: samples measured at the bench."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from planner.app.bench.bench_sheet import SheetAsked, sheet_command
from planner.app.bench.bottles import calibration


@sheet_command
def bottle(
    asked: SheetAsked,
    /,
    empty: Annotated[str | None, typer.Option(help="Balance reading of the bottle, empty and dry.")] = None,
    tared: Annotated[
        bool,
        typer.Option("--tared", help="The balance was zeroed on the empty bottle; --empty is then left out."),
    ] = False,
    water: Annotated[str | None, typer.Option(help="Reading with distilled water.")] = None,
    sample: Annotated[str | None, typer.Option(help="Reading with the sample.")] = None,
    at: Annotated[str | None, typer.Option("--at", help="Temperature of sample and water.")] = None,
    sample_at: Annotated[str | None, typer.Option("--sample-at", help="Temperature of the sample.")] = None,
    water_at: Annotated[str | None, typer.Option("--water-at", help="Temperature of the water.")] = None,
    marked: Annotated[str | None, typer.Option(help="Volume marked on the bottle.")] = None,
    volume: Annotated[
        str | None, typer.Option(help="Volume at 20 degC from an earlier calibration, instead of water.")
    ] = None,
    volume_date: Annotated[str | None, typer.Option("--volume-date", help="Its date.")] = None,
    glass: Annotated[str | None, typer.Option(help="borosilicate or soda-lime.")] = None,
    resolution: Annotated[str | None, typer.Option(help="Step of the balance.")] = None,
    balance_uncertainty: Annotated[
        str | None, typer.Option("--balance-uncertainty", help="Standard uncertainty of one balance reading.")
    ] = None,
    thermometer: Annotated[
        str | None, typer.Option(help="Standard uncertainty of the thermometer, such as '0.3 degC'.")
    ] = None,
    altitude: Annotated[
        str | None, typer.Option(help="Altitude of the place, for the density of the air.")
    ] = None,
    pressure: Annotated[str | None, typer.Option(help="Or the pressure read there (QFE, not QNH).")] = None,
    air_temperature: Annotated[
        str | None, typer.Option("--air-temperature", help="Temperature of the air at the balance.")
    ] = None,
    humidity: Annotated[str | None, typer.Option(help="Humidity of the air, such as '55 %'.")] = None,
    no_keep: Annotated[
        bool, typer.Option("--no-keep", help="Do not keep the volume found with water.")
    ] = False,
) -> None:
    """Density of a liquid weighed in a density bottle, with what it holds, how sure that is, and the declared
    batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch, or the bottle's volume moved by
    more than U. Never instead of the supplier's figure.

    Example: planner density bottle docs/flights/bottle-b07.yaml --working --no-keep
    """
    readings = {
        "empty": empty,
        "tared": tared or None,
        "water": water,
        "sample": sample,
        "marked": marked,
        "glass": glass,
        "thermometer": thermometer,
        "temperature": at,
        "sample_temperature": sample_at,
        "water_temperature": water_at,
        "calibrated": {"volume": volume, "date": volume_date},
        "balance": {"resolution": resolution, "uncertainty": balance_uncertainty},
        "air": {
            "altitude": altitude,
            "pressure": pressure,
            "temperature": air_temperature,
            "humidity": humidity,
        },
    }
    from planner.density.bench.bench_results import weigh_sheet
    from planner.density.bench.calibrations import empty_since_last
    from planner.records.sheets.bench import BottleSheet, load_sheet

    document = asked.document(readings)
    bench = asked.worked(
        lambda given: weigh_sheet(load_sheet(document, BottleSheet, asked.acknowledged), given)
    )
    if emptier := empty_since_last(bench, document):
        bench = replace(bench, findings=(*bench.findings, document.place(emptier, ("empty",))))
    change, kept = calibration(bench, document, keep=not no_keep and asked.named)
    if change is not None and change.exceeds:
        bench = replace(
            bench,
            findings=(*bench.findings, document.place(change.finding("bench-volume-changed"), ("water",))),
        )
    asked.tell(bench, document, change, kept)


@sheet_command
def hydrometer(
    asked: SheetAsked,
    /,
    reading: Annotated[str | None, typer.Option(help="Reading of the scale, such as '0.7165 kg/L'.")] = None,
    at: Annotated[
        str | None, typer.Option("--at", help="Temperature of the sample, with the hydrometer in it.")
    ] = None,
    reference: Annotated[
        str | None,
        typer.Option("--reference", help="Temperature at which the scale is right; 15 degC where left out."),
    ] = None,
    correct_glass: Annotated[
        bool | None,
        typer.Option(
            "--correct-glass/--no-correct-glass",
            help="Whether the glass has still to be corrected for; must be said.",
        ),
    ] = None,
    meniscus: Annotated[
        str | None, typer.Option(help="Added to a reading at the top of the rim, such as '0.0005 kg/L'.")
    ] = None,
    division: Annotated[str | None, typer.Option(help="Division of the scale.")] = None,
) -> None:
    """Density of a fuel read with a hydrometer, at the temperature of the sample and at 15 degC, with the
    declared batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch. Never instead of the supplier's
    figure.

    Example: planner density hydrometer docs/flights/hydrometer-h02.yaml
    """
    readings = {
        "reading": reading,
        "temperature": at,
        "reference_temperature": reference,
        "glass_correction": correct_glass,
        "meniscus": meniscus,
        "division": division,
    }
    from planner.density.bench.bench_results import float_sheet
    from planner.records.sheets.bench import HydrometerSheet, load_sheet

    document = asked.document(readings)
    bench = asked.worked(
        lambda given: float_sheet(load_sheet(document, HydrometerSheet, asked.acknowledged), given)
    )
    asked.tell(bench, document)
