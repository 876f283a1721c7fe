"""A fixed density that counts as exact: what is told of it, by hand."""

from __future__ import annotations

from planner.plan import Plan
from tests.unit.test_states import PROFILE, messages, planned


def test_what_an_exact_density_hides_is_only_of_the_fuel_given_by_volume() -> None:
    """By mass 80.5 kg at the ramp weigh 80.5 kg of any density; 115 L of it may weigh 2 x 7.5 kg/m3 x 115 L, 1.7 kg,
    more or less (a sixth of the band from 690 to 735 kg/m3), which a limit 1 kg away feels.
    """
    sure = (" +/- 3 kg", " kg"), (" +/- 4 kg", " kg"), (" +/- 1 kg", " kg"), (" +/- 2 kg", " kg")
    burn = ("[{phase: cruise, fuel: 40 L, tank: left}, {phase: cruise, fuel: 10 L, tank: right}]",)
    profile = PROFILE.replace("max_landing: 900 kg, max_zero_fuel: 860 kg", "max_ramp: 839.5 kg").replace(
        "max_takeoff: 1000 kg", "max_takeoff: 839.5 kg"
    )
    for tanks, span, then in (
        ("left: 42 kg, right: 38.5 kg", "0.0 kg", "stay the same"),
        ("left: 42 kg, right: 55 L", "0.8 kg", "stay the same"),
        ("left: 60 L, right: 55 L", "1.7 kg", "be 'outside'"),
        ("left: 60 L, right: 38.5 kg", "0.9 kg", "stay the same"),
    ):
        made: Plan = planned(
            *sure,
            ("left: 60 +/- 0.5 L, right: 55 +/- 1.2 L", tanks),
            (burn[0], "[{phase: cruise, fuel: 1 kg}]"),
            profile=profile,
        )
        (found,) = messages(made, "density-fixed-exact")
        assert made.verdict == "inside", tanks
        assert f"{span} lighter or heavier" in found, tanks
        assert found.endswith(f"the verdict would {then}"), tanks
    assert not made.uncertainties_stated
    known = planned(("0.700 kg/L", "0.700 +/- 0.001 kg/L"))
    assert not messages(known, "density-fixed-exact")
