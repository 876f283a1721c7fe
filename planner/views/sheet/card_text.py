"""A card for the wall or the knee: a table of front row and rear row, with all it rests on under it."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from planner.facts.cautions import INVENTED, PLAN
from planner.facts.grades import GRADES
from planner.quantities.units import SI_UNIT, UNITS, Dimension, Display
from planner.records.aircraft.mass_record import due
from planner.records.aircraft.record import Aircraft
from planner.search.card import Card, CardCell, Witness, bands
from planner.views.blocks import Bullets, Page, Row, Sheet, Table
from planner.views.columns import Column
from planner.views.flight.digest import digest
from planner.views.keyed import keyed

MADE_BY: Final = "made-by"  # the id of the line that makes the card again
STYLE: Final = """#card td, #card th { border-left: 0.06em solid var(--faint); padding: 0.1em 0.4em;
  white-space: nowrap; }
#card thead th { white-space: pre; }
#card td { font-size: 1.15em; }
#card tr.group > * { border-top: 0.06em solid; }
#made-by { overflow-wrap: anywhere; }
@media (max-width: 30em) { #card td, #card th { padding: 0.1em 0.12em; font-size: 0.7em; }
  #card td { font-size: 0.82em; } }
@media (max-width: 24em) { #card td, #card th { font-size: 0.64em; } #card td { font-size: 0.74em; } }
"""
CAUTION: Final = (
    "A card is no plan: whether the fuel is enough for the flight and its reserves, and a loading that is not"
    " on it, is for a plan of its own to say."
)


def card_json(made: Card, aircraft: Aircraft, expires: date, on: date) -> dict[str, Any]:
    """The card as data, with the proofs and the loadings that refute a step more; every key ends in its
    unit.
    """
    data = keyed(
        aircraft,
        "schema aircraft=name invented category profile_sha256 mass_record=basic_empty.version_id"
        " mass_record_date=basic_empty.date made_on expires_on",
        schema="planner/card/1",
        category=made.ask.category,
        profile_sha256=hashlib.sha256(repr(aircraft).encode()).hexdigest(),
        made_on=str(on),
        expires_on=str(expires),
    )
    across, down, baggage = (told[0] for told in (made.ask.across, made.ask.down, made.ask.baggage))
    data |= {"across": across, "down": down, "baggage": baggage}
    data |= keyed(
        made,
        "other_stations_most_kg least_fuel_L pilot_least_kg=ask.pilot person_most_kg=ask.heaviest"
        " density_kg_per_m3=forms.density grades=ask.grades one_colour cells proof_boxes=boxes",
        other_stations_most_kg=dict(made.ask.aboard),
        least_fuel_L=_litres(made.ask.least_fuel),
        cells=[_cell_json(made, cell) for row in made.cells for cell in row],
        cautions=[*([INVENTED] if aircraft.invented else []), CAUTION, *PLAN],
    )
    return data | {"digest": digest(data)}


def _litres(volume: float | None) -> float | None:
    return None if volume is None else volume * 1000.0


def _cell_json(made: Card, cell: CardCell) -> dict[str, Any]:
    return keyed(
        cell,
        "across_kg=across down_kg=down shown baggage_most_kg=baggage fuel_least_L fuel_most_L"
        " proof_boxes=boxes refuted_more_baggage refuted_more_fuel undecided",
        shown=cell.fuel is not None,
        fuel_least_L=None if cell.fuel is None else 0.0,
        fuel_most_L=_litres(cell.fuel),
        refuted_more_baggage=_witness_json(made, cell.more_baggage),
        refuted_more_fuel=_witness_json(made, cell.more_fuel),
    )


def _witness_json(made: Card, witness: Witness | None) -> dict[str, Any] | None:
    """A loading that is not inside, station by station and tank by tank, and the limit that says so."""
    if witness is None or witness.limit is None:
        return None
    loading, limit, forms = witness.loading, witness.limit, made.forms
    unit = SI_UNIT[limit.dimension]
    return {
        "load_kg": {
            row.name: list(loading.masses[row.first : row.first + row.seats])
            for row in forms.rows
            if any(loading.masses[row.first : row.first + row.seats])
        },
        "tanks_L": dict(
            zip(forms.aircraft.tanks, (volume * 1000 for volume in forms.volumes(loading.fuel)), strict=True)
        ),
        "density_kg_per_m3": loading.density,
        **keyed(limit, f"limit=title place margin_{unit}=margin uncertainty_{unit}=uncertainty verdict"),
    }


def card_sheet(
    made: Card, aircraft: Aircraft, display: Display, expires: date, on: date, line: str, check: str
) -> Sheet:
    """The card in the reader's units; the same card gives the same sheet.

    Parameters: `made` [SI]; `aircraft`; `display`; the day it `expires`, and `on` which it was made; `line`
    that makes it again, and `check` that checks it. Raises: nothing.
    """
    head, flow, foot = Page(), Page(), Page()
    if aircraft.invented:
        head.caution([INVENTED])
    for text in sentences(made, display):
        head.paragraph(text, "bold")
    if made.shown and not made.one_colour:
        _table(head, made, display)
    flow.heading("It holds where")
    flow.bullets(conditions(made, display))
    flow.heading("What it rests on")
    empty = aircraft.basic_empty
    flow.paragraph(f"Aircraft: {aircraft.source}")
    flow.paragraph(f"Mass record of {empty.date}: {empty.version_id}.")
    flow.paragraph(
        f"Made on {on}. It expires on {expires}, and at once when the aircraft is weighed, its record"
        " amended or its equipment changed."
    )
    overdue = due(empty, expires)
    if overdue is not None:
        flow.notices([overdue.message], "bold yellow")
    foot.caution([CAUTION, *PLAN], "Cautions")
    foot.heading("To check it")
    foot.add(Bullets((check,), id="check"))
    foot.paragraph("It was made by", "dim")
    foot.add(Bullets((line,), id=MADE_BY))
    data = card_json(made, aircraft, expires, on)
    return Sheet(
        title=f"Loading card: {aircraft.name}, {made.ask.category} category",
        tied=f"made {on}, expires {expires}   digest {data['digest']}",
        digest=str(data["digest"]),
        head=head.blocks,
        flow=flow.blocks,
        foot=foot.blocks,
        about=f"{data['digest']} {line}",
    )


def _number(value: float, dimension: Dimension, display: Display, up: bool = False) -> str:
    """A figure to a decimal at most that promises no more than was proven: a least one rounded `up`."""
    tenths = value / UNITS[display.unit(dimension)].factor * 10
    whole = math.ceil(tenths - 1e-6) if up else math.floor(tenths + 1e-6)
    return f"{whole / 10:g}"


def _mass(value: float, display: Display, up: bool = False) -> str:
    return f"{_number(value, 'mass', display, up)} {display.unit('mass')}"


def _fuel(made: Card, volume: float, display: Display) -> str:
    """A filling; full tanks are said in words, as their figure is seldom round."""
    return "full" if volume >= made.forms.cuts[-1] * (1 - 1e-9) else _number(volume, "volume", display)


def _fuel_words(made: Card, volume: float, display: Display) -> str:
    text = _fuel(made, volume, display)
    return "full tanks" if text == "full" else f"{text} {display.unit('volume')} of usable fuel"


def _band(band: tuple[float, float], display: Display) -> str:
    low, high = _number(band[0], "mass", display, up=True), _number(band[1], "mass", display)
    return "nobody" if band[1] == 0.0 else f"{low}–{high}"


def sentences(made: Card, display: Display) -> list[str]:
    """What the whole table says in a sentence, where it says one thing."""
    ask = made.ask
    across, down, bag = ask.across[0], ask.down[0], ask.baggage[0] or "baggage"
    least = _fuel_words(made, ask.least_fuel, display)
    if not made.shown:
        return [f"No cell of this card can be shown inside with {least}: plan every flight of its own."]
    where = f"whatever sits in {across}" + (f" and {down}" if down else "")
    low, high = (_number(ask.across[1][at], "mass", display, up=not at) for at in (0, -1))
    where += f" ({across} {low} to {high} {display.unit('mass')}"
    where += f", {down} up to {_mass(ask.down[1][-1], display)})" if down else ")"
    found = []
    everywhere = made.everywhere
    if everywhere is not None:
        carried = f"{bag} up to {_mass(everywhere[0], display)}" if ask.baggage[0] else ""
        filled = f"fuel up to {_fuel_words(made, everywhere[1], display)}"
        found.append(f"{' and '.join(filter(None, (carried, filled)))} {where}.")
        found[0] = found[0][0].upper() + found[0][1:]
    elif len({cell.baggage for cell in made.shown}) == 1 and ask.baggage[0]:
        held = made.shown[0].baggage or 0.0
        carried = f"{bag.capitalize()} up to {_mass(held, display)}"
        found.append(f"{carried} in every cell that is not empty.")
    if everywhere is None:
        found.append("An empty cell (—) could not be shown inside: plan such a flight on its own.")
    return found


def _table(page: Page, made: Card, display: Display) -> None:
    """Front row across, rear row down: in every cell the baggage, and under it the fuel."""
    ask, mass, volume = made.ask, display.unit("mass"), display.unit("volume")
    columns = [Column(ask.across[0], mass, figures=False)]
    columns += [Column(_band(band, display)) for band in bands(ask.across[1])]
    rows = []
    for cells in made.cells:
        if ask.down[0]:
            unit = f" {mass}" if cells[0].down[1] else ""
            rows.append(Row((f"{ask.down[0]}: {_band(cells[0].down, display)}{unit}",)))
        held = ["—" if cell.baggage is None else _number(cell.baggage, "mass", display) for cell in cells]
        fuel = ["—" if cell.fuel is None else f"0–{_fuel(made, cell.fuel, display)}" for cell in cells]
        if ask.baggage[0]:
            rows.append(Row((f"baggage, {mass}", *held)))
        rows.append(Row((f"fuel, {volume}", *fuel)))
    page.add(Table(tuple(columns), tuple(rows), "card", large=True))


def conditions(made: Card, display: Display) -> Sequence[str]:
    """What a reader must keep to for the card to hold."""
    ask, forms = made.ask, made.forms
    empty = [
        name
        for name in forms.aircraft.stations
        if name not in {ask.across[0], ask.down[0], ask.baggage[0], *(other for other, _ in ask.aboard)}
    ]
    grades = " or ".join(GRADES[grade].name for grade in ask.grades)
    scale = UNITS[display.unit("density")].factor / 1000
    low, high = math.ceil(forms.density[0] / scale - 1e-6), math.floor(forms.density[1] / scale + 1e-6)
    seat = forms.aircraft.pilot_seat()
    found = [
        f"baggage is that in {ask.baggage[0]}, from nothing up to the figure" if ask.baggage[0] else "",
        "a row's mass is that of all its people together, as dressed, between the two figures of its band;"
        " which of its seats they take does not matter",
        f"nobody is heavier than {_mass(ask.heaviest, display)}",
    ]
    if seat is not None:
        pilot = _mass(ask.pilot, display, up=True)
        found.append(f"the pilot, in {seat[0]}, seat {seat[1] + 1}, weighs {pilot} or more")
    found += [f"{name} holds {_mass(most, display)} or less" for name, most in ask.aboard]
    if empty:
        found.append(f"nothing is in {', '.join(empty)}")
    order = ", then ".join(" with ".join(group) for group in forms.aircraft.feed_order())
    found += [
        f"the fuel is {grades}, of any density from {low / 1000:g}"
        f" to {high / 1000:g} {display.unit('density')}",
        f"fuel is usable fuel, burnt in the order {order} and filled the other way round (what is burnt last"
        " is filled first, tanks that drain together alike)",
        "fuel from 0: every state down to no usable fuel is inside too, a landing right after take-off"
        " included; how much the flight needs is not on this card",
        f"every cell allows at least {_fuel_words(made, ask.least_fuel, display)}; it tells the most"
        " baggage first and then the most fuel with it, so that less baggage may leave room for more fuel",
        "shown means: every loading of the cell keeps every limit of the profile by more than the uncertainty"
        " (k = 2) of the mass record, arms and tanks; proven by bounds, not by trying",
    ]
    return [each for each in found if each]
