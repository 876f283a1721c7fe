"""A kept calibration of a density bottle, and what two of them say about it: records."""

from __future__ import annotations

import math
from datetime import date
from typing import Final

from planner.density.budget import Estimate, Missing
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen

NOT_KEPT: Final = Missing("not kept with this calibration")


@frozen
class Calibration:
    """One weighing with water: `volume` of bottle `bottle` at 20 degC [m3] with its u, the day, the sheet it
    came from, and the empty bottle [kg].

    `void` says when and why it was taken out of use; '' where it was not.
    """

    bottle: str
    on: date
    volume: Estimate
    digest: str
    sheet: str
    observer: str
    path: str
    empty: Estimate | Missing = NOT_KEPT
    void: str = ""


@frozen
class ChartPoint:
    """A calibration on its bottle's chart: the mean of those before it, and the standard uncertainty of the
    distance from it [m3].
    """

    calibration: Calibration
    mean: float
    u: float

    @property
    def outside(self) -> bool:
        """Whether it lies beyond three standard uncertainties: its own readings do not explain it."""
        return abs(self.calibration.volume.value - self.mean) > 3 * self.u


@frozen
class CalibrationsFound:
    """The calibrations found, oldest first, and a notice for each file that is none."""

    calibrations: tuple[Calibration, ...]
    findings: tuple[Finding, ...]

    def of(self, bottle: str) -> tuple[Calibration, ...]:
        """Those of one bottle, oldest first, void ones too."""
        return tuple(each for each in self.calibrations if each.bottle == bottle)

    def chart(self, bottle: str) -> tuple[ChartPoint, ...]:
        """The bottle's control chart, oldest first; empty with fewer than two calibrations in use.

        Each stands against those before it that were inside: mean = sum(V/u^2) / sum(1/u^2), u(V - mean)^2 =
        u^2 + 1/sum(1/u^2); limits at two and three of it. So one that is off does not draw the others out.
        Source: [common-practice] Shewhart's chart, its limits from the calibrations' own u instead of their
        scatter.
        """
        used = [each.volume for each in self.of(bottle) if not each.void]
        found: list[ChartPoint] = []
        for each in [each for each in self.of(bottle) if not each.void and len(used) > 1]:
            before = [held.calibration.volume for held in found if not held.outside] or [each.volume]
            weight = math.fsum(volume.u**-2 for volume in before)
            mean = math.fsum(volume.value * volume.u**-2 for volume in before) / weight
            found.append(ChartPoint(each, mean, math.hypot(each.volume.u, weight**-0.5)))
        return tuple(found)

    def moved(self, bottle: str) -> VolumeShift | None:
        """How the bottle's last calibration in use moved, where that is more than U: it is not relied on."""
        last = self.last(bottle)
        change = change_since_last(last, self) if last is not None else None
        return change if change is not None and change.exceeds else None

    def last(self, bottle: str) -> Calibration | None:
        """The bottle's last calibration that is not void."""
        return next((each for each in reversed(self.of(bottle)) if not each.void), None)


@frozen
class VolumeShift:
    """A bottle's volume against its last calibration: the difference with its u [m3], whether beyond U."""

    last: Calibration
    difference: Estimate

    @property
    def exceeds(self) -> bool:
        """Whether the difference is more than its expanded uncertainty."""
        return abs(self.difference.value) > self.difference.expanded

    def finding(self, code: str) -> Finding:
        """The notice of a volume that moved."""
        moved, most = self.difference.value * 1e6, self.difference.expanded * 1e6
        message = (
            f"the volume moved by {moved:+.3f} mL, more than U {most:.3f} mL, since the calibration of"
            f" {self.last.on}"
        )
        needed = "weigh the bottle with water again: until then neither calibration is offered for use"
        hint = "the wrong one is taken out of use by: planner density bottles --void NUMBER --why REASON"
        return Finding(code, message, needed, hint, severity="notice")


def change_since_last(new: Calibration, earlier: CalibrationsFound) -> VolumeShift | None:
    """The difference from the bottle's last other calibration, by day, of those no later than `new` where
    there are such; None where there is none.

    d = V - V_last, u(d) = sqrt(u^2 + u_last^2), U = 2 u(d)

    Parameters: `new`, `earlier`. Returns the Change [m3].
    Source: [jcgm-100] 5.1.2. The two count as independent; what one thermometer and balance do to both makes
    U too wide, not too narrow.
    """
    others = [each for each in earlier.of(new.bottle) if each.digest != new.digest and not each.void]
    if not others:
        return None
    last = max(others, key=lambda each: (each.on <= new.on, each.on, each.digest))
    return VolumeShift(
        last, Estimate(new.volume.value - last.volume.value, math.hypot(new.volume.u, last.volume.u))
    )
