"""Density of fuel at a temperature, written again from the petroleum tables.

VCF = exp[-a dt (1 + 0.8 a dt)], dt = t - 15 degC, a = K0 / rho15^2 + K1 / rho15; in the transition zone a = A
+ B / rho15^2.
Source: API MPMS 11.1 / ASTM D1250 / IP 200, Tables 53B and 54B, generalised products, 15 degC base
(second-hand copies).
"""

from __future__ import annotations

from typing import Any

import numpy as np

# Between the published ranges lie steps of 0.5 kg/m3; the middle of each decides, which moves no figure of a
# table.
GASOLINE_TO, TRANSITION_TO, JET_TO = 770.25, 787.75, 838.75  # above them the range of fuel oil


def thermal_expansion(rho15: Any) -> Any:
    """The coefficient a [1/K] at 15 degC for densities [kg/m3] at 15 degC."""
    rho15 = np.asarray(rho15, dtype=float)
    gasoline = 346.4228 / rho15**2 + 0.4388 / rho15
    transition = -0.00336312 + 2680.3206 / rho15**2
    jet = 594.5418 / rho15**2
    heavy = 186.9696 / rho15**2 + 0.4862 / rho15
    light = np.where(rho15 < GASOLINE_TO, gasoline, transition)
    return np.where(rho15 < TRANSITION_TO, light, np.where(rho15 < JET_TO, jet, heavy))


def group(rho15: float) -> int:
    """The group of the tables a density [kg/m3] at 15 degC belongs to, counted from the lightest."""
    return sum(rho15 > border for border in (GASOLINE_TO, TRANSITION_TO, JET_TO))


def correction(rho15: Any, t: Any) -> Any:
    """The volume correction factor [1] from 15 degC to t [degC]."""
    step = thermal_expansion(rho15) * (np.asarray(t, dtype=float) - 15.0)
    return np.exp(-step * (1.0 + 0.8 * step))


def density_at(rho15: Any, t: Any) -> Any:
    """Density [kg/m3] at t [degC] of fuel with rho15 [kg/m3] at 15 degC."""
    return np.asarray(rho15, dtype=float) * correction(rho15, t)


def density_15(rho: Any, t: Any) -> Any:
    """Density [kg/m3] at 15 degC of fuel that has rho [kg/m3] at t [degC], by repeating until it settles."""
    found = np.asarray(rho, dtype=float)
    for _ in range(60):
        found = np.asarray(rho, dtype=float) / correction(found, t)
    return found
