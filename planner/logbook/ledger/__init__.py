"""The fuel ledger of one aircraft: dips, gauges, uplifts, flights and drains, kept for ever and set against
each other.
"""
