"""Which pictures belong together: clocks, places, joins and groups."""
