"""Problems for the classroom: set from any profile by seed, solved line by line, with the slips that lead to
other answers.
"""
