"""A small writer of SVG: elements in drawing order, figures with two decimals, every text escaped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, Literal
from xml.sax.saxutils import escape

from planner.quantities.errors import visible

Anchor = Literal["start", "middle", "end"]
INK: Final = "currentColor"


def number(value: float) -> str:
    """A figure with at most two decimals and no trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Text as XML takes it, between tags and between double quotes."""
    return escape(visible(text, "\n\t"), {'"': "&quot;"})


class Drawing:
    """SVG elements, collected. Attribute names take `_` for `-`."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    def element(self, name: str, attributes: Mapping[str, str | float], content: str = "") -> None:
        """Any element; `content` is markup already."""
        pairs = "".join(
            f' {key.replace("_", "-")}="{clean(_attribute(value))}"' for key, value in attributes.items()
        )
        self.parts.append(f"<{name}{pairs}>{content}</{name}>" if content else f"<{name}{pairs}/>")

    def line(self, x1: float, y1: float, x2: float, y2: float, **attributes: str | float) -> None:
        """A straight line in ink."""
        self.element("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2, "stroke": INK, **attributes})

    def path(
        self,
        points: Sequence[tuple[float, float]],
        closed: bool = False,
        dash: float = 0.0,
        **attributes: str | float,
    ) -> None:
        """Straight lines through the points, dashed where a length of dash is given."""
        d = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + ("Z" if closed else "")
        dashes = {"stroke_dasharray": f"{number(dash)} {number(dash / 2)}"} if dash else {}
        self.element(
            "path",
            {"d": d, "fill": "none", "stroke": INK, "stroke_linejoin": "round", **dashes, **attributes},
        )

    def rect(self, x: float, y: float, wide: float, high: float, **attributes: str | float) -> None:
        """A rectangle: an outline in ink unless told otherwise."""
        self.element(
            "rect",
            {"x": x, "y": y, "width": wide, "height": high, "fill": "none", "stroke": INK, **attributes},
        )

    def text(
        self, x: float, y: float, text: str, size: float, anchor: Anchor = "start", bold: bool = False
    ) -> None:
        """One line of text in ink, with its baseline at `y`."""
        own: dict[str, str | float] = {"x": x, "y": y, "font_size": size, "fill": INK}
        if anchor != "start":
            own["text_anchor"] = anchor
        if bold:
            own["font_weight"] = "bold"
        self.element("text", own, clean(text) or " ")

    def markup(self) -> str:
        """All elements, one a line."""
        return "\n".join(self.parts)


def _attribute(value: str | float) -> str:
    return value if isinstance(value, str) else number(value)
