"""`planner density bottle`, `hydrometer` and `bottles`: samples measured at the bench."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from planner.app.bench.bench_options import file_or_options, kept_as, named
from planner.app.common import INSIDE, NOT_INSIDE, Json, Units, console, display, print_json, refuse_option
from planner.quantities.errors import InputRefused

if TYPE_CHECKING:
    from planner.density.bench.steps.calibration import CalibrationsFound, VolumeShift
    from planner.density.bench.steps.results import Bench, BottleBench
    from planner.quantities.units import Display
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
KeepAs = Annotated[
    Path | None,
    typer.Option(
        "--keep", help="Write readings given by options to this file as a sheet; it must not exist."
    ),
]
Blank = Annotated[
    Path | None,
    typer.Option("--blank", help="Write an empty sheet with a word on every key to this file, and stop."),
]
Day = Annotated[str | None, typer.Option("--date", help="Year-month-day; today where left out.")]
Observer = Annotated[str | None, typer.Option(help="Who measured.")]
Place = Annotated[str | None, typer.Option(help="Where.")]


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
        raise InputRefused(named(refused.findings)) from None


def _show_cautions(as_json: bool) -> None:
    from planner.facts.cautions import ACKNOWLEDGEMENT, CLASSROOM, SAMPLE
    from planner.views.blocks import Page

    told = {
        "schema": "planner/cautions/1",
        "sample": list(SAMPLE),
        "classroom": CLASSROOM,
        "acknowledgement": ACKNOWLEDGEMENT,
    }
    if as_json:
        return print_json(told)
    page = Page(console())
    page.bullets([*SAMPLE, CLASSROOM])
    page.paragraph(
        "To acknowledge them, 'cautions_acknowledged: true' or --acknowledge-cautions says:"
        f" {ACKNOWLEDGEMENT}"
    )
    return None


def _instead(kind: str, out: Path | None, cautions: bool, as_json: bool) -> None:
    """What is done instead of working a sheet out: an empty one written, or the cautions shown; then the
    command ends.
    """
    from datetime import date

    from planner.quantities.files import write_new
    from planner.records.sheets.bench_blank import blank

    if out is not None:
        write_new(out, blank(kind, date.today().isoformat()).encode())
        console(stderr=True).print(
            f"{out} written. Fill it in, then: planner density {kind} {out}", soft_wrap=True
        )
    elif cautions:
        _show_cautions(as_json)
    else:
        return
    raise typer.Exit(INSIDE)


def _told(
    bench: Bench,
    shown: Display,
    working: bool,
    as_json: bool,
    change: VolumeShift | None = None,
    kept: str = "",
) -> None:
    """Show a worked-out sheet, and leave by the exit code of what it says."""
    from planner.views.bench.bench_words import suspect

    bench = replace(bench, findings=named(bench.findings))
    if as_json:
        from planner.views.bench.bench_json import bench_json
        from planner.views.bench.bench_working import working as lines

        print_json(bench_json(bench, shown, change, kept) | ({"working": lines(bench)} if working else {}))
    else:
        from planner.views.bench.bench_text import render_bench

        render_bench(bench, shown, console(), change, working, kept)
    raise typer.Exit(NOT_INSIDE if suspect(bench) else INSIDE)


def bottle(
    file: File = None,
    liquid: Liquid = None,
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
    keep_as: KeepAs = None,
    blank: Blank = None,
    working: Working = False,
    json: Json = False,
    units: Units = "metric",
) -> None:
    """Density of a liquid weighed in a density bottle, with what it holds, how sure that is, and the declared
    batch beside it.

    Exit code 1 where the density contradicts the declared grade or batch, or the bottle's volume moved by
    more than U. Never instead of the supplier's figure.

    Example: planner density bottle docs/flights/bottle-b07.yaml --working --no-keep
    """
    shown = display(units)
    _instead("bottle", blank, cautions, json)
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
        "tared": tared or None,
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
    from planner.density.bench.calibrations import empty_since_last
    from planner.records.sheets.bench import BottleSheet, load_sheet

    document = file_or_options(file, "bottle", fields)
    given = "beside the sheet" if acknowledge_cautions else "in the sheet"
    bench = _worked(lambda: weigh_sheet(load_sheet(document, BottleSheet, acknowledge_cautions), given))
    if emptier := empty_since_last(bench, document):
        bench = replace(bench, findings=(*bench.findings, document.place(emptier, ("empty",))))
    change, kept = _calibration(bench, document, keep=not no_keep and (file is not None or id_ is not None))
    if change is not None and change.exceeds:
        bench = replace(
            bench,
            findings=(*bench.findings, document.place(change.finding("bench-volume-changed"), ("water",))),
        )
    bench = kept_as(keep_as, bench, document)
    _told(bench, shown, working, json, change, kept)


def _calibration(bench: BottleBench, document: Document, keep: bool) -> tuple[VolumeShift | None, str]:
    """The change since the bottle's last calibration, and what was kept in words."""
    from planner.density.bench import calibrations
    from planner.density.bench.steps.calibration import change_since_last

    new = calibrations.from_bench(bench, document)
    if new is None:
        return None, ""
    change = change_since_last(new, calibrations.kept())
    if not keep:
        return change, ""
    if any(finding.code == "bench-heavier-than-water" for finding in bench.findings):
        return change, "The volume is not kept: the two fillings may be swapped."
    acknowledged = bench.acknowledged
    path, written = calibrations.keep(new, acknowledged)
    if gone := next(
        (each.void for each in calibrations.kept().of(new.bottle) if each.digest == new.digest), ""
    ):
        return change, f"This sheet's calibration, in {path}, is void since {gone}."
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
    keep_as: KeepAs = None,
    blank: Blank = None,
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
    _instead("hydrometer", blank, cautions, json)
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

    document = file_or_options(file, "hydrometer", fields)
    given = "beside the sheet" if acknowledge_cautions else "in the sheet"
    bench = _worked(lambda: float_sheet(load_sheet(document, HydrometerSheet, acknowledge_cautions), given))
    _told(kept_as(keep_as, bench, document), shown, working, json)


