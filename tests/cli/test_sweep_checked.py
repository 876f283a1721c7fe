"""Rows that the plan of a loading contradicts are not left on the disk."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.sweep import sweep_run

ROOT = Path(__file__).resolve().parents[2]


def test_rows_that_disagree_get_no_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweep_run, "planned_again", lambda *_: (1, 0.25))
    out = tmp_path / "rows.csv"
    result = CliRunner().invoke(
        app, ["sweep", str(ROOT / "docs/flights/demo.yaml"), "--vary", "baggage=0..20 kg", "--csv", str(out)]
    )
    assert result.exit_code != 0
    assert "sweep-disagrees" in str(getattr(result.exception, "findings", ""))
    assert list(tmp_path.iterdir()) == []


def test_rows_that_agree_are_there(tmp_path: Path) -> None:
    out = tmp_path / "rows.csv"
    result = CliRunner().invoke(
        app, ["sweep", str(ROOT / "docs/flights/demo.yaml"), "--vary", "baggage=0..20 kg", "--csv", str(out)]
    )
    assert result.exit_code == 0
    assert [each.name for each in tmp_path.iterdir()] == ["rows.csv"]
    assert len(out.read_text().splitlines()) == 26
