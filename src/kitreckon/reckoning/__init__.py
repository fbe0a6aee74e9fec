"""Prices, condition, cover, value and offer: what the counted tooling is worth to this buyer."""
