"""What is left of a margin in a box of loadings, and what U may be there at most: against every corner of the
box, a linear programme of scipy, and the engine's own judgement of single loadings.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from types import SimpleNamespace
from typing import Any, Final, cast

import numpy as np
import pytest
from scipy.optimize import linprog

from planner.flight.envelope import edge_limit, judge
from planner.flight.limits import Limit
from planner.flight.loading import Variant
from planner.quantities.effects import Effect
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, EdgeKind
from planner.search.card.bounds import _Bounds
from planner.search.card.boxes import Boxes, between, least, spread_out, weighed
from planner.search.card.forms import BoxForm, BoxForms, Cause, FormRow

Ends = tuple[float, float]


@pytest.mark.parametrize(
    ("arm", "mass", "most"),
    [
        ((2.0, 5.0), (1.0, 3.0), 16.0),  # 5 x 3 + 1
        ((-5.0, -2.0), (1.0, 3.0), 17.0),  # 5 x 3 + 2
        ((2.0, 5.0), (-3.0, -1.0), 17.0),
        ((-5.0, -2.0), (-3.0, -1.0), 16.0),
    ],
)
def test_the_greatest_u_is_that_of_the_worst_corner(arm: Ends, mass: Ends, most: float) -> None:
    # A cause changes the mass by `mass` [kg] and the moment by -1 to 2 kg.m; the arm lies within `arm` [m].
    moment = (np.array([-1.0]), np.array([2.0]))
    cause = (tuple(np.array([each]) for each in mass), moment, (np.zeros(1), np.zeros(1)))
    bounds = cast(Any, SimpleNamespace(none=np.zeros(1), causes=[cause]))
    u = _Bounds._u(bounds, *(np.array([each]) for each in arm), False, 0.0)
    assert u.tolist() == [pytest.approx(2 * most)]
    more = _Bounds._u(bounds, *(np.array([each]) for each in arm), False, 3.0)
    assert more.tolist() == [pytest.approx(2 * np.hypot(most, 3.0))], "a moment change besides"


# An invented aircraft: 700 kg at 2.2 m; two seats at 2.1 m, the left one the pilot's, who weighs 50 kg and
# nobody more than 110; a place at 3.4 m; fuel of two tanks, of which the second lies further aft.
ROWS: Final = (
    FormRow(name="front", first=0, seats=2, least=(50.0, 0.0), heaviest=110.0),
    FormRow(name="place", first=2, seats=1, least=(0.0,)),
)
CUTS: Final = (0.0, 0.05, 0.14)


def form(constant: float, seats: Sequence[float], *fuel: Sequence[float], at_density: float = 0.0) -> BoxForm:
    return BoxForm(
        constant=constant,
        seats=np.array(seats),
        at_density=at_density,
        fuel=np.array(fuel or [[0.0] * 3] * 2),
    )


NO: Final = form(0.0, (0.0, 0.0, 0.0))
MASS: Final = form(700.0, (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.05, 1.0, 0.0))
MOMENT: Final = form(1540.0, (2.1, 2.1, 3.4), (0.0, 2.4, 0.7), (0.12175, 2.9, 0.0))
LATERAL: Final = form(7.0, (-0.3, 0.3, 0.1), (0.0, 0.2, 0.0), (0.01, -0.6, 0.0))
CAUSES: Final = (
    Cause(mass=form(1.5, (0.0, 0.0, 0.0)), moment=form(3.3, (0.0, 0.0, 0.0)), lateral=form(0.2, (0, 0, 0))),
    Cause(mass=NO, moment=form(2.5, (0.0, 0.0, 0.0)), lateral=NO),
    Cause(mass=NO, moment=form(0.0, (0.0, 0.0, 0.03)), lateral=form(0.0, (0.004, -0.005, 0.01))),
    Cause(
        mass=form(0.0, (0.0, 0.0, 0.0), at_density=0.002),
        moment=form(0.0, (0.0, 0.0, 0.0), (0.0, 0.03, 0.1), (0.00175, 0.05, 0.0), at_density=0.005),
        lateral=form(0.0, (0.0, 0.0, 0.0), (0.0, 0.02, 0.0), (0.001, 0.02, 0.0)),
    ),
)
PLAIN: Final = Variant((), 0.0, ())
GEAR: Final = Variant(("gear up",), -9.0, (Effect("gear up", 0.0, 1.2), Effect("gear rod", 0.0, 0.5)))


def forms_of(*causes: Cause, density: Ends = (680.0, 735.0), moment: BoxForm = MOMENT) -> BoxForms:
    return BoxForms(
        aircraft=cast(Any, None),
        category="normal",
        rows=ROWS,
        cuts=CUTS,
        levels=((0.0, 0.0), (0.05, 0.0), (0.05, 0.09)),
        density=density,
        mass=MASS,
        moment=moment,
        lateral=LATERAL,
        causes=causes,
        variants=(PLAIN,),
        limits=(),
    )


def limit(kind: EdgeKind, upper: bool) -> Limit:
    points = (
        ((700.0, 2.30), (850.0, 2.36), (1000.0, 2.31))
        if upper
        else ((700.0, 2.10), (860.0, 2.16), (990.0, 2.22))
    )
    return Limit(
        id="cg/aft" if upper else "cg/forward",
        place="burn",
        quantity="cg",
        name="edge",
        dimension="length",
        bound=Edge(points, kind),
        upper=upper,
    )


def boxes(seed: int, count: int, density: Ends = (680.0, 735.0), wide: float = 1.0) -> Boxes:
    """Boxes anywhere, `wide` as a share of all there is."""
    random = np.random.default_rng(seed)
    segment = random.integers(0, 2, count)
    most = np.column_stack(
        [np.full(count, 170.0), np.full(count, 90.0), np.full(count, 1.0), np.diff(CUTS)[segment]]
    )
    parts = random.random((count, 4)) * (1.0 - wide)
    low, high = parts * most, (parts + wide * random.random((count, 4))) * most
    for end in (low, high):
        end[:, 0] += 50.0
        end[:, 2] = density[0] + (density[1] - density[0]) * end[:, 2]
    return Boxes(low, high, segment)


def corners(box: Boxes, fuels: int = 3) -> np.ndarray:
    """Loadings of one box (three masses, density, fuel): every corner, however a row is shared out, and at
    some fuels between.
    """
    (low,), (high,) = box.low, box.high
    found = []
    fronts = np.clip([low[0], 110.0, 160.0, high[0]], low[0], high[0])  # one alone, one and the pilot
    for front, place, density in product(fronts, (low[1], high[1]), (low[2], high[2])):
        left = min(front, 110.0)
        for masses in ((left, front - left), (max(front - 110.0, 50.0), front - max(front - 110.0, 50.0))):
            found += [(*masses, place, density, fuel) for fuel in np.linspace(low[3], high[3], fuels)]
    return np.array(found)


def value(one: BoxForm, loadings: np.ndarray, segment: int) -> np.ndarray:
    """A form as its docstring has it."""
    density, fuel = loadings[:, 3], loadings[:, 4]
    a, b, c = one.fuel[segment]
    whole = loadings[:, :3] @ one.seats + density * (one.at_density + a + b * fuel + c * fuel**2)
    return np.asarray(one.constant + whole)


@pytest.mark.parametrize("which", [MASS, MOMENT, LATERAL, CAUSES[2].lateral, CAUSES[3].moment])
def test_a_form_is_least_and_greatest_at_a_corner(which: BoxForm) -> None:
    """A pilot of 50 kg at least, nobody of more than 110, and no figure of these turns between two fuels."""
    some = boxes(1, 60)
    low, high = between(ROWS, some, spread_out(which, some))
    found = least(ROWS, some, spread_out(which, some))
    for at in range(len(some)):
        segment = int(some.segment[at])
        every = value(which, corners(some.some(np.array([at]))), segment)
        assert (low[at], high[at]) == pytest.approx((every.min(), every.max()), rel=1e-12, abs=1e-12)
        assert value(which, found.at[at : at + 1], segment)[0] == pytest.approx(low[at], rel=1e-12, abs=1e-12)
        masses = found.at[at, :3]
        assert 50.0 <= masses[0] <= 110.0 + 1e-9
        assert -1e-9 <= masses[1] <= 110.0 + 1e-9
        assert some.low[at, 0] - 1e-9 <= masses[:2].sum() <= some.high[at, 0] + 1e-9


def test_several_forms_are_weighed_box_by_box() -> None:
    forms, some, random = forms_of(), boxes(2, 20, wide=0.0), np.random.default_rng(2)
    weights = random.normal(size=(4, 20))
    found = least(ROWS, some, weighed(forms, some, *weights))
    for at, (constant, mass, moment, lateral) in enumerate(weights.T):
        segment = int(some.segment[at])
        each = [value(one, found.at[at : at + 1], segment)[0] for one in (MASS, MOMENT, LATERAL)]
        expected = constant + mass * each[0] + moment * each[1] + lateral * each[2]
        assert found.value[at] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("lateral", [False, True])
def test_the_cg_of_a_box_lies_between_arms(lateral: bool) -> None:
    """About the moment's middle over the mass's, how far a moment is off there is least or greatest at a corner."""
    some, which = boxes(3, 60), LATERAL if lateral else MOMENT
    bounds = _Bounds(forms_of(), some)
    low, high = bounds._centre(lateral)
    for at in range(len(some)):
        loadings, segment = corners(some.some(np.array([at])), 21), int(some.segment[at])
        mass, moment = value(MASS, loadings, segment), value(which, loadings, segment)
        light, heavy = mass.min(), mass.max()
        assert (bounds.light[at], bounds.heavy[at]) == pytest.approx((light, heavy), rel=1e-12)
        about = (moment.min() + moment.max()) / (light + heavy)
        less, more = (moment - about * mass).min(), (moment - about * mass).max()
        ends = (about + less / light, about + more / light)
        # Where the moment is a parabola of the fuel, its least may lie between two of the fuels tried.
        assert (low[at], high[at]) == pytest.approx(ends, abs=1e-5)
        assert low[at] <= (moment / mass).min()
        assert high[at] >= (moment / mass).max()


def effects_of(
    loading: np.ndarray, segment: int, causes: Sequence[Cause], variant: Variant = PLAIN
) -> list[Effect]:
    own = [
        Effect(
            f"cause {at}",
            *(float(value(one, loading, segment)[0]) for one in (each.mass, each.moment, each.lateral)),
        )
        for at, each in enumerate(causes)
    ]
    return [*own, *variant.effects]


def total_of(loading: np.ndarray, segment: int, moment: BoxForm = MOMENT) -> Total:
    return Total(*(float(value(one, loading, segment)[0]) for one in (MASS, moment, LATERAL)))


def left_of(result: Any, mass: float) -> float:
    return float((result.margin - result.uncertainty) * mass)


@pytest.mark.parametrize("variant", [PLAIN, GEAR], ids=["plain", "gear"])
@pytest.mark.parametrize("upper", [True, False], ids=["aft", "forward"])
@pytest.mark.parametrize("kind", ["linear in cg", "linear in moment"])
def test_a_box_leaves_no_more_of_an_edge_than_any_loading_in_it(
    kind: EdgeKind, upper: bool, variant: Variant
) -> None:
    """Of one loading it leaves what the engine does, unless a corner is near; of a box never more."""
    edge, alike = limit(kind, upper), 0
    for wide in (0.0, 0.05, 0.4):
        some = boxes(4, 25, wide=wide)
        bounds = _Bounds(forms_of(*CAUSES), some)
        checked = [check.left.value for check in bounds.of_edge(edge, variant)]
        found = np.min(checked, axis=0)
        for at in range(len(some)):
            loadings, segment = corners(some.some(np.array([at]))), int(some.segment[at])
            every = []
            for loading in loadings[: 1 if wide == 0.0 else None : 7]:
                here = total_of(loading[None], segment)
                moved = Total(here.mass, here.moment + variant.moment, here.lateral_moment)
                every.append(
                    left_of(
                        edge_limit(
                            edge, moved, effects_of(loading[None], segment, CAUSES, variant), along=True
                        ),
                        here.mass,
                    )
                )
            assert found[at] <= min(every) + 1e-9
            far = min(abs(point - here.mass) for point, _ in edge.edge.points) > 12 * bounds.u_mass[at]
            if wide == 0.0 and far:
                assert found[at] == pytest.approx(every[0], rel=1e-9, abs=1e-9)
                alike += 1
    assert alike > 10


@pytest.mark.parametrize("mass_u", [1.0, 15.0])
@pytest.mark.parametrize("upper", [True, False], ids=["aft", "forward"])
@pytest.mark.parametrize("kind", ["linear in cg", "linear in moment"])
def test_near_a_corner_u_is_not_less_than_the_spread_over_it(
    kind: EdgeKind, upper: bool, mass_u: float
) -> None:
    """Loadings within a few standard uncertainties of the mass of 850 or 860 kg, and on the corner."""
    cause = Cause(mass=form(mass_u, (0.0, 0.0, 0.0)), moment=form(2.0 * mass_u, (0.0, 0.0, 0.0)), lateral=NO)
    edge = limit(kind, upper)
    corner = edge.edge.points[1][0]
    forms = forms_of(cause, CAUSES[1])
    for off in (-7.0, -5.5, -2.5, -1.0, 0.0, 1.0, 2.5, 5.5, 7.0):
        place = corner + off * mass_u - 700.0 - 100.0
        at = np.array([[100.0, place, 700.0, 0.0]])
        bounds = _Bounds(forms, Boxes(at, at, np.array([0])))
        found = min(float(check.left.value[0]) for check in bounds.of_edge(edge, PLAIN))
        loading = np.array([[100.0, 0.0, place, 700.0, 0.0]])
        result = edge_limit(edge, total_of(loading, 0), effects_of(loading, 0, forms.causes), along=True)
        assert found <= left_of(result, total_of(loading, 0).mass) + 1e-9, off


@pytest.mark.parametrize("upper", [True, False], ids=["aft", "forward"])
@pytest.mark.parametrize("wide", [0.1, 0.5, 1.0])
def test_of_a_line_in_moment_a_box_leaves_what_a_linear_programme_finds(upper: bool, wide: float) -> None:
    """Piece by piece, among the loadings whose mass lies on it: fuel of 700 kg/m3 in tanks of one arm each."""
    straight = form(1540.0, (2.1, 2.1, 3.4), (0.0, 2.4, 0.0), (0.12, 2.9, 0.0))
    forms, some = forms_of(density=(700.0, 700.0), moment=straight), boxes(5, 25, (700.0, 700.0), wide)
    edge, sign = limit("linear in moment", upper), 1.0 if upper else -1.0
    bounds, asked = _Bounds(forms, some), 0
    for piece in edge.pieces:
        found = bounds._of_piece(piece, sign, 3.0, 1e-9 * bounds.heavy)
        for at in range(len(some)):
            segment, low, high = int(some.segment[at]), some.low[at], some.high[at]
            masses = np.array([1.0, 1.0, 1.0, 700.0])
            weights = sign * (piece.q * masses - np.array([2.1, 2.1, 3.4, 700.0 * straight.fuel[segment, 1]]))
            mass = 700.0 + 700.0 * MASS.fuel[segment, 0]
            constant = sign * (piece.p + piece.q * mass - 1540.0 - 700.0 * straight.fuel[segment, 0] - 3.0)
            front = np.array([1.0, 1.0, 0.0, 0.0])
            answer = linprog(
                weights,
                A_ub=np.array([front, -front, masses, -masses]),
                b_ub=[high[0], -low[0], min(piece.high, 1e6) - mass, mass - piece.low],
                bounds=[(50.0, 110.0), (0.0, 110.0), (low[1], high[1]), (low[3], high[3])],
            )
            if answer.status == 0:
                assert found.value[at] == pytest.approx(constant + answer.fun, abs=1e-4)
                asked += 1
    assert asked > 25


@pytest.mark.parametrize("upper", [True, False], ids=["aft", "forward"])
def test_of_a_line_in_cg_a_box_leaves_the_least_but_for_the_bend_over_it(upper: bool) -> None:
    """Margin times mass is r m2 and a straight part: a tangent or a chord in place of it is off by r (w / 2)2 at
    the most, w the masses of the box.
    """
    forms, some = forms_of(density=(700.0, 700.0)), boxes(6, 40, (700.0, 700.0), 0.3)
    bounds, edge, sign = _Bounds(forms, some), limit("linear in cg", upper), 1.0 if upper else -1.0
    inside = 0
    for piece in edge.pieces:
        found = bounds._of_piece(piece, sign, 3.0, 1e-9 * bounds.heavy)
        for at in range(len(some)):
            if not piece.low <= bounds.light[at] <= bounds.heavy[at] <= piece.high:
                continue
            loadings, segment = corners(some.some(np.array([at])), 41), int(some.segment[at])
            mass, moment = value(MASS, loadings, segment), value(MOMENT, loadings, segment)
            every = sign * (piece.q * mass + piece.r * mass**2 - moment - 3.0)
            bend = abs(piece.r) * ((bounds.heavy[at] - bounds.light[at]) / 2) ** 2
            assert every.min() - bend - 1e-4 <= found.value[at] <= every.min() + 1e-9
            inside += bool(piece.r)
    assert inside > 8


@pytest.mark.parametrize("upper", [True, False])
def test_a_limit_across_and_one_on_the_mass_are_those_of_single_loadings(upper: bool) -> None:
    """Left of -30 mm or right of 40 mm; 650 or 1010 kg."""
    across = Limit(
        id="lateral", place="burn", quantity="lateral", name="", dimension="length", bound=0.04 if upper else -0.03,
        upper=upper,
    )  # fmt: skip
    mass = Limit(
        id="mass", place="takeoff", quantity="mass", name="", dimension="mass", bound=1010.0 if upper else 650.0,
        upper=upper,
    )  # fmt: skip
    for wide in (0.0, 0.5):
        some = boxes(7, 15, wide=wide)
        if wide == 0.0:
            some.low[:, 0] = some.high[:, 0] = 50.0  # the pilot alone: on no seat but his own
        bounds = _Bounds(forms_of(*CAUSES), some)
        sideways, weight = bounds.across(across), bounds.of_mass(mass)
        assert not sideways.exact
        assert not weight.exact
        for at in range(len(some)):
            loadings, segment = corners(some.some(np.array([at]))), int(some.segment[at])
            lateral, heavy = [], []
            for loading in loadings[: 1 if wide == 0.0 else None : 4]:
                here, effects = total_of(loading[None], segment), effects_of(loading[None], segment, CAUSES)
                lateral.append(left_of(judge(across, here, effects, along=True), here.mass))
                heavy.append(left_of(judge(mass, here, effects), 1.0))
            if wide == 0.0:
                assert sideways.left.value[at] == pytest.approx(lateral[0], rel=1e-9, abs=1e-9)
                assert weight.left.value[at] == pytest.approx(heavy[0], rel=1e-9, abs=1e-9)
            assert sideways.left.value[at] <= min(lateral) + 1e-9
            # U of the mass is greatest at one corner, the mass maybe at another: 2 x 0.002 x 55 kg/m3
            assert min(heavy) - 0.22 <= weight.left.value[at] <= min(heavy) + 1e-9


def test_a_margin_of_nothing_is_one_where_nothing_is_unsure() -> None:
    """1010 kg to the last digit, and a sum that is a few parts in 1e13 more."""
    forms = forms_of()
    for place, left in ((210.0, 0.0), (210.0 + 5e-10, 0.0), (210.0 + 5e-9, -5e-9), (209.0, 1.0)):
        at = np.array([[100.0, place, 700.0, 0.0]])
        bounds = _Bounds(forms, Boxes(at, at, np.array([0])))
        top = Limit(id="mass", place="ramp", quantity="mass", name="", dimension="mass", bound=1010.0)
        check = bounds.of_mass(top)
        assert check.exact
        assert check.left.value[0] == pytest.approx(left, rel=1e-3)
        assert (check.left.value[0] == 0.0) == (left == 0.0)
        assert bounds.of_mass(top, np.array([False])).left.value[0] == np.inf, "asked of other boxes only"
