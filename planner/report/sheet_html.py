"""The sheet as a page of HTML: one file without scripts, for the screen, for a screen reader and for one printed page."""

from __future__ import annotations

from typing import Final

from planner.plan.results import Plan
from planner.report.envelope_picture import View, draw_envelope
from planner.report.sheet import Row, Sheet, Table
from planner.report.sheet_page import FULL_SIZE, MARGIN, Fit, Paper
from planner.report.svg import Drawing, clean
from planner.units import Display

_PICTURE: Final = (96.0, 60.0, 2.7)  # width, height and letters of the picture; only their ratios count
WIDE_PICTURE: Final = (128.0, 66.0, 2.7)  # for a screen

_STYLE: Final = """
:root { color-scheme: light dark; --ink: #111; --paper: #fff; --faint: #767676; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font-family: Helvetica, Arial, "Liberation Sans", Arimo, sans-serif; line-height: 1.22; }
main { max-width: 64em; margin: 0 auto; padding: 1em; }
h1 { font-size: 1.4em; margin: 0; }
h2 { font-size: 1.05em; margin: 0.8em 0 0; border-bottom: 0.1em solid; }
p, ul, dl { margin: 0.1em 0; }
ul { padding: 0; list-style: none; }
.tied { float: right; margin-left: 1em; }
.small { font-size: 0.86em; }
.verdict { display: grid; grid-template-columns: max-content 1fr; border: 0.14em solid; margin-top: 0.4em; }
.verdict strong { font-size: 1.5em; padding: 0.3em 0.5em; align-self: stretch; display: grid; place-items: center; border-right: 0.09em solid; }
.verdict div { padding: 0.2em 0.6em; }
.outside strong { background: var(--ink); color: var(--paper); print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.doubtful strong { outline: 0.08em solid; outline-offset: -0.3em; }
.columns { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 0 1.8em; }
.wide { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; }
caption { text-align: left; font-weight: bold; font-size: 1.05em; border-bottom: 0.1em solid; padding-top: 0.7em; }
th, td { text-align: right; font-weight: normal; padding: 0 0 0 0.8em; vertical-align: bottom; font-variant-numeric: tabular-nums; }
td { white-space: nowrap; }
thead th { font-size: 0.86em; font-weight: bold; border-bottom: 0.06em solid; }
.word { text-align: left; white-space: normal; overflow-wrap: break-word; min-width: 5em; }
th:first-child, td:first-child { padding-left: 0; }
.strong > * { border-top: 0.06em solid; font-weight: bold; }
.alarm > * { font-weight: bold; }
.alarm > :first-child { border-left: 0.3em solid; padding-left: 0.3em; }
.reserve { border: 0.14em solid; padding: 0.15em 0.5em 0.25em; margin-top: 0.4em; font-weight: bold; }
.reserve p:first-child { font-size: 1.1em; }
.reserve p + p { font-size: 0.9em; }
.drains { display: flex; flex-wrap: wrap; gap: 0 1.4em; }
.drains li::before { content: ""; display: inline-block; width: 0.85em; height: 0.85em; border: 0.1em solid; margin-right: 0.4em; vertical-align: -0.1em; }
.picture svg { display: block; width: 100%; height: auto; }
.listed li { padding-left: 0.7em; text-indent: -0.7em; }
.heavy { font-weight: bold; }
.listed li::before { content: "- "; }
.signatures { display: grid; grid-template-columns: 0.44fr 0.22fr 0.34fr; gap: 1em; margin-top: 3em; }
.signatures p { border-top: 0.09em solid; }
dt, dd { display: inline; margin: 0; }
dl div { overflow-wrap: anywhere; }
@media (max-width: 46em) { .columns, .verdict { grid-template-columns: minmax(0, 1fr); } .verdict strong { border: 0; } .tied { float: none; margin: 0; } }
@media screen and (prefers-color-scheme: dark) { :root { --ink: #eee; --paper: #121212; --faint: #9a9a9a; } }
@media print {
  :root { color-scheme: light; }
  main { max-width: none; padding: 0; }
  .columns { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); }
  .verdict { grid-template-columns: max-content 1fr; }
  .wide { overflow: visible; }
  .tied { float: right; }
}
"""


