"""`planner density bottle`, `hydrometer` and `bottles`: samples measured at the bench."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, Final, TypeVar

import typer

from planner.app.common import INSIDE, NOT_INSIDE, Json, Units, console, display, print_json, refuse_option
from planner.quantities.errors import Finding, InputRefused

if TYPE_CHECKING:
    from planner.density.bench.bench_results import BottleBench
    from planner.density.bench.calibrations import VolumeShift
    from planner.quantities.errors import Finding
    from planner.records.document import Document

R = TypeVar("R")

File = Annotated[
    str | None,
    typer.Argument(
        help="The sheet, or - for standard input; without it, the options are the sheet.", metavar="[FILE]"
    ),
]
Acknowledge = Annotated[
    bool, typer.Option("--acknowledge-cautions", help="I have read the handling cautions and follow them.")
]
Cautions = Annotated[bool, typer.Option("--cautions", help="Show the handling cautions and stop.")]
Working = Annotated[
    bool, typer.Option("--working", help="Also print every line of arithmetic with its figures, as on paper.")
]
Liquid = Annotated[
    str | None,
    typer.Option(help="A grade (see 'planner density grades'), or water, salt water, cooking oil, lamp oil."),
]
BatchDensity = Annotated[
    str | None, typer.Option("--batch", help="Density the supplier declares for the batch.")
]
BatchAt = Annotated[str | None, typer.Option("--batch-at", help="Its temperature, where it is not 15 degC.")]
Certificate = Annotated[str | None, typer.Option(help="Number of the batch certificate.")]
Aircraft = Annotated[str | None, typer.Option(help="Aircraft in whose tanks an error is told in kilograms.")]
Id = Annotated[str | None, typer.Option("--id", help="What is written on the bottle or the hydrometer.")]
Day = Annotated[str | None, typer.Option("--date", help="Year-month-day; today where left out.")]
Observer = Annotated[str | None, typer.Option(help="Who measured.")]
Place = Annotated[str | None, typer.Option(help="Where.")]

OPTIONS: Final = "<options>"
# Where a key of a sheet stands on the command line, for the place of a finding.
_OPTIONS: Final = {
    "temperature": "--at",
    "sample_temperature": "--sample-at",
    "water_temperature": "--water-at",
    "reference_temperature": "--reference",
    "glass_correction": "--correct-glass",
    "calibrated": "--volume",
    "balance": "--resolution",
    "air": "--altitude",
    "cautions_acknowledged": "--acknowledge-cautions",
}


def _sheet(kind: str, fields: dict[str, Any]) -> Document:
    """Options put together as the sheet they stand for; parts left out are absent."""
    from datetime import date

    from planner.records.document import Document

    def filled(part: dict[str, Any]) -> dict[str, Any]:
        inner = {key: filled(value) if isinstance(value, dict) else value for key, value in part.items()}
        return {key: value for key, value in inner.items() if value is not None and value != {}}

    known = filled(fields)
    known.setdefault("date", date.today().isoformat())
    known.setdefault("id", "without a name")
    return Document(OPTIONS, {kind: 1, **known})


def _worked(work: Callable[[], R]) -> R:
    """Do `work`; a refusal shows the cautions where they were not acknowledged, and names options instead of
    keys.
    """
    from planner.facts.cautions import SAMPLE

    try:
        return work()
    except InputRefused as refused:
        if any(finding.code == "bench-cautions" for finding in refused.findings):
            sys.stderr.write("Handling cautions, all of them to be read before fuel is weighed or floated:\n")
            sys.stderr.write("".join(f"  - {caution}\n" for caution in SAMPLE))
        raise InputRefused(_named(refused.findings)) from None


def _named(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings of a sheet made of options, at their option."""

    def option(finding: Finding) -> str:
        key = finding.where.split(" > ")[0]
        return _OPTIONS.get(key, f"--{key}") if key else "options"

    return tuple(
        finding.at(option(finding), 1, 1) if finding.path == OPTIONS else finding for finding in findings
    )


