"""What stands on a printed sheet, as plain text in tables and paragraphs; how it is laid out is another module's matter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from planner.data.cautions import FUEL_CHECK, INVENTED, PLAN_SHORT
from planner.envelope import LimitResult, worst
from planner.errors import Finding
from planner.limits import GREATEST
from planner.plan.results import Plan, State
from planner.report.envelope_picture import legend
from planner.report.flight_json import flight_json
from planner.report.words import (
    STATE_LETTERS,
    STATE_WORDS,
    VERDICT_WORDS,
    amount,
    cautions,
    density_sentences,
    dip_text,
    doubts,
    minutes,
    most_words,
    rule_sentences,
    time_from_takeoff,
    uncertainty_sentence,
    uncrossed,
    verdict_sentence,
    verdict_words,
)
from planner.sentences import joined, said
from planner.units import Display, clock

MOST_ITEMS: Final = 14  # with more lines than that, the seats of a station are added up
SIGNATURES: Final = ("Checked against the flight manual and the weighing report by (name)", "Date and time", "Signature of the pilot in command")
UNSIGNED: Final = "This program checks nothing for the pilot and signs nothing."


@dataclass(frozen=True, slots=True)
class Row:
    """One row; `strong` is a total or the final reserve, `alarm` a row with a limit that is not kept or not shown to be."""

    cells: tuple[str, ...]
    strong: bool = False
    alarm: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table: the columns named in `words` hold text, all others figures; a newline in a head starts its second line; `notes` stand below."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    words: tuple[int, ...] = (0,)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on the sheet but the picture, in the order of reading."""

    title: str
    about: str
    date: str
    digest: str
    warning: str
    short_caution: str
    verdict: str
    verdict_text: str
    uncertainty: str
    states: Table
    load: Table
    fuel: Table
    reserve: tuple[str, ...]
    burn: Table
    picture_title: str
    legend: str
    changes: Table
    drains: tuple[str, ...]
    fuel_check: str
    provenance: tuple[tuple[str, str], ...]
    notices: tuple[str, ...]
    cautions: tuple[str, ...]
    signatures: tuple[str, ...] = SIGNATURES
    unsigned: str = UNSIGNED


def sheet_of(plan: Plan, display: Display, changes: Table, leg: str = "", beside: tuple[str, ...] = (), tied: bool = True) -> Sheet:
    """The sheet of a plan, in the reader's units; the same plan gives the same sheet on any day.

    Parameters: `plan` [SI]; `display`; `changes` the table of last-minute changes; `leg` in words where the flight has
    several, `beside` what is to be noticed about the others; without `tied` the digest is left out. Raises: nothing.
    """
    flight = plan.flight
    return Sheet(
        title="Mass, balance and fuel",
        about=", ".join(part for part in (plan.aircraft.name, f"{flight.category} category", leg or flight.title) if part),
        date=str(flight.date) if flight.date else "",
        digest=str(flight_json(plan)["digest"]) if tied else "",
        warning=INVENTED if plan.aircraft.invented else "",
        short_caution=PLAN_SHORT,
        verdict=plan.verdict.upper(),
        verdict_text=_without_verdict(verdict_sentence(plan, display)),
        uncertainty=uncertainty_sentence(plan),
        states=_states(plan, display),
        load=_load(plan, display),
        fuel=_fuel(plan, display),
        reserve=_reserve(plan, display),
        burn=_burn(plan, display),
        picture_title="CG against mass",
        legend=legend(plan, display),
        changes=changes,
        drains=plan.aircraft.drains or ("every low point and the filter (none named in the profile)",),
        fuel_check=" ".join(FUEL_CHECK),
        provenance=_provenance(plan, display),
        notices=(*beside, *(_notice(finding, display) for finding in plan.findings)),
        cautions=tuple(each for each in cautions(plan) if each != INVENTED),
    )


def _notice(finding: Finding, display: Display) -> str:
    """A notice with the name of the thing it is about; the place in a file says nothing on paper."""
    about = finding.where.rpartition(" > ")[2]
    text = said(joined("; ", (finding.message, finding.hint)), display)
    return f"{about}: {text}" if about else text


def _without_verdict(sentence: str) -> str:
    """The sentence after the verdict in capitals, which stands before it in larger type."""
    for word in ("NOT SHOWN INSIDE: ", "OUTSIDE: ", "INSIDE "):
        if sentence.startswith(word):
            rest = sentence[len(word) :]
            return rest[0].upper() + rest[1:]
    return sentence


def margin(limit: LimitResult, display: Display) -> str:
    """A margin with its U in one unit, which the head of the column names: `+7.4 ± 5.3`; OUTSIDE and doubt are said in the last column."""
    least = amount(limit.margin, limit.dimension, display, sign=True).split(" ")[0]
    return f"{least} ± {amount(limit.uncertainty, limit.dimension, display).split(' ')[0]}" if limit.uncertainty else least


