"""The nouns of the trade and their rules: frozen values and plain functions."""