def _show_cautions(as_json: bool) -> None:
    from planner.facts.cautions import ACKNOWLEDGEMENT, CLASSROOM, SAMPLE

    if as_json:
        print_json(
            {
                "schema": "planner/cautions/1",
                "sample": list(SAMPLE),
                "classroom": CLASSROOM,
                "acknowledgement": ACKNOWLEDGEMENT,
            }
        )
        return
    from planner.views.blocks import Page

    page = Page(console())
    page.bullets([*SAMPLE, CLASSROOM])
    page.paragraph(
        "To acknowledge them, 'cautions_acknowledged: true' or --acknowledge-cautions says:"
        f" {ACKNOWLEDGEMENT}"
    )


def _file_or_options(file: str | None, kind: str, fields: dict[str, Any]) -> Document:
    from planner.records.document import read

    given = [
        key
        for key, value in fields.items()
        if value is not None and not (isinstance(value, dict) and not any(value.values()))
    ]
    if file is None:
        if not given:
            raise refuse_option(
                "FILE",
                "option-missing",
                "no sheet is given",
                f"needed a file, or options; see 'planner density {kind} --help'",
            )
        return _sheet(kind, fields)
    if given:
        option = _OPTIONS.get(given[0], f"--{given[0]}")
        raise refuse_option(
            option,
            "option-conflict",
            "a sheet and options for its keys are both given",
            "needed one of them",
            "write it into the sheet",
        )
    return read(file)


