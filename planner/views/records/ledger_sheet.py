"""The fuel ledger on paper: a page a month, the balance of every tank drawn with its band beside the list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import pairwise
from typing import Final

from planner.facts.cautions import INVENTED, LEDGER
from planner.logbook.ledger.account import Account, AccountPoint
from planner.logbook.ledger.doubt.telling import Suspect
from planner.logbook.ledger.entries import READINGS, Entry, Stored
from planner.quantities.effects import COVERAGE
from planner.quantities.frozen import frozen
from planner.quantities.sentences import said
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.views.blocks import Page, Picture, Row, Sheet
from planner.views.html import document
from planner.views.pictures.axes import ticks
from planner.views.pictures.svg import INK, Drawing

_PRINTED: Final = """
.flow { columns: 1 !important; }
.flow section { display: grid; grid-template-columns: 1fr 1.15fr; gap: 0 1.5em; align-content: start; }
.flow section > * { grid-column: 1; }
.flow section > h2, .flow section > p { grid-column: 1 / -1; }
.flow section > .wide { grid-column: 2; grid-row: 2 / span 12; }
@media (max-width: 46em) { .flow section { display: block; } }
@media print { @page { size: A4 landscape; margin: 10mm; } .flow section { break-before: page; } }
"""
_LEGEND: Final = (
    "Line: what all entries together make most likely; band: its U (k = 2); dashes: full. Triangle up:"
    " uplift; triangle down: drain; slope: flight; cross: dip; ring: gauge; square round a mark: a"
    " correction; struck out: an entry corrected or taken out."
)


@frozen
class LedgerPages:
    """One aircraft's part of the sheet: every entry `held`, those that count adjusted, and the doubts."""

    aircraft: Aircraft
    held: tuple[Stored, ...]
    account: Account
    doubts: tuple[Suspect, ...]


def written(parts: Sequence[LedgerPages], shown: Display) -> str:
    """The sheet as one HTML file that needs nothing beside it. Raises: nothing."""
    head, flow, foot = Page(), Page(), Page()
    invented = [INVENTED] if any(part.aircraft.invented for part in parts) else []
    head.panel("Caution", (*invented, LEDGER), "bold yellow")
    for part in parts:
        doubts = ((said(each.finding().message, shown), each.cure) for each in part.doubts)
        head.bullets([f"{part.aircraft.name}: {told}; {cure}" for told, cure in doubts], "bold yellow")
        for month in sorted({each.entry.at[:7] for each in part.held}):
            _page(flow, part, month, shown)
    foot.paragraph(_LEGEND)
    foot.paragraph(f"Usable fuel in {shown.unit('volume')}, times in UTC.")
    names = ", ".join(part.aircraft.name for part in parts)
    title = f"Fuel ledger: {names}"
    sheet = Sheet(title=title, tied="", head=head.blocks, flow=flow.blocks, foot=foot.blocks)
    return document(sheet, _PRINTED)


def _moment(at: str) -> datetime:
    return datetime.fromisoformat(at.replace("Z", "+00:00"))


def _page(page: Page, part: LedgerPages, month: str, shown: Display) -> None:
    begin = datetime(int(month[:4]), int(month[5:]), 1, tzinfo=UTC)
    end = (begin + timedelta(days=32)).replace(day=1)
    tanks = list(part.aircraft.tanks)
    page.heading(f"{part.aircraft.name}, {begin:%B %Y}")
    for at, tank in enumerate([*tanks, ""] if len(tanks) > 1 else tanks):
        name = tank or "all tanks"
        page.add(
            Picture(
                signs=lambda _width, _unicode: ([], []),
                drawn=_drawer(part, tank, begin, end, shown),
                legend=partial(str, name),
                label=f"{name}: balance over {begin:%B %Y}",
                id=f"{month}-{at}-{part.aircraft.name.replace(' ', '-')}",
            )
        )
    _list(page, part, month, shown)


def _list(page: Page, part: LedgerPages, month: str, shown: Display) -> None:
    counting = {point.stored.number for point in part.account.points}
    by_uid = {each.entry.uid: each.number for each in part.held}
    accused = {number for doubt in part.doubts for number in (*doubt.numbers, *doubt.others)}
    rows = []
    for each in sorted(part.held, key=lambda held: (held.entry.at, held.number)):
        entry = each.entry
        if entry.at[:7] != month:
            continue
        words = [entry.text, f"ticket {entry.ticket}" if entry.ticket else ""]
        words += [f"leaves {shown.text(entry.leaves, 'volume')}" if entry.leaves >= 0 else ""]
        if entry.supersedes:
            words.append(
                f"{'takes out' if entry.void else 'corrects'} no. {by_uid.get(entry.supersedes, '?')}"
            )
        words += ["" if each.number in counting or entry.void else "corrected", entry.note]
        words += ["IN DOUBT" if each.number in accused else ""]
        figures = [shown.number(entry.volume, "volume"), shown.number(COVERAGE * entry.u, "volume")]
        when = f"{entry.at[8:10]}. {entry.at[11:16]}"
        told = "; ".join(word for word in words if word)
        style = "bold yellow" if each.number in accused else "" if each.number in counting else "dim"
        rows.append(Row((str(each.number), when, entry.kind, entry.tank or "all", *figures, told), style))
    page.table("no. | day, time | kind: words | tank: words | volume | U | as written: words", rows)


