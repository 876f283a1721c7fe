"""Rendering only: a finished plan as text, as JSON, as the working on paper. Nothing here decides a figure."""
