"""Shows the Sort page: trail, plan and clocks."""
