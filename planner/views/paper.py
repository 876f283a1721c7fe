"""Blocks on one sheet of paper, laid out by the typesetter typst: as PDF or SVG."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from html import unescape
from typing import Any, Final, Literal

from planner.quantities.errors import Finding, InputRefused, visible
from planner.views.blocks import Block, Panel, Picture, Sheet, Table
from planner.views.html import row_kind, sections
from planner.views.pictures.svg import clean

Paper = Literal["a4", "letter"]
PAPERS: Final[dict[Paper, tuple[float, float]]] = {
    "a4": (210.0, 297.0),
    "letter": (215.9, 279.4),
}  # mm; ISO 216 and ANSI Y14.1 A
MARGIN: Final = 9.0  # mm; most printers leave 5 mm or less
FULL_SIZE: Final = 2.8  # mm, about 8 points
LARGEST: Final = 1.14  # of the full size, where there is room
SMALLEST: Final = 0.6  # of the full size, about 4.8 points: below it the page is said to be crowded
# Every text reaches the typesetter as data, never as markup. No date but the flight's: the same plan gives
# the same bytes. The type gets smaller until all of it fits, and the flow is parted into two columns where
# the longer one is shortest.
_SOURCE: Final = """
#let data = json("sheet.json")
#set page(width: data.width * 1mm, height: data.height * 1mm, margin: data.margin * 1mm)
#set document(title: data.title, description: data.at("about", default: none), date: none)
#set text(font: "Libertinus Serif", number-type: "lining", number-width: "tabular", hyphenate: false)
#set par(leading: 0.42em, spacing: 0.42em)
#set block(spacing: 0.45em)
#let loud(style, it) = if style in ("bold", "alarm") { strong(it) } else if style == "dim" {
  text(fill: luma(25%), it)
} else { it }
#let listed(mark, texts) = for each in texts { grid(columns: (auto, 1fr), column-gutter: 0.4em, mark, each) }
#let rows(b) = {
  let side(i) = if b.words.contains(i) { left } else { right }
  set text(size: if b.large { 1.4em } else { 0.96em })
  let columns = b.heads.enumerate().map(((i, _)) =>
    if b.large and i > 0 or not b.large and i == b.widest { 1fr } else { auto })
  let lines = if b.large { (x, y) => if x > 0 { (left: 0.25pt) } } else { none }
  table(columns: columns, stroke: lines, inset: (x: 0.25em, y: if b.large { 0.32em } else { 0.2em }),
    align: (x, y) => side(x) + bottom,
    table.header(..b.heads.map(h => text(size: 0.88em, h))), table.hline(stroke: 0.4pt),
    ..b.rows.map(r => {
      let rule = if r.kind == "bold" { (table.hline(stroke: 0.25pt),) } else { () }
      if r.cells.len() == 1 { (table.cell(colspan: b.heads.len(), align: left, strong(r.cells.first()),
        stroke: if b.large { (top: 0.4pt) } else { none }),) }
      else { rule + r.cells.enumerate().map(((i, c)) => table.cell(
        stroke: if i == 0 and r.kind == "alarm" { (left: 2pt) } else if b.large and i > 0 { (left: 0.25pt) }
          else { none }, loud(r.kind, c))) }
    }).flatten())
  for note in b.notes { par(note) }
}
#let framed(b) = {
  let red = b.style.contains("red")
  let title = text(size: 0.86em, weight: "bold", tracking: 0.06em,
    fill: if red { white } else { black }, upper(b.title))
  block(width: 100%, stroke: if b.style.contains("green") { 0.6pt } else { 1.6pt }, inset: 0pt,
    above: 0.6em, below: 0.6em, {
    block(width: 100%, inset: (x: 0.5em, y: 0.4em), below: 0pt, fill: if red { black } else { none }, title)
    block(width: 100%, inset: (x: 0.5em, bottom: 0.45em, top: 0.1em), above: 0pt, {
      if b.texts.len() == 1 { strong(b.texts.first()) } else { strong(listed([–], b.texts)) }
      for each in b.beside { par(each) }
    })
  })
}
#let shown(b) = {
  if b.kind == "Heading" {
    block(width: 100%, above: 0.75em, below: 0.4em, stroke: (bottom: 0.5pt), inset: (bottom: 0.18em),
      text(size: 1.06em, strong(b.text)))
  } else if b.kind == "Paragraph" { block(loud(b.style, b.text)) } else if b.kind == "Bullets" {
    if b.boxes { for each in b.texts {
      box(square(size: 0.75em, stroke: 0.5pt)) + h(0.35em) + each + h(1.2em, weak: false) } }
    else { loud(b.style, listed([–], b.texts)) }
  } else if b.kind == "Table" { rows(b) } else if b.kind == "Panel" {
    framed(b)
  } else if b.kind == "Picture" {
    image(bytes(b.drawn), format: "svg", width: 100%, alt: b.label)
    text(size: 0.9em, b.legend)
  } else if b.kind == "Signatures" {
    v(2.6em)
    grid(columns: (0.44fr, 0.22fr, 0.34fr), column-gutter: 1em,
      ..b.labels.map(l => block(width: 100%, stroke: (top: 0.5pt), inset: (top: 0.25em),
        text(size: 0.9em, l))))
  } else { block(b.at("text", default: "")) }
}
#let all(sections) = for section in sections {
  block(breakable: false, above: 0.8em, for b in section { shown(b) })
}
"""
_ONE_PAGE: Final = """
#let sheet(scale) = {
  set text(size: data.size * scale * 1mm)
  let gap = 5mm
  let half = (data.width - 2 * data.margin) / 2 * 1mm - gap / 2
  let high = data.flow.map(section => measure(width: half, {
    set text(size: data.size * scale * 1mm); all((section,))
  }).height)
  let higher(k) = calc.max(high.slice(0, k).sum(), high.slice(k).sum(default: 0pt))
  let best = range(1, data.flow.len() + 1).map(k => (higher(k), k)).sorted().first().at(1)
  grid(columns: (1fr, auto), column-gutter: 1em, text(size: 1.4em, strong(data.title)), data.tied)
  v(0.5em)
  all(data.head)
  grid(columns: (half, half), column-gutter: gap, all(data.flow.slice(0, best)), all(data.flow.slice(best)))
  all(data.foot)
}
#context {
  let space = (width: (data.width - 2 * data.margin) * 1mm, height: (data.height - 2 * data.margin) * 1mm)
  let at(step) = data.largest - 0.02 * step
  let filled(step) = measure(width: space.width, sheet(at(step))).height / space.height
  // What it fills goes about with the square of the type: the search begins there, not at the largest.
  let step = calc.round(data.largest * (1 - 1 / calc.sqrt(calc.max(filled(0), 1))) / 0.02)
  while step > 0 and filled(step - 1) <= 1 { step -= 1 }
  while filled(step) > 1 and at(step) > 0.2 { step += 1 }
  let scale = at(step)
  [#metadata(scale) <scale>]
  place(top + left, block(width: space.width, sheet(scale)))
}
"""
# Pages, as many as it takes, at full size; each part begins on one of its own.
_PAGES: Final = """
#set page(numbering: "1")
#set text(size: data.size * data.largest * 1mm)
#for (at, part) in data.parts.enumerate() {
  if at > 0 { pagebreak() }
  for section in part { for block in section { if block.kind == "Line" { v(0.6em) }; shown(block) } }
}
"""


def paper(sheet: Sheet, on: Paper, form: Literal["pdf", "svg"]) -> tuple[bytes, float]:
    """One page with everything on it, and the share of the full type size that needed.

    Parameters: `sheet`; `on` which paper, in which `form`; what the sheet is `about` goes into the file's own
    description, where `described` finds it. Raises InputRefused where the typesetter is not installed, or too
    old.
    """
    parts = {name: _sections(getattr(sheet, name)) for name in ("head", "flow", "foot")}
    told = {"title": sheet.title, "tied": sheet.tied, "about": sheet.about or None}
    made, files, own = _set(_ONE_PAGE, told | parts, on, form)
    import typst  # it was found above

    scale = json.loads(typst.query(files, "<scale>", field="value", one=True, ignore_system_fonts=own))  # type: ignore[type-var]
    if form == "svg":
        panels = (block for block in (*sheet.head, *sheet.flow) if isinstance(block, Panel))
        loud = " ".join(text for panel in panels for text in panel.texts)
        said = f"<title>{clean(sheet.title)}</title><desc>{clean(loud)}</desc>"
        made = re.sub(rb"(<svg[^>]*>)", lambda found: found[1] + said.encode(), made, count=1)
    return made, scale


def pages(title: str, parts: Sequence[Sequence[Block]]) -> bytes:
    """Blocks as PDF on as many pages of A4 as they take, every part on pages of its own. Raises as paper."""
    return _set(_PAGES, {"title": title, "parts": [_sections(part) for part in parts]}, "a4", "pdf")[0]


def _set(
    layout: str, content: dict[str, Any], on: Paper, form: Literal["pdf", "svg"]
) -> tuple[bytes, dict[str, bytes], bool]:
    """What the typesetter makes of it, what it was given, and whether its own fonts did."""
    try:
        import typst  # late: an extra that only this needs
    except ImportError:
        raise _no_typesetter("which is not installed") from None
    wide, high = PAPERS[on]
    sizes = {"width": wide, "height": high, "margin": MARGIN, "size": FULL_SIZE, "largest": LARGEST}
    text = json.dumps(_visible({**content, **sizes}), ensure_ascii=False)
    files, own = {"main": (_SOURCE + layout).encode(), "sheet.json": text.encode()}, _own_fonts_do(text)
    try:
        made = typst.compile(files, format=form, ignore_system_fonts=own)  # type: ignore[call-overload]  # its stubs leave out files in memory
    except TypeError:
        raise _no_typesetter("and the one installed is too old") from None
    assert isinstance(made, bytes)  # one document in, one document out
    return made, files, own


def described(text: str) -> str:
    """What a PDF written by `paper`, read as `text`, says about itself; nothing where it says nothing."""
    found = re.search(r"<dc:description>.*?<rdf:li[^>]*>(.*?)</rdf:li>", text, re.DOTALL)
    return "" if found is None else unescape(found[1])


def _visible(value: Any) -> Any:
    """Data with every text in it cleaned."""
    if isinstance(value, str):
        return visible(value, "\n\t")
    if isinstance(value, dict):
        return {key: _visible(each) for key, each in value.items()}
    return [_visible(each) for each in value] if isinstance(value, (list, tuple)) else value


def _sections(blocks: Iterable[Block]) -> list[list[dict[str, Any]]]:
    return [[_data(block) for block in section] for section in sections(blocks)]


def _data(block: Block) -> dict[str, Any]:
    """A block as data the typesetter reads."""
    name = type(block).__name__
    if isinstance(block, Picture):
        drawn = "" if block.drawn is None else block.drawn(96.0, 50.0, 2.7)
        svg = (
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 50" color="#111"'
            f' font-family="Libertinus Serif">{drawn}</svg>'
        )
        return {"kind": name, "drawn": svg, "label": block.label, "legend": block.legend()}
    if isinstance(block, Table):
        words = block.words
        long = {
            index: max((len(row.cells[index]) for row in block.rows if len(row.cells) > 1), default=0)
            for index in words
        }
        rows = [{"cells": list(row.cells), "kind": row_kind(row)} for row in block.rows]
        notes = [f"{about}: {note}" for about, note in block.notes]
        return {
            "kind": name,
            "heads": block.heads,
            "rows": rows,
            "words": words,
            "widest": max(words, key=lambda at: long[at], default=-1),
            "notes": notes,
            "large": block.large,
        }
    data = {"kind": name, **asdict(block)}
    if name != "Panel" and any(sign in data.get("style", "") for sign in ("bold", "red", "yellow")):
        data["style"] = "bold"
    return data


def _no_typesetter(why: str) -> InputRefused:
    hint = (
        f"install it: {sys.executable} -m pip install 'typst>=0.15'; or write .html and print it from a"
        " browser"
    )
    message = f"this form of the sheet needs the typesetter typst, {why}"
    return InputRefused([Finding("sheet-no-typesetter", message, hint=hint).at("OUT", 1, 1)])


def _own_fonts_do(text: str) -> bool:
    """Whether the typesetter's own fonts have every letter: Latin, Greek, Cyrillic and signs."""
    # For others this computer's fonts are asked too.
    return not any(0x530 <= ord(sign) < 0x1E00 or ord(sign) >= 0x2E80 for sign in text)
