"""One line of the engine changed at random: do the tests near it notice? `python -m tests.mutation
--help`.
"""
