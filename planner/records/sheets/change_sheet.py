"""A change to an aircraft's mass record: equipment put in, taken out or moved, or a new weighing."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from planner.records.aircraft.checks import PLAUSIBLE_ARM
from planner.records.aircraft.mass_record import EmptyFigures
from planner.records.document import Document, all_or_refuse, read
from planner.records.fields import NO_ARM, Day, Included, Length, Mass, Record, refusal, validate
from planner.records.placed import Located, found, place_all
from planner.records.sheets.weighing_sheet import Label, Thing
from planner.records.store import Loaded


class Moved(Record):
    """A thing carried from one arm to another."""

    mass: Mass
    from_arm: Length
    to_arm: Length
    from_lateral_arm: Length = NO_ARM
    to_lateral_arm: Length = NO_ARM


class Weighed(EmptyFigures):
    """The result of a new weighing, as its signed report states it."""

    what: ClassVar[str] = "a weighing result"
    arm: Length | None = None  # in % of the chord it is not printed here
    lateral_arm: Length = NO_ARM
    includes: Included


class ChangeSheet(Record):
    """One change: things put in, taken out or moved, or a weighing (its signed result, or a worksheet)."""

    change: Literal[1]
    aircraft: Label
    date: Day
    reference: Annotated[str, Field(min_length=1, max_length=200)]
    by: Annotated[str, Field(max_length=80)] = ""
    added: dict[str, Thing] = Field(default_factory=dict)
    removed: dict[str, Thing] = Field(default_factory=dict)
    moved: dict[str, Moved] = Field(default_factory=dict)
    weighed: Weighed | None = None
    worksheet: str = ""
    next_due: Day | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> ChangeSheet:
        items = self.added or self.removed or self.moved
        ways = {"items": items, "weighed": self.weighed, "worksheet": self.worksheet}
        kinds = [name for name, given in ways.items() if given]
        if len(kinds) != 1:
            needed = "needed either added, removed and moved things, or 'weighed:', or 'worksheet:'"
            message = f"{' and '.join(kinds)} stand together" if kinds else "nothing is changed"
            raise refusal("change-kind", message, needed, "one file for each change")
        return self

    @property
    def by_items(self) -> bool:
        """Whether the record is carried on by computation rather than by a weighing."""
        return self.weighed is None and not self.worksheet


def change_id(document: Document) -> str:
    """An id of what the file says, blind to its spelling, so that one change is not applied twice."""
    return hashlib.sha256(
        json.dumps(document.value, sort_keys=True, ensure_ascii=False).encode()
    ).hexdigest()[:12]


def _arms(sheet: ChangeSheet) -> Iterator[Located]:
    groups = (("added", ("arm",)), ("removed", ("arm",)), ("moved", ("from_arm", "to_arm")))
    for group, keys in groups:
        for name, thing in getattr(sheet, group).items():
            for arm, key in ((getattr(thing, key), key) for key in keys):
                if abs(arm.value) > PLAUSIBLE_ARM:
                    message = f"an arm of {arm.text} is not plausible"
                    yield found((group, name, key), "arm-implausible", message, hint="check the unit")


def _due_later(sheet: ChangeSheet) -> Iterator[Located]:
    """change-next-due: a next due that is not after the change."""
    if sheet.next_due is not None and sheet.next_due <= sheet.date:
        message = "the next weighing is due before this change"
        yield found(("next_due",), "change-next-due", message, "needed a later day")


def load_change(path: Path | str) -> Loaded[ChangeSheet]:
    """Read and check a change file. Raises InputRefused with every finding."""
    document = read(path)
    sheet = validate(document, ChangeSheet, "change")
    return Loaded(sheet, document, all_or_refuse(place_all(document, (*_arms(sheet), *_due_later(sheet)))))
