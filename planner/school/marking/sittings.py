"""A paused test: answers so far and the time used, kept on this machine until it ends or is erased."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

from planner.quantities.files import data_folder
from planner.quantities.frozen import frozen


@frozen
class Sitting:
    """`seconds` used so far, and the answers as written, problem by problem."""

    seconds: float = 0.0
    given: tuple[dict[str, str], ...] = ()


def _folder(learner: str) -> Path:
    name = hashlib.sha256(" ".join(learner.split()).encode()).hexdigest()[:16]
    return data_folder() / "sittings" / name


def _file(learner: str, check: str) -> Path:
    return _folder(learner) / f"{check}.json"


def load(learner: str, check: str) -> Sitting:
    """What was kept of the learner's paper with this digest; nothing where there is none."""
    try:
        kept = json.loads(_file(learner, check).read_text(encoding="utf-8"))
        given = tuple({str(key): str(value) for key, value in each.items()} for each in kept["given"])
        return Sitting(float(kept["seconds"]), given)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Sitting()


def keep(learner: str, check: str, sitting: Sitting) -> None:
    """Keep it, readable by the owner's account only; written whole or not at all."""
    path = _file(learner, check)
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    draft = path.with_suffix(".new")
    with open(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as stream:
        json.dump({"seconds": sitting.seconds, "given": list(sitting.given)}, stream)
    draft.replace(path)


def erase(learner: str, check: str = "") -> None:
    """Erase what is kept of one paper, or of all of the learner's."""
    folder = _folder(learner)
    for path in folder.glob(f"{check or '*'}.json") if folder.is_dir() else ():
        path.write_bytes(b"\0" * path.stat().st_size)
        path.unlink()
