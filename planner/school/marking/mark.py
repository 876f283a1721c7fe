"""One problem marked: every answer by its method."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final, Literal

from planner.quantities.frozen import frozen
from planner.school.marking.writing import Written, read_written
from planner.school.problem import Ask, Problem
from planner.school.slips.register import SLIPS, Slip, Trace, load_all, traces

Result = Literal[
    "right",
    "too few figures",
    "no unit",
    "wrong unit",
    "carried on",
    "slip",
    "not recognised",
    "unreadable",
    "blank",
]
POINTS: Final[dict[Result, float]] = {
    "right": 1.0,
    "too few figures": 0.5,
    "no unit": 0.5,
    "wrong unit": 0.0,
    "carried on": 0.5,
    "slip": 0.0,
    "not recognised": 0.0,
    "unreadable": 0.0,
    "blank": 0.0,
}
HINT: Final = 0.25  # of a point for each step of the solution that was asked for
_NOISE: Final = 1e-9
# On the unsafe side an answer may be short by this share of a step: rounding on paper can cost that much, a
# slip costs more.
_SHORT: Final = 0.06
_WINDOW: Final = 0.05
# Above it a lone figure that a slip leads to may as well be a coincidence. Set by measuring: of random wrong
# figures 1 to 2 % get a name, of made slips 92 % get their own (tests/unit/test_slips.py).
_CHANCE: Final = 0.16
_BY_EYE: Final = 0.36  # a figure read by eye has a wide rounding of its own, and lines lie far apart
_MOST_LIKELY: Final = 3
_FAR: Final = (
    4.0  # so many times too large or too small a figure is no coincidence: nobody writes it without a cause
)


@frozen
class Named:
    """A slip that leads to the answer, and where it was made."""

    slip: Slip
    where: str

    def __str__(self) -> str:
        return f"{self.slip.title} ({self.where})" if self.where else self.slip.title


@frozen
class Mark:
    """One answer marked. `right` is the answer as it should be written.

    `slips` are named on evidence; where there is none, `likely` ones lead to the figure too, as others may.
    """

    ask: Ask
    written: str
    right: str
    result: Result
    slips: tuple[Named, ...] = ()
    told: str = ""
    likely: tuple[Named, ...] = ()
    hints: int = 0

    @property
    def points(self) -> float:
        """0, a half or 1, less what hints have cost."""
        return points_of(self.result, self.hints)


def points_of(result: Result, hints: int) -> float:
    """Points of an answer, less what `hints` have cost; nothing for a result that is no longer known."""
    return max(POINTS.get(result, 0.0) - HINT * hints, 0.0)


def accepted(ask: Ask, value: float) -> tuple[float, float]:
    """The least and the greatest answer [asked unit] taken for `value` [SI], by the rounding stated and the
    slack of working on paper.

    To the nearest: within half a step and the slack. Rounded up or down: on the safe side by not more than
    the slack beyond the rounded value, on the unsafe side hardly at all.
    Source: [common-practice].
    """
    inner, rounded = ask.in_unit(value), ask.rounded(value)
    reach = ask.step / 2 + ask.slack
    low, high = {
        "nearest": (inner - reach, inner + reach),
        "up": (inner - _SHORT * ask.step, rounded + ask.slack),
        "down": (rounded - ask.slack, inner + _SHORT * ask.step),
    }[ask.direction]
    return low - _NOISE, high + _NOISE


def agrees(ask: Ask, given: float, value: float) -> bool:
    """Whether an answer [asked unit] is taken for `value` [SI]. Source: [common-practice]."""
    low, high = accepted(ask, value)
    return low <= given <= high


def coarse(ask: Ask, value: float, coarseness: float) -> tuple[float, float] | None:
    """The answers [asked unit] that are `value` [SI] with too few figures, where the last figure written
    counts `coarseness`; None where that is fine enough, or a rounding has a safe side.
    """
    if ask.direction != "nearest" or coarseness <= ask.step * 1.5:
        return None
    inner, reach = ask.in_unit(value), coarseness / 2 + _NOISE
    return inner - reach, inner + reach


def _leads_to(ask: Ask, given: float | str, wrong: float | str) -> bool:
    """Whether a slip's figure is the one written: as tight as the stated rounding, since it was worked out
    the same way.
    """
    if isinstance(given, str) or isinstance(wrong, str):
        return given == wrong
    if ask.direction == "nearest":
        return agrees(ask, given, wrong)
    return min(abs(given - ask.rounded(wrong)), abs(given - ask.in_unit(wrong))) <= 0.02 * ask.step


def _is_right(ask: Ask, given: float | str, right: float | str) -> bool:
    if isinstance(given, str) or isinstance(right, str):
        return given == right
    return agrees(ask, given, right)


def _usable(problem: Problem, found: Sequence[Trace]) -> dict[str, list[Trace]]:
    """Traces per ask that lead to another answer than the right one."""
    right = problem.right()
    result: dict[str, list[Trace]] = {}
    for ask in problem.asks:
        value = right[ask.key]
        keep = []
        for trace in found:
            wrong = trace.answers.get(ask.key)
            if wrong is None:
                continue
            shown = wrong if isinstance(wrong, str) else ask.rounded(wrong)
            if not _is_right(ask, shown, value):
                keep.append(trace)
        result[ask.key] = keep
    return result


@frozen
class _Evidence:
    """What speaks for one slip as the cause of one wrong answer.

    `hits` wrong figures of the problem it leads to, `exact` of them to the last place; `misses` others that
    are wrong in another way; and whether it contradicts a right answer.
    """

    trace: Trace
    hits: int
    exact: int
    misses: int
    contradicts: bool


def _evidence(
    trace: Trace, problem: Problem, given: Mapping[str, float | str], wrong: Collection[str]
) -> _Evidence:
    hits = exact = misses = 0
    contradicts = False
    for ask in problem.asks:
        if ask.key not in trace.answers or ask.key not in given:
            continue
        answer, led_to = given[ask.key], trace.answers[ask.key]
        if not _leads_to(ask, answer, led_to):
            contradicts |= ask.key not in wrong
            misses += ask.key in wrong
        elif ask.key in wrong and not isinstance(answer, str) and not isinstance(led_to, str):
            hits += 1
            exact += abs(answer - ask.rounded(led_to)) < 1e-6 * ask.step
    return _Evidence(trace=trace, hits=hits, exact=exact, misses=misses, contradicts=contradicts)


def _by_chance(ask: Ask, given: float, right: float, found: Sequence[Trace], exact: bool) -> float:
    """How likely a random number near this one would hit some slip, or the right answer cut to fewer figures
    [1].

    It is the share of the window of 5 % either way that lies within the rounding of one of them, or of its
    last place where it is hit `exact`.
    """
    reach = ask.step / 2 + (0.0 if exact else ask.slack)
    around = max(_WINDOW * abs(given), 10 * ask.step)
    inner = ask.in_unit(right)
    points = [round(inner / (ask.step * ten)) * ask.step * ten for ten in (10.0, 100.0)]
    points += [ask.in_unit(value) for trace in found if isinstance(value := trace.answers[ask.key], float)]
    covered, end = 0.0, given - around
    for point in sorted(points):
        low, high = max(point - reach, end), min(point + reach, given + around)
        if high > low:
            covered, end = covered + high - low, high
    return covered / (2 * around)


def _causes(
    problem: Problem,
    ask: Ask,
    given: Mapping[str, float | str],
    wrong: Collection[str],
    usable: Sequence[Trace],
) -> tuple[tuple[Named, ...], tuple[Named, ...]]:
    """(the slips that are named, those that are only likely) for one wrong answer.

    A slip is named that leads to two or more wrong figures of the problem and contradicts no right one; or
    that alone leads to this figure, where a number written at random would hardly have hit any. Of several,
    those that account for most, exactly, count.
    """
    value = given[ask.key]
    fits = [
        _evidence(each, problem, given, wrong)
        for each in usable
        if _leads_to(ask, value, each.answers[ask.key])
    ]
    sound = [each for each in fits if not each.contradicts] or ([] if isinstance(value, float) else fits)
    best = max(((each.hits, each.exact, -each.misses) for each in sound), default=(0, 0, 0))
    named = _unique([each.trace for each in sound if (each.hits, each.exact, -each.misses) == best])
    if isinstance(value, str):
        return named, ()
    right = problem.right()[ask.key]
    assert isinstance(right, float)  # a figure was written where a figure is asked
    far = not 1 / _FAR < value / ask.in_unit(right) < _FAR if ask.in_unit(right) else False
    chance = _BY_EYE if ask.by_eye else _CHANCE
    chance = chance / 6 if best[2] else chance  # one of several that it should have led to
    strong = best[0] >= 2 or far or _by_chance(ask, value, right, usable, best[1] > 0) <= chance
    if strong and len(named) == 1:
        return named, ()
    return (), _unique([each.trace for each in sound or fits])[:_MOST_LIKELY]


def mark_problem(problem: Problem, answers: Mapping[str, str]) -> tuple[Mark, ...]:
    """Mark the answers to one problem.

    A wrong answer is compared with what every slip leads to, and a slip is named where there is evidence for
    it and none for another. The same slip found again in a later answer of the problem counts as carried on.
    Parameters: `problem`; `answers`, key of an ask -> as written (missing: blank). Returns a Mark per ask, in
    order.
    Source: [common-practice].
    """
    load_all()
    right = problem.right()
    written = {ask.key: read_written(ask, answers.get(ask.key, "")) for ask in problem.asks}
    numbers = {key: each.value if each.value is not None else each.bare for key, each in written.items()}
    given = {key: value for key, value in numbers.items() if value is not None}
    wrong = [
        ask.key
        for ask in problem.asks
        if ask.key in given and not _is_right(ask, given[ask.key], right[ask.key])
    ]
    usable = _usable(problem, traces(problem.facts)) if wrong else {}
    marks: list[Mark] = []
    named_before: set[str] = set()
    for ask in problem.asks:
        mark = _mark(ask, written[ask.key], right[ask.key])
        if mark is None:
            named, likely = _causes(problem, ask, given, wrong, usable[ask.key])
            result: Result = "slip" if named else "not recognised"
            if named and named_before & {each.slip.name for each in named}:
                result = "carried on"
                named = tuple(each for each in named if each.slip.name in named_before)
            named_before |= {each.slip.name for each in named}
            as_due = ask.text(right[ask.key])
            mark = Mark(
                ask=ask,
                written=written[ask.key].text,
                right=as_due,
                result=result,
                slips=named,
                told=written[ask.key].told,
                likely=likely,
            )
        marks.append(mark)
    return tuple(marks)


def _unique(found: Sequence[Trace]) -> tuple[Named, ...]:
    """Each slip once, with the first place it was found at; general ones only where there is no other."""
    by_name: dict[str, Named] = {}
    for trace in found:
        by_name.setdefault(trace.slip.name, Named(trace.slip, trace.where))
    particular = tuple(each for each in by_name.values() if not each.slip.general)
    return particular or tuple(by_name.values())


def _mark(ask: Ask, written: Written, right: float | str) -> Mark | None:
    """The mark that needs no slip of arithmetic, or None where the figure is wrong."""
    as_due = ask.text(right)

    def made(result: Result, told: str = "", slip: str = "") -> Mark:
        return Mark(
            ask=ask,
            written=written.text,
            right=as_due,
            result=result,
            slips=(Named(SLIPS[slip], ""),) if slip else (),
            told=told or written.told,
        )

    if written.fault == "blank":
        return made("blank")
    if written.fault == "unreadable":
        return made("unreadable")
    value = written.value if written.value is not None else written.bare
    assert value is not None  # only the two faults above leave no value
    if isinstance(value, str) or isinstance(right, str):
        return made("right") if value == right else None
    if written.fault in ("no unit", "wrong unit"):
        if not agrees(ask, value, right):
            return None
        return (
            made("no unit", slip="no-unit")
            if written.fault == "no unit"
            else made("wrong unit", slip="wrong-unit")
        )
    if agrees(ask, value, right):
        return made("right")
    if written.bare is not None and value != written.bare and agrees(ask, written.bare, right):
        return made("wrong unit", f"the number is right in {ask.unit}", "wrong-unit")
    rough = coarse(ask, right, written.coarseness)
    if rough is not None and rough[0] <= value <= rough[1]:
        return made("too few figures", f"asked for {ask.rounding}")
    return None
