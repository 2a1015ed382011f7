"""Dimension audit for printed plans: finds wrong and missing sizes before the first cut.

Import from the layers (`audit.lengths`, `audit.records`, …), never from this package root.
"""
