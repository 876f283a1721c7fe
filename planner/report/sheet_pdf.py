"""The sheet as a PDF: the fixed page, typeset with fonts of its own so that the same plan is the same file everywhere."""

from __future__ import annotations

import sys
from typing import Final

from planner.errors import Finding, InputRefused
from planner.report.sheet import Sheet
from planner.report.sheet_page import PAPERS, Paper

# Names and titles reach the typesetter as inputs, never as markup. No date but the flight's: the same plan gives the same bytes.
_SOURCE: Final = """#set page(width: eval(sys.inputs.width), height: eval(sys.inputs.height), margin: 0pt)
#set document(title: sys.inputs.title, date: none)
#image("sheet.svg", width: 100%, alt: sys.inputs.alt)
"""


def pdf(sheet: Sheet, markup: str, paper: Paper) -> bytes:
    """The page as a PDF of one page, its text searchable.

    Parameters: `sheet` for the title; `markup` the SVG of `planner.report.sheet_page.page`, made without its rules for
    screens; `paper`. Raises InputRefused where the typesetter is not installed, or too old.
    """
    try:
        import typst  # late: an extra that only this needs
    except ImportError:
        raise _no_typesetter("which is not installed") from None
    wide, high = PAPERS[paper]
    alt = f"{sheet.title}: {sheet.about}. {sheet.verdict}. {sheet.verdict_text}"
    inputs = {"width": f"{wide:g}mm", "height": f"{high:g}mm", "title": f"{sheet.title}: {sheet.about}", "alt": alt}
    files = {"main": _SOURCE.encode(), "sheet.svg": markup.encode()}
    try:
        made = typst.compile(files, format="pdf", sys_inputs=inputs, ignore_system_fonts=_own_fonts_do(markup))  # type: ignore[call-overload]  # its stubs leave out files in memory
    except TypeError:
        raise _no_typesetter("and the one installed is too old") from None
    assert isinstance(made, bytes)  # one document in, one document out
    return made


def _no_typesetter(why: str) -> InputRefused:
    hint = f"install it: {sys.executable} -m pip install 'typst>=0.15'; or write .html and print it from a browser"
    return InputRefused([Finding("sheet-no-typesetter", f"a PDF needs the typesetter typst, {why}", hint=hint).at("OUT", 1, 1)])


def _own_fonts_do(markup: str) -> bool:
    """Whether the typesetter's own fonts have every letter: Latin, Greek, Cyrillic and signs. For others this computer's fonts are asked too."""
    return not any(0x530 <= ord(sign) < 0x1E00 or ord(sign) >= 0x2E80 for sign in markup)
