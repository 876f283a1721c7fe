"""Blocks as HTML: one file without scripts that fetches nothing, for a screen, a screen reader and one
printed page.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from planner.views.blocks import (
    Block,
    Bullets,
    Heading,
    Line,
    Panel,
    Paragraph,
    Picture,
    Row,
    Sheet,
    Signatures,
    Table,
)
from planner.views.pictures.svg import clean

_PICTURE: Final = (96.0, 52.0, 2.7)  # width, height and letters; only their ratios count
_STYLE: Final = """
:root { color-scheme: light dark; --ink: #111; --paper: #fff; --faint: #595959; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 1em/1.25 "Liberation Serif", Georgia, "Times New Roman", serif; }
main { max-width: 72em; margin: 0 auto; padding: 1em; }
h1 { font-size: 1.35em; margin: 0; }
h2 { font-size: 1.05em; margin: 0.9em 0 0.1em; border-bottom: 0.1em solid; break-after: avoid; }
p, ul { margin: 0.12em 0; }
ul { padding: 0; list-style: none; }
li { padding-left: 0.8em; text-indent: -0.8em; }
li::before { content: "– "; }
.boxes { display: flex; flex-wrap: wrap; gap: 0 1.4em; }
.boxes li { padding: 0; text-indent: 0; }
.boxes li::before { content: ""; display: inline-block; width: 0.8em; height: 0.8em;
  border: 0.1em solid; margin-right: 0.4em; }
.tied { float: right; margin-left: 1em; }
.flow { columns: 2; column-gap: 1.8em; }
section { break-inside: avoid; }
.panel { border: 0.1em solid; padding: 0.1em 0.6em 0.3em; margin: 0.5em 0; }
.panel h2 { border: 0; margin: 0 -0.6em 0.2em; padding: 0 0.6em;
  text-transform: uppercase; letter-spacing: 0.06em; font-size: 0.9em; }
.panel .loud { font-weight: bold; }
.yellow { border-width: 0.28em; }
.red { border-width: 0.28em; }
.red h2 { background: var(--ink); color: var(--paper);
  print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.wide { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; margin: 0.15em 0; }
th, td { text-align: right; font-weight: normal; padding: 0 0 0 0.8em; vertical-align: bottom;
  white-space: nowrap;
  font-variant-numeric: lining-nums tabular-nums; }
thead th { font-size: 0.86em; border-bottom: 0.06em solid; white-space: pre-line; }
.word { text-align: left; white-space: normal; overflow-wrap: break-word; }
th:first-child, td:first-child { padding-left: 0; }
.bold, .alarm > * { font-weight: bold; }
tr.bold > * { border-top: 0.06em solid; font-weight: bold; }
.alarm > :first-child { border-left: 0.3em solid; padding-left: 0.3em; }
.group th { padding-top: 0.3em; font-weight: bold; }
.dim, figcaption { color: var(--faint); }
figure { margin: 0.2em 0; }
figure svg { display: block; width: 100%; height: auto; }
figcaption { font-size: 0.9em; }
.signatures { display: grid; grid-template-columns: 0.44fr 0.22fr 0.34fr; gap: 1em; margin-top: 3em; }
.signatures p { border-top: 0.09em solid; }
@media (max-width: 46em) { .flow { columns: 1; } .tied { float: none; margin: 0; } }
@media screen and (max-width: 30em) {
  main { padding: 0.6em; overflow-wrap: anywhere; }
  .wide :is(table, tbody, tr, th, td) { display: block; text-align: left; white-space: normal; padding: 0; }
  .wide thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .wide tr { padding: 0.15em 0; }
  .wide tr > th { font-weight: bold; }
  .wide td { display: inline-block; margin-right: 0.9em; }
  .wide td:empty { display: none; }
  .wide td::before { content: attr(data-head) " "; color: var(--faint); font-weight: normal; }
  .signatures { grid-template-columns: 1fr; gap: 2.4em; }
}
@media screen and (prefers-color-scheme: dark) { :root { --ink: #eee; --paper: #121212; --faint: #a8a8a8; } }
@media print {
  :root { color-scheme: light; --faint: #333; }
  main { max-width: none; padding: 0; line-height: 1.1; }
  h2 { margin-top: 0.6em; }
  .group th { padding-top: 0.1em; }
  .flow { columns: 2; }
  .wide { overflow: visible; }
  .tied { float: right; }
}
"""


def document(sheet: Sheet, printed: str) -> str:
    """A whole page of a sheet, its flow in two columns where there is room; `printed` are more rules of
    style, for paper. Raises: nothing.
    """
    title = clean(sheet.title)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{title}</title>
<style>{_STYLE}{printed}</style>
</head>
<body>
<main>
<header><p class="tied">{clean(sheet.tied)}</p><h1>{title}</h1></header>
{markup(sheet.head)}
<div class="flow">
{markup(sheet.flow)}
</div>
<footer>
{markup(sheet.foot)}
</footer>
</main>
</body>
</html>
"""


def markup(blocks: Iterable[Block]) -> str:
    """Blocks as elements; a heading and what follows it are a section."""
    parts = []
    for section in sections(blocks):
        inner = "\n".join(_element(block) for block in section)
        parts.append(f"<section>\n{inner}\n</section>" if isinstance(section[0], Heading) else inner)
    return "\n".join(parts)


def sections(blocks: Iterable[Block]) -> list[list[Block]]:
    """Blocks in groups, each of a heading and what belongs to it; panels and signatures stand alone."""
    found: list[list[Block]] = []
    for block in blocks:
        alone = isinstance(block, (Heading, Panel, Signatures))
        if alone or not found or isinstance(found[-1][0], (Panel, Signatures)):
            found.append([])
        found[-1].append(block)
    return found


def kind(style: str) -> str:
    """The class of a style: what is wrong or doubtful stands out as `alarm`."""
    loud = "red" in style or "yellow" in style
    return "alarm" if loud else style.replace(" green", "").replace("green", "")


def _loudness(style: str) -> str:
    """What a text of this style is shown as: an alarm in bold."""
    return "bold" if kind(style) == "alarm" else kind(style)


def row_kind(row: Row) -> str:
    """The class of a row: that of its own style, or `alarm` where one of its cells is."""
    alarm = any(kind(style) == "alarm" for style in row.styles.values())
    return "alarm" if alarm else kind(row.style)


def _element(block: Block) -> str:
    match block:
        case Heading():
            return f"<h2>{clean(block.text)}</h2>"
        case Paragraph():
            return f'<p class="{_loudness(block.style)}">{clean(block.text)}</p>'
        case Bullets():
            items = "".join(f"<li>{clean(text)}</li>" for text in block.texts)
            marked = "boxes" if block.boxes else _loudness(block.style)
            return f'<ul{_id(block)} class="{marked}">{items}</ul>'
        case Table():
            return _table(block)
        case Panel():
            return _panel(block)
        case Picture():
            return _figure(block)
        case Line():
            return f"<p>{clean(block.text) or '&nbsp;'}</p>"
        case Signatures():
            labels = "".join(f"<p>{clean(label)}</p>" for label in block.labels)
            return f'<div class="signatures">{labels}</div>'


def _id(block: Bullets | Panel | Picture | Table) -> str:
    return f' id="{clean(block.id)}"' if block.id else ""


def _panel(panel: Panel) -> str:
    loud = [f'<p class="loud">{clean(text)}</p>' for text in panel.texts]
    if len(loud) > 1:
        loud = ['<ul class="loud">', *(f"<li>{clean(text)}</li>" for text in panel.texts), "</ul>"]
    quiet = [f"<p>{clean(text)}</p>" for text in panel.beside]
    title, colour = clean(panel.title), panel.style.removeprefix("bold").strip()
    return (
        f'<section{_id(panel)} class="panel {colour}"'
        f' aria-label="{title}"><h2>{title}</h2>{"".join([*loud, *quiet])}</section>'
    )


def _figure(picture: Picture) -> str:
    if picture.drawn is None:
        return ""
    wide, high, size = _PICTURE
    svg = figure(picture.drawn(wide, high, size), _PICTURE, picture.label)
    return f"<figure{_id(picture)}>{svg}<figcaption>{clean(picture.legend())}</figcaption></figure>"


def figure(drawn: str, shape: tuple[float, float, float], label: str) -> str:
    """Elements of SVG as a picture in the ink of the page, with its title for those who do not see it."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {shape[0]:g} {shape[1]:g}" role="img"'
        f' aria-label="{clean(label)}">\n{drawn}\n</svg>'
    )


def _table(table: Table) -> str:
    words = [' class="word"' if not column.figures else "" for column in table.columns]
    heads = "".join(
        f'<th scope="col"{word}>{clean(head)}</th>' for head, word in zip(table.heads, words, strict=True)
    )
    # On a narrow screen every cell stands under its row's title, after its own head.
    names = [clean(" ".join(column.head)) for column in table.columns[1:]]
    rows = []
    for row in table.rows:
        if len(row.cells) == 1:
            title = f'<th scope="rowgroup" class="word" colspan="{len(words)}">{clean(row.cells[0])}</th>'
            rows.append(f'<tr class="group">{title}</tr>')
            continue
        first, *others = row.cells
        cells = "".join(
            f'<td{word} data-head="{name}">{clean(cell)}</td>'
            for cell, word, name in zip(others, words[1:], names, strict=True)
        )
        rows.append(f'<tr class="{row_kind(row)}"><th scope="row"{words[0]}>{clean(first)}</th>{cells}</tr>')
    notes = "".join(f'<p class="dim">{clean(f"{about}: {note}")}</p>' for about, note in table.notes)
    body = "\n".join(rows)
    return (
        f'<div{_id(table)} class="wide"><table><thead><tr>{heads}</tr></thead>\n'
        f"<tbody>\n{body}\n</tbody></table></div>{notes}"
    )
