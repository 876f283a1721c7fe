"""Carrying a mass record on: figures against hand arithmetic and the uncertainties package, what is kept,
what is refused.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from uncertainties import ufloat

from planner.logbook.mass.amend import Amendment, amend, total_of
from planner.logbook.mass.history import history
from planner.logbook.mass.weigh import WorkedWeighing, work_out
from planner.quantities.errors import InputRefused
from planner.records.sheets.change_sheet import load_change
from planner.records.sheets.weighing_sheet import load_worksheet
from planner.records.store import load_aircraft_file, profile_folder

THORNLEA = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")
CHANGE = """
change: 1
aircraft: Thornlea T4
date: 2026-11-20
reference: job 1
removed: {old radio: {mass: 3.6 kg, arm: 1.52 m}}
added: {new radio: {mass: 1.1 +/- 0.05 kg, arm: 1.50 +/- 0.01 m}}
moved: {bottle: {mass: 1.9 +/- 0.1 kg, from_arm: 2.40 m, to_arm: 1.95 m}}
"""
SECOND = (
    "change: 1\naircraft: Thornlea T4\ndate: 2026-12-01\nreference: job 2\nadded: {ballast: {mass: 6 kg, arm:"
    " 4.05 m, lateral_arm: 0.1 m}}\n"
)
WEIGHED = """
change: 1
aircraft: Thornlea T4
date: 2027-01-10
reference: report 7
next_due: 2031-01-10
weighed: {mass: 692.4 +/- 0.5 kg, arm: 2.241 +/- 0.002 m, includes: [full oil, unusable fuel]}
"""


def run(folder: Path, change: str, profile: str | None = None, write: bool = True) -> Amendment:
    path = folder / "mine.yaml"
    if profile is not None:
        path.write_text(profile, encoding="utf-8")
    (folder / "change.yaml").write_text(change, encoding="utf-8")
    return amend(str(path), load_change(folder / "change.yaml"), write)


def test_the_new_record_by_hand_arithmetic_and_its_uncertainty(tmp_path: Path) -> None:
    done = run(tmp_path, CHANGE, THORNLEA)
    mass, arm = ufloat(688.4, 2), ufloat(2.235, 0.004)
    new_mass, new_arm, bottle = ufloat(1.1, 0.05), ufloat(1.50, 0.01), ufloat(1.9, 0.1)
    after = mass - 3.6 + new_mass
    cg = (mass * arm - 3.6 * 1.52 + new_mass * new_arm + bottle * (1.95 - 2.40)) / after
    assert done.totals[1].mass == pytest.approx(685.9, abs=5e-4)
    assert done.totals[1].centre_of_gravity == pytest.approx(cg.n, abs=5e-6)
    record = load_aircraft_file(tmp_path / "mine.yaml").record.basic_empty
    assert record.mass.u == pytest.approx(after.s, rel=0.02)  # stated with two significant digits
    assert record.arm is not None
    assert record.arm.u == pytest.approx(cg.s, rel=0.02)
    assert record.established == "computed"
    assert str(record.date) == "2026-11-20"
    assert done.after == record


def test_nothing_else_in_the_file_changes(tmp_path: Path) -> None:
    run(tmp_path, CHANGE, THORNLEA)
    new = (tmp_path / "mine.yaml").read_text(encoding="utf-8")
    changed = ("basic_empty:", "source:")
    assert [line for line in THORNLEA.splitlines() if not line.startswith(changed)] == [
        line for line in new.splitlines()[: THORNLEA.count("\n")] if not line.startswith(changed)
    ]
    before, after = yaml.safe_load(THORNLEA), yaml.safe_load(new)
    kept = after.pop("superseded")
    assert after.pop("source").startswith(f"{before.pop('source').rstrip('.')}; mass record 2026-11-20-")
    assert {key: value for key, value in after.items() if key != "basic_empty"} == {
        key: value for key, value in before.items() if key != "basic_empty"
    }
    assert len(kept) == 1
    assert before["basic_empty"].items() <= kept[0].items()  # the old record, as it was written


def test_the_chain_back_to_the_weighing(tmp_path: Path) -> None:
    first = run(tmp_path, CHANGE, THORNLEA)
    second = run(tmp_path, SECOND)
    # From the last weighing, not from the last record: 685.9 + 6 - 688.4 = +3.5 kg, of 1040 kg landing mass.
    assert second.recorded.version_id == first.before.version_id
    assert second.since_weighing.mass == pytest.approx(3.5, abs=2e-3)
    assert second.since_weighing.mass_share == pytest.approx(3.5 / 1040, rel=1e-3)
    moment = 688.4 * 2.235 - 3.6 * 1.52 + 1.1 * 1.5 + 1.9 * (1.95 - 2.4) + 6 * 4.05
    assert second.since_weighing.cg == pytest.approx(moment / 691.9 - 2.235, abs=2e-5)
    assert second.since_weighing.revise  # 16 mm of a chord of 1.48 m is 1.1 %
    assert second.after.lateral_arm.value == pytest.approx(0.6 / 691.9, abs=1e-5)
    weighed = run(tmp_path, WEIGHED)
    assert weighed.after.mass.text == "692.4 +/- 0.5 kg"
    assert weighed.after.established == "weighed"
    assert weighed.recorded.version_id == first.before.version_id
    assert [finding.code for finding in weighed.findings] == ["change-lateral"]
    profile = load_aircraft_file(tmp_path / "mine.yaml")
    assert [old.version for old in profile.record.superseded] == [
        second.after.version_id,
        first.after.version_id,
        first.before.version_id,
    ]
    assert [old.version_id for old in profile.record.superseded] == [
        old.version for old in profile.record.superseded
    ]
    assert [str(old.superseded_on) for old in profile.record.superseded] == [
        "2027-01-10",
        "2026-12-01",
        "2026-11-20",
    ]
    assert total_of(profile.record.superseded[-1]) == total_of(first.before)
    again = run(tmp_path, SECOND.replace("2026-12-01", "2027-02-01").replace("job 2", "job 3"))
    assert again.recorded.version_id == weighed.after.version_id


def test_a_worksheet_becomes_the_record(tmp_path: Path) -> None:
    worksheet(tmp_path)
    done = run(tmp_path, WORKSHEET, THORNLEA)
    # reactions 256, 254.5, 178.5; oil 1.1 L short at 0.88 kg/L; tools 3.2 out; tow bar 1.4 in
    assert done.totals[1].mass == pytest.approx(256 + 254.5 + 178.5 + 1.1 * 0.88 - 3.2 + 1.4, abs=6e-4)
    assert done.u_mass == pytest.approx(2 * done.after.mass.u)
    assert str(done.after.date) == "2026-10-02"  # the record is of the day of the weighing
    assert str(done.after.next_due) == "2030-10-02"
    assert done.negligible is None
    assert done.lines == ()


def test_what_is_negligible_counts_every_mass(tmp_path: Path) -> None:
    # 5 kg out and 5 kg in at another place: no net mass, and yet not negligible.
    swap = (
        "change: 1\naircraft: Thornlea T4\ndate: 2026-12-01\nreference: r\nremoved: {a: {mass: 5 kg, arm: 1"
        " m}}\nadded: {b: {mass: 5 kg, arm: 4 m}}\n"
    )
    assert run(tmp_path, swap, THORNLEA, write=False).negligible is False
    small = (
        "change: 1\naircraft: Thornlea T4\ndate: 2026-12-01\nreference: r\nadded: {b: {mass: 1 lb, arm: 4"
        " m}}\n"
    )
    assert run(tmp_path, small, THORNLEA, write=False).negligible is True


def test_the_adverse_loadings_move_with_the_record(tmp_path: Path) -> None:
    done = run(tmp_path, SECOND, THORNLEA, write=False)
    aft = next(pair for pair in done.adverse if pair.category == "normal" and pair.after.side == "aft")
    assert aft.after.limit.margin < aft.before.limit.margin
    forward = next(
        pair for pair in done.adverse if pair.category == "normal" and pair.after.side == "forward"
    )
    assert forward.after.limit.margin > forward.before.limit.margin


def test_a_dry_run_writes_nothing(tmp_path: Path) -> None:
    run(tmp_path, CHANGE, THORNLEA, write=False)
    assert (tmp_path / "mine.yaml").read_text(encoding="utf-8") == THORNLEA
    assert sorted(path.name for path in tmp_path.iterdir()) == ["change.yaml", "mine.yaml"]


IN_POUNDS = THORNLEA.replace(
    "mass: 688.4 +/- 2 kg, arm: 2.235 +/- 0.004 m", "mass: 1500 lb, moment: 132000 lb.in"
)
WORKSHEET = (
    "change: 1\naircraft: Thornlea T4\ndate: 2026-10-05\nreference: weighing 2026-10-02\nworksheet:"
    " sheet.yaml\n"
)


def worksheet(folder: Path) -> WorkedWeighing:
    sheet = profile_folder().parent / "docs" / "weighings" / "thornlea-t4.yaml"
    (folder / "sheet.yaml").write_text(sheet.read_text(encoding="utf-8"), encoding="utf-8")
    return work_out(load_worksheet(sheet))


def test_a_sure_moment_stays_a_moment_and_pounds_pounds(tmp_path: Path) -> None:
    sure = CHANGE.replace(" +/- 0.05 kg", " kg").replace(" +/- 0.01 m", " m").replace(" +/- 0.1 kg", " kg")
    done = run(tmp_path, sure, IN_POUNDS)
    text = (tmp_path / "mine.yaml").read_text(encoding="utf-8")
    pounds = 1500 + (1.1 - 3.6) / 0.45359237
    assert f"mass: {pounds:.3f} lb, moment: " in text
    inch = 1 / 0.0254 / 0.45359237
    moment = 132000 + (-3.6 * 1.52 + 1.1 * 1.5 + 1.9 * (1.95 - 2.4)) * inch
    assert done.after.moment is not None
    assert done.after.moment.value * inch == pytest.approx(moment, abs=0.01)


def test_an_unsure_moment_gives_way_to_an_arm_in_the_units_of_the_profile(tmp_path: Path) -> None:
    done = run(tmp_path, CHANGE, IN_POUNDS)
    text = (tmp_path / "mine.yaml").read_text(encoding="utf-8")
    pounds, inch = 1500 + (1.1 - 3.6) / 0.45359237, 1 / 0.0254 / 0.45359237
    assert f"mass: {pounds:.3f} +/- 0.11 lb, arm: " in text
    moment = 132000 + (-3.6 * 1.52 + 1.1 * 1.5 + 1.9 * (1.95 - 2.4)) * inch
    assert done.after.moment is None
    assert done.after.arm is not None
    assert done.after.arm.text.endswith(" in")
    assert done.totals[1].moment * inch == pytest.approx(moment, abs=0.1)


def test_the_source_names_the_record_in_use_and_no_older_one(tmp_path: Path) -> None:
    run(tmp_path, CHANGE, THORNLEA)
    done = run(tmp_path, SECOND)
    assert done.aircraft.source.endswith(f"report; mass record {done.after.version_id} (job 2)")
    assert done.aircraft.source.count("mass record") == 1


def test_the_history_names_what_changed_who_and_when(tmp_path: Path) -> None:
    run(tmp_path, CHANGE + "by: M. Alder\n", THORNLEA)
    done = run(tmp_path, WEIGHED)
    first, second, third = history(done.aircraft)
    assert [each.until and str(each.until) for each in (first, second, third)] == [
        "2026-11-20",
        "2027-01-10",
        None,
    ]
    assert (second.by, third.by) == ("M. Alder", "")
    assert "old radio 3.6 kg taken out" in second.what
    assert second.mass_since == pytest.approx(-2.5)
    assert third.mass_since == 0.0  # weighed anew: the drift starts again
    assert first.record.version_id == done.aircraft.superseded[-1].version


def test_the_record_is_as_sure_of_the_cg_as_the_weighing(tmp_path: Path) -> None:
    """Mass and moment of one weighing go together: taken for independent they made U of the CG far greater
    than it is.
    """
    worked = worksheet(tmp_path)
    done = run(tmp_path, WORKSHEET, IN_POUNDS)
    assert done.u_cg == pytest.approx(worked.uncertainty.cg, rel=0.05)  # two significant digits are stated
    assert done.u_mass == pytest.approx(worked.uncertainty.mass, rel=0.05)
    assert (done.after.mass.text[-3:], done.after.arm is not None and done.after.arm.text[-3:]) == (
        " lb",
        " in",
    )


LAYOUTS = {
    "block": THORNLEA.replace(
        "basic_empty: {mass: 688.4 +/- 2 kg, arm: 2.235 +/- 0.004 m, date: 2026-03-14, includes: [full oil,"
        " unusable fuel]}",
        "basic_empty:\n  # the report\n  mass: 688.4 +/- 2 kg   # on three scales\n  arm: 2.235 +/- 0.004 m\n"
        "  date: 2026-03-14\n  includes:\n    - full oil\n    - unusable fuel   # both",
    ),
    "windows": THORNLEA.replace("\n", "\r\n"),
    "byte order mark": "\ufeff" + THORNLEA,
    "no last newline": THORNLEA.rstrip("\n"),
}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_other_ways_of_writing_the_file(tmp_path: Path, layout: str) -> None:
    path, text = tmp_path / "mine.yaml", LAYOUTS[layout]
    path.write_bytes(text.encode())
    (tmp_path / "change.yaml").write_text(CHANGE, encoding="utf-8")
    path.chmod(0o640)
    amend(str(path), load_change(tmp_path / "change.yaml"))
    new = path.read_bytes().decode()
    assert new.startswith("\ufeff") == text.startswith("\ufeff")
    assert new.count("\r\n") == (new.count("\n") if "\r\n" in text else 0)
    assert path.stat().st_mode & 0o777 == 0o640
    assert all(
        comment in new for comment in ("# the report", "# on three scales", "# both") if comment in text
    )
    assert load_aircraft_file(path).record.basic_empty.mass.value == pytest.approx(685.9, abs=5e-4)


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "t4.yaml").write_text(THORNLEA, encoding="utf-8")
    (tmp_path / "mine.yaml").symlink_to(tmp_path / "real" / "t4.yaml")
    run(tmp_path, CHANGE)
    assert (tmp_path / "mine.yaml").is_symlink()
    assert "superseded:" in (tmp_path / "real" / "t4.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("aircraft: Thornlea T4", "aircraft: Other", "change-other-aircraft"),
        ("date: 2026-11-20", "date: 2026-01-01", "change-order"),
        ("mass: 3.6 kg, arm: 1.52 m", "mass: 3600 kg, arm: 1.52 m", "change-impossible"),
        ("mass: 3.6 kg, arm: 1.52 m", "mass: 3.6 kg, arm: 1520 m", "arm-implausible"),
        (
            "reference: job 1",
            "reference: job 1\nweighed: {mass: 690 kg, arm: 2.2 m, includes: []}",
            "change-kind",
        ),
        ("reference: job 1", "reference: job 1\nnext_due: 2026-11-20", "change-next-due"),
        ("mass: 3.6 kg", "mass: 3.6", "quantity-bare-number"),
    ],
)
def test_refused_and_nothing_written(tmp_path: Path, old: str, new: str, code: str) -> None:
    assert old in CHANGE
    with pytest.raises(InputRefused) as refused:
        run(tmp_path, CHANGE.replace(old, new), THORNLEA)
    assert code in [finding.code for finding in refused.value.findings]
    assert (tmp_path / "mine.yaml").read_text(encoding="utf-8") == THORNLEA


def test_one_change_is_not_entered_twice(tmp_path: Path) -> None:
    run(tmp_path, CHANGE, THORNLEA)
    before = (tmp_path / "mine.yaml").read_bytes()
    with pytest.raises(InputRefused, match="in the profile already"):
        run(tmp_path, CHANGE.replace("mass: 3.6 kg,", "mass:   3.6 kg,"))  # spelt otherwise, the same change
    assert (tmp_path / "mine.yaml").read_bytes() == before


def test_an_alias_that_would_carry_the_change_elsewhere_is_refused(tmp_path: Path) -> None:
    profile = (
        THORNLEA.replace("mass: 688.4 +/- 2 kg", "mass: &m 688.4 +/- 2 kg").replace("notes:", "").rstrip()
        + "\nmoment_changes: {gear up: 8 kg.m}\n"
    )
    profile = profile.replace("max_ramp: 1088 kg", "max_ramp: 1088 kg, max_zero_fuel: *m")
    with pytest.raises(InputRefused) as refused:
        run(tmp_path, CHANGE, profile)
    assert [finding.code for finding in refused.value.findings] == ["amend-not-possible"]
    assert (tmp_path / "mine.yaml").read_text(encoding="utf-8") == profile


def test_a_profile_that_comes_with_the_program_is_never_changed(tmp_path: Path) -> None:
    (tmp_path / "change.yaml").write_text(CHANGE, encoding="utf-8")
    for name in ("thornlea-t4", str(profile_folder() / "thornlea-t4.yaml")):
        with pytest.raises(InputRefused) as refused:
            amend(name, load_change(tmp_path / "change.yaml"))
        assert [finding.code for finding in refused.value.findings] == ["profile-bundled"]
    assert (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8") == THORNLEA


def test_a_kept_record_that_was_changed_is_told(tmp_path: Path) -> None:
    run(tmp_path, CHANGE, THORNLEA)
    path = tmp_path / "mine.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("    mass: 688.4 +/- 2 kg", "    mass: 680.4 +/- 2 kg"),
        encoding="utf-8",
    )
    assert [finding.code for finding in load_aircraft_file(path).notices] == ["record-altered"]


def test_a_signed_weighing_of_nothing_is_refused_where_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "change.yaml"
    head = "change: 1\naircraft: x\ndate: 2026-05-01\nreference: r\n"
    path.write_text(f"{head}weighed: {{mass: 0 kg, arm: 2 m, includes: []}}\n", encoding="utf-8")
    with pytest.raises(InputRefused, match=r":5:10: weighed: basic empty mass is zero"):
        load_change(path)
