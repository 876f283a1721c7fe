"""Worked examples and tables that other people published, with the figure they printed.

Only what was printed stands here: the figure, where it stands, how much of it can be relied on. The inputs
of each case are in `planner.sureness.verify_cases`, which puts them through the engine.
"""

from __future__ import annotations

from typing import Final

from planner.facts.published.case import PublishedCase
from planner.facts.published.fuel import FUEL
from planner.facts.published.handbooks import HANDBOOKS
from planner.facts.published.knowledge_tests import KNOWLEDGE_TESTS

PUBLISHED: Final[tuple[PublishedCase, ...]] = (*HANDBOOKS, *KNOWLEDGE_TESTS, *FUEL)

__all__ = ["PUBLISHED", "PublishedCase"]
