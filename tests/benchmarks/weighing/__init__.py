"""How well finds are weighed: simulated finds, rival methods, and the figures side by side."""
