"""Every bad file ends in findings: exit code 2, the message where a reader looks, and never a traceback.

The program runs in a forked process, once per file, and a few times as a process of its own.
"""

from __future__ import annotations

import json
import runpy
import subprocess
from pathlib import Path
from typing import Any

import pytest

from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from tests.cli import forked

ROOT = Path(__file__).resolve().parents[2]
CASES: tuple[Any, ...] = runpy.run_path(str(Path(__file__).with_name("bad_inputs.py")))["CASES"]
IDS = [case.name.replace(" ", "-") for case in CASES]
BY_NAME = {case.name: case for case in CASES}


def _write(case: Any, folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    for name, content in (("flight.yaml", case.flight), ("profile.yaml", case.profile)):
        if content is not None:
            (folder / name).write_bytes(content)
    return folder / case.target


def _run(*arguments: str, given: bytes = b"", real: bool = False) -> subprocess.CompletedProcess[str]:
    env = {"COLUMNS": "200", "PYTHONWARNINGS": "error"}
    return forked.run("flight", *arguments, given=given, env=env, real=real)


def test_there_are_enough_and_each_is_named_once() -> None:
    assert len(CASES) >= 60
    assert len(BY_NAME) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_the_program_refuses_it(case: Any, tmp_path: Path) -> None:
    """Alternately for a reader and as JSON."""
    done = _run(str(_write(case, tmp_path / "in")), *(["--json"] if CASES.index(case) % 2 else []))
    out, err = done.stdout, done.stderr
    assert done.returncode == 2, out + err
    assert "Traceback" not in out + err
    if out:  # --json: the findings are a document on stdout and nothing else is said
        answer = json.loads(out)
        assert answer["schema"] == "planner/findings/1"
        assert err == ""
        assert any(each["code"].startswith(case.code) for each in answer["findings"])
        assert all(
            each["line"] >= 1 and each["column"] >= 1 and each["message"] for each in answer["findings"]
        )
        told = " ".join(f"{each['message']}; {each['needed']}; {each['hint']}" for each in answer["findings"])
    else:
        told = err
        assert "nothing was computed" in err
        assert all(line.isprintable() for line in err.splitlines())
        assert all(": " in line or "nothing was computed" in line for line in err.splitlines())
    assert case.fragment in told


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_the_code_says_what_is_wrong(case: Any, tmp_path: Path) -> None:
    with pytest.raises(InputRefused) as refused:
        plan_file(_write(case, tmp_path / "in"))
    codes = [finding.code for finding in refused.value.findings]
    assert any(code.startswith(case.code) for code in codes), codes
    assert any(case.fragment in str(finding) for finding in refused.value.findings)
    assert len(str(refused.value)) < 200_000  # a finding is read by a person


@pytest.mark.parametrize("name", ["empty", "binary", "gallons", "alias bomb"])
def test_the_same_on_standard_input(name: str) -> None:
    case = BY_NAME[name]
    done = _run("-", given=case.flight.replace(b"profile.yaml", b"thornlea-t4"), real=True)
    assert done.returncode == 2
    assert "Traceback" not in done.stdout + done.stderr
    assert case.fragment in done.stderr
    assert done.stderr.startswith("<stdin>:")


def test_the_good_files_the_bad_ones_were_made_from_are_good(tmp_path: Path) -> None:
    good = CASES[0]
    path = _write(good._replace(flight=(ROOT / "docs/flights/demo.yaml").read_bytes()), tmp_path / "good")
    done = _run(str(path), real=True)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
