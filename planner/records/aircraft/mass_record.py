"""The basic empty mass as a record: dated, with its next due, its id, and the records it replaced."""

# Annotations are no texts here: pydantic would compile each of them as the program starts.

import re
import zlib
from collections.abc import Iterable, Iterator, Sequence
from datetime import date as calendar_date
from typing import Annotated, Any, ClassVar, Final, Literal, Self

from pydantic import PlainValidator, model_validator

from planner.quantities.errors import Finding
from planner.records.fields import NO_ARM, Arm, Day, Included, Length, Mass, Moment, Record, refusal

# of the mass last weighed, from which a record carried on by computation is told: common practice, no
# published source
CREEP: Final = 0.02


class EmptyFigures(Record):
    """A basic empty mass with its arm, or the moment in its place."""

    what: ClassVar[str] = "basic empty mass"
    printed_in: ClassVar[str] = "the mass from the weighing report"
    mass: Mass
    arm: Arm | None = None
    moment: Moment | None = None

    @model_validator(mode="after")
    def _arm_or_moment(self) -> Self:
        if (self.arm is None) == (self.moment is None):
            message = f"{self.what} needs exactly one of 'arm:' and 'moment:'"
            raise refusal("basic-empty-arm", message, "needed one of them", "delete or add one")
        if self.mass.value <= 0:
            needed = f"needed {self.printed_in}"
            raise refusal("quantity-too-small", "basic empty mass is zero", needed)
        return self

    def arm_value(self) -> float:
        """The arm [m], given or as moment / mass."""
        if self.arm is not None:
            return self.arm.value
        assert self.moment is not None  # the validator above leaves exactly one
        return self.moment.value / self.mass.value


class BasicEmpty(EmptyFigures):
    """Basic empty mass with its arm or moment, when and how it was established, which fluids it includes."""

    lateral_arm: Length = NO_ARM
    date: Day
    includes: Included
    reference: str = ""
    established: Literal["weighed", "computed"] = "weighed"
    next_due: Day | None = None

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
    """A record that no longer holds: as it was, its id, the day it was replaced, and what replaced it."""

    version: str
    superseded_on: Day
    change: str
    change_id: str = ""
    by: str = ""


_HINT: Final = "have the aircraft weighed, then: planner aircraft amend"


def _notice(code: str, message: str, needed: str, hint: str = _HINT) -> Finding:
    return Finding(code, message, needed, hint, severity="notice")


def due(record: BasicEmpty, day: calendar_date) -> Finding | None:
    """record-due: the record's own next due lies before `day`."""
    if record.next_due is None or record.next_due >= day:
        return None
    message = f"the mass record {record.version_id} was due for renewal on {record.next_due}"
    return _notice("record-due", message, "needed a record that is in date")


def last_weighed(records: Iterable[BasicEmpty]) -> BasicEmpty | None:
    """The first of the records, newest first, that rests on a weighing; None where none does."""
    return next((each for each in records if each.established == "weighed"), None)


def read_months(value: Any) -> int:
    """A span of months or years, such as `48 months` or `4 years`, in months."""
    read = re.fullmatch(r"([1-9]\d{0,2}) (months?|years?)", value) if isinstance(value, str) else None
    if read is None:
        message = f"{value!r} is no span of months or years"
        raise refusal("months-unreadable", message, "needed one such as '48 months' or '4 years'")
    return int(read[1]) * (12 if read[2].startswith("year") else 1)


Months = Annotated[int, PlainValidator(read_months)]


def record_notices(
    current: BasicEmpty, older: Sequence[BasicEmpty], every: int | None, day: calendar_date
) -> Iterator[Finding]:
    """record-due; record-ahead: dated after `day`; record-old: the weighing is older than the club's rule of
    `every` months; record-creep: far from what was weighed.
    """
    if (late := due(current, day)) is not None:
        yield late
    if current.date > day:
        message = f"the mass record {current.version_id} is dated after {day}"
        yield _notice("record-ahead", message, "needed one in force on that day", "check the year of both")
    weighing = last_weighed((current, *older))
    if weighing is None:
        return
    if every is not None:
        year, month = divmod(weighing.date.year * 12 + weighing.date.month - 1 + every, 12)
        last = calendar_date(year, month + 1, min(weighing.date.day, 28))
        if last < day:
            message = (
                f"the last weighing is of {weighing.date}, and the profile asks for one every {every} months"
            )
            yield _notice("record-old", message, f"needed one by {last}")
    crept = current.mass.value / weighing.mass.value - 1
    if abs(crept) > CREEP:
        message = (
            f"the basic empty mass in use is {100 * crept:+.1f} % from what was weighed on {weighing.date}"
        )
        yield _notice("record-creep", message, f"needed within {100 * CREEP:g} %")
