"""How well pictures are sorted, measured on simulated forays with known truth."""