def _write_chart(name: str, kept: CalibrationsFound, out: Path | None) -> None:
    from planner.quantities.errors import closest
    from planner.quantities.files import write_new
    from planner.views.bench.bench_text import chart_svg

    if out is None:
        raise refuse_option(
            "--out", "option-missing", "no file is named for the chart", "needed --out chart.svg"
        )
    drawing = chart_svg(name, kept)
    if not drawing:
        hint = closest(name, {each.bottle for each in kept.calibrations})
        raise refuse_option(
            "--chart",
            "calibration-chart",
            f"'{name}' has fewer than two calibrations in use",
            "needed a bottle with two",
            hint,
        )
    write_new(out, drawing.encode())
    console(stderr=True).print(f"{out} written", soft_wrap=True)


def bottles(
    void: Annotated[
        str | None,
        typer.Option(
            "--void", help="Take the calibration of this number out of use. It stays listed, marked."
        ),
    ] = None,
    why: Annotated[str, typer.Option("--why", help="For --void: the reason, kept with it.")] = "",
    chart: Annotated[
        str | None, typer.Option("--chart", help="Write the control chart of this bottle as OUT.svg instead.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="For --chart: the file to write; it must not exist.")
    ] = None,
    json: Json = False,
) -> None:
    """List the kept calibrations: every bottle with its volumes by date and their spread. Exit code 1 where
    the last one moved by more than U.

    Example: planner density bottles
    """
    from datetime import date

    from planner.density.bench import calibrations
    from planner.views.bench.bench_text import bottles_json, render_bottles

    if void is not None:
        gone = calibrations.void(calibrations.kept(), void, why, date.today())
        console(stderr=True).print(
            f"calibration {gone.digest[:8]} of bottle {gone.bottle} is void since {gone.void}", soft_wrap=True
        )
    found, where = calibrations.kept(), str(calibrations.folder())
    if chart is not None:
        return _write_chart(chart, found, out)
    print_json(bottles_json(found, where)) if json else render_bottles(found, where, console())
    raise typer.Exit(NOT_INSIDE if any(found.moved(each.bottle) for each in found.calibrations) else INSIDE)
