"""The basic empty mass as a record: dated, with its next due, with an id of its own, and with the records it
replaced.
"""

from __future__ import annotations

import zlib
from datetime import date as calendar_date
from typing import Literal

from pydantic import model_validator

from planner.quantities.errors import Finding
from planner.quantities.units import Quantity
from planner.records.fields import Arm, Day, Length, Mass, Moment, Record, refusal


class BasicEmpty(Record):
    """Basic empty mass with its arm or its moment, when and how it was established, and which fluids it
    includes.
    """

    mass: Mass
    arm: Arm | None = None
    moment: Moment | None = None
    lateral_arm: Length = Quantity(0.0, 0.0, "length", "0 m")
    date: Day
    includes: tuple[Literal["full oil", "unusable fuel"], ...]
    reference: str = ""
    established: Literal["weighed", "computed"] = "weighed"
    next_due: Day | None = None

    @model_validator(mode="after")
    def _arm_or_moment(self) -> BasicEmpty:
        if (self.arm is None) == (self.moment is None):
            raise refusal(
                "basic-empty-arm",
                "basic empty mass needs exactly one of 'arm:' and 'moment:'",
                "needed one of them",
                "delete or add one",
            )
        if self.mass.value <= 0:
            raise refusal(
                "quantity-too-small", "basic empty mass is zero", "needed the mass from the weighing report"
            )
        return self

    def arm_value(self) -> float:
        """The arm [m], given or as moment / mass."""
        if self.arm is not None:
            return self.arm.value
        assert self.moment is not None  # the validator above leaves exactly one
        return self.moment.value / self.mass.value

    @property
    def version_id(self) -> str:
        """The id of this record: its date and a digest of its figures in SI, the same for the same record in
        any spelling.
        """
        figures: list[object] = [str(self.date), self.established, *sorted(self.includes)]
        for each in (self.mass, self.arm, self.moment, self.lateral_arm):
            figures += ["none"] if each is None else [f"{each.value:.9g}", f"{each.u:.9g}"]
        # A checksum tells two records of one day apart and finds a slip; it is no seal, and it costs a plan
        # no library.
        return f"{self.date}-{zlib.crc32('|'.join(map(str, figures)).encode()):08x}"


class SupersededRecord(BasicEmpty):
    """A record that no longer holds: as it was, with its id, the day it was replaced, and what replaced
    it.
    """

    version: str
    superseded_on: Day
    change: str
    change_id: str = ""


def due(record: BasicEmpty, day: calendar_date) -> Finding | None:
    """record-due: the record's own next due lies before `day`."""
    if record.next_due is None or record.next_due >= day:
        return None
    message = f"the mass record {record.version_id} was due for renewal on {record.next_due}"
    return Finding(
        "record-due",
        message,
        "needed a record that is in date",
        "have the aircraft weighed, then: planner aircraft amend",
        severity="notice",
    )
