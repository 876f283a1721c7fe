"""Conventions that hold in every module that states an uncertainty."""

from typing import Final

# k of every expanded uncertainty; about 95 % for a normal distribution, [jcgm-100] G.6.6
COVERAGE: Final = 2.0
