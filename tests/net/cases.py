"""net.txt: the commands of the net, each behind the digest of all it says; below it those of the parts."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.net.running import Parts, digest

FILE: Final = Path(__file__).with_name("net.txt")
LONG: Final = "# In the long run."
_HOW: Final = (
    "`python -m tests.net --against TREE`, a checkout or commit of before, tells every figure that moved; if"
    " all of it is meant, `python -m tests.net --write` writes the digests anew"
)


@dataclass(frozen=True)
class Case:
    """Commands with ` ; ` between; the digest of each part of what the last one says, and of `all` of it."""

    command: str
    digests: dict[str, str]
    long: bool  # only in the long run, with one digest

    def now(self, parts: Parts) -> dict[str, str]:
        """The digests of what is said now; what is short is taken together."""
        if self.long:
            return {"all": digest(parts)}
        whole = {key: each for key, each in parts.items() if isinstance(each, dict | list) and len(each) > 1}
        if whole:
            whole["rest"] = {key: each for key, each in parts.items() if key not in whole}
        return {"all": digest(parts)} | {key.replace(" ", "_"): digest(each) for key, each in whole.items()}

    def moved(self, parts: Parts) -> str:
        """Which parts say something else, and what to do then; empty where none does."""
        now = self.now(parts)
        names = [name for name in now | self.digests if now.get(name) != self.digests.get(name)]
        return f"`planner {self.command}` says something else: {', '.join(names)}; {_HOW}" if names else ""

    def text(self) -> str:
        """As it stands in the file."""
        parts = " ".join(f"{name}={each}" for name, each in self.digests.items() if name != "all")
        lines = textwrap.wrap(parts, 110, initial_indent="  ", subsequent_indent="  ")
        return "\n".join([f"{self.digests.get('all', '-----')} {self.command}", *lines])


def cases() -> list[Case]:
    """Those of every run, then those of the long run."""
    found: list[Case] = []
    long = False
    for line in FILE.read_text(encoding="utf-8").splitlines():
        long = long or line.startswith(LONG)
        if line.startswith("  "):
            found[-1].digests.update(tuple(word.split("=")) for word in line.split())
        elif line and line[0] != "#":
            whole, command = line.split(" ", 1)
            found.append(Case(command, {"all": whole}, long))
    return found


def write(every: list[Case]) -> None:
    """Put these in the place of those in the file; its heading stays."""
    text = FILE.read_text(encoding="utf-8")
    head = [line for line in text.splitlines() if line.startswith("#") and not line.startswith(LONG)]
    short, long = ([each.text() for each in every if each.long is wanted] for wanted in (False, True))
    FILE.write_text("\n".join([*head, *short, "", LONG, *long, ""]), encoding="utf-8")
