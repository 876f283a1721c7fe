"""Quantities typed as options of commands."""

from __future__ import annotations

from planner.quantities.errors import InputRefused, refuse_option
from planner.quantities.units import Dimension, Quantity, read_quantity


def read_option(text: str, option: str, *dimensions: Dimension) -> Quantity:
    """A quantity typed as an option, as `read_quantity`; what is refused stands on the option, and so does
    anything below zero but a temperature.
    """
    try:
        read = read_quantity(text, *dimensions)
    except InputRefused as refused:
        raise InputRefused([finding.at(option, 0, 0) for finding in refused.findings]) from None
    if read.value < 0 and read.dimension != "temperature":
        needed = f"needed a {read.dimension} of zero or more"
        raise refuse_option(option, "quantity-too-small", f"'{read.text}' is below zero", needed)
    return read


def read_level(text: str) -> Quantity | str:
    """What `--leaves` says is in a tank afterwards: full, empty, or a volume; or nothing, as not known."""
    return text if text in ("", "full", "empty") else read_option(text, "--leaves", "volume")
