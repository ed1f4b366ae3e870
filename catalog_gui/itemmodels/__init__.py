"""Rows and trees for views, made from tuples of values."""
