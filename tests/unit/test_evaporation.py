"""Timed readings carried back to the closing of the stopper; the regression itself is checked against NIST's
Norris set.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from planner.density.evaporation import _drops, reading_when_closed
from planner.density.line import coverage_factor, curvature_chance, straight_line
from planner.quantities.errors import InputRefused

TIMES = [60.0, 120.0, 180.0, 240.0, 300.0, 360.0]
NOISE = [
    1.1e-6,
    -0.7e-6,
    -1.3e-6,
    0.9e-6,
    0.6e-6,
    -0.6e-6,
]  # kg, written down once, no trend and no bend by eye
LOSS = -2e-8  # kg/s


def series(loss: float = LOSS, bend: float = 0.0, start: float = 0.06315) -> list[float]:
    return [start + loss * t + bend * t * t + noise for t, noise in zip(TIMES, NOISE, strict=True)]


def codes(caught: pytest.ExceptionInfo[InputRefused]) -> set[str]:
    return {finding.code for finding in caught.value.findings}


def test_against_numpy_polyfit() -> None:
    closed = reading_when_closed(TIMES, series(), closed_at=10.0)
    # numpy's own fit about the closing time: the intercept and its standard error come from its covariance.
    coefficients, covariance = np.polyfit(np.array(TIMES) - 10.0, series(), 1, cov="unscaled")
    residuals = np.array(series()) - np.polyval(coefficients, np.array(TIMES) - 10.0)
    scatter = math.sqrt(float(residuals @ residuals) / 4)
    assert closed.reading.value == pytest.approx(float(coefficients[1]), abs=1e-14)
    assert closed.reading.u == pytest.approx(scatter * math.sqrt(float(covariance[1, 1])), rel=1e-9)
    assert closed.expanded == pytest.approx(float(scipy.stats.t.ppf(0.975, 4)) * closed.reading.u, rel=1e-9)
    assert closed.loss == pytest.approx(-float(coefficients[0]) * 350.0, rel=1e-9)


def test_closing_earlier_is_known_less_well() -> None:
    sooner, later = (reading_when_closed(TIMES, series(), closed_at=at) for at in (-60.0, 60.0))
    assert sooner.reading.u > later.reading.u
    assert sooner.reading.value > later.reading.value


def test_curvature_against_a_full_quadratic_fit() -> None:
    for bend in (0.0, 2e-11, -8e-11):
        x, y = np.array(TIMES), np.array(series(bend=bend))
        design = np.vander((x - x.mean()) / 100.0, 3)
        solution, residual, *_ = np.linalg.lstsq(design, y, rcond=None)
        error = math.sqrt(float(residual[0]) / 3 * float(np.linalg.inv(design.T @ design)[0, 0]))
        chance = 2 * float(scipy.stats.t.sf(abs(float(solution[0])) / error, 3))
        assert curvature_chance(TIMES, series(bend=bend)) == pytest.approx(chance, rel=1e-4)


def test_false_alarms_are_as_rare_as_stated() -> None:
    rng = np.random.default_rng(33)
    refused = sum(
        curvature_chance(TIMES, list(0.06 + LOSS * np.array(TIMES) + rng.normal(0, 1e-6, 6))) < 0.05
        for _ in range(2000)
    )
    # 5 % of 2000 is 100 +/- 10: four standard deviations either way.
    assert 60 <= refused <= 140


def test_a_bent_loss_is_refused() -> None:
    assert reading_when_closed(TIMES, series()).p_bent > 0.05
    with pytest.raises(InputRefused) as caught:
        reading_when_closed(TIMES, series(bend=4e-10))
    assert codes(caught) == {"bench-evaporation-curved"}


def test_readings_exactly_on_a_line_or_a_curve() -> None:
    line = [0.063 - 2.5e-8 * t for t in TIMES]
    closed = reading_when_closed(TIMES, line)
    assert closed.reading.value == pytest.approx(0.063, abs=1e-12)
    assert closed.p_bent > 0.05
    with pytest.raises(InputRefused):
        reading_when_closed(TIMES, [m + 1e-10 * t * t for m, t in zip(line, TIMES, strict=True)])


def test_rounding_of_the_balance_is_the_least_scatter() -> None:
    steady = [0.06315] * 6
    closed = reading_when_closed(TIMES, steady, closed_at=60.0, resolution=1e-5)
    away = [t - 210.0 for t in TIMES]
    expected = 1e-5 / math.sqrt(12) * math.sqrt(1 / 6 + 150.0**2 / sum(d * d for d in away))
    assert closed.reading.u == pytest.approx(expected, rel=1e-12)
    assert closed.notices == ()


def test_a_loss_is_told() -> None:
    closed = reading_when_closed(TIMES, series())
    assert [notice.code for notice in closed.notices] == ["bench-evaporating"]
    assert closed.notices[0].severity == "notice"
    # 2e-8 kg/s is 1.2 mg/min, give or take the noise.
    slope = straight_line(TIMES, series()).slope.value
    assert f"{-slope * 6e7:.3g} mg/min" in closed.notices[0].message
    assert 1.1 < -slope * 6e7 < 1.4
    assert reading_when_closed(TIMES, series(loss=0.0)).notices == ()
    assert reading_when_closed(TIMES, series(loss=2e-8)).notices == ()


def test_one_drop_is_told() -> None:
    readings = [0.0631500, 0.0631495, 0.0631491, 0.0631485, 0.0631281, 0.0631274, 0.0631270, 0.0631266]
    times = [60.0 * (number + 1) for number in range(8)]
    closed = reading_when_closed(times, readings)
    told = [notice for notice in closed.notices if notice.code == "bench-reading-drop"]
    assert len(told) == 1
    assert "reading 5 dropped by 20.4 mg" in told[0].message
    assert told[0].needed == "readings that change evenly"
    assert "was something spilt" in told[0].hint


@pytest.mark.parametrize(
    ("times", "readings", "closed_at", "code"),
    [
        (TIMES[:3], series()[:3], 0.0, "bench-evaporation-few"),
        (TIMES, series()[:5], 0.0, "bench-evaporation-few"),
        ([60.0, 120.0, 120.0, 180.0, 240.0, 300.0], series(), 0.0, "bench-evaporation-times"),
        (TIMES, series(), -240.1, "bench-evaporation-too-far"),
        (TIMES, series(), 360.1, "bench-evaporation-too-far"),
        (TIMES, [*series()[:5], math.nan], 0.0, "bench-not-finite"),
        (TIMES, [*series()[:5], 0.0], 0.0, "bench-nothing-in-bottle"),
    ],
)
def test_refusals(times: list[float], readings: list[float], closed_at: float, code: str) -> None:
    with pytest.raises(InputRefused) as caught:
        reading_when_closed(times, readings, closed_at)
    assert codes(caught) == {code}


def test_negative_resolution_is_refused_with_the_rest() -> None:
    with pytest.raises(InputRefused) as caught:
        reading_when_closed(TIMES, series(), -1000.0, resolution=-1e-5)
    assert codes(caught) == {"bench-evaporation-too-far", "bench-not-finite"}


def test_as_far_back_as_the_readings_last_is_the_limit() -> None:
    assert reading_when_closed(TIMES, series(), -240.0).closed_at == -240.0


def test_a_stopper_may_have_closed_as_late_as_the_last_reading() -> None:
    assert reading_when_closed(TIMES, series(), TIMES[-1]).closed_at == TIMES[-1]


def test_helpers_refuse_what_has_no_answer() -> None:
    with pytest.raises(ValueError, match="at least 3"):
        straight_line([1.0, 2.0], [1.0, 2.0])
    with pytest.raises(ValueError, match="equal"):
        straight_line([1.0, 1.0, 1.0], [1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match="needed 4"):
        curvature_chance([1.0, 2.0, 3.0], [1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match="three different"):
        curvature_chance([1.0, 1.0, 2.0, 2.0], [1.0, 2.0, 3.0, 4.0])
    with pytest.raises(ValueError, match="three different"):  # where nothing comes out as a round figure
        curvature_chance([0.1, 0.1, 0.7, 0.7], [1.0, 2.0, 3.0, 4.0])
    assert coverage_factor(4, 0.9) == pytest.approx(float(scipy.stats.t.ppf(0.95, 4)), rel=1e-9)
    assert coverage_factor(4, 0.99) == pytest.approx(float(scipy.stats.t.ppf(0.995, 4)), rel=1e-9)


def test_a_longer_pause_is_no_drop() -> None:
    times = [60.0, 120.0, 180.0, 240.0, 900.0, 960.0, 1020.0, 1080.0]
    wobble = (2e-7, -3e-7, 1e-7, 0.0, -2e-7, 3e-7, 1e-7, -2e-7)
    readings = [0.06315 - 1e-7 * t + w for t, w in zip(times, wobble, strict=True)]
    assert [notice.code for notice in reading_when_closed(times, readings).notices] == ["bench-evaporating"]


def test_a_stopper_closed_too_long_before_is_told_with_both_times() -> None:
    with pytest.raises(InputRefused) as caught:
        reading_when_closed([100.0, 200.0, 300.0, 460.0], [0.063] * 4, closed_at=-300.0)
    assert codes(caught) == {"bench-evaporation-too-far"}
    message = caught.value.findings[0].message
    assert "400 s before the first reading" in message
    assert "last 360 s" in message
    assert "no more than 360 s before the first" in caught.value.findings[0].needed
    assert "weigh for longer" in caught.value.findings[0].hint


def test_readings_out_of_order_are_told_what_was_needed() -> None:
    with pytest.raises(InputRefused) as caught:
        reading_when_closed([100.0, 300.0, 200.0, 460.0], [0.063] * 4)
    (finding,) = caught.value.findings
    assert "do not rise" in finding.message
    assert "each with its own time" in finding.needed


@pytest.mark.parametrize(("chance", "told"), [(0.09, True), (0.11, False)])
def test_a_loss_is_told_from_a_twentieth_that_it_is_none(chance: float, told: bool) -> None:
    """One-sided, so a tenth of the two-sided chance: the slope is made so many standard errors steep."""
    line = straight_line(TIMES, NOISE)
    steep = -float(scipy.stats.t.ppf(1 - chance / 2, len(TIMES) - 2)) * line.slope.u
    made = [0.063 + noise + (steep - line.slope.value) * t for t, noise in zip(TIMES, NOISE, strict=True)]
    assert straight_line(TIMES, made).slope.value == pytest.approx(steep, rel=1e-6)
    assert bool(reading_when_closed(TIMES, made).notices) is told
    # and a mass that grows is never a loss
    grown = [0.063 + noise - (steep + line.slope.value) * t for t, noise in zip(TIMES, NOISE, strict=True)]
    assert reading_when_closed(TIMES, grown).notices == ()


@pytest.mark.parametrize(("drop", "told"), [(2.9e-5, []), (3.1e-5, [4])])
def test_a_step_counts_from_three_of_the_balance_s_own(drop: float, told: list[int]) -> None:
    steady = [0.063 - (drop if number >= 4 else 0.0) for number in range(8)]
    times = [60.0 * number for number in range(8)]
    assert _drops(times, steady, 0.0, 1e-5) == told
    # the same on a mass that falls all the while, and a rise is no drop
    falling = [mass - 1e-7 * t for mass, t in zip(steady, times, strict=True)]
    assert _drops(times, falling, -1e-7, 1e-5) == told
    assert _drops(times, [2 * 0.063 - mass for mass in steady], 0.0, 1e-5) == []


@pytest.mark.parametrize(("times_usual", "told"), [(5.9, []), (6.1, [5])])
def test_a_step_counts_from_six_times_what_is_usual_between_readings(
    times_usual: float, told: list[int]
) -> None:
    """Steps of 1 mg up and down in turn lie 1 mg from their median of 0; the seventh counts as none."""
    steps = [1e-6, -1e-6, 1e-6, -1e-6, -times_usual * 1e-6, 1e-6, 0.0]
    readings = [0.063 + math.fsum(steps[:number]) for number in range(8)]
    assert _drops([60.0 * number for number in range(8)], readings, 0.0, 0.0) == told


def test_a_balance_may_show_its_readings_to_any_step_even_none() -> None:
    assert reading_when_closed(TIMES, series(), resolution=0.0).reading.u > 0
    with pytest.raises(InputRefused) as caught:
        reading_when_closed(TIMES, series(), resolution=-1e-12)
    assert codes(caught) == {"bench-not-finite"}


def test_four_readings_at_three_times_are_enough() -> None:
    times, readings = [0.0, 60.0, 120.0, 240.0], [0.063, 0.062999, 0.062998, 0.062996]
    assert reading_when_closed(times, readings, resolution=1e-6).reading.value == pytest.approx(0.063)
    assert reading_when_closed(times, readings, resolution=1e-6).line.degrees_of_freedom == 2


def test_a_bend_smaller_than_the_balance_can_show_is_none() -> None:
    """t = c sqrt(sum q^2)/s with the least s that is believed, n - 3 degrees of freedom."""
    x = np.array(TIMES)
    bent = [0.063 + 1e-12 * t * t for t in TIMES]
    q = np.polynomial.polynomial.Polynomial.fit(x, x**2, 1)
    away = x**2 - q(x)  # what of the parabola is not a line
    t = 1e-12 * math.sqrt(float(away @ away)) / 1e-7
    expected = 2 * float(scipy.stats.t.sf(t, 3))
    assert curvature_chance(TIMES, bent, 1e-7) == pytest.approx(expected, rel=1e-4)
    assert curvature_chance(TIMES, bent) < 0.05
    assert reading_when_closed(TIMES, bent, resolution=1e-6).p_bent > 0.05
    assert curvature_chance([0.0, 1.0, 2.0, 3.0], [0.0] * 4) == 1.0, "nothing at all is straight"


def test_a_line_is_no_surer_than_the_least_scatter_believed() -> None:
    """Readings on the line: s(b) = s/sqrt(Sxx), s(a) = s sqrt(1/n + mean^2/Sxx) with s as given; Sxx is 10."""
    line = straight_line([0.0, 1.0, 2.0, 3.0, 4.0], [5.0, 7.0, 9.0, 11.0, 13.0], 0.1)
    assert (line.intercept.value, line.slope.value, line.scatter) == pytest.approx((5.0, 2.0, 0.1))
    assert (line.slope.u, line.intercept.u) == pytest.approx((0.1 / 10**0.5, 0.1 * math.sqrt(1 / 5 + 4 / 10)))
    assert line.at(4.0).value == pytest.approx(13.0)
    assert line.at(4.0).u == pytest.approx(0.1 * math.sqrt(1 / 5 + 4 / 10))
    for probability in (0.0, 0.9901, -0.5):
        with pytest.raises(ValueError, match="probability"):
            coverage_factor(4, probability)


@pytest.mark.parametrize("bend", [0.0, 1e-11, -5e-12])
def test_curvature_of_readings_taken_when_one_could(bend: float) -> None:
    """Against a full quadratic fit, the times being anything but even."""
    times = [60.0, 90.0, 200.0, 260.0, 500.0, 980.0]
    y = np.array([0.063 - 2e-8 * t + bend * t * t + noise for t, noise in zip(times, NOISE, strict=True)])
    x = (np.array(times) - 300.0) / 300.0
    design = np.vander(x, 3)
    solution, residual, *_ = np.linalg.lstsq(design, y, rcond=None)
    error = math.sqrt(float(residual[0]) / 3 * float(np.linalg.inv(design.T @ design)[0, 0]))
    chance = 2 * float(scipy.stats.t.sf(abs(float(solution[0])) / error, 3))
    assert curvature_chance(times, list(y)) == pytest.approx(chance, rel=1e-4)


@pytest.mark.parametrize("scale", [1e-3, 1.0, 1e3])
def test_two_different_times_are_no_curve_however_they_fall(scale: float) -> None:
    for marks in ((0.1, 0.1, 0.1, 0.7), (0.1, 0.1, 0.7, 0.7, 0.7), (1 / 3, 1 / 3, 1 / 7, 1 / 7, 1 / 7)):
        with pytest.raises(ValueError, match="three different"):
            curvature_chance([scale * each for each in marks], [1.0, 2.0, 3.0, 4.0, 5.0][: len(marks)])
