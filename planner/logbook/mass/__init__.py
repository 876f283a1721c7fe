"""The records desk: weighings worked out, profiles amended, and what a change does to the most adverse
loadings.
"""
