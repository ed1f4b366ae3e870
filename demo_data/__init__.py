"""The demo foray: an invented outing, its pictures, tracks and truth tables (not shipped with the program)."""
