"""A small seeded renderer of fruit bodies: lathe-turned signed distance fields, marched in numpy."""
