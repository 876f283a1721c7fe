"""`python -m tests.net --against TREE`: every figure and word in which this checkout's program and that of
TREE, a folder or a commit, say something else of the same records. `--write` writes the digests anew.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from tests.net.cases import Case, cases, write
from tests.net.differing import differences
from tests.net.running import ROOT, Parts, house, said

MOST = 12  # differences told of one command


def main() -> int:
    """Exit code 1 where anything differs."""
    parser = argparse.ArgumentParser(prog="python -m tests.net", description=__doc__)
    parser.add_argument("--against", metavar="TREE", help="a checkout, or a commit of this one")
    parser.add_argument("--write", action="store_true", help="write the digests anew")
    parser.add_argument("--short", action="store_true", help="without the cases of the long run")
    parser.add_argument("--most", type=int, default=MOST, help="differences told of one command")
    parser.add_argument("--said", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    chosen = [each for each in cases() if not (asked.short and each.long)]
    if asked.said:
        asked.said.write_text(json.dumps({each.command: parts for each, parts in spoken(chosen)}), "utf-8")
    elif asked.write:
        anew = {each.command: replace(each, digests=each.now(parts)) for each, parts in spoken(chosen)}
        write([anew.get(each.command, each) for each in cases()])
    elif asked.against:
        return against(asked.against, asked.short, asked.most)
    else:
        moved = [told for each, parts in spoken(chosen) if (told := each.moved(parts))]
        sys.stdout.writelines(f"{told}\n" for told in moved)
        return bool(moved)
    return 0


def spoken(chosen: Iterable[Case]) -> Iterable[tuple[Case, Parts]]:
    """Each case with what it says now."""
    with house() as folder:
        for each in chosen:
            yield each, said(each.command, folder)


def against(tree: str, short: bool, most: int) -> int:
    """Tell where that tree's program and this one's differ; both are asked the cases that stand here."""
    with tempfile.TemporaryDirectory() as name:
        before, now = (
            _answers(Path(name) / place, each, short)
            for place, each in (("before", tree), ("now", str(ROOT)))
        )
    differ = 0
    for command, parts in now.items():
        told = list(differences(before[command], parts))
        differ += bool(told)
        sys.stdout.writelines([f"planner {command}\n"] * bool(told) + [f"  {each}\n" for each in told[:most]])
        if len(told) > most:
            sys.stdout.write(f"  and {len(told) - most} more\n")
    sys.stdout.write(f"{len(now)} commands, {differ} say something else\n")
    return bool(differ)


def _answers(folder: Path, tree: str, short: bool) -> dict[str, Parts]:
    """What the program of that tree says, in a copy with the records and the cases of this one."""
    folder.mkdir()
    for each in ("tests", "docs", "aircraft_profiles"):
        shutil.copytree(ROOT / each, folder / each)
    if Path(tree).is_dir():
        shutil.copytree(Path(tree) / "planner", folder / "planner")
    else:
        packed = subprocess.run(
            ["git", "archive", tree, "planner"], cwd=ROOT, check=True, capture_output=True
        ).stdout
        subprocess.run(["tar", "-x", "-C", str(folder)], input=packed, check=True)
    words = [sys.executable, "-m", "tests.net", "--said", "said.json", *["--short"] * short]
    subprocess.run(words, cwd=folder, env=os.environ | {"PYTHONPATH": str(folder)}, check=True)
    found: dict[str, Parts] = json.loads((folder / "said.json").read_text(encoding="utf-8"))
    return found


if __name__ == "__main__":
    raise SystemExit(main())