def html(sheet: Sheet, plan: Plan, display: Display, paper: Paper, fit: Fit) -> str:
    """The sheet as one HTML file that fetches nothing.

    Parameters: `sheet`; `plan` for the picture; `display`; `paper` for printing; `fit` as `planner.report.sheet_page.page`
    found it, for the size of the printed type and the place of the table of the burn. Raises: nothing.
    """
    # A browser breaks lines in its own way: a little smaller than the measured page keeps the print on one page.
    size = FULL_SIZE * fit.scale * 0.96
    name = {"a4": "A4", "letter": "letter"}[paper]
    printed = f"@page {{ size: {name}; margin: {MARGIN:g}mm; }}\n@media print {{ html {{ font-size: {size:.3f}mm; }} }}\n"
    kind = {"OUTSIDE": "outside", "NOT SHOWN INSIDE": "doubtful"}.get(sheet.verdict, "inside")
    notices = f"<section>\n<h2>Notices</h2>\n{_list(sheet.notices, 'listed heavy')}\n</section>\n" if sheet.notices else ""
    date = clean(sheet.date) or "date ______________"
    body = f"""<main>
<header>
<p class="tied">{date} &nbsp; digest {clean(sheet.digest)}</p>
<h1>{clean(sheet.title)}: {clean(sheet.about)}</h1>
{f"<p><strong>{clean(sheet.warning)}</strong></p>" if sheet.warning else ""}
<p>{clean(sheet.short_caution)}</p>
</header>
<section class="verdict {kind}" aria-label="Verdict"><strong>{clean(sheet.verdict)}</strong><div><p>{clean(sheet.verdict_text)}</p>
<p class="small">{clean(sheet.uncertainty)}</p></div></section>
{_table(sheet.states)}
<div class="columns">
<div>
{_table(sheet.load)}
{_table(sheet.fuel)}
<section class="reserve" aria-label="Final reserve">{"".join(f"<p>{clean(text)}</p>" for text in sheet.reserve)}</section>
{_table(sheet.burn) if fit.burn_left else ""}
<section><h2>Drain points, a sample from each</h2>
{_list(sheet.drains, "drains")}
<p class="small">{clean(sheet.fuel_check)}</p></section>
</div>
<div>
<section class="picture"><h2>{clean(sheet.picture_title)}</h2>
{picture(plan, display)}
<p class="small">{clean(sheet.legend)}</p></section>
{"" if fit.burn_left else _table(sheet.burn)}
{_table(sheet.changes)}
<section><h2>Where the figures come from</h2>
<dl class="small">{"".join(f"<div><dt>{clean(label)}: </dt><dd>{clean(text)}</dd></div>" for label, text in sheet.provenance)}</dl></section>
</div>
</div>
{notices}<section><h2>Cautions</h2>
{_list(sheet.cautions, "listed")}</section>
<footer><div class="signatures">{"".join(f"<p class='small'>{clean(text)}</p>" for text in sheet.signatures)}</div>
<p class="small">{clean(sheet.unsigned)}</p></footer>
</main>"""
    head = f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{clean(sheet.title)}: {clean(sheet.about)}</title>
<style>{_STYLE}{printed}</style>
</head>
<body>
"""
    return head + body + "\n</body>\n</html>\n"


def picture(plan: Plan, display: Display, shape: tuple[float, float, float] = _PICTURE, least: View | None = None) -> str:
    """The envelope as inline SVG in the ink of the page, with its title for those who do not see it.

    `shape` is width, height and size of letters; `least` the part that is shown in any case.
    """
    wide, high, size = shape
    drawing = Drawing()
    draw_envelope(plan, display, wide, high, size, drawing, least)
    label = "The envelope, the burn and the states: CG across, mass up. The tables give every figure."
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:g}" role="img" aria-label="{label}">\n{drawing.markup()}\n</svg>'


def _list(texts: tuple[str, ...], kind: str) -> str:
    return f'<ul class="{kind}">' + "".join(f"<li>{clean(text)}</li>" for text in texts) + "</ul>"


def _row(table: Table, row: Row) -> str:
    kinds = " ".join(name for name, on in (("strong", row.strong), ("alarm", row.alarm)) if on)
    cells = []
    for index, cell in enumerate(row.cells):
        word = ' class="word"' if index in table.words else ""
        cells.append(f'<th scope="row"{word}>{clean(cell)}</th>' if index == 0 else f"<td{word}>{clean(cell)}</td>")
    return f'<tr class="{kinds}">' + "".join(cells) + "</tr>" if kinds else "<tr>" + "".join(cells) + "</tr>"


def _table(table: Table) -> str:
    heads = []
    for index, head in enumerate(table.heads):
        word = ' class="word"' if index in table.words else ""
        heads.append(f'<th scope="col"{word}>{clean(head).replace(chr(10), "<br>")}</th>')
    notes = "".join(f'\n<p class="small">{clean(note)}</p>' for note in table.notes)
    rows = "\n".join(_row(table, row) for row in table.rows)
    head = f"<caption>{clean(table.title)}</caption>\n<thead><tr>{''.join(heads)}</tr></thead>"
    return f'<div class="wide"><table>{head}\n<tbody>\n{rows}\n</tbody></table></div>{notes}'
