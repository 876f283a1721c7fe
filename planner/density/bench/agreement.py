"""What a measured density says about the grade that was declared: at best that nothing contradicts it."""

from __future__ import annotations

from planner.density.budget import Estimate
from planner.facts.grades import AVGAS_HARD_HIGH, JET_HARD_LOW, Grade
from planner.quantities.errors import Finding
from planner.quantities.sentences import Figure, say, span_of


def grade_notices(
    density_15c: Estimate, grade: Grade, where: str = "density at 15 degC"
) -> tuple[Finding, ...]:
    """Notices where a density at 15 degC contradicts the declared grade; none means only that it does not.

    Avgas above 740 kg/m3 and jet fuel below 775 kg/m3 are contradicted outright; otherwise a density
    outside the grade's working band is pointed out. The uncertainty is quoted, never used to excuse a
    reading.

    Parameters: `density_15c` [kg/m3]; `grade`; `where` the figure stands.
    Returns Findings of severity `notice`, codes `bench-jet-like`, `bench-gasoline-like`,
    `bench-sample-outside-band`.
    Source: [common-practice]; the bands as each Grade says.
    """
    value, (low, high) = density_15c.value, grade.band
    figure = say(
        "{} at 15 degC, within ± {}",
        Figure(value, "density"),
        Figure(density_15c.expanded, "density", bare=True),
    )
    stop = "do not fly on it: draw a second sample, tell the supplier or a licensed engineer"
    if grade.kind == "avgas" and value > AVGAS_HARD_HIGH:
        return (
            _notice(
                "bench-jet-like",
                say(
                    "{}, is too heavy for {}: jet fuel or another heavy liquid may be in it",
                    figure,
                    grade.name,
                ),
                grade,
                stop,
                where,
            ),
        )
    if grade.kind == "jet" and value < JET_HARD_LOW:
        return (
            _notice(
                "bench-gasoline-like",
                say("{}, is too light for {}: gasoline may be in it", figure, grade.name),
                grade,
                stop,
                where,
            ),
        )
    if not low <= value <= high:
        message = say("{}, is outside what {} should have", figure, grade.name)
        return (
            _notice(
                "bench-sample-outside-band",
                message,
                grade,
                "repeat it; ask the supplier for the batch",
                where,
            ),
        )
    return ()


def _notice(code: str, message: str, grade: Grade, hint: str, where: str) -> Finding:
    low, high = grade.band
    expected = say("expected {}", span_of(low, high, "density"))
    return Finding(code=code, message=message, needed=expected, hint=hint, where=where, severity="notice")
