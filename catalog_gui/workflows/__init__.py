"""One file for each thing the user does, written against ports."""
