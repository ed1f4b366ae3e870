"""Handing on: what a paper or a file may say for its reader, and the note of what went out.

`order` says what is to go out and makes it; a file for each paper; `gathered`, `places` and `secrets` are
what they are made from and what may not stand on them.
"""
