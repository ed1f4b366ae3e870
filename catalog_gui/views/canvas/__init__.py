"""Shows one picture at a time, to point at things and to measure them."""