def _margin_unit(limit: LimitResult, display: Display) -> str:
    return display.span(1.0, limit.dimension).rsplit(" ", 1)[1]


def _verdict(limits: Sequence[LimitResult]) -> str:
    return VERDICT_WORDS[worst([each.verdict for each in limits])]


def _states(plan: Plan, display: Display) -> Table:
    """Mass, CG and fuel of every state with its margins; a limit that no column has stands in the verdict."""
    percent = plan.aircraft.mean_aerodynamic_chord is not None
    lateral = plan.aircraft.lateral is not None
    sample = plan.state("ramp").limits
    unit = _margin_unit(next(each for each in sample if each.name == "aft limit"), display)
    mass = display.unit("mass")
    heads = ["state", f"mass\n{mass}", f"CG\n{display.unit('length')}", *(["CG\n% MAC"] if percent else []), f"fuel\n{display.unit('volume')}"]
    heads += [f"limit\n{mass}", f"margin\n± U, {mass}", *(f"{side}\n± U, {unit}" for side in ("forward", "aft", *(("left", "right") if lateral else ())))]
    heads.append("checked")
    names = ["forward limit", "aft limit", *(["lateral limit, left", "lateral limit, right"] if lateral else [])]
    rows = [_state_row(state, display, percent, names) for state in plan.states]
    what = "forward and aft CG limits" + (", left and right lateral CG limits" if lateral else "")
    note = f"Margins to the mass limit and to the {what}, each with its expanded uncertainty U (k = 2). {_beside(plan, display)}"
    return Table("States and margins", tuple(heads), tuple(rows), (0, len(heads) - 1), (note.strip(),))


def _beside(plan: Plan, display: Display) -> str:
    """Limits without a column of their own, where they are not kept."""
    words = []
    for state in plan.states:
        for limit in state.limits:
            if limit.name == "least mass of the envelope" and limit.verdict != "inside":
                words.append(f"{STATE_WORDS[state.name]}: least mass of the envelope {display.text(limit.limit, 'mass')}, margin {margin(limit, display)}.")
    return " ".join(words)


def _state_row(state: State, display: Display, percent: bool, names: list[str]) -> Row:
    by_name = {limit.name: limit for limit in state.limits}
    mass = next((limit for limit in state.limits if limit.id == GREATEST), None)
    cells = [f"{STATE_LETTERS[state.name]} {STATE_WORDS[state.name]}", display.number(state.total.mass, "mass")]
    cells.append(display.number(state.total.centre_of_gravity, "length"))
    if percent:
        cells.append(f"{state.percent_mac:.2f}" if isinstance(state.percent_mac, float) else "-")
    cells.append(display.number(state.fuel, "volume"))
    cells += [display.number(mass.limit, "mass"), margin(mass, display)] if mass is not None else ["none", "-"]
    cells += [margin(by_name[name], display) for name in names]
    verdict = _verdict(state.limits)
    return Row((*cells, verdict), alarm=verdict != "inside")


def _load(plan: Plan, display: Display) -> Table:
    """Every item with arm and moment, the station's limit beside it, totals without and with fuel."""
    limits = {limit.name: limit for limit in plan.load_limits}
    rows: list[Row] = []

    def row(name: str, kilograms: float, arm: float, limit: LimitResult | None = None, strong: bool = False) -> None:
        most = most_words(limit, display) if limit else ""
        cells = (name, display.number(kilograms, "mass"), most, display.number(arm, "length"), display.number(kilograms * arm, "moment"))
        rows.append(Row(cells, strong, limit is not None and limit.verdict != "inside"))

    for name, mass, arm, station in _items(plan):
        row(name, mass, arm, limits.get(f"{station} limit") if station else None)
    for title, state in (("zero-fuel mass", "zero fuel"), ("ramp mass", "ramp")):
        total = plan.state(state).total
        if state == "ramp":
            for each in plan.fuel.tanks:
                row(f"fuel {each.tank.name}, {display.text(each.volume, 'volume')}", each.mass, each.arm)
        row(title, total.mass, total.centre_of_gravity, strong=True)
    stations = {f"{each.station} limit" for each in plan.loading.stations}
    for limit in plan.load_limits:
        if limit.name not in stations:
            most = most_words(limit, display)
            rows.append(Row((limit.name.removesuffix(" limit"), display.number(limit.value, "mass"), most, "", ""), alarm=limit.verdict != "inside"))
    heads = ("item", f"mass\n{display.unit('mass')}", f"most\n{display.unit('mass')}", f"arm\n{display.unit('length')}", f"moment\n{display.unit('moment')}")
    notes = (f"Arms from the datum: {plan.aircraft.datum}. Figures shown are rounded, computed unrounded.",)
    return Table("Load", heads, tuple(rows), notes=notes)


