"""Draws the sample plan: part model, drafting, lettering, and the three ways it reaches us."""
