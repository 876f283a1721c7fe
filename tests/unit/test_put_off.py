"""What is put off as the program starts is there, whole, when something is asked of it."""

from __future__ import annotations

import subprocess
import sys

import pytest

LATE = """
import sys
from planner.app.sooner import SELDOM, _Seldom, put_off_module, with_patterns_later
for name in SELDOM:
    put_off_module(name)
assert type(sys.modules["difflib"]) is _Seldom
"""


@pytest.mark.parametrize(
    "asked",
    [
        "from difflib import get_close_matches; assert get_close_matches('fuell', ['fuel']) == ['fuel']",
        "import difflib; assert difflib.SequenceMatcher(None, 'ab', 'ab').ratio() == 1.0",
        "from pickle import *; assert loads(dumps([1])) == [1] and PicklingError",
        "import subprocess, secrets, base64; assert subprocess.PIPE == -1 and secrets.token_bytes(3)",
        "import shutil; assert shutil.get_terminal_size() and shutil.which and not hasattr(shutil, 'none')",
        "from gettext import gettext, ngettext; assert gettext('fuel') == 'fuel' and ngettext('a', 'b', 2) == 'b'",
        "with_patterns_later('yaml'); import yaml; assert yaml.safe_load('[1.5, yes]') == [1.5, True]",
        "with_patterns_later('textwrap'); import textwrap; assert textwrap.wrap('a bc', 2) == ['a', 'bc']",
        "with_patterns_later('string'); import re; assert type(re.compile('a')) is re.Pattern",
    ],
)
def test_it_is_loaded_when_it_is_asked(asked: str) -> None:
    subprocess.run([sys.executable, "-c", LATE + asked], check=True)


def test_on_a_python_it_was_not_tried_on_nothing_waits() -> None:
    new = "import sys; from planner.app import sooner; sooner.TRIED = (); sooner.put_off(yaml=True); assert 'bz2' not in sys.modules"
    subprocess.run([sys.executable, "-c", new], check=True)