def _items(plan: Plan) -> list[tuple[str, float, float, str]]:
    """(name, mass [kg], arm [m], station or nothing), the seats of a station added up where there would be too many lines."""
    stations = {each.station: each for each in plan.loading.stations}
    found = []
    for item in plan.loading.items:
        base = item.name if item.name in stations else item.name.rpartition(" ")[0]
        found.append((item.name, item.mass, item.arm, base if base in stations else ""))
    if len(found) <= MOST_ITEMS:
        return found
    added = [(name, mass, arm, "") for name, mass, arm, station in found if not station]
    arms = {station: arm for _, _, arm, station in found}
    return added + [(name, each.mass, arms[name], name) for name, each in stations.items()]


def _fuel(plan: Plan, display: Display) -> Table:
    """Required line by line with the final reserve strong, against what is aboard."""
    fuel, rho = plan.fuel, plan.density.density

    def row(name: str, volume: float, time: str = "", strong: bool = False, alarm: bool = False) -> Row:
        return Row((name, display.number(volume, "volume"), display.number(volume * rho, "mass"), time), strong, alarm)

    rows = [row(line.name, line.volume, minutes(line.time), line.kind == "final reserve") for line in fuel.lines]
    rows.append(row("required", fuel.required, strong=True))
    rows.append(row("aboard, usable", fuel.aboard, strong=True))
    short = fuel.verdict != "inside"
    word = "surplus" if fuel.surplus >= 0 else "SHORTAGE"
    rows.append(row(word, abs(fuel.surplus), VERDICT_WORDS[fuel.verdict] if short else "", strong=True, alarm=short))
    notes = [f"U of the surplus {amount(fuel.uncertainty, 'volume', display)}. " if fuel.uncertainty else ""]
    left = plan.state("landing").fuel
    below = " LESS THAN THE FINAL RESERVE." if left < fuel.final_reserve.volume else ""
    notes[0] += f"On landing as planned {display.text(left, 'volume')} are left.{below} Endurance {clock(fuel.endurance)} {fuel.endurance_basis}."
    if fuel.runs_dry_in:
        notes[0] += f" THE USABLE FUEL RUNS OUT IN THE {fuel.runs_dry_in.upper()}."
    heads = ("fuel", display.unit("volume"), display.unit("mass"), "min")
    return Table("Fuel required and aboard", heads, tuple(rows), notes=tuple(notes))


def _reserve(plan: Plan, display: Display) -> tuple[str, ...]:
    """The final reserve in its four forms, and what each tank then holds."""
    fuel = plan.fuel
    reserve = fuel.final_reserve
    forms = f"{minutes(reserve.time)} min = {display.text(reserve.volume, 'volume')} = {display.text(reserve.volume * plan.density.density, 'mass')}"
    dips = ", ".join(f"{name} {dip_text(dip, display, at_least=True)}" for name, dip in fuel.reserve_dips)
    if not any(isinstance(dip, float) for _, dip in fuel.reserve_dips):
        dips = str(fuel.reserve_dips[0][1])
    held = ", ".join(f"{name} {display.text(v, 'volume')}" for (name, _), v in zip(fuel.reserve_dips, fuel.reserve_volumes, strict=True))
    return f"FINAL RESERVE {forms}", f"Dip when only this is left: {dips}. Usable in the tanks then: {held}. Land with no less."


def _burn(plan: Plan, display: Display) -> Table:
    """The least margin against every CG limit anywhere in the burn, and every crossing."""
    rows = []
    for least, limit in zip(plan.burn.least, plan.burn.limits, strict=True):
        cells = (least.limit, margin(limit, display), display.number(least.point.fuel, "volume"), verdict_words(limit))
        rows.append(Row(cells, alarm=limit.verdict != "inside"))
    unit = _margin_unit(plan.burn.limits[0], display) if plan.burn.limits else ""
    notes = []
    for each in plan.burn.crossings:
        word = "leaves" if each.direction == "out" else "comes inside"
        notes.append(f"{word} {each.limit} with {display.text(each.point.fuel, 'volume')} left, {time_from_takeoff(plan, each.point)} take-off")
    crossed = f"Crossings: {'; '.join(notes)}." if notes else uncrossed(plan) if rows else "No usable fuel is aboard, so nothing is burnt."
    heads = ("limit", f"margin\n± U, {unit}", f"fuel left\n{display.unit('volume')}", "checked")
    return Table("Whole burn, least margins", heads, tuple(rows), (0, 3), (crossed, *doubts(plan, display)))


def _provenance(plan: Plan, display: Display) -> tuple[tuple[str, str], ...]:
    """Where the figures come from."""
    empty = plan.aircraft.basic_empty
    due = f", next due {empty.next_due}" if empty.next_due else ""
    about = f" ({empty.reference})" if empty.reference else ""
    return (
        ("Aircraft", plan.aircraft.source),
        ("Mass record", f"{empty.version_id}, {empty.established}{about}{due}; includes {', '.join(empty.includes) or 'neither oil nor unusable fuel'}"),
        ("Density", " ".join(density_sentences(plan, display))),
        ("Rule", " ".join(rule_sentences(plan)).removeprefix("Rule ")),
    )
