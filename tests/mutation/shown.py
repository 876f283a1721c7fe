"""What the program says of every case of the net, those of the long run too: a change that leaves all of it
as it is shows nothing.
"""

from __future__ import annotations

import builtins
import hashlib
import json
import shutil
import time
from collections.abc import Callable
from pathlib import Path

from tests.mutation.reach import KEPT, Reach, engine, mark
from tests.mutation.running import Copy, forked
from tests.net.cases import cases
from tests.net.differing import differences

LIMIT = 600  # seconds of the processor


def _name() -> str:
    """Of the commands as they are."""
    return hashlib.sha256("\n".join(each.command for each in cases()).encode()).hexdigest()[:16]


class Shown:
    """What the engine says as it is, and which statements each case executes: found once for an engine."""

    def __init__(self, root: Path, folder: Path) -> None:
        self.folder = folder
        self.kept = KEPT / engine(root)[0] / f"shown-{_name()}"
        if not (self.kept / "said.json").is_file():
            self._measure(root)
        said = json.loads((self.kept / "said.json").read_text(encoding="utf-8"))
        self.before = {command: parts for command, (_, parts, _) in said.items()}
        self.reach = Reach({command: seconds for command, (seconds, _, _) in said.items()})
        for command, (_, _, seen) in said.items():
            for path, line in seen:
                self.reach.tests.setdefault((path, line), set()).add(command)

    def _measure(self, root: Path) -> None:
        shutil.rmtree(self.kept, ignore_errors=True)
        self.kept.mkdir(parents=True)
        with Copy(root) as tree:
            statements = mark(tree.folder)

            def child() -> int:
                builtins._marks = marks = bytearray(len(statements))  # type: ignore[attr-defined]
                from tests.cli.forked import load
                from tests.net.running import furnish, said

                load()
                furnish(self.kept / "house")
                found = {}
                for each in cases():
                    marks[:] = bytes(len(marks))
                    began = time.process_time()
                    parts = said(each.command, self.kept / "house")
                    seen = [statements[number] for number, set_ in enumerate(marks) if set_]
                    found[each.command] = time.process_time() - began, parts, seen
                whole = self.kept / "whole.json"
                whole.write_text(json.dumps(found), encoding="utf-8")
                whole.rename(self.kept / "said.json")
                return 0

            if self._child(child, tree.folder) != 0:
                raise RuntimeError((self.kept / "log").read_text(encoding="utf-8")[-3000:])

    def _child(self, work: Callable[[], int], folder: Path) -> int | None:
        return forked(work, folder, LIMIT, self.kept / "log")

    def differs(self, commands: set[str]) -> str:
        """The first of these that says something else now, the quick ones first, and what; empty where none
        does.
        """
        out, house = self.folder / "difference.txt", self.folder / "house"
        out.unlink(missing_ok=True)
        shutil.rmtree(house, ignore_errors=True)
        shutil.copytree(self.kept / "house", house)

        def child() -> int:
            from tests.net.running import said

            told = (
                f"{command}: {found}"
                for command in sorted(commands, key=lambda each: self.reach.seconds[each])
                for found in differences(self.before[command], said(command, house))
            )
            out.write_text(next(told, ""), encoding="utf-8")
            return 0

        done = self._child(child, self.folder)
        return out.read_text(encoding="utf-8") if done == 0 else f"the program does not end well ({done})"
