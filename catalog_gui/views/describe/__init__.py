"""The Describe page: plate, canvas and the feature list."""
