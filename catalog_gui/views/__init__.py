"""Shows the window and its pages."""
