"""Marking by method: right by the rounding the question states, else the slip that leads to the answer, else
not recognised.
"""