def _of(point: AccountPoint, tank: str, names: Sequence[str]) -> tuple[float, float]:
    if not tank:
        return point.total, point.u_total
    return point.volumes[names.index(tank)], point.us[names.index(tank)]


def _drawer(
    part: LedgerPages, tank: str, begin: datetime, end: datetime, shown: Display
) -> Callable[[float, float, float], str]:
    names = list(part.aircraft.tanks)
    most = sum(each.usable for name, each in part.aircraft.tanks.items() if tank in ("", name))
    top = 1.12 * most

    def drawn(wide: float, high: float, size: float) -> str:
        left, right, upper, lower = 3.2 * size, wide - size, 0.8 * size, high - 2 * size

        thin = 0.08 * size

        def x(at: datetime) -> float:
            share = (at - begin) / (end - begin)
            return left + min(max(share, 0.0), 1.0) * (right - left)

        def y(volume: float) -> float:
            return lower - min(max(volume / top, -0.05), 1.0) * (lower - upper)

        drawing = Drawing()
        for share, text in ticks(0.0, top, "volume", shown, 5):
            at = lower - share * (lower - upper)
            drawing.line(left, at, right, at, stroke_opacity=0.2, stroke_width=thin)
            drawing.text(left - 0.4 * size, at + 0.35 * size, text, size, "end")
        for day in range(1, (end - begin).days + 1, 5):
            at = x(begin + timedelta(days=day - 1))
            drawing.line(at, lower, at, lower + 0.4 * size, stroke_width=thin)
            drawing.text(at, lower + 1.6 * size, str(day), size, "middle")
        drawing.path([(left, y(most)), (right, y(most))], dash=0.6 * size, stroke_width=thin)
        steps = _steps(part.account.points, tank, names)
        inside = _within(steps, begin, end)
        if len(inside) > 1:
            band = [(x(at), y(volume + COVERAGE * u)) for at, volume, u in inside]
            band += [(x(at), y(volume - COVERAGE * u)) for at, volume, u in reversed(inside)]
            drawing.path(band, closed=True, fill=INK, fill_opacity=0.15, stroke="none")
            drawing.path([(x(at), y(volume)) for at, volume, _ in inside], stroke_width=1.5 * thin)
        points = {point.stored.number: point for point in part.account.points}
        for each in part.held:
            moment = _moment(each.entry.at)
            level = _level(each, tank, points.get(each.number), names)
            if begin <= moment < end and level is not None:
                _mark(drawing, each.entry, x(moment), y(level), 0.45 * size, each.number in points)
        return drawing.markup()

    return drawn


_Step = tuple[datetime, float, float]


def _steps(points: Sequence[AccountPoint], tank: str, names: Sequence[str]) -> list[_Step]:
    """The balance as corners of a line: level between movements, sloping over a flight."""
    corners: list[_Step] = []
    for before, point in pairwise((None, *points)):
        assert point is not None  # only the first of the pairs begins with nothing
        at, entry = _moment(point.stored.entry.at), point.stored.entry
        if before is not None:
            start = max(at - timedelta(seconds=entry.duration), _moment(before.stored.entry.at))
            corners.append((start, *_of(before, tank, names)))
        corners.append((at, *_of(point, tank, names)))
    return corners


def _within(steps: Sequence[_Step], begin: datetime, end: datetime) -> list[_Step]:
    """The corners of a month, the level it begins with, and the one it ends with."""
    before = [step for step in steps if step[0] < begin]
    inside = [step for step in steps if begin <= step[0] < end]
    after = any(step[0] >= end for step in steps)
    first = [(begin, *before[-1][1:])] if before else []
    last = [(end, *(inside or first)[-1][1:])] if after and (inside or first) else []
    return [*first, *inside, *last]


def _level(each: Stored, tank: str, point: AccountPoint | None, names: Sequence[str]) -> float | None:
    """Where an entry is marked: a reading where it read, a movement where it left the tank."""
    entry = each.entry
    if entry.void or entry.kind == "flight" or (entry.tank != tank and not (tank and not entry.tank)):
        return None
    if entry.kind in READINGS:
        return entry.volume if entry.tank == tank else None
    return _of(point, tank, names)[0] if point is not None else entry.volume


def _mark(drawing: Drawing, entry: Entry, x: float, y: float, r: float, counts: bool) -> None:
    pen = 0.2 * r
    if entry.kind == "gauge":
        ring: dict[str, str | float] = {"cx": x, "cy": y, "r": r, "fill": "none", "stroke": INK}
        drawing.element("circle", {**ring, "stroke_width": pen})
    elif entry.kind == "dip":
        drawing.line(x - r, y - r, x + r, y + r, stroke_width=pen)
        drawing.line(x - r, y + r, x + r, y - r, stroke_width=pen)
    else:
        tip = -1.5 * r if entry.kind == "uplift" else 1.5 * r
        drawing.path([(x, y + tip), (x - r, y), (x + r, y)], closed=True, fill=INK, stroke_width=pen)
    if entry.supersedes:
        drawing.rect(x - 1.7 * r, y - 1.7 * r, 3.4 * r, 3.4 * r, stroke_width=pen)
    if not counts:
        drawing.line(x - 2 * r, y, x + 2 * r, y, stroke_width=pen)
