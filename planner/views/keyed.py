"""Results as JSON data: which figure stands under which key, told as one line of keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, reduce
from operator import attrgetter, mul
from typing import Any, Final

from planner.quantities.effects import COVERAGE
from planner.quantities.errors import Finding
from planner.quantities.units import LITRE, Quantity

# What the last word of a key makes of a figure in SI; every other unit of a key is SI.
_PER: Final = {"l": LITRE, "min": 60.0}


def keyed(of: object, told: str, /, **more: Any) -> dict[str, Any]:
    """A result [SI] as JSON data with the keys `told`, in that order.

    A key is the name of the attribute under it, or `key=path.to.attribute`, or that times figures (`k` is the
    coverage factor): `loss_g=loss*1e3`, `expanded_uncertainty_l=u*k*1e3`. Where no figure is given, one that
    ends in `_l` takes m3 as litres, one in `_min` seconds as minutes. What is in `more` stands as it is, at
    its key's place or last.
    """
    found = {key: more.pop(key) if key in more else take(of) for key, take in _columns(told)}
    return found | more


@cache
def _columns(told: str) -> tuple[tuple[str, Callable[[object], Any]], ...]:
    pairs = ((key, path or key) for key, _, path in (each.partition("=") for each in told.split()))
    return tuple((key, _taker(key, *path.split("*"))) for key, path in pairs)


def _taker(key: str, path: str, *told: str) -> Callable[[object], Any]:
    get, per = attrgetter(path), 1.0 if told else _PER.get(key.rpartition("_")[2], 1.0)
    times = [COVERAGE if each == "k" else float(each) for each in told]

    def take(of: object) -> Any:
        value = get(of)
        return reduce(mul, times, value) / per if isinstance(value, float) else plain(value)

    return take


def plain(value: Any) -> Any:
    """A value as JSON data: a quantity in SI, a record by its keys; what JSON has no form for as text."""
    if isinstance(value, Quantity):
        return keyed(value, "si=value u dimension text")
    if isinstance(value, Finding):
        return value.as_json()
    if (fields := getattr(type(value), "model_fields", None)) is not None:
        value = {name: getattr(value, name) for name in fields}
    if isinstance(value, Mapping):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    return value if value is None or isinstance(value, (int, float)) else str(value)
