"""Shows the Describe page: plate, entry line and the feature list."""
