"""What a measured density says about the grade that was declared: at best that nothing contradicts it."""

from __future__ import annotations

from planner.density.budget import Estimate
from planner.facts.grades import Grade
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
    hint = "do not fly on it: draw a second sample, tell the supplier or a licensed engineer"
    if grade.contradicted(value) and grade.kind == "avgas":
        code, words = "bench-jet-like", "is too heavy for {}: jet fuel or another heavy liquid may be in it"
    elif grade.contradicted(value):
        code, words = "bench-gasoline-like", "is too light for {}: gasoline may be in it"
    elif not low <= value <= high:
        code, words = "bench-sample-outside-band", "is outside what {} should have"
        hint = "repeat it; ask the supplier for the batch"
    else:
        return ()
    within = Figure(density_15c.expanded, "density", bare=True)
    message = say("{} at 15 degC, within ± {}, " + words, Figure(value, "density"), within, grade.name)
    needed = say("expected {}", span_of(low, high, "density"))
    return (Finding(code, message, needed, hint, where, severity="notice"),)
