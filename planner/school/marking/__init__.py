"""Marking: right by the rounding stated, else the slip that leads to the answer, else not recognised."""
