"""Liquids, glasses, recipes, stock and planning: from what a person chooses to grams for each channel."""
