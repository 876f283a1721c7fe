"""Density of water, air, glass and petroleum products, and the ways a density is measured."""
