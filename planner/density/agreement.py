"""What a measured density says about the grade that was declared: at best that nothing contradicts it."""

from __future__ import annotations

from planner.data.grades import AVGAS_HARD_HIGH, JET_HARD_LOW, Grade
from planner.density.budget import Estimate
from planner.errors import Finding


def grade_notices(density_15c: Estimate, grade: Grade, where: str = "density at 15 degC") -> tuple[Finding, ...]:
    """Notices where a density at 15 degC contradicts the declared grade; none means only that it does not.

    Avgas above 740 kg/m3 and jet fuel below 775 kg/m3 are contradicted outright; otherwise a density
    outside the grade's working band is pointed out. The uncertainty is quoted, never used to excuse a reading.

    Parameters: `density_15c` [kg/m3]; `grade`; `where` the figure stands.
    Returns Findings of severity `notice`, codes `bench-jet-like`, `bench-gasoline-like`, `bench-sample-outside-band`.
    Source: [common-practice]; the bands as each Grade says.
    """
    value, (low, high) = density_15c.value, grade.band
    figure = f"{value:.1f} kg/m3 at 15 degC, within ± {density_15c.expanded:.1f}"
    stop = "do not fly on it: draw a second sample, tell the supplier or a licensed engineer"
    if grade.kind == "avgas" and value > AVGAS_HARD_HIGH:
        return (_notice("bench-jet-like", f"{figure}, is too heavy for {grade.name}: jet fuel or another heavy liquid may be in it", grade, stop, where),)
    if grade.kind == "jet" and value < JET_HARD_LOW:
        return (_notice("bench-gasoline-like", f"{figure}, is too light for {grade.name}: gasoline may be in it", grade, stop, where),)
    if not low <= value <= high:
        message = f"{figure}, is outside what {grade.name} should have"
        return (_notice("bench-sample-outside-band", message, grade, "repeat it; ask the supplier for the batch", where),)
    return ()


def _notice(code: str, message: str, grade: Grade, hint: str, where: str) -> Finding:
    return Finding(code, message, f"expected {grade.band[0]:g} to {grade.band[1]:g} kg/m3", hint, where, severity="notice")
