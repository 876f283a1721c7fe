"""The card as a sheet: what stands on it, in which units, and what checking it finds."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from planner.app.app import app
from planner.facts.cautions import INVENTED, PLAN
from planner.records.store import profile_folder
from planner.views.paper import SMALLEST
from tests.sizes import stride

COARSE = ["--across-step", "70 kg", "--down-step", "100 kg", "--fuel-step", "24 L", "--made", "2026-11-02"]


def ran(*words: str, code: int = 0) -> str:
    done = CliRunner().invoke(app, ["card", *words])
    assert done.exit_code == code, done.output + repr(done.exception)
    return done.output


def as_json(*words: str, code: int = 0) -> Any:
    return json.loads(ran(*words, "--json", code=code))


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.yaml").write_text((profile_folder() / "thornlea-t4.yaml").read_text("utf-8"), "utf-8")
    return tmp_path


def test_the_sheet_says_all_it_rests_on(here: Path) -> None:
    told = as_json("mine.yaml", "card.html", *COARSE, "--expires", "2099-01-01")
    text = (here / "card.html").read_text("utf-8")
    for words in (INVENTED, *PLAN):
        assert words.replace("'", "&#x27;") in text or words in text
    for words in (told["digest"], "2026-11-02", "2099-01-01", "2026-03-14", "planner card --check card.html"):
        assert words in text
    assert "://" not in re.sub(r'xmlns="[^"]*"', "", text)
    assert "<script" not in text
    assert told["proof_boxes"] > 0
    for cell in told["cells"]:
        if cell["shown"]:
            assert cell["proof_boxes"] > 0
            assert f">{cell['baggage_most_kg']:g}</td>" in text
        refuted = cell["refuted_more_baggage"] or cell["refuted_more_fuel"]
        if refuted is not None:
            assert refuted["verdict"] in ("outside", "not shown inside")
            assert refuted["load_kg"]


@pytest.mark.parametrize("ending", ["html", "pdf"])
def test_checking_it_again(here: Path, ending: str) -> None:
    pytest.importorskip("typst")
    ran("mine.yaml", f"card.{ending}", *COARSE, "--expires", "2099-01-01", "--aboard", "shelf=2 kg")
    checked = as_json("--check", f"card.{ending}")
    assert checked["same"]
    assert checked["digest_on_card"]
    assert checked["holds"]
    (here / f"card.{ending}").rename(here / f"copy.{ending}")  # its own name stands on it
    assert as_json("--check", f"copy.{ending}")["holds"]


def test_a_pdf_that_was_changed_is_found(here: Path) -> None:
    pytest.importorskip("typst")
    ran("mine.yaml", "card.pdf", *COARSE, "--expires", "2099-01-01")
    made = (here / "card.pdf").read_bytes()
    middle = made.index(b"stream") + 40  # in what is drawn on the page
    (here / "card.pdf").write_bytes(made[:middle] + bytes([made[middle] ^ 1]) + made[middle + 1 :])
    checked = as_json("--check", "card.pdf", code=1)
    assert not checked["same"]
    assert checked["digest_on_card"]
    (here / "card.pdf").write_bytes(made.replace(b"--across-step", b"--down-step", 1))
    assert not as_json("--check", "card.pdf", code=1)["holds"]


def test_a_changed_figure_is_found(here: Path) -> None:
    ran("mine.yaml", "card.html", *COARSE, "--expires", "2099-01-01")
    card = here / "card.html"
    text = card.read_text("utf-8")
    card.write_text(text.replace(">40</td>", ">45</td>", 1), "utf-8")
    assert card.read_text("utf-8") != text
    checked = as_json("--check", "card.html", code=1)
    assert not checked["same"]
    assert checked["digest_on_card"]


@pytest.mark.parametrize("ending", ["html", "pdf"][:: stride(2)])
def test_a_changed_record_is_found(here: Path, ending: str) -> None:
    pytest.importorskip("typst")
    ran("mine.yaml", f"card.{ending}", *COARSE, "--expires", "2099-01-01")
    profile = here / "mine.yaml"
    profile.write_text(profile.read_text("utf-8").replace("688.4 +/- 2 kg", "689.4 +/- 2 kg"), "utf-8")
    checked = as_json("--check", f"card.{ending}", code=1)
    assert not checked["same"]
    assert not checked["digest_on_card"]
    assert "DOES NOT HOLD" in ran("--check", f"card.{ending}", code=1)


@pytest.mark.usefixtures("here")
def test_an_expired_card_does_not_hold() -> None:
    ran("mine.yaml", "card.html", *COARSE, "--expires", "2026-11-03")
    checked = as_json("--check", "card.html", code=1)
    assert checked["same"]
    assert checked["expired"]
    assert "EXPIRED" in ran("--check", "card.html", code=1)


def test_one_colour_is_said_in_a_sentence(here: Path) -> None:
    told = as_json("mine.yaml", "card.html", *COARSE, "--across", "front seats=60..130 kg", "--down",
                   "rear seats=0..40 kg", "--fuel", "144 L")  # fmt: skip
    text = (here / "card.html").read_text("utf-8")
    assert told["one_colour"]
    assert "Baggage up to 40 kg and fuel up to full tanks whatever sits in front seats and rear seats" in text
    assert 'id="card"' not in text


def test_no_cell_shown_is_said_too(here: Path) -> None:
    told = as_json("mine.yaml", "card.html", *COARSE, "--down", "rear seats=180..200 kg", code=1)
    assert not any(cell["shown"] for cell in told["cells"])
    assert all(cell["refuted_more_baggage"] for cell in told["cells"])
    assert "No cell of this card can be shown inside" in (here / "card.html").read_text("utf-8")


def test_steps_in_the_readers_units(here: Path) -> None:
    told = as_json("mine.yaml", "card.html", "--units", "us", "--across-step", "160 lb", "--down-step", "220 lb",
                   "--fuel-step", "8 USgal")  # fmt: skip
    text = (here / "card.html").read_text("utf-8")
    assert told["cells"][0]["across_kg"] == pytest.approx([120 * 0.45359237, 280 * 0.45359237])
    assert "120–280" in text
    assert "baggage, lb" in text
    assert "fuel, USgal" in text


def test_a_rounded_figure_promises_no_more_than_was_proven(here: Path) -> None:
    """Kilograms shown in pounds: 60 kg is 132.277 lb, so a band begins at 132.3 and one of 130 kg ends at
    286.6.
    """
    ran("mine.yaml", "card.html", *COARSE, "--units", "us", "--across", "front seats=60..200 kg")
    text = (here / "card.html").read_text("utf-8")
    assert "132.3–286.6" in text
    assert "286.7–440.9" in text
    assert "from 5.675 to 6.133 lb/USgal" in text  # 680 to 735 kg/m3 is 5.67487 to 6.13386


def test_a_pdf_is_one_page_with_the_same_digest(here: Path) -> None:
    pytest.importorskip("typst")
    told = as_json("mine.yaml", "card.pdf", *COARSE)
    again = as_json("mine.yaml", "card.html", *COARSE)
    data = (here / "card.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert told["type_scale"] > SMALLEST  # one page holds it in letters that can be read
    assert told["digest"] == again["digest"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["mine.yaml"], "card-arguments"),
        (["mine.yaml", "card.txt"], "card-format"),
        (["mine.yaml", "card.html", "--across", "front=60..80 kg"], "card-option"),
        (["mine.yaml", "card.html", "--across", "front seats=90..80 kg"], "card-option"),
        (["mine.yaml", "card.html", "--across-step", "1 kg"], "card-option"),
        (["mine.yaml", "card.html", "--across-step", "-5 kg"], "quantity-too-small"),
        (["mine.yaml", "card.html", "--fuel", "400 L"], "card-option"),
        (["mine.yaml", "card.html", "--down", "front seats"], "card-option"),
        (["mine.yaml", "card.html", "--grade", "jet-A1"], "card-option"),
        (["mine.yaml", "card.html", "--category", "acrobatic"], "card-option"),
        (["mine.yaml", "card.html", "--aboard", "baggage=2 kg"], "card-option"),
        (["mine.yaml", "card.html", "--made", "yesterday"], "card-day"),
        (["mine.yaml", "card.html", "--made", "2026-05-02", "--expires", "2026-05-01"], "card-day"),
        (["--check", "nothing.html"], "card-unreadable"),
        (["--check", "mine.yaml"], "card-no-line"),
    ],
)
def test_what_is_wrong_is_named(here: Path, words: list[str], code: str) -> None:
    from planner.quantities.errors import InputRefused

    done = CliRunner().invoke(app, ["card", *words])
    assert isinstance(done.exception, InputRefused), done.output
    assert code in {finding.code for finding in done.exception.findings}
    assert not (here / "card.html").exists()
