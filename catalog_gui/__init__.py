"""Foray Bench: from a folder of foray pictures to weighed specimens."""
