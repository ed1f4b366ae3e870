"""The earth: positions, distances, grid references and deliberate imprecision."""
