"""What `--set` changed, told before everything else."""

from __future__ import annotations

from collections.abc import Sequence

from planner.quantities.frozen import frozen
from planner.records.document import Document, at, where_words
from planner.records.flight.record import Flight
from planner.records.store import Loaded
from planner.records.writing.rewriting import on_one_line
from planner.views.blocks import Page


@frozen(kw_only=True)
class ChangedValue:
    """One value set: where in the file, what it was (nothing where the file has none), what it is, and the
    `KEY=VALUE` that set it.
    """

    where: str
    before: str
    now: str
    by: str

    @property
    def words(self) -> str:
        """`fuel > tanks > left: 20 USgal (was 31 L)`."""
        return f"{self.where}: {self.now or 'taken out'}" + (f" (was {self.before})" if self.before else "")


def changed_values(before: Document | None, flight: Loaded[Flight]) -> tuple[ChangedValue, ...]:
    """Every value of a flight that was set, in the order of the file; `before` is the document as it was
    read, if there was one.
    """

    def shown(document: Document | None, location: tuple[str | int, ...]) -> str:
        value = None if document is None else at(document.value, location)
        return value if isinstance(value, str) else "" if value is None else on_one_line(value)

    document = flight.document
    return tuple(
        ChangedValue(
            where=where_words(location),
            before=shown(before, location),
            now=shown(document, location),
            by=option,
        )
        for location, option in document.varied.items()
    )


def render_changed(page: Page, words: Sequence[str], without_file: bool = False) -> None:
    """What was changed, or set without a file, before anything that is told of the flight."""
    if words:
        page.heading("Set for this plan, without a flight file" if without_file else "Changed for this plan")
        page.bullets(words, "bold")
