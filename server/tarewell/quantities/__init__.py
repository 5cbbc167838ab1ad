"""Densities, strength and units, from published formulas. Pure: no clock, no I/O.

Temperatures are in °C (ITS-90), densities in vacuo in g/ml, fractions by mass from 0 to 1. Strength is per
cent by volume at 20 °C. Formulas, sources and uncertainties: docs/quantities.md.
"""
