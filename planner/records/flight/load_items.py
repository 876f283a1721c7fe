"""What is aboard: plain masses, and masses with the evidence behind them."""

# Annotations are no texts here: pydantic would compile each of them as the program starts.

from dataclasses import replace
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from planner.facts.evidence import EVIDENCE, Carried, How
from planner.facts.standard_masses import seat_band
from planner.quantities.frozen import frozen
from planner.quantities.sentences import book, joined, say
from planner.quantities.units import Quantity
from planner.records.fields import Mass, ReadBy, Record, read_mass, refusal


@frozen
class LoadMass(Quantity):
    """A mass with its evidence: `value` includes the `pad` [kg]; `given` [kg] is what was written; `basis`
    says it in words.

    As read, `pad` is None where the flight states none and a standard mass is still 0; `settle` fills both
    in.
    """

    how: How
    who: str
    given: float
    pad: float | None
    basis: str


class LoadRecord(Record):
    """`{mass: 78 kg, how: stated}`, `{how: standard, people: 3, who: female}`; `pad:` of your own."""

    how: Literal["weighed", "stated", "standard", "guessed"]
    mass: Mass | None = None
    pad: Mass | None = None
    people: int = Field(default=1, ge=1, le=50)
    who: Literal["male", "female", "child"] = "male"

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.how == "standard") == (self.mass is not None):
            wrong = (
                "a standard mass is not stated"
                if self.mass is not None
                else f"a mass that is {self.how} is missing"
            )
            needed = "needed 'mass:' with weighed, stated or guessed, and none with standard"
            raise refusal("load-evidence", wrong, needed)
        if self.how != "standard" and self.people != 1:
            message, needed = "one mass cannot stand for several people", "needed one entry per person"
            raise refusal("load-evidence", message, needed, "or {how: standard, people: 3}")
        return self


def read_entries(value: Any) -> tuple[Quantity, ...]:
    """One figure for the whole station, or a list of figures and evidence records; several standard people
    become one entry each.
    """
    result: list[Quantity] = []
    for entry in value if isinstance(value, list) else [value]:
        if not isinstance(entry, dict):
            result.append(read_mass(entry))
            continue
        record = LoadRecord.model_validate(entry)
        given = record.mass or Quantity(0.0, 0.0, "mass", f"standard {record.who}")
        pad = record.pad.value if record.pad else None
        result += [known_by(given, record.how, pad, who=record.who)] * record.people
    return tuple(result)


def known_by(mass: Quantity, how: How, pad: float | None, who: str = "", basis: str = "") -> LoadMass:
    """A mass as written, with its evidence beside it."""
    return LoadMass(
        value=mass.value,
        u=mass.u,
        dimension="mass",
        text=mass.text,
        how=how,
        who=who,
        given=mass.value,
        pad=pad,
        basis=basis,
    )


Masses = Annotated[tuple[Quantity, ...], ReadBy(read_entries)]


def settle(mass: Quantity, kind: str, passenger_seats: int) -> Quantity:
    """A mass as the plan uses it: a plain figure as it stands, one with evidence with its pad and
    uncertainty.

    Parameters: `mass` as read [kg]; `kind` of its station (seats are people, all else bags);
    `passenger_seats` of the aircraft, which choose the table of standard masses. Returns the Quantity [kg].
    Raises KeyError where no standard mass is published (bags, large cabins); the caller places it.
    Source: [ncc-pol-105] standard masses; [amc1-cat-pol-mab-100] clothing.
    """
    if not isinstance(mass, LoadMass) or mass.basis:  # a mass taken from a settled flight keeps what it has
        return mass
    carried: Carried = "person" if kind == "seats" else "bag"
    evidence = EVIDENCE[(carried, mass.how)]
    given = seat_band(max(passenger_seats, 1)).mass(mass.who) if mass.how == "standard" else mass.given
    pad, own_pad = (evidence.pad, False) if mass.pad is None else (mass.pad, True)
    words = [f"{mass.how}, {evidence.note}" if not own_pad else f"{mass.how}, with a pad of your own"]
    if not mass.u:
        words.append(say("default u {}", book(evidence.u, "mass")))
    return replace(
        mass, value=given + pad, u=mass.u or evidence.u, given=given, pad=pad, basis=joined("; ", words)
    )
