"""The most baggage and fuel that hold for every loading of a cell of front row and rear row, proven; imports
numpy.
"""

from planner.search.card.asking import Typed, read_ask
from planner.search.card.table import Ask, Card, Cell, bands, card
from planner.search.card.witness import Witness

__all__ = ["Ask", "Card", "Cell", "Typed", "Witness", "bands", "card", "read_ask"]
