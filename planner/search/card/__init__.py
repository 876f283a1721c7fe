"""The most baggage and fuel that hold for every loading of a cell of front row and rear row, proven; imports
numpy.
"""

from planner.search.card.asking import Typed, read_ask
from planner.search.card.table import Card, CardAsk, CardCell, bands, card
from planner.search.card.witness import Witness

__all__ = ["Card", "CardAsk", "CardCell", "Typed", "Witness", "bands", "card", "read_ask"]
