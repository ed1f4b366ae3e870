"""The window and its pages."""
