"""A sample loading as the aircraft's own papers print it: what is put in, and what they say comes out."""

# Annotations are no texts here: pydantic would compile each of them as the program starts.

from typing import Annotated, Any, ClassVar, Self

from pydantic import Field, PlainValidator, model_validator

from planner.facts.grades import LEAST_DENSITY
from planner.quantities.units import Quantity
from planner.records.aircraft.mass_record import EmptyFigures
from planner.records.fields import Arm, Density, FuelAmount, Mass, Moment, Record, read_mass, refusal


def read_masses(value: Any) -> tuple[Quantity, ...]:
    """One mass, or a list of masses."""
    return tuple(read_mass(each) for each in (value if isinstance(value, list) else [value]))


def tanks_or_all(value: Any) -> dict[str, Quantity]:
    """Fuel tank by tank, or one amount for all tanks together, kept under the empty name."""
    read = FuelAmount.__metadata__[0].func  # type: ignore[attr-defined]  # its validator
    if isinstance(value, dict):
        return {str(name): read(each) for name, each in value.items()}
    return {"": read(value)}


class ExampleEmpty(EmptyFigures):
    """The basic empty mass of a sample loading, where it is not that of this very aircraft."""

    printed_in: ClassVar[str] = "the mass the papers print"


class Example(Record):
    """A sample loading of the papers: its inputs, and the figures printed as its result."""

    name: str = Field(min_length=1, max_length=60)
    category: str = ""
    basic_empty: ExampleEmpty | None = None
    load: dict[str, Annotated[tuple[Quantity, ...], PlainValidator(read_masses)]] = Field(
        default_factory=dict
    )
    fuel: Annotated[dict[str, Quantity], PlainValidator(tanks_or_all)] = Field(default_factory=dict)
    density: Density | None = None
    mass: Mass
    moment: Moment | None = None
    centre_of_gravity: Arm | None = None
    inside: bool | None = Field(default=None, strict=True)

    @model_validator(mode="after")
    def _something_to_hold(self) -> Self:
        if self.moment is None and self.centre_of_gravity is None:
            wrong = "a printed mass alone says nothing of the arms"
            raise refusal("example-figures", wrong, "needed 'moment:' or 'centre_of_gravity:' as printed")
        if self.density is not None and self.density.value < LEAST_DENSITY:
            wrong = f"'{self.density.text}' is no fuel's density"
            raise refusal("quantity-too-small", wrong, "needed such as '6.0 lb/USgal' or '0.72 kg/L'")
        if self.density is None and any(each.dimension == "volume" for each in self.fuel.values()):
            wrong = "fuel by volume without the density the papers reckon with"
            raise refusal(
                "example-figures", wrong, "needed 'density:', such as '6.0 lb/USgal' or '0.72 kg/L'"
            )
        return self
