"""Shows the Catalogue page: every foray and specimen, found again."""
