"""Shows the Hand on page: what goes out, to whom, with how much place."""
