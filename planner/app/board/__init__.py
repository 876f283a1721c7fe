"""A page on this computer for the classroom and the briefing table: what a figure changes is seen while it is
moved.
"""
