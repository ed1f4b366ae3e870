"""One file for each thing she does, written against ports."""
