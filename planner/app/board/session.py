"""One flight on the board: its figures as they were, and every answer computed from moved ones."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Any, Final

from planner.app.board.controls import Control, changes_of, controls_of
from planner.plan import plan_flight
from planner.plan.results import Plan
from planner.quantities.errors import Finding, InputRefused
from planner.quantities.sentences import finding_words
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.records.writing.rewriting import rewritten
from planner.views.blocks import Block, Bullets, Heading, Page, Panel, Paragraph, Table, found
from planner.views.flight.burn_text import render_burn, render_states
from planner.views.flight.envelope_picture import envelope_drawn, legend, view_of
from planner.views.flight.flight_json import flight_json
from planner.views.flight.flight_text import render_items
from planner.views.flight.fuel_text import render_final_reserve, render_required
from planner.views.html import figure, row_kind
from planner.views.words import uncertainty_sentence, verdict_text

_WIDE: Final = (128.0, 66.0, 2.7)  # width, height and letters of the picture
_TABLES: Final = {"states": render_states, "load": render_items, "fuel": render_required, "burn": render_burn}


class Session:
    """A flight file, its aircraft and the reader's units; nothing in it changes once it is made."""

    def __init__(
        self,
        flight: Loaded[Flight],
        aircraft: Loaded[Aircraft],
        display: Display,
        changed: Sequence[str] = (),
    ) -> None:
        self.flight, self.aircraft, self.display = flight, aircraft, display
        self.changed_before = tuple(changed)  # what is not as in the file
        self.plan = plan_flight(flight, aircraft)
        raw = flight.document.value
        assert isinstance(raw, dict)  # a flight that was read
        self.raw: dict[str, Any] = raw
        # The axes stay where they are while figures move: room for moving on every side but the top, which
        # the envelope sets.
        self.view = view_of(self.plan).wider(0.2)
        self.controls = {each.id: each for each in controls_of(self.plan, self.raw, display)}

    def values(self, given: Any) -> dict[str, float]:
        """The moved figures out of what a client sent: only known controls that may move, only finite figures
        within their range.

        Raises InputRefused with everything that is wrong.
        """
        if not isinstance(given, dict):
            raise InputRefused(
                [
                    Finding("board-values", "the figures are not a list of names and numbers").at(
                        "the page", 1, 1
                    )
                ]
            )
        wrong: list[Finding] = []
        found: dict[str, float] = {}
        for name, value in given.items():
            control = self.controls.get(str(name))
            if control is None or control.fixed:
                wrong.append(
                    Finding("board-values", f"{str(name)[:40]!r} is not a figure that can be moved").at(
                        "the page", 1, 1
                    )
                )
            elif isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
                wrong.append(
                    Finding("board-values", "not a number", "needed a number").at(
                        "the page", 1, 1, control.label
                    )
                )
            elif not control.low <= value <= control.high:
                needed = f"needed {control.low:g} to {control.high:g} {control.unit}"
                wrong.append(
                    Finding("board-values", f"{value:g} {control.unit} is out of range", needed).at(
                        "the page", 1, 1, control.label
                    )
                )
            elif value != control.value:
                found[control.id] = float(value)
        if wrong:
            raise InputRefused(wrong)
        return found

    def planned(self, values: Mapping[str, float]) -> Plan:
        """The plan with the moved figures, read and checked as a file would be. Raises InputRefused."""
        return plan_flight(self.varied(values), self.aircraft) if values else self.plan

    def varied(self, values: Mapping[str, float]) -> Loaded[Flight]:
        """The flight with the moved figures. Raises InputRefused."""
        return self.flight.with_(changes_of(self.raw, self.controls, values), self.aircraft)

    def start(self) -> dict[str, Any]:
        """What the page needs once: the controls, and the answer for the file as it stands."""
        return {"controls": [_control(each) for each in self.controls.values()], "answer": self.answer({})}

    def answer(self, given: Any, moving: bool = False) -> dict[str, Any]:
        """Verdict, tables, picture and what was changed; or what was refused, with no figures at all. No
        digest while a slider is `moving`.
        """
        try:
            values = self.values(given)
            plan = self.planned(values)
        except InputRefused as refused:
            return {"refused": [self._words(finding) for finding in refused.findings]}
        text = verdict_text(plan, self.display)
        pages = {name: Page() for name in (*_TABLES, "reserve")}
        for name, render in {**_TABLES, "reserve": render_final_reserve}.items():
            render(pages[name], plan, self.display)
        reserve = found(pages["reserve"].blocks, Panel, "final-reserve")
        return {
            "verdict": plan.verdict.upper(),
            "text": text[0].upper() + text[1:],
            "uncertainty": uncertainty_sentence(plan),
            "tables": {name: _table(pages[name].blocks) for name in _TABLES},
            "reserve": [f"FINAL RESERVE {reserve.texts[0]}", *reserve.texts[1:], *reserve.beside],
            "notices": [finding_words(finding, self.display) for finding in plan.findings],
            "digest": "" if moving else str(flight_json(plan)["digest"]),
            "picture": figure(
                envelope_drawn(plan, self.display, *_WIDE, self.view),
                _WIDE,
                "The envelope, the burn and the states: CG across, mass up.",
            ),
            "legend": legend(plan, self.display, self.view),
            "changed": self.changed(values),
        }

    def _words(self, finding: Finding) -> str:
        text = finding_words(finding, self.display)
        return f"{finding.where}: {text}" if finding.where else text

    def changed(self, values: Mapping[str, float]) -> list[dict[str, str]]:
        """Every moved figure with what it was."""
        found = []
        for name, value in values.items():
            control = self.controls[name]
            found.append(
                {
                    "what": control.label,
                    "from": f"{control.value:g} {control.unit}",
                    "to": f"{value:g} {control.unit}",
                }
            )
        return found

    def file(self, given: Any) -> tuple[str, str]:
        """(name, text) of the flight file with the moved figures; comments stay where the file's form allows.
        Raises InputRefused.
        """
        values = self.values(given)
        self.planned(values)
        text = rewritten(self.flight.document.text, self.varied(values).document.value)
        moved = (
            "; ".join(f"{each['what']} from {each['from']} to {each['to']}" for each in self.changed(values))
            or "nothing"
        )
        by_path = any(sign in self.flight.record.aircraft for sign in "/\\.")
        beside = "# Keep it in that file's folder: its aircraft is found from there.\n" if by_path else ""
        source = PurePath(self.flight.document.path).name
        head = (
            f"# Made on the board from {source}; moved there: {moved}.\n# Comments below are those of that"
            f" file and may no longer fit.\n{beside}"
        )
        return f"{PurePath(source).stem or 'flight'}-changed.yaml", head + text


def _control(control: Control) -> dict[str, Any]:
    names = ("id", "group", "label", "unit", "value", "low", "high", "step", "fixed")
    return {name: getattr(control, name) for name in names}


def _table(blocks: list[Block]) -> dict[str, Any]:
    """A section with one table as the page's script reads it."""
    table = next((block for block in blocks if isinstance(block, Table)), Table((), ()))
    rows = [
        {"cells": list(row.cells), "strong": row_kind(row) == "bold", "alarm": row_kind(row) == "alarm"}
        for row in table.rows
    ]
    notes = [
        text
        for block in blocks
        for text in (
            block.texts
            if isinstance(block, Bullets)
            else [block.text]
            if isinstance(block, Paragraph)
            else []
        )
    ]
    title = next(block.text for block in blocks if isinstance(block, Heading))
    return {"title": title, "heads": table.heads, "rows": rows, "words": table.words, "notes": notes}
