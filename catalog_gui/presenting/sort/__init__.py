"""Works out what the Sort page shows: rows of the trail, clocks, the plan, and what is asked."""
