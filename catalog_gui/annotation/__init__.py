"""Marks on a picture, and what can be measured from them."""
