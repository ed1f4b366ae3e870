"""Evidence held against the reference: candidates, hazards not excluded, next checks."""
