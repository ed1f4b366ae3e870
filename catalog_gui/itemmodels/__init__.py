"""Makes rows and trees for views from tuples of values."""
