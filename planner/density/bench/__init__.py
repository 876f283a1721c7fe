"""Density by bottle and hydrometer, from sheet to result."""
