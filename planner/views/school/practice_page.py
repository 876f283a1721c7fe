"""A problem set as one page for a phone: questions, fields, marks and solutions, with no request to anywhere.

Its answers are kept from a glance and no more: a range that is taken as right is known by its width, its
place within that width and a hash; solutions are masked. Whoever wants to know them can. What counts is the
file of answers, marked anew by `planner mark`.
"""

from __future__ import annotations

import base64
import hashlib
import json
import math
from importlib.resources import files
from typing import Any, Final

from planner.school.marking.writing import accepted, coarse
from planner.school.problem import Ask, Problem
from planner.school.topics import ProblemSet
from planner.views.pictures.svg import clean
from planner.views.school.practice_html import file_of, question_of, solution_of
from planner.views.school.practice_words import ask_labels, asked, cautions

_TOLD: Final = (
    "Write the number; its unit stands beside the field. Round as asked, and keep more figures on the way.",
    "Mark a problem when you have answered it: then its solution is shown and its answers stay as they are.",
    "Nothing leaves this page by itself. Save the answers as a file and hand that in: the program marks them"
    " anew, names the slip, and gives half a point where a slip was only carried on. No secret is kept here:"
    " the answers are masked in this file, and whoever works at it can read them.",
)


def page_html(found: ProblemSet, code: str) -> str:
    """The page of a problem set.

    Parameters: `found`; `code` of the sheet, by which `planner mark` sets the same problems again. Returns
    the file as text. Raises: nothing.
    """
    first, labels = found.problems[0], ask_labels(found.problems)
    salt = hashlib.sha256(code.encode()).hexdigest()[:12]
    hidden = [
        {
            "asks": [
                _ask(ask, problem.right()[ask.key], label, salt)
                for label, ask in zip(labels[index], problem.asks, strict=True)
            ],
            "solution": _masked(solution_of(problem, labels[index]), f"{salt}/solution {index}"),
        }
        for index, problem in enumerate(found.problems)
    ]
    model = json.dumps({"code": code, "salt": salt, "problems": hidden}, separators=(",", ":"))
    script, style = _asset("practice.js"), _asset("practice.css")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    policy = (
        f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; form-action 'none'"
    )
    name = f"Problems: {first.aircraft.name}, level {first.level}"
    told = "".join(f'<p class="small">{clean(text)}</p>' for text in _TOLD)
    problems = "".join(_problem(problem, n, labels[n]) for n, problem in enumerate(found.problems))
    always = " ".join(cautions(first.aircraft.invented))
    inner = (
        f'<h1>{clean(name)}</h1><p class="small">Sheet code: <code>{clean(code)}</code></p>'
        '<noscript><p class="wrong">Without its script this page marks nothing.</p></noscript>'
        f'{told}<p class="given"><label for="name">Your name</label><input id="name" maxlength="60"></p>'
        f'{problems}<section><h2>Answers</h2><p id="score" role="status"></p><p><button type="button"'
        f' id="save">Save the answers</button></p></section><p class="always">CAUTION: {clean(always)}</p>'
        f'<script type="application/json" id="model">{model.replace("<", chr(92) + "u003c")}</script>'
        f"<script>{script}</script>"
    )
    return file_of(name, inner, style, policy)


def _asset(name: str) -> str:
    return files("planner.views.school").joinpath(name).read_text(encoding="utf-8")


def _problem(problem: Problem, number: int, labels: list[str]) -> str:
    fields = "".join(_field(ask, label) for label, ask in zip(labels, problem.asks, strict=True))
    return (
        f'<section>{"".join(question_of(problem, number + 1))}<form autocomplete="off">'
        f'<ol class="asks">{fields}</ol>'
        f'<button id="mark-{number}">Mark problem {number + 1}</button></form>'
        f'<div id="solution-{number}" hidden></div></section>'
    )


def _field(ask: Ask, label: str) -> str:
    words, told = clean(asked(ask, ask.rounding)), f'<p class="told" id="told-{label}" role="status"></p>'
    if ask.choices:
        choices = "".join(
            f'<label><input type="radio" name="{label}" value="{n}">{clean(word)}</label>'
            for n, word in enumerate(ask.choices)
        )
        return f"<li><fieldset><legend>{label}) {words}</legend>{choices}</fieldset>{told}</li>"
    return (
        f'<li><label for="field-{label}">{label}) {words}</label><span class="given"><input name="{label}"'
        f' id="field-{label}"><span>{clean(ask.unit)}</span></span>{told}</li>'
    )


def _ask(ask: Ask, right: float | str, label: str, salt: str) -> dict[str, Any]:
    """What the page needs to judge an answer, and to write it down."""
    key = f"{salt}/{label}"
    if isinstance(right, str):
        choices = list(ask.choices)
        return {"label": label, "choices": choices, "right": _fnv(f"{key}/{choices.index(right)}")}
    rough = {n: coarse(ask, right, 10.0**-n) for n in range(ask.decimals + 1)}
    return {
        "label": label,
        "unit": ask.unit,
        "right": _sealed(accepted(ask, right), key),
        "coarse": {n: _sealed(each, key) for n, each in rough.items() if each is not None},
    }


def _sealed(range_: tuple[float, float], key: str) -> tuple[float, float, int]:
    """The width of a range, where ranges of that width begin, and the hash of which of them it is."""
    low, high = range_
    wide = high - low
    number = math.floor(low / wide)
    return wide, low - number * wide, _fnv(f"{key}/{number}")


def _fnv(text: str) -> int:
    """FNV-1a, 32 bits."""
    state = 0x811C9DC5
    for byte in text.encode("ascii"):
        state = (state ^ byte) * 0x01000193 & 0xFFFFFFFF
    return state


def _masked(text: str, key: str) -> str:
    """Text with every byte changed, so that it is not read by looking at the file."""
    state, found = _fnv(key), bytearray()
    for byte in text.encode():
        state = (state * 1664525 + 1013904223) & 0xFFFFFFFF
        found.append(byte ^ state >> 24)
    return base64.b64encode(found).decode()
