"""Works out what the Catalogue page shows: what was found, its places and seasons, what is still to do."""