def bottle(
    file: File = None,
    liquid: Liquid = None,
    empty: Annotated[str | None, typer.Option(help="Balance reading of the bottle, empty and dry.")] = None,
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
    batch: BatchDensity = None,
    batch_at: BatchAt = None,
    certificate: Certificate = None,
    aircraft: Aircraft = None,
    id_: Id = None,
    date: Day = None,
    place: Place = None,
    observer: Observer = None,
    acknowledge_cautions: Acknowledge = False,
    cautions: Cautions = False,
    no_keep: Annotated[
        bool, typer.Option("--no-keep", help="Do not keep the volume found with water.")
    ] = False,
    working: Working = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Density of a liquid weighed in a density bottle, with what it holds, how sure that is, and the declared
    batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch. Never instead of the supplier's
    figure.

    Example: planner density bottle docs/flights/bottle-b07.yaml --working --no-keep
    """
    shown = display(units)
    if cautions:
        _show_cautions(json)
        return
    fields: dict[str, Any] = {
        "liquid": liquid,
        "id": id_,
        "date": date,
        "place": place,
        "observer": observer,
        "aircraft": aircraft,
    }
    fields |= {
        "empty": empty,
        "water": water,
        "sample": sample,
        "marked": marked,
        "glass": glass,
        "thermometer": thermometer,
    }
    fields |= {"temperature": at, "sample_temperature": sample_at, "water_temperature": water_at}
    fields |= {
        "calibrated": {"volume": volume, "date": volume_date},
        "balance": {"resolution": resolution, "uncertainty": balance_uncertainty},
    }
    fields |= {
        "air": {
            "altitude": altitude,
            "pressure": pressure,
            "temperature": air_temperature,
            "humidity": humidity,
        }
    }
    fields |= {"batch": {"density": batch, "at": batch_at, "certificate": certificate}}
    from planner.density.bench.bench_results import weigh_sheet
    from planner.records.sheets.bench import BottleSheet, load_sheet

    document = _file_or_options(file, "bottle", fields)
    given = "beside the sheet" if acknowledge_cautions else "in the sheet"
    bench = _worked(lambda: weigh_sheet(load_sheet(document, BottleSheet, acknowledge_cautions), given))
    bench = replace(bench, findings=_named((*bench.findings, *_emptier(bench, document))))
    change, kept = _calibration(bench, document, keep=not no_keep and (file is not None or id_ is not None))
    if json:
        from planner.views.bench.bench_json import bench_json
        from planner.views.bench.bench_working import working as lines

        print_json(bench_json(bench, shown, change, kept) | ({"working": lines(bench)} if working else {}))
    else:
        from planner.views.bench.bench_text import render_bench

        render_bench(bench, shown, console(), change, working, kept)
    from planner.views.bench.bench_words import contradicted

    raise typer.Exit(NOT_INSIDE if contradicted(bench) else INSIDE)


def _emptier(bench: BottleBench, document: Document) -> tuple[Finding, ...]:
    """The notice where the empty bottle does not weigh what it weighed at its last kept calibration."""
    from planner.density.bench import calibrations

    digest = calibrations.content_digest(document)
    found = calibrations.empty_since_last(
        bench.sheet.id, bench.result.readings.empty, digest, calibrations.kept()
    )
    return () if found is None else (document.place(found, ("empty",)),)


def _calibration(bench: BottleBench, document: Document, keep: bool) -> tuple[VolumeShift | None, str]:
    """The change since the bottle's last calibration, and what was kept in words."""
    from planner.density.bench import calibrations

    new = calibrations.from_bench(bench, document)
    if new is None:
        return None, ""
    change = calibrations.change_since_last(new, calibrations.kept())
    if not keep:
        return change, ""
    acknowledged = bench.acknowledged
    path, written = calibrations.keep(new, acknowledged)
    return change, (
        f"The volume of bottle {new.bottle} is kept in {path}."
        if written
        else f"This sheet's calibration was kept already, in {path}."
    )


def hydrometer(
    file: File = None,
    liquid: Liquid = None,
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
    batch: BatchDensity = None,
    batch_at: BatchAt = None,
    certificate: Certificate = None,
    aircraft: Aircraft = None,
    id_: Id = None,
    date: Day = None,
    place: Place = None,
    observer: Observer = None,
    acknowledge_cautions: Acknowledge = False,
    cautions: Cautions = False,
    working: Working = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Density of a fuel read with a hydrometer, at the temperature of the sample and at 15 degC, with the
    declared batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch. Never instead of the supplier's
    figure.

    Example: planner density hydrometer docs/flights/hydrometer-h02.yaml
    """
    shown = display(units)
    if cautions:
        _show_cautions(json)
        return
    fields: dict[str, Any] = {
        "liquid": liquid,
        "id": id_,
        "date": date,
        "place": place,
        "observer": observer,
        "aircraft": aircraft,
    }
    fields |= {
        "reading": reading,
        "temperature": at,
        "reference_temperature": reference,
        "glass_correction": correct_glass,
    }
    fields |= {
        "meniscus": meniscus,
        "division": division,
        "batch": {"density": batch, "at": batch_at, "certificate": certificate},
    }
    from planner.density.bench.bench_results import float_sheet
    from planner.records.sheets.bench import HydrometerSheet, load_sheet

    document = _file_or_options(file, "hydrometer", fields)
    given = "beside the sheet" if acknowledge_cautions else "in the sheet"
    bench = _worked(lambda: float_sheet(load_sheet(document, HydrometerSheet, acknowledge_cautions), given))
    bench = replace(bench, findings=_named(bench.findings))
    if json:
        from planner.views.bench.bench_json import bench_json
        from planner.views.bench.bench_working import working as lines

        print_json(bench_json(bench, shown) | ({"working": lines(bench)} if working else {}))
    else:
        from planner.views.bench.bench_text import render_bench

        render_bench(bench, shown, console(), with_working=working)
    from planner.views.bench.bench_words import contradicted

    raise typer.Exit(NOT_INSIDE if contradicted(bench) else INSIDE)


def bottles(json: Json = False) -> None:
    """List the kept calibrations: every bottle with its volumes by date and their spread.

    Example: planner density bottles
    """
    from planner.density.bench.calibrations import folder, kept
    from planner.views.bench.bench_text import bottles_json, render_bottles

    found, where = kept(), str(folder())
    print_json(bottles_json(found, where)) if json else render_bottles(found, where, console())
